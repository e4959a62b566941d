package cutting

import (
	"slices"
	"sort"

	"pilewright/layout/cutting/knapsack"
	"pilewright/layout/cutting/pattern"
)

// A flat board is cut in one of two ways, each at most three cuts deep:
// across first, into sections that are ripped into strips, or along first, into
// strips that are crosscut; a piece smaller than its section or strip is
// trimmed. Inside a section (strip) only the runs across (along) that no defect
// touches are used, so a section or strip is again a line of clear runs, and
// all boards share one knapsack table a section length (strip width).
//
// The values of sections and strips depend on prices, the runs do not: they
// are found once a board (see survey).
type flat struct {
	r      *reduced
	boards []*flatBoard // by group, nil until first priced
	ended  bool         // the solve is over: nothing is priced any more
	class  []*flatClass
	work   int64
	loose  bool    // patterns as valued, with more copies than the limit
	keep   int     // see pattern.Keeper
	pi     []int64 // by kind
	limit  []int
	left   []int // what the rows need
	items  []knapsack.Item
	index  []int // kinds of items
	scrap  knapsack.List
	// scrapTrains is scrap where short pieces need a train.
	scrapTrains knapsack.Trains
	front       front // of sweep
	cache       []int64
	cursor      []int
	stained     front // of graded
	pieces      []gradedPiece
	at          []int32 // place in a table of a kind, from 1
	stops       []int
	gradedPath  []step
	orders      [2][]int // kinds by width and by length, the shortest first
}

// unknown is the value of a board that was not priced since the solve is over:
// above all others, so that no bound leans on it, and safe to add up.
const unknown = int64(1) << 55

// flatBoard is the geometry of one board.
type flatBoard struct {
	along, across axis    // into sections, into strips
	lists         [][]run // distinct run lists of both
	longest       int     // of the runs of strips
	widest        int     // of the runs of sections
	// What the last price preferred: strips or sections, where they lie, and how
	// far their pieces may reach the other way.
	down bool
	path []step
	clip int
}

// flatClass is the tables of boards that carry the same blanks.
type flatClass struct {
	allowed []bool
	lens    []int // distinct blank lengths
	wids    []int
	across  []knapsack.Table  // by length: blanks no longer than it, ripped
	along   []knapsack.Filler // by width
	acrossI [][]int
	alongI  [][]int
	maxW    int // of the runs of the boards that are priced
	maxL    int
	fresh   bool
}

func newFlat(r *reduced) *flat {
	f := &flat{r: r, keep: -1, boards: make([]*flatBoard, len(r.groups)), scrapTrains: knapsack.Trains{Safe: r.safe, Kerf: r.kc}}
	for g := range r.groups {
		gr := &r.groups[g]
		if gr.line {
			continue
		}
		for len(f.class) <= gr.class {
			f.class = append(f.class, nil)
		}
		c := f.class[gr.class]
		if c == nil {
			c = &flatClass{allowed: gr.allowed}
			c.lens = r.distinct(gr.allowed, func(k *kind) int { return k.l })
			c.wids = r.distinct(gr.allowed, func(k *kind) int { return k.w })
			c.across, c.along = make([]knapsack.Table, len(c.lens)), make([]knapsack.Filler, len(c.wids))
			for n := range c.along {
				c.along[n] = &knapsack.Table{}
				if r.safe > 0 {
					c.along[n] = &knapsack.Trains{Safe: r.safe, Kerf: r.kc}
				}
			}
			c.acrossI, c.alongI = make([][]int, len(c.lens)), make([][]int, len(c.wids))
			f.class[gr.class] = c
		}
	}
	return f
}

// tables fills a class's knapsacks. Each length (width) has the blanks of the
// next below it and some more.
func (f *flat) tables(c *flatClass) {
	c.fresh = true
	f.items, f.index = f.items[:0], f.index[:0]
	// pick adds the blanks of one size one way, by their size the other way.
	pick := func(one int, along bool) {
		for _, n := range f.order(along) {
			k := &f.r.kinds[n]
			if c.allowed[n] && f.limit[n] > 0 && f.pi[n] > 0 && f.side(n, !along) == one {
				size := k.w + f.r.kr
				if along {
					size = k.l + f.r.kc
				}
				f.items = append(f.items, knapsack.Item{Size: size, Limit: f.limit[n], Value: f.pi[n]})
				f.index = append(f.index, n)
			}
		}
	}
	for n := len(c.lens) - 1; n >= 0; n-- {
		if f.ended = f.ended || f.r.ended(); f.ended {
			return
		}
		from := len(f.items)
		pick(c.lens[n], false)
		c.acrossI[n] = append(c.acrossI[n][:0], f.index...)
		t := &c.across[n]
		before := t.Work()
		if n+1 < len(c.lens) {
			t.Extend(&c.across[n+1], f.items, from)
		} else {
			t.Fill(c.maxW+f.r.kr, f.items)
		}
		f.work += t.Work() - before
	}
	f.items, f.index = f.items[:0], f.index[:0]
	for n := len(c.wids) - 1; n >= 0; n-- {
		if f.ended = f.ended || f.r.ended(); f.ended {
			return
		}
		from := len(f.items)
		pick(c.wids[n], true)
		c.alongI[n] = append(c.alongI[n][:0], f.index...)
		if _, dense := c.along[n].(*knapsack.Table); dense && c.maxL > 25_000 {
			c.along[n] = &knapsack.List{} // fine units: only sums that occur
		}
		before := c.along[n].Work()
		t, dense := c.along[n].(*knapsack.Table)
		var base *knapsack.Table
		if n+1 < len(c.wids) {
			base, _ = c.along[n+1].(*knapsack.Table)
		}
		if dense && base != nil {
			t.Extend(base, f.items, from)
		} else {
			c.along[n].Fill(c.maxL+f.r.kc, f.items)
		}
		f.work += c.along[n].Work() - before
	}
}

// order lists the kinds by length (along) or width, the shortest first.
func (f *flat) order(along bool) []int {
	o := &f.orders[0]
	if along {
		o = &f.orders[1]
	}
	if *o == nil {
		for n := range f.r.kinds {
			*o = append(*o, n)
		}
		slices.SortStableFunc(*o, func(a, b int) int { return f.side(a, along) - f.side(b, along) })
	}
	return *o
}

// lenTable is the class's table for sections of length l: blanks no longer.
func (c *flatClass) lenTable(l int) int {
	for n, v := range c.lens {
		if v <= l {
			return n
		}
	}
	return -1
}

func (f *flat) price(pi []int64, limit []int, want []bool, value []int64) {
	f.pi, f.limit, f.left = f.pi[:0], f.limit[:0], limit
	for n := range f.r.kinds {
		k := &f.r.kinds[n]
		f.pi = append(f.pi, pi[k.row]*int64(k.worth))
		f.limit = append(f.limit, k.copies(limit[k.row]))
	}
	for _, c := range f.class {
		if c != nil {
			c.fresh, c.maxW, c.maxL = false, 0, 0
		}
	}
	for g, b := range f.boards {
		if !want[g] || f.r.groups[g].line {
			continue
		}
		if f.ended = f.ended || f.r.ended(); f.ended {
			break
		}
		c := f.class[f.r.groups[g].class]
		if b == nil {
			b = f.r.surveyed(g, c)
			f.boards[g] = b
		}
		c.maxW, c.maxL = max(c.maxW, b.widest), max(c.maxL, b.longest)
	}
	for g, b := range f.boards {
		if !want[g] || f.r.groups[g].line {
			continue
		}
		if f.ended = f.ended || f.r.ended(); f.ended {
			value[g] = unknown
			continue
		}
		c := f.class[f.r.groups[g].class]
		if !c.fresh {
			if f.tables(c); f.ended {
				value[g] = unknown
				continue
			}
		}
		value[g] = f.best(&f.r.groups[g], b, c)
	}
}

// restSteps is how many reaches across (along) are looked at when what sections
// (strips) leave beside (behind) them counts.
const restSteps = 12

// best prices a board by sections and by strips. What is left behind sections
// and beside strips is counted exactly. What is left beside sections and behind
// strips follows from how far their pieces reach: a few reaches are looked at,
// and those between them count as the next in pieces and as the one before in
// what is left, so that the value is a bound.
func (f *flat) best(gr *group, b *flatBoard, c *flatClass) int64 {
	top := int64(-1)
	try := func(down bool, clip int, rest func(int) int64, more int64) {
		x, active := &b.along, f.active(c, b.along.sizes, true)
		if down {
			x, active = &b.across, f.active(c, b.across.sizes, false)
		}
		v := f.sweep(x, b.lists, active, func(k int, runs []run) int64 {
			if down {
				n := c.widTable(x.sizes[k])
				return f.worth(c.along[n], c.alongI[n], runs, clip, f.r.kc, true)
			}
			n := c.lenTable(x.sizes[k])
			return f.worth(&c.across[n], c.acrossI[n], runs, clip, f.r.kr, false)
		}, rest)
		if f.keep >= 0 && v <= 0 {
			return // a board that is cut holds a piece
		}
		if v += more; v > top {
			top, b.down, b.clip, b.path = v, down, clip, append(b.path[:0], x.path...)
		}
	}
	if f.keep < 0 {
		try(false, gr.w, nil, 0)
		try(true, gr.x1, nil, 0)
		return top
	}
	try(false, gr.w, func(p int) int64 { return f.r.endUse(gr, p) << f.keep }, 0)
	try(true, gr.x1, func(p int) int64 { return f.r.sideUse(gr, p) << f.keep }, 0)
	for k := range restSteps {
		if f.ended = f.ended || f.r.ended(); f.ended {
			return unknown
		}
		from, to := restStep(0, gr.w, k)
		if u := f.r.sideUse(gr, from+1+f.r.kr); u > 0 {
			try(false, to, nil, u<<f.keep)
		}
		from, to = restStep(gr.x0, gr.x1, k)
		if u := f.r.endUse(gr, from+1+f.r.kc); u > 0 {
			try(true, to, nil, u<<f.keep)
		}
	}
	for n := range f.r.kinds { // a piece without a value
		if c.allowed[n] && f.limit[n] > 0 && f.pi[n] == 0 {
			if u := f.r.pieceUse(gr, n) << f.keep; u > top {
				top, b.path = u, b.path[:0]
			}
		}
	}
	return max(top, 0)
}

// restStep is the k-th of the reaches looked at: above from, no further than to.
func restStep(a, b, k int) (from, to int) {
	return a + (b-a)*k/restSteps, a + (b-a)*(k+1)/restSteps
}

// worth is the value of the runs of one section or strip up to a place.
func (f *flat) worth(t knapsack.Filler, index []int, runs []run, clip, kerf int, along bool) int64 {
	v := int64(0)
	for _, s := range runs {
		if s.b = min(s.b, clip); s.b <= s.a {
			continue
		}
		if len(s.soft) > 0 {
			v += f.graded(t, index, s, kerf, along)
		} else {
			v += t.Best(s.b - s.a + kerf)
		}
	}
	return v
}

func (c *flatClass) widTable(w int) int {
	for n, v := range c.wids {
		if v == w {
			return n
		}
	}
	return -1
}

// active are the section lengths (strip widths) that some blank worth cutting
// has, the shortest first: sections of other lengths can only waste.
func (f *flat) active(c *flatClass, sizes []int, along bool) []int {
	var out []int
	k := len(sizes) - 1
	for _, n := range f.order(along) { // the shortest first
		if !c.allowed[n] || f.limit[n] <= 0 || f.pi[n] <= 0 {
			continue
		}
		size := f.side(n, along)
		if along {
			size = max(size, f.r.safe)
		}
		for k >= 0 && sizes[k] < size {
			k--
		}
		if k >= 0 && sizes[k] == size {
			out = append(out, k)
			k--
		}
	}
	return out
}

// pattern rebuilds the best pattern of the last price: parts carry their corner
// in units and count what they are worth to their row; Seg is 0 for sections, 1
// for strips, plus twice the kind.
func (f *flat) pattern(g int) *pattern.Column {
	if f.ended {
		return nil
	}
	b := f.boards[g]
	c := f.class[f.r.groups[g].class]
	left := append([]int(nil), f.left...)
	if f.loose {
		for i := range left {
			left[i] = 1 << 30
		}
	}
	var parts []pattern.Part
	copies := func(i int) int { return f.r.kinds[i].copies(left[f.r.kinds[i].row]) }
	// use takes a copy off its row and returns what it is worth there.
	use := func(i int) int {
		k := &f.r.kinds[i]
		n := min(k.worth, left[k.row])
		left[k.row] -= n
		return n
	}
	// line fills the runs of one section or strip with what is left.
	line := func(t knapsack.Filler, index []int, runs []run, kerf int, along bool, put func(i, worth, at int)) {
		for _, s := range runs {
			if s.b = min(s.b, b.clip); s.b <= s.a {
				continue
			}
			if len(s.soft) > 0 {
				f.graded(t, index, s, kerf, along)
				end := s.a + s.tail()
				for _, q := range f.gradedPath {
					i := index[q.pick]
					if n := use(i); n > 0 {
						put(i, n, s.a+q.at)
					}
					end = max(end, s.a+q.at+f.side(i, along)+kerf)
				}
				if s.a = end; s.a >= s.b {
					continue
				}
			}
			counts := make([]int, len(index))
			t.Take(s.b-s.a+kerf, counts)
			for k, n := range counts {
				if n > copies(index[k]) {
					f.items = f.items[:0]
					for _, i := range index {
						f.items = append(f.items, knapsack.Item{Size: f.side(i, along) + kerf, Limit: copies(i), Value: f.pi[i]})
					}
					clear(counts)
					var again knapsack.Filler = &f.scrap
					if along && f.r.safe > 0 {
						again = &f.scrapTrains
					}
					before := again.Work()
					again.Fill(s.b-s.a+kerf, f.items)
					again.Take(s.b-s.a+kerf, counts)
					f.work += again.Work() - before
					break
				}
			}
			at := s.a
			order := make([]int, 0, len(counts))
			for k, n := range counts {
				for range n {
					order = append(order, index[k])
				}
			}
			sort.SliceStable(order, func(a, b int) bool { return f.side(order[a], along) > f.side(order[b], along) })
			for _, i := range order {
				if n := use(i); n > 0 {
					put(i, n, at)
					at += f.side(i, along) + kerf
				}
			}
		}
	}
	// On a clear board a section (strip) begins where the one before ends, even
	// where that holds less than it was valued at.
	r, x := f.r, &b.along
	if b.down {
		x = &b.across
	}
	next := x.begin
	for _, q := range b.path {
		at, size := q.at, 0
		if len(x.stops) == 0 {
			at = next
		}
		runs := b.lists[x.runsAt(q.pick, q.at)]
		if b.down {
			n := c.widTable(x.sizes[q.pick])
			line(c.along[n], c.alongI[n], runs, r.kc, true, func(i, worth, along int) {
				parts = append(parts, pattern.Part{Item: r.kinds[i].row, N: worth, Seg: 1 | i<<1, X: int64(along), Y: int64(at)})
				size = max(size, r.kinds[i].w)
			})
		} else {
			n := c.lenTable(x.sizes[q.pick])
			line(&c.across[n], c.acrossI[n], runs, r.kr, false, func(i, worth, across int) {
				parts = append(parts, pattern.Part{Item: r.kinds[i].row, N: worth, Seg: i << 1, X: int64(at), Y: int64(across)})
				size = max(size, r.kinds[i].l, r.safe)
			})
		}
		if size > 0 {
			next = at + size + x.kerf
		}
	}
	if len(parts) == 0 {
		return nil
	}
	return pattern.NewColumn(g, parts)
}

// side is a blank's size along or across.
func (f *flat) side(i int, along bool) int {
	if along {
		return f.r.kinds[i].l
	}
	return f.r.kinds[i].w
}
