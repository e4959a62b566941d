package measure

import (
	"math/big"
	"strings"
)

// maxDepth limits brackets inside brackets; maxBits limits the digits a value
// may grow to through a chain of measures.
const (
	maxDepth = 50
	maxBits  = 1024
)

// Eval does shop arithmetic: sizes as Parse reads them, named measures,
// + - * / and brackets, and the functions
//
//	min(a, b, …)  max(a, b, …)
//	round(x, step)  floor(x, step)  ceil(x, step)   to a multiple of step
//	round(x)  floor(x)  ceil(x)                     a plain number to a whole one
//
// Units are kept: length ± length and length × number are lengths, length ÷
// length is a plain number, anything else is ErrDimension. A number written
// without a unit is a number beside * and /, and a length in unit beside a
// length in + and - and as the result: length - 2*overhang, length - 3/4.
// 5 pcs is always a plain number.
//
// lookup gives named measures by lower-cased name; a named measure whose value
// is bare is a length. nil knows no names.
//
// The result is exact; Value.Length rounds it to the nearest nanometre. A size
// that is written down must itself be exact (ErrFraction). Every error is a
// *ParseError.
func Eval(text string, unit Unit, lookup func(name string) (Value, bool)) (Value, error) {
	return eval(text, unit, lookup, nil)
}

// eval is Eval with suggest, which gives a known name near an unknown one.
func eval(text string, unit Unit, lookup func(string) (Value, bool), suggest func(string) string) (Value, error) {
	e := &evaluator{scanner: scanner{text: text}, unit: unit, lookup: lookup, suggest: suggest}
	if err := e.begin(); err != nil {
		return Value{}, err
	}
	start := e.pos
	t, err := e.sum()
	if err != nil {
		return Value{}, err
	}
	e.spaces()
	if !e.done() {
		return Value{}, e.unexpected("expected + - * / or the end")
	}
	v := Value{rat: t.rat, kind: t.kind, unit: unit}
	switch {
	case t.kind == bareKind && t.literal:
		// It may be wanted as a number, yet a size that is written down and
		// is not exact must not pass as one that was computed.
		if _, err := e.asLength(t); err != nil {
			return Value{}, err
		}
	case t.kind == lengthKind:
		if _, err := v.Length(); err != nil {
			return Value{}, e.fail(start, ErrOverflow, tooLong)
		}
	}
	return v, nil
}

type evaluator struct {
	scanner
	unit    Unit
	lookup  func(string) (Value, bool)
	suggest func(string) string
	depth   int
}

// term is an intermediate value and the place it was written.
type term struct {
	rat     *big.Rat
	kind    kind
	literal bool // written down as it is, not computed
	start   int
}

// asLength reads a bare number in the evaluator's unit. What is written down
// must be exact; what was computed may fall between two nanometres.
func (e *evaluator) asLength(t term) (term, error) {
	if t.kind == lengthKind {
		return t, nil
	}
	if t.kind == numberKind {
		return term{}, e.fail(t.start, ErrDimension, "this is a plain number where a length is needed")
	}
	if t.literal {
		sign := t.rat.Sign()
		nm, err := e.exact(new(big.Rat).Abs(t.rat), e.unit.Length(), t.start)
		if err != nil {
			return term{}, err
		}
		if sign < 0 {
			nm.Neg(nm)
		}
		return term{rat: nm, kind: lengthKind, start: t.start}, nil
	}
	nm := new(big.Rat).Mul(t.rat, new(big.Rat).SetInt64(int64(e.unit.Length())))
	return term{rat: nm, kind: lengthKind, start: t.start}, nil
}

// alike brings terms to one kind for adding or comparing.
func (e *evaluator) alike(at int, terms ...term) ([]term, error) {
	lengths, numbers := 0, 0
	for _, t := range terms {
		switch t.kind {
		case lengthKind:
			lengths++
		case numberKind:
			numbers++
		}
	}
	if lengths > 0 && numbers > 0 {
		return nil, e.fail(at, ErrDimension, "a length and a plain number can be neither added nor compared")
	}
	for i, t := range terms {
		switch {
		case lengths > 0:
			l, err := e.asLength(t)
			if err != nil {
				return nil, err
			}
			terms[i] = l
		case numbers > 0:
			terms[i].kind = numberKind
		}
	}
	return terms, nil
}

// sum reads product {(+|-) product}.
func (e *evaluator) sum() (term, error) {
	left, err := e.product(0)
	if err != nil {
		return term{}, err
	}
	for {
		e.spaces()
		at, op := e.pos, e.peek()
		if op != '+' && !isDash(op) {
			return left, nil
		}
		e.next()
		e.spaces()
		right, err := e.product(op)
		if err != nil {
			return term{}, err
		}
		both, err := e.alike(at, left, right)
		if err != nil {
			return term{}, err
		}
		sum := new(big.Rat)
		if op == '+' {
			sum.Add(both[0].rat, both[1].rat)
		} else {
			sum.Sub(both[0].rat, both[1].rat)
		}
		if left, err = e.computed(sum, both[0].kind, left.start); err != nil {
			return term{}, err
		}
	}
}

// product reads factor {(*|/) factor}; before is the operator in front of it.
func (e *evaluator) product(before rune) (term, error) {
	left, err := e.factor(before)
	if err != nil {
		return term{}, err
	}
	for {
		e.spaces()
		at, op := e.pos, e.peek()
		if !isTimes(op) && !isDivide(op) {
			return left, nil
		}
		e.next()
		e.spaces()
		right, err := e.factor(op)
		if err != nil {
			return term{}, err
		}
		if isTimes(op) {
			left, err = e.times(at, left, right)
		} else {
			left, err = e.divide(at, left, right)
		}
		if err != nil {
			return term{}, err
		}
	}
}

func (e *evaluator) times(at int, a, b term) (term, error) {
	k := max(a.kind, b.kind)
	if a.kind == lengthKind && b.kind == lengthKind {
		return term{}, e.fail(at, ErrDimension, "a length times a length is an area; only a number can multiply a length")
	}
	return e.computed(new(big.Rat).Mul(a.rat, b.rat), k, a.start)
}

func (e *evaluator) divide(at int, a, b term) (term, error) {
	if b.rat.Sign() == 0 {
		return term{}, e.fail(at, ErrDivideByZero, "")
	}
	k := max(a.kind, b.kind)
	if b.kind == lengthKind {
		if a.kind != lengthKind {
			return term{}, e.fail(at, ErrDimension, "a number cannot be divided by a length; give the number its unit if it is a length")
		}
		k = numberKind
	}
	return e.computed(new(big.Rat).Quo(a.rat, b.rat), k, a.start)
}

// computed guards the growth of exact fractions.
func (e *evaluator) computed(r *big.Rat, k kind, start int) (term, error) {
	if r.Num().BitLen() > maxBits || r.Denom().BitLen() > maxBits {
		return term{}, e.fail(start, ErrOverflow, "the result has too many digits")
	}
	return term{rat: r, kind: k, start: start}, nil
}

// factor reads signs and the primary behind them.
func (e *evaluator) factor(before rune) (term, error) {
	negative := false
	start := e.pos
	for e.peek() == '+' || isDash(e.peek()) {
		if isDash(e.next()) {
			negative = !negative
		}
		e.spaces()
	}
	t, err := e.primary(before)
	if err != nil {
		return term{}, err
	}
	if negative {
		t.rat = new(big.Rat).Neg(t.rat)
		t.start = start
	}
	return t, nil
}

func (e *evaluator) primary(before rune) (term, error) {
	start, r := e.pos, e.peek()
	_, single := vulgar[r]
	switch {
	case isDigit(r) || r == '.' || single:
		q, err := e.quantity(before)
		if err != nil {
			return term{}, err
		}
		k := lengthKind
		switch q.unit {
		case noUnit:
			k = bareKind
		case pieceUnit:
			k = numberKind
		}
		return term{rat: q.value, kind: k, literal: true, start: start}, nil
	case r == '(':
		e.next()
		t, err := e.inside(start, e.sum)
		t.start = start
		return t, err
	}
	word := e.word()
	if word == "" {
		return term{}, e.unexpected("expected a size, a measure's name or a bracket")
	}
	name := strings.ToLower(word)
	if reduce, ok := functions[name]; ok {
		e.spaces()
		if e.peek() != '(' {
			return term{}, e.fail(start, ErrSyntax, "%s needs its values in brackets", name)
		}
		e.next()
		e.args++
		t, err := e.inside(start, func() (term, error) {
			args, err := e.arguments()
			if err != nil {
				return term{}, err
			}
			return reduce(e, name, start, args)
		})
		e.args--
		return t, err
	}
	if reserved(name) {
		return term{}, e.fail(start, ErrSyntax, "the unit %s needs a number before it", name)
	}
	return e.named(name, start)
}

// named looks a measure up.
func (e *evaluator) named(name string, start int) (term, error) {
	if e.lookup != nil {
		if v, ok := e.lookup(name); ok {
			if v.kind == bareKind {
				v = Value{rat: v.nanometres(), kind: lengthKind}
			}
			return term{rat: v.number(), kind: v.kind, start: start}, nil
		}
	}
	if e.suggest != nil {
		if near := e.suggest(name); near != "" {
			return term{}, e.fail(start, ErrUnknownName, "no measure is called %s; did you mean %s?", name, near)
		}
	}
	return term{}, e.fail(start, ErrUnknownName, "no measure is called %s", name)
}

// inside reads up to the closing bracket of the one just opened.
func (e *evaluator) inside(open int, read func() (term, error)) (term, error) {
	if e.depth++; e.depth > maxDepth {
		return term{}, e.fail(open, ErrTooDeep, "more than %d brackets are inside each other", maxDepth)
	}
	e.spaces()
	t, err := read()
	if err != nil {
		return term{}, err
	}
	e.spaces()
	if e.peek() != ')' {
		return term{}, e.unexpected("expected )")
	}
	e.next()
	e.depth--
	t.literal = false
	return t, nil
}

func (e *evaluator) arguments() ([]term, error) {
	var args []term
	for {
		e.spaces()
		t, err := e.sum()
		if err != nil {
			return nil, err
		}
		args = append(args, t)
		e.spaces()
		if e.peek() != ',' {
			return args, nil
		}
		e.next()
	}
}

func (e *evaluator) unexpected(expected string) error {
	if e.done() {
		return e.fail(len(e.text), ErrSyntax, "%s", expected)
	}
	return e.fail(e.pos, ErrSyntax, "%s, found “%c”", expected, e.peek())
}
