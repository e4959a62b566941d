package layout_test

import (
	"context"
	"strings"
	"testing"

	"github.com/shopspring/decimal"

	"pilewright/layout"
	"pilewright/plan"
	"pilewright/plan/measure"
)

const in = measure.Inch

func board(id plan.ID, mark string, length, width measure.Length) plan.Board {
	return plan.Board{ID: id, Mark: mark, Length: length, Width: width, Thickness: 7 * in / 8, Species: "Pine"}
}

func blank(key string, count int, length, width measure.Length) plan.Blank {
	return plan.Blank{Key: key, Mark: "A", Length: length, Width: width, Thickness: 3 * in / 4, Species: "pine", Grade: plan.Show, Count: count, PerCopy: 1}
}

func cut(t *testing.T, job plan.CutJob) plan.Cuts {
	t.Helper()
	job.CrosscutKerf, job.RipKerf, job.First = in/8, in/8, true
	c, err := layout.Cut(context.Background(), job, nil)
	if err != nil {
		t.Fatal(err)
	}
	if faults := layout.CheckCuts(job, c); len(faults) > 0 {
		t.Fatalf("the checker finds %v", faults)
	}
	return c
}

func TestLocksChoicesAndReadyBlanksReachTheSolver(t *testing.T) {
	boards := []plan.Board{board(1, "1", 48*in, 4*in), board(2, "2", 48*in, 4*in), board(3, "3", 24*in, 4*in)}
	t.Run("a blank locked to a board comes from it, the others from where it is best", func(t *testing.T) {
		c := cut(t, plan.CutJob{Boards: boards, Blanks: []plan.Blank{blank("1/solid", 2, 20*in, 4*in)}, Choices: []plan.Choice{{Kind: plan.BlankOnBoard, Blank: "1/solid", Row: 2, Board: 3}}})
		on := map[int]plan.ID{}
		for _, cb := range c.Boards {
			for _, p := range cb.Pieces {
				on[p.N] = cb.Board
			}
		}
		if on[2] != 3 || on[1] == 3 || on[1] == 0 {
			t.Errorf("numbers on boards %v; number 2 is locked to board 3, which holds one", on)
		}
	})
	t.Run("a board never to be cut stays whole", func(t *testing.T) {
		c := cut(t, plan.CutJob{Boards: boards, Blanks: []plan.Blank{blank("1/solid", 1, 20*in, 4*in)}, Choices: []plan.Choice{{Kind: plan.NeverBoard, Board: 3}}})
		if len(c.Boards) != 1 || c.Boards[0].Board == 3 {
			t.Errorf("cut %v", c.Boards)
		}
	})
	t.Run("numbers cut already are not given again", func(t *testing.T) {
		b := blank("1/solid", 2, 20*in, 4*in)
		b.Done = []int{1, 3}
		c := cut(t, plan.CutJob{Boards: boards, Blanks: []plan.Blank{b}})
		var got []int
		for _, cb := range c.Boards {
			for _, p := range cb.Pieces {
				got = append(got, p.N)
			}
		}
		if len(got) != 2 || got[0]+got[1] != 6 { // 2 and 4
			t.Errorf("numbers %v, want 2 and 4", got)
		}
	})
	t.Run("species are compared without their capitals", func(t *testing.T) {
		if c := cut(t, plan.CutJob{Boards: boards, Blanks: []plan.Blank{blank("1/solid", 1, 20*in, 4*in)}}); len(c.Short) > 0 {
			t.Errorf("short %v", c.Short)
		}
		oak := blank("1/solid", 1, 20*in, 4*in)
		oak.Species = "oak"
		if c := cut(t, plan.CutJob{Boards: boards, Blanks: []plan.Blank{oak}}); len(c.Short) != 1 || !c.Short[0].Proof {
			t.Errorf("oak from pine: short %v", c.Short)
		}
	})
}

func TestCheckCutsFindsWhatIsWrong(t *testing.T) {
	job := plan.CutJob{Boards: []plan.Board{board(1, "1", 48*in, 4*in)}, Blanks: []plan.Blank{blank("1/solid", 2, 20*in, 4*in)}}
	good := cut(t, job)
	job.CrosscutKerf, job.RipKerf = in/8, in/8
	for _, tt := range []struct {
		name  string
		spoil func(c *plan.Cuts)
	}{
		{"over each other", func(c *plan.Cuts) { c.Boards[0].Pieces[1].X = c.Boards[0].Pieces[0].X }},
		{"off the board", func(c *plan.Cuts) { c.Boards[0].Pieces[1].X = 40 * in }},
		{"no room for the kerf", func(c *plan.Cuts) { c.Boards[0].Pieces[0].X, c.Boards[0].Pieces[1].X = 0, 20*in }},
		{"too short", func(c *plan.Cuts) { c.Boards[0].Pieces[0].Length -= in }},
		{"a number twice", func(c *plan.Cuts) { c.Boards[0].Pieces[1].N = c.Boards[0].Pieces[0].N }},
		{"an unknown board", func(c *plan.Cuts) { c.Boards[0].Board = 9 }},
		{"an unknown blank", func(c *plan.Cuts) { c.Boards[0].Pieces[0].Blank = "2/solid" }},
	} {
		t.Run(tt.name, func(t *testing.T) {
			bad := good
			bad.Boards = append([]plan.CutBoard(nil), good.Boards...)
			bad.Boards[0].Pieces = append([]plan.CutPiece(nil), good.Boards[0].Pieces...)
			tt.spoil(&bad)
			if faults := layout.CheckCuts(job, bad); len(faults) == 0 {
				t.Error("nothing was found")
			}
		})
	}
}

func TestTheSentenceSaysNoMoreThanIsProved(t *testing.T) {
	money := decimal.RequireFromString
	priced := board(1, "1", 48*in, 4*in)
	priced.Price = money("2.5")
	c := cut(t, plan.CutJob{Boards: []plan.Board{priced}, Blanks: []plan.Blank{blank("1/solid", 2, 20*in, 4*in)}})
	if !c.Proved || !strings.Contains(c.Sentence, "No plan costs less (proved).") || !strings.Contains(c.Sentence, "No plan opens less wood (proved).") {
		t.Errorf("one board is the least there is; it says %q, proved %v", c.Sentence, c.Proved)
	}
	for _, l := range c.Levels {
		if l.Proved != l.Value.Equal(l.Bound) || l.Bound.GreaterThan(l.Value) {
			t.Errorf("level %s: value %s, bound %s, proved %v", l.Name, l.Value, l.Bound, l.Proved)
		}
	}
}

// By hand: three blanks of 20 in from one 48 in board: two fit, one more board
// with 20 in clear is needed and no fewer.
func TestAShortageIsToldWithItsCure(t *testing.T) {
	job := plan.CutJob{Boards: []plan.Board{board(1, "1", 48*in, 4*in)}, Blanks: []plan.Blank{blank("1/solid", 3, 20*in, 4*in)}, CrosscutKerf: in / 8, RipKerf: in / 8}
	c, err := layout.Cut(context.Background(), job, nil)
	if err != nil {
		t.Fatal(err)
	}
	if len(c.Short) != 1 || c.Short[0].Count != 1 || !c.Short[0].Proof {
		t.Fatalf("short %+v", c.Short)
	}
	for _, want := range []string{"1 of the", "3 blanks of 20\" or longer are wanted, the pile has 2 places", "one more board with 20\" clear"} {
		if !strings.Contains(c.Short[0].Say, want) {
			t.Errorf("it says %q, without %q", c.Short[0].Say, want)
		}
	}
}

func TestATimeThatIsOverStillGivesAPlan(t *testing.T) {
	ctx, cancel := context.WithTimeout(context.Background(), 0)
	defer cancel()
	job := plan.CutJob{Boards: []plan.Board{board(1, "1", 48*in, 4*in)}, Blanks: []plan.Blank{blank("1/solid", 2, 20*in, 4*in)}, CrosscutKerf: in / 8, RipKerf: in / 8}
	c, err := layout.Cut(ctx, job, nil)
	if err != nil || len(c.Boards) != 1 || len(c.Short) != 0 {
		t.Errorf("%d boards, short %v, %v", len(c.Boards), c.Short, err)
	}
}
