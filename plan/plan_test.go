package plan_test

import (
	"context"
	"testing"
	"time"

	"pilewright/plan"
	"pilewright/plan/demo"
)

func demoProject(t testing.TB) *plan.Project {
	t.Helper()
	states, err := demo.Projects(func(id string) (plan.Start, error) { return readStart(t, id), nil }, time.Date(2026, 3, 2, 12, 0, 0, 0, time.UTC))
	if err != nil {
		t.Fatal(err)
	}
	return states[len(states)-1]
}

func TestEveryStartingPointFitsAndCanBeAssembled(t *testing.T) {
	for _, id := range startIDs(t) {
		t.Run(id, func(t *testing.T) {
			p := demoProject(t).NewPiece(readStart(t, id), id)
			made, err := plan.Make(context.Background(), p, toyTools, nil)
			if err != nil {
				t.Fatal(err)
			}
			for _, f := range made.Findings {
				if f.Severity == plan.Stop && f.Subject.Room == "piece" {
					t.Errorf("%s: %s (%v)", f.Code, f.Text, f.Subject.Marks)
				} else {
					t.Logf("%s %s: %s | %s", f.Severity, f.Code, f.Text, f.Do)
				}
			}
			if len(made.Frame.Build.Sequence.Stages) == 0 {
				t.Errorf("no assembly: %s", made.Frame.Build.Blocked)
			}
		})
	}
}

func TestDemoIsPlannedToTheEnd(t *testing.T) {
	var seen int
	made, err := plan.Make(context.Background(), demoProject(t), toyTools, func(*plan.Plan) { seen++ })
	if err != nil {
		t.Fatal(err)
	}
	for _, s := range made.Work.Steps {
		t.Logf("%-40s %5.0f min %-10s %-30s %v", s.Title, s.Minutes, s.Machine, s.Setup, s.Needs)
		if s.Minutes <= 0 {
			t.Errorf("%s takes no time (rate %q, quantity %v)", s.Key, s.Rate, s.Quantity)
		}
	}
	for _, w := range made.Ways {
		sp, _ := made.Part(w.Part)
		o, _ := w.Choice()
		t.Logf("%s: %s, %d rows of %v, %d options", sp.Name, o.Way, o.Rows, o.Each, len(w.Options))
	}
	t.Logf("short %v, published %d", made.Cuts.Short, seen)
	l := made.Ledger
	for _, x := range l.Lines {
		t.Logf("%-10s %-30s %s (%s)", x.Kind, x.Text, x.Amount.StringFixed(2), x.How)
	}
	t.Logf("target %.0f done %.0f left %.0f collect %.0f yield %.2f; P10 %.0f P50 %.0f P90 %.0f; hourly %.2f", l.Target, l.Done, l.Left, l.Collect, l.Yield(), l.Forecast.P10, l.Forecast.P50, l.Forecast.P90, l.Forecast.Hourly)
}
