package cutting

import (
	"math/rand/v2"
	"testing"

	"pilewright/plan/measure"
)

// TestBoardValuesEqualThePlainPrograms compares the sweeps that price boards
// with the checker's own dynamic programs, which try every place.
func TestBoardValuesEqualThePlainPrograms(t *testing.T) {
	r := rand.New(rand.NewPCG(51, 12))
	for n := range 60 {
		p := shop(uint64(n), 4, 20)
		if n%3 == 1 {
			p.MinSafeLength = 300 * mm
		}
		for k := range p.Boards {
			b := &p.Boards[k]
			for range r.IntN(4) { // defects that begin, end and overlap anywhere
				from := measure.Length(r.IntN(int(b.Length/mm)-2)) * mm
				d := Defect{From: from, To: min(b.Length, from+measure.Length(1+r.IntN(200))*mm), AcrossFrom: measure.Length(r.IntN(80)) * mm, HiddenOK: r.IntN(2) == 0}
				d.AcrossTo = min(b.Width, d.AcrossFrom+measure.Length(1+r.IntN(40))*mm)
				b.Defects = append(b.Defects, d)
			}
		}
		q := reduce(&p)
		f := newFlat(q)
		pi, limit, want := make([]int64, len(q.kinds)), make([]int, len(q.kinds)), make([]bool, len(q.groups))
		for k := range pi {
			pi[k] = int64(r.IntN(5)) * int64(q.kinds[k].l*q.kinds[k].w+r.IntN(20000))
			limit[k] = r.IntN(q.kinds[k].count + 1)
		}
		for g := range want {
			want[g] = !q.groups[g].line
		}
		value := make([]int64, len(q.groups))
		f.price(pi, limit, want, value)
		v := newValuer(q, pi, limit)
		for g := range want {
			if !want[g] {
				continue
			}
			if plain := v.board(g, nil); plain != value[g] {
				t.Errorf("case %d, board %d: %d, the plain program finds %d", n, g, value[g], plain)
			}
			c := f.pattern(g)
			if c == nil {
				if value[g] > 0 {
					t.Errorf("case %d, board %d: worth %d but no pattern", n, g, value[g])
				}
				continue
			}
			got := int64(0)
			for k, i := range c.Items {
				got += int64(c.N[k]) * pi[i]
			}
			if got > value[g] {
				t.Errorf("case %d, board %d: a pattern of %d above the best value %d", n, g, got, value[g])
			}
			f.loose = true
			c, got = f.pattern(g), 0
			for k, i := range c.Items {
				got += int64(c.N[k]) * pi[i]
			}
			if f.loose = false; got != value[g] {
				t.Errorf("case %d, board %d: a loose pattern of %d for the value %d", n, g, got, value[g])
			}
		}
	}
}

// Five equal boards whose clear runs are too short for any blank once took the
// whole bound away: the row of their least use, zero, ended with an endless price.
func TestEqualBoardsThatHoldNothingLeaveTheProofWhole(t *testing.T) {
	p := Problem{CrosscutKerf: 3 * mm, RipKerf: 3 * mm, Aims: []Aim{AimWood}}
	for k := range 5 {
		p.Boards = append(p.Boards, Board{ID: string(rune('a' + k)), Length: 1000 * mm, Width: 100 * mm,
			Defects: []Defect{{From: 300 * mm, To: 400 * mm}, {From: 650 * mm, To: 700 * mm}}})
	}
	for k := range 12 {
		p.Boards = append(p.Boards, Board{ID: string(rune('A' + k)), Length: measure.Length(1100+20*k) * mm, Width: 140 * mm})
	}
	p.Items = []Item{{ID: "row", Length: 1050 * mm, Width: 43 * mm, Count: 13}, {ID: "rail", Length: 500 * mm, Width: 90 * mm, Count: 6}}
	s := mustSolve(t, p, Options{Work: 60_000_000})
	if s.Status != Optimal {
		t.Errorf("not proved: %s", levelText(s))
	}
	if err := CheckProof(p, s); err != nil {
		t.Error(err)
	}
}
