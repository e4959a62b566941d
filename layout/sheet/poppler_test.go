package sheet

import (
	"bytes"
	"context"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"pilewright/plan"
)

// poppler runs one of its tools; the test is skipped where it is not installed.
func poppler(t *testing.T, tool string, args ...string) string {
	t.Helper()
	if _, err := exec.LookPath(tool); err != nil {
		t.Skipf("%s of poppler-utils is not installed: the PDF is not read by a second program", tool)
	}
	var errs bytes.Buffer
	c := exec.Command(tool, args...)
	c.Stderr = &errs
	out, err := c.Output()
	if err != nil || errs.Len() > 0 {
		t.Fatalf("%s %v: %v\n%s", tool, args, err, errs.String())
	}
	return string(out)
}

// inMillimetres is the demo shown in millimetres. What the plan said in words
// keeps its inches unless PILEWRIGHT_FULL asks for a plan made anew.
func inMillimetres(t *testing.T) *plan.Plan {
	t.Helper()
	metric := func(q *plan.Project) { q.Shop.Inches = false }
	if os.Getenv("PILEWRIGHT_FULL") == "" {
		p := *theDemo(t)
		p.Project = p.Project.With(metric)
		return &p
	}
	p, err := demoProject()
	if err != nil {
		t.Fatal(err)
	}
	out, err := plan.Make(context.Background(), p.With(metric), quickTools(), nil)
	if err != nil {
		t.Fatal(err)
	}
	return out
}

var (
	pageBox = regexp.MustCompile(`<page width="([\d.]+)" height="([\d.]+)">`)
	wordBox = regexp.MustCompile(`<word xMin="([-\d.]+)" yMin="([-\d.]+)" xMax="([-\d.]+)" yMax="([-\d.]+)">(.*)</word>`)
)

func TestPopplerReadsTheSheet(t *testing.T) {
	demo := theDemo(t)
	metric := inMillimetres(t)
	for _, c := range []struct {
		name  string
		p     *plan.Plan
		paper string
		w, h  float64 // points
		usual bool    // looked at on every run, the others with PILEWRIGHT_FULL
		tag   string  // of the language; empty = English
	}{
		{"letter in inches", demo, "letter", 612, 792, true, ""},
		{"A4 in inches", demo, "a4", 595.28, 841.89, false, ""},
		{"letter in millimetres", metric, "letter", 612, 792, false, ""},
		{"A4 in millimetres", metric, "a4", 595.28, 841.89, false, ""},
		{"A4 in millimetres and Spanish", metric, "a4", 595.28, 841.89, true, "es"},
		{"letter in inches and Spanish", demo, "letter", 612, 792, false, "es-MX"},
	} {
		t.Run(c.name, func(t *testing.T) {
			if !c.usual && os.Getenv("PILEWRIGHT_FULL") == "" {
				t.Skip("looked at with PILEWRIGHT_FULL=1")
			}
			path := filepath.Join(t.TempDir(), "sheet.pdf")
			var out bytes.Buffer
			opt := Options{Paper: c.paper, Now: printed, Revision: "plan 1234"}
			number, shown := "page %d of %d", []string{"Cautions", "Labels", "Ledger", "≈", "Every blank is made"}
			if c.tag != "" {
				opt.Language = spanish(t, c.tag)
				number, shown = "página %d de %d", []string{"Precauciones", "Etiquetas", "Cuentas", "≈", "Cuándo", "Línea", "«slat»"}
			}
			if err := Write(&out, c.p, opt); err != nil {
				t.Fatal(err)
			}
			if err := os.WriteFile(path, out.Bytes(), 0o600); err != nil {
				t.Fatal(err)
			}
			info := poppler(t, "pdfinfo", path)
			if !strings.Contains(info, "Title:           Potting table") {
				t.Errorf("pdfinfo finds no title:\n%s", info)
			}
			fonts := strings.Split(strings.TrimSpace(poppler(t, "pdffonts", path)), "\n")
			if len(fonts) < 4 {
				t.Fatalf("pdffonts: %q", fonts)
			}
			for _, line := range fonts[2:] {
				if f := strings.Fields(line); len(f) < 8 || f[len(f)-5] != "yes" || f[len(f)-4] != "yes" || f[len(f)-3] != "yes" {
					t.Errorf("a font that is not embedded as a subset or can't be read as text: %s", line)
				}
			}
			checkPages(t, poppler(t, "pdftotext", "-bbox", path, "-"), number, c.w, c.h)
			said := poppler(t, "pdftotext", "-layout", path, "-")
			for _, want := range shown {
				if !strings.Contains(said, want) {
					t.Errorf("pdftotext finds no %q", want)
				}
			}
			outline := poppler(t, "pdftohtml", "-xml", "-i", "-stdout", path)
			if got := strings.Count(outline, "<item page="); got < len(Pages())+10 {
				t.Errorf("the outline has %d entries", got)
			}
		})
	}
}

// checkPages looks at every page: its size, its head and foot, that it says
// something, and that no word leaves the paper's printable part.
func checkPages(t *testing.T, bbox, number string, w, h float64) {
	pages := strings.Split(bbox, "<page ")[1:]
	for i, pg := range pages {
		size := pageBox.FindStringSubmatch("<page " + pg)
		pw, ph := points(size[1]), points(size[2])
		upright, lying := near(pw, w) && near(ph, h), near(pw, h) && near(ph, w)
		if !upright && !lying {
			t.Errorf("page %d is %v x %v points", i+1, pw, ph)
		}
		var text []string
		const margin = 18 // points: what a home printer can't reach, common practice
		for _, m := range wordBox.FindAllStringSubmatch(pg, -1) {
			text = append(text, m[5])
			if points(m[1]) < margin || points(m[2]) < margin || points(m[3]) > pw-margin || points(m[4]) > ph-margin {
				t.Errorf("page %d: %q leaves the printable part: %v", i+1, m[5], m[1:5])
			}
		}
		all := strings.Join(text, " ")
		for _, want := range []string{"Potting table", "plan 1234", fmt.Sprintf(number, i+1, len(pages))} {
			if !strings.Contains(all, want) {
				t.Errorf("page %d lacks %q", i+1, want)
			}
		}
		if len(text) < 25 {
			t.Errorf("page %d is as good as empty: %q", i+1, all)
		}
	}
}

func points(s string) float64 {
	v, err := strconv.ParseFloat(s, 64)
	if err != nil {
		return -1
	}
	return v
}

func near(a, b float64) bool { return a-b < 0.5 && b-a < 0.5 }

// What is drawn stays on the paper too, in both languages and on both papers.
func TestNothingDrawnLeavesThePaper(t *testing.T) {
	for _, tag := range []string{"", "es"} {
		for _, paper := range []string{"letter", "a4"} {
			opt := Options{Paper: paper, Now: printed}
			if tag != "" {
				opt.Language = spanish(t, tag)
			}
			d, err := lay(theDemo(t), opt)
			if err != nil {
				t.Fatal(err)
			}
			for i, page := range d.Pages() {
				w, h := d.PageSize(i)
				if b := page.Bounds(); b.X0 < 9 || b.Y0 < 9 || b.X1 > w-9 || b.Y1 > h-9 {
					t.Errorf("%s %q: page %d reaches from (%.1f, %.1f) to (%.1f, %.1f) on paper of %.0f x %.0f mm", paper, tag, i+1, b.X0, b.Y0, b.X1, b.Y1, w, h)
				}
				for _, m := range page.Marks {
					if m.Text != "" && m.Size < leastText {
						t.Errorf("%s %q: page %d: %q is written %.2f mm high", paper, tag, i+1, m.Text, m.Size)
					}
				}
			}
		}
	}
}

// leastText is the least type size in mm: its capitals, 0.714 of it, are seen under
// nine minutes of arc from 60 cm; five are what an eye of full acuity needs
// (ISO 8596).
const leastText = 2.2
