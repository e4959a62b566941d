package cutting

import "pilewright/plan/measure"

// show writes a length in millimetres, exactly, for messages.
func show(l measure.Length) string { return measure.ExactIn(l, measure.Millimetres) }
