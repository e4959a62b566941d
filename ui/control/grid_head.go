package control

import (
	"image/color"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"
	"fyne.io/fyne/v2/driver/desktop"
	"fyne.io/fyne/v2/lang"
	fynetheme "fyne.io/fyne/v2/theme"
	"fyne.io/fyne/v2/widget"
)

// grabRoom is how near a column edge a press takes hold of it.
const grabRoom float32 = 5

// gridHead is the row of titles above the scrolled rows: a press on a title
// sorts, a drag of its right edge changes the width.
type gridHead struct {
	widget.BaseWidget
	g       *Grid
	back    *canvas.Rectangle
	under   *canvas.Rectangle
	titles  []*canvas.Text
	edges   []*canvas.Rectangle
	sort    *canvas.Polygon
	objects []fyne.CanvasObject
	widths  textWidths

	pointer  float32 // x under the pointer
	grabbed  int     // column whose right edge is held, -1 none
	grabX    float32
	grabFrom float32
	dragged  bool
}

func newGridHead(g *Grid) *gridHead {
	h := &gridHead{g: g, grabbed: -1, pointer: -1}
	h.back, h.under = canvas.NewRectangle(color.Transparent), canvas.NewRectangle(color.Transparent)
	h.sort = canvas.NewPolygon(3, color.Transparent)
	h.objects = []fyne.CanvasObject{h.back}
	for range g.Columns {
		t := canvas.NewText("", color.Black)
		t.TextStyle.Bold = true
		e := canvas.NewRectangle(color.Transparent)
		h.titles, h.edges = append(h.titles, t), append(h.edges, e)
		h.objects = append(h.objects, t, e)
	}
	h.objects = append(h.objects, h.sort, h.under)
	h.ExtendBaseWidget(h)
	return h
}

func (h *gridHead) CreateRenderer() fyne.WidgetRenderer { return &headRenderer{h} }

type headRenderer struct{ h *gridHead }

func (r *headRenderer) Layout(fyne.Size)             { r.h.update() }
func (r *headRenderer) MinSize() fyne.Size           { return fyne.NewSize(minColumn, r.h.g.rowHeight()+2) }
func (r *headRenderer) Refresh()                     { r.h.update() }
func (r *headRenderer) Objects() []fyne.CanvasObject { return r.h.objects }
func (r *headRenderer) Destroy()                     {}

func (h *gridHead) update() {
	g := h.g
	size := h.Size()
	if size.IsZero() || len(g.lefts) != len(g.Columns)+1 {
		return
	}
	th, v := g.Theme(), fyne.CurrentApp().Settings().ThemeVariant()
	p := g.paint()
	textSize := g.textSize()
	if h.widths.size != textSize {
		h.widths.reset()
		h.widths.size = textSize
	}
	h.back.FillColor = th.Color(fynetheme.ColorNameHeaderBackground, v)
	place(h.back, 0, 0, size.Width, size.Height)
	h.under.FillColor = th.Color(fynetheme.ColorNameSeparator, v)
	place(h.under, 0, size.Height-1, size.Width, 1)
	hide(h.sort)
	for i, t := range h.titles {
		x, w := g.lefts[i]-g.scroll.Offset.X, g.lefts[i+1]-g.lefts[i]
		room := w - 2*cellPad
		if i == g.sortCol && g.OnSort != nil {
			room -= 14
			h.sort.FillColor = p.ink
			h.sort.Angle = 0
			if g.sortDown {
				h.sort.Angle = 180
			}
			place(h.sort, x+w-16, size.Height/2-5, 10, 10)
			show(h.sort)
		}
		t.Text = h.widths.fit(g.Columns[i].Title, true, room)
		t.TextSize = textSize
		t.Color = p.ink
		t.Alignment = g.Columns[i].Align
		if g.Columns[i].Numeric {
			t.Alignment = fyne.TextAlignTrailing
		}
		if g.Columns[i].Kind == Bool {
			t.Alignment = fyne.TextAlignCenter
		}
		place(t, x+cellPad, 0, max(room, 0), size.Height)
		e := h.edges[i]
		e.FillColor = p.line
		if h.grabbed == i {
			e.FillColor = p.ring
		}
		place(e, x+w-1, 4, 1, size.Height-8)
	}
	canvas.Refresh(h)
}

// edgeAt gives the column whose right edge is near x, or -1.
func (h *gridHead) edgeAt(x float32) int {
	x += h.g.scroll.Offset.X
	for i := len(h.g.Columns) - 1; i >= 0; i-- { // the later edge wins where two meet
		if d := x - h.g.lefts[i+1]; d > -grabRoom && d < grabRoom {
			return i
		}
	}
	return -1
}

func (h *gridHead) columnAt(x float32) int {
	x += h.g.scroll.Offset.X
	for i := range h.g.Columns {
		if x >= h.g.lefts[i] && x < h.g.lefts[i+1] {
			return i
		}
	}
	return -1
}

// MouseDown implements desktop.Mouseable: it takes hold of an edge.
func (h *gridHead) MouseDown(e *desktop.MouseEvent) {
	h.dragged = false
	h.grabbed = -1
	if e.Button == desktop.MouseButtonPrimary {
		h.grabbed = h.edgeAt(e.Position.X)
	}
	if h.grabbed >= 0 {
		h.grabX = e.AbsolutePosition.X
		h.grabFrom = h.g.lefts[h.grabbed+1] - h.g.lefts[h.grabbed]
		h.update()
	}
}

// MouseUp implements desktop.Mouseable.
func (h *gridHead) MouseUp(*desktop.MouseEvent) {
	if !h.dragged {
		return // Tapped follows and lets go
	}
	h.letGo()
}

// Dragged implements fyne.Draggable.
func (h *gridHead) Dragged(e *fyne.DragEvent) {
	if h.grabbed < 0 {
		return
	}
	h.dragged = true
	g := h.g
	w := max(minColumn, h.grabFrom+e.AbsolutePosition.X-h.grabX)
	if g.Columns[h.grabbed].Stretch {
		// what the column shows now includes its share of the spare room
		w -= (g.lefts[h.grabbed+1] - g.lefts[h.grabbed]) - g.widths[h.grabbed]*g.widthScale()
	}
	g.widths[h.grabbed] = max(minColumn, w/g.widthScale())
	g.relayout()
}

// DragEnd implements fyne.Draggable.
func (h *gridHead) DragEnd() { h.letGo() }

func (h *gridHead) letGo() {
	if h.dragged && h.g.OnWidths != nil {
		h.g.OnWidths()
	}
	h.dragged = false
	h.grabbed = -1
	h.update()
}

// Tapped implements fyne.Tappable: it asks for the rows in another order.
func (h *gridHead) Tapped(e *fyne.PointEvent) {
	if h.grabbed >= 0 {
		h.letGo()
		return
	}
	g := h.g
	col := h.columnAt(e.Position.X)
	if col < 0 || g.OnSort == nil {
		return
	}
	g.endEdit(true)
	down := col == g.sortCol && !g.sortDown
	g.SetSort(col, down)
	g.OnSort(col, down)
}

// TappedSecondary implements fyne.SecondaryTappable: it offers to fit widths.
func (h *gridHead) TappedSecondary(e *fyne.PointEvent) {
	c := fyne.CurrentApp().Driver().CanvasForObject(h)
	if c == nil {
		return
	}
	var items []*fyne.MenuItem
	if col := h.columnAt(e.Position.X); col >= 0 {
		items = append(items, fyne.NewMenuItem(lang.L("Fit this column"), func() { h.g.FitColumns(col) }))
	}
	items = append(items, fyne.NewMenuItem(lang.L("Fit all columns"), func() { h.g.FitColumns() }))
	widget.ShowPopUpMenuAtPosition(fyne.NewMenu("", items...), c, e.AbsolutePosition)
}

// MouseIn implements desktop.Hoverable.
func (h *gridHead) MouseIn(e *desktop.MouseEvent) { h.MouseMoved(e) }

// MouseMoved implements desktop.Hoverable: it reports the title's tip.
func (h *gridHead) MouseMoved(e *desktop.MouseEvent) {
	h.pointer = e.Position.X
	if col := h.columnAt(h.pointer); col >= 0 && h.g.Columns[col].Tip != "" {
		h.g.say(h.g.Columns[col].Tip)
	} else {
		h.g.sayCurrent()
	}
}

// MouseOut implements desktop.Hoverable.
func (h *gridHead) MouseOut() {
	h.pointer = -1
	h.g.sayCurrent()
}

// Cursor implements desktop.Cursorable.
func (h *gridHead) Cursor() desktop.Cursor {
	if h.grabbed >= 0 || h.pointer >= 0 && h.edgeAt(h.pointer) >= 0 {
		return desktop.HResizeCursor
	}
	return desktop.DefaultCursor
}

// fitSample bounds how many rows FitColumns measures.
const fitSample = 500

// FitColumns makes columns as wide as their widest text among the first rows;
// without arguments, all of them.
func (g *Grid) FitColumns(cols ...int) {
	if len(cols) == 0 {
		for i := range g.Columns {
			cols = append(cols, i)
		}
	}
	m := textWidths{size: g.textSize()}
	m.reset()
	for _, c := range cols {
		w := m.width(g.Columns[c].Title, true) + 16
		for r := 0; r < min(g.Len(), fitSample); r++ {
			text, st := g.cell(r, c)
			if g.Columns[c].Kind == Bool {
				continue
			}
			extra := float32(0)
			if g.Columns[c].Kind == Choice {
				extra = arrowRoom
			}
			w = max(w, m.width(text, st.Bold)+extra)
		}
		g.widths[c] = max(minColumn, (w+2*cellPad+2)/g.widthScale())
	}
	g.relayout()
	if g.OnWidths != nil {
		g.OnWidths()
	}
}
