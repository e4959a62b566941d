package plantest

import (
	"fmt"

	"pilewright/plan"
	"pilewright/plan/joinery"
)

// Table is a long table of some n copies: pairs of legs, rails tenoned between them and
// slats screwed on top.
func Table(n int) *plan.Project {
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
