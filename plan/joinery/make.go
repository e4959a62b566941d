package joinery

import (
	"pilewright/plan/measure"
	"pilewright/plan/solid"
)

// joint is one joint being made.
type joint struct {
	a, b  Member
	s     Spec
	tools Tools
	meet  Meeting
	r     Result
}

func (j *joint) find(f Finding) { j.r.Findings = append(j.r.Findings, f) }

// Make makes the joint of B into A. It never fails outright: where the members
// cannot be joined so, Made is false and a finding of severity Stop says why and
// what to move. Sizes out of reason are kept as asked and found fault with.
func Make(a, b Member, s Spec, tools Tools) Result {
	j := &joint{a: a, b: b, s: s, tools: tools}
	j.r.Added.Axis = b.Along
	if !a.sound() || !b.sound() {
		j.find(found(BadMember, Stop, nil))
		return j.done(false)
	}
	for _, l := range []measure.Length{s.Thickness, s.Width, s.Depth, s.Clearance, s.EndGap, s.Proud} {
		if l < 0 {
			j.find(found(NegativeSize, Stop, nil))
			return j.done(false)
		}
	}
	if s.Count < 0 || s.Tenons < 0 {
		j.find(found(NegativeSize, Stop, nil))
		return j.done(false)
	}
	j.s.Clearance += j.s.Clearance % 2 // shared evenly by both sides, to the nanometre
	j.meet = Meet(a.Box, b.Box)
	switch j.meet.Contact {
	case Apart:
		j.find(found(MembersApart, Stop, lengths{"gap": j.meet.Gap}).word("axis", axisName(j.meet.Axis)).word("move", j.meet.Into.String()))
		return j.done(false)
	case ByEdge:
		j.find(found(EdgeContact, Stop, nil))
		return j.done(false)
	}
	return j.done(j.make())
}

func (j *joint) done(made bool) Result {
	j.r.Made = made
	j.r.Spec = j.s
	return j.r
}

func (j *joint) make() bool {
	switch j.s.Kind {
	case HalfLap, Bridle:
		if j.meet.Contact != Through {
			j.find(found(NeedsOverlap, Stop, lengths{"thickness": min(j.a.extent(j.meet.Axis), j.b.extent(j.meet.Axis))}).word("kind", string(j.s.Kind)))
			return false
		}
		if j.s.Kind == HalfLap {
			return j.halfLap()
		}
		return j.bridle()
	case Housing, Rebate:
		return j.housing()
	}
	if j.meet.Contact == Through {
		u := shallowest(j.meet.Patch)
		j.find(found(MembersOverlap, Stop, lengths{"depth": j.meet.Patch.Max[u] - j.meet.Patch.Min[u]}).word("axis", axisName(u)))
		return false
	}
	j.r.Into = j.meet.Into
	j.r.Shoulder = j.meet.Patch.Min[j.meet.Axis]
	switch j.s.Kind {
	case ThroughTenon, StoppedTenon:
		return j.tenon()
	case EdgeGlue, FaceGlue:
		return j.glued()
	case Dowels:
		return j.dowels()
	case Screws:
		return j.screws()
	case Buttons:
		return j.buttons()
	}
	j.find(found(UnknownKind, Stop, nil).word("kind", string(j.s.Kind)))
	return false
}

func axisName(k int) string { return [...]string{"x", "y", "z"}[k] }

func shallowest(b solid.Box) int {
	best := 0
	for k := range 3 {
		if b.Max[k]-b.Min[k] < b.Max[best]-b.Min[best] {
			best = k
		}
	}
	return best
}
