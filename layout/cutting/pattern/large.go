package pattern

import (
	"context"
	"math"
	"math/rand/v2"
	"sort"
	"sync"
	"sync/atomic"
)

// largeGroups is the number of different boards above which one linear program
// of all of them is too dear: prices then come from a sample of boards and are
// improved by subgradient steps on the exact bound of all boards.
const largeGroups = 500

// sampleSize is how many boards stand for all in the sample.
const sampleSize = 110

// solveLarge is Solve for huge piles: greedy plans, recuts by both workers, and
// a bound from prices of a sample.
func solveLarge(ctx context.Context, m *Model, lim Limits, start *Plan, tell Progress) Result {
	stopped := &atomic.Bool{}
	clk := &clock{ctx: ctx, stopped: stopped}
	o := m.Oracle()
	supply := make([]int, len(m.Groups))
	for g := range supply {
		supply[g] = m.Groups[g].Supply
	}
	var best *Plan
	if start != nil {
		best = &Plan{Uses: start.Uses, Short: start.Short}
		best.price(m)
	}
	res := Result{Nodes: 1, Proof: &ProofNode{}, Whole: true}
	report := func() {
		if tell != nil && best != nil {
			tell(best, res.Bound, clk.work)
		}
	}
	consider := func(p *Plan) {
		if p != nil && p.keeps(m, m.Demand, supply) && (best == nil || p.Cost < best.Cost) {
			best = p
			report()
		}
	}
	size := m.sizes(o)
	value := make([]float64, len(size))
	for i, s := range size {
		value[i] = math.Pow(s, 1.04)
	}
	if best == nil {
		consider(greedy(m, o, clk, m.Demand, supply, value, 0))
	}
	finish := func() Result {
		res.Plan, res.Work = best, clk.work
		if best != nil {
			res.Bound = min(res.Bound, best.Cost)
			res.Proved = res.Bound >= best.Cost
		}
		return res
	}
	if clk.cancelled() {
		return finish()
	}
	root := sample(m, clk, o, supply, size, lim.Seed)
	if best != nil {
		clk.limit = lim.Work
	}
	if len(root.items) <= 300 {
		root.generate(math.MaxInt64/4, 400, true, false)
	}
	if clk.cancelled() {
		return finish()
	}
	up0 := newAscent(m, clk, o, supply, root)
	if up0.dual.Pi[argmax(m.Demand)] == 0 {
		up0.ray(size)
	}
	up0.step(best)
	// Prices make a better greedy plan than sizes do.
	for i := range value {
		value[i] = float64(up0.best.Pi[i]) + 1e-6
	}
	consider(greedy(m, o, clk, m.Demand, supply, value, 0))
	res.Bound, res.RootBound = up0.lb, up0.lb
	res.Proof.Dual = &up0.best
	report()
	if best == nil || clk.cancelled() || res.Bound >= best.Cost {
		return finish()
	}
	root.best, root.step = up0.best, up0.costStep
	copy(root.bestV, up0.bestV)

	s := &session{parties: 2, low: res.Bound, plan: best, best: best.Cost, bound: res.Bound, tell: tell, told: best.Cost}
	s.cond = sync.NewCond(&s.mu)
	begun := clk.work
	var wg sync.WaitGroup
	var clocks [2]*clock
	for k := range 2 {
		c := &clock{ctx: ctx, stopped: stopped, mark: quantum}
		clocks[k] = c
		oracle := m.Oracle()
		p := &plans{m: m, clk: c, oracle: oracle, root: root.clone(c, oracle), supply: supply, best: best, ub: best.Cost,
			low: res.Bound, r: rand.New(rand.NewPCG(lim.Seed, uint64(10+k))), recutOnly: true}
		var up *ascent
		if k == 0 {
			up = up0.move(c, oracle)
		}
		c.meet = func() {
			if up != nil {
				p.low = max(p.low, up.lb)
			}
			s.post(k, p.best, p.low)
			s.meet(false)
			p.low = s.bound
			if s.best < p.ub {
				p.ub, p.best = s.best, s.plan
			}
			if s.over || (lim.Work > 0 && begun+c.work >= lim.Work) {
				c.stop()
			}
		}
		wg.Add(1)
		go func() {
			defer wg.Done()
			defer s.meet(true)
			// The first worker betters the bound for a third of the time.
			for n := 0; !c.cancelled() && p.ub > p.low; n++ {
				if up != nil && (up.steps < 150 || n%3 == 0) && up.steps < 1500 {
					for range 10 {
						up.step(p.best)
						if c.cancelled() {
							break
						}
					}
					p.low = max(p.low, up.lb)
					continue
				}
				p.round()
			}
			if up != nil {
				up0 = up
			}
			s.post(k, p.best, p.low)
		}()
	}
	wg.Wait()
	s.exchange()
	best = s.plan
	res.Bound, res.RootBound = up0.lb, up0.lb
	res.Proof.Dual = &up0.best
	clk.work += clocks[0].work + clocks[1].work
	out := finish()
	report()
	return out
}

// sample is a master in which a few boards stand for all.
func sample(m *Model, clk *clock, o Oracle, supply []int, size []float64, seed uint64) *master {
	pi := make([]int64, len(size))
	top := 0.0
	for _, s := range size {
		top = max(top, s)
	}
	for i, s := range size {
		pi[i] = int64(s / top * (1 << 24))
	}
	want, value := make([]bool, len(supply)), make([]int64, len(supply))
	var all []int
	for g, u := range supply {
		if want[g] = u > 0; want[g] {
			all = append(all, g)
		}
	}
	o.Price(pi, m.Demand, want, value)
	sort.SliceStable(all, func(a, b int) bool {
		va, vb := value[all[a]], value[all[b]]
		if va != vb {
			return va < vb
		}
		return m.Groups[all[a]].Cost < m.Groups[all[b]].Cost
	})
	few := make([]int, len(supply))
	for k := 0; k < len(all); {
		n := min(len(all)-k, (len(all)+sampleSize-1)/sampleSize)
		boards := 0
		for _, g := range all[k : k+n] {
			boards += supply[g]
		}
		part := append([]int(nil), all[k:k+n]...)
		sort.SliceStable(part, func(a, b int) bool { return m.Groups[part[a]].Cost < m.Groups[part[b]].Cost })
		few[part[len(part)/2]] = boards
		k += n
	}
	return newMaster(m, clk, o, m.Demand, few, seed)
}

// ascent improves a bound of all boards by subgradient steps on the prices
// (Held, Wolfe & Crowder 1974, with steps towards the best plan's cost).
type ascent struct {
	m        *Model
	clk      *clock
	o        Oracle
	supply   []int
	want     []bool
	value    []int64
	pi       []float64 // scaled prices
	dual     Dual      // budgets' prices stay those of the sample
	best     Dual
	bestV    []int64
	bestPi   []float64
	top      int64
	lb       int64
	scale    uint
	costStep int64
	theta    float64
	fails    int
	steps    int
}

func newAscent(m *Model, clk *clock, o Oracle, supply []int, root *master) *ascent {
	a := &ascent{m: m, clk: clk, o: o, supply: supply, want: make([]bool, len(supply)), value: make([]int64, len(supply)),
		bestV: make([]int64, len(supply)), scale: root.scale, dual: root.best, theta: 0.6, top: math.MinInt64}
	if a.dual.Pi == nil {
		a.dual = Dual{Scale: root.scale, Pi: make([]int64, len(m.Demand)), Num: make([]int64, len(m.Budgets)), Shift: make([]uint, len(m.Budgets))}
	}
	a.dual.Rho = make([]int64, len(supply))
	for _, p := range a.dual.Pi {
		a.pi = append(a.pi, float64(p))
	}
	a.bestPi = append([]float64(nil), a.pi...)
	for g, u := range supply {
		a.want[g] = u > 0
		for b, w := range m.Groups[g].Weight {
			if w > m.Budgets[b] {
				a.want[g] = false
			}
		}
		if a.want[g] {
			a.costStep = gcd(a.costStep, m.Groups[g].Cost)
		}
	}
	if m.Short != nil {
		for _, c := range m.Short {
			a.costStep = gcd(a.costStep, c)
		}
	}
	a.costStep = max(a.costStep, 1)
	return a
}

// move gives the search to another goroutine.
func (a *ascent) move(clk *clock, o Oracle) *ascent {
	b := *a
	b.clk, b.o = clk, o
	return &b
}

func argmax(a []int) int {
	k := 0
	for i := range a {
		if a[i] > a[k] {
			k = i
		}
	}
	return k
}

// ray sets prices in proportion to sizes, at the factor of the best bound.
func (a *ascent) ray(size []float64) {
	pi := make([]int64, len(size))
	for i, s := range size {
		pi[i] = int64(s / size[argmaxFloat(size)] * (1 << 30))
	}
	before := a.o.Work()
	a.o.Price(pi, a.m.Demand, a.want, a.value)
	a.clk.work += a.o.Work() - before
	demand := 0.0
	for i, n := range a.m.Demand {
		demand += float64(pi[i]) * float64(n)
	}
	var order []int
	for g, w := range a.want {
		if w && a.value[g] > 0 {
			order = append(order, g)
		}
	}
	at := func(g int) float64 { return float64(a.m.Groups[g].Cost) / float64(a.value[g]) }
	sort.SliceStable(order, func(x, y int) bool { return at(order[x]) < at(order[y]) })
	// The bound rises with the factor until the boards worth opening hold all.
	factor := 0.0
	for _, g := range order {
		factor = at(g)
		if demand -= float64(a.value[g]) * float64(a.supply[g]); demand <= 0 {
			break
		}
	}
	for i, p := range pi {
		a.pi[i] = math.Ldexp(float64(p)*factor, int(a.scale))
	}
	copy(a.bestPi, a.pi)
}

func argmaxFloat(a []float64) int {
	k := 0
	for i := range a {
		if a[i] > a[k] {
			k = i
		}
	}
	return k
}

// step bounds all boards under the prices and moves the prices.
func (a *ascent) step(plan *Plan) {
	a.steps++
	d := a.dual
	d.Pi = make([]int64, len(a.pi))
	most := mostPrice(sum(a.m.Demand))
	for i, p := range a.pi {
		d.Pi[i] = int64(min(max(p, 0), most))
		if a.m.Short != nil {
			d.Pi[i] = min(d.Pi[i], a.m.Short[i]<<a.scale)
		}
	}
	before := a.o.Work()
	a.o.Price(d.Pi, a.m.Demand, a.want, a.value)
	a.clk.work += a.o.Work() - before
	total := int64(0)
	for i, n := range a.m.Demand {
		total += d.Pi[i] * int64(n)
	}
	for b, num := range d.Num {
		if num > 0 {
			total -= charge(num, a.m.Budgets[b], d.Shift[b], true)
		}
	}
	slope := make([]float64, len(a.pi))
	for i, n := range a.m.Demand {
		slope[i] = float64(n)
	}
	for g := range a.supply {
		if !a.want[g] {
			continue
		}
		c := a.m.Groups[g].Cost << a.scale
		for b, num := range d.Num {
			if num > 0 {
				c += charge(num, a.m.Groups[g].Weight[b], d.Shift[b], false)
			}
		}
		r := c - a.value[g]
		if r >= 0 {
			continue
		}
		total += r * int64(a.supply[g])
		if col := a.o.Pattern(g); col != nil {
			for k, i := range col.Items {
				slope[i] -= float64(col.N[k] * a.supply[g])
			}
		}
		a.clk.work += 300
	}
	if total > a.top {
		a.fails = 0
		a.top = total
		a.best = d
		copy(a.bestV, a.value)
		copy(a.bestPi, a.pi)
		a.lb = max(a.lb, max(0, ceilTo(total, 1<<a.scale, a.costStep)))
	} else if a.fails++; a.fails >= 6 {
		a.fails = 0
		a.theta *= 0.7
		copy(a.pi, a.bestPi)
		return
	}
	norm := 0.0
	for i, s := range slope {
		if s < 0 && a.pi[i] <= 0 {
			slope[i] = 0
		}
		norm += slope[i] * slope[i]
	}
	if norm == 0 || plan == nil {
		return
	}
	target := math.Ldexp(float64(plan.Cost), int(a.scale))
	step := a.theta * max(target-float64(total), math.Ldexp(float64(a.costStep), int(a.scale))) / norm
	for i := range a.pi {
		a.pi[i] = max(0, a.pi[i]+step*slope[i])
	}
}
