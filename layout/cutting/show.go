package cutting

import "pilewright/plan/measure"

// show writes a length exactly, for messages.
func show(l measure.Length) string { return measure.Exact(l) }
