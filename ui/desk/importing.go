package desk

import (
	"errors"
	"io"
	"strconv"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/dialog"
	"fyne.io/fyne/v2/lang"
	"fyne.io/fyne/v2/storage"
	"fyne.io/fyne/v2/widget"

	"pilewright/plan"
	"pilewright/ui/control"
	"pilewright/ui/locale"
)

// Import is what a file would bring, to be looked at before anything is taken.
type Import struct {
	Title   string // the dialog's
	Name    string // of the file
	Say     string // how much it is, in a line above the table
	Columns []control.Column
	Rows    int
	Cell    func(row, col int) (string, control.CellState)
	Take    func() error // adds all of it as one edit
}

// PickCSV asks for a CSV file and has it read.
func PickCSV(d Desk, read func(file io.Reader, name string)) {
	win := d.Window()
	ask := dialog.NewFileOpen(func(u fyne.URIReadCloser, err error) {
		if err != nil || u == nil {
			d.Fail(err)
			return
		}
		defer u.Close()
		read(u, u.URI().Name())
	}, win)
	ask.SetFilter(storage.NewExtensionFileFilter([]string{".csv"}))
	ask.Resize(win.Canvas().Size().Subtract(fyne.NewSize(80, 80)))
	ask.Show()
}

// Offer shows the rows of a file and takes them when that is confirmed. With an
// error it shows instead what is wrong in which row, and there is nothing to take:
// a file comes in whole or not at all.
func (i Import) Offer(d Desk, err error) {
	if err != nil {
		faults := rowFaults(err)
		i.show(d, lang.L("Nothing was imported. Mend these rows and import the file again:"), faultColumns(), len(faults), func(row, col int) (string, control.CellState) {
			return faults[row][col], control.CellState{Invalid: col == 2}
		}, nil)
		d.Fail(locale.Error("nothing was imported from {{.name}}", locale.With{"name": i.Name}))
		return
	}
	i.show(d, i.Say, i.Columns, i.Rows, i.Cell, i.Take)
}

// show opens the dialog; without take it can only be closed.
func (i Import) show(d Desk, say string, columns []control.Column, rows int, cell func(row, col int) (string, control.CellState), take func() error) {
	g := control.NewGrid(columns, func() int { return rows }, cell)
	said := widget.NewLabel(say)
	said.Wrapping = fyne.TextWrapWord
	hint := widget.NewLabel("") // the window's own line of messages lies in the dialog's shade
	hint.Truncation = fyne.TextTruncateEllipsis
	g.OnMessage = hint.SetText
	body := container.NewBorder(said, hint, nil, nil, g)
	var ask dialog.Dialog
	if take == nil {
		ask = dialog.NewCustom(i.Title, lang.L("Close"), body, d.Window())
	} else {
		ask = dialog.NewCustomConfirm(i.Title, lang.L("Add them"), lang.L("Leave them out"), body, func(ok bool) {
			if ok {
				d.Fail(take())
			}
		}, d.Window())
	}
	size := d.Window().Canvas().Size()
	ask.Resize(fyne.NewSize(min(size.Width-60, 1080), min(size.Height-80, 560)))
	ask.Show()
}

func faultColumns() []control.Column {
	return []control.Column{{Title: lang.L("Line"), Width: 60, Numeric: true, Tip: lang.L("line of the file in which the row begins")}, {Title: lang.L("Column"), Width: 110}, {Title: lang.L("What is wrong"), Width: 400, Stretch: true}}
}

// rowFaults are the rows of the table of what is wrong in a file: row, column and
// words.
func rowFaults(err error) [][3]string {
	if list, ok := err.(interface{ Unwrap() []error }); ok {
		var out [][3]string
		for _, e := range list.Unwrap() {
			out = append(out, rowFaults(e)...)
		}
		return out
	}
	var row *plan.RowError
	if errors.As(err, &row) {
		return [][3]string{{strconv.Itoa(row.Row), row.Field, locale.Say(row.Say)}}
	}
	return [][3]string{{"", "", locale.Say(err.Error())}}
}
