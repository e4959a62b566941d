package pattern

import (
	"context"
	"math"
	"math/rand/v2"
	"sync"
	"sync/atomic"
)

// Result is the best plan, what is proved about it, and the proof.
type Result struct {
	Plan   *Plan // nil when none was found
	Bound  int64 // no plan costs less
	Proved bool  // Plan.Cost equals Bound, or no plan exists
	// None says that it is proved that no plan exists.
	None bool
	// Proof yields Bound when checked, unless Whole is false; then it yields
	// the bound of the first node only, RootBound.
	Proof     *ProofNode
	Whole     bool
	RootBound int64
	Nodes     int
	Work      int64
}

// Progress is called with every better plan or bound.
type Progress func(plan *Plan, bound, work int64)

// session is what the two workers share.
type session struct {
	mu      sync.Mutex
	cond    *sync.Cond
	parties int
	waiting int
	round   int
	box     [2]*Plan // what each worker found since the last meeting
	low     int64
	plan    *Plan
	best    int64
	bound   int64
	over    bool
	ended   bool // the tree has no open node
	offered *selection
	sel     *selection // known to both
	tell    Progress
	told    int64
}

// meet lets both workers exchange plans at the same mark of their own work, so
// that the outcome does not depend on how fast either runs.
func (s *session) meet(leave bool) {
	s.mu.Lock()
	defer s.mu.Unlock()
	if leave {
		s.parties--
		if s.waiting > 0 && s.waiting >= s.parties {
			s.exchange()
		}
		return
	}
	s.waiting++
	if s.waiting >= s.parties {
		s.exchange()
		return
	}
	for round := s.round; round == s.round; {
		s.cond.Wait()
	}
}

// post leaves what worker k knows for the next exchange.
func (s *session) post(k int, p *Plan, low int64) {
	s.mu.Lock()
	s.box[k] = p
	s.low = max(s.low, low)
	s.mu.Unlock()
}

// offer shares a selection, which no longer changes, with the next exchange.
func (s *session) offer(sel *selection) {
	s.mu.Lock()
	s.offered = sel
	s.mu.Unlock()
}

// end says that the tree is exhausted.
func (s *session) end() {
	s.mu.Lock()
	s.ended = true
	s.mu.Unlock()
}

func (s *session) exchange() {
	for k, p := range s.box {
		if p != nil && (s.plan == nil || p.Cost < s.plan.Cost) {
			s.plan = p
		}
		s.box[k] = nil
	}
	if s.plan != nil {
		s.best = s.plan.Cost
	}
	s.bound = max(s.bound, min(s.low, s.best))
	if s.bound >= s.best || s.ended {
		s.over = true
	}
	if s.tell != nil && s.plan != nil && (s.best != s.told || s.over) {
		s.told = s.best
		s.tell(s.plan, s.bound, int64(s.round)*quantum)
	}
	s.sel = s.offered
	s.waiting = 0
	s.round++
	s.cond.Broadcast()
}

// firstWork is the work after which no further first plan is tried.
const firstWork = 4_000_000_000

// Solve searches for the cheapest plan. start, which may be nil, is a known
// plan. Cancelling ctx ends it within milliseconds with the best found.
func Solve(ctx context.Context, m *Model, lim Limits, start *Plan, tell Progress) Result {
	if len(m.Groups) > largeGroups {
		return solveLarge(ctx, m, lim, start, tell)
	}
	stopped := &atomic.Bool{}
	clk := &clock{ctx: ctx, stopped: stopped}
	r := rand.New(rand.NewPCG(lim.Seed, 1))
	o := m.Oracle()
	supply := make([]int, len(m.Groups))
	total := int64(0)
	for g, gr := range m.Groups {
		supply[g] = gr.Supply
		total += gr.Cost * int64(min(gr.Supply, sum(m.Demand)))
	}
	if m.Short != nil {
		for i, c := range m.Short {
			total += c * int64(m.Demand[i])
		}
	}
	best := start
	if best != nil {
		best = &Plan{Uses: start.Uses, Short: start.Short}
		best.price(m)
	}
	consider := func(p *Plan) bool {
		if p != nil && (best == nil || p.Cost < best.Cost) && p.keeps(m, m.Demand, supply) {
			best = p
			return true
		}
		return false
	}
	var found []*Plan
	report := func(bound int64) {
		if tell != nil && best != nil {
			tell(best, bound, clk.work)
		}
	}
	// First plans: values grow a little faster than size.
	ms := newMaster(m, clk, o, m.Demand, supply, lim.Seed)
	size := m.sizes(o)
	value := make([]float64, len(m.Demand))
	base := make([]float64, len(m.Demand))
	for i := range value {
		base[i] = size[i]
		value[i] = math.Pow(size[i], 1.04)
	}
	if l, ok := o.(*lineOracle); ok {
		if p := l.firstFit(m, m.Demand, supply); consider(p) {
			found = append(found, p)
			report(0)
		}
	}
	passes := 4
	if sum(m.Demand) > 1500 {
		passes = 2
	}
	for pass := 0; pass < passes && !clk.cancelled(); pass++ {
		if best != nil && (lim.Work > 0 && clk.work >= lim.Work || clk.work > firstWork) {
			break
		}
		p := greedy(m, o, clk, m.Demand, supply, value, 0)
		if p != nil {
			found = append(found, p)
			if consider(p) {
				report(0)
			}
			correct(m, value, base, p, r)
		}
	}
	if start != nil {
		found = append(found, start)
	}
	for _, p := range found {
		for _, u := range p.Uses {
			ms.add(u.Col)
		}
	}
	ub := total + 1
	if best != nil {
		ub = best.Cost
	}
	ms.bounding = true
	clk.limit = lim.Work // a plan there is; its bound may take no longer than all
	ms.generate(ub, 2000, true, false)
	res := Result{Bound: 0, Nodes: 1}
	proof := &ProofNode{}
	if ms.best.Pi != nil {
		d := ms.best
		proof.Dual = &d
		res.Bound = max(0, ms.lb)
	}
	res.Proof, res.Whole, res.RootBound = proof, true, res.Bound
	finish := func() Result {
		res.Plan = best
		res.Work += clk.work
		if best != nil {
			res.Bound = min(res.Bound, best.Cost)
			res.Proved = res.Bound >= best.Cost
		} else if res.Bound > total {
			res.Proved, res.None = true, true
		}
		return res
	}
	report(res.Bound)
	if res.Bound >= ub || clk.cancelled() || (best != nil && best.Cost <= lim.Target) || (lim.Work > 0 && clk.work >= lim.Work) {
		return finish()
	}

	s := &session{parties: 2, low: res.Bound, plan: best, best: ub, bound: res.Bound, tell: tell, told: ub}
	s.cond = sync.NewCond(&s.mu)
	var wg sync.WaitGroup
	wg.Add(2)
	begun := clk.work
	stop := func(c *clock) {
		if s.over || (lim.Work > 0 && begun+c.work >= lim.Work) || (s.plan != nil && s.plan.Cost <= lim.Target) {
			c.stop()
		}
	}
	paired := int64(0) // what a finished search over pairs of pieces has proved
	var sel *selection // before the tree, where boards are dear to price
	tc := &clock{ctx: ctx, stopped: stopped, mark: quantum}
	t := newTree(ms.clone(tc, m.Oracle()), ub, rand.New(rand.NewPCG(lim.Seed, 2)))
	if !m.lines(o) {
		sel = newSelection(t.ms.clone(tc, t.ms.oracle), ub)
	}
	split := sel == nil || m.splits(o) // the tree may close what a selection leaves
	proved := func() int64 {           // by the first worker
		b := max(t.bound(), paired)
		if sel != nil {
			b = max(b, sel.bound())
		}
		return b
	}
	tc.meet = func() {
		s.post(0, t.plan, proved())
		s.meet(false)
		if s.best < t.ub {
			t.ub, t.plan = s.best, s.plan
			if sel != nil {
				sel.ub = t.ub
			}
		}
		stop(tc)
	}
	go func() { // the tree
		defer wg.Done()
		defer s.meet(true)
		if sel != nil {
			for !sel.done() && !sel.full() && !tc.cancelled() {
				sel.step()
			}
			s.post(0, t.plan, proved())
			if sel.bound() >= t.ub {
				s.end()
				return
			}
			s.offer(sel)
		}
		for split && !t.done() && !tc.cancelled() {
			t.step()
		}
		s.post(0, t.plan, proved())
		if split && t.done() && t.bound() >= t.ub {
			s.end()
			return
		}
		// Boards alike leave nothing to split but pairs of pieces.
		if pt := newPairTree(m, ms.clone(tc, t.ms.oracle), tc, t.ub, 0); pt != nil {
			pt.plan = t.plan
			tc.meet = func() {
				s.post(0, pt.plan, max(res.Bound, pt.bound()))
				s.meet(false)
				if s.best < pt.ub {
					pt.ub, pt.plan = s.best, s.plan
				}
				stop(tc)
			}
			for !pt.done() && !tc.cancelled() {
				pt.step()
			}
			t.ub, t.plan, t.nodes = pt.ub, pt.plan, t.nodes+pt.nodes
			s.post(0, pt.plan, max(res.Bound, pt.bound()))
			if pt.done() {
				paired = pt.bound()
				if paired >= pt.ub {
					s.end()
					return
				}
			}
		}
		// Nothing left to split: this worker looks for plans too.
		q := &plans{m: m, clk: tc, oracle: t.ms.oracle, root: ms.clone(tc, t.ms.oracle), supply: supply, best: t.plan, ub: t.ub,
			low: max(res.Bound, min(proved(), t.ub)), r: rand.New(rand.NewPCG(lim.Seed, 4)), dives: 1}
		if q.best == nil {
			q.best = best
		}
		if sel != nil {
			q.packer = newPacker(q, sel, 0.02)
		}
		tc.meet = func() {
			s.post(0, q.best, q.low)
			s.meet(false)
			q.low = s.bound
			if s.best < q.ub {
				q.ub, q.best = s.best, s.plan
			}
			stop(tc)
		}
		for !tc.cancelled() && q.ub > q.low {
			q.search()
		}
		s.post(0, q.best, q.low)
	}()
	pc := &clock{ctx: ctx, stopped: stopped, mark: quantum}
	oracle := m.Oracle()
	p := &plans{m: m, clk: pc, oracle: oracle, root: ms.clone(pc, oracle), supply: supply, best: best, ub: ub,
		low: res.Bound, r: rand.New(rand.NewPCG(lim.Seed, 3))}
	pc.meet = func() {
		s.post(1, p.best, p.low)
		s.meet(false)
		p.low = s.bound
		if s.best < p.ub {
			p.ub, p.best = s.best, s.plan
		}
		stop(pc)
	}
	go func() { // plans
		defer wg.Done()
		defer s.meet(true)
		for n := 0; !pc.cancelled() && p.ub > p.low; n++ {
			if n == 3 && p.pairs() {
				break
			}
			if s.sel != nil && p.packer == nil {
				p.packer = newPacker(p, s.sel, 0.012)
			}
			p.search()
		}
		s.post(1, p.best, p.low)
	}()
	wg.Wait()
	s.exchange()
	best = s.plan
	res.Nodes = t.nodes
	if sel != nil {
		res.Nodes += sel.nodes
	}
	res.Bound = max(res.Bound, min(proved(), s.best))
	res.Work = tc.work + pc.work
	switch {
	case sel != nil && sel.bound() >= max(t.bound(), paired):
		res.Proof = sel.proof()
	case paired > t.bound(): // of BinPack models only: the cases over pairs are not kept
		res.Whole = res.Bound <= res.RootBound
	case t.proof == nil:
		res.Whole = res.Bound <= res.RootBound
	case t.proof.Dual != nil:
		res.Proof = t.proof
	}
	out := finish()
	report(out.Bound)
	return out
}

// splits reports whether a tree can split more than which boards to open:
// counts on lines, or how many of boards alike.
func (m *Model) splits(o Oracle) bool {
	c, _ := o.(Counter)
	for g := range m.Groups {
		if m.Groups[g].Supply > 1 || c != nil && c.Line(g) {
			return true
		}
	}
	return false
}

func sum(a []int) int {
	t := 0
	for _, v := range a {
		t += v
	}
	return t
}

// sizes are relative sizes of items for first values.
func (m *Model) sizes(o Oracle) []float64 {
	if s, ok := o.(interface{ Size(int) float64 }); ok {
		out := make([]float64, len(m.Demand))
		for i := range out {
			out[i] = s.Size(i)
		}
		return out
	}
	out := make([]float64, len(m.Demand))
	for i := range out {
		out[i] = 1
	}
	return out
}

// First is a quick full plan, or nil when none is found quickly.
func First(ctx context.Context, m *Model, seed uint64) *Plan {
	clk := &clock{ctx: ctx, stopped: &atomic.Bool{}}
	o := m.Oracle()
	size := m.sizes(o)
	supply := make([]int, len(m.Groups))
	for g := range supply {
		supply[g] = m.Groups[g].Supply
	}
	r := rand.New(rand.NewPCG(seed, 1))
	value := make([]float64, len(size))
	for i, s := range size {
		value[i] = math.Pow(s, 1.04)
	}
	// Where a table has too many sums, what fits first is the first plan.
	l, isLine := o.(*lineOracle)
	if isLine && l.fine() {
		if p := l.firstFit(m, m.Demand, supply); p.keeps(m, m.Demand, supply) {
			return p
		}
	}
	for range 6 {
		if p := greedy(m, o, clk, m.Demand, supply, value, 0); p != nil && p.keeps(m, m.Demand, supply) {
			return p
		}
		// Nothing fitted: large blanks first, each time more so.
		for i := range value {
			value[i] *= math.Pow(size[i], 0.3) * (0.9 + 0.2*r.Float64())
		}
	}
	if isLine {
		if p := l.firstFit(m, m.Demand, supply); p.keeps(m, m.Demand, supply) {
			return p
		}
	}
	return nil
}

// Reprice recomputes the cost of a plan for another model of the same boards.
func (p *Plan) Reprice(m *Model) { p.price(m) }
