package joinery

import (
	"slices"

	"pilewright/plan/measure"
)

// The trade's proportions. Where a page was read the source is named; the rest is
// common practice, no source.
const (
	tenonShare      = 3                          // tenon thickness: a third of the stock (three trade pages)
	tenonWidthLimit = 6                          // times its thickness, then it is divided (one page 5, another 6)
	tenonsMost      = 9                          // side by side, a bound on what is asked for
	depthLeast      = 3                          // mortise depth in its widths, least and most (school handout after Moxon)
	depthMost       = 5                          //
	housingShare    = 4                          // housing and rebate depth: a quarter of the thickness,
	housingLimit    = 3                          // never more than a third (school handout)
	wallBehind      = 9 * measure.Millimetre / 2 // behind a stopped mortise (trade page)
	wallBeside      = 6 * measure.Millimetre     // beside a mortise: common practice, no source
	endWood         = 25 * measure.Millimetre    // between a mortise and the end: the least horn of 25-35 mm (trade page)
	endWoodLeast    = 12 * measure.Millimetre    // under this the end will break out: common practice, no source
	looseGlue       = measure.Inch / 100         // a wider gap leaves PVA weak: common practice, no source
	crossLimit      = 4 * measure.Inch           // widest cross-grain glue joint: common practice, no source
	dowelDeeper     = measure.Inch / 16          // hole beyond the dowel at each end: common practice, no source
	dowelLength     = 3 * measure.Inch / 2       // 1-1/2 in, or 2 in in stock of an inch and more: common practice
	dowelLong       = 2 * measure.Inch           //
	dowelPitch      = 3 * measure.Inch           // common practice, no source
	screwPitch      = 6 * measure.Inch           // common practice, no source
	drillSlack      = measure.Millimetre / 10    // a drill this much off the reckoned hole serves: common practice, no source
	screwMost       = 3 * measure.Inch           // thickest member screwed through from its face: common practice, no source
	leastCutter     = measure.Millimetre / 2     // a thinner cutter is a slip of the pen
	mostPasses      = 200                        // more passes than this are no way to cut
	passOverlap     = measure.Inch / 64          // of side-by-side cuts: common practice, no source
)

// down rounds down to a whole number of steps, but never to nothing.
func down(l, step measure.Length) measure.Length { return max(l/step*step, min(l, step)) }

// nearest rounds to the nearest whole number of steps, halves up, at least one.
func nearest(l, step measure.Length) measure.Length { return max((l+step/2)/step*step, step) }

// closest gives the size nearest to want, the smaller of two as near; ok is false
// where every size is less than half or more than one and a half of it.
func closest(want measure.Length, sizes []measure.Length) (measure.Length, bool) {
	var best measure.Length
	for _, s := range sizes {
		if s <= 0 || 2*s < want || 2*s > 3*want {
			continue
		}
		d, bd := abs(s-want), abs(best-want)
		if best == 0 || d < bd || d == bd && s < best {
			best = s
		}
	}
	return best, best > 0
}

func abs(l measure.Length) measure.Length { return max(l, -l) }

// mortiseSizes lists what can cut a mortise in one width: router bits, and chisels
// where the ends are chopped square.
func (t Tools) mortiseSizes(round bool) []measure.Length {
	var out []measure.Length
	for _, b := range t.Bits {
		out = append(out, b.Diameter)
	}
	if !round {
		out = append(out, t.Chisels...)
	}
	return out
}

// routerBit gives the widest bit not wider than the cut; ok is false where the
// shop has none.
func (t Tools) routerBit(width measure.Length) (Bit, bool) {
	var best Bit
	for _, b := range t.Bits {
		if b.Diameter >= leastCutter && b.Diameter <= width && (b.Diameter > best.Diameter || b.Diameter == best.Diameter && b.Cut > best.Cut) {
			best = b
		}
	}
	return best, best.Diameter > 0
}

// drill gives the widest drill not wider than the hole.
func (t Tools) drill(diameter measure.Length) (measure.Length, bool) {
	var best measure.Length
	for _, d := range t.Drills {
		if d >= leastCutter && d <= diameter && d > best {
			best = d
		}
	}
	return best, best > 0
}

// drillOver gives the narrowest drill not narrower than the hole and at most 1 mm
// wider.
func (t Tools) drillOver(diameter measure.Length) (measure.Length, bool) {
	var best measure.Length
	for _, d := range t.Drills {
		if d >= diameter && d-diameter <= measure.Millimetre && (best == 0 || d < best) {
			best = d
		}
	}
	return best, best > 0
}

func (t Tools) hasChisel(width measure.Length) bool { return slices.Contains(t.Chisels, width) }
