package plan

import (
	"bufio"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"slices"
	"strconv"
	"strings"
	"unicode/utf8"

	"github.com/shopspring/decimal"

	"pilewright/plan/measure"
)

// RowError is what is wrong with one field of a CSV file. Row is the line of the
// file in which the row begins, 1 for the heading; Field is empty for the row as
// a whole.
type RowError struct {
	Row   int
	Field string
	Say   string
}

func (e *RowError) Error() string {
	if e.Field == "" {
		return fmt.Sprintf("row %d: %s", e.Row, e.Say)
	}
	return fmt.Sprintf("row %d, %s: %s", e.Row, e.Field, e.Say)
}

// errorsShown is how many bad rows are told at once.
const errorsShown = 20

// CSVBoard is a row of a boards file: a board, how many there are of it, and the
// line of the file in which the row begins.
type CSVBoard struct {
	Board
	Count int
	Row   int
}

// ReadBoards reads a boards file: RFC 4180, UTF-8, with a heading row of
// board,count,length,width,thickness,species,price,trim_left,trim_right,defects,
// faces,sheet,keep in any order; only the sizes must be there. Lengths carry a unit
// or are in the one given. sheet is yes, or "no grain" for a sheet on which parts
// may be turned; keep is yes for a board that is kept whole. Either every row is
// good or the error joins a *RowError for each bad field.
func ReadBoards(r io.Reader, unit measure.Unit) ([]CSVBoard, error) {
	t, err := readTable(r, "boards", []string{"length", "width", "thickness"},
		[]string{"board", "count", "species", "price", "trim_left", "trim_right", "defects", "faces", "sheet", "keep"})
	if err != nil {
		return nil, err
	}
	t.unit = unit
	var out []CSVBoard
	total := 0
	for t.next() {
		b := CSVBoard{Board: Board{Mark: t.text("board"), Species: t.text("species")}, Count: t.count(), Row: t.row}
		if b.Mark == "" {
			b.Mark = fmt.Sprintf("B%02d", len(out)+1)
		}
		t.unique("board", b.Mark, "mark")
		b.Length, b.Width, b.Thickness = t.size("length"), t.size("width"), t.size("thickness")
		b.TrimLeft, b.TrimRight = t.trim("trim_left"), t.trim("trim_right")
		b.Price = t.price("price")
		if b.Defects, err = ParseDefects(t.text("defects"), unit); err != nil {
			t.fail("defects", err.Error())
		}
		if b.Faces, b.Rings, err = ParseFaces(t.text("faces")); err != nil {
			t.fail("faces", err.Error())
		}
		b.NoGrain = strings.EqualFold(t.text("sheet"), noGrain)
		b.Sheet = b.NoGrain || t.yes("sheet", "%q is neither yes, no nor no grain")
		if t.yes("keep", "%q is neither yes nor no") {
			b.State = Kept
		}
		if say, field := boardFault(b.Board); say != "" {
			t.fail(field, say)
		}
		if total += b.Count; total > MaxBoards {
			t.fail("count", fmt.Sprintf("there are more than %d boards up to here", MaxBoards))
			break
		}
		out = append(out, b)
	}
	if err := t.err(); err != nil {
		return nil, err
	}
	return out, nil
}

// noGrain is a sheet on which parts may be turned, in a boards file.
const noGrain = "no grain"

// boardFault tells what is wrong with a board's trims and defects, and where.
func boardFault(b Board) (say, field string) {
	if b.Length <= 0 || b.Width <= 0 || b.Thickness <= 0 {
		return "", ""
	}
	if b.TrimLeft < 0 || b.TrimRight < 0 {
		return "a trim can't be less than nothing", "trim_left"
	}
	if b.TrimLeft+b.TrimRight >= b.Length {
		return "the trims leave nothing of the board", "trim_left"
	}
	for _, d := range b.Defects {
		if d.From < 0 || d.To > b.Length || d.From >= d.To {
			return fmt.Sprintf("the %s from %s to %s does not lie within the board's length", d.Kind, measure.Exact(d.From), measure.Exact(d.To)), "defects"
		}
		if d.AcrossTo != 0 && (d.AcrossFrom < 0 || d.AcrossTo > b.Width || d.AcrossFrom >= d.AcrossTo) {
			return fmt.Sprintf("the %s from %s to %s across does not lie within the board's width", d.Kind, measure.Exact(d.AcrossFrom), measure.Exact(d.AcrossTo)), "defects"
		}
	}
	return "", ""
}

// Spoiled says which defect covers the whole of a board, so that nothing can be
// cut from it; empty where none does. Such a board is kept, but left out of plans.
func (b Board) Spoiled() string {
	for _, d := range b.Defects {
		if d.From <= b.TrimLeft && d.To >= b.Length-b.TrimRight && d.AcrossFrom <= 0 && (d.AcrossTo == 0 || d.AcrossTo >= b.Width) && !d.Kind.HiddenMayHold() {
			return fmt.Sprintf("the %s from %s to %s covers the whole board; nothing can be cut from it", d.Kind, measure.Exact(d.From), measure.Exact(d.To))
		}
	}
	return ""
}

// MaxBlanks is how many blanks one cutting job may have.
const MaxBlanks = 200_000

// maxDefectText is the longest list of defects read.
const maxDefectText = 10_000

// ParseDefects reads `kind@from..to` or `kind@from..to:across_from..across_to`,
// separated by semicolons; a or b after the kind says on which face it shows.
func ParseDefects(text string, unit measure.Unit) ([]Defect, error) {
	if len(text) > maxDefectText {
		return nil, fmt.Errorf("the list of defects is longer than %d characters", maxDefectText)
	}
	var out []Defect
	for _, item := range strings.Split(text, ";") {
		item = strings.TrimSpace(item)
		if item == "" {
			continue
		}
		kind, place, ok := strings.Cut(item, "@")
		if !ok {
			return nil, fmt.Errorf("%q has no @; write kind@from..to, for example split@0..3 in", shortText(item))
		}
		d := Defect{}
		kind, d.Side = sided(strings.ToLower(strings.TrimSpace(kind)))
		d.Kind = DefectKind(kind)
		if !slices.Contains(DefectKinds, d.Kind) {
			return nil, fmt.Errorf("%q is not a defect; the kinds are split, crack, knot, nail, wane and stain", shortText(strings.TrimSpace(kind)))
		}
		along, across, part := strings.Cut(place, ":")
		var err error
		if d.From, d.To, err = span(along, unit); err != nil {
			return nil, fmt.Errorf("%q: %w", shortText(item), err)
		}
		if part {
			if d.AcrossFrom, d.AcrossTo, err = span(across, unit); err != nil {
				return nil, fmt.Errorf("%q: %w", shortText(item), err)
			}
		}
		out = append(out, d)
	}
	return out, nil
}

// sided parts a kind from the face it shows on.
func sided(text string) (kind string, side Face) {
	for _, f := range []Face{FaceA, FaceB} {
		if kind, ok := strings.CutSuffix(text, " "+string(f)); ok {
			return strings.TrimSpace(kind), f
		}
	}
	return text, NoFace
}

// span reads from..to.
func span(text string, unit measure.Unit) (from, to measure.Length, err error) {
	a, b, ok := strings.Cut(text, "..")
	if !ok {
		return 0, 0, errors.New("write the place as from..to")
	}
	if from, err = measure.Parse(strings.TrimSpace(a), unit); err != nil {
		return 0, 0, err
	}
	if to, err = measure.Parse(strings.TrimSpace(b), unit); err != nil {
		return 0, 0, err
	}
	if from < 0 || to <= from {
		return 0, 0, fmt.Errorf("%s..%s does not run from less to more", shortText(strings.TrimSpace(a)), shortText(strings.TrimSpace(b)))
	}
	return from, to, nil
}

// Named is the defect's kind with the face it shows on: "stain b".
func (d Defect) Named() string {
	if d.Side != FaceA && d.Side != FaceB {
		return string(d.Kind)
	}
	return string(d.Kind) + " " + string(d.Side)
}

// FormatDefects writes defects so that ParseDefects reads them back.
func FormatDefects(list []Defect) string {
	out := make([]string, len(list))
	for i, d := range list {
		out[i] = fmt.Sprintf("%s@%s..%s", d.Named(), measure.Exact(d.From), measure.Exact(d.To))
		if d.AcrossTo != 0 {
			out[i] += fmt.Sprintf(":%s..%s", measure.Exact(d.AcrossFrom), measure.Exact(d.AcrossTo))
		}
	}
	return strings.Join(out, "; ")
}

// tableReader walks a CSV file with a heading, gathering what is wrong.
type tableReader struct {
	unit   measure.Unit // of a number without one
	csv    *csv.Reader
	col    map[string]int
	row    int
	fields []string
	seen   map[string]bool
	errs   []error
	more   int
}

// maxCSV is the size of the largest file read, in bytes.
const maxCSV = 64 << 20

// maxCSVRow is the length of the longest row, in bytes: of ten million fields each
// would take far more memory than its letters.
const maxCSVRow = 1 << 20

var (
	errCSVSize = errors.New("the file is larger than 64 MB")
	errCSVRow  = errors.New("a row is longer than 1 MB")
)

// atMost fails with errCSVSize where a reader gives more than left bytes, and with
// errCSVRow where a row is too long.
type atMost struct {
	r      io.Reader
	left   int
	row    int  // bytes of the row so far
	quoted bool // it stands within quotation marks, where a line end ends no row
}

func (a *atMost) Read(p []byte) (int, error) {
	n, err := a.r.Read(p[:min(len(p), a.left+1)])
	if a.left -= n; a.left < 0 {
		return 0, errCSVSize
	}
	for _, c := range p[:max(n, 0)] {
		switch a.row++; {
		case c == '"':
			a.quoted = !a.quoted
		case c == '\n' && !a.quoted:
			a.row = 0
		}
		if a.row > maxCSVRow {
			return 0, errCSVRow
		}
	}
	return n, err
}

func readTable(r io.Reader, what string, need, may []string) (*tableReader, error) {
	in := bufio.NewReader(&atMost{r: r, left: maxCSV})
	if mark, err := in.Peek(3); err == nil && string(mark) == "\ufeff" {
		in.Discard(3)
	}
	t := &tableReader{csv: csv.NewReader(in), col: map[string]int{}, row: 1, seen: map[string]bool{}}
	t.csv.FieldsPerRecord = -1
	head, err := t.csv.Read()
	if err == io.EOF {
		return nil, fmt.Errorf("the %s file is empty", what)
	}
	if err != nil {
		return nil, fmt.Errorf("the %s file is not CSV: %w", what, err)
	}
	for i, h := range head {
		if !utf8.ValidString(h) || strings.ContainsRune(h, 0) {
			return nil, &RowError{1, "", "the heading is not UTF-8 text; save the file as “CSV UTF-8”"}
		}
		h = strings.ToLower(strings.TrimSpace(h))
		if !slices.Contains(need, h) && !slices.Contains(may, h) {
			say := fmt.Sprintf("the heading %q is unknown; the columns are %s", shortText(h), strings.Join(slices.Concat(need, may), ", "))
			if len(head) == 1 && strings.ContainsAny(h, ";\t") {
				say = "the columns must be parted by commas, not by semicolons or tabs"
			}
			return nil, &RowError{1, "", say}
		}
		if _, twice := t.col[h]; twice {
			return nil, &RowError{1, "", fmt.Sprintf("the heading %q stands there twice", h)}
		}
		t.col[h] = i
	}
	for _, n := range need {
		if _, ok := t.col[n]; !ok {
			return nil, &RowError{1, "", fmt.Sprintf("the column %q is missing", n)}
		}
	}
	return t, nil
}

// next reads the next row that is not blank. After many bad rows it ends: the
// rest would be read for nothing.
func (t *tableReader) next() bool {
	for t.more < 1000 {
		fields, err := t.csv.Read()
		if err == io.EOF {
			return false
		}
		var parse *csv.ParseError
		if errors.As(err, &parse) {
			t.row = parse.StartLine
			t.fail("", fmt.Sprintf("this is not CSV: %v", parse.Err))
			return false
		}
		if err != nil {
			t.errs = append(t.errs, err)
			return false
		}
		t.row, _ = t.csv.FieldPos(0)
		if strings.TrimSpace(strings.Join(fields, "")) == "" {
			continue
		}
		t.fields = fields
		if len(fields) > len(t.col) {
			t.fail("", fmt.Sprintf("it has %d fields, the heading has %d", len(fields), len(t.col)))
		}
		for name, i := range t.col {
			if i >= len(fields) {
				continue
			}
			switch f := fields[i]; {
			case !utf8.ValidString(f) || strings.ContainsRune(f, 0):
				t.fail(name, "it holds characters that are not text; save the file as “CSV UTF-8”")
				t.fields[i] = ""
			case len(f) > MaxText && name != "defects" || len(f) > maxDefectText:
				t.fail(name, fmt.Sprintf("it is longer than %d characters", MaxText))
				t.fields[i] = ""
			}
		}
		return true
	}
	return false
}

// unique refuses a name that an earlier row has.
func (t *tableReader) unique(field, name, word string) {
	if t.seen[name] {
		t.fail(field, fmt.Sprintf("the %s %q stands in an earlier row too; give each row its own", word, shortText(name)))
	}
	t.seen[name] = true
}

// shortText is a text cut short for a sentence.
func shortText(s string) string {
	if r := []rune(s); len(r) > 40 {
		return string(r[:40]) + "…"
	}
	return s
}

func (t *tableReader) fail(field, say string) {
	if len(t.errs) >= errorsShown {
		t.more++
		return
	}
	t.errs = append(t.errs, &RowError{t.row, field, say})
}

func (t *tableReader) err() error {
	if t.more > 0 {
		t.errs = append(t.errs, fmt.Errorf("and %d more", t.more))
	}
	return errors.Join(t.errs...)
}

func (t *tableReader) text(field string) string {
	i, ok := t.col[field]
	if !ok || i >= len(t.fields) {
		return ""
	}
	return readCell(strings.TrimSpace(t.fields[i]))
}

func (t *tableReader) count() int {
	if t.text("count") == "" {
		return 1
	}
	return t.number("count")
}

func (t *tableReader) number(field string) int {
	text := t.text(field)
	n, err := strconv.Atoi(text)
	if err != nil || n < 1 || n > MaxBlanks {
		t.fail(field, fmt.Sprintf("%q is not a count from 1 to %d", shortText(text), MaxBlanks))
		return 1
	}
	return n
}

func (t *tableReader) length(field string) (measure.Length, bool) {
	l, err := measure.Parse(t.text(field), t.unit)
	if err != nil {
		t.fail(field, err.Error())
		return 0, false
	}
	return l, true
}

func (t *tableReader) size(field string) measure.Length {
	l, ok := t.length(field)
	if ok && (l <= 0 || l > SizeLimit) {
		t.fail(field, fmt.Sprintf("%q must be more than nothing and at most 100 m", shortText(t.text(field))))
	}
	return l
}

// yes reads a field of yes or no, empty for no; fault says what else it is.
func (t *tableReader) yes(field, fault string) bool {
	switch text := t.text(field); strings.ToLower(text) {
	case "yes":
		return true
	case "", "no":
	default:
		t.fail(field, fmt.Sprintf(fault, shortText(text)))
	}
	return false
}

func (t *tableReader) trim(field string) measure.Length {
	if t.text(field) == "" {
		return 0
	}
	l, _ := t.length(field)
	if l < 0 {
		t.fail(field, "a trim can't be less than nothing")
		l = 0
	}
	return l
}

var maxPrice = decimal.New(1, 9)

func (t *tableReader) price(field string) decimal.Decimal {
	text := t.text(field)
	if text == "" {
		return decimal.Zero
	}
	if len(text) > 30 || strings.ContainsAny(text, "eE") {
		t.fail(field, fmt.Sprintf("%q is not a price", text))
		return decimal.Zero
	}
	d, err := decimal.NewFromString(text)
	if err != nil || d.IsNegative() || d.GreaterThan(maxPrice) {
		t.fail(field, fmt.Sprintf("%q is not a price from nothing to 1,000,000,000", text))
		return decimal.Zero
	}
	return d
}
