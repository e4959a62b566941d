package layout_test

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"pilewright/plan"
	"pilewright/plan/measure"
)

// board30 is a board 30 in long and 3/4 in thick of the shop of a test.
func board30(q *plan.Project, width measure.Length) {
	id := q.Take()
	q.Boards = append(q.Boards, plan.Board{ID: id, Mark: fmt.Sprintf("B%d", id), Length: 30 * measure.Inch, Width: width, Thickness: measure.Inch})
}

// panelOf is a piece that is one top, 24 x 9 3/4 x 3/4 in, with boards of the
// widths given.
func panelOf(widths ...measure.Length) *plan.Project {
	s := plan.Start{ID: "top", Name: "Top", Parts: []plan.Part{
		{Name: "top", Length: "24 in", Width: "9 3/4 in", Thickness: "3/4 in", Role: plan.RoleTop, Copies: []plan.Copy{{X: "0", Y: "0", Z: "0", Along: plan.X, Thick: plan.Z}}},
	}}
	p := (&plan.Project{Shop: plan.DefaultShop(), NextID: 1}).NewPiece(s, "top")
	return p.With(func(q *plan.Project) {
		for _, w := range widths {
			board30(q, w)
		}
	})
}

func chosen(t *testing.T, p *plan.Plan) plan.WayOption {
	t.Helper()
	o, ok := p.Ways[0].Choice()
	if !ok {
		t.Fatal("the top is made no way")
	}
	return o
}

// By hand: rows lose 1/8 in where they are joined. Boards of 5 1/2, 3 1/4 and
// 1 3/4 in give 5 3/8 + 3 1/8 + 1 5/8 = 10 1/8 in, enough for 9 3/4; no equal rows
// come out of them, since three of 3 1/4 need 3 3/8 in.
func TestAPanelIsMadeOfStripsOfTheWidthsThePileHas(t *testing.T) {
	p := made(t, panelOf(11*measure.Inch/2, 13*measure.Inch/4, 7*measure.Inch/4))
	o := chosen(t, p)
	shop := &p.Project.Shop
	if !o.Mixed || o.Way != plan.FlatPanel || o.Rows != 3 || len(p.Cuts.Short) > 0 {
		t.Fatalf("%+v, short %v", o, p.Cuts.Short)
	}
	var widths []measure.Length
	sum := measure.Length(0)
	for _, cb := range p.Cuts.Boards {
		for _, c := range cb.Pieces {
			widths = append(widths, c.Width)
			sum += c.Width - shop.WidthAllowance
		}
	}
	if len(widths) != 3 || sum < 39*measure.Inch/4 || sum > 39*measure.Inch/4+measure.Inch/8 {
		t.Errorf("strips %v give %v", widths, sum)
	}
	if len(p.GlueUps) != 1 || len(p.GlueUps[0].Panel.Rows) != 3 || p.GlueUps[0].Panel.Width < 39*measure.Inch/4 || len(p.GlueUps[0].Panel.Faults) > 0 {
		t.Fatalf("glue-ups %+v", p.GlueUps)
	}
	var rows, cut []string
	for _, r := range p.GlueUps[0].Panel.Rows {
		for _, q := range r.Pieces {
			rows = append(rows, q.Strip)
		}
	}
	for _, cb := range p.Cuts.Boards {
		for _, c := range cb.Pieces {
			cut = append(cut, c.Ref())
		}
	}
	slices.Sort(rows)
	slices.Sort(cut)
	if !slices.Equal(rows, cut) {
		t.Errorf("rows hold %v, cut are %v", rows, cut)
	}
	for _, f := range p.Findings {
		if f.Severity == plan.Stop {
			t.Errorf("%s: %s", f.Code, f.Text)
		}
	}
	if p.Ways[0].Options[p.Ways[0].Chosen].Trial == nil {
		t.Error("the way shows no figures of its own")
	}
}

// Strips that were cut stay part of the panel, whatever the pile offers then.
func TestAPanelOfMixedStripsGoesOnWhereOneIsCut(t *testing.T) {
	p := made(t, panelOf(11*measure.Inch/2, 13*measure.Inch/4, 7*measure.Inch/4))
	if !chosen(t, p).Mixed {
		t.Fatal("the top is not of mixed strips")
	}
	for n := range p.Cuts.Boards {
		q, err := p.Project.TickOff(p, p.Cuts.Boards[n].Board)
		if err != nil {
			t.Fatal(err)
		}
		after := made(t, q.With(func(q *plan.Project) { board30(q, 21*measure.Inch/2) }))
		o := chosen(t, after)
		if !o.Mixed || len(after.Cuts.Short) > 0 || len(after.GlueUps) != 1 {
			t.Fatalf("after board %d: %+v, short %v, %d glue-ups", n, o, after.Cuts.Short, len(after.GlueUps))
		}
		ref := p.Cuts.Boards[n].Pieces[0].Ref()
		if !slices.ContainsFunc(after.GlueUps[0].Panel.Rows, func(r plan.PanelRow) bool { return r.Pieces[0].Strip == ref }) {
			t.Errorf("after board %d: the strip %s that is cut is in no row of %+v", n, ref, after.GlueUps[0].Panel.Rows)
		}
		if after.GlueUps[0].Panel.Width < 39*measure.Inch/4 {
			t.Errorf("after board %d the panel is %v wide", n, after.GlueUps[0].Panel.Width)
		}
		for _, f := range after.Findings {
			if f.Severity == plan.Stop || strings.HasPrefix(f.Code, "cuts.") {
				t.Errorf("after board %d: %s: %s", n, f.Code, f.Text)
			}
		}
	}
}

// Boards all alike give equal rows: there is nothing to mix.
func TestEqualBoardsMakeEqualRows(t *testing.T) {
	p := made(t, panelOf(slices.Repeat([]measure.Length{7 * measure.Inch / 2}, 6)...))
	if o := chosen(t, p); o.Mixed || o.Way != plan.FlatPanel || len(p.Cuts.Short) > 0 {
		t.Errorf("%+v", o)
	}
}

// The demo's top has equal rows of its own accord, and strips of several widths
// where the maker asks for them, for which fewer boards are opened.
func TestAMakerMayAskForMixedStrips(t *testing.T) {
	equal := made(t, demoProject(t))
	at := slices.IndexFunc(equal.Ways, func(w plan.PartWays) bool {
		return slices.ContainsFunc(w.Options, func(o plan.WayOption) bool { return o.Mixed })
	})
	if at < 0 {
		t.Fatal("no part may be made of mixed strips")
	}
	if o, _ := equal.Ways[at].Choice(); o.Mixed {
		t.Error("mixed strips are taken unasked")
	}
	part := equal.Ways[at].Part
	asked := made(t, demoProject(t).With(func(q *plan.Project) {
		q.Parts = slices.Clone(q.Parts)
		for i := range q.Parts {
			if q.Parts[i].ID == part {
				q.Parts[i].Way = plan.MixedPanel
			}
		}
	}))
	at = slices.IndexFunc(asked.Ways, func(w plan.PartWays) bool { return w.Part == part })
	if o, _ := asked.Ways[at].Choice(); !o.Mixed || o.Way != plan.FlatPanel {
		t.Errorf("asked for mixed strips, it is made %s of %d rows", o.Way, o.Rows)
	}
	if len(asked.Cuts.Short) > 0 || asked.Cuts.Wood.Cmp(equal.Cuts.Wood) >= 0 {
		t.Errorf("mixed strips open %v and lack %v, equal rows open %v", asked.Cuts.Wood, asked.Cuts.Short, equal.Cuts.Wood)
	}
	for _, f := range asked.Findings {
		if f.Severity == plan.Stop {
			t.Errorf("%s: %s", f.Code, f.Text)
		}
	}
}
