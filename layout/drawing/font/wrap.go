package font

import (
	"strings"
	"unicode"
	"unicode/utf8"
)

// ellipsis ends a text that was cut to fit.
const ellipsis = "…"

// Clean makes a text fit to be set on one line: tabs, line ends and other white
// space become blanks, control characters go, and a rune the typeface lacks
// (or a broken byte) becomes a question mark, so nothing is lost unseen.
func Clean(s string) string {
	if clean(s) {
		return s
	}
	var b strings.Builder
	for _, r := range s {
		switch {
		case r == utf8.RuneError:
			b.WriteByte('?')
		case unicode.IsSpace(r):
			b.WriteByte(' ')
		case unicode.IsControl(r) || unicode.Is(unicode.Cf, r):
		case !Has(r):
			b.WriteByte('?')
		default:
			b.WriteRune(r)
		}
	}
	return b.String()
}

func clean(s string) bool {
	for _, r := range s {
		if r < ' ' || r > '~' && (r == utf8.RuneError || unicode.IsSpace(r) || unicode.IsControl(r) || unicode.Is(unicode.Cf, r) || !Has(r)) {
			return false
		}
	}
	return true
}

// Wrap breaks a text into lines no wider than width (in the unit of size). It
// breaks at blanks and at line ends; a word that is wider than the line is
// broken between runes. A width too small for one rune still gives one rune a
// line. An empty text gives one empty line.
func Wrap(s string, size, width float64, bold bool) []string {
	var lines []string
	for _, paragraph := range strings.Split(s, "\n") {
		lines = append(lines, wrapParagraph(Clean(paragraph), size, width, bold)...)
	}
	return lines
}

func wrapParagraph(s string, size, width float64, bold bool) []string {
	var lines []string
	line := ""
	for _, word := range strings.Fields(s) {
		joined := word
		if line != "" {
			joined = line + " " + word
		}
		if Width(joined, size, bold) <= width {
			line = joined
			continue
		}
		if line != "" {
			lines = append(lines, line)
		}
		line = word
		for Width(line, size, bold) > width {
			head := fitting(line, size, width, bold)
			if head == len(line) {
				break
			}
			lines = append(lines, line[:head])
			line = line[head:]
		}
	}
	if line != "" || len(lines) == 0 {
		lines = append(lines, line)
	}
	return lines
}

// fitting is the number of bytes of s that fit, at least one rune.
func fitting(s string, size, width float64, bold bool) int {
	var used float64
	for i, r := range s {
		used += Advance(r, bold) * size
		if used > width && i > 0 {
			return i
		}
	}
	return len(s)
}

// Fit shortens a line of text to width, ending it with an ellipsis where it was
// cut. Where not even the ellipsis fits it gives "".
func Fit(s string, size, width float64, bold bool) string {
	s = Clean(s)
	if Width(s, size, bold) <= width {
		return s
	}
	room := width - Width(ellipsis, size, bold)
	if room <= 0 {
		return ""
	}
	head := fitting(s, size, room, bold)
	if Width(s[:head], size, bold) > room {
		return ""
	}
	return strings.TrimRight(s[:head], " ") + ellipsis
}
