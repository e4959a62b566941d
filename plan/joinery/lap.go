package joinery

import (
	"pilewright/plan/measure"
	"pilewright/plan/solid"
)

// lapAxis is the axis on which the members lie over each other.
func (j *joint) lapAxis() int {
	if j.a.Along != j.b.Along {
		return 3 - j.a.Along - j.b.Along
	}
	return j.a.Thick
}

// halfLap parts the shared volume in two: B takes the side it sticks out on, or
// the side of the greater coordinates.
func (j *joint) halfLap() bool {
	k, shared := j.lapAxis(), j.meet.Patch
	above := j.b.Box.Min[k]+j.b.Box.Max[k] >= j.a.Box.Min[k]+j.a.Box.Max[k]
	whole := shared.Max[k] - shared.Min[k]
	if j.s.Depth == 0 {
		j.s.Depth = whole / 2
	}
	if j.s.Depth >= whole {
		j.find(found(LapTooDeep, Stop, lengths{"depth": j.s.Depth, "half": whole / 2}))
		return false
	}
	cutA, cutB := shared, shared
	if above {
		cutA.Min[k] = shared.Max[k] - j.s.Depth
		cutB.Max[k] = cutA.Min[k]
	} else {
		cutA.Max[k] = shared.Min[k] + j.s.Depth
		cutB.Min[k] = cutA.Max[k]
	}
	j.r.Into = solid.Along(k, !above)
	// Each cut must be open towards the other member, or it cannot come in.
	if above && (shared.Max[k] < j.a.Box.Max[k] || shared.Min[k] > j.b.Box.Min[k]) ||
		!above && (shared.Min[k] > j.a.Box.Min[k] || shared.Max[k] < j.b.Box.Max[k]) {
		j.find(found(LapBuried, Stop, nil).word("axis", axisName(k)))
		return false
	}
	j.r.CutA, j.r.CutB = []solid.Box{cutA}, []solid.Box{cutB}
	j.r.Shoulder = mouth(cutA, j.r.Into)
	inB := whole - j.s.Depth
	if 2*j.s.Depth > j.a.extent(k)+1 {
		j.find(found(LapDeep, Warn, lengths{"depth": j.s.Depth, "half": j.a.extent(k) / 2}).word("member", j.a.Name))
	}
	if 2*inB > j.b.extent(k)+1 {
		j.find(found(LapDeep, Warn, lengths{"depth": inB, "half": j.b.extent(k) / 2}).word("member", j.b.Name))
	}
	j.r.Marks = []Mark{mark(j.a, cutA, j.r.Into.Opposite(), false), onB(mark(j.b, cutB, j.r.Into, false))}
	j.glueFaces(cutA, j.r.Into.Opposite())
	j.longGrainCheck()
	j.lapMethods(cutA, j.s.Depth)
	return true
}

// bridle cuts a fork in the member whose end lies in the joint and a tongue in the
// other: thirds of the shared thickness, the tongue in the middle.
func (j *joint) bridle() bool {
	k, shared := j.lapAxis(), j.meet.Patch
	if j.a.Along == j.b.Along {
		j.find(found(BridleClosed, Stop, nil))
		return false
	}
	openA, atA := opening(j.a, shared)
	openB, atB := opening(j.b, shared)
	if openA == openB && openA {
		openB = false // a corner: A receives
	}
	if !openA && !openB {
		j.find(found(BridleClosed, Stop, nil))
		return false
	}
	whole := shared.Max[k] - shared.Min[k]
	if j.s.Thickness == 0 {
		got, ok := closest(whole/tenonShare, j.tools.mortiseSizes(false))
		if !ok {
			got = nearest(whole/tenonShare, j.tools.step())
		}
		j.s.Thickness = got
	}
	tongue := middle(span{shared.Min[k], shared.Max[k]}, j.s.Thickness, j.s.Offset)
	if tongue.lo <= shared.Min[k] || tongue.hi >= shared.Max[k] {
		j.find(found(TenonOutside, Stop, lengths{"beyond": max(shared.Min[k]-tongue.lo, tongue.hi-shared.Max[k])}))
		return false
	}
	low, mid, high := shared, shared, shared
	low.Max[k], mid.Min[k], mid.Max[k], high.Min[k] = tongue.lo, tongue.lo, tongue.hi, tongue.hi
	fork, bar := j.a, j.b
	if openA {
		j.r.CutA, j.r.CutB = []solid.Box{mid}, []solid.Box{low, high}
		j.r.Into = solid.Along(j.a.Along, !atA)
		j.s.Depth = shared.Max[j.a.Along] - shared.Min[j.a.Along]
	} else {
		fork, bar = j.b, j.a
		j.r.CutA, j.r.CutB = []solid.Box{low, high}, []solid.Box{mid}
		j.r.Into = solid.Along(j.b.Along, atB)
		j.s.Depth = shared.Max[j.b.Along] - shared.Min[j.b.Along]
	}
	j.s.Width = shared.Max[bar.Along] - shared.Min[bar.Along]
	j.r.Shoulder = mouth(shared, j.r.Into)
	out := solid.Along(fork.Along, fork.Box.Max[fork.Along] == shared.Max[fork.Along])
	slot := mark(fork, mid, out, true)
	cheeks := []Mark{mark(bar, low, solid.Along(k, false), false), mark(bar, high, solid.Along(k, true), false)}
	if openA {
		cheeks[0], cheeks[1] = onB(cheeks[0]), onB(cheeks[1])
	} else {
		slot = onB(slot)
	}
	j.r.Marks = append([]Mark{slot}, cheeks...)
	if t := j.s.Thickness; 2*t > whole {
		j.find(found(TenonThick, Warn, lengths{"tenon": t, "stock": whole, "third": whole / 3}))
	}
	for _, cheek := range []solid.Box{low, high} {
		if cheek.Max[k]-cheek.Min[k] < wallBeside {
			j.find(found(WallThin, Warn, lengths{"wall": cheek.Max[k] - cheek.Min[k], "least": wallBeside}))
			break
		}
	}
	for _, positive := range []bool{false, true} {
		j.gluePatch(mid, k, positive)
	}
	j.longGrainCheck()
	j.lapMethods(low, low.Max[k]-low.Min[k])
	return true
}

func onB(m Mark) Mark {
	m.OnB = true
	return m
}

// opening reports whether the joint reaches an end of the member, and whether that
// is the end of the greater coordinate.
func opening(m Member, shared solid.Box) (open, atMax bool) {
	switch {
	case shared.Max[m.Along] == m.Box.Max[m.Along]:
		return true, true
	case shared.Min[m.Along] == m.Box.Min[m.Along]:
		return true, false
	}
	return false, false
}

// lapMethods tells how a wide shallow cut across a member is cleared.
func (j *joint) lapMethods(cut solid.Box, depth measure.Length) {
	m := j.a
	run, across := m.Along, m.Wide()
	if j.r.Into.Axis() == across {
		across = m.Thick
	}
	j.slotMethods(cut.Max[run]-cut.Min[run], cut.Max[across]-cut.Min[across], depth,
		slotShape{across: true, open: !j.inside(cut, run, false) || !j.inside(cut, run, true)})
}
