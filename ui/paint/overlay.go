package paint

import (
	"image/color"
	"math"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"
	"fyne.io/fyne/v2/container"
	fynetheme "fyne.io/fyne/v2/theme"
	"fyne.io/fyne/v2/widget"

	"pilewright/layout/drawing"
	"pilewright/ui/locale"
	"pilewright/ui/theme"
)

// overlay is what lies over the painted picture: outlines of what is selected
// and hovered, the ghost of what is dragged, the rectangle and the measure being
// drawn. Changing it does not paint the picture.
type overlay struct {
	widget.BaseWidget
	v        *View
	outlines []*canvas.Rectangle
	hover    *canvas.Rectangle
	ghost    *canvas.Rectangle
	band     *canvas.Rectangle
	line     *canvas.Line
	ends     [2]*canvas.Circle
	plate    *canvas.Rectangle
	label    *canvas.Text
	objects  []fyne.CanvasObject
}

func newOverlay(v *View) *overlay {
	rectangle := func() *canvas.Rectangle {
		r := canvas.NewRectangle(color.Transparent)
		r.Hidden = true
		return r
	}
	o := &overlay{v: v, hover: rectangle(), ghost: rectangle(), band: rectangle(), plate: rectangle()}
	o.line = canvas.NewLine(color.Transparent)
	o.label = canvas.NewText("", color.Black)
	o.line.Hidden, o.label.Hidden = true, true
	for i := range o.ends {
		o.ends[i] = canvas.NewCircle(color.Transparent)
		o.ends[i].Hidden = true
	}
	o.collect()
	o.ExtendBaseWidget(o)
	return o
}

func (o *overlay) collect() {
	o.objects = []fyne.CanvasObject{o.hover}
	for _, r := range o.outlines {
		o.objects = append(o.objects, r)
	}
	o.objects = append(o.objects, o.ghost, o.band, o.line, o.ends[0], o.ends[1], o.plate, o.label)
}

func (o *overlay) CreateRenderer() fyne.WidgetRenderer { return &overlayRenderer{o} }

type overlayRenderer struct{ o *overlay }

func (r *overlayRenderer) Layout(fyne.Size)             { r.o.update() }
func (r *overlayRenderer) MinSize() fyne.Size           { return fyne.NewSize(1, 1) }
func (r *overlayRenderer) Refresh()                     { r.o.update() }
func (r *overlayRenderer) Objects() []fyne.CanvasObject { return r.o.objects }
func (r *overlayRenderer) Destroy()                     {}

// update puts every outline where the view now has its thing.
func (o *overlay) update() {
	v := o.v
	selected, ghost, refused, plate := theme.Overlay(v.palette())
	for len(o.outlines) < len(v.selected) {
		r := canvas.NewRectangle(color.Transparent)
		o.outlines = append(o.outlines, r)
		o.collect()
	}
	for i, r := range o.outlines {
		if i >= len(v.selected) {
			r.Hidden = true
			continue
		}
		box, ok := v.extent(v.selected[i])
		r.Hidden = !ok
		if ok {
			style(r, selected, 0x28, 3)
			o.around(r, box, 2)
		}
	}
	box, ok := v.extent(v.hovered)
	o.hover.Hidden = v.hovered == "" || !ok || v.gesture.kind != noGesture
	if !o.hover.Hidden {
		style(o.hover, selected, 0, 1.5)
		o.around(o.hover, box, 1)
	}
	o.updateGesture(selected, ghost, refused, plate)
	canvas.Refresh(o)
}

func (o *overlay) updateGesture(selected, ghost, refused, plate color.NRGBA) {
	v, g := o.v, &o.v.gesture
	o.ghost.Hidden = g.kind != dragging
	if g.kind == dragging {
		c := ghost
		if !g.allowed {
			c = refused
		}
		style(o.ghost, c, 0x30, 2)
		dx, dy := g.to.X-g.from.X, g.to.Y-g.from.Y
		b := g.box
		o.around(o.ghost, drawing.Rect{X0: b.X0 + dx, Y0: b.Y0 + dy, X1: b.X1 + dx, Y1: b.Y1 + dy}, 0)
	}
	o.band.Hidden = g.kind != framing
	if g.kind == framing {
		style(o.band, selected, 0x30, 2)
		o.around(o.band, span(g.from, g.to), 0)
	}
	measuring := g.kind == measuring || g.kind == noGesture && v.tool == Measure && g.measured
	o.line.Hidden, o.ends[0].Hidden, o.ends[1].Hidden = !measuring, !measuring, !measuring
	text := ""
	switch {
	case measuring:
		a, b := v.Spot(g.from.X, g.from.Y), v.Spot(g.to.X, g.to.Y)
		o.line.StrokeColor, o.line.StrokeWidth = ghost, 2
		o.line.Position1, o.line.Position2 = a, b
		for i, p := range []fyne.Position{a, b} {
			o.ends[i].FillColor = ghost
			o.ends[i].Move(p.SubtractXY(3.5, 3.5))
			o.ends[i].Resize(fyne.NewSize(7, 7))
		}
		text = v.distance(g.from, g.to)
	case g.kind == framing:
		r := span(g.from, g.to)
		text = v.distance(Place{X: r.X0, Y: r.Y0, Ref: g.from.Ref}, Place{X: r.X1, Y: r.Y0, Ref: g.from.Ref}) + " × " +
			v.distance(Place{X: r.X0, Y: r.Y0, Ref: g.from.Ref}, Place{X: r.X0, Y: r.Y1, Ref: g.from.Ref})
	}
	o.label.Hidden, o.plate.Hidden = text == "", text == ""
	if text == "" {
		return
	}
	o.label.Text, o.label.Color = text, ghost
	o.label.TextStyle.Bold = true
	o.label.TextSize = v.Theme().Size(fynetheme.SizeNameText)
	size := o.label.MinSize()
	p := v.Spot((g.from.X+g.to.X)/2, (g.from.Y+g.to.Y)/2).SubtractXY(size.Width/2, size.Height+6)
	p.X = max(4, min(p.X, v.Size().Width-size.Width-4))
	p.Y = max(4, min(p.Y, v.Size().Height-size.Height-4))
	plate.A = 0xe8
	style(o.plate, ghost, 0, 1)
	o.plate.FillColor, o.plate.CornerRadius = plate, 3
	o.label.Move(p)
	o.label.Resize(size)
	o.plate.Move(p.SubtractXY(5, 1))
	o.plate.Resize(size.AddWidthHeight(10, 2))
}

// style sets a rectangle's line and the strength of its filling.
func style(r *canvas.Rectangle, c color.NRGBA, fill uint8, width float32) {
	r.StrokeColor, r.StrokeWidth = c, width
	c.A = fill
	r.FillColor = c
	if fill == 0 {
		r.FillColor = color.Transparent
	}
}

// around places a rectangle about a box of the picture, grown by Fyne units and
// never too small to be seen. It is cut off a little outside the view, since a
// huge rectangle costs time to paint.
func (o *overlay) around(r *canvas.Rectangle, b drawing.Rect, grow float32) {
	const outside, least = 20, 6
	p, q := o.v.Spot(b.X0, b.Y0), o.v.Spot(b.X1, b.Y1)
	s := o.v.Size()
	clamp := func(v, hi float32) float32 { return max(-outside, min(v, hi+outside)) }
	x0, y0 := clamp(p.X-grow, s.Width), clamp(p.Y-grow, s.Height)
	x1, y1 := clamp(q.X+grow, s.Width), clamp(q.Y+grow, s.Height)
	if x1-x0 < least {
		x0, x1 = (x0+x1-least)/2, (x0+x1+least)/2
	}
	if y1-y0 < least {
		y0, y1 = (y0+y1-least)/2, (y0+y1+least)/2
	}
	r.Move(fyne.NewPos(x0, y0))
	r.Resize(fyne.NewSize(x1-x0, y1-y0))
}

// span is the rectangle of two corners.
func span(a, b Place) drawing.Rect {
	return drawing.Rect{X0: math.Min(a.X, b.X), Y0: math.Min(a.Y, b.Y), X1: math.Max(a.X, b.X), Y1: math.Max(a.Y, b.Y)}
}

// distance is the text for the distance of two places.
func (v *View) distance(a, b Place) string {
	if v.Distance != nil {
		if on, ok := v.On(a.Ref, a); ok {
			a = on
			b, _ = v.On(a.Ref, b)
		}
		return v.Distance(a, b)
	}
	return locale.Float(v.Length(a, b), 1) + " mm"
}

// Length is the distance of two places in millimetres: on the thing where the
// first lies on one drawn to scale, else on paper.
func (v *View) Length(a, b Place) float64 {
	d := math.Hypot(b.X-a.X, b.Y-a.Y)
	if f, ok := v.picture.Frame(a.Ref); ok && f.Scale != 0 {
		return d / math.Abs(f.Scale)
	}
	return d
}

// viewRenderer stacks the painting, the clipped overlay and the focus frame.
type viewRenderer struct {
	v       *View
	clip    *container.Clip
	frame   *canvas.Rectangle
	objects []fyne.CanvasObject
}

func newViewRenderer(v *View) *viewRenderer {
	r := &viewRenderer{v: v, clip: container.NewClip(v.layer), frame: canvas.NewRectangle(color.Transparent)}
	r.objects = []fyne.CanvasObject{v.raster, r.clip, r.frame}
	r.paintFrame()
	return r
}

func (r *viewRenderer) paintFrame() {
	th, variant := r.v.Theme(), fyne.CurrentApp().Settings().ThemeVariant()
	r.frame.StrokeWidth, r.frame.StrokeColor = 1, th.Color(fynetheme.ColorNameSeparator, variant)
	if r.v.focused {
		r.frame.StrokeWidth, r.frame.StrokeColor = 2, th.Color(fynetheme.ColorNamePrimary, variant)
	}
}

func (r *viewRenderer) Layout(s fyne.Size) {
	for _, o := range r.objects {
		o.Resize(s)
	}
}

func (r *viewRenderer) MinSize() fyne.Size { return fyne.NewSize(120, 80) }

func (r *viewRenderer) Refresh() {
	r.paintFrame()
	canvas.Refresh(r.frame)
}

func (r *viewRenderer) Objects() []fyne.CanvasObject { return r.objects }
func (r *viewRenderer) Destroy()                     {}
