package figure

import (
	"reflect"
	"slices"

	"pilewright/layout/drawing"
	"pilewright/plan"
	"pilewright/plan/assembly"
	"pilewright/plan/joinery"
	"pilewright/plan/measure"
	"pilewright/plan/solid"
	"pilewright/plan/words"
)

// Solids gives the finished bodies of the piece to be drawn.
func Solids(p *plan.Plan) []drawing.Solid3 { return solidsOf(p, nil) }

// solidsOf gives the bodies of the copies with these marks, nil = all.
func solidsOf(p *plan.Plan, marks map[string]bool) []drawing.Solid3 {
	out := make([]drawing.Solid3, 0, len(p.Copies))
	var part plan.SizedPart
	var sizes string // of the part: most copies are of that of the one before
	for i, c := range p.Copies {
		if marks != nil && !marks[c.Mark] {
			continue
		}
		if c.Part != part.ID || sizes == "" {
			part, _ = p.Part(c.Part)
			sizes = size(p.Project, part.L, part.W, part.T)
		}
		s := drawing.Solid3{Ref: CopyRef(c.Mark), Mark: c.Mark, Hover: part.Name + " " + c.Mark + ": " + sizes}
		if i < len(p.Frame.Bodies) {
			s.Boxes = p.Frame.Bodies[i].Boxes()
		} else {
			s.Boxes = []solid.Box{c.Box}
		}
		out = append(out, s)
	}
	return out
}

// Exploded gives the bodies moved apart along their assembly directions; t runs
// from 0, put together, to 1.
func Exploded(p *plan.Plan, t float64) []drawing.Solid3 {
	out := Solids(p)
	at := assembly.Exploded(p.Frame.Build.Sequence, t)
	for i, c := range p.Copies {
		out[i].Offset = at[c.Mark]
	}
	return out
}

// unit names the unit of a drawing's figures.
func unit(p *plan.Project) string {
	if p.Shop.Inches {
		return "sizes in inches"
	}
	return "sizes in mm"
}

// Views draws front, side and top, dimensioned.
func Views(p *plan.Plan, width, height float64, hidden bool) *drawing.Picture {
	return drawing.Views(Solids(p), drawing.ViewsOptions{Width: width, Height: height, Hidden: hidden, FirstAngle: !p.Project.Shop.Inches, Format: PlanNumbers(p), Unit: p.Words.Word(unit(p.Project)), Words: p.Words})
}

// Isometric draws the piece for the eye.
func Isometric(p *plan.Plan, width, height float64, from drawing.Corner) *drawing.Picture {
	return drawing.Isometric(Solids(p), drawing.IsometricOptions{Width: width, Height: height, From: from, Marks: true})
}

// ExplodedView draws the piece pulled apart by t.
func ExplodedView(p *plan.Plan, t, width, height float64, from drawing.Corner) *drawing.Picture {
	return drawing.Isometric(Exploded(p, t), drawing.IsometricOptions{Width: width, Height: height, From: from, Marks: true, Paths: true})
}

// cutKind names what a joint cuts into the receiving member.
func cutKind(k plan.JointKind) string {
	switch k {
	case joinery.ThroughTenon, joinery.StoppedTenon:
		return "mortise"
	case joinery.Dowels, joinery.Screws:
		return "hole"
	case joinery.HalfLap:
		return "lap"
	}
	return string(k)
}

// Part is one copy with all that is cut into it, held so that its reference face
// and edge are the ones least cut into; see hold.
func Part(p *plan.Plan, index int) drawing.PartView {
	var joints []int
	for n, j := range p.Frame.Joints {
		if j.A == index || j.B == index {
			joints = append(joints, n)
		}
	}
	v, pairs := held(p, index, joints, false)
	for i, pair := range pairs {
		note := p.Words.Format("joint %d", pair)
		if f := &v.Features[i]; f.Note != "" {
			f.Note = note + ", " + f.Note
		} else {
			f.Note = note
		}
	}
	return v
}

// PartPicture draws one copy to be marked out.
func PartPicture(p *plan.Plan, index int, width float64) *drawing.Picture {
	return drawing.Part(Part(p, index), drawing.JointOptions{Width: width, Format: PlanNumbers(p), Words: p.Words})
}

// Joint is one joint pulled apart, with its sizes.
func Joint(p *plan.Plan, j plan.MadeJoint) drawing.JointView {
	w := p.Words
	a, b := p.Copies[j.A], p.Copies[j.B]
	pa, _ := p.Part(a.Part)
	pb, _ := p.Part(b.Part)
	v := drawing.JointView{Title: w.Format("Joint %d: %s, %s into %s", j.Pair, w.Word(plan.KindName(j.Rule.Kind)), b.Mark, a.Mark),
		Receiver: drawing.JointMember{Mark: a.Mark, Width: pa.W, Thickness: pa.T}, Member: drawing.JointMember{Mark: b.Mark, Width: pb.W, Thickness: pb.T}, RunsOn: true}
	across, thick := int(b.Across()), int(b.Thick)
	v.Setback = max(b.Box.Min[thick]-a.Box.Min[thick], 0)
	if end := a.Box.Max[across] - b.Box.Max[across]; int(a.Along) == across && end >= 0 && end < 4*pa.W {
		v.RunsOn, v.Horn = false, end
	}
	for i, t := range j.Result.Tenons {
		box := t.Box
		into := j.Result.Into.Axis()
		tongue := drawing.Tongue{FromEdge: b.Box.Max[across] - box.Max[across], FromFace: box.Min[thick] - b.Box.Min[thick],
			Width: box.Max[across] - box.Min[across], Thickness: box.Max[thick] - box.Min[thick], Depth: box.Max[into] - box.Min[into]}
		if i < len(j.Result.Mortises) {
			m := j.Result.Mortises[i].Box
			tongue.Mortise = m.Max[into] - m.Min[into]
		}
		v.Tongues = append(v.Tongues, tongue)
	}
	f := sayPlan(p)
	if r := j.Result.EndRadius; r > 0 {
		v.Notes = append(v.Notes, w.Format("mortise ends round, radius %s", f(r)))
	}
	if j.Rule.Kind == joinery.Housing || j.Rule.Kind == joinery.Rebate {
		v.Notes = append(v.Notes, w.Format("%s deep", f(j.Result.Spec.Depth)))
	}
	if j.Rule.Dry {
		v.Notes = append(v.Notes, w.Word("not glued"))
	}
	if n := len(j.Result.Holes); n > 0 {
		v.Notes = append(v.Notes, w.Format("%d holes, %s", n, holeText(j.Result.Holes[0], f, w)))
	}
	return v
}

func holeText(h joinery.Hole, f func(measure.Length) string, w *words.Language) string {
	if h.DiameterA == h.DiameterB {
		return w.Format("%s in diameter", f(h.DiameterA))
	}
	return w.Format("%s through the entering part, %s pilot", f(h.DiameterB), f(h.DiameterA))
}

// JointPicture draws one joint.
func JointPicture(p *plan.Plan, j plan.MadeJoint, width float64) *drawing.Picture {
	return drawing.Joint(Joint(p, j), drawing.JointOptions{Width: width, Format: PlanNumbers(p), Words: p.Words})
}

// JointGroup is joints that are made alike.
type JointGroup struct {
	Joints []plan.MadeJoint
	View   drawing.JointView
}

// JointGroups gathers the joints that one drawing serves: those of one kind and
// of the same sizes, whichever copies they join.
func JointGroups(p *plan.Plan) []JointGroup {
	var out []JointGroup
	of := make([]int, len(p.Frame.Joints)) // the group of each
	var firsts, count []int                // of each group: its first joint, and how many it has
	bare := func(v drawing.JointView) drawing.JointView {
		v.Title, v.Receiver.Mark, v.Member.Mark = "", "", ""
		return v
	}
	for i := range p.Frame.Joints {
		j := &p.Frame.Joints[i]
		v := Joint(p, *j)
		at := slices.IndexFunc(firsts, func(k int) bool {
			f := &p.Frame.Joints[k]
			return f.Rule.Kind == j.Rule.Kind && p.Copies[f.A].Part == p.Copies[j.A].Part && p.Copies[f.B].Part == p.Copies[j.B].Part && reflect.DeepEqual(bare(out[of[k]].View), bare(v))
		})
		if at < 0 {
			out, at = append(out, JointGroup{View: v}), len(out)
			firsts, count = append(firsts, i), append(count, 0)
		}
		of[i] = at
		count[at]++
	}
	for i, at := range of {
		if out[at].Joints == nil {
			out[at].Joints = make([]plan.MadeJoint, 0, count[at])
		}
		out[at].Joints = append(out[at].Joints, p.Frame.Joints[i])
	}
	return out
}
