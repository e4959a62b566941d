package cutting

import (
	"context"
	"math/rand/v2"
	"os"
	"strings"
	"testing"

	"pilewright/plan/measure"
)

// panels is a job of strips of one length that cover panels, and blanks of that
// length, from boards that hold one or two sections.
func panels(r *rand.Rand) Problem {
	p := Problem{CrosscutKerf: 3 * mm, RipKerf: measure.Length(r.IntN(3)) * mm, Aims: []Aim{AimWood}}
	for k := range 2 + r.IntN(3) {
		b := Board{ID: string(rune('A' + k)), Length: measure.Length(500+r.IntN(90)) * mm, Width: measure.Length(60+10*r.IntN(7)) * mm}
		if r.IntN(3) == 0 {
			b.Length += 505 * mm
		}
		p.Boards = append(p.Boards, b)
	}
	widths := []measure.Length{25 * mm, 30 * mm, 35 * mm, 40 * mm, 55 * mm}
	r.Shuffle(len(widths), func(a, b int) { widths[a], widths[b] = widths[b], widths[a] })
	c := &Cover{Widths: widths[:1+r.IntN(3)]}
	if r.IntN(4) == 0 {
		c.Rows = 2 + r.IntN(4)
	} else {
		c.Total, c.Joint = measure.Length(60+10*r.IntN(12))*mm, measure.Length(r.IntN(2)*5)*mm
	}
	p.Items = append(p.Items, Item{ID: "panel", Length: 500 * mm, Cover: c})
	if r.IntN(2) == 0 {
		p.Items = append(p.Items, Item{ID: "rail", Length: 500 * mm, Width: 50 * mm, Count: 1 + r.IntN(2)})
	}
	return p
}

// leastWood tries every set of boards and every filling of their sections, and
// returns the least area in mm² that makes everything, or -1.
func leastWood(p *Problem) int64 {
	type state struct{ covered, rails int }
	c := p.Items[0].Cover
	need, rails := state{c.need(), 0}, 0
	if len(p.Items) > 1 {
		rails = p.Items[1].Count
	}
	// fillings of a section so wide.
	var fillings func(room measure.Length, from int, s state, out map[state]bool)
	fillings = func(room measure.Length, from int, s state, out map[state]bool) {
		out[s] = true
		for k := from; k < len(c.Widths); k++ {
			if w := c.Widths[k]; w <= room {
				fillings(room-w-p.RipKerf, k, state{min(need.covered, s.covered+c.worth(w)), s.rails}, out)
			}
		}
		if from <= len(c.Widths) && rails > 0 && s.rails < rails && p.Items[1].Width <= room {
			fillings(room-p.Items[1].Width-p.RipKerf, len(c.Widths), state{s.covered, s.rails + 1}, out)
		}
	}
	best := int64(-1)
	var walk func(k int, wood int64, reach map[state]bool)
	walk = func(k int, wood int64, reach map[state]bool) {
		for s := range reach {
			if s.covered >= need.covered && s.rails >= rails && (best < 0 || wood < best) {
				best = wood
			}
		}
		if k == len(p.Boards) {
			return
		}
		walk(k+1, wood, reach)
		b := &p.Boards[k]
		for range (b.Length + p.CrosscutKerf) / (500*mm + p.CrosscutKerf) {
			more, next := map[state]bool{}, map[state]bool{}
			fillings(b.Width, 0, state{}, more)
			for s := range reach {
				for m := range more {
					next[state{min(need.covered, s.covered+m.covered), min(rails, s.rails+m.rails)}] = true
				}
			}
			reach = next
		}
		walk(k+1, wood+int64(b.Length/mm)*int64(b.Width/mm), reach)
	}
	walk(0, 0, map[state]bool{{}: true})
	return best
}

func TestPanelsOfAnyStripsEqualBruteForce(t *testing.T) {
	r := rand.New(rand.NewPCG(71, 12))
	proved, made, missed := 0, 0, 0
	cases := 50
	if os.Getenv("PILEWRIGHT_FULL") != "" {
		cases = 400
	}
	for n := range cases {
		p := panels(r)
		s := mustSolve(t, p, Options{Work: 20_000_000})
		if err := CheckProof(context.Background(), p, s); err != nil {
			t.Fatalf("case %d: %v\n%+v %+v", n, err, p, *p.Items[0].Cover)
		}
		want := leastWood(&p)
		if (want < 0) != (s.Levels[0].Value > 0) {
			t.Errorf("case %d: %s, brute force %d\n%+v %+v", n, levelText(s), want, p, *p.Items[0].Cover)
			continue
		}
		if want < 0 {
			continue
		}
		made++
		wood := s.Levels[1]
		mm2 := int64(mm) * int64(mm)
		got, bound := wood.Value*wood.Unit/mm2, wood.Bound*wood.Unit/mm2
		if got != want && s.Status != Optimal && bound <= want {
			missed++ // an honest gap, seldom
		} else if got != want || bound > want {
			t.Errorf("case %d: wood %d, bound %d, brute force %d\n%+v %+v", n, got, bound, want, p, *p.Items[0].Cover)
		}
		if s.Status == Optimal {
			proved++
		}
	}
	if made < cases/4 || proved*10 < made*9 {
		t.Errorf("%d of %d made and proved", proved, made)
	}
	if missed*100 > made {
		t.Errorf("%d of %d plans above the least wood", missed, made)
	}
}

// By hand: 300 mm from strips of 40 or 70 mm, out of boards 150 mm wide: 70 + 70
// from each of two boards leave 20 mm, so three boards are needed; with a kerf of
// 3 mm a board holds 40 + 40 + 40, not 40 + 40 + 70.
func TestAStripMayHaveAnyOfThePanelsWidths(t *testing.T) {
	p := Problem{CrosscutKerf: 3 * mm, RipKerf: 3 * mm, Items: []Item{{ID: "top", Length: 800 * mm, Cover: &Cover{Total: 300 * mm, Widths: []measure.Length{40 * mm, 70 * mm}}}}}
	for _, id := range []string{"A", "B", "C", "D"} {
		p.Boards = append(p.Boards, Board{ID: id, Length: 820 * mm, Width: 150 * mm})
	}
	s := mustSolve(t, p, Options{Work: 20_000_000})
	if len(s.Boards) != 3 || s.Status != Optimal {
		t.Errorf("%d boards, %s", len(s.Boards), levelText(s))
	}
	short := p
	short.Boards = p.Boards[:1]
	s = mustSolve(t, short, Options{Work: 20_000_000})
	if unit := p.Items[0].Cover.Unit(); len(s.Short) != 1 || measure.Length(s.Short[0].Count)*unit != 160*mm || !s.Levels[0].Proved {
		t.Errorf("short %+v in units of %s, %s", s.Short, show(unit), levelText(s))
	}
}

// By hand: 160 mm are missing after one board; a board 40 mm wide gives one strip.
func TestAShortPanelIsToldInBoards(t *testing.T) {
	p := Problem{CrosscutKerf: 3 * mm, RipKerf: 3 * mm, Boards: []Board{{ID: "A", Length: 820 * mm, Width: 150 * mm}},
		Items: []Item{{ID: "top", Length: 800 * mm, Cover: &Cover{Total: 300 * mm, Widths: []measure.Length{40 * mm, 70 * mm}}}}}
	lack, err := Shortage(context.Background(), p, nil, []measure.Length{800 * mm}, Options{})
	if err != nil || len(lack.Extra) != 1 || lack.Extra[0].Count != 4 || !lack.Extra[0].Exact || lack.Extra[0].Width != 40*mm {
		t.Errorf("%+v, %v", lack, err)
	}
}

func TestTheCheckerFindsAPanelNotCovered(t *testing.T) {
	p := Problem{Items: []Item{{ID: "top", Length: 800 * mm, Cover: &Cover{Total: 100 * mm, Joint: 10 * mm, Widths: []measure.Length{60 * mm}}}},
		Boards: []Board{{ID: "A", Length: 800 * mm, Width: 120 * mm}}}
	s := mustSolve(t, p, Options{Work: 1_000_000})
	for name, spoil := range map[string]func(s *Solution){
		"covered":     func(s *Solution) { s.Boards[0].Pieces = s.Boards[0].Pieces[:1] },
		"does not":    func(s *Solution) { s.Boards[0].Pieces[0].Width = 55 * mm },
		"twice":       func(s *Solution) { s.Boards[0].Pieces[0].Copy = s.Boards[0].Pieces[1].Copy },
		"edge to end": nil,
	} {
		if spoil == nil {
			continue
		}
		q := s
		q.Boards = []Opened{{Board: 0, Pieces: append([]Piece(nil), s.Boards[0].Pieces...)}}
		spoil(&q)
		text := ""
		for _, v := range Check(p, q) {
			text += v.Say + "; "
		}
		if !strings.Contains(text, name) {
			t.Errorf("%q is not in %q", name, text)
		}
	}
	for _, bad := range []Cover{{}, {Total: 5 * mm, Rows: 2, Widths: []measure.Length{mm}}, {Total: 5 * mm}, {Total: 5 * mm, Joint: mm, Widths: []measure.Length{mm}}, {Total: -1, Widths: []measure.Length{mm}}, {Total: measure.Metre + 1, Widths: []measure.Length{2 * mm}}} {
		p.Items[0].Cover = &bad
		if p.Validate() == nil {
			t.Errorf("%+v was taken", bad)
		}
	}
}
