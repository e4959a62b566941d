package control

import (
	"fmt"
	"os"
	"slices"
	"strings"
	"testing"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/driver/desktop"
)

func TestGridRefusedText(t *testing.T) {
	s := newSheet(3)
	g, w := s.grid(t)
	press(w, fyne.KeyRight)
	typeText(w, "6oo")
	press(w, fyne.KeyReturn)
	if s.rows[0][lengthCol] != "100" {
		t.Errorf("owner has %q, want the old length", s.rows[0][lengthCol])
	}
	if text, st := g.cell(0, lengthCol); text != "6oo" || !st.Invalid {
		t.Errorf("cell shows %q, invalid %v; want the typed text, invalid", text, st.Invalid)
	}
	if !slices.Contains(s.says, errNumber.Error()) {
		t.Errorf("the fault was not reported; said %q", s.says)
	}
	slices.Reverse(s.ids) // the text follows its row
	slices.Reverse(s.rows)
	g.Refresh()
	if text, st := g.cell(2, lengthCol); text != "6oo" || !st.Invalid {
		t.Errorf("after sorting the cell shows %q, invalid %v", text, st.Invalid)
	}
	g.SetCurrent(2, lengthCol)
	press(w, fyne.KeyF2)
	if g.editor.Text != "6oo" {
		t.Errorf("F2 offers %q, want the refused text", g.editor.Text)
	}
	press(w, fyne.KeyBackspace, fyne.KeyBackspace)
	typeText(w, "00")
	press(w, fyne.KeyReturn)
	if s.rows[2][lengthCol] != "600" || g.Invalid() != 0 {
		t.Errorf("owner has %q with %d refused; want 600 and none", s.rows[2][lengthCol], g.Invalid())
	}

	g.SetCurrent(1, lengthCol)
	typeText(w, "x")
	press(w, fyne.KeyReturn, fyne.KeyUp, fyne.KeyEscape)
	if text, st := g.cell(1, lengthCol); text != "101" || st.Invalid {
		t.Errorf("after Escape the cell shows %q, invalid %v; want the owner's text", text, st.Invalid)
	}
}

func TestGridNewRow(t *testing.T) {
	t.Run("with an owner who refreshes later", func(t *testing.T) { newRow(t, false) })
	t.Run("with an owner who refreshes while it commits", func(t *testing.T) { newRow(t, true) })
}

func newRow(t *testing.T, refreshes bool) {
	s := newSheet(2)
	g, w := s.grid(t)
	if refreshes {
		s.g = g
	}
	g.SetCurrent(2, nameCol)
	if len(g.SelectedRows()) != 0 {
		t.Errorf("the new row counts as selected: %v", g.SelectedRows())
	}
	typeText(w, "fresh")
	press(w, fyne.KeyTab)
	if len(s.rows) != 3 || s.rows[2][nameCol] != "fresh" {
		t.Fatalf("owner has %d rows, want 3 with the new one: %q", len(s.rows), s.rows)
	}
	at(t, g, 2, lengthCol)
	typeText(w, "77")
	press(w, fyne.KeyReturn)
	if s.rows[2][lengthCol] != "77" {
		t.Errorf("second cell of the new row is %q, want 77", s.rows[2][lengthCol])
	}
	at(t, g, 3, nameCol)

	press(w, fyne.KeyRight)
	typeText(w, "none")
	press(w, fyne.KeyReturn)
	if text, st := g.cell(3, lengthCol); len(s.rows) != 3 || text != "none" || !st.Invalid {
		t.Errorf("refused text in the new row: %d rows, cell %q invalid %v", len(s.rows), text, st.Invalid)
	}
}

func TestGridClipboard(t *testing.T) {
	t.Run("one cell is copied alone, several rows as tab-separated lines", func(t *testing.T) {
		g, w := newSheet(3).grid(t)
		g.TypedShortcut(&fyne.ShortcutCopy{})
		if got := fyne.CurrentApp().Clipboard().Content(); got != "board 0" {
			t.Errorf("copied %q, want board 0", got)
		}
		shiftPress(g, w, fyne.KeyDown)
		g.TypedShortcut(&fyne.ShortcutCopy{})
		want := "board 0\t100\toak\tfalse\t9\nboard 1\t101\toak\tfalse\t9"
		if got := fyne.CurrentApp().Clipboard().Content(); got != want {
			t.Errorf("copied %q, want %q", got, want)
		}
	})
	t.Run("pasted lines go on past the end as one batch, faulty cells keep their text", func(t *testing.T) {
		s := newSheet(2)
		g, _ := s.grid(t)
		g.Batch = func(edits []Edit) []error {
			s.batches++
			errs := make([]error, len(edits))
			for i, e := range edits {
				errs[i] = s.commit(e.Row, e.Col, e.Text)
			}
			return errs
		}
		g.SetCurrent(1, nameCol)
		g.Paste("one\t11\tash\ttrue\tskipped\r\ntwo\tbad\r\nthree\t33\r\n")
		if s.batches != 1 {
			t.Errorf("%d batches, want 1", s.batches)
		}
		want := [][]string{
			{"board 0", "100", "oak", "false", "9"}, {"one", "11", "ash", "true", "9"},
			{"two", "", "oak", "false", "9"}, {"three", "33", "oak", "false", "9"},
		}
		if fmt.Sprint(s.rows) != fmt.Sprint(want) {
			t.Errorf("owner has %q, want %q", s.rows, want)
		}
		if text, st := g.cell(2, lengthCol); text != "bad" || !st.Invalid {
			t.Errorf("faulty cell shows %q, invalid %v", text, st.Invalid)
		}
	})
	t.Run("one text fills the column of all selected rows", func(t *testing.T) {
		s := newSheet(4)
		g, w := s.grid(t)
		g.SetCurrent(0, lengthCol)
		shiftPress(g, w, fyne.KeyDown, fyne.KeyDown)
		g.Paste("55\n")
		for r, want := range []string{"55", "55", "55", "103"} {
			if s.rows[r][lengthCol] != want {
				t.Errorf("row %d has %q, want %q", r, s.rows[r][lengthCol], want)
			}
		}
	})
	t.Run("what was copied can be pasted back unchanged", func(t *testing.T) {
		s := newSheet(5)
		g, _ := s.grid(t)
		before := fmt.Sprint(s.rows)
		g.TypedShortcut(&fyne.ShortcutSelectAll{})
		g.TypedShortcut(&fyne.ShortcutCopy{})
		g.TypedShortcut(&fyne.ShortcutPaste{})
		if got := fmt.Sprint(s.rows); got != before {
			t.Errorf("pasting back gave %s, want %s", got, before)
		}
	})
}

func TestGridChoiceAndBool(t *testing.T) {
	s := newSheet(3)
	g, w := s.grid(t)
	g.SetCurrent(0, kindCol)
	press(w, fyne.KeyF2)
	list, ok := w.Canvas().Focused().(*optionList)
	if !ok {
		t.Fatalf("F2 on a choice focuses %T, want the list", w.Canvas().Focused())
	}
	if list.options[list.at].text != "oak" {
		t.Errorf("list starts at %q, want the present choice", list.options[list.at].text)
	}
	press(w, fyne.KeyDown, fyne.KeyReturn)
	if s.rows[0][kindCol] != "pine" {
		t.Errorf("owner has %q, want pine", s.rows[0][kindCol])
	}
	if w.Canvas().Focused() != fyne.Focusable(g) {
		t.Fatalf("focus is on %T, want the grid", w.Canvas().Focused())
	}
	typeText(w, "a") // jumps to ash
	press(w, fyne.KeyReturn)
	if s.rows[0][kindCol] != "ash" {
		t.Errorf("owner has %q, want ash", s.rows[0][kindCol])
	}
	press(w, fyne.KeyF2, fyne.KeyDown, fyne.KeyEscape)
	if s.rows[0][kindCol] != "ash" {
		t.Errorf("Escape changed the choice to %q", s.rows[0][kindCol])
	}

	g.SetCurrent(1, flagCol)
	typeText(w, " ")
	if s.rows[1][flagCol] != "true" {
		t.Errorf("space gives %q, want true", s.rows[1][flagCol])
	}
	clickAt(g, 1, flagCol, desktop.MouseButtonPrimary, 0)
	if s.rows[1][flagCol] != "false" {
		t.Errorf("a click on the box gives %q, want false", s.rows[1][flagCol])
	}
}

func TestGridDeleteClearsOneCell(t *testing.T) {
	s := newSheet(3)
	g, w := s.grid(t)
	press(w, fyne.KeyDelete)
	if s.rows[0][nameCol] != "" || len(s.deleted) != 0 {
		t.Errorf("owner has %q, deleted %v; want one cell emptied", s.rows[0][nameCol], s.deleted)
	}
	g.TypedShortcut(&desktop.CustomShortcut{KeyName: fyne.KeyDelete, Modifier: fyne.KeyModifierShortcutDefault})
	if len(s.rows) != 2 {
		t.Errorf("Ctrl and Delete left %d rows, want 2", len(s.rows))
	}
}

// TestGridNeverLosesTypedText runs random work on a grid: whatever was typed and
// left by commit is in the owner's data or refused and still on show.
func TestGridNeverLosesTypedText(t *testing.T) {
	seeds := uint64(5)
	if os.Getenv("PILEWRIGHT_FULL") == "1" {
		seeds = 200
	}
	for seed := uint64(1); seed <= seeds; seed++ {
		randomGridWork(t, seed, 100, seed%2 == 0)
	}
}

// FuzzPaste pastes anything at a small grid: it neither fails nor loses a row,
// and what it copies afterwards pastes back unchanged.
func FuzzPaste(f *testing.F) {
	for _, seed := range []string{"", "a\tb\nc\td", "\t\t\t\t\t\t", "one\r\ntwo\r\n", "x\n\n\ny", "½\t600 mm\n\x00", "\n", "\r"} {
		f.Add(seed, uint8(1), uint8(0))
	}
	f.Fuzz(func(t *testing.T, text string, row, col uint8) {
		s := newSheet(3)
		g, _ := s.grid(t)
		g.SetCurrent(int(row), int(col))
		g.Paste(text)
		if len(s.rows) < 3 || len(s.rows) > 3+strings.Count(text, "\n")+1 {
			t.Fatalf("pasting %q left %d rows of 3", text, len(s.rows))
		}
		g.Discard()
		before := fmt.Sprint(s.rows)
		g.TypedShortcut(&fyne.ShortcutSelectAll{})
		for _, r := range s.rows {
			for _, c := range r {
				if c != strings.TrimSpace(oneCell(c)) || strings.ContainsRune(c, '\r') {
					return // such a text cannot come back the same from one line
				}
			}
		}
		g.Paste(g.copied())
		if after := fmt.Sprint(s.rows); after != before {
			t.Fatalf("after pasting %q, copying and pasting back gave %s, want %s", text, after, before)
		}
	})
}

func TestGridFollowsAnOwnerWhoKeepsItsRowsInOrder(t *testing.T) {
	s := newSheet(3)
	g, w := s.grid(t)
	g.Commit = func(row, col int, text string) error { // keeps names in order
		err := s.commit(row, col, text)
		order := make([]int, len(s.rows))
		for i := range order {
			order[i] = i
		}
		slices.SortStableFunc(order, func(a, b int) int { return strings.Compare(s.rows[a][nameCol], s.rows[b][nameCol]) })
		rows, ids := slices.Clone(s.rows), slices.Clone(s.ids)
		for i, from := range order {
			s.rows[i], s.ids[i] = rows[from], ids[from]
		}
		g.Refresh()
		return err
	}
	g.SetCurrent(3, nameCol)
	typeText(w, "aspen")
	press(w, fyne.KeyTab)
	at(t, g, 0, lengthCol) // the new row is now the first
	typeText(w, "77")
	press(w, fyne.KeyTab)
	if s.rows[0][nameCol] != "aspen" || s.rows[0][lengthCol] != "77" {
		t.Errorf("owner has %q, want aspen with 77 first", s.rows)
	}
}

func TestGridKeepsSeveralRowsSelectedWhenTheOwnerAnswers(t *testing.T) {
	s := newSheet(6)
	g, w := s.grid(t)
	g.OnSelect = func(rows []int) {
		if len(rows) > 0 {
			g.SelectRow(s.ids[rows[0]]) // what a room does that keeps one thing picked
		}
	}
	press(w, fyne.KeyDown)
	shiftPress(g, w, fyne.KeyDown, fyne.KeyDown)
	if got := g.SelectedRows(); !slices.Equal(got, []int{1, 2, 3}) {
		t.Errorf("selected %v, want 1 to 3", got)
	}
	typeText(w, "half")
	g.SelectRow(s.ids[3])
	if !g.Editing() {
		t.Error("selecting the row that is edited ended the editing")
	}
	press(w, fyne.KeyEscape)
	w.Canvas().Unfocus() // as when something is picked on the drawing
	g.SelectRow(s.ids[2])
	if got := g.SelectedRows(); !slices.Equal(got, []int{2}) {
		t.Errorf("picked from elsewhere, selected %v, want row 2 alone", got)
	}
}
