package pattern

import (
	"math"
	"math/rand/v2"
	"sort"
)

// dive fixes the patterns the LP likes best, one after another, repairing the
// LP by column generation after each, until every demand is met. It uses up the
// master: give it a clone. Plans that cannot be cheaper than ub are abandoned.
func (ms *master) dive(r *rand.Rand, noise float64, ub int64) *Plan {
	ms.slim(4 * ms.lp.Rows())
	ms.bounding = false
	st := &state{closed: append([]bool(nil), ms.st.closed...), most: append([]int(nil), ms.st.most...),
		least: append([]int(nil), ms.st.least...), bounds: ms.st.bounds, pairs: ms.st.pairs}
	ms.st = st
	left := append([]int(nil), ms.demand...)
	ms.demand = left
	ms.limit = left
	for _, g := range ms.groups {
		if lr := ms.lower[g]; lr >= 0 {
			ms.lp.SetRHS(lr, 0)
		}
	}
	budget := make([]float64, ms.nb)
	for b := range budget {
		budget[b] = ms.lp.RHS(ms.budRow + b)
	}
	plan := &Plan{}
	spent := int64(0) // of boards whose cost is not sunk
	total := 0
	for _, d := range left {
		total += d
	}
	remaining := total
	type choice struct {
		k     int
		x     float64
		score float64
	}
	take := func(col *Column, n int) bool {
		for ; n > 0; n-- {
			c := col.within(left)
			if c == nil || st.most[c.Group] <= 0 {
				return false
			}
			g := c.Group
			for b := range budget {
				w := float64(ms.m.Groups[g].Weight[b]) / float64(ms.m.Budgets[b])
				if w > budget[b]+1e-12 {
					return false
				}
			}
			for b := range budget {
				budget[b] -= float64(ms.m.Groups[g].Weight[b]) / float64(ms.m.Budgets[b])
				ms.lp.SetRHS(ms.budRow+b, max(0, budget[b]))
			}
			for k, i := range c.Items {
				left[i] -= c.N[k]
				remaining -= c.N[k]
				ms.lp.SetRHS(ms.rowOf[i], float64(left[i]))
			}
			st.most[g]--
			ms.lp.SetRHS(ms.growOf[g], float64(st.most[g]))
			if st.most[g] == 0 {
				ms.want[g] = false
			}
			spent += ms.m.columnCost(c)
			if ms.supply[g] == 1 && st.least[g] > 0 {
				spent -= ms.m.Groups[g].Cost
			}
			plan.Uses = append(plan.Uses, Use{c, 1})
		}
		return true
	}
	var cs []choice
	first := ms
	type step struct { // one round of choices
		ms     *master
		mark   int   // patterns used before
		last   []int // pool columns chosen
		barred []int // chosen before and found wrong
		fails  int
		basis  []int32 // before the choice, where the LP is solved to the end
	}
	var steps []step
	retry := false
	giveBack := func(mark int) {
		for _, u := range plan.Uses[mark:] {
			g := u.Col.Group
			for k, i := range u.Col.Items {
				left[i] += u.Col.N[k]
				remaining += u.Col.N[k]
			}
			st.most[g]++
			spent -= ms.m.columnCost(u.Col)
			if ms.supply[g] == 1 && st.least[g] > 0 {
				spent += ms.m.Groups[g].Cost
			}
			for b := range budget {
				budget[b] += float64(ms.m.Groups[g].Weight[b]) / float64(ms.m.Budgets[b])
			}
		}
		plan.Uses = plan.Uses[:mark]
		ms.resume(left, budget)
	}
	undo, failures := 0, 0
	if (ub-ms.lb)/ms.step <= 2 { // coarse costs: one wrong choice is the gap
		undo = 24
		if len(ms.groups) <= 3 { // boards alike: any order of choices is as good
			undo = 600
		}
	} else if !ms.m.lines(ms.oracle) { // few, dear boards
		undo = 8
	}
	slack := 0.0
	if e := ms.excess(ms.lb); ms.lb+ms.step >= ub && e < 2*nearly {
		slack = max(e, 0) * float64(ms.step)
	}
	allows := func() int64 {
		if ms.tight && ms.lp.Objective()*ms.norm+float64(ms.sunk()+spent-ub+first.step) > 4e-9 {
			return ub
		}
		share := float64(remaining) / float64(total)
		return spent + ms.ceilLP(ms.lp.Objective()-slack*share/ms.norm)
	}
	// Where hardly any waste is allowed, a pattern with more ends the dive.
	var size *Dual
	room := int64(math.MaxInt64)
	if ms.lb+ms.step >= ub {
		size = ms.bySize()
	}
	waste := func(c *Column) int64 {
		if size == nil {
			return 0
		}
		w := ms.m.Groups[c.Group].Cost << size.Scale
		for k, i := range c.Items {
			w -= size.Pi[i] * int64(min(c.N[k], left[i]))
		}
		return w
	}
	for remaining > 0 {
		if ms.clk.cancelled() {
			return nil
		}
		if size != nil {
			room = (ub-first.step-spent)<<size.Scale + int64(remaining)
			for i, n := range left {
				room -= size.Pi[i] * int64(n)
			}
		}
		skipped := 0
		idx, x := ms.values()
		// An LP solved to the end loses nothing by its whole patterns: they are no
		// choice, and go with the one before.
		safe := false
		if ms.tight {
			for n, k := range idx {
				c := ms.pool[k]
				safe = safe || x[n] > 1-1e-4 && c.times(left) >= 1 && waste(c) <= room && !ms.lp.Banned(ms.first+k)
			}
		}
		if !retry && (!safe || len(steps) == 0) {
			steps = append(steps, step{ms: ms, mark: len(plan.Uses)})
			if ms.tight {
				steps[len(steps)-1].basis = ms.lp.Basis()
			}
		}
		retry = false
		top := &steps[len(steps)-1]
		if !safe {
			top.last = nil
		}
		cs = cs[:0]
		fixed := false
		for n, k := range idx {
			c := ms.pool[k]
			if _, bad := ms.columnCost(c); bad || ms.lp.Banned(ms.first+k) || st.most[c.Group] <= 0 {
				continue
			}
			if whole := int(x[n] + 1e-4); whole >= 1 && c.times(left) >= 1 {
				n := min(whole, c.times(left))
				if w := waste(c); w*int64(n) > room {
					skipped++
					continue
				} else {
					room -= w * int64(n)
				}
				if take(c, n) {
					fixed = true
					if !safe {
						top.last = append(top.last, k)
					}
				}
				continue
			}
			if waste(c) > room {
				skipped++
				continue
			}
			// A pattern that can only be used in part counts in part.
			keep, all := 0, 0
			for q, i := range c.Items {
				keep += min(c.N[q], left[i])
				all += c.N[q]
			}
			s := x[n] * (1 + noise*(r.Float64()-0.5)) * float64(keep) / float64(all)
			cs = append(cs, choice{k, x[n], s})
		}
		dead := !fixed && len(cs) == 0 && skipped > 0
		if !fixed && !dead {
			if len(cs) == 0 {
				break
			}
			sort.SliceStable(cs, func(a, b int) bool { return cs[a].score > cs[b].score })
			most := 1 + len(cs)/12
			if ms.tight {
				most = 1
			}
			for n, c := range cs {
				if n >= most || (n > 0 && c.score < 0.6) {
					break
				}
				if w := waste(ms.pool[c.k]); n > 0 && w > room {
					continue
				} else {
					room -= w
				}
				if take(ms.pool[c.k], 1) {
					fixed = true
					top.last = append(top.last, c.k)
				}
			}
			if !fixed {
				break
			}
		}
		if remaining == 0 {
			break
		}
		if !dead {
			if c := ms.rest(left, budget); c != nil {
				ms = c
			} else {
				ms.lp.Refresh()
				ms.lp.Dual(4000)
			}
			ms.lb, ms.top, ms.exact = -1<<62, -1<<62, nil
			rounds := 3 + remaining/200 + 20/(1+len(cs)/4)
			if ms.tight {
				rounds = 300
			}
			ms.generate(ub-spent, rounds, false, false)
			if ms.clk.cancelled() {
				return nil
			}
			if ms.lb < ub-spent && allows() >= ub {
				ms.generate(ub-spent, 60, false, false) // the LP value is not yet the bound's equal
			}
			if ms.clk.cancelled() {
				return nil
			}
			if ms.lb < ub-spent && allows() < ub {
				continue
			}
		}
		if dead { // nothing here to choose
			top.fails = 2
		}
		// This choice cannot lead to a better plan: take it back, bar its
		// patterns and choose again; after a few failures at one depth, go
		// back one choice more.
		// Where one place fails time and again the wrong choice was made long
		// before.
		if failures++; size != nil && failures%stubborn == 0 {
			back := remaining + remaining*failures/(2*stubborn)
			for len(steps) > 1 && remaining < back {
				ms = steps[len(steps)-1].ms
				giveBack(steps[len(steps)-1].mark)
				steps = steps[:len(steps)-1]
			}
			steps[len(steps)-1].fails = 0
		}
		for failed := true; failed; {
			for again := true; again; {
				if undo--; undo < 0 || len(steps) == 0 {
					return nil
				}
				top := &steps[len(steps)-1]
				ms = top.ms
				giveBack(top.mark)
				if top.fails++; top.fails <= 2 && (len(top.last) > 0 || !ms.tight) {
					for _, j := range top.last {
						ms.lp.SetCost(ms.first+j, ms.big*10)
						ms.lp.Ban(ms.first+j, true)
					}
					top.barred = append(top.barred, top.last...)
					top.last = nil
					again = false
					continue
				}
				for _, j := range top.barred {
					cost, bad := ms.columnCost(ms.pool[j])
					ms.lp.SetCost(ms.first+j, cost)
					ms.lp.Ban(ms.first+j, bad)
				}
				steps = steps[:len(steps)-1]
			}
			if b := steps[len(steps)-1].basis; b == nil || !ms.lp.SetBasis(b) {
				ms.lp.Refresh()
				ms.lp.Dual(4000)
			}
			ms.lb, ms.top, ms.exact = -1<<62, -1<<62, nil
			rounds := 60
			if ms.tight {
				rounds = 300
			}
			ms.generate(ub-spent, rounds, false, false)
			if ms.clk.cancelled() {
				return nil
			}
			// The case itself may have been a dead end all along.
			failed = ms.lb >= ub-spent || ms.tight && allows() >= ub
			if failed {
				steps[len(steps)-1].fails = 3
			}
		}
		retry = true
	}
	if remaining > 0 {
		rest := ms.finish(left)
		if rest == nil {
			return nil
		}
		plan.Uses = append(plan.Uses, rest.Uses...)
		left = rest.Short
	}
	if ms != first {
		first.pool = append(first.pool, ms.pool...)
	}
	plan.Short = append([]int(nil), left...)
	plan.price(ms.m)
	return plan
}

// stubborn is how often a dive fails before it goes back further.
const stubborn = 10

// manyRows is the number of rows from which a dive takes done rows out.
const manyRows = 100

// rest is the master of what a dive has left to do, without the rows that are
// done; nil while those are few. Rows whose demand is met stand still at zero,
// and a linear program of many such takes many pivots to get nowhere.
func (ms *master) rest(left []int, budget []float64) *master {
	live := ms.nb
	for _, i := range ms.items {
		if left[i] > 0 {
			live++
		}
	}
	supply, paid := make([]int, len(ms.supply)), ms.paid
	for _, g := range ms.groups {
		switch {
		case ms.st.most[g] > 0 && !ms.st.closed[g]:
			supply[g] = ms.supply[g]
			if live++; ms.lower[g] >= 0 {
				live++
			}
		case ms.supply[g] == 1 && ms.st.least[g] > 0:
			paid += ms.m.Groups[g].Cost
		}
	}
	if rows := ms.lp.Rows(); rows < manyRows || rows-live < rows/6 {
		return nil
	}
	c := newMaster(ms.m, ms.clk, ms.oracle, left, supply, 7)
	c.paid, c.step, c.tight = paid, ms.step, ms.tight
	c.demand, c.limit = left, left
	c.enter(ms.st)
	c.resume(left, budget)
	for k, col := range ms.pool {
		if ms.growOf[col.Group] < 0 || supply[col.Group] == 0 {
			continue
		}
		if ms.lp.Banned(ms.first + k) {
			c.index[col.key()] = true
			continue
		}
		if col = col.within(left); col != nil {
			c.add(col)
		}
	}
	c.lp.Refresh()
	return c
}

// resume sets the right-hand sides to what is left.
func (ms *master) resume(left []int, budget []float64) {
	for r, i := range ms.items {
		ms.lp.SetRHS(r, float64(left[i]))
	}
	for _, g := range ms.groups {
		ms.want[g] = ms.st.most[g] > 0 && !ms.st.closed[g]
		ms.lp.SetRHS(ms.growOf[g], float64(ms.st.most[g]))
		if r := ms.lower[g]; r >= 0 {
			ms.lp.SetRHS(r, 0)
		}
	}
	for b, v := range budget {
		ms.lp.SetRHS(ms.budRow+b, v)
	}
}

// finish places what a dive could not, greedily by the LP's prices.
func (ms *master) finish(left []int) *Plan {
	value := make([]float64, len(left))
	y := ms.lp.Duals()
	for r, i := range ms.items {
		value[i] = max(y[r], 0) + 1e-3*ms.big
	}
	avail := make([]int, len(ms.m.Groups))
	for _, g := range ms.groups {
		if !ms.st.closed[g] {
			avail[g] = ms.st.most[g]
		}
	}
	sub := *ms.m
	sub.Budgets = append([]int64(nil), ms.m.Budgets...)
	for b := range sub.Budgets {
		sub.Budgets[b] = int64(ms.lp.RHS(ms.budRow+b) * float64(ms.m.Budgets[b]))
	}
	return greedy(&sub, ms.oracle, ms.clk, left, avail, value, 0)
}

// price recomputes the cost of a plan.
func (p *Plan) price(m *Model) {
	p.Cost = 0
	for _, u := range p.Uses {
		p.Cost += int64(u.N) * m.columnCost(u.Col)
	}
	if m.Short != nil {
		for i, n := range p.Short {
			p.Cost += int64(n) * m.Short[i]
		}
	}
}

// keeps reports whether the plan meets demands, supplies and budgets.
func (p *Plan) keeps(m *Model, demand, supply []int) bool {
	if p == nil {
		return false
	}
	made, used, spent := make([]int, len(demand)), make([]int, len(supply)), make([]int64, len(m.Budgets))
	for _, u := range p.Uses {
		used[u.Col.Group] += u.N
		for b := range spent {
			spent[b] += int64(u.N) * m.Groups[u.Col.Group].Weight[b]
		}
		for k, i := range u.Col.Items {
			made[i] += u.N * u.Col.N[k]
		}
	}
	for i, d := range demand {
		short := 0
		if p.Short != nil {
			short = p.Short[i]
		}
		if made[i]+short != d || (m.Short == nil && short > 0) {
			return false
		}
	}
	for g, u := range supply {
		if used[g] > u {
			return false
		}
	}
	for b, s := range spent {
		if s > m.Budgets[b] {
			return false
		}
	}
	return true
}
