package control

import (
	"image/color"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"
	"fyne.io/fyne/v2/container"
	fynetheme "fyne.io/fyne/v2/theme"
)

// CreateRenderer implements fyne.Widget.
func (g *Grid) CreateRenderer() fyne.WidgetRenderer {
	r := &gridRenderer{g: g, back: canvas.NewRectangle(color.Transparent), frame: canvas.NewRectangle(color.Transparent)}
	r.headClip = container.NewClip(g.head)
	r.objects = []fyne.CanvasObject{r.back, g.scroll, r.headClip, r.frame}
	r.paint()
	return r
}

// gridRenderer puts the titles above the scrolled rows inside a frame that
// shows the keyboard focus.
type gridRenderer struct {
	g           *Grid
	back, frame *canvas.Rectangle
	headClip    *container.Clip
	objects     []fyne.CanvasObject
}

const frameWidth float32 = 1

func (r *gridRenderer) Layout(size fyne.Size) {
	g := r.g
	head := g.head.MinSize().Height
	place(r.back, 0, 0, size.Width, size.Height)
	place(r.frame, 0, 0, size.Width, size.Height)
	place(r.headClip, frameWidth, frameWidth, size.Width-2*frameWidth, head)
	place(g.scroll, frameWidth, frameWidth+head, size.Width-2*frameWidth, max(0, size.Height-head-2*frameWidth))
	g.head.Resize(fyne.NewSize(size.Width-2*frameWidth, head))
	g.relayout()
}

func (r *gridRenderer) MinSize() fyne.Size {
	h := r.g.rowHeight()
	return fyne.NewSize(160, 4*h)
}

func (r *gridRenderer) paint() {
	p := r.g.paint()
	r.back.FillColor = p.paper
	r.frame.StrokeWidth = frameWidth
	r.frame.StrokeColor = r.g.Theme().Color(fynetheme.ColorNameInputBorder, fyne.CurrentApp().Settings().ThemeVariant())
	if r.g.focused || r.g.editing {
		r.frame.StrokeWidth = 2
		r.frame.StrokeColor = p.ring
	}
}

func (r *gridRenderer) Refresh() {
	r.paint()
	r.Layout(r.g.Size())
	canvas.Refresh(r.frame)
}

func (r *gridRenderer) Objects() []fyne.CanvasObject { return r.objects }
func (r *gridRenderer) Destroy()                     {}
