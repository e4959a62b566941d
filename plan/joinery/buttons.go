package joinery

import "pilewright/plan/measure"

// buttonsEvery is how far apart the buttons under a top stand: common practice,
// no source.
const buttonsEvery = 250 * measure.Millimetre

// buttons holds two members face to face and lets them move past each other: a
// top on its aprons. Nothing is glued; the slots in the rail are left to the
// fitting that is bought or made, so no wood is cut in the model.
func (j *joint) buttons() bool {
	j.s.Dry = true
	if j.s.Count == 0 {
		long := measure.Length(0)
		for k := range 3 {
			if k != j.meet.Axis {
				long = max(long, j.meet.Patch.Max[k]-j.meet.Patch.Min[k])
			}
		}
		j.s.Count = max(2, int((long+buttonsEvery-1)/buttonsEvery))
	}
	return true
}
