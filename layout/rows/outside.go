package rows

import (
	"cmp"
	"slices"

	"pilewright/plan/measure"
)

// orderNodes bounds the search for an order: rows put beside others. For each pair
// of outer rows it first takes the others as they lie, for calmNodes.
const (
	orderNodes = 20_000
	calmNodes  = 200
)

// outside brings good pieces to the two outer rows by putting the rows in another
// order and their pieces too, as long as every rule still holds. Which pieces are
// cut, and so all the earlier aims, stay as they are. Pairs of outer rows are tried
// from the best on; of each it is found out whether the others can lie between.
func (c *composer) outside(p Panel) Panel {
	o := c.orderOf(p)
	p.OuterBest = true
	for _, ends := range o.pairs() {
		if ends.plain >= o.plain(0)+o.plain(len(o.rows)-1) {
			break
		}
		if c.ctx.Err() != nil {
			p.OuterBest = false
			break
		}
		path := o.between(ends)
		if path == nil {
			p.OuterBest = p.OuterBest && o.nodes > 0
			continue
		}
		a := make([][]Placed, len(path))
		for k, w := range path {
			a[k] = o.ways[w].places
		}
		if q := measureUp(c.job, a); len(Check(*c.job, q)) == 0 && !lessWood(&p, &q) {
			q.OuterBest = p.OuterBest
			return q
		}
		p.OuterBest = false
	}
	return p
}

// rowOrder is the search for an order of rows with given ones outside. It goes from
// one end to the other, at first as the rows lie, then rows that lie beside few
// others first, and remembers which sets of rows behind a last one came to nothing.
type rowOrder struct {
	rows   []int64 // how plain each row is
	ways   []rowWay
	beside [][]bool // of ways
	few    []int    // ways beside each way
	fixed  []bool   // the row has a locked piece and keeps its place
	nodes  int      // left
	stop   int      // of nodes, here the search is given up
	failed map[orderState]bool
}

// rowWay is a row with its pieces in one order.
type rowWay struct {
	row    int
	pieces []cutPiece
	places []Placed
}

type orderState struct {
	used string
	last int
}

type outerPair struct {
	first, last int
	plain       int64
}

func (o *rowOrder) plain(row int) int64 { return o.rows[row] }

func (c *composer) orderOf(p Panel) *rowOrder {
	o := &rowOrder{nodes: orderNodes, fixed: make([]bool, len(p.Rows))}
	grade, strip := map[string]int{}, map[string]int{}
	top := 0
	for i, s := range c.job.Strips {
		grade[s.ID], strip[s.ID] = s.Grade, i
		if i == 0 || s.Grade > top {
			top = s.Grade
		}
	}
	for _, l := range c.job.Locks {
		if l.Row <= len(o.fixed) {
			o.fixed[l.Row-1] = true
		}
	}
	for r, places := range p.Arrangement() {
		o.rows = append(o.rows, plainness(places, grade, top))
		orders := rowWays(places, strip, c.s.unit)
		if o.fixed[r] {
			orders = orders[:1]
		}
		for _, w := range orders {
			w.row = r
			if c.s.evenEnough(w.pieces) {
				o.ways = append(o.ways, w)
			}
		}
	}
	d := &searcher{scaled: c.s}
	o.few = make([]int, len(o.ways))
	for a, v := range o.ways {
		o.beside = append(o.beside, make([]bool, len(o.ways)))
		for b, w := range o.ways {
			if v.row != w.row && d.meets(v.pieces, w.pieces) {
				o.beside[a][b] = true
				o.few[a]++
			}
		}
	}
	return o
}

// plainness is the length of a row's pieces times what their grade lacks of the best
// grade there is.
func plainness(row []Placed, grade map[string]int, top int) (sum int64) {
	for _, q := range row {
		sum += int64(q.Length/measure.Micrometre) * int64(top-grade[q.Strip])
	}
	return sum
}

// rowWays is a row with its pieces in every order, as they are first; of many pieces
// only as they are and end for end.
func rowWays(places []Placed, strip map[string]int, unit int64) []rowWay {
	var out []rowWay
	add := func(q []Placed) {
		w := rowWay{places: slices.Clone(q)}
		for _, x := range q {
			w.pieces = append(w.pieces, cutPiece{strip[x.Strip], int64(x.Length) / unit})
		}
		if !slices.ContainsFunc(out, func(v rowWay) bool { return slices.Equal(v.places, w.places) }) {
			out = append(out, w)
		}
	}
	add(places)
	if len(places) > 3 {
		back := slices.Clone(places)
		slices.Reverse(back)
		add(back)
		return out
	}
	arrange(places, add)
	return out
}

// evenEnough is true when pieces end to end keep the step rule.
func (s *scaled) evenEnough(row []cutPiece) bool {
	for k := 1; k < len(row); k++ {
		if step := s.thick[row[k].strip] - s.thick[row[k-1].strip]; step > s.step || -step > s.step {
			return false
		}
	}
	return true
}

// pairs lists the rows that may lie outside, the best first.
func (o *rowOrder) pairs() []outerPair {
	var out []outerPair
	n := len(o.rows)
	locked := slices.Contains(o.fixed, true)
	for a := range n {
		for b := range n {
			// Without locks an order read backwards is an order.
			if n == 1 || a == b || b < a && !locked || o.mayNot(a, 0) || o.mayNot(b, n-1) {
				continue
			}
			out = append(out, outerPair{a, b, o.rows[a] + o.rows[b]})
		}
	}
	slices.SortStableFunc(out, func(a, b outerPair) int { return cmp.Compare(a.plain, b.plain) })
	return out
}

// mayNot is true when a locked row keeps the row from its place.
func (o *rowOrder) mayNot(row, place int) bool {
	return row != place && (o.fixed[row] || o.fixed[place])
}

// between gives ways of all rows in an order with the pair outside; nil where there
// is none, or where the nodes ran out first.
func (o *rowOrder) between(ends outerPair) []int {
	o.failed = map[orderState]bool{}
	for _, stop := range [2]int{max(o.nodes-calmNodes, 0), 0} {
		o.stop = stop
		for w, v := range o.ways {
			if v.row != ends.first {
				continue
			}
			used := make([]byte, len(o.rows))
			used[ends.first] = 1
			if path := o.from([]int{w}, used, ends.last); path != nil {
				return path
			}
		}
		if o.nodes > stop {
			return nil
		}
	}
	return nil
}

func (o *rowOrder) from(path []int, used []byte, last int) []int {
	if len(path) == len(o.rows) {
		return path
	}
	if o.nodes--; o.nodes <= o.stop {
		return nil
	}
	at := path[len(path)-1]
	id := orderState{string(used), at}
	if o.failed[id] || o.stranded(at, used) {
		return nil
	}
	var next []int
	for w, v := range o.ways {
		if o.beside[at][w] && used[v.row] == 0 && (v.row == last) == (len(path) == len(o.rows)-1) && !o.mayNot(v.row, len(path)) {
			next = append(next, w)
		}
	}
	if o.stop == 0 {
		slices.SortStableFunc(next, func(a, b int) int { return cmp.Compare(o.few[a], o.few[b]) })
	}
	for _, w := range next {
		used[o.ways[w].row] = 1
		if found := o.from(append(path, w), used, last); found != nil {
			return found
		}
		used[o.ways[w].row] = 0
	}
	if o.nodes > o.stop {
		o.failed[id] = true
	}
	return nil
}

// stranded is true when some row left can lie beside none of the others left.
func (o *rowOrder) stranded(at int, used []byte) bool {
	reached := make([]bool, len(o.rows))
	for w, v := range o.ways {
		if used[v.row] == 1 || reached[v.row] {
			continue
		}
		reached[v.row] = o.beside[at][w]
		for x, y := range o.ways {
			if reached[v.row] {
				break
			}
			reached[v.row] = used[y.row] == 0 && o.beside[w][x]
		}
	}
	for r, u := range used {
		if u == 0 && !reached[r] {
			return true
		}
	}
	return false
}
