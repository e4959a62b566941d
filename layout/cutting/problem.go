// Package cutting decides which blanks come out of which boards, and proves how
// good the answer is. Solve plans: every blank made first, then least money,
// least wood opened, fewest boards, in that order and never traded against each
// other. These levels carry bounds. Leftovers are told but not sought, and of a
// plan's cuts the settings are put in an order with the fewest changes; neither
// is a level, and nothing is claimed of them. Check is a second, plain
// reading of the rules; CheckProof verifies the proved bounds in integers.
//
// It decides nothing about how a part is made: the caller turns parts into
// blanks (Item) and the pile into Board. Grain runs along a board's length, so
// blanks are never turned. Start at Problem and Solve; the search itself is in
// package pattern.
package cutting

import (
	"fmt"
	"strings"

	"pilewright/plan/measure"
)

// Defect is a rectangle of a board that no piece may contain, from the board's
// left end and lower edge. AcrossTo zero means the whole width. HiddenOK
// defects (stain, nail holes) may lie in hidden blanks.
type Defect struct {
	From, To, AcrossFrom, AcrossTo measure.Length
	HiddenOK                       bool
}

// Board is one board that may be cut. TrimLeft and TrimRight are the ends that
// no piece may use; a piece may begin exactly at the trim.
type Board struct {
	ID                       string
	Length, Width, Thickness measure.Length
	TrimLeft, TrimRight      measure.Length
	Defects                  []Defect
	Species                  string
	Price                    int64 // in any exact unit, the same for all boards
	Closed                   bool  // never cut
	KeepWhole                bool  // cut only when a blank would be short otherwise
}

// Item is Count equal blanks. Thickness zero takes any board, Species empty any
// kind. OnBoard, when set, is the ID of the only board to use; NotOn are boards
// not to use.
type Item struct {
	ID                       string
	Length, Width, Thickness measure.Length
	Species                  string
	Hidden                   bool
	Count                    int
	OnBoard                  string
	NotOn                    []string
	// Cover, when not nil, asks for strips instead of Count equal blanks of one
	// width: Count and Width are then zero.
	Cover *Cover
}

// Cover is a demand that strips of any of the widths meet together: by a total
// width, less Joint for every strip, or by a number of rows. Which widths are
// cut, and how many of each, is part of the plan. Strips may come to more than
// is asked for.
type Cover struct {
	Total  measure.Length // zero when Rows are asked for
	Joint  measure.Length // what a strip loses where it is joined
	Rows   int
	Widths []measure.Length
}

// Unit is the width that a cover is counted in, zero for rows.
func (c *Cover) Unit() measure.Length {
	if c.Rows > 0 {
		return 0
	}
	u := int64(c.Total)
	for _, w := range c.Widths {
		u = gcdOf(u, int64(w-c.Joint))
	}
	return measure.Length(u)
}

// need is how many units are asked for, and worth how many a strip gives.
func (c *Cover) need() int {
	if c.Rows > 0 {
		return c.Rows
	}
	return int(c.Total / c.Unit())
}

func (c *Cover) worth(w measure.Length) int {
	if c.Rows > 0 {
		return 1
	}
	return int((w - c.Joint) / c.Unit())
}

// Problem is a pile, the blanks wanted from it, and the shop's saws.
//
// A defect narrower than the kerf counts as one kerf wide, since the cut that
// removes it is.
type Problem struct {
	Boards                []Board
	Items                 []Item
	CrosscutKerf, RipKerf measure.Length
	// MaxPlaneOff is the most that may be planed off a thicker board; zero
	// means a thicker board always serves.
	MaxPlaneOff measure.Length
	// MinSafeLength is the shortest piece that may leave the saw for the
	// planer. Shorter blanks are cut together as one longer piece (a train)
	// and divided later.
	MinSafeLength measure.Length
	// LeftoverMin is the shortest leftover worth keeping; zero keeps none.
	LeftoverMin measure.Length
	// Aims are the levels after "every blank made"; nil means the maker's
	// order (see DefaultAims).
	Aims []Aim
}

// Aim is one level of what counts.
type Aim int

// The levels. Each is the least sum over the boards that are cut.
const (
	AimMade   Aim = iota // blanks left out; always first
	AimKept              // boards to be kept whole
	AimMoney             // prices
	AimWood              // length times width
	AimBoards            // number
	AimLength            // length
	// AimLeftovers is the use that cutting takes from the pile (see Grain).
	AimLeftovers
	// AimSetups and AimCuts are counted on the cuts in shop order; they come last.
	AimSetups
	AimCuts
)

// String names the level.
func (a Aim) String() string {
	names := []string{"blanks left out", "boards kept whole that are cut", "money", "wood opened", "boards opened", "length opened", "use taken from the pile", "set-ups", "cuts"}
	if a < 0 || int(a) >= len(names) {
		return "no aim"
	}
	return names[a]
}

// ofCuts reports whether a level is counted on the cuts.
func (a Aim) ofCuts() bool { return a >= AimSetups }

// after orders aims as far as they are bound to: boards, leftovers, cuts.
func (a Aim) after() Aim {
	if a < AimLeftovers {
		return AimMade
	}
	return a
}

// DefaultAims is the maker's order.
func DefaultAims() []Aim {
	return []Aim{AimKept, AimMoney, AimWood, AimBoards, AimLeftovers, AimSetups, AimCuts}
}

// The most that is taken in one problem.
const (
	MaxBoards = 20_000
	MaxBlanks = 200_000
	maxLength = 1000 * measure.Metre
	maxPrice  = int64(1) << 44
)

// InputError is one thing wrong with a problem: the row and the field.
type InputError struct {
	Row   string // "board A12", "blank leg", or "saw"
	Field string
	Say   string
	// Which of Problem.Boards or Problem.Items it is, from 1; zero where neither.
	Board, Item int
}

func (e InputError) Error() string { return e.Row + ", " + e.Field + ": " + e.Say }

// InputErrors is everything wrong with a problem.
type InputErrors []InputError

func (e InputErrors) Error() string {
	var s []string
	for k, x := range e {
		if k == mostSaid {
			s = append(s, fmt.Sprintf("and %d more", len(e)-k))
			break
		}
		s = append(s, x.Error())
	}
	return strings.Join(s, "; ")
}

// mostSaid is how many errors are told at once.
const mostSaid = 20

// maxUnits is the most units of width a cover may ask for.
const maxUnits = 20_000

func (p *Problem) validateCover(it Item, add func(field, say string, args ...any)) {
	c := it.Cover
	if it.Count != 0 || it.Width != 0 {
		add("count", "a cover has no count and no width of its own")
	}
	if (c.Total > 0) == (c.Rows > 0) || c.Total < 0 || c.Rows < 0 || c.Total > maxLength || c.Rows > MaxBlanks {
		add("cover", "needs either a total width or a number of rows")
		return
	}
	if len(c.Widths) == 0 || c.Joint < 0 {
		add("cover", "needs widths to choose from, and no joint less than nothing")
		return
	}
	for _, w := range c.Widths {
		switch {
		case w <= c.Joint || w > maxLength:
			add("cover", "a strip of %s leaves nothing beside a joint of %s", show(w), show(c.Joint))
			return
		case p.RipKerf > w:
			add("cover", "%s is narrower than the rip kerf of %s", show(w), show(p.RipKerf))
			return
		}
	}
	if c.Rows == 0 && c.Total/c.Unit() > maxUnits {
		add("cover", "widths are given too finely: round them and the total to %s", show(c.Total/maxUnits+1))
	}
}

// Validate finds what cannot be worked with. A blank longer than any board is
// not an error: it comes out short.
func (p *Problem) Validate() error {
	var errs InputErrors
	board, item := 0, 0
	add := func(row, field, say string, args ...any) {
		errs = append(errs, InputError{row, field, fmt.Sprintf(say, args...), board, item})
	}
	size := func(row, field string, v measure.Length, zero bool) {
		switch {
		case v < 0:
			add(row, field, "%s is less than nothing", show(v))
		case v == 0 && !zero:
			add(row, field, "is missing; give a size above zero")
		case v > maxLength:
			add(row, field, "%s is longer than %s, the most that is taken", show(v), show(maxLength))
		}
	}
	size("saw", "crosscut kerf", p.CrosscutKerf, true)
	size("saw", "rip kerf", p.RipKerf, true)
	size("saw", "most planed off", p.MaxPlaneOff, true)
	size("saw", "shortest safe length", p.MinSafeLength, true)
	size("saw", "shortest leftover", p.LeftoverMin, true)
	if len(p.Boards) > MaxBoards {
		add("pile", "boards", "%d boards; %d are the most that are taken", len(p.Boards), MaxBoards)
	}
	ids := map[string]bool{}
	for k, b := range p.Boards {
		board = k + 1
		row := "board " + b.ID
		if b.ID == "" {
			row = fmt.Sprintf("board in row %d", k+1)
			add(row, "mark", "is missing")
		} else if ids[b.ID] {
			add(row, "mark", "is used twice")
		}
		ids[b.ID] = true
		size(row, "length", b.Length, false)
		size(row, "width", b.Width, false)
		size(row, "thickness", b.Thickness, true)
		size(row, "left trim", b.TrimLeft, true)
		size(row, "right trim", b.TrimRight, true)
		if b.Price < 0 || b.Price > maxPrice {
			add(row, "price", "%d is outside 0 to %d", b.Price, maxPrice)
		}
		for n, d := range b.Defects {
			field := fmt.Sprintf("defect %d", n+1)
			to := d.AcrossTo
			if to == 0 {
				to = b.Width
			}
			switch {
			case d.From < 0 || d.To > b.Length || d.AcrossFrom < 0 || to > b.Width:
				add(row, field, "lies outside the board (%s to %s along, %s to %s across)", show(d.From), show(d.To), show(d.AcrossFrom), show(to))
			case d.From >= d.To || d.AcrossFrom >= to:
				add(row, field, "ends before it begins (%s to %s along, %s to %s across)", show(d.From), show(d.To), show(d.AcrossFrom), show(to))
			}
		}
	}
	blanks := 0
	names := map[string]bool{}
	board = 0
	for k, it := range p.Items {
		item = k + 1
		row := "blank " + it.ID
		if it.ID == "" {
			row = fmt.Sprintf("blank in row %d", k+1)
			add(row, "mark", "is missing")
		} else if names[it.ID] {
			add(row, "mark", "is used twice")
		}
		names[it.ID] = true
		size(row, "length", it.Length, false)
		if it.Cover != nil {
			p.validateCover(it, func(field, say string, args ...any) { add(row, field, say, args...) })
		} else {
			size(row, "width", it.Width, false)
		}
		size(row, "thickness", it.Thickness, true)
		if it.Count < 0 {
			add(row, "count", "%d is less than nothing", it.Count)
		} else if blanks += min(it.Count, MaxBlanks+1); blanks > MaxBlanks && blanks-min(it.Count, MaxBlanks+1) <= MaxBlanks {
			add(row, "count", "brings the blanks above %d, the most that are taken", MaxBlanks)
		}
		if it.OnBoard != "" && !ids[it.OnBoard] {
			add(row, "board", "%q is not in the pile", it.OnBoard)
		}
		if it.Width > 0 && p.RipKerf > it.Width {
			add(row, "width", "%s is narrower than the rip kerf of %s", show(it.Width), show(p.RipKerf))
		}
		if it.Length > 0 && p.CrosscutKerf > it.Length {
			add(row, "length", "%s is shorter than the crosscut kerf of %s", show(it.Length), show(p.CrosscutKerf))
		}
	}
	item = 0
	for k, a := range p.Aims {
		if a <= AimMade || a > AimCuts {
			add("order of aims", "aim", "%d is no aim", int(a))
		}
		if k > 0 && p.Aims[k-1].after() > a.after() {
			add("order of aims", "aim", "%s can't come before %s", p.Aims[k-1], a)
		}
	}
	if len(errs) == 0 {
		return nil
	}
	return errs
}
