// Package rows composes the rows of an edge-glued panel from strips of unequal
// size: which strips, cut where, in which row and place.
//
// It decides the composition and counts what it costs; cutting the strips from
// boards and clamping the panel are left to others. Start at Compose; Check is
// a second, plain reading of the rules, and Evaluate tells what a composition
// made by hand leads to.
package rows

import (
	"errors"
	"fmt"

	"pilewright/plan/measure"
)

// Strip is a ripped strip ready for a panel. Thickness is the least of its
// readings. In a flat panel Width goes across the panel and Thickness through
// it; in an on-edge panel Width is the height after ripping and goes through
// the panel, Thickness goes across.
type Strip struct {
	ID        string
	Length    measure.Length
	Width     measure.Length
	Thickness measure.Length
	Grade     int  // higher is better
	GoodFace  bool // one face is fit to be seen
}

// Lock keeps a piece of a strip in a row of the maker's choice.
type Lock struct {
	Strip string
	Row   int  // from 1
	Place int  // from 1 along the row; 0 = any
	Flip  bool // the other face up
}

// Job asks for one panel. Sizes are rough: Length and Width already hold the
// trim allowance.
type Job struct {
	Strips []Strip
	OnEdge bool // rows stood on edge; else laid flat

	Length measure.Length // along the rows
	Rows   int            // rows wanted; 0 = as many as Width needs
	Width  measure.Length // total width wanted after jointing, when Rows is 0

	LeastThickness measure.Length // of the planed panel; 0 = whatever comes out
	Joining        measure.Length // jointed off each long edge of a row
	EndCut         measure.Length // width of a crosscut
	MinPiece       measure.Length // shortest piece in a row
	Stagger        measure.Length // least offset of end joints in neighbouring rows
	Step           measure.Length // most difference in thickness of pieces that touch; 0 = no difference
	CleanUp        measure.Length // planed off each face after gluing

	Locks []Lock
}

// Placed is one piece of a composition made by hand: a length of a strip.
type Placed struct {
	Strip  string
	Length measure.Length
	Flip   bool
}

// Errors in a Job, told apart with errors.Is.
var (
	ErrSize   = errors.New("size must be more than zero")
	ErrDouble = errors.New("two strips share one id")
	ErrLock   = errors.New("lock cannot be kept")
	ErrAim    = errors.New("neither a number of rows nor a width is asked for")
)

// Validate tells the first thing wrong with the job itself.
func (j *Job) Validate() error {
	if j.Length <= 0 {
		return fmt.Errorf("panel length: %w", ErrSize)
	}
	if j.Rows <= 0 && j.Width <= 0 {
		return ErrAim
	}
	for _, v := range []measure.Length{j.LeastThickness, j.Joining, j.EndCut, j.MinPiece, j.Stagger, j.Step, j.CleanUp} {
		if v < 0 {
			return fmt.Errorf("allowance below zero: %w", ErrSize)
		}
	}
	seen := make(map[string]bool, len(j.Strips))
	for _, s := range j.Strips {
		if s.Length <= 0 || s.Width <= 0 || s.Thickness <= 0 {
			return fmt.Errorf("strip %s: %w", s.ID, ErrSize)
		}
		if seen[s.ID] {
			return fmt.Errorf("strip %s: %w", s.ID, ErrDouble)
		}
		seen[s.ID] = true
	}
	taken := map[[2]int]bool{}
	for _, l := range j.Locks {
		if !seen[l.Strip] {
			return fmt.Errorf("strip %s is not there: %w", l.Strip, ErrLock)
		}
		if l.Row < 1 || l.Place < 0 || j.Rows > 0 && l.Row > j.Rows {
			return fmt.Errorf("strip %s in row %d: %w", l.Strip, l.Row, ErrLock)
		}
		at := [2]int{l.Row, l.Place}
		if l.Place > 0 && taken[at] {
			return fmt.Errorf("row %d place %d is locked twice: %w", l.Row, l.Place, ErrLock)
		}
		taken[at] = true
	}
	return nil
}

// across is what a strip takes of the panel's width, through what it takes of
// its thickness.
func (j *Job) across(s Strip) measure.Length {
	if j.OnEdge {
		return s.Thickness
	}
	return s.Width
}

func (j *Job) through(s Strip) measure.Length {
	if j.OnEdge {
		return s.Width
	}
	return s.Thickness
}
