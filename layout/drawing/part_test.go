package drawing_test

import (
	"testing"

	"pilewright/layout/drawing"
	"pilewright/plan/measure"
)

func TestPartWithMortises(t *testing.T) {
	golden(t, "part_leg", drawing.Part(drawing.PartView{Ref: "A1", Mark: "A1", Title: "leg, one of four", Length: 420 * mm, Width: 45 * mm, Thickness: 45 * mm,
		Features: []drawing.Feature{
			{Kind: "mortise", X: 30 * mm, Y: 16 * mm, L: 60 * mm, W: 12 * mm, Depth: 25 * mm, Note: "for B1, ends square"},
			{Kind: "mortise", Edge: true, X: 35 * mm, Y: 12 * mm, L: 50 * mm, W: 12 * mm, Depth: 20 * mm, Note: "for C1"},
			{Kind: "hole", Round: true, X: 380 * mm, Y: 22 * mm, L: 8 * mm, W: 8 * mm},
		}}, drawing.Options{}))
}

func TestPartWithTenons(t *testing.T) {
	golden(t, "part_rail", drawing.Part(drawing.PartView{Ref: "B1", Mark: "B1", Title: "long rail", Length: 1040 * mm, Width: 80 * mm, Thickness: 22 * mm,
		LeftTenon: 25 * mm, RightTenon: 25 * mm, TenonWidth: 60 * mm, TenonThick: 12 * mm, TenonEdge: 10 * mm, TenonFace: 5 * mm,
		Features: []drawing.Feature{{Kind: "housing", X: 500 * mm, Y: 0, L: 40 * mm, W: 80 * mm, Depth: 6 * mm}},
	}, drawing.Options{}))
}

func TestPanelRows(t *testing.T) {
	v := drawing.PanelView{Title: "Panel D, four rows", Length: 1210 * mm, Target: 19 * mm}
	for i, cuts := range [][]int{{0, 400, 1210}, {0, 760, 1210}, {0, 1210}, {0, 300, 820, 1210}} {
		r := drawing.PanelRow{Mark: string(rune('1' + i)), Width: 88 * mm, Thickness: (21 + []measure.Length{0, 1, 0, 2}[i]) * mm}
		for k := 1; k < len(cuts); k++ {
			m := r.Mark + string(rune('a'+k-1))
			r.Pieces = append(r.Pieces, drawing.RowPiece{Ref: m, Mark: m, X: measure.Length(cuts[k-1]) * mm, L: measure.Length(cuts[k]-cuts[k-1]) * mm})
		}
		v.Rows = append(v.Rows, r)
	}
	v.Staggers = []drawing.Stagger{{Row: 0, A: 400 * mm, B: 760 * mm, Text: "360"}}
	golden(t, "panel_rows", drawing.PanelRows(v, drawing.Options{}))
}

func TestPanelRowsWithFacesAndRings(t *testing.T) {
	v := drawing.PanelView{Title: "Panel E, faces and growth rings", Length: 900 * mm, Target: 19 * mm}
	type lie struct {
		face          string
		rings         drawing.EndGrain
		poor, against bool
	}
	for i, row := range [][]lie{
		{{"A", drawing.RingsUp, false, false}, {"B", drawing.RingsUp, false, false}},
		{{"B", drawing.RingsDown, false, false}},
		{{"", drawing.RingsUpright, false, false}, {"", drawing.NoRings, true, false}},
		{{"A", drawing.RingsDown, true, true}, {"B", drawing.NoRings, false, false}},
		{{"A", drawing.RingsLeft, false, false}, {"B", drawing.RingsRight, false, false}, {"", drawing.RingsLevel, false, false}},
		{{"", drawing.NoRings, false, false}},
	} {
		r := drawing.PanelRow{Mark: string(rune('1' + i)), Width: 40 * mm, Thickness: 22 * mm}
		for k, q := range row {
			m := r.Mark + string(rune('a'+k))
			n := measure.Length(len(row))
			r.Pieces = append(r.Pieces, drawing.RowPiece{Ref: m, Mark: m, X: 900 * mm / n * measure.Length(k), L: 900 * mm / n, Face: q.face, Rings: q.rings, Poor: q.poor, Against: q.against})
		}
		v.Rows = append(v.Rows, r)
	}
	golden(t, "panel_faces", drawing.PanelRows(v, drawing.Options{}))
}

func TestAPieceTooShortForItsSignsKeepsItsMark(t *testing.T) {
	v := drawing.PanelView{Length: 1000 * mm, Rows: []drawing.PanelRow{{Mark: "1", Width: 60 * mm, Thickness: 20 * mm, Pieces: []drawing.RowPiece{
		{Ref: "1a", Mark: "E11", L: 60 * mm, Face: "B", Rings: drawing.RingsUp}, {Ref: "1b", Mark: "E12", X: 60 * mm, L: 940 * mm, Face: "A"}}}}}
	p := drawing.PanelRows(v, drawing.Options{})
	words := map[string]bool{}
	for _, m := range p.Marks {
		if m.Ref != "" && m.Text != "" {
			words[m.Ref+" "+m.Text] = true
		}
	}
	if !words["1a E11"] || words["1a B"] || !words["1b A"] {
		t.Errorf("the pieces say %v", words)
	}
}
