package joinery

import (
	"pilewright/plan/measure"
	"pilewright/plan/solid"
)

// housing makes a housing or a rebate: B's end, edge or face stands in a cut as
// wide as B itself.
func (j *joint) housing() bool {
	shared := j.meet.Patch
	var groove solid.Box
	if j.meet.Contact == ByFace {
		j.r.Into = j.meet.Into
		k := j.meet.Axis
		if j.s.Depth == 0 {
			j.s.Depth = down(j.a.extent(k)/housingShare, j.tools.step())
		}
		if j.s.Depth >= j.a.extent(k) {
			j.find(found(HousingDeep, Stop, lengths{"depth": j.s.Depth, "stock": j.a.extent(k), "third": j.a.extent(k) / housingLimit}))
			return false
		}
		groove = grown(shared, j.r.Into, j.s.Depth)
		j.r.AddB = []solid.Box{groove}
		j.added(k, j.s.Depth)
	} else {
		into, ok := entry(j.a, j.b, shared)
		if !ok {
			j.find(found(NoWayIn, Stop, nil))
			return false
		}
		j.r.Into = into
		k := into.Axis()
		depth := shared.Max[k] - shared.Min[k]
		if j.s.Depth != 0 && j.s.Depth != depth {
			j.find(found(DepthDisagrees, Warn, lengths{"asked": j.s.Depth, "modelled": depth}))
		}
		j.s.Depth = depth
		groove = shared
		j.r.Added.Axis = k
	}
	k := j.r.Into.Axis()
	j.r.Shoulder = mouth(groove, j.r.Into)
	tongue := groove
	side := j.grooveSide(k)
	j.s.Thickness = groove.Max[side] - groove.Min[side]
	j.s.Width = groove.Max[3-k-side] - groove.Min[3-k-side]
	if c := j.s.Clearance; c > 0 {
		if j.inside(groove, side, false) {
			groove.Min[side] -= c / 2
		}
		if j.inside(groove, side, true) {
			groove.Max[side] += c - c/2
		}
	}
	j.r.CutA = []solid.Box{groove}
	j.r.Mortises = []solid.Rounded{{Box: groove, Axis: k}}
	j.r.Tenons = []solid.Rounded{{Box: tongue, Axis: k}}
	run := 3 - k - side
	through := !j.inside(groove, run, false) && !j.inside(groove, run, true)
	open := !j.inside(groove, side, false) || !j.inside(groove, side, true)
	if j.s.Kind == Rebate && !open {
		j.find(found(RebateClosed, Warn, nil))
	}
	if j.s.Depth*housingLimit > j.a.extent(k) {
		j.find(found(HousingDeep, Warn, lengths{"depth": j.s.Depth, "stock": j.a.extent(k), "third": j.a.extent(k) / housingLimit}))
	}
	if !open && side == j.a.Along {
		end := min(groove.Min[side]-j.a.Box.Min[side], j.a.Box.Max[side]-groove.Max[side])
		if end < endWoodLeast {
			j.find(nearEnd(end))
		}
	}
	if j.s.Clearance > looseGlue && !j.s.Dry {
		j.find(found(LooseFit, Warn, lengths{"gap": j.s.Clearance, "most": looseGlue}))
	}
	j.r.Marks = []Mark{mark(j.a, groove, j.r.Into.Opposite(), false)}
	j.glueFaces(tongue, j.r.Into.Opposite())
	j.longGrainCheck()
	j.slotMethods(groove.Max[side]-groove.Min[side], j.s.Width, j.s.Depth,
		slotShape{stopped: !through, open: open, across: run != j.a.Along})
	return true
}

// mouth is the coordinate of a cut's open side.
func mouth(cut solid.Box, into solid.Direction) measure.Length {
	if into.Positive() {
		return cut.Min[into.Axis()]
	}
	return cut.Max[into.Axis()]
}

// grooveSide gives the axis across the groove: B's thickness, or the shorter way
// where B goes in by its face.
func (j *joint) grooveSide(k int) int {
	if j.b.Thick != k {
		return j.b.Thick
	}
	if j.patchSize(j.b.Wide()) <= j.patchSize(j.b.Along) {
		return j.b.Wide()
	}
	return j.b.Along
}

// inside reports whether the cut stops short of A's surface on that side.
func (j *joint) inside(cut solid.Box, axis int, positive bool) bool {
	if positive {
		return cut.Max[axis] < j.a.Box.Max[axis]
	}
	return cut.Min[axis] > j.a.Box.Min[axis]
}
