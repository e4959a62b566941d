package layout_test

import (
	"context"
	"fmt"
	"slices"
	"strings"
	"testing"

	"pilewright/layout"
	"pilewright/plan"
	"pilewright/plan/plantest"
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
	full := plantest.WithEffort(layout.Tools(day), 20_000_000)
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

// A panel 60 in long of rows of two pieces, 1/2 in over and 1/2 in squared at the joint
// of each: staggered by 4 in the longer one is 32 3/4 in. A board of 32 in gives one of
// 60 1/2 - (60 1/2 - s)/2 + 1/2, so s is 2 1/2 in. Worked by hand.
func TestASmallerStaggerIsACureForRowsWhosePiecesAreTooLong(t *testing.T) {
	s := plan.Start{ID: "top", Name: "Top", Parts: []plan.Part{
		{Name: "top", Length: "60 in", Width: "8 in", Thickness: "3/4 in", Role: plan.RoleTop, Way: plan.FlatPanel, Copies: []plan.Copy{{X: "0", Y: "0", Z: "0", Along: plan.X, Thick: plan.Z}}},
	}}
	p := (&plan.Project{Shop: plan.DefaultShop(), NextID: 1}).NewPiece(s, "top").With(func(q *plan.Project) {
		q.Shop.LengthAllowance, q.Shop.PieceMin = in/2, 22*in // no three pieces
		for i := range 8 {
			long := 32 * in
			if i == 0 {
				long = 33 * in // one of the longer pieces is there
			}
			q.Boards = append(q.Boards, plan.Board{ID: q.Take(), Mark: fmt.Sprint(i + 1), Length: long, Width: 5 * in, Thickness: in})
		}
	})
	made := made(t, p)
	if len(made.Cuts.Short) == 0 {
		t.Fatalf("nothing is short: %+v", made.Blanks)
	}
	if !strings.Contains(made.Cuts.Short[0].Say, `end joints staggered by only 2 1/2"`) {
		t.Errorf("got %q", made.Cuts.Short[0].Say)
	}
}
