package ui

import (
	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/lang"
	fynetheme "fyne.io/fyne/v2/theme"
	"fyne.io/fyne/v2/widget"
	"github.com/go-gl/glfw/v3.3/glfw"

	"pilewright/ui/control"
	"pilewright/ui/desk"
)

// watchKeys brings Escape to a dialog whatever in it has the keyboard. The toolkit
// gives keys to the window only while nothing has the focus, and its own entries,
// lists and buttons let Escape fall; so it is taken where the toolkit gets it from.
// Call it once the window is on the screen.
func (w *window) watchKeys() {
	native, ok := w.win.(interface{ RunWithContext(func()) })
	if !ok {
		return // no window of a desktop: Escape works where the dialog has no focus
	}
	native.RunWithContext(func() {
		v := glfw.GetCurrentContext()
		if v == nil {
			return
		}
		var next glfw.KeyCallback
		next = v.SetKeyCallback(func(v *glfw.Window, key glfw.Key, scan int, action glfw.Action, mods glfw.ModifierKey) {
			if key == glfw.KeyEscape && mods == 0 && action == glfw.Press && w.escape() {
				return
			}
			next(v, key, scan, action, mods)
		})
	})
}

// escape closes the dialog on top as if it had been declined, and says whether it
// did: what is being typed in a table or a field of it is given up first.
func (w *window) escape() bool {
	c := w.win.Canvas()
	if f, ok := c.Focused().(control.Yielding); ok && f.Yields() {
		return false
	}
	p, ok := c.Overlays().Top().(*widget.PopUp)
	return ok && shut(p.Content)
}

// shut presses the button that closes a dialog and leaves all as it is, and says
// whether there was one.
func shut(o fyne.CanvasObject) bool {
	switch o := o.(type) {
	case *widget.Button:
		declines := o.Icon != nil && o.Icon.Name() == fynetheme.CancelIcon().Name()
		if declines || o.Text == lang.L("Close") || o.Text == lang.L("Cancel") {
			o.OnTapped()
			return true
		}
	case *fyne.Container:
		for _, c := range o.Objects {
			if shut(c) {
				return true
			}
		}
	}
	return false
}

// unlessCovered is what a command does from the menu and by its keys: nothing while
// a dialog lies over the room it would act on. What has the keyboard in the dialog
// then gets the keys, since the toolkit asks the menu first.
func (w *window) unlessCovered(c desk.Command) func() {
	return func() {
		if !desk.Covered(w) {
			c.Run()
			return
		}
		if f, ok := w.win.Canvas().Focused().(fyne.Shortcutable); ok && c.Shortcut != nil {
			f.TypedShortcut(c.Shortcut)
		}
	}
}
