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
