package measure

import (
	"math/bits"
	"strconv"
	"strings"
)

// Style is how lengths are shown.
type Style struct {
	Unit        Unit
	Denominator int    // finest fraction of an inch: 2, 4, 8, 16, 32 or 64; anything else is 16
	FeetAbove   Length // from this length on show feet and inches; zero = inches only
	Whole       bool   // show whole millimetres; else tenths where there are any
}

// Format writes a length for reading: 23 1/2", 1' 11 1/2", 597 mm, 596.9 mm.
// What the style cannot show exactly is rounded to its nearest step, halves
// away from zero, and prefixed with ≈. Text without ≈ parses back to l.
func Format(l Length, s Style) string {
	step := Millimetre / 10
	if s.Unit == Millimetres {
		if s.Whole {
			step = Millimetre
		}
	} else {
		step = Inch / Length(s.denominator())
	}
	n := magnitudeOf(l)
	rest := n % uint64(step)
	n -= rest
	var b strings.Builder
	if rest > 0 {
		b.WriteString("≈")
		if 2*rest >= uint64(step) {
			n += uint64(step)
		}
	}
	if l < 0 && n > 0 {
		b.WriteString("-")
	}
	if s.Unit == Millimetres {
		writeMillimetres(&b, n)
		return b.String()
	}
	if s.FeetAbove > 0 && n >= uint64(s.FeetAbove) && n >= uint64(Foot) {
		b.WriteString(strconv.FormatUint(n/uint64(Foot), 10))
		b.WriteString("'")
		if n %= uint64(Foot); n == 0 {
			return b.String()
		}
		b.WriteString(" ")
	}
	writeInches(&b, n)
	return b.String()
}

func (s Style) denominator() int {
	if s.Denominator >= 2 && s.Denominator <= 64 && bits.OnesCount(uint(s.Denominator)) == 1 {
		return s.Denominator
	}
	return 16
}

// Exact writes a length in full: a fraction of an inch where 64ths hold it,
// else millimetres with up to six decimals. Parse(Exact(l)) is l for every l
// within Limit.
func Exact(l Length) string { return ExactIn(l, Inches) }

// ExactIn is Exact, in millimetres where unit says so.
func ExactIn(l Length, unit Unit) string {
	var b strings.Builder
	if l < 0 {
		b.WriteString("-")
	}
	n := magnitudeOf(l)
	if unit == Inches && l%SixtyFourth == 0 {
		writeInches(&b, n)
	} else {
		writeMillimetres(&b, n)
	}
	return b.String()
}

func magnitudeOf(l Length) uint64 {
	if l < 0 {
		return -uint64(l)
	}
	return uint64(l)
}

// writeInches writes a multiple of 1/64 in.
func writeInches(b *strings.Builder, nm uint64) {
	whole, parts := nm/uint64(Inch), nm%uint64(Inch)/uint64(SixtyFourth)
	if whole > 0 || parts == 0 {
		b.WriteString(strconv.FormatUint(whole, 10))
	}
	if parts > 0 {
		if whole > 0 {
			b.WriteString(" ")
		}
		shift := bits.TrailingZeros64(parts)
		b.WriteString(strconv.FormatUint(parts>>shift, 10))
		b.WriteString("/")
		b.WriteString(strconv.FormatUint(64>>shift, 10))
	}
	b.WriteString(`"`)
}

func writeMillimetres(b *strings.Builder, nm uint64) {
	b.WriteString(strconv.FormatUint(nm/uint64(Millimetre), 10))
	if rest := nm % uint64(Millimetre); rest > 0 {
		decimals := strconv.FormatUint(uint64(Millimetre)+rest, 10)[1:]
		b.WriteString(".")
		b.WriteString(strings.TrimRight(decimals, "0"))
	}
	b.WriteString(" mm")
}
