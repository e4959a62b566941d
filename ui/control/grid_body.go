package control

import (
	"image/color"
	"math"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"
	fynetheme "fyne.io/fyne/v2/theme"
	"fyne.io/fyne/v2/widget"

	"pilewright/ui/theme"
)

const (
	minColumn  float32 = 24
	cellPad    float32 = 6
	barWidth   float32 = 3  // mark at the left of an invalid or doubtful cell
	boxSize    float32 = 14 // tick box of a Bool cell
	arrowRoom  float32 = 18 // room of a Choice cell's arrow
	scrollRoom float32 = 14 // kept free at the right for the scroll bar
)

// rowHeight follows the text size of the theme.
func (g *Grid) rowHeight() float32 {
	h := fyne.MeasureText("Åg", g.textSize(), fyne.TextStyle{}).Height
	return float32(math.Ceil(float64(h))) + 2*4 // whole, so that all lines look alike
}

func (g *Grid) textSize() float32 { return g.Theme().Size(fynetheme.SizeNameText) }

// plainText is the text size for which column widths are given.
const plainText float32 = 14

// widthScale makes columns wider with the text.
func (g *Grid) widthScale() float32 { return g.textSize() / plainText }

// gridPaint is the set of colours of one theme, looked up once per update.
type gridPaint struct {
	paper, stripe, ink, dim, line, chosen, ring, bad, doubt, badPaper, doubtPaper color.Color
}

func (g *Grid) paint() gridPaint {
	th, v := g.Theme(), fyne.CurrentApp().Settings().ThemeVariant()
	get := func(n fyne.ThemeColorName) color.Color { return th.Color(n, v) }
	paper, ink := get(fynetheme.ColorNameInputBackground), get(fynetheme.ColorNameForeground)
	paper = theme.Mix(get(fynetheme.ColorNameBackground), paper, alpha(paper))
	bad, doubt, primary := get(fynetheme.ColorNameError), get(fynetheme.ColorNameWarning), get(fynetheme.ColorNamePrimary)
	return gridPaint{
		paper: paper, ink: ink, dim: get(fynetheme.ColorNamePlaceHolder),
		stripe: theme.Mix(paper, ink, 0.025), line: theme.Mix(paper, ink, 0.13),
		chosen: theme.Mix(paper, primary, theme.ChosenStrength), ring: primary,
		bad: bad, doubt: doubt,
		badPaper:   theme.Mix(paper, bad, theme.MarkStrength),
		doubtPaper: theme.Mix(paper, doubt, theme.MarkStrength),
	}
}

func alpha(c color.Color) float64 {
	return float64(color.NRGBAModel.Convert(c).(color.NRGBA).A) / 255
}

// gridBody is the scrolled part: as tall as all rows, but made of objects for
// the visible ones only.
type gridBody struct {
	widget.BaseWidget
	g       *Grid
	rows    []*rowView
	lines   []*canvas.Rectangle // column lines
	ring    *canvas.Rectangle
	arrow   *canvas.Polygon // of the current Choice cell
	empty   *canvas.Text
	objects []fyne.CanvasObject
	min     fyne.Size
	widths  textWidths

	overRow, overCol int // under the pointer, -1 none
}

// rowView is the set of objects of one visible row.
type rowView struct {
	back, under *canvas.Rectangle
	cells       []*cellView
}

type cellView struct {
	back, bar *canvas.Rectangle
	text      *canvas.Text
	box, tick *canvas.Rectangle // Bool only
}

func newGridBody(g *Grid) *gridBody {
	b := &gridBody{g: g, overRow: -1, overCol: -1}
	b.ring = canvas.NewRectangle(color.Transparent)
	b.ring.StrokeWidth = 2
	b.ring.CornerRadius = 2
	b.arrow = canvas.NewPolygon(3, color.Transparent)
	b.arrow.Angle = 180
	b.empty = canvas.NewText("", color.Black)
	b.empty.Alignment = fyne.TextAlignCenter
	b.widths.known = map[textKey]float32{}
	b.ExtendBaseWidget(b)
	return b
}

func newRowView(columns []Column) *rowView {
	v := &rowView{back: canvas.NewRectangle(color.Transparent), under: canvas.NewRectangle(color.Transparent)}
	for _, c := range columns {
		cell := &cellView{
			back: canvas.NewRectangle(color.Transparent), bar: canvas.NewRectangle(color.Transparent),
			text: canvas.NewText("", color.Black),
		}
		if c.Kind == Bool {
			cell.box, cell.tick = canvas.NewRectangle(color.Transparent), canvas.NewRectangle(color.Transparent)
			cell.box.CornerRadius, cell.tick.CornerRadius = 3, 1
			cell.box.StrokeWidth = 1.5
		}
		v.cells = append(v.cells, cell)
	}
	return v
}

// measureColumns works out the left edges, sharing spare width among the
// stretching columns.
func (g *Grid) measureColumns() {
	total, stretching := float32(0), 0
	scale := g.widthScale()
	for i, w := range g.widths {
		total += w * scale
		if g.Columns[i].Stretch {
			stretching++
		}
	}
	spare := max(0, g.scroll.Size().Width-scrollRoom-total)
	g.lefts = g.lefts[:0]
	x := float32(0)
	for i, w := range g.widths {
		g.lefts = append(g.lefts, x)
		x += w * scale
		if g.Columns[i].Stretch {
			x += spare / float32(stretching)
		}
	}
	g.lefts = append(g.lefts, x)
}

// relayout answers a change of widths, row count, theme or size.
func (g *Grid) relayout() {
	g.measureColumns()
	g.body.min = fyne.NewSize(g.lefts[len(g.lefts)-1]+scrollRoom, float32(g.shown())*g.rowHeight())
	g.scroll.Refresh()
	g.body.update()
	g.head.update()
}

func (g *Grid) scrolled() {
	g.body.update()
	g.head.update()
}

// reveal scrolls the current cell into view.
func (g *Grid) reveal() {
	size := g.scroll.Size()
	if size.IsZero() || len(g.lefts) == 0 {
		return
	}
	h := g.rowHeight()
	if tall := float32(g.shown()) * h; tall > g.body.min.Height {
		g.body.min.Height = tall
		g.scroll.Refresh()
	}
	off := g.scroll.Offset
	top := float32(g.row) * h
	if top < off.Y {
		off.Y = top
	} else if top+h > off.Y+size.Height {
		off.Y = top + h - size.Height
	}
	left, right := g.lefts[g.col], g.lefts[g.col+1]
	if right > off.X+size.Width-scrollRoom {
		off.X = right - size.Width + scrollRoom
	}
	off.X = max(0, min(off.X, left))
	if off != g.scroll.Offset {
		g.scroll.ScrollToOffset(off)
		g.scrolled() // the scroller reports only what was scrolled by hand
	}
}

// MinSize is the size of all rows, which makes the scroll bars right.
func (b *gridBody) MinSize() fyne.Size { return b.min }

// CreateRenderer implements fyne.Widget.
func (b *gridBody) CreateRenderer() fyne.WidgetRenderer { return &bodyRenderer{b} }

type bodyRenderer struct{ b *gridBody }

func (r *bodyRenderer) Layout(fyne.Size)             {}
func (r *bodyRenderer) MinSize() fyne.Size           { return r.b.min }
func (r *bodyRenderer) Refresh()                     { r.b.update() }
func (r *bodyRenderer) Objects() []fyne.CanvasObject { return r.b.objects }
func (r *bodyRenderer) Destroy()                     {}

// update sets the objects of the visible rows to what the grid now shows.
func (b *gridBody) update() {
	g := b.g
	view := g.scroll.Size()
	if view.IsZero() || len(g.lefts) != len(g.Columns)+1 {
		return
	}
	h := g.rowHeight()
	first := max(0, int(g.scroll.Offset.Y/h))
	count := min(int(view.Height/h)+2, g.shown()-first)
	count = max(count, 0)
	for len(b.rows) < count {
		b.rows = append(b.rows, newRowView(g.Columns))
		b.objects = nil
	}
	if len(b.lines) != len(g.Columns) {
		b.lines = nil
		for range g.Columns {
			b.lines = append(b.lines, canvas.NewRectangle(color.Transparent))
		}
		b.objects = nil
	}
	if b.objects == nil {
		b.collect()
	}
	p := g.paint()
	size := g.textSize()
	if b.widths.size != size {
		b.widths.reset()
		b.widths.size = size
	}
	for i, v := range b.rows {
		if i >= count {
			v.hide()
			continue
		}
		b.updateRow(v, first+i, h, size, &p)
	}
	bottom := min(g.scroll.Offset.Y+view.Height, float32(g.shown())*h)
	for i, l := range b.lines {
		l.FillColor = p.line
		place(l, g.lefts[i+1]-1, g.scroll.Offset.Y, 1, max(0, bottom-g.scroll.Offset.Y))
	}
	b.empty.Text, b.empty.Color, b.empty.TextSize = g.Empty, p.dim, size
	b.empty.Hidden = g.shown() > 0
	place(b.empty, 0, 0, view.Width, min(view.Height, 3*h))
	b.updateCurrent(h, &p)
	canvas.Refresh(b)
}

// collect lists the objects in painting order.
func (b *gridBody) collect() {
	var o []fyne.CanvasObject
	for _, v := range b.rows {
		o = append(o, v.back, v.under)
		for _, c := range v.cells {
			o = append(o, c.back, c.bar)
		}
	}
	for _, l := range b.lines {
		o = append(o, l)
	}
	for _, v := range b.rows {
		for _, c := range v.cells {
			if c.box != nil {
				o = append(o, c.box, c.tick)
			} else {
				o = append(o, c.text)
			}
		}
	}
	b.objects = append(o, b.empty, b.arrow, b.ring, b.g.editorBox)
}

func (b *gridBody) updateRow(v *rowView, row int, h, size float32, p *gridPaint) {
	g := b.g
	y := float32(row) * h
	width := g.lefts[len(g.lefts)-1]
	isNew := row >= g.Len()
	v.back.FillColor = p.paper
	switch {
	case !isNew && g.selected[g.id(row)]:
		v.back.FillColor = p.chosen
	case row%2 == 1:
		v.back.FillColor = p.stripe
	}
	v.under.FillColor = p.line
	show(v.back, v.under)
	place(v.back, 0, y, width, h)
	place(v.under, 0, y+h-1, width, 1)
	for i, c := range v.cells {
		left, right := g.lefts[i], g.lefts[i+1]
		if right <= g.scroll.Offset.X || left >= g.scroll.Offset.X+g.scroll.Size().Width {
			c.hide()
			continue
		}
		text, st := g.cell(row, i)
		b.updateCell(c, i, text, st, isNew, left, y, right-left, h, size, p)
	}
}

func (b *gridBody) updateCell(c *cellView, col int, text string, st CellState, isNew bool, x, y, w, h, size float32, p *gridPaint) {
	column := &b.g.Columns[col]
	if st.Invalid || st.Warn {
		c.back.FillColor, c.bar.FillColor = p.doubtPaper, p.doubt
		if st.Invalid {
			c.back.FillColor, c.bar.FillColor = p.badPaper, p.bad
		}
		place(c.back, x, y, w-1, h-1)
		place(c.bar, x, y, barWidth, h-1)
		show(c.back, c.bar)
	} else {
		hide(c.back, c.bar)
	}
	ink := p.ink
	if st.Dim || isNew && !st.Invalid {
		ink = p.dim
	}
	if c.box != nil {
		c.box.StrokeColor, c.tick.FillColor = ink, p.ring
		if st.Dim || st.Locked {
			c.box.StrokeColor, c.tick.FillColor = p.dim, p.dim
		}
		place(c.box, x+(w-boxSize)/2, y+(h-boxSize)/2, boxSize, boxSize)
		place(c.tick, x+(w-boxSize)/2+3.5, y+(h-boxSize)/2+3.5, boxSize-7, boxSize-7)
		c.box.Hidden = isNew
		c.tick.Hidden = isNew || text != "true"
		return
	}
	align := column.Align
	if column.Numeric {
		align = fyne.TextAlignTrailing
	}
	c.text.TextSize = size
	c.text.Color = ink
	c.text.TextStyle = fyne.TextStyle{Bold: st.Bold}
	c.text.Alignment = align
	c.text.Text = level(b.widths.fit(text, st.Bold, w-2*cellPad))
	c.text.Hidden = c.text.Text == ""
	place(c.text, x+cellPad, y, w-2*cellPad, h)
	if isNew && col == 0 && text == "" && b.g.AddHint != "" && !b.g.editing && !b.g.refusedInNew() {
		c.text.Text, c.text.Alignment, c.text.Hidden = b.g.AddHint, fyne.TextAlignLeading, false
	}
}

// refusedInNew says whether the new row holds a refused text, which the hint
// would lie over.
func (g *Grid) refusedInNew() bool {
	for k := range g.refused {
		if k.row == newRowID {
			return true
		}
	}
	return false
}

// updateCurrent places the ring, the arrow and the editor.
func (b *gridBody) updateCurrent(h float32, p *gridPaint) {
	g := b.g
	if g.shown() == 0 || len(g.Columns) == 0 {
		hide(b.ring, b.arrow, g.editorBox)
		return
	}
	x, y, w := g.lefts[g.col], float32(g.row)*h, g.lefts[g.col+1]-g.lefts[g.col]
	b.ring.StrokeColor = p.dim
	b.ring.StrokeWidth = 1
	if g.focused || g.editing {
		b.ring.StrokeColor = p.ring
		b.ring.StrokeWidth = 2.5
	}
	place(b.ring, x, y, w-1, h-1)
	b.ring.Hidden = g.editing
	b.arrow.FillColor = p.ink
	b.arrow.Hidden = g.editing || g.Columns[g.col].Kind != Choice || !g.editable(g.row, g.col)
	place(b.arrow, x+w-arrowRoom+3, y+h/2-4, 9, 9)
	if g.editing {
		row := g.find(g.editRowID, g.row)
		x, y, w = g.lefts[g.editCol], float32(row)*h, g.lefts[g.editCol+1]-g.lefts[g.editCol]
		place(g.editorBox, x-1, y-2, max(w+1, 64), h+3)
	}
	g.editorBox.Hidden = !g.editing
}

func (v *rowView) hide() {
	hide(v.back, v.under)
	for _, c := range v.cells {
		c.hide()
	}
}

func (c *cellView) hide() {
	hide(c.back, c.bar)
	c.text.Hidden = true
	if c.box != nil {
		c.box.Hidden, c.tick.Hidden = true, true
	}
}

func place(o fyne.CanvasObject, x, y, w, h float32) {
	o.Move(fyne.NewPos(x, y))
	o.Resize(fyne.NewSize(w, h))
}

func show(objects ...fyne.CanvasObject) {
	for _, o := range objects {
		if !o.Visible() {
			o.Show()
		}
	}
}

func hide(objects ...fyne.CanvasObject) {
	for _, o := range objects {
		if o.Visible() {
			o.Hide()
		}
	}
}
