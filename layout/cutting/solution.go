package cutting

import (
	"math/big"

	"pilewright/layout/cutting/pattern"
	"pilewright/plan/measure"
)

// Solution is a plan of cuts and what is proved about it.
type Solution struct {
	Boards []Opened // in the order of the pile
	Cuts   []Cut    // in shop order: equal settings follow each other
	Short  []Shortfall
	Levels []Level // in order; the first is AimMade
	Status Status
	Setups int // changes of machine or setting in Cuts
	Nodes  int // of the search
	Work   int64
}

// Status says how the search ended.
type Status int

// The ways it ends.
const (
	Optimal Status = iota // every level proved
	Limit                 // effort used up
	Stopped               // cancelled
)

// Level is the value of one aim and what is proved of it: no plan that keeps
// all levels above has less than Bound.
type Level struct {
	Aim    Aim
	Value  int64 // in units of Unit
	Bound  int64
	Proved bool // Value equals Bound
	// Unit is what one of Value is: nm² for wood, nm for length, else 1. For
	// wood the product of both can exceed int64: see Exact.
	Unit  int64
	Proof *Proof
}

// Exact is Value in nm², nm, prices or counts.
func (l Level) Exact() *big.Int {
	return new(big.Int).Mul(big.NewInt(l.Value), big.NewInt(l.Unit))
}

// Proof carries a level's bound: CheckProof recomputes it from integer prices.
type Proof struct {
	Tree *pattern.ProofNode
	// Whole says the tree is complete; else the search had more cases than are
	// kept (pattern.Limits.Nodes): the tree proves only the first bound, and what
	// the level claims beyond it rests on the search alone.
	Whole   bool
	Bound   int64 // what the tree proves
	Budgets []int64
	Short   []Shortfall // demand left out when this level was solved
}

// Opened is one board that is cut.
type Opened struct {
	Board     int // index in Problem.Boards
	Pieces    []Piece
	Leftovers []Rect
}

// Piece is one blank on a board: X from the left end as measured, Y from the
// lower edge. Train above zero numbers the train of the board it is cut with.
type Piece struct {
	Item, Copy    int
	X, Y          measure.Length
	Length, Width measure.Length
	Train         int
}

// Rect is a part of a board.
type Rect struct{ X, Y, Length, Width measure.Length }

// Machine makes a cut.
type Machine int

// The machines of this package.
const (
	Crosscut Machine = iota
	Rip
)

// Cut is one edge-to-edge cut of a piece of a board: at X (Crosscut) or Y (Rip),
// over From to To the other way. Setting is the stop or fence setting, zero for
// a cut to a mark. Setup numbers the set-up it belongs to, from one.
type Cut struct {
	Board    int // index in Problem.Boards
	Machine  Machine
	Stage    int
	At       measure.Length
	From, To measure.Length
	Setting  measure.Length
	Setup    int
	Parting  bool // parts a train, after the planer
}

// Shortfall is blanks that cannot be made, or what a cover lacks: rows, or its
// units of width.
type Shortfall struct{ Item, Count int }

// Violation is one rule a plan breaks.
type Violation struct {
	Board int // index in Problem.Boards, or -1
	Say   string
}
