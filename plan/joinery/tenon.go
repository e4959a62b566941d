package joinery

import (
	"pilewright/plan/measure"
	"pilewright/plan/solid"
)

// span is a stretch of one axis.
type span struct{ lo, hi measure.Length }

func (s span) size() measure.Length { return s.hi - s.lo }

func (j *joint) tenon() bool {
	k := j.meet.Axis
	if k != j.b.Along {
		j.find(found(TenonAcrossGrain, Warn, nil))
	}
	if k == j.a.Along {
		j.find(found(MortiseInEnd, Warn, nil))
	}
	wide, thin := j.tenonAxes(k)
	patch := j.meet.Patch
	stock := span{patch.Min[thin], patch.Max[thin]}
	width := span{patch.Min[wide], patch.Max[wide]}

	if !j.tenonThickness(stock.size()) {
		return false
	}
	t := j.s.Thickness
	cheeks := middle(stock, t, j.s.Offset)
	run := j.tenonWidth(width, wide)
	through, ok := j.mortiseDepth(k)
	if !ok {
		return false
	}
	if cheeks.lo < stock.lo || cheeks.hi > stock.hi || run.lo < width.lo || run.hi > width.hi {
		j.find(found(TenonOutside, Stop, lengths{"beyond": max(stock.lo-cheeks.lo, cheeks.hi-stock.hi, width.lo-run.lo, run.hi-width.hi)}))
		return false
	}

	length := j.a.extent(k) + j.s.Proud
	depth := j.a.extent(k)
	if !through {
		depth = j.s.Depth
		length = depth - j.s.EndGap
	}
	slot := span{cheeks.lo - j.s.Clearance/2, cheeks.lo - j.s.Clearance/2 + t + j.s.Clearance}
	radius, bit := j.endRadius(slot.size())
	for _, part := range j.divide(run) {
		tenon, mortise := grown(patch, j.r.Into, length), grown(patch, j.r.Into, depth)
		tenon.Min[thin], tenon.Max[thin] = cheeks.lo, cheeks.hi
		mortise.Min[thin], mortise.Max[thin] = slot.lo, slot.hi
		tenon.Min[wide], tenon.Max[wide] = part.lo, part.hi
		mortise.Min[wide], mortise.Max[wide] = part.lo, part.hi
		round := solid.Rounded{Box: tenon, Axis: k}
		switch {
		case j.s.Round && j.s.RoundTenon:
			round.Bit = min(bit, t)
		case j.s.Round:
			mortise.Min[wide] -= radius
			mortise.Max[wide] += radius
		}
		hole := solid.Rounded{Box: mortise, Axis: k}
		if j.s.Round {
			hole.Bit = bit
		}
		j.r.Tenons = append(j.r.Tenons, round)
		j.r.Mortises = append(j.r.Mortises, hole)
		j.r.AddB = append(j.r.AddB, tenon)
		j.r.CutA = append(j.r.CutA, mortise)
		j.r.Marks = append(j.r.Marks, mark(j.a, mortise, j.r.Into.Opposite(), through))
		j.r.Marks = append(j.r.Marks, j.tenonMark(tenon))
		j.glueFaces(tenon, j.r.Into, j.r.Into.Opposite())
	}
	if j.s.Haunch {
		j.haunch(width, run, wide, thin, cheeks, length)
	}
	j.r.EndRadius = radius
	j.added(k, length)
	j.tenonChecks(k, wide, thin, stock.size(), width, through)
	if k == j.b.Along {
		whole := j.r.Tenons[0].Box.Hull(j.r.Tenons[len(j.r.Tenons)-1].Box)
		j.shoulderMethods(length, whole)
	}
	j.slotMethods(slot.size(), j.r.Mortises[0].Max[wide]-j.r.Mortises[0].Min[wide], depth, slotShape{stopped: true, through: through, round: j.s.Round})
	return true
}

// tenonAxes gives the axes of the tenon's width and thickness. Its width runs with
// A's grain, so that the cheeks glue long grain to long grain; unless B is a flat
// board there, too thin to leave a tenon.
func (j *joint) tenonAxes(k int) (wide, thin int) {
	u, v := others(k)
	if u == j.a.Along {
		wide, thin = u, v
	} else if v == j.a.Along {
		wide, thin = v, u
	} else { // into A's end: the wider way
		wide, thin = j.rowAxes(k)
	}
	if 3*j.patchSize(wide) < 2*j.patchSize(thin) {
		wide, thin = thin, wide
		j.find(found(TenonFlat, Warn, lengths{"board": j.patchSize(thin)}))
	}
	return wide, thin
}

func (j *joint) patchSize(k int) measure.Length { return j.meet.Patch.Max[k] - j.meet.Patch.Min[k] }

// tenonThickness settles the thickness: a third of the stock, then the nearest bit
// or chisel.
func (j *joint) tenonThickness(stock measure.Length) bool {
	sizes := j.tools.mortiseSizes(j.s.Round)
	if j.s.Thickness == 0 {
		want := stock / tenonShare
		got, ok := closest(want, sizes)
		if !ok {
			got = nearest(want, j.tools.step())
		}
		j.s.Thickness = max(min(got, stock)-j.s.Clearance, 0)
	}
	if j.s.Thickness <= 0 || j.s.Thickness > stock {
		j.find(found(TenonOutside, Stop, lengths{"beyond": j.s.Thickness - stock}))
		return false
	}
	switch t := j.s.Thickness; {
	case 2*t > stock:
		j.find(found(TenonThick, Warn, lengths{"tenon": t, "stock": stock, "third": stock / 3}))
	case t > stock/3+measure.Inch/16:
		j.find(found(TenonThick, Note, lengths{"tenon": t, "stock": stock, "third": stock / 3}))
	}
	return true
}

// middle gives a stretch of that size in the middle of another, moved by offset.
func middle(of span, size, offset measure.Length) span {
	lo := of.lo + (of.size()-size)/2 + offset
	return span{lo, lo + size}
}

// tenonWidth settles the width and place: about two thirds of B's width in its
// middle, or pushed away from A's end so that wood stays there. A width a little
// over the limit for one tenon is cut down to it; a larger one is divided.
func (j *joint) tenonWidth(width span, wide int) span {
	step, limit := j.tools.step(), tenonWidthLimit*j.s.Thickness
	most := down(width.size()*2/3, step)
	endShoulder := width.size() - most // a third: the haunch of a frame's end (trade page)
	given := j.s.Width > 0
	natural := func(w measure.Length) measure.Length {
		if w > limit && 2*w <= 3*limit && j.s.Tenons < 2 {
			return down(limit, step)
		}
		return w
	}
	if !given {
		j.s.Width = natural(most)
	}
	run := middle(width, j.s.Width, j.s.OffsetWide)
	if wide != j.a.Along || j.s.OffsetWide != 0 {
		return run
	}
	low, high := run.lo-j.a.Box.Min[wide], j.a.Box.Max[wide]-run.hi
	if (low >= endWood) == (high >= endWood) {
		return run
	}
	// The end's shoulder also makes up the wood wanted between the mortise and the end,
	// as long as half of B's width is left to the tenon.
	edge := min(width.lo-j.a.Box.Min[wide], j.a.Box.Max[wide]-width.hi)
	if need := (endWood - edge + step - 1) / step * step; need > endShoulder && 2*need <= width.size() {
		endShoulder = need
	}
	if !given {
		inner := measure.Length(0)
		if width.size() >= 24*step {
			inner = 2 * step // keeps a small shoulder on the other side too
		}
		j.s.Width = natural(down(width.size()-endShoulder-inner, step))
	}
	endShoulder = min(endShoulder, width.size()-j.s.Width)
	if low < endWood {
		return span{width.lo + endShoulder, width.lo + endShoulder + j.s.Width}
	}
	return span{width.hi - endShoulder - j.s.Width, width.hi - endShoulder}
}

// divide parts a wide tenon into the fewest that keep to the limit and have no
// more than two tenon widths of air between them.
func (j *joint) divide(run span) []span {
	w, limit := run.size(), tenonWidthLimit*j.s.Thickness
	each := func(n measure.Length) measure.Length { return min(limit, w/(2*n-1)) }
	if j.s.Tenons == 0 {
		j.s.Tenons = 1
		for n := measure.Length(1); w > limit && n <= tenonsMost; n++ {
			j.s.Tenons = int(n)
			if n > 1 && w-n*each(n) <= 2*each(n)*(n-1) {
				break
			}
		}
	}
	j.s.Tenons = min(j.s.Tenons, tenonsMost)
	n := measure.Length(j.s.Tenons)
	if n == 1 {
		return []span{run}
	}
	size := down(each(n), j.tools.step())
	var out []span
	for i := range n {
		lo := run.lo + down((w-size)*i/(n-1), j.tools.step())
		if i == 0 {
			lo = run.lo
		}
		if i == n-1 {
			lo = run.hi - size
		}
		out = append(out, span{lo, lo + size})
	}
	return out
}

// mortiseDepth settles the depth of a stopped mortise; through is true where the
// tenon passes A.
func (j *joint) mortiseDepth(k int) (through, ok bool) {
	stock, t, step := j.a.extent(k), j.s.Thickness, j.tools.step()
	if j.s.Kind == ThroughTenon {
		j.s.Depth, j.s.EndGap = stock, 0
		return true, true
	}
	if j.s.Depth == 0 {
		want := min(max(2*stock/3, depthLeast*t), depthMost*t)
		if bit, ok := j.tools.routerBit(t + j.s.Clearance); ok && bit.Cut >= depthLeast*t {
			want = min(want, bit.Cut) // no deeper than the shop's bit reaches
		}
		j.s.Depth = down(min(want, max(stock-wallBehind, stock/2)), step)
	}
	if j.s.EndGap == 0 {
		j.s.EndGap = step // between the 1/8 in of one trade page and the 2 mm of another
		if j.s.Depth <= 4*step {
			j.s.EndGap = min(step, j.s.Depth/4)
		}
	}
	if j.s.Depth >= stock {
		j.find(found(MortiseComesThrough, Stop, lengths{"depth": j.s.Depth, "stock": stock}))
		return false, false
	}
	if j.s.EndGap >= j.s.Depth {
		j.find(found(TenonOutside, Stop, lengths{"beyond": j.s.EndGap - j.s.Depth}))
		return false, false
	}
	return false, true
}

// endRadius gives the radius and the bit of a mortise whose ends stay round.
func (j *joint) endRadius(slot measure.Length) (radius, bit measure.Length) {
	if !j.s.Round {
		return 0, 0
	}
	bit = slot
	if b, ok := j.tools.routerBit(slot); ok {
		bit = b.Diameter
	}
	return (bit + 1) / 2, bit
}

// haunch fills the shoulder on the side of A's end with a stub as long as the
// tenon is thick (Noyes 1910), open at the end where B is flush with it.
func (j *joint) haunch(width, run span, wide, thin int, cheeks span, length measure.Length) {
	stub := span{width.lo, run.lo}
	if j.a.Box.Max[wide]-run.hi < run.lo-j.a.Box.Min[wide] {
		stub = span{run.hi, width.hi}
	}
	deep := min(j.s.Thickness, length/2)
	if stub.size() <= 0 || deep <= 0 {
		j.find(found(NoHaunch, Note, nil))
		return
	}
	box := grown(j.meet.Patch, j.r.Into, deep)
	box.Min[wide], box.Max[wide] = stub.lo, stub.hi
	box.Min[thin], box.Max[thin] = cheeks.lo, cheeks.hi
	groove := box
	groove.Min[thin] -= j.s.Clearance / 2
	groove.Max[thin] = groove.Min[thin] + j.s.Thickness + j.s.Clearance
	j.r.AddB = append(j.r.AddB, box)
	j.r.CutA = append(j.r.CutA, groove)
	j.r.Marks = append(j.r.Marks, mark(j.a, groove, j.r.Into.Opposite(), false))
}

// added notes the wood B's blank needs beyond the shoulder.
func (j *joint) added(k int, length measure.Length) {
	j.r.Added.Axis = k
	if j.r.Into.Positive() {
		j.r.Added.Max = length
	} else {
		j.r.Added.Min = length
	}
}

func (j *joint) tenonChecks(k, wide, thin int, stock measure.Length, width span, through bool) {
	t := j.s.Thickness
	for _, m := range j.r.Tenons {
		if w := m.Max[wide] - m.Min[wide]; w > tenonWidthLimit*t {
			j.find(found(TenonWide, Warn, lengths{"width": w, "limit": tenonWidthLimit * t}))
			break
		}
	}
	for _, m := range j.r.Mortises {
		if wide == j.a.Along {
			if end := min(m.Min[wide]-j.a.Box.Min[wide], j.a.Box.Max[wide]-m.Max[wide]); end < endWood {
				j.find(nearEnd(end))
				break
			}
		}
	}
	hole := j.r.Mortises[0]
	if wall := min(hole.Min[thin]-j.a.Box.Min[thin], j.a.Box.Max[thin]-hole.Max[thin]); wall < wallBeside {
		j.find(found(WallThin, Warn, lengths{"wall": max(wall, 0), "least": wallBeside}))
	}
	if wide != j.a.Along {
		if wall := min(hole.Min[wide]-j.a.Box.Min[wide], j.a.Box.Max[wide]-j.r.Mortises[len(j.r.Mortises)-1].Max[wide]); wall < wallBeside {
			j.find(found(WallThin, Warn, lengths{"wall": max(wall, 0), "least": wallBeside}))
		}
	}
	if !through {
		if behind := j.a.extent(k) - j.s.Depth; behind < wallBehind {
			j.find(found(BottomThin, Warn, lengths{"wall": behind, "least": wallBehind}))
		}
		switch {
		case j.s.Depth < depthLeast*t:
			j.find(found(MortiseShallow, Note, lengths{"depth": j.s.Depth, "least": depthLeast * t}))
		case j.s.Depth > depthMost*t:
			j.find(found(MortiseDeep, Note, lengths{"depth": j.s.Depth, "most": depthMost * t}))
		}
	}
	if j.s.Round && !j.s.RoundTenon {
		j.find(found(RoundMortise, Note, lengths{"slot": hole.Max[wide] - hole.Min[wide], "tenon": j.r.Tenons[0].Max[wide] - j.r.Tenons[0].Min[wide], "bit": hole.Bit}))
	}
	if j.s.Clearance > looseGlue && !j.s.Dry {
		j.find(found(LooseFit, Warn, lengths{"gap": j.s.Clearance, "most": looseGlue}))
	}
	if j.s.Width == width.size() && t == stock {
		j.find(found(NoShoulder, Note, nil))
	}
}

func nearEnd(end measure.Length) Finding {
	severity := Note
	if end < endWoodLeast {
		severity = Warn
	}
	return found(MortiseNearEnd, severity, lengths{"end": max(end, 0), "least": endWood})
}
