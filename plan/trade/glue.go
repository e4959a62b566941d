package trade

import (
	"math"
	"slices"
	"time"
)

// Glue is a kind of wood glue. Times hold at 21 °C (70 °F).
type Glue struct {
	ID         string
	Name       string
	MinC       float64       // below it no film forms
	Open       time.Duration // from spreading until the parts must be together
	Closed     time.Duration // from then until pressure must be on
	Clamp      time.Duration // an unstressed joint
	Stressed   time.Duration // a joint under strain: bent, sprung or laminated
	Cure       time.Duration // until it may be loaded, planed flush or sanded
	ColdSlows  bool          // clamp and cure times double for each 15 °F under 70 °F
	Reversible bool          // comes apart with heat and water
	WetUse     string        // how it takes damp, in the trade's words
	Note       string
	Source     string
}

// Glues lists the glues, the usual one first.
var Glues = []Glue{
	{ID: "pva-yellow", Name: "Yellow wood glue (PVA)", MinC: 7, Open: 5 * time.Minute, Closed: 10 * time.Minute,
		Clamp: time.Hour, Stressed: 24 * time.Hour, Cure: 24 * time.Hour, ColdSlows: true, WetUse: "indoors",
		Note:   "Below its lowest temperature it dries to a white powder line and is weak.",
		Source: "clamp 30 to 60 min, stressed and full load 24 h: glue maker's guide; open 5 min: a woodworking book's table of glues; works to mid-40s °F, doubling for each 15 °F under 70 °F: woodworking magazine; closed time: " + memory},
	{ID: "pva-white", Name: "White wood glue (PVA)", MinC: 13, Open: 5 * time.Minute, Closed: 15 * time.Minute,
		Clamp: time.Hour, Stressed: 24 * time.Hour, Cure: 24 * time.Hour, ColdSlows: true, WetUse: "indoors",
		Note:   "Tacks more slowly than yellow glue, which leaves time to shift the parts; needs a warmer shop.",
		Source: "clamp 1 h, open 5 min: a woodworking book's table of glues (another page: 5 to 30 min in all); load: glue maker's guide; lowest temperature about 55 °F: trade page; closed time: " + memory},
	{ID: "pva-d3", Name: "Water-resistant wood glue (cross-linking PVA)", MinC: 13, Open: 5 * time.Minute, Closed: 10 * time.Minute,
		Clamp: time.Hour, Stressed: 24 * time.Hour, Cure: 24 * time.Hour, ColdSlows: true, WetUse: "outdoors, sheltered",
		Source: "open 5 min, clamp 1 h: a woodworking book's table of glues; the rest " + memory},
	{ID: "polyurethane", Name: "Polyurethane glue", MinC: 10, Open: 15 * time.Minute, Closed: 15 * time.Minute,
		Clamp: 2 * time.Hour, Stressed: 4 * time.Hour, Cure: 24 * time.Hour, ColdSlows: true, WetUse: "outdoors",
		Note: "Foams out of the joint and does not fill gaps with strength. Wear gloves.", Source: memory},
	{ID: "epoxy", Name: "Epoxy, slow", MinC: 10, Open: 30 * time.Minute, Closed: 30 * time.Minute,
		Clamp: 8 * time.Hour, Stressed: 24 * time.Hour, Cure: 72 * time.Hour, ColdSlows: true, WetUse: "outdoors",
		Note:   "Fills gaps; light pressure only. Wear gloves and air the room.",
		Source: memory + "; a page gives 2 min to 2 h of working time by the kind of epoxy: read the label"},
	{ID: "hide-liquid", Name: "Liquid hide glue", MinC: 10, Open: 10 * time.Minute, Closed: 20 * time.Minute,
		Clamp: 12 * time.Hour, Stressed: 24 * time.Hour, Cure: 24 * time.Hour, ColdSlows: true, Reversible: true, WetUse: "dry rooms only",
		Source: "open 10 min, clamp 12 h, longer in damp air: a woodworking book's table of glues; the rest " + memory},
}

// GlueByID gives the glue with that id.
func GlueByID(id string) (Glue, bool) {
	i := slices.IndexFunc(Glues, func(g Glue) bool { return g.ID == id })
	if i < 0 {
		return Glue{}, false
	}
	return Glues[i], true
}

// TooCold reports whether the air is colder than the glue can form a film in.
func (g Glue) TooCold(tempC float64) bool { return tempC < g.MinC }

// ColdFactor is what the clamp and cure times are multiplied by: they double for
// each 15 °F (8.33 °C) the air is under 70 °F. Woodworking magazine, a rule of
// thumb. It is 1 at 70 °F and above.
func (g Glue) ColdFactor(tempC float64) float64 {
	under := 70 - (tempC*1.8 + 32)
	if !g.ColdSlows || under <= 0 {
		return 1
	}
	return math.Exp2(under / 15)
}

// At gives the glue's clamp and cure times in air of that temperature, rounded up
// to five minutes.
func (g Glue) At(tempC float64) Glue {
	f := g.ColdFactor(tempC)
	for _, d := range []*time.Duration{&g.Clamp, &g.Stressed, &g.Cure} {
		const unit = 5 * time.Minute
		*d = time.Duration(math.Ceil(float64(*d)*f/float64(unit)-1e-9)) * unit
	}
	return g
}

// Pressure is the clamp pressure a glue joint wants, in psi.
type Pressure struct{ LowPsi, HighPsi float64 }

// PressureFor gives the pressure by the wood's side hardness: softwood 100 to
// 150, medium 150 to 200, hard 200 to 300 psi (glue maker's guide). The limits
// between them, 2,700 N and 4,500 N, are common practice, no source. 0 is taken as
// soft.
func PressureFor(hardnessN float64) Pressure {
	switch {
	case hardnessN >= 4500:
		return Pressure{200, 300}
	case hardnessN >= 2700:
		return Pressure{150, 200}
	}
	return Pressure{100, 150}
}

// ClampForceLbf gives the force of all clamps together on a joint of that length and
// thickness in inches.
func ClampForceLbf(lengthIn, thicknessIn, psi float64) float64 { return lengthIn * thicknessIn * psi }

// SpacingIn gives the widest clamp spacing: pressure spreads at 45° through the
// outer board and the caul, so clamps stand twice their width apart (common
// practice, no source), and no more than 12 in (trade page).
func SpacingIn(boardIn, caulIn float64) float64 { return min(2*(boardIn+caulIn), 12) }

// GlueMillilitres gives the glue for a joint face of that many square metres, one
// face spread: a wet film of 6 mils (0.1524 mm), which is 267 ft²/gal (geometry;
// makers say about 250).
func GlueMillilitres(squareMetres float64) float64 { return squareMetres * 0.1524 * 1000 }

// Around a glue-up, from trade pages and a glue maker's guide.
const (
	SettleDaysLow  = 7  // for wood to come to the room's moisture, trade page
	SettleDaysHigh = 14 //
	FlattenDays    = 3  // before planing a glued panel, or its joints sink: "several days", trade page
)
