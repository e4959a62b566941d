package layout_test

import (
	"testing"

	"pilewright/plan"
	"pilewright/plan/measure"
)

// Worked by hand: a top of 40 x 20 x 3/4 from two boards 7 1/4 wide and two 3 1/2
// wide, all 46 x 7/8; a row loses 1/8 in jointing, a rip 1/8. Rows as wide as the
// wide boards give: 20/(7 1/4 - 1/8) = 2.8, so 3, and only two boards are that
// wide. As wide as the narrow ones give: 20/(3 1/2 - 1/8) = 5.9, so 6 rows of
// 3 1/3 + 1/8 = 3 11/24: the narrow boards give one each, and each wide board
// ripped in two gives two of (7 1/4 - 1/8)/2 = 3 9/16: six in all, of four boards.
// On edge 20/(7/8 - 1/8) = 26.7, so 27 strips 7/8 wide are needed and
// 2 x 7 + 2 x 3 = 20 are there.
func TestWideBoardsAreRippedInTwoWithoutBeingAsked(t *testing.T) {
	const in = measure.Inch
	p := (&plan.Project{Shop: plan.DefaultShop(), NextID: 1}).NewPiece(plan.Start{ID: "board", Name: "Board", Parts: []plan.Part{
		{Name: "top", Role: plan.RoleTop, Length: "40 in", Width: "20 in", Thickness: "3/4 in", Copies: []plan.Copy{{X: "0 in", Y: "0 in", Z: "0 in", Along: plan.X, Thick: plan.Z, Repeat: "1"}}},
	}}, "Board")
	p = p.With(func(q *plan.Project) {
		q.Shop.WidthAllowance, q.Shop.PlaneAllowance, q.Shop.LengthAllowance = in/8, in/8, in/2
		for i := range q.Shop.Blades {
			q.Shop.Blades[i].Kerf = in / 8
		}
		for i, wide := range []measure.Length{7*in + in/4, 7*in + in/4, 3*in + in/2, 3*in + in/2} {
			q.Boards = append(q.Boards, plan.Board{ID: q.Take(), Mark: string(rune('1' + i)), Length: 46 * in, Width: wide, Thickness: 7 * in / 8, Species: "pine"})
		}
	})
	m := made(t, p)
	if len(m.Cuts.Short) > 0 || len(m.GlueUps) != 1 {
		t.Fatalf("short %v, %d glue-ups, %s", m.Cuts.Short, len(m.GlueUps), m.Failure())
	}
	g := m.GlueUps[0]
	if g.Way != plan.FlatPanel || len(g.Panel.Rows) != 6 || g.Panel.EndJoints != 0 {
		t.Errorf("%s of %d rows with %d end joints", g.Way, len(g.Panel.Rows), g.Panel.EndJoints)
	}
	for _, cb := range m.Cuts.Boards {
		b, _ := p.Board(cb.Board)
		want, rips := 1, 0
		if b.Width > 7*in {
			want = 2
		}
		for _, s := range cb.Saws {
			if s.Rip {
				rips++
			}
		}
		if len(cb.Pieces) != want || rips < want-1 {
			t.Errorf("board %s, %v wide, gives %d rows by %d rips, want %d", b.Mark, b.Width, len(cb.Pieces), rips, want)
		}
	}
	if len(m.Cuts.Boards) != 4 {
		t.Errorf("%d boards are cut", len(m.Cuts.Boards))
	}
}
