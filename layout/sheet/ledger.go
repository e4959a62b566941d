package sheet

import (
	"github.com/shopspring/decimal"

	"pilewright/layout/drawing/pdf"
)

// lessonRoom is what a heading and three lines to write on take.
const lessonRoom = 42.0

// ledger sets time, cost and price down, with room for what they came to.
func (b *book) ledger() {
	l := b.p.Ledger
	b.Heading(1, "Ledger")
	b.Heading(2, "Time")
	t := pdf.Table{Columns: []pdf.Column{{Title: "Phase", Bold: true, Width: 40}, {Title: "Target", Right: true, Width: 26}, {Title: "Done", Right: true, Width: 26}, {Title: "Left", Right: true, Width: 26}, {Title: "Came to", Right: true, Width: 34}}}
	for _, ph := range b.phaseSums() {
		t.Rows = append(t.Rows, pdf.Row{Cells: []string{upper(b.t(string(ph.Phase))), b.minutes(ph.Target), b.minutes(ph.Done), b.minutes(ph.Left)}})
	}
	t.Rows = append(t.Rows, pdf.Row{Bold: true, Cells: []string{b.t("Together"), b.minutes(l.Target), b.minutes(l.Done), b.minutes(l.Left)}})
	b.Table(t)
	if f := l.Forecast; f.P50 > 0 {
		basis := b.t("starting guesses; every logged step makes them better")
		if f.Samples > 0 {
			basis = b.several(f.Samples, "logged task of other pieces", "logged tasks of other pieces")
		}
		b.Text(b.f("From now on, at the bench: five chances in ten that it takes at most %s, nine in ten at most %s. Learned from %s.", b.minutes(f.P50), b.minutes(f.P90), basis))
	}
	b.Heading(2, "Cost")
	t = pdf.Table{Columns: []pdf.Column{{Title: "For", Bold: true, Width: 26}, {Title: "What", Width: 46}, {Title: "How reckoned", Width: 66}, {Title: "Amount", Right: true, Width: 24}, {Title: "Came to", Right: true, Width: 26}}}
	for _, x := range l.Lines {
		t.Rows = append(t.Rows, pdf.Row{Cells: []string{upper(b.t(x.Kind)), x.Text, x.How, b.money(x.Amount)}})
	}
	for range 2 {
		t.Rows = append(t.Rows, pdf.Row{Cells: []string{"\u00a0"}})
	}
	t.Rows = append(t.Rows, pdf.Row{Bold: true, Cells: []string{b.t("Together"), "", "", b.money(l.Costs.Total())}})
	b.Table(t)
	b.Keep((*book).price)
	if b.p.Project.Piece.Lessons != "" {
		b.Heading(2, "Lessons")
		b.Document.Text(b.p.Project.Piece.Lessons)
		return
	}
	if b.Room() < lessonRoom {
		return // blank lines are worth no page of their own
	}
	b.Heading(2, "For the next piece")
	for range 3 {
		b.Blank("", 180)
	}
}

// price goes from the price asked to what an hour earns.
func (b *book) price() {
	l := b.p.Ledger
	r := l.Result
	b.Heading(2, "Price")
	t := pdf.Table{Columns: []pdf.Column{{Width: 70, Bold: true}, {Right: true, Width: 36}, {Width: 60}}}
	row := func(what, amount, note string) {
		t.Rows = append(t.Rows, pdf.Row{Cells: []string{b.t(what), amount, b.t(note)}})
	}
	if l.Sale.Price.IsPositive() {
		row("Price asked", b.money(l.Sale.Price), "")
		for _, x := range []struct {
			what   string
			amount decimal.Decimal
		}{{"Tax", r.Tax}, {"Fees", r.Fees}, {"Delivery", r.Delivery}} {
			if !x.amount.IsZero() {
				row(x.what, b.money(x.amount), "")
			}
		}
		row("Received", b.money(r.Received), "after tax, fees and delivery")
		row("Costs", b.money(r.Costs), "")
		row("Earned", b.money(r.Earned), b.f("for %s", b.minutes(60*l.Hours().InexactFloat64())))
		row("Earned in an hour", b.amount(r.PerHour), "")
	} else {
		b.Text("No price is set yet.")
		row("Costs", b.money(r.Costs), "")
	}
	row("Price that covers the costs", b.amount(r.BreakEven), "")
	if l.Wish.IsPositive() {
		row(b.f("Price that earns %s an hour", b.money(l.Wish)), b.amount(r.PriceWish), "")
	}
	b.Table(t)
}
