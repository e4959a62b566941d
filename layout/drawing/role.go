package drawing

// Role says what a mark means. A renderer turns it into a pen and a tone, so a
// builder never chooses a colour.
type Role uint8

// The roles of marks.
const (
	RoleOutline   Role = iota // visible edge
	RoleThin                  // visible detail, table and axis line
	RoleHidden                // edge behind something
	RoleCentre                // centre or symmetry line
	RoleCut                   // where the saw goes
	RoleKerf                  // wood the saw turns to dust
	RoleBoard                 // the board as it lies
	RoleWaste                 // wood nothing is made of
	RoleTrim                  // end cut away before measuring
	RoleDefect                // region no part may contain
	RoleBlemish               // region only hidden parts may contain
	RoleLeftover              // piece worth keeping
	RoleDimension             // dimension and extension lines and their figures
	RolePart                  // a part or blank
	RolePartAlt               // a part told from its neighbour
	RoleLabel                 // text
	RoleNote                  // lesser text
	RoleWarning               // what could hurt or spoil
	RoleSelected              // what the user picked
	RoleGhost                 // another possible place; exploded path
	RoleFaceLight             // face seen from above
	RoleFaceMid               // face seen from the front
	RoleFaceDark              // face seen from the side
	RolePaper                 // bare paper, to clear what lies below
	RoleTape                  // the tape line under a board
	RoleBarA                  // chart: work
	RoleBarB                  // chart: set-up
	RoleBarC                  // chart: waiting
	RoleBarD                  // chart: fourth kind
	RoleCurve                 // chart: the curve itself
	RoleGrid                  // chart: reading aid
	RoleRule                  // rule between the rows of a table
	Roles                     // how many there are
)

// Pen is how a line is drawn: its width and dashes in millimetres on paper and
// its darkness, 0 black to 255 white. An empty dash is a continuous line.
type Pen struct {
	Width float64
	Dash  []float64
	Gray  uint8
}

// Style is how a role looks in black and white: what its lines are drawn with,
// whether its areas are filled and how light (255 is white).
type Style struct {
	Pen  Pen
	Fill bool
	Tone uint8
	Ink  uint8 // text, 0 black
	Bold bool  // text always bold
}

// Line widths after ISO 128-2:2020, wide to narrow 2:1 (line group 0.35), and
// dashes after its basic types 02 (dashed), 08/10 (long dash dot) and 09/12
// (long dash double dot). The clause numbers are from memory.
const (
	wide   = 0.35
	medium = 0.25
	narrow = 0.18
	fine   = 0.13
)

var (
	dashed        = []float64{2.4, 0.8}
	dashDot       = []float64{6, 0.8, 0.25, 0.8}
	dashDoubleDot = []float64{6, 0.8, 0.25, 0.8, 0.25, 0.8}
	dotted        = []float64{0.25, 0.75}
	shortDash     = []float64{1.2, 0.6}
)

var styles = [Roles]Style{
	RoleOutline:   {Pen: Pen{Width: wide}},
	RoleThin:      {Pen: Pen{Width: narrow}},
	RoleHidden:    {Pen: Pen{Width: narrow, Dash: dashed, Gray: 60}},
	RoleCentre:    {Pen: Pen{Width: narrow, Dash: dashDot, Gray: 40}},
	RoleCut:       {Pen: Pen{Width: medium, Dash: dashDot}},
	RoleKerf:      {Pen: Pen{Width: fine}, Fill: true, Tone: 0},
	RoleBoard:     {Pen: Pen{Width: medium}, Fill: true, Tone: 255},
	RoleWaste:     {Pen: Pen{Width: fine, Gray: 150}},
	RoleTrim:      {Pen: Pen{Width: fine, Gray: 60}},
	RoleDefect:    {Pen: Pen{Width: narrow}},
	RoleBlemish:   {Pen: Pen{Width: fine, Dash: shortDash, Gray: 60}},
	RoleLeftover:  {Pen: Pen{Width: medium, Dash: dashed}, Fill: true, Tone: 255},
	RoleDimension: {Pen: Pen{Width: fine}},
	RolePart:      {Pen: Pen{Width: medium}, Fill: true, Tone: 236},
	RolePartAlt:   {Pen: Pen{Width: medium}, Fill: true, Tone: 214},
	RoleLabel:     {Pen: Pen{Width: narrow}},
	RoleNote:      {Pen: Pen{Width: fine}, Ink: 70},
	RoleWarning:   {Pen: Pen{Width: wide}, Bold: true},
	RoleSelected:  {Pen: Pen{Width: 2 * wide}},
	RoleGhost:     {Pen: Pen{Width: fine, Dash: dashDoubleDot, Gray: 60}, Ink: 90},
	RoleFaceLight: {Pen: Pen{Width: fine, Gray: 250}, Fill: true, Tone: 250},
	RoleFaceMid:   {Pen: Pen{Width: fine, Gray: 226}, Fill: true, Tone: 226},
	RoleFaceDark:  {Pen: Pen{Width: fine, Gray: 196}, Fill: true, Tone: 196},
	RolePaper:     {Pen: Pen{Width: fine, Gray: 255}, Fill: true, Tone: 255},
	RoleTape:      {Pen: Pen{Width: fine}},
	RoleBarA:      {Pen: Pen{Width: narrow}, Fill: true, Tone: 190},
	RoleBarB:      {Pen: Pen{Width: narrow}, Fill: true, Tone: 110},
	RoleBarC:      {Pen: Pen{Width: narrow, Dash: shortDash}, Fill: true, Tone: 255},
	RoleBarD:      {Pen: Pen{Width: narrow}, Fill: true, Tone: 232},
	RoleCurve:     {Pen: Pen{Width: wide}},
	RoleGrid:      {Pen: Pen{Width: fine, Dash: dotted, Gray: 120}},
	RoleRule:      {Pen: Pen{Width: fine, Gray: 160}},
}

// Style gives the black-and-white look of the role, which the PDF and SVG
// renderers follow; the screen keeps widths and dashes and takes its own colours.
func (r Role) Style() Style { return styles[r%Roles] }

var roleNames = [Roles]string{
	"outline", "thin", "hidden", "centre", "cut", "kerf", "board", "waste", "trim", "defect", "blemish",
	"leftover", "dimension", "part", "part-alt", "label", "note", "warning", "selected", "ghost",
	"face-light", "face-mid", "face-dark", "paper", "tape", "bar-a", "bar-b", "bar-c", "bar-d", "curve", "grid", "rule",
}

// String names the role; the SVG renderer uses it as the class.
func (r Role) String() string { return roleNames[r%Roles] }
