package pattern

import (
	"math"
	"sort"

	"pilewright/layout/cutting/simplex"
)

// state is what a node of the search has decided.
type state struct {
	closed []bool // no further board of the group
	most   []int  // boards of the group that may be used
	least  []int  // boards of the group whose cost is spent
	bounds map[int][]CountBound
	pairs  *pairs // of pieces, in a master of pieces
}

func newState(supply []int) *state {
	s := &state{closed: make([]bool, len(supply)), most: append([]int(nil), supply...), least: make([]int, len(supply))}
	for g, u := range supply {
		s.closed[g] = u == 0
	}
	return s
}

// master is the restricted linear program of one demand and supply, and the
// columns found so far.
type master struct {
	m      *Model
	clk    *clock
	oracle Oracle
	demand []int // by item, of this master
	supply []int // by group
	items  []int // item of a row
	rowOf  []int
	groups []int // group of a row
	growOf []int
	lower  []int // row of the least-use row of a group, or -1
	nb     int   // budgets
	budRow int
	idle   []int // by group: the column of a board that is open and holds nothing, or -1
	lp     *simplex.LP
	first  int
	pool   []*Column
	index  map[uint64]bool
	norm   float64
	big    float64 // cost of a copy left out, in LP costs
	scale  uint
	st     *state
	paid   int64 // for boards spent and used up, which have no row here
	want   []bool
	// node results
	lb    int64 // best bound of the node, exact
	top   int64 // the same before rounding, scaled
	best  Dual  // its prices
	bestV []int64
	exact []int64 // smoothing centre
	value []int64
	step  int64 // every plan's cost is a multiple
	conv  bool  // the last generate ended without a column to add
	limit []int
	// bounding says that the LP is to meet the oracle's relaxed values: once no
	// proper column is left to add, columns with more copies than the limit are.
	bounding bool
	loose    bool
	// tight says that a better plan has no more waste than a whole number of
	// boards forces.
	tight bool
}

func newMaster(m *Model, clk *clock, oracle Oracle, demand, supply []int, seed uint64) *master {
	ms := &master{m: m, clk: clk, oracle: oracle, demand: append([]int(nil), demand...), supply: append([]int(nil), supply...),
		rowOf: make([]int, len(demand)), growOf: make([]int, len(m.Groups)), lower: make([]int, len(m.Groups)),
		nb: len(m.Budgets), index: map[uint64]bool{}, value: make([]int64, len(m.Groups)), bestV: make([]int64, len(m.Groups))}
	for i, d := range demand {
		ms.rowOf[i] = -1
		if d > 0 {
			ms.rowOf[i] = len(ms.items)
			ms.items = append(ms.items, i)
		}
	}
	for g, gr := range m.Groups {
		for b, w := range gr.Weight {
			if w > m.Budgets[b] {
				ms.supply[g] = 0
			}
		}
		ms.growOf[g], ms.lower[g] = -1, -1
		if ms.supply[g] > 0 {
			ms.growOf[g] = len(ms.items) + len(ms.groups)
			ms.groups = append(ms.groups, g)
		}
	}
	rows := len(ms.items) + len(ms.groups)
	for _, g := range ms.groups {
		if ms.supply[g] > 1 {
			ms.lower[g] = rows
			rows++
		}
	}
	ms.budRow = rows
	rows += ms.nb
	// Scales: LP costs near one, and 64-bit sums that cannot overflow.
	total, n, pieces := 0.0, 0.0, 0.0
	ms.step = 0
	for _, g := range ms.groups {
		u := min(ms.supply[g], ms.pieces())
		total += float64(m.Groups[g].Cost) * float64(u)
		n += float64(u)
		ms.step = gcd(ms.step, m.Groups[g].Cost)
	}
	for i, d := range demand {
		pieces += float64(d)
		if d > 0 && m.Short != nil {
			total = math.Max(total, 4*float64(m.Short[i]))
			ms.step = gcd(ms.step, m.Short[i])
		}
	}
	ms.step = max(ms.step, 1)
	if m.Rest != nil {
		ms.step = 1
	}
	ms.norm = math.Max(1, total/math.Max(n, 1))
	ms.big = (total + 1) / ms.norm
	most := 30 // bits
	if len(ms.groups) <= 3 && m.Short == nil && ms.nb == 0 && m.Rest == nil {
		most = 38
	}
	ms.scale = uint(max(0, min(most, 60-int(math.Ceil(math.Log2(4*(total+1)*(pieces+2)))))))

	b, cost := make([]float64, rows), make([]float64, rows)
	for r, i := range ms.items {
		b[r], cost[r] = float64(demand[i]), ms.shortCost(i)
	}
	for _, g := range ms.groups {
		b[ms.growOf[g]] = float64(ms.supply[g])
		if r := ms.lower[g]; r >= 0 {
			cost[r] = ms.big
		}
	}
	for k := range ms.nb {
		b[ms.budRow+k] = 1
	}
	ms.lp = simplex.New(b, cost, seed)
	ms.lp.Stop, ms.lp.Work = clk.poll, &clk.work
	for r := range ms.items {
		ms.lp.Add(simplex.Column{Rows: []int32{int32(r)}, Vals: []float64{-1}})
	}
	for _, g := range ms.groups {
		if r := ms.lower[g]; r >= 0 {
			ms.lp.Add(simplex.Column{Rows: []int32{int32(r)}, Vals: []float64{-1}})
		}
	}
	// A board that is to be opened takes its share of the budgets whatever is cut
	// from it.
	ms.idle = make([]int, len(m.Groups))
	for g := range ms.idle {
		if ms.idle[g] = -1; ms.nb == 0 || ms.growOf[g] < 0 || ms.supply[g] != 1 {
			continue
		}
		col := simplex.Column{Rows: []int32{int32(ms.growOf[g])}, Vals: []float64{1}}
		ms.charge(&col, g)
		ms.idle[g] = ms.lp.Add(col)
	}
	ms.first = ms.lp.Len()
	ms.want = make([]bool, len(m.Groups))
	ms.limit = append([]int(nil), demand...)
	ms.enter(newState(ms.supply))
	return ms
}

func (ms *master) pieces() int {
	n := 0
	for _, d := range ms.demand {
		n += d
	}
	return n
}

func (ms *master) shortCost(i int) float64 {
	if ms.m.Short != nil {
		return float64(ms.m.Short[i]) / ms.norm
	}
	return ms.big
}

// clone shares nothing that changes.
func (ms *master) clone(clk *clock, oracle Oracle) *master {
	c := *ms
	c.clk, c.oracle = clk, oracle
	c.lp = ms.lp.Clone()
	c.lp.Work = &clk.work
	c.lp.Stop = clk.poll
	c.pool = append([]*Column(nil), ms.pool...)
	c.index = make(map[uint64]bool, len(ms.index))
	for k := range ms.index {
		c.index[k] = true
	}
	c.want = append([]bool(nil), ms.want...)
	c.value = make([]int64, len(ms.value))
	c.bestV = append([]int64(nil), ms.bestV...)
	c.limit = append([]int(nil), ms.demand...)
	return &c
}

// slim drops the columns of worst reduced cost until about most are left.
func (ms *master) slim(most int) {
	if len(ms.pool) <= most {
		return
	}
	y := ms.lp.Duals()
	rc := make([]float64, len(ms.pool))
	for k, c := range ms.pool {
		rc[k] = ms.reduced(c, y)
	}
	order := append([]float64(nil), rc...)
	sort.Float64s(order)
	limit := order[most]
	kept := ms.lp.Keep(ms.first, func(j int) bool { return rc[j-ms.first] < limit })
	pool := make([]*Column, len(kept))
	ms.index = make(map[uint64]bool, len(kept))
	for n, j := range kept {
		pool[n] = ms.pool[j-ms.first]
		ms.index[pool[n].key()] = true
	}
	ms.pool = pool
}

// columnCost is the LP cost of a column in the current state, and whether it is banned.
func (ms *master) columnCost(c *Column) (float64, bool) {
	st := ms.st
	g := c.Group
	bad := st.closed[g] || st.pairs != nil && st.pairs.breaks(c)
	if !bad {
		for _, b := range st.bounds[g] {
			n := 0
			for _, p := range c.Parts {
				if p.Item == b.Item && p.Seg == b.Seg {
					n += p.N
				}
			}
			if n < b.Lo || n > b.Hi {
				bad = true
				break
			}
		}
	}
	if bad {
		n := 1
		for _, k := range c.N {
			n += k
		}
		return ms.big * float64(n), true
	}
	cost := ms.m.columnCost(c)
	if ms.supply[g] == 1 && st.least[g] > 0 {
		cost -= ms.m.Groups[g].Cost
	}
	return float64(cost) / ms.norm, false
}

// enter makes st the current state: costs, bans, least uses.
func (ms *master) enter(st *state) {
	ms.st = st
	for k, c := range ms.pool {
		cost, bad := ms.columnCost(c)
		ms.lp.SetCost(ms.first+k, cost)
		ms.lp.Ban(ms.first+k, bad)
	}
	changed := false
	for _, g := range ms.groups {
		ms.want[g] = !st.closed[g]
		if j := ms.idle[g]; j >= 0 {
			open := st.least[g] > 0
			ms.lp.Ban(j, !open)
			cost := 0.0
			if open {
				cost = ms.big
			}
			ms.lp.SetCost(ms.growOf[g], cost)
			if !open && ms.lp.Basic(j) { // as dear as a board left out
				ms.lp.SetCost(j, ms.big)
			} else {
				ms.lp.SetCost(j, 0)
			}
		}
		if r := ms.lower[g]; r >= 0 {
			if v := float64(st.least[g]); ms.lp.RHS(r) != v {
				ms.lp.SetRHS(r, v)
				changed = true
			}
			if v := float64(st.most[g]); ms.lp.RHS(ms.growOf[g]) != v {
				ms.lp.SetRHS(ms.growOf[g], v)
				changed = true
			}
		}
	}
	ms.lp.Refresh()
	if changed {
		ms.lp.Dual(5000)
	}
	ms.lb, ms.top = math.MinInt64, math.MinInt64
	ms.best = Dual{}
	ms.exact = nil
	ms.conv = false
}

// charge makes a column take a board's share of the budgets.
func (ms *master) charge(col *simplex.Column, g int) {
	for b := range ms.nb {
		if w := ms.m.Groups[g].Weight[b]; w != 0 {
			col.Rows = append(col.Rows, int32(ms.budRow+b))
			col.Vals = append(col.Vals, float64(w)/float64(ms.m.Budgets[b]))
		}
	}
}

// add puts a column into the LP unless it is known or useless here.
func (ms *master) add(c *Column) bool {
	if c == nil || ms.growOf[c.Group] < 0 {
		return false
	}
	for k, i := range c.Items {
		if ms.rowOf[i] < 0 || c.N[k] > ms.demand[i] && !ms.loose {
			return false
		}
	}
	key := c.key()
	if ms.index[key] {
		return false
	}
	ms.index[key] = true
	n := len(c.Items) + 1 + ms.nb
	col := simplex.Column{Rows: make([]int32, 0, n+1), Vals: make([]float64, 0, n+1)}
	for k, i := range c.Items {
		col.Rows = append(col.Rows, int32(ms.rowOf[i]))
		col.Vals = append(col.Vals, float64(c.N[k]))
	}
	col.Rows = append(col.Rows, int32(ms.growOf[c.Group]))
	col.Vals = append(col.Vals, 1)
	if r := ms.lower[c.Group]; r >= 0 {
		col.Rows = append(col.Rows, int32(r))
		col.Vals = append(col.Vals, 1)
	}
	ms.charge(&col, c.Group)
	var bad bool
	col.Cost, bad = ms.columnCost(c)
	j := ms.lp.Add(col)
	ms.lp.Ban(j, bad)
	ms.pool = append(ms.pool, c)
	return true
}

// generate solves the LP of the state by column generation. It stops early when
// the bound reaches ub, when no bound can reach further in whole steps and
// converge is false, or after rounds rounds.
func (ms *master) generate(ub int64, rounds int, smooth, converge bool) {
	alpha := 0.0
	if smooth {
		alpha = 0.5
	}
	ms.conv = false
	type cand struct {
		rc float64
		g  int
	}
	var cands []cand
	if ms.best.Pi == nil { // no prices at all: what is spent is spent
		zero := Dual{Scale: ms.scale, Pi: make([]int64, len(ms.demand)), Rho: make([]int64, len(ms.m.Groups)),
			Num: make([]int64, ms.nb), Shift: make([]uint, ms.nb)}
		clear(ms.bestV)
		if ms.m.Rest != nil { // and all of a board may be left
			for _, g := range ms.groups {
				ms.bestV[g] = ms.m.Groups[g].Cost << ms.scale
			}
		}
		ms.best, ms.top = zero, ms.lagrange(&zero, ms.bestV)
		if ms.lb = max(ms.lb, ms.round(ms.top)); ms.lb >= ub {
			return
		}
	}
	var bySize *Dual
	sized := int64(math.MinInt64)
	if o, ok := ms.oracle.(*lineOracle); ok && (smooth || ms.tight) && o.maxCap[0] <= denseMax && !ms.clk.cancelled() {
		if bySize = ms.bySize(); bySize != nil { // dear to price where no table is
			if ms.bounding {
				sized = ms.round(ms.bound(bySize))
			} else { // no board holds more than its length
				sized = ms.round(ms.spend(bySize))
			}
			if sized >= ub {
				ms.hold(bySize)
				return
			}
		}
	}
	// Where the prices by size leave one step, the LP value of a better plan is
	// theirs: prices keep near them, and the LP is solved to the end.
	least, near := 1e-7, 0.5
	if ms.tight = bySize != nil && sized+ms.step >= ub; ms.tight {
		least, ms.lp.Tol = 1e-11, 1e-12
		if ms.bounding {
			near = 0.9
		}
		alpha = near
	}
	for round := 0; round < rounds; round++ {
		if ms.lp.Primal(50000) == simplex.Stopped || ms.clk.poll() {
			return
		}
		if ms.tight && ms.excess(sized) < 1e-9 {
			if ms.bounding {
				ms.hold(bySize)
			}
			ms.lb = max(ms.lb, sized)
			return
		}
		y := ms.lp.Duals()
		d := ms.dual(y)
		sep := d
		centre := ms.exact
		if ms.tight {
			centre = bySize.Pi
		}
		if alpha > 0 && centre != nil {
			sep.Pi = make([]int64, len(d.Pi))
			for i := range sep.Pi {
				sep.Pi[i] = int64(alpha*float64(centre[i]) + (1-alpha)*float64(d.Pi[i]))
			}
		}
		scaled := ms.bound(&sep)
		if scaled >= ms.top {
			ms.lb, ms.top = max(ms.lb, ms.round(scaled)), scaled
			ms.best = sep
			copy(ms.bestV, ms.value)
		}
		ms.exact = sep.Pi
		if ms.lb >= ub {
			return
		}
		if !ms.tight && !converge && ms.lb >= ms.ceilLP(ms.lp.Objective()) {
			return
		}
		if low := max(ms.lb, sized); !ms.tight && smooth && low+ms.step >= ub {
			if e := ms.excess(low); e > -1e-4 && e < nearly {
				if sized > ms.lb {
					ms.hold(bySize)
				}
				return
			}
		}
		if rows := ms.lp.Rows(); smooth && len(ms.groups) <= 3 && len(ms.pool) > 6*rows {
			ms.slim(4 * rows)
		}
		cands = cands[:0]
		s := math.Ldexp(ms.norm, int(ms.scale))
		for _, g := range ms.groups {
			if !ms.want[g] || ms.value[g] <= 0 {
				continue
			}
			// The true price of the best pattern is not known before it is
			// built; order by the smoothed one.
			rc := (float64(ms.groupCost(&sep, g)) - float64(ms.value[g])) / s
			rc -= y[ms.growOf[g]]
			if rc < -least || alpha > 0 {
				cands = append(cands, cand{rc, g})
			}
		}
		sort.SliceStable(cands, func(a, b int) bool { return cands[a].rc < cands[b].rc })
		added := 0
		for _, c := range cands {
			if added >= 40 || (alpha > 0 && c.rc > 1e-7 && added == 0 && c.rc > 0.2) {
				break
			}
			col := ms.pattern(c.g, &sep)
			if col == nil || ms.reduced(col, y) > -least {
				continue
			}
			if ms.add(col) {
				added++
			}
			if teller, ok := ms.oracle.(Teller); ok && ms.supply[c.g] > 3 && ms.st.bounds[c.g] == nil {
				teller.More(c.g, func(col *Column) bool {
					if ms.reduced(col, y) < -least && ms.add(col) {
						added++
						return true
					}
					return false
				})
			}
		}
		if added == 0 {
			if alpha > 0 {
				if alpha = 1 - 2*(1-alpha); alpha < 0.1 || !ms.tight {
					alpha = 0
				}
				continue
			}
			if l, ok := ms.oracle.(Loosener); ok && ms.bounding && !ms.loose && ms.lb < ms.ceilLP(ms.lp.Objective()) {
				ms.loose = true
				l.Loose(true)
				defer func() {
					ms.loose = false
					l.Loose(false)
				}()
				continue
			}
			ms.conv = true
			return
		}
		if ms.tight {
			if alpha < near {
				near = max(0.5, near-0.02)
			} else {
				near = min(0.98, near+0.01)
			}
			alpha = near
		}
	}
}

// nearly is the share of a step by which the LP value may miss the bound when
// dives begin: among boards alike the rest takes longer than all before.
const nearly = 0.004

// spend is what is demanded at prices d.
func (ms *master) spend(d *Dual) int64 {
	total := ms.paid << d.Scale
	for _, i := range ms.items {
		total += d.Pi[i] * int64(ms.demand[i])
	}
	return total
}

// excess is by how many steps the LP value is above low; endless where boards
// are many and each has its own price.
func (ms *master) excess(low int64) float64 {
	if len(ms.groups) > 3 {
		return math.Inf(1)
	}
	return (ms.lp.Objective()*ms.norm + float64(ms.sunk()-low)) / float64(ms.step)
}

// bySize is prices in proportion to sizes, where boards are alike: what is
// waste-free has no better ones, and needs no LP to find them.
func (ms *master) bySize() *Dual {
	o, ok := ms.oracle.(*lineOracle)
	if !ok || ms.nb > 0 || ms.m.Short != nil || len(ms.groups) > 3 {
		return nil
	}
	rate := math.Inf(1)
	for _, g := range ms.groups {
		length := 0
		for _, s := range o.l.Segs[g] {
			length += s
		}
		rate = math.Min(rate, float64(ms.m.Groups[g].Cost)/float64(max(length, 1)))
	}
	d := &Dual{Scale: ms.scale, Pi: make([]int64, len(ms.demand)), Rho: make([]int64, len(ms.m.Groups))}
	for _, i := range ms.items {
		d.Pi[i] = int64(math.Ldexp(rate*float64(o.l.Size[i]), int(ms.scale)))
	}
	return d
}

// hold makes d the prices of the bound.
func (ms *master) hold(d *Dual) {
	ms.top = ms.bound(d)
	ms.lb, ms.best = max(ms.lb, ms.round(ms.top)), *d
	copy(ms.bestV, ms.value)
}

// reduced is the reduced cost of a column in the state.
func (ms *master) reduced(c *Column, y []float64) float64 {
	d, bad := ms.columnCost(c)
	if bad {
		return 1
	}
	for k, i := range c.Items {
		if r := ms.rowOf[i]; r >= 0 {
			d -= y[r] * float64(c.N[k])
		}
	}
	d -= y[ms.growOf[c.Group]]
	if r := ms.lower[c.Group]; r >= 0 {
		d -= y[r]
	}
	for b := range ms.nb {
		d -= y[ms.budRow+b] * float64(ms.m.Groups[c.Group].Weight[b]) / float64(ms.m.Budgets[b])
	}
	return d
}

func (ms *master) pattern(g int, d *Dual) *Column {
	if bs := ms.st.bounds[g]; bs != nil {
		_, c := ms.oracle.(Counter).PriceBounded(g, bs, d.Pi, ms.limit)
		return c
	}
	return ms.oracle.Pattern(g)
}

// sunk is the cost already spent in the state.
func (ms *master) sunk() int64 {
	t := ms.paid
	for _, g := range ms.groups {
		if ms.supply[g] == 1 && ms.st.least[g] > 0 {
			t += ms.m.Groups[g].Cost
		}
	}
	return t
}

// ceilLP is the least plan cost an LP value allows.
func (ms *master) ceilLP(obj float64) int64 {
	v := obj*ms.norm + float64(ms.sunk())
	q := math.Ceil((v - 1e-6*(1+math.Abs(v))) / float64(ms.step))
	return int64(q) * ms.step
}

// values are the LP values of pool columns above a threshold, by pool index.
func (ms *master) values() (idx []int, x []float64) {
	v := ms.lp.Values()
	basis := ms.lp.Basis()
	type pair struct {
		k int
		x float64
	}
	var ps []pair
	for r, j := range basis {
		if int(j) >= ms.first && v[r] > 1e-6 {
			ps = append(ps, pair{int(j) - ms.first, v[r]})
		}
	}
	sort.Slice(ps, func(a, b int) bool { return ps[a].k < ps[b].k })
	for _, p := range ps {
		idx = append(idx, p.k)
		x = append(x, p.x)
	}
	return idx, x
}
