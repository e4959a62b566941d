package ledger

import (
	"slices"
	"strconv"
	"strings"
	"time"

	"fyne.io/fyne/v2/lang"

	"pilewright/plan"
	"pilewright/plan/forecast"
	"pilewright/plan/measure"
	"pilewright/ui/control"
	"pilewright/ui/locale"
)

// Columns of the log.
const (
	colWorked = iota
	colStart
	colPhase
	colStep
	colTarget
	colRate
	colQuantity
	colNote
	colBefore
)

// minutes writes minutes as a maker does.
func minutes(m float64) string {
	return measure.FormatDuration(time.Duration(m+0.5) * time.Minute)
}

// worked writes the time of an entry exactly.
func worked(e plan.Entry) string {
	return measure.FormatDuration(time.Duration(e.Seconds) * time.Second)
}

// entries are the log of the open piece, the newest first.
func entries(p *plan.Project) []plan.Entry {
	var out []plan.Entry
	for _, e := range p.Log {
		if e.Piece == p.Piece.ID && e.Piece != 0 {
			out = append(out, e)
		}
	}
	slices.SortStableFunc(out, func(a, b plan.Entry) int { return b.Start.Compare(a.Start) })
	return out
}

func (r *Room) logGrid() *control.Grid {
	list := func() []plan.Entry { return r.entries }
	phases := control.Column{Title: lang.L("Phase"), Width: 90, Editable: true, Kind: control.Choice, Choices: func(int) []string { return phaseNames() }}
	rates := control.Column{Title: lang.L("Learned as"), Width: 110, Editable: true, Kind: control.Choice, Tip: lang.L("the shop's rate this teaches; empty = counts in the totals only"), Choices: func(int) []string { return rateNames() }}
	g := control.NewGrid([]control.Column{
		{Title: lang.L("Worked"), Width: 90, Numeric: true, Editable: true, Tip: lang.L("1h20, 80 min or 1:20; a correction keeps the earlier value")}, {Title: lang.L("Begun"), Width: 130, Editable: true, Tip: "2026-03-21 18:30"}, phases,
		{Title: lang.L("Step"), Width: 170, Stretch: true}, {Title: lang.L("Target"), Width: 90, Numeric: true, Tip: lang.L("planned when it was worked")}, rates,
		{Title: lang.L("Quantity"), Width: 90, Numeric: true, Editable: true, Tip: lang.L("how much was done, in the rate's unit")}, {Title: lang.L("Note"), Width: 110, Stretch: true, Editable: true}, {Title: lang.L("Before correction"), Width: 140},
	}, func() int { return len(list()) }, func(row, col int) (string, control.CellState) {
		all := list()
		if row >= len(all) {
			return "", control.CellState{}
		}
		return entryCell(r.plan(), all[row], r.now().Location(), col)
	})
	g.RowID = func(row int) string { return strconv.FormatInt(int64(list()[row].ID), 10) }
	g.CanAdd, g.AddHint = true, "1h20"
	g.OnMessage = r.desk.Say
	g.Commit = r.commitEntry
	g.Delete = func(rows []int) {
		gone := map[plan.ID]bool{}
		for _, row := range rows {
			if all := list(); row < len(all) {
				gone[all[row].ID] = true
			}
		}
		r.desk.Fail(r.edit(lang.L("delete log entries"), "", func(q *plan.Project) error {
			q.Log = slices.DeleteFunc(slices.Clone(q.Log), func(e plan.Entry) bool { return gone[e.ID] })
			return nil
		}))
	}
	return g
}

func phaseNames() []string { return locale.WordsOf(plan.Phases...) }

func rateNames() []string {
	return locale.WordsOf(rateIDs()...)
}

func rateIDs() []string {
	out := []string{""}
	for _, rate := range forecast.DefaultRates() {
		out = append(out, rate.ID)
	}
	return out
}

func (r *Room) now() time.Time { return r.desk.Session().Now() }

// entryCell gives one cell of the log.
func entryCell(p *plan.Plan, e plan.Entry, zone *time.Location, col int) (string, control.CellState) {
	switch col {
	case colWorked:
		return worked(e), workedState(p, e)
	case colStart:
		return e.Start.In(zone).Format("2006-01-02 15:04"), control.CellState{}
	case colPhase:
		return locale.Word(string(e.Phase)), control.CellState{}
	case colStep:
		return stepName(p, e), control.CellState{Dim: e.Step == ""}
	case colTarget:
		if e.Target <= 0 {
			return "", control.CellState{}
		}
		return minutes(e.Target), control.CellState{}
	case colRate:
		return locale.Word(e.Rate), control.CellState{}
	case colQuantity:
		if e.Quantity == 0 {
			return "", control.CellState{}
		}
		return quantity(e.Quantity) + unitOf(e.Rate), control.CellState{}
	case colNote:
		return e.Note, control.CellState{}
	}
	return earlier(e, zone)
}

// workedState marks time that is beyond belief, and time the maker stands by.
func workedState(p *plan.Plan, e plan.Entry) control.CellState {
	state := control.CellState{Bold: true}
	if e.Kept {
		state.Message = lang.L("You said that this time is right: rates are learned from it.")
	}
	for _, d := range p.Ledger.Forecast.Doubts {
		if d.Entry == e.ID {
			state.Warn = true
			state.Message = lang.L("{{.times}} times what all else says: counted as worked, and no rate is learned from it. Correct it, or press “This time is right”.", locale.With{"times": locale.Float(d.Times, 1)})
		}
	}
	return state
}

// keepTime lets rates be learned from the entries chosen, however long they are;
// once more takes that back.
func (r *Room) keepTime() {
	ids := map[plan.ID]bool{}
	right := false
	for _, row := range r.log.SelectedRows() {
		if row < len(r.entries) {
			ids[r.entries[row].ID] = true
			right = right || !r.entries[row].Kept
		}
	}
	if len(ids) == 0 {
		r.desk.Fail(locale.Error("choose an entry of the log first"))
		return
	}
	label := lang.L("stand by a logged time")
	if !right {
		label = lang.L("leave a logged time to be judged")
	}
	r.desk.Fail(r.edit(label, "", func(q *plan.Project) error {
		q.Log = slices.Clone(q.Log)
		for i := range q.Log {
			if ids[q.Log[i].ID] {
				q.Log[i].Kept = right
			}
		}
		return nil
	}))
}

func stepName(p *plan.Plan, e plan.Entry) string {
	if s, ok := p.Work.Step(e.Step); ok {
		return locale.Say(s.Title)
	}
	if e.Step == "" {
		return lang.L("by hand")
	}
	return lang.L("a step the plan no longer has")
}

func quantity(q float64) string { return locale.Number(strconv.FormatFloat(q, 'g', 4, 64)) }

// unitOf is what a rate's quantity counts.
func unitOf(rate string) string {
	for _, x := range forecast.DefaultRates() {
		if x.ID == rate {
			return " " + locale.Unit(x.Unit)
		}
	}
	return ""
}

// earlier tells what an entry said before it was corrected.
func earlier(e plan.Entry, zone *time.Location) (string, control.CellState) {
	if len(e.Earlier) == 0 {
		return "", control.CellState{}
	}
	var all []string
	for _, x := range e.Earlier {
		all = append(all, lang.L("{{.time}} from {{.from}}, corrected {{.corrected}}", locale.With{"time": measure.FormatDuration(time.Duration(x.Seconds) * time.Second), "from": locale.Day(x.Start.In(zone), "2 Jan 15:04"), "corrected": locale.Day(x.At.In(zone), "2 Jan 15:04")}))
	}
	first := e.Earlier[0]
	return lang.L("was {{.time}}", locale.With{"time": measure.FormatDuration(time.Duration(first.Seconds) * time.Second)}), control.CellState{Dim: true, Message: strings.Join(all, "; ")}
}

// commitEntry takes a typed cell of the log.
func (r *Room) commitEntry(row, col int, text string) error {
	text = strings.TrimSpace(text)
	all, now := r.entries, r.now()
	if row >= len(all) {
		return r.addEntry(col, text)
	}
	id := all[row].ID
	return r.edit(lang.L("correct the log"), "", func(q *plan.Project) error {
		q.Log = slices.Clone(q.Log)
		i := slices.IndexFunc(q.Log, func(e plan.Entry) bool { return e.ID == id })
		if i < 0 {
			return locale.Error("this entry is no longer there")
		}
		return setEntry(&q.Log[i], col, text, now)
	})
}

func (r *Room) addEntry(col int, text string) error {
	p, now := r.project(), r.now()
	if p.Piece.ID == 0 {
		return locale.Error("there is no piece open; make one first")
	}
	if col != colWorked {
		return locale.Error("type the time worked first: 1h20, 80 min or 1:20")
	}
	phase := plan.PhaseMill
	if s, ok := nextStep(r.plan()); ok {
		phase = s.Phase
	}
	return r.edit(lang.L("add time by hand"), "", func(q *plan.Project) error {
		e := plan.Entry{ID: q.Take(), Piece: p.Piece.ID, Phase: phase, Start: now.UTC().Truncate(time.Minute), ByHand: true}
		d, err := parseWorked(text)
		if err != nil {
			return err
		}
		e.Seconds, e.Start = int64(d/time.Second), e.Start.Add(-d)
		q.Log = append(slices.Clone(q.Log), e)
		return nil
	})
}

func nextStep(p *plan.Plan) (plan.Step, bool) {
	for _, s := range p.Work.Steps {
		if !s.Done {
			return s, true
		}
	}
	return plan.Step{}, false
}

func parseWorked(text string) (time.Duration, error) {
	d, err := locale.ParseMinutes(text)
	if err != nil {
		return 0, err
	}
	if d <= 0 {
		return 0, locale.Error("nothing was worked; delete the entry instead")
	}
	return d, nil
}

// setEntry puts a typed text into an entry. Corrected times are kept in Earlier.
func setEntry(e *plan.Entry, col int, text string, now time.Time) error {
	before := plan.EntryEarlier{Start: e.Start, Seconds: e.Seconds, At: now.UTC()}
	keep := func() { e.Earlier = append(slices.Clone(e.Earlier), before) }
	switch col {
	case colWorked:
		d, err := parseWorked(text)
		if err != nil {
			return err
		}
		if s := int64(d / time.Second); s != e.Seconds {
			keep()
			e.Seconds = s
		}
	case colStart:
		at, err := parseMoment(text, now.Location())
		if err != nil {
			return err
		}
		if !at.Equal(e.Start.Truncate(time.Minute)) {
			keep()
			e.Start = at.UTC()
		}
	case colPhase:
		phase := locale.ID(text, plan.Phases...)
		if !slices.Contains(plan.Phases, phase) {
			return locale.Error("“{{.text}}” is no phase; they are {{.phaseNames}}", locale.With{"text": text, "phaseNames": strings.Join(phaseNames(), ", ")})
		}
		e.Phase = phase
	case colRate:
		rate := locale.ID(text, rateIDs()...)
		if !slices.Contains(rateIDs(), rate) {
			return locale.Error("the shop has no rate “{{.text}}”", locale.With{"text": text})
		}
		e.Rate = rate
	case colQuantity:
		return setQuantity(e, text)
	case colNote:
		e.Note = text
	default:
		return locale.Error("this follows from the plan and can't be typed")
	}
	return nil
}

func setQuantity(e *plan.Entry, text string) error {
	if text == "" {
		e.Quantity = 0
		return nil
	}
	number, _, _ := strings.Cut(text, " ")
	q, err := locale.ParseFloat(number)
	if err != nil || !(q > 0) || q > 1e6 {
		return locale.Error("“{{.text}}” is not a quantity above nothing", locale.With{"text": text})
	}
	e.Quantity = q
	return nil
}

// parseMoment reads a day, with or without a time.
func parseMoment(text string, zone *time.Location) (time.Time, error) {
	for _, form := range []string{"2006-01-02 15:04", time.DateOnly, "2006-01-02T15:04"} {
		if t, err := time.ParseInLocation(form, text, zone); err == nil {
			return t, nil
		}
	}
	return time.Time{}, locale.Error("“{{.text}}” is no moment; write it as 2026-03-21 18:30", locale.With{"text": text})
}

func (r *Room) phaseGrid() *control.Grid {
	list := func() []plan.PhaseTime { return r.plan().Ledger.Phases }
	rows := func() int {
		if n := len(list()); n > 0 {
			return n + 1
		}
		return 0
	}
	g := control.NewGrid([]control.Column{{Title: lang.L("Phase"), Width: 120}, {Title: lang.L("Target"), Width: 120, Numeric: true, Tip: lang.L("planned: quantities at the shop's rates, set-ups with the milling")}, {Title: lang.L("Taken"), Width: 120, Numeric: true, Tip: lang.L("logged; collecting is the boards' share of their lots")}, {Title: lang.L("To go"), Width: 120, Numeric: true, Tip: lang.L("of the steps not done, less what is logged on them")}},
		rows, func(row, col int) (string, control.CellState) {
			all := list()
			if row > len(all) {
				return "", control.CellState{}
			}
			l := r.plan().Ledger
			t, state := plan.PhaseTime{Phase: plan.Phase(lang.L("in all")), Target: l.Target, Done: l.Done, Left: l.Left}, control.CellState{Bold: true}
			if row < len(all) {
				t, state = all[row], control.CellState{}
			}
			return phaseCell(t, state, col)
		})
	g.OnMessage = r.desk.Say
	return g
}

func phaseCell(t plan.PhaseTime, state control.CellState, col int) (string, control.CellState) {
	some := func(m float64) string {
		if m < 0.5 {
			return "–"
		}
		return minutes(m)
	}
	switch col {
	case 0:
		return locale.Word(string(t.Phase)), state
	case 1:
		return some(t.Target), state
	case 2:
		if t.Done > t.Target+0.5 && t.Target > 0 {
			state.Warn, state.Message = true, lang.L("{{.done}} over the target.", locale.With{"done": minutes(t.Done - t.Target)})
		}
		return some(t.Done), state
	}
	return some(t.Left), state
}
