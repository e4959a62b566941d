package font

import (
	"math"
	"strings"
	"testing"
	"unicode/utf8"

	"golang.org/x/image/font"
	"golang.org/x/image/font/opentype"
)

func TestTheTypefaceHasTheSignsOfTheShop(t *testing.T) {
	for _, bold := range []bool{false, true} {
		for _, r := range "½¼¾⅛⅜⅝⅞″′×é–—≈°±·…€£ß→≤≥≠√µ²³•" {
			if _, has := FaceOf(r, bold).table().glyph(r); !has {
				t.Errorf("bold=%v: no glyph for %q", bold, r)
			}
		}
	}
}

func TestRunsCoverTheTextInOrder(t *testing.T) {
	var got string
	var faces []Face
	Runs("a ≈ 3 ½", true, func(run string, f Face) { got += run + "|"; faces = append(faces, f) })
	if got != "a |≈| 3 ½|" || len(faces) != 3 || faces[0] != Bold || faces[1] != SignsBold || faces[2] != Bold {
		t.Errorf("got %q %v", got, faces)
	}
}

// The heights are checked against golang.org/x/image/font/opentype's reading of
// the same file, which takes them from hhea and OS/2.
func TestHeightsAreThoseOfTheTypeface(t *testing.T) {
	f, err := opentype.NewFace(Regular.SFNT(), &opentype.FaceOptions{Size: 1000, DPI: 72, Hinting: font.HintingNone})
	if err != nil {
		t.Fatal(err)
	}
	m := f.Metrics()
	for _, c := range []struct {
		name      string
		got, want float64
	}{
		{"capital height", CapHeight, float64(m.CapHeight) / 64000},
		{"x height", XHeight, float64(m.XHeight) / 64000},
		{"ascent", Ascent, float64(m.Ascent) / 64000},
		{"descent", Descent, float64(m.Descent) / 64000},
	} {
		if math.Abs(c.got-c.want) > 0.002 {
			t.Errorf("%s: got %v, the file says %v", c.name, c.got, c.want)
		}
	}
}

// Widths are checked against the opentype package's own measuring.
func TestWidthAgreesWithOpentype(t *testing.T) {
	for i, bold := range []bool{false, true} {
		f, err := opentype.NewFace(Face(i).SFNT(), &opentype.FaceOptions{Size: 100, DPI: 72, Hinting: font.HintingNone})
		if err != nil {
			t.Fatal(err)
		}
		for _, s := range []string{"A1", "23 1/2 × 3 ½″", "Planche é – 12 mm", "iiiWWW"} {
			var want float64
			for _, r := range s {
				a, ok := f.GlyphAdvance(r)
				if !ok {
					t.Fatalf("%q", r)
				}
				want += float64(a) / 64
			}
			if got := Width(s, 100, bold); math.Abs(got-want) > 0.1*float64(len(s)) {
				t.Errorf("Width(%q, bold %v) = %.3f, opentype says %.3f", s, bold, got, want)
			}
		}
	}
}

func TestWrap(t *testing.T) {
	w := func(s string) float64 { return Width(s, 3, false) }
	for _, c := range []struct {
		name  string
		text  string
		width float64
		want  []string
	}{
		{"a short text stays one line", "one two", w("one two"), []string{"one two"}},
		{"a line breaks at a blank", "one two", w("one two") - 0.01, []string{"one", "two"}},
		{"a long word breaks between letters", "abcdef", w("abc"), []string{"abc", "def"}},
		{"a line end breaks", "a\nb", 100, []string{"a", "b"}},
		{"an empty text is one empty line", "", 10, []string{""}},
		{"no width gives a rune a line", "½é", 0, []string{"½", "é"}},
	} {
		t.Run(c.name, func(t *testing.T) {
			got := Wrap(c.text, 3, c.width, false)
			if strings.Join(got, "|") != strings.Join(c.want, "|") {
				t.Errorf("Wrap(%q, %.2f) = %q, want %q", c.text, c.width, got, c.want)
			}
		})
	}
}

func TestFitEndsACutTextWithAnEllipsis(t *testing.T) {
	if got := Fit("front rail", 3, 100, false); got != "front rail" {
		t.Errorf("got %q", got)
	}
	got := Fit("front rail", 3, Width("front r…", 3, false)+0.01, false)
	if got != "front r…" {
		t.Errorf("got %q", got)
	}
	if got := Fit("front rail", 3, 0.5, false); got != "" {
		t.Errorf("got %q where nothing fits", got)
	}
}

func FuzzWrapKeepsEveryLetterAndTheWidth(f *testing.F) {
	f.Add("a long rail of reclaimed oak", 12.0)
	f.Add("Ω\x00\xff½½½½ \t\n …", 3.0)
	f.Fuzz(func(t *testing.T, s string, width float64) {
		if !(width >= 0 && width < 1e6) || len(s) > 2000 {
			t.Skip()
		}
		lines := Wrap(s, 3, width, false)
		for _, l := range lines {
			if Width(l, 3, false) > width+1e-6 && utf8.RuneCountInString(l) > 1 {
				t.Errorf("line %q is %.3f wide, room %.3f", l, Width(l, 3, false), width)
			}
		}
		squeeze := func(s string) string { return strings.Join(strings.Fields(s), "") }
		var want strings.Builder
		for _, p := range strings.Split(s, "\n") {
			want.WriteString(squeeze(Clean(p)))
		}
		if got := squeeze(strings.Join(lines, "")); got != want.String() {
			t.Errorf("letters changed: %q, want %q", got, want.String())
		}
	})
}
