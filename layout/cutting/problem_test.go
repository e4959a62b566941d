package cutting

import (
	"context"
	"fmt"
	"math"
	"strings"
	"testing"

	"pilewright/plan/measure"
)

func TestBadInputIsNamedByRowAndField(t *testing.T) {
	good := func() Problem {
		return Problem{CrosscutKerf: 3 * mm, RipKerf: 3 * mm,
			Boards: []Board{{ID: "A1", Length: 1000 * mm, Width: 95 * mm}}, Items: []Item{{ID: "leg", Length: 400 * mm, Width: 40 * mm, Count: 2}}}
	}
	p := good()
	if err := p.Validate(); err != nil {
		t.Fatalf("a good problem: %v", err)
	}
	for _, tt := range []struct {
		name string
		do   func(*Problem)
		want string
	}{
		{"a board of no length", func(p *Problem) { p.Boards[0].Length = 0 }, "board A1, length: is missing"},
		{"a negative width", func(p *Problem) { p.Boards[0].Width = -mm }, "board A1, width: -1 mm is less than nothing"},
		{"a board a mile long", func(p *Problem) { p.Boards[0].Length = 1609 * measure.Metre }, "board A1, length"},
		{"a defect beyond the end", func(p *Problem) { p.Boards[0].Defects = []Defect{{From: 900 * mm, To: 1100 * mm}} }, "board A1, defect 1: lies outside the board"},
		{"a defect backwards", func(p *Problem) { p.Boards[0].Defects = []Defect{{From: 90 * mm, To: 80 * mm}} }, "board A1, defect 1: ends before it begins"},
		{"a blank without length", func(p *Problem) { p.Items[0].Length = 0 }, "blank leg, length: is missing"},
		{"a negative count", func(p *Problem) { p.Items[0].Count = -1 }, "blank leg, count: -1 is less than nothing"},
		{"too many blanks", func(p *Problem) { p.Items[0].Count = MaxBlanks + 1 }, "blank leg, count: brings the blanks above"},
		{"a kerf wider than a strip", func(p *Problem) { p.RipKerf = 50 * mm }, "blank leg, width: 40 mm is narrower than the rip kerf of 50 mm"},
		{"an unknown board", func(p *Problem) { p.Items[0].OnBoard = "Z9" }, `blank leg, board: "Z9" is not in the pile`},
		{"a million blanks", func(p *Problem) { p.Items[0].Count = 1_000_000 }, "blank leg, count: brings the blanks above"},
		{"counts that would overflow", func(p *Problem) {
			p.Items[0].Count = math.MaxInt
			p.Items = append(p.Items, Item{ID: "rail", Length: 400 * mm, Width: 40 * mm, Count: math.MaxInt})
		}, "blank leg, count: brings the blanks above"},
		{"a blank a nanometre long", func(p *Problem) { p.Items[0].Length = 1 }, "blank leg, length: 0.000001 mm is shorter than the crosscut kerf of 3 mm"},
		{"a blank a nanometre wide", func(p *Problem) { p.Items[0].Width = 1 }, "blank leg, width: 0.000001 mm is narrower than the rip kerf of 3 mm"},
		{"a size that would overflow", func(p *Problem) { p.Items[0].Length = math.MaxInt64 }, "blank leg, length: 9223372036854.775807 mm is longer than"},
		{"a kerf that would overflow", func(p *Problem) { p.CrosscutKerf = math.MaxInt64 }, "saw, crosscut kerf"},
		{"a kerf less than nothing", func(p *Problem) { p.RipKerf = -1 }, "saw, rip kerf: -0.000001 mm is less than nothing"},
		{"a trim less than nothing", func(p *Problem) { p.Boards[0].TrimRight = -1 }, "board A1, right trim"},
		{"a defect below the board", func(p *Problem) { p.Boards[0].Defects = []Defect{{To: 20 * mm, AcrossFrom: -1, AcrossTo: 20 * mm}} }, "board A1, defect 1: lies outside the board"},
		{"a defect above the board", func(p *Problem) { p.Boards[0].Defects = []Defect{{To: 5 * mm}, {To: 20 * mm, AcrossTo: 96 * mm}} }, "board A1, defect 2: lies outside the board"},
		{"a strip narrower than the kerf", func(p *Problem) {
			p.Items[0] = Item{ID: "top", Length: 400 * mm, Cover: &Cover{Rows: 3, Widths: []measure.Length{2 * mm}}}
		}, "blank top, cover: 2 mm is narrower than the rip kerf of 3 mm"},
		{"a mark used twice", func(p *Problem) { p.Boards = append(p.Boards, p.Boards[0]) }, "board A1, mark: is used twice"},
		{"a price beyond reason", func(p *Problem) { p.Boards[0].Price = -5 }, "board A1, price"},
		{"an aim that is none", func(p *Problem) { p.Aims = []Aim{99} }, "order of aims, aim: 99 is no aim"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			p := good()
			tt.do(&p)
			err := p.Validate()
			if err == nil || !strings.Contains(err.Error(), tt.want) {
				t.Fatalf("got %v, want %q", err, tt.want)
			}
			first := err.(InputErrors)[0]
			if (first.Board > 0) != strings.HasPrefix(tt.want, "board") || (first.Item > 0) != strings.HasPrefix(tt.want, "blank") {
				t.Errorf("board %d, item %d for %q", first.Board, first.Item, tt.want)
			}
		})
	}
	t.Run("many errors are told in part", func(t *testing.T) {
		p := good()
		for k := range 20_000 {
			p.Boards = append(p.Boards, Board{ID: fmt.Sprint("x", k), Length: 1, Width: -1})
		}
		p.Boards = p.Boards[:MaxBoards]
		if err := p.Validate(); err == nil || len(err.Error()) > 2000 || !strings.HasSuffix(err.Error(), "and 19979 more") {
			t.Errorf("%.3000v", err)
		}
	})
	t.Run("a defect that covers the board leaves the blanks short", func(t *testing.T) {
		p := good()
		p.Boards[0].Defects = []Defect{{To: 1000 * mm}}
		s := mustSolve(t, p, Options{Work: 1_000_000})
		if len(s.Boards) != 0 || len(s.Short) != 1 || s.Short[0] != (Shortfall{0, 2}) || !s.Levels[0].Proved {
			t.Errorf("boards %v, short %v, levels %+v", s.Boards, s.Short, s.Levels)
		}
	})
	t.Run("sums near the limits do not overflow", func(t *testing.T) {
		// Prices at the limit, no two alike, and many blanks: the sum of the prices
		// times the blanks passes 2^63.
		p := good()
		p.Aims = []Aim{AimMoney, AimWood, AimBoards}
		p.Boards = nil
		for k := range 400 {
			p.Boards = append(p.Boards, Board{ID: fmt.Sprint(k), Length: 999 * measure.Metre, Width: 95 * mm, Price: maxPrice - int64(k)})
		}
		p.Items = []Item{{ID: "a", Length: 39_997 * mm, Width: 90 * mm, Count: 400}, {ID: "b", Length: 59_997 * mm, Width: 90 * mm, Count: 400}}
		s := mustSolve(t, p, Options{Work: 3_000_000})
		if err := CheckProof(context.Background(), p, s); err != nil {
			t.Error(err)
		}
		// 400 of 40 m and of 60 m with a kerf, from 999.003 m: at least 41 boards, and
		// the cheapest 41 cost 41 times the limit less 359 to 399.
		least := 41*maxPrice - (359+399)*41/2
		if l := s.Levels[1]; s.Levels[0].Value != 0 || l.Value < least || l.Bound > l.Value || l.Bound < 0 {
			t.Errorf("short %v, money %d, bound %d, at least %d by the lengths", s.Short, l.Value, l.Bound, least)
		}
		// The same where nothing fits: what is left out counts, not what it costs.
		for k := range p.Boards {
			p.Boards[k].Length = 60 * measure.Metre
		}
		s = mustSolve(t, p, Options{Work: 3_000_000})
		if got, want := s.Levels[0].Value, int64(800-400); got != want || s.Levels[0].Bound > want {
			t.Errorf("%d blanks left out, bound %d; 400 boards hold one each", got, s.Levels[0].Bound)
		}
	})
	t.Run("a blank longer than any board is short, not an error", func(t *testing.T) {
		p := good()
		p.Items[0].Length = 1001 * mm
		s := mustSolve(t, p, Options{Work: 1_000_000})
		if len(s.Short) != 1 || s.Short[0] != (Shortfall{0, 2}) || !s.Levels[0].Proved {
			t.Errorf("short %v, levels %+v", s.Short, s.Levels)
		}
	})
	t.Run("sizes to the nanometre are refused, inches beside millimetres are not", func(t *testing.T) {
		p := good()
		p.Boards[0].Length, p.Boards[0].Width = 999*measure.Metre+1, 999*measure.Metre+1
		p.Items[0].Length = 400*mm + 1
		want := []string{"board A1, length: 999000.000001 mm is given too finely", "board A1, width: 999000.000001 mm is given too finely", "blank leg, length: 400.000001 mm is given too finely"}
		if _, err := Solve(context.Background(), p, Options{}); err == nil || !contains(err, want...) || contains(err, "leg, width") {
			t.Errorf("got %v", err)
		}
		p = good()
		p.Boards = append(p.Boards, Board{ID: "in", Length: 47*measure.Inch + 3*measure.SixtyFourth, Width: 3*measure.Inch + measure.SixtyFourth,
			Defects: []Defect{{From: 10 * measure.Inch, To: 10*measure.Inch + 5*measure.SixtyFourth, HiddenOK: true}}})
		p.Items = append(p.Items, Item{ID: "apron", Length: 23 * measure.Inch, Width: 90 * mm, Count: 1}, Item{ID: "cleat", Length: 7*measure.Inch + measure.SixtyFourth, Width: 30 * mm, Hidden: true, Count: 2})
		s := mustSolve(t, p, Options{Work: 2_000_000})
		if s.Levels[0].Value != 0 {
			t.Errorf("short: %v", s.Short)
		}
	})
}

// contains reports whether an error says all of that.
func contains(err error, texts ...string) bool {
	for _, x := range texts {
		if !strings.Contains(err.Error(), x) {
			return false
		}
	}
	return true
}
