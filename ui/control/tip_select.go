package control

import (
	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/driver/desktop"
	"fyne.io/fyne/v2/theme"
	"fyne.io/fyne/v2/widget"
)

// TipSelect is a select that says what it is for while the pointer rests on it or
// it has the keyboard, as an IconButton does.
type TipSelect struct {
	widget.Select
	// Tip is what it is for.
	Tip string
	// OnMessage reports the text for the status line, "" when there is none.
	OnMessage func(text string)

	said bool
}

// NewTipSelect returns a select without a choice.
func NewTipSelect(options []string, tip string, changed func(string)) *TipSelect {
	s := &TipSelect{Tip: tip}
	s.Options = options
	s.OnChanged = func(text string) {
		s.said = false // what the choice brings up is not to be wiped when the pointer leaves
		changed(text)
	}
	s.ExtendBaseWidget(s)
	return s
}

// Pick shows a choice, "" for none, without reporting it.
func (s *TipSelect) Pick(option string) {
	if s.Selected != option {
		s.Selected = option
		s.Refresh()
	}
}

// MinSize holds the widest of the options.
func (s *TipSelect) MinSize() fyne.Size {
	wide := func(text string) float32 {
		return fyne.MeasureText(text, theme.TextSize(), fyne.TextStyle{}).Width
	}
	size, more := s.Select.MinSize(), float32(0)
	for _, o := range s.Options {
		more = max(more, wide(o)-wide(s.PlaceHolder))
	}
	return size.AddWidthHeight(more, 0)
}

func (s *TipSelect) say(on bool) {
	if s.OnMessage == nil || !on && !s.said {
		return
	}
	if s.said = on; on {
		s.OnMessage(s.Tip)
	} else {
		s.OnMessage("")
	}
}

// MouseIn implements desktop.Hoverable.
func (s *TipSelect) MouseIn(e *desktop.MouseEvent) {
	s.Select.MouseIn(e)
	s.say(true)
}

// MouseOut implements desktop.Hoverable.
func (s *TipSelect) MouseOut() {
	s.Select.MouseOut()
	s.say(false)
}

// FocusGained implements fyne.Focusable.
func (s *TipSelect) FocusGained() {
	s.Select.FocusGained()
	s.say(true)
}

// FocusLost implements fyne.Focusable.
func (s *TipSelect) FocusLost() {
	s.Select.FocusLost()
	s.say(false)
}
