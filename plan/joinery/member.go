package joinery

import (
	"strconv"

	"pilewright/plan/measure"
	"pilewright/plan/solid"
)

// Kind is the trade's name of a joint.
type Kind string

// The joints this package makes.
const (
	ThroughTenon Kind = "through-tenon"
	StoppedTenon Kind = "stopped-tenon"
	Housing      Kind = "housing" // a dado, or a groove when it runs with the grain
	Rebate       Kind = "rebate"
	EdgeGlue     Kind = "edge-glue"
	FaceGlue     Kind = "face-glue"
	HalfLap      Kind = "half-lap"
	Bridle       Kind = "bridle"
	Dowels       Kind = "dowels"
	Screws       Kind = "screws"
	Buttons      Kind = "buttons" // turn buttons or slotted brackets that let a top move
)

// Kinds lists the joints in the order shown.
var Kinds = []Kind{ThroughTenon, StoppedTenon, Housing, Rebate, EdgeGlue, FaceGlue, HalfLap, Bridle, Dowels, Screws, Buttons}

// Member is one placed member. Along is the axis of its grain and Thick that of
// its thickness, 0 to 2 for X to Z; they must differ.
type Member struct {
	Name    string
	Box     solid.Box
	Along   int
	Thick   int
	Species string // any name wood.Reckon knows; empty is an unknown species
}

// Wide is the axis of the member's width.
func (m Member) Wide() int { return 3 - m.Along - m.Thick }

func (m Member) extent(axis int) measure.Length { return m.Box.Max[axis] - m.Box.Min[axis] }

func (m Member) sound() bool {
	return m.Box.Valid() && m.Along >= 0 && m.Along <= 2 && m.Thick >= 0 && m.Thick <= 2 && m.Along != m.Thick
}

// Spec is what the maker asks of a joint. A zero size is found by proportion.
type Spec struct {
	Kind       Kind
	Thickness  measure.Length // of the tenon, the bridle's tongue, the dowel or the screw
	Width      measure.Length // of the tenon, all of a divided one together
	Depth      measure.Length // of the mortise, housing, lap in A, or the dowel's or thread's hold in A
	Offset     measure.Length // of the tenon across its thickness, or of a row of dowels or screws along itself, towards greater coordinates
	OffsetWide measure.Length // of the tenon across its width, zero keeping it clear of A's end; or of a row across itself
	Clearance  measure.Length // mortise less tenon across the thickness, or groove less board; zero = none
	EndGap     measure.Length // air before the end of a stopped tenon; zero = by proportion
	Tenons     int            // side by side in the width; zero = as many as the width asks for
	Proud      measure.Length // how far a through tenon stands out beyond A
	Haunch     bool           // fill the shoulder at A's end with a stub
	Round      bool           // the mortise's ends stay as the router left them
	RoundTenon bool           // the tenon's edges are rounded to fit them
	Count      int            // dowels or screws; zero = by proportion
	Dry        bool           // not glued
}

// Bit is a router bit.
type Bit struct {
	Diameter measure.Length
	Cut      measure.Length // cutting length; zero = not known
}

// Tools is what the shop cuts joints with. A zero or empty field means that the
// shop has none, or that it is not known.
type Tools struct {
	Bits       []Bit
	Drills     []measure.Length
	Chisels    []measure.Length
	RouterBase measure.Length // across the router's round base
	GuideBush  measure.Length // outside diameter
	DadoMin    measure.Length // narrowest and widest the dado stack cuts at once
	DadoMax    measure.Length
	MitreKerf  measure.Length // of a mitre saw with a depth stop
	MitreReach measure.Length // widest board it crosses
	Step       measure.Length // of sizes by proportion; zero = 1/16 in
	DryPct     float64        // the wood's moisture in the dry season; zero with DampPct = 7 and 11
	DampPct    float64
}

func (t Tools) step() measure.Length {
	if t.Step > 0 {
		return t.Step
	}
	return measure.Inch / 16
}

// season gives the moisture range used where none is set: 7 and 11 %, a heated
// room in winter and summer. Common practice, no source.
func (t Tools) season() (dry, damp float64) {
	if t.DampPct > t.DryPct && t.DryPct > 0 {
		return t.DryPct, t.DampPct
	}
	return 7, 11
}

// Added is wood the blank of B needs beyond its modelled body.
type Added struct {
	Axis int            // of B the wood is added along
	Min  measure.Length // at the end of the least coordinate
	Max  measure.Length
}

// Hole is a bored hole through the face where the members meet.
type Hole struct {
	Centre    solid.Point     // in the plane of that face
	IntoA     solid.Direction // from B into A
	DiameterA measure.Length
	DiameterB measure.Length
	DepthA    measure.Length
	DepthB    measure.Length
}

// Result is a made joint. Boxes are in the piece's space. The finished bodies are
// A's box less CutA, and B's box with AddB added, less CutB.
type Result struct {
	Made      bool // false: the members cannot be joined so; the findings say why
	Spec      Spec // with every size filled in
	CutA      []solid.Box
	CutB      []solid.Box
	AddB      []solid.Box
	Added     Added
	Into      solid.Direction // the way B goes home
	Mortises  []solid.Rounded
	Tenons    []solid.Rounded // one for each mortise
	EndRadius measure.Length  // of a mortise whose ends stay round
	Holes     []Hole
	Shoulder  measure.Length // coordinate of the shoulder on Into's axis
	Screw     Screw          // for screws
	LongGrain solid.Area     // glued, long grain on long grain
	EndGrain  solid.Area     // glued, end grain on one side or both
	Marks     []Mark
	Methods   []Method
	Findings  []Finding
}

// BodyA gives A's body with the joint cut.
func (r Result) BodyA(a Member) solid.Solid { return solid.New(a.Box).Cut(r.CutA...) }

// BodyB gives B's body with the joint cut.
func (r Result) BodyB(b Member) solid.Solid { return solid.New(b.Box).Add(r.AddB...).Cut(r.CutB...) }

// Mates gives the tenons in their mortises for solid.Fit, named id.1, id.2, ...
func (r Result) Mates(id, a, b string) []solid.Mate {
	var out []solid.Mate
	for i, m := range r.Mortises {
		t := r.Tenons[i]
		mate := solid.Mate{ID: id + "." + strconv.Itoa(i+1), A: a, B: b, Mortise: m, Tenon: t, Dir: r.Into}
		for k := range 3 {
			if k == r.Into.Axis() {
				continue
			}
			mate.Side = max(mate.Side, t.Min[k]-m.Min[k], m.Max[k]-t.Max[k])
		}
		mate.End = max(0, room(m.Box, t.Box, r.Into))
		out = append(out, mate)
	}
	return out
}

// room is the gap between an inner box and the outer one on one side.
func room(outer, inner solid.Box, side solid.Direction) measure.Length {
	k := side.Axis()
	if side.Positive() {
		return outer.Max[k] - inner.Max[k]
	}
	return inner.Min[k] - outer.Min[k]
}
