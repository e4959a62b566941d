package wood

// Grain says how the growth rings lie in a board, which decides how much its
// width moves.
type Grain int

// The ways rings lie. UnknownGrain is reckoned as flat-sawn, the larger movement.
const (
	UnknownGrain Grain = iota
	FlatSawn           // rings run across the width: it moves tangentially
	QuarterSawn        // rings run through the thickness: it moves radially
)

// The moisture range in which the coefficients hold, GTR-190 ch. 13, Table 13-5.
const (
	CoefLowPct  = 6.0
	CoefHighPct = 14.0
)

// coefBasePct is the moisture at which a dimension is taken for the
// coefficients, GTR-190 ch. 13.
const coefBasePct = 10.0

// CoefFromShrinkage gives the change coefficient per point of moisture from the
// shrinkage green to oven-dry: both describe one straight line, the first
// from the size at 10 %, the second from the green size. Derived from the
// statement of the basis in GTR-190 ch. 13; it reproduces Table 13-5 from
// Table 4-3 to five decimals except for the commercial oak groups.
func CoefFromShrinkage(shrinkPct, fibreSaturationPct float64) float64 {
	perPoint := shrinkPct / 100 / fibreSaturationPct
	return perPoint / (1 - perPoint*(fibreSaturationPct-coefBasePct))
}

// ShrinkageFromCoef is the inverse of CoefFromShrinkage, in percent.
func ShrinkageFromCoef(coef, fibreSaturationPct float64) float64 {
	return 100 * fibreSaturationPct * coef / (1 + coef*(fibreSaturationPct-coefBasePct))
}

// Movement is a change of size across the grain.
type Movement struct {
	ChangeMM float64 // positive = wider
	Equation string  // the Handbook equation used
}

// Move gives the change of a dimension across the grain, in mm, when its
// moisture goes from one percentage to another. Within 6 to 14 % it is GTR-190
// Eq 13-2, outside it Eq 13-3; moisture above fibre saturation changes nothing.
// Real boards are neither wholly flat- nor quarter-sawn, so it overestimates a
// width and underestimates a thickness (GTR-190 ch. 13).
func (s Species) Move(dimensionMM, fromPct, toPct float64, grain Grain) Movement {
	coef, shrink := s.TangentialCoef, s.ShrinkTangentialPct
	if grain == QuarterSawn {
		coef, shrink = s.RadialCoef, s.ShrinkRadialPct
	}
	if within(fromPct) && within(toPct) {
		return Movement{dimensionMM * coef * (toPct - fromPct), "13-2"}
	}
	return Movement{moveWide(dimensionMM, fromPct, toPct, shrink, s.FibreSaturationPct), "13-3"}
}

func within(pct float64) bool { return pct >= CoefLowPct && pct <= CoefHighPct }

// moveWide is GTR-190 Eq 13-3 with the species' own fibre saturation in place of
// the Handbook's 30 %: D(MF−MI) / (F·100/S − F + MI).
func moveWide(dimensionMM, fromPct, toPct, shrinkPct, fibreSaturationPct float64) float64 {
	if shrinkPct <= 0 {
		return 0
	}
	from := min(max(fromPct, 0), fibreSaturationPct)
	to := min(max(toPct, 0), fibreSaturationPct)
	return dimensionMM * (to - from) / (fibreSaturationPct*100/shrinkPct - fibreSaturationPct + from)
}

// FramingShrinkPct gives the shrinkage from green of dressed framing lumber at a
// moisture content, in percent of the green size: of the width and of the
// thickness. RP-489, valid from 8 to 19 %, not for redwood and cedar.
func FramingShrinkPct(moisturePct float64) (widthPct, thicknessPct float64) {
	return 6.031 - 0.215*moisturePct, 5.062 - 0.181*moisturePct
}

// FramingWidthMM gives the width of framing lumber after its moisture went from
// one percentage to another, by RP-489.
func FramingWidthMM(widthMM, fromPct, toPct float64) float64 {
	from, _ := FramingShrinkPct(fromPct)
	to, _ := FramingShrinkPct(toPct)
	return widthMM * (100 - to) / (100 - from)
}
