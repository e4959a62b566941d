package control

import (
	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/widget"
)

// popoverWidth is how wide an explanation is set, in Fyne units: about sixty
// letters a line.
const popoverWidth float32 = 400

// Explain shows a titled explanation beside an object. A tap elsewhere or Escape
// puts it away; done, which may be nil, is told then.
func Explain(beside fyne.CanvasObject, at fyne.Position, title, text string, done func()) {
	c := fyne.CurrentApp().Driver().CanvasForObject(beside)
	if c == nil {
		return
	}
	e := newExplanation(title, text)
	e.popup = widget.NewPopUp(e, c)
	e.done = done
	size := fyne.NewSize(min(popoverWidth, c.Size().Width-16), 0)
	e.text.Resize(fyne.NewSize(size.Width-2*cellPad, 1)) // so that the text knows where to break
	size.Height = e.MinSize().Height + 12
	p := fyne.CurrentApp().Driver().AbsolutePositionForObject(beside).Add(at)
	p.X = max(4, min(p.X, c.Size().Width-size.Width-4))
	if p.Y+size.Height > c.Size().Height-4 {
		p.Y = max(4, c.Size().Height-size.Height-4)
	}
	e.popup.Resize(size)
	e.popup.ShowAtPosition(p)
	c.Focus(e)
}

// explanation is the content of the popup; it takes the focus for Escape.
type explanation struct {
	widget.BaseWidget
	popup *widget.PopUp
	text  *widget.Label
	box   *fyne.Container
	done  func()
}

func newExplanation(title, text string) *explanation {
	e := &explanation{text: widget.NewLabel(text)}
	e.text.Wrapping = fyne.TextWrapWord
	head := widget.NewLabelWithStyle(title, fyne.TextAlignLeading, fyne.TextStyle{Bold: true})
	head.Truncation = fyne.TextTruncateEllipsis
	e.box = container.NewBorder(head, nil, nil, nil, e.text)
	e.ExtendBaseWidget(e)
	return e
}

func (e *explanation) CreateRenderer() fyne.WidgetRenderer { return widget.NewSimpleRenderer(e.box) }

func (e *explanation) FocusGained()   {}
func (e *explanation) FocusLost()     {}
func (e *explanation) TypedRune(rune) {}

func (e *explanation) TypedKey(k *fyne.KeyEvent) {
	switch k.Name {
	case fyne.KeyEscape, fyne.KeyReturn, fyne.KeyEnter, fyne.KeySpace:
		e.popup.Hide()
		if e.done != nil {
			e.done()
		}
	}
}
