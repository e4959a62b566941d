// Package money reads, rounds, splits and writes amounts of one currency.
// Amounts are decimal.Decimal and stay unrounded while they are computed;
// Currency.Round is called once, on the line that is shown. The package
// decides no price: that is plan/cost.
package money

import (
	"strings"

	"github.com/shopspring/decimal"
)

// Currency is a kind of money. MinorDigits is how many decimals its smallest
// unit has: 2 for cents, 0 for yen.
type Currency struct {
	Code        string // ISO 4217
	MinorDigits int32
	Symbol      string // written before the amount; empty = the code behind it
}

// currencies are the ones with a symbol or without two decimals that a maker
// is likely to meet. Digits as in ISO 4217; from memory.
var currencies = map[string]Currency{
	"USD": {"USD", 2, "$"}, "CAD": {"CAD", 2, "$"}, "AUD": {"AUD", 2, "$"}, "NZD": {"NZD", 2, "$"}, "MXN": {"MXN", 2, "$"},
	"EUR": {"EUR", 2, "€"}, "GBP": {"GBP", 2, "£"}, "INR": {"INR", 2, "₹"}, "JPY": {"JPY", 0, "¥"}, "KRW": {"KRW", 0, "₩"},
	"CLP": {"CLP", 0, ""}, "ISK": {"ISK", 0, ""}, "VND": {"VND", 0, "₫"},
	"BHD": {"BHD", 3, ""}, "KWD": {"KWD", 3, ""}, "JOD": {"JOD", 3, ""}, "TND": {"TND", 3, ""},
}

// Of gives the currency of an ISO 4217 code. A code that is not in the table
// has two decimals and is written as the code itself; an empty code gives
// plain amounts with two decimals, as does a text too long for any code.
func Of(code string) Currency {
	code = strings.ToUpper(strings.TrimSpace(code))
	if c, ok := currencies[code]; ok {
		return c
	}
	if len(code) > longestCode {
		code = ""
	}
	return Currency{Code: code, MinorDigits: 2}
}

// longestCode is how long a code or a maker's own word for money may be, in bytes.
const longestCode = 32

// Round rounds to the currency's smallest unit, half up: 2.345 is 2.35. A
// refund mirrors its charge: -2.345 is -2.35.
func (c Currency) Round(d decimal.Decimal) decimal.Decimal { return d.Round(c.MinorDigits) }

// Unit is the currency's smallest amount, 0.01 for cents.
func (c Currency) Unit() decimal.Decimal { return decimal.New(1, -c.MinorDigits) }

// Format writes an amount rounded to the smallest unit: $12.50, -$3.00, ¥80,
// 12.50 CHF. Parse reads it back.
func (c Currency) Format(d decimal.Decimal) string {
	text := c.Round(d).StringFixed(c.MinorDigits)
	if c.Symbol == "" {
		return strings.TrimSpace(text + " " + c.Code)
	}
	if rest, negative := strings.CutPrefix(text, "-"); negative {
		return "-" + c.Symbol + rest
	}
	return c.Symbol + text
}
