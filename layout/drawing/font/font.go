// Package font holds the typefaces of every drawing and printed page and measures
// text with them, so that screen, PDF and SVG all break lines where this package
// says. Text is set in Noto Sans (SIL Open Font License 1.1, see OFL.txt); the few
// signs it lacks (≈ ≤ ≥ ≠ √ and arrows) come from the Go typeface (BSD licence,
// golang.org/x/image/font/gofont).
package font

import (
	_ "embed"
	"sync"

	"golang.org/x/image/font"
	"golang.org/x/image/font/gofont/gobold"
	"golang.org/x/image/font/gofont/goregular"
	"golang.org/x/image/font/sfnt"
	"golang.org/x/image/math/fixed"
)

//go:embed NotoSans-Regular.ttf
var regularTTF []byte

//go:embed NotoSans-Bold.ttf
var boldTTF []byte

// Family is the name the typeface goes by in SVG.
const Family = "Noto Sans"

// Heights of the typeface as parts of the text size (the em), read from its
// OS/2 and hhea tables; a test holds them to the embedded bytes.
const (
	CapHeight = 0.714
	XHeight   = 0.536
	Ascent    = 1.069
	Descent   = 0.293
)

// Face is one of the typefaces text is set in.
type Face uint8

// The faces. Signs and SignsBold stand in for what the first two lack.
const (
	Regular Face = iota
	Bold
	Signs
	SignsBold
	Faces // how many there are
)

// tableEnd bounds the runes whose advances are kept in a table: Latin, Greek,
// Cyrillic, punctuation, fractions, arrows and mathematical signs.
const tableEnd = 0x2700

type table struct {
	once     sync.Once
	ttf      []byte
	font     *sfnt.Font
	upem     float64
	advance  [tableEnd]uint16
	hasGlyph [tableEnd]bool
}

var tables = [Faces]*table{{ttf: regularTTF}, {ttf: boldTTF}, {ttf: goregular.TTF}, {ttf: gobold.TTF}}

func (f Face) table() *table {
	t := tables[f%Faces]
	t.once.Do(t.load)
	return t
}

// load reads the advances once. The bytes are part of the program, so a fault
// in them is a programmer's mistake.
func (t *table) load() {
	parsed, err := sfnt.Parse(t.ttf)
	if err != nil {
		panic("font: embedded typeface: " + err.Error())
	}
	t.font = parsed
	t.upem = float64(parsed.UnitsPerEm())
	var buf sfnt.Buffer
	for r := range t.advance {
		t.advance[r], t.hasGlyph[r] = t.read(&buf, rune(r))
	}
}

func (t *table) read(buf *sfnt.Buffer, r rune) (advance uint16, has bool) {
	glyph, err := t.font.GlyphIndex(buf, r)
	if err != nil {
		return 0, false
	}
	units, err := t.font.GlyphAdvance(buf, glyph, fixed.Int26_6(t.upem)<<6, font.HintingNone)
	if err != nil {
		return 0, false
	}
	return uint16(units >> 6), glyph != 0
}

func (t *table) glyph(r rune) (advance uint16, has bool) {
	if r >= 0 && r < tableEnd {
		return t.advance[r], t.hasGlyph[r]
	}
	var buf sfnt.Buffer
	return t.read(&buf, r)
}

// TTF gives the bytes of a face. The caller must not change them.
func (f Face) TTF() []byte { return tables[f%Faces].ttf }

// SFNT gives the parsed face, safe for use by several goroutines as long as each
// has its own sfnt.Buffer.
func (f Face) SFNT() *sfnt.Font { return f.table().font }

// FaceOf tells which face draws a rune: the text face, the stand-in where only
// that has the rune, else the text face with its replacement box.
func FaceOf(r rune, bold bool) Face {
	f := Regular
	if bold {
		f = Bold
	}
	if _, has := f.table().glyph(r); has {
		return f
	}
	if _, has := (f + 2).table().glyph(r); has {
		return f + 2
	}
	return f
}

// Advance is how far a rune runs, as a part of the text size.
func Advance(r rune, bold bool) float64 {
	t := FaceOf(r, bold).table()
	a, _ := t.glyph(r)
	return float64(a) / t.upem
}

// Width is how far a line of text runs, in the unit of size (the em), without
// kerning: the three renderers set glyph after glyph the same way.
func Width(s string, size float64, bold bool) float64 {
	var w float64
	for _, r := range s {
		w += Advance(r, bold)
	}
	return w * size
}

// Has tells whether a rune can be drawn.
func Has(r rune) bool {
	_, has := FaceOf(r, false).table().glyph(r)
	return has
}

// Runs calls yield with each longest stretch of s that one face draws, in order.
func Runs(s string, bold bool, yield func(run string, f Face)) {
	start, face := 0, Regular
	for i, r := range s {
		f := FaceOf(r, bold)
		if i == 0 {
			face = f
		}
		if f != face {
			yield(s[start:i], face)
			start, face = i, f
		}
	}
	if start < len(s) {
		yield(s[start:], face)
	}
}
