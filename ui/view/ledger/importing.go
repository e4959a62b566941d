package ledger

import (
	"io"

	"fyne.io/fyne/v2/lang"
	"github.com/shopspring/decimal"

	"pilewright/plan"
	"pilewright/ui/control"
	"pilewright/ui/desk"
	"pilewright/ui/locale"
)

// importExpenses reads an expenses CSV, shows what would be taken and adds it when
// that is confirmed.
func (r *Room) importExpenses() { desk.PickCSV(r.desk, r.previewExpenses) }

// previewExpenses shows the rows of a file, or what is wrong with them.
func (r *Room) previewExpenses(file io.Reader, name string) {
	p := r.project()
	list, err := p.ReadExpenses(file)
	desk.Import{
		Title: lang.L("Import expenses from {{.name}}", locale.With{"name": name}), Name: name,
		Say: expensesSum(p, list), Columns: expenseImportColumns(), Rows: len(list),
		Cell: func(row, col int) (string, control.CellState) {
			return expenseImportCell(p, list[row], col), control.CellState{}
		},
		Take: func() error { return r.takeExpenses(list) },
	}.Offer(r.desk, err)
}

// takeExpenses adds expenses as one edit that can be undone.
func (r *Room) takeExpenses(list []plan.Expense) error {
	return r.desk.Session().Edit(lang.L("import {{.n}} expenses", locale.With{"n": len(list)}), "", func(p *plan.Project) (*plan.Project, error) {
		if len(p.Expenses)+len(list) > plan.MaxExpenses {
			return nil, locale.Error("the shop would hold more than {{.most}} expenses", locale.With{"most": plan.MaxExpenses})
		}
		return p.AddExpenses(list), nil
	})
}

// expensesSum says how many expenses are about to be imported, and their sum.
func expensesSum(p *plan.Project, list []plan.Expense) string {
	sum := decimal.Zero
	for _, e := range list {
		sum = sum.Add(e.Amount.Mul(e.Share))
	}
	return lang.L("{{.n}} expenses, {{.sum}} by the share used:", locale.With{"n": len(list), "sum": show(p, sum)})
}

func expenseImportColumns() []control.Column {
	return []control.Column{
		{Title: lang.L("Day"), Width: 100}, {Title: lang.L("Kind"), Width: 110}, {Title: lang.L("What"), Width: 220, Stretch: true},
		{Title: lang.L("Spent"), Width: 90, Numeric: true}, {Title: lang.L("Used here"), Width: 90, Numeric: true}, {Title: lang.L("Piece"), Width: 160},
	}
}

// expenseImportCell is one cell of the table of expenses about to be added.
func expenseImportCell(p *plan.Project, e plan.Expense, col int) string {
	switch col {
	case 4:
		return locale.Percent(e.Share, 0)
	case 5:
		return pieceName(p, e.Piece)
	}
	return expenseCell(p, e, col)
}
