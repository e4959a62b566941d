package measure

import (
	"errors"
	"strings"
	"testing"
)

// bench is a lookup for the tests: 48 in long, 16 in wide, 1 1/2 in legs, six slats.
func bench(name string) (Value, bool) {
	v, ok := map[string]Value{
		"length": LengthValue(48 * Inch),
		"width":  LengthValue(16 * Inch),
		"leg":    LengthValue(Inch + Inch/2),
		"slats":  NumberValue(6),
		"foot":   LengthValue(4 * Inch),
	}[name]
	return v, ok
}

func TestEvalLengths(t *testing.T) {
	tests := []struct {
		name string
		text string
		unit Unit
		want Length
	}{
		{"a name", `length`, Inches, 48 * Inch},
		{"a name in any case", `LENGTH`, Inches, 48 * Inch},
		{"a bare number beside a length is a length", `length - 2`, Inches, 46 * Inch},
		{"a bare number in a product is a number", `length - 2*leg`, Inches, 45 * Inch},
		{"a bare product beside a length is a length", `length - 2*3/4`, Inches, 48*Inch - Inch - Inch/2},
		{"a bare result is a length", `29 - 3/4`, Inches, 28*Inch + Inch/4},
		{"a bare result in millimetres", `29 - 3/4`, Millimetres, 28_250_000},
		{"units mix", `1" + 1 mm + 1cm`, Inches, Inch + 11*Millimetre},
		{"a minus with spaces subtracts", `24 - 1/2`, Inches, 23*Inch + Inch/2},
		{"a hyphen joins", `24-1/2`, Inches, 24*Inch + Inch/2},
		{"a name and a hyphen subtract", `length-1/2`, Inches, 48*Inch - Inch/2},
		{"a hyphen before a whole number subtracts", `48-12`, Inches, 36 * Inch},
		{"divisors follow each other", `length/3/4`, Inches, 4 * Inch},
		{"a mixed divisor", `length / 1 1/2`, Inches, 32 * Inch},
		{"a fraction in brackets", `length/(3/4)`, Inches, 64 * Inch},
		{"half of a length", `1/2 * length`, Inches, 24 * Inch},
		{"a fraction with its unit times a number", `6 * 3/4"`, Inches, 4*Inch + Inch/2},
		{"feet and inches in a sum", `1' 6" + 2'`, Inches, 42 * Inch},
		{"brackets", `(length - 2*leg) / 3`, Inches, 15 * Inch},
		{"signs", `--(+leg)`, Inches, Inch + Inch/2},
		{"a minus of a bracket", `length + -(width)`, Inches, 32 * Inch},
		{"printed signs", `length − 2×leg ÷ 3`, Inches, 47 * Inch},
		{"the shortest", `min(length, width, 20)`, Inches, 16 * Inch},
		{"the longest", `max(leg, 2)`, Inches, 2 * Inch},
		{"to the nearest step", `round(length/7, 1/16)`, Inches, 6*Inch + 14*Inch/16},
		{"halves away from nought", `round(-(3/32), 1/16)`, Inches, -Inch / 8},
		{"down to a step", `floor(length/7, 1/16)`, Inches, 6*Inch + 13*Inch/16},
		{"up to a step", `ceil(length/7, 1/16)`, Inches, 6*Inch + 14*Inch/16},
		{"a length times a ratio of lengths", `leg * (length/width)`, Inches, 4*Inch + Inch/2},
		{"a measure called foot", `foot + 1 foot`, Inches, 16 * Inch},
		{"gaps between slats", `(length - slats*leg) / (slats - 1)`, Inches, 7*Inch + 4*Inch/5},
		{"thirds round to the nearest nanometre", `1" / 3`, Inches, 8_466_667},
		{"negative thirds round alike", `-1" / 3`, Inches, -8_466_667},
		{"a computed third of a bare number", `2 * (1/3)`, Inches, 16_933_333},
		{"fine parts that add up", `8 * (1/128)`, Inches, Inch / 16},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			v, err := Eval(tt.text, tt.unit, bench)
			if err != nil {
				t.Fatalf("Eval(%q): %v", tt.text, err)
			}
			if got, err := v.Length(); err != nil || got != tt.want {
				t.Errorf("Eval(%q) = %d (%s), %v; want %d (%s)", tt.text, got, Exact(got), err, tt.want, Exact(tt.want))
			}
		})
	}
}

func TestEvalNumbers(t *testing.T) {
	tests := []struct {
		name string
		text string
		want int
	}{
		{"a bare number", `5`, 5},
		{"a count", `5 pcs`, 5},
		{"a count and a bare number", `slats + 1`, 7},
		{"a ratio of lengths", `length / width`, 3},
		{"how many slats fit", `floor((length + 1/4) / (leg + 1/4))`, 27},
		{"how many are needed", `ceil(length / 5")`, 10},
		{"to the nearest whole", `round(length / 5")`, 10},
		{"below nought goes down", `floor(-(1/2))`, -1},
		{"the fewer", `min(slats, 9)`, 6},
		{"to a multiple", `ceil(slats, 4)`, 8},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			v, err := Eval(tt.text, Inches, bench)
			if err != nil {
				t.Fatalf("Eval(%q): %v", tt.text, err)
			}
			if got, err := v.Count(); err != nil || got != tt.want {
				t.Errorf("Eval(%q).Count() = %d, %v; want %d", tt.text, got, err, tt.want)
			}
		})
	}
}

func TestEvalErrors(t *testing.T) {
	deep := ""
	for range maxDepth + 1 {
		deep += "("
	}
	long := make([]byte, maxText+1)
	for i := range long {
		long[i] = '1'
	}
	tests := []struct {
		name   string
		text   string
		err    error
		offset int
	}{
		{"nothing", ``, ErrEmpty, 0},
		{"an unknown name", `lenght - 2`, ErrUnknownName, 0},
		{"an operator at the end", `length -`, ErrSyntax, 8},
		{"two operators", `length * / 2`, ErrSyntax, 9},
		{"a missing bracket", `(length - 2`, ErrSyntax, 11},
		{"a bracket too many", `length)`, ErrSyntax, 6},
		{"a name behind a number", `2 leg`, ErrSyntax, 2},
		{"a name close behind a number", `2leg`, ErrUnit, 1},
		{"a unit alone", `length - mm`, ErrSyntax, 9},
		{"a function without brackets", `min + 2`, ErrSyntax, 0},
		{"a function without values", `min()`, ErrSyntax, 4},
		{"three values for round", `round(1, 2, 3)`, ErrSyntax, 0},
		{"an area", `length * width`, ErrDimension, 7},
		{"a length and a count", `length + slats`, ErrDimension, 7},
		{"a number over a length", `2 / length`, ErrDimension, 2},
		{"floor of a length", `floor(length)`, ErrDimension, 0},
		{"division by nought", `length / 0`, ErrDivideByZero, 7},
		{"division by a difference", `length / (slats - 6)`, ErrDivideByZero, 7},
		{"a step of nought", `round(length, 0)`, ErrDivideByZero, 14},
		{"a hyphen between arithmetic", `length/2-3/4`, ErrAmbiguous, 7},
		{"a hyphen behind a plus", `length - 24-1/2"`, ErrAmbiguous, 9},
		{"a hyphen before a product", `2-1/2*leg`, ErrAmbiguous, 0},
		{"an improper fraction behind a hyphen", `10-5/4`, ErrAmbiguous, 3},
		{"a fraction with a unit as divisor", `length/3/4"`, ErrAmbiguous, 7},
		{"feet and a hyphen in arithmetic", `length - 1'-6"`, ErrAmbiguous, 9},
		{"a written size that is not exact", `length - 1/128`, ErrFraction, 9},
		{"a written third", `1/3`, ErrFraction, 0},
		{"a decimal comma", `length - 1,5`, ErrComma, 10},
		{"a result beyond the limit", `length * 1000000`, ErrOverflow, 0},
		{"brackets too deep", deep, ErrTooDeep, maxDepth},
		{"a text too long", string(long), ErrTooLong, 0},
		{"an unknown character", `length & 2`, ErrSyntax, 7},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			v, err := Eval(tt.text, Inches, bench)
			if v != (Value{}) || !errors.Is(err, tt.err) {
				t.Fatalf("Eval(%q) = %v, %v; want %v", tt.text, v, err, tt.err)
			}
			var place *ParseError
			if !errors.As(err, &place) || place.Offset != tt.offset {
				t.Errorf("Eval(%q): %v at %d; want offset %d", tt.text, err, place.Offset, tt.offset)
			}
		})
	}
}

func TestValueOfTheWrongKind(t *testing.T) {
	if l, err := NumberValue(5).Length(); l != 0 || !errors.Is(err, ErrDimension) {
		t.Errorf("a count as a length: %v, %v; want %v", l, err, ErrDimension)
	}
	if n, err := LengthValue(Inch).Number(); n != nil || !errors.Is(err, ErrDimension) {
		t.Errorf("a length as a number: %v, %v; want %v", n, err, ErrDimension)
	}
	half, err := Eval(`1/2`, Inches, nil)
	if err != nil {
		t.Fatal(err)
	}
	if n, err := half.Count(); n != 0 || !errors.Is(err, ErrFraction) {
		t.Errorf("a half as a count: %v, %v; want %v", n, err, ErrFraction)
	}
}

func TestValuesSayWhatTheyAre(t *testing.T) {
	for text, want := range map[string]string{
		`1 1/2`: "1.5", `5 pcs`: "5", `length - 1/2`: `47 1/2"`, `length/width`: "3", `1"/3`: "8.466667 mm",
	} {
		v, err := Eval(text, Inches, bench)
		if err != nil || v.String() != want {
			t.Errorf("%s is shown as %q, %v; want %q", text, v, err, want)
		}
	}
	if l, err := (Value{}).Length(); l != 0 || err != nil {
		t.Errorf("the zero value is %v, %v", l, err)
	}
	if n, err := NumberValue(1 << 40).Count(); n != 0 || !errors.Is(err, ErrOverflow) {
		t.Errorf("a count beyond a billion: %d, %v", n, err)
	}
	if n, err := LengthValue(Inch).Count(); n != 0 || !errors.Is(err, ErrDimension) {
		t.Errorf("a length as a count: %d, %v", n, err)
	}
	if l, err := LengthValue(Limit + 1).Length(); l != 0 || !errors.Is(err, ErrOverflow) {
		t.Errorf("a length beyond the limit: %d, %v", l, err)
	}
}

func TestErrorsOfLongTextsShowThePlace(t *testing.T) {
	text := strings.Repeat("length + ", 12) + "& 1" + strings.Repeat(" + length", 12)
	_, err := Eval(text, Inches, bench)
	if want := "at character 109 of “…+ length + length + & 1 + length + lengt…”: expected a size, a measure's name or a bracket, found “&”"; err == nil || err.Error() != want {
		t.Errorf("error %q, want %q", err, want)
	}
}
