package pattern

import (
	"container/heap"
	"math"
	"math/bits"
	"sort"
)

// A selection answers which boards to open, not what to cut from them. Under any
// prices of items a board is worth at most the value of its best pattern, so
// the boards a plan opens are together worth at least what is demanded. Each
// vector of prices is one such condition; the cheapest boards that meet all
// conditions known bound every plan, and are found by branch and bound that
// prices no board. Where the boards chosen meet all, a linear program that has
// them for nothing either finds prices they do not meet, which is a condition
// more, or says that the bound ends here (Benders, Numerische Mathematik 4
// (1962) 238-252).
type selection struct {
	ms    *master
	clk   *clock
	ub    int64
	units []int // group of a board
	first []int // first unit of a group
	conds []condition
	open  choices
	cur   *choice
	end   int64 // cost of boards that no condition excludes
	nodes int
	seq   int
}

// condition says that the units opened are worth at least need.
type condition struct {
	need  int64
	value []int64 // by unit
	order []int   // units worth anything, the cheapest for their worth first
	dual  Dual
}

// units is a set of boards.
type units [maxUnits / 64]uint64

// maxUnits is the most boards a selection chooses among, maxConditions the most
// conditions it keeps, maxChoices the most cases it holds open.
const (
	maxUnits      = 256
	maxConditions = 500
	maxChoices    = 200_000
)

func (s *units) has(u int) bool { return s[u>>6]>>(u&63)&1 != 0 }
func (s *units) put(u int)      { s[u>>6] |= 1 << (u & 63) }

// choice is a case: boards opened and boards left shut.
type choice struct {
	open, shut units
	cost       int64 // of the boards opened
	lb         int64
	seen       int // conditions looked at
	at         int // the unit that is opened in part under the hardest of them, -1 none
	depth      int
	seq        int
}

// choices is a heap, the least bound first.
type choices []*choice

func (h choices) Len() int { return len(h) }
func (h choices) Less(a, b int) bool {
	if h[a].lb != h[b].lb {
		return h[a].lb < h[b].lb
	}
	if h[a].depth != h[b].depth {
		return h[a].depth > h[b].depth
	}
	return h[a].seq < h[b].seq
}
func (h choices) Swap(a, b int) { h[a], h[b] = h[b], h[a] }
func (h *choices) Push(x any)   { *h = append(*h, x.(*choice)) }
func (h *choices) Pop() any {
	o := *h
	n := o[len(o)-1]
	*h = o[:len(o)-1]
	return n
}

// newSelection begins with the prices the master ended with; nil where a choice of
// boards says too little: budgets, blanks that may be left out, leftovers that
// count, too many boards.
func newSelection(ms *master, ub int64) *selection {
	if ms.nb > 0 || ms.m.Short != nil || ms.m.Rest != nil || ms.best.Pi == nil {
		return nil
	}
	c := &selection{ms: ms, clk: ms.clk, ub: ub, end: math.MaxInt64, first: make([]int, len(ms.m.Groups))}
	for _, g := range ms.groups {
		c.first[g] = len(c.units)
		for range min(ms.supply[g], ms.pieces()) {
			if c.units = append(c.units, g); len(c.units) > maxUnits {
				return nil
			}
		}
	}
	c.learn()
	n := &choice{}
	c.look(n)
	n.lb = max(n.lb, ms.lb)
	c.open = choices{n}
	return c
}

// learn makes the master's prices a condition.
func (c *selection) learn() {
	ms := c.ms
	k := condition{value: make([]int64, len(c.units)), dual: ms.best}
	for _, i := range ms.items {
		k.need += ms.best.Pi[i] * int64(ms.demand[i])
	}
	ratio := make([]float64, len(c.units))
	for u, g := range c.units {
		if k.value[u] = ms.bestV[g]; k.value[u] > 0 {
			k.order = append(k.order, u)
			ratio[u] = float64(ms.m.Groups[g].Cost) / float64(k.value[u])
		}
	}
	sort.SliceStable(k.order, func(a, b int) bool { return ratio[k.order[a]] < ratio[k.order[b]] })
	c.conds = append(c.conds, k)
}

// look raises a case's bound by the conditions it has not seen.
func (c *selection) look(n *choice) {
	hardest, work := int64(-1), int64(0)
	if n.seen == 0 {
		n.at = -1
	} else if n.at >= 0 {
		hardest = n.lb
	}
	for ; n.seen < len(c.conds); n.seen++ {
		k := &c.conds[n.seen]
		left, cost, at := k.need, n.cost, -1
		for w, set := range n.open {
			for ; set != 0; set &= set - 1 {
				left -= k.value[w<<6+bits.TrailingZeros64(set)]
			}
		}
		for _, u := range k.order {
			if left <= 0 {
				break
			}
			work += 2
			if n.open.has(u) || n.shut.has(u) {
				continue
			}
			at = u
			price, v := c.ms.m.Groups[c.units[u]].Cost, k.value[u]
			if v <= left {
				left -= v
				cost += price
				continue
			}
			hi, lo := bits.Mul64(uint64(price), uint64(left))
			q, r := bits.Div64(hi, lo, uint64(v))
			if r > 0 {
				q++
			}
			cost += int64(q)
			left = 0
		}
		if left > 0 { // not with all boards
			cost = math.MaxInt64 / 2
		}
		if at >= 0 && cost > hardest {
			hardest, n.at = cost, at
		}
		n.lb = max(n.lb, ceilTo(cost, 1, c.ms.step))
	}
	c.clk.work += work
}

func (c *selection) done() bool {
	return c.cur == nil && (len(c.open) == 0 || c.open[0].lb >= min(c.ub, c.end))
}

// full says that the search holds all it may.
func (c *selection) full() bool { return len(c.open) >= maxChoices }

// bound is what no plan can undercut.
func (c *selection) bound() int64 {
	b := min(c.ub, c.end)
	if c.cur != nil {
		b = min(b, c.cur.lb)
	}
	if len(c.open) > 0 {
		b = min(b, c.open[0].lb)
	}
	return b
}

// relax solves the linear program that has the opened boards for nothing.
func (c *selection) relax(n *choice) {
	if len(c.conds) >= maxConditions {
		return
	}
	ms := c.ms
	st := newState(ms.supply)
	for u, g := range c.units {
		if n.open.has(u) && ms.supply[g] == 1 { // of boards alike all are paid for
			st.least[g] = 1
		}
	}
	ms.enter(st)
	ms.generate(c.ub, 200, false, false)
	if ms.best.Pi != nil {
		c.learn()
	}
}

// pop is the case of least bound; nil when there is none below what is known.
func (c *selection) pop() *choice {
	for !c.done() {
		n := heap.Pop(&c.open).(*choice)
		if n.seen == len(c.conds) {
			return n
		}
		before := n.lb
		if c.look(n); n.lb == before {
			return n
		}
		c.push(n)
	}
	return nil
}

// step treats one case.
func (c *selection) step() {
	n := c.pop()
	if n == nil {
		return
	}
	c.cur = n
	defer func() { c.cur = nil }()
	c.nodes++
	if n.at < 0 || n.depth < 4 || c.nodes%50 == 0 {
		c.relax(n)
		if c.ms.clk.cancelled() {
			c.push(n)
			return
		}
		before := n.lb
		c.look(n)
		if n.lb > before {
			c.push(n)
			return
		}
		if n.at < 0 { // nothing excludes these boards
			c.end = min(c.end, n.lb)
			return
		}
	}
	c.branch(n)
}

// branch makes the cases with and without one more board of a group.
func (c *selection) branch(n *choice) {
	g := c.units[n.at]
	u := c.first[g]
	for n.open.has(u) {
		u++
	}
	with, without := *n, *n
	with.open.put(u)
	with.cost += c.ms.m.Groups[g].Cost
	for ; u < len(c.units) && c.units[u] == g; u++ {
		without.shut.put(u)
	}
	for _, k := range []*choice{&with, &without} {
		k.depth, k.seen = n.depth+1, 0
		c.seq++
		k.seq = c.seq
		c.look(k)
		c.push(k)
	}
}

func (c *selection) push(n *choice) {
	if n.lb < min(c.ub, c.end) {
		heap.Push(&c.open, n)
	}
}

// proof is the conditions, which a checker may search on its own.
func (c *selection) proof() *ProofNode {
	p := &ProofNode{Dual: &c.conds[0].dual}
	for k := range c.conds {
		p.Selection = append(p.Selection, &c.conds[k].dual)
	}
	return p
}
