package pattern

import (
	"math/rand/v2"
	"sort"
)

// recut takes a few boards out of a plan and cuts their blanks again from them
// and from unused boards, as a problem of its own. It returns a plan no more
// expensive, or nil when nothing better was found.
func recut(m *Model, o Oracle, clk *clock, p *Plan, supply []int, root *master, k int, r *rand.Rand) *Plan {
	var units []*Column
	for _, u := range p.Uses {
		for range u.N {
			units = append(units, u.Col)
		}
	}
	if len(units) == 0 {
		return nil
	}
	k = min(k, len(units))
	// What a board costs beyond the prices of its blanks says how badly it is cut.
	loss := make([]float64, len(units))
	for n, c := range units {
		l := float64(m.columnCost(c))
		for q, i := range c.Items {
			l -= float64(root.best.Pi[i]) / float64(int64(1)<<root.best.Scale) * float64(c.N[q])
		}
		loss[n] = l
	}
	order := r.Perm(len(units))
	if r.IntN(3) > 0 {
		sort.SliceStable(order, func(a, b int) bool { return loss[order[a]] > loss[order[b]] })
		// The worst few, each with a chance, then anything.
		var first, rest []int
		for _, n := range order {
			if len(first) < (k+1)/2 && r.IntN(3) > 0 {
				first = append(first, n)
			} else {
				rest = append(rest, n)
			}
		}
		r.Shuffle(len(rest), func(a, b int) { rest[a], rest[b] = rest[b], rest[a] })
		order = append(first, rest...)
	}
	chosen := make([]bool, len(units))
	for _, n := range order[:k] {
		chosen[n] = true
	}
	demand, avail := make([]int, len(m.Demand)), append([]int(nil), supply...)
	sub := *m
	sub.Budgets = append([]int64(nil), m.Budgets...)
	freed := int64(0)
	var keep []Use
	for n, c := range units {
		if !chosen[n] {
			keep = append(keep, Use{c, 1})
			avail[c.Group]--
			for b, w := range m.Groups[c.Group].Weight {
				sub.Budgets[b] -= w
			}
			continue
		}
		freed += m.columnCost(c)
		for q, i := range c.Items {
			demand[i] += c.N[q]
		}
	}
	if p.Short != nil {
		for i, n := range p.Short {
			demand[i] += n
			if m.Short != nil {
				freed += m.Short[i] * int64(n)
			}
		}
	}
	// Unused boards: the most promising by price, and a few others.
	inUse := make([]bool, len(m.Groups))
	for n, c := range units {
		if chosen[n] {
			inUse[c.Group] = true
		}
	}
	var spare []int
	for g := range m.Groups {
		if avail[g] > 0 && !inUse[g] {
			spare = append(spare, g)
		}
	}
	lose := func(g int) int64 { return m.Groups[g].Cost<<root.best.Scale - root.bestV[g] }
	sort.SliceStable(spare, func(a, b int) bool { return lose(spare[a]) < lose(spare[b]) })
	most := 10 + 2*k
	nodes := 6
	if !m.lines(o) { // dear to price
		most, nodes = 5+k, 3
	}
	for n, g := range spare {
		if n >= most && r.IntN(len(spare)) > 4 {
			avail[g] = 0
		}
	}
	ms := newMaster(&sub, clk, o, demand, avail, r.Uint64())
	for n, c := range units {
		if chosen[n] {
			ms.add(c)
		}
	}
	for _, c := range root.pool {
		ms.add(c)
	}
	// Equal plans are welcome now and then: they lead out of a dead end.
	ub := freed
	if r.IntN(2) == 0 {
		ub += ms.step
	}
	best := ms.small(ub, nodes, r)
	if best == nil {
		return nil
	}
	out := &Plan{Uses: append(keep, best.Uses...), Short: best.Short}
	out.price(m)
	return out
}

// lines reports whether boards are lines, which are cheap to price.
func (m *Model) lines(o Oracle) bool {
	c, ok := o.(Counter)
	if !ok {
		return false
	}
	n := 0
	for g := range m.Groups {
		if c.Line(g) {
			n++
		}
	}
	return 2*n >= len(m.Groups)
}

// small searches a small master: a dive, then a few nodes.
func (ms *master) small(ub int64, nodes int, r *rand.Rand) *Plan {
	ms.generate(ub, 60, false, false)
	if ms.lb >= ub || ms.clk.cancelled() {
		return nil
	}
	t := newTree(ms, ub, r)
	t.heuristicEvery = 2
	for n := 0; n < nodes && !t.done(); n++ {
		t.step()
		if ms.clk.cancelled() {
			break
		}
		if t.plan != nil {
			break
		}
	}
	return t.plan
}
