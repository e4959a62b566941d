package plan_test

import (
	"fmt"
	"slices"
	"testing"

	"github.com/shopspring/decimal"

	"pilewright/plan"
	"pilewright/plan/joinery"
)

func TestAVariantDiffersByWhatWasChanged(t *testing.T) {
	p := demoProject(t)
	q, err := p.Variant("Another")
	if err != nil {
		t.Fatal(err)
	}
	if d := plan.Differences(p, q); len(d) != 0 {
		t.Errorf("a fresh variant differs by %v", d)
	}
	r := q.With(func(q *plan.Project) {
		q.Measures, q.Parts, q.Joints = slices.Clone(q.Measures), slices.Clone(q.Parts), slices.Clone(q.Joints)
		q.Measures[0].Text = "1 in"
		q.Parts[0].Way = plan.OnEdge
		q.Parts[1].Name = "New name"
		q.Joints[0].Kind, q.Joints[0].Dry = joinery.Screws, true
		q.Piece.Finish, q.Piece.Coats, q.Piece.Price = "oil", 7, decimal.RequireFromString("123.40")
		q.Piece.Hardware = append(slices.Clone(q.Piece.Hardware), plan.Hardware{Name: "glide", Count: 4, Each: decimal.RequireFromString("0.25")})
	})
	got := plan.Differences(p, r)
	kinds := map[string]int{}
	for _, d := range got {
		if d.Was == d.Is {
			t.Errorf("%+v is no difference", d)
		}
		kinds[d.Kind]++
	}
	// Joints of the renamed part are gone and come anew under its new name.
	if kinds["measure"] != 1 || kinds["part"] != 3 || kinds["piece"] != 3 || kinds["hardware"] != 1 || kinds["joint"] < 1 {
		t.Errorf("%v: %v", kinds, got)
	}
	if !slices.Contains(got, plan.Difference{Kind: "hardware", What: "glide", Is: "4 at 0.25"}) || !slices.Contains(got, plan.Difference{Kind: "measure", What: p.Measures[0].Name, Was: p.Measures[0].Text, Is: "1 in"}) {
		t.Errorf("%v", got)
	}
	if back := plan.Differences(r, p); len(back) != len(got) {
		t.Errorf("%d one way, %d the other: %s", len(got), len(back), fmt.Sprint(back))
	}
}
