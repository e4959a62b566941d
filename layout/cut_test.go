package layout_test

import (
	"context"
	"errors"
	"slices"
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

// Four blanks of 20 in need two boards of 48 in, or one and two of 24 in: at 4 in
// wide 384 in² either way.
func TestTheProofOfCutsIsCheckedAnew(t *testing.T) {
	boards := []plan.Board{board(1, "1", 48*in, 4*in), board(2, "2", 48*in, 4*in), board(3, "3", 24*in, 4*in)}
	c := cut(t, plan.CutJob{Boards: boards, Blanks: []plan.Blank{blank("1/solid", 4, 20*in, 4*in)}})
	proof, ok := c.Proof.(*layout.Proof)
	if !ok {
		t.Fatalf("the proof is a %T", c.Proof)
	}
	if err := proof.Check(context.Background()); err != nil {
		t.Error(err)
	}
	bare := *proof
	bare.Solution.Levels = slices.Clone(proof.Solution.Levels)
	proved := 0
	for i := range bare.Solution.Levels {
		if l := &bare.Solution.Levels[i]; l.Proof != nil {
			l.Proof = nil
			proved++
		}
	}
	if err := bare.Check(context.Background()); proved == 0 || err == nil {
		t.Errorf("%d proofs; without them: %v", proved, err)
	}
	short := *proof
	short.Solution.Boards = short.Solution.Boards[1:]
	if short.Check(context.Background()) == nil {
		t.Error("cuts of one board less are taken for all")
	}
	done, cancel := context.WithCancel(context.Background())
	cancel()
	if err := proof.Check(done); !errors.Is(err, context.Canceled) {
		t.Errorf("no longer wanted: %v", err)
	}
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
	for _, want := range []string{"1 of the", "3 blanks of 20\" or longer are wanted, the pile has 2 places", "one more board of pine with 20\" clear"} {
		if !strings.Contains(c.Short[0].Say, want) {
			t.Errorf("it says %q, without %q", c.Short[0].Say, want)
		}
	}
	if strings.Contains(c.Short[0].Say, "; or") {
		t.Errorf("longer boards are offered though no fewer of them do: %q", c.Short[0].Say)
	}
}

// By hand: a board of 48 in holds two blanks of 20 in of its full width. Of three
// thick and three thin ones one of each lacks; a board thick enough for the thick one
// is too thick to be planed down for the thin one, so a board of each is wanted.
func TestBlanksOfTwoThicknessesLackBoardsOfEach(t *testing.T) {
	thick, thin := blank("1/solid", 3, 20*in, 4*in), blank("2/solid", 3, 20*in, 4*in)
	thick.Name, thick.Thickness = "leg", in*5/4
	thin.Name, thin.Thickness = "slat", in/2
	b := board(1, "1", 48*in, 4*in)
	b.Thickness = in / 2
	thickBoard := board(2, "2", 48*in, 4*in)
	thickBoard.Thickness = in * 5 / 4
	job := plan.CutJob{Boards: []plan.Board{b, thickBoard}, Blanks: []plan.Blank{thick, thin}, CrosscutKerf: in / 8, RipKerf: in / 8, PlaneLimit: in / 4}
	for _, late := range []bool{false, true} {
		ctx, cancel := context.WithCancel(context.Background())
		if late {
			ctx, cancel = context.WithTimeout(context.Background(), 0)
		}
		c, err := layout.Cut(ctx, job, nil)
		cancel()
		if err != nil || len(c.Short) != 2 {
			t.Fatalf("late %v: short %+v, %v", late, c.Short, err)
		}
		for i, want := range []string{"one more board of pine with 20\" clear, 4\" wide and 1 1/4\" thick", "one more board of pine with 20\" clear, 4\" wide and 1/2\" thick"} {
			if !strings.Contains(c.Short[i].Say, want) {
				t.Errorf("late %v: it says %q, without %q", late, c.Short[i].Say, want)
			}
		}
		if strings.Contains(c.Short[0].Say+c.Short[1].Say, "proved") {
			t.Errorf("more is proved than is: %+v", c.Short)
		}
	}
}

// By hand: strips of 1 1/2 and 2 in, 1/16 in lost at each joint, to a width of 8 in
// from a 5 1/2 in board that holds two lengths of 20 in. A length holds 2 + 1 1/2 +
// 1 1/2 in with two kerfs of 1/8 in (5 1/4 in), worth 4 13/16 in: two make 9 5/8 in.
// To a width of 10 in 3/8 in lacks, and one more board does.
func TestStripsOfSeveralWidthsMakeATotalOrRows(t *testing.T) {
	strips := func(s plan.Strips) plan.CutJob {
		b := plan.Blank{Key: "top", Name: "top", Mark: "T", Length: 20 * in, PerCopy: 1, For: plan.Solid, Strips: &s}
		s.Widths = []measure.Length{in * 3 / 2, 2 * in}
		return plan.CutJob{Boards: []plan.Board{board(1, "1", 48*in, in*11/2)}, Blanks: []plan.Blank{b}, CrosscutKerf: in / 8, RipKerf: in / 8}
	}
	for _, tt := range []struct {
		name   string
		strips plan.Strips
		lacks  measure.Length
		rows   int
	}{
		{"a total that the board holds", plan.Strips{Total: 8 * in, Joint: in / 16}, 0, 0},
		{"a total that it lacks", plan.Strips{Total: 10 * in, Joint: in / 16}, in * 3 / 8, 0},
		{"as many rows as it holds", plan.Strips{Rows: 6}, 0, 0},
		{"a row more", plan.Strips{Rows: 7}, 0, 1},
	} {
		t.Run(tt.name, func(t *testing.T) {
			job := strips(tt.strips)
			c, err := layout.Cut(context.Background(), job, nil)
			if err != nil {
				t.Fatal(err)
			}
			if faults := layout.CheckCuts(job, c); len(faults) > 0 {
				t.Errorf("%q", faults)
			}
			if tt.lacks == 0 && tt.rows == 0 {
				if len(c.Short) > 0 || len(c.Boards) != 1 || !strings.Contains(c.Sentence, "Every blank is made") {
					t.Errorf("short %+v, %s", c.Short, c.Sentence)
				}
				return
			}
			if len(c.Short) != 1 || c.Short[0].Width != tt.lacks || tt.rows > 0 && c.Short[0].Count != tt.rows || !strings.Contains(c.Short[0].Say, "one more board") {
				t.Errorf("short %+v", c.Short)
			}
			if tt.lacks > 0 && (!strings.HasPrefix(c.Short[0].Say, "3/8\" of the width of the top (20\") can't be cut") || !strings.HasPrefix(c.Sentence, "No plan makes more (proved).")) {
				t.Errorf("it says %q and %q", c.Short[0].Say, c.Sentence)
			}
			c.Boards[0].Pieces = c.Boards[0].Pieces[1:]
			if len(layout.CheckCuts(job, c)) == 0 {
				t.Error("a strip that is missing is not noticed")
			}
		})
	}
}

func TestWhatIsWrongWithAJobIsToldInItsNouns(t *testing.T) {
	job := func() plan.CutJob {
		return plan.CutJob{Boards: []plan.Board{board(7, "K3", 48*in, 4*in)}, Blanks: []plan.Blank{blank("1/solid", 3, 20*in, 4*in)}, CrosscutKerf: in / 8, RipKerf: in / 8}
	}
	for _, tt := range []struct {
		name string
		do   func(*plan.CutJob)
		want plan.JobFault
	}{
		{"a board", func(j *plan.CutJob) { j.Boards[0].Width = -1 }, plan.JobFault{Board: 7, Name: "board K3", Field: "width", Say: "-0.000001 mm is less than nothing"}},
		{"a blank", func(j *plan.CutJob) { j.Blanks[0].Name, j.Blanks[0].Width = "leg", 1 }, plan.JobFault{Blank: "1/solid", Name: "leg", Field: "width", Say: "0.000001 mm is narrower than the rip kerf of 1/8\""}},
		{"a saw", func(j *plan.CutJob) { j.CrosscutKerf = -1 }, plan.JobFault{Name: "saw", Field: "crosscut kerf", Say: "-0.000001 mm is less than nothing"}},
	} {
		t.Run(tt.name, func(t *testing.T) {
			j := job()
			tt.do(&j)
			_, err := layout.Cut(context.Background(), j, nil)
			var got plan.JobFaults
			if !errors.As(err, &got) || len(got) != 1 || got[0] != tt.want {
				t.Errorf("got %+v, %v", got, err)
			}
		})
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
