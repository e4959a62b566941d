package measure

import (
	"math/big"
	"strings"
	"unicode"
	"unicode/utf8"
)

// maxText is the longest text read, in bytes.
const maxText = 400

// scanner walks over a text. A failed step leaves pos where it was unless it
// returns an error.
type scanner struct {
	text string
	pos  int
	args int // above zero inside a function's brackets, where a comma separates
}

func (s *scanner) fail(offset int, kind error, format string, a ...any) error {
	return &ParseError{Input: s.text, Offset: offset, Err: because(kind, format, a...)}
}

func (s *scanner) peek() rune { return s.at(s.pos) }

// at gives the rune at a byte offset, 0 at the end.
func (s *scanner) at(offset int) rune {
	if offset >= len(s.text) {
		return 0
	}
	r, _ := utf8.DecodeRuneInString(s.text[offset:])
	return r
}

func (s *scanner) next() rune {
	r, n := utf8.DecodeRuneInString(s.text[s.pos:])
	s.pos += n
	return r
}

func (s *scanner) spaces() bool {
	start := s.pos
	for s.pos < len(s.text) && unicode.IsSpace(s.peek()) {
		s.next()
	}
	return s.pos > start
}

func (s *scanner) done() bool { return s.pos >= len(s.text) }

// digits consumes a run of the digits 0 to 9.
func (s *scanner) digits() string {
	start := s.pos
	for s.pos < len(s.text) && isDigit(rune(s.text[s.pos])) {
		s.pos++
	}
	return s.text[start:s.pos]
}

// word consumes a name: a letter, then letters, digits and underscores.
func (s *scanner) word() string {
	start := s.pos
	if !unicode.IsLetter(s.peek()) {
		return ""
	}
	for !s.done() && isNamePart(s.peek()) {
		s.next()
	}
	return s.text[start:s.pos]
}

func isDigit(r rune) bool    { return r >= '0' && r <= '9' }
func isNamePart(r rune) bool { return r == '_' || unicode.IsLetter(r) || isDigit(r) }

// isDash covers the hyphen, the minus sign and the en dash that word
// processors put in their place.
func isDash(r rune) bool { return r == '-' || r == '−' || r == '–' }

func isTimes(r rune) bool  { return r == '*' || r == '×' || r == '·' }
func isDivide(r rune) bool { return r == '/' || r == '÷' }

// vulgar holds the single-character fractions.
var vulgar = map[rune][2]int64{
	'¼': {1, 4}, '½': {1, 2}, '¾': {3, 4},
	'⅐': {1, 7}, '⅑': {1, 9}, '⅒': {1, 10},
	'⅓': {1, 3}, '⅔': {2, 3},
	'⅕': {1, 5}, '⅖': {2, 5}, '⅗': {3, 5}, '⅘': {4, 5},
	'⅙': {1, 6}, '⅚': {5, 6},
	'⅛': {1, 8}, '⅜': {3, 8}, '⅝': {5, 8}, '⅞': {7, 8},
}

// unitMark is the unit written behind a number.
type unitMark uint8

const (
	noUnit unitMark = iota
	inchUnit
	footUnit
	millimetreUnit
	centimetreUnit
	metreUnit
	pieceUnit // a count: never a length
)

var unitSize = map[unitMark]Length{
	inchUnit: Inch, footUnit: Foot, millimetreUnit: Millimetre, centimetreUnit: Centimetre, metreUnit: Metre,
}

var unitWords = map[string]unitMark{
	"in": inchUnit, "inch": inchUnit, "inches": inchUnit,
	"ft": footUnit, "foot": footUnit, "feet": footUnit,
	"mm": millimetreUnit, "cm": centimetreUnit, "m": metreUnit,
	"pc": pieceUnit, "pcs": pieceUnit,
}

// unit consumes the unit behind a number, with or without a space before it.
func (s *scanner) unit() (unitMark, error) {
	start := s.pos
	spaced := s.spaces()
	switch r := s.peek(); r {
	case '"', '″', '”', '“':
		s.next()
		return inchUnit, nil
	case '\'', '′', '’', '‘':
		s.next()
		if s.peek() == r { // two single marks are the inch mark of a typewriter
			s.next()
			return inchUnit, nil
		}
		return footUnit, nil
	}
	at := s.pos
	for !s.done() && unicode.IsLetter(s.peek()) {
		s.next()
	}
	word := s.text[at:s.pos]
	if mark, ok := unitWords[strings.ToLower(word)]; ok && s.peek() != '_' {
		return mark, nil
	}
	if word != "" && !spaced {
		return noUnit, s.fail(at, ErrUnit, `“%s” is not a unit; write in, ft, mm, cm, m, " or '`, word)
	}
	s.pos = start
	return noUnit, nil
}

// rat reads digits that are known to be digits.
func rat(digits string) *big.Rat {
	r, ok := new(big.Rat).SetString(digits)
	if !ok {
		return new(big.Rat)
	}
	return r
}
