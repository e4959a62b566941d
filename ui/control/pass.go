package control

import "fyne.io/fyne/v2"

// Yielding is a control in which Escape may have something to give up, before it
// means the dialog around it.
type Yielding interface{ Yields() bool }

// PassKey gives a key that a focused control has no use for to the window, which
// sees keys itself only while nothing has the focus.
func PassKey(o fyne.CanvasObject, e *fyne.KeyEvent) {
	c := fyne.CurrentApp().Driver().CanvasForObject(o)
	if c == nil {
		return
	}
	if f := c.OnTypedKey(); f != nil {
		f(e)
	}
}
