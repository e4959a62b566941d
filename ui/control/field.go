package control

import (
	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/driver/desktop"
	"fyne.io/fyne/v2/widget"
)

// Field is an entry for one value. What is typed is checked as it is typed and
// committed by Enter or by going elsewhere; a text that is refused stays, marked,
// until it is mended or Escape brings back the value.
type Field struct {
	widget.Entry

	// Check says what is wrong with a text while it is being typed; may be nil.
	Check func(text string) error
	// Commit takes the text. After success the owner calls SetValue with what the
	// value now reads.
	Commit func(text string) error
	// OnMessage gets the text for the status line, "" when all is well.
	OnMessage func(text string)

	value   string // as the owner has it
	refused error
	message string
	focused bool
	room    float32 // least width
}

// NewField returns an empty field that commits to commit.
func NewField(commit func(text string) error) *Field {
	f := &Field{Commit: commit}
	f.AlwaysShowValidationError = true
	f.Wrapping = fyne.TextWrapOff
	f.OnChanged = func(string) { f.check() }
	f.ExtendBaseWidget(f)
	return f
}

// SetValue shows the owner's value, unless a text is being typed or stands
// refused; Escape then brings the new value.
func (f *Field) SetValue(text string) {
	typing := f.focused && f.Text != f.value
	f.value = text
	if typing || f.refused != nil {
		return
	}
	f.show(text)
}

// Finish commits what is being typed, as before the window closes.
func (f *Field) Finish() { f.commit() }

// Reset drops what was typed and shows the owner's value.
func (f *Field) Reset() {
	f.refused = nil
	f.show(f.value)
	f.mark(nil)
}

func (f *Field) show(text string) {
	if f.Text == text {
		return
	}
	f.SetText(text)
	f.CursorColumn = len([]rune(text))
	f.Refresh()
}

// Refused is why the present text was not taken, nil when it was.
func (f *Field) Refused() error { return f.refused }

// SetRoom sets the least width in Fyne units.
func (f *Field) SetRoom(width float32) {
	f.room = width
	f.Refresh()
}

// MinSize implements fyne.CanvasObject.
func (f *Field) MinSize() fyne.Size {
	s := f.Entry.MinSize()
	s.Width = max(s.Width, f.room)
	return s
}

func (f *Field) check() {
	if f.Check == nil || f.Text == f.value {
		f.mark(nil)
		return
	}
	f.mark(f.Check(f.Text))
}

func (f *Field) mark(err error) {
	f.SetValidationError(err)
	text := ""
	if err != nil {
		text = err.Error()
	}
	f.say(text)
}

func (f *Field) say(text string) {
	if text != f.message {
		f.message = text
		if f.OnMessage != nil {
			f.OnMessage(text)
		}
	}
}

// TypedKey implements fyne.Focusable.
func (f *Field) TypedKey(k *fyne.KeyEvent) {
	switch k.Name {
	case fyne.KeyReturn, fyne.KeyEnter:
		f.commit()
	case fyne.KeyEscape:
		f.Reset()
	case fyne.KeyF1:
		PassKey(f, k)
	default:
		f.Entry.TypedKey(k)
	}
}

// Yields implements Yielding: a text that was not taken can be given up.
func (f *Field) Yields() bool { return f.Text != f.value || f.refused != nil }

// TypedShortcut implements fyne.Shortcutable; what an entry does not know goes on
// to the canvas.
func (f *Field) TypedShortcut(s fyne.Shortcut) {
	if passOn(f, s) {
		return
	}
	f.Entry.TypedShortcut(s)
}

// passOn gives a shortcut that no entry knows to the canvas and says whether it did.
func passOn(o fyne.CanvasObject, s fyne.Shortcut) bool {
	custom, ok := s.(*desktop.CustomShortcut)
	if !ok {
		return false
	}
	switch custom.KeyName {
	case fyne.KeyLeft, fyne.KeyRight, fyne.KeyBackspace, fyne.KeyDelete:
		return false
	}
	c, ok := fyne.CurrentApp().Driver().CanvasForObject(o).(fyne.Shortcutable)
	if ok {
		c.TypedShortcut(s)
	}
	return true
}

// FocusGained implements fyne.Focusable.
func (f *Field) FocusGained() {
	f.focused = true
	f.Entry.FocusGained()
	if f.refused != nil {
		f.say(f.refused.Error())
	}
}

// FocusLost implements fyne.Focusable: going elsewhere commits.
func (f *Field) FocusLost() {
	f.Entry.FocusLost()
	f.focused = false
	f.commit()
}

// commit hands the text to the owner when it differs from the value.
func (f *Field) commit() {
	if f.Text == f.value || f.Commit == nil {
		if f.refused != nil && f.Text == f.value {
			f.refused = nil
			f.mark(nil)
		}
		return
	}
	text := f.Text
	f.refused = nil
	err := f.Commit(text)
	if f.refused = err; err != nil {
		f.message = ""
		f.mark(err)
		return
	}
	f.mark(nil)
	if f.value != text && f.Text == text {
		f.show(f.value) // the owner's wording, set during Commit or still the old one
	}
}
