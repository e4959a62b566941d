package layout_test

import (
	"context"
	"slices"
	"strings"
	"testing"

	"pilewright/assets"
	"pilewright/plan"
	"pilewright/plan/measure"
)

// withPlaner gives the project with another planer.
func withPlaner(p *plan.Project, change func(*plan.Machine)) *plan.Project {
	return p.With(func(q *plan.Project) {
		q.Shop.Machines = slices.Clone(p.Shop.Machines)
		for i := range q.Shop.Machines {
			if q.Shop.Machines[i].Kind == "planer" {
				change(&q.Shop.Machines[i])
			}
		}
	})
}

func made(t *testing.T, p *plan.Project) *plan.Plan {
	t.Helper()
	out, err := plan.Make(context.Background(), p, quickTools(), nil)
	if err != nil {
		t.Fatal(err)
	}
	return out
}

func stepAt(p *plan.Plan, key string) int {
	return slices.IndexFunc(p.Work.Steps, func(s plan.Step) bool { return strings.HasPrefix(s.Key, key) })
}

// Blanks shorter than the planer takes leave the saw in longer lengths, which are
// parted after planing.
func TestShortBlanksAreParted(t *testing.T) {
	const least = 30 * measure.Inch
	p := made(t, withPlaner(demoProject(t), func(m *plan.Machine) { m.MinLength = least }))
	parted := 0
	for _, cb := range p.Cuts.Boards {
		for _, d := range cb.Divide {
			if d.Length < least {
				t.Errorf("a length of %v goes through a planer that takes %v", d.Length, least)
			}
			for _, s := range cb.Saws {
				if !s.Rip && !s.Parting && s.At > d.X && s.At < d.X+d.Length && len(cb.Divide) == 1 && len(d.Marks) == len(cb.Pieces) {
					t.Errorf("board %d: a cut at %v before planing, within the length from %v to %v", cb.Board, s.At, d.X, d.X+d.Length)
				}
			}
			parted += len(d.Marks)
		}
		for _, c := range cb.Pieces {
			b, _ := p.Project.Board(cb.Board)
			in := slices.ContainsFunc(cb.Divide, func(d plan.Divide) bool { return slices.Contains(d.Marks, c.Mark) })
			if c.Length < least && !in && !b.Sheet {
				t.Errorf("%s, %v long, goes through the planer alone", c.Mark, c.Length)
			}
		}
	}
	divide, plane := stepAt(p, "divide"), stepAt(p, "plane/")
	if parted == 0 || divide < 0 || plane < 0 {
		t.Fatalf("%d blanks in longer lengths, step of parting %d, of planing %d", parted, divide, plane)
	}
	if got := len(p.Work.Steps[divide].Marks); got != parted {
		t.Errorf("%d blanks are parted in the steps, %d in the cuts", got, parted)
	}
	for i, s := range p.Work.Steps {
		if strings.HasPrefix(s.Key, "plane/") && i > divide && slices.Contains(p.Work.Steps[divide].Needs, s.Key) {
			t.Errorf("%s comes after the parting that needs it", s.Key)
		}
	}
	if !slices.ContainsFunc(p.Findings, func(f plan.Finding) bool { return f.Code == "blank.train" }) {
		t.Error("nothing is said of it in the findings")
	}
}

// Panels shorter than the planer takes are glued several in one length.
func TestShortPanelsAreGluedInOneLength(t *testing.T) {
	start, err := plan.OpenStart(assets.Starts, "stool")
	if err != nil {
		t.Fatal(err)
	}
	base := demoProject(t).NewPiece(start, "Stool")
	base = base.With(func(q *plan.Project) {
		q.Parts = slices.Clone(base.Parts)
		for i := range q.Parts {
			if q.Parts[i].Name == "top" {
				q.Parts[i].Way = plan.FlatPanel
			}
		}
	})
	plain := made(t, base)
	p := made(t, withPlaner(base, func(m *plan.Machine) { m.MinLength = 40 * measure.Inch }))
	if len(plain.GlueUps) == 0 || len(p.GlueUps) == 0 {
		t.Fatalf("%d and %d glue-ups", len(plain.GlueUps), len(p.GlueUps))
	}
	for _, g := range p.GlueUps {
		if g.Length < 40*measure.Inch {
			t.Errorf("%s is glued %v long", g.Copy, g.Length)
		}
	}
	if stepAt(p, "part/") < stepAt(p, "flat/") || stepAt(plain, "part/") >= 0 {
		t.Errorf("parted in step %d, flattened in step %d, without need %d", stepAt(p, "part/"), stepAt(p, "flat/"), stepAt(plain, "part/"))
	}
	if !slices.ContainsFunc(p.Findings, func(f plan.Finding) bool { return f.Code == "panel.gang" }) {
		t.Error("nothing is said of it in the findings")
	}
}

// Parts thinner than the planer takes are planed as thick as it does and thinned.
func TestThinPartsAreThinnedAfterPlaning(t *testing.T) {
	thick := 3 * measure.Inch / 2
	p := made(t, withPlaner(demoProject(t), func(m *plan.Machine) { m.MinThickness = thick }))
	for _, s := range p.Work.Steps {
		if strings.HasPrefix(s.Setup, "planer at ") && !strings.HasSuffix(s.Setup, "1 1/2 in") && strings.HasPrefix(s.Setup, "planer at 0") {
			t.Errorf("%s: %s", s.Title, s.Setup)
		}
	}
	thin := 0
	for _, pw := range p.Ways {
		sp, _ := p.Part(pw.Part)
		o, ok := pw.Choice()
		if !ok || sp.T >= thick {
			continue
		}
		thin++
		for _, b := range o.Blanks {
			if o.Way == plan.Solid && b.Thickness < thick {
				t.Errorf("the blank of the %s is %v thick", sp.Name, b.Thickness)
			}
		}
	}
	if thin == 0 || stepAt(p, "thin/") < 0 && len(p.Cuts.Short) == 0 {
		t.Errorf("%d thin parts, no step thins them", thin)
	}
}
