package measure

import (
	"errors"
	"fmt"
	"unicode/utf8"
)

// What can be wrong with a text; ask with errors.Is.
var (
	ErrEmpty        = errors.New("nothing is written here")
	ErrSyntax       = errors.New("this cannot be read")
	ErrUnit         = errors.New("the unit does not fit")
	ErrFraction     = errors.New("the fraction is not exact")
	ErrComma        = errors.New("the decimal sign is a point")
	ErrAmbiguous    = errors.New("this can be read in two ways")
	ErrDimension    = errors.New("lengths and plain numbers do not fit together")
	ErrUnknownName  = errors.New("no measure has this name")
	ErrName         = errors.New("this cannot be a measure's name")
	ErrCycle        = errors.New("the measures go round in a circle")
	ErrDepends      = errors.New("a measure it uses is in error")
	ErrOverflow     = errors.New("the size is beyond the limit")
	ErrDivideByZero = errors.New("division by zero")
	ErrTooLong      = errors.New("the text is too long")
	ErrTooDeep      = errors.New("too many brackets inside each other")
)

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
	if e.Input == "" {
		return e.Err.Error()
	}
	if e.Offset == len(e.Input) {
		return fmt.Sprintf("at the end of “%s”: %v", shorten(e.Input, e.Offset), e.Err)
	}
	at := utf8.RuneCountInString(e.Input[:e.Offset]) + 1
	return fmt.Sprintf("at character %d of “%s”: %v", at, shorten(e.Input, e.Offset), e.Err)
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

// because words a sentinel; without words it speaks for itself.
func because(kind error, format string, a ...any) error {
	if format == "" {
		return kind
	}
	return reason{kind, fmt.Sprintf(format, a...)}
}

// shorten keeps a long text readable: about twenty characters on either side
// of the place.
func shorten(text string, offset int) string {
	const side = 20
	before, after := []rune(text[:offset]), []rune(text[offset:])
	if len(before)+len(after) <= 3*side {
		return text
	}
	left, right := "", ""
	if len(before) > side {
		before, left = before[len(before)-side:], "…"
	}
	if len(after) > side {
		after, right = after[:side], "…"
	}
	return left + string(before) + string(after) + right
}
