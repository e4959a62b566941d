package joinery

import (
	"math"

	"pilewright/plan/measure"
	"pilewright/plan/solid"
	"pilewright/plan/wood"
)

// glued joins two faces without any cut: boards edge to edge or face to face.
func (j *joint) glued() bool {
	patch := j.meet.Patch
	j.gluePatch(patch, j.meet.Axis, j.r.Into.Positive())
	if j.s.Dry {
		j.find(found(GlueJointDry, Note, nil))
	}
	j.longGrainCheck()
	return true
}

// glueFaces counts the faces of B's wood inside A as glued, except those on the
// sides left out and those level with A's surface.
func (j *joint) glueFaces(box solid.Box, without ...solid.Direction) {
	for k := range 3 {
		for _, positive := range []bool{false, true} {
			side := solid.Along(k, positive)
			skip := !j.inside(box, k, positive)
			for _, w := range without {
				skip = skip || w == side
			}
			if !skip {
				j.gluePatch(box, k, positive)
			}
		}
	}
}

// gluePatch counts one face of a box as glued and looks at how the grain lies in
// it: a face across a member's grain is end grain, which holds little.
func (j *joint) gluePatch(box solid.Box, axis int, positive bool) {
	if j.s.Dry {
		return
	}
	f := solid.Face{Normal: solid.Along(axis, positive), Min: box.Min, Max: box.Max}
	if axis == j.a.Along || axis == j.b.Along {
		j.r.EndGrain = j.r.EndGrain.Add(f.Area())
		return
	}
	j.r.LongGrain = j.r.LongGrain.Add(f.Area())
	if j.a.Along == j.b.Along {
		return
	}
	// In this face A's grain is B's width and the other way round.
	over := func(m Member, axis int) {
		size := box.Max[axis] - box.Min[axis]
		if size <= crossLimit {
			return
		}
		for _, f := range j.r.Findings {
			if f.Code == CrossGrain {
				return
			}
		}
		j.find(found(CrossGrain, Warn, lengths{"width": size, "limit": crossLimit, "moves": Seasonal(m.Species, size, j.tools)}).word("member", m.Name))
	}
	over(j.b, j.a.Along)
	over(j.a, j.b.Along)
}

// longGrainCheck finds a glued joint that has no long grain to hold it. A housing is
// carried by its shoulders all the same.
func (j *joint) longGrainCheck() {
	if j.s.Dry || !j.r.LongGrain.IsZero() {
		return
	}
	severity := Warn
	if j.s.Kind == Housing {
		severity = Note
	}
	j.find(found(EndGrainOnly, severity, nil).word("kind", string(j.s.Kind)))
}

// Seasonal gives how much a size across the grain changes between the dry and the
// damp season, rounded up to a hundredth of a millimetre. It reckons a flat-sawn
// board, the larger movement.
func Seasonal(species string, across measure.Length, t Tools) measure.Length {
	dry, damp := t.season()
	mm := wood.Reckon(species).Species.Move(millimetres(across), dry, damp, wood.UnknownGrain).ChangeMM
	return hundredths(math.Abs(mm))
}

func millimetres(l measure.Length) float64 { return float64(l) / float64(measure.Millimetre) }

// hundredths is the named rounding of a reckoned size: up to 0.01 mm.
func hundredths(mm float64) measure.Length {
	const unit = measure.Millimetre / 100
	return measure.Length(math.Ceil(mm*100-1e-9)) * unit
}
