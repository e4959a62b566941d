package ui

import (
	"context"
	"errors"
	"io"
	"path/filepath"
	"strings"
	"time"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/dialog"
	"fyne.io/fyne/v2/lang"
	"fyne.io/fyne/v2/layout"
	"fyne.io/fyne/v2/widget"

	"pilewright/layout/drawing/raster"
	"pilewright/layout/drawing/svg"
	"pilewright/layout/sheet"
	"pilewright/plan"
	"pilewright/ui/control"
	"pilewright/ui/desk"
	"pilewright/ui/locale"
)

// buildSheet opens the dialog that saves and prints the build sheet.
func (w *window) buildSheet() {
	if w.sheetCanBeMade() {
		newSheetDialog(w).show()
	}
}

// openSheet writes the build sheet with the pages and the paper chosen last and
// opens it in the system's viewer.
func (w *window) openSheet() {
	if w.sheetCanBeMade() {
		d := newSheetDialog(w)
		d.show()
		d.openToPrint()
	}
}

// sheetCanBeMade reports whether there is a plan to print, and says why not.
func (w *window) sheetCanBeMade() bool {
	if w.session.Plan() != nil {
		return true
	}
	if text := w.session.Failure(); text != "" {
		w.Fail(errors.New(text))
		return false
	}
	w.Say(lang.L("The piece is still being planned; the build sheet can be made in a moment."))
	return false
}

// sheetDialog chooses pages and paper, then writes in the background. It belongs
// to the screen's goroutine.
type sheetDialog struct {
	w        *window
	pages    *widget.CheckGroup
	paper    *widget.RadioGroup
	state    *widget.Label
	progress *control.Progress
	actions  []*widget.Button
	dialog   *dialog.CustomDialog
	cancel   context.CancelFunc // of what is being written; nil when nothing is
}

// Names of the papers as shown.
func letterPaper() string { return lang.L("Letter") }
func a4Paper() string     { return "A4" }

func newSheetDialog(w *window) *sheetDialog {
	d := &sheetDialog{w: w, state: widget.NewLabel(""), progress: control.NewProgress()}
	d.state.Wrapping = fyne.TextWrapWord
	var titles []string
	for _, p := range sheet.Pages() {
		titles = append(titles, locale.Say(p.Title))
	}
	d.pages = widget.NewCheckGroup(titles, func([]string) { d.refresh() })
	d.paper = widget.NewRadioGroup([]string{letterPaper(), a4Paper()}, nil)
	d.paper.Required = true
	d.paper.Horizontal = true
	d.recall()
	button := func(text string, do func()) *widget.Button {
		b := widget.NewButton(text, do)
		d.actions = append(d.actions, b)
		return b
	}
	save := button(lang.L("Save as PDF…"), d.save)
	save.Importance = widget.HighImportance
	buttons := container.NewVBox(save, button(lang.L("Open to print"), d.openToPrint))
	if printer() != "" {
		buttons.Add(button(lang.L("Print now"), func() { d.print(printFile, lang.L("It was sent to the printer.")) }))
	}
	buttons.Add(widget.NewSeparator())
	buttons.Add(button(lang.L("Save drawings as SVG…"), func() { d.figures("svg") }))
	buttons.Add(button(lang.L("Save drawings as PNG…"), func() { d.figures("png") }))
	buttons.Add(button(lang.L("Save tables as CSV…"), d.tables))
	choose := container.NewHBox(widget.NewButton(lang.L("All"), func() { d.pages.SetSelected(titles) }), widget.NewButton(lang.L("None"), func() { d.pages.SetSelected(nil) }))
	left := container.NewBorder(widget.NewLabelWithStyle(lang.L("Pages"), fyne.TextAlignLeading, fyne.TextStyle{Bold: true}), choose, nil, nil, container.NewVScroll(d.pages))
	right := container.NewVBox(widget.NewLabelWithStyle(lang.L("Paper"), fyne.TextAlignLeading, fyne.TextStyle{Bold: true}), d.paper, layout.NewSpacer(), buttons)
	content := container.NewBorder(nil, container.NewVBox(d.state, d.progress), nil, nil, container.NewGridWithColumns(2, left, right))
	d.dialog = dialog.NewCustom(lang.L("Build sheet"), lang.L("Close"), content, w.win)
	d.dialog.SetOnClosed(d.closed)
	d.refresh()
	return d
}

func (d *sheetDialog) show() {
	d.dialog.Resize(fyne.NewSize(620, 560))
	d.dialog.Show()
}

// closed gives up what is being written and keeps what was chosen.
func (d *sheetDialog) closed() {
	if d.cancel != nil {
		d.cancel()
	}
	var off []string
	for _, p := range sheet.Pages() {
		if !d.chosen()[p.ID] {
			off = append(off, p.ID)
		}
	}
	d.w.Remember("sheet.off", strings.Join(off, ","))
	d.w.Remember("sheet.paper", d.paperID())
}

// recall chooses what was chosen the last time; at first every page, on the
// shop's paper.
func (d *sheetDialog) recall() {
	off := map[string]bool{}
	for _, id := range strings.Split(d.w.Recall("sheet.off"), ",") {
		off[id] = true
	}
	var on []string
	for _, p := range sheet.Pages() {
		if !off[p.ID] {
			on = append(on, locale.Say(p.Title))
		}
	}
	d.pages.SetSelected(on)
	paper := d.w.Recall("sheet.paper")
	if paper == "" {
		paper = d.w.session.Project().Shop.Paper
	}
	d.paper.SetSelected(a4Paper())
	if paper == "letter" {
		d.paper.SetSelected(letterPaper())
	}
}

func (d *sheetDialog) paperID() string {
	if d.paper.Selected == letterPaper() {
		return "letter"
	}
	return "a4"
}

// chosen gives the pages that are ticked, by ID.
func (d *sheetDialog) chosen() map[string]bool {
	out := map[string]bool{}
	for _, p := range sheet.Pages() {
		for _, title := range d.pages.Selected {
			if title == locale.Say(p.Title) {
				out[p.ID] = true
			}
		}
	}
	return out
}

// refresh says what the sheet would be of, and allows only what can be done.
func (d *sheetDialog) refresh() {
	if d.dialog == nil {
		return
	}
	d.state.SetText(sheetState(d.w.session.Stale(), d.busy()))
	for i, b := range d.actions {
		if d.cancel != nil || i < len(d.actions)-3 && len(d.pages.Selected) == 0 {
			b.Disable()
		} else {
			b.Enable()
		}
	}
}

func (d *sheetDialog) busy() bool {
	busy, _ := d.w.session.Busy()
	return busy
}

// sheetState says how final the plan is that would be printed.
func sheetState(stale, busy bool) string {
	switch {
	case stale && busy:
		return lang.L("The plan of the last edit is not ready yet: what is printed now is of the state before it.")
	case stale:
		return lang.L("The last edit can't be planned: what is printed is of the state before it.")
	case busy:
		return lang.L("Better cuts are still being looked for: a sheet printed later may differ. The plan's sign on every page tells them apart.")
	}
	return ""
}

// errGivenUp ends a writing that the maker stopped.
var errGivenUp = errors.New(locale.Mark("given up"))

// work runs write on a goroutine of its own, with progress in the dialog; then is
// called on the screen's goroutine with what came of it. tell may be called from
// write: it gives errGivenUp when the maker stopped it.
func (d *sheetDialog) work(title string, write func(tell func(text string, n, of int) error) error, then func()) {
	ctx, cancel := context.WithCancel(context.Background())
	d.cancel = cancel
	d.progress.Start(title, cancel)
	d.refresh()
	d.w.Fail(nil)
	var told time.Time
	tell := func(text string, n, of int) error {
		if ctx.Err() != nil {
			return errGivenUp
		}
		if now := time.Now(); now.Sub(told) > 100*time.Millisecond {
			told = now
			fyne.Do(func() { d.progress.Update(float64(n-1)/float64(max(of, 1)), text) })
		}
		return nil
	}
	go func() {
		err := write(tell)
		fyne.Do(func() {
			cancel()
			d.cancel = nil
			d.progress.Finish()
			d.refresh()
			switch {
			case errors.Is(err, errGivenUp):
				d.w.Say(lang.L("Writing was stopped; nothing half-written was left."))
			case err != nil:
				d.dialog.Hide()
				d.w.Fail(err)
			default:
				then()
			}
		})
	}()
}

// options are those of the sheet now chosen.
func (d *sheetDialog) options(tell func(string, int, int) error) sheet.Options {
	return sheet.Options{Language: locale.Plan(), Paper: d.paperID(), Pages: d.chosen(), Now: d.w.session.Now().Format(time.DateOnly), Progress: tell}
}

// writeSheet writes the sheet to a file.
func writeSheet(path string, p *plan.Plan, opt sheet.Options) error {
	return saveFile(path, func(w io.Writer) error { return sheet.Write(w, p, opt) })
}

// save asks for a file and writes the sheet into it.
func (d *sheetDialog) save() {
	p := d.w.session.Plan()
	desk.AskWhere(d.w, fileName(p.Project.Piece.Name, lang.L("build sheet.pdf")), ".pdf", func(path string) {
		opt := d.options(nil)
		d.work(lang.L("Writing the build sheet"), func(tell func(string, int, int) error) error {
			opt.Progress = tell
			return writeSheet(path, p, opt)
		}, func() { d.done(lang.L("The build sheet was saved as {{.path}}.", locale.With{"path": path})) })
	})
}

func (d *sheetDialog) openToPrint() {
	d.print(openFile, lang.L("It is open in the system's viewer: print it from there."))
}

// print writes the sheet where the maker finds it and hands it over.
func (d *sheetDialog) print(hand func(path string) error, said string) {
	folder, err := printFolder()
	if err != nil {
		d.w.Fail(err)
		return
	}
	p, opt := d.w.session.Plan(), d.options(nil)
	path := filepath.Join(folder, fileName(p.Project.Piece.Name, lang.L("build sheet.pdf")))
	var handed error
	d.work(lang.L("Writing the build sheet"), func(tell func(string, int, int) error) error {
		opt.Progress = tell
		if err := writeSheet(path, p, opt); err != nil {
			return err
		}
		handed = hand(path)
		return nil
	}, func() {
		if handed != nil {
			d.notHanded(path, handed)
			return
		}
		d.done(lang.L("The build sheet was saved as {{.path}}. {{.said}}", locale.With{"path": path, "said": said}))
	})
}

// notHanded says where the file is and why it could not be shown or printed.
func (d *sheetDialog) notHanded(path string, err error) {
	text := lang.L("{{.fault}} The build sheet itself was saved; open it by hand, or print it on another computer.", locale.With{"fault": sentence(err)})
	label := widget.NewLabel(text)
	label.Wrapping = fyne.TextWrapWord
	at := widget.NewLabel(path)
	at.Wrapping = fyne.TextWrapBreak
	copied := widget.NewButton(lang.L("Copy the path"), func() { d.w.app.Clipboard().SetContent(path) })
	box := dialog.NewCustom(lang.L("Not printed"), lang.L("Close"), container.NewVBox(label, at, container.NewHBox(copied)), d.w.win)
	box.Resize(fyne.NewSize(480, 240))
	box.Show()
}

// done closes the dialog and says what was done.
func (d *sheetDialog) done(text string) {
	d.dialog.Hide()
	d.w.Say(text)
}

// folder asks for a folder and runs write there.
func (d *sheetDialog) folder(title string, write func(folder string, p *plan.Plan, tell func(string, int, int) error) (int, error)) {
	p := d.w.session.Plan()
	ask := dialog.NewFolderOpen(func(u fyne.ListableURI, err error) {
		if err != nil || u == nil {
			d.w.Fail(err)
			return
		}
		n := 0
		d.work(title, func(tell func(string, int, int) error) (err error) {
			n, err = write(u.Path(), p, tell)
			return err
		}, func() { d.done(lang.L("{{.n}} files were saved in {{.path}}.", locale.With{"n": n, "path": u.Path()})) })
	}, d.w.win)
	ask.Resize(d.w.win.Canvas().Size().Subtract(fyne.NewSize(80, 80)))
	ask.Show()
}

func (d *sheetDialog) figures(kind string) {
	d.folder(lang.L("Writing the drawings"), func(folder string, p *plan.Plan, tell func(string, int, int) error) (int, error) {
		return writeFigures(folder, kind, p, tell)
	})
}

func (d *sheetDialog) tables() { d.folder(lang.L("Writing the tables"), writeTables) }

// pngDots is the resolution of drawings saved as PNG, in dots an inch: fine
// enough to print.
const pngDots = 200

// writeFigures writes every drawing of the plan into a folder, as svg or png,
// and gives their number.
func writeFigures(folder, kind string, p *plan.Plan, tell func(string, int, int) error) (int, error) {
	list := sheet.Figures(p)
	for i, f := range list {
		if err := tell(locale.Say(f.Title), i+1, len(list)); err != nil {
			return i, err
		}
		err := saveFile(filepath.Join(folder, fileName(p.Project.Piece.Name, f.Name+"."+kind)), func(w io.Writer) error {
			if kind == "png" {
				return raster.PNG(w, f.Picture, pngDots, raster.Print())
			}
			return svg.Write(w, f.Picture)
		})
		if err != nil {
			return i, err
		}
	}
	return len(list), nil
}

// writeTables writes every table of the plan into a folder and gives their number.
func writeTables(folder string, p *plan.Plan, tell func(string, int, int) error) (int, error) {
	list := sheet.Tables()
	for i, t := range list {
		if err := tell(locale.Say(t.Title), i+1, len(list)); err != nil {
			return i, err
		}
		err := saveFile(filepath.Join(folder, fileName(p.Project.Piece.Name, t.ID+".csv")), func(w io.Writer) error { return sheet.WriteCSV(w, t.ID, p) })
		if err != nil {
			return i, err
		}
	}
	return len(list), nil
}
