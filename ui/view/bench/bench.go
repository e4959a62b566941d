// Package bench is the room of the work itself: the steps in order, the calendar
// and the shop's hours in tables above, the timeline below; and one step at a
// time in large type, with its drawing and the clock.
package bench

import (
	"errors"
	"image/color"
	"strconv"
	"time"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/driver/desktop"
	"fyne.io/fyne/v2/lang"
	"fyne.io/fyne/v2/widget"

	"pilewright/plan"
	"pilewright/ui/control"
	"pilewright/ui/desk"
	"pilewright/ui/locale"
	"pilewright/ui/paint"
	"pilewright/ui/session"
)

// Room is the Bench room.
type Room struct {
	desk     desk.Desk
	steps    *control.Grid
	tabs     *container.AppTabs
	one      *oneStep
	calendar *calendar
	hours    *hours
	view     *paint.View
	words    *widget.Label
	content  fyne.CanvasObject
	place    string // step shown large; empty = the next one to do
	drawn    string // step the drawing is of
	turns    *fyne.Container
	above    *fyne.Container // what stands over the drawing
	below    *fyne.Container
	halt     func() // stops the ticking
	// seen is when heed last looked, with the steady time; seenWall what the wall
	// clock said then.
	seen, seenWall time.Time
	// every calls f at an interval on the screen's goroutine until stopped.
	every func(interval time.Duration, f func()) (stop func())
}

// The tabs of the room.
const (
	tabSteps = iota
	tabOne
	tabCalendar
	tabHours
)

// New makes the room.
func New(d desk.Desk) *Room {
	r := &Room{desk: d, view: paint.NewView(), words: widget.NewLabel(""), every: ticking}
	r.words.Wrapping = fyne.TextWrapWord
	r.steps = r.stepGrid()
	r.one, r.calendar, r.hours = newOneStep(r), newCalendar(r), newHours(r)
	r.view.OnStatus = d.Say
	r.view.OnPick = func(ref string, _ fyne.KeyModifier) { r.pick(ref) }
	bar := container.NewHBox(
		widget.NewButton(lang.L("Show this step large"), r.openOne),
		widget.NewButton(lang.L("Lock after the step above"), r.lockAfter),
		widget.NewButton(lang.L("Unlock"), r.unlock),
		widget.NewButton(lang.L("Split…"), r.split),
		widget.NewButton(lang.L("Join the parts"), r.join),
		widget.NewButton(lang.L("Add a step"), r.addStep))
	r.tabs = container.NewAppTabs(
		container.NewTabItem(lang.L("Steps"), container.NewBorder(nil, container.NewHScroll(bar), nil, nil, r.steps)),
		container.NewTabItem(lang.L("One step"), r.one.content),
		container.NewTabItem(lang.L("Calendar"), r.calendar.content),
		container.NewTabItem(lang.L("Shop hours"), r.hours.content))
	r.tabs.OnSelected = func(*container.TabItem) { r.changeTab() }
	r.turns = container.NewHBox(widget.NewButton(lang.L("Step before"), func() { r.turn(-1) }), widget.NewButton(lang.L("Next step"), func() { r.turn(1) }),
		widget.NewButton(lang.L("Correct the clock…"), r.correct), widget.NewButton(lang.L("Fit"), r.view.Fit))
	r.turns.Hide()
	r.above = container.NewVBox(r.words, r.turns)
	r.below = container.NewBorder(r.above, nil, nil, nil, r.view)
	split := control.NewSplit(false, r.tabs, r.below, share(d.Recall("split.bench"), 0.52))
	split.OnMoved = func(s float64) { d.Remember("split.bench", strconv.FormatFloat(s, 'f', 3, 64)) }
	r.content = split
	r.heed()
	for _, c := range r.Commands() {
		if c.Shortcut != nil {
			d.Window().Canvas().AddShortcut(c.Shortcut, func(fyne.Shortcut) { r.whileShown(c.Run) })
		}
	}
	return r
}

// whileShown does something only while the room is in the window, and no dialog
// over it.
func (r *Room) whileShown(do func()) {
	if onShow(r.tabs) && !desk.Covered(r.desk) {
		do()
	}
}

// onShow reports whether an object can be seen: what is not in a window's tree of
// visible objects has the place of one that is in no window.
func onShow(o fyne.CanvasObject) bool {
	driver := fyne.CurrentApp().Driver()
	return o.Visible() && driver.AbsolutePositionForObject(o) != driver.AbsolutePositionForObject(nowhere)
}

func share(text string, otherwise float64) float64 {
	v, err := strconv.ParseFloat(text, 64)
	if err != nil || v <= 0 || v >= 1 {
		return otherwise
	}
	return v
}

// nowhere is never put into a window.
var nowhere = canvas.NewRectangle(color.Transparent)

// Lead brings the tab to the front that a line of the sidebar is reckoned in.
func (r *Room) Lead(string) { r.tabs.SelectIndex(tabSteps) }

// ID implements desk.Room.
func (r *Room) ID() string { return desk.Bench }

// Title implements desk.Room.
func (r *Room) Title() string { return lang.L("Bench") }

// Content implements desk.Room.
func (r *Room) Content() fyne.CanvasObject { return r.content }

// Drawing implements desk.Drawer.
func (r *Room) Drawing() (*paint.View, []paint.Tool) { return r.view, nil }

// Commands implements desk.Room.
func (r *Room) Commands() []desk.Command {
	show := func(i int) func() {
		return func() {
			into := map[int]fyne.Focusable{tabSteps: r.steps, tabCalendar: r.calendar.list, tabHours: r.hours.days}
			desk.ShowTab(r.desk, r.tabs, i, into[i])
		}
	}
	key := func(k fyne.KeyName) fyne.Shortcut {
		return &desktop.CustomShortcut{KeyName: k, Modifier: fyne.KeyModifierControl}
	}
	return []desk.Command{
		{Name: lang.L("Start or pause the clock"), Tip: lang.L("timer space"), Shortcut: key(fyne.KeySpace), Run: r.startOrPause},
		{Name: lang.L("Finish the step"), Tip: lang.L("done tick"), Shortcut: key(fyne.KeyReturn), Run: r.finish},
		{Name: lang.L("Next step"), Run: func() { r.turn(1) }},
		{Name: lang.L("Step before"), Run: func() { r.turn(-1) }},
		{Name: lang.L("Show the steps"), Run: show(tabSteps)},
		{Name: lang.L("Show one step large"), Tip: lang.L("arm's length"), Run: show(tabOne)},
		{Name: lang.L("Show the calendar"), Run: show(tabCalendar)},
		{Name: lang.L("Show the shop's hours"), Run: show(tabHours)},
		{Name: lang.L("Add a step of your own"), Run: r.addStep},
		{Name: lang.L("Lock the step after the one above it"), Run: r.lockAfter},
		{Name: lang.L("Unlock the step"), Run: r.unlock},
		{Name: lang.L("Split the step…"), Tip: lang.L("share part quantity"), Run: r.split},
		{Name: lang.L("Join the parts of the step"), Run: r.join},
		{Name: lang.L("Correct the clock…"), Tip: lang.L("forgotten timer"), Run: r.correct},
		{Name: lang.L("Export the calendar…"), Tip: lang.L("iCalendar ics"), Run: r.export},
	}
}

// Changed implements desk.Room.
func (r *Room) Changed(c session.Change) {
	if c.Piece {
		r.place = ""
	}
	if c.Selection {
		r.follow()
	}
	if c.Plan || c.Project || c.Piece {
		r.steps.Refresh()
		r.calendar.refresh()
		r.hours.refresh()
	}
	if c.Plan || c.Project || c.Piece || c.Selection || c.Busy {
		r.one.refresh()
		r.draw()
	}
	if c.Piece {
		r.view.Fit()
	}
	r.tickWhileSeen()
}

func (r *Room) plan() *plan.Plan {
	if p := r.desk.Session().Plan(); p != nil {
		return p
	}
	return &plan.Plan{Project: r.desk.Session().Project()}
}

// now is the moment in the shop's time zone.
func (r *Room) now() time.Time {
	return r.desk.Session().Now().In(zone(r.desk.Session().Project(), r.desk.Session().Now()))
}

// zone is the shop's time zone, the clock's own where none is set.
func zone(p *plan.Project, now time.Time) *time.Location {
	if p.Shop.TimeZone == "" {
		return now.Location()
	}
	z, err := time.LoadLocation(p.Shop.TimeZone)
	if err != nil {
		return now.Location()
	}
	return z
}

// current is the step shown large.
func (r *Room) current() (plan.Step, int, bool) {
	i := currentStep(r.plan().Work.Steps, r.place, r.desk.Session().Project().Timer, r.desk.Session().Project().Piece.ID)
	if i < 0 {
		return plan.Step{}, 0, false
	}
	return r.plan().Work.Steps[i], i, true
}

// currentStep picks the step to show: the one asked for, else the one the clock
// is on, else the first that is not done. -1 where there are no steps.
func currentStep(steps []plan.Step, asked string, t plan.Timer, piece plan.ID) int {
	clocked, open := -1, -1
	for i, s := range steps {
		if s.Key == asked {
			return i
		}
		if t.Piece == piece && t.Step == s.Key && !s.Done && (t.Running || t.Seconds > 0) {
			clocked = i
		}
		if open < 0 && !s.Done {
			open = i
		}
	}
	switch {
	case clocked >= 0:
		return clocked
	case open >= 0:
		return open
	}
	return len(steps) - 1
}

func (r *Room) changeTab() {
	r.drawn = ""
	large := r.tabs.SelectedIndex() == tabOne
	r.words.Hidden, r.turns.Hidden = large, !large
	r.above.Refresh()
	r.below.Refresh()
	r.one.refresh()
	r.draw()
	r.view.Fit()
	r.one.hold()
	r.tickWhileSeen()
}

// follow takes up the step picked elsewhere.
func (r *Room) follow() {
	if key := r.desk.Session().Selection().Step; key != "" {
		r.place = key
		r.steps.SelectRow(key)
	}
}

// pick takes a tap on the timeline.
func (r *Room) pick(ref string) {
	if _, ok := r.plan().Work.Step(ref); ok {
		r.choose(ref)
	}
}

// choose makes a step the one spoken of, in every room.
func (r *Room) choose(key string) {
	r.place = key
	sel := r.desk.Session().Selection()
	sel.Step = key
	r.desk.Session().Select(sel)
	if r.tabs.SelectedIndex() != tabOne {
		r.view.Select(key)
		r.view.Reveal(key)
	}
}

func (r *Room) openOne() { r.tabs.SelectIndex(tabOne) }

// turn shows the step before or behind.
func (r *Room) turn(by int) {
	_, i, ok := r.current()
	steps := r.plan().Work.Steps
	if !ok || i+by < 0 || i+by >= len(steps) {
		r.desk.Say(lang.L("There is no further step that way."))
		return
	}
	r.choose(steps[i+by].Key)
}

var errNoStep = errors.New(locale.Mark("there are no steps yet: the piece needs parts, and the pile boards that can make them"))
