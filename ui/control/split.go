package control

import (
	"image/color"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"
	"fyne.io/fyne/v2/driver/desktop"
	fynetheme "fyne.io/fyne/v2/theme"
	"fyne.io/fyne/v2/widget"
)

// Split shows two things with a bar between them that can be dragged, or moved
// by the arrow keys while it has the focus.
type Split struct {
	widget.BaseWidget
	// OnMoved reports the new share of the first thing, for the owner to remember.
	OnMoved func(share float64)

	first, second fyne.CanvasObject
	sideBySide    bool
	share         float64
	bar           *splitBar
}

const splitBarRoom float32 = 7

// NewSplit puts first above second, or beside it; share, 0 to 1, is how much of
// the room first has.
func NewSplit(sideBySide bool, first, second fyne.CanvasObject, share float64) *Split {
	s := &Split{first: first, second: second, sideBySide: sideBySide, share: max(0, min(share, 1))}
	s.bar = newSplitBar(s)
	s.ExtendBaseWidget(s)
	return s
}

// Share is how much of the room the first thing has, 0 to 1.
func (s *Split) Share() float64 { return s.share }

// SetShare moves the bar. It does not report OnMoved.
func (s *Split) SetShare(share float64) {
	s.share = max(0, min(share, 1))
	s.Refresh()
}

func (s *Split) along(z fyne.Size) float32 {
	if s.sideBySide {
		return z.Width
	}
	return z.Height
}

// moveTo puts the bar's middle at a distance from the start.
func (s *Split) moveTo(at float32) {
	room := s.along(s.Size()) - splitBarRoom
	if room <= 0 {
		return
	}
	share := float64(s.bounded(at-splitBarRoom/2) / room)
	if share == s.share {
		return
	}
	s.share = share
	s.Refresh()
	if s.OnMoved != nil {
		s.OnMoved(share)
	}
}

// bounded keeps a length of the first thing so that both have their least room.
func (s *Split) bounded(length float32) float32 {
	room := s.along(s.Size()) - splitBarRoom
	lo, hi := float32(0), room
	if s.first.Visible() {
		lo = s.along(s.first.MinSize())
	}
	if s.second.Visible() {
		hi = room - s.along(s.second.MinSize())
	}
	if lo > hi {
		return room * lo / max(1, lo+room-hi)
	}
	return max(lo, min(length, hi))
}

// CreateRenderer implements fyne.Widget.
func (s *Split) CreateRenderer() fyne.WidgetRenderer { return &splitRenderer{s} }

type splitRenderer struct{ s *Split }

func (r *splitRenderer) Layout(z fyne.Size) {
	s := r.s
	if !s.first.Visible() || !s.second.Visible() {
		s.bar.Hide()
		for _, o := range []fyne.CanvasObject{s.first, s.second} {
			if o.Visible() {
				place(o, 0, 0, z.Width, z.Height)
			}
		}
		return
	}
	s.bar.Show()
	room := s.along(z) - splitBarRoom
	a := s.bounded(room * float32(s.share))
	if s.sideBySide {
		place(s.first, 0, 0, a, z.Height)
		place(s.bar, a, 0, splitBarRoom, z.Height)
		place(s.second, a+splitBarRoom, 0, max(0, room-a), z.Height)
		return
	}
	place(s.first, 0, 0, z.Width, a)
	place(s.bar, 0, a, z.Width, splitBarRoom)
	place(s.second, 0, a+splitBarRoom, z.Width, max(0, room-a))
}

func (r *splitRenderer) MinSize() fyne.Size {
	a, b := r.s.first.MinSize(), r.s.second.MinSize()
	if r.s.sideBySide {
		return fyne.NewSize(a.Width+b.Width+splitBarRoom, max(a.Height, b.Height))
	}
	return fyne.NewSize(max(a.Width, b.Width), a.Height+b.Height+splitBarRoom)
}

func (r *splitRenderer) Refresh() {
	r.Layout(r.s.Size())
	r.s.bar.Refresh()
	canvas.Refresh(r.s.bar)
}

func (r *splitRenderer) Objects() []fyne.CanvasObject {
	return []fyne.CanvasObject{r.s.first, r.s.second, r.s.bar}
}

func (r *splitRenderer) Destroy() {}

// splitBar is the bar; it takes the keyboard focus.
type splitBar struct {
	widget.BaseWidget
	s        *Split
	grip     *canvas.Rectangle
	focused  bool
	hovered  bool
	grabbed  bool
	from, at float32 // bar and pointer when the drag began
}

func newSplitBar(s *Split) *splitBar {
	b := &splitBar{s: s, grip: canvas.NewRectangle(color.Transparent)}
	b.ExtendBaseWidget(b)
	return b
}

func (b *splitBar) CreateRenderer() fyne.WidgetRenderer { return &splitBarRenderer{b} }

type splitBarRenderer struct{ b *splitBar }

func (r *splitBarRenderer) Layout(z fyne.Size) {
	const long, thin = 44, 3
	if r.b.s.sideBySide {
		place(r.b.grip, (z.Width-thin)/2, (z.Height-long)/2, thin, long)
	} else {
		place(r.b.grip, (z.Width-long)/2, (z.Height-thin)/2, long, thin)
	}
	r.Refresh()
}

func (r *splitBarRenderer) MinSize() fyne.Size { return fyne.NewSize(splitBarRoom, splitBarRoom) }

func (r *splitBarRenderer) Refresh() {
	th, v := r.b.Theme(), fyne.CurrentApp().Settings().ThemeVariant()
	r.b.grip.CornerRadius = 1.5
	r.b.grip.FillColor = th.Color(fynetheme.ColorNameScrollBar, v)
	if r.b.focused || r.b.hovered || r.b.grabbed {
		r.b.grip.FillColor = th.Color(fynetheme.ColorNamePrimary, v)
	}
	canvas.Refresh(r.b.grip)
}

func (r *splitBarRenderer) Objects() []fyne.CanvasObject { return []fyne.CanvasObject{r.b.grip} }
func (r *splitBarRenderer) Destroy()                     {}

func (b *splitBar) absolute(p fyne.Position) float32 {
	if b.s.sideBySide {
		return p.X
	}
	return p.Y
}

// MouseDown implements desktop.Mouseable.
func (b *splitBar) MouseDown(e *desktop.MouseEvent) {
	b.from, b.at = b.absolute(b.Position()), b.absolute(e.AbsolutePosition)
	b.grabbed = true
}

// MouseUp implements desktop.Mouseable.
func (b *splitBar) MouseUp(*desktop.MouseEvent) { b.DragEnd() }

// Dragged implements fyne.Draggable.
func (b *splitBar) Dragged(e *fyne.DragEvent) {
	b.s.moveTo(b.from + splitBarRoom/2 + b.absolute(e.AbsolutePosition) - b.at)
}

// DragEnd implements fyne.Draggable.
func (b *splitBar) DragEnd() {
	b.grabbed = false
	b.Refresh()
}

// MouseIn implements desktop.Hoverable.
func (b *splitBar) MouseIn(*desktop.MouseEvent) {
	b.hovered = true
	b.Refresh()
}

// MouseMoved implements desktop.Hoverable.
func (b *splitBar) MouseMoved(*desktop.MouseEvent) {}

// MouseOut implements desktop.Hoverable.
func (b *splitBar) MouseOut() {
	b.hovered = false
	b.Refresh()
}

// Cursor implements desktop.Cursorable.
func (b *splitBar) Cursor() desktop.Cursor {
	if b.s.sideBySide {
		return desktop.HResizeCursor
	}
	return desktop.VResizeCursor
}

// FocusGained implements fyne.Focusable.
func (b *splitBar) FocusGained() {
	b.focused = true
	b.Refresh()
}

// FocusLost implements fyne.Focusable.
func (b *splitBar) FocusLost() {
	b.focused = false
	b.Refresh()
}

// TypedRune implements fyne.Focusable.
func (b *splitBar) TypedRune(rune) {}

// TypedKey implements fyne.Focusable.
func (b *splitBar) TypedKey(k *fyne.KeyEvent) {
	const step = 24
	at := b.absolute(b.Position()) + splitBarRoom/2
	switch k.Name {
	case fyne.KeyUp, fyne.KeyLeft:
		b.s.moveTo(at - step)
	case fyne.KeyDown, fyne.KeyRight:
		b.s.moveTo(at + step)
	}
}
