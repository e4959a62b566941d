package ui

import (
	"testing"

	"pilewright/plan/measure"
	"pilewright/ui/control"
	"pilewright/ui/locale"
)

// Where the comma is the decimal sign it is written and read in every table, and
// what is stored is exact and the same as with a point.
func TestSizesAreTypedAndShownWithTheCommaOfTheLanguage(t *testing.T) {
	t.Setenv("LC_ALL", "es_ES.UTF-8")
	t.Cleanup(func() {
		if err := locale.Use("en"); err != nil {
			t.Error(err)
		}
	})
	p := oneBoard()
	p.Shop.Inches, p.Shop.Currency = false, "EUR"
	w, settle := windowOn(t, shopFile(t, p))
	grid := func(room string, at int) *control.Grid {
		t.Helper()
		w.enter(w.roomIndex(room))
		var found []*control.Grid
		s := &seen{texts: map[string]string{}, grid: func(g *control.Grid) { found = append(found, g) }}
		s.walk(w.rooms[w.shown].Content())
		if at >= len(found) {
			t.Fatalf("%s has %d tables", room, len(found))
		}
		return found[at]
	}
	for _, c := range []struct {
		room       string
		table, col int
		typed      string
		shown      string
		stored     func() any
		want       any
	}{
		{"pile", 0, 2, "90,5", "90,5 mm", func() any { return w.session.Project().Boards[0].Width }, 905 * measure.Millimetre / 10},
		{"pile", 0, 3, "18.4", "18,4 mm", func() any { return w.session.Project().Boards[0].Thickness }, 184 * measure.Millimetre / 10},
		{"pile", 0, 8, "12,50", "12,50\u00a0€", func() any { return w.session.Project().Boards[0].Price.String() }, "12.5"},
		{"piece", 0, 3, "80,5 mm + 1,5 mm", "80,5 mm + 1,5 mm", func() any { return w.session.Project().Parts[0].Width }, "80.5 mm + 1.5 mm"},
	} {
		g := grid(c.room, c.table)
		if err := g.Commit(0, c.col, c.typed); err != nil {
			t.Errorf("%s: %q is refused: %v", c.room, c.typed, err)
			continue
		}
		settle()
		if got := c.stored(); got != c.want {
			t.Errorf("%s: %q is stored as %v, want %v", c.room, c.typed, got, c.want)
		}
		if got, _ := g.Cell(0, c.col); got != c.shown {
			t.Errorf("%s: %q is shown as %q, want %q", c.room, c.typed, got, c.shown)
		}
	}
	if err := grid("pile", 0).Commit(0, 2, "1.234"); err == nil {
		t.Error("1.234, which may be 1234 or 1,234, was taken without a question")
	}
	if _, err := w.session.Undo(); err != nil {
		t.Error(err)
	}
}
