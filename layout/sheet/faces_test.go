package sheet

import (
	"context"
	"slices"
	"strings"
	"testing"

	"pilewright/plan"
)

// faced is the demo with boards whose faces and growth rings are known: of every
// five the bark is up on four, one face alone is good on the first two and none on
// the last. A strip with one good face is locked with the other up.
func faced(t testing.TB, habit plan.RingHabit) *plan.Plan {
	t.Helper()
	p := theDemo(t).Project
	board := map[string]int{} // by strip, its place in the pile
	for _, cb := range theDemo(t).Cuts.Boards {
		for _, c := range cb.Pieces {
			board[c.Ref()] = slices.IndexFunc(p.Boards, func(b plan.Board) bool { return b.ID == cb.Board })
		}
	}
	made, err := plan.Make(context.Background(), p.With(func(q *plan.Project) {
		q.Shop.RingHabit = habit
		q.Boards = slices.Clone(p.Boards)
		for i := range q.Boards {
			b := &q.Boards[i]
			b.Rings = []plan.Rings{plan.BarkUp, plan.BarkUp, plan.Upright, plan.BarkUp, plan.BarkUp}[i%5]
			b.Faces = []plan.GoodFaces{plan.GoodB, plan.GoodA, plan.GoodBoth, plan.FacesUnknown, plan.GoodNone}[i%5]
		}
		for i, r := range theDemo(t).GlueUps[0].Panel.Rows {
			if strip := r.Pieces[0].Strip; board[strip]%5 < 2 {
				q.Choices = []plan.Choice{{ID: q.Take(), Piece: q.Piece.ID, Kind: plan.RowPlace, Blank: strip, Row: i + 1, Flip: board[strip]%5 == 1}}
				break
			}
		}
	}), quickTools(), nil)
	if err != nil {
		t.Fatal(err)
	}
	return made
}

func TestTheSheetSaysHowEveryPieceOfAPanelLies(t *testing.T) {
	p := faced(t, plan.Alternate)
	got := text(t, p, Options{Paper: "letter", Now: printed, Revision: "plan 1", Pages: map[string]bool{"glue-ups": true}})
	golden(t, "faces_letter.txt", got)
	for _, g := range p.GlueUps {
		for i, r := range g.Panel.Rows {
			for _, q := range r.Pieces {
				lies := q.Lies(g.Way)
				if g.Way == plan.FlatPanel && len(lies) == 0 {
					t.Errorf("%s row %d, %s: nothing is told (%+v)", g.Name, i+1, q.Chalk, q)
				}
				for _, text := range lies { // of a layer on lines of their own
					if !strings.Contains(got, text) {
						t.Errorf("%s lies %q, which the sheet does not say", q.Chalk, text)
					}
				}
				if g.Way == plan.FlatPanel && !strings.Contains(got, strings.Join(lies, ", ")) {
					t.Errorf("%s lies %q, which the sheet does not say in one", q.Chalk, lies)
				}
			}
		}
	}
	turned := strings.Join(p.GlueUps[0].Panel.Turned(), ", ")
	if turned == "" || !strings.Contains(strings.Join(strings.Fields(said(t, p, "glue-ups")), " "), "face B where A was: "+turned+".") {
		t.Errorf("that %q are turned over is not said", turned)
	}
	one := faced(t, plan.OneWay)
	if got := said(t, one, "glue-ups"); !strings.Contains(got, "in every row") || !strings.Contains(strings.Join(strings.Fields(got), " "), "all rows of a panel the same way") {
		t.Errorf("the other habit is not said:\n%s", got)
	}
	if Revision(p) == Revision(one) || Revision(p) == Revision(theDemo(t)) {
		t.Error("pieces that lie otherwise have one revision")
	}
}

func TestFacesAndRingsAreSaidInSpanish(t *testing.T) {
	for _, habit := range []plan.RingHabit{plan.Alternate, plan.OneWay} {
		p := faced(t, habit)
		codes := map[string]bool{}
		for _, f := range p.Findings {
			codes[f.Code] = true
		}
		if !codes["face.poor"] || !codes["face.locked"] || !codes["rings.against"] {
			t.Errorf("%s: the findings are %v", habit, codes)
		}
		for _, text := range unknown(p, spanish(t, "es")) {
			t.Errorf("no Spanish for %q", text)
		}
		if habit == plan.OneWay {
			continue
		}
		holdsNoEnglish(t, p)
	}
}
