package control

import (
	"fmt"
	"math/rand/v2"
	"slices"
	"testing"

	"fyne.io/fyne/v2"
)

// randomGridWork does random edits, moves, sorts, deletions and pastes, and after
// each checks the grid against a plain record of what was typed.
func randomGridWork(t *testing.T, seed uint64, steps int, refreshes bool) {
	t.Helper()
	r := rand.New(rand.NewPCG(seed, 7))
	s := newSheet(6)
	g, w := s.grid(t)
	if refreshes {
		s.g = g
	}
	typed := map[string]string{} // by row identity: the last length typed, good or not
	for step := range steps {
		switch r.IntN(7) {
		case 0, 1:
			row := r.IntN(len(s.rows) + 1)
			g.SetCurrent(row, lengthCol)
			text := fmt.Sprint(r.IntN(400))
			if r.IntN(3) == 0 {
				text = "q" + text
			}
			typeText(w, text)
			if r.IntN(4) == 0 {
				g.Refresh()
			}
			press(w, []fyne.KeyName{fyne.KeyReturn, fyne.KeyTab, fyne.KeyUp, fyne.KeyDown}[r.IntN(4)])
			if row < len(s.rows) {
				typed[s.ids[row]] = text
			}
		case 2:
			r.Shuffle(len(s.rows), func(i, j int) {
				s.ids[i], s.ids[j] = s.ids[j], s.ids[i]
				s.rows[i], s.rows[j] = s.rows[j], s.rows[i]
			})
			g.Refresh()
		case 3:
			press(w, []fyne.KeyName{fyne.KeyUp, fyne.KeyDown, fyne.KeyPageDown, fyne.KeyHome}[r.IntN(4)])
		case 4:
			if len(s.rows) > 3 {
				g.SetCurrent(r.IntN(len(s.rows)), nameCol)
				g.DeleteSelected()
			}
		case 5:
			g.SetCurrent(r.IntN(len(s.rows)), nameCol)
			shiftPress(g, w, fyne.KeyDown)
		case 6:
			row := r.IntN(len(s.rows))
			g.SetCurrent(row, nameCol)
			g.Paste(fmt.Sprintf("p%d\t%d\nq\tbad", step, 1+step))
			typed[s.ids[row]] = fmt.Sprint(1 + step)
			if row+1 < len(s.rows) {
				typed[s.ids[row+1]] = "bad"
			}
		}
		for id, text := range typed {
			row := slices.Index(s.ids, id)
			if row < 0 {
				delete(typed, id)
				continue
			}
			if got, _ := g.cell(row, lengthCol); got != text {
				t.Fatalf("seed %d step %d: row %s shows %q, last typed was %q", seed, step, id, got, text)
			}
		}
		if row, col := g.Current(); row < 0 || row > len(s.rows) || col < 0 || col >= len(g.Columns) {
			t.Fatalf("seed %d step %d: current cell %d, %d is outside %d rows", seed, step, row, col, len(s.rows))
		}
		for _, row := range g.SelectedRows() {
			if row < 0 || row >= len(s.rows) {
				t.Fatalf("seed %d step %d: row %d is selected of %d", seed, step, row, len(s.rows))
			}
		}
	}
}
