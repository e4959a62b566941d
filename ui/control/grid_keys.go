package control

import (
	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/driver/desktop"
)

// FocusGained implements fyne.Focusable.
func (g *Grid) FocusGained() {
	g.focused = true
	g.focusShown()
	g.sayCurrent()
}

// FocusLost implements fyne.Focusable.
func (g *Grid) FocusLost() {
	g.focused = false
	g.shift = false
	g.focusShown()
}

// focusShown repaints what shows the focus.
func (g *Grid) focusShown() {
	g.BaseWidget.Refresh()
}

// AcceptsTab implements fyne.Tabbable: Tab goes from cell to cell, and leaves
// the grid at its last cell. Ctrl+Tab always leaves it.
func (g *Grid) AcceptsTab() bool { return true }

// KeyDown implements desktop.Keyable.
func (g *Grid) KeyDown(e *fyne.KeyEvent) {
	if e.Name == desktop.KeyShiftLeft || e.Name == desktop.KeyShiftRight {
		g.shift = true
	}
}

// KeyUp implements desktop.Keyable.
func (g *Grid) KeyUp(e *fyne.KeyEvent) {
	if e.Name == desktop.KeyShiftLeft || e.Name == desktop.KeyShiftRight {
		g.shift = false
	}
}

// shifted asks the driver, which knows also of a Shift pressed before the grid
// had the focus; drivers without a keyboard state fall back on what was seen.
func (g *Grid) shifted() bool {
	if d, ok := fyne.CurrentApp().Driver().(desktop.Driver); ok {
		return d.CurrentKeyModifiers()&fyne.KeyModifierShift != 0
	}
	return g.shift
}

// TypedRune implements fyne.Focusable: typing starts editing.
func (g *Grid) TypedRune(r rune) {
	if g.shown() == 0 || len(g.Columns) == 0 {
		return
	}
	if r == ' ' && g.Columns[g.col].Kind != Text {
		g.activate()
		return
	}
	if !g.editable(g.row, g.col) {
		g.sayLocked()
		return
	}
	switch g.Columns[g.col].Kind {
	case Text:
		g.startEdit(string(r), true)
	case Choice:
		g.openChoices(string(r))
	}
}

// TypedKey implements fyne.Focusable.
func (g *Grid) TypedKey(e *fyne.KeyEvent) {
	if e.Name == fyne.KeyF1 {
		PassKey(g, e)
		return
	}
	if g.shown() == 0 || len(g.Columns) == 0 {
		if e.Name == fyne.KeyTab {
			g.leave(!g.shifted())
		}
		return
	}
	shift := g.shifted()
	row, col := g.row, g.col
	if e.Name != fyne.KeyTab && e.Name != fyne.KeyReturn && e.Name != fyne.KeyEnter &&
		e.Name != desktop.KeyShiftLeft && e.Name != desktop.KeyShiftRight {
		g.homeCol = -1
	}
	switch e.Name {
	case fyne.KeyUp:
		g.moveTo(row-1, col, shift)
	case fyne.KeyDown:
		g.moveTo(row+1, col, shift)
	case fyne.KeyLeft:
		g.moveTo(row, col-1, false)
	case fyne.KeyRight:
		g.moveTo(row, col+1, false)
	case fyne.KeyHome:
		g.moveTo(row, 0, false)
	case fyne.KeyEnd:
		g.moveTo(row, len(g.Columns)-1, false)
	case fyne.KeyPageUp:
		g.moveTo(row-g.page(), col, shift)
	case fyne.KeyPageDown:
		g.moveTo(row+g.page(), col, shift)
	case fyne.KeyReturn, fyne.KeyEnter:
		if shift {
			g.moveTo(row-1, col, false)
		} else {
			g.enter()
		}
	case fyne.KeyTab:
		g.tab(!shift)
	case fyne.KeyF2:
		g.activate()
	case fyne.KeyDelete:
		g.deleteKey()
	case fyne.KeyBackspace:
		if g.editable(row, col) && g.Columns[col].Kind == Text {
			g.startEdit("", true)
		}
	case fyne.KeyEscape:
		g.escape()
	case fyne.KeyF10, desktop.KeyMenu:
		if e.Name == desktop.KeyMenu || shift {
			g.menuAtCurrent()
		}
	}
}

// page is the number of rows that fit, less one that stays in view.
func (g *Grid) page() int {
	return max(1, int(g.scroll.Size().Height/g.rowHeight())-1)
}

// enter goes down, after a run of Tabs back to the column where it began.
func (g *Grid) enter() {
	col := g.col
	if g.homeCol >= 0 {
		col = g.homeCol
	}
	g.homeCol = -1
	g.moveTo(g.row+1, col, false)
}

// tab goes to the next (or last) cell that can be edited, across rows; where
// nothing can be edited, to the next cell. Past the end it leaves the grid.
func (g *Grid) tab(forward bool) {
	step := 1
	if !forward {
		step = -1
	}
	any := false
	for c := range g.Columns {
		any = any || g.Columns[c].Editable && g.Commit != nil
	}
	if g.homeCol < 0 && forward {
		g.homeCol = g.col
	}
	row, col := g.row, g.col
	for {
		col += step
		if col < 0 || col >= len(g.Columns) {
			row += step
			if row < 0 || row >= g.shown() {
				g.homeCol = -1
				g.leave(forward)
				return
			}
			col = 0
			if step < 0 {
				col = len(g.Columns) - 1
			}
			g.homeCol = -1
		}
		if !any || g.editable(row, col) {
			g.moveTo(row, col, false)
			return
		}
	}
}

// leave gives the focus to the next or last widget.
func (g *Grid) leave(forward bool) {
	c := fyne.CurrentApp().Driver().CanvasForObject(g)
	if c == nil {
		return
	}
	c.Focus(g) // so that the walk starts here and not in the editor
	if forward {
		c.FocusNext()
	} else {
		c.FocusPrevious()
	}
}

// Yields implements Yielding: a refused text can be given up.
func (g *Grid) Yields() bool {
	if g.shown() == 0 {
		return false
	}
	_, refused := g.refused[cellKey{g.id(g.row), g.col}]
	return refused
}

func (g *Grid) escape() {
	k := cellKey{g.id(g.row), g.col}
	if _, ok := g.refused[k]; ok {
		delete(g.refused, k)
		g.body.update()
		g.sayCurrent()
		return
	}
	g.moveTo(g.row, g.col, false)
}

// TypedShortcut implements fyne.Shortcutable. What the grid does not know goes
// on to the canvas, since a focused widget otherwise swallows it.
func (g *Grid) TypedShortcut(s fyne.Shortcut) {
	switch s := s.(type) {
	case *fyne.ShortcutCopy:
		g.Copy()
		return
	case *fyne.ShortcutPaste:
		g.Paste(fyne.CurrentApp().Clipboard().Content())
		return
	case *fyne.ShortcutCut:
		g.Copy()
		g.clearCells()
		return
	case *fyne.ShortcutSelectAll:
		g.selectAll()
		return
	case *fyne.ShortcutUndo, *fyne.ShortcutRedo:
		if g.Commit == nil {
			return // nothing in it was edited, so what would be undone is elsewhere
		}
	case *desktop.CustomShortcut:
		if g.customShortcut(s) {
			return
		}
	}
	if c, ok := fyne.CurrentApp().Driver().CanvasForObject(g).(fyne.Shortcutable); ok {
		c.TypedShortcut(s)
	}
}

func (g *Grid) customShortcut(s *desktop.CustomShortcut) bool {
	extend := s.Modifier&fyne.KeyModifierShift != 0
	switch s.Modifier &^ fyne.KeyModifierShift {
	case fyne.KeyModifierShortcutDefault:
		switch s.KeyName {
		case fyne.KeyHome:
			g.moveTo(0, 0, extend)
		case fyne.KeyEnd:
			g.moveTo(g.Len()-1, len(g.Columns)-1, extend)
		case fyne.KeyUp:
			g.moveTo(0, g.col, extend)
		case fyne.KeyDown:
			g.moveTo(g.Len()-1, g.col, extend)
		case fyne.KeyLeft:
			g.moveTo(g.row, 0, false)
		case fyne.KeyRight:
			g.moveTo(g.row, len(g.Columns)-1, false)
		case fyne.KeyDelete:
			g.deleteRows()
		case fyne.KeyTab:
			g.leave(!extend)
		default:
			return false
		}
		return true
	case fyne.KeyModifierAlt:
		if s.KeyName == fyne.KeyDown {
			g.activate()
			return true
		}
	}
	return false
}

func (g *Grid) selectAll() {
	g.whole = true
	g.anchor = 0
	g.selectRange(0, g.Len()-1)
	g.body.update()
	g.reportSelection()
}
