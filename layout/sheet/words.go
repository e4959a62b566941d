package sheet

import (
	"cmp"
	"math"
	"strings"
	"time"
	"unicode"
	"unicode/utf8"

	"github.com/shopspring/decimal"

	"pilewright/layout/figure"
	"pilewright/plan"
	"pilewright/plan/measure"
	"pilewright/plan/money"
	"pilewright/plan/words"
)

// length writes a length the shop's way.
func (b *book) length(l measure.Length) string { return b.p.Words.Number(length(b.p.Project, l)) }

func length(p *plan.Project, l measure.Length) string { return measure.Format(l, p.Shop.Style()) }

// setting writes a size that a machine is set to: in 64ths where the shop's own
// fractions would round it. A tenth of a millimetre is finer than any fence.
func (b *book) setting(l measure.Length) string {
	text := b.number(l)
	if b.p.Project.Shop.Inches && strings.HasPrefix(text, "≈") {
		return b.p.Words.Number(measure.Exact(l))
	}
	return text
}

// number writes a length for tables and drawings: without the mm that the foot of
// the page notes.
func (b *book) number(l measure.Length) string { return figure.PlanNumbers(b.p)(l) }

// size writes length x width x thickness.
func (b *book) size(l, w, t measure.Length) string {
	return b.number(l) + " x " + b.number(w) + " x " + b.number(t)
}

// money writes an amount rounded to the currency's smallest coin.
func (b *book) money(d decimal.Decimal) string {
	return b.p.Words.Number(money.Of(b.p.Project.Shop.Currency).Format(d))
}

// f is fmt.Sprintf in the language of the sheet.
func (b *book) f(format string, args ...any) string { return b.p.Words.Format(format, args...) }

// t is one of the sheet's own texts, without holes, in the language of the sheet.
func (b *book) t(text string) string { return b.p.Words.Word(text) }

// minutes writes a time for reading: 12 min, 2 h 05.
func (b *book) minutes(m float64) string {
	n := int(math.Round(m))
	if n < 60 {
		return b.f("%d min", n)
	}
	return b.f("%d h %02d", n/60, n%60)
}

// hours writes a waiting time.
func (b *book) hours(d time.Duration) string { return b.p.Words.Say(plan.HoursText(d)) }

func (b *book) date(t time.Time) string { return b.p.Words.Date(t, "Monday 2 January") }
func clock(t time.Time) string          { return t.Format("15:04") }

// day writes a day with its year.
func (b *book) day(t time.Time) string { return b.p.Words.Date(t, "2 January 2006") }

// several writes a count with its noun.
func (b *book) several(n int, one, many string) string {
	if n == 1 {
		return b.f("%d "+one, n)
	}
	return b.f("%d "+many, n)
}

// upper makes the first letter a capital.
func upper(s string) string {
	if s == "" {
		return s
	}
	r, n := utf8.DecodeRuneInString(s)
	return string(unicode.ToUpper(r)) + s[n:]
}

// marks writes marks side by side, in runs where they count up: A1 to A4, B2.
func (b *book) marks(list []string) string {
	var out []string
	for i := 0; i < len(list); {
		k := i
		for k+1 < len(list) && follows(list[k], list[k+1]) {
			k++
		}
		switch {
		case k >= i+2:
			out = append(out, b.f("%s to %s", list[i], list[k]))
		case k == i+1:
			out = append(out, list[i], list[k])
		default:
			out = append(out, list[i])
		}
		i = k + 1
	}
	return strings.Join(out, ", ")
}

// follows reports whether b counts one up from a.
func follows(a, b string) bool {
	la, na, okA := number(a)
	lb, nb, okB := number(b)
	return okA && okB && la == lb && nb == na+1
}

// number parts a mark into its letters and its number.
func number(mark string) (letters string, n int, ok bool) {
	i := strings.IndexFunc(mark, func(r rune) bool { return r >= '0' && r <= '9' })
	if i < 0 || len(mark)-i > 9 {
		return mark, 0, false
	}
	for _, r := range mark[i:] {
		if r < '0' || r > '9' {
			return mark, 0, false
		}
		n = 10*n + int(r-'0')
	}
	return mark[:i], n, true
}

// machineNames are the machine kinds for reading.
var machineNames = map[string]string{"table-saw": "table saw", "mitre-saw": "mitre saw"}

func (b *book) machine(kind string) string {
	if n, ok := machineNames[kind]; ok {
		return b.t(n)
	}
	return b.t(kind)
}

// kind names a kind of joint.
func (b *book) kind(k plan.JointKind) string { return b.t(plan.KindName(k)) }

// species names a wood; any where none is asked for.
func (b *book) species(name string) string { return b.t(cmp.Or(name, "any")) }

// wayName says how a part is made.
func wayName(w *words.Language, o plan.WayOption) string {
	switch o.Way {
	case plan.Laminated:
		return w.Format("%d layers glued face to face", o.Rows)
	case plan.FlatPanel:
		if least, most := o.RowRange(); least < most {
			return w.Format("%d to %d rows of several widths glued edge to edge", least, most)
		}
		if o.Mixed {
			return w.Format("%d rows of several widths glued edge to edge", o.Rows)
		}
		return w.Format("%d rows glued edge to edge", o.Rows)
	case plan.OnEdge:
		return w.Format("%d strips on edge, glued face to face", o.Rows)
	}
	return w.Format("from one board")
}

// way gives how a part is made; ok is false where it can't be.
func (b *book) way(part plan.ID) (plan.WayOption, bool) {
	for _, w := range b.p.Ways {
		if w.Part == part {
			return w.Choice()
		}
	}
	return plan.WayOption{}, false
}
