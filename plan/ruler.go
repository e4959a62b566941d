package plan

import (
	"strings"

	"pilewright/plan/measure"
)

// finest is the step rough sizes are rounded up to on either ruler.
const (
	finestInch   = measure.SixtyFourth
	finestMetric = measure.Millimetre / 2
)

// metric reports which ruler a piece is laid out on: the one that more of its
// finished sizes are whole steps of. It does not ask which unit the shop shows, so
// that showing the other one changes no size.
func metric(parts []SizedPart) bool {
	votes := 0
	for _, sp := range parts {
		for _, l := range []measure.Length{sp.L, sp.W, sp.T} {
			votes += boolInt(l%finestMetric == 0) - boolInt(l%finestInch == 0)
		}
	}
	return votes > 0
}

// toRuler rounds a blank's rough sizes up to what the maker's ruler shows.
func (b *Blank) toRuler(metric bool) {
	step := finestInch
	if metric {
		step = finestMetric
	}
	for _, l := range []*measure.Length{&b.Length, &b.Width, &b.Thickness} {
		if b.Sheet && l == &b.Thickness {
			continue // a sheet is as thick as it is
		}
		*l = (*l + step - 1) / step * step
	}
}

// setting writes a size that a machine is set to: as shown, or, where what is shown
// is rounded, so finely that equal words are equal settings: fractions of an inch in
// full, millimetres to the hundredth, far below either ruler's step.
func (m *making) setting(l measure.Length) string {
	const hundredth = measure.Millimetre / 100
	text, unit := m.say(l), m.plan.Project.Shop.Unit()
	switch {
	case !strings.HasPrefix(text, "≈"):
		return text
	case unit == measure.Inches || l%hundredth == 0:
		return measure.ExactIn(l, unit)
	}
	return "≈" + measure.ExactIn((l+hundredth/2)/hundredth*hundredth, unit)
}
