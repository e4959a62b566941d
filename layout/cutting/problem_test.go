package cutting

import (
	"context"
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
		{"a mark used twice", func(p *Problem) { p.Boards = append(p.Boards, p.Boards[0]) }, "board A1, mark: is used twice"},
		{"a price beyond reason", func(p *Problem) { p.Boards[0].Price = -5 }, "board A1, price"},
		{"an aim that is none", func(p *Problem) { p.Aims = []Aim{99} }, "order of aims, aim: 99 is no aim"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			p := good()
			tt.do(&p)
			err := p.Validate()
			if err == nil || !strings.Contains(err.Error(), tt.want) {
				t.Errorf("got %v, want %q", err, tt.want)
			}
		})
	}
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
		if _, err := Solve(context.Background(), p, Options{}); err == nil || !strings.Contains(err.Error(), "pile, sizes") {
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
