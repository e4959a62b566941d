package plan

import (
	"context"
	"fmt"
	"strings"

	"github.com/shopspring/decimal"

	"pilewright/plan/measure"
)

// Blank is a kind of rough piece to cut: for a whole part, for a row of a glued
// panel or for a layer of a lamination. Sizes are before planing and squaring.
type Blank struct {
	Key       string // names it from plan to plan: part ID and what it is for
	Part      ID
	Name      string // "leg", "top row"
	Mark      string // the letters chalked on it
	For       Way    // Solid, or the way whose rows or layers it makes
	Length    measure.Length
	Width     measure.Length
	Thickness measure.Length // least thickness the board must have
	Species   string         // empty = any
	Grade     Grade
	Count     int
	PerCopy   int   // how many of them one copy of the part, or one glue-up of several, takes
	Up        int   // number of the one glue-up that takes them, from 1; zero = every one
	Done      []int // numbers that are cut already; Count is without them
	Sheet     bool  // from sheet goods, of their thickness: never jointed or planed
	// Strips, when not nil, asks for strips of any of several widths in place of
	// Count blanks of one Width, which are then zero.
	Strips *Strips
}

// Strips is a demand that strips of any of the widths meet together: by a total
// width, less Joint for every strip, or by a number of rows. Which are cut, and how
// many of each, is part of the plan.
type Strips struct {
	Total  measure.Length // zero when Rows are asked for
	Joint  measure.Length // what a strip loses where it is joined
	Rows   int
	Widths []measure.Length
}

// JobFault is what a cutting job can't be worked with for: a field of a board, of a
// blank, or of neither (the saws, the pile as a whole).
type JobFault struct {
	Board      ID     // zero = of no board
	Blank      string // Blank.Key; empty = of no blank
	Name       string // the board's mark, the blank's name, "saw"
	Field, Say string
}

// JobFaults is everything a cutting job can't be worked with for.
type JobFaults []JobFault

func (f JobFaults) Error() string {
	var out []string
	for i, x := range f {
		if i == mostFaults {
			out = append(out, fmt.Sprintf("and %d more", len(f)-i))
			break
		}
		out = append(out, fmt.Sprintf("%s, %s: %s", x.Name, x.Field, x.Say))
	}
	return strings.Join(out, "; ")
}

// mostFaults is how many faults of a job are told at once.
const mostFaults = 5

// CutJob is the cutting problem: these blanks from these boards.
type CutJob struct {
	Boards       []Board
	Blanks       []Blank
	CrosscutKerf measure.Length
	RipKerf      measure.Length
	PlaneLimit   measure.Length // most a thicker board may be planed down; zero = no limit
	MinLength    measure.Length // shortest blank that is safe to plane; zero = none
	LeftoverMin  measure.Length
	Choices      []Choice
	Effort       int                         // work allowed, in the solver's own units; zero = its default
	Further      int                         // times the default effort was doubled
	First        bool                        // the first good plan is enough
	WoodOnly     bool                        // neither leftovers nor set-ups count
	Say          func(measure.Length) string // writes a length; nil = exactly
}

// CutPiece is one blank placed on a board. X runs along the board from its left
// end as measured, Y across from its lower edge.
type CutPiece struct {
	Blank  string // Blank.Key
	N      int    // which of the blank's count, from 1
	Mark   string // what is chalked on it: blank mark and number
	X, Y   measure.Length
	Length measure.Length
	Width  measure.Length
}

// Rect is a rectangle on a board.
type Rect struct{ X, Y, Length, Width measure.Length }

// Saw is one cut of a board: across (Rip false) at X between Y and Y+Width, or
// along (Rip true) at Y between X and X+Length. The blade takes At to At+kerf.
type Saw struct {
	Rip   bool
	At    measure.Length // of the kerf's left or lower side
	From  measure.Length // where the cut begins on the other axis
	To    measure.Length
	Stop  measure.Length // stop or fence setting: the size kept
	Mark  string         // what falls off
	Group int            // cuts with the same setting across boards share a group
	// Parting is a cut within a Divide, made when it has been planed.
	Parting bool
}

// CutBoard is a board that is cut, in cutting order.
type CutBoard struct {
	Board     ID
	Pieces    []CutPiece
	Leftovers []Rect
	Saws      []Saw
	Divide    []Divide
}

// Divide is a longer blank that leaves the planer whole and is cut apart later.
type Divide struct {
	X, Length measure.Length // Length is no less than the planer takes
	Marks     []string
}

// Short is what the pile can't give.
type Short struct {
	Blank string
	Count int            // blanks, or rows of strips
	Width measure.Length // of strips that are to make a total width: what lacks of it
	Say   string         // in the maker's words, with the cheapest cure
	Proof bool           // proved impossible, not just not found
}

// LevelKind says what a level counts.
type LevelKind string

// The levels, in the order of their weight. None is ever traded against another.
const (
	LevelMade   LevelKind = "made"   // blanks missing
	LevelMoney  LevelKind = "money"  // prices of the boards opened
	LevelWood   LevelKind = "wood"   // mm² of the boards opened
	LevelBoards LevelKind = "boards" // boards opened
	// LevelLeftovers is the use that the cuts take from the pile, in mm³: clear wood
	// long enough to keep counts its width times its length squared. The least makes
	// the most useful leftovers.
	LevelLeftovers LevelKind = "leftovers"
	LevelSetups    LevelKind = "set-ups" // of the saws
	LevelCuts      LevelKind = "cuts"
)

// Level is one aim of the cuts with what was reached and what is proved.
type Level struct {
	Kind   LevelKind
	Name   string
	Value  decimal.Decimal
	Bound  decimal.Decimal
	Proved bool
}

// Cuts is the cutting plan with its proof.
type Cuts struct {
	Boards   []CutBoard
	Short    []Short
	Levels   []Level
	Money    decimal.Decimal
	Wood     measure.Area // opened: length by width of every board that is cut
	Used     measure.Area // of the blanks
	Proved   bool         // every level but those of leftovers, set-ups and cuts
	Sentence string       // exactly what is proved
	Settings int          // different stop and fence settings
	Final    bool         // no better plan will follow for this job
	Proof    Proof        `json:"-"` // what the bounds rest on; nil = none was kept
}

// Proof can be gone through again.
type Proof interface {
	// Check reckons every bound of the boards anew, in whole numbers and apart from
	// the search that found them, and the cuts by the rules of their job. The error
	// says which does not hold, or is that of a ctx that was done first.
	Check(ctx context.Context) error
}

// Cutter solves a cutting job. It calls better with every better plan and
// returns the best; cancelling ctx ends it early with the best so far.
type Cutter func(ctx context.Context, job CutJob, better func(Cuts)) (Cuts, error)

// CutChecker gives what is wrong with a cutting plan, by geometry alone.
type CutChecker func(job CutJob, cuts Cuts) []string
