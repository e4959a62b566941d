package plan_test

import (
	"context"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"pilewright/plan"
	"pilewright/plan/measure"
)

// shelfOf is five slats of 20 in from a pile of few boards.
func slatted(t *testing.T, edit func(*plan.Project)) *plan.Project {
	t.Helper()
	s := plan.Start{ID: "rack", Name: "Rack",
		Measures: []plan.Measure{{Name: "slats", Text: "5 pcs"}, {Name: "long", Text: "20 in"}},
		Parts: []plan.Part{{Name: "slat", Length: "long", Width: "3 in", Thickness: "1/2 in", Way: plan.Solid,
			Copies: []plan.Copy{{X: "0", Y: "0", Z: "0", Along: plan.X, Thick: plan.Z, Repeat: "slats", StepY: "3 in"}}}}}
	p := (&plan.Project{Shop: plan.DefaultShop(), NextID: 1}).NewPiece(s, "rack")
	p.Shop.PlaneLimit = 0
	p, err := p.AddBoards(plan.Board{Length: 22 * measure.Inch, Width: 4 * measure.Inch, Thickness: measure.Inch, Species: "pine"}, 4)
	if err != nil {
		t.Fatal(err)
	}
	edit(p)
	return p
}

func TestShortageTellsWhatWouldDo(t *testing.T) {
	for _, c := range []struct {
		name string
		edit func(*plan.Project)
		want string
	}{
		{"one slat fewer", func(*plan.Project) {}, "slats 4 instead of 5"},
		{"one board more", func(*plan.Project) {}, "1 more board at least"},
		{"a shorter slat", func(p *plan.Project) {
			p.Measures[0].Text = "8 pcs"
			p.Boards[0].Length, p.Boards[1].Length, p.Boards[2].Length, p.Boards[3].Length = 40*measure.Inch, 40*measure.Inch, 40*measure.Inch, 40*measure.Inch
		}, "less)"},
		{"another way", func(p *plan.Project) {
			for i := range p.Boards {
				p.Boards[i].Thickness = measure.Inch / 2
				p.Boards[i].Length = 46 * measure.Inch
			}
			p.Measures[0].Text = "2 pcs"
			p.Parts[0].Thickness = "3/4 in"
		}, "of layers"},
	} {
		t.Run(c.name, func(t *testing.T) {
			made, err := plan.Make(context.Background(), slatted(t, c.edit), toyTools, nil)
			if err != nil {
				t.Fatal(err)
			}
			if len(made.Cuts.Short) != 1 || !strings.Contains(made.Cuts.Short[0].Say, c.want) {
				t.Fatalf("short %+v, want %q", made.Cuts.Short, c.want)
			}
			i := slices.IndexFunc(made.Findings, func(f plan.Finding) bool { return f.Code == "cuts.short" })
			if i < 0 || made.Findings[i].Text != made.Cuts.Short[0].Say {
				t.Errorf("the finding does not say it")
			}
		})
	}
}

// What is proposed is done, and then nothing is missing.
func TestProposedCuresDo(t *testing.T) {
	p := slatted(t, func(*plan.Project) {})
	made, err := plan.Make(context.Background(), p, toyTools, nil)
	if err != nil {
		t.Fatal(err)
	}
	say := made.Cuts.Short[0].Say
	n := regexp.MustCompile(`(\d+) more board`).FindStringSubmatch(say)
	if n == nil {
		t.Fatalf("no boards are proposed: %s", say)
	}
	count, _ := strconv.Atoi(n[1])
	b := made.Blanks[0]
	for _, c := range []struct {
		boards int
		short  bool
	}{{count - 1, true}, {count, false}} {
		q, err := p.AddBoards(plan.Board{Length: b.Length, Width: b.Width, Thickness: b.Thickness}, c.boards)
		if err != nil {
			t.Fatal(err)
		}
		after, err := plan.Make(context.Background(), q, toyTools, nil)
		if err != nil {
			t.Fatal(err)
		}
		if got := len(after.Cuts.Short) > 0; got != c.short {
			t.Errorf("with %d boards more: short %v", c.boards, after.Cuts.Short)
		}
	}
}
