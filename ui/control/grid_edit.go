package control

import (
	"image/color"
	"slices"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/driver/desktop"
	"fyne.io/fyne/v2/lang"
	fynetheme "fyne.io/fyne/v2/theme"
	"fyne.io/fyne/v2/widget"

	"pilewright/ui/locale"
)

// cellEditor is the one entry that lies over the cell being edited.
type cellEditor struct {
	widget.Entry
	g *Grid
}

func newCellEditor(g *Grid) *cellEditor {
	e := &cellEditor{g: g}
	e.Wrapping = fyne.TextWrapOff
	e.ExtendBaseWidget(e)
	return e
}

// cellTheme draws the editor without the room a free-standing entry has.
type cellTheme struct{}

func (*cellTheme) base() fyne.Theme { return fyne.CurrentApp().Settings().Theme() }

func (t *cellTheme) Color(n fyne.ThemeColorName, v fyne.ThemeVariant) color.Color {
	return t.base().Color(n, v)
}

func (t *cellTheme) Font(s fyne.TextStyle) fyne.Resource { return t.base().Font(s) }

func (t *cellTheme) Icon(n fyne.ThemeIconName) fyne.Resource { return t.base().Icon(n) }

func (t *cellTheme) Size(n fyne.ThemeSizeName) float32 {
	switch n {
	case fynetheme.SizeNameInnerPadding:
		return cellPad - 1
	case fynetheme.SizeNameInputRadius:
		return 2
	}
	return t.base().Size(n)
}

// start sets the text and puts the cursor at its end.
func (e *cellEditor) start(text string) {
	e.SetText(text)
	e.CursorRow, e.CursorColumn = 0, len([]rune(text))
	e.Refresh()
}

// AcceptsTab implements fyne.Tabbable.
func (e *cellEditor) AcceptsTab() bool { return true }

// TypedKey implements fyne.Focusable: keys that leave the cell commit it.
// When the grid is not editing (the window lost and regained the focus) the
// keys are the grid's.
func (e *cellEditor) TypedKey(k *fyne.KeyEvent) {
	g := e.g
	if !g.editing {
		g.TypedKey(k)
		return
	}
	switch k.Name {
	case fyne.KeyEscape:
		g.endEdit(false)
		g.takeFocus()
	case fyne.KeyReturn, fyne.KeyEnter, fyne.KeyTab, fyne.KeyUp, fyne.KeyDown, fyne.KeyPageUp, fyne.KeyPageDown:
		g.endEdit(true)
		g.takeFocus()
		g.TypedKey(k)
	case fyne.KeyLeft, fyne.KeyRight:
		if g.overwrite && e.SelectedText() == "" && !g.shifted() {
			g.endEdit(true)
			g.takeFocus()
			g.TypedKey(k)
			return
		}
		e.Entry.TypedKey(k)
	case fyne.KeyF2:
		g.overwrite = false
	default:
		e.Entry.TypedKey(k)
	}
}

// TypedRune implements fyne.Focusable.
func (e *cellEditor) TypedRune(r rune) {
	if !e.g.editing {
		e.g.TypedRune(r)
		return
	}
	e.Entry.TypedRune(r)
}

// Yields implements Yielding: what is being typed can be given up.
func (e *cellEditor) Yields() bool { return true }

// TypedShortcut implements fyne.Shortcutable: a paste of several cells goes to
// the grid, and what an entry does not know to the canvas.
func (e *cellEditor) TypedShortcut(s fyne.Shortcut) {
	if !e.g.editing {
		e.g.TypedShortcut(s)
		return
	}
	switch s := s.(type) {
	case *fyne.ShortcutPaste:
		if text := fyne.CurrentApp().Clipboard().Content(); severalCells(text) {
			e.g.endEdit(false)
			e.g.takeFocus()
			e.g.Paste(text)
			return
		}
	case *desktop.CustomShortcut:
		if s.KeyName != fyne.KeyLeft && s.KeyName != fyne.KeyRight &&
			s.KeyName != fyne.KeyBackspace && s.KeyName != fyne.KeyDelete {
			e.g.TypedShortcut(s)
			return
		}
	}
	e.Entry.TypedShortcut(s)
}

// KeyDown implements desktop.Keyable.
func (e *cellEditor) KeyDown(k *fyne.KeyEvent) {
	e.g.KeyDown(k)
	e.Entry.KeyDown(k)
}

// KeyUp implements desktop.Keyable.
func (e *cellEditor) KeyUp(k *fyne.KeyEvent) {
	e.g.KeyUp(k)
	e.Entry.KeyUp(k)
}

// FocusGained implements fyne.Focusable.
func (e *cellEditor) FocusGained() {
	if !e.g.editing {
		e.g.FocusGained()
		return
	}
	e.Entry.FocusGained()
}

// FocusLost implements fyne.Focusable: going elsewhere commits.
func (e *cellEditor) FocusLost() {
	e.Entry.FocusLost()
	if !e.g.editing {
		e.g.focused = false
		e.g.focusShown()
		return
	}
	e.g.endEdit(true)
	e.g.focusShown()
}

// activate edits the current cell in the way of its kind.
func (g *Grid) activate() {
	if !g.editable(g.row, g.col) {
		if g.row < g.Len() && g.OnOpen != nil {
			g.OnOpen(g.row, g.col)
			return
		}
		g.sayLocked()
		return
	}
	switch g.Columns[g.col].Kind {
	case Bool:
		text, _ := g.cell(g.row, g.col)
		if text == "true" {
			text = "false"
		} else {
			text = "true"
		}
		g.commit(g.row, g.col, text)
	case Choice:
		g.openChoices("")
	default:
		text, _ := g.cell(g.row, g.col)
		g.startEdit(text, false)
	}
}

func (g *Grid) sayLocked() {
	if g.Commit != nil && len(g.Columns) > 0 {
		g.say(lang.L("“{{.title}}” is worked out and cannot be typed here.", locale.With{"title": g.Columns[g.col].Title}))
	}
}

// startEdit opens the editor over the current cell.
func (g *Grid) startEdit(text string, overwrite bool) {
	g.reveal()
	g.editing, g.overwrite = true, overwrite
	g.editRowID, g.editCol = g.id(g.row), g.col
	g.editBefore, _ = g.cell(g.row, g.col)
	g.body.update()
	g.editor.start(text)
	if c := fyne.CurrentApp().Driver().CanvasForObject(g); c != nil {
		c.Focus(g.editor)
	}
	g.editor.Entry.FocusGained()
}

// endEdit closes the editor, if it is open; with keep the text is committed.
func (g *Grid) endEdit(keep bool) {
	if !g.editing {
		return
	}
	text := g.editor.Text
	g.editing = false
	g.body.update()
	if !keep {
		g.sayCurrent()
		return
	}
	row := g.find(g.editRowID, g.row)
	if row < 0 {
		return // reconcile has reported it
	}
	if text != g.editBefore {
		g.commit(row, g.editCol, text)
	}
}

// takeFocus brings the focus from the editor back to the grid.
func (g *Grid) takeFocus() {
	if c := fyne.CurrentApp().Driver().CanvasForObject(g); c != nil {
		c.Focus(g)
	}
}

// commit hands one text to the owner and keeps what it refuses. The owner may
// call Refresh while it commits.
func (g *Grid) commit(row, col int, text string) {
	k := cellKey{g.id(row), col}
	adding := k.row == newRowID
	current := adding && g.row == row
	var known map[string]bool
	if adding {
		known = g.ids()
	}
	err := g.Commit(row, col, text)
	if adding {
		delete(g.refused, k)
		row = g.added(known)
		if row < g.Len() {
			k.row = g.id(row) // the row was added, even where the text was refused
		}
	}
	if err != nil {
		g.refused[k] = refusal{text, err}
	} else {
		delete(g.refused, k)
	}
	g.afterCommit(row, current)
	if err != nil {
		g.message = "" // the same fault again is worth saying again
		g.say(err.Error())
	}
}

// ids is the set of the rows' identities.
func (g *Grid) ids() map[string]bool {
	set := make(map[string]bool, g.Len())
	for r, n := 0, g.Len(); r < n; r++ {
		set[g.id(r)] = true
	}
	return set
}

// added is the row that was not known before, wherever the owner's order has put
// it; Len() if there is none.
func (g *Grid) added(known map[string]bool) int {
	for r := g.Len() - 1; r >= 0; r-- {
		if !known[g.id(r)] {
			return r
		}
	}
	return g.Len()
}

// afterCommit shows the owner's data anew. A row that was added in place of the
// current new row stays the current one.
func (g *Grid) afterCommit(row int, current bool) {
	if current && row < g.Len() {
		g.row, g.rowID = row, g.id(row)
		g.selected = map[string]bool{g.rowID: true}
		g.reportSelection()
	}
	g.Refresh()
	g.sayCurrent()
}

// commitAll hands many texts to the owner at once.
func (g *Grid) commitAll(edits []Edit) {
	if len(edits) == 0 {
		return
	}
	if len(edits) == 1 {
		g.commit(edits[0].Row, edits[0].Col, edits[0].Text)
		return
	}
	keys := make([]cellKey, len(edits))
	for i, e := range edits {
		keys[i] = cellKey{g.id(e.Row), e.Col}
	}
	had, at := g.Len(), g.row
	isNew := g.rowID == newRowID
	errs := g.batch(edits)
	var first error
	bad := 0
	for i, e := range edits {
		var err error
		if i < len(errs) {
			err = errs[i]
		}
		if e.Row >= had && e.Row < g.Len() {
			keys[i].row = g.id(e.Row) // the row was added
		}
		if err == nil {
			delete(g.refused, keys[i])
			continue
		}
		bad++
		if first == nil {
			first = err
		}
		g.refused[keys[i]] = refusal{e.Text, err}
	}
	g.afterCommit(at, isNew)
	if first != nil {
		g.message = ""
		g.say(batchMessage(bad, len(edits), first))
	}
}

func (g *Grid) batch(edits []Edit) []error {
	if g.Batch != nil {
		return g.Batch(edits)
	}
	errs := make([]error, len(edits))
	for i, e := range edits {
		// A row that an earlier edit failed to add shifts the later ones up.
		errs[i] = g.Commit(min(e.Row, g.Len()), e.Col, e.Text)
	}
	return errs
}

func (g *Grid) deleteKey() {
	if g.whole && len(g.selected) > 0 && g.Delete != nil {
		g.deleteRows()
		return
	}
	g.clearCells()
}

// DeleteSelected asks the owner to delete the selected rows, or the current one
// where none is selected.
func (g *Grid) DeleteSelected() { g.deleteRows() }

func (g *Grid) deleteRows() {
	if g.Delete == nil {
		return
	}
	rows := g.SelectedRows()
	if len(rows) == 0 && g.row < g.Len() {
		rows = []int{g.row}
	}
	if len(rows) == 0 {
		return
	}
	row := rows[0]
	g.Delete(rows)
	g.reconcile()
	g.Refresh()
	if g.Len() > 0 || g.shown() > 0 {
		g.moveTo(min(row, max(0, g.Len()-1)), g.col, false)
	}
}

// clearCells empties the current cell, or the current column of all selected
// rows, or every editable cell of rows selected as a whole.
func (g *Grid) clearCells() {
	rows := g.SelectedRows()
	if !slices.Contains(rows, g.row) {
		rows = []int{g.row}
	}
	var edits []Edit
	for _, r := range rows {
		if _, refused := g.refused[cellKey{g.id(r), g.col}]; r >= g.Len() && !refused {
			continue
		}
		if g.editable(r, g.col) && g.Columns[g.col].Kind == Text {
			edits = append(edits, Edit{r, g.col, ""})
		}
	}
	if len(edits) == 1 && edits[0].Row >= g.Len() {
		delete(g.refused, cellKey{newRowID, g.col})
		g.Refresh()
		return
	}
	g.commitAll(edits)
}
