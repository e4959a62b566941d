package joinery

import (
	"pilewright/plan/measure"
	"pilewright/plan/wood"
)

// DrawBore gives how far the hole through a tenon is set towards its shoulder, so
// that the peg pulls the joint tight: 1/32 in in hardwood, 1/16 in in softwood, which
// gives more. Common practice, no source.
func DrawBore(species string) measure.Length {
	if wood.Reckon(species).Species.Group == wood.Hardwood {
		return measure.Inch / 32
	}
	return measure.Inch / 16
}
