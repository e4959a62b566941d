package plan

import (
	"errors"
	"fmt"
	"strconv"
	"strings"
	"unicode"
	"unicode/utf8"

	"pilewright/plan/measure"
)

// EntryError is what is wrong with a typed line; Offset is the byte where.
type EntryError struct {
	Offset int
	Say    string
}

func (e *EntryError) Error() string { return e.Say }

// QuickEntry reads one line such as `6 @ 38 1/2 x 3 1/2 x 5/8 pine`: a count
// (one where there is none), length x width x thickness, and the species. Bare
// numbers are read in unit. Errors are *EntryError.
func QuickEntry(line string, unit measure.Unit) (count int, b Board, err error) {
	if len(line) > MaxText {
		return 0, b, &EntryError{MaxText, fmt.Sprintf("The line is longer than %d characters.", MaxText)}
	}
	if !utf8.ValidString(line) || strings.ContainsFunc(line, func(r rune) bool { return unicode.IsControl(r) && r != '\t' }) {
		return 0, b, &EntryError{0, "The line holds characters that are not text."}
	}
	rest, offset := line, 0
	count = 1
	if head, tail, ok := strings.Cut(line, "@"); ok {
		n, err := strconv.Atoi(strings.TrimSpace(head))
		if err != nil || n < 1 || n > MaxBoards {
			return 0, b, &EntryError{0, fmt.Sprintf("Before the @ stands the number of boards, 1 to %d, not “%s”.", MaxBoards, strings.TrimSpace(head))}
		}
		count, rest, offset = n, tail, len(head)+1
	}
	fields, species, starts := splitSizes(rest)
	if len(fields) != 3 {
		return 0, b, &EntryError{offset, "A board is length x width x thickness and a species, for example 6 @ 38 1/2 x 3 1/2 x 5/8 pine."}
	}
	for i, f := range []struct {
		name string
		into *measure.Length
	}{{"length", &b.Length}, {"width", &b.Width}, {"thickness", &b.Thickness}} {
		l, err := measure.Parse(strings.TrimSpace(fields[i]), unit)
		if err != nil {
			at := offset + starts[i] + len(fields[i]) - len(strings.TrimLeft(fields[i], " \t"))
			var where *measure.ParseError
			if errors.As(err, &where) {
				at += where.Offset
			}
			return 0, Board{}, &EntryError{min(at, len(line)), fmt.Sprintf("The %s “%s” can't be read: %v.", f.name, strings.TrimSpace(fields[i]), err)}
		}
		if l <= 0 || l > SizeLimit {
			return 0, Board{}, &EntryError{offset + starts[i], fmt.Sprintf("The %s must be more than nothing and at most 100 m.", f.name)}
		}
		*f.into = l
	}
	b.Species = strings.Join(strings.Fields(species), " ")
	return count, b, nil
}

// splitSizes cuts "38 1/2 x 3 1/2 x 5/8 pine" at the x signs; what follows the
// last size is the species.
func splitSizes(s string) (sizes []string, species string, starts []int) {
	from := 0
	for i, r := range s {
		if (r == 'x' || r == 'X' || r == '×') && len(sizes) < 2 && sizeBefore(s[:i]) && sizeAfter(s[i+utf8.RuneLen(r):]) {
			sizes, starts = append(sizes, s[from:i]), append(starts, from)
			from = i + utf8.RuneLen(r)
		}
	}
	last := s[from:]
	end := len(last)
	for i, r := range last {
		if !unicode.IsLetter(r) {
			continue
		}
		word := last[i:]
		if j := strings.IndexFunc(word, func(r rune) bool { return !unicode.IsLetter(r) }); j >= 0 {
			word = word[:j]
		}
		if isUnit(word) {
			continue
		}
		if i > 0 && unicode.IsLetter(rune(last[i-1])) {
			continue
		}
		end = i
		break
	}
	return append(sizes, last[:end]), last[end:], append(starts, from)
}

func sizeBefore(s string) bool {
	s = strings.TrimRight(s, " \t")
	return s != "" && strings.ContainsFunc(s, unicode.IsDigit) || strings.ContainsAny(s, "¼½¾⅛⅜⅝⅞")
}

func sizeAfter(s string) bool {
	s = strings.TrimLeft(s, " \t")
	r, _ := utf8.DecodeRuneInString(s)
	return unicode.IsDigit(r) || strings.ContainsRune("¼½¾⅛⅜⅝⅞.", r)
}

// isUnit reports whether a word after a size belongs to it.
func isUnit(word string) bool {
	switch strings.ToLower(word) {
	case "in", "inch", "inches", "ft", "foot", "feet", "mm", "cm", "m":
		return true
	}
	return false
}
