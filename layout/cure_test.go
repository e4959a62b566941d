package layout_test

import (
	"context"
	"slices"
	"strings"
	"testing"

	"pilewright/layout"
	"pilewright/plan"
)

// Legs that are to be of one board, of which the demo's pile has none thick enough,
// are offered in layers by the full search as by the first plan, and in layers they
// are made.
func TestLegsOfOneBoardThatThePileLacksAreOfferedInLayers(t *testing.T) {
	legs := func(way plan.Way) *plan.Project {
		return demoProject(t).With(func(q *plan.Project) {
			q.Parts = slices.Clone(q.Parts)
			for i := range q.Parts {
				if q.Parts[i].Name == "leg" {
					q.Parts[i].Way = way
				}
			}
		})
	}
	full := layout.Tools(day)
	cut := full.Cut
	full.Cut = func(ctx context.Context, job plan.CutJob, better func(plan.Cuts)) (plan.Cuts, error) {
		if !job.First {
			job.Effort = 20_000_000
		}
		return cut(ctx, job, better)
	}
	for name, tools := range map[string]plan.Tools{"first plan": quickTools(), "full search": full} {
		t.Run(name, func(t *testing.T) {
			made, err := plan.Make(context.Background(), legs(plan.Solid), tools, nil)
			if err != nil {
				t.Fatal(err)
			}
			if len(made.Cuts.Short) != 1 || !strings.Contains(made.Cuts.Short[0].Say, "the leg made of layers") {
				t.Errorf("got %+v", made.Cuts.Short)
			}
		})
	}
	if made := made(t, legs(plan.Laminated)); len(made.Cuts.Short) > 0 {
		t.Errorf("in layers %+v are short", made.Cuts.Short)
	}
}
