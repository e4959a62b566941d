package paint

import (
	"slices"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/driver/desktop"

	"pilewright/ui/control"
)

// FocusGained implements fyne.Focusable.
func (v *View) FocusGained() {
	v.focused = true
	v.BaseWidget.Refresh()
}

// FocusLost implements fyne.Focusable.
func (v *View) FocusLost() {
	v.focused = false
	v.BaseWidget.Refresh()
}

// TypedRune implements fyne.Focusable: + and - zoom, 0 fits.
func (v *View) TypedRune(r rune) {
	switch r {
	case '+', '=':
		v.ZoomBy(keyZoom)
	case '-', '_':
		v.ZoomBy(1 / keyZoom)
	case '0':
		v.Fit()
	}
}

// keyZoom is how much + and - zoom.
const keyZoom = 1.4

// keyStep is how far an arrow moves the drawing, in Fyne units.
const keyStep = 48

// TypedKey implements fyne.Focusable: arrows move the drawing, Home fits, Page
// Up and Down pick one thing after the other, Enter opens what is picked, the Menu
// key shows its menu, Escape gives up a gesture, then the tool, then the selection.
func (v *View) TypedKey(e *fyne.KeyEvent) {
	switch e.Name {
	case fyne.KeyLeft:
		v.Pan(keyStep, 0)
	case fyne.KeyRight:
		v.Pan(-keyStep, 0)
	case fyne.KeyUp:
		v.Pan(0, keyStep)
	case fyne.KeyDown:
		v.Pan(0, -keyStep)
	case fyne.KeyHome:
		v.Fit()
	case fyne.KeyPageDown:
		v.pickNext(1)
	case fyne.KeyPageUp:
		v.pickNext(-1)
	case fyne.KeyReturn, fyne.KeyEnter:
		if len(v.selected) > 0 && v.OnOpen != nil {
			v.OnOpen(v.selected[0])
		}
	case fyne.KeyEscape:
		v.escape()
	case desktop.KeyMenu:
		v.menuAtSelected()
	case fyne.KeyF1:
		control.PassKey(v, e)
	}
}

func (v *View) escape() {
	switch {
	case v.gesture.kind != noGesture || v.gesture.measured:
		v.cancelGesture()
	case v.tool != Hand:
		v.SetTool(Hand)
		if v.OnTool != nil {
			v.OnTool(Hand)
		}
	case v.OnPick != nil:
		v.OnPick("", 0)
	}
}

// pickNext picks the thing after (or before) the selected one in the order of
// drawing and brings it into view.
func (v *View) pickNext(step int) {
	if v.OnPick == nil {
		return
	}
	var refs []string
	seen := map[string]bool{}
	for i := range v.picture.Marks {
		if r := v.picture.Marks[i].Ref; r != "" && !seen[r] {
			seen[r] = true
			refs = append(refs, r)
		}
	}
	if len(refs) == 0 {
		return
	}
	at := -1
	if len(v.selected) > 0 {
		at = slices.Index(refs, v.selected[0])
	}
	if at < 0 && step < 0 {
		at = 0
	}
	ref := refs[(at+step+len(refs))%len(refs)]
	v.OnPick(ref, 0)
	v.Reveal(ref)
}
