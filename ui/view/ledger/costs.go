package ledger

import (
	"errors"
	"slices"
	"strconv"
	"strings"
	"time"

	"fyne.io/fyne/v2/lang"

	"github.com/shopspring/decimal"

	"pilewright/plan"
	"pilewright/plan/money"
	"pilewright/ui/control"
	"pilewright/ui/locale"
)

func (r *Room) lineGrid() *control.Grid {
	list := func() []plan.Line { return r.plan().Ledger.Lines }
	rows := func() int {
		if n := len(list()); n > 0 {
			return n + 1
		}
		return 0
	}
	g := control.NewGrid([]control.Column{{Title: lang.L("Kind"), Width: 90}, {Title: lang.L("What"), Width: 150, Stretch: true}, {Title: lang.L("Amount"), Width: 80, Numeric: true}, {Title: lang.L("How it was reckoned"), Width: 280, Stretch: true}},
		rows, func(row, col int) (string, control.CellState) {
			l := r.plan().Ledger
			if row > len(l.Lines) {
				return "", control.CellState{}
			}
			if row == len(l.Lines) {
				return []string{lang.L("in all"), "", show(r.project(), l.Costs.Total()), ""}[col], control.CellState{Bold: true}
			}
			x := l.Lines[row]
			return []string{locale.Word(x.Kind), x.Text, show(r.project(), x.Amount), x.How}[col], control.CellState{Message: x.How}
		})
	g.Empty = lang.L("Nothing costs money yet. Prices of boards and lots are in the Pile; glue and finish at the shop; expenses here.")
	g.OnMessage = r.desk.Say
	return g
}

// spent lists the expenses of the open piece.
func spent(p *plan.Project) []plan.Expense {
	var out []plan.Expense
	for _, e := range p.Expenses {
		if e.Piece == p.Piece.ID && e.Piece != 0 {
			out = append(out, e)
		}
	}
	return out
}

func (r *Room) expenseGrid() *control.Grid {
	list := func() []plan.Expense { return spent(r.project()) }
	kind := control.Column{Title: lang.L("Kind"), Width: 100, Editable: true, Kind: control.Choice, Choices: func(int) []string { return locale.WordsOf(plan.ExpenseKinds...) }}
	g := control.NewGrid([]control.Column{
		{Title: lang.L("Day"), Width: 110, Editable: true, Tip: lang.L("YYYY-MM-DD")}, kind, {Title: lang.L("What"), Width: 240, Stretch: true, Editable: true}, {Title: lang.L("Spent"), Width: 100, Numeric: true, Editable: true},
		{Title: lang.L("Used here"), Width: 90, Numeric: true, Editable: true, Tip: lang.L("the part of it this piece uses, in per cent: a bottle of glue used to a third is 33")}, {Title: lang.L("Falls to this piece"), Width: 140, Numeric: true},
	}, func() int { return len(list()) }, func(row, col int) (string, control.CellState) {
		all := list()
		if row >= len(all) {
			return "", control.CellState{}
		}
		return expenseCell(r.project(), all[row], col), control.CellState{}
	})
	g.RowID = func(row int) string { return strconv.FormatInt(int64(list()[row].ID), 10) }
	g.CanAdd, g.AddHint = true, lang.L("a day")
	g.OnMessage = r.desk.Say
	g.Commit = r.commitExpense
	g.Delete = func(rows []int) {
		gone := map[plan.ID]bool{}
		for _, row := range rows {
			if all := list(); row < len(all) {
				gone[all[row].ID] = true
			}
		}
		r.desk.Fail(r.edit(lang.L("delete expenses"), "", func(q *plan.Project) error {
			q.Expenses = slices.DeleteFunc(slices.Clone(q.Expenses), func(e plan.Expense) bool { return gone[e.ID] })
			return nil
		}))
	}
	return g
}

func expenseCell(p *plan.Project, e plan.Expense, col int) string {
	switch col {
	case 0:
		return e.Date
	case 1:
		return locale.Word(e.Kind)
	case 2:
		return e.What
	case 3:
		return show(p, e.Amount)
	case 4:
		return locale.Percent(e.Share, 1)
	}
	return show(p, e.Amount.Mul(e.Share))
}

func (r *Room) commitExpense(row, col int, text string) error {
	all, now := spent(r.project()), r.now()
	return r.edit(lang.L("edit an expense"), "", func(q *plan.Project) error {
		if q.Piece.ID == 0 {
			return locale.Error("there is no piece open; make one first")
		}
		q.Expenses = slices.Clone(q.Expenses)
		i := len(q.Expenses)
		if row < len(all) {
			i = slices.IndexFunc(q.Expenses, func(e plan.Expense) bool { return e.ID == all[row].ID })
		} else {
			q.Expenses = append(q.Expenses, newExpense(q, now))
		}
		if i < 0 {
			return locale.Error("this expense is no longer there")
		}
		return setExpense(q, &q.Expenses[i], col, strings.TrimSpace(text))
	})
}

func newExpense(q *plan.Project, now time.Time) plan.Expense {
	return plan.Expense{ID: q.Take(), Piece: q.Piece.ID, Date: now.Format(time.DateOnly), Kind: "other", What: lang.L("expense"), Share: decimal.NewFromInt(1), Order: len(q.Expenses)}
}

// setExpense puts a typed text into an expense.
func setExpense(p *plan.Project, e *plan.Expense, col int, text string) error {
	switch col {
	case 0:
		if text == "" {
			return locale.Error("an expense needs a day, written as 2026-03-21")
		}
		if err := plan.CheckDay(text); err != nil {
			return err
		}
		e.Date = text
	case 1:
		kind := locale.ID(text, plan.ExpenseKinds...)
		if !slices.Contains(plan.ExpenseKinds, kind) {
			return locale.Error("“{{.text}}” is no kind; they are {{.kinds}}", locale.With{"text": text, "kinds": strings.Join(locale.WordsOf(plan.ExpenseKinds...), ", ")})
		}
		e.Kind = kind
	case 2:
		e.What = text
	case 3:
		return setAmount(p, &e.Amount, text)
	case 4:
		return setShare(&e.Share, text, lang.L("an expense can be used from 0 to 100 %"))
	default:
		return locale.Error("this is reckoned and can't be typed")
	}
	return nil
}

// setAmount reads an amount that is not below nothing; empty is nothing.
func setAmount(p *plan.Project, into *decimal.Decimal, text string) error {
	if text == "" {
		*into = decimal.Zero
		return nil
	}
	d, err := locale.ParseMoney(text, money.Of(p.Shop.Currency))
	if err != nil {
		return err
	}
	if d.IsNegative() {
		return locale.Error("the amount may not be below nothing")
	}
	*into = d
	return nil
}

// setShare reads a percentage from 0 to 100.
func setShare(into *decimal.Decimal, text, otherwise string) error {
	if text == "" {
		*into = decimal.Zero
		return nil
	}
	d, err := locale.ParsePercent(text)
	if err != nil {
		return err
	}
	if d.IsNegative() || d.GreaterThan(decimal.NewFromInt(1)) {
		return errors.New(otherwise)
	}
	*into = d
	return nil
}

func (r *Room) hardwareGrid() *control.Grid {
	list := func() []plan.Hardware { return r.project().Piece.Hardware }
	g := control.NewGrid([]control.Column{{Title: lang.L("Hardware"), Width: 110, Stretch: true, Editable: true, Tip: lang.L("bought fittings of this piece")}, {Title: lang.L("Count"), Width: 58, Numeric: true, Editable: true}, {Title: lang.L("Each"), Width: 72, Numeric: true, Editable: true}, {Title: lang.L("Together"), Width: 82, Numeric: true}},
		func() int { return len(list()) }, func(row, col int) (string, control.CellState) {
			all := list()
			if row >= len(all) {
				return "", control.CellState{}
			}
			h := all[row]
			return []string{h.Name, strconv.Itoa(h.Count), show(r.project(), h.Each), show(r.project(), h.Each.Mul(decimal.NewFromInt(int64(h.Count))))}[col], control.CellState{}
		})
	g.CanAdd, g.AddHint = true, lang.L("Type to add")
	g.OnMessage = r.desk.Say
	g.Commit = func(row, col int, text string) error {
		return r.edit(lang.L("edit hardware"), "", func(q *plan.Project) error { return setHardware(q, row, col, strings.TrimSpace(text)) })
	}
	g.Delete = func(rows []int) {
		r.desk.Fail(r.edit(lang.L("delete hardware"), "", func(q *plan.Project) error {
			var kept []plan.Hardware
			for i, h := range q.Piece.Hardware {
				if !slices.Contains(rows, i) {
					kept = append(kept, h)
				}
			}
			q.Piece.Hardware = kept
			return nil
		}))
	}
	return g
}

// mostHardware is the most of one fitting that is believed.
const mostHardware = 10_000

// setHardware puts a typed text into a line of hardware; a row past the end is new.
func setHardware(q *plan.Project, row, col int, text string) error {
	if q.Piece.ID == 0 {
		return locale.Error("there is no piece open; make one first")
	}
	q.Piece.Hardware = slices.Clone(q.Piece.Hardware)
	if row >= len(q.Piece.Hardware) {
		row = len(q.Piece.Hardware)
		q.Piece.Hardware = append(q.Piece.Hardware, plan.Hardware{Name: lang.L("fitting"), Count: 1})
	}
	h := &q.Piece.Hardware[row]
	switch col {
	case 0:
		if text == "" {
			return locale.Error("hardware needs a name")
		}
		h.Name = text
	case 1:
		n, err := strconv.Atoi(text)
		if err != nil || n < 0 || n > mostHardware {
			return locale.Error("“{{.text}}” is not a count from 0 to {{.mostHardware}}", locale.With{"text": text, "mostHardware": mostHardware})
		}
		h.Count = n
	case 2:
		return setAmount(q, &h.Each, text)
	default:
		return locale.Error("this is reckoned and can't be typed")
	}
	return nil
}
