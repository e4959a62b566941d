package pattern

import (
	"container/heap"
	"math"
	"math/rand/v2"
)

// Decision is one branch or one forced choice of the search.
type Decision struct {
	Kind  Kind
	Group int
	N     int // Close: at most N boards; Open: at least N
	Seg   int
	Item  int
}

// Kind says what a decision is about.
type Kind int

// The kinds of decision; each branch pairs a Most with the Least next above.
const (
	Close   Kind = iota // at most N boards of the group
	Open                // at least N boards of the group (their cost is spent)
	AtMost              // at most N of Item on Seg of the one board of Group
	AtLeast             // at least N
)

// ProofNode is one node of a stored search. Dual bounds everything below it;
// Fixed decisions follow from Dual and the plan's cost; then either nothing more
// (a leaf), two branches, or LeftNode alone, which goes on without a decision.
// Under the prices of each of Selection the boards opened are worth at least what
// is demanded; the cheapest boards that meet this for all of them are a bound.
type ProofNode struct {
	Dual        *Dual
	Selection   []*Dual
	Fixed       []Decision
	Left, Right *Decision
	LeftNode    *ProofNode
	RightNode   *ProofNode
}

type node struct {
	st    *state
	lb    int64
	depth int
	seq   int
	proof *ProofNode
}

type nodeHeap []*node

func (h nodeHeap) Len() int { return len(h) }
func (h nodeHeap) Less(a, b int) bool {
	if h[a].lb != h[b].lb {
		return h[a].lb < h[b].lb
	}
	if h[a].depth != h[b].depth {
		return h[a].depth > h[b].depth
	}
	return h[a].seq < h[b].seq
}
func (h nodeHeap) Swap(a, b int) { h[a], h[b] = h[b], h[a] }
func (h *nodeHeap) Push(x any)   { *h = append(*h, x.(*node)) }
func (h *nodeHeap) Pop() any {
	o := *h
	n := o[len(o)-1]
	*h = o[:len(o)-1]
	return n
}

// tree is branch and price: on the number of boards of a group first, then on
// counts of an item on a segment of a board that is open.
type tree struct {
	ms             *master
	ub             int64
	plan           *Plan
	open           nodeHeap
	next           *node // the plunge goes on here
	cur            *node // being treated
	nodes          int
	seq            int
	stuck          int64 // least bound of nodes that could not be split
	r              *rand.Rand
	heuristicEvery int
	proof          *ProofNode
	stored         int
	maxStored      int
}

func newTree(ms *master, ub int64, r *rand.Rand) *tree {
	t := &tree{ms: ms, ub: ub, r: r, stuck: math.MaxInt64, heuristicEvery: 10, proof: &ProofNode{}, maxStored: 2000}
	t.next = &node{st: ms.st, lb: math.MinInt64, proof: t.proof}
	if ms.best.Pi != nil { // bounded before
		d := ms.best
		t.proof.Dual, t.next.lb = &d, ms.lb
	}
	return t
}

func (t *tree) done() bool {
	if t.next == nil && len(t.open) > 0 && t.open[0].lb >= t.ub {
		t.open = nil
	}
	return t.next == nil && len(t.open) == 0
}

// bound is what no plan can undercut, given the nodes still open.
func (t *tree) bound() int64 {
	b := min(t.ub, t.stuck)
	if t.next != nil {
		b = min(b, t.next.lb)
	}
	if t.cur != nil {
		b = min(b, t.cur.lb)
	}
	if len(t.open) > 0 {
		b = min(b, t.open[0].lb)
	}
	return b
}

func (s *state) with(d Decision) *state {
	n := &state{closed: append([]bool(nil), s.closed...), most: append([]int(nil), s.most...), least: append([]int(nil), s.least...), bounds: s.bounds, pairs: s.pairs}
	switch d.Kind {
	case Close:
		n.most[d.Group] = min(n.most[d.Group], d.N)
		n.closed[d.Group] = n.most[d.Group] == 0
	case Open:
		n.least[d.Group] = max(n.least[d.Group], d.N)
	default:
		n.bounds = map[int][]CountBound{}
		for g, b := range s.bounds {
			n.bounds[g] = b
		}
		bs := append([]CountBound(nil), s.bounds[d.Group]...)
		at := -1
		for k, b := range bs {
			if b.Seg == d.Seg && b.Item == d.Item {
				at = k
			}
		}
		if at < 0 {
			bs = append(bs, CountBound{Seg: d.Seg, Item: d.Item, Lo: 0, Hi: math.MaxInt32})
			at = len(bs) - 1
		}
		if d.Kind == AtMost {
			bs[at].Hi = min(bs[at].Hi, d.N)
		} else {
			bs[at].Lo = max(bs[at].Lo, d.N)
		}
		n.bounds[d.Group] = bs
	}
	return n
}

// step treats one node.
func (t *tree) step() {
	nd := t.next
	t.next = nil
	for nd == nil {
		if len(t.open) == 0 {
			return
		}
		nd = heap.Pop(&t.open).(*node)
	}
	if nd.lb >= t.ub {
		return
	}
	t.cur = nd
	defer func() { t.cur = nil }()
	t.nodes++
	ms := t.ms
	ms.enter(nd.st)
	ms.generate(t.ub, 200, false, false)
	if ms.clk.cancelled() {
		t.next = nd
		return
	}
	better := nd.proof.Dual == nil || ms.lb >= nd.lb
	nd.lb = max(nd.lb, ms.lb)
	switch {
	case t.stored >= t.maxStored:
		t.proof = nil
	case better && ms.best.Pi != nil:
		d := ms.best
		nd.proof.Dual = &d
		t.stored++
	}
	if nd.lb >= t.ub {
		return
	}
	if t.heuristicEvery > 0 && t.nodes%t.heuristicEvery == t.heuristicEvery/2 {
		c := ms.clone(ms.clk, ms.oracle)
		t.take(c.dive(t.r, 0.1, t.ub))
		t.adopt(c)
		if nd.lb >= t.ub || ms.clk.cancelled() {
			if nd.lb < t.ub {
				t.next = nd
			}
			return
		}
	}
	st := nd.st
	if better {
		st = t.fix(nd)
	}
	idx, x := ms.values()
	if left, right, ok := t.choose(st, idx, x); ok {
		t.branch(nd, st, left, right, t.up(left, idx, x))
		return
	}
	if p := t.integral(idx, x); p != nil {
		t.take(p)
		if nd.lb >= t.ub {
			return
		}
	}
	if left, right, ok := t.overused(st); ok && (ms.conv || ms.lb >= ms.ceilLP(ms.lp.Objective())) {
		t.branch(nd, st, left, right, true)
		return
	}
	if len(nd.proof.Fixed) > 0 {
		// What was decided may be enough; look again.
		t.next = &node{st: st, lb: nd.lb, depth: nd.depth + 1, proof: &ProofNode{}}
		nd.proof.LeftNode = t.next.proof
		return
	}
	// What can't be split may still hold a plan.
	if t.heuristicEvery > 0 {
		t.take(ms.clone(ms.clk, ms.oracle).dive(t.r, 0.1, t.ub))
	}
	t.stuck = min(t.stuck, nd.lb)
}

// branch makes the two cases of a node and goes on with the one given.
func (t *tree) branch(nd *node, st *state, left, right Decision, up bool) {
	a := &node{st: st.with(left), lb: nd.lb, depth: nd.depth + 1, proof: &ProofNode{}}
	b := &node{st: st.with(right), lb: nd.lb, depth: nd.depth + 1, proof: &ProofNode{}}
	nd.proof.Left, nd.proof.LeftNode = &left, a.proof
	nd.proof.Right, nd.proof.RightNode = &right, b.proof
	t.seq += 2
	a.seq, b.seq = t.seq, t.seq+1
	first, second := a, b
	if up {
		first, second = b, a
	}
	t.next = first
	heap.Push(&t.open, second)
	// Plunge only while the bound is near the best open one.
	if t.open[0].lb < nd.lb && nd.depth%12 == 11 {
		heap.Push(&t.open, first)
		t.next = nil
	}
}

// overused finds a decision where the LP is whole but its bound is not, since
// boards of several segments are valued segment by segment.
func (t *tree) overused(st *state) (left, right Decision, ok bool) {
	ms := t.ms
	c, isLine := ms.oracle.(Counter)
	if !isLine {
		return left, right, false
	}
	d := ms.dual(ms.lp.Duals())
	for _, g := range ms.groups {
		if ms.supply[g] != 1 || st.closed[g] || !c.Line(g) {
			continue
		}
		seg, item, n, found := c.Overuse(g, st.bounds[g], d.Pi, ms.demand)
		if !found {
			continue
		}
		if st.least[g] == 0 {
			return Decision{Kind: Close, Group: g}, Decision{Kind: Open, Group: g, N: 1}, true
		}
		return Decision{Kind: AtMost, Group: g, Seg: seg, Item: item, N: n - 1},
			Decision{Kind: AtLeast, Group: g, Seg: seg, Item: item, N: n}, true
	}
	return left, right, false
}

func (t *tree) take(p *Plan) {
	if p != nil && p.Cost < t.ub && p.keeps(t.ms.m, t.ms.demand, t.ms.supply) {
		t.plan, t.ub = p, p.Cost
	}
}

// adopt takes over the columns a clone found.
func (t *tree) adopt(c *master) {
	for _, col := range c.pool {
		t.ms.add(col)
	}
}

// fix closes and opens boards that the bound decides on its own.
func (t *tree) fix(nd *node) *state {
	ms, st := t.ms, nd.st
	if ms.best.Pi == nil {
		return st
	}
	base := ms.lagrange(&ms.best, ms.bestV)
	var fixed []Decision
	for _, g := range ms.groups {
		if st.closed[g] || st.least[g] > 0 || st.most[g] == 0 || ms.bestV[g] < 0 {
			continue
		}
		r := ms.groupCost(&ms.best, g) - ms.bestV[g]
		switch {
		case r > 0 && ms.round(base+r) >= t.ub:
			fixed = append(fixed, Decision{Kind: Close, Group: g})
		case r < 0 && ms.supply[g] == 1 && ms.round(base-r) >= t.ub:
			fixed = append(fixed, Decision{Kind: Open, Group: g, N: 1})
		}
	}
	for _, d := range fixed {
		st = st.with(d)
	}
	nd.proof.Fixed = fixed
	return st
}

// choose finds a decision on which the LP solution is split.
func (t *tree) choose(st *state, idx []int, x []float64) (left, right Decision, ok bool) {
	ms := t.ms
	use := make([]float64, len(ms.m.Groups))
	for n, k := range idx {
		use[ms.pool[k].Group] += x[n]
	}
	best, at := 1e-4, -1
	for _, g := range ms.groups {
		f := use[g] - math.Floor(use[g])
		if math.Min(f, 1-f) < 1e-4 || ms.supply[g] == 1 && st.least[g] > 0 {
			continue
		}
		s := math.Min(f, 1-f) * (1 + float64(ms.m.Groups[g].Cost)/ms.norm)
		if s > best {
			best, at = s, g
		}
	}
	if at >= 0 {
		n := int(math.Floor(use[at]))
		return Decision{Kind: Close, Group: at, N: n}, Decision{Kind: Open, Group: at, N: n + 1}, true
	}
	c, isLine := ms.oracle.(Counter)
	if !isLine {
		return left, right, false
	}
	type slot struct{ g, seg, item int }
	count := map[slot]float64{}
	var slots []slot
	for n, k := range idx {
		col := ms.pool[k]
		if ms.supply[col.Group] != 1 || !c.Line(col.Group) {
			continue
		}
		for _, p := range col.Parts {
			s := slot{col.Group, p.Seg, p.Item}
			if _, ok := count[s]; !ok {
				slots = append(slots, s)
			}
			count[s] += x[n] * float64(p.N)
		}
	}
	var pick slot
	best = 1e-4
	for _, s := range slots {
		f := count[s] - math.Floor(count[s])
		v := math.Min(f, 1-f) * (0.2 + 1e-3*float64(ms.best.Pi[s.item]>>max(0, ms.best.Scale)))
		if math.Min(f, 1-f) > 1e-4 && v > best {
			best, pick, ok = v, s, true
		}
	}
	if !ok {
		for _, s := range slots {
			f := count[s] - math.Floor(count[s])
			if v := math.Min(f, 1-f); v > best {
				best, pick, ok = v, s, true
			}
		}
	}
	if !ok {
		// Whole on average only: patterns of one board that differ in a count.
		for n, k := range idx {
			col := ms.pool[k]
			if ms.supply[col.Group] != 1 || !c.Line(col.Group) || x[n] > 1-1e-4 {
				continue
			}
			for _, p := range col.Parts {
				if s := (slot{col.Group, p.Seg, p.Item}); !ok && float64(p.N) > count[s]+1e-4 {
					pick, ok = s, true
					count[s] += 1e-6
				}
			}
		}
	}
	if !ok {
		return left, right, false
	}
	// A board must be open before its counts are bounded, or both branches
	// would force it open.
	if st.least[pick.g] == 0 {
		return Decision{Kind: Close, Group: pick.g}, Decision{Kind: Open, Group: pick.g, N: 1}, true
	}
	n := int(math.Floor(count[pick]))
	return Decision{Kind: AtMost, Group: pick.g, Seg: pick.seg, Item: pick.item, N: n},
		Decision{Kind: AtLeast, Group: pick.g, Seg: pick.seg, Item: pick.item, N: n + 1}, true
}

// up reports whether the second branch is nearer to the LP solution.
func (t *tree) up(d Decision, idx []int, x []float64) bool {
	v := 0.0
	for n, k := range idx {
		c := t.ms.pool[k]
		if c.Group != d.Group {
			continue
		}
		if d.Kind == Close {
			v += x[n]
			continue
		}
		for _, p := range c.Parts {
			if p.Seg == d.Seg && p.Item == d.Item {
				v += x[n] * float64(p.N)
			}
		}
	}
	return v-float64(d.N) > 0.45
}

// integral reads a plan off an LP solution that is whole.
func (t *tree) integral(idx []int, x []float64) *Plan {
	p := &Plan{}
	left := append([]int(nil), t.ms.demand...)
	for n, k := range idx {
		w := math.Round(x[n])
		if math.Abs(w-x[n]) > 1e-3 {
			return nil
		}
		for range int(w) {
			if c := t.ms.pool[k].within(left); c != nil {
				for q, i := range c.Items {
					left[i] -= c.N[q]
				}
				p.Uses = append(p.Uses, Use{c, 1})
			}
		}
	}
	p.Short = left
	p.price(t.ms.m)
	return p
}
