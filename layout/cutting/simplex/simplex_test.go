package simplex

import (
	"math"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/optimize/convex/lp"
)

// random makes a covering program like the cutting master: item rows with
// shortage units and surplus, group rows with slack.
func random(r *rand.Rand, items, groups, cols int) (*LP, []Column, []float64) {
	m := items + groups
	b, cost := make([]float64, m), make([]float64, m)
	for i := range m {
		if i < items {
			b[i], cost[i] = float64(1+r.IntN(5)), 50
		} else {
			b[i] = float64(1 + r.IntN(2))
		}
	}
	p := New(b, cost, 7)
	var all []Column
	for i := range m {
		all = append(all, Column{Rows: []int32{int32(i)}, Vals: []float64{1}, Cost: cost[i]})
	}
	add := func(c Column) { p.Add(c); all = append(all, c) }
	for i := range items {
		add(Column{Rows: []int32{int32(i)}, Vals: []float64{-1}})
	}
	for range cols {
		c := Column{Cost: float64(1 + r.IntN(9))}
		for i := range items {
			if r.IntN(3) == 0 {
				c.Rows = append(c.Rows, int32(i))
				c.Vals = append(c.Vals, float64(1+r.IntN(3)))
			}
		}
		c.Rows = append(c.Rows, int32(items+r.IntN(groups)))
		c.Vals = append(c.Vals, 1)
		add(c)
	}
	return p, all, b
}

func reference(t *testing.T, cols []Column, b []float64) float64 {
	t.Helper()
	a := mat.NewDense(len(b), len(cols), nil)
	c := make([]float64, len(cols))
	for j, col := range cols {
		c[j] = col.Cost
		for k, r := range col.Rows {
			a.Set(int(r), j, col.Vals[k])
		}
	}
	v, _, err := lp.Simplex(c, a, b, 1e-9, nil)
	if err != nil {
		t.Fatalf("reference simplex: %v", err)
	}
	return v
}

// The reference is gonum's simplex, an independent implementation.
func TestOptimumEqualsTheReferenceSimplex(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 2))
	for n := range 120 {
		p, cols, b := random(r, 2+r.IntN(6), 1+r.IntN(5), 5+r.IntN(25))
		if n >= 60 { // the form for many rows
			p.inv = newFactors(len(b))
		}
		primal := p.Primal
		if n >= 60 {
			primal = p.steep
		}
		if s := primal(10000); s != Optimal {
			t.Fatalf("case %d: status %d", n, s)
		}
		if got, want := p.Objective(), reference(t, cols, b); math.Abs(got-want) > 1e-6*(1+math.Abs(want)) {
			t.Fatalf("case %d: objective %g, reference %g", n, got, want)
		}
		// Change right-hand sides, repair with the dual phase.
		for i := range b {
			if r.IntN(2) == 0 && b[i] > 1 {
				b[i]--
				p.SetRHS(i, b[i])
			} else if r.IntN(2) == 0 {
				b[i]++
				p.SetRHS(i, b[i])
			}
		}
		p.Refresh()
		p.Dual(10000)
		if s := primal(10000); s != Optimal {
			t.Fatalf("case %d: status %d after change", n, s)
		}
		want := reference(t, cols, b)
		if got := p.Objective(); math.Abs(got-want) > 1e-6*(1+math.Abs(want)) {
			t.Fatalf("case %d: objective %g after change, reference %g", n, got, want)
		}
		q := p.Clone()
		if !q.SetBasis(p.Basis()) {
			t.Fatalf("case %d: the optimal basis was called singular", n)
		}
		if got := q.Objective(); math.Abs(got-want) > 1e-6*(1+math.Abs(want)) {
			t.Fatalf("case %d: objective %g after refactoring, want %g", n, got, want)
		}
		q.Keep(len(b), func(j int) bool { return q.Reduced(j) < 1 })
		q.Refactor()
		if got := q.Objective(); q.Primal(1000) != Optimal || math.Abs(got-want) > 1e-6*(1+math.Abs(want)) {
			t.Fatalf("case %d: objective %g with fewer columns, want %g", n, got, want)
		}
		for i, v := range q.Values() {
			if v < -1e-5 {
				t.Fatalf("case %d: basic value %d is %g", n, i, v)
			}
		}
	}
}

// Both forms of the inverse solve the same equations, after many changes of the
// basis too, and the residual of the sparse one stays small.
func TestSparseFactorsInvertTheBasis(t *testing.T) {
	for seed := range uint64(30) {
		r := rand.New(rand.NewPCG(seed, 3))
		p, cols, b := random(r, 60+r.IntN(100), 1+r.IntN(30), 600)
		p.inv = newFactors(len(b))
		for step := range 6 {
			if s := p.Primal(15 + 400*(step/5)); s != Optimal && s != Stopped {
				t.Fatalf("seed %d: status %d", seed, s)
			}
			if step == 3 && !p.Refactor() {
				t.Fatalf("seed %d: a basis was called singular", seed)
			}
			residual := func(got []float64, want func(i int) float64) {
				for i, v := range got {
					if math.Abs(v-want(i)) > 1e-6 {
						t.Fatalf("seed %d step %d: equation %d is off by %g", seed, step, i, v-want(i))
					}
				}
			}
			x := p.Values()
			left := make([]float64, len(b))
			for i, j := range p.Basis() {
				for k, row := range cols[j].Rows {
					left[row] += cols[j].Vals[k] * x[i]
				}
			}
			residual(left, func(i int) float64 { return b[i] })
			y, at := p.Duals(), p.Basis()
			price := make([]float64, len(b))
			for i, j := range at {
				for k, row := range cols[j].Rows {
					price[i] += cols[j].Vals[k] * y[row]
				}
			}
			residual(price, func(i int) float64 { return cols[at[i]].Cost })
			row, q := make([]float64, len(b)), r.IntN(len(b))
			p.inv.clone().row(q, row)
			for i, j := range at {
				price[i] = 0
				for k, k2 := range cols[j].Rows {
					price[i] += cols[j].Vals[k] * row[k2]
				}
			}
			residual(price, func(i int) float64 {
				if i == q {
					return 1
				}
				return 0
			})
		}
	}
}

func TestSingularBasisFallsBackToUnits(t *testing.T) {
	for _, sparse := range []bool{false, true} {
		p := New([]float64{1, 1, 1}, []float64{5, 5, 5}, 1)
		if sparse {
			p.inv = newFactors(3)
		}
		var j []int32
		for range 2 {
			j = append(j, int32(p.Add(Column{Rows: []int32{0, 1, 2}, Vals: []float64{1, 2, 1}, Cost: 1})))
		}
		if p.SetBasis([]int32{j[0], j[1], 2}) {
			t.Errorf("sparse %v: two equal columns made a basis", sparse)
		}
		if s := p.Primal(100); s != Optimal || math.Abs(p.Objective()-5.5) > 1e-6 {
			t.Errorf("sparse %v: status %d, objective %g, want 5.5", sparse, s, p.Objective())
		}
	}
}

// Sixty-one columns of the same reduced cost: their mean, rounded, may be below
// every one of them, and yet one must enter.
func TestManyEqualReducedCostsEnter(t *testing.T) {
	for k := range 200 {
		n := 61 + k
		lp := New([]float64{1}, []float64{1 + 0.1*float64(k)}, 1)
		for range n {
			lp.Add(Column{Rows: []int32{0}, Vals: []float64{1}, Cost: 0.7})
		}
		lp.cand = lp.cand[:0]
		if lp.Primal(1000) != Optimal {
			t.Fatalf("%d columns: not solved", n)
		}
	}
}
