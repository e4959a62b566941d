package ui

import (
	"fmt"
	"slices"
	"strings"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/widget"
	"github.com/shopspring/decimal"

	"pilewright/plan"
	"pilewright/plan/money"
	"pilewright/ui/control"
	"pilewright/ui/desk"
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
	s.findings.OnTap = s.leadFinding
	s.content = container.NewBorder(widget.NewLabelWithStyle("Cost and time", fyne.TextAlignLeading, fyne.TextStyle{Bold: true}), nil, nil, nil,
		container.NewVScroll(container.NewVBox(s.facts, s.findings)))
	return s
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
		note := s.w.session.Failure()
		if busy, _ := s.w.session.Busy(); note == "" && busy {
			note = "working it out…"
		} else if note == "" {
			note = "Add boards, begin a piece, and what it takes stands here."
		}
		s.facts.Set([]control.Fact{{ID: "none", Label: "Nothing is planned yet", Note: note}})
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
		facts = append(facts, control.Fact{ID: findingID(i), Label: f.Text, Note: f.Do, Mark: mark})
		why := f.Text
		if f.Do != "" {
			why += "\n\nWhat to do: " + f.Do
		}
		if f.Source != "" {
			why += "\n\nRule: " + f.Source
		}
		s.whys[findingID(i)] = why
	}
	head := control.Fact{ID: "findings", Head: true, Label: "Findings", Value: fmt.Sprint(len(s.listed))}
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
	cur := money.Of(p.Project.Shop.Currency)
	show := func(d decimal.Decimal) string { return cur.Format(cur.Round(d)) }
	var out []control.Fact
	add := func(f control.Fact, why string) {
		out = append(out, f)
		s.whys[f.ID] = why
	}
	if f := s.w.session.Failure(); f != "" && s.w.session.Stale() {
		add(control.Fact{ID: "stale", Label: "Figures of the last good plan", Note: f, Mark: control.Bad}, f+"\n\nThe newest entry can't be planned. What you see in the rooms and here is the last state that could be. Mend the entry, or undo it (Ctrl+Z).")
	}
	add(control.Fact{ID: "time", Head: true, Label: "Time"}, "")
	add(control.Fact{ID: "target", Label: "Planned", Value: hours(l.Target)}, "Every step's quantity times the shop's rate for it, and set-up changes. Rates start as guesses and are learned from the log of finished work.")
	if h, _ := p.Project.Piece.TargetHours.Float64(); h > 0 {
		target := control.Fact{ID: "wished", Label: "Target", Value: hours(60 * h)}
		if l.Done+l.Left > 60*h {
			target.Mark, target.Note = control.Doubt, "done and to go come to more"
		}
		add(target, "The hours you want to need for this piece. Set them under This piece… in the Piece menu.")
	}
	add(control.Fact{ID: "done", Label: "Done", Value: hours(l.Done)}, fmt.Sprintf("Time logged on this piece, and %s to collect the boards it uses (their share of their lots' hours).", hours(l.Collect)))
	add(control.Fact{ID: "left", Label: "To go", Value: hours(l.Left)}, "Planned minutes of the steps that are not done, less what is logged on them.")
	add(control.Fact{ID: "range", Label: "Likely in all", Value: fmt.Sprintf("%.0f – %.0f h", (l.Forecast.P10+l.Collect)/60, (l.Forecast.P90+l.Collect)/60)},
		fmt.Sprintf("Eight chances in ten: the whole time lies in this range (10 %% and 90 %% points; the middle is %s). Learned from %d logged tasks of earlier pieces.", hours(l.Forecast.P50+l.Collect), l.Forecast.Samples))
	add(control.Fact{ID: "money", Head: true, Label: "Money"}, "")
	add(control.Fact{ID: "cost", Label: "Cost", Value: show(l.Costs.Total())}, s.costWhy(p, show))
	price := control.Fact{ID: "price", Label: "Price", Value: show(l.Sale.Price)}
	if !l.Sale.Price.IsPositive() {
		price.Value = "not set"
	}
	add(price, "What you ask. Set it in the Ledger.")
	hour := control.Fact{ID: "hour", Label: "An hour earns", Value: "–", Bold: true}
	if l.Result.PerHour.Valid {
		hour.Value = show(l.Result.PerHour.Decimal)
		hour.Note = fmt.Sprintf("%s – %s likely", show(decimal.NewFromFloat(l.Forecast.Hourly[0])), show(decimal.NewFromFloat(l.Forecast.Hourly[2])))
		if l.Result.PerHour.Decimal.LessThan(l.Wish) {
			hour.Mark = control.Doubt
		} else {
			hour.Mark = control.Good
		}
	}
	add(hour, fmt.Sprintf("Price less tax, fees, delivery and cost (%s), over the hours now expected (%s h). You wish for %s an hour; the chance of that at this price is %.0f %%.", show(l.Result.Earned), l.Hours().Round(1), show(l.Wish), 100*l.Forecast.ChanceOfWish))
	add(control.Fact{ID: "wood", Head: true, Label: "Wood"}, "")
	add(control.Fact{ID: "boards", Label: "Boards cut", Value: fmt.Sprint(l.Boards)}, "Boards of the pile that the cuts open.")
	amount := strings.NewReplacer("board feet", "bd ft", " of wood", "").Replace(desk.Wood(p.Project, l.Feet))
	add(control.Fact{ID: "feet", Label: "Wood opened", Value: amount}, "Volume of the boards cut, as measured; 144 cubic inches make a board foot (2.36 litres).")
	add(control.Fact{ID: "yield", Label: "Yield", Value: fmt.Sprintf("%.0f %%", 100*l.Yield())}, fmt.Sprintf("Face area of the blanks (%s m²) over that of the boards cut (%s m²). Leftovers long enough to keep go back to the pile.", l.Used.SquareMetres().StringFixed(2), l.Wood.SquareMetres().StringFixed(2)))
	if p.Cuts.Sentence != "" {
		add(s.proof(p), p.Cuts.Sentence+"\n\nThe aims stand in the order of their weight: every blank made, least money, least wood, fewest boards. “Aims and proof” in Cuts has the figures.")
	}
	return out
}

// proof says in a line how sure it is that no better cuts exist.
func (s *sidebar) proof(p *plan.Plan) control.Fact {
	busy, _ := s.w.session.Busy()
	switch {
	case p.Cuts.Proved && p.Cuts.Final:
		return control.Fact{ID: "proof", Label: "No better cuts exist", Note: "proved", Mark: control.Good}
	case busy:
		return control.Fact{ID: "proof", Label: "Better cuts may exist", Note: "still looking"}
	}
	return control.Fact{ID: "proof", Label: "Better cuts may exist", Note: p.Cuts.Sentence, Mark: control.Doubt}
}

func (s *sidebar) costWhy(p *plan.Plan, show func(decimal.Decimal) string) string {
	text := ""
	for _, line := range p.Ledger.Lines {
		if !line.Amount.IsZero() {
			text += fmt.Sprintf("%s  %s, %s: %s.\n", show(line.Amount), line.Kind, line.Text, line.How)
		}
	}
	if text == "" {
		return "Nothing costs money yet."
	}
	return text + "\nYour own time is not in it; “An hour earns” says what is left for it."
}

// hours writes minutes as hours.
func hours(minutes float64) string { return fmt.Sprintf("%.1f h", minutes/60) }
