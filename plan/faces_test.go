package plan_test

import (
	"context"
	"slices"
	"strings"
	"testing"

	"pilewright/plan"
	"pilewright/plan/measure"
)

// topOf makes a top of four rows, 24 x 13 x 3/4, each row from a board of its own.
func topOf(t *testing.T, grade plan.Grade, change func(*plan.Project)) (*plan.Plan, plan.GlueUp) {
	t.Helper()
	const in = measure.Inch
	p := (&plan.Project{Shop: plan.DefaultShop(), NextID: 1}).NewPiece(plan.Start{ID: "board", Name: "Board", Parts: []plan.Part{
		{Name: "top", Role: plan.RoleTop, Grade: grade, Way: plan.FlatPanel, Length: "24 in", Width: "13 in", Thickness: "3/4 in", Copies: []plan.Copy{{X: "0 in", Y: "0 in", Z: "0 in", Along: plan.X, Thick: plan.Z, Repeat: "1"}}},
	}}, "Board")
	p = p.With(func(q *plan.Project) {
		for i := range 4 {
			q.Boards = append(q.Boards, plan.Board{ID: q.Take(), Mark: string(rune('1' + i)), Length: 30 * in, Width: 3*in + 5*in/8, Thickness: in, Species: "pine", Order: i})
		}
		change(q)
	})
	m, err := plan.Make(context.Background(), p, toyTools, nil)
	if err != nil || len(m.GlueUps) != 1 || len(m.GlueUps[0].Panel.Rows) != 4 {
		t.Fatalf("%v, glue-ups %+v, %s", err, m.GlueUps, m.Failure())
	}
	return m, m.GlueUps[0]
}

func TestThePlanTellsOfFacesAndRingsItCannotHave(t *testing.T) {
	// boardOf gives the board under each row, so that a case speaks of rows.
	boardOf := func(m *plan.Plan, g plan.GlueUp) (out []plan.ID) {
		for _, r := range g.Panel.Rows {
			for _, cb := range m.Cuts.Boards {
				if slices.ContainsFunc(cb.Pieces, func(c plan.CutPiece) bool { return c.Ref() == r.Pieces[0].Strip }) {
					out = append(out, cb.Board)
				}
			}
		}
		return out
	}
	plainPlan, plainPanel := topOf(t, plan.Show, func(*plan.Project) {})
	under := boardOf(plainPlan, plainPanel)
	row := func(q *plan.Project, n int) *plan.Board {
		return &q.Boards[slices.IndexFunc(q.Boards, func(b plan.Board) bool { return b.ID == under[n-1] })]
	}
	strip := func(n int) string { return plainPanel.Panel.Rows[n-1].Pieces[0].Strip }
	chalk := func(n int) string { return plainPanel.Panel.Rows[n-1].Pieces[0].Chalk }
	all := func(q *plan.Project, r plan.Rings) {
		for i := range q.Boards {
			q.Boards[i].Rings = r
		}
	}
	for _, c := range []struct {
		name   string
		grade  plan.Grade
		change func(*plan.Project)
		turned []int          // rows turned over
		tells  map[string]int // row named by the finding of that code
	}{
		{"nothing known, nothing told", plan.Show, func(*plan.Project) {}, nil, nil},
		{"rings that can alternate", plan.Show, func(q *plan.Project) { all(q, plan.BarkUp) }, []int{2, 4}, nil},
		{"rings all one way by habit", plan.Show, func(q *plan.Project) {
			all(q, plan.BarkDown)
			row(q, 2).Rings = plan.BarkUp
			q.Shop.RingHabit = plan.OneWay
		}, []int{2}, nil},
		{"the good face wins over the rings", plan.Show, func(q *plan.Project) { all(q, plan.BarkUp); row(q, 1).Faces, row(q, 2).Faces = plan.GoodA, plan.GoodA }, []int{4}, map[string]int{"rings.against": 2}},
		{"a mark of the strip goes before the board's", plan.Show, func(q *plan.Project) {
			all(q, plan.BarkUp)
			for _, n := range []int{2, 4} {
				q.Choices = append(q.Choices, plan.Choice{ID: q.Take(), Piece: q.Piece.ID, Kind: plan.RingsMark, Blank: strip(n), Board: row(q, n).ID, Rings: plan.BarkDown})
			}
		}, nil, nil},
		{"a mark made while it came from another board is passed over", plan.Show, func(q *plan.Project) {
			all(q, plan.BarkUp)
			q.Choices = []plan.Choice{{ID: q.Take(), Piece: q.Piece.ID, Kind: plan.RingsMark, Blank: strip(2), Board: row(q, 1).ID, Rings: plan.BarkDown}}
		}, []int{2, 4}, nil},
		{"no good face", plan.Show, func(q *plan.Project) { row(q, 3).Faces = plan.GoodNone }, nil, map[string]int{"face.poor": 3}},
		{"no good face where none is seen", plan.Hidden, func(q *plan.Project) { row(q, 3).Faces = plan.GoodNone }, nil, nil},
		{"a poorer face locked", plan.Show, func(q *plan.Project) {
			row(q, 1).Faces = plan.GoodB
			q.Choices = []plan.Choice{{ID: q.Take(), Piece: q.Piece.ID, Kind: plan.RowPlace, Blank: strip(1), Row: 1}}
		}, nil, map[string]int{"face.locked": 1}},
		{"its row locked and not its face", plan.Show, func(q *plan.Project) {
			row(q, 1).Faces = plan.GoodB
			q.Choices = []plan.Choice{{ID: q.Take(), Piece: q.Piece.ID, Kind: plan.RowPlace, Blank: strip(1), Row: 1, AnyFace: true}}
		}, []int{1}, nil},
	} {
		t.Run(c.name, func(t *testing.T) {
			m, g := topOf(t, c.grade, c.change)
			if now := boardOf(m, g); !slices.Equal(now, under) {
				t.Fatalf("the rows come from the boards %v, not %v", now, under)
			}
			var turned []int
			for i, r := range g.Panel.Rows {
				if r.Pieces[0].Flip {
					turned = append(turned, i+1)
				}
			}
			if !slices.Equal(turned, c.turned) {
				t.Errorf("rows %v are turned over, want %v", turned, c.turned)
			}
			for _, f := range m.Findings {
				if !strings.HasPrefix(f.Code, "face.") && !strings.HasPrefix(f.Code, "rings.") {
					continue
				}
				if n, ok := c.tells[f.Code]; !ok || !strings.Contains(f.Text, ": "+chalk(n)+".") || f.Do == "" || f.Source == "" {
					t.Errorf("%s: %q, want row %d (%s)", f.Code, f.Text, n, chalk(max(n, 1)))
				}
				delete(c.tells, f.Code)
			}
			for code := range c.tells {
				t.Errorf("%s is not told", code)
			}
		})
	}
}
