package plan

import (
	"testing"

	"pilewright/plan/measure"
)

// A part of plywood is cut from a sheet of its own thickness and neither jointed
// nor planed; a sheet of another thickness does not serve.
func TestAPartOfSheetGoodsIsAsThickAsItsSheet(t *testing.T) {
	const in = measure.Inch
	shop := DefaultShop()
	pile := pileShape{boards: []Board{
		{ID: 1, Length: 96 * in, Width: 48 * in, Thickness: in / 2, Species: "plywood", Sheet: true},
		{ID: 2, Length: 60 * in, Width: 6 * in, Thickness: in, Species: "pine"},
	}}
	for _, tt := range []struct {
		thick measure.Length
		fits  bool
	}{{in / 2, true}, {in/2 - in/64, true}, {7 * in / 16, false}, {9 * in / 16, false}} {
		sp := SizedPart{Part: Part{ID: 1, Name: "back", Species: "Plywood"}, L: 30 * in, W: 20 * in, T: tt.thick, N: 1}
		got := pile.ways(&shop, &Piece{}, sp, sp.L)
		o := got.Options[0]
		if !o.Blanks[0].Sheet || o.Blanks[0].Thickness != tt.thick || o.Fits != tt.fits {
			t.Errorf("%v thick from a half-inch sheet: sheet %v, blank %v, fits %v (%s)", tt.thick, o.Blanks[0].Sheet, o.Blanks[0].Thickness, o.Fits, o.Why)
		}
	}
	sp := SizedPart{Part: Part{ID: 1, Name: "rail", Species: "pine"}, L: 30 * in, W: 3 * in, T: 3 * in / 4, N: 1}
	if b := pile.ways(&shop, &Piece{}, sp, sp.L).Options[0].Blanks[0]; b.Sheet || b.Thickness <= sp.T {
		t.Errorf("pine is planed from a board: %+v", b)
	}
}
