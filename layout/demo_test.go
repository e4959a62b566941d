package layout_test

import (
	"context"
	"io/fs"
	"testing"
	"time"

	"pilewright/assets"
	"pilewright/layout"
	"pilewright/plan"
	"pilewright/plan/demo"
)

var day = time.Date(2026, 3, 2, 12, 0, 0, 0, time.UTC)

func demoProject(t testing.TB) *plan.Project {
	t.Helper()
	states, err := demo.Projects(func(id string) (plan.Start, error) {
		body, err := fs.ReadFile(assets.Starts, "starts/"+id+".json")
		if err != nil {
			return plan.Start{}, err
		}
		return plan.ReadStart(body)
	}, day)
	if err != nil {
		t.Fatal(err)
	}
	return states[len(states)-1]
}

func TestDemoIsCutGluedAndChecked(t *testing.T) {
	began := time.Now()
	p, err := plan.Make(context.Background(), demoProject(t), layout.Tools(day), func(p *plan.Plan) {
		t.Logf("%v %q: %d boards, %s", time.Since(began), p.Phase, len(p.Cuts.Boards), p.Cuts.Sentence)
	})
	if err != nil {
		t.Fatal(err)
	}
	t.Logf("%v final: %d boards, %s", time.Since(began), len(p.Cuts.Boards), p.Cuts.Sentence)
	for _, w := range p.Ways {
		sp, _ := p.Part(w.Part)
		o, _ := w.Choice()
		t.Logf("%s: %s, %d rows", sp.Name, o.Way, o.Rows)
	}
	for _, s := range p.Work.Steps {
		t.Logf("%-50s %4.0f min %-10s %s", s.Title, s.Minutes, s.Machine, s.Setup)
	}
	for _, f := range p.Findings {
		t.Logf("%s %s: %s | %s", f.Severity, f.Code, f.Text, f.Do)
	}
	t.Logf("setups %d (naive %d), saved %.0f, ready %v, proved %v, ledger %v", p.Work.Setups, p.Work.NaiveSetups, p.Work.Saved, p.Work.Timeline.Ready, p.Work.Proved, p.Ledger.Result.PerHour)
	if len(p.Cuts.Short) > 0 || len(p.GlueUps) == 0 || len(p.Work.Steps) < 20 {
		t.Errorf("short %v, %d glue-ups, %d steps", p.Cuts.Short, len(p.GlueUps), len(p.Work.Steps))
	}
}
