package ui

import (
	"strconv"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/lang"
	"fyne.io/fyne/v2/widget"

	"pilewright/ui/desk"
	"pilewright/ui/locale"
)

// tour is the guided start: a strip above the rooms that leads through them, a
// few sentences in each. It can be left at any time, stays at its place when the
// window is shut, and changes nothing in the shop.
type tour struct {
	w       *window
	content *fyne.Container
	at      int // stop shown; -1 when it is not under way
	said    *widget.Label
	next    *widget.Button
	back    *widget.Button
}

// stop is a place of the tour.
type stop struct{ room, text string }

func stops() []stop {
	return []stop{
		{desk.Pile, lang.L("The Pile holds the boards you have. Type “6 @ 38 1/2 x 3 1/2 x 5/8 pine” and Enter, and six are chalked and listed. A board's defects are drawn below, with the list beside the drawing.")},
		{desk.Piece, lang.L("The Piece is made of measures, parts and joints. Change a measure, such as its height, under Measures: sizes, drawing, cuts and cost follow at once. Ctrl+Z takes it back.")},
		{desk.Cuts, lang.L("Cuts shows each board with what comes from it, and says whether anything better can exist. Drag a blank to another board: the verdict stands below, and after the drop what your choice costs.")},
		{desk.GlueUps, lang.L("Glue-ups lays the strips of a panel so that planing takes the least, and counts clamps and glue. Drag a strip to another row, or turn it over.")},
		{desk.Bench, lang.L("At the Bench are the steps in order, with target times and a calendar. Start runs the clock; what you log teaches the next plan how fast you are.")},
		{desk.Ledger, lang.L("The Ledger says what it costs, what to ask, and what an hour then earns. Tap any figure at the right, and it says where it comes from.")},
		{"", lang.L("For the bench, print the build sheet (Ctrl+P). All that can be done is in the list of commands (Ctrl+K), keys are under F1. Now it is your pile.")},
	}
}

func newTour(w *window) *tour {
	t := &tour{w: w, at: -1, said: widget.NewLabel("")}
	t.said.Wrapping = fyne.TextWrapWord
	t.back = widget.NewButton(lang.L("Back"), func() { t.show(t.at - 1) })
	t.next = widget.NewButton(lang.L("Next"), func() { t.show(t.at + 1) })
	t.next.Importance = widget.HighImportance
	leave := widget.NewButton(lang.L("Leave"), t.leave)
	t.content = container.NewBorder(nil, nil, nil, container.NewVBox(container.NewHBox(t.back, t.next, leave)), t.said)
	t.content.Hide()
	return t
}

// begin starts the tour anew.
func (t *tour) begin() { t.show(0) }

// resume goes on where the tour was when the window was shut.
func (t *tour) resume() {
	if at, err := strconv.Atoi(t.w.Recall("tour")); err == nil && at >= 0 && at < len(stops()) {
		t.show(at)
	}
}

func (t *tour) show(at int) {
	all := stops()
	if at < 0 || at >= len(all) {
		t.leave()
		return
	}
	t.at = at
	t.w.Remember("tour", strconv.Itoa(at))
	t.said.SetText(lang.L("{{.n}} of {{.all}}", locale.With{"n": at + 1, "all": len(all)}) + "  " + all[at].text)
	if at == 0 {
		t.back.Disable()
	} else {
		t.back.Enable()
	}
	t.next.SetText(lang.L("Next"))
	if at == len(all)-1 {
		t.next.SetText(lang.L("Done"))
	}
	t.content.Show()
	if all[at].room != "" {
		t.w.enter(t.w.roomIndex(all[at].room))
	}
}

// leave puts the strip away.
func (t *tour) leave() {
	t.at = -1
	t.w.Remember("tour", "left")
	t.content.Hide()
}
