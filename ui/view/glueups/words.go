package glueups

import (
	"cmp"
	"slices"
	"strings"

	"fyne.io/fyne/v2/lang"

	"github.com/shopspring/decimal"

	"pilewright/plan"
	"pilewright/plan/measure"
	"pilewright/ui/desk"
	"pilewright/ui/locale"
)

// wayName is a way in the trade's words.
func wayName(w plan.Way) string {
	switch w {
	case plan.Solid:
		return lang.L("solid")
	case plan.Laminated:
		return lang.L("laminated")
	case plan.FlatPanel:
		return lang.L("flat panel")
	case plan.OnEdge:
		return lang.L("on edge")
	}
	return ""
}

// wood writes a volume of wood, cubic inches or cubic centimetres as the shop
// measures.
func wood(p *plan.Project, mm3 decimal.Decimal) string {
	if p.Shop.Inches {
		inch := decimal.RequireFromString("16387.064") // mm³ in a cubic inch, exact
		return locale.Number(mm3.DivRound(inch, 1).String()) + " in³"
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
		text += " (" + locale.Number(g.Panel.Planed.Shift(2).DivRound(whole, 1).String()) + " %)"
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
		return lang.L("breaks a rule")
	case g.Panel.Proved:
		return lang.L("proved least")
	case g.Panel.Bound.IsPositive() && wood(p, g.Panel.Bound) == wood(p, g.Panel.Planed):
		return lang.L("proved least") // to the figure shown beside it
	case g.Panel.Bound.IsPositive():
		return lang.L("at least {{.wood}}", locale.With{"wood": wood(p, g.Panel.Bound)})
	}
	return lang.L("not proved")
}

// standing tells how a glue-up stands, in sentences.
func standing(p *plan.Plan, g plan.GlueUp) string {
	if g.Way == plan.Laminated {
		return lang.L("{{.name}} {{.copy}}: {{.rows}} layers, cleanest outside; {{.thickness}} thick as glued, planed to {{.target}}.", locale.With{"name": g.Name, "copy": g.Copy, "rows": len(g.Panel.Rows), "thickness": desk.Length(p.Project, g.Thickness), "target": desk.Length(p.Project, g.Target)})
	}
	text := lang.L("{{.name}} {{.copy}}: {{.planed}} planed away.", locale.With{"name": g.Name, "copy": g.Copy, "planed": planed(p.Project, g)})
	switch {
	case len(g.Panel.Faults) > 0:
		text += " " + strings.Join(g.Panel.Faults, " ")
	case g.Panel.Proved:
		text += lang.L(" Proved: no arrangement of these strips planes away less.")
	default:
		text += lang.L(" Proved: no arrangement planes away less than {{.wood}}.", locale.With{"wood": wood(p.Project, g.Panel.Bound)})
	}
	if n := len(g.Beds); n > 1 {
		text += lang.L(" Wider than the planer: glued as {{.n}} parts, planed, then joined.", locale.With{"n": n})
	}
	if list := g.Panel.Turned(); len(list) > 0 {
		text += lang.L(" Turned over, face B where A was: {{.marks}}.", locale.With{"marks": strings.Join(list, ", ")})
	}
	return text
}

// state is what a change by hand is compared with.
type state struct {
	key    string
	planed decimal.Decimal
	faults []string
	what   string
	marked string // the strip whose rings were marked
	flip   bool   // as it lay then
}

// against tells what a change by hand did, in sentences.
func (s *state) against(p *plan.Project, g plan.GlueUp) string {
	if s.marked != "" {
		if flipped(g, s.marked) == s.flip {
			return lang.L("Marked: {{.what}}.", locale.With{"what": s.what})
		}
		return lang.L("Marked: {{.what}}. The plan turns it over, so that the rows lie as the shop is used to.", locale.With{"what": s.what})
	}
	text := ""
	switch c := g.Panel.Planed.Cmp(s.planed); {
	case c > 0:
		text = lang.L("{{.what}}: {{.wood}} more is planed away (before {{.was}}).", locale.With{"what": s.what, "wood": wood(p, g.Panel.Planed.Sub(s.planed)), "was": wood(p, s.planed)})
	case c < 0:
		text = lang.L("{{.what}}: {{.wood}} less is planed away (before {{.was}}).", locale.With{"what": s.what, "wood": wood(p, s.planed.Sub(g.Panel.Planed)), "was": wood(p, s.planed)})
	default:
		text = lang.L("{{.what}}: no more is planed away than before.", locale.With{"what": s.what})
	}
	for _, f := range g.Panel.Faults {
		if !slices.Contains(s.faults, f) {
			text += " " + lang.L("New: {{.fault}}", locale.With{"fault": f})
		}
	}
	if len(s.faults) > 0 && len(g.Panel.Faults) == 0 {
		text += lang.L(" Every rule is kept again.")
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
	text := lang.L("Strip {{.mark}}, row {{.row}}, {{.length}} long", locale.With{"mark": cmp.Or(marks[strip], q.Mark), "row": row, "length": desk.Length(p.Project, q.Length)})
	if b, ok := boards[strip]; ok {
		text += lang.L(", from board {{.mark}}, {{.thickness}} thick", locale.With{"mark": b.Mark, "thickness": desk.Length(p.Project, b.Thickness)})
	}
	if q.Flip {
		text += lang.L(", turned over")
	}
	for _, lies := range q.Lies(g.Way) {
		text += ", " + locale.Say(lies)
	}
	if locked(p.Project, strip) {
		text += lang.L(", locked by you")
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
		return lang.L("Let go over a row of the panel.")
	}
	boards, marks := strips(p)
	name := cmp.Or(marks[strip], lang.L("The strip"))
	if from == row {
		return lang.L("{{.name}} stays in row {{.row}} and is locked there.", locale.With{"name": name, "row": row})
	}
	r := g.Panel.Rows[row-1]
	text := lang.L("{{.name}} to row {{.row}}", locale.With{"name": name, "row": row})
	if b, ok := boards[strip]; ok && g.Way == plan.FlatPanel {
		text += lang.L(": it is {{.thickness}} thick, the row now {{.now}}", locale.With{"thickness": desk.Length(p.Project, b.Thickness), "now": desk.Length(p.Project, r.Thickness)})
		limit := cmp.Or(p.Project.Piece.StepLimit, p.Project.Shop.StepLimit)
		for _, k := range []int{row - 2, row} {
			if k < 0 || k >= len(g.Panel.Rows) || k == from-1 {
				continue
			}
			if step := b.Thickness - g.Panel.Rows[k].Thickness; max(step, -step) > limit {
				text += lang.L("; the step to row {{.k}} would be {{.step}}, over the limit of {{.limit}}", locale.With{"k": k + 1, "step": desk.Length(p.Project, max(step, -step)), "limit": desk.Length(p.Project, limit)})
			}
		}
	}
	return lang.L("{{.text}}. Let go to lock it there; the rest is arranged anew.", locale.With{"text": text})
}
