package measure

import (
	"errors"
	"testing"
	"unicode/utf8"
)

var seeds = []string{
	`23 1/2`, `23-1/2"`, `1' 11 1/2"`, `3/4`, `¾`, `23¾`, `1′ 6″`, `597 mm`, `59.7cm`, `1.2 m`, `2 ft`, `11 in`, `-3 1/2`, `1'-6"`,
	`length - 2*overhang`, `(length - 2*leg) / 3`, `min(a, max(b, 2"))`, `round(length/7, 1/16)`, `floor(length / 3)`, `5 pcs`,
	`1/128`, `12,5`, `length/2-3/4`, `1/0`, `((((`, `2leg`, `≈3`, ``, "\xff", `6 '' 6`, `.5.5`, `1⁄2`, `3 1/`, `1' 12"`,
	`99999999999999999999`, `--−–+4`, `İ + K`, `a*a*a*a*a`,
}

func placed(t *testing.T, text string, err error) {
	t.Helper()
	var place *ParseError
	if !errors.As(err, &place) {
		t.Fatalf("%q: error %T is not a *ParseError", text, err)
	}
	if place.Offset < 0 || place.Offset > len(text) || place.Input != text {
		t.Fatalf("%q: place %d of %q", text, place.Offset, place.Input)
	}
	if place.Offset < len(text) && utf8.ValidString(text) && !utf8.RuneStart(text[place.Offset]) {
		t.Fatalf("%q: place %d is inside a character", text, place.Offset)
	}
	if place.Error() == "" {
		t.Fatalf("%q: error says nothing", text)
	}
}

func FuzzParse(f *testing.F) {
	for _, s := range seeds {
		f.Add(s, false)
		f.Add(s, true)
	}
	f.Fuzz(func(t *testing.T, text string, metric bool) {
		unit := Inches
		if metric {
			unit = Millimetres
		}
		l, err := Parse(text, unit)
		if err != nil {
			placed(t, text, err)
			if l != 0 {
				t.Fatalf("%q: %d beside an error", text, l)
			}
			return
		}
		if l > Limit || l < -Limit {
			t.Fatalf("%q = %d is beyond the limit", text, l)
		}
		if again, err := Parse(ExactIn(l, unit), unit); err != nil || again != l {
			t.Fatalf("%q = %d; written %q reads %d, %v", text, l, ExactIn(l, unit), again, err)
		}
		v, err := Eval(text, unit, nil)
		if err != nil {
			t.Fatalf("Eval refuses %q: %v", text, err)
		}
		if got, err := v.Length(); err != nil || got != l {
			t.Fatalf("%q: Parse gives %d, Eval %d, %v", text, l, got, err)
		}
	})
}

func FuzzEval(f *testing.F) {
	for _, s := range seeds {
		f.Add(s, false)
		f.Add(s, true)
	}
	f.Fuzz(func(t *testing.T, text string, metric bool) {
		unit := Inches
		if metric {
			unit = Millimetres
		}
		asked := map[string]bool{}
		v, err := Eval(text, unit, func(name string) (Value, bool) {
			asked[name] = true
			return LengthValue(7 * Inch), true
		})
		if err != nil {
			placed(t, text, err)
		} else if !v.IsNumber() {
			if l, err := v.Length(); err == nil {
				again, err := Parse(Exact(l), unit)
				if err != nil || again != l {
					t.Fatalf("%q = %d; written %q reads %d, %v", text, l, Exact(l), again, err)
				}
			} else if !errors.Is(err, ErrOverflow) {
				t.Fatalf("%q as a length: %v", text, err)
			}
		}
		named := map[string]bool{}
		for _, n := range Names(text) {
			named[n] = true
			if err := ValidName(n); err != nil && len(n) <= maxText {
				t.Fatalf("Names(%q) gives %q: %v", text, n, err)
			}
		}
		for n := range asked {
			if !named[n] {
				t.Fatalf("Eval(%q) asks for %q, which Names leaves out", text, n)
			}
		}
		for n := range named {
			renamed := Rename(text, n, "zz9")
			for _, left := range Names(renamed) {
				if left == n && n != "zz9" {
					t.Fatalf("Rename(%q, %q) leaves it: %q", text, n, renamed)
				}
			}
		}
	})
}

func FuzzResolve(f *testing.F) {
	f.Add("b + 1", "29", "a / 2")
	f.Add("b", "c", "a")
	f.Add("floor(b / 3)", "c*2", "1/2")
	f.Add("1/3 pcs", "a*a*a*a*a*a*a*a", "b*b*b*b*b*b*b*b*b")
	f.Fuzz(func(t *testing.T, a, b, c string) {
		defs := []Definition{{"a", a}, {"b", b}, {"c", c}}
		values, errs := ResolveEach(defs, Inches)
		if len(values)+len(errs) != 3 {
			t.Fatalf("%v: %d values and %d errors for 3 measures", defs, len(values), len(errs))
		}
		for _, v := range values {
			if v.IsNumber() {
				continue
			}
			if _, err := v.Length(); err != nil {
				t.Fatalf("%v: a resolved length has %v", defs, err)
			}
		}
		for _, e := range errs {
			if e.Error() == "" {
				t.Fatal("an error says nothing")
			}
		}
	})
}
