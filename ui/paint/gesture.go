package paint

import (
	"math"
	"time"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/driver/desktop"
	"fyne.io/fyne/v2/widget"

	"pilewright/layout/drawing"
)

type gestureKind int

const (
	noGesture gestureKind = iota
	panning
	dragging
	framing
	measuring
	spent // given up while the button is still down: the rest of the drag does nothing
)

// gesture is what the pointer is in the middle of.
type gesture struct {
	kind     gestureKind
	ref      string
	box      drawing.Rect // of the dragged thing
	from, to Place
	allowed  bool // the dragged thing may be dropped here
	clicks   bool // a measure taken by two clicks, not by a drag
	measured bool // from and to are a finished measure
}

// press is where and how the button went down.
type press struct {
	at     fyne.Position
	button desktop.MouseButton
	keys   fyne.KeyModifier
}

// doubleTap is how close in time two taps must follow to open a thing.
const doubleTap = 350 * time.Millisecond

// MouseDown implements desktop.Mouseable.
func (v *View) MouseDown(e *desktop.MouseEvent) {
	v.pressed = press{e.Position, e.Button, e.Modifier}
	if c := fyne.CurrentApp().Driver().CanvasForObject(v); c != nil {
		c.Focus(v)
	}
}

// MouseUp implements desktop.Mouseable.
func (v *View) MouseUp(*desktop.MouseEvent) {}

// Dragged implements fyne.Draggable.
func (v *View) Dragged(e *fyne.DragEvent) {
	if v.gesture.kind == noGesture || v.gesture.clicks {
		v.begin()
	}
	g := &v.gesture
	switch g.kind {
	case panning:
		v.Pan(float64(e.Dragged.DX), float64(e.Dragged.DY))
	case dragging:
		g.to = v.At(e.Position)
		g.allowed = v.OnDragTo == nil || v.OnDragTo(g.ref, g.to)
		v.layer.update()
	case framing, measuring:
		g.to = v.snapped(e.Position)
		v.layer.update()
	}
}

// begin decides what a drag is, by the tool and what lay under the press.
func (v *View) begin() {
	v.gesture = gesture{kind: panning}
	if v.pressed.button == desktop.MouseButtonTertiary {
		return
	}
	switch v.tool {
	case Frame:
		p := v.At(v.pressed.at)
		v.gesture = gesture{kind: framing, from: p, to: p}
		return
	case Measure:
		p := v.snapped(v.pressed.at)
		v.gesture = gesture{kind: measuring, from: p, to: p}
		return
	}
	ref := v.RefAt(v.pressed.at)
	if ref == "" || v.OnDragStart == nil {
		return
	}
	from := v.At(v.pressed.at)
	box, ok := v.extent(ref)
	if ok && v.OnDragStart(ref, from) {
		v.gesture = gesture{kind: dragging, ref: ref, box: box, from: from, to: from, allowed: true}
	}
}

// DragEnd implements fyne.Draggable.
func (v *View) DragEnd() {
	g := v.gesture
	switch g.kind {
	case dragging:
		v.gesture = gesture{}
		v.layer.update()
		if v.OnDrop != nil {
			v.OnDrop(g.ref, g.to)
		}
	case framing:
		v.gesture = gesture{}
		v.layer.update()
		if v.OnFrame != nil && g.from.X != g.to.X && g.from.Y != g.to.Y {
			r := span(g.from, g.to)
			v.OnFrame(v.seenFrom(g.from.Ref, r.X0, r.Y0), v.seenFrom(g.from.Ref, r.X1, r.Y1))
		}
	case measuring:
		v.finishMeasure()
	default:
		v.gesture = gesture{}
	}
}

// seenFrom is a point on the thing with this ref, or where it just lies.
func (v *View) seenFrom(ref string, x, y float64) Place {
	if on, ok := v.On(ref, Place{X: x, Y: y}); ok {
		return on
	}
	return v.place(x, y)
}

func (v *View) finishMeasure() {
	g := v.gesture
	v.gesture = gesture{from: g.from, to: g.to, measured: true}
	v.layer.update()
	if v.OnMeasure != nil {
		v.OnMeasure(g.from, v.seenFrom(g.from.Ref, g.to.X, g.to.Y))
	}
}

// cancelGesture gives up what the pointer is in the middle of.
func (v *View) cancelGesture() {
	g := v.gesture
	v.gesture = gesture{}
	if g.kind == dragging && v.OnDragCancel != nil {
		v.OnDragCancel(g.ref)
	}
	if g.kind == dragging || g.kind == framing {
		v.gesture.kind = spent
	}
	v.layer.update()
}

// Tapped implements fyne.Tappable.
func (v *View) Tapped(e *fyne.PointEvent) {
	if v.tool == Measure {
		if v.gesture.kind == measuring {
			v.gesture.to = v.snapped(e.Position)
			v.finishMeasure()
			return
		}
		p := v.snapped(e.Position)
		v.gesture = gesture{kind: measuring, from: p, to: p, clicks: true}
		v.layer.update()
		return
	}
	v.gesture = gesture{}
	ref := v.RefAt(e.Position)
	now := time.Now()
	if ref != "" && ref == v.tapped && now.Sub(v.lastTap) < doubleTap && v.OnOpen != nil {
		v.lastTap = time.Time{}
		v.OnOpen(ref)
		return
	}
	v.tapped, v.lastTap = ref, now
	if v.OnPick != nil {
		v.OnPick(ref, v.pressed.keys)
	}
}

// TappedSecondary implements fyne.SecondaryTappable.
func (v *View) TappedSecondary(e *fyne.PointEvent) {
	v.showMenu(v.RefAt(e.Position), v.At(e.Position), e.AbsolutePosition)
}

func (v *View) showMenu(ref string, at Place, p fyne.Position) {
	c := fyne.CurrentApp().Driver().CanvasForObject(v)
	if v.Menu == nil || c == nil {
		return
	}
	if m := v.Menu(ref, at); m != nil && len(m.Items) > 0 {
		widget.ShowPopUpMenuAtPosition(m, c, p)
	}
}

// menuAtSelected shows the menu of the first selected thing in its middle.
func (v *View) menuAtSelected() {
	if len(v.selected) == 0 {
		return
	}
	box, ok := v.extent(v.selected[0])
	if !ok {
		return
	}
	v.Reveal(v.selected[0])
	x, y := (box.X0+box.X1)/2, (box.Y0+box.Y1)/2
	p := fyne.CurrentApp().Driver().AbsolutePositionForObject(v).Add(v.Spot(x, y))
	v.showMenu(v.selected[0], v.place(x, y), p)
}

// MouseIn implements desktop.Hoverable.
func (v *View) MouseIn(e *desktop.MouseEvent) { v.MouseMoved(e) }

// MouseMoved implements desktop.Hoverable.
func (v *View) MouseMoved(e *desktop.MouseEvent) {
	if v.gesture.kind == measuring && v.gesture.clicks {
		v.gesture.to = v.snapped(e.Position)
		v.layer.update()
		return
	}
	v.hover(v.RefAt(e.Position))
}

// MouseOut implements desktop.Hoverable.
func (v *View) MouseOut() { v.hover("") }

func (v *View) hover(ref string) {
	if ref == v.hovered {
		return
	}
	v.hovered = ref
	v.layer.update()
	if v.OnHover != nil {
		v.OnHover(ref)
	}
	if v.OnStatus != nil {
		v.OnStatus(v.picture.Hover[ref])
	}
}

// Cursor implements desktop.Cursorable.
func (v *View) Cursor() desktop.Cursor {
	switch {
	case v.tool != Hand:
		return desktop.CrosshairCursor
	case v.hovered != "" && v.OnPick != nil:
		return desktop.PointerCursor
	}
	return desktop.DefaultCursor
}

// wheelStep is how much one notch of a wheel zooms; notch is what Fyne reports
// for one (on a Mac, whose wheels and pads report finer steps, 10).
const (
	wheelStep = 1.2
	notch     = 25
)

// Scrolled implements fyne.Scrollable: the wheel zooms about the pointer, with
// Shift it moves the drawing up and down, and sideways scrolling moves it so.
func (v *View) Scrolled(e *fyne.ScrollEvent) {
	if d, ok := fyne.CurrentApp().Driver().(desktop.Driver); ok && d.CurrentKeyModifiers()&fyne.KeyModifierShift != 0 {
		// some systems turn a wheel with Shift sideways themselves
		v.Pan(0, 2*float64(e.Scrolled.DY+e.Scrolled.DX))
		return
	}
	if e.Scrolled.DX != 0 {
		v.Pan(float64(e.Scrolled.DX), 0)
	}
	if e.Scrolled.DY != 0 {
		notches := math.Max(-4, math.Min(4, float64(e.Scrolled.DY)/notch))
		v.zoomAt(math.Pow(wheelStep, notches), e.Position)
	}
}

// snapReach is how near a corner must be for a measure to take it, in Fyne units.
const snapReach = 9

// snapped is the place under a position, or the nearest corner of the drawing
// within reach.
func (v *View) snapped(p fyne.Position) Place {
	at := v.At(p)
	best := snapReach / v.zoom
	x, y := at.X, at.Y
	near := drawing.Rect{X0: at.X, Y0: at.Y, X1: at.X, Y1: at.Y}.Grow(best)
	for i := range v.picture.Marks {
		m := &v.picture.Marks[i]
		if m.Kind != drawing.Polygon && m.Kind != drawing.Polyline {
			continue
		}
		for _, q := range m.Pts {
			if !near.Holds(q.X, q.Y) {
				continue
			}
			if d := math.Hypot(q.X-at.X, q.Y-at.Y); d < best {
				best, x, y = d, q.X, q.Y
			}
		}
	}
	if v.gesture.kind == measuring {
		return v.seenFrom(v.gesture.from.Ref, x, y)
	}
	return v.place(x, y)
}
