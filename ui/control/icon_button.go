package control

import (
	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/driver/desktop"
	"fyne.io/fyne/v2/widget"
)

// IconButton is a button without words that says what it does while the pointer
// rests on it or it has the keyboard, as titles of a Grid do.
type IconButton struct {
	widget.Button
	// Tip is what it does, in a few words.
	Tip string
	// OnMessage reports the text for the status line, "" when there is none.
	OnMessage func(text string)

	said bool
}

// NewIconButton returns a quiet button.
func NewIconButton(icon fyne.Resource, tip string, tapped func()) *IconButton {
	b := &IconButton{Tip: tip}
	b.Icon, b.Importance = icon, widget.LowImportance
	b.OnTapped = func() {
		b.said = false // what the tap brings up is not to be wiped when the pointer leaves
		tapped()
	}
	b.ExtendBaseWidget(b)
	return b
}

func (b *IconButton) say(on bool) {
	if b.OnMessage == nil || !on && !b.said {
		return
	}
	if b.said = on; on {
		b.OnMessage(b.Tip)
	} else {
		b.OnMessage("")
	}
}

// MouseIn implements desktop.Hoverable.
func (b *IconButton) MouseIn(e *desktop.MouseEvent) {
	b.Button.MouseIn(e)
	b.say(true)
}

// MouseOut implements desktop.Hoverable.
func (b *IconButton) MouseOut() {
	b.Button.MouseOut()
	b.say(false)
}

// FocusGained implements fyne.Focusable.
func (b *IconButton) FocusGained() {
	b.Button.FocusGained()
	b.say(true)
}

// FocusLost implements fyne.Focusable.
func (b *IconButton) FocusLost() {
	b.Button.FocusLost()
	b.say(false)
}
