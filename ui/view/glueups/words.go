package glueups

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"github.com/shopspring/decimal"

	"pilewright/plan"
	"pilewright/plan/measure"
	"pilewright/ui/desk"
)

// wayNames are the ways in the trade's words.
var wayNames = map[plan.Way]string{plan.Solid: "solid", plan.Laminated: "laminated", plan.FlatPanel: "flat panel", plan.OnEdge: "on edge"}

// wood writes a volume of wood, cubic inches or cubic centimetres as the shop
// measures.
func wood(p *plan.Project, mm3 decimal.Decimal) string {
	if p.Shop.Inches {
		inch := decimal.RequireFromString("16387.064") // mm³ in a cubic inch, exact
		return mm3.DivRound(inch, 1).String() + " in³"
	}
	return mm3.Shift(-3).Round(0).String() + " cm³"
}

// planed tells what is planed away, and its share of the glued panel.
func planed(p *plan.Project, g plan.GlueUp) string {
	if g.Way == plan.Laminated {
		return wood(p, lamPlaned(g))
	}
	text := wood(p, g.Panel.Planed)
	whole := g.Panel.Planed.Add(measure.VolumeOf(g.Panel.Length, g.Panel.Width, g.Panel.Thickness).CubicMillimetres())
	if whole.IsPositive() {
		text += fmt.Sprintf(" (%s %%)", g.Panel.Planed.Shift(2).DivRound(whole, 1))
	}
	return text
}

// lamPlaned is what planing takes off a lamination down to its finished thickness.
func lamPlaned(g plan.GlueUp) decimal.Decimal {
	over := max(g.Thickness-g.Target, 0)
	return measure.VolumeOf(g.Length, g.Width, over).CubicMillimetres()
}

// proof tells what is proved about the arrangement of the rows.
func proof(p *plan.Project, g plan.GlueUp) string {
	switch {
	case g.Way == plan.Laminated:
		return "–"
	case len(g.Panel.Faults) > 0:
		return "breaks a rule"
	case g.Panel.Proved:
		return "proved least"
	case g.Panel.Bound.IsPositive():
		return "at least " + wood(p, g.Panel.Bound)
	}
	return "not proved"
}

// standing tells how a glue-up stands, in sentences.
func standing(p *plan.Plan, g plan.GlueUp) string {
	if g.Way == plan.Laminated {
		return fmt.Sprintf("%s %s: %d layers, cleanest outside; %s thick as glued, planed to %s.", g.Name, g.Copy, len(g.Panel.Rows), desk.Length(p.Project, g.Thickness), desk.Length(p.Project, g.Target))
	}
	text := fmt.Sprintf("%s %s: %s planed away.", g.Name, g.Copy, planed(p.Project, g))
	switch {
	case len(g.Panel.Faults) > 0:
		text += " " + strings.Join(g.Panel.Faults, " ")
	case g.Panel.Proved:
		text += " Proved: no arrangement of these strips planes away less."
	default:
		text += fmt.Sprintf(" Proved: no arrangement planes away less than %s.", wood(p.Project, g.Panel.Bound))
	}
	if n := len(g.Beds); n > 1 {
		text += fmt.Sprintf(" Wider than the planer: glued as %d parts, planed, then joined.", n)
	}
	return text
}

// state is what a change by hand is compared with.
type state struct {
	key    string
	planed decimal.Decimal
	faults []string
	what   string
}

// against tells what a change by hand did, in sentences.
func (s *state) against(p *plan.Project, g plan.GlueUp) string {
	text := ""
	switch c := g.Panel.Planed.Cmp(s.planed); {
	case c > 0:
		text = fmt.Sprintf("%s: %s more is planed away (before %s).", s.what, wood(p, g.Panel.Planed.Sub(s.planed)), wood(p, s.planed))
	case c < 0:
		text = fmt.Sprintf("%s: %s less is planed away (before %s).", s.what, wood(p, s.planed.Sub(g.Panel.Planed)), wood(p, s.planed))
	default:
		text = s.what + ": no more is planed away than before."
	}
	for _, f := range g.Panel.Faults {
		if !slices.Contains(s.faults, f) {
			text += " New: " + f
		}
	}
	if len(s.faults) > 0 && len(g.Panel.Faults) == 0 {
		text += " Every rule is kept again."
	}
	return text
}

// at finds a strip in a glue-up: row and place along it, from 1.
func at(g plan.GlueUp, strip string) (row, place int, ok bool) {
	for i, r := range g.Panel.Rows {
		for k, q := range r.Pieces {
			if q.Strip == strip {
				return i + 1, k + 1, true
			}
		}
	}
	return 0, 0, false
}

// strips gives every cut strip's board and chalk mark by its ref.
func strips(p *plan.Plan) (boards map[string]plan.Board, marks map[string]string) {
	boards, marks = map[string]plan.Board{}, map[string]string{}
	take := func(c plan.CutPiece, board plan.ID) {
		if b, ok := p.Project.Board(board); ok {
			boards[c.Ref()], marks[c.Ref()] = b, c.Mark
		}
	}
	for _, cb := range p.Cuts.Boards {
		for _, c := range cb.Pieces {
			take(c, cb.Board)
		}
	}
	for _, r := range p.Project.Ready {
		take(r.Cut, r.Board)
	}
	return boards, marks
}

// stripSay tells where a strip lies and what it is.
func stripSay(p *plan.Plan, g plan.GlueUp, strip string) string {
	row, place, ok := at(g, strip)
	if !ok {
		return ""
	}
	boards, marks := strips(p)
	q := g.Panel.Rows[row-1].Pieces[place-1]
	text := fmt.Sprintf("Strip %s, row %d, %s long", cmp.Or(marks[strip], q.Mark), row, desk.Length(p.Project, q.Length))
	if b, ok := boards[strip]; ok {
		text += fmt.Sprintf(", from board %s, %s thick", b.Mark, desk.Length(p.Project, b.Thickness))
	}
	if q.Flip {
		text += ", turned over"
	}
	if locked(p.Project, strip) {
		text += ", locked by you"
	}
	return text + "."
}

func locked(p *plan.Project, strip string) bool {
	return slices.ContainsFunc(p.Choices, func(c plan.Choice) bool { return c.Kind == plan.RowPlace && c.Blank == strip })
}

// moveSay tells, before a strip is let go over a row, what that would mean.
func moveSay(p *plan.Plan, g plan.GlueUp, strip string, row int) string {
	from, _, ok := at(g, strip)
	if !ok || row < 1 || row > len(g.Panel.Rows) {
		return "Let go over a row of the panel."
	}
	boards, marks := strips(p)
	name := cmp.Or(marks[strip], "The strip")
	if from == row {
		return fmt.Sprintf("%s stays in row %d and is locked there.", name, row)
	}
	r := g.Panel.Rows[row-1]
	text := fmt.Sprintf("%s to row %d", name, row)
	if b, ok := boards[strip]; ok && g.Way == plan.FlatPanel {
		text += fmt.Sprintf(": it is %s thick, the row now %s", desk.Length(p.Project, b.Thickness), desk.Length(p.Project, r.Thickness))
		limit := cmp.Or(p.Project.Piece.StepLimit, p.Project.Shop.StepLimit)
		for _, k := range []int{row - 2, row} {
			if k < 0 || k >= len(g.Panel.Rows) || k == from-1 {
				continue
			}
			if step := b.Thickness - g.Panel.Rows[k].Thickness; max(step, -step) > limit {
				text += fmt.Sprintf("; the step to row %d would be %s, over the limit of %s", k+1, desk.Length(p.Project, max(step, -step)), desk.Length(p.Project, limit))
			}
		}
	}
	return text + ". Let go to lock it there; the rest is arranged anew."
}
