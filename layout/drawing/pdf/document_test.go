package pdf_test

import (
	"bytes"
	"crypto/sha256"
	"flag"
	"fmt"
	"math/rand"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"time"

	"pilewright/layout/drawing"
	"pilewright/layout/drawing/font"
	"pilewright/layout/drawing/pdf"
)

var update = flag.Bool("update", false, "write the golden files anew")

var created = time.Date(2026, 11, 25, 9, 30, 0, 0, time.UTC)

// sample is a document with everything a build sheet uses.
func sample(paper pdf.Paper, rows int) *pdf.Document {
	d := pdf.NewDocument(pdf.Options{Paper: paper, Title: "Slatted bench – pallet oak", Revision: "plan 14", Note: "Read the machine's manual first.", Created: created})
	d.Heading(1, "Slatted bench")
	d.Text("A bench 1200 × 350 × 442 mm from two broken-down pallets: five slats, two long rails, two short rails, four legs with stopped tenons ≈ 25 mm long. " +
		"Every size is in millimetres; ½″ and ⅜″ bits are used at the router.")
	d.Warning("Metal detector over every board before it meets a blade. Nails hide in the holes of nails.")
	d.Heading(2, "Parts")
	t := pdf.Table{Columns: []pdf.Column{{Title: "Mark", Bold: true}, {Title: "Part"}, {Title: "Length", Right: true}, {Title: "Width", Right: true}, {Title: "Note"}, {Title: "Done", Check: true}}}
	for i := range rows {
		if i%12 == 0 {
			t.Rows = append(t.Rows, pdf.Row{Group: true, Cells: []string{fmt.Sprintf("Lot %d", i/12+1)}})
		}
		note := "from P3-07"
		if i == 7 {
			note = "a long note that has to wrap because it goes on about the grain, the knots and a Donaudampfschifffahrtselektrizitätenhauptbetriebswerkbauunterbeamtengesellschaft that must break"
		}
		t.Rows = append(t.Rows, pdf.Row{Cells: []string{fmt.Sprintf("D%d", i+1), "slat", "1200", "68 ½", note}})
	}
	t.Rows = append(t.Rows, pdf.Row{Bold: true, Cells: []string{"", "together", "6.2 m"}})
	d.Table(t)
	d.Heading(2, "Joint")
	p := &drawing.Picture{}
	p.Rect(drawing.RolePart, "a", drawing.Rect{X0: 0, Y0: 0, X1: 80, Y1: 30})
	p.Hatch(drawing.RoleDefect, "", 45, 2, drawing.Point{X: 10, Y: 5}, drawing.Point{X: 40, Y: 5}, drawing.Point{X: 25, Y: 25})
	p.DimensionH("", 0, 30, 80, 30, 38, 2.5, "80")
	p.TextUp(drawing.RoleLabel, "", 75, 28, 3, drawing.Left, "upright ¾")
	d.Picture(p, 0, "Figure: a rail's end.")
	d.Keep(func(d *pdf.Document) {
		d.Heading(3, "Steps")
		for i := range 6 {
			d.Check(fmt.Sprintf("Step %d: crosscut to length at the stop", i+1), "mitre saw, stop at 1200")
		}
	})
	d.Turn(true)
	d.Heading(2, "Timeline")
	d.Item("an item")
	d.Blank("Hours spent", 40)
	return d
}

func write(t *testing.T, d *pdf.Document) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := d.Write(&b); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

func TestTheSameDocumentGivesTheSameBytes(t *testing.T) {
	before := sha256.Sum256(font.Regular.TTF())
	want := write(t, sample(pdf.A4, 80))
	for range 2 {
		if !bytes.Equal(write(t, sample(pdf.A4, 80)), want) {
			t.Fatal("two writings differ")
		}
	}
	if sha256.Sum256(font.Regular.TTF()) != before {
		t.Error("the embedded typeface was changed")
	}
	t.Logf("%d bytes", len(want))
}

// poppler runs one of the poppler tools (an independent reader of PDF).
func poppler(t *testing.T, file string, name string, args ...string) string {
	t.Helper()
	if _, err := exec.LookPath(name); err != nil {
		t.Skipf("%s is not installed", name)
	}
	out, err := exec.Command(name, append(args, file)...).CombinedOutput()
	if err != nil {
		t.Fatalf("%s: %v\n%s", name, err, out)
	}
	return string(out)
}

func TestPopplerReadsTheDocument(t *testing.T) {
	file := filepath.Join(t.TempDir(), "sheet.pdf")
	d := sample(pdf.Letter, 80)
	if err := os.WriteFile(file, write(t, d), 0o644); err != nil {
		t.Fatal(err)
	}
	n := len(d.Pages())
	t.Run("pages, size and title are there", func(t *testing.T) {
		info := poppler(t, file, "pdfinfo", "-f", "1", "-l", fmt.Sprint(n))
		for _, want := range []string{fmt.Sprintf("Pages:           %d", n), "612 x 792 pts", "792 x 612 pts", "Slatted bench – pallet oak"} {
			if !strings.Contains(info, want) {
				t.Errorf("pdfinfo lacks %q:\n%s", want, info)
			}
		}
	})
	t.Run("the outline has the headings", func(t *testing.T) {
		raw, err := os.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		if !bytes.Contains(raw, []byte("/Outlines")) || bytes.Count(raw, []byte("/Dest [")) != 5 {
			t.Errorf("outline missing, or %d entries, want 5", bytes.Count(raw, []byte("/Dest [")))
		}
	})
	t.Run("every typeface is embedded as a subset with a text map", func(t *testing.T) {
		out := poppler(t, file, "pdffonts")
		lines := strings.Split(strings.TrimSpace(out), "\n")[2:]
		if len(lines) < 3 {
			t.Errorf("%d typefaces:\n%s", len(lines), out)
		}
		for _, l := range lines {
			if !regexp.MustCompile(`^[A-Z]{6}\+(NotoSans|Go)\S+\s.*yes yes yes\s`).MatchString(l) {
				t.Errorf("not embedded, no subset or no text map: %s", l)
			}
		}
	})
}

func TestTheTextComesBack(t *testing.T) {
	file := filepath.Join(t.TempDir(), "sheet.pdf")
	d := sample(pdf.A4, 80)
	if err := os.WriteFile(file, write(t, d), 0o644); err != nil {
		t.Fatal(err)
	}
	if _, err := exec.LookPath("pdftotext"); err != nil {
		t.Skip("pdftotext is not installed")
	}
	out, err := exec.Command("pdftotext", "-layout", file, "-").Output()
	if err != nil {
		t.Fatal(err)
	}
	pages := strings.Split(strings.TrimRight(string(out), "\f"), "\f")
	if len(pages) != len(d.Pages()) {
		t.Fatalf("%d pages of text, %d pages", len(pages), len(d.Pages()))
	}
	for i, p := range pages {
		if want := fmt.Sprintf("page %d of %d", i+1, len(pages)); !strings.Contains(p, want) {
			t.Errorf("page %d lacks %q", i+1, want)
		}
		if !strings.Contains(p, "Slatted bench – pallet oak") || !strings.Contains(p, "plan 14") {
			t.Errorf("page %d lacks its head", i+1)
		}
	}
	all := strings.Join(strings.Fields(string(out)), " ")
	for _, want := range []string{"1200 × 350 × 442 mm", "½″", "⅜″", "≈ 25 mm", "68 ½", "Metal detector", "upright ¾", "Donaudampf"} {
		if !strings.Contains(all, want) {
			t.Errorf("the text lacks %q", want)
		}
	}
	if n := strings.Count(all, "Mark Part Length"); n < 2 {
		t.Errorf("the table's head stands %d times on %d pages", n, len(pages))
	}
}

func TestLayoutDump(t *testing.T) {
	var got bytes.Buffer
	if err := sample(pdf.A4, 50).Dump(&got); err != nil {
		t.Fatal(err)
	}
	path := filepath.Join("testdata", "sample.txt")
	if *update {
		if err := os.WriteFile(path, got.Bytes(), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	if got.String() != string(want) {
		t.Errorf("layout differs from %s; run with -update and read the difference", path)
	}
}

// Nothing may stand outside the box that fits both papers, nor over the foot.
func TestNothingLeavesThePage(t *testing.T) {
	for _, paper := range []pdf.Paper{pdf.A4, pdf.Letter} {
		d := sample(paper, 200)
		for i, p := range d.Pages() {
			w, h := d.PageSize(i)
			b := p.Bounds()
			if b.X0 < 9.8 || b.Y0 < 9.8 || b.X1 > w-9.8 || b.Y1 > h-9.8 {
				t.Errorf("page %d (%v x %v) reaches %v", i+1, w, h, b)
			}
		}
	}
}

func TestKeepMovesABlockToTheNextPage(t *testing.T) {
	d := pdf.NewDocument(pdf.Options{})
	for d.Room() > 30 {
		d.Text("line")
	}
	before := len(d.Pages())
	d.Keep(func(d *pdf.Document) {
		for range 8 {
			d.Check("tick", "")
		}
	})
	if after := len(d.Pages()); after != before+1 {
		t.Errorf("%d pages, then %d", before, after)
	}
}

func TestHardTablesEnd(t *testing.T) {
	long := strings.Repeat("word ", 4000)
	for name, table := range map[string]pdf.Table{
		"no columns":            {Rows: []pdf.Row{{Cells: []string{"a"}}}},
		"no rows":               {Columns: []pdf.Column{{Title: "a"}}},
		"a row of three pages":  {Columns: []pdf.Column{{Title: "a"}, {Title: "b"}}, Rows: []pdf.Row{{Cells: []string{long, "x"}}}},
		"a title of many lines": {Columns: []pdf.Column{{Title: long, Width: 20}, {Title: "b"}}, Rows: []pdf.Row{{Cells: []string{"x", long}}}},
		"too many cells":        {Columns: []pdf.Column{{Title: "a"}}, Rows: []pdf.Row{{Cells: []string{"a", "b", "c"}}}},
		"an empty group":        {Columns: []pdf.Column{{Title: "a"}}, Rows: []pdf.Row{{Group: true}}},
		"fifty columns":         {Columns: make([]pdf.Column, 50), Rows: []pdf.Row{{Cells: strings.Fields(strings.Repeat("longword ", 50))}}},
	} {
		t.Run(name, func(t *testing.T) {
			d := pdf.NewDocument(pdf.Options{})
			d.Keep(func(d *pdf.Document) { d.Table(table) })
			d.Table(table)
			write(t, d)
			if n := len(d.Pages()); n > 30 {
				t.Errorf("%d pages", n)
			}
		})
	}
}

// strange builds a document out of any two texts.
func strange(a, b string) *pdf.Document {
	d := pdf.NewDocument(pdf.Options{Title: a, Revision: b, Note: a})
	d.Heading(3, a)
	d.Text(b)
	d.Check(a, b)
	d.Keep(func(d *pdf.Document) {
		d.Table(pdf.Table{Columns: []pdf.Column{{Title: a}, {Title: b}}, Rows: []pdf.Row{{Cells: []string{b, a}}, {Group: true, Cells: []string{a}}}})
	})
	return d
}

func TestAnyTextCanBePrinted(t *testing.T) {
	rng := rand.New(rand.NewSource(2))
	alphabet := []rune("ab ½≈é\n\t\x00\\()[]<>{}\u200b\u202e\ufffd\U0001F600漢字ﬁ\u0301")
	for range 5 {
		text := func() string {
			s := make([]rune, rng.Intn(200))
			for i := range s {
				s[i] = alphabet[rng.Intn(len(alphabet))]
			}
			return string(s) + "\xff\xfe"
		}
		if out := write(t, strange(text(), text())); !bytes.HasPrefix(out, []byte("%PDF-")) {
			t.Fatalf("no PDF: %.20q", out)
		}
	}
}

// The layout of any text stays on its pages (writing is left out: embedding the
// typefaces would make each try a hundred times slower).
func FuzzAnyTextStaysOnThePage(f *testing.F) {
	f.Add("Rail é × ½ ≈", "note")
	f.Add("\x00\xff\U0001F600 \u202e(]\\)\r\n\t", "{nb}")
	f.Fuzz(func(t *testing.T, a, b string) {
		if len(a)+len(b) > 4000 {
			t.Skip()
		}
		d := strange(a, b)
		for i, p := range d.Pages() {
			w, h := d.PageSize(i)
			if box := p.Bounds(); box.X0 < 9 || box.Y0 < 9 || box.X1 > w-9 || box.Y1 > h-9 {
				t.Errorf("page %d reaches %v", i+1, box)
			}
		}
	})
}

func BenchmarkDocument(b *testing.B) {
	for range b.N {
		var out bytes.Buffer
		if err := sample(pdf.A4, 300).Write(&out); err != nil {
			b.Fatal(err)
		}
	}
}
