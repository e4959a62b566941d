package trade

import (
	"slices"
	"time"
)

// Finish is a kind of finish as a maker applies it.
type Finish struct {
	ID           string
	Name         string
	CoverageSqFt float64       // per US gallon and coat
	Coats        int           // usual number
	Recoat       time.Duration // from one coat to the next, in a warm dry shop
	CoatsPerDay  int           // most in a day
	Use          time.Duration // until it may be used gently
	Cure         time.Duration // until it is hard; zero = it has no hardening
	Combustible  bool          // rags heat up by themselves and can catch fire
	SandBetween  int           // grit between coats; 0 = none
	Note         string
	Source       string
}

const day = 24 * time.Hour

// Finishes lists the finishes, the usual one first.
var Finishes = []Finish{
	{ID: "poly-oil", Name: "Oil-based polyurethane, brushed", CoverageSqFt: 400, Coats: 3, Recoat: 6 * time.Hour, CoatsPerDay: 2,
		Use: 3 * day, Cure: 30 * day, Combustible: true, SandBetween: 220,
		Source: "coverage 350 to 450 ft²/gal: a floor finish's data sheet; recoat 4 to 6 h for furniture, 2 to 3 coats, cure about 30 days: makers' pages; gentle use: " + memory},
	{ID: "poly-water", Name: "Water-based polyurethane, brushed", CoverageSqFt: 450, Coats: 4, Recoat: 2 * time.Hour, CoatsPerDay: 2,
		Use: day, Cure: 21 * day, SandBetween: 220, Note: "The first coat raises the grain: sand it back lightly.",
		Source: "recoat 2 h, at most 2 coats a day, 3 to 4 coats: maker's page; coverage 450 to 600 ft²/gal: a dealer's list of floor finishes; cure about 20 days to four weeks: two pages (floor makers say 4 to 7 days)"},
	{ID: "poly-wipe", Name: "Wipe-on polyurethane", CoverageSqFt: 500, Coats: 6, Recoat: 4 * time.Hour, CoatsPerDay: 2,
		Use: 3 * day, Cure: 30 * day, Combustible: true, SandBetween: 320, Note: "Three thin coats make about one brushed one.",
		Source: "recoat 4 to 6 h, three for one: maker's pages; coverage: " + memory},
	{ID: "oil", Name: "Drying oil (boiled linseed, tung, Danish)", CoverageSqFt: 500, Coats: 3, Recoat: day, CoatsPerDay: 1,
		Use: 3 * day, Cure: 21 * day, Combustible: true, Note: "Wipe off all that has not soaked in after a quarter of an hour.", Source: memory},
	{ID: "oil-wax", Name: "Hard-wax oil", CoverageSqFt: 600, Coats: 2, Recoat: 12 * time.Hour, CoatsPerDay: 1,
		Use: 2 * day, Cure: 14 * day, Combustible: true, Source: memory},
	{ID: "shellac", Name: "Shellac", CoverageSqFt: 400, Coats: 3, Recoat: time.Hour, CoatsPerDay: 4,
		Use: day, Cure: 7 * day, SandBetween: 320, Note: "Spirit and heat mark it. The solvent burns: no flame, and air the room.", Source: memory},
	{ID: "wax", Name: "Paste wax", CoverageSqFt: 600, Coats: 2, Recoat: 4 * time.Hour, CoatsPerDay: 2, Use: day,
		Combustible: true, Note: "Keeps off little water; renew it now and then.", Source: "recoat 1 to 24 h: trade page; coverage: " + memory},
	{ID: "paint", Name: "Acrylic paint", CoverageSqFt: 400, Coats: 2, Recoat: 4 * time.Hour, CoatsPerDay: 2,
		Use: 2 * day, Cure: 21 * day, SandBetween: 220, Note: "Prime knots first, or they bleed through.", Source: memory},
}

// FinishByID gives the finish with that id.
func FinishByID(id string) (Finish, bool) {
	i := slices.IndexFunc(Finishes, func(f Finish) bool { return f.ID == id })
	if i < 0 {
		return Finish{}, false
	}
	return Finishes[i], true
}

// Litres gives the finish needed for an area and a number of coats, without waste.
// ft²/gal × 0.02454 is m²/L (exact units, rounded).
func (f Finish) Litres(squareMetres float64, coats int) float64 {
	return squareMetres * float64(coats) / SquareMetresPerLitre(f.CoverageSqFt)
}

// SquareMetresPerLitre turns ft² per US gallon into m² per litre: 1 ft = 0.3048 m,
// 1 US gal = 3.785411784 L.
func SquareMetresPerLitre(sqFtPerGal float64) float64 {
	return sqFtPerGal * 0.3048 * 0.3048 / 3.785411784
}

// WetMils gives the wet film of a coverage, in thousandths of an inch: 231 in³ to
// the gallon over 144 in² to the foot.
func WetMils(sqFtPerGal float64) float64 { return 231.0 / 144 * 1000 / sqFtPerGal }

// Days gives the days from the first coat to the last, by the recoat time and the
// most coats a day; 0 where all are put on in one day.
func (f Finish) Days(coats int) int {
	if coats <= 0 || f.CoatsPerDay <= 0 {
		return 0
	}
	days := (coats - 1) / f.CoatsPerDay
	if wait := int(f.Recoat * time.Duration(coats-1) / day); wait > days {
		days = wait
	}
	return days
}

// Grit is one round of sanding.
type Grit struct {
	Number int
	Use    string
	Source string
}

// Grits is the usual run of grits on bare wood and between coats.
var Grits = []Grit{
	{80, "flattening joints and planer marks", common},
	{120, "taking out the marks of 80", common},
	{150, "all faces that show", common},
	{180, "last before most finishes", common},
	{220, "last before water-based finish and oil; between coats", "between coats 220 to 320: makers' pages"},
	{320, "between the last coats", "between coats 220 to 320: makers' pages"},
}
