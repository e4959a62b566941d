package sheet

import (
	"context"
	"fmt"
	"strings"
	"testing"

	"pilewright/plan"
	"pilewright/plan/measure"
)

// Two tops of strips as wide as five boards give them: one of two rows, one of three.
func TestTheSheetShowsThePanelsOfMixedStripsEachWithItsOwnRows(t *testing.T) {
	s := plan.Start{ID: "top", Name: "Top", Parts: []plan.Part{
		{Name: "top", Length: "24 in", Width: "9 3/4 in", Thickness: "3/4 in", Role: plan.RoleTop, Copies: []plan.Copy{{X: "0", Y: "0", Z: "0", Along: plan.X, Thick: plan.Z, Repeat: "2", StepY: "9 3/4 in"}}},
	}}
	p := (&plan.Project{Shop: plan.DefaultShop(), NextID: 1}).NewPiece(s, "top")
	p = p.With(func(q *plan.Project) {
		for i, eighths := range []measure.Length{44, 26, 14, 48, 34} {
			q.Boards = append(q.Boards, plan.Board{ID: q.Take(), Mark: fmt.Sprint(i + 1), Length: 30 * measure.Inch, Width: eighths * measure.Inch / 8, Thickness: measure.Inch})
		}
	})
	made, err := plan.Make(context.Background(), p, quickTools(), nil)
	if err != nil {
		t.Fatal(err)
	}
	if len(made.GlueUps) != 2 {
		t.Fatalf("%d glue-ups", len(made.GlueUps))
	}
	glued, parts := said(t, made, "glue-ups"), said(t, made, "parts")
	for _, g := range made.GlueUps {
		if head := fmt.Sprintf("TOP %s", g.Copy); !strings.Contains(strings.ToUpper(glued), head) {
			t.Errorf("the sheet shows no %s:\n%s", head, glued)
		}
		for _, r := range g.Panel.Rows {
			if chalk := r.Pieces[0].Chalk; !strings.Contains(glued, chalk) {
				t.Errorf("the sheet does not name %s", chalk)
			}
		}
	}
	if want := "2 to 3 rows of several widths"; !strings.Contains(strings.Join(strings.Fields(parts), " "), want) {
		t.Errorf("%q is not said:\n%s", want, parts)
	}
	holdsNoEnglish(t, made)
}
