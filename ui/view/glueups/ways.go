package glueups

import (
	"errors"
	"fmt"
	"slices"
	"strconv"

	"fyne.io/fyne/v2/lang"

	"github.com/shopspring/decimal"

	"pilewright/plan"
	"pilewright/plan/measure"
	"pilewright/plan/money"
	"pilewright/ui/control"
	"pilewright/ui/desk"
	"pilewright/ui/locale"
	"pilewright/ui/session"
)

// wayLine is one option of one part.
type wayLine struct {
	part   plan.ID
	name   string
	way    plan.Way
	option plan.WayOption
	chosen bool
	locked bool
	first  bool // of its part
}

// wayLines lists every option of every part, parts in their order.
func wayLines(p *plan.Plan) []wayLine {
	var out []wayLine
	for _, pw := range p.Ways {
		sp, _ := p.Part(pw.Part)
		for i, o := range pw.Options {
			out = append(out, wayLine{part: pw.Part, name: sp.Name, way: o.Way, option: o, chosen: i == pw.Chosen, locked: pw.Locked, first: i == 0})
		}
	}
	return out
}

func wayColumns() []control.Column {
	return []control.Column{
		{Title: lang.L("Part"), Width: 84, Stretch: true}, {Title: lang.L("Chosen"), Width: 82, Tip: lang.L("the plan's choice, or yours")}, {Title: lang.L("Way"), Width: 104, Tip: lang.L("solid: from one board; laminated: layers face to face; flat panel: rows edge to edge; on edge: strips stood on edge; mixed: strips of the widths the pile has, each panel of its own")}, {Title: lang.L("Rows"), Width: 54, Numeric: true, Tip: lang.L("rows of a panel, or layers")},
		{Title: lang.L("Pieces"), Width: 62, Numeric: true, Tip: lang.L("end to end in one row")}, {Title: lang.L("Thick"), Width: 70, Numeric: true, Tip: lang.L("what planing can reach, and what the part needs")}, {Title: lang.L("Wood"), Width: 80, Numeric: true, Tip: lang.L("face area of every board the whole piece then opens")},
		{Title: lang.L("Boards"), Width: 64, Numeric: true}, {Title: lang.L("Money"), Width: 78, Numeric: true, Tip: lang.L("price of those boards")},
		{Title: lang.L("Gluing"), Width: 84, Numeric: true, Tip: lang.L("jointing, gluing and flattening that all chosen ways ask for")},
		{Title: lang.L("With hours"), Width: 92, Numeric: true, Tip: lang.L("money, and those hours at the wished pay: what the plan compares")},
		{Title: lang.L("Leftovers"), Width: 86, Numeric: true, Tip: lang.L("length of leftovers that go back to the pile")}, {Title: lang.L("Why not"), Width: 200, Stretch: true},
	}
}

// wayCell gives one cell of the table of ways.
func wayCell(p *plan.Project, l wayLine, col int) (string, control.CellState) {
	state := control.CellState{Dim: !l.option.Fits, Bold: l.chosen && col == 2}
	t := l.option.Trial
	show := func(d decimal.Decimal) string { return money.Of(p.Shop.Currency).Format(d) }
	switch col {
	case 0:
		if !l.first {
			return "", state
		}
		return l.name, control.CellState{Bold: true}
	case 1:
		return choiceWord(l), state
	case 2:
		if l.option.Mixed {
			return lang.L("mixed strips"), state
		}
		return wayName(l.way), state
	case 3:
		least, most := l.option.RowRange()
		if least < most {
			return fmt.Sprintf("%d–%d", least, most), state
		}
		return strconv.Itoa(most), state
	case 4:
		return strconv.Itoa(l.option.Pieces), state
	case 12:
		if l.option.Fits && t != nil && t.Missing > 0 {
			return missingText(t.Missing), state
		}
		if l.option.Mixed && !l.chosen && t != nil {
			return lang.L("taken when asked for: equal rows need one fence setting"), state
		}
		return l.option.Why, state
	}
	if t == nil {
		return "–", control.CellState{Dim: true, Message: lang.L("Not tried: it does not fit the pile, or the search was ended first.")}
	}
	switch col {
	case 5:
		if t.Thick == 0 {
			return "–", state
		}
		return desk.Bare(p, t.Thick), state
	case 6:
		return area(p, t.Wood), state
	case 7:
		return strconv.Itoa(t.Boards), state
	case 8:
		return show(t.Money), state
	case 9:
		return locale.Decimal(t.Minutes, 0) + " min", state
	case 10:
		return show(t.Cost), state
	}
	return desk.Bare(p, t.Kept), state
}

func missingText(n int) string {
	if n == 1 {
		return lang.L("a blank would be missing")
	}
	return lang.L("{{.n}} blanks would be missing", locale.With{"n": n})
}

func choiceWord(l wayLine) string {
	switch {
	case l.chosen && l.locked:
		return lang.L("yours")
	case l.chosen:
		return lang.L("the plan's")
	}
	return ""
}

// area writes an area as the shop measures.
func area(p *plan.Project, a measure.Area) string {
	if p.Shop.Inches {
		return locale.Decimal(a.SquareFeet(), 1) + " ft²"
	}
	return locale.Decimal(a.SquareMetres(), 2) + " m²"
}

func (r *Room) wayGrid() *control.Grid {
	list := func() []wayLine { return r.waysOf }
	g := control.NewGrid(wayColumns(), func() int { return len(list()) }, func(row, col int) (string, control.CellState) {
		lines := list()
		if row >= len(lines) {
			return "", control.CellState{}
		}
		return wayCell(r.plan().Project, lines[row], col)
	})
	g.Empty = lang.L("The ways are shown once the piece has parts and the pile boards.")
	g.OnMessage = r.desk.Say
	g.OnSelect = func(rows []int) {
		r.option = -1
		if lines := list(); len(rows) == 1 && rows[0] < len(lines) {
			r.option = rows[0]
			if part := lines[rows[0]].part; r.desk.Session().Selection().Part != part {
				r.desk.Session().Select(session.Selection{Part: part})
			}
		}
	}
	g.OnOpen = func(int, int) { r.lockWay() }
	return g
}

// withWay gives the project with a part's way locked; plan.AnyWay frees it.
func withWay(p *plan.Project, part plan.ID, way plan.Way) (*plan.Project, error) {
	i := slices.IndexFunc(p.Parts, func(o plan.Part) bool { return o.ID == part })
	if i < 0 {
		return nil, locale.Error("this part is no longer there")
	}
	return p.With(func(q *plan.Project) {
		q.Parts = slices.Clone(p.Parts)
		q.Parts[i].Way = way
	}), nil
}

var errNoWay = errors.New(locale.Mark("choose a way in the table first"))

func (r *Room) lockWay() {
	lines := r.waysOf
	if r.option < 0 || r.option >= len(lines) {
		r.desk.Fail(errNoWay)
		return
	}
	l := lines[r.option]
	if l.option.Mixed {
		r.setWay(lang.L("make the {{.name}} of mixed strips", locale.With{"name": l.name}), l.part, plan.MixedPanel)
		return
	}
	r.setWay(lang.L("make the {{.name}} {{.way}}", locale.With{"name": l.name, "way": wayName(l.way)}), l.part, l.way)
}

func (r *Room) freeWay() {
	lines := r.waysOf
	if r.option < 0 || r.option >= len(lines) {
		r.desk.Fail(errNoWay)
		return
	}
	l := lines[r.option]
	r.setWay(lang.L("let the plan choose the way of the {{.name}}", locale.With{"name": l.name}), l.part, plan.AnyWay)
}

func (r *Room) setWay(label string, part plan.ID, way plan.Way) {
	err := r.desk.Session().Edit(label, "", func(p *plan.Project) (*plan.Project, error) { return withWay(p, part, way) })
	r.desk.Fail(err)
	if err == nil {
		r.desk.Say(lang.L("The number of rows stays the plan's choice."))
	}
}
