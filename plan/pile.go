package plan

import (
	"github.com/shopspring/decimal"

	"pilewright/plan/measure"
)

// ID names one noun within a shop file. Zero means "none".
type ID int64

// Lot is boards that came together, with the hours and the money spent to get
// them. A lot not yet taken apart says how many units (pallets, crates) wait.
type Lot struct {
	ID      ID              `json:"id"`
	Name    string          `json:"name"`
	Source  string          `json:"source"` // pallet, crate, framing, bought, leftover or other
	Date    string          `json:"date"`   // YYYY-MM-DD
	Minutes int             `json:"minutes"`
	Spent   decimal.Decimal `json:"spent"`
	// Units waiting to be taken apart, and what one of them holds when nothing breaks.
	Waiting   int            `json:"waiting,omitempty"`
	PerUnit   int            `json:"per_unit,omitempty"`
	UnitBoard measure.Length `json:"unit_length,omitempty"`
	UnitWidth measure.Length `json:"unit_width,omitempty"`
	UnitThick measure.Length `json:"unit_thickness,omitempty"`
	// Boards the lot held when it was taken apart, and how many of them broke.
	Held   int    `json:"held,omitempty"`
	Broken int    `json:"broken,omitempty"`
	Note   string `json:"note,omitempty"`
	Order  int    `json:"order"`
}

// BoardState says what has become of a board.
type BoardState string

// The states of a board. Only a board in the pile, not kept, is offered to the cuts.
const (
	InPile BoardState = ""     // free to be cut
	Kept   BoardState = "kept" // kept whole for something else
	Cut    BoardState = "cut"  // cut up; what was left is a board of its own
	Gone   BoardState = "gone" // burnt, sold or broken
)

// Board is one physical board as measured. Thickness is the least of several
// readings; trims are the end lengths that no part may use.
type Board struct {
	ID        ID               `json:"id"`
	Lot       ID               `json:"lot,omitempty"`
	Mark      string           `json:"mark"`
	Length    measure.Length   `json:"length"`
	Width     measure.Length   `json:"width"`
	Thickness measure.Length   `json:"thickness"`
	Readings  []measure.Length `json:"readings,omitempty"`
	Species   string           `json:"species,omitempty"`
	TrimLeft  measure.Length   `json:"trim_left,omitempty"`
	TrimRight measure.Length   `json:"trim_right,omitempty"`
	Defects   []Defect         `json:"defects,omitempty"`
	Price     decimal.Decimal  `json:"price"`
	Place     string           `json:"place,omitempty"` // where to find it
	State     BoardState       `json:"state,omitempty"`
	Parent    ID               `json:"parent,omitempty"` // the board this leftover came from
	Note      string           `json:"note,omitempty"`
	Order     int              `json:"order"`
	// Sheet goods (plywood, hardboard): parts are cut from them with edge-to-edge
	// cuts in up to three stages; NoGrain says that parts may be turned on it.
	Sheet   bool `json:"sheet,omitempty"`
	NoGrain bool `json:"no_grain,omitempty"`
	// Which faces are fit to be seen, and how the growth rings lie at its ends.
	Faces GoodFaces `json:"good_faces,omitempty"`
	Rings Rings     `json:"rings,omitempty"`
}

// Defect is a rectangle of a board no part may contain, measured from the
// board's left end and lower edge. AcrossTo zero means the whole width, no Side
// that it goes through the board.
type Defect struct {
	Kind       DefectKind     `json:"kind"`
	From       measure.Length `json:"from"`
	To         measure.Length `json:"to"`
	AcrossFrom measure.Length `json:"across_from,omitempty"`
	AcrossTo   measure.Length `json:"across_to,omitempty"`
	Side       Face           `json:"side,omitempty"`
}

// DefectKind is the trade's word for a defect.
type DefectKind string

// The kinds of defect a board may have.
const (
	Split    DefectKind = "split"
	Crack    DefectKind = "crack"
	Knot     DefectKind = "knot"
	NailHole DefectKind = "nail"
	Wane     DefectKind = "wane"
	Stain    DefectKind = "stain"
)

// DefectKinds lists every kind in the order shown.
var DefectKinds = []DefectKind{Split, Crack, Knot, NailHole, Wane, Stain}

// HiddenMayHold reports whether a hidden part may contain the defect.
func (k DefectKind) HiddenMayHold() bool { return k == NailHole || k == Stain }
