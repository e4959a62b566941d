package plan_test

import (
	"context"
	"math"
	"testing"

	"gonum.org/v1/gonum/stat/distuv"

	"pilewright/plan"
	"pilewright/plan/measure"
)

// reference is the chance of at least k whole boards of n, by integrating gonum's
// binomial over its beta distribution (midpoint rule, 20,000 steps).
func reference(b plan.Breakage, k, n int) float64 {
	const steps = 20_000
	beta := distuv.Beta{Alpha: b.A, Beta: b.B}
	sum := 0.0
	for i := range steps {
		share := (float64(i) + 0.5) / steps // that breaks
		binomial := distuv.Binomial{N: float64(n), P: 1 - share}
		sum += beta.Prob(share) * (1 - binomial.CDF(float64(k)-1)) / steps
	}
	return sum
}

func TestBreakageAgreesWithAReferenceLibrary(t *testing.T) {
	for _, b := range []plan.Breakage{{A: 4, B: 16}, {A: 10, B: 57}, {A: 4, B: 16 + 40}, {A: 24, B: 26}} {
		for _, n := range []int{1, 7, 33} {
			for k := 0; k <= n; k += max(1, n/5) {
				got, want := b.AtLeast(k, n), reference(b, k, n)
				if math.Abs(got-want) > 2e-4 {
					t.Errorf("Beta(%g, %g), at least %d of %d whole: %.6f, reference %.6f", b.A, b.B, k, n, got, want)
				}
			}
			q := b.Quantile(0.1, n)
			if b.AtLeast(q, n) < 0.9-1e-9 || q < n && b.AtLeast(q+1, n) >= 0.9 {
				t.Errorf("Beta(%g, %g) of %d: the 10 %% point %d is reached with %.3f, one more with %.3f", b.A, b.B, n, q, b.AtLeast(q, n), b.AtLeast(q+1, n))
			}
		}
	}
}

func TestBreakageLearnsFromTheLots(t *testing.T) {
	p := &plan.Project{Lots: []plan.Lot{{Held: 20, Broken: 10}, {Held: 0, Broken: 0}, {Held: 30, Broken: 2}, {Held: 3, Broken: 9}}}
	b := p.Breakage()
	if b.Held != 50 || b.Broken != 12 || b.A != 16 || b.B != 54 {
		t.Errorf("learned %+v; by hand: 12 of 50 broke, added to 4 of 20", b)
	}
}

func TestCollectFindsTheFewestUnits(t *testing.T) {
	p := demoProject(t)
	kept := p.Boards[:0:0]
	for _, b := range p.Boards {
		if b.Species != "pallet hardwood" || len(kept) < 18 { // most pallet boards gone
			kept = append(kept, b)
		}
	}
	p = p.With(func(q *plan.Project) { q.Boards = kept })
	made, err := plan.Make(context.Background(), p, toyTools, nil)
	if err != nil {
		t.Fatal(err)
	}
	lot := plan.Lot{Name: "crates", PerUnit: 6, UnitBoard: 46 * measure.Inch, UnitWidth: 5*measure.Inch + measure.Inch/2, UnitThick: 7 * measure.Inch / 8}
	c, err := made.Collect(context.Background(), toyTools, lot, 0.9)
	if err != nil {
		t.Fatal(err)
	}
	b := p.Breakage()
	if c.Boards > 0 && (b.AtLeast(c.Boards, c.Units*6) < 0.9 || b.AtLeast(c.Boards, (c.Units-1)*6) >= 0.9) {
		t.Errorf("%+v is not the fewest units with 90 %%", c)
	}
	if c.Say == "" {
		t.Error("it says nothing")
	}
	if _, err := made.Collect(context.Background(), toyTools, plan.Lot{Name: "bare"}, 0.9); err == nil {
		t.Error("a lot without a board's size was taken")
	}
}

func TestLargestIsPossibleAndTheNextIsNot(t *testing.T) {
	p := demoProject(t)
	for _, m := range p.Measures {
		if m.Name != "length" && m.Name != "depth" {
			continue
		}
		l, err := p.Largest(context.Background(), toyTools, m.ID, nil)
		if err != nil {
			t.Fatal(err)
		}
		t.Logf("%s from %s: %v, next %v: %s", m.Name, m.Text, measure.Exact(l.Value), measure.Exact(l.Next), l.Cause)
		for _, c := range []struct {
			at   measure.Length
			want bool
		}{{l.Value, true}, {l.Next, false}} {
			q := p.With(func(q *plan.Project) {
				q.Measures = append([]plan.Measure(nil), p.Measures...)
				for i := range q.Measures {
					if q.Measures[i].ID == m.ID {
						q.Measures[i].Text = measure.Exact(c.at)
					}
				}
			})
			got, _, err := plan.Possible(context.Background(), q, toyTools)
			if err != nil || got != c.want {
				t.Errorf("%s at %s possible: %v, %v; want %v", m.Name, measure.Exact(c.at), got, err, c.want)
			}
		}
		if m.Name == "depth" && l.Value > 12*measure.Inch && len(l.Limits) == 0 { // the reach of the mitre saw
			t.Errorf("at %s deep no machine is said to be in the way", measure.Exact(l.Value))
		}
		if l.Next-l.Value > measure.Inch/16 || l.Cause == "" {
			t.Errorf("the answer is not to the ruler's step: %v and %v, cause %q", l.Value, l.Next, l.Cause)
		}
	}
}
