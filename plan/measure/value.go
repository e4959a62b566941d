package measure

import (
	"math/big"
	"strings"
)

// kind tells what a value stands for.
type kind uint8

const (
	bareKind   kind = iota // written without a unit: reads as a number or as a length
	numberKind             // a plain number: a count, a ratio
	lengthKind             // nanometres
)

// Value is the exact result of shop arithmetic: a length, a plain number, or a
// number written without a unit, which serves as either (29 is a height of 29
// inches or a count of 29). The zero Value is the bare number 0 in inches.
type Value struct {
	rat  *big.Rat // nil is zero
	kind kind
	unit Unit // how a bare number is read as a length
}

// LengthValue is a length as a value.
func LengthValue(l Length) Value {
	return Value{rat: new(big.Rat).SetInt64(int64(l)), kind: lengthKind}
}

// NumberValue is a count as a value.
func NumberValue(n int64) Value {
	return Value{rat: new(big.Rat).SetInt64(n), kind: numberKind}
}

// IsLength reports whether the value can only be a length.
func (v Value) IsLength() bool { return v.kind == lengthKind }

// IsNumber reports whether the value can only be a plain number.
func (v Value) IsNumber() bool { return v.kind == numberKind }

// Length gives the value as a length, rounded to the nearest nanometre, halves
// away from zero. ErrDimension for a plain number, ErrOverflow beyond Limit.
func (v Value) Length() (Length, error) {
	if v.kind == numberKind {
		return 0, because(ErrDimension, "this gives the plain number %s, a length is needed", v.plain())
	}
	nm := v.nanometres()
	if new(big.Rat).Abs(nm).Cmp(limitRat) > 0 {
		return 0, because(ErrOverflow, tooLong)
	}
	return Length(roundRat(nm).Int64()), nil
}

// Number gives the value as a plain number; ErrDimension for a length.
func (v Value) Number() (*big.Rat, error) {
	if v.kind == lengthKind {
		return nil, because(ErrDimension, "this gives the length %s, a plain number is needed; a measure that counts is written as in 5 pcs", v)
	}
	return new(big.Rat).Set(v.number()), nil
}

// Count gives the value as a whole number; ErrDimension for a length,
// ErrFraction where it is not whole, ErrOverflow beyond a billion.
func (v Value) Count() (int, error) {
	n, err := v.Number()
	if err != nil {
		return 0, err
	}
	if !n.IsInt() {
		return 0, because(ErrFraction, "this gives %s, a whole number is needed; floor or round makes one", v.plain())
	}
	if n.Num().BitLen() > 30 {
		return 0, because(ErrOverflow, "this is beyond a billion, the most that can be counted")
	}
	return int(n.Num().Int64()), nil
}

// String gives the value for messages: a length exactly, a number with at most
// four decimals.
func (v Value) String() string {
	if v.kind == lengthKind {
		l, err := v.Length()
		if err != nil {
			return v.plain() + " nm"
		}
		return Exact(l)
	}
	return v.plain()
}

// plain writes the number with at most four decimals.
func (v Value) plain() string {
	n := v.number()
	if n.IsInt() {
		return n.Num().String()
	}
	return strings.TrimRight(strings.TrimRight(n.FloatString(4), "0"), ".")
}

func (v Value) number() *big.Rat {
	if v.rat == nil {
		return new(big.Rat)
	}
	return v.rat
}

func (v Value) nanometres() *big.Rat {
	if v.kind == lengthKind {
		return v.number()
	}
	return new(big.Rat).Mul(v.number(), new(big.Rat).SetInt64(int64(v.unit.Length())))
}

// floorRat gives the greatest whole number not above r.
func floorRat(r *big.Rat) *big.Int {
	q, m := new(big.Int).DivMod(r.Num(), r.Denom(), new(big.Int))
	_ = m // Euclidean division: the remainder is never negative
	return q
}

// roundRat rounds to the nearest whole number, halves away from zero.
func roundRat(r *big.Rat) *big.Int {
	half := big.NewRat(1, 2)
	if r.Sign() < 0 {
		n := floorRat(new(big.Rat).Add(new(big.Rat).Neg(r), half))
		return n.Neg(n)
	}
	return floorRat(new(big.Rat).Add(r, half))
}
