package sheet

import (
	"fmt"
	"math"
	"strings"
	"time"

	"github.com/shopspring/decimal"

	"pilewright/layout/figure"
	"pilewright/plan"
	"pilewright/plan/measure"
	"pilewright/plan/money"
)

// length writes a length the shop's way.
func (b *book) length(l measure.Length) string { return length(b.p.Project, l) }

func length(p *plan.Project, l measure.Length) string { return measure.Format(l, p.Shop.Style()) }

// setting writes a size that a machine is set to: in 64ths where the shop's own
// fractions would round it. A tenth of a millimetre is finer than any fence.
func (b *book) setting(l measure.Length) string {
	text := b.number(l)
	if b.p.Project.Shop.Inches && strings.HasPrefix(text, "≈") {
		return measure.Exact(l)
	}
	return text
}

// number writes a length for tables and drawings: without the mm that the foot of
// the page notes.
func (b *book) number(l measure.Length) string { return figure.Numbers(b.p.Project)(l) }

// size writes length x width x thickness.
func (b *book) size(l, w, t measure.Length) string {
	return b.number(l) + " x " + b.number(w) + " x " + b.number(t)
}

// money writes an amount rounded to the currency's smallest coin.
func (b *book) money(d decimal.Decimal) string {
	return money.Of(b.p.Project.Shop.Currency).Format(d)
}

// minutes writes a time for reading: 12 min, 2 h 05.
func minutes(m float64) string {
	n := int(math.Round(m))
	if n < 60 {
		return fmt.Sprintf("%d min", n)
	}
	return fmt.Sprintf("%d h %02d", n/60, n%60)
}

func date(t time.Time) string  { return t.Format("Monday 2 January") }
func clock(t time.Time) string { return t.Format("15:04") }

// several writes a count with its noun.
func several(n int, one, many string) string {
	if n == 1 {
		return "1 " + one
	}
	return fmt.Sprintf("%d %s", n, many)
}

// upper makes the first letter a capital.
func upper(s string) string {
	if s == "" {
		return s
	}
	return strings.ToUpper(s[:1]) + s[1:]
}

// marks writes marks side by side, in runs where they count up: A1 to A4, B2.
func marks(list []string) string {
	var out []string
	for i := 0; i < len(list); {
		k := i
		for k+1 < len(list) && follows(list[k], list[k+1]) {
			k++
		}
		switch {
		case k >= i+2:
			out = append(out, list[i]+" to "+list[k])
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

func machine(kind string) string {
	if n, ok := machineNames[kind]; ok {
		return n
	}
	return kind
}

// wayName says how a part is made.
func wayName(o plan.WayOption) string {
	switch o.Way {
	case plan.Laminated:
		return fmt.Sprintf("%d layers glued face to face", o.Rows)
	case plan.FlatPanel:
		return fmt.Sprintf("%d rows glued edge to edge", o.Rows)
	case plan.OnEdge:
		return fmt.Sprintf("%d strips on edge, glued face to face", o.Rows)
	}
	return "from one board"
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
