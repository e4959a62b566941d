package joinery

import (
	"math"

	"pilewright/plan/measure"
	"pilewright/plan/solid"
	"pilewright/plan/trade"
	"pilewright/plan/wood"
)

// The checks of use inform; they certify nothing. Physics is float64, and a reckoned
// size shown to the maker is rounded up to a hundredth of a millimetre.

// gravity is the standard acceleration, m/s² (CGPM 1901), by definition.
const gravity = 9.80665

// stressShare is the part of clear wood's strength a piece should stay under:
// common practice, no source.
const stressShare = 0.25

// briefShare of the span is what a seat may sag while someone sits on it: common
// practice, no source.
const briefShare = 120

// Bending is a part that carries a load over a span.
type Bending struct {
	Species string
	Span    measure.Length // free length between what carries it
	Width   measure.Length // across the span, level
	Depth   measure.Length // in the direction of the load
	LoadKG  float64
	Point   bool // the load stands in the middle; else it is spread
	Brief   bool // the load comes and goes, as someone who sits down; else it stays
	Held    bool // both ends are held against turning, by glued tenons in stiff members
}

// Sag is what a loaded part does.
type Sag struct {
	First       measure.Length // when the load is put on
	Later       measure.Length // after some years under it
	Limit       measure.Length // for First
	StressShare float64        // of clear wood's bending strength
	Assumption  string         // of the species; empty = as given
	Findings    []Finding
}

// Bend reckons the sag with shear left in the table's elasticity, as the Handbook
// prints it. Salvage with knots is weaker than the clear wood of the tables.
func Bend(b Bending) Sag {
	m := wood.Reckon(b.Species)
	beam := wood.Beam{SpanMM: millimetres(b.Span), WidthMM: millimetres(b.Width), DepthMM: millimetres(b.Depth),
		ElasticityMPa: m.Species.ElasticityMPa, LoadN: b.LoadKG * gravity}
	if b.Point {
		beam.Load = wood.Point
	}
	if b.Held {
		beam.Support = wood.Fixed
	}
	limit, later := wood.SagLimitMM(beam.SpanMM), wood.CreepFactor
	if b.Brief {
		limit, later = beam.SpanMM/briefShare, 1
	}
	sag := Sag{Assumption: m.Assumption, Limit: hundredths(limit)}
	if b.Span <= 0 || b.Width <= 0 || b.Depth <= 0 || b.LoadKG <= 0 {
		return sag
	}
	first := beam.SagMM()
	if first > beam.SpanMM { // beyond what the equation says anything about
		first = beam.SpanMM
	}
	sag.First, sag.Later = hundredths(first), hundredths(first*later)
	if m.Species.RuptureMPa > 0 {
		sag.StressShare = beam.StressMPa() / m.Species.RuptureMPa
	}
	if first > limit {
		sag.Findings = append(sag.Findings, found(SagOver, Warn, lengths{"span": b.Span, "first": sag.First, "later": sag.Later, "limit": sag.Limit}))
	}
	if sag.StressShare > stressShare {
		severity := Warn
		if sag.StressShare > 1 {
			severity = Stop
		}
		sag.Findings = append(sag.Findings, found(StressHigh, severity, nil).number("percent", 100*sag.StressShare))
	}
	return sag
}

// Panel tells what the seasons do to a glued-up panel of that width across the
// grain. held is true where it is fastened so that its width cannot change. Up to
// the width that may be glued across the grain it gives no finding.
func Panel(species string, width measure.Length, held bool, t Tools) (moves measure.Length, findings []Finding) {
	moves = Seasonal(species, width, t)
	switch {
	case width <= crossLimit:
	case held:
		findings = append(findings, found(PanelHeld, Warn, lengths{"width": width, "moves": moves}))
	default:
		findings = append(findings, found(PanelMoves, Note, lengths{"width": width, "moves": moves, "each": (moves + 1) / 2}))
	}
	return moves, findings
}

// WeightKG gives the weight of a body of the species at a moisture content.
func WeightKG(v solid.Volume, species string, moisturePct float64) float64 {
	return v.CubicMetres() * wood.Reckon(species).Species.DensityKgM3(moisturePct)
}

// Assumed gives the finding for a species taken on an assumption; ok is false where
// the name says one species.
func Assumed(species string) (f Finding, ok bool) {
	m := wood.Reckon(species)
	if m.Assumption == "" {
		return Finding{}, false
	}
	return found(SpeciesAssumed, Note, nil).word("assumption", m.Assumption), true
}

// Heights checks a piece of that kind (an id of trade.UsualSizes) against the usual
// heights and, with knees under it, the room for them: room is from the floor to
// the lowest rail, zero = not checked. An unknown kind gives no finding.
func Heights(kind string, height, room measure.Length) []Finding {
	var out []Finding
	if u, ok := trade.UsualSizeOf(kind); ok && (height < u.Low || height > u.High) {
		out = append(out, found(HeightUnusual, Note, lengths{"height": height, "low": u.Low, "high": u.High}).word("kind", u.Name))
	}
	if kind == "dining-table" && room > 0 && room < trade.KneeHeight {
		out = append(out, found(KneeRoomSmall, Warn, lengths{"room": room, "least": trade.KneeHeight}))
	}
	return out
}

// Weighted is a body with its weight.
type Weighted struct {
	Box solid.Box
	KG  float64
}

// Stance is how firmly a piece stands.
type Stance struct {
	WeightKG     float64
	CentreMM     [3]float64 // centre of mass, in the piece's space
	PushKG       float64    // push at the top that tips it, as a weight
	PushHeight   measure.Length
	EdgeKG       float64 // load on the edge that tips it; 0 = no edge overhangs the feet
	SlopeDegrees float64 // slope of the floor on which it tips
	Stands       bool    // the feet enclose an area with the centre of mass above it
	Findings     []Finding
}

// Thresholds of the findings: none is a standard for furniture in general.
const (
	pushLeastKG  = 5.0               // common practice, no source
	pushHeight   = 27 * measure.Inch // a lower piece only topples: 16 CFR 1261 counts from here
	edgeLeastKG  = 27.0              // 60 lb, the child of US dresser tests: trade news
	slopeLeast   = 10.0              // degrees, of a test of furniture for televisions: home inspectors' page
	footingSlack = measure.Millimetre
)

// Stand reckons by statics how a rigid piece standing loose on a level floor tips:
// about each side of the outline of its feet, by a level push at its top, by a load
// on the part that reaches furthest beyond that side, or by a slope. Feet are the
// boxes that end within 1 mm of the lowest point; a push that slides it instead is
// not looked at.
func Stand(bodies []Weighted) Stance {
	var s Stance
	if len(bodies) == 0 {
		return s
	}
	floor, top := bodies[0].Box.Min[2], bodies[0].Box.Max[2]
	for _, b := range bodies {
		floor, top = min(floor, b.Box.Min[2]), max(top, b.Box.Max[2])
		s.WeightKG += b.KG
		for k := range 3 {
			s.CentreMM[k] += b.KG * (millimetres(b.Box.Min[k]) + millimetres(b.Box.Max[k])) / 2
		}
	}
	var feet, corners []flatPoint
	for _, b := range bodies {
		corners = append(corners, cornersOf(b.Box)...)
		if b.Box.Min[2]-floor <= footingSlack {
			feet = append(feet, cornersOf(b.Box)...)
		}
	}
	s.PushHeight = top - floor
	outline := hull(feet)
	if len(outline) < 3 || s.WeightKG <= 0 {
		s.Findings = append(s.Findings, found(NoFooting, Stop, nil))
		return s
	}
	for k := range 3 {
		s.CentreMM[k] /= s.WeightKG
	}
	s.Stands, s.PushKG, s.SlopeDegrees = true, math.Inf(1), 90
	rise := s.CentreMM[2] - millimetres(floor)
	centre := flatPoint{s.CentreMM[0], s.CentreMM[1]}
	for i, p := range outline {
		q := outline[(i+1)%len(outline)]
		// Outward normal of a side of an outline that runs anticlockwise.
		length := math.Hypot(q.x-p.x, q.y-p.y)
		nx, ny := (q.y-p.y)/length, -(q.x-p.x)/length
		beyond := func(c flatPoint) float64 { return (c.x-p.x)*nx + (c.y-p.y)*ny }
		arm := -beyond(centre)
		if arm <= 0 {
			s.Stands = false
		}
		arm = max(arm, 0)
		s.PushKG = min(s.PushKG, s.WeightKG*arm/millimetres(s.PushHeight))
		s.SlopeDegrees = min(s.SlopeDegrees, math.Atan2(arm, rise)*180/math.Pi)
		reach := 0.0
		for _, c := range corners {
			reach = max(reach, beyond(c))
		}
		if reach > 0.5 { // half a millimetre of overhang carries no load
			if kg := s.WeightKG * arm / reach; s.EdgeKG == 0 || kg < s.EdgeKG {
				s.EdgeKG = max(kg, 1e-9)
			}
		}
	}
	s.judge()
	return s
}

func (s *Stance) judge() {
	if !s.Stands {
		s.Findings = append(s.Findings, found(TipsBySlope, Stop, nil).number("degrees", 0))
		return
	}
	if s.PushHeight >= pushHeight && s.PushKG < pushLeastKG {
		s.Findings = append(s.Findings, found(TipsByPush, Warn, lengths{"height": s.PushHeight}).number("kg", s.PushKG))
	}
	if s.EdgeKG > 0 && s.EdgeKG < edgeLeastKG {
		s.Findings = append(s.Findings, found(TipsByLoad, Note, nil).number("kg", s.EdgeKG))
	}
	if s.SlopeDegrees < slopeLeast {
		s.Findings = append(s.Findings, found(TipsBySlope, Warn, nil).number("degrees", s.SlopeDegrees))
	}
}
