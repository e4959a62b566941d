package plan

import (
	"pilewright/plan/joinery"
	"pilewright/plan/measure"
	"pilewright/plan/solid"
)

// shortenMeeting shortens tenons that would meet inside a member, where their
// depth was left to the trade's proportions: each then stops clear of the other's
// mortise. What the maker set stays as set and is found fault with.
func (m *making) shortenMeeting(specs []joinery.Spec, tools joinery.Tools) {
	joints := m.plan.Frame.Joints
	in := map[int][]int{} // joints by receiving copy
	for i, j := range joints {
		if len(j.Result.Mortises) > 0 {
			in[j.A] = append(in[j.A], i)
		}
	}
	depth := map[int]measure.Length{}
	for c := range m.plan.Copies {
		for n, i := range in[c] {
			for _, k := range in[c][n+1:] {
				m.meeting(i, k, specs, tools, depth)
			}
		}
	}
	for i := range joints {
		d, ok := depth[i]
		if !ok {
			continue
		}
		spec := specs[i]
		spec.Depth = d
		joints[i].Result = joinery.Make(m.member(joints[i].A), m.member(joints[i].B), spec, tools)
	}
}

// meeting notes the depth at which each of two tenons that cross, or come from
// opposite sides, stops clear.
func (m *making) meeting(i, k int, specs []joinery.Spec, tools joinery.Tools, depth map[int]measure.Length) {
	a, b := m.plan.Frame.Joints[i].Result, m.plan.Frame.Joints[k].Result
	if a.Into == b.Into {
		return
	}
	for _, p := range a.Mortises {
		for _, q := range b.Mortises {
			if !p.Box.Overlaps(q.Box) {
				continue
			}
			for _, side := range []struct {
				joint    int
				own, far solid.Rounded
				into     solid.Direction
			}{{i, p, q, a.Into}, {k, q, p, b.Into}} {
				if specs[side.joint].Depth != 0 || specs[side.joint].Kind != joinery.StoppedTenon {
					continue
				}
				d := clearDepth(side.own.Box, side.far.Box, side.into) - tools.Step
				if a.Into.Axis() == b.Into.Axis() { // end to end: each takes half of the member
					d = (facing(side.own.Box, side.far.Box, side.into) - tools.Step) / 2 / tools.Step * tools.Step
				}
				if was, ok := depth[side.joint]; !ok || d < was {
					if d > 2*tools.Step {
						depth[side.joint] = d
					}
				}
			}
		}
	}
}

// clearDepth is how deep own may go along into before it reaches far.
func clearDepth(own, far solid.Box, into solid.Direction) measure.Length {
	k := into.Axis()
	if into.Positive() {
		return far.Min[k] - own.Min[k]
	}
	return own.Max[k] - far.Max[k]
}

// facing is the wood between the faces that two opposed mortises are cut from.
func facing(own, far solid.Box, into solid.Direction) measure.Length {
	k := into.Axis()
	if into.Positive() {
		return far.Max[k] - own.Min[k]
	}
	return own.Max[k] - far.Min[k]
}
