package locale

import (
	"testing"
	"time"

	"github.com/shopspring/decimal"
	"golang.org/x/text/language"
	"golang.org/x/text/message"

	"pilewright/plan/measure"
	"pilewright/plan/money"
)

// as runs a test with the numbers of a language in a region, and puts English
// back.
func as(t *testing.T, language, region string) {
	t.Helper()
	setNumbers(language, region)
	t.Cleanup(func() { setNumbers("en", "") })
}

func TestNumbersAreWrittenAsTheRegionDoes(t *testing.T) {
	amount := decimal.RequireFromString("1234.5")
	for _, c := range []struct {
		name, language, region, length, euros, dollars, share string
	}{
		{"English", "en", "", "12.7 mm", "€1234.50", "$1234.50", "6.5 %"},
		{"Spanish without a region", "es", "", "12,7 mm", "1234,50\u00a0€", "1234,50\u00a0$", "6,5 %"},
		{"Spain", "es", "ES", "12,7 mm", "1234,50\u00a0€", "1234,50\u00a0$", "6,5 %"},
		{"Mexico", "es", "MX", "12.7 mm", "€1234.50", "$1234.50", "6.5 %"},
		{"Argentina", "es", "AR", "12,7 mm", "€1234,50", "$1234,50", "6,5 %"},
	} {
		t.Run(c.name, func(t *testing.T) {
			as(t, c.language, c.region)
			for _, got := range [][2]string{
				{Length(measure.Inch/2, measure.Style{Unit: measure.Millimetres}), c.length},
				{Money(money.Of("EUR"), amount), c.euros}, {Money(money.Of("USD"), amount), c.dollars},
				{Percent(decimal.RequireFromString("0.065"), 2), c.share},
			} {
				if got[0] != got[1] {
					t.Errorf("got %q, want %q", got[0], got[1])
				}
			}
		})
	}
}

// The decimal sign is CLDR's, as golang.org/x/text carries it.
func TestTheDecimalSignIsThatOfCLDR(t *testing.T) {
	for _, tag := range []string{"en", "en-GB", "es", "es-ES", "es-MX", "es-AR", "es-CL", "es-US", "es-PE"} {
		base, region := tag[:2], ""
		if len(tag) > 2 {
			region = tag[3:]
		}
		as(t, base, region)
		if got, want := Float(1.5, 1), message.NewPrinter(language.MustParse(tag)).Sprintf("%.1f", 1.5); got != want {
			t.Errorf("%s: got %s, want %s", tag, got, want)
		}
	}
}

func TestATypedNumberIsReadWithEitherSign(t *testing.T) {
	for _, c := range []struct {
		name, region, typed, want string // want empty: refused
	}{
		{"comma where it is the sign", "ES", "12,5", "12.5"},
		{"point where the comma is the sign", "ES", "12.5", "12.5"},
		{"both, as in Spain", "ES", "1.234,5", "1234.5"},
		{"both, as in Mexico", "ES", "1,234.5", "1234.5"},
		{"thousands twice", "ES", "1.234.567", "1234567"},
		{"three digits behind a point could be thousands", "ES", "1.234", ""},
		{"three digits behind nothing could not", "ES", "0.125", "0.125"},
		{"three digits behind four could not", "ES", "1234.125", "1234.125"},
		{"three digits behind the sign itself", "ES", "1,234", "1.234"},
		{"no number at all", "ES", "roble", "roble"},
		{"a list keeps its commas", "ES", "9-12, 13-17", "9-12, 13-17"},
		{"a range keeps its points", "ES", "nudo@13..14,5", "nudo@13..14.5"},
		{"an argument of a function keeps its comma", "ES", "max(2,5) + 1,5", "max(2,5) + 1.5"},
		{"plain brackets do not", "ES", "(2,5 + 1,5) * 2", "(2.5 + 1.5) * 2"},
		{"comma in English, where only one reading makes sense", "US", "12,5", "12.5"},
		{"point in English", "US", "1.234", "1.234"},
		{"thousands in English", "US", "1,234.5", "1234.5"},
		{"three digits behind a comma in English could be thousands", "US", "1,234", ""},
	} {
		t.Run(c.name, func(t *testing.T) {
			spoken := "es"
			if c.region == "US" {
				spoken = "en"
			}
			as(t, spoken, c.region)
			got, err := Plain(c.typed)
			if (err != nil) != (c.want == "") || got != c.want {
				t.Errorf("%q reads as %q, %v; want %q", c.typed, got, err, c.want)
			}
		})
	}
}

func TestWhatIsWrittenIsReadBackExactly(t *testing.T) {
	for _, region := range []string{"", "ES", "MX"} {
		as(t, "es", region)
		for nm := measure.Length(0); nm < 3*measure.Inch; nm += 100_000 { // tenths of a millimetre
			text := Length(nm, measure.Style{Unit: measure.Millimetres})
			if got, err := ParseLength(text, measure.Millimetres); err != nil || got != nm {
				t.Fatalf("%s: %s reads as %d, %v; it was %d", region, text, got, err, nm)
			}
		}
		eur := money.Of("EUR")
		for cents := int64(0); cents < 200_000; cents += 37 {
			d := decimal.New(cents, -2)
			if got, err := ParseMoney(Money(eur, d), eur); err != nil || !got.Equal(d) {
				t.Fatalf("%s: %s reads as %s, %v", region, Money(eur, d), got, err)
			}
		}
	}
}

func FuzzPlain(f *testing.F) {
	for _, s := range []string{"12,5", "1.234,5", "max(1,5)", "((1,5", "1..2", "é1,5)"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		setNumbers("es", "ES")
		defer setNumbers("en", "")
		plain, err := Plain(s)
		if err != nil {
			return
		}
		if again, err := Plain(plain); err == nil && len(again) > len(plain) {
			t.Errorf("%q reads as %q, that as %q", s, plain, again)
		}
	})
}

func TestDatesAreSetInTheLanguage(t *testing.T) {
	t.Cleanup(func() { choose(t, "en") })
	at := time.Date(2026, time.May, 4, 18, 5, 0, 0, time.UTC) // a Monday
	for _, c := range []struct{ language, long, short string }{
		{"en", "Monday 4 May, 18:05", "Mon 4 May"}, {"es", "lunes 4 de mayo, 18:05", "lun 4 may"},
	} {
		choose(t, c.language)
		if got := Day(at, "Monday 2 January, 15:04"); got != c.long {
			t.Errorf("%s: got %q, want %q", c.language, got, c.long)
		}
		if got := Day(at, "Mon 2 Jan"); got != c.short {
			t.Errorf("%s: got %q, want %q", c.language, got, c.short)
		}
	}
}

func choose(t *testing.T, language string) {
	t.Helper()
	if err := Use(language); err != nil {
		t.Fatal(err)
	}
}
