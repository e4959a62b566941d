package plan

import (
	"fmt"
	"io"
	"strings"

	"pilewright/plan/measure"
)

// CSVBlank is a row of a parts file: a blank, the mark of the board it is locked to
// (empty where any will do), and the line of the file in which the row begins.
type CSVBlank struct {
	Blank
	Board string
	Row   int
}

// ReadBlanks reads a parts file with the heading part,count,length,width,thickness,
// species,grade,board,sheet,total,rows,joint,widths; sizes are of blanks and carry a
// unit or are in the one given. board is the mark of the one board to cut it from;
// sheet says that it comes from sheet goods. In place of count and width a row may
// ask for strips of any of the widths (parted by semicolons) that together make a
// total width, less the joint for each strip, or a number of rows. Errors are as for
// ReadBoards.
func ReadBlanks(r io.Reader, unit measure.Unit) ([]CSVBlank, error) {
	t, err := readTable(r, "parts", []string{"length"}, []string{"part", "count", "width", "thickness", "species", "grade", "board", "sheet", "total", "rows", "joint", "widths"})
	if err != nil {
		return nil, err
	}
	t.unit = unit
	if _, ok := t.col["widths"]; !ok {
		if _, ok := t.col["width"]; !ok {
			return nil, &RowError{1, "", fmt.Sprintf("the column %q is missing", "width")}
		}
	}
	var out []CSVBlank
	total := 0
	for t.next() {
		b := CSVBlank{Blank: Blank{Key: t.text("part"), Name: t.text("part"), Species: t.text("species"), Grade: Show, PerCopy: 1, For: Solid}, Board: t.text("board"), Row: t.row}
		if b.Key == "" {
			b.Key = fmt.Sprintf("P%d", len(out)+1)
			b.Name = b.Key
		}
		b.Mark = b.Key
		t.unique("part", b.Key, "name")
		b.Length = t.size("length")
		if b.Strips = t.strips(); b.Strips == nil {
			b.Count, b.Width = t.count(), t.size("width")
		}
		if t.text("thickness") != "" {
			b.Thickness = t.size("thickness")
		}
		b.Sheet = t.yes("sheet", "%q is neither yes nor no")
		if b.Sheet && b.Strips != nil {
			t.fail("sheet", "strips of several widths come from boards")
		}
		switch g := Grade(strings.ToLower(t.text("grade"))); g {
		case "", Show:
		case Hidden:
			b.Grade = Hidden
		default:
			t.fail("grade", fmt.Sprintf("%q is neither show nor hidden", shortText(string(g))))
		}
		if total += b.Count; total > MaxBlanks {
			t.fail("count", fmt.Sprintf("there are more than %d blanks up to here", MaxBlanks))
			break
		}
		out = append(out, b)
	}
	if err := t.err(); err != nil {
		return nil, err
	}
	return out, nil
}

// strips reads the demand for strips of any of several widths; nil where the row
// asks for blanks of one width.
func (t *tableReader) strips() *Strips {
	list := t.text("widths")
	if list == "" {
		for _, f := range []string{"total", "rows", "joint"} {
			if t.text(f) != "" {
				t.fail(f, "it goes with widths to choose from, which are missing")
			}
		}
		return nil
	}
	for _, f := range []string{"count", "width"} {
		if t.text(f) != "" {
			t.fail(f, "leave it empty where there are widths to choose from")
		}
	}
	s := &Strips{}
	for _, text := range strings.Split(list, ";") {
		w, err := measure.Parse(strings.TrimSpace(text), t.unit)
		switch {
		case err != nil:
			t.fail("widths", err.Error())
		case w <= 0 || w > SizeLimit:
			t.fail("widths", fmt.Sprintf("%q must be more than nothing and at most 100 m", shortText(strings.TrimSpace(text))))
		}
		s.Widths = append(s.Widths, w)
	}
	if t.text("joint") != "" {
		if s.Joint, _ = t.length("joint"); s.Joint < 0 {
			t.fail("joint", "a joint can't be less than nothing")
		}
	}
	switch {
	case t.text("total") != "" && t.text("rows") != "":
		t.fail("rows", "give a total width or a number of rows, not both")
	case t.text("total") != "":
		s.Total = t.size("total")
	case t.text("rows") != "":
		s.Rows = t.number("rows")
	default:
		t.fail("total", "it is missing: give a total width or a number of rows")
	}
	return s
}
