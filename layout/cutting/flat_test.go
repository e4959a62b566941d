package cutting

import (
	"context"
	"math/big"
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
	if err := CheckProof(context.Background(), p, s); err != nil {
		t.Error(err)
	}
}

// Ripped boards with defects: what may not change, and what may change only one way.
func TestRippedBoardsKeepTheirValuesWhenTheJobIsTurned(t *testing.T) {
	r := rand.New(rand.NewPCG(81, 12))
	work := Options{Work: 6_000_000}
	for n := range 12 {
		p := shop(uint64(100+n), 3+n%4, 6+n)
		p.Aims = []Aim{AimWood}
		a := mustSolve(t, p, work)
		if a.Levels[0].Value > 0 {
			continue
		}
		tripled := p
		tripled.CrosscutKerf, tripled.RipKerf, tripled.LeftoverMin = 3*p.CrosscutKerf, 3*p.RipKerf, 3*p.LeftoverMin
		tripled.Boards, tripled.Items = append([]Board(nil), p.Boards...), append([]Item(nil), p.Items...)
		for k := range tripled.Boards {
			b := &tripled.Boards[k]
			b.Length, b.Width, b.TrimLeft, b.TrimRight = 3*b.Length, 3*b.Width, 3*b.TrimLeft, 3*b.TrimRight
			b.Defects = append([]Defect(nil), b.Defects...)
			for d := range b.Defects {
				e := &b.Defects[d]
				e.From, e.To, e.AcrossFrom, e.AcrossTo = 3*e.From, 3*e.To, 3*e.AcrossFrom, 3*e.AcrossTo
			}
		}
		for k := range tripled.Items {
			tripled.Items[k].Length, tripled.Items[k].Width = 3*tripled.Items[k].Length, 3*tripled.Items[k].Width
		}
		s := mustSolve(t, tripled, work)
		if want := a.Levels[1].Exact(); s.Levels[1].Exact().Cmp(want.Mul(want, bigNine)) != 0 || len(s.Boards) != len(a.Boards) {
			t.Errorf("case %d: three times the sizes: %s, from %s", n, levelText(s), levelText(a))
		} else {
			for k := range s.Boards {
				for q, pc := range s.Boards[k].Pieces {
					if o := a.Boards[k].Pieces[q]; pc.X != 3*o.X || pc.Y != 3*o.Y || pc.Item != o.Item {
						t.Errorf("case %d: the plan of three times the sizes is another", n)
					}
				}
			}
		}
		mixed := p
		mixed.Boards, mixed.Items = append([]Board(nil), p.Boards...), append([]Item(nil), p.Items...)
		r.Shuffle(len(mixed.Boards), func(i, j int) { mixed.Boards[i], mixed.Boards[j] = mixed.Boards[j], mixed.Boards[i] })
		r.Shuffle(len(mixed.Items), func(i, j int) { mixed.Items[i], mixed.Items[j] = mixed.Items[j], mixed.Items[i] })
		more := p
		more.Boards = append(append([]Board(nil), p.Boards...), Board{ID: "new", Length: 900 * mm, Width: 120 * mm, Thickness: 20 * mm})
		for name, q := range map[string]Problem{"in another order": mixed, "with a board more": more} {
			b := mustSolve(t, q, work)
			x, y := a.Levels[1], b.Levels[1]
			area := func(v, unit int64) float64 { return float64(v) * float64(unit) }
			// Bounds hold for either; what is proved is equal, or less with a board more.
			if area(y.Bound, y.Unit) > area(x.Value, x.Unit) || x.Proved && y.Proved && y.Exact().Cmp(x.Exact()) > 0 ||
				name != "with a board more" && (area(x.Bound, x.Unit) > area(y.Value, y.Unit) || x.Proved && y.Proved && y.Exact().Cmp(x.Exact()) != 0) {
				t.Errorf("case %d, %s: %s, from %s", n, name, levelText(b), levelText(a))
			}
		}
	}
}

var bigNine = big.NewInt(9)
