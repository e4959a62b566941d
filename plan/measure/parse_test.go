package measure

import (
	"errors"
	"testing"
)

func TestParse(t *testing.T) {
	tests := []struct {
		name string
		text string
		unit Unit
		want Length
	}{
		{"a whole number and a fraction", `23 1/2`, Inches, 23*Inch + Inch/2},
		{"joined by a hyphen", `23-1/2`, Inches, 23*Inch + Inch/2},
		{"joined by a hyphen with the mark", `23-1/2"`, Millimetres, 23*Inch + Inch/2},
		{"feet and inches", `1' 11 1/2"`, Inches, 23*Inch + Inch/2},
		{"feet and inches without the last mark", `1' 11 1/2`, Millimetres, 23*Inch + Inch/2},
		{"feet and inches joined by a hyphen", `1'-11 1/2"`, Inches, 23*Inch + Inch/2},
		{"feet and inches close together", `1'11½"`, Inches, 23*Inch + Inch/2},
		{"feet and inches in words", `2 ft 3 1/4 in`, Millimetres, 27*Inch + Inch/4},
		{"feet and a fraction of an inch", `2' 1/2"`, Inches, 24*Inch + Inch/2},
		{"feet alone", `2 ft`, Millimetres, 2 * Foot},
		{"decimal feet", `1.5'`, Inches, 18 * Inch},
		{"half a foot", `1/2 ft`, Inches, 6 * Inch},
		{"a fraction alone", `3/4`, Inches, 3 * Inch / 4},
		{"stock named by quarters", `5/4"`, Inches, 5 * Inch / 4},
		{"a single-character fraction", `¾`, Inches, 3 * Inch / 4},
		{"a number and a single-character fraction", `23¾`, Inches, 23*Inch + 3*Inch/4},
		{"the same with a space", `23 ¾`, Inches, 23*Inch + 3*Inch/4},
		{"a fraction slash", `1⁄2`, Inches, Inch / 2},
		{"printed prime marks", `1′ 6″`, Inches, 18 * Inch},
		{"curly quotes", `1’ 6”`, Inches, 18 * Inch},
		{"two single marks for an inch", `6''`, Millimetres, 6 * Inch},
		{"a 64th", `1/64`, Inches, 396875},
		{"millimetres", `597 mm`, Inches, 597 * Millimetre},
		{"millimetres close", `597mm`, Inches, 597 * Millimetre},
		{"centimetres", `59.7cm`, Inches, 597 * Millimetre},
		{"metres", `1.2 m`, Inches, 1200 * Millimetre},
		{"upper case", `12 MM`, Inches, 12 * Millimetre},
		{"inches in words", `11 in`, Millimetres, 11 * Inch},
		{"a bare number in millimetres", `19`, Millimetres, 19 * Millimetre},
		{"a bare decimal in millimetres", `19.05`, Millimetres, 19_050_000},
		{"a decimal inch", `0.1`, Inches, 2_540_000},
		{"a decimal without a leading nought", `.5`, Inches, Inch / 2},
		{"a half millimetre", `1/2 mm`, Inches, 500_000},
		{"spaces around", "  3 mm\t", Inches, 3 * Millimetre},
		{"a space that does not break", "23\u00a01/2\u00a0\"", Inches, 23*Inch + Inch/2},
		{"a minus", `-3 1/2`, Inches, -3*Inch - Inch/2},
		{"nought", `0`, Inches, 0},
		{"the limit", `1000 m`, Inches, Limit},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			got, err := Parse(tt.text, tt.unit)
			if err != nil || got != tt.want {
				t.Errorf("Parse(%q, %v) = %d, %v; want %d", tt.text, tt.unit, got, err, tt.want)
			}
			v, err := Eval(tt.text, tt.unit, nil)
			if err != nil {
				t.Fatalf("Eval(%q) refuses what Parse reads: %v", tt.text, err)
			}
			if got, err := v.Length(); err != nil || got != tt.want {
				t.Errorf("Eval(%q, %v) = %d, %v; want %d", tt.text, tt.unit, got, err, tt.want)
			}
		})
	}
}

func TestParseErrors(t *testing.T) {
	tests := []struct {
		name   string
		text   string
		unit   Unit
		err    error
		offset int
	}{
		{"nothing", ``, Inches, ErrEmpty, 0},
		{"only spaces", `  `, Inches, ErrEmpty, 2},
		{"half of a 64th", `1/128`, Inches, ErrFraction, 0},
		{"half of a 64th behind a whole number", `23 1/128"`, Inches, ErrFraction, 0},
		{"a third of an inch", `⅓`, Inches, ErrFraction, 0},
		{"too fine a decimal", `0.12345678 in`, Inches, ErrFraction, 0},
		{"below a nanometre", `0.0000001 mm`, Inches, ErrFraction, 0},
		{"a decimal comma", `59,7 cm`, Inches, ErrComma, 2},
		{"a comma between thousands", `1,200 mm`, Inches, ErrComma, 1},
		{"a decimal comma behind a point", `1.200,5`, Inches, ErrComma, 5},
		{"an unknown unit", `12 mm3`, Inches, ErrSyntax, 5},
		{"an unknown unit close", `12yd`, Inches, ErrUnit, 2},
		{"an unknown unit after a space", `12 yd`, Inches, ErrSyntax, 3},
		{"a count", `5 pcs`, Inches, ErrUnit, 0},
		{"letters", `wide`, Inches, ErrSyntax, 0},
		{"a point alone", `.`, Inches, ErrSyntax, 1},
		{"a point without decimals", `3.`, Inches, ErrSyntax, 2},
		{"a fraction over nought", `1/0`, Inches, ErrDivideByZero, 2},
		{"a fraction above one behind a whole number", `3 5/4`, Inches, ErrAmbiguous, 2},
		{"twelve inches behind feet", `1' 12"`, Inches, ErrSyntax, 3},
		{"millimetres behind feet", `1' 12 mm`, Inches, ErrUnit, 5},
		{"arithmetic", `12 + 3`, Inches, ErrSyntax, 3},
		{"two numbers", `12 3`, Inches, ErrSyntax, 3},
		{"beyond the limit", `1000.001 m`, Inches, ErrOverflow, 0},
		{"far beyond the limit", `99999999999999999999999999`, Inches, ErrOverflow, 0},
		{"a rounded value", `≈23 1/2"`, Inches, ErrSyntax, 0},
		{"an exponent", `1e3`, Inches, ErrUnit, 1},
		{"broken text", "12\xff", Inches, ErrSyntax, 2},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			got, err := Parse(tt.text, tt.unit)
			if got != 0 || !errors.Is(err, tt.err) {
				t.Fatalf("Parse(%q) = %d, %v; want 0, %v", tt.text, got, err, tt.err)
			}
			var place *ParseError
			if !errors.As(err, &place) || place.Offset != tt.offset || place.Input != tt.text {
				t.Errorf("Parse(%q): %#v; want offset %d", tt.text, place, tt.offset)
			}
		})
	}
}
