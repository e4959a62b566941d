package wood

// NewtonPerLbf is exact by definition.
const NewtonPerLbf = 4.4482216152605

// mmPerInch stands between the Handbook's equations and ours.
const mmPerInch = 25.4

// WithdrawalN gives the ultimate pull, in newtons, that draws a screw straight out
// of the wood: 15,700·G²·D·L lbf, GTR-282 Eq 8-10b (read in a copy), with D the
// shank diameter and L the length of thread in this member. From end grain it is
// 75 % of that. It is an ultimate value: what a joint may carry is a fraction of it.
func (s Species) WithdrawalN(diameterMM, threadMM float64, endGrain bool) float64 {
	lbf := 15700 * s.Gravity12 * s.Gravity12 * (diameterMM / mmPerInch) * (threadMM / mmPerInch)
	if endGrain {
		lbf *= 0.75
	}
	return lbf * NewtonPerLbf
}

// PilotMM gives the pilot hole for a screw of that root diameter: about 70 % of
// it in softwood, 90 % in hardwood. GTR-282 ch. 8 (read in a copy).
func (s Species) PilotMM(rootMM float64) float64 {
	if s.Group == Hardwood {
		return 0.9 * rootMM
	}
	return 0.7 * rootMM
}
