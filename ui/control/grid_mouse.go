package control

import (
	"runtime"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/driver/desktop"
	"fyne.io/fyne/v2/widget"
)

// at gives the cell at a position of the body, or -1, -1.
func (b *gridBody) at(p fyne.Position) (row, col int) {
	g := b.g
	row = int(p.Y / g.rowHeight())
	if p.Y < 0 || row >= g.shown() {
		return -1, -1
	}
	for i := range g.Columns {
		if p.X >= g.lefts[i] && p.X < g.lefts[i+1] {
			return row, i
		}
	}
	return -1, -1
}

// MouseDown implements desktop.Mouseable. Selecting happens on the press, so
// that it does not wait for a possible double click.
func (b *gridBody) MouseDown(e *desktop.MouseEvent) {
	g := b.g
	row, col := b.at(e.Position)
	g.endEdit(true)
	g.takeFocus()
	g.homeCol = -1
	if row < 0 {
		return
	}
	row = min(row, g.shown()-1) // the commit may have taken rows away
	if e.Button == desktop.MouseButtonSecondary {
		if !g.selected[g.id(row)] {
			g.moveTo(row, col, false)
		}
		return
	}
	switch {
	case e.Modifier&fyne.KeyModifierShift != 0:
		g.moveTo(row, col, true)
	case e.Modifier&fyne.KeyModifierShortcutDefault != 0:
		g.toggle(row, col)
	default:
		again := row == g.row && col == g.col
		g.moveTo(row, col, false)
		b.press(row, col, again, e.Position)
	}
}

// press works the parts of a cell that act on one click: the box, and the
// arrow of the current choice.
func (b *gridBody) press(row, col int, again bool, p fyne.Position) {
	g := b.g
	if !g.editable(row, col) {
		return
	}
	left, right := g.lefts[col], g.lefts[col+1]
	switch g.Columns[col].Kind {
	case Bool:
		if d := p.X - (left+right)/2; row < g.Len() && d > -boxSize && d < boxSize {
			g.activate()
		}
	case Choice:
		if again && p.X > right-arrowRoom {
			g.openChoices("")
		}
	}
}

// toggle adds a row to the selection or takes it out.
func (g *Grid) toggle(row, col int) {
	id := g.id(row)
	if id == newRowID {
		return
	}
	if g.selected[id] && len(g.selected) > 1 {
		delete(g.selected, id)
	} else {
		g.selected[id] = true
	}
	g.row, g.col, g.rowID, g.anchor = row, col, id, row
	g.whole = true
	g.body.update()
	g.sayCurrent()
	g.reportSelection()
}

// MouseUp implements desktop.Mouseable.
func (b *gridBody) MouseUp(*desktop.MouseEvent) {}

// DoubleTapped implements fyne.DoubleTappable: it edits or opens the cell.
func (b *gridBody) DoubleTapped(e *fyne.PointEvent) {
	g := b.g
	row, col := b.at(e.Position)
	if row < 0 || g.editing {
		return
	}
	if g.Columns[col].Kind == Bool && g.editable(row, col) {
		return // each press has toggled already
	}
	if row != g.row || col != g.col {
		g.moveTo(row, col, false)
	}
	g.activate()
}

// TappedSecondary implements fyne.SecondaryTappable.
func (b *gridBody) TappedSecondary(e *fyne.PointEvent) { b.g.showMenu(e.AbsolutePosition) }

func (g *Grid) showMenu(p fyne.Position) {
	if g.Menu == nil {
		return
	}
	c := fyne.CurrentApp().Driver().CanvasForObject(g)
	menu := g.Menu(g.SelectedRows())
	if c == nil || menu == nil || len(menu.Items) == 0 {
		return
	}
	widget.ShowPopUpMenuAtPosition(menu, c, p)
}

func (g *Grid) menuAtCurrent() {
	p := fyne.CurrentApp().Driver().AbsolutePositionForObject(g.body)
	h := g.rowHeight()
	g.showMenu(p.AddXY(g.lefts[g.col]+cellPad, float32(g.row+1)*h))
}

// Dragged implements fyne.Draggable: it selects rows.
func (b *gridBody) Dragged(e *fyne.DragEvent) {
	g := b.g
	if g.editing {
		return
	}
	row, _ := b.at(fyne.NewPos(g.lefts[g.col], e.Position.Y))
	if e.Position.Y < 0 {
		row = 0
	} else if row < 0 {
		row = g.shown() - 1
	}
	if row != g.row {
		g.moveTo(row, g.col, true)
	}
}

// DragEnd implements fyne.Draggable.
func (b *gridBody) DragEnd() {}

// Scrolled implements fyne.Scrollable: a notch of the wheel goes on by about
// three rows where Fyne would go by one, and with Shift sideways. A Mac speeds
// its wheel up itself.
func (b *gridBody) Scrolled(e *fyne.ScrollEvent) {
	s := *e
	if runtime.GOOS != "darwin" {
		s.Scrolled.DX *= 3
		s.Scrolled.DY *= 3
	}
	if b.g.shifted() && s.Scrolled.DX == 0 {
		s.Scrolled.DX, s.Scrolled.DY = s.Scrolled.DY, 0
	}
	b.g.scroll.Scrolled(&s)
}

// MouseIn implements desktop.Hoverable.
func (b *gridBody) MouseIn(e *desktop.MouseEvent) { b.MouseMoved(e) }

// MouseMoved implements desktop.Hoverable: it reports what is wrong with the
// cell under the pointer.
func (b *gridBody) MouseMoved(e *desktop.MouseEvent) {
	row, col := b.at(e.Position)
	if row == b.overRow && col == b.overCol {
		return
	}
	b.overRow, b.overCol = row, col
	if row < 0 {
		b.g.sayCurrent()
		return
	}
	if _, st := b.g.cell(row, col); st.Message != "" {
		b.g.say(st.Message)
		return
	}
	b.g.sayCurrent()
}

// MouseOut implements desktop.Hoverable.
func (b *gridBody) MouseOut() {
	b.overRow, b.overCol = -1, -1
	b.g.sayCurrent()
}
