package plan

import (
	"encoding/csv"
	"fmt"
	"io"
	"strconv"
	"strings"
	"unicode/utf8"

	"pilewright/plan/measure"
)

// WriteTable writes a table as CSV after RFC 4180: a heading and rows of as many
// cells, lines ending in CR LF. A text that a spreadsheet would take for a formula
// (it begins with = + - @, a tab or a line's end) gets a ' before it; a number
// stays a number.
func WriteTable(w io.Writer, head []string, rows [][]string) error {
	out := csv.NewWriter(w)
	out.UseCRLF = true
	for i, row := range append([][]string{head}, rows...) {
		if len(row) != len(head) {
			return fmt.Errorf("row %d of the table has %d cells, the heading has %d", i+1, len(row), len(head))
		}
		cells := make([]string, len(row))
		for k, cell := range row {
			cells[k] = plainCell(cell)
		}
		if len(cells) == 1 && cells[0] == "" {
			// An empty line would be read as no row at all.
			out.Flush()
			if _, err := io.WriteString(w, "\"\"\r\n"); err != nil {
				return fmt.Errorf("write the table: %w", err)
			}
			continue
		}
		if err := out.Write(cells); err != nil {
			return fmt.Errorf("write the table: %w", err)
		}
	}
	out.Flush()
	if err := out.Error(); err != nil {
		return fmt.Errorf("write the table: %w", err)
	}
	return nil
}

// formulaSigns begin what a spreadsheet reckons out, the wide forms of the signs
// included. The list is that of OWASP, "CSV Injection" (from memory).
const formulaSigns = "=+-@\t\r\n＝＋－＠"

// plainCell is a cell that no spreadsheet takes for a formula.
func plainCell(text string) string {
	text = strings.ReplaceAll(strings.ToValidUTF8(text, "\ufffd"), "\x00", "")
	if isNumber(text) || !beginsFormula(text) {
		return text
	}
	return "'" + text
}

// readCell takes the ' away that plainCell put there.
func readCell(text string) string {
	if strings.HasPrefix(text, "'") && beginsFormula(text) {
		return text[1:]
	}
	return text
}

// beginsFormula reports whether a text begins with a formula's sign, or did
// before it was given a '.
func beginsFormula(text string) bool {
	text = strings.TrimLeft(text, "'")
	r, _ := utf8.DecodeRuneInString(text)
	return text != "" && strings.ContainsRune(formulaSigns, r)
}

// isNumber reports whether a text is a plain signed number and nothing else.
func isNumber(text string) bool {
	digits := strings.TrimLeft(text, "+-")
	if len(text)-len(digits) > 1 || digits == "" || strings.Trim(digits, "0123456789.") != "" {
		return false
	}
	_, err := strconv.ParseFloat(text, 64)
	return err == nil
}

// WriteBoards writes a boards file that ReadBoards reads back: marks, sizes,
// species, prices, trims, defects, faces, what are sheets and what is kept whole.
func WriteBoards(w io.Writer, list ...Board) error {
	var rows [][]string
	for _, b := range list {
		sheet, keep := "", ""
		switch {
		case b.Sheet && b.NoGrain:
			sheet = noGrain
		case b.Sheet:
			sheet = "yes"
		}
		if b.State == Kept {
			keep = "yes"
		}
		rows = append(rows, []string{b.Mark, "1", inches(b.Length), inches(b.Width), inches(b.Thickness), b.Species,
			b.Price.String(), inches(b.TrimLeft), inches(b.TrimRight), FormatDefects(b.Defects), FormatFaces(b.Faces, b.Rings), sheet, keep})
	}
	return WriteTable(w, []string{"board", "count", "length", "width", "thickness", "species", "price", "trim_left", "trim_right", "defects", "faces", "sheet", "keep"}, rows)
}

// WriteBlanks writes a parts file that ReadBlanks reads back.
func WriteBlanks(w io.Writer, list ...Blank) error {
	var rows [][]string
	for _, b := range list {
		thickness := ""
		if b.Thickness != 0 {
			thickness = inches(b.Thickness)
		}
		sheet := ""
		if b.Sheet {
			sheet = "yes"
		}
		rows = append(rows, []string{b.Key, strconv.Itoa(b.Count), inches(b.Length), inches(b.Width), thickness, b.Species, string(b.Grade), sheet})
	}
	return WriteTable(w, []string{"part", "count", "length", "width", "thickness", "species", "grade", "sheet"}, rows)
}

// inches is a length with its unit, exact.
func inches(l measure.Length) string { return measure.Exact(l) }
