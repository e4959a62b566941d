package joinery

// Code names what a finding is about.
type Code string

// The findings of this package.
const (
	BadMember      Code = "bad-member"
	NegativeSize   Code = "negative-size"
	UnknownKind    Code = "unknown-kind"
	MembersApart   Code = "members-apart"
	EdgeContact    Code = "edge-contact"
	MembersOverlap Code = "members-overlap"
	NeedsOverlap   Code = "needs-overlap"
	NoWayIn        Code = "no-way-in"

	TenonThick          Code = "tenon-thick"
	TenonWide           Code = "tenon-wide"
	TenonFlat           Code = "tenon-flat"
	TenonAcrossGrain    Code = "tenon-across-grain"
	TenonOutside        Code = "tenon-outside"
	NoShoulder          Code = "no-shoulder"
	NoHaunch            Code = "no-haunch"
	MortiseInEnd        Code = "mortise-in-end"
	MortiseNearEnd      Code = "mortise-near-end"
	MortiseComesThrough Code = "mortise-comes-through"
	MortiseShallow      Code = "mortise-shallow"
	MortiseDeep         Code = "mortise-deep"
	WallThin            Code = "wall-thin"
	BottomThin          Code = "bottom-thin"
	RoundMortise        Code = "round-mortise"
	LooseFit            Code = "loose-fit"

	HousingDeep    Code = "housing-deep"
	DepthDisagrees Code = "depth-disagrees"
	RebateClosed   Code = "rebate-closed"
	LapDeep        Code = "lap-deep"
	LapTooDeep     Code = "lap-too-deep"
	LapBuried      Code = "lap-buried"
	BridleClosed   Code = "bridle-closed"

	EndGrainOnly Code = "end-grain-only"
	CrossGrain   Code = "cross-grain"
	GlueJointDry Code = "glue-joint-dry"

	DowelThick       Code = "dowel-thick"
	DowelThin        Code = "dowel-thin"
	DowelShort       Code = "dowel-short"
	HoleComesThrough Code = "hole-comes-through"
	OneHole          Code = "one-hole"
	HolesOutside     Code = "holes-outside"
	HolesClose       Code = "holes-close"
	ScrewInEnd       Code = "screw-in-end"
	ScrewThick       Code = "screw-thick"
	ScrewShort       Code = "screw-short"
	ScrewTooLong     Code = "screw-too-long"
	ScrewHoles       Code = "screw-holes"

	CutterMissing Code = "cutter-missing"
	CutterPasses  Code = "cutter-passes"
	CutterShort   Code = "cutter-short"

	TenonsMeet    Code = "tenons-meet"
	HolesMeet     Code = "holes-meet"
	MortisesMeet  Code = "mortises-meet"
	MortisesClose Code = "mortises-close"

	SagOver        Code = "sag-over"
	StressHigh     Code = "stress-high"
	PanelHeld      Code = "panel-held"
	PanelMoves     Code = "panel-moves"
	TipsByPush     Code = "tips-by-push"
	TipsByLoad     Code = "tips-by-load"
	TipsBySlope    Code = "tips-by-slope"
	NoFooting      Code = "no-footing"
	KneeRoomSmall  Code = "knee-room-small"
	HeightUnusual  Code = "height-unusual"
	SpeciesAssumed Code = "species-assumed"
)

// Rule is what a code checks and where the rule comes from.
type Rule struct {
	Meaning string // what is wrong
	Rule    string // the rule it goes against
	Source  string
}

// common marks a rule of thumb.
const common = "common practice, no source"

const geometry = "geometry"

// Codes holds the rule behind every finding.
var Codes = map[Code]Rule{
	BadMember:      {"a member has no size or its grain and thickness run the same way", "a member is a box with grain and thickness on different axes", geometry},
	NegativeSize:   {"a size or count is below zero", "sizes and counts are zero or more", geometry},
	UnknownKind:    {"the kind of joint is not known", "the kind is one of Kinds", geometry},
	MembersApart:   {"the members do not meet", "joined members touch or overlap", geometry},
	EdgeContact:    {"the members touch in an edge or a corner only", "joined members share a face", geometry},
	MembersOverlap: {"the members overlap where they should only touch", "the body of B ends at its shoulder, on A's face", geometry},
	NeedsOverlap:   {"the members only touch where they should lie through each other", "a lap or bridle needs both members in the same place", geometry},
	NoWayIn:        {"B sticks out of A on no single side", "B goes in along an axis on which it sticks out on one side", geometry},

	TenonThick:          {"the tenon is thick for its stock", "a third of the stock, then the nearest chisel or bit; thicker only into legs", "three trade pages"},
	TenonWide:           {"the tenon is wide for its thickness", "at most six times its thickness (another page: five), else divided", "two trade pages"},
	TenonFlat:           {"the tenon's broad sides lie across A's grain", "cheeks glue long grain to long grain", common},
	TenonAcrossGrain:    {"the tenon is cut on B's side, across its grain", "a tenon stands on the end of its member, so that its grain runs in", common},
	TenonOutside:        {"the tenon does not lie within its stock", "a tenon fits inside B's section and A's face", geometry},
	NoShoulder:          {"the tenon is as large as its stock", "a shoulder hides the mortise and sets the length", common},
	NoHaunch:            {"there is no shoulder for a haunch to fill", "a haunch fills the shoulder at a frame's end", "Noyes, Handwork in Wood, 1910"},
	MortiseInEnd:        {"the mortise is in A's end grain", "a mortise is cut in side grain; end grain splits and glues badly", common},
	MortiseNearEnd:      {"little wood is left between the mortise and A's end", "leave a horn of 25 to 35 mm while cutting, or a haunch", "trade page"},
	MortiseComesThrough: {"the stopped mortise is as deep as its stock", "a stopped mortise ends inside", geometry},
	MortiseShallow:      {"the mortise is shallow for its width", "three to five times its width", "school handout after Moxon"},
	MortiseDeep:         {"the mortise is deep for its width", "three to five times its width", "school handout after Moxon"},
	WallThin:            {"the wood beside the cut is thin", "at least 6 mm beside a mortise, 3 mm beside a hole", common},
	BottomThin:          {"the wood behind the cut is thin", "at least 4.5 mm behind a stopped mortise", "trade page"},
	RoundMortise:        {"a square tenon goes into a mortise with round ends", "the slot is one bit diameter longer than the tenon is wide, or the tenon is rounded, or the ends are chopped square", geometry},
	LooseFit:            {"the joint is loose for its glue", "PVA holds in a gap of 0.002 to 0.006 in and is weak over 0.010 in", common},

	HousingDeep:    {"the housing is deep", "a quarter of the thickness, at most a third", "school handout"},
	DepthDisagrees: {"the depth asked for is not the depth the members overlap by", "where the members overlap, the overlap is the depth", geometry},
	RebateClosed:   {"the rebate has wood on both sides, so it is a housing", "a rebate is open at an edge or an end", geometry},
	LapDeep:        {"the lap takes more than half of a member", "half and half", common},
	LapTooDeep:     {"the lap takes all of the shared thickness", "some of it must be left to the other member", geometry},
	LapBuried:      {"a lap is closed towards the other member, which cannot come in", "each lap is open on the side the other comes from", geometry},
	BridleClosed:   {"no end of a member lies in the joint, so that nothing can be forked", "a bridle's fork is cut in an end, and the members cross", geometry},

	EndGrainOnly: {"the joint has no long grain to glue", "end grain soaks up glue and holds little", common},
	CrossGrain:   {"a wide glued face has the grains crossing", "cross-grain glue up to about 4 in; wider parts must be free to move", common + "; movement: Wood Handbook FPL-GTR-190 Eq 13-2"},
	GlueJointDry: {"a glued joint is marked as not glued", "edge and face joints hold by glue alone", common},

	DowelThick:       {"the dowel is thick for the stock", "a third to a half of the thickness", common},
	DowelThin:        {"the dowel is thin for the stock", "a third to a half of the thickness", common},
	DowelShort:       {"the dowel holds over a short length", "at least one and a half diameters in each member", common},
	HoleComesThrough: {"the hole comes out on the far side", "holes end inside", geometry},
	OneHole:          {"a single fastening lets the joint turn", "two or more", common},
	HolesOutside:     {"the row of holes leaves the face where the members meet", "holes lie inside the common face", geometry},
	HolesClose:       {"the holes lie close together or to the edge", "three diameters apart, one and a half from the edge", common},
	ScrewInEnd:       {"the screw's thread is in end grain", "end grain holds about 75 % of side grain and loosens", "Wood Handbook FPL-GTR-282 ch. 8"},
	ScrewThick:       {"the screw is thick for the stock", "at most half the stock, or it splits", common},
	ScrewShort:       {"the thread holds over a short length", "six diameters or more", common},
	ScrewTooLong:     {"the screw would pass through too much wood", "screws go through up to 3 in from the face", common},
	ScrewHoles:       {"the holes to drill", "pilot about 70 % of the root in softwood, 90 % in hardwood", "Wood Handbook FPL-GTR-282 ch. 8; screw sizes: a fastener supplier's table"},

	CutterMissing: {"the shop has no cutter of this size", "a size is made with a cutter of the shop", geometry},
	CutterPasses:  {"no cutter of the shop cuts this width at once", "a narrower cutter clears it in passes", geometry},
	CutterShort:   {"the bit cuts less deep than the joint", "the cutting length reaches the depth", geometry},

	TenonsMeet:    {"two tenons would stand in the same place", "mitre the ends or shorten one of them", common},
	HolesMeet:     {"fastenings from two sides meet", "rows are staggered so that screws and dowels pass each other", geometry},
	MortisesMeet:  {"two cuts break into each other", "cuts of one member stay apart, or meet on purpose", geometry},
	MortisesClose: {"the wall between two cuts is thin", "at least 3 mm", common},

	SagOver:        {"it sags more than a shelf should", "first sag up to 0.02 in per foot, which a lasting load about doubles; under a load that comes and goes up to a 120th of the span (" + common + ")", "woodworking magazine; Wood Handbook FPL-GTR-282 Eq 9-2 and ch. 5"},
	StressHigh:     {"the bending stress is high for the timber", "well under a quarter of the clear-wood strength", common},
	PanelHeld:      {"the panel cannot move across its width", "over 4 in of width a panel is fastened so that it can move", "Wood Handbook FPL-GTR-190 ch. 13; fastening: " + common},
	PanelMoves:     {"the panel's width changes with the seasons", "leave this much play", "Wood Handbook FPL-GTR-190 ch. 13"},
	TipsByPush:     {"a light push at the top tips a tall piece", "statics; from 27 in of height, as the US law on dressers counts (16 CFR 1261), and a push of 5 kg, " + common, geometry},
	TipsByLoad:     {"a load on its edge tips it", "statics; set against 27 kg (60 lb), the child of dresser tests", "statics; 60 lb: trade news on the US tests of dressers"},
	TipsBySlope:    {"it tips on a small slope", "statics; set against ten degrees, the slope of a test of furniture for televisions", "statics; 10°: home inspectors' page on tip-over tests"},
	NoFooting:      {"it stands on a point or a line", "the feet enclose an area", geometry},
	KneeRoomSmall:  {"there is little room for knees", "24 in or more from the floor to the rail, 12 in of depth", "trade pages on furniture sizes"},
	HeightUnusual:  {"the height is outside what is usual", "usual heights of furniture", "trade pages on furniture sizes"},
	SpeciesAssumed: {"the species was assumed", "figures rest on a stand-in", common},
}
