package locale

import (
	"strconv"
	"strings"
	"time"
	"unicode"

	"fyne.io/fyne/v2/lang"
	"github.com/shopspring/decimal"
	"golang.org/x/text/language"
	"golang.org/x/text/message"

	"pilewright/plan/measure"
	"pilewright/plan/money"
)

// Signs of numbers; decimal sign and the other one, which may stand between
// thousands when a number is read. No number is written with it.
var point, other byte = '.', ','

// moneyBehind says that a currency's symbol stands behind the amount.
var moneyBehind bool

// setNumbers chooses the signs of a language in a region, as CLDR has them: a
// Spaniard writes 12,50 €, a Mexican $12.50.
func setNumbers(spoken, region string) {
	name := spoken
	if region != "" {
		name += "-" + region
	}
	tag, err := language.Parse(name)
	if err != nil {
		tag = language.English
	}
	point, other = '.', ','
	if strings.Contains(message.NewPrinter(tag).Sprintf("%.1f", 1.5), ",") {
		point, other = ',', '.'
	}
	// CLDR's currency patterns of Spanish: behind in Spain and in plain "es",
	// before it in the Americas (es-419). From memory.
	moneyBehind = spoken == "es" && (region == "" || region == "ES" || region == "EA" || region == "IC")
}

// Point is the decimal sign in use.
func Point() string { return string(point) }

// Number writes a number, or a text with numbers in it such as 12.5 mm, with the
// decimal sign in use. Arguments of functions keep the point: there a comma
// stands between them.
func Number(text string) string {
	if point == '.' {
		return text
	}
	out := []byte(text)
	eachNumber(text, func(start, end int) {
		for i := start; i < end; i++ {
			if out[i] == '.' {
				out[i] = point
			}
		}
	})
	return string(out)
}

// Float writes a number with so many decimals; -1 = as many as it has.
func Float(v float64, places int) string {
	return Number(strconv.FormatFloat(v, 'f', places, 64))
}

// Decimal writes a number with so many decimals, rounded half up.
func Decimal(d decimal.Decimal, places int32) string { return Number(d.StringFixed(places)) }

// Percent writes a share: 0.065 is 6.5 %.
func Percent(share decimal.Decimal, places int32) string {
	return Number(money.FormatPercent(share, places))
}

// Length writes a length in a style.
func Length(l measure.Length, s measure.Style) string { return Number(measure.Format(l, s)) }

// Money writes an amount of a currency, rounded once: $12.50, 12,50 €.
func Money(c money.Currency, d decimal.Decimal) string {
	if moneyBehind && c.Symbol != "" {
		return Number(c.Round(d).StringFixed(c.MinorDigits)) + "\u00a0" + c.Symbol
	}
	return Number(c.Format(d))
}

// Plain gives a text that was typed with its numbers in the form the parsers
// read: 12,5 and 12.5 are both 12.5 where only one reading makes sense, and
// 1.234,5 is 1234.5. A number with three digits behind the wrong sign, which
// could be thousands, is refused.
func Plain(text string) (string, error) {
	var out strings.Builder
	var err error
	last := 0
	eachNumber(text, func(start, end int) {
		out.WriteString(text[last:start])
		last = end
		number, bad := plainNumber(text[start:end])
		if bad != nil && err == nil {
			err = bad
		}
		out.WriteString(number)
	})
	if err != nil {
		return "", err
	}
	out.WriteString(text[last:])
	return strings.ReplaceAll(out.String(), "\u00a0", " "), nil
}

// plainNumber reads one run of digits with single signs between them.
func plainNumber(run string) (string, error) {
	points, commas := strings.Count(run, string(point)), strings.Count(run, string(other))
	switch {
	case points == 1 && commas == 0:
		return strings.Replace(run, string(point), ".", 1), nil
	case points == 0 && commas == 1:
		whole, rest, _ := strings.Cut(run, string(other))
		if len(rest) == 3 && len(whole) <= 3 && strings.Trim(whole, "0") != "" {
			return "", Error("“{{.number}}” can be read in two ways: write {{.whole}} or {{.part}}", With{
				"number": run, "whole": whole + rest, "part": whole + string(point) + rest})
		}
		return whole + "." + rest, nil
	case points > 1 && commas == 0 && thousands(run, point):
		return strings.ReplaceAll(run, string(point), ""), nil
	case points == 0 && commas > 1 && thousands(run, other):
		return strings.ReplaceAll(run, string(other), ""), nil
	case points == 1 && commas > 0 && strings.LastIndexByte(run, other) < strings.IndexByte(run, point):
		if whole, rest, _ := strings.Cut(run, string(point)); thousands(whole, other) {
			return strings.ReplaceAll(whole, string(other), "") + "." + rest, nil
		}
	case commas == 1 && points > 0 && strings.LastIndexByte(run, point) < strings.IndexByte(run, other):
		if whole, rest, _ := strings.Cut(run, string(other)); thousands(whole, point) {
			return strings.ReplaceAll(whole, string(point), "") + "." + rest, nil
		}
	}
	return run, nil
}

// thousands reports whether a sign stands where it parts thousands.
func thousands(run string, sign byte) bool {
	for i, group := range strings.Split(run, string(sign)) {
		if len(group) != 3 && (i > 0 || len(group) == 0 || len(group) > 3) {
			return false
		}
	}
	return true
}

// eachNumber finds the runs of digits and single signs between them, but for
// those in the brackets of a function.
func eachNumber(text string, found func(start, end int)) {
	digit := func(i int) bool { return i >= 0 && i < len(text) && '0' <= text[i] && text[i] <= '9' }
	var inside []bool // for every open bracket, whether it is, or is in, a function's
	for i := 0; i < len(text); {
		switch {
		case text[i] == '(':
			before := rune(0)
			for _, r := range text[:i] {
				before = r
			}
			function := len(inside) > 0 && inside[len(inside)-1] || before == '_' || unicode.IsLetter(before) || unicode.IsDigit(before)
			inside = append(inside, function)
		case text[i] == ')' && len(inside) > 0:
			inside = inside[:len(inside)-1]
		case digit(i):
			start := i
			for i++; i < len(text) && (digit(i) || (text[i] == '.' || text[i] == ',') && digit(i-1) && digit(i+1)); i++ {
			}
			if len(inside) == 0 || !inside[len(inside)-1] {
				found(start, i)
			}
			continue
		}
		i++
	}
}

// reads runs a parser on a typed text in its plain form.
func reads[T any](text string, parse func(string) (T, error)) (T, error) {
	plain, err := Plain(text)
	if err != nil {
		var zero T
		return zero, err
	}
	return parse(plain)
}

// ParseLength reads one plain length; a number without a unit is in unit.
func ParseLength(text string, unit measure.Unit) (measure.Length, error) {
	return reads(text, func(t string) (measure.Length, error) { return measure.Parse(t, unit) })
}

// ParseMoney reads an amount of a currency.
func ParseMoney(text string, c money.Currency) (decimal.Decimal, error) {
	return reads(text, c.Parse)
}

// ParsePercent reads a share: 6,5 % is 0.065.
func ParsePercent(text string) (decimal.Decimal, error) { return reads(text, money.ParsePercent) }

// ParseFloat reads a number.
func ParseFloat(text string) (float64, error) {
	return reads(text, func(t string) (float64, error) { return strconv.ParseFloat(strings.TrimSpace(t), 64) })
}

// ParseDecimal reads a number exactly.
func ParseDecimal(text string) (decimal.Decimal, error) {
	return reads(text, func(t string) (decimal.Decimal, error) { return decimal.NewFromString(strings.TrimSpace(t)) })
}

// ParseMinutes reads worked time.
func ParseMinutes(text string) (time.Duration, error) { return reads(text, measure.ParseMinutes) }

// Hours writes a number of hours with a decimal.
func Hours(h decimal.Decimal) string {
	return lang.L("{{.hours}} h", With{"hours": Decimal(h, 1)})
}
