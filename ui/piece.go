package ui

import (
	"strings"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/dialog"
	"fyne.io/fyne/v2/lang"
	"fyne.io/fyne/v2/widget"

	"pilewright/plan"
	"pilewright/ui/desk"
	"pilewright/ui/locale"
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
		names = append(names, locale.StartName(s.ID, s.Name))
	}
	note := widget.NewLabel("")
	note.Wrapping = fyne.TextWrapWord
	name := newAsked()
	name.SetPlaceHolder(lang.L("Name of the piece"))
	chosen := 0
	list := widget.NewRadioGroup(names, nil)
	list.OnChanged = func(text string) {
		for i, s := range starts {
			if names[i] == text {
				chosen = i
				note.SetText(locale.StartNote(s.ID, s.Note))
			}
		}
	}
	list.Required = true
	list.SetSelected(names[0])
	content := container.NewBorder(nil, container.NewVBox(note, name), nil, nil, container.NewVScroll(list))
	d := dialog.NewCustomConfirm(lang.L("New piece"), lang.L("Begin"), lang.L("Cancel"), content, func(ok bool) {
		name.FocusLost() // the dialog does not say it, and the cursor would blink on unseen
		if !ok {
			return
		}
		title := strings.TrimSpace(name.Text)
		if title == "" {
			title = names[chosen]
		}
		w.Fail(w.session.Edit(lang.L("new piece {{.title}}", locale.With{"title": title}), "", func(p *plan.Project) (*plan.Project, error) {
			if len(title) > plan.MaxText {
				return nil, locale.Error("the name is longer than {{.maxText}} characters", locale.With{"maxText": plan.MaxText})
			}
			return p.NewPiece(starts[chosen].In(locale.Plan()), title), nil
		}))
		w.enter(w.roomIndex(desk.Piece))
	}, w.win)
	name.OnSubmitted = func(string) { d.Confirm() }
	name.onEscape = d.Hide
	d.Resize(fyne.NewSize(460, 420))
	d.Show()
	w.win.Canvas().Focus(name)
}

// asked is an entry of a dialog, which Escape shuts.
type asked struct {
	widget.Entry
	onEscape func()
}

func newAsked() *asked {
	a := &asked{}
	a.ExtendBaseWidget(a)
	return a
}

// TypedKey implements fyne.Focusable.
func (a *asked) TypedKey(k *fyne.KeyEvent) {
	if k.Name == fyne.KeyEscape && a.onEscape != nil {
		a.FocusLost()
		a.onEscape()
		return
	}
	a.Entry.TypedKey(k)
}

// saveStart keeps the open piece's measures, parts and joints as a starting point.
func (w *window) saveStart() {
	name := widget.NewEntry()
	name.SetText(w.session.Project().Piece.Name)
	dialog.ShowForm(lang.L("Save as a starting point"), lang.L("Save"), lang.L("Cancel"), []*widget.FormItem{widget.NewFormItem(lang.L("Name"), name)}, func(ok bool) {
		if !ok {
			return
		}
		w.Fail(w.session.Edit(lang.L("save a starting point"), "", func(p *plan.Project) (*plan.Project, error) {
			return p.KeepStart(strings.TrimSpace(name.Text))
		}))
	}, w.win)
}
