package solid

import (
	"math/rand/v2"
	"testing"
)

func TestBlockedEqualsMovingTheVoxels(t *testing.T) {
	r := rand.New(rand.NewPCG(9, 1))
	free, blocked := 0, 0
	for range 500 {
		a, ga := randomSolid(r)
		b, gb := randomSolid(r)
		if r.IntN(4) > 0 {
			b = b.Minus(a)
			gb = pictureOf(b)
		}
		got := Blocked(a, b)
		for d := PlusX; d <= MinusZ; d++ {
			want := false
			for far := range cells {
				step := d.Times(1)
				for x := range cells {
					for y := range cells {
						for z := range cells {
							want = want || ga[x][y][z] && gb.at(x+far*int(step[0]), y+far*int(step[1]), z+far*int(step[2]))
						}
					}
				}
			}
			if got[d] != want {
				t.Fatalf("%v moved %v past %v: got %v, want %v", a.Boxes(), d, b.Boxes(), got[d], want)
			}
			if want {
				blocked++
			} else {
				free++
			}
		}
		if back := Blocked(b, a); back[PlusY] != got[MinusY] || back[MinusZ] != got[PlusZ] {
			t.Fatalf("%v and %v block each other unevenly", a.Boxes(), b.Boxes())
		}
	}
	if free < 300 || blocked < 300 {
		t.Fatalf("only %d free and %d blocked ways were met", free, blocked)
	}
}
