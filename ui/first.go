package ui

import (
	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/lang"
	"fyne.io/fyne/v2/widget"

	"pilewright/ui/control"
	"pilewright/ui/desk"
)

// first is the strip that a new shop shows above its rooms: what to do first,
// each thing ticked once it is done. It goes for good when all three are.
type first struct {
	w       *window
	content *fyne.Container
	steps   [3]*widget.Button
}

func newFirst(w *window) *first {
	f := &first{w: w}
	f.steps[0] = widget.NewButton("", func() {
		w.enter(w.roomIndex(desk.Pile))
		for _, c := range w.rooms[w.shown].Commands() {
			if c.Name == lang.L("Add boards") {
				c.Run()
			}
		}
	})
	f.steps[1] = widget.NewButton("", w.newPiece)
	f.steps[2] = widget.NewButton("", func() {
		w.Remember("first", "done")
		w.enter(w.roomIndex(desk.Cuts))
		f.refresh()
	})
	demo := widget.NewButton(lang.L("Look around in the demo"), func() { w.Fail(w.deps.Demo()) })
	demo.Importance = widget.LowImportance
	if w.deps.Demo == nil {
		demo.Hide()
	}
	label := widget.NewLabelWithStyle(lang.L("To begin:"), fyne.TextAlignLeading, fyne.TextStyle{Bold: true})
	f.content = container.NewStack(container.NewHScroll(container.NewHBox(label, f.steps[0], f.steps[1], f.steps[2], demo)))
	f.content.Hide()
	if p := w.session.Project(); len(p.Boards) > 0 && len(p.Pieces) > 0 && w.Recall("first") == "" {
		w.Remember("first", "done") // a shop that is under way
	}
	return f
}

// refresh ticks what is done and points at what comes next.
func (f *first) refresh() {
	if f.w.Recall("first") == "done" {
		f.content.Hide()
		return
	}
	f.w.Remember("first", "shown")
	p := f.w.session.Project()
	done := [3]bool{len(p.Boards) > 0, len(p.Pieces) > 0, false}
	next := true
	for i, text := range []string{lang.L("1  Add the boards you have"), lang.L("2  Begin a piece"), lang.L("3  Look at the cuts")} {
		b := f.steps[i]
		b.SetText(text)
		b.SetIcon(nil)
		b.Importance = widget.MediumImportance
		if done[i] {
			b.SetIcon(control.Icon("done"))
			b.Importance = widget.LowImportance
		} else if next {
			b.Importance = widget.HighImportance
			next = false
		}
		b.Refresh()
	}
	f.content.Show()
}
