package forecast

import (
	"math"
	"slices"
)

// matrix is square and dense, row by row.
type matrix struct {
	n int
	a []float64
}

func newMatrix(n int) matrix               { return matrix{n, make([]float64, n*n)} }
func (m matrix) at(i, j int) float64       { return m.a[i*m.n+j] }
func (m matrix) set(i, j int, v float64)   { m.a[i*m.n+j] = v }
func (m matrix) addTo(i, j int, v float64) { m.a[i*m.n+j] += v }
func (m matrix) row(i int) []float64       { return m.a[i*m.n : (i+1)*m.n] }
func dot(x, y []float64) (sum float64) {
	for i := range x {
		sum += x[i] * y[i]
	}
	return sum
}

// times gives m·x.
func (m matrix) times(x []float64) []float64 {
	y := make([]float64, m.n)
	for i := range y {
		y[i] = dot(m.row(i), x)
	}
	return y
}

// inverse inverts a symmetric positive definite matrix by Cholesky's method.
// The matrices here are a positive diagonal plus squares, so it always can.
func (m matrix) inverse() matrix {
	n := m.n
	l := newMatrix(n)
	for i := range n {
		for j := 0; j <= i; j++ {
			s := m.at(i, j) - dot(l.row(i)[:j], l.row(j)[:j])
			if i == j {
				l.set(i, i, math.Sqrt(math.Max(s, math.SmallestNonzeroFloat64)))
			} else {
				l.set(i, j, s/l.at(j, j))
			}
		}
	}
	inv := newMatrix(n)
	x := make([]float64, n)
	for c := range n {
		clear(x)
		x[c] = 1
		for i := c; i < n; i++ {
			x[i] = (x[i] - dot(l.row(i)[c:i], x[c:i])) / l.at(i, i)
		}
		for i := n - 1; i >= 0; i-- {
			s := x[i]
			for k := i + 1; k < n; k++ {
				s -= l.at(k, i) * x[k]
			}
			x[i] = s / l.at(i, i)
		}
		copy(inv.row(c), x)
	}
	return inv
}

// principal gives F with m = F·Fᵀ for a symmetric positive semidefinite m, its
// columns in falling order of size, by Jacobi rotations (Golub and Van Loan,
// Matrix Computations, section 8.5).
func (m matrix) principal() matrix {
	n := m.n
	a := matrix{n, slices.Clone(m.a)}
	v := newMatrix(n)
	for i := range n {
		v.set(i, i, 1)
	}
	for range 60 {
		off, diagonal := 0.0, 0.0
		for i := range n {
			diagonal += a.at(i, i) * a.at(i, i)
			for j := range i {
				off += a.at(i, j) * a.at(i, j)
			}
		}
		if off <= 1e-26*diagonal {
			break
		}
		for p := range n {
			for q := p + 1; q < n; q++ {
				if a.at(p, q) == 0 {
					continue
				}
				theta := (a.at(q, q) - a.at(p, p)) / (2 * a.at(p, q))
				t := math.Copysign(1, theta) / (math.Abs(theta) + math.Hypot(theta, 1))
				c := 1 / math.Hypot(t, 1)
				s := t * c
				for k := range n {
					x, y := a.at(k, p), a.at(k, q)
					a.set(k, p, c*x-s*y)
					a.set(k, q, s*x+c*y)
				}
				for k := range n {
					x, y := a.at(p, k), a.at(q, k)
					a.set(p, k, c*x-s*y)
					a.set(q, k, s*x+c*y)
					x, y = v.at(k, p), v.at(k, q)
					v.set(k, p, c*x-s*y)
					v.set(k, q, s*x+c*y)
				}
			}
		}
	}
	order := make([]int, n)
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(i, j int) int {
		switch {
		case a.at(i, i) > a.at(j, j):
			return -1
		case a.at(i, i) < a.at(j, j):
			return 1
		}
		return 0
	})
	f := newMatrix(n)
	for to, from := range order {
		size := math.Sqrt(math.Max(a.at(from, from), 0))
		sign := 1.0
		if v.at(0, from) < 0 {
			sign = -1 // rotations leave the sign open; fix it
		}
		for k := range n {
			f.set(k, to, sign*size*v.at(k, from))
		}
	}
	return f
}
