package ledger

import (
	"io"
	"strconv"

	"fyne.io/fyne/v2/lang"
	"github.com/shopspring/decimal"

	"pilewright/plan"
	"pilewright/ui/control"
	"pilewright/ui/desk"
	"pilewright/ui/locale"
)

// setAgainst shows what the open piece has unlike another; the open one itself is
// set against the piece it is a variant of.
func (c *sideBySide) setAgainst(id plan.ID) {
	r := c.room
	open := r.project()
	if id == open.Piece.ID {
		id = open.Piece.VariantOf
	}
	c.against, c.list = id, nil
	if id == 0 || open.Piece.ID == 0 {
		c.showDifferences()
		return
	}
	file := r.desk.Session().File()
	r.background(func() func() {
		other, err := file.Load(id)
		if err != nil || !other.PieceIsThere() {
			return func() { r.desk.Fail(err); c.against = 0; c.showDifferences() }
		}
		list := plan.Differences(other, open)
		return func() {
			if c.against == id && r.project().Piece.ID == open.Piece.ID {
				c.list = list
				c.showDifferences()
			}
		}
	})
}

func (c *sideBySide) showDifferences() {
	p := c.room.project()
	name := pieceName(p, c.against)
	switch {
	case c.against == 0 || name == "":
		c.head.SetText(lang.L("Choose another piece under “Side by side”: what the open one has unlike it stands here."))
	case len(c.list) == 0:
		c.head.SetText(lang.L("“{{.open}}” and “{{.other}}” are alike in sizes, parts, joints, finish and price.", locale.With{"open": p.Piece.Name, "other": name}))
	default:
		c.head.SetText(lang.L("What “{{.open}}” has unlike “{{.other}}”:", locale.With{"open": p.Piece.Name, "other": name}))
	}
	c.diff.Refresh()
}

// kindOf names what a difference is of.
func kindOf(d plan.Difference) string {
	switch d.Kind {
	case "piece":
		return lang.L("piece")
	case "measure":
		return lang.L("measure")
	case "part":
		return lang.L("part")
	case "joint":
		return lang.L("joint")
	}
	return lang.L("hardware")
}

func (c *sideBySide) diffGrid() *control.Grid {
	g := control.NewGrid([]control.Column{{Title: lang.L("Kind"), Width: 90}, {Title: lang.L("What"), Width: 200, Stretch: true}, {Title: lang.L("Of it"), Width: 130}, {Title: lang.L("In the other"), Width: 180, Stretch: true}, {Title: lang.L("In the open piece"), Width: 180, Stretch: true}},
		func() int { return len(c.list) }, func(row, col int) (string, control.CellState) {
			if row >= len(c.list) {
				return "", control.CellState{}
			}
			return differenceCell(c.list[row], col)
		})
	g.Empty = lang.L("Nothing differs, or nothing is chosen.")
	g.OnMessage = c.room.desk.Say
	return g
}

func differenceCell(d plan.Difference, col int) (string, control.CellState) {
	side := func(text string) (string, control.CellState) {
		if text == "" {
			return "–", control.CellState{Dim: true}
		}
		return text, control.CellState{Message: text}
	}
	switch col {
	case 0:
		return kindOf(d), control.CellState{}
	case 1:
		return d.What, control.CellState{Bold: true}
	case 2:
		return locale.Say(d.Of), control.CellState{}
	case 3:
		return side(locale.Say(d.Was))
	}
	return side(locale.Say(d.Is))
}

func (r *Room) exportComparison() {
	p, list := r.project(), r.pieces
	desk.SaveAs(r.desk, "comparison.csv", func(w io.Writer) error { return writeComparison(w, p, list) })
}

// writeComparison writes every piece as CSV (RFC 4180); what is not known is empty.
func writeComparison(w io.Writer, p *plan.Project, list []pieceLine) error {
	head := []string{"piece", "variant_of", "planned_minutes", "logged_minutes", "cost", "expenses", "yield", "asked", "sold", "currency", "hour_planned", "hour_earned", "finished"}
	amount := func(d decimal.Decimal) string {
		if d.IsZero() {
			return ""
		}
		return d.Round(4).String()
	}
	null := func(d decimal.NullDecimal) string {
		if !d.Valid {
			return ""
		}
		return d.Decimal.Round(4).String()
	}
	var rows [][]string
	for _, l := range list {
		planned, yield, costs := "", "", ""
		if l.known {
			planned, yield, costs = strconv.FormatFloat(l.planned, 'f', 1, 64), strconv.FormatFloat(l.yield, 'f', 4, 64), l.cost.Round(4).String()
		}
		rows = append(rows, []string{l.name, l.of, planned, strconv.FormatFloat(l.logged, 'f', 1, 64), costs, amount(l.spent), yield, amount(l.price), amount(l.sold), p.Shop.Currency,
			null(l.hour), null(l.earned), strconv.FormatBool(l.done)})
	}
	return plan.WriteTable(w, head, rows)
}
