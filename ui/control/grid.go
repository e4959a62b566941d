package control

import (
	"maps"
	"strconv"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/lang"
	"fyne.io/fyne/v2/widget"

	"pilewright/ui/locale"
)

// Kind says how a column's cells are edited.
type Kind int

const (
	// Text cells are typed.
	Text Kind = iota
	// Choice cells take one of Column.Choices from a list.
	Choice
	// Bool cells are a box; their text is "true" or anything else for false,
	// and they commit "true" or "false".
	Bool
)

// Column describes one column of a Grid. Widths are in Fyne's units for text of
// the plain size, 14; they grow with the text.
type Column struct {
	Title string
	// Tip is reported by OnMessage while the pointer rests on the title.
	Tip string
	// Width is the first width; 0 means 96. Stretch columns share spare room.
	Width    float32
	Stretch  bool
	Kind     Kind
	Editable bool
	// Numeric cells are set at the right.
	Numeric bool
	Align   fyne.TextAlign
	// Choices lists the texts a Choice cell of a row may take; row is Len() for
	// the new row.
	Choices func(row int) []string
}

// CellState is how a cell looks besides its text.
type CellState struct {
	// Invalid and Warn mark the cell; Message is reported by OnMessage while
	// the cell is current or under the pointer.
	Invalid, Warn bool
	Message       string
	Dim, Bold     bool
	// Locked cells of an Editable column cannot be edited.
	Locked bool
}

// Edit is one text put into one cell. Row may be Len() or more in a paste: each
// such number stands for a row to be added at the end, in order.
type Edit struct {
	Row, Col int
	Text     string
}

// Grid is an editable table worked as a spreadsheet is. It holds no data:
// it asks Len and Cell for what it shows and hands edits to Commit, after
// which the owner changes its data and calls Refresh. It belongs to the
// goroutine of the user interface. Set the fields before the first show.
type Grid struct {
	widget.BaseWidget

	Columns []Column
	// Len is the number of rows, Cell the text and look of one cell.
	Len  func() int
	Cell func(row, col int) (string, CellState)
	// RowID is a name of the row that stays when rows move; selection, the
	// current cell and refused texts follow it. Nil means the row's number.
	RowID func(row int) string

	// Commit takes the text typed into a cell. On an error the cell keeps the
	// typed text, turns invalid and the error is reported by OnMessage.
	// Row is Len() when a text was typed into the trailing new row: the owner
	// then adds a row. It may call Refresh before it returns.
	// A nil Commit makes the grid read-only.
	Commit func(row, col int, text string) error
	// Batch takes many edits at once (paste, fill, clearing); nil in the
	// answer, or at an edit's place in it, is success. Without Batch the
	// edits go through Commit one by one.
	Batch func([]Edit) []error
	// CanAdd shows an empty row at the end in which typing adds a row; AddHint
	// is what stands in it.
	CanAdd  bool
	AddHint string
	// Empty is what stands in a grid without rows.
	Empty string
	// Delete removes rows (numbers, ascending).
	Delete func(rows []int)
	// Menu gives the context menu of the selected rows.
	Menu func(rows []int) *fyne.Menu

	// OnSelect reports the selected rows, ascending, when they change.
	OnSelect func(rows []int)
	// OnCurrent reports the current cell when it changes.
	OnCurrent func(row, col int)
	// OnOpen reports a double click on a cell that cannot be edited.
	OnOpen func(row, col int)
	// OnMessage reports the text for the status line, "" when there is none.
	OnMessage func(text string)
	// OnSort asks for the rows to be ordered by a column. Nil: titles do nothing.
	OnSort func(col int, descending bool)
	// OnWidths reports that column widths were changed by hand.
	OnWidths func()

	scroll *container.Scroll
	body   *gridBody
	head   *gridHead

	widths   []float32 // as set, before stretching
	lefts    []float32 // left edge of each column, and the right end of the last
	sortCol  int
	sortDown bool

	row, col int    // current cell
	rowID    string // identity of the current row, "" before any was shown
	anchor   int    // row where a range selection started
	selected map[string]bool
	whole    bool // whole rows, not one cell, are meant by copy and delete
	homeCol  int  // column to which Enter returns after Tabs, -1 none

	refused map[cellKey]refusal

	editor     *cellEditor
	editorBox  *container.ThemeOverride
	editing    bool
	overwrite  bool // started by typing: arrows leave the cell
	editRowID  string
	editCol    int
	editBefore string

	focused   bool
	shift     bool
	reporting bool // in OnSelect
	message   string
}

// cellKey names a cell by row identity and column.
type cellKey struct {
	row string
	col int
}

// refusal is a typed text the owner did not accept, and why.
type refusal struct {
	text string
	err  error
}

// newRowID stands for the new row; no owner's identity has a zero byte.
const newRowID = "\x00new"

// NewGrid returns a grid of the given columns; rows counts them and cell
// describes one cell.
func NewGrid(columns []Column, rows func() int, cell func(row, col int) (string, CellState)) *Grid {
	g := &Grid{
		Columns: columns, Len: rows, Cell: cell,
		selected: map[string]bool{}, refused: map[cellKey]refusal{},
		sortCol: -1, homeCol: -1,
	}
	g.widths = make([]float32, len(columns))
	for i, c := range columns {
		// A heading is read whole, in whatever language.
		g.widths[i] = max(c.Width, fyne.MeasureText(c.Title, plainText, fyne.TextStyle{Bold: true}).Width+2*cellPad+8)
		if c.Width == 0 {
			g.widths[i] = 96
		}
	}
	g.body = newGridBody(g)
	g.head = newGridHead(g)
	g.scroll = container.NewScroll(g.body)
	g.scroll.OnScrolled = func(fyne.Position) { g.scrolled() }
	g.editor = newCellEditor(g)
	g.editorBox = container.NewThemeOverride(g.editor, &cellTheme{})
	g.editorBox.Hide()
	g.ExtendBaseWidget(g)
	return g
}

// shown is the number of rows on show, the new row included.
func (g *Grid) shown() int {
	if g.CanAdd && g.Commit != nil {
		return g.Len() + 1
	}
	return g.Len()
}

func (g *Grid) id(row int) string {
	if row < 0 || row >= g.Len() {
		return newRowID
	}
	if g.RowID == nil {
		return strconv.Itoa(row)
	}
	return g.RowID(row)
}

// find gives the row of an identity, or -1. near is tried first.
func (g *Grid) find(id string, near int) int {
	if id == newRowID {
		if g.shown() > g.Len() {
			return g.Len()
		}
		return -1
	}
	if near >= 0 && near < g.Len() && g.id(near) == id {
		return near
	}
	for r, n := 0, g.Len(); r < n; r++ {
		if g.id(r) == id {
			return r
		}
	}
	return -1
}

// cell is what to show of a cell: a refused text before the owner's.
func (g *Grid) cell(row, col int) (string, CellState) {
	if r, ok := g.refused[cellKey{g.id(row), col}]; ok {
		return r.text, CellState{Invalid: true, Message: r.err.Error()}
	}
	if row >= g.Len() {
		return "", CellState{}
	}
	return g.Cell(row, col)
}

func (g *Grid) editable(row, col int) bool {
	if g.Commit == nil || row < 0 || row >= g.shown() || col < 0 || col >= len(g.Columns) || !g.Columns[col].Editable {
		return false
	}
	if row >= g.Len() {
		return true
	}
	_, st := g.Cell(row, col)
	return !st.Locked
}

// Current is the current cell. Row is Len() in the new row.
func (g *Grid) Current() (row, col int) { return g.row, g.col }

// SelectedRows lists the selected rows, ascending.
func (g *Grid) SelectedRows() []int {
	var rows []int
	if len(g.selected) == 0 {
		return nil
	}
	for r, n := 0, g.Len(); r < n; r++ {
		if g.selected[g.id(r)] {
			rows = append(rows, r)
		}
	}
	return rows
}

// SelectRow makes the row with this identity the only selected and the
// current one and scrolls it into view. It reports no OnSelect, since the
// caller knows, and says whether there is such a row. While the grid is being
// worked with, a row that is selected already is left as it is: the answer to
// OnSelect shall not undo the selecting of several rows.
func (g *Grid) SelectRow(id string) bool {
	row := g.find(id, g.row)
	if row < 0 || id == newRowID {
		return false
	}
	if g.selected[id] && (g.reporting || g.focused || g.editing) {
		return true
	}
	g.endEdit(true)
	g.row, g.rowID, g.anchor = row, id, row
	g.selected = map[string]bool{id: true}
	g.whole = false
	g.reveal()
	g.body.update()
	return true
}

// SelectRows selects the rows with these identities as SelectRow does one.
func (g *Grid) SelectRows(ids []string) {
	if len(ids) == 0 {
		g.selected = map[string]bool{}
		g.body.update()
		return
	}
	if !g.SelectRow(ids[0]) {
		return
	}
	for _, id := range ids {
		g.selected[id] = true
	}
	g.whole = len(ids) > 1
	g.body.update()
}

// SetCurrent moves the current cell, selects its row and scrolls to it.
func (g *Grid) SetCurrent(row, col int) {
	g.endEdit(true)
	g.moveTo(row, col, false)
}

// Invalid is the number of refused texts the grid still holds.
func (g *Grid) Invalid() int { return len(g.refused) }

// Discard drops all refused texts.
func (g *Grid) Discard() {
	clear(g.refused)
	g.Refresh()
}

// Finish commits what is being typed, as before the window closes or another
// room is entered.
func (g *Grid) Finish() { g.endEdit(true) }

// Editing says whether a cell is being edited.
func (g *Grid) Editing() bool { return g.editing }

// Widths are the column widths for the owner to remember.
func (g *Grid) Widths() []float32 { return append([]float32(nil), g.widths...) }

// SetWidths restores remembered widths; a list of another length is ignored.
func (g *Grid) SetWidths(w []float32) {
	if len(w) != len(g.widths) {
		return
	}
	for i := range w {
		g.widths[i] = max(w[i], minColumn)
	}
	g.relayout()
}

// SetSort shows by which column the rows are ordered; -1 for none.
func (g *Grid) SetSort(col int, descending bool) {
	g.sortCol, g.sortDown = col, descending
	g.head.update()
}

// Refresh shows the data anew. Current cell, selection, refused texts and a
// text being typed follow their rows; a selected row that is gone is dropped.
func (g *Grid) Refresh() {
	g.reconcile()
	g.relayout()
	g.BaseWidget.Refresh()
}

// reconcile brings the state in step with the owner's rows.
func (g *Grid) reconcile() {
	if g.editing && g.find(g.editRowID, g.row) < 0 {
		lost := g.editor.Text
		g.endEdit(false)
		g.say(lang.L("The row being edited is gone; the text was: {{.lost}}", locale.With{"lost": lost}))
	}
	if row := g.find(g.rowID, g.row); row >= 0 {
		g.row = row
	}
	g.row = max(0, min(g.row, g.shown()-1))
	g.rowID = g.id(g.row)
	g.anchor = max(0, min(g.anchor, g.shown()-1))
	if len(g.selected) > 0 || len(g.refused) > 0 {
		here := g.ids()
		dropped := false
		for id := range g.selected {
			if !here[id] {
				delete(g.selected, id)
				dropped = true
			}
		}
		for k := range g.refused {
			if k.row != newRowID && !here[k.row] {
				delete(g.refused, k)
			}
		}
		if dropped {
			if len(g.selected) == 0 && g.row < g.Len() {
				g.selected[g.rowID] = true
			}
			g.reportSelection()
		}
	}
}

func (g *Grid) reportSelection() {
	if g.OnSelect != nil && !g.reporting {
		g.reporting = true
		g.OnSelect(g.SelectedRows())
		g.reporting = false
	}
}

// say reports a message when it differs from the last.
func (g *Grid) say(text string) {
	if text == g.message {
		return
	}
	g.message = text
	if g.OnMessage != nil {
		g.OnMessage(text)
	}
}

// moveTo makes a cell current. With extend the rows from the anchor to it
// become the selection, else its row alone.
func (g *Grid) moveTo(row, col int, extend bool) {
	row = max(0, min(row, g.shown()-1))
	col = max(0, min(col, len(g.Columns)-1))
	moved := row != g.row || col != g.col
	before := g.selected
	g.row, g.col, g.rowID = row, col, g.id(row)
	if extend {
		g.selectRange(g.anchor, row)
		g.whole = true
	} else {
		g.anchor = row
		g.whole = false
		g.selected = map[string]bool{}
		if row < g.Len() {
			g.selected[g.rowID] = true
		}
	}
	g.reveal()
	g.body.update()
	g.sayCurrent()
	if moved && g.OnCurrent != nil {
		g.OnCurrent(row, col)
	}
	if !maps.Equal(before, g.selected) {
		g.reportSelection()
	}
}

func (g *Grid) selectRange(a, b int) {
	if a > b {
		a, b = b, a
	}
	g.selected = map[string]bool{}
	for r := a; r <= b && r < g.Len(); r++ {
		g.selected[g.id(r)] = true
	}
}

// sayCurrent reports the current cell's message.
func (g *Grid) sayCurrent() {
	if g.shown() == 0 || len(g.Columns) == 0 {
		g.say("")
		return
	}
	_, st := g.cell(g.row, g.col)
	g.say(st.Message)
}
