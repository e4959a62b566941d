package words

import (
	"regexp"
	"strings"
	"time"
	"unicode"
)

// point lists the regions that write Spanish with a decimal point: CLDR 44,
// supplemental data by region; the others write a comma. Checked in the tests
// against golang.org/x/text.
const point = " 419 BZ CU DO GT HN MX NI PA PE PR SV US "

// front lists the regions of Spanish that set the currency before the amount:
// all but Spain, its neighbours in Europe and Equatorial Guinea (CLDR 44).
func front(region string) bool { return region != "" && region != "ES" && region != "GQ" }

// habits are those of a tag: a decimal comma, the currency behind the amount.
// Only Spanish is known; another language takes the comma, as most of the
// languages of Europe do.
func habits(tag string) (comma, behind bool) {
	tag, _, _ = strings.Cut(tag, ".")
	_, region, _ := strings.Cut(strings.ReplaceAll(tag, "_", "-"), "-")
	region = strings.ToUpper(region)
	return region == "" || !strings.Contains(point, " "+region+" "), !front(region)
}

var (
	fraction = regexp.MustCompile(`(\d)\.(\d)`)
	sum      = regexp.MustCompile(`^(-?)([$€£¥₹₩₫])(\d+(?:\.\d+)?)$`)
	aWord    = regexp.MustCompile(`\pL{2,}`)
	bareUnit = regexp.MustCompile(`\b(?:mm|cm|kg|lb|in|min|ml|°C|m²|ft²|lbf|psi|kN|MPa|ft)\b`)
	aMark    = regexp.MustCompile(`\b\pLu+\d+\w*\b`)
	dated    = regexp.MustCompile(`^(?:(\pL+) )?(\d{1,2}) (\pL+)(?: (\d{4}))?(?:,? (\d{2}:\d{2}))?$`)
)

// hasWord reports whether a text holds anything to be said in another way:
// figures, units, marks and signs do not count.
func hasWord(text string) bool {
	if strings.IndexFunc(text, unicode.IsLetter) < 0 {
		return false
	}
	return aWord.MatchString(aMark.ReplaceAllString(bareUnit.ReplaceAllString(text, ""), ""))
}

// Number gives a text with the decimal signs, and an amount of money in the
// order, of the language.
func (l *Language) Number(text string) string {
	if l == nil {
		return text
	}
	if l.behind {
		if m := sum.FindStringSubmatch(text); m != nil {
			text = m[1] + m[3] + "\u00a0" + m[2]
		}
	}
	if l.comma {
		text = fraction.ReplaceAllString(text, "$1,$2")
	}
	return text
}

// day says a date as the plan writes it, with its weekday, year and time of day
// where they stand there.
func (l *Language) day(text string) (string, bool) {
	m := dated.FindStringSubmatch(text)
	if m == nil {
		return "", false
	}
	month, ok := l.exact[m[3]]
	if !ok {
		return "", false
	}
	weekday := ""
	if m[1] != "" {
		if weekday, ok = l.exact[m[1]]; !ok {
			return "", false
		}
		weekday += " "
	}
	out := weekday + l.Format("%s of the month of %s", m[2], month)
	if m[4] != "" {
		out = l.Format("%s of the year %s", out, m[4])
	}
	if m[5] != "" {
		out += ", " + m[5]
	}
	return out, true
}

// Date writes a moment by a layout of the time package that holds a day, a
// month's name and, where wished, weekday, year and time of day.
func (l *Language) Date(t time.Time, layout string) string {
	text := t.Format(layout)
	if l == nil {
		return text
	}
	return l.Say(text)
}
