package pattern

import (
	"container/heap"
	"math"
	"math/bits"
)

// pairs are decisions on pairs of pieces: cut from one board, or never. With
// many boards alike there is nothing to decide about one board, but always
// about two pieces (Ryan & Foster 1981, "An integer programming approach to
// scheduling"; Vance et al. 1994 for cutting).
type pairs struct {
	root []int32    // representative of the pieces cut together
	size []int32    // pieces of a representative
	foe  [][]uint64 // by representative: those never cut with it
}

func newPairs(n int) *pairs {
	p := &pairs{root: make([]int32, n), size: make([]int32, n), foe: make([][]uint64, n)}
	for i := range n {
		p.root[i], p.size[i] = int32(i), 1
	}
	return p
}

func (p *pairs) copied() *pairs {
	c := &pairs{root: append([]int32(nil), p.root...), size: append([]int32(nil), p.size...), foe: make([][]uint64, len(p.foe))}
	for i, f := range p.foe {
		if f != nil {
			c.foe[i] = append([]uint64(nil), f...)
		}
	}
	return c
}

func (p *pairs) apart(a, b int32) bool {
	return p.foe[a] != nil && p.foe[a][b>>6]&(1<<(b&63)) != 0
}

func (p *pairs) part(a, b int32) {
	for range 2 {
		if p.foe[a] == nil {
			p.foe[a] = make([]uint64, (len(p.root)+63)/64)
		}
		p.foe[a][b>>6] |= 1 << (b & 63)
		a, b = b, a
	}
}

// join is the pairs with a and b, both representatives, cut together.
func (p *pairs) join(a, b int32) {
	for i, r := range p.root {
		if r == b {
			p.root[i] = a
		}
	}
	p.size[a] += p.size[b]
	for w, set := range p.foe[b] {
		for ; set != 0; set &= set - 1 {
			p.part(a, int32(w*64+bits.TrailingZeros64(set)))
		}
	}
}

// partAlike parts a and b, and with them all that are like a from all that are
// like b: a plan with such a pair together is, the names changed, one with a
// and b together, which is the other case.
func (p *pairs) partAlike(a, b int32, size []int) {
	total := make([]int, len(p.root))
	for i, r := range p.root {
		total[r] += size[i]
	}
	like := func(a int32) []int32 {
		out := []int32{a}
		for r := range p.root {
			if s := int32(r); s != a && p.root[s] == s && total[s] == total[a] && p.sameFoes(a, s) {
				out = append(out, s)
			}
		}
		return out
	}
	as, bs := like(a), like(b)
	for _, a := range as {
		for _, b := range bs {
			if a != b {
				p.part(a, b)
			}
		}
	}
}

// sameFoes reports whether a and b, but for each other, have the same foes.
func (p *pairs) sameFoes(a, b int32) bool {
	for w := range (len(p.root) + 63) / 64 {
		var x, y uint64
		if p.foe[a] != nil {
			x = p.foe[a][w]
		}
		if p.foe[b] != nil {
			y = p.foe[b][w]
		}
		if int(a>>6) == w {
			y &^= 1 << (a & 63)
		}
		if int(b>>6) == w {
			x &^= 1 << (b & 63)
		}
		if x != y {
			return false
		}
	}
	return true
}

// breaks reports whether a column goes against the decisions.
func (p *pairs) breaks(c *Column) bool {
	for k, i := range c.Items {
		r := p.root[i]
		n := int32(0)
		for q, j := range c.Items {
			s := p.root[j]
			if s == r {
				n++
			} else if q > k && p.apart(r, s) {
				return true
			}
		}
		if n != p.size[r] {
			return true
		}
	}
	return false
}

// pairOracle prices boards of one segment each for pieces that are all
// different: a table over the groups of pieces, searched from its end where the
// best filling breaks a decision.
type pairOracle struct {
	size  []int
	caps  []int // by group
	j     *pairs
	table []int64 // row k: best of the first k sets, by capacity
	width int
	sets  []pieceSet
	pick  []int32 // sets chosen so far
	best  []int32
	top   int64
	nodes int
	work  int64
	limit []int
	found map[int][]int32 // best sets by capacity
}

type pieceSet struct {
	root  int32
	size  int
	value int64
}

// pairCells bounds the table.
const pairCells = 6_000_000

// Price implements Oracle.
func (o *pairOracle) Price(pi []int64, limit []int, want []bool, value []int64) {
	o.limit = limit
	top := 0
	for g, c := range o.caps {
		if want[g] {
			top = max(top, c)
		}
	}
	o.fill(top, pi, limit)
	clear(o.found)
	worth := map[int]int64{}
	for g, c := range o.caps {
		if !want[g] {
			continue
		}
		v, ok := worth[c]
		if !ok {
			o.top, o.nodes, o.pick, o.best = 0, 0, o.pick[:0], o.best[:0]
			o.search(len(o.sets), c, 0)
			v = o.top
			if o.nodes > pairNodes { // not searched through: the table's value is a bound
				v = o.table[len(o.sets)*o.width+c]
			}
			o.work += int64(o.nodes) * 8
			o.found[c] = append([]int32(nil), o.best...)
			worth[c] = v
		}
		value[g] = v
	}
}

const pairNodes = 30_000

func (o *pairOracle) fill(top int, pi []int64, limit []int) {
	o.sets = o.sets[:0]
	at := make([]int32, len(o.size))
	for i, s := range o.size {
		if limit[i] <= 0 {
			continue
		}
		r := o.j.root[i]
		if at[r] == 0 {
			o.sets = append(o.sets, pieceSet{root: r})
			at[r] = int32(len(o.sets))
		}
		y := &o.sets[at[r]-1]
		y.size += s
		y.value += pi[i]
	}
	keep := o.sets[:0]
	for _, y := range o.sets {
		if y.value > 0 && y.size <= top {
			keep = append(keep, y)
		}
	}
	o.sets = keep
	// Small sets first: the search decides the large ones first.
	sortSets(o.sets)
	o.width = top + 1
	if need := (len(o.sets) + 1) * o.width; cap(o.table) < need {
		o.table = make([]int64, need)
	}
	o.table = o.table[:(len(o.sets)+1)*o.width]
	clear(o.table[:o.width])
	for k, y := range o.sets {
		old := o.table[k*o.width : (k+1)*o.width]
		row := o.table[(k+1)*o.width : (k+2)*o.width][:len(old)]
		copy(row[:y.size], old)
		low := old[:len(old)-y.size]
		high, dst := old[y.size:][:len(low)], row[y.size:][:len(low)]
		for c, v := range low {
			dst[c] = max(high[c], v+y.value)
		}
		o.work += int64(o.width)
	}
}

func sortSets(s []pieceSet) {
	for i := 1; i < len(s); i++ {
		for k := i; k > 0 && (s[k].size < s[k-1].size || s[k].size == s[k-1].size && s[k].root < s[k-1].root); k-- {
			s[k], s[k-1] = s[k-1], s[k]
		}
	}
}

// search looks through the first k sets for more than o.top.
func (o *pairOracle) search(k, room int, v int64) {
	for ; k > 0; k-- {
		if v+o.table[k*o.width+room] <= o.top || o.nodes > pairNodes {
			return
		}
		y := &o.sets[k-1]
		if y.size > room || v+y.value+o.table[(k-1)*o.width+room-y.size] <= o.top || o.blocked(y.root) {
			continue
		}
		o.nodes++
		leave := o.table[(k-1)*o.width+room]
		take := y.value + o.table[(k-1)*o.width+room-y.size]
		if leave > take {
			o.search(k-1, room, v)
			if v+take <= o.top {
				return
			}
			o.pick = append(o.pick, int32(k-1))
			o.search(k-1, room-y.size, v+y.value)
			o.pick = o.pick[:len(o.pick)-1]
			return
		}
		o.pick = append(o.pick, int32(k-1))
		o.search(k-1, room-y.size, v+y.value)
		o.pick = o.pick[:len(o.pick)-1]
	}
	if v > o.top {
		o.top = v
		o.best = append(o.best[:0], o.pick...)
	}
}

func (o *pairOracle) blocked(r int32) bool {
	f := o.j.foe[r]
	if f == nil {
		return false
	}
	for _, k := range o.pick {
		if s := o.sets[k].root; f[s>>6]&(1<<(s&63)) != 0 {
			return true
		}
	}
	return false
}

func (o *pairOracle) column(g int, sets []int32) *Column {
	in := make(map[int32]bool, len(sets))
	for _, k := range sets {
		in[o.sets[k].root] = true
	}
	var parts []Part
	for i, r := range o.j.root {
		if in[r] && o.limit[i] > 0 {
			parts = append(parts, Part{Item: i, N: 1})
		}
	}
	if len(parts) == 0 {
		return nil
	}
	return newColumn(g, parts)
}

// Pattern implements Oracle.
func (o *pairOracle) Pattern(g int) *Column { return o.column(g, o.found[o.caps[g]]) }

// More implements Teller.
func (o *pairOracle) More(g int, take func(*Column) bool) {
	most := 40
	for k := len(o.sets) - 1; k >= 0 && most > 0; k-- {
		room := o.caps[g] - o.sets[k].size
		if room < 0 {
			continue
		}
		o.pick = append(o.pick[:0], int32(k))
		good := true
		for q := len(o.sets); q > 0 && good; q-- {
			if o.table[q*o.width+room] == o.table[(q-1)*o.width+room] {
				continue
			}
			if q-1 == k || o.blocked(o.sets[q-1].root) {
				good = false
			}
			o.pick = append(o.pick, int32(q-1))
			room -= o.sets[q-1].size
		}
		if good {
			take(o.column(g, o.pick))
			most--
		}
	}
	o.work += int64(len(o.sets) * len(o.sets))
}

// Work implements Oracle.
func (o *pairOracle) Work() int64 { return o.work }

// Size is a first guess of a piece's worth.
func (o *pairOracle) Size(i int) float64 { return float64(o.size[i]) }

// pairTree is branch and price on pairs of pieces.
type pairTree struct {
	ms    *master
	m     *Model // of items, not of pieces
	item  []int  // of a piece
	ub    int64
	plan  *Plan
	open  pairHeap
	next  *pairNode
	cur   *pairNode
	nodes int
	seq   int
	stuck int64
	low   int64
	rule  int // 0: large pieces first; 1: what the LP is surest of
}

type pairNode struct {
	j           *pairs
	lb          int64
	turns       int // cases taken that the LP liked less
	depth, turn int
}

type pairHeap []*pairNode

func (h pairHeap) Len() int { return len(h) }
func (h pairHeap) Less(a, b int) bool {
	if h[a].turns != h[b].turns {
		return h[a].turns < h[b].turns
	}
	if h[a].depth != h[b].depth {
		return h[a].depth > h[b].depth
	}
	return h[a].turn < h[b].turn
}
func (h pairHeap) Swap(a, b int) { h[a], h[b] = h[b], h[a] }
func (h *pairHeap) Push(x any)   { *h = append(*h, x.(*pairNode)) }
func (h *pairHeap) Pop() any {
	o := *h
	n := o[len(o)-1]
	*h = o[:len(o)-1]
	return n
}

// newPairTree states a model of boards of one segment piece by piece; nil when
// the model is not of that kind or has too many pieces.
func newPairTree(m *Model, root *master, clk *clock, ub int64, rule int) *pairTree {
	o, ok := root.oracle.(*lineOracle)
	n := sum(m.Demand)
	if !ok || o.l.Safe > 0 || n > 420 || len(o.maxCap) > 1 || o.l.Allowed != nil || n*o.maxCap[0] > pairCells {
		return nil
	}
	var caps []int
	for _, segs := range o.l.Segs {
		if len(segs) != 1 {
			return nil
		}
		caps = append(caps, segs[0])
	}
	t := &pairTree{m: m, ub: ub, rule: rule, stuck: math.MaxInt64, low: root.lb}
	var size []int
	first := make([]int, len(m.Demand))
	var short []int64
	for i, d := range m.Demand {
		first[i] = len(t.item)
		for range d {
			t.item = append(t.item, i)
			size = append(size, o.l.Size[i])
			if m.Short != nil {
				short = append(short, m.Short[i])
			}
		}
	}
	demand := make([]int, n)
	for i := range demand {
		demand[i] = 1
	}
	unit := &Model{Demand: demand, Groups: m.Groups, Budgets: m.Budgets, Short: short}
	oracle := &pairOracle{size: size, caps: caps, j: newPairs(n), found: map[int][]int32{}}
	unit.Oracle = func() Oracle { return oracle }
	supply := make([]int, len(m.Groups))
	for g := range supply {
		supply[g] = m.Groups[g].Supply
	}
	t.ms = newMaster(unit, clk, oracle, demand, supply, 7)
	turn := append([]int(nil), first...)
	idx, _ := root.values()
	seed := func(c *Column) {
		var parts []Part
		for k, i := range c.Items {
			for range min(c.N[k], m.Demand[i]) {
				parts = append(parts, Part{Item: turn[i], N: 1})
				if turn[i]++; turn[i] == first[i]+m.Demand[i] {
					turn[i] = first[i]
				}
			}
		}
		t.ms.add(newColumn(c.Group, parts))
	}
	for range 3 {
		for _, k := range idx {
			seed(root.pool[k])
		}
	}
	for _, c := range root.pool {
		seed(c)
	}
	t.next = &pairNode{j: oracle.j, lb: root.lb}
	return t
}

func (t *pairTree) done() bool { return t.next == nil && len(t.open) == 0 }

func (t *pairTree) bound() int64 {
	if t.done() && t.cur == nil {
		return min(t.ub, t.stuck)
	}
	return t.low
}

// step treats one node.
func (t *pairTree) step() {
	nd := t.next
	t.next = nil
	if nd == nil {
		nd = heap.Pop(&t.open).(*pairNode)
	}
	if nd.lb >= t.ub {
		return
	}
	t.cur = nd
	defer func() { t.cur = nil }()
	t.nodes++
	ms := t.ms
	if len(ms.pool) > 12*ms.lp.Rows() {
		ms.slim(6 * ms.lp.Rows())
	}
	ms.oracle.(*pairOracle).j = nd.j
	st := newState(ms.supply)
	st.pairs = nd.j
	ms.enter(st)
	ms.generate(t.ub, 300, false, false)
	if ms.clk.cancelled() {
		t.next = nd
		return
	}
	if nd.lb = max(nd.lb, ms.lb); nd.lb >= t.ub {
		return
	}
	idx, x := ms.values()
	if p := t.whole(idx, x); p != nil {
		if p.Cost < t.ub {
			t.ub, t.plan = p.Cost, p
		}
		if nd.lb >= t.ub {
			return
		}
	}
	a, b, share := t.choose(nd.j, idx, x)
	if a < 0 {
		t.stuck = min(t.stuck, nd.lb)
		return
	}
	with := &pairNode{j: nd.j.copied(), lb: nd.lb, depth: nd.depth + 1, turns: nd.turns}
	with.j.join(a, b)
	without := &pairNode{j: nd.j.copied(), lb: nd.lb, depth: nd.depth + 1, turns: nd.turns}
	without.j.partAlike(a, b, t.ms.oracle.(*pairOracle).size)
	if share < 0.5 {
		with, without = without, with
	}
	t.seq++
	without.turn = -t.seq
	without.turns++
	t.next = with
	heap.Push(&t.open, without)
}

// choose finds the pair of sets most nearly cut together in the LP solution.
func (t *pairTree) choose(j *pairs, idx []int, x []float64) (a, b int32, share float64) {
	together := map[[2]int32]float64{}
	var order [][2]int32
	for n, k := range idx {
		if x[n] > 1-1e-4 {
			continue
		}
		c := t.ms.pool[k]
		for p, i := range c.Items {
			for _, q := range c.Items[p+1:] {
				e := [2]int32{j.root[i], j.root[q]}
				if e[0] == e[1] {
					continue
				}
				if e[0] > e[1] {
					e[0], e[1] = e[1], e[0]
				}
				if _, ok := together[e]; !ok {
					order = append(order, e)
				}
				together[e] += x[n] / float64(j.size[e[0]]*j.size[e[1]])
			}
		}
	}
	a, b = -1, -1
	size := t.ms.oracle.(*pairOracle).size
	best := 0.0
	for _, e := range order {
		v := together[e]
		if v < 1e-4 || v > 1-1e-4 {
			continue
		}
		large := float64(size[e[0]]+size[e[1]]) / float64(t.ms.oracle.(*pairOracle).width)
		s := v * (0.3 + large)
		if t.rule == 1 {
			s = v * (1 + 1e-4*large)
		}
		if s > best {
			best, a, b, share = s, e[0], e[1], v
		}
	}
	return a, b, max(share, 0.5)
}

// whole reads a plan off an LP solution that is whole.
func (t *pairTree) whole(idx []int, x []float64) *Plan {
	p := &Plan{Short: append([]int(nil), t.m.Demand...)}
	left := append([]int(nil), t.ms.demand...)
	used := make([]int, len(t.m.Groups))
	for n, k := range idx {
		if x[n] < 1e-3 {
			continue
		}
		if x[n] < 1-1e-3 {
			return nil
		}
		c := t.ms.pool[k].within(left)
		if c == nil {
			continue
		}
		var parts []Part
		for _, i := range c.Items {
			left[i]--
			at := t.item[i]
			p.Short[at]--
			if m := len(parts); m > 0 && parts[m-1].Item == at {
				parts[m-1].N++
			} else {
				parts = append(parts, Part{Item: at, N: 1})
			}
		}
		p.Uses = append(p.Uses, Use{newColumn(c.Group, parts), 1})
		used[c.Group]++
	}
	p.price(t.m)
	for g := range used {
		used[g] = t.m.Groups[g].Supply
	}
	if !p.keeps(t.m, t.m.Demand, used) {
		return nil
	}
	return p
}
