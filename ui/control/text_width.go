package control

import (
	"strings"
	"unicode/utf8"

	"fyne.io/fyne/v2"
)

// textWidths remembers measured text widths, since measuring shapes the text.
type textWidths struct {
	size  float32
	known map[textKey]float32
}

type textKey struct {
	text string
	bold bool
}

const maxKnownWidths = 20000

func (t *textWidths) reset() {
	if t.known == nil || len(t.known) > 0 {
		t.known = map[textKey]float32{}
	}
}

func (t *textWidths) width(text string, bold bool) float32 {
	k := textKey{text, bold}
	if w, ok := t.known[k]; ok {
		return w
	}
	if len(t.known) >= maxKnownWidths {
		t.reset()
	}
	w := fyne.MeasureText(text, t.size, fyne.TextStyle{Bold: bold}).Width
	t.known[k] = w
	return w
}

// fit shortens a text with an ellipsis until it is no wider than room.
func (t *textWidths) fit(text string, bold bool, room float32) string {
	if text == "" || t.width(text, bold) <= room {
		return text
	}
	runes := []rune(text)
	lo, hi := 0, len(runes) // longest prefix that fits with the ellipsis
	for lo < hi {
		mid := (lo + hi + 1) / 2
		if t.width(string(runes[:mid])+"…", bold) <= room {
			lo = mid
		} else {
			hi = mid - 1
		}
	}
	if lo == 0 && t.width("…", bold) > room {
		return ""
	}
	return string(runes[:lo]) + "…"
}

// wrap breaks a text between words into lines no wider than room; what does not
// fit into most lines is shortened with an ellipsis.
func (t *textWidths) wrap(text string, bold bool, room float32, most int) []string {
	if text == "" || t.width(text, bold) <= room {
		return []string{text}
	}
	var lines []string
	line := ""
	words := strings.Fields(text)
	for i, w := range words {
		longer := w
		if line != "" {
			longer = line + " " + w
		}
		if line == "" || t.width(longer, bold) <= room {
			line = longer
			continue
		}
		if len(lines) == most-1 {
			return append(lines, t.fit(line+" "+strings.Join(words[i:], " "), bold, room))
		}
		lines = append(lines, t.fit(line, bold, room))
		line = w
	}
	return append(lines, t.fit(line, bold, room))
}

// level readies a text for canvas.Text. Fyne v2.7.1 sets a whole line 2 units too
// high (at size 14, measured) where its first sign comes from the fallback font,
// as ≈, ≤, − and arrows do; a zero-width space of the main font before it puts it
// on the line.
func level(text string) string {
	if r, _ := utf8.DecodeRuneInString(text); r >= firstFallback && r != utf8.RuneError {
		return "\u200b" + text
	}
	return text
}

// firstFallback is the start of the Unicode blocks of arrows, mathematical
// operators and shapes.
const firstFallback = 0x2190
