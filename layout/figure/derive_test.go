package figure_test

import (
	"context"
	"fmt"
	"testing"
	"time"

	"pilewright/layout"
	"pilewright/layout/drawing"
	"pilewright/layout/figure"
	"pilewright/plan"
	"pilewright/plan/joinery"
)

// table is a long table of n copies: pairs of legs, rails tenoned between them and
// slats screwed on top.
func table(n int) *plan.Project {
	bays := (n - 2) / 6
	s := plan.Start{ID: "table", Name: "Table", Parts: []plan.Part{
		{Name: "leg", Length: "20 in", Width: "2 in", Thickness: "2 in", Role: plan.RoleLeg, Copies: []plan.Copy{
			{X: "0", Y: "0", Z: "0", Along: plan.Z, Thick: plan.Y, Repeat: fmt.Sprint(bays + 1), StepX: "20 in"},
			{X: "0", Y: "12 in", Z: "0", Along: plan.Z, Thick: plan.Y, Repeat: fmt.Sprint(bays + 1), StepX: "20 in"}}},
		{Name: "rail", Length: "18 in", Width: "2 in", Thickness: "1 in", Role: plan.RoleRail, Copies: []plan.Copy{
			{X: "2 in", Y: "1/2 in", Z: "18 in", Along: plan.X, Thick: plan.Y, Repeat: fmt.Sprint(bays), StepX: "20 in"},
			{X: "2 in", Y: "12 1/2 in", Z: "18 in", Along: plan.X, Thick: plan.Y, Repeat: fmt.Sprint(bays), StepX: "20 in"}}},
		{Name: "slat", Length: "14 in", Width: "3 in", Thickness: "1/2 in", Role: plan.RoleSlat, Copies: []plan.Copy{
			{X: "3 in", Y: "0", Z: "20 in", Along: plan.Y, Thick: plan.Z, Repeat: fmt.Sprint(bays), StepX: "20 in"},
			{X: "13 in", Y: "0", Z: "20 in", Along: plan.Y, Thick: plan.Z, Repeat: fmt.Sprint(bays), StepX: "20 in"}}},
	}}
	p := (&plan.Project{Shop: plan.DefaultShop(), NextID: 1}).NewPiece(s, "table")
	for i, kind := range []plan.JointKind{joinery.StoppedTenon, joinery.Screws} {
		p.Joints = append(p.Joints, plan.Joint{ID: p.Take(), A: plan.CopyRef{Part: p.Parts[i].ID}, B: plan.CopyRef{Part: p.Parts[i+1].ID}, Kind: kind})
	}
	return p
}

// Sizes, joints, fit proof, marks, order of assembly and checks of use, then the
// four views, the exploded view, and every part and joint drawn.
func benchmarkDerive(b *testing.B, n int) {
	p := table(n)
	for b.Loop() {
		ctx, cancel := context.WithCancel(context.Background())
		tools := layout.Tools(time.Time{})
		tools.Cut = func(context.Context, plan.CutJob, func(plan.Cuts)) (plan.Cuts, error) {
			cancel()
			return plan.Cuts{}, nil
		}
		made, err := plan.Make(ctx, p, tools, nil)
		cancel()
		if err != nil || len(made.Frame.Build.Sequence.Stages) == 0 || !made.Frame.Fit.OK() || len(made.Copies) < n-4 {
			b.Fatal(err, len(made.Copies), made.Frame.Build.Blocked)
		}
		if figure.Views(made, 180, 160, false) == nil || figure.ExplodedView(made, 1, 180, 160, drawing.FrontRight) == nil {
			b.Fatal("the piece is not drawn")
		}
		for _, g := range figure.PartGroups(made) {
			figure.PartPicture(made, g.Copies[0], 180)
		}
		for _, g := range figure.JointGroups(made) {
			figure.JointPicture(made, g.Joints[0], 180)
		}
	}
}

func BenchmarkDerive60Copies(b *testing.B)   { benchmarkDerive(b, 60) }
func BenchmarkDerive1000Copies(b *testing.B) { benchmarkDerive(b, 1000) }
