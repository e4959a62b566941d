package plan_test

import (
	"context"
	"os"
	"strings"
	"testing"

	"pilewright/plan"
	"pilewright/plan/joinery"
	"pilewright/plan/plantest"
)

func TestTwoThousandCopiesArePlannedOrRefused(t *testing.T) {
	for _, c := range []struct {
		name         string
		repeat, step string
	}{{"all in one place", "2000 pcs", "0"}, {"in a row", "2000 pcs", "3 in"}, {"one through the other", "2000 pcs", "1/4 in"}, {"too many", "2001 pcs", "3 in"}} {
		t.Run(c.name, func(t *testing.T) {
			if c.name == "one through the other" && os.Getenv("PILEWRIGHT_FULL") == "" {
				t.Skip("a long one: set PILEWRIGHT_FULL=1")
			}
			s := plan.Start{ID: "many", Name: "Many", Parts: []plan.Part{{Name: "slat", Length: "20 in", Width: "3 in", Thickness: "1/2 in",
				Copies: []plan.Copy{{X: "0", Y: "0", Z: "0", Along: plan.X, Thick: plan.Z, Repeat: c.repeat, StepY: c.step}}}}}
			p := (&plan.Project{Shop: plan.DefaultShop(), NextID: 1}).NewPiece(s, "many")
			p.Joints = append(p.Joints, plan.Joint{ID: p.Take(), A: plan.CopyRef{Part: p.Parts[0].ID}, B: plan.CopyRef{Part: p.Parts[0].ID}, Kind: joinery.EdgeGlue})
			made := checkMake(t, p)
			if c.name == "too many" {
				if made.Drawable() || !strings.Contains(made.Failure(), "2001") {
					t.Errorf("2,001 copies: %q", made.Failure())
				}
			} else if len(made.Copies) != plan.MaxCopies {
				t.Errorf("%d copies", len(made.Copies))
			}
		})
	}
}

func benchmarkShape(b *testing.B, n int) {
	p := plantest.Table(n)
	for b.Loop() {
		ctx, cancel := context.WithCancel(context.Background())
		tools := toyTools
		tools.Cut = func(context.Context, plan.CutJob, func(plan.Cuts)) (plan.Cuts, error) {
			b.StopTimer()
			cancel()
			return plan.Cuts{}, nil
		}
		made, err := plan.Make(ctx, p, tools, nil)
		b.StartTimer()
		if err != nil || len(made.Frame.Build.Sequence.Stages) == 0 || !made.Frame.Fit.OK() {
			b.Fatal(err, made.Frame.Build.Blocked)
		}
		cancel()
	}
}

// Sizes, joints, fit proof, marks, assembly order and checks of use. What follows from
// the cuts is not timed.
func BenchmarkShapeOf60Copies(b *testing.B)   { benchmarkShape(b, 60) }
func BenchmarkShapeOf1000Copies(b *testing.B) { benchmarkShape(b, 1000) }

func BenchmarkMakeDemoWithToyCuts(b *testing.B) {
	p := demoProject(b)
	for b.Loop() {
		if _, err := plan.Make(context.Background(), p, toyTools, nil); err != nil {
			b.Fatal(err)
		}
	}
}

// The steps of the demo put in order with the search for a proof, and set into the
// calendar twice.
func BenchmarkReorderDemo(b *testing.B) {
	made := mustMake(b, demoProject(b))
	for b.Loop() {
		if _, _, err := plan.Reorder(made, toyTools); err != nil {
			b.Fatal(err)
		}
	}
}

// The calendar alone.
func BenchmarkCalendarOfDemo(b *testing.B) {
	_, calendar, err := plan.Reorder(mustMake(b, demoProject(b)), toyTools)
	if err != nil {
		b.Fatal(err)
	}
	for b.Loop() {
		if err := calendar(); err != nil {
			b.Fatal(err)
		}
	}
}
