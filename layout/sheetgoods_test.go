package layout_test

import (
	"context"
	"fmt"
	"math/rand/v2"
	"os"
	"slices"
	"testing"

	"github.com/shopspring/decimal"

	"pilewright/layout"
	"pilewright/plan"
	"pilewright/plan/measure"
)

func sheet(id plan.ID, length, width measure.Length, noGrain bool) plan.Board {
	return plan.Board{ID: id, Mark: fmt.Sprint("S", id), Length: length, Width: width, Thickness: in / 2, Species: "Birch plywood", Sheet: true, NoGrain: noGrain}
}

func sheetBlank(key string, count int, length, width measure.Length) plan.Blank {
	return plan.Blank{Key: key, Mark: "P", Name: "panel", For: plan.Solid, Sheet: true, Length: length, Width: width, Thickness: in / 2, Species: "birch plywood", Grade: plan.Show, Count: count, PerCopy: 1}
}

func missing(c plan.Cuts) int {
	n := 0
	for _, s := range c.Short {
		n += s.Count
	}
	return n
}

// By hand, with the kerf added to parts and sheet (15 1/8 x 23 1/8 in 48 1/8 x 96 1/8):
// a line across the sheet meets sizes whose greatest sum is 2 x 23 1/8 = 46 1/4, so
// 46 1/4 x 96 1/8 = 4445.8 sq in can be covered at most, 12.7 parts. Three parts
// across and four along are 12.
func TestASheetOf48By96GivesTwelvePartsOf15By23(t *testing.T) {
	for _, noGrain := range []bool{false, true} {
		boards := []plan.Board{sheet(1, 96*in, 48*in, noGrain)}
		c := cut(t, plan.CutJob{Boards: boards, Blanks: []plan.Blank{sheetBlank("1/solid", 12, 23*in, 15*in)}})
		if missing(c) != 0 || len(c.Boards) != 1 || len(c.Boards[0].Pieces) != 12 || !c.Proved {
			t.Errorf("no grain %v: %d missing, %d sheets, proved %v", noGrain, missing(c), len(c.Boards), c.Proved)
		}
		c = cut(t, plan.CutJob{Boards: boards, Blanks: []plan.Blank{sheetBlank("1/solid", 13, 23*in, 15*in)}})
		if missing(c) != 1 || !c.Short[0].Proof {
			t.Errorf("no grain %v: of 13 parts %+v are missing; one, and proved", noGrain, c.Short)
		}
		two := append(boards, sheet(2, 96*in, 48*in, noGrain))
		c = cut(t, plan.CutJob{Boards: two, Blanks: []plan.Blank{sheetBlank("1/solid", 13, 23*in, 15*in)}})
		if missing(c) != 0 || len(c.Boards) != 2 {
			t.Errorf("no grain %v: 13 parts from %d sheets, %d missing", noGrain, len(c.Boards), missing(c))
		}
	}
}

func TestOnlyASheetWithoutGrainTakesAPartTurned(t *testing.T) {
	job := plan.CutJob{Blanks: []plan.Blank{sheetBlank("1/solid", 1, 20*in, 40*in)}}
	for _, tt := range []struct {
		name   string
		boards []plan.Board
		on     plan.ID
	}{
		{"with grain it can't be made", []plan.Board{sheet(1, 48*in, 24*in, false)}, 0},
		{"without grain it lies turned", []plan.Board{sheet(1, 48*in, 24*in, true)}, 1},
		{"of both it takes the one without", []plan.Board{sheet(1, 48*in, 24*in, false), sheet(2, 48*in, 24*in, true)}, 2},
		{"wide enough, it lies along the grain", []plan.Board{sheet(1, 48*in, 48*in, false)}, 1},
	} {
		t.Run(tt.name, func(t *testing.T) {
			job.Boards = tt.boards
			c := cut(t, job)
			if tt.on == 0 {
				if missing(c) != 1 || !c.Short[0].Proof || c.Short[0].Say == "" {
					t.Errorf("short %+v", c.Short)
				}
				return
			}
			if len(c.Boards) != 1 || c.Boards[0].Board != tt.on {
				t.Errorf("cut %+v, short %+v", c.Boards, c.Short)
			}
		})
	}
}

func TestNoShortageIsProvedWhileGrainLeavesAChoice(t *testing.T) {
	c := cut(t, plan.CutJob{Boards: []plan.Board{sheet(1, 48*in, 24*in, false), sheet(2, 48*in, 24*in, true)}, Blanks: []plan.Blank{sheetBlank("1/solid", 9, 22*in, 14*in)}})
	if missing(c) == 0 || c.Short[0].Proof || c.Proved {
		t.Errorf("short %+v, proved %v", c.Short, c.Proved)
	}
}

func TestBoardsAndSheetsOfOneJob(t *testing.T) {
	price := func(b plan.Board, s string) plan.Board { b.Price = decimal.RequireFromString(s); return b }
	thin := sheetBlank("3/solid", 1, 10*in, 10*in)
	thin.Thickness -= 2 * measure.Millimetre
	job := plan.CutJob{
		Boards: []plan.Board{price(board(1, "1", 48*in, 4*in), "2.50"), price(sheet(2, 48*in, 24*in, false), "18"), price(sheet(3, 96*in, 48*in, false), "60")},
		Blanks: []plan.Blank{blank("1/solid", 2, 20*in, 4*in), sheetBlank("2/solid", 2, 20*in, 20*in)},
	}
	t.Run("each blank comes from what holds it, for the least money", func(t *testing.T) {
		c := cut(t, job)
		if missing(c) != 0 || len(c.Boards) != 2 || !c.Money.Equal(decimal.RequireFromString("20.5")) || !c.Proved {
			t.Errorf("%d missing, %d boards, money %s, proved %v: %s", missing(c), len(c.Boards), c.Money, c.Proved, c.Sentence)
		}
		wood := measure.AreaOf(48*in, 4*in).Add(measure.AreaOf(48*in, 24*in))
		used := measure.AreaOf(20*in, 4*in).Times(2).Add(measure.AreaOf(20*in, 20*in).Times(2))
		if !c.Wood.Equal(wood) || !c.Used.Equal(used) || len(c.Levels) != 4 {
			t.Errorf("wood %s, used %s, %d levels", c.Wood.SquareInches(), c.Used.SquareInches(), len(c.Levels))
		}
		for _, cb := range c.Boards {
			if len(cb.Saws) == 0 {
				t.Errorf("board %d has no cuts", cb.Board)
			}
		}
	})
	t.Run("a sheet is never planed", func(t *testing.T) {
		j := job
		j.Blanks = append(slices.Clone(job.Blanks), thin)
		if c := cut(t, j); missing(c) != 1 || c.Short[0].Blank != "3/solid" {
			t.Errorf("short %+v", c.Short)
		}
	})
	t.Run("rows and layers come from boards", func(t *testing.T) {
		j := job
		row := sheetBlank("3/row", 1, 10*in, 10*in)
		row.For, row.Sheet = plan.FlatPanel, false
		j.Blanks = append(slices.Clone(job.Blanks), row)
		if c := cut(t, j); missing(c) != 1 || c.Short[0].Blank != "3/row" {
			t.Errorf("short %+v", c.Short)
		}
	})
	t.Run("a sheet never to be cut stays whole, a lock decides", func(t *testing.T) {
		j := job
		j.Choices = []plan.Choice{{Kind: plan.NeverBoard, Board: 2}}
		if c := cut(t, j); missing(c) != 0 || !c.Money.Equal(decimal.RequireFromString("62.5")) {
			t.Errorf("%d missing, money %s", missing(c), c.Money)
		}
		j.Choices = []plan.Choice{{Kind: plan.BlankOnBoard, Blank: "2/solid", Row: 2, Board: 3}}
		c := cut(t, j)
		for _, cb := range c.Boards {
			for _, p := range cb.Pieces {
				if p.Blank == "2/solid" && p.N == 2 && cb.Board != 3 {
					t.Errorf("number 2 is locked to sheet 3, it is on %d", cb.Board)
				}
			}
		}
	})
	t.Run("no proof where a sheet could take what a board gives", func(t *testing.T) {
		j := job
		j.Blanks = []plan.Blank{sheetBlank("1/solid", 1, 20*in, 4*in)}
		j.Blanks[0].Species = ""
		j.PlaneLimit = in
		c := cut(t, j)
		if missing(c) != 0 || len(c.Boards) != 1 || c.Boards[0].Board != 1 || c.Proved {
			t.Errorf("%d missing, cut %+v, proved %v", missing(c), c.Boards, c.Proved)
		}
	})
}

func TestTrimsAndDefectsOfASheetAreKeptClear(t *testing.T) {
	o := sheet(1, 96*in, 48*in, false)
	o.TrimLeft, o.TrimRight = in/16, in
	o.Defects = []plan.Defect{{Kind: plan.Stain, From: 40 * in, To: 42 * in, AcrossFrom: 20 * in, AcrossTo: 22 * in}}
	job := plan.CutJob{Boards: []plan.Board{o}, Blanks: []plan.Blank{sheetBlank("1/solid", 1, 94*in, 48*in)}}
	if c := cut(t, job); missing(c) != 1 {
		t.Error("a part in sight lies on the stain")
	}
	job.Blanks[0].Grade = plan.Hidden
	if c := cut(t, job); missing(c) != 0 {
		t.Error("a hidden part may have the stain")
	}
	job.Blanks = []plan.Blank{sheetBlank("1/solid", 3, 30*in, 15*in), sheetBlank("2/solid", 2, 41*in/2, 31*in/3), sheetBlank("3/solid", 4, 13*in, 7*in)}
	if c := cut(t, job); missing(c) != 0 || len(c.Boards) != 1 {
		t.Errorf("%d missing", missing(c))
	}
}

func TestCheckCutsFindsWhatIsWrongOnASheet(t *testing.T) {
	job := plan.CutJob{Boards: []plan.Board{board(1, "1", 48*in, 4*in), sheet(2, 96*in, 48*in, false)},
		Blanks: []plan.Blank{blank("1/solid", 1, 20*in, 4*in), sheetBlank("2/solid", 4, 23*in, 15*in)}}
	good := cut(t, job)
	job.CrosscutKerf, job.RipKerf = in/8, in/8
	at := slices.IndexFunc(good.Boards, func(b plan.CutBoard) bool { return b.Board == 2 })
	for _, tt := range []struct {
		name  string
		spoil func(c *plan.Cuts, b *plan.CutBoard)
	}{
		{"over each other", func(_ *plan.Cuts, b *plan.CutBoard) { b.Pieces[1].X, b.Pieces[1].Y = b.Pieces[0].X, b.Pieces[0].Y }},
		{"off the sheet", func(_ *plan.Cuts, b *plan.CutBoard) { b.Pieces[0].X = 80 * in }},
		{"turned across the grain", func(_ *plan.Cuts, b *plan.CutBoard) {
			b.Pieces[0].Length, b.Pieces[0].Width = b.Pieces[0].Width, b.Pieces[0].Length
		}},
		{"too short", func(_ *plan.Cuts, b *plan.CutBoard) { b.Pieces[0].Length -= in }},
		{"a number twice", func(_ *plan.Cuts, b *plan.CutBoard) { b.Pieces[1].N = b.Pieces[0].N }},
		{"a number that is not wanted", func(_ *plan.Cuts, b *plan.CutBoard) { b.Pieces[1].N = 9 }},
		{"an unknown blank", func(_ *plan.Cuts, b *plan.CutBoard) { b.Pieces[0].Blank = "9/solid" }},
		{"a blank of another kind", func(_ *plan.Cuts, b *plan.CutBoard) { b.Pieces[0].Blank = "1/solid" }},
		{"a piece left out", func(_ *plan.Cuts, b *plan.CutBoard) { b.Pieces = b.Pieces[1:] }},
		{"a cut left out", func(_ *plan.Cuts, b *plan.CutBoard) { b.Saws = b.Saws[1:] }},
		{"a cut beside its mark", func(_ *plan.Cuts, b *plan.CutBoard) { b.Saws[0].At += in / 16 }},
		{"a sheet cut twice", func(c *plan.Cuts, b *plan.CutBoard) { c.Boards = append(c.Boards, *b) }},
		{"a shortage that is none", func(c *plan.Cuts, _ *plan.CutBoard) { c.Short = []plan.Short{{Blank: "2/solid", Count: 1}} }},
	} {
		t.Run(tt.name, func(t *testing.T) {
			bad := good
			bad.Boards = slices.Clone(good.Boards)
			b := &bad.Boards[at]
			b.Pieces, b.Saws = slices.Clone(b.Pieces), slices.Clone(b.Saws)
			tt.spoil(&bad, b)
			if faults := layout.CheckCuts(job, bad); len(faults) == 0 {
				t.Error("nothing was found")
			}
		})
	}
}

// One sheet more never makes a plan worse.
func TestOneSheetMoreIsNeverWorse(t *testing.T) {
	n := uint64(6)
	if os.Getenv("PILEWRIGHT_FULL") != "" {
		n = 150
	}
	aims := func(job plan.CutJob) []decimal.Decimal {
		c := cut(t, job)
		out := make([]decimal.Decimal, 0, len(c.Levels))
		for _, l := range c.Levels {
			out = append(out, l.Value)
		}
		return out
	}
	for seed := range n {
		r := rand.New(rand.NewPCG(seed, 11))
		random := func(id plan.ID) plan.Board {
			s := sheet(id, measure.Length(24+12*r.IntN(5))*in, measure.Length(24+12*r.IntN(3))*in, r.IntN(2) == 0)
			s.Price = decimal.NewFromInt(int64(r.IntN(4) * 10))
			if r.IntN(4) == 0 {
				s.Defects = []plan.Defect{{Kind: plan.Knot, From: 5 * in, To: 7 * in, AcrossFrom: 3 * in, AcrossTo: 9 * in}}
			}
			return s
		}
		job := plan.CutJob{Boards: []plan.Board{board(1, "1", 48*in, 4*in), random(2), random(3)}, Blanks: []plan.Blank{blank("1/solid", 1, 20*in, 4*in)}, Effort: 1_000_000}
		for k := range 2 + r.IntN(2) {
			job.Blanks = append(job.Blanks, sheetBlank(fmt.Sprintf("%d/solid", k+2), 1+r.IntN(4), measure.Length(8+r.IntN(20))*in, measure.Length(6+r.IntN(14))*in))
		}
		before := aims(job)
		more := job
		more.Boards = append(slices.Clone(job.Boards), random(4))
		if after := aims(more); compare(after, before) > 0 {
			t.Errorf("seed %d: %v, with one sheet more %v", seed, before, after)
		}
	}
}

func TestACutOffSearchOfSheetsStillGivesAPlan(t *testing.T) {
	ctx, cancel := context.WithTimeout(context.Background(), 0)
	defer cancel()
	job := plan.CutJob{Boards: []plan.Board{sheet(1, 96*in, 48*in, false)}, Blanks: []plan.Blank{sheetBlank("1/solid", 4, 23*in, 15*in)}, CrosscutKerf: in / 8, RipKerf: in / 8}
	c, err := layout.Cut(ctx, job, nil)
	if err != nil || missing(c) != 0 {
		t.Errorf("%d missing, %v", missing(c), err)
	}
}

func BenchmarkSheets(b *testing.B) {
	job := plan.CutJob{CrosscutKerf: in / 8, RipKerf: in / 8, First: true}
	for k := range 3 {
		job.Boards = append(job.Boards, sheet(plan.ID(k+1), 96*in, 48*in, false))
	}
	for k, s := range [][3]measure.Length{{30, 15, 6}, {23, 11, 8}, {47, 14, 4}, {12, 9, 10}, {19, 17, 5}} {
		job.Blanks = append(job.Blanks, sheetBlank(fmt.Sprintf("%d/solid", k+1), int(s[2]), s[0]*in, s[1]*in))
	}
	for _, first := range []bool{true, false} {
		job.First = first
		b.Run(fmt.Sprint("quick ", first), func(b *testing.B) {
			for b.Loop() {
				c, err := layout.Cut(context.Background(), job, nil)
				if err != nil || len(c.Short) > 0 {
					b.Fatal(c.Short, err)
				}
				b.ReportMetric(float64(len(c.Boards)), "sheets")
			}
		})
	}
}
