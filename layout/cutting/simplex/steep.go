package simplex

// steep is Primal where rows are many and pivots dear: reduced costs are kept
// and divided by reference weights, which takes a pass over all columns a pivot
// and a third of the pivots.
//
// Method: Forrest & Goldfarb 1992, "Steepest-edge simplex algorithms for linear
// programming" (the Devex weights of Harris 1973).
func (lp *LP) steep(maxPivots int) Status {
	for len(lp.weight) < len(lp.cost) {
		lp.weight = append(lp.weight, 1)
	}
	if cap(lp.dj) < len(lp.cost) {
		lp.dj = make([]float64, len(lp.cost)+len(lp.cost)/4)
	}
	lp.dj = lp.dj[:len(lp.cost)]
	lp.reduce()
	fresh := true
	for n := 0; ; n++ {
		if n >= maxPivots || (n&15 == 15 && lp.Stop != nil && lp.Stop()) {
			return Stopped
		}
		if lp.inv.due() {
			lp.Refactor()
			lp.reduce()
			fresh = true
		}
		q, best := int32(-1), 0.0
		for j, d := range lp.dj {
			if d < -lp.Tol && d*d > best*lp.weight[j] {
				best, q = d*d/lp.weight[j], int32(j)
			}
		}
		*lp.Work += int64(len(lp.dj))
		if q < 0 {
			if fresh {
				return Optimal
			}
			lp.resetY()
			lp.reduce()
			fresh = true
			continue
		}
		dq := lp.Reduced(int(q))
		if dq >= -lp.Tol {
			lp.dj[q] = dq
			continue
		}
		lp.ftran(q)
		r := lp.leaving()
		if r < 0 {
			return Unbounded
		}
		if lp.x[r] < 0 {
			lp.x[r] = 0
		}
		lp.passRow(r, q, dq)
		lp.pivot(r, q, 0)
		fresh = false
	}
}

// reduce computes all reduced costs anew; those of columns that may not enter
// are zero.
func (lp *LP) reduce() {
	for j := range lp.dj {
		lp.dj[j] = 0
		if lp.pos[j] < 0 && !lp.off[j] {
			lp.dj[j] = lp.Reduced(j)
		}
	}
	*lp.Work += int64(8 * len(lp.dj))
}

// passRow updates prices, reduced costs and weights for q entering in row r.
func (lp *LP) passRow(r int, q int32, dq float64) {
	*lp.Work += lp.inv.row(r, lp.rho)
	pivot := lp.alpha[r]
	step := dq / pivot
	for k, v := range lp.rho {
		lp.y[k] += step * v
	}
	wq := lp.weight[q] / (pivot * pivot)
	for j := range lp.dj {
		if lp.pos[j] >= 0 || lp.off[j] {
			continue
		}
		a, b := lp.start[j], lp.start[j+1]
		rows := lp.rows[a:b]
		vals := lp.vals[a:b][:len(rows)]
		v := 0.0
		for k, row := range rows {
			v += lp.rho[row] * vals[k]
		}
		if v == 0 {
			continue
		}
		lp.dj[j] -= step * v
		if w := v * v * wq; w > lp.weight[j] {
			lp.weight[j] = w
		}
	}
	*lp.Work += int64(8 * len(lp.dj))
	lp.dj[q] = 0
	out := lp.basis[r]
	lp.dj[out] = 0
	if !lp.off[out] {
		lp.dj[out] = -step
	}
	if lp.weight[out] = max(wq, 1); wq > 1e8 {
		for j := range lp.weight {
			lp.weight[j] = 1
		}
	}
}
