package forecast

import (
	"math"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/stat/distuv"
)

func near(got, want, tolerance float64) bool {
	return math.Abs(got-want) <= tolerance*math.Max(1, math.Abs(want))
}

// Reference: gonum/stat/distuv.
func TestNormalAgreesWithReference(t *testing.T) {
	n := distuv.UnitNormal
	for x := -8.0; x <= 8; x += 0.37 {
		if got, want := below(x), n.CDF(x); !near(got, want, 1e-14) {
			t.Errorf("below(%v) = %v, want %v", x, got, want)
		}
		if got, want := math.Exp(logBelow(x)), n.CDF(x); !near(got/want, 1, 1e-12) {
			t.Errorf("exp(logBelow(%v)) = %v, want %v", x, got, want)
		}
		if got, want := hazard(x), n.Prob(x)/n.CDF(x); !near(got, want, 1e-10) {
			t.Errorf("hazard(%v) = %v, want %v", x, got, want)
		}
	}
	for p := 0.0001; p < 1; p += 0.0123 {
		if got, want := normalAt(p), n.Quantile(p); !near(got, want, 1e-10) {
			t.Errorf("normalAt(%v) = %v, want %v", p, got, want)
		}
	}
}

func TestNormalTailsJoin(t *testing.T) {
	for _, f := range []struct {
		name string
		f    func(float64) float64
	}{{"logBelow", logBelow}, {"hazard", hazard}} {
		a, b := f.f(-30+1e-9), f.f(-30-1e-9)
		if !near(a, b, 1e-7) {
			t.Errorf("%s jumps at -30 from %v to %v", f.name, a, b)
		}
	}
	if got := hazard(-1e6); !near(got, 1e6, 1e-9) {
		t.Errorf("hazard(-1e6) = %v", got)
	}
}

// Reference: gonum/mat.
func TestMatricesAgreeWithReference(t *testing.T) {
	rng := rand.New(rand.NewPCG(9, 10))
	for n := 1; n <= 24; n += 3 {
		m := newMatrix(n)
		for i := range n {
			m.addTo(i, i, 0.1+rng.Float64())
		}
		for range n {
			v := make([]float64, n)
			for i := range v {
				v[i] = rng.NormFloat64()
			}
			for i := range n {
				for j := range n {
					m.addTo(i, j, v[i]*v[j])
				}
			}
		}
		var want mat.Dense
		if err := want.Inverse(mat.NewDense(n, n, m.a)); err != nil {
			t.Fatal(err)
		}
		inv, f := m.inverse(), m.principal()
		var eigen mat.EigenSym
		eigen.Factorize(mat.NewSymDense(n, m.a), false)
		values := eigen.Values(nil)
		for i := range n {
			size := 0.0
			for j := range n {
				if !near(inv.at(i, j), want.At(i, j), 1e-8) {
					t.Fatalf("n=%d: inverse (%d,%d) = %v, want %v", n, i, j, inv.at(i, j), want.At(i, j))
				}
				if got := dot(f.row(i), f.row(j)); !near(got, m.at(i, j), 1e-9) {
					t.Fatalf("n=%d: F·Fᵀ (%d,%d) = %v, want %v", n, i, j, got, m.at(i, j))
				}
				size += sq(f.at(j, i))
			}
			if want := values[n-1-i]; !near(size, want, 1e-8) {
				t.Fatalf("n=%d: column %d has size %v, want eigenvalue %v", n, i, size, want)
			}
		}
	}
}
