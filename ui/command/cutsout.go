package command

import (
	"fmt"
	"io"
	"slices"
	"strings"

	"github.com/shopspring/decimal"

	"pilewright/plan"
	"pilewright/plan/measure"
)

type cutsOut struct {
	Complete bool            `json:"complete"`
	Short    []shortOut      `json:"short"`
	Boards   []boardOut      `json:"boards"`
	Opened   int             `json:"boards_opened"`
	Wood     decimal.Decimal `json:"wood_opened_mm2"`
	Price    decimal.Decimal `json:"price"`
	Bound    boundOut        `json:"bound"`
	Proved   bool            `json:"proved"`
	Checked  bool            `json:"proof_checked"` // of the boards, reckoned anew: -check-proof
	Sentence string          `json:"sentence"`
	Levels   []levelOut      `json:"levels"`
	Cuts     []sawOut        `json:"cuts"` // in the order of the shop
	Seconds  float64         `json:"seconds"`
}

type levelOut struct {
	Kind   plan.LevelKind  `json:"kind"`
	Value  decimal.Decimal `json:"value"`
	Bound  decimal.Decimal `json:"bound"`
	Proved bool            `json:"proved"`
}

type sawOut struct {
	Board   string         `json:"board"`
	Copy    int            `json:"copy"`
	Setup   int            `json:"set_up"`
	Rip     bool           `json:"rip"`
	At      measure.Length `json:"at_nm"`
	From    measure.Length `json:"from_nm"`
	To      measure.Length `json:"to_nm"`
	Stop    measure.Length `json:"stop_nm"` // zero: to a mark
	Frees   string         `json:"frees"`
	Parting bool           `json:"after_planing"`
}

type shortOut struct {
	Part   string         `json:"part"`
	Count  int            `json:"count"`
	Width  measure.Length `json:"width_nm,omitempty"` // of strips: what lacks of their total width
	Say    string         `json:"say"`
	Proved bool           `json:"proved"`
}

type boundOut struct {
	Price decimal.Decimal `json:"price"`
	Wood  decimal.Decimal `json:"wood_opened_mm2"`
}

type rectOut struct {
	X      measure.Length `json:"x_nm"`
	Y      measure.Length `json:"y_nm"`
	Length measure.Length `json:"length_nm"`
	Width  measure.Length `json:"width_nm"`
}

type pieceOut struct {
	Part string `json:"part"`
	Copy int    `json:"copy"`
	rectOut
}

type boardOut struct {
	Board     string     `json:"board"`
	Copy      int        `json:"copy"`
	Pieces    []pieceOut `json:"pieces"`
	Leftovers []rectOut  `json:"leftovers"`
	Together  [][]string `json:"together"` // pieces that leave the saw as one, to be parted later
}

// json is the answer for programs. proved is true only when all that can be made is
// made, and money and wood both meet their bounds.
func (c *cutting) json(a plan.Cuts, seconds float64) cutsOut {
	out := cutsOut{Complete: len(a.Short) == 0, Short: []shortOut{}, Boards: []boardOut{}, Opened: len(a.Boards), Wood: a.Wood.SquareMillimetres(), Price: a.Money,
		Checked: c.checked, Sentence: a.Sentence, Levels: []levelOut{}, Cuts: []sawOut{}, Seconds: seconds, Proved: true}
	for _, s := range a.Short {
		out.Short = append(out.Short, shortOut{s.Blank, s.Count, s.Width, s.Say, s.Proof})
	}
	for _, cb := range a.Boards {
		n := c.boards[cb.Board]
		b := boardOut{Board: n.mark, Copy: n.copy, Pieces: []pieceOut{}, Leftovers: []rectOut{}, Together: [][]string{}}
		for _, p := range cb.Pieces {
			b.Pieces = append(b.Pieces, pieceOut{p.Blank, p.N, rectOut{p.X, p.Y, p.Length, p.Width}})
		}
		for _, l := range cb.Leftovers {
			b.Leftovers = append(b.Leftovers, rectOut{l.X, l.Y, l.Length, l.Width})
		}
		for _, d := range cb.Divide {
			b.Together = append(b.Together, d.Marks)
		}
		out.Boards = append(out.Boards, b)
	}
	for _, l := range c.saws(a) {
		s := l.saw
		out.Cuts = append(out.Cuts, sawOut{l.board.mark, l.board.copy, s.Group, s.Rip, s.At, s.From, s.To, s.Stop, s.Mark, s.Parting})
	}
	seen := map[plan.LevelKind]bool{}
	for _, l := range a.Levels {
		seen[l.Kind] = true
		out.Levels = append(out.Levels, levelOut{l.Kind, l.Value, l.Bound, l.Proved})
		switch l.Kind {
		case plan.LevelMade:
			out.Proved = out.Proved && l.Proved
		case plan.LevelMoney:
			out.Bound.Price = l.Bound
			out.Proved = out.Proved && l.Proved
		case plan.LevelWood:
			out.Bound.Wood = l.Bound
			out.Proved = out.Proved && l.Proved
		}
	}
	out.Proved = out.Proved && seen[plan.LevelMoney] && seen[plan.LevelWood]
	return out
}

// print writes the answer for the maker: what comes from each board, what is short
// and what would help, the cuts in order, what is proved.
func (c *cutting) print(w io.Writer, a plan.Cuts) {
	place := func(what string, x, y, length, width measure.Length) {
		fmt.Fprintf(w, "  %-10s at %s across %s: %s x %s\n", what, c.say(x), c.say(y), c.say(length), c.say(width))
	}
	for _, cb := range a.Boards {
		fmt.Fprintln(w, c.name(c.boards[cb.Board]))
		for _, p := range cb.Pieces {
			place(fmt.Sprintf("%s.%d", p.Blank, p.N), p.X, p.Y, p.Length, p.Width)
		}
		for _, d := range cb.Divide {
			if len(d.Marks) == 1 {
				fmt.Fprintf(w, "  %s leaves the saw %s long and is parted after planing\n", d.Marks[0], c.say(d.Length))
				continue
			}
			fmt.Fprintf(w, "  %s leave the saw as one piece of %s and are parted after planing\n", strings.Join(d.Marks, " "), c.say(d.Length))
		}
		for _, l := range cb.Leftovers {
			place("leftover", l.X, l.Y, l.Length, l.Width)
		}
	}
	for _, s := range a.Short {
		switch {
		case s.Say != "":
			fmt.Fprintf(w, "Short: %s\n", s.Say)
		default:
			fmt.Fprintf(w, "Short: %d x %s\n", s.Count, s.Blank)
		}
	}
	group := 0
	for _, l := range c.saws(a) {
		if l.saw.Group != group {
			group = l.saw.Group
			machine, at := "crosscut", "to a mark"
			if l.saw.Rip {
				machine = "rip"
			}
			if l.saw.Stop > 0 {
				at = "stop or fence at " + c.say(l.saw.Stop)
			}
			fmt.Fprintf(w, "Set-up %d: %s, %s\n", group, machine, at)
		}
		frees := ""
		if l.saw.Mark != "" {
			frees = ", frees " + l.saw.Mark
		}
		if l.saw.Parting {
			frees += ", after planing"
		}
		fmt.Fprintf(w, "  %s at %s%s\n", c.name(l.board), c.say(l.saw.At), frees)
	}
	boards := "boards"
	if len(a.Boards) == 1 {
		boards = "board"
	}
	wood := a.Wood.SquareMillimetres().Shift(-6).Round(3).String() + " m²"
	if c.unit == measure.Inches {
		wood = a.Wood.SquareMillimetres().Div(squareFoot).Round(2).String() + " sq ft"
	}
	fmt.Fprintf(w, "%d %s, %s opened, price %s. %s\n", len(a.Boards), boards, wood, a.Money, a.Sentence)
	if c.told != "" {
		fmt.Fprintln(w, c.told)
	}
}

// squareFoot is one square foot in mm².
var squareFoot = decimal.RequireFromString("92903.04")

func (c *cutting) name(b cutBoard) string { return fmt.Sprintf("%s (%d)", b.mark, b.copy) }

// boardSaw is a cut and the board it is made on.
type boardSaw struct {
	board cutBoard
	saw   plan.Saw
}

// saws lists the cuts in order, those of one set-up together.
func (c *cutting) saws(a plan.Cuts) []boardSaw {
	var all []boardSaw
	for _, cb := range a.Boards {
		for _, s := range cb.Saws {
			all = append(all, boardSaw{c.boards[cb.Board], s})
		}
	}
	slices.SortStableFunc(all, func(a, b boardSaw) int { return a.saw.Group - b.saw.Group })
	return all
}
