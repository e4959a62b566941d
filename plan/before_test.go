package plan_test

import (
	"context"
	"testing"

	"github.com/google/go-cmp/cmp"

	"pilewright/plan"
)

// After an edit the first plan makes every part the way it was made before it, and
// what is planned in the end does not depend on what was shown before.
func TestTheFirstPlanAfterAnEditKeepsTheWays(t *testing.T) {
	p := demoProject(t)
	made := func(p *plan.Project, before *plan.Plan) (first, last *plan.Plan) {
		tools := toyTools
		tools.Before = before
		last, err := plan.Make(context.Background(), p, tools, func(better *plan.Plan) {
			if first == nil {
				first = better
			}
		})
		if err != nil {
			t.Fatal(err)
		}
		return first, last
	}
	ways := func(made *plan.Plan) map[plan.ID]plan.Way {
		out := map[plan.ID]plan.Way{}
		for _, pw := range made.Ways {
			if o, ok := pw.Choice(); ok {
				out[pw.Part] = o.Way
			}
		}
		return out
	}
	plain, before := made(p, nil)
	if cmp.Equal(ways(plain), ways(before)) {
		t.Fatal("the plainest ways are the best here: nothing can be seen of this")
	}
	edited := p.With(func(q *plan.Project) { q.Piece.Name = "Another name" })
	first, last := made(edited, before)
	if diff := cmp.Diff(ways(before), ways(first)); diff != "" {
		t.Errorf("the first plan after an edit makes parts another way (-before +first):\n%s", diff)
	}
	_, alone := made(edited, nil)
	if diff := cmp.Diff(alone.Cuts, last.Cuts); diff != "" {
		t.Errorf("the plan depends on what was shown before it:\n%s", diff)
	}
	if diff := cmp.Diff(ways(alone), ways(last)); diff != "" {
		t.Errorf("the ways depend on what was shown before:\n%s", diff)
	}
}
