// Package desk says what a room of the window may ask of the window, and what
// the window asks of a room. Rooms import it; they do not know each other.
package desk

import (
	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"

	"pilewright/plan"
	"pilewright/plan/measure"
	"pilewright/ui/locale"
	"pilewright/ui/session"
)

// The rooms of the window, in the order of the job.
const (
	Pile    = "pile"
	Piece   = "piece"
	Cuts    = "cuts"
	GlueUps = "glue-ups"
	Bench   = "bench"
	Ledger  = "ledger"
)

// Desk is the window as a room sees it.
type Desk interface {
	Session() *session.Session
	Window() fyne.Window
	// Say shows a quiet line at the bottom; empty text clears it.
	Say(text string)
	// Fail shows an error there, in a sentence, until the next action. nil does nothing.
	Fail(err error)
	// Go opens a room with something picked in it.
	Go(room string, sel session.Selection)
	// Remember and Recall keep how the window was left, by name.
	Remember(name, value string)
	Recall(name string) string
}

// Command is something the maker can ask for: in a room's bar, in the menu, in
// the searchable list and by its shortcut.
type Command struct {
	Name     string        // "Delete board"
	Tip      string        // more words to find it by
	Group    string        // of commands that share a menu of their own; empty = none
	Shortcut fyne.Shortcut // nil where it has none
	Run      func()
	Enabled  func() bool // nil = always
}

// Room is one room: an editor above and a drawing below.
type Room interface {
	ID() string
	Title() string
	Content() fyne.CanvasObject
	// Changed brings the room up to date; it is called only while it is shown,
	// and once with everything set when it is opened.
	Changed(session.Change)
	Commands() []Command
}

// ShowTab brings a tab of a room to the front and the keyboard into what it is
// for, where that is given.
func ShowTab(d Desk, tabs *container.AppTabs, tab int, focus fyne.Focusable) {
	tabs.SelectIndex(tab)
	if focus != nil {
		d.Window().Canvas().Focus(focus)
	}
}

// Covered says whether a dialog, a list or an explanation lies over the room, so
// that keys are for that.
func Covered(d Desk) bool { return d.Window().Canvas().Overlays().Top() != nil }

// Length writes a length the shop's way.
func Length(p *plan.Project, l measure.Length) string { return locale.Length(l, p.Shop.Style()) }
