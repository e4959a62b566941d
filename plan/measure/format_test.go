package measure

import (
	"encoding/json"
	"math/rand/v2"
	"strings"
	"testing"
)

func TestFormat(t *testing.T) {
	inch16 := Style{Unit: Inches, Denominator: 16}
	feet := Style{Unit: Inches, Denominator: 16, FeetAbove: 2 * Foot}
	mm := Style{Unit: Millimetres}
	tests := []struct {
		name string
		l    Length
		s    Style
		want string
	}{
		{"a mixed number in lowest terms", 23*Inch + Inch/2, inch16, `23 1/2"`},
		{"a whole number", 23 * Inch, inch16, `23"`},
		{"a fraction alone", 3 * Inch / 4, inch16, `3/4"`},
		{"nought", 0, inch16, `0"`},
		{"below nought", -3*Inch - Inch/4, inch16, `-3 1/4"`},
		{"finer than shown is rounded and says so", Inch / 64, inch16, `≈0"`},
		{"a half step goes away from nought", Inch / 32, inch16, `≈1/16"`},
		{"a half step below nought too", -Inch / 32, inch16, `≈-1/16"`},
		{"rounded up to a whole", Inch - 1, inch16, `≈1"`},
		{"64ths", 23*Inch + 33*Inch/64, Style{Denominator: 64}, `23 33/64"`},
		{"a denominator of no rule is 16", Inch / 16, Style{Denominator: 10}, `1/16"`},
		{"inches below the feet", 23*Inch + Inch/2, feet, `23 1/2"`},
		{"feet and inches", 25*Inch + Inch/2, feet, `2' 1 1/2"`},
		{"whole feet", 3 * Foot, feet, `3'`},
		{"feet and a fraction", 3*Foot + Inch/8, feet, `3' 1/8"`},
		{"whole millimetres", 597 * Millimetre, mm, `597 mm`},
		{"tenths of a millimetre", 596_900_000, mm, `596.9 mm`},
		{"finer millimetres", 19_050_000, mm, `≈19.1 mm`},
		{"whole millimetres by choice", 596_900_000, Style{Unit: Millimetres, Whole: true}, `≈597 mm`},
		{"the last length of all", -1 << 63, mm, `≈-9223372036854.8 mm`},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			if got := Format(tt.l, tt.s); got != tt.want {
				t.Errorf("Format(%d, %+v) = %q, want %q", tt.l, tt.s, got, tt.want)
			}
		})
	}
}

func TestExact(t *testing.T) {
	for l, want := range map[Length]string{
		23*Inch + Inch/2: `23 1/2"`, Inch / 64: `1/64"`, 19 * Millimetre: `19 mm`, 1: `0.000001 mm`, -SixtyFourth - 1: `-0.396876 mm`,
	} {
		if got := Exact(l); got != want {
			t.Errorf("Exact(%d) = %q, want %q", l, got, want)
		}
	}
	if got := ExactIn(10*Inch, Millimetres); got != "254 mm" {
		t.Errorf("ten inches in millimetres: %q", got)
	}
}

// Parse and Eval read back what Exact and Format write, and a rounded text is
// never further off than half its step.
func TestWritingReadsBack(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 2))
	styles := []Style{
		{Denominator: 8}, {Denominator: 16}, {Denominator: 32}, {Denominator: 64}, {Denominator: 64, FeetAbove: Foot},
		{Unit: Millimetres}, {Unit: Millimetres, Whole: true},
	}
	steps := []Length{Inch / 8, Inch / 16, Inch / 32, Inch / 64, Inch / 64, Millimetre / 10, Millimetre}
	for range 5_000 {
		var l Length
		switch rng.IntN(4) {
		case 0:
			l = SixtyFourth * Length(rng.IntN(1<<14))
		case 1:
			l = Millimetre / 10 * Length(rng.IntN(1<<15))
		default:
			l = Length(rng.Int64N(int64(Limit)))
		}
		if rng.IntN(4) == 0 {
			l = -l
		}
		for _, u := range []Unit{Inches, Millimetres} {
			text := ExactIn(l, u)
			if got, err := Parse(text, Inches); err != nil || got != l {
				t.Fatalf("Parse(ExactIn(%d, %v) = %q) = %d, %v", l, u, text, got, err)
			}
			v, err := Eval(text, Millimetres, nil)
			if got, _ := v.Length(); err != nil || got != l {
				t.Fatalf("Eval(%q) = %d, %v; want %d", text, got, err, l)
			}
		}
		for i, s := range styles {
			text := Format(l, s)
			shown, rounded := strings.CutPrefix(text, "≈")
			got, err := Parse(shown, s.Unit)
			if err != nil {
				t.Fatalf("Parse(Format(%d, %+v) = %q): %v", l, s, text, err)
			}
			off := max(got-l, l-got)
			if rounded == (off == 0) || 2*off > steps[i] {
				t.Fatalf("Format(%d, %+v) = %q is %d nm off", l, s, text, off)
			}
		}
	}
}

func TestLengthIsAPlainIntegerInJSON(t *testing.T) {
	got, err := json.Marshal(SixtyFourth)
	if err != nil || string(got) != "396875" {
		t.Errorf("JSON of 1/64 in = %s, %v; want 396875", got, err)
	}
}
