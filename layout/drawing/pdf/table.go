package pdf

import (
	"slices"
	"strings"

	"pilewright/layout/drawing"
	"pilewright/layout/drawing/font"
)

// Column is a column of a table.
type Column struct {
	Title string
	Right bool    // figures stand at the right
	Check bool    // a box to tick instead of text
	Width float64 // in mm; 0 lets the content decide
	Bold  bool
}

// Row is a row of a table. Missing cells are empty; the cells of a Group are one
// line of bold text across the table.
type Row struct {
	Cells []string
	Bold  bool // a sum
	Lead  bool // the first paragraph of every cell is bold, but for figures at the right
	Group bool
}

// Table is a table that runs over pages, its head repeated on each. Without any
// title it has no head.
type Table struct {
	Columns []Column
	Rows    []Row
	Small   bool // in small type
}

const (
	cellPad  = 1.2
	rowPad   = 0.8
	tickSize = 3.0

	headLines = 6 // a head may not eat the page
)

// Table writes a table as wide as it needs to be, at most the page. Text that
// does not fit its column wraps, long words between letters. A row is not split
// unless it is taller than a page.
func (d *Document) Table(t Table) {
	if len(t.Columns) == 0 {
		return
	}
	size := bodySize
	if t.Small {
		size = smallSize
	}
	widths := t.widths(size, d.Width())
	head := make([][]string, len(t.Columns))
	for i, c := range t.Columns {
		head[i] = font.Wrap(c.Title, size*0.9, widths[i]-2*cellPad, true)
		head[i] = head[i][:min(len(head[i]), headLines)]
	}
	headHeight := t.headHeight(head, size)
	rows := make([][][]string, len(t.Rows))
	for i, r := range t.Rows {
		rows[i] = t.wrap(r, size, widths)
	}
	first := 0.0
	if len(rows) > 0 {
		first = rowHeight(rows[0], size)
		if t.Rows[0].Group && len(rows) > 1 {
			first += rowHeight(rows[1], size)
		}
	}
	d.Need(headHeight + min(first, d.Height()/2))
	d.tableHead(t, head, widths, size)
	for i, cells := range rows {
		need := rowHeight(cells, size)
		if t.Rows[i].Group && i+1 < len(rows) {
			need += rowHeight(rows[i+1], size)
		}
		full := d.Height() - headHeight
		if need > d.Room() && need <= full {
			d.Break()
			d.tableHead(t, head, widths, size)
		}
		for {
			part, rest := cells, [][]string(nil)
			if need > full { // taller than a page: as many lines as fit
				fit := int((d.Room() - 2*rowPad) / (size * pitch))
				if fit < 1 {
					d.Break()
					d.tableHead(t, head, widths, size)
					continue
				}
				part, rest = splitRow(cells, fit)
			}
			d.tableRow(t, t.Rows[i], part, widths, size)
			if rest == nil {
				break
			}
			cells, need = rest, rowHeight(rest, size)
			d.Break()
			d.tableHead(t, head, widths, size)
		}
	}
	d.y += 2.5
}

// widths shares the room: each column gets what its content needs, and where
// that is too much the widest give way first.
func (t Table) widths(size, room float64) []float64 {
	need := make([]float64, len(t.Columns))
	for i, c := range t.Columns {
		if c.Width > 0 {
			need[i] = c.Width
			continue
		}
		need[i] = font.Width(c.Title, size*0.9, true)
		if c.Check {
			need[i] = max(need[i], tickSize)
		}
		for _, r := range t.Rows {
			if i < len(r.Cells) && !r.Group {
				need[i] = max(need[i], font.Width(font.Clean(r.Cells[i]), size, c.Bold || r.Bold))
			}
		}
		need[i] += 2*cellPad + 0.01
	}
	sum := 0.0
	for _, n := range need {
		sum += n
	}
	if sum <= room {
		return need
	}
	// Find the level at which cutting the widest columns makes them fit.
	sorted := slices.Clone(need)
	slices.Sort(sorted)
	used, level := 0.0, room
	for i, n := range sorted {
		level = (room - used) / float64(len(sorted)-i)
		if n > level {
			break
		}
		used += n
	}
	for i := range need {
		need[i] = min(need[i], max(level, 2*cellPad+1))
	}
	return need
}

// leading begins a line of a row's lead; no text of a cell holds it, see font.Clean.
const leading = "\x01"

func (t Table) wrap(r Row, size float64, widths []float64) [][]string {
	if r.Group {
		total := 0.0
		for _, w := range widths {
			total += w
		}
		text := ""
		if len(r.Cells) > 0 {
			text = r.Cells[0]
		}
		return [][]string{font.Wrap(text, size, max(total-2*cellPad, 40), true)}
	}
	out := make([][]string, len(t.Columns))
	for i, c := range t.Columns {
		if i < len(r.Cells) && r.Cells[i] != "" {
			room := widths[i] - 2*cellPad
			if lead, rest, more := strings.Cut(r.Cells[i], "\n"); r.Lead && !c.Right {
				for _, l := range font.Wrap(lead, size, room, true) {
					out[i] = append(out[i], leading+l)
				}
				if more {
					out[i] = append(out[i], font.Wrap(rest, size, room, c.Bold)...)
				}
				continue
			}
			out[i] = font.Wrap(r.Cells[i], size, room, c.Bold || r.Bold)
		}
	}
	return out
}

func rowHeight(cells [][]string, size float64) float64 {
	most := 1
	for _, c := range cells {
		most = max(most, len(c))
	}
	return float64(most)*size*pitch + 2*rowPad
}

// splitRow gives the first n lines of each cell and what is left.
func splitRow(cells [][]string, n int) (part, rest [][]string) {
	more := false
	for _, c := range cells {
		k := min(n, len(c))
		part, rest = append(part, c[:k]), append(rest, c[k:])
		more = more || k < len(c)
	}
	if !more {
		return part, nil
	}
	return part, rest
}

func (t Table) headHeight(head [][]string, size float64) float64 {
	for _, c := range t.Columns {
		if c.Title != "" {
			return rowHeight(head, size)
		}
	}
	return 0
}

func (d *Document) tableHead(t Table, head [][]string, widths []float64, size float64) {
	height := t.headHeight(head, size)
	if height == 0 {
		return
	}
	d.rowText(t, head, widths, size*0.9, true)
	d.y += height
	d.body().Line(drawing.RoleOutline, "", d.left(), d.y, d.left()+total(widths), d.y)
}

func (d *Document) tableRow(t Table, r Row, cells [][]string, widths []float64, size float64) {
	height := rowHeight(cells, size)
	if r.Group {
		for i, l := range cells[0] {
			d.body().BoldText(drawing.RoleLabel, "", d.left()+cellPad, d.y+rowPad+(float64(i)+1)*size*pitch-size*0.36, size, drawing.Left, l)
		}
	} else {
		d.rowText(t, cells, widths, size, r.Bold)
		x := d.left()
		for i, c := range t.Columns {
			if c.Check && len(cells[i]) == 0 && !r.Bold {
				tick(d.body(), x+(widths[i]-tickSize)/2, d.y+(size*pitch+2*rowPad-tickSize)/2, tickSize)
			}
			x += widths[i]
		}
	}
	d.y += height
	role := drawing.RoleRule
	if r.Bold {
		role = drawing.RoleThin
	}
	d.body().Line(role, "", d.left(), d.y, d.left()+total(widths), d.y)
}

// rowText sets the cells of a row at the page's current height.
func (d *Document) rowText(t Table, cells [][]string, widths []float64, size float64, bold bool) {
	x := d.left()
	for i, c := range t.Columns {
		for k, l := range cells[i] {
			at, align := x+cellPad, drawing.Left
			if c.Right {
				at, align = x+widths[i]-cellPad, drawing.Right
			}
			y := d.y + rowPad + (float64(k)+1)*size*pitch - size*0.36
			l, lead := strings.CutPrefix(l, leading)
			if bold || c.Bold || lead {
				d.body().BoldText(drawing.RoleLabel, "", at, y, size, align, l)
			} else {
				d.body().Text(drawing.RoleLabel, "", at, y, size, align, l)
			}
		}
		x += widths[i]
	}
}

func total(widths []float64) float64 {
	sum := 0.0
	for _, w := range widths {
		sum += w
	}
	return sum
}
