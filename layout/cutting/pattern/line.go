package pattern

import (
	"pilewright/layout/cutting/knapsack"
)

// Lines describes boards that are rows of clear segments cut only across.
type Lines struct {
	// Size of an item, kerf included.
	Size []int
	// Segs are, by group, the clear lengths, each with one kerf added.
	Segs [][]int
	// Class of a group; Allowed[class][item] says what it may carry. A nil
	// Allowed means one class that carries all.
	Class   []int
	Allowed [][]bool
	// Safe, above zero, is the length below which pieces must leave the saw
	// together (see knapsack.Trains); Kerf is the kerf inside the sizes.
	Safe, Kerf int
	// Keep, when not nil, is what a length left behind the pieces of a segment of
	// a group is worth; it rises with the length.
	Keep func(g, seg, length int) int64
}

// lineOracle prices all boards of a class from one knapsack table.
type lineOracle struct {
	l      *Lines
	tables []knapsack.Filler
	maxCap []int
	pi     []int64
	limit  []int
	index  [][]int // items of the table by class
	seg    knapsack.Filler
	counts []int
	items  []knapsack.Item
	dense  []knapsack.Table
	sparse []knapsack.List
	trains []knapsack.Trains
	loose  bool
	turn   int    // of More
	last   []bool // class was filled by the last Price
	keep   int    // see Keeper
}

// denseMax is the longest capacity for which a dense table is considered.
const denseMax = 25_000

// NewLineOracle prices lines.
func NewLineOracle(l *Lines) Oracle {
	o := &lineOracle{l: l, keep: -1}
	n := 1
	for _, c := range l.Class {
		n = max(n, c+1)
	}
	o.maxCap = make([]int, n)
	for g, segs := range l.Segs {
		c := o.class(g)
		for _, s := range segs {
			o.maxCap[c] = max(o.maxCap[c], s)
		}
	}
	o.tables = make([]knapsack.Filler, n)
	o.dense = make([]knapsack.Table, n)
	o.sparse = make([]knapsack.List, n)
	o.index = make([][]int, n)
	o.last = make([]bool, n)
	o.seg = &knapsack.List{}
	if l.Safe > 0 {
		o.seg = &knapsack.Trains{Safe: l.Safe, Kerf: l.Kerf}
		o.trains = make([]knapsack.Trains, n)
		for c := range o.trains {
			o.trains[c] = knapsack.Trains{Safe: l.Safe, Kerf: l.Kerf}
		}
	}
	return o
}

func (o *lineOracle) class(g int) int {
	if o.l.Class == nil {
		return 0
	}
	return o.l.Class[g]
}

func (o *lineOracle) allowed(c, i int) bool {
	return o.l.Allowed == nil || o.l.Allowed[c][i]
}

// Price implements Oracle.
func (o *lineOracle) Price(pi []int64, limit []int, want []bool, value []int64) {
	o.pi, o.limit = pi, limit
	clear(o.last)
	for c := range o.maxCap {
		top, single := 0, true
		for g, segs := range o.l.Segs {
			if want[g] && o.class(g) == c {
				for _, s := range segs {
					single = single && (top == 0 || s == top)
					top = max(top, s)
				}
			}
		}
		if top == 0 {
			continue
		}
		o.items, o.index[c] = o.items[:0], o.index[c][:0]
		for i, s := range o.l.Size {
			if limit[i] > 0 && pi[i] > 0 && s <= top && o.allowed(c, i) {
				o.items = append(o.items, knapsack.Item{Size: s, Limit: limit[i], Value: pi[i]})
				o.index[c] = append(o.index[c], i)
			}
		}
		if o.l.Safe > 0 {
			o.tables[c] = &o.trains[c]
		} else if top > denseMax {
			o.sparse[c].Single = single && o.keep < 0
			o.tables[c] = &o.sparse[c]
		} else {
			o.tables[c] = &o.dense[c]
		}
		o.tables[c].Fill(top, o.items)
		o.last[c] = true
	}
	for g, segs := range o.l.Segs {
		if !want[g] {
			continue
		}
		v := int64(0)
		switch c := o.class(g); {
		case o.keep >= 0:
			_, v = o.takes(g)
		case o.last[c]:
			for _, s := range segs {
				v += o.tables[c].Best(s)
			}
		}
		value[g] = v
	}
}

// Keep implements Keeper.
func (o *lineOracle) Keep(scale int) { o.keep = scale }

// rest is what is worth keeping when pieces take so much of a segment; what is
// taken ends with a kerf.
func (o *lineOracle) rest(g, seg, taken int) int64 {
	return o.l.Keep(g, seg, o.l.Segs[g][seg]-o.l.Kerf-taken) << o.keep
}

// best is the greatest value of a segment with so much room for pieces, what is
// left of it included, and what the pieces then take; some says that there must
// be a piece, v is -1 when there can't.
func (o *lineOracle) best(t knapsack.Filler, g, seg, room int, some bool) (take int, v int64) {
	if o.keep < 0 {
		return room, t.Best(room)
	}
	before := o.l.Segs[g][seg] - room // placed in any case
	v = -1
	t.Steps(room, func(c, least int, worth int64) {
		if some && worth == 0 {
			return
		}
		if x := worth + o.rest(g, seg, before+least); x > v {
			take, v = c, x
		}
	})
	return take, v
}

// takes is what pieces take of every segment of a board of g, and the value of
// all, what is left included. A board that is cut holds a piece: the emptiest
// boards are not for the taking.
func (o *lineOracle) takes(g int) (take []int, v int64) {
	c := o.class(g)
	at, gain, first := -1, int64(0), 0
	empty := true
	for n, s := range o.l.Segs[g] {
		none := o.rest(g, n, 0)
		took, best := 0, none
		piece, some := 0, int64(-1)
		if o.last[c] {
			took, best = o.best(o.tables[c], g, n, s, false)
			piece, some = o.best(o.tables[c], g, n, s, true)
		}
		for i, size := range o.l.Size { // a piece without a value
			if o.limit[i] > 0 && o.pi[i] == 0 && size <= s && o.allowed(c, i) {
				if x := o.rest(g, n, size); x > some {
					piece, some = 0, x
				}
			}
		}
		if some >= 0 && (at < 0 || some-none > gain) {
			at, gain, first = n, some-none, piece
		}
		empty = empty && took == 0
		take = append(take, took)
		v += best
	}
	if empty {
		if at < 0 {
			return take, 0
		}
		take[at] = first
		v = max(v+gain, 0)
	}
	return take, v
}

// Pattern implements Oracle. Segments of one board share an item's limit,
// which the table does not know: a segment in conflict is filled again with
// what is left.
func (o *lineOracle) Pattern(g int) *Column {
	c := o.class(g)
	if !o.last[c] {
		return nil
	}
	index := o.index[c]
	used := make([]int, len(index))
	var parts []Part
	takes := o.l.Segs[g]
	if o.keep >= 0 {
		takes, _ = o.takes(g)
	}
	for s, size := range o.l.Segs[g] {
		if cap(o.counts) < len(index) {
			o.counts = make([]int, len(index))
		}
		o.counts = o.counts[:len(index)]
		clear(o.counts)
		o.tables[c].Take(takes[s], o.counts)
		clash := false
		for k, n := range o.counts {
			if n > 0 && used[k]+n > o.limit[index[k]] && !o.loose {
				clash = true
				break
			}
		}
		if clash {
			o.items = o.items[:0]
			for k, i := range index {
				o.items = append(o.items, knapsack.Item{Size: o.l.Size[i], Limit: o.limit[i] - used[k], Value: o.pi[i]})
			}
			clear(o.counts)
			o.seg.Fill(size, o.items)
			take, _ := o.best(o.seg, g, s, size, false)
			o.seg.Take(take, o.counts)
		}
		for k, n := range o.counts {
			if n > 0 {
				used[k] += n
				parts = append(parts, Part{Item: index[k], N: n, Seg: s})
			}
		}
	}
	if len(parts) == 0 {
		return nil
	}
	return newColumn(g, parts)
}

// More implements Teller: the best pattern of g around each item in turn that no
// pattern taken before holds, from another item on each time.
func (o *lineOracle) More(g int, take func(*Column) bool) {
	c := o.class(g)
	segs := o.l.Segs[g]
	if !o.last[c] || len(segs) != 1 || o.l.Safe > 0 || o.tables[c] == &o.sparse[c] && o.sparse[c].Single {
		return
	}
	t, index, size := o.tables[c], o.index[c], segs[0]
	held := make([]bool, len(index))
	if cap(o.counts) < len(index) {
		o.counts = make([]int, len(index))
	}
	o.counts = o.counts[:len(index)]
	o.turn++
	for n := range index {
		k := (n + 37*o.turn) % len(index)
		i := index[k]
		if held[k] || o.l.Size[i] > size {
			continue
		}
		clear(o.counts)
		t.Take(size-o.l.Size[i], o.counts)
		if o.counts[k]+1 > o.limit[i] {
			continue
		}
		o.counts[k]++
		var parts []Part
		for q, n := range o.counts {
			if n > 0 {
				parts = append(parts, Part{Item: index[q], N: n})
			}
		}
		if take(newColumn(g, parts)) {
			for q, n := range o.counts {
				held[q] = held[q] || n > 0
			}
		}
	}
}

// Line implements Counter. Counts are not bounded where trains are needed.
func (o *lineOracle) Line(int) bool { return o.l.Safe == 0 }

// bounded fills every segment of g under bounds, each segment on its own: the
// least copies are placed first, the rest is filled by a table of its own. The
// counts are by segment and item; -1 means the bounds cannot be met.
func (o *lineOracle) bounded(g int, bounds []CountBound, pi []int64, limit []int) (int64, [][]int) {
	c := o.class(g)
	total := int64(0)
	var counts [][]int
	must := map[int]int{} // least copies on all segments
	empty := o.keep >= 0
	for _, b := range bounds {
		if must[b.Item] += b.Lo; must[b.Item] > limit[b.Item] {
			return -1, nil
		}
		empty = empty && b.Lo == 0
	}
	at, gain, first := -1, int64(0), []int(nil) // of the best single piece, see takes
	for s, size := range o.l.Segs[g] {
		lo, hi := map[int]int{}, map[int]int{}
		for _, b := range bounds {
			if b.Seg == s {
				lo[b.Item] = b.Lo
				hi[b.Item] = b.Hi
			}
		}
		o.items = o.items[:0]
		var index []int
		n := make([]int, len(limit))
		left := size
		for i, w := range o.l.Size {
			n[i] = lo[i]
			left -= lo[i] * w
			total += int64(lo[i]) * pi[i]
			most := limit[i] - must[i] // what other segments need is not for this one
			if m, ok := hi[i]; ok {
				most = min(most, m-lo[i])
			}
			if most > 0 && pi[i] > 0 && o.allowed(c, i) {
				o.items = append(o.items, knapsack.Item{Size: w, Limit: most, Value: pi[i]})
				index = append(index, i)
			}
		}
		if left < 0 {
			return -1, nil
		}
		o.seg.Fill(left, o.items)
		take, best := o.best(o.seg, g, s, left, false)
		total += best
		got := make([]int, len(index))
		o.seg.Take(take, got)
		if empty = empty && take == 0; empty {
			none := o.rest(g, s, 0)
			piece, some := o.best(o.seg, g, s, left, true)
			for i, w := range o.l.Size {
				m, bounded := hi[i]
				if limit[i] > must[i] && (!bounded || m > 0) && pi[i] == 0 && w <= left && o.allowed(c, i) {
					if x := o.rest(g, s, w); x > some {
						piece, some = 0, x
					}
				}
			}
			if some >= 0 && (at < 0 || some-none > gain) {
				at, gain, first = s, some-none, make([]int, len(limit))
				row := make([]int, len(index))
				o.seg.Take(piece, row)
				for k, m := range row {
					first[index[k]] += m
				}
			}
		}
		for k, m := range got {
			n[index[k]] += m
		}
		counts = append(counts, n)
	}
	if empty {
		if at < 0 {
			return -1, nil
		}
		counts[at] = first
		total = max(0, total+gain)
	}
	return total, counts
}

// PriceBounded implements Counter.
func (o *lineOracle) PriceBounded(g int, bounds []CountBound, pi []int64, limit []int) (int64, *Column) {
	total, counts := o.bounded(g, bounds, pi, limit)
	if total < 0 {
		return total, nil
	}
	left := append([]int(nil), limit...)
	var parts []Part
	for s, row := range counts {
		for i, n := range row {
			if !o.loose {
				n = min(n, left[i])
			}
			if n > 0 {
				left[i] -= n
				parts = append(parts, Part{Item: i, N: n, Seg: s})
			}
		}
	}
	if len(parts) == 0 {
		return total, nil
	}
	return total, newColumn(g, parts)
}

// Overuse implements Counter.
func (o *lineOracle) Overuse(g int, bounds []CountBound, pi []int64, limit []int) (seg, item, n int, ok bool) {
	total, counts := o.bounded(g, bounds, pi, limit)
	if total < 0 {
		return 0, 0, 0, false
	}
	most := int64(0)
	for i := range limit {
		used := 0
		for _, row := range counts {
			used += row[i]
		}
		if used <= limit[i] || pi[i]*int64(used-limit[i]) <= most {
			continue
		}
		for s, row := range counts {
			lo := 0
			for _, b := range bounds {
				if b.Seg == s && b.Item == i {
					lo = b.Lo
				}
			}
			if row[i] > lo {
				most = pi[i] * int64(used-limit[i])
				seg, item, n, ok = s, i, row[i], true
			}
		}
	}
	return seg, item, n, ok
}

// Loose implements Loosener.
func (o *lineOracle) Loose(on bool) { o.loose = on }

// Size is a first guess of an item's worth.
func (o *lineOracle) Size(i int) float64 { return float64(o.l.Size[i]) }

// Work implements Oracle.
func (o *lineOracle) Work() int64 {
	w := o.seg.Work()
	for c := range o.dense {
		w += o.dense[c].Work() + o.sparse[c].Work()
	}
	for c := range o.trains {
		w += o.trains[c].Work()
	}
	return w
}
