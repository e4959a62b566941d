package cuts

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"fyne.io/fyne/v2/lang"

	"github.com/shopspring/decimal"

	"pilewright/plan"
	"pilewright/plan/measure"
	"pilewright/ui/control"
	"pilewright/ui/desk"
	"pilewright/ui/locale"
	"pilewright/ui/session"
)

func (r *Room) length(l measure.Length) string {
	return desk.Length(r.desk.Session().Project(), l)
}

func (r *Room) boardGrid() *control.Grid {
	list := func() []plan.CutBoard { return r.cuts().Boards }
	g := control.NewGrid([]control.Column{
		{Title: lang.L("Board"), Width: 60, Tip: lang.L("what is chalked on it")}, {Title: lang.L("Size"), Width: 206}, {Title: lang.L("Species"), Width: 80}, {Title: lang.L("Lies at"), Width: 90, Tip: lang.L("where to find it")},
		{Title: lang.L("Cut from it"), Width: 180, Stretch: true, Tip: lang.L("marks of the blanks, in the order they leave the board")}, {Title: lang.L("Used"), Width: 56, Numeric: true, Tip: lang.L("share of its face that becomes blanks")},
		{Title: lang.L("Goes back"), Width: 170, Stretch: true, Tip: lang.L("leftovers long enough to keep")}, {Title: lang.L("Price"), Width: 64, Numeric: true, Tip: lang.L("what the board cost")},
	}, func() int { return len(list()) }, func(row, col int) (string, control.CellState) {
		if row >= len(list()) {
			return "", control.CellState{}
		}
		cb := list()[row]
		b, _ := r.desk.Session().Plan().Project.Board(cb.Board)
		switch col {
		case 0:
			return b.Mark, control.CellState{Bold: true}
		case 1:
			return desk.Size(r.desk.Session().Project(), b.Length, b.Width, b.Thickness), control.CellState{}
		case 2:
			return b.Species, control.CellState{}
		case 3:
			return b.Place, control.CellState{}
		case 4:
			var marks []string
			for _, c := range cb.Pieces {
				marks = append(marks, c.Mark)
			}
			return strings.Join(marks, " "), control.CellState{}
		case 5:
			var used measure.Area
			for _, c := range cb.Pieces {
				used = used.Add(measure.AreaOf(c.Length, c.Width))
			}
			return locale.Float(100*used.Float()/measure.AreaOf(b.Length, b.Width).Float(), 0) + " %", control.CellState{}
		case 6:
			var kept []string
			for _, l := range cb.Leftovers {
				kept = append(kept, desk.Size(r.desk.Session().Project(), l.Length, l.Width))
			}
			return strings.Join(kept, ", "), control.CellState{}
		}
		if b.Price.IsZero() {
			return "", control.CellState{}
		}
		return desk.Money(r.desk.Session().Project(), b.Price), control.CellState{}
	})
	g.RowID = func(row int) string { return strconv.FormatInt(int64(list()[row].Board), 10) }
	g.OnMessage = r.desk.Say
	g.Empty = lang.L("No board is cut yet.")
	g.OnOpen = func(int, int) { r.modes.Press(oneBoard) }
	g.OnSelect = func(rows []int) {
		if len(rows) == 1 && rows[0] < len(list()) && r.desk.Session().Selection().Board != list()[rows[0]].Board {
			r.desk.Session().Select(session.Selection{Board: list()[rows[0]].Board})
		}
	}
	return g
}

// sawRow is one cut in the order of the shop.
type sawRow struct {
	mark string
	saw  plan.Saw
}

// sawRows lists every cut, equal settings together.
func (r *Room) sawRows() []sawRow {
	var out []sawRow
	p := r.desk.Session().Plan()
	if p == nil {
		return nil
	}
	for _, cb := range p.Cuts.Boards {
		b, _ := p.Project.Board(cb.Board)
		for _, s := range cb.Saws {
			out = append(out, sawRow{b.Mark, s})
		}
	}
	slices.SortStableFunc(out, func(a, b sawRow) int { return a.saw.Group - b.saw.Group })
	return out
}

func (r *Room) sawGrid() *control.Grid {
	g := control.NewGrid([]control.Column{
		{Title: lang.L("Set-up"), Width: 62, Numeric: true, Tip: lang.L("cuts with the same set-up are made one after the other")}, {Title: lang.L("Machine"), Width: 100}, {Title: lang.L("Stop or fence at"), Width: 120, Numeric: true, Tip: lang.L("the size kept")},
		{Title: lang.L("Board"), Width: 66}, {Title: lang.L("Blade at"), Width: 90, Numeric: true, Tip: lang.L("near side of the blade, from the board's left end or lower edge")}, {Title: lang.L("Frees"), Width: 200, Stretch: true, Tip: lang.L("blanks that come off with this cut; after planing = short ones go through the planer as one length and are parted then")},
	}, func() int { return len(r.sawRows()) }, func(row, col int) (string, control.CellState) {
		rows := r.sawRows()
		if row >= len(rows) {
			return "", control.CellState{}
		}
		s := rows[row]
		machine := lang.L("mitre saw")
		if s.saw.Rip {
			machine = lang.L("table saw")
		}
		stop := lang.L("a mark")
		if s.saw.Stop > 0 {
			stop = r.length(s.saw.Stop)
		}
		first := row == 0 || rows[row-1].saw.Group != s.saw.Group
		return []string{strconv.Itoa(s.saw.Group), machine, stop, s.mark, r.length(s.saw.At), frees(s.saw)}[col], control.CellState{Bold: first && col < 3, Dim: !first && col < 3}
	})
	g.OnMessage = r.desk.Say
	return g
}

// frees names the blanks that come off with a cut, and says of a late one when.
func frees(s plan.Saw) string {
	if s.Parting {
		return s.Mark + lang.L(" (after planing)")
	}
	return s.Mark
}

func (r *Room) aimGrid() *control.Grid {
	list := func() []plan.Level { return r.cuts().Levels }
	g := control.NewGrid([]control.Column{
		{Title: lang.L("Aim, the weightiest first"), Width: 200, Tip: lang.L("a lesser aim never spoils a weightier one; clear wood long enough to keep is of use by its width times its length squared, so one long leftover counts for more than two half as long")}, {Title: lang.L("This plan"), Width: 120, Numeric: true}, {Title: lang.L("Proved: never below"), Width: 160, Numeric: true}, {Title: lang.L("So"), Width: 200, Stretch: true},
	}, func() int { return len(list()) }, func(row, col int) (string, control.CellState) {
		if row >= len(list()) {
			return "", control.CellState{}
		}
		l := list()[row]
		switch col {
		case 0:
			return locale.Word(l.Name), control.CellState{Bold: true}
		case 1:
			return r.aim(l.Kind, l.Value), control.CellState{}
		case 2:
			return r.aim(l.Kind, l.Bound), control.CellState{}
		}
		if l.Proved {
			return lang.L("proved the best there is"), control.CellState{}
		}
		if l.Bound.IsPositive() {
			gap, _ := l.Value.Sub(l.Bound).Div(l.Value).Float64()
			share := fmt.Sprintf("%.2g", 100*gap)
			if gap >= 0.1 {
				share = fmt.Sprintf("%.0f", 100*gap)
			}
			return lang.L("at most {{.share}} % could be saved", locale.With{"share": locale.Number(share)}), control.CellState{Warn: true}
		}
		return lang.L("not proved"), control.CellState{Warn: true}
	})
	g.OnMessage = r.desk.Say
	return g
}

// aim writes what a level counts in the maker's units.
func (r *Room) aim(kind plan.LevelKind, v decimal.Decimal) string {
	p := r.desk.Session().Project()
	switch kind {
	case plan.LevelMoney:
		return desk.Money(p, v)
	case plan.LevelWood:
		if p.Shop.Inches {
			return lang.L("{{.area}} sq ft", locale.With{"area": locale.Decimal(v.Div(decimal.NewFromFloat(92_903.04)), 2)}) // a foot is 304.8 mm exactly
		}
		return locale.Decimal(v.Shift(-6), 3) + " m²"
	case plan.LevelLeftovers:
		return locale.Decimal(v.Shift(-9), 3) + " m² · m"
	}
	return v.String()
}

func (r *Room) lockGrid() *control.Grid {
	list := func() []plan.Choice {
		return slices.DeleteFunc(slices.Clone(r.desk.Session().Project().Choices), func(c plan.Choice) bool { return c.Kind.OfRows() })
	}
	g := control.NewGrid([]control.Column{{Title: lang.L("Choice of yours"), Width: 300, Stretch: true}, {Title: lang.L("Board"), Width: 80}, {Title: lang.L("Costs"), Width: 300, Stretch: true, Tip: lang.L("against the plan without it, as found when it was made")}}, func() int { return len(list()) }, func(row, col int) (string, control.CellState) {
		if row >= len(list()) {
			return "", control.CellState{}
		}
		c := list()[row]
		b, _ := r.desk.Session().Project().Board(c.Board)
		switch {
		case col == 1:
			return b.Mark, control.CellState{Bold: true}
		case col == 2:
			return r.costs[lockKey(c.Kind, c.Blank, c.Row, c.Board)], control.CellState{}
		case c.Kind == plan.NeverBoard:
			return lang.L("never cut this board"), control.CellState{}
		}
		if p := r.desk.Session().Plan(); p != nil {
			if bl, ok := p.Blank(c.Blank); ok {
				return lang.L("{{.name}} {{.mark}}{{.row}} comes from this board", locale.With{"name": bl.Name, "mark": bl.Mark, "row": strconv.Itoa(c.Row)}), control.CellState{}
			}
		}
		id, _ := plan.KeyPart(c.Blank)
		part, _ := r.desk.Session().Project().Part(id)
		return lang.L("a blank of the {{.name}} that this plan does not make", locale.With{"name": part.Name}), control.CellState{Dim: true}
	})
	g.Empty = lang.L("No locks. Drag a blank to another board in the drawing to lock it there. Delete takes a lock off.")
	g.RowID = func(row int) string { return strconv.FormatInt(int64(list()[row].ID), 10) }
	g.OnMessage = r.desk.Say
	g.Delete = func(rows []int) {
		gone := map[plan.ID]bool{}
		for _, row := range rows {
			if all := list(); row < len(all) {
				gone[all[row].ID] = true
			}
		}
		r.desk.Fail(r.desk.Session().Edit(lang.L("take locks off"), "", func(p *plan.Project) (*plan.Project, error) {
			return p.With(func(q *plan.Project) {
				q.Choices = slices.DeleteFunc(slices.Clone(p.Choices), func(c plan.Choice) bool { return gone[c.ID] })
			}), nil
		}))
	}
	return g
}
