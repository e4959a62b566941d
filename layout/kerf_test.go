package layout_test

import (
	"slices"
	"strings"
	"testing"

	"pilewright/plan"
)

// A part smaller than the blade is thick is told by name and field, and the other
// parts are planned as without it.
func TestAPartSmallerThanTheKerfLeavesTheOthersPlanned(t *testing.T) {
	without := made(t, demoProject(t))
	for _, c := range []struct{ length, width, want string }{
		{"20 in", "1/16 in", "its width is less than the rip kerf"},
		{"1/32 in", "3 in", "its length is less than the crosscut kerf"},
		{"2000 in", "3 in", "no board that thick is that long"},
	} {
		t.Run(c.want, func(t *testing.T) {
			p := made(t, demoProject(t).With(func(q *plan.Project) {
				q.Shop.WidthAllowance, q.Shop.LengthAllowance = 0, 0
				q.Parts = append(slices.Clone(q.Parts), plan.Part{ID: q.Take(), Piece: q.Piece.ID, Name: "bead", Length: c.length, Width: c.width, Thickness: "1/4 in", Way: plan.Solid,
					Copies: []plan.Copy{{X: "0", Y: "0", Z: "100 in", Along: plan.X, Thick: plan.Z}}})
			}))
			i := slices.IndexFunc(p.Findings, func(f plan.Finding) bool { return f.Code == "way.none" })
			if i < 0 || !strings.Contains(p.Findings[i].Text, "bead") || !strings.Contains(p.Findings[i].Text, c.want) {
				t.Errorf("got %+v", p.Findings)
			}
			if len(p.GlueUps) != len(without.GlueUps) || len(p.Cuts.Boards) == 0 {
				t.Errorf("%d glue-ups and %d boards cut, without it %d and %d", len(p.GlueUps), len(p.Cuts.Boards), len(without.GlueUps), len(without.Cuts.Boards))
			}
		})
	}
}
