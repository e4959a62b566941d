package layout_test

import (
	"context"
	"testing"
	"time"

	"pilewright/assets"
	"pilewright/layout"
	"pilewright/plan"
	"pilewright/plan/demo"
	"pilewright/plan/plantest"
)

var day = time.Date(2026, 3, 2, 12, 0, 0, 0, time.UTC)

func demoProject(t testing.TB) *plan.Project {
	t.Helper()
	states, err := demo.Projects(func(id string) (plan.Start, error) {
		return plan.OpenStart(assets.Starts, id)
	}, day)
	if err != nil {
		t.Fatal(err)
	}
	return states[len(states)-1]
}

// quickTools cut by the quick solver only; proofs are tested in package cutting.
func quickTools() plan.Tools {
	return plantest.FirstCut(layout.Tools(day))
}

func TestDemoIsCutGluedAndChecked(t *testing.T) {
	p, err := plan.Make(context.Background(), demoProject(t), quickTools(), nil)
	if err != nil {
		t.Fatal(err)
	}
	if len(p.Cuts.Short) > 0 || len(p.GlueUps) == 0 || len(p.Work.Steps) < 20 {
		t.Errorf("short %v, %d glue-ups, %d steps", p.Cuts.Short, len(p.GlueUps), len(p.Work.Steps))
	}
	for _, f := range p.Findings {
		if f.Severity == plan.Stop {
			t.Errorf("%s: %s", f.Code, f.Text)
		}
	}
	for _, g := range p.GlueUps {
		if g.Panel.Thickness < g.Target {
			t.Errorf("the %s %s comes out %v thick, %v is wanted", g.Name, g.Copy, g.Panel.Thickness, g.Target)
		}
	}
	if sold := p.Ledger.Result.PerHour; !sold.Valid || !p.Work.Timeline.Ready.After(day) {
		t.Errorf("earnings an hour %v, ready %v", sold, p.Work.Timeline.Ready)
	}
}

// The first plan after an edit: what the maker waits for.
func BenchmarkFirstPlanOfTheDemo(b *testing.B) {
	project := demoProject(b)
	for b.Loop() {
		ctx, cancel := context.WithCancel(context.Background())
		if _, err := plan.Make(ctx, project, layout.Tools(day), func(*plan.Plan) { cancel() }); err != nil {
			b.Fatal(err)
		}
		cancel()
	}
}

// The demo's pile holds boards alike, some of them of no use to any blank: its
// cuts are proved the least there are, with little effort.
func TestTheDemosCutsAreProved(t *testing.T) {
	tools := plantest.WithEffort(layout.Tools(day), 60_000_000)
	p, err := plan.Make(context.Background(), demoProject(t), tools, nil)
	if err != nil {
		t.Fatal(err)
	}
	if !p.Cuts.Proved || len(p.Cuts.Short) > 0 {
		t.Errorf("proved %v, short %v: %s", p.Cuts.Proved, p.Cuts.Short, p.Cuts.Sentence)
	}
}
