package measure

import (
	"math/big"
)

// quantity is one written size or number: 23 1/2", 1' 6", 597 mm, 2.5, ¾.
// With a unit of length value is in nanometres and whole.
type quantity struct {
	value      *big.Rat
	unit       unitMark // inchUnit for feet and inches together
	start, end int
}

// quantity reads one written size. before is the operator in front of it, 0
// for none.
//
// The trade joins a whole number and its fraction, or feet and inches, by a
// hyphen (23-1/2, 1'-6"). Next to other arithmetic that hyphen could as well
// be a minus, so there it is refused rather than guessed.
func (s *scanner) quantity(before rune) (quantity, error) {
	q := quantity{start: s.pos}
	m, err := s.magnitude(isDivide(before))
	if err != nil {
		return quantity{}, err
	}
	if q.unit, err = s.unit(); err != nil {
		return quantity{}, err
	}
	joined := m.joined
	if isDivide(before) && m.fraction && !m.whole && q.unit != noUnit {
		return quantity{}, s.fail(q.start, ErrAmbiguous, "put %s in brackets, or it could be two divisions", s.text[q.start:s.pos])
	}
	q.value = m.value
	if size, ok := unitSize[q.unit]; ok {
		if q.value, err = s.exact(m.value, size, q.start); err != nil {
			return quantity{}, err
		}
	}
	if q.unit == footUnit && m.whole && !m.fraction {
		inches, hyphen, ok, err := s.inchesAfterFeet()
		if err != nil {
			return quantity{}, err
		}
		if ok {
			q.value = new(big.Rat).Add(q.value, inches)
			q.unit = inchUnit
			joined = joined || hyphen
		}
	}
	q.end = s.pos
	if joined {
		s.spaces()
		follow := s.peek()
		s.pos = q.end
		if before != 0 || isTimes(follow) || isDivide(follow) {
			return quantity{}, s.fail(q.start, ErrAmbiguous,
				"%s can be read in two ways: write a space in place of the hyphen for one size, or spaces around it to subtract", s.text[q.start:q.end])
		}
	}
	return q, nil
}

// exact turns a number of units into nanometres and refuses what does not come
// out whole or is beyond the limit.
func (s *scanner) exact(value *big.Rat, size Length, offset int) (*big.Rat, error) {
	nm := new(big.Rat).Mul(value, new(big.Rat).SetInt64(int64(size)))
	if new(big.Rat).Abs(nm).Cmp(limitRat) > 0 {
		return nil, s.fail(offset, ErrOverflow, tooLong)
	}
	if !nm.IsInt() {
		step, unit := SixtyFourth, Inches
		if size%Inch != 0 {
			step, unit = Nanometre, Millimetres
		}
		below := Length(floorRat(new(big.Rat).Quo(nm, new(big.Rat).SetInt64(int64(step)))).Int64()) * step
		return nil, s.fail(offset, ErrFraction, "this size is not exact; the nearest are %s and %s",
			ExactIn(below, unit), ExactIn(below+step, unit))
	}
	return nm, nil
}

const tooLong = "the size is beyond 1 km, the most that is accepted"

var limitRat = new(big.Rat).SetInt64(int64(Limit))

// magnitude is the number of a quantity before its unit.
type magnitude struct {
	value    *big.Rat
	whole    bool // has a whole part
	fraction bool // has a written fraction or decimals
	joined   bool // whole part and fraction are joined by a hyphen
}

// magnitude reads 23, 23.5, .5, 1/2, ½, 23 1/2, 23-1/2, 23½ and 23 ½. Behind a
// division sign a/b is left as two divisors (length/3/4 is length/12) unless a
// unit makes it one size.
func (s *scanner) magnitude(divisor bool) (magnitude, error) {
	start := s.pos
	if f, ok := vulgar[s.peek()]; ok {
		s.next()
		return magnitude{value: big.NewRat(f[0], f[1]), fraction: true}, nil
	}
	digits := s.digits()
	if s.peek() == '.' {
		s.next()
		decimals := s.digits()
		if decimals == "" {
			return magnitude{}, s.fail(s.pos, ErrSyntax, "expected digits after the point")
		}
		if err := s.noComma(); err != nil {
			return magnitude{}, err
		}
		return magnitude{value: rat("0" + digits + "." + decimals), whole: true, fraction: true}, nil
	}
	if digits == "" {
		return magnitude{}, s.fail(start, ErrSyntax, "expected a number")
	}
	if err := s.noComma(); err != nil {
		return magnitude{}, err
	}
	m := magnitude{value: rat(digits), whole: true}
	wholeEnd := s.pos

	if isSlash(s.peek()) {
		den, ok, err := s.denominator()
		if err != nil {
			return magnitude{}, err
		}
		if ok && divisor {
			// Only a unit makes the fraction one size here.
			end := s.pos
			mark, err := s.unit()
			if err != nil {
				return magnitude{}, err
			}
			if ok = mark != noUnit; ok {
				s.pos = end
			}
		}
		if ok {
			return magnitude{value: new(big.Rat).Quo(m.value, den), fraction: true}, nil
		}
		s.pos = wholeEnd
		return m, nil
	}

	spaced := s.spaces()
	hyphen := false
	if !spaced && isDash(s.peek()) {
		s.next()
		hyphen = true
	}
	part, ok, err := s.properFraction(start)
	if err != nil {
		return magnitude{}, err
	}
	if !ok || !(spaced || hyphen || part.vulgar) {
		s.pos = wholeEnd
		return m, nil
	}
	m.value.Add(m.value, part.value)
	m.fraction, m.joined = true, hyphen
	return m, nil
}

func isSlash(r rune) bool { return r == '/' || r == '⁄' }

type fractionPart struct {
	value  *big.Rat
	vulgar bool
}

// properFraction reads the fraction behind a whole number; ok is false where
// there is none.
func (s *scanner) properFraction(start int) (part fractionPart, ok bool, err error) {
	if f, found := vulgar[s.peek()]; found {
		s.next()
		return fractionPart{big.NewRat(f[0], f[1]), true}, true, nil
	}
	at := s.pos
	num := s.digits()
	if num == "" || !isSlash(s.peek()) {
		s.pos = at
		return fractionPart{}, false, nil
	}
	den, ok, err := s.denominator()
	if err != nil {
		return fractionPart{}, false, err
	}
	if !ok {
		s.pos = at
		return fractionPart{}, false, nil
	}
	v := new(big.Rat).Quo(rat(num), den)
	if v.Cmp(big.NewRat(1, 1)) >= 0 {
		return fractionPart{}, false, s.fail(at, ErrAmbiguous,
			"in %s the fraction behind the whole number must be below 1; to subtract, put spaces around the minus", s.text[start:s.pos])
	}
	return fractionPart{v, false}, true, nil
}

// denominator reads a slash and the whole number behind it; ok is false where
// the slash is a division by something else.
func (s *scanner) denominator() (den *big.Rat, ok bool, err error) {
	start := s.pos
	s.next()
	at := s.pos
	digits := s.digits()
	if digits == "" || s.peek() == '.' {
		s.pos = start
		return nil, false, nil
	}
	den = rat(digits)
	if den.Sign() == 0 {
		return nil, false, s.fail(at, ErrDivideByZero, "a fraction cannot have 0 below its line")
	}
	return den, true, nil
}

// noComma refuses a comma between digits outside a function's arguments.
func (s *scanner) noComma() error {
	if s.args > 0 || s.peek() != ',' || !isDigit(s.at(s.pos+1)) {
		return nil
	}
	return s.fail(s.pos, ErrComma, "write a point in place of the comma, and no mark between thousands")
}

// inchesAfterFeet reads the inches of 1' 11 1/2" in nanometres.
func (s *scanner) inchesAfterFeet() (nm *big.Rat, hyphen, ok bool, err error) {
	start := s.pos
	spaced := s.spaces()
	if !spaced && isDash(s.peek()) {
		s.next()
		hyphen = true
	}
	at := s.pos
	if _, single := vulgar[s.peek()]; !single && !isDigit(s.peek()) && !(s.peek() == '.' && isDigit(s.at(s.pos+1))) {
		s.pos = start
		return nil, false, false, nil
	}
	m, err := s.magnitude(false)
	if err != nil {
		return nil, false, false, err
	}
	unitAt := s.pos
	mark, err := s.unit()
	if err != nil {
		return nil, false, false, err
	}
	if mark != noUnit && mark != inchUnit {
		return nil, false, false, s.fail(unitAt, ErrUnit, "only inches can follow feet")
	}
	if m.value.Cmp(big.NewRat(12, 1)) >= 0 {
		return nil, false, false, s.fail(at, ErrSyntax, "the inches after feet must be below 12")
	}
	if nm, err = s.exact(m.value, Inch, at); err != nil {
		return nil, false, false, err
	}
	return nm, hyphen || m.joined, true, nil
}

// Parse reads one plain length, without arithmetic. A number without a unit is
// in unit. Forms: 23 1/2, 23-1/2", 1' 11 1/2", 3/4, ¾, 23¾, 597 mm, 59.7cm,
// 1.2 m, 2 ft, 11 in; a leading minus is accepted. The length must be a whole
// number of nanometres (ErrFraction: 1/128 in, 1/3 in) within Limit
// (ErrOverflow). Every error is a *ParseError.
func Parse(text string, unit Unit) (Length, error) {
	s := &scanner{text: text}
	if err := s.begin(); err != nil {
		return 0, err
	}
	negative := false
	if isDash(s.peek()) {
		s.next()
		s.spaces()
		negative = true
	}
	at := s.pos
	q, err := s.quantity(0)
	if err != nil {
		return 0, err
	}
	nm := q.value
	switch q.unit {
	case pieceUnit:
		return 0, s.fail(at, ErrUnit, "this is a count; a length is needed")
	case noUnit:
		if nm, err = s.exact(q.value, unit.Length(), at); err != nil {
			return 0, err
		}
	}
	s.spaces()
	if !s.done() {
		return 0, s.fail(s.pos, ErrSyntax, "expected nothing more behind the length")
	}
	l := Length(nm.Num().Int64())
	if negative {
		l = -l
	}
	return l, nil
}

// begin checks the text as a whole and skips to its first character.
func (s *scanner) begin() error {
	if len(s.text) > maxText {
		return s.fail(0, ErrTooLong, "the text is longer than %d characters", maxText)
	}
	s.spaces()
	if s.done() {
		return s.fail(len(s.text), ErrEmpty, "")
	}
	if s.peek() == '≈' {
		return s.fail(s.pos, ErrSyntax, "≈ marks a rounded size; write the exact one")
	}
	return nil
}
