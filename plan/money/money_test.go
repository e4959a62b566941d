package money

import (
	"encoding/json"
	"errors"
	"math/big"
	"math/rand/v2"
	"strings"
	"testing"

	"github.com/shopspring/decimal"
)

func dec(text string) decimal.Decimal { return decimal.RequireFromString(text) }

func TestParse(t *testing.T) {
	tests := []struct{ name, code, text, want string }{
		{"a plain amount", "USD", "12.50", "12.5"},
		{"a whole amount", "USD", "12", "12"},
		{"no leading nought", "USD", ".5", "0.5"},
		{"the symbol before", "USD", "$12.50", "12.5"},
		{"the symbol behind", "EUR", "12.50 €", "12.5"},
		{"the code before", "USD", "usd 12.50", "12.5"},
		{"the code behind", "CHF", "12.50 CHF", "12.5"},
		{"below nought", "USD", "-3", "-3"},
		{"below nought with the symbol", "USD", "-$3.00", "-3"},
		{"below nought behind the symbol", "USD", "$ -3", "-3"},
		{"yen", "JPY", "¥800", "800"},
		{"three decimals", "KWD", "1.234", "1.234"},
		{"spaces", "USD", "  7 ", "7"},
		{"no currency set", "", "7.25", "7.25"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			got, err := Of(tt.code).Parse(tt.text)
			if err != nil || !got.Equal(dec(tt.want)) {
				t.Errorf("%s Parse(%q) = %s, %v; want %s", tt.code, tt.text, got, err, tt.want)
			}
		})
	}
}

func TestParseErrors(t *testing.T) {
	tests := []struct {
		name, code, text string
		err              error
		offset           int
	}{
		{"nothing", "USD", "", ErrEmpty, 0},
		{"a comma", "EUR", "12,50", ErrComma, 2},
		{"a comma between thousands", "USD", "1,200.00", ErrComma, 1},
		{"a comma behind the point", "USD", "1.200,00", ErrComma, 5},
		{"a fraction of a cent", "USD", "12.505", ErrDecimals, 0},
		{"decimals of a yen", "JPY", "12.5", ErrDecimals, 0},
		{"another currency", "USD", "€12", ErrCurrency, 0},
		{"another code", "USD", "12 EUR", ErrCurrency, 3},
		{"two signs", "USD", "--3", ErrSyntax, 1},
		{"a symbol alone", "USD", "$", ErrSyntax, 1},
		{"two numbers", "USD", "3 4", ErrSyntax, 2},
		{"a point alone", "USD", "3.", ErrSyntax, 2},
		{"too large", "USD", "1000000000000.01", ErrOverflow, 0},
		{"too long", "USD", strings.Repeat("1", 70), ErrSyntax, 0},
		{"an exponent", "USD", "1e3", ErrCurrency, 1},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			got, err := Of(tt.code).Parse(tt.text)
			var place *ParseError
			if !got.IsZero() || !errors.Is(err, tt.err) || !errors.As(err, &place) || place.Offset != tt.offset {
				t.Errorf("%s Parse(%q) = %s, %v; want %v at %d", tt.code, tt.text, got, err, tt.err, tt.offset)
			}
		})
	}
}

func TestPercent(t *testing.T) {
	for text, want := range map[string]string{"6.5": "0.065", "6.5 %": "0.065", "8.25%": "0.0825", "0": "0", "-2": "-0.02"} {
		if got, err := ParsePercent(text); err != nil || !got.Equal(dec(want)) {
			t.Errorf("ParsePercent(%q) = %s, %v; want %s", text, got, err, want)
		}
	}
	for _, text := range []string{"", "%", "6,5", "6.5 %%", "6 percent"} {
		if got, err := ParsePercent(text); err == nil {
			t.Errorf("ParsePercent(%q) = %s, want an error", text, got)
		}
	}
	if got := FormatPercent(dec("0.08256"), 1); got != "8.3 %" {
		t.Errorf("FormatPercent = %q, want 8.3 %%", got)
	}
}

// mo02 of ../shared/checks.csv: half up to cents.
func TestRoundHalfUp(t *testing.T) {
	usd := Of("USD")
	for in, want := range map[string]string{"2.345": "2.35", "2.355": "2.36", "2.365": "2.37", "2.3449999": "2.34", "-2.345": "-2.35"} {
		if got := usd.Round(dec(in)); !got.Equal(dec(want)) {
			t.Errorf("Round(%s) = %s, want %s", in, got, want)
		}
	}
	// mo09: 8.25 % of 199.99 is 16.499175 before rounding.
	if got := usd.Round(dec("199.99").Mul(dec("0.0825"))); got.String() != "16.5" {
		t.Errorf("tax of mo09 = %s, want 16.50", got)
	}
}

func TestFormat(t *testing.T) {
	tests := []struct{ name, code, in, want string }{
		{"dollars", "USD", "1234.5", "$1234.50"},
		{"below nought", "USD", "-3", "-$3.00"},
		{"rounded to nought has no sign", "USD", "-0.001", "$0.00"},
		{"a code", "CHF", "12.5", "12.50 CHF"},
		{"yen", "JPY", "79.5", "¥80"},
		{"plain", "", "2", "2.00"},
		{"a word of the maker's own", "loaves of bread", "2", "2.00 LOAVES OF BREAD"},
		{"too long for any code", strings.Repeat("loaves ", 400), "2", "2.00"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			if got := Of(tt.code).Format(dec(tt.in)); got != tt.want {
				t.Errorf("%s Format(%s) = %q, want %q", tt.code, tt.in, got, tt.want)
			}
		})
	}
}

func TestJSONIsDecimalText(t *testing.T) {
	got, err := json.Marshal(dec("12.50"))
	if err != nil || string(got) != `"12.5"` {
		t.Errorf("JSON = %s, %v", got, err)
	}
}

// mo10 of ../shared/checks.csv.
func TestSplit(t *testing.T) {
	usd := Of("USD")
	tests := []struct {
		name    string
		total   string
		weights []string
		want    string
	}{
		{"mo10: a hundred over three", "100.00", []string{"1", "1", "1"}, "33.34 33.33 33.33"},
		{"the largest remainder gets the cent", "1.00", []string{"1", "2"}, "0.33 0.67"},
		{"weights of nought", "0.05", []string{"0", "0"}, "0.03 0.02"},
		{"a weight below nought gets nothing", "5", []string{"-1", "1"}, "0.00 5.00"},
		{"a refund mirrors", "-100", []string{"1", "1", "1"}, "-33.34 -33.33 -33.33"},
		{"one part", "9.99", []string{"7"}, "9.99"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			var weights []decimal.Decimal
			for _, w := range tt.weights {
				weights = append(weights, dec(w))
			}
			var got []string
			for _, p := range usd.Split(dec(tt.total), weights...) {
				got = append(got, p.StringFixed(2))
			}
			if s := strings.Join(got, " "); s != tt.want {
				t.Errorf("Split(%s, %v) = %s, want %s", tt.total, tt.weights, s, tt.want)
			}
		})
	}
	if got := usd.Split(dec("5")); got != nil {
		t.Errorf("no weights: %v", got)
	}
}

// The parts add up and each is within one unit of its exact share, which
// math/big computes.
func TestSplitKeepsTheSum(t *testing.T) {
	rng := rand.New(rand.NewPCG(5, 6))
	for range 5000 {
		c := Currency{MinorDigits: int32(rng.IntN(4))}
		total := decimal.New(rng.Int64N(2_000_000)-1_000_000, -c.MinorDigits)
		weights := make([]decimal.Decimal, 1+rng.IntN(9))
		sum := new(big.Rat)
		for i := range weights {
			weights[i] = decimal.New(1+rng.Int64N(100_000), -int32(rng.IntN(5)))
			sum.Add(sum, weights[i].Rat())
		}
		got := decimal.Zero
		for i, p := range c.Split(total, weights...) {
			got = got.Add(p)
			exact := new(big.Rat).Mul(total.Rat(), new(big.Rat).Quo(weights[i].Rat(), sum))
			off := exact.Sub(p.Rat(), exact)
			if off.Abs(off).Cmp(c.Unit().Rat()) >= 0 || !p.Equal(c.Round(p)) {
				t.Fatalf("Split(%s, %v) part %d = %s", total, weights, i, p)
			}
		}
		if !got.Equal(total) {
			t.Fatalf("Split(%s, %v) adds up to %s", total, weights, got)
		}
	}
}

func FuzzParse(f *testing.F) {
	for _, s := range []string{"12.50", "$12.50", "-$3", "12,50", "12.50 USD", "€1", "", "--1", "1e3", "\xff", ".", "$ - 3", "%"} {
		f.Add(s, uint8(0))
		f.Add(s, uint8(4))
	}
	codes := []string{"USD", "EUR", "JPY", "CHF", "KWD", ""}
	f.Fuzz(func(t *testing.T, text string, which uint8) {
		c := Of(codes[int(which)%len(codes)])
		d, err := c.Parse(text)
		if err != nil {
			var place *ParseError
			if !errors.As(err, &place) || place.Offset < 0 || place.Offset > len(text) || place.Error() == "" {
				t.Fatalf("Parse(%q): %v", text, err)
			}
		} else if again, err := c.Parse(c.Format(d)); err != nil || !again.Equal(d) {
			t.Fatalf("Parse(%q) = %s; written %q reads %s, %v", text, d, c.Format(d), again, err)
		}
		if p, err := ParsePercent(text); err == nil && p.Abs().GreaterThan(limit) {
			t.Fatalf("ParsePercent(%q) = %s", text, p)
		}
	})
}
