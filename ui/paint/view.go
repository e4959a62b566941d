// Package paint shows a drawing.Picture on the screen: it zooms and pans, tells
// what is under the pointer, and reports picks, drags, rectangles and measured
// distances by callback. It knows pictures and no wood. Start with View.
package paint

import (
	"cmp"
	"time"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"
	"fyne.io/fyne/v2/widget"

	"pilewright/layout/drawing"
	"pilewright/layout/drawing/raster"
	"pilewright/ui/theme"
)

// Tool says what a drag or click on the drawing does.
type Tool int

const (
	// Hand picks, drags what may be dragged, and else moves the drawing.
	Hand Tool = iota
	// Frame draws a rectangle, reported by OnFrame.
	Frame
	// Measure takes the distance of two points, reported by OnMeasure.
	Measure
)

// Place is a point of the drawing. X and Y are the picture's millimetres on
// paper. Where the point lies on something drawn to scale (a drawing.Frame),
// Ref names it and RealX, RealY are millimetres on the thing itself.
type Place struct {
	X, Y         float64
	Ref          string
	RealX, RealY float64
}

// View is a widget that shows one picture. It belongs to the goroutine of the
// user interface. Positions it reports are in the picture's millimetres. Set the
// callbacks before the first show; each may be nil.
type View struct {
	widget.BaseWidget

	// FitWidth makes fitting go by the picture's width alone.
	FitWidth bool

	// OnStatus gets the text to show for what is under the pointer, "" for none.
	OnStatus func(text string)
	// OnHover gets the ref under the pointer when it changes, "" for none.
	OnHover func(ref string)
	// OnPick gets the ref that was tapped, "" for bare paper, and the keys held.
	OnPick func(ref string, keys fyne.KeyModifier)
	// OnOpen gets the ref tapped twice, or picked when Enter is pressed.
	OnOpen func(ref string)
	// Menu gives the context menu for a place; ref is what lies there.
	Menu func(ref string, at Place) *fyne.Menu

	// OnDragStart says whether the thing may be dragged. OnDragTo is told where
	// its grip now is and answers whether it may be dropped there; OnDrop is told
	// when it is let go, whatever OnDragTo said last. A drag given up with Escape
	// ends with OnDragCancel.
	OnDragStart  func(ref string, at Place) bool
	OnDragTo     func(ref string, at Place) bool
	OnDrop       func(ref string, at Place)
	OnDragCancel func(ref string)

	// OnFrame gets the rectangle drawn with the Frame tool, corner to corner.
	OnFrame func(from, to Place)
	// OnMeasure gets each finished measurement; Distance is its text on the
	// drawing (nil: millimetres).
	OnMeasure func(from, to Place)
	Distance  func(from, to Place) string
	// OnTool reports that the tool was changed by the view itself (Escape).
	OnTool func(Tool)
	// OnZoom reports a changed zoom in Fyne units a millimetre.
	OnZoom func(zoom float64)

	// Background runs long paintings off the user interface's goroutine; nil
	// means a goroutine of their own. Tests may run them in line.
	Background func(work func())

	picture *drawing.Picture
	extents map[string]extent // of the picture's refs, as asked for
	bounds  drawing.Rect
	zoom    float64 // Fyne units a millimetre
	ox, oy  float64 // Fyne units of the picture's origin in the view
	fitted  bool    // no zoom or pan by hand yet: follow size and picture

	tool     Tool
	selected []string
	hovered  string
	gesture  gesture
	pressed  press
	lastTap  time.Time
	tapped   string
	focused  bool

	raster *canvas.Raster
	layer  *overlay
	screen screen
}

// NewView returns a view of an empty picture.
func NewView() *View {
	v := &View{picture: &drawing.Picture{}, extents: map[string]extent{}, zoom: 1, fitted: true}
	v.raster = canvas.NewRaster(v.generate)
	v.raster.ScaleMode = canvas.ImageScalePixels
	v.layer = newOverlay(v)
	v.ExtendBaseWidget(v)
	return v
}

// SetPicture shows another picture, which must not be changed afterwards. Zoom
// and place stay as they are unless nothing of the new picture would be in view
// or the view was never zoomed or moved by hand; then it fits.
func (v *View) SetPicture(p *drawing.Picture) {
	if p == nil {
		p = &drawing.Picture{}
	}
	v.picture = p
	v.bounds = p.Bounds()
	v.extents = map[string]extent{}
	if _, ok := v.extent(v.gesture.ref); v.gesture.kind == dragging && !ok {
		v.cancelGesture() // what was dragged is gone
	}
	v.screen.forget(len(p.Marks))
	if v.fitted || !v.bounds.Meets(v.visible()) {
		v.Fit()
	} else {
		v.redraw()
	}
	if v.hovered != "" {
		v.hover("")
	}
}

// Picture is the picture on show.
func (v *View) Picture() *drawing.Picture { return v.picture }

// fitMargin is the room left about a fitted picture, in Fyne units; maxFit keeps
// a small drawing from being blown up when fitted.
const (
	fitMargin = 14
	maxFit    = 6.0
	maxZoom   = 80.0
)

// Fit shows the whole picture, or its whole width from the top with FitWidth.
func (v *View) Fit() {
	v.fitted = true
	size := v.Size()
	if size.IsZero() || v.bounds.Empty() {
		v.redraw()
		return
	}
	w, h := float64(size.Width)-2*fitMargin, float64(size.Height)-2*fitMargin
	v.zoom = v.fitZoom()
	v.ox = fitMargin + (w-v.bounds.W()*v.zoom)/2 - v.bounds.X0*v.zoom
	v.oy = fitMargin + (h-v.bounds.H()*v.zoom)/2 - v.bounds.Y0*v.zoom
	if v.bounds.H()*v.zoom > h {
		v.oy = fitMargin - v.bounds.Y0*v.zoom
	}
	v.moved(true)
}

func (v *View) fitZoom() float64 {
	w, h := float64(v.Size().Width)-2*fitMargin, float64(v.Size().Height)-2*fitMargin
	z := max(1, w) / max(v.bounds.W(), 1)
	if !v.FitWidth {
		z = min(z, max(1, h)/max(v.bounds.H(), 1))
	}
	return min(z, maxFit)
}

// Zoom is the zoom in Fyne units a millimetre.
func (v *View) Zoom() float64 { return v.zoom }

// ZoomBy zooms about the middle of the view.
func (v *View) ZoomBy(factor float64) {
	s := v.Size()
	v.zoomAt(factor, fyne.NewPos(s.Width/2, s.Height/2))
}

// zoomAt zooms so that the point of the picture under p stays there.
func (v *View) zoomAt(factor float64, p fyne.Position) {
	least := min(v.fitZoom()/4, 0.5)
	z := max(least, min(v.zoom*factor, maxZoom))
	x, y := float64(p.X), float64(p.Y)
	v.ox = x - (x-v.ox)*z/v.zoom
	v.oy = y - (y-v.oy)*z/v.zoom
	changed := z != v.zoom
	v.zoom = z
	v.fitted = false
	v.moved(changed)
}

// Pan moves the drawing by Fyne units. Some of it always stays in view.
func (v *View) Pan(dx, dy float64) {
	v.ox += dx
	v.oy += dy
	const stay = 40
	if !v.bounds.Empty() {
		w, h := float64(v.Size().Width), float64(v.Size().Height)
		v.ox = max(stay-v.bounds.X1*v.zoom, min(v.ox, w-stay-v.bounds.X0*v.zoom))
		v.oy = max(stay-v.bounds.Y1*v.zoom, min(v.oy, h-stay-v.bounds.Y0*v.zoom))
	}
	v.fitted = false
	v.moved(false)
}

// Reveal brings what carries a ref into view, with as little moving as possible.
func (v *View) Reveal(ref string) {
	box, ok := v.extent(ref)
	if !ok || v.Size().IsZero() {
		return
	}
	shift := func(lo, hi, room float64) float64 {
		switch {
		case hi-lo > room-2*fitMargin, lo < fitMargin:
			return fitMargin - lo
		case hi > room-fitMargin:
			return room - fitMargin - hi
		}
		return 0
	}
	dx := shift(box.X0*v.zoom+v.ox, box.X1*v.zoom+v.ox, float64(v.Size().Width))
	dy := shift(box.Y0*v.zoom+v.oy, box.Y1*v.zoom+v.oy, float64(v.Size().Height))
	if dx != 0 || dy != 0 {
		fitted := v.fitted
		v.ox += dx
		v.oy += dy
		v.fitted = fitted && dx == 0 && dy == 0
		v.moved(false)
	}
}

// Select outlines everything that carries one of the refs, without painting the
// picture anew.
func (v *View) Select(refs ...string) {
	v.selected = append(v.selected[:0], refs...)
	v.layer.update()
}

// Selected lists the outlined refs.
func (v *View) Selected() []string { return append([]string(nil), v.selected...) }

// SetTool changes what drags and clicks do.
func (v *View) SetTool(t Tool) {
	v.cancelGesture()
	v.tool = t
	v.layer.update()
}

// CurrentTool is what drags and clicks do now.
func (v *View) CurrentTool() Tool { return v.tool }

// At is the place of the picture under a position of the view.
func (v *View) At(p fyne.Position) Place {
	return v.place((float64(p.X)-v.ox)/v.zoom, (float64(p.Y)-v.oy)/v.zoom)
}

// Spot is where a point of the picture is in the view.
func (v *View) Spot(x, y float64) fyne.Position {
	return fyne.NewPos(float32(x*v.zoom+v.ox), float32(y*v.zoom+v.oy))
}

// RefAt is the ref of the topmost thing under a position, "" for none.
func (v *View) RefAt(p fyne.Position) string {
	at := v.At(p)
	return v.picture.Hit(at.X, at.Y, hitReach/v.zoom)
}

// hitReach is how near a line the pointer must be, in Fyne units.
const hitReach = 4

// place finds the thing drawn to scale under a point. Of several, the smallest
// counts, as it lies on the others.
func (v *View) place(x, y float64) Place {
	p := Place{X: x, Y: y}
	best := 0.0
	for _, f := range v.picture.Frames {
		box, ok := v.extent(f.Ref)
		if !ok || f.Scale == 0 || !box.Grow(hitReach/v.zoom).Holds(x, y) {
			continue
		}
		if area := box.W() * box.H(); p.Ref == "" || area < best {
			best = area
			p.Ref, p.RealX, p.RealY = f.Ref, (x-f.X)/f.Scale, (y-f.Y)/across(f)
		}
	}
	return p
}

// On gives the place as seen from the thing with this ref, even outside it; ok
// is false where the picture does not draw it to scale.
func (v *View) On(ref string, p Place) (on Place, ok bool) {
	f, ok := v.picture.Frame(ref)
	if !ok || f.Scale == 0 {
		return p, false
	}
	return Place{X: p.X, Y: p.Y, Ref: ref, RealX: (p.X - f.X) / f.Scale, RealY: (p.Y - f.Y) / across(f)}, true
}

// across is the scale of a frame across its length: a narrow board may be drawn
// wider than it is.
func across(f drawing.Frame) float64 { return cmp.Or(f.Across, f.Scale) }

// extent is what a ref covers in the picture, if anything.
type extent struct {
	box drawing.Rect
	ok  bool
}

func (v *View) extent(ref string) (drawing.Rect, bool) {
	e, known := v.extents[ref]
	if !known {
		e.box, e.ok = v.picture.Extent(ref)
		e.ok = e.ok && ref != ""
		v.extents[ref] = e
	}
	return e.box, e.ok
}

// visible is the part of the picture in view.
func (v *View) visible() drawing.Rect {
	s := v.Size()
	return drawing.Rect{
		X0: -v.ox / v.zoom, Y0: -v.oy / v.zoom,
		X1: (float64(s.Width) - v.ox) / v.zoom, Y1: (float64(s.Height) - v.oy) / v.zoom,
	}
}

// moved shows a changed zoom or place.
func (v *View) moved(zoomed bool) {
	v.redraw()
	if zoomed && v.OnZoom != nil {
		v.OnZoom(v.zoom)
	}
}

// redraw paints anew what is in view.
func (v *View) redraw() {
	v.raster.Refresh()
	v.layer.update()
}

func (v *View) palette() *raster.Palette { return theme.Drawing() }

// Refresh implements fyne.CanvasObject; it takes up a changed theme.
func (v *View) Refresh() {
	v.screen.forget(len(v.picture.Marks))
	v.redraw()
	v.BaseWidget.Refresh()
}

// Resize implements fyne.CanvasObject. A fitted picture stays fitted; else what
// is in the middle stays there.
func (v *View) Resize(s fyne.Size) {
	old := v.Size()
	v.BaseWidget.Resize(s)
	if s == old {
		return
	}
	if v.fitted {
		v.Fit()
		return
	}
	v.ox += float64(s.Width-old.Width) / 2
	v.oy += float64(s.Height-old.Height) / 2
	v.redraw()
}

// MinSize implements fyne.CanvasObject.
func (v *View) MinSize() fyne.Size {
	v.ExtendBaseWidget(v)
	return fyne.NewSize(120, 80)
}

// CreateRenderer implements fyne.Widget.
func (v *View) CreateRenderer() fyne.WidgetRenderer { return newViewRenderer(v) }
