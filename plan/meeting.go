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
	for i := range joints {
		if j := &joints[i]; len(j.Result.Mortises) > 0 {
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
	a, b := &m.plan.Frame.Joints[i].Result, &m.plan.Frame.Joints[k].Result
	if a.Into == b.Into {
		return
	}
	for _, p := range a.Mortises {
		for _, q := range b.Mortises {
			if !p.Overlaps(q) {
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

// Bounds of the shifting of rows of screws and dowels: rounds, and pairs of cuts in
// one member that are compared in a round.
const (
	mostPasses   = 4
	mostCompared = 100_000
)

// passHoles shifts rows of screws or dowels whose holes run into each other inside
// a member, where their place was left to the trade's proportions. All joints of a
// rule are shifted alike, so that copies stay interchangeable. It gives the cuts of
// every copy as they are then.
func (m *making) passHoles(specs []joinery.Spec, tools joinery.Tools) [][]joinery.Hollow {
	joints := m.plan.Frame.Joints
	hollows, compared := m.hollows(), 0
	for _, list := range hollows {
		compared += len(list) * len(list) / 2
	}
	if compared > mostCompared {
		return hollows
	}
	at := make(map[string]int, len(joints))
	rank := map[ID]int{}
	for i, j := range joints {
		at[j.ID] = i
		if _, ok := rank[j.Rule.ID]; !ok {
			rank[j.Rule.ID] = len(rank)
		}
	}
	moved := map[ID]bool{}
	for range mostPasses {
		f, ok := holesMeet(hollows, tools)
		if !ok {
			return hollows
		}
		i := at[f.Words["second"]]
		if k := at[f.Words["first"]]; rank[joints[k].Rule.ID] > rank[joints[i].Rule.ID] || moved[joints[i].Rule.ID] {
			i = k
		}
		rule := joints[i].Rule
		if rule.Offset != "" || moved[rule.ID] {
			return hollows
		}
		moved[rule.ID] = true
		m.shift(rule.ID, f.Lengths["shift"], specs, tools)
		hollows = m.hollows()
	}
	return hollows
}

// holesMeet gives the first pair of bored rows that run into each other.
func holesMeet(hollows [][]joinery.Hollow, tools joinery.Tools) (joinery.Finding, bool) {
	for _, list := range hollows {
		for _, f := range joinery.Clashes(list, tools.Step) {
			if f.Code == joinery.HolesMeet {
				return f, true
			}
		}
	}
	return joinery.Finding{}, false
}

// shift moves the rows of a rule's joints by so much along or across themselves,
// whichever way leaves the fewest holes that meet and brings no new complaint.
func (m *making) shift(rule ID, by measure.Length, specs []joinery.Spec, tools joinery.Tools) {
	joints := m.plan.Frame.Joints
	was := make([]joinery.Result, len(joints))
	for i, j := range joints {
		was[i] = j.Result
	}
	best, fewest := was, m.complaints(tools)
	for _, way := range [][2]measure.Length{{by, 0}, {-by, 0}, {0, by}, {0, -by}} {
		for i := range joints {
			if joints[i].Result = was[i]; joints[i].Rule.ID == rule {
				spec := specs[i]
				spec.Offset, spec.OffsetWide = spec.Offset+way[0], spec.OffsetWide+way[1]
				joints[i].Result = joinery.Make(m.member(joints[i].A), m.member(joints[i].B), spec, tools)
			}
		}
		if n := m.complaints(tools); n < fewest {
			fewest = n
			best = make([]joinery.Result, len(joints))
			for i, j := range joints {
				best[i] = j.Result
			}
		}
	}
	for i := range joints {
		joints[i].Result = best[i]
	}
}

// complaints counts the clashes of the joints and what each has to say; a joint
// that could not be made weighs most.
func (m *making) complaints(tools joinery.Tools) int {
	n := 0
	for _, list := range m.hollows() {
		for _, f := range joinery.Clashes(list, tools.Step) {
			n += int(f.Severity)
		}
	}
	for _, j := range m.plan.Frame.Joints {
		if !j.Result.Made {
			n += 1000
		}
		for _, f := range j.Result.Findings {
			n += int(f.Severity)
		}
	}
	return n
}

// facing is the wood between the faces that two opposed mortises are cut from.
func facing(own, far solid.Box, into solid.Direction) measure.Length {
	k := into.Axis()
	if into.Positive() {
		return far.Max[k] - own.Min[k]
	}
	return own.Max[k] - far.Min[k]
}
