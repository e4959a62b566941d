package plan_test

import (
	"context"
	"fmt"
	"os"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"pilewright/plan"
)

// gist is what of a plan must not depend on how it is shown, placed or listed.
type gist struct {
	Sizes   []string
	Blanks  []string
	Boards  []string
	GlueUps []string
	Steps   []string
	Fit     bool
	Stages  int
	Costs   string
	Minutes string
	Ready   string
	Codes   []string
	Sags    []string
}

func gistOf(made *plan.Plan, names bool) gist {
	g := gist{Fit: made.Frame.Fit.OK(), Stages: len(made.Frame.Build.Sequence.Stages), Costs: made.Ledger.Costs.Total().StringFixed(4), Minutes: fmt.Sprintf("%.6f", made.Ledger.Target), Ready: made.Work.Timeline.Ready.String()}
	name := map[plan.ID]string{}
	for _, s := range made.Parts {
		name[s.ID] = s.Name
		g.Sizes = append(g.Sizes, fmt.Sprintf("%s %d x %d x %d, %d", s.Name, s.L, s.W, s.T, s.N))
	}
	for _, b := range made.Blanks {
		g.Blanks = append(g.Blanks, fmt.Sprintf("%s %s %d x %d x %d, %d", name[b.Part], b.For, b.Length, b.Width, b.Thickness, b.Count))
	}
	for _, b := range made.Cuts.Boards {
		g.Boards = append(g.Boards, fmt.Sprint(b.Board, len(b.Pieces)))
	}
	for _, x := range made.GlueUps {
		g.GlueUps = append(g.GlueUps, fmt.Sprintf("%s %s %d x %d x %d, %d rows, %d clamps", x.Name, x.Way, x.Length, x.Width, x.Thickness, len(x.Panel.Rows), x.Clamping.Needed))
	}
	for _, s := range made.Work.Steps {
		key := s.Key
		if names {
			key = strings.SplitN(key, "/", 2)[0]
		}
		g.Steps = append(g.Steps, fmt.Sprintf("%s %.4f %v", key, s.Minutes, s.Wait))
	}
	for _, f := range made.Findings {
		g.Codes = append(g.Codes, fmt.Sprint(f.Code, f.Severity))
	}
	for _, s := range made.Frame.Use.Sags {
		g.Sags = append(g.Sags, fmt.Sprint(name[s.Part], s.Span, s.First, s.Limit))
	}
	slices.Sort(g.Codes)
	return g
}

// mustMake gives the plan of a project: the first one published, which has all that
// follows from its cuts, or with PILEWRIGHT_FULL the final one.
func mustMake(t testing.TB, p *plan.Project) *plan.Plan {
	t.Helper()
	ctx, cancel := context.WithCancel(context.Background())
	defer cancel()
	made, err := plan.Make(ctx, p, toyTools, func(*plan.Plan) {
		if os.Getenv("PILEWRIGHT_FULL") == "" {
			cancel()
		}
	})
	if err != nil {
		t.Fatal(err)
	}
	if !made.Drawable() {
		t.Fatal(made.Failure())
	}
	return made
}

// eachStart runs a test for the demo and for every starting point.
func eachStart(t *testing.T, test func(*testing.T, *plan.Project)) {
	demo := demoProject(t)
	t.Run("demo", func(t *testing.T) { test(t, demo) })
	for _, id := range startIDs(t) {
		t.Run(id, func(t *testing.T) { test(t, demo.NewPiece(readStart(t, id), id)) })
	}
}

func TestShowingInchesOrMillimetresGivesTheSamePlan(t *testing.T) {
	eachStart(t, func(t *testing.T, p *plan.Project) {
		show := func(inches bool, denominator int) gist {
			return gistOf(mustMake(t, p.With(func(q *plan.Project) { q.Shop.Inches, q.Shop.Denominator = inches, denominator })), false)
		}
		want := show(true, 16)
		for _, d := range []int{64} {
			if diff := cmp.Diff(want, show(true, d)); diff != "" {
				t.Errorf("shown to 1/%d in (-1/16 +shown):\n%s", d, diff)
			}
		}
		if diff := cmp.Diff(want, show(false, 16)); diff != "" {
			t.Errorf("(-inches +millimetres):\n%s", diff)
		}
	})
}

func TestMovingThePieceChangesNothing(t *testing.T) {
	eachStart(t, func(t *testing.T, p *plan.Project) {
		want := gistOf(mustMake(t, p), false)
		for _, by := range [][3]string{{"7 in", "-3 in", "-20 in"}, {"0.000001 mm", "1 m", "11/64 in"}} {
			q := p.With(func(q *plan.Project) {
				q.Parts = slices.Clone(p.Parts)
				for i := range q.Parts {
					q.Parts[i].Copies = slices.Clone(q.Parts[i].Copies)
					for k := range q.Parts[i].Copies {
						c := &q.Parts[i].Copies[k]
						c.X, c.Y, c.Z = fmt.Sprintf("(%s) + (%s)", c.X, by[0]), fmt.Sprintf("(%s) + (%s)", c.Y, by[1]), fmt.Sprintf("(%s) + (%s)", c.Z, by[2])
					}
				}
			})
			if diff := cmp.Diff(want, gistOf(mustMake(t, q), false)); diff != "" {
				t.Errorf("moved by %v (-was +is):\n%s", by, diff)
			}
		}
	})
}

// The order in which parts and measures are listed gives marks their letters and
// nothing else. (Which board a part comes from follows the list where two do as
// well; the plain cutter of these tests always takes the first.)
func TestListingPartsInAnotherOrderChangesOnlyMarks(t *testing.T) {
	eachStart(t, func(t *testing.T, p *plan.Project) {
		want := gistOf(mustMake(t, p), true)
		q := p.With(func(q *plan.Project) {
			q.Parts, q.Measures = slices.Clone(p.Parts), slices.Clone(p.Measures)
			slices.Reverse(q.Parts)
			slices.Reverse(q.Measures)
		})
		got := gistOf(mustMake(t, q), true)
		for _, g := range []*gist{&want, &got} {
			slices.Sort(g.Sizes)
			slices.Sort(g.Sags)
			g.Boards, g.Steps, g.GlueUps, g.Blanks, g.Costs, g.Minutes, g.Ready, g.Codes = nil, nil, nil, nil, "", "", "", nil
		}
		if diff := cmp.Diff(want, got); diff != "" {
			t.Errorf("(-was +is):\n%s", diff)
		}
	})
}
