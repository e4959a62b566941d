package simplex

import "math"

// Dual restores primal feasibility after right-hand sides changed, keeping
// reduced costs (clamped at zero) as good as they were. Follow with Primal.
func (lp *LP) Dual(maxPivots int) Status {
	for n := 0; ; n++ {
		if n >= maxPivots || (n&31 == 31 && lp.Stop != nil && lp.Stop()) {
			return Stopped
		}
		if lp.inv.due() {
			lp.Refactor()
		}
		r := -1
		least := -feasTol
		for i, x := range lp.x {
			if x < least {
				least, r = x, i
			}
		}
		if r < 0 {
			return Optimal
		}
		*lp.Work += lp.inv.row(r, lp.rho)
		q := int32(-1)
		best, bestPiv := math.Inf(1), 0.0
		for j := range lp.cost {
			if lp.pos[j] >= 0 || lp.off[j] {
				continue
			}
			rows, vals := lp.column(j)
			a := 0.0
			for k, row := range rows {
				a += lp.rho[row] * vals[k]
			}
			if a >= -pivTol {
				continue
			}
			d := max(lp.Reduced(j), 0)
			t := d / -a
			if t < best-1e-12 || (t < best+1e-12 && -a > bestPiv) {
				best, q, bestPiv = t, int32(j), -a
			}
		}
		*lp.Work += int64(14 * len(lp.cost))
		if q < 0 {
			return Infeasible
		}
		lp.ftran(q)
		if lp.alpha[r] > -pivTol/10 {
			lp.Refactor()
			continue
		}
		lp.pivot(r, q, lp.Reduced(int(q)))
	}
}

// Keep removes the nonbasic columns from first on for which keep is false, and
// returns the kept ones in order; they are renumbered from first.
func (lp *LP) Keep(first int, keep func(j int) bool) []int {
	var kept []int
	n, at := first, lp.start[first]
	for j := first; j < len(lp.cost); j++ {
		if lp.pos[j] < 0 && !keep(j) {
			continue
		}
		kept = append(kept, j)
		a, b := lp.start[j], lp.start[j+1]
		copy(lp.rows[at:], lp.rows[a:b])
		copy(lp.vals[at:], lp.vals[a:b])
		lp.start[n] = at
		at += b - a
		lp.cost[n], lp.off[n], lp.pos[n] = lp.cost[j], lp.off[j], lp.pos[j]
		if r := lp.pos[j]; r >= 0 {
			lp.basis[r] = int32(n)
		}
		n++
	}
	lp.start[n] = at
	lp.start, lp.rows, lp.vals = lp.start[:n+1], lp.rows[:at], lp.vals[:at]
	lp.cost, lp.off, lp.pos = lp.cost[:n], lp.off[:n], lp.pos[:n]
	lp.cand, lp.weight = lp.cand[:0], lp.weight[:0]
	return kept
}

// Clone copies the LP; only the work counter is shared.
func (lp *LP) Clone() *LP {
	c := *lp
	c.cost = append([]float64(nil), lp.cost...)
	c.start = append([]int32(nil), lp.start...)
	c.rows = append([]int32(nil), lp.rows...)
	c.vals = append([]float64(nil), lp.vals...)
	c.off = append([]bool(nil), lp.off...)
	c.b = append([]float64(nil), lp.b...)
	c.basis = append([]int32(nil), lp.basis...)
	c.pos = append([]int32(nil), lp.pos...)
	c.inv = lp.inv.clone()
	c.x = append([]float64(nil), lp.x...)
	c.y = append([]float64(nil), lp.y...)
	c.cand = append([]int32(nil), lp.cand...)
	c.alpha = make([]float64, lp.m)
	c.rho = make([]float64, lp.m)
	c.rhs = make([]float64, lp.m)
	c.dj = nil
	c.weight = append([]float64(nil), lp.weight...)
	return &c
}
