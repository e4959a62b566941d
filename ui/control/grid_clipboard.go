package control

import (
	"strings"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/lang"

	"pilewright/ui/locale"
)

// Copy puts the current cell on the clipboard, or all cells of the selected
// rows, tab-separated, when several rows or whole rows are selected.
func (g *Grid) Copy() {
	if len(g.Columns) == 0 || g.shown() == 0 {
		return
	}
	fyne.CurrentApp().Clipboard().SetContent(g.copied())
}

func (g *Grid) copied() string {
	rows := g.SelectedRows()
	if !g.whole && len(rows) < 2 {
		text, _ := g.cell(g.row, g.col)
		return oneCell(text)
	}
	var b strings.Builder
	for i, r := range rows {
		if i > 0 {
			b.WriteByte('\n')
		}
		for c := range g.Columns {
			if c > 0 {
				b.WriteByte('\t')
			}
			text, _ := g.cell(r, c)
			b.WriteString(oneCell(text))
		}
	}
	return b.String()
}

// oneCell keeps a text from breaking the columns and lines of a copy.
func oneCell(text string) string {
	return strings.NewReplacer("\t", " ", "\r\n", " ", "\n", " ").Replace(text)
}

func severalCells(text string) bool {
	return strings.ContainsAny(strings.TrimRight(text, "\r\n"), "\t\n")
}

// Paste puts tab-separated text in, from the current cell on (from the first
// column when whole rows are selected), as one batch. Cells that cannot be
// edited are passed over; lines past the end add rows where the grid may. One
// text pasted on several selected rows goes into the current column of each.
func (g *Grid) Paste(text string) {
	if g.Commit == nil || text == "" || len(g.Columns) == 0 || g.shown() == 0 {
		return
	}
	if !severalCells(text) {
		g.fill(strings.TrimRight(text, "\r\n"))
		return
	}
	from := g.col
	if g.whole {
		from = 0
	}
	start := g.row
	if rows := g.SelectedRows(); len(rows) > 0 && g.whole {
		start = rows[0]
	}
	var edits []Edit
	passed, row := 0, start
	for _, line := range strings.Split(strings.TrimRight(text, "\r\n"), "\n") {
		line = strings.TrimSuffix(line, "\r")
		if row >= g.Len() && !g.CanAdd {
			passed++
			continue
		}
		if line == "" {
			if row < g.Len() {
				row++
			}
			continue
		}
		for i, t := range strings.Split(line, "\t") {
			col := from + i
			switch {
			case col >= len(g.Columns):
				passed++
			case row >= g.Len() && g.Columns[col].Editable, g.editable(row, col):
				if t = strings.TrimSpace(t); t != "" || row < g.Len() {
					edits = append(edits, Edit{row, col, t})
				}
			}
		}
		row++
	}
	g.commitAll(edits)
	if passed > 0 && g.Invalid() == 0 {
		g.say(lang.L("{{.passed}} of the pasted lines or cells had no place in this table.", locale.With{"passed": passed}))
	}
}

func (g *Grid) fill(text string) {
	rows := g.SelectedRows()
	if len(rows) < 2 {
		rows = []int{g.row}
	}
	var edits []Edit
	for _, r := range rows {
		if g.editable(r, g.col) {
			edits = append(edits, Edit{r, g.col, text})
		}
	}
	if len(edits) == 0 {
		g.sayLocked()
	}
	g.commitAll(edits)
}

func batchMessage(bad, all int, first error) string {
	if bad == 1 {
		return first.Error()
	}
	return lang.L("{{.bad}} of {{.all}} cells were not taken and keep their text; the first: {{.first}}", locale.With{"bad": bad, "all": all, "first": first})
}
