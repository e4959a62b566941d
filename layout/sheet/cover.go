package sheet

import (
	"slices"
	"time"

	"github.com/shopspring/decimal"

	"pilewright/layout/drawing"
	"pilewright/layout/drawing/pdf"
	"pilewright/layout/figure"
	"pilewright/plan"
	"pilewright/plan/measure"
)

// mostFindings bounds what the cover lists; the rest is in the program.
const mostFindings = 8

func (b *book) cover() {
	p := b.p
	b.Document.Heading(1, name(p))
	if p.Project.Piece.Note != "" {
		b.Document.Text(p.Project.Piece.Note)
	}
	if !p.Drawable() {
		b.Warning(b.f("This piece can't be built as it stands: %s", p.Failure()))
		b.findings()
		return
	}
	if len(p.Copies) == 0 {
		b.Text("The piece has no parts yet.")
		b.findings()
		return
	}
	// The piece is drawn as large as the rest leaves room for.
	room := b.Room() - b.Measure(func(d *pdf.Document) { (&book{d, p}).facts() }) - 3
	b.Picture(figure.Isometric(p, b.Width(), max(leastCover, min(mostCover, room)), drawing.FrontRight), 0, "")
	b.facts()
}

// leastCover and mostCover bound the height of the drawing on the cover, in mm.
const leastCover, mostCover = 60.0, 108.0

// facts tells what the piece is, what is meant for it and what wants a look.
func (b *book) facts() {
	p := b.p
	size := b.overall()
	facts := pdf.Table{Columns: []pdf.Column{{Width: 34, Bold: true}, {}}}
	fact := func(what, text string) { facts.Rows = append(facts.Rows, pdf.Row{Cells: []string{b.t(what), text}}) }
	fact("Overall", b.f("%s long, %s deep, %s high", b.length(size[0]), b.length(size[1]), b.length(size[2])))
	fact("Made of", b.f("%s in %s, %s", b.several(len(p.Copies), "piece", "pieces"), b.several(b.shapes(), "part", "parts"), b.several(len(p.Frame.Joints), "joint", "joints")))
	fact("From the pile", b.f("%s, %s", b.several(len(p.Cuts.Boards), "board", "boards"), b.several(len(p.GlueUps), "glue-up", "glue-ups")))
	if p.Cuts.Sentence != "" {
		fact("Cuts", p.Cuts.Sentence)
	}
	if t := p.Work.Timeline; len(t.Sessions) > 0 {
		fact("Calendar", b.f("%s from %s; ready %s", b.several(len(t.Sessions), "session", "sessions"), b.date(t.Sessions[0].Start), b.date(t.Ready)))
	}
	b.Table(facts)
	b.targets()
	b.findings()
}

// shapes is how many parts have copies.
func (b *book) shapes() int {
	n := 0
	for _, sp := range b.p.Parts {
		if sp.N > 0 {
			n++
		}
	}
	return n
}

// overall is the size of the finished piece along x, y and z.
func (b *book) overall() [3]measure.Length {
	var low, high [3]measure.Length
	for i, body := range b.p.Frame.Bodies {
		box := body.Bounds()
		for k := range 3 {
			if i == 0 || box.Min[k] < low[k] {
				low[k] = box.Min[k]
			}
			if i == 0 || box.Max[k] > high[k] {
				high[k] = box.Max[k]
			}
		}
	}
	return [3]measure.Length{high[0] - low[0], high[1] - low[1], high[2] - low[2]}
}

// targets sets what is meant against blanks for what it came to.
func (b *book) targets() {
	l := b.p.Ledger
	t := pdf.Table{Columns: []pdf.Column{{Title: "", Width: 52, Bold: true}, {Title: "Target", Width: 44}, {Title: "Came to", Width: 44}, {Title: "", Width: 49}}}
	row := func(what, text, note string) {
		t.Rows = append(t.Rows, pdf.Row{Cells: []string{b.t(what), text, "", b.t(note)}})
	}
	note := ""
	if l.Collect > 0 {
		note = b.f("%s of it to get the wood", b.minutes(l.Collect))
	}
	row("Hours, all phases", b.minutes(l.Target), note)
	if h := b.p.Project.Piece.TargetHours; h.IsPositive() {
		row("Hours wished for", b.f("%s h", b.p.Words.Number(h.String())), "")
	}
	row("Costs", b.money(l.Costs.Total()), "without the maker's hours")
	price := b.t("not set")
	if l.Sale.Price.IsPositive() {
		price = b.money(l.Sale.Price)
	}
	row("Price", price, "")
	earns := "–"
	if l.Result.PerHour.Valid && l.Sale.Price.IsPositive() {
		earns = b.money(l.Result.PerHour.Decimal)
	}
	wish := ""
	if l.Wish.IsPositive() {
		wish = b.f("wished for: %s", b.money(l.Wish))
	}
	row("Earned in an hour", earns, wish)
	row("Begun, ready", b.readyDay(), "")
	b.Space(1)
	b.Table(t)
}

func (b *book) readyDay() string {
	if due := b.p.Project.Piece.Due; due != "" {
		if at, err := time.Parse(time.DateOnly, due); err == nil {
			due = b.day(at)
		}
		return b.f("wished for %s", due)
	}
	if t := b.p.Work.Timeline; len(t.Sessions) > 0 {
		return b.f("ready %s", b.day(t.Ready))
	}
	return ""
}

// findings lists what stops the piece and what wants a look.
func (b *book) findings() {
	if len(b.p.Cuts.Short) > 0 {
		b.Warning(b.f("The pile is short: %s. The shopping list says what is missing.", b.shortSum()))
	}
	var list []plan.Finding
	for _, f := range b.p.Findings {
		if f.Severity != plan.Note {
			list = append(list, f)
		}
	}
	if len(list) == 0 {
		return
	}
	b.Heading(2, "Look at first")
	for i, f := range list {
		if i == mostFindings {
			b.Note(b.several(len(list)-mostFindings, "more finding is listed in the program.", "more findings are listed in the program."))
			break
		}
		text := f.Text
		if f.Do != "" {
			text += " " + f.Do
		}
		if f.Severity == plan.Stop {
			b.Warning(text)
		} else {
			b.Item(text)
		}
	}
}

// shortSum says how many blanks of which part the pile can't give.
func (b *book) shortSum() string {
	text := ""
	for i, s := range b.p.Cuts.Short {
		if i > 0 {
			text += ", "
		}
		if i == mostFindings {
			return text + b.t("and more")
		}
		blank, ok := b.p.Blank(s.Blank)
		if !ok {
			continue
		}
		text += b.f("%d of %s", s.Count, blank.Name)
	}
	return text
}

// phaseSums lists the phases that any time is meant for or was spent on.
func (b *book) phaseSums() []plan.PhaseTime {
	return slices.DeleteFunc(slices.Clone(b.p.Ledger.Phases), func(t plan.PhaseTime) bool { return t.Target == 0 && t.Done == 0 })
}

// amount writes a sum, or a dash where it has no meaning.
func (b *book) amount(d decimal.NullDecimal) string {
	if !d.Valid {
		return "–"
	}
	return b.money(d.Decimal)
}
