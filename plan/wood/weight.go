package wood

// GravityAt gives the specific gravity on the volume at a moisture content from
// the basic (green-volume) one. GTR-282 Eq 4-11.
func GravityAt(basic, moisturePct, fibreSaturationPct float64) float64 {
	x := min(max(moisturePct, 0), fibreSaturationPct)
	return basic / (1 - 0.265*basic*(1-x/fibreSaturationPct))
}

// Density gives kg/m³ of wood and its water from the specific gravity on the
// volume at that moisture. GTR-282 Eq 4-12.
func Density(gravity, moisturePct float64) float64 {
	return 1000 * gravity * (1 + moisturePct/100)
}

// PoundsPerCubicFoot is Density in lb/ft³: water weighs 62.4 lb/ft³ (from memory).
func PoundsPerCubicFoot(gravity, moisturePct float64) float64 {
	return 62.4 * gravity * (1 + moisturePct/100)
}

// DensityKgM3 gives the density of the species at a moisture content. It is tied
// to the table's value at 12 %, from which Eq 4-11 is turned round for the basic
// specific gravity, so that the printed figure comes out where it is printed.
func (s Species) DensityKgM3(moisturePct float64) float64 {
	share := 1 - 12/s.FibreSaturationPct
	basic := s.Gravity12 / (1 + 0.265*share*s.Gravity12)
	return Density(GravityAt(basic, moisturePct, s.FibreSaturationPct), moisturePct)
}

// WeightKG gives the weight of a volume in mm³ of the species.
func (s Species) WeightKG(volumeMM3, moisturePct float64) float64 {
	return volumeMM3 / 1e9 * s.DensityKgM3(moisturePct)
}
