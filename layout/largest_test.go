package layout_test

import (
	"context"
	"slices"
	"testing"

	"pilewright/layout"
	"pilewright/plan"
	"pilewright/plan/measure"
)

// How large the demo can be from its pile, one measure and in proportion.
func BenchmarkLargestOfTheDemo(b *testing.B) {
	p := demoProject(b)
	tools := layout.Tools(day)
	for _, m := range p.Measures {
		if m.Name != "length" && m.Name != "depth" {
			continue
		}
		b.Run(m.Name, func(b *testing.B) {
			tries := 0
			for b.Loop() {
				l, err := p.Largest(context.Background(), tools, m.ID, nil)
				if err != nil {
					b.Fatal(err)
				}
				tries = l.Tries
			}
			b.ReportMetric(float64(tries), "tries")
		})
	}
	b.Run("in proportion", func(b *testing.B) {
		for b.Loop() {
			if _, err := p.LargestInProportion(context.Background(), tools, nil); err != nil {
				b.Fatal(err)
			}
		}
	})
}

func TestLargestInProportionIsPossibleAndNamesItsSizes(t *testing.T) {
	p := demoProject(t)
	l, err := p.LargestInProportion(context.Background(), quickTools(), nil)
	if err != nil {
		t.Fatal(err)
	}
	if l.Percent < 1 || len(l.Sizes) < 2 || l.Cause == "" && l.Next > 0 {
		t.Fatalf("got %+v", l)
	}
	scaled := p.InProportion()
	for i, s := range l.Sizes {
		was, err := measure.Parse(scaled[i].Text, measure.Inches)
		if err != nil {
			t.Fatal(err)
		}
		now, err := measure.Parse(s.Text, measure.Inches)
		if err != nil {
			t.Fatal(err)
		}
		if exact := was / 100 * measure.Length(l.Percent); now > exact || exact-now > measure.Inch/16 {
			t.Errorf("%s from %s by %d %%: %s", s.Name, scaled[i].Text, l.Percent, s.Text)
		}
	}
	possible, why, err := plan.Possible(context.Background(), p.WithSizes(l.Sizes), quickTools())
	if err != nil || !possible {
		t.Errorf("at %d %% possible: %v, %s, %v", l.Percent, possible, why, err)
	}
	if slices.ContainsFunc(l.Sizes, func(m plan.Measure) bool { return m.Name == "top_thick" }) {
		t.Error("the boards are scaled too")
	}
}
