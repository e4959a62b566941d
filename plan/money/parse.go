package money

import (
	"errors"
	"fmt"
	"strings"
	"unicode"
	"unicode/utf8"

	"github.com/shopspring/decimal"
)

// What can be wrong with an amount; ask with errors.Is.
var (
	ErrEmpty    = errors.New("nothing is written here")
	ErrSyntax   = errors.New("this is not an amount")
	ErrComma    = errors.New("the decimal sign is a point")
	ErrDecimals = errors.New("too many decimals")
	ErrCurrency = errors.New("this is another currency")
	ErrOverflow = errors.New("the amount is too large")
)

// limit is the largest amount or percentage read.
var limit = decimal.New(1, 12)

// maxText is the longest text read, in bytes.
const maxText = 60

// ParseError says what is wrong in a text and where. Offset counts bytes from
// the start of Input and is at most its length. Err wraps one of the package's
// sentinels.
type ParseError struct {
	Input  string
	Offset int
	Err    error
}

// Error gives one sentence with the place, counted in characters from 1.
func (e *ParseError) Error() string {
	if e.Input == "" || len(e.Input) > maxText {
		return e.Err.Error()
	}
	if e.Offset == len(e.Input) {
		return fmt.Sprintf("at the end of “%s”: %v", e.Input, e.Err)
	}
	return fmt.Sprintf("at character %d of “%s”: %v", utf8.RuneCountInString(e.Input[:e.Offset])+1, e.Input, e.Err)
}

// Unwrap gives the cause.
func (e *ParseError) Unwrap() error { return e.Err }

// reason is one of the sentinels in words that fit the case.
type reason struct {
	kind error
	text string
}

func (r reason) Error() string { return r.text }
func (r reason) Unwrap() error { return r.kind }

// Parse reads an amount: 12.50, .5, -3, $12.50, 12.50 USD. The currency's
// symbol or code may stand before or behind it. More decimals than the
// currency has are refused, not rounded. Every error is a *ParseError.
func (c Currency) Parse(text string) (decimal.Decimal, error) {
	s := &scanner{text: text}
	if err := s.begin(); err != nil {
		return decimal.Zero, err
	}
	negative := s.minus()
	named, err := s.currency(c)
	if err != nil {
		return decimal.Zero, err
	}
	if named && !negative {
		negative = s.minus()
	}
	at := s.pos
	d, decimals, err := s.number()
	if err != nil {
		return decimal.Zero, err
	}
	if decimals > int(c.MinorDigits) {
		if c.MinorDigits == 0 {
			return decimal.Zero, s.fail(at, ErrDecimals, "%s has no decimals", c.name())
		}
		return decimal.Zero, s.fail(at, ErrDecimals, "%s has %d decimals at most", c.name(), c.MinorDigits)
	}
	if !named {
		if _, err := s.currency(c); err != nil {
			return decimal.Zero, err
		}
	}
	if err := s.end(); err != nil {
		return decimal.Zero, err
	}
	if negative {
		d = d.Neg()
	}
	return d, nil
}

// ParsePercent reads a share as people write it: 6.5 and 6.5 % are both 0.065.
// Every error is a *ParseError.
func ParsePercent(text string) (decimal.Decimal, error) {
	s := &scanner{text: text}
	if err := s.begin(); err != nil {
		return decimal.Zero, err
	}
	negative := s.minus()
	d, _, err := s.number()
	if err != nil {
		return decimal.Zero, err
	}
	s.spaces()
	if s.peek() == '%' {
		s.pos++
	}
	if err := s.end(); err != nil {
		return decimal.Zero, err
	}
	if negative {
		d = d.Neg()
	}
	return d.Shift(-2), nil
}

// FormatPercent writes a share with at most places decimals, rounded half up:
// 0.065 is 6.5 %.
func FormatPercent(share decimal.Decimal, places int32) string {
	return share.Shift(2).Round(places).String() + " %"
}

type scanner struct {
	text string
	pos  int
}

func (s *scanner) fail(offset int, kind error, format string, a ...any) error {
	err := kind
	if format != "" {
		err = reason{kind, fmt.Sprintf(format, a...)}
	}
	return &ParseError{Input: s.text, Offset: offset, Err: err}
}

func (s *scanner) peek() rune {
	if s.pos >= len(s.text) {
		return 0
	}
	r, _ := utf8.DecodeRuneInString(s.text[s.pos:])
	return r
}

func (s *scanner) spaces() {
	for s.pos < len(s.text) && unicode.IsSpace(s.peek()) {
		s.pos += utf8.RuneLen(s.peek())
	}
}

func (s *scanner) begin() error {
	if len(s.text) > maxText {
		return s.fail(0, ErrSyntax, "the text is too long for an amount")
	}
	s.spaces()
	if s.pos == len(s.text) {
		return s.fail(s.pos, ErrEmpty, "")
	}
	return nil
}

func (s *scanner) end() error {
	s.spaces()
	if s.pos < len(s.text) {
		return s.fail(s.pos, ErrSyntax, "expected nothing more behind the number")
	}
	return nil
}

func (s *scanner) minus() bool {
	r := s.peek()
	if r != '-' && r != '−' {
		return false
	}
	s.pos += utf8.RuneLen(r)
	s.spaces()
	return true
}

// currency consumes the currency's symbol or code and refuses another one.
func (s *scanner) currency(c Currency) (bool, error) {
	s.spaces()
	start := s.pos
	for s.pos < len(s.text) && (unicode.IsLetter(s.peek()) || unicode.Is(unicode.Sc, s.peek())) {
		s.pos += utf8.RuneLen(s.peek())
	}
	word := s.text[start:s.pos]
	switch {
	case word == "":
		return false, nil
	case word == c.Symbol, strings.EqualFold(word, c.Code):
		s.spaces()
		return true, nil
	}
	return false, s.fail(start, ErrCurrency, "“%s” does not belong here; amounts are in %s", word, c.name())
}

func (c Currency) name() string {
	if c.Code == "" {
		return "plain numbers"
	}
	return c.Code
}

func (s *scanner) digits() string {
	start := s.pos
	for s.pos < len(s.text) && s.text[s.pos] >= '0' && s.text[s.pos] <= '9' {
		s.pos++
	}
	return s.text[start:s.pos]
}

// number reads digits with an optional point and says how many decimals were
// written.
func (s *scanner) number() (d decimal.Decimal, decimals int, err error) {
	start := s.pos
	whole := s.digits()
	if s.peek() == ',' {
		return decimal.Zero, 0, s.fail(s.pos, ErrComma, "write a point in place of the comma, and no mark between thousands")
	}
	part := ""
	if s.peek() == '.' {
		s.pos++
		if part = s.digits(); part == "" {
			return decimal.Zero, 0, s.fail(s.pos, ErrSyntax, "expected digits after the point")
		}
		if s.peek() == ',' {
			return decimal.Zero, 0, s.fail(s.pos, ErrComma, "write no mark between thousands")
		}
	}
	if whole == "" && part == "" {
		return decimal.Zero, 0, s.fail(start, ErrSyntax, "expected a number")
	}
	d, err = decimal.NewFromString("0" + whole + "." + part + "0")
	if err != nil {
		return decimal.Zero, 0, s.fail(start, ErrSyntax, "expected a number")
	}
	if d.GreaterThan(limit) {
		return decimal.Zero, 0, s.fail(start, ErrOverflow, "the amount is beyond %s, the most that is accepted", limit)
	}
	return d, len(part), nil
}
