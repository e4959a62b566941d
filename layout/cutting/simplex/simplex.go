// Package simplex solves the linear programs of the cutting master: few rows,
// many sparse columns that arrive while solving, right-hand sides and costs
// that change between solves. It is a revised simplex with an explicit dense
// inverse, or sparse factors where rows are many, Dantzig pricing over a
// candidate list, a perturbed right-hand side against stalling, and a dual phase
// for changed right-hand sides. Results are floating point: callers must turn duals into
// integer certificates before they claim anything. Start at LP.
//
// Method: Dantzig 1963, "Linear Programming and Extensions", ch. 9 (product of
// pivots on an explicit inverse); Lemke 1954 (dual simplex).
package simplex

import "math"

// Column is a sparse column: Vals[k] stands in row Rows[k].
type Column struct {
	Rows []int32
	Vals []float64
	Cost float64
}

// Status says how a solve ended.
type Status int

// The ways a solve ends.
const (
	Optimal Status = iota
	Unbounded
	Infeasible
	Stopped // the stop function asked, or the pivots ran out
)

const (
	optTol   = 1e-9
	pivTol   = 1e-7
	feasTol  = 1e-9
	refactor = 300
	// denseRows is the number of rows up to which the inverse is kept as such.
	denseRows = 100
)

// LP is: least cost·x with A x = b, x >= 0. Column i < m of a fresh LP is the
// unit column of row i; together they are the first basis. Not safe for use
// by several goroutines.
type LP struct {
	m     int
	cost  []float64
	start []int32 // column j is rows[start[j]:start[j+1]]
	rows  []int32
	vals  []float64
	off   []bool // never enters
	b     []float64
	pert  []float64
	basis []int32
	pos   []int32 // row of a basic column, else -1
	inv   inverse
	x     []float64 // basic values, perturbed
	y     []float64
	cand  []int32
	// Work counts elementary operations, the clock of deterministic limits.
	Work *int64
	// Stop is asked now and then; true ends the solve with Stopped.
	Stop func() bool

	// Tol is the least reduced cost worth a pivot.
	Tol float64

	alpha, rho []float64
	rhs        []float64
	dj, weight []float64 // see steep
}

// New returns an LP with one unit column a row, of the given costs.
func New(b, unitCost []float64, seed uint64) *LP {
	m := len(b)
	lp := &LP{m: m, b: append([]float64(nil), b...), pert: make([]float64, m), basis: make([]int32, m),
		x: make([]float64, m), y: make([]float64, m),
		alpha: make([]float64, m), rho: make([]float64, m), rhs: make([]float64, m), start: []int32{0}, Work: new(int64), Tol: optTol}
	for i := range m {
		seed = seed*6364136223846793005 + 1442695040888963407
		lp.pert[i] = 1e-6 * (1 + float64(seed>>40)/float64(1<<24))
		lp.append(Column{Rows: []int32{int32(i)}, Vals: []float64{1}, Cost: unitCost[i]})
		lp.basis[i] = int32(i)
		lp.pos = append(lp.pos, int32(i))
		lp.off = append(lp.off, false)
	}
	if m <= denseRows {
		lp.inv = &dense{m: m, binv: make([]float64, m*m)}
		lp.inv.unit()
	} else {
		lp.inv = newFactors(m)
	}
	lp.resetX()
	lp.resetY()
	return lp
}

// Rows is the number of rows.
func (lp *LP) Rows() int { return lp.m }

// Len is the number of columns.
func (lp *LP) Len() int { return len(lp.cost) }

// Add appends a nonbasic column and returns its index.
func (lp *LP) Add(c Column) int {
	lp.append(c)
	lp.pos = append(lp.pos, -1)
	lp.off = append(lp.off, false)
	lp.cand = append(lp.cand, int32(len(lp.cost)-1))
	return len(lp.cost) - 1
}

func (lp *LP) append(c Column) {
	lp.cost = append(lp.cost, c.Cost)
	lp.rows = append(lp.rows, c.Rows...)
	lp.vals = append(lp.vals, c.Vals...)
	lp.start = append(lp.start, int32(len(lp.rows)))
}

// column is the rows and values of column j.
func (lp *LP) column(j int) ([]int32, []float64) {
	a, b := lp.start[j], lp.start[j+1]
	rows := lp.rows[a:b]
	return rows, lp.vals[a:b][:len(rows)]
}

// SetCost changes a column's cost; the basis stays primal feasible.
func (lp *LP) SetCost(j int, c float64) { lp.cost[j] = c }

// Cost is the cost of column j.
func (lp *LP) Cost(j int) float64 { return lp.cost[j] }

// Ban keeps column j from entering the basis (it may still be in it).
func (lp *LP) Ban(j int, off bool) { lp.off[j] = off }

// Banned reports whether column j may not enter.
func (lp *LP) Banned(j int) bool { return lp.off[j] }

// SetRHS changes row i; call Dual afterwards.
func (lp *LP) SetRHS(i int, v float64) { lp.b[i] = v }

// RHS is the right-hand side of row i.
func (lp *LP) RHS(i int) float64 { return lp.b[i] }

// Basic reports whether column j is in the basis.
func (lp *LP) Basic(j int) bool { return lp.pos[j] >= 0 }

// Duals are the row prices of the current basis. The slice is reused.
func (lp *LP) Duals() []float64 { return lp.y }

// Values are the basic values for the unperturbed right-hand side, by row, and
// Basis the columns they belong to.
func (lp *LP) Values() []float64 {
	v := make([]float64, lp.m)
	*lp.Work += lp.inv.mul(lp.b, v)
	return v
}

// Basis is a copy of the basic columns by row.
func (lp *LP) Basis() []int32 { return append([]int32(nil), lp.basis...) }

// Objective is the cost of the current basis for the unperturbed right-hand side.
func (lp *LP) Objective() float64 {
	s := 0.0
	for i, y := range lp.y {
		s += y * lp.b[i]
	}
	return s
}

// Reduced is the reduced cost of column j.
func (lp *LP) Reduced(j int) float64 {
	rows, vals := lp.column(j)
	d := lp.cost[j]
	for k, r := range rows {
		d -= lp.y[r] * vals[k]
	}
	return d
}

func (lp *LP) resetX() {
	for i, v := range lp.b {
		lp.rhs[i] = v + lp.pert[i]
	}
	*lp.Work += lp.inv.mul(lp.rhs, lp.x)
}

func (lp *LP) resetY() { *lp.Work += lp.inv.prices(lp.cost, lp.basis, lp.y) }

// ftran sets alpha = B^-1 A_j.
func (lp *LP) ftran(j int32) {
	rows, vals := lp.column(int(j))
	*lp.Work += lp.inv.solve(rows, vals, lp.alpha)
}

// pivot brings column q into row r; alpha must hold B^-1 A_q.
func (lp *LP) pivot(r int, q int32, dq float64) {
	theta := lp.x[r] * (1 / lp.alpha[r])
	*lp.Work += lp.inv.update(r, lp.alpha)
	for i, f := range lp.alpha {
		if f >= 1e-12 || f <= -1e-12 {
			lp.x[i] -= f * theta
		}
	}
	lp.x[r] = theta
	if dq != 0 {
		*lp.Work += lp.inv.addRow(r, dq, lp.y)
	}
	lp.pos[lp.basis[r]] = -1
	lp.basis[r] = q
	lp.pos[q] = int32(r)
}

// SetBasis installs a basis of earlier columns; false if it is singular, then
// the unit basis stands.
func (lp *LP) SetBasis(basis []int32) bool {
	copy(lp.basis, basis)
	return lp.Refactor()
}

// Refactor rebuilds the inverse from the basis. On a singular basis it falls
// back to the unit basis and returns false.
func (lp *LP) Refactor() bool {
	basis, work := lp.inv.factor(lp, lp.basis)
	*lp.Work += work
	ok := basis != nil
	if !ok {
		for i := range lp.m {
			basis = append(basis, int32(i))
		}
	}
	for j := range lp.pos {
		lp.pos[j] = -1
	}
	for i, j := range basis {
		lp.basis[i], lp.pos[j] = j, int32(i)
	}
	lp.resetX()
	lp.resetY()
	return ok
}

// Refresh recomputes basic values and duals after costs or right-hand sides changed.
func (lp *LP) Refresh() {
	if lp.inv.due() {
		lp.Refactor()
		return
	}
	lp.resetX()
	lp.resetY()
}

// Primal makes the basis optimal. The basis must be primal feasible (Refresh
// and Dual first when right-hand sides changed).
func (lp *LP) Primal(maxPivots int) Status {
	if lp.m > denseRows {
		return lp.steep(maxPivots)
	}
	for n := 0; ; n++ {
		if n >= maxPivots || (n&31 == 31 && lp.Stop != nil && lp.Stop()) {
			return Stopped
		}
		if lp.inv.due() {
			lp.Refactor()
		}
		q, dq := lp.entering()
		if q < 0 {
			return Optimal
		}
		lp.ftran(q)
		r := lp.leaving()
		if r < 0 {
			return Unbounded
		}
		if lp.x[r] < 0 {
			lp.x[r] = 0
		}
		lp.pivot(r, q, dq)
	}
}

// leaving is the row in which alpha meets zero first, -1 when none does.
func (lp *LP) leaving() int {
	r := -1
	best, bestPiv := math.Inf(1), 0.0
	for i, a := range lp.alpha {
		if a <= pivTol {
			continue
		}
		x := lp.x[i]
		if x < 0 {
			x = 0
		}
		t := x / a
		if t < best-1e-12 || (t < best+1e-12 && a > bestPiv) {
			best, r, bestPiv = t, i, a
		}
	}
	return r
}

// entering returns the column of most negative reduced cost, from the
// candidates of the last full pass while any is left.
func (lp *LP) entering() (int32, float64) {
	for {
		best, q := -lp.Tol, int32(-1)
		keep := lp.cand[:0]
		for _, j := range lp.cand {
			if lp.pos[j] >= 0 || lp.off[j] {
				continue
			}
			if d := lp.Reduced(int(j)); d < -lp.Tol {
				keep = append(keep, j)
				if d < best {
					best, q = d, j
				}
			}
		}
		*lp.Work += int64(8 * len(lp.cand))
		lp.cand = keep
		if q >= 0 {
			return q, best
		}
		lp.cand = lp.cand[:0]
		for j := range lp.cost {
			if lp.pos[j] >= 0 || lp.off[j] {
				continue
			}
			if d := lp.Reduced(j); d < -lp.Tol {
				lp.cand = append(lp.cand, int32(j))
			}
		}
		*lp.Work += int64(8 * len(lp.cost))
		if len(lp.cand) == 0 {
			return -1, 0
		}
		if len(lp.cand) > 60 {
			// Keep the better part: a stable cut at the mean reduced cost.
			sum := 0.0
			for _, j := range lp.cand {
				sum += lp.Reduced(int(j))
			}
			// Equal costs must not all come out dearer than their rounded mean.
			mean := sum / float64(len(lp.cand)) * (1 - 1e-9)
			keep := lp.cand[:0]
			for _, j := range lp.cand {
				if lp.Reduced(int(j)) <= mean {
					keep = append(keep, j)
				}
			}
			lp.cand = keep
		}
	}
}
