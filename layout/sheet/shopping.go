package sheet

import (
	"slices"

	"pilewright/layout/drawing/pdf"
	"pilewright/plan"
	"pilewright/plan/joinery"
	"pilewright/plan/measure"
)

// shopping lists what must be there before the work begins.
func (b *book) shopping() {
	p := b.p
	b.Heading(1, "Shopping list")
	t := pdf.Table{Columns: []pdf.Column{{Check: true, Width: 8}, {Title: "What", Bold: true, Width: 62}, {Title: "How reckoned", Width: 88}, {Title: "About", Right: true}}}
	for _, l := range p.Ledger.Lines {
		if b.spent(l) {
			continue
		}
		switch l.Kind {
		case "glue", "finish", "sandpaper", "hardware":
			t.Rows = append(t.Rows, pdf.Row{Cells: []string{"", upper(l.Text), l.How, b.money(l.Amount)}})
		}
	}
	for _, s := range b.fasteners() {
		t.Rows = append(t.Rows, pdf.Row{Cells: []string{"", s.what, s.how, ""}})
	}
	if len(t.Rows) == 0 {
		b.Text("Nothing has to be bought.")
	} else {
		b.Text("Look first what the shop still has.")
		b.Table(t)
	}
	b.missing()
	b.Heading(2, "Also needed")
	for range 5 {
		b.Blank("", 120)
	}
}

// spent reports whether the line is money that was paid already.
func (b *book) spent(l plan.Line) bool {
	return slices.ContainsFunc(b.p.Project.Expenses, func(e plan.Expense) bool {
		return e.Piece == b.p.Project.Piece.ID && e.Kind == l.Kind && b.p.Words.Say(e.What) == l.Text
	})
}

type fastener struct{ what, how string }

// fasteners counts screws and dowels of each size.
func (b *book) fasteners() []fastener {
	type key struct {
		kind  joinery.Kind
		d, l  measure.Length
		gauge int
	}
	count := map[key]int{}
	var order []key
	for _, j := range b.p.Frame.Joints {
		r := j.Result
		k := key{kind: j.Rule.Kind}
		switch k.kind {
		case joinery.Screws:
			k.d, k.l, k.gauge = r.Screw.Diameter, r.Screw.Length, r.Screw.Gauge
		case joinery.Dowels:
			if len(r.Holes) == 0 {
				continue
			}
			k.d = r.Holes[0].DiameterA
		default:
			continue
		}
		if count[k] == 0 {
			order = append(order, k)
		}
		count[k] += len(r.Holes)
	}
	var out []fastener
	for _, k := range order {
		how := b.f("%d in all joints", count[k])
		switch {
		case k.kind == joinery.Dowels:
			out = append(out, fastener{b.f("Dowels %s thick", b.length(k.d)), how})
		case k.gauge > 0:
			out = append(out, fastener{b.f("Screws no. %d, %s long", k.gauge, b.length(k.l)), how})
		default:
			out = append(out, fastener{b.f("Screws %s thick, %s long", b.length(k.d), b.length(k.l)), how})
		}
	}
	return out
}
