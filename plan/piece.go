package plan

import (
	"github.com/shopspring/decimal"

	"pilewright/plan/joinery"
	"pilewright/plan/measure"
)

// Piece is what is being built: its targets and the choices that hold for the
// whole of it. Its measures, parts and joints are nouns of their own.
type Piece struct {
	ID          ID              `json:"id"`
	Name        string          `json:"name"`
	Kind        string          `json:"kind"`                 // the starting point's id: table, bench, ...
	Price       decimal.Decimal `json:"price"`                // asked; zero = not set
	WishHourly  decimal.Decimal `json:"wish_hourly"`          // zero = the shop's
	TargetHours decimal.Decimal `json:"target_hours"`         // zero = none
	Finish      string          `json:"finish,omitempty"`     // id in trade.Finishes; empty = the shop's
	Coats       int             `json:"coats,omitempty"`      // zero = the finish's usual number
	Glue        string          `json:"glue,omitempty"`       // id in trade.Glues; empty = the shop's
	Start       string          `json:"start,omitempty"`      // first shop day, YYYY-MM-DD
	Due         string          `json:"due,omitempty"`        // wished day, YYYY-MM-DD
	LostDays    int             `json:"lost_days,omitempty"`  // sessions reckoned to be lost
	VariantOf   ID              `json:"variant_of,omitempty"` // copied from that piece
	Stagger     measure.Length  `json:"stagger,omitempty"`    // least offset of end joints in neighbouring rows
	StepLimit   measure.Length  `json:"step_limit,omitempty"` // most thickness difference of neighbouring rows
	LoadKG      float64         `json:"load_kg,omitempty"`    // load for the sag checks
	Hardware    []Hardware      `json:"hardware,omitempty"`   // bought fittings
	Done        bool            `json:"done,omitempty"`       // finished and out of the shop
	Sold        decimal.Decimal `json:"sold"`                 // what it really brought; zero = not sold
	Lessons     string          `json:"lessons,omitempty"`    // carried to the next piece
	Note        string          `json:"note,omitempty"`
	Order       int             `json:"order"`
}

// Hardware is a bought fitting of the piece.
type Hardware struct {
	Name  string          `json:"name"`
	Count int             `json:"count"`
	Each  decimal.Decimal `json:"each"`
}

// Measure is a named length or number that sizes and positions may refer to.
type Measure struct {
	ID    ID     `json:"id"`
	Piece ID     `json:"piece"`
	Name  string `json:"name"`
	Text  string `json:"text"` // shop arithmetic, see measure.Eval
	Note  string `json:"note,omitempty"`
	Order int    `json:"order"`
}

// Axis is a direction of the piece's space.
type Axis int

// X runs to the right, Y to the back, Z up.
const (
	X Axis = iota
	Y
	Z
)

// String gives the axis letter.
func (a Axis) String() string { return [...]string{"x", "y", "z"}[a%3] }

// Grade says what a part shows.
type Grade string

// Hidden parts may hold nail holes and stain.
const (
	Show   Grade = "show"
	Hidden Grade = "hidden"
)

// Way is how a part is made.
type Way string

// The ways a part can be made. AnyWay lets the plan choose.
const (
	AnyWay    Way = ""
	Solid     Way = "solid"     // from one board, ripped where it is narrower
	Laminated Way = "laminated" // layers glued face to face
	FlatPanel Way = "flat"      // rows glued edge to edge
	OnEdge    Way = "on-edge"   // strips stood on edge and glued face to face

	// MixedPanel asks for a flat panel of strips as wide as the pile gives them. No
	// option has this way: the one it asks for is a FlatPanel and Mixed.
	MixedPanel Way = "mixed"
)

// Ways lists the ways a maker may ask for, in the order shown.
var Ways = []Way{Solid, Laminated, FlatPanel, MixedPanel, OnEdge}

// Role says what a part does, which decides the checks that apply to it.
type Role string

// The roles of a part.
const (
	RolePart  Role = ""
	RoleTop   Role = "top"
	RoleShelf Role = "shelf"
	RoleSlat  Role = "slat"
	RoleLeg   Role = "leg"
	RoleRail  Role = "rail"
	RoleSide  Role = "side"
)

// Part is a finished member. Sizes are shop arithmetic on the piece's measures;
// Length runs along the grain and is measured between shoulders.
type Part struct {
	ID        ID     `json:"id"`
	Piece     ID     `json:"piece"`
	Name      string `json:"name"`
	Length    string `json:"length"`
	Width     string `json:"width"`
	Thickness string `json:"thickness"`
	Species   string `json:"species,omitempty"` // empty = any
	Grade     Grade  `json:"grade"`
	Role      Role   `json:"role,omitempty"`
	Way       Way    `json:"way,omitempty"` // locked way; empty = the plan chooses
	Copies    []Copy `json:"copies"`
	Note      string `json:"note,omitempty"`
	Order     int    `json:"order"`
}

// Copy places one or, with Repeat, several instances of a part: the corner with
// the least coordinates, and which axes its length and thickness run along.
type Copy struct {
	X      string `json:"x"`
	Y      string `json:"y"`
	Z      string `json:"z"`
	Along  Axis   `json:"along"`            // axis of the length
	Thick  Axis   `json:"thick"`            // axis of the thickness
	Repeat string `json:"repeat,omitempty"` // number of instances; empty = one
	StepX  string `json:"step_x,omitempty"` // offset from one instance to the next
	StepY  string `json:"step_y,omitempty"`
	StepZ  string `json:"step_z,omitempty"`
}

// CopyRef names instances of a part: Index counts a part's instances from 1 in
// the order of its copies and repeats; 0 means every instance.
type CopyRef struct {
	Part  ID  `json:"part"`
	Index int `json:"index,omitempty"`
}

// JointKind is the trade's name of a joint; joinery.Kinds lists them.
type JointKind = joinery.Kind

// Joint is made wherever an instance named by B meets one named by A. A receives
// (mortise, housing); B enters. Empty size texts take the trade's proportions.
type Joint struct {
	ID         ID        `json:"id"`
	Piece      ID        `json:"piece"`
	A          CopyRef   `json:"a"`
	B          CopyRef   `json:"b"`
	Kind       JointKind `json:"kind"`
	Thickness  string    `json:"thickness,omitempty"` // of the tenon, dowel or screw
	Width      string    `json:"width,omitempty"`     // of the tenon
	Depth      string    `json:"depth,omitempty"`     // of the mortise or housing
	Offset     string    `json:"offset,omitempty"`    // of the tenon from the middle of its stock
	Round      bool      `json:"round,omitempty"`     // the mortise's ends stay round
	RoundTenon bool      `json:"round_tenon,omitempty"`
	Count      int       `json:"count,omitempty"` // dowels or screws; zero = by proportion
	Dry        bool      `json:"dry,omitempty"`   // not glued: a top on buttons, a loose shelf
	Note       string    `json:"note,omitempty"`
	Order      int       `json:"order"`
}

// ChoiceKind says what a choice settles.
type ChoiceKind string

// The choices a maker can lock. What they mean is told at Choice.
const (
	BlankOnBoard ChoiceKind = "blank-on-board"
	NeverBoard   ChoiceKind = "never-board"
	RowPlace     ChoiceKind = "row-place"
	RingsMark    ChoiceKind = "rings"
)

// Choice is one lock of the maker's: this blank from that board, never this
// board, this strip in that row of a glue-up; or a mark: so lie the rings of this
// strip while it comes from that board. AnyFace leaves it to the plan which face
// of a strip is up.
type Choice struct {
	ID      ID         `json:"id"`
	Piece   ID         `json:"piece"`
	Kind    ChoiceKind `json:"kind"`
	Blank   string     `json:"blank,omitempty"` // Blank.Key, or of a strip its CutPiece.Ref
	Board   ID         `json:"board,omitempty"`
	Row     int        `json:"row,omitempty"` // from 1
	Place   int        `json:"place,omitempty"`
	Flip    bool       `json:"flip,omitempty"`
	AnyFace bool       `json:"any_face,omitempty"`
	Rings   Rings      `json:"rings,omitempty"` // while its face A is up
	Order   int        `json:"order"`
}

// StepEdit is what the maker changed about a derived step, or a step of the
// maker's own. Key names the derived step; an own step has a key of its own.
type StepEdit struct {
	ID      ID        `json:"id"`
	Piece   ID        `json:"piece"`
	Key     string    `json:"key"`
	Own     bool      `json:"own,omitempty"`
	Title   string    `json:"title,omitempty"`
	Phase   Phase     `json:"phase,omitempty"`
	Machine string    `json:"machine,omitempty"`
	Setup   string    `json:"setup,omitempty"`
	Minutes int       `json:"minutes,omitempty"` // zero = the plan's
	Wait    int       `json:"wait,omitempty"`    // minutes waited after it
	After   string    `json:"after,omitempty"`   // locked: directly after that step's key
	Needs   []string  `json:"needs,omitempty"`   // keys that must come before
	Done    bool      `json:"done,omitempty"`
	Split   []float64 `json:"split,omitempty"` // shares of the step's amount, see SplitStep
	Order   int       `json:"order"`
}

// ReadyBlank is a blank that was cut: the plan no longer asks for it.
type ReadyBlank struct {
	ID    ID       `json:"id"`
	Piece ID       `json:"piece"`
	Board ID       `json:"board"`
	Cut   CutPiece `json:"cut"`
}
