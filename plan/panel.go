package plan

import (
	"context"

	"github.com/shopspring/decimal"

	"pilewright/plan/measure"
)

// Strip is a blank for a panel's row, as it came from its board.
type Strip struct {
	ID        string // CutPiece.Ref
	Length    measure.Length
	Width     measure.Length
	Thickness measure.Length // of its board
	Mark      string         // chalked on it
	Defects   []Defect       // of its board, those that touch it
	Faces     GoodFaces      // as the maker says of its board
	Rings     Rings          // while its face A is up
}

// PanelJob asks for the rows of one panel. Sizes are rough; see layout/rows.
type PanelJob struct {
	Strips         []Strip
	OnEdge         bool
	Length         measure.Length
	Rows           int
	LeastThickness measure.Length
	Joining        measure.Length // off each long edge of a row
	EndCut         measure.Length
	MinPiece       measure.Length
	Stagger        measure.Length
	Step           measure.Length // most thickness difference of pieces that touch
	CleanUp        measure.Length // planed off each face after gluing
	Locks          []RowLock
	Work           int // search effort; zero = the solver's own
	Say            func(measure.Length) string
}

// RowLock keeps a strip in a row of the maker's choice; Place 0 = anywhere in it.
// With AnyFace the plan chooses which face is up.
type RowLock struct {
	Strip   string
	Row     int
	Place   int
	Flip    bool
	AnyFace bool
}

// PanelPiece is one piece of a row.
type PanelPiece struct {
	Mark      string // row and letter: 3b
	Chalk     string // mark of the cut piece
	Strip     string
	At        measure.Length // along the row
	Length    measure.Length
	Thickness measure.Length // through the panel, before planing
	Flip      bool           // turned over: face B up
	Face      Face           // the one seen; none where either will do or it is glued over
	Rings     Rings          // as it lies
	Poor      bool           // the face seen is not a good one
	Against   bool           // its rings lie against the shop's habit
}

// PanelRow is one row, from the near edge on.
type PanelRow struct {
	Pieces    []PanelPiece
	Width     measure.Length // after jointing
	Thickness measure.Length // of its thinnest piece, before planing
	Rings     Rings          // how the shop's habit wants them; none where no piece of the panel is marked
}

// PanelStep is a difference in height where two pieces touch, before planing.
type PanelStep struct {
	Mark, Other string
	Height      measure.Length
}

// Panel is a composition of rows.
type Panel struct {
	Rows      []PanelRow
	Length    measure.Length
	Width     measure.Length
	Thickness measure.Length  // what planing leaves
	Planed    decimal.Decimal // mm³ of wood that ends as shavings
	Bound     decimal.Decimal // mm³; no composition of these strips planes away less
	EndJoints int
	Steps     []PanelStep
	Proved    bool
	Faults    []string // rules that the composition breaks, in the maker's words
}

// Composer finds the rows of a panel. Where none keeps every rule it gives the
// best it can with Faults saying what is broken and what would help.
type Composer func(ctx context.Context, job PanelJob) (Panel, error)
