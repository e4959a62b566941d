// Package simplex solves the linear programs of the cutting master: few rows,
// many sparse columns that arrive while solving, right-hand sides and costs
// that change between solves. It is a revised simplex with an explicit dense
// inverse (rows up to a few hundred), Dantzig pricing over a candidate list, a
// perturbed right-hand side against stalling, and a dual phase for changed
// right-hand sides. Results are floating point: callers must turn duals into
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
	binv  []float64
	x     []float64 // basic values, perturbed
	y     []float64
	cand  []int32
	since int
	// Work counts elementary operations, the clock of deterministic limits.
	Work *int64
	// Stop is asked now and then; true ends the solve with Stopped.
	Stop func() bool

	alpha, rho []float64
	nz         []int32
}

// New returns an LP with one unit column a row, of the given costs.
func New(b, unitCost []float64, seed uint64) *LP {
	m := len(b)
	lp := &LP{m: m, b: append([]float64(nil), b...), pert: make([]float64, m), basis: make([]int32, m),
		binv: make([]float64, m*m), x: make([]float64, m), y: make([]float64, m),
		alpha: make([]float64, m), rho: make([]float64, m), start: []int32{0}, Work: new(int64)}
	for i := range m {
		seed = seed*6364136223846793005 + 1442695040888963407
		lp.pert[i] = 1e-6 * (1 + float64(seed>>40)/float64(1<<24))
		lp.append(Column{Rows: []int32{int32(i)}, Vals: []float64{1}, Cost: unitCost[i]})
		lp.basis[i] = int32(i)
		lp.pos = append(lp.pos, int32(i))
		lp.off = append(lp.off, false)
		lp.binv[i*m+i] = 1
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
	for i := range lp.m {
		row := lp.binv[i*lp.m : i*lp.m+lp.m]
		s := 0.0
		for k, r := range row {
			s += r * lp.b[k]
		}
		v[i] = s
	}
	*lp.Work += int64(lp.m) * int64(lp.m)
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
	for i := range lp.m {
		row := lp.binv[i*lp.m : i*lp.m+lp.m]
		s := 0.0
		for k, r := range row {
			if r != 0 {
				s += r * (lp.b[k] + lp.pert[k])
			}
		}
		lp.x[i] = s
	}
	*lp.Work += int64(lp.m) * int64(lp.m)
}

func (lp *LP) resetY() {
	for k := range lp.y {
		lp.y[k] = 0
	}
	for i := range lp.m {
		c := lp.cost[lp.basis[i]]
		if c == 0 {
			continue
		}
		row := lp.binv[i*lp.m : i*lp.m+lp.m]
		for k, r := range row {
			lp.y[k] += c * r
		}
	}
	*lp.Work += int64(lp.m) * int64(lp.m)
}

// ftran sets alpha = B^-1 A_j.
func (lp *LP) ftran(j int32) {
	m := lp.m
	a := lp.alpha
	for i := range a {
		a[i] = 0
	}
	rows, vals := lp.column(int(j))
	for k, r := range rows {
		v := vals[k]
		at := int(r)
		for i := range a {
			a[i] += v * lp.binv[at]
			at += m
		}
	}
	*lp.Work += int64(m * len(rows))
}

// pivot brings column q into row r; alpha must hold B^-1 A_q.
func (lp *LP) pivot(r int, q int32, dq float64) {
	m := lp.m
	a := lp.alpha
	row := lp.binv[r*m : r*m+m]
	inv := 1 / a[r]
	lp.nz = lp.nz[:0]
	for k, v := range row {
		if v != 0 {
			lp.nz = append(lp.nz, int32(k))
			row[k] = v * inv
		}
	}
	theta := lp.x[r] * inv
	sparse := len(lp.nz)*3 < m
	for i := range m {
		f := a[i]
		if i == r || (f < 1e-12 && f > -1e-12) {
			continue
		}
		dst := lp.binv[i*m : i*m+m]
		if sparse {
			for _, k := range lp.nz {
				dst[k] -= f * row[k]
			}
			*lp.Work += int64(len(lp.nz))
		} else {
			axpy(dst, row, f)
			*lp.Work += int64(m)
		}
		lp.x[i] -= f * theta
	}
	lp.x[r] = theta
	if dq != 0 {
		for _, k := range lp.nz {
			lp.y[k] += dq * row[k]
		}
	}
	lp.pos[lp.basis[r]] = -1
	lp.basis[r] = q
	lp.pos[q] = int32(r)
	lp.since++
}

func axpy(dst, row []float64, f float64) {
	dst = dst[:len(row)]
	k := 0
	for ; k+4 <= len(row); k += 4 {
		d := dst[k : k+4 : k+4]
		s := row[k : k+4 : k+4]
		d[0] -= f * s[0]
		d[1] -= f * s[1]
		d[2] -= f * s[2]
		d[3] -= f * s[3]
	}
	for ; k < len(row); k++ {
		dst[k] -= f * row[k]
	}
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
	m := lp.m
	want := append([]int32(nil), lp.basis...)
	for i := range lp.binv {
		lp.binv[i] = 0
	}
	for i := range m {
		lp.binv[i*m+i] = 1
	}
	for j := range lp.pos {
		lp.pos[j] = -1
	}
	taken := make([]bool, m)
	newBasis := make([]int32, m)
	var rest []int32
	for _, j := range want {
		rows, vals := lp.column(int(j))
		if len(rows) == 1 && !taken[rows[0]] {
			r := rows[0]
			taken[r] = true
			newBasis[r] = j
			lp.binv[int(r)*m+int(r)] = 1 / vals[0]
			continue
		}
		rest = append(rest, j)
	}
	ok := true
	saveX := lp.x
	lp.x = make([]float64, m)
	for _, j := range rest {
		lp.ftran(j)
		best, r := pivTol, -1
		for i, v := range lp.alpha {
			if !taken[i] && math.Abs(v) > best {
				best, r = math.Abs(v), i
			}
		}
		if r < 0 {
			ok = false
			break
		}
		taken[r] = true
		lp.basis[r] = int32(r) // stands in for the unit column being replaced
		lp.pivot(r, j, 0)
		newBasis[r] = j
	}
	lp.x = saveX
	if !ok {
		for i := range lp.binv {
			lp.binv[i] = 0
		}
		for i := range m {
			lp.binv[i*m+i] = 1
			newBasis[i] = int32(i)
		}
	}
	copy(lp.basis, newBasis)
	for j := range lp.pos {
		lp.pos[j] = -1
	}
	for i, j := range lp.basis {
		lp.pos[j] = int32(i)
	}
	lp.since = 0
	lp.resetX()
	lp.resetY()
	return ok
}

// Refresh recomputes basic values and duals after costs or right-hand sides changed.
func (lp *LP) Refresh() {
	if lp.since >= refactor {
		lp.Refactor()
		return
	}
	lp.resetX()
	lp.resetY()
}

// Primal makes the basis optimal. The basis must be primal feasible (Refresh
// and Dual first when right-hand sides changed).
func (lp *LP) Primal(maxPivots int) Status {
	for n := 0; ; n++ {
		if n >= maxPivots || (n&31 == 31 && lp.Stop != nil && lp.Stop()) {
			return Stopped
		}
		if lp.since >= refactor {
			lp.Refactor()
		}
		q, dq := lp.entering()
		if q < 0 {
			return Optimal
		}
		lp.ftran(q)
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
		if r < 0 {
			return Unbounded
		}
		if lp.x[r] < 0 {
			lp.x[r] = 0
		}
		lp.pivot(r, q, dq)
	}
}

// entering returns the column of most negative reduced cost, from the
// candidates of the last full pass while any is left.
func (lp *LP) entering() (int32, float64) {
	for {
		best, q := -optTol, int32(-1)
		keep := lp.cand[:0]
		for _, j := range lp.cand {
			if lp.pos[j] >= 0 || lp.off[j] {
				continue
			}
			if d := lp.Reduced(int(j)); d < -optTol {
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
			if d := lp.Reduced(j); d < -optTol {
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
