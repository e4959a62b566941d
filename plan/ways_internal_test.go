package plan

import (
	"testing"

	"pilewright/plan/measure"
)

// Rows turned end for end keep their joints apart: checked joint by joint.
func TestRowPiecesAreStaggeredWhenTurned(t *testing.T) {
	const in = measure.Inch
	for full := 20 * in; full < 90*in; full += 7 * in / 3 {
		for k := 2; k <= 3; k++ {
			for _, stagger := range []measure.Length{2 * in, 4 * in, 6 * in} {
				lens := rowPieces(full, k, stagger, 0)
				if lens == nil {
					continue
				}
				var sum measure.Length
				var joints []measure.Length
				for i, l := range lens {
					if l <= 0 {
						t.Fatalf("full %v in %d pieces: piece %d is %v", full, k, i, l)
					}
					sum += l
					if i < k-1 {
						joints = append(joints, sum)
					}
				}
				if d := sum - full; d < -2 || d > 2 {
					t.Errorf("pieces of %v come to %v", full, sum)
				}
				for _, a := range joints {
					for _, b := range joints {
						if gap := absLen(a - (full - b)); gap < stagger-2 {
							t.Errorf("full %v, %d pieces: joint at %v and turned joint at %v are %v apart, want %v", full, k, a, full-b, gap, stagger)
						}
					}
				}
			}
		}
	}
}

// Hand-worked: a top of 20 x 3/4 from boards 5 1/2 and 3 1/2 wide, with 1/8 lost
// in jointing: 20/(5 3/8) = 3.7 -> 4 rows; 20/(3 3/8) = 5.9 -> 6; a 5 1/2 board
// ripped in two gives (5 1/2 - 1/8)/2 - 1/8 = 2 9/16: 20/2.5625 = 7.8 -> 8 rows;
// a 3 1/2 one (3 1/2 - 1/8)/2 - 1/8 = 1 9/16: 20/1.5625 = 12.8 -> 13 rows.
func TestFlatPanelsRipWideBoardsInTwo(t *testing.T) {
	const in = measure.Inch
	shop := DefaultShop()
	for i := range shop.Blades {
		shop.Blades[i].Kerf = in / 8
	}
	pile := pileShape{boards: []Board{
		{Length: 46 * in, Width: 5*in + in/2, Thickness: 7 * in / 8},
		{Length: 46 * in, Width: 3*in + in/2, Thickness: 7 * in / 8},
	}}
	sp := SizedPart{Part: Part{ID: 1, Name: "top"}, L: 40 * in, W: 20 * in, T: 3 * in / 4, N: 1}
	got := pile.ways(&shop, &Piece{}, sp, sp.L)
	rows := map[Way][]int{}
	for _, o := range got.Options {
		rows[o.Way] = append(rows[o.Way], o.Rows)
	}
	for i, want := range []int{4, 6, 8, 13} {
		if len(rows[FlatPanel]) <= i || rows[FlatPanel][i] != want {
			t.Fatalf("flat rows %v, want 4 6 8 13", rows[FlatPanel])
		}
	}
	// On edge each strip gives 7/8 - 1/16 = 13/16: 20 / 0.8125 = 24.6 -> 25 rows.
	if len(rows[OnEdge]) == 0 || rows[OnEdge][0] != 25 {
		t.Errorf("on-edge rows %v, want 25", rows[OnEdge])
	}
	if o, _ := got.Choice(); o.Way != FlatPanel || o.Rows != 4 {
		t.Errorf("the plainest way that fits is %s in %d rows, want flat in 4", o.Way, o.Rows)
	}
}

func TestAPartNoBoardGivesSaysWhy(t *testing.T) {
	const in = measure.Inch
	pile := pileShape{boards: []Board{{Length: 30 * in, Width: 3 * in, Thickness: in / 2, Species: "pine"}}}
	for _, c := range []struct {
		name string
		b    Blank
		want string
	}{
		{"too long", Blank{Length: 31 * in, Width: in, Thickness: in / 4}, "no board that thick is that long"},
		{"too wide", Blank{Length: 20 * in, Width: 4 * in, Thickness: in / 4}, "no board that thick is that wide"},
		{"too thick", Blank{Length: 20 * in, Width: in, Thickness: in}, "no board is that thick"},
		{"another species", Blank{Length: 20 * in, Width: in, Thickness: in / 4, Species: "oak"}, "there is no oak in the pile"},
	} {
		if ok, why := pile.fits(c.b); ok || why != c.want {
			t.Errorf("%s: %v, %q; want %q", c.name, ok, why, c.want)
		}
	}
}
