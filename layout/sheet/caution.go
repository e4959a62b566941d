package sheet

import (
	"strings"
	"unicode"
	"unicode/utf8"

	"pilewright/layout/drawing/pdf"
	"pilewright/plan/trade"
)

// codes gives the cautions the steps need, in the order they come up in a job:
// those the steps name, and the general ones where any machine is used.
func (b *book) codes() []trade.Caution {
	need := map[string]bool{}
	for _, s := range b.p.Work.Steps {
		for _, c := range s.Cautions {
			need[c] = true
		}
		if s.Machine != "bench" && s.Machine != "" {
			for _, c := range []string{"eyes-ears", "unplug", "tired"} {
				need[c] = true
			}
		}
	}
	var out []trade.Caution
	for _, c := range trade.Cautions {
		if need[c.Code] {
			w := b.p.Words
			c.When, c.Text, c.Source = w.Say(c.When), w.Say(c.Text), w.Say(c.Source)
			out = append(out, c)
		}
	}
	return out
}

func (b *book) cautions() {
	b.Heading(1, "Cautions")
	b.Warning(b.p.Words.Say(trade.CautionLead))
	list := b.codes()
	if len(list) == 0 {
		b.Text("No step of this plan asks for a caution of its own.")
		return
	}
	b.Text("For the steps of this piece, in the order they come up.")
	t := pdf.Table{Columns: []pdf.Column{{Title: "When", Width: 45, Bold: true}, {Title: "What to do", Width: 145}}}
	for _, c := range list {
		t.Rows = append(t.Rows, pdf.Row{Cells: []string{strings.TrimSuffix(c.When, "."), c.Text}})
	}
	b.Table(t)
	var sources []string
	for _, c := range list {
		sources = append(sources, lowerFirst(strings.TrimSuffix(c.When, "."))+": "+strings.ReplaceAll(c.Source, "; ", ", "))
	}
	b.Note(b.f("Where these come from: %s.", strings.Join(sources, "; ")))
}

// lowerFirst makes the first letter small, but for words in capitals.
func lowerFirst(s string) string {
	r, n := utf8.DecodeRuneInString(s)
	if next, _ := utf8.DecodeRuneInString(s[n:]); unicode.IsUpper(next) || s == "" {
		return s
	}
	return string(unicode.ToLower(r)) + s[n:]
}

// reminders are the cautions in a few words, for the step they belong to.
var reminders = map[string]string{
	"pallet-mark":      "no board without a readable mark or with stains",
	"lead-paint":       "no old paint under a tool",
	"metal":            "no metal left in the wood",
	"dismantle":        "gloves, eyes, shoes",
	"kickback":         "riving knife and guard on, stand out of line",
	"push-stick":       "push stick for the last 300 mm",
	"crosscut-support": "never an end against the rip fence, never freehand",
	"support-long":     "support before and behind",
	"rocking":          "nothing that rocks on the table",
	"dado-guard":       "fence, hold-downs, push blocks; guard back on at once",
	"mitre-short":      "clamp short pieces, hands clear until the blade stops",
	"mitre-depth-stop": "packing board behind, work held down, try on scrap",
	"planer-short":     "nothing shorter than the manual allows",
	"planer-thin":      "thin stock on a carrier board",
	"planer-snipe":     "hold long pieces level at both ends",
	"router-direction": "against the bit's turn, work clamped, shallow passes",
	"router-breakout":  "ends first, or a waste piece behind",
	"unplug":           "unplug to change tools",
	"dust":             "dust collected, mask on",
	"ventilation":      "air the room, no flames",
	"oily-rags":        "rags flat outdoors or under water",
	"cold-glue":        "warm the wood and the glue",
	"load":             "load it slowly yourself first",
	"tip-over":         "wall anchor with it",
}

// reminder joins the cautions of a step in a few words; empty where it has none.
func (b *book) reminder(codes []string) string {
	var out []string
	for _, c := range codes {
		if text, ok := reminders[c]; ok {
			out = append(out, b.t(text))
		}
	}
	if len(out) == 0 {
		return ""
	}
	return b.f("Caution: %s.", strings.Join(out, "; "))
}
