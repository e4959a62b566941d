package control

import (
	"errors"
	"fmt"
	"slices"
	"strconv"
	"strings"
	"testing"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/driver/desktop"
	"fyne.io/fyne/v2/test"
)

// sheet is the owner of a grid's data in the tests.
type sheet struct {
	ids     []string
	rows    [][]string
	next    int
	batches int
	deleted [][]int
	says    []string
	picked  [][]int
	g       *Grid // refreshed at each commit, if set
}

const (
	nameCol = iota
	lengthCol
	kindCol
	flagCol
	areaCol
)

func newSheet(n int) *sheet {
	s := &sheet{}
	for i := range n {
		s.add([]string{"board " + strconv.Itoa(i), strconv.Itoa(100 + i), "oak", "false", "9"})
	}
	return s
}

func (s *sheet) add(cells []string) {
	s.ids = append(s.ids, "id"+strconv.Itoa(s.next))
	s.rows = append(s.rows, cells)
	s.next++
}

var errNumber = errors.New("a length is a number above 0; write it as 600")

func (s *sheet) commit(row, col int, text string) error {
	if col == lengthCol && text != "" {
		if v, err := strconv.Atoi(text); err != nil || v <= 0 {
			return errNumber
		}
	}
	if row == len(s.rows) {
		s.add([]string{"", "", "oak", "false", "9"})
	}
	s.rows[row] = slices.Clone(s.rows[row])
	s.rows[row][col] = text
	if s.g != nil {
		s.g.Refresh()
	}
	return nil
}

func (s *sheet) grid(t testing.TB) (*Grid, fyne.Window) {
	g := NewGrid([]Column{
		{Title: "Name", Width: 150, Editable: true},
		{Title: "Length", Width: 80, Editable: true, Numeric: true},
		{Title: "Species", Width: 90, Editable: true, Kind: Choice, Choices: func(int) []string { return []string{"ash", "oak", "pine"} }},
		{Title: "Dry", Width: 60, Editable: true, Kind: Bool},
		{Title: "Area", Width: 80, Numeric: true},
	}, func() int { return len(s.rows) }, func(r, c int) (string, CellState) { return s.rows[r][c], CellState{} })
	g.RowID = func(r int) string { return s.ids[r] }
	g.Commit = s.commit
	g.CanAdd = true
	g.Delete = func(rows []int) {
		s.deleted = append(s.deleted, rows)
		for _, r := range slices.Backward(rows) {
			s.ids, s.rows = slices.Delete(s.ids, r, r+1), slices.Delete(s.rows, r, r+1)
		}
	}
	g.OnMessage = func(m string) { s.says = append(s.says, m) }
	g.OnSelect = func(rows []int) { s.picked = append(s.picked, rows) }
	test.NewTempApp(t)
	w := test.NewTempWindow(t, g)
	w.Resize(fyne.NewSize(640, 400))
	w.Canvas().Focus(g)
	return g, w
}

// press sends keys to whatever has the focus.
func press(w fyne.Window, keys ...fyne.KeyName) {
	for _, k := range keys {
		w.Canvas().Focused().TypedKey(&fyne.KeyEvent{Name: k})
	}
}

func typeText(w fyne.Window, text string) {
	for _, r := range text {
		w.Canvas().Focused().TypedRune(r)
	}
}

func shiftPress(g *Grid, w fyne.Window, keys ...fyne.KeyName) {
	k := &fyne.KeyEvent{Name: desktop.KeyShiftLeft}
	w.Canvas().Focused().(desktop.Keyable).KeyDown(k)
	press(w, keys...)
	w.Canvas().Focused().(desktop.Keyable).KeyUp(k)
}

func at(t *testing.T, g *Grid, row, col int) {
	t.Helper()
	if r, c := g.Current(); r != row || c != col {
		t.Errorf("current cell is row %d column %d, want row %d column %d", r, c, row, col)
	}
}

func TestGridKeys(t *testing.T) {
	tests := []struct {
		name     string
		keys     []fyne.KeyName
		row, col int
	}{
		{"down goes down", []fyne.KeyName{fyne.KeyDown, fyne.KeyDown}, 2, 0},
		{"up stops at the top", []fyne.KeyName{fyne.KeyUp}, 0, 0},
		{"right and left go sideways and stop at the edges", []fyne.KeyName{fyne.KeyRight, fyne.KeyRight, fyne.KeyLeft, fyne.KeyLeft, fyne.KeyLeft}, 0, 0},
		{"end and home go to the row's ends", []fyne.KeyName{fyne.KeyEnd}, 0, 4},
		{"enter goes down", []fyne.KeyName{fyne.KeyReturn}, 1, 0},
		{"tab goes right", []fyne.KeyName{fyne.KeyTab}, 0, 1},
		{"tab passes over a column that cannot be edited", []fyne.KeyName{fyne.KeyTab, fyne.KeyTab, fyne.KeyTab, fyne.KeyTab}, 1, 0},
		{"enter after tabs returns to the column where they began", []fyne.KeyName{fyne.KeyTab, fyne.KeyTab, fyne.KeyReturn}, 1, 0},
		{"page down goes on by what fits", []fyne.KeyName{fyne.KeyPageDown}, -1, 0},
		{"down ends in the new row", []fyne.KeyName{fyne.KeyPageDown, fyne.KeyPageDown, fyne.KeyPageDown, fyne.KeyPageDown, fyne.KeyPageDown, fyne.KeyPageDown}, 40, 0},
	}
	for _, tc := range tests {
		t.Run(tc.name, func(t *testing.T) {
			g, w := newSheet(40).grid(t)
			press(w, tc.keys...)
			if tc.row < 0 {
				if r, _ := g.Current(); r != g.page() || r < 5 {
					t.Errorf("went to row %d, want %d", r, g.page())
				}
				return
			}
			at(t, g, tc.row, tc.col)
		})
	}
}

func TestGridTyping(t *testing.T) {
	t.Run("typing replaces the text and enter commits it and goes down", func(t *testing.T) {
		s := newSheet(3)
		g, w := s.grid(t)
		typeText(w, "plank")
		if !g.Editing() {
			t.Fatal("typing did not start editing")
		}
		if s.rows[0][nameCol] != "board 0" {
			t.Fatalf("text reached the owner before Enter: %q", s.rows[0][nameCol])
		}
		press(w, fyne.KeyReturn)
		if s.rows[0][nameCol] != "plank" {
			t.Errorf("owner has %q, want %q", s.rows[0][nameCol], "plank")
		}
		at(t, g, 1, nameCol)
		if w.Canvas().Focused() != fyne.Focusable(g) {
			t.Errorf("focus is on %T after Enter, want the grid", w.Canvas().Focused())
		}
	})
	t.Run("F2 edits the text that is there", func(t *testing.T) {
		s := newSheet(3)
		_, w := s.grid(t)
		press(w, fyne.KeyF2)
		typeText(w, "!")
		press(w, fyne.KeyReturn)
		if s.rows[0][nameCol] != "board 0!" {
			t.Errorf("owner has %q, want %q", s.rows[0][nameCol], "board 0!")
		}
	})
	t.Run("escape keeps the old text", func(t *testing.T) {
		s := newSheet(3)
		g, w := s.grid(t)
		typeText(w, "zzz")
		press(w, fyne.KeyEscape)
		if s.rows[0][nameCol] != "board 0" || g.Editing() {
			t.Errorf("owner has %q, editing %v; want the old text and no editor", s.rows[0][nameCol], g.Editing())
		}
		at(t, g, 0, nameCol)
	})
	t.Run("tab commits and goes right, shift and tab left", func(t *testing.T) {
		s := newSheet(3)
		g, w := s.grid(t)
		typeText(w, "a")
		press(w, fyne.KeyTab)
		at(t, g, 0, lengthCol)
		typeText(w, "250")
		shiftPress(g, w, fyne.KeyTab)
		at(t, g, 0, nameCol)
		if s.rows[0][nameCol] != "a" || s.rows[0][lengthCol] != "250" {
			t.Errorf("owner has %q", s.rows[0])
		}
	})
	t.Run("an arrow commits what was typed over a cell", func(t *testing.T) {
		s := newSheet(3)
		g, w := s.grid(t)
		typeText(w, "a")
		press(w, fyne.KeyRight)
		at(t, g, 0, lengthCol)
		if s.rows[0][nameCol] != "a" {
			t.Errorf("owner has %q, want a", s.rows[0][nameCol])
		}
	})
	t.Run("a column that is worked out refuses typing and says so", func(t *testing.T) {
		s := newSheet(3)
		g, w := s.grid(t)
		press(w, fyne.KeyEnd)
		typeText(w, "7")
		if g.Editing() || len(s.says) == 0 || !strings.Contains(s.says[len(s.says)-1], "Area") {
			t.Errorf("editing %v, said %q", g.Editing(), s.says)
		}
	})
	t.Run("losing the focus commits", func(t *testing.T) {
		s := newSheet(3)
		g, w := s.grid(t)
		typeText(w, "left")
		w.Canvas().Unfocus()
		if s.rows[0][nameCol] != "left" || g.Editing() {
			t.Errorf("owner has %q, editing %v", s.rows[0][nameCol], g.Editing())
		}
	})
	t.Run("keys work on when the window gives the focus back to the closed editor", func(t *testing.T) {
		s := newSheet(3)
		g, w := s.grid(t)
		typeText(w, "one")
		editor := w.Canvas().Focused()
		editor.FocusLost() // what the window does when another window comes up
		editor.FocusGained()
		press(w, fyne.KeyDown)
		typeText(w, "two")
		press(w, fyne.KeyReturn)
		if s.rows[0][nameCol] != "one" || s.rows[1][nameCol] != "two" {
			t.Errorf("owner has %q and %q, want one and two", s.rows[0][nameCol], s.rows[1][nameCol])
		}
		at(t, g, 2, nameCol)
	})
	t.Run("a refresh while typing keeps what is typed", func(t *testing.T) {
		s := newSheet(3)
		g, w := s.grid(t)
		typeText(w, "pl")
		s.rows[1][lengthCol] = "999"
		g.Refresh()
		typeText(w, "ank")
		press(w, fyne.KeyReturn)
		if s.rows[0][nameCol] != "plank" {
			t.Errorf("owner has %q, want plank", s.rows[0][nameCol])
		}
	})
	t.Run("a row that moves while it is edited takes the text with it", func(t *testing.T) {
		s := newSheet(3)
		g, w := s.grid(t)
		typeText(w, "moved")
		slices.Reverse(s.ids)
		slices.Reverse(s.rows)
		g.Refresh()
		press(w, fyne.KeyReturn)
		if s.rows[2][nameCol] != "moved" || s.rows[0][nameCol] == "moved" {
			t.Errorf("owner has %q, want the text in the last row", s.rows)
		}
	})
}

func TestGridSelection(t *testing.T) {
	s := newSheet(10)
	g, w := s.grid(t)
	press(w, fyne.KeyDown)
	shiftPress(g, w, fyne.KeyDown, fyne.KeyDown)
	if got := g.SelectedRows(); !slices.Equal(got, []int{1, 2, 3}) {
		t.Errorf("shift and down select %v, want 1 to 3", got)
	}
	if last := s.picked[len(s.picked)-1]; !slices.Equal(last, []int{1, 2, 3}) {
		t.Errorf("reported %v, want 1 to 3", last)
	}
	clickAt(g, 6, nameCol, desktop.MouseButtonPrimary, fyne.KeyModifierShortcutDefault)
	if got := g.SelectedRows(); !slices.Equal(got, []int{1, 2, 3, 6}) {
		t.Errorf("a click with Ctrl gives %v, want row 6 added", got)
	}
	clickAt(g, 8, nameCol, desktop.MouseButtonPrimary, fyne.KeyModifierShift)
	if got := g.SelectedRows(); !slices.Equal(got, []int{6, 7, 8}) {
		t.Errorf("a click with Shift gives %v, want 6 to 8", got)
	}
	clickAt(g, 7, nameCol, desktop.MouseButtonSecondary, 0)
	if got := g.SelectedRows(); !slices.Equal(got, []int{6, 7, 8}) {
		t.Errorf("a right click inside the selection changed it to %v", got)
	}
	press(w, fyne.KeyDelete)
	if len(s.deleted) != 1 || !slices.Equal(s.deleted[0], []int{6, 7, 8}) || len(s.rows) != 7 {
		t.Errorf("deleted %v leaving %d rows; want rows 6 to 8 gone", s.deleted, len(s.rows))
	}
	at(t, g, 6, nameCol)
	slices.Reverse(s.ids)
	slices.Reverse(s.rows)
	g.Refresh()
	at(t, g, 0, nameCol)
	if got := g.SelectedRows(); !slices.Equal(got, []int{0}) {
		t.Errorf("after sorting, selected %v; want the same board, now row 0", got)
	}
	g.TypedShortcut(&fyne.ShortcutSelectAll{})
	if got := len(g.SelectedRows()); got != 7 {
		t.Errorf("select all selects %d rows, want 7", got)
	}
}

func TestGridReportsWhenASelectedRowIsGone(t *testing.T) {
	s := newSheet(4)
	g, w := s.grid(t)
	press(w, fyne.KeyDown)
	shiftPress(g, w, fyne.KeyDown)
	s.ids, s.rows = slices.Delete(s.ids, 2, 3), slices.Delete(s.rows, 2, 3) // as an undo does
	g.Refresh()
	if last := s.picked[len(s.picked)-1]; !slices.Equal(last, []int{1}) {
		t.Errorf("reported %v, want row 1, the one that is left", last)
	}
	s.ids, s.rows = slices.Delete(s.ids, 1, 2), slices.Delete(s.rows, 1, 2)
	g.Refresh()
	if last := s.picked[len(s.picked)-1]; len(last) != 1 {
		t.Errorf("reported %v when no selected row was left, want the current one", last)
	}
}

func clickAt(g *Grid, row, col int, b desktop.MouseButton, m fyne.KeyModifier) {
	h := g.rowHeight()
	e := &desktop.MouseEvent{Button: b, Modifier: m}
	e.Position = fyne.NewPos(g.lefts[col]+(g.lefts[col+1]-g.lefts[col])/2, (float32(row)+0.5)*h)
	g.body.MouseDown(e)
	g.body.MouseUp(e)
}

func TestGridSelectRowScrollsItIntoView(t *testing.T) {
	s := newSheet(5000)
	g, _ := s.grid(t)
	if !g.SelectRow("id4321") {
		t.Fatal("row id4321 was not found")
	}
	at(t, g, 4321, 0)
	top, h := g.scroll.Offset.Y, g.rowHeight()
	if y := 4321 * h; y < top || y+h > top+g.scroll.Size().Height+0.5 {
		t.Errorf("row at %.0f is outside the view %.0f to %.0f", y, top, top+g.scroll.Size().Height)
	}
	if g.SelectRow("no such") {
		t.Error("a row that does not exist was selected")
	}
	g.SetWidths([]float32{400, 400, 400, 60, 80})
	g.SetCurrent(4321, areaCol)
	if g.scroll.Offset.X == 0 || g.head.titles[areaCol].Position().X+g.head.titles[areaCol].Size().Width > 640 {
		t.Errorf("titles did not move with the rows: last one at %v, rows by %v", g.head.titles[areaCol].Position(), g.scroll.Offset)
	}
	g.SetCurrent(4321, nameCol)
	if shown := visibleTexts(g); !slices.Contains(shown, "board 4321") || len(shown) > 400 {
		t.Errorf("%d texts on show, board 4321 among them: %v", len(shown), slices.Contains(shown, "board 4321"))
	}
}

func visibleTexts(g *Grid) []string {
	var out []string
	for _, r := range g.body.rows {
		for _, c := range r.cells {
			if c.text.Visible() && c.text.Text != "" && c.box == nil {
				out = append(out, c.text.Text)
			}
		}
	}
	return out
}

func TestGridHeader(t *testing.T) {
	s := newSheet(3)
	g, _ := s.grid(t)
	var sorted []string
	g.OnSort = func(c int, down bool) { sorted = append(sorted, fmt.Sprint(c, down)) }
	tap := &fyne.PointEvent{Position: fyne.NewPos(g.lefts[1]+30, 5)}
	down := &desktop.MouseEvent{Button: desktop.MouseButtonPrimary}
	down.PointEvent = *tap
	for range 3 {
		g.head.MouseDown(down)
		g.head.MouseUp(down)
		g.head.Tapped(tap)
	}
	if want := []string{"1 false", "1 true", "1 false"}; !slices.Equal(sorted, want) {
		t.Errorf("sorted %v, want %v", sorted, want)
	}

	told := 0
	g.OnWidths = func() { told++ }
	x := g.lefts[2] // the right edge of column 1
	down.Position, down.AbsolutePosition = fyne.NewPos(x, 5), fyne.NewPos(x, 5)
	g.head.MouseDown(down)
	drag := &fyne.DragEvent{}
	drag.AbsolutePosition = fyne.NewPos(x+40, 5)
	g.head.Dragged(drag)
	g.head.MouseUp(down)
	g.head.DragEnd()
	if got := g.Widths()[1]; got != 120 || told != 1 {
		t.Errorf("width is %v, reported %d times; want 120, once", got, told)
	}
	g.SetWidths([]float32{50, 60, 70, 80, 90})
	if got := g.Widths(); !slices.Equal(got, []float32{50, 60, 70, 80, 90}) {
		t.Errorf("restored widths are %v", got)
	}
}

func TestGridTabLeavesAtTheEnds(t *testing.T) {
	s := newSheet(1)
	g, w := s.grid(t)
	g.CanAdd = false
	g.Refresh()
	other := NewGrid(g.Columns, g.Len, g.Cell)
	w.SetContent(fyne.NewContainer(g, other))
	w.Canvas().Focus(g)
	g.SetCurrent(0, flagCol)
	press(w, fyne.KeyTab)
	if w.Canvas().Focused() != fyne.Focusable(other) {
		t.Errorf("Tab in the last cell focuses %T, want the next widget", w.Canvas().Focused())
	}
}
