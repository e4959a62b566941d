package figure_test

import (
	"context"
	"testing"
	"time"

	"pilewright/layout"
	"pilewright/layout/drawing"
	"pilewright/layout/figure"
	"pilewright/plan"
	"pilewright/plan/plantest"
)

// Sizes, joints, fit proof, marks, order of assembly and checks of use, then front,
// side and top, the exploded view, and every part and joint drawn. What follows from
// the cuts (steps, calendar, cost) is not of the piece and not timed.
func benchmarkDerive(b *testing.B, n int) {
	p := plantest.Table(n)
	for b.Loop() {
		ctx, cancel := context.WithCancel(context.Background())
		tools := layout.Tools(time.Time{})
		tools.Cut = func(context.Context, plan.CutJob, func(plan.Cuts)) (plan.Cuts, error) {
			b.StopTimer()
			cancel()
			return plan.Cuts{}, nil
		}
		tools.Check = func(plan.CutJob, plan.Cuts) []string { return nil }
		made, err := plan.Make(ctx, p, tools, nil)
		cancel()
		b.StartTimer()
		if err != nil {
			b.Fatal(err)
		}
		if len(made.Frame.Build.Sequence.Stages) == 0 || !made.Frame.Fit.OK() || len(made.Copies) < n-4 {
			b.Fatal(len(made.Copies), made.Frame.Build.Blocked)
		}
		draw := []func() *drawing.Picture{
			func() *drawing.Picture { return figure.Views(made, 180, 160, false) },
			func() *drawing.Picture { return figure.ExplodedView(made, 1, 180, 160, drawing.FrontRight) },
		}
		for _, g := range figure.PartGroups(made) {
			draw = append(draw, func() *drawing.Picture { return figure.PartPicture(made, g.Copies[0], 180) })
		}
		for _, g := range figure.JointGroups(made) {
			draw = append(draw, func() *drawing.Picture { return figure.JointPicture(made, g.Joints[0], 180) })
		}
		for i, p := range figure.Abreast(draw...) {
			if len(p.Marks) == 0 {
				b.Fatal(i, "not drawn")
			}
		}
	}
}

func BenchmarkDerive60Copies(b *testing.B)   { benchmarkDerive(b, 60) }
func BenchmarkDerive1000Copies(b *testing.B) { benchmarkDerive(b, 1000) }
