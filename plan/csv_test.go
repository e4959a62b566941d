package plan_test

import (
	"bytes"
	"encoding/csv"
	"errors"
	"fmt"
	"math/rand/v2"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/shopspring/decimal"

	"pilewright/plan"
	"pilewright/plan/measure"
)

func TestBoardsFile(t *testing.T) {
	const in = measure.Inch
	got, err := plan.ReadBoards(strings.NewReader("\ufeff\"width\",Length ,thickness,board,count,species,price,trim_left,trim_right,defects\r\n"+
		"3 1/2,38 1/2,5/8,,6,pine,1.25,1/2,,nail@2..2 1/2:0..1; split@0..3 in\r\n"+
		"\r\n"+
		"90 mm, 1.2 m ,18mm,'-7,,\"oak, white\",,,,\r\n"), measure.Inches)
	if err != nil {
		t.Fatal(err)
	}
	want := []plan.CSVBoard{
		{Board: plan.Board{Mark: "B01", Length: 38*in + in/2, Width: 3*in + in/2, Thickness: in * 5 / 8, Species: "pine", TrimLeft: in / 2, Price: decimal.RequireFromString("1.25"),
			Defects: []plan.Defect{{Kind: plan.NailHole, From: 2 * in, To: 2*in + in/2, AcrossTo: in}, {Kind: plan.Split, To: 3 * in}}}, Count: 6, Row: 2},
		{Board: plan.Board{Mark: "-7", Length: 1200 * measure.Millimetre, Width: 90 * measure.Millimetre, Thickness: 18 * measure.Millimetre, Species: "oak, white"}, Count: 1, Row: 4},
	}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Errorf("(-want +got)\n%s", diff)
	}
}

func TestWrongBoardsFilesNameTheRowAndTheField(t *testing.T) {
	const head = "board,count,length,width,thickness,species,price,trim_left,trim_right,defects\n"
	for name, c := range map[string]struct{ file, want string }{
		"nothing":                    {"", "the boards file is empty"},
		"no thickness":               {"length,width\n1,1\n", `row 1: the column "thickness" is missing`},
		"an unknown heading":         {"length,width,thickness,colour\n", `row 1: the heading "colour" is unknown`},
		"a heading twice":            {"length,width,thickness,width\n", `row 1: the heading "width" stands there twice`},
		"semicolons":                 {"length;width;thickness\n1;2;3\n", "row 1: the columns must be parted by commas"},
		"UTF-16":                     {"l\x00e\x00n\x00,\x00", "row 1: the heading is not UTF-8 text"},
		"a size in words":            {head + "P1,1,long,3,1,,,,,\n", "row 2, length: "},
		"a size of nothing":          {head + "P1,1,0,3,1,,,,,\n", `row 2, length: "0" must be more than nothing`},
		"a negative size":            {head + "P1,1,10,-3,1,,,,,\n", `row 2, width: "-3" must be more than nothing`},
		"a size beyond 100 m":        {head + "P1,1,10,3,101 m,,,,,\n", `row 2, thickness: "101 m" must be`},
		"a size beyond every limit":  {head + "P1,1,1e400,3,1,,,,,\n", "row 2, length: "},
		"no size":                    {head + "P1,1,,3,1,,,,,\n", "row 2, length: "},
		"half a board":               {head + "P1,0.5,10,3,1,,,,,\n", `row 2, count: "0.5" is not a count`},
		"a million boards":           {head + "P1,1000000,10,3,1,,,,,\n", `row 2, count: "1000000" is not a count`},
		"more boards than a pile":    {head + "P1,15000,10,3,1,,,,,\nP2,15000,10,3,1,,,,,\n", "row 3, count: there are more than 20000 boards up to here"},
		"a mark twice":               {head + "P1,1,10,3,1,,,,,\n\nP1,1,10,3,1,,,,,\n", `row 4, board: the mark "P1" stands in an earlier row too`},
		"a price below nothing":      {head + "P1,1,10,3,1,,-2,,,\n", `row 2, price: "-2" is not a price`},
		"a price with an exponent":   {head + "P1,1,10,3,1,,1e9,,,\n", `row 2, price: "1e9" is not a price`},
		"trims of the whole board":   {head + "P1,1,10,3,1,,,5,5,\n", "row 2, trim_left: the trims leave nothing"},
		"a negative trim":            {head + "P1,1,10,3,1,,,-1,,\n", "row 2, trim_left: a trim can't be less than nothing"},
		"a sheet of another kind":    {"length,width,thickness,sheet\n96,48,3/4,ply\n", `row 2, sheet: "ply" is neither yes, no nor no grain`},
		"half kept":                  {"length,width,thickness,keep\n96,48,3/4,half\n", `row 2, keep: "half" is neither yes nor no`},
		"a defect off the board":     {head + "P1,1,10,3,1,,,,,knot@9..11\n", "row 2, defects: the knot from"},
		"a defect above the board":   {head + "P1,1,10,3,1,,,,,knot@1..2:2..4\n", "row 2, defects: the knot from"},
		"a defect of no known kind":  {head + "P1,1,10,3,1,,,,,hole@1..2\n", `row 2, defects: "hole" is not a defect`},
		"too many fields":            {"length,width,thickness\n1,1,1,1\n", "row 2: it has 4 fields, the heading has 3"},
		"bytes that are not text":    {head + "P\xff1,1,10,3,1,,,,,\n", "row 2, board: it holds characters that are not text"},
		"a nought byte":              {head + "P1,1,10,3,1,pi\x00ne,,,,\n", "row 2, species: it holds characters that are not text"},
		"a species without end":      {head + "P1,1,10,3,1," + strings.Repeat("x", 500) + ",,,,\n", "row 2, species: it is longer than 400 characters"},
		"a quotation without end":    {head + "P1,1,10,3,1,\"pine,,,,\nP2,1,1,1,1,,,,,\n", "row 2: this is not CSV"},
		"a quotation amid the field": {head + "P1,1,10\",3\"4,1,pine,,,,\n", "row 2: this is not CSV"},
	} {
		t.Run(name, func(t *testing.T) {
			got, err := plan.ReadBoards(strings.NewReader(c.file), measure.Inches)
			if err == nil || got != nil || !strings.Contains(err.Error(), c.want) {
				t.Errorf("got %v, %v, want %q", got, err, c.want)
			}
		})
	}
}

func TestABoardThatADefectCoversIsKeptAndNamed(t *testing.T) {
	const head = "board,count,length,width,thickness,species,price,trim_left,trim_right,defects\n"
	for _, c := range []struct{ row, want string }{
		{"P1,1,10,3,1,,,1,,split@1..10\n", `the split from 1" to 10" covers the whole board; nothing can be cut from it`},
		{"P1,1,10,3,1,,,,,split@0..10:0..3\n", `the split from 0" to 10" covers the whole board; nothing can be cut from it`},
		{"P1,1,10,3,1,,,,,split@0..10:0..2\n", ""},
		{"P1,1,10,3,1,,,,,stain@0..10\n", ""}, // hidden parts may hold a stain
	} {
		got, err := plan.ReadBoards(strings.NewReader(head+c.row), measure.Inches)
		if err != nil || len(got) != 1 || got[0].Board.Spoiled() != c.want {
			t.Errorf("%s: %v, %v, want %q", c.row, got, err, c.want)
		}
	}
}

func TestWrongPartsFilesNameTheRowAndTheField(t *testing.T) {
	const head, strips = "part,count,length,width,thickness,species,grade\n", "part,count,length,width,widths,total,rows,joint\n"
	for name, c := range map[string]struct{ file, want string }{
		"no width":                  {"length\n1\n", `row 1: the column "width" is missing`},
		"a wrong grade":             {head + "a,1,10,3,1,,best\n", `row 2, grade: "best" is neither show nor hidden`},
		"a name twice":              {head + "a,1,10,3,1,,\na,1,10,3,1,,\n", `row 3, part: the name "a" stands in an earlier row too`},
		"too many":                  {head + "a,200000,10,3,1,,\nb,1,10,3,1,,\n", "row 3, count: there are more than 200000 blanks"},
		"too long":                  {head + "a,1,100001 mm,3,1,,\n", "row 2, length:"},
		"strips beside a count":     {strips + "a,2,10,,2;3,12,,\n", "row 2, count: leave it empty"},
		"strips beside a width":     {strips + "a,,10,2,2;3,12,,\n", "row 2, width: leave it empty"},
		"strips of no total":        {strips + "a,,10,,2;3,,,\n", "row 2, total: it is missing"},
		"strips of two totals":      {strips + "a,,10,,2;3,12,4,\n", "row 2, rows: give a total width or a number of rows"},
		"a strip of nothing":        {strips + "a,,10,,2;0,12,,\n", `row 2, widths: "0" must be more than nothing`},
		"a strip that is no size":   {strips + "a,,10,,2;,12,,\n", "row 2, widths:"},
		"a total without widths":    {strips + "a,1,10,2,,12,,\n", "row 2, total: it goes with widths"},
		"a joint less than nothing": {strips + "a,,10,,2;3,12,,-1\n", "row 2, joint: a joint can't be less than nothing"},
		"half a row":                {strips + "a,,10,,2;3,,1/2,\n", `row 2, rows: "1/2" is not a count`},
		"neither width nor widths":  {"part,length\na,10\n", `row 1: the column "width" is missing`},
		"a sheet of another kind":   {"length,width,sheet\n10,3,ply\n", `row 2, sheet: "ply" is neither yes nor no`},
	} {
		if got, err := plan.ReadBlanks(strings.NewReader(c.file), measure.Inches); err == nil || got != nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s: got %v, %v, want %q", name, got, err, c.want)
		}
	}
	got, err := plan.ReadBlanks(strings.NewReader("length,width,grade\n10,3,HIDDEN\n1/64,1 mm,\n"), measure.Inches)
	if err != nil || len(got) != 2 || got[0].Grade != plan.Hidden || got[1].Grade != plan.Show || got[1].Key != "P2" || got[1].Length != measure.SixtyFourth {
		t.Errorf("got %+v, %v", got, err)
	}
}

func TestManyWrongRowsAreToldInPart(t *testing.T) {
	_, err := plan.ReadBoards(strings.NewReader("length,width,thickness\n"+strings.Repeat("1,x,1\n", 100_000)), measure.Inches)
	if err == nil {
		t.Fatal("no error")
	}
	told := strings.Split(err.Error(), "\n")
	if len(told) != 21 || !strings.HasPrefix(told[20], "and ") {
		t.Errorf("%d lines, the last %q; want 20 rows and how many more", len(told), told[len(told)-1])
	}
	var row *plan.RowError
	if !errors.As(err, &row) || row.Row != 2 || row.Field != "width" {
		t.Errorf("the first is %+v", row)
	}
}

func TestAHugeFileIsRefusedWithoutReadingItAll(t *testing.T) {
	r := &endless{head: "length,width,thickness\n", line: "1,1,1\n"}
	if _, err := plan.ReadBoards(r, measure.Inches); err == nil || !strings.Contains(err.Error(), "more than 20000 boards") {
		t.Errorf("endless rows: %v", err)
	}
	if r.given > 10<<20 {
		t.Errorf("%d bytes were read", r.given)
	}
	if _, err := plan.ReadBoards(&endless{head: `"length`, line: "width\n"}, measure.Inches); err == nil || !strings.Contains(err.Error(), "longer than 1 MB") {
		t.Errorf("an endless field: %v", err)
	}
}

// endless is a file that goes on: a head, then the same line for ever.
type endless struct {
	head, line string
	given      int
}

func (e *endless) Read(p []byte) (int, error) {
	text := e.head
	if text == "" {
		text = strings.Repeat(e.line, max(len(p)/len(e.line), 1))
	}
	n := copy(p, text)
	e.head = text[n:]
	e.given += n
	return n, nil
}

func TestTablesAreSafeInASpreadsheet(t *testing.T) {
	head := []string{"what", "value"}
	rows := [][]string{
		{"=HYPERLINK(\"x\")", "-12.50"},
		{"+1 more", "+3"},
		{"-", "1 1/2\""},
		{"@sum", "-1 mm"},
		{"\tindented", "--1"},
		{"'=quoted", "plain, \"quoted\"\nsecond line"},
		{"＝wide", "1e5"},
		{"né", ""},
	}
	var out bytes.Buffer
	if err := plan.WriteTable(&out, head, rows); err != nil {
		t.Fatal(err)
	}
	const want = "what,value\r\n" +
		"\"'=HYPERLINK(\"\"x\"\")\",-12.50\r\n" +
		"'+1 more,+3\r\n" +
		"'-,\"1 1/2\"\"\"\r\n" +
		"'@sum,'-1 mm\r\n" +
		"'\tindented,'--1\r\n" +
		"''=quoted,\"plain, \"\"quoted\"\"\r\nsecond line\"\r\n" +
		"'＝wide,1e5\r\n" +
		"né,\r\n"
	if diff := cmp.Diff(want, out.String()); diff != "" {
		t.Errorf("(-want +got)\n%s", diff)
	}
	if err := plan.WriteTable(&out, head, [][]string{{"one"}}); err == nil {
		t.Error("a short row was written")
	}
}

func TestBoardsAndPartsComeBackFromTheirFiles(t *testing.T) {
	for seed := range uint64(50) {
		r := rand.New(rand.NewPCG(seed, 5))
		var boards []plan.Board
		for i := range 40 {
			b := randomBoard(r)
			b.Mark = []string{"=1+1", "-3", "'@x", "P\"1\"", "né, a", "+4", "''"}[r.IntN(7)] + fmt.Sprint(i)
			boards = append(boards, b)
		}
		var file bytes.Buffer
		if err := plan.WriteBoards(&file, boards...); err != nil {
			t.Fatal(err)
		}
		back, err := plan.ReadBoards(&file, measure.Inches)
		if err != nil {
			t.Fatalf("seed %d: %v", seed, err)
		}
		for i := range boards {
			if diff := cmp.Diff(boards[i], back[i].Board); diff != "" || back[i].Count != 1 {
				t.Fatalf("seed %d: (-want +got)\n%s", seed, diff)
			}
		}
	}
	blanks := []plan.Blank{{Key: "=leg", Name: "=leg", Mark: "=leg", Grade: plan.Hidden, Count: 4, PerCopy: 1, For: plan.Solid, Length: 7, Width: 3 * measure.Inch, Species: "@oak"},
		{Key: "top", Name: "top", Mark: "top", Grade: plan.Show, Count: 1, PerCopy: 1, For: plan.Solid, Length: measure.Metre, Width: 1, Thickness: 1}}
	var file bytes.Buffer
	if err := plan.WriteBlanks(&file, blanks...); err != nil {
		t.Fatal(err)
	}
	back, err := plan.ReadBlanks(&file, measure.Inches)
	if err != nil || len(back) != len(blanks) {
		t.Fatalf("%v, %v", back, err)
	}
	for i, b := range blanks {
		if diff := cmp.Diff(b, back[i].Blank); diff != "" || back[i].Row != i+2 {
			t.Errorf("row %d (-want +got)\n%s", back[i].Row, diff)
		}
	}
}

// randomBoard is a sound board of any size down to a nanometre.
func randomBoard(r *rand.Rand) plan.Board {
	size := func(most measure.Length) measure.Length {
		l := 1 + measure.Length(r.Int64N(int64(most)))
		if r.IntN(2) == 0 {
			l = max(l/measure.SixtyFourth, 1) * measure.SixtyFourth
		}
		return min(l, most)
	}
	b := plan.Board{Length: size(plan.SizeLimit/2) + 3, Width: size(measure.Metre) + 3, Thickness: size(measure.Foot), Species: []string{"", "pine", "=oak"}[r.IntN(3)],
		Price: decimal.New(r.Int64N(1_000_000), -2)}
	b.TrimLeft = size(b.Length) - 1
	b.TrimRight = size(b.Length-b.TrimLeft) - 1
	b.Faces = []plan.GoodFaces{plan.FacesUnknown, plan.GoodA, plan.GoodB, plan.GoodBoth, plan.GoodNone}[r.IntN(5)]
	b.Rings = []plan.Rings{plan.NotMarked, plan.BarkUp, plan.BarkDown, plan.Upright}[r.IntN(4)]
	b.Sheet = r.IntN(4) == 0
	b.NoGrain = b.Sheet && r.IntN(2) == 0
	if r.IntN(4) == 0 {
		b.State = plan.Kept
	}
	for range r.IntN(4) {
		d := plan.Defect{Kind: plan.DefectKinds[r.IntN(len(plan.DefectKinds))], Side: []plan.Face{plan.NoFace, plan.FaceA, plan.FaceB}[r.IntN(3)]}
		d.From = size(b.Length) - 1
		d.To = d.From + size(b.Length-d.From)
		if r.IntN(2) == 0 {
			d.AcrossFrom = size(b.Width) - 1
			d.AcrossTo = d.AcrossFrom + size(b.Width-d.AcrossFrom)
		}
		b.Defects = append(b.Defects, d)
	}
	return b
}

func FuzzReadBoards(f *testing.F) {
	f.Add("length,width,thickness\n1,1,1\n")
	f.Add("board,count,length,width,thickness,species,price,trim_left,trim_right,defects,faces\n=P1,6,38 1/2,3 1/2,5/8,pine,1.25,1/2,1 mm,nail b@2..3:0..1; split@0..3 in,A bark up\n")
	f.Add("length,width,thickness\n1000000000000 mm,1 nm,0.000001 mm\n\"\x00")
	f.Add("\ufefflength,width,thickness,count\n1,1,1,1000000\n")
	f.Fuzz(func(t *testing.T, file string) {
		list, err := plan.ReadBoards(strings.NewReader(file), measure.Inches)
		if err != nil {
			if list != nil || err.Error() == "" {
				t.Fatalf("%v beside the error %q", list, err)
			}
			return
		}
		var boards []plan.Board
		for _, b := range list {
			if b.Length <= 0 || b.Length > plan.SizeLimit || b.Count < 1 || b.TrimLeft+b.TrimRight >= b.Length {
				t.Fatalf("an unsound board %+v", b)
			}
			boards = append(boards, b.Board)
		}
		var out bytes.Buffer
		if err := plan.WriteBoards(&out, boards...); err != nil {
			t.Fatal(err)
		}
		back, err := plan.ReadBoards(bytes.NewReader(out.Bytes()), measure.Inches)
		if err != nil {
			t.Fatalf("what was written can't be read: %v\n%s", err, out.String())
		}
		for i := range boards {
			if strings.ContainsAny(boards[i].Mark+boards[i].Species, "\r\n\t") {
				continue // a spreadsheet's line ends come back as one kind
			}
			if diff := cmp.Diff(boards[i], back[i].Board); diff != "" {
				t.Fatalf("(-want +got)\n%s", diff)
			}
		}
	})
}

func FuzzReadBlanks(f *testing.F) {
	f.Add("part,count,length,width,thickness,species,grade\nleg,4,10,2,1,oak,show\n")
	f.Add("length,width\n1,1\n")
	f.Add("length,widths,total,rows,joint,board,sheet\n24,2 1/2;3,18,,1/16,B1,\n24,60 mm,,6,,,no\n")
	f.Fuzz(func(t *testing.T, file string) {
		list, err := plan.ReadBlanks(strings.NewReader(file), measure.Inches)
		for _, b := range list {
			if err != nil || b.Length <= 0 || b.Thickness < 0 || b.Strips == nil && (b.Width <= 0 || b.Count < 1) || b.Key == "" {
				t.Fatalf("%+v, %v", b, err)
			}
		}
	})
}

func FuzzWriteTable(f *testing.F) {
	f.Add("=1", "-1.5")
	f.Add("'", "\r\n")
	f.Fuzz(func(t *testing.T, a, b string) {
		var out bytes.Buffer
		if err := plan.WriteTable(&out, []string{"a", "b"}, [][]string{{a, b}}); err != nil {
			t.Fatal(err)
		}
		rows, err := csv.NewReader(&out).ReadAll()
		if err != nil || len(rows) != 2 {
			t.Fatalf("%v, %v", rows, err)
		}
		for _, cell := range rows[1] {
			if cell == "" || !strings.ContainsRune("=+-@\t\r\n", rune(cell[0])) {
				continue
			}
			if _, err := decimal.NewFromString(cell); err != nil {
				t.Errorf("the cell %q begins a formula", cell)
			}
		}
	})
}

func FuzzDefects(f *testing.F) {
	f.Add("nail@2..2 1/2:0..1; split@0..3 in")
	f.Add("knot@0.000001 mm..1 km")
	f.Add(";;;@..:")
	f.Fuzz(func(t *testing.T, text string) {
		list, err := plan.ParseDefects(text, measure.Inches)
		if err != nil {
			return
		}
		again, err := plan.ParseDefects(plan.FormatDefects(list), measure.Millimetres)
		if diff := cmp.Diff(list, again); err != nil || diff != "" {
			t.Fatalf("%q: %v (-want +got)\n%s", text, err, diff)
		}
	})
}
