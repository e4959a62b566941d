package ui

import (
	"fmt"
	"strings"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/dialog"
	"fyne.io/fyne/v2/widget"

	"pilewright/plan"
	"pilewright/ui/desk"
)

// starts lists the starting points: those of the program, then the maker's own.
func (w *window) starts() []plan.Start {
	return append(append([]plan.Start{}, w.deps.Starts...), w.session.Project().Starts...)
}

// newPiece asks for a starting point and a name.
func (w *window) newPiece() {
	starts := w.starts()
	var names []string
	for _, s := range starts {
		names = append(names, s.Name)
	}
	note := widget.NewLabel("")
	note.Wrapping = fyne.TextWrapWord
	name := widget.NewEntry()
	name.SetPlaceHolder("Name of the piece")
	chosen := 0
	list := widget.NewRadioGroup(names, nil)
	list.OnChanged = func(text string) {
		for i, s := range starts {
			if s.Name == text {
				chosen = i
				note.SetText(s.Note)
			}
		}
	}
	list.Required = true
	list.SetSelected(names[0])
	content := container.NewBorder(nil, container.NewVBox(note, name), nil, nil, container.NewVScroll(list))
	d := dialog.NewCustomConfirm("New piece", "Begin", "Cancel", content, func(ok bool) {
		name.FocusLost() // the dialog does not say it, and the cursor would blink on unseen
		if !ok {
			return
		}
		title := strings.TrimSpace(name.Text)
		if title == "" {
			title = starts[chosen].Name
		}
		w.Fail(w.session.Edit("new piece "+title, "", func(p *plan.Project) (*plan.Project, error) {
			if len(title) > plan.MaxText {
				return nil, fmt.Errorf("the name is longer than %d characters", plan.MaxText)
			}
			return p.NewPiece(starts[chosen], title), nil
		}))
		w.enter(w.roomIndex(desk.Piece))
	}, w.win)
	name.OnSubmitted = func(string) { d.Confirm() }
	d.Resize(fyne.NewSize(460, 420))
	d.Show()
	w.win.Canvas().Focus(name)
}

// saveStart keeps the open piece's measures, parts and joints as a starting point.
func (w *window) saveStart() {
	name := widget.NewEntry()
	name.SetText(w.session.Project().Piece.Name)
	dialog.ShowForm("Save as a starting point", "Save", "Cancel", []*widget.FormItem{widget.NewFormItem("Name", name)}, func(ok bool) {
		if !ok {
			return
		}
		w.Fail(w.session.Edit("save a starting point", "", func(p *plan.Project) (*plan.Project, error) {
			return p.KeepStart(strings.TrimSpace(name.Text))
		}))
	}, w.win)
}
