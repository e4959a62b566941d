package ledger

import (
	"fmt"
	"io"
	"strconv"
	"strings"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/dialog"
	"fyne.io/fyne/v2/lang"
	"fyne.io/fyne/v2/storage"
	"fyne.io/fyne/v2/widget"
	"github.com/shopspring/decimal"

	"pilewright/plan"
	"pilewright/ui/locale"
)

// importExpenses reads an expenses CSV, shows what would be taken and adds it when
// that is confirmed. One bad row, and nothing is taken.
func (r *Room) importExpenses() {
	win := r.desk.Window()
	d := dialog.NewFileOpen(func(u fyne.URIReadCloser, err error) {
		if err != nil || u == nil {
			r.desk.Fail(err)
			return
		}
		defer u.Close()
		r.previewExpenses(u, u.URI().Name())
	}, win)
	d.SetFilter(storage.NewExtensionFileFilter([]string{".csv"}))
	d.Resize(win.Canvas().Size().Subtract(fyne.NewSize(80, 80)))
	d.Show()
}

// previewExpenses shows the rows of a file, or what is wrong with them.
func (r *Room) previewExpenses(file io.Reader, name string) {
	list, err := r.project().ReadExpenses(file)
	text, title := "", lang.L("Import expenses from {{.name}}", locale.With{"name": name})
	if err != nil {
		text = lang.L("Nothing was imported. Mend these rows and import the file again:") + "\n\n" + err.Error()
	} else {
		text = previewText(r.project(), list)
	}
	said := widget.NewLabel(text)
	said.Wrapping = fyne.TextWrapWord
	body := container.NewVScroll(said)
	body.SetMinSize(fyne.NewSize(560, 280))
	if err != nil {
		dialog.ShowCustom(title, lang.L("Close"), body, r.desk.Window())
		r.desk.Fail(locale.Error("nothing was imported from {{.name}}", locale.With{"name": name}))
		return
	}
	dialog.ShowCustomConfirm(title, lang.L("Add them"), lang.L("Leave them out"), body, func(ok bool) {
		if ok {
			r.desk.Fail(r.takeExpenses(list))
		}
	}, r.desk.Window())
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

// rowsShown is how many rows a preview lists.
const rowsShown = 200

// previewText lists expenses about to be imported, with their sum.
func previewText(p *plan.Project, list []plan.Expense) string {
	var out strings.Builder
	sum := decimal.Zero
	for _, e := range list {
		sum = sum.Add(e.Amount.Mul(e.Share))
	}
	out.WriteString(lang.L("{{.n}} expenses, {{.sum}} by the share used:", locale.With{"n": len(list), "sum": show(p, sum)}) + "\n\n")
	for i, e := range list {
		if i == rowsShown {
			out.WriteString(lang.L("and {{.n}} more", locale.With{"n": strconv.Itoa(len(list) - i)}) + "\n")
			break
		}
		fmt.Fprintf(&out, "%s  %s  %s  %s (%s)  %s\n", e.Date, locale.Word(e.Kind), e.What, show(p, e.Amount), locale.Percent(e.Share, 0), pieceName(p, e.Piece))
	}
	return out.String()
}
