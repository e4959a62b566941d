package sheet

import (
	"context"
	"sync"
	"testing"
	"time"

	"pilewright/assets"
	"pilewright/layout"
	"pilewright/plan"
	"pilewright/plan/demo"
	"pilewright/plan/plantest"
)

// day is the day every plan of these tests begins on.
var day = time.Date(2026, 3, 2, 12, 0, 0, 0, time.UTC)

func readStart(id string) (plan.Start, error) {
	return plan.OpenStart(assets.Starts, id)
}

// quickTools are the program's solvers with the first good plan taken, which is
// the same on every machine.
func quickTools() plan.Tools {
	return plantest.FirstCut(layout.Tools(day))
}

// settled locks the ways of the demo's parts, so that none has to be tried.
func settled(p *plan.Project) *plan.Project {
	ways := map[string]plan.Way{"top": plan.FlatPanel, "leg": plan.Laminated}
	return p.With(func(q *plan.Project) {
		q.Parts = append([]plan.Part(nil), p.Parts...)
		for i := range q.Parts {
			q.Parts[i].Way = plan.Solid
			if w, ok := ways[q.Parts[i].Name]; ok {
				q.Parts[i].Way = w
			}
		}
	})
}

func demoProject() (*plan.Project, error) {
	states, err := demo.Projects(readStart, day)
	if err != nil {
		return nil, err
	}
	return settled(states[len(states)-1]), nil
}

var demoPlan = sync.OnceValues(func() (*plan.Plan, error) {
	p, err := demoProject()
	if err != nil {
		return nil, err
	}
	return plan.Make(context.Background(), p, quickTools(), nil)
})

func theDemo(t testing.TB) *plan.Plan {
	t.Helper()
	p, err := demoPlan()
	if err != nil {
		t.Fatal(err)
	}
	return p
}
