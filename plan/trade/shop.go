package trade

import "pilewright/plan/measure"

// The tables below are a starting guess of a home shop, to be replaced by what the
// maker owns and by the machines' manuals: common practice, no source, except where
// a row says otherwise. Kinds and uses are the words of the shop's own records.

// Machine is a machine of the guessed shop.
type Machine struct {
	Kind         string
	Name         string
	MaxWidth     measure.Length // planer bed, rip capacity, crosscut reach
	MaxHeight    measure.Length // depth of cut, planer opening
	MinLength    measure.Length
	MinThickness measure.Length
	ChangeTool   float64 // minutes
	ChangeFence  float64 // minutes
	Cautions     []string
	Source       string
}

const guess = "starting guess, replace by your own machine and its manual"

// Machines is the guessed set of machines.
var Machines = []Machine{
	{"table-saw", "Table saw", 24 * inch, 3 * inch, 12 * inch, 0, 5, 2, []string{"eyes-ears", "kickback", "push-stick", "crosscut-support", "support-long", "rocking"}, guess},
	{"mitre-saw", "Sliding mitre saw", 12 * inch, 14 * q, 8 * inch, 0, 5, 1, []string{"eyes-ears", "mitre-short", "support-long", "rocking"}, guess},
	{"planer", "Thickness planer", 25 * inch / 2, 6 * inch, 14 * inch, inch / 4, 20, 1, []string{"eyes-ears", "planer-short", "planer-thin", "planer-snipe", "metal"}, guess + "; two manuals: nothing under 14 in × 1/2 in, nothing under 7 in × 3/16 in"},
	{"router", "Router", 0, 2 * inch, 0, 0, 3, 5, []string{"eyes-ears", "router-direction", "router-breakout"}, guess},
	{"drill", "Drill", 0, 0, 0, 0, 1, 2, []string{"eyes-ears"}, guess},
	{"sander", "Random-orbit sander", 0, 0, 0, 0, 1, 0, []string{"dust"}, guess},
	{"bench", "Bench and hand tools", 0, 0, 0, 0, 0, 1, nil, guess},
}

// Blade is a saw blade or dado stack of the guessed shop.
type Blade struct {
	Name    string
	Machine string
	Kerf    measure.Length
	Widest  measure.Length // of a dado stack; 0 for a blade
	Use     string         // crosscut, rip, both or dado
	Source  string
}

// Blades is the guessed set: full kerf 1/8 in, thin kerf 3/32 in.
var Blades = []Blade{
	{"General-purpose blade", "table-saw", inch / 8, 0, "both", common},
	{"Mitre-saw blade", "mitre-saw", 3 * g, 0, "crosscut", common},
	{"Dado stack", "table-saw", inch / 4, 26 * g, "dado", common},
}

// Bit is a router bit, drill or chisel of the guessed shop.
type Bit struct {
	Name     string
	Use      string // router, drill or chisel
	Diameter measure.Length
	Cut      measure.Length // cutting length of a router bit
}

// Bits is the guessed set of bits, drills and chisels.
var Bits = []Bit{
	{"Straight bit 1/4 in", "router", inch / 4, inch},
	{"Straight bit 3/8 in", "router", inch * 3 / 8, inch * 5 / 4},
	{"Straight bit 1/2 in", "router", inch / 2, inch * 2},
	{"Straight bit 3/4 in", "router", inch * 3 / 4, inch * 5 / 4},
	{"Drill 5/64 in", "drill", inch * 5 / 64, 0},
	{"Drill 3/32 in", "drill", inch * 3 / 32, 0},
	{"Drill 7/64 in", "drill", inch * 7 / 64, 0},
	{"Drill 1/8 in", "drill", inch / 8, 0},
	{"Drill 9/64 in", "drill", inch * 9 / 64, 0},
	{"Drill 11/64 in", "drill", inch * 11 / 64, 0},
	{"Drill 3/16 in", "drill", inch * 3 / 16, 0},
	{"Drill 1/4 in", "drill", inch / 4, 0},
	{"Drill 3/8 in", "drill", inch * 3 / 8, 0},
	{"Chisel 1/4 in", "chisel", inch / 4, 0},
	{"Chisel 1/2 in", "chisel", inch / 2, 0},
	{"Chisel 3/4 in", "chisel", inch * 3 / 4, 0},
	{"Chisel 1 in", "chisel", inch, 0},
}

// Clamp is a set of equal clamps of the guessed shop.
type Clamp struct {
	Kind     string
	Opening  measure.Length
	Count    int
	ForceLbf float64 // a firm hand; from memory
}

// Clamps is the guessed set.
var Clamps = []Clamp{
	{"bar", 36 * inch, 4, 600},
	{"pipe", 48 * inch, 4, 1000},
	{"F", 12 * inch, 6, 400},
	{"spring", 2 * inch, 6, 30},
}
