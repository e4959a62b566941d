// Package guillotine cuts rectangles out of sheets, and out of boards with
// defects, by cuts that run from edge to edge.
//
// Solve fills one sheet to the highest value; Fewest cuts all items from as
// few sheets as it can. Both give a bound that no other plan beats. Check reads
// a plan against the rules without sharing anything with the search.
//
// Sources: Gilmore and Gomory (1966) for the free dynamic programme on sums of
// sizes, Herz (1972) and Christofides and Whitlock (1977) for those sums and
// for limited copies, Wang (1983) and Viswanathan and Bagchi (1993) for building
// up with a bound on what surrounds a build; the prices on limited copies are a
// Lagrangian relaxation. All from memory.
package guillotine

import (
	"errors"
	"fmt"

	"pilewright/plan/measure"
)

// Rect is a region of a sheet; X runs along its length, Y across it.
type Rect struct{ X, Y, Length, Width measure.Length }

// Sheet is a sheet or a board. No item may lie on a defect; cuts may cross one.
type Sheet struct {
	Length, Width measure.Length
	Defects       []Rect
}

// Item is a rectangle wanted at most Count times, or without limit when Count
// is 0. Value is what one is worth; 0 means its area, in squares of the common
// unit of all sizes. Turn allows a quarter turn.
type Item struct {
	ID            string
	Length, Width measure.Length
	Value         int64
	Count         int
	Turn          bool
}

// Options of a search. Kerf is lost at every cut. Stages limits how often the
// direction of cutting may change, a last trimming cut apart; 0 = no limit.
// Work counts basic steps; 0 means DefaultWork.
type Options struct {
	Kerf     measure.Length
	Stages   int
	Work     int64
	Progress func(Progress)
}

// DefaultWork takes a few seconds.
const DefaultWork = 2_000_000_000

// Progress is the best value so far and the bound above every plan.
type Progress struct{ Value, Bound int64 }

// Status says how far a search came.
type Status string

// The ends a search can have.
const (
	Optimal Status = "optimal"
	Limit   Status = "limit"
	Stopped Status = "stopped"
)

// Placed is one item on the sheet.
type Placed struct {
	Item   string
	Rect   Rect
	Turned bool
}

// Cut divides Region: across its length at X when Across, else along it at Y
// when not. At is where the kerf begins, measured on the sheet.
type Cut struct {
	Region Rect
	Across bool
	At     measure.Length
}

// Plan is one sheet cut up. Cuts are in an order that works: each divides a
// region that earlier cuts have freed.
type Plan struct {
	Placed []Placed
	Cuts   []Cut
	Value  int64
	Bound  int64 // no plan is worth more
	Status Status
	Work   int64
}

// Proved is true when no plan is worth more.
func (p *Plan) Proved() bool { return p.Value >= p.Bound }

// Errors in the question, told apart with errors.Is.
var (
	ErrSize   = errors.New("size must be more than zero")
	ErrDouble = errors.New("two items share one id")
	ErrValue  = errors.New("value below zero or out of range")
	ErrFine   = errors.New("sizes have too fine a common unit")
)

const mostValue = int64(1) << 40

func validate(s Sheet, items []Item, opt Options) error {
	if s.Length <= 0 || s.Width <= 0 || opt.Kerf < 0 {
		return fmt.Errorf("sheet: %w", ErrSize)
	}
	seen := map[string]bool{}
	for _, i := range items {
		switch {
		case i.Length <= 0 || i.Width <= 0 || i.Count < 0:
			return fmt.Errorf("item %s: %w", i.ID, ErrSize)
		case i.Value < 0 || i.Value > mostValue:
			return fmt.Errorf("item %s: %w", i.ID, ErrValue)
		case seen[i.ID]:
			return fmt.Errorf("item %s: %w", i.ID, ErrDouble)
		}
		seen[i.ID] = true
	}
	for _, d := range s.Defects {
		if d.Length <= 0 || d.Width <= 0 {
			return fmt.Errorf("defect: %w", ErrSize)
		}
	}
	return nil
}
