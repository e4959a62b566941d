package ui

import (
	"fmt"

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
	s.facts.OnTap = s.lead
	s.findings = control.NewFacts(func(id string) string { return s.whys[id] })
	s.findings.OnTap = s.leadFinding
	s.content = container.NewBorder(widget.NewLabelWithStyle("Cost and time", fyne.TextAlignLeading, fyne.TextStyle{Bold: true}), nil, nil, nil,
		container.NewVScroll(container.NewVBox(s.facts, s.findings)))
	return s
}

// rooms each fact leads to.
var factRooms = map[string]string{
	"cost": desk.Ledger, "done": desk.Bench, "left": desk.Bench, "target": desk.Bench, "range": desk.Ledger, "price": desk.Ledger,
	"hour": desk.Ledger, "boards": desk.Cuts, "feet": desk.Cuts, "yield": desk.Cuts, "proof": desk.Cuts, "ready": desk.Bench,
}

// lead opens the room a fact belongs to, where that room exists.
func (s *sidebar) lead(id string) {
	if room, ok := factRooms[id]; ok && s.w.rooms[s.w.roomIndex(room)].ID() == room {
		s.w.enter(s.w.roomIndex(room))
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
	if p == nil {
		s.facts.Set([]control.Fact{{ID: "none", Label: "Nothing is planned yet", Note: s.w.session.Failure()}})
		s.findings.Set(nil)
		return
	}
	s.facts.Set(s.lines(p))
	s.listed = s.w.session.Findings()
	var facts []control.Fact
	stops, looks := 0, 0
	for i, f := range s.listed {
		mark := control.Plain
		switch f.Severity {
		case plan.Stop:
			mark, stops = control.Bad, stops+1
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
	badge, mark := "", control.Plain
	if stops > 0 {
		badge, mark = fmt.Sprint(stops), control.Bad
	}
	s.w.rail.SetBadge(desk.Piece, badge, mark)
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
	if s.w.session.Stale() {
		note := "planning…"
		if f := s.w.session.Failure(); f != "" {
			note = f
		}
		add(control.Fact{ID: "stale", Label: "Figures of the last good plan", Note: note, Mark: control.Doubt}, "The newest entry can't be planned yet. What you see is the last state that could be.")
	}
	add(control.Fact{ID: "time", Head: true, Label: "Time"}, "")
	add(control.Fact{ID: "target", Label: "Planned", Value: hours(l.Target)}, "Every step's quantity times the shop's rate for it, and set-up changes. Rates start as guesses and are learned from the log of finished work.")
	add(control.Fact{ID: "done", Label: "Done", Value: hours(l.Done)}, fmt.Sprintf("Time logged on this piece, and %s to collect the boards it uses (their share of their lots' hours).", hours(l.Collect)))
	add(control.Fact{ID: "left", Label: "To go", Value: hours(l.Left)}, "Planned minutes of the steps that are not done, less what is logged on them.")
	add(control.Fact{ID: "range", Label: "Likely in all", Value: fmt.Sprintf("%s – %s", hours(l.Forecast.P10+l.Collect), hours(l.Forecast.P90+l.Collect))},
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
	add(control.Fact{ID: "feet", Label: "Board feet", Value: l.Feet.StringFixed(1)}, "Volume of the boards cut, as measured; 144 cubic inches make a board foot.")
	add(control.Fact{ID: "yield", Label: "Yield", Value: fmt.Sprintf("%.0f %%", 100*l.Yield())}, fmt.Sprintf("Face area of the blanks (%s m²) over that of the boards cut (%s m²). Leftovers long enough to keep go back to the pile.", l.Used.SquareMetres().StringFixed(2), l.Wood.SquareMetres().StringFixed(2)))
	if p.Cuts.Sentence != "" {
		add(control.Fact{ID: "proof", Label: "Proof of the cuts", Note: p.Cuts.Sentence}, p.Cuts.Sentence)
	}
	return out
}

func (s *sidebar) costWhy(p *plan.Plan, show func(decimal.Decimal) string) string {
	text := ""
	for _, line := range p.Ledger.Lines {
		text += fmt.Sprintf("%s, %s: %s (%s)\n", line.Kind, line.Text, show(line.Amount), line.How)
	}
	if text == "" {
		return "Nothing costs money yet."
	}
	return text
}

// hours writes minutes as hours.
func hours(minutes float64) string { return fmt.Sprintf("%.1f h", minutes/60) }
