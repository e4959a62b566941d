package ui

import (
	"fmt"
	"slices"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/lang"
	"fyne.io/fyne/v2/widget"
	"github.com/shopspring/decimal"

	"pilewright/plan"
	"pilewright/ui/control"
	"pilewright/ui/desk"
	"pilewright/ui/locale"
	"pilewright/ui/session"
)

// sidebar is always visible: cost and time of the present edit, and findings.
// Every line explains itself and leads to its room.
type sidebar struct {
	w        *window
	content  fyne.CanvasObject
	facts    *control.Facts
	findings *control.Facts
	listed   []plan.Finding
	whys     map[string]string
}

func newSidebar(w *window) *sidebar {
	s := &sidebar{w: w, whys: map[string]string{}}
	s.facts = control.NewFacts(func(id string) string { return s.whys[id] })
	s.findings = control.NewFacts(func(id string) string { return s.whys[id] })
	s.facts.OnTap, s.findings.OnTap = s.leadFact, s.leadFinding
	s.content = container.NewBorder(widget.NewLabelWithStyle(lang.L("Cost and time"), fyne.TextAlignLeading, fyne.TextStyle{Bold: true}), nil, nil, nil,
		container.NewVScroll(container.NewVBox(s.facts, s.findings)))
	return s
}

// roomOf is the room that each line of the sidebar leads to.
var roomOf = map[string]string{
	"target": desk.Bench, "left": desk.Bench, "wished": desk.Ledger, "done": desk.Ledger, "range": desk.Ledger,
	"cost": desk.Ledger, "price": desk.Ledger, "hour": desk.Ledger,
	"boards": desk.Cuts, "feet": desk.Cuts, "yield": desk.Cuts, "proof": desk.Cuts,
}

// leadFact opens the room, and the tab, that a line is reckoned in.
func (s *sidebar) leadFact(id string) {
	to, ok := roomOf[id]
	if !ok {
		return
	}
	i := s.w.roomIndex(to)
	s.w.enter(i)
	if r, ok := s.w.rooms[i].(interface{ Lead(fact string) }); ok {
		r.Lead(id)
	}
}

func (s *sidebar) leadFinding(id string) {
	for i, f := range s.listed {
		if findingID(i) != id {
			continue
		}
		sel := session.Selection{Part: f.Subject.Part, Joint: f.Subject.Joint, Board: f.Subject.Board}
		if p := s.w.session.Plan(); p != nil && len(f.Subject.Marks) > 0 {
			if c, ok := p.Copy(f.Subject.Marks[0]); ok && sel.Part == 0 {
				sel.Part, sel.Index = c.Part, c.Index
			}
		}
		if s.w.rooms[s.w.roomIndex(f.Subject.Room)].ID() == f.Subject.Room {
			s.w.enter(s.w.roomIndex(f.Subject.Room))
		}
		s.w.session.Select(sel)
	}
}

func findingID(i int) string { return fmt.Sprintf("finding%d", i) }

// refresh shows the plan as it stands; figures of an older state are dimmed by a
// heading that says so.
func (s *sidebar) refresh() {
	p := s.w.session.Plan()
	clear(s.whys)
	if p == nil || s.w.session.Project().Piece.ID == 0 {
		note := locale.Say(s.w.session.Failure())
		if busy, _ := s.w.session.Busy(); note == "" && busy {
			note = lang.L("working it out…")
		} else if note == "" {
			note = lang.L("Add boards, begin a piece, and what it takes stands here.")
		}
		s.facts.Set([]control.Fact{{ID: "none", Label: lang.L("Nothing is planned yet"), Note: note}})
		s.findings.Set(nil)
		return
	}
	s.facts.Set(s.lines(p))
	s.listed = settled(s.w.session)
	var facts []control.Fact
	stops, looks := 0, 0
	inRoom := map[string]int{}
	for i, f := range s.listed {
		mark := control.Plain
		switch f.Severity {
		case plan.Stop:
			mark, stops = control.Bad, stops+1
			inRoom[f.Subject.Room]++
		case plan.Warn:
			mark, looks = control.Doubt, looks+1
		}
		facts = append(facts, control.Fact{ID: findingID(i), Label: locale.Say(f.Text), Note: locale.Say(f.Do), Mark: mark})
		why := locale.Say(f.Text)
		if f.Do != "" {
			why += "\n\n" + lang.L("What to do: {{.do}}", locale.With{"do": locale.Say(f.Do)})
		}
		if f.Source != "" {
			why += "\n\n" + lang.L("Rule: {{.source}}", locale.With{"source": locale.Say(f.Source)})
		}
		s.whys[findingID(i)] = why
	}
	head := control.Fact{ID: "findings", Head: true, Label: lang.L("Findings"), Value: fmt.Sprint(len(s.listed))}
	if stops > 0 {
		head.Mark = control.Bad
	} else if looks > 0 {
		head.Mark = control.Doubt
	}
	s.findings.Set(append([]control.Fact{head}, facts...))
	s.badges(inRoom)
}

// settled is the findings less those that better cuts, still looked for, may put
// right: the first plan after an edit is a quick one.
func settled(s *session.Session) []plan.Finding {
	busy, _ := s.Busy()
	if p := s.Plan(); !busy || p == nil || p.Cuts.Final || !slices.ContainsFunc(p.Cuts.Short, func(x plan.Short) bool { return !x.Proof }) {
		return s.Findings()
	}
	return slices.DeleteFunc(slices.Clone(s.Findings()), func(f plan.Finding) bool { return f.Code == "cuts.short" })
}

// badges counts on the rail, at each room, what stops the piece there.
func (s *sidebar) badges(stops map[string]int) {
	for _, r := range s.w.rooms {
		badge := ""
		if n := stops[r.ID()]; n > 0 {
			badge = fmt.Sprint(n)
		}
		s.w.rail.SetBadge(r.ID(), badge, control.Bad)
	}
}

func (s *sidebar) lines(p *plan.Plan) []control.Fact {
	l := p.Ledger
	show := func(d decimal.Decimal) string { return desk.Money(p.Project, d) }
	var out []control.Fact
	add := func(f control.Fact, why string) {
		out = append(out, f)
		s.whys[f.ID] = why
	}
	if f := locale.Say(s.w.session.Failure()); f != "" && s.w.session.Stale() {
		add(control.Fact{ID: "stale", Label: lang.L("Figures of the last good plan"), Note: f, Mark: control.Bad}, f+"\n\n"+lang.L("The newest entry can't be planned. What you see in the rooms and here is the last state that could be. Mend the entry, or undo it (Ctrl+Z)."))
	}
	add(control.Fact{ID: "time", Head: true, Label: lang.L("Time")}, "")
	add(control.Fact{ID: "target", Label: lang.L("Planned"), Value: hours(l.Target)}, lang.L("Every step's quantity times the shop's rate for it, and set-up changes. Rates start as guesses and are learned from the log of finished work."))
	if h, _ := p.Project.Piece.TargetHours.Float64(); h > 0 {
		target := control.Fact{ID: "wished", Label: lang.L("Target"), Value: hours(60 * h)}
		if l.Done+l.Left > 60*h {
			target.Mark, target.Note = control.Doubt, lang.L("done and to go come to more")
		}
		add(target, lang.L("The hours you want to need for this piece. Set them under This piece… in the Piece menu."))
	}
	add(control.Fact{ID: "done", Label: lang.L("Done"), Value: hours(l.Done)}, lang.L("Time logged on this piece, and {{.collect}} to collect the boards it uses (their share of their lots' hours).", locale.With{"collect": hours(l.Collect)}))
	add(control.Fact{ID: "left", Label: lang.L("To go"), Value: hours(l.Left)}, lang.L("Planned minutes of the steps that are not done, less what is logged on them."))
	add(control.Fact{ID: "range", Label: lang.L("Likely in all"), Value: lang.L("{{.p10}} – {{.p90}} h", locale.With{"p10": locale.Float((l.Forecast.P10+l.Collect)/60, 0), "p90": locale.Float((l.Forecast.P90+l.Collect)/60, 0)})},
		lang.L("Eight chances in ten: the whole time lies in this range (10 % and 90 % points; the middle is {{.p50}}). Learned from {{.samples}} logged tasks of earlier pieces.", locale.With{"p50": hours(l.Forecast.P50 + l.Collect), "samples": l.Forecast.Samples}))
	add(control.Fact{ID: "money", Head: true, Label: lang.L("Money")}, "")
	add(control.Fact{ID: "cost", Label: lang.L("Cost"), Value: show(l.Costs.Total())}, s.costWhy(p, show))
	price := control.Fact{ID: "price", Label: lang.L("Price"), Value: show(l.Sale.Price)}
	if !l.Sale.Price.IsPositive() {
		price.Value = lang.L("not set")
	}
	add(price, lang.L("What you ask. Set it in the Ledger."))
	hour := control.Fact{ID: "hour", Label: lang.L("An hour earns"), Value: "–", Bold: true}
	if l.Result.PerHour.Valid {
		hour.Value = show(l.Result.PerHour.Decimal)
		hour.Note = lang.L("{{.low}} – {{.high}} likely", locale.With{"low": show(decimal.NewFromFloat(l.Forecast.Hourly[0])), "high": show(decimal.NewFromFloat(l.Forecast.Hourly[2]))})
		if l.Result.PerHour.Decimal.LessThan(l.Wish) {
			hour.Mark = control.Doubt
		} else {
			hour.Mark = control.Good
		}
	}
	add(hour, lang.L("Price less tax, fees, delivery and cost ({{.earned}}), over the hours now expected ({{.hours}} h). You wish for {{.wish}} an hour; the chance of that at this price is {{.chanceOfWish}} %.", locale.With{"earned": show(l.Result.Earned), "hours": locale.Decimal(l.Hours(), 1), "wish": show(l.Wish), "chanceOfWish": locale.Float(100*l.Forecast.ChanceOfWish, 0)}))
	add(control.Fact{ID: "wood", Head: true, Label: lang.L("Wood")}, "")
	add(control.Fact{ID: "boards", Label: lang.L("Boards cut"), Value: fmt.Sprint(l.Boards)}, lang.L("Boards of the pile that the cuts open."))
	amount := desk.ShortWood(p.Project, l.Feet)
	add(control.Fact{ID: "feet", Label: lang.L("Wood opened"), Value: amount}, lang.L("Volume of the boards cut, as measured; 144 cubic inches make a board foot (2.36 litres)."))
	add(control.Fact{ID: "yield", Label: lang.L("Yield"), Value: locale.Float(100*l.Yield(), 0) + " %"}, lang.L("Face area of the blanks ({{.used}} m²) over that of the boards cut ({{.opened}} m²). Leftovers long enough to keep go back to the pile.", locale.With{"used": locale.Decimal(l.Used.SquareMetres(), 2), "opened": locale.Decimal(l.Wood.SquareMetres(), 2)}))
	if p.Cuts.Sentence != "" {
		add(s.proof(p), locale.Say(p.Cuts.Sentence)+"\n\n"+lang.L("The aims stand in the order of their weight: every blank made, least money, least wood, fewest boards. “Aims and proof” in Cuts has the figures."))
	}
	return out
}

// proof says in a line how sure it is that no better cuts exist.
func (s *sidebar) proof(p *plan.Plan) control.Fact {
	busy, _ := s.w.session.Busy()
	switch {
	case p.Cuts.Proved && p.Cuts.Final:
		return control.Fact{ID: "proof", Label: lang.L("No better cuts exist"), Note: lang.L("proved for money, wood and boards"), Mark: control.Good}
	case busy:
		return control.Fact{ID: "proof", Label: lang.L("Better cuts may exist"), Note: lang.L("still looking")}
	}
	return control.Fact{ID: "proof", Label: lang.L("Better cuts may exist"), Note: locale.Say(p.Cuts.Sentence), Mark: control.Doubt}
}

func (s *sidebar) costWhy(p *plan.Plan, show func(decimal.Decimal) string) string {
	text := ""
	for _, line := range p.Ledger.Lines {
		if !line.Amount.IsZero() {
			text += fmt.Sprintf("%s  %s, %s: %s.\n", show(line.Amount), locale.Say(line.Kind), locale.Say(line.Text), locale.Say(line.How))
		}
	}
	if text == "" {
		return lang.L("Nothing costs money yet.")
	}
	return text + "\n" + lang.L("Your own time is not in it; “An hour earns” says what is left for it.")
}

// hours writes minutes as hours.
func hours(minutes float64) string {
	return lang.L("{{.hours}} h", locale.With{"hours": locale.Float(minutes/60, 1)})
}
