package drawing

import (
	"pilewright/plan/measure"
	"pilewright/plan/words"
)

// Options says how a joint, a part, a panel, a timeline or a chart is drawn. The
// zero value takes 190 mm of paper, the common content width of A4 and Letter,
// and writes figures in millimetres.
type Options struct {
	Width  float64
	Format func(measure.Length) string
	Words  *words.Language // what is written beside the figures; nil = English
	Plain  bool            // a joint without its picture in isometric projection
}

// JointOptions is the name Options had when only joints took it.
type JointOptions = Options
