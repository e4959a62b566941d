package plan

import (
	"fmt"
	"slices"
	"strconv"
	"time"

	"pilewright/plan/forecast"
	"pilewright/plan/measure"
)

// Outlook is the forecast of the whole time of the piece, and what it was
// learned from.
type Outlook struct {
	forecast.Forecast
	Rates        []forecast.Learned
	Samples      int        // logged tasks of other pieces it learned from
	Hourly       [3]float64 // earned an hour at the price when all takes P90, P50, P10; zero without a price
	ChanceOfWish float64    // of earning at least the wished hourly amount at this price
	Doubts       []Doubt    // entries set aside, of the open piece first
}

// rates learns the shop's rates from the log of every piece but the open one.
// It is done once for a plan.
func (m *making) rates() *forecast.Model {
	if m.model == nil {
		samples, at := samplesOf(m.plan.Project.Log, m.plan.Project.Piece.ID)
		learned := forecast.Learn(Rates(), samples)
		m.model = &learned
		for i, d := range learned.Doubtful {
			m.doubts = append(m.doubts, Doubt{m.plan.Project.Log[at[d]].ID, learned.Multiples[i]})
		}
	}
	return m.model
}

// Samples gives the log as the forecast learns from it, without one piece.
func Samples(log []Entry, without ID) []forecast.Sample {
	samples, _ := samplesOf(log, without)
	return samples
}

// samplesOf is Samples with the number of each one's entry in the log.
func samplesOf(log []Entry, without ID) (samples []forecast.Sample, at []int) {
	for i, e := range log {
		if e.Rate == "" || e.Piece == without && without != 0 {
			continue
		}
		s := forecast.Sample{Rate: e.Rate, Quantity: e.Quantity, Minutes: float64(e.Seconds) / 60, Kept: e.Kept}
		if e.Piece != 0 {
			s.Piece = strconv.FormatInt(int64(e.Piece), 10)
		}
		samples, at = append(samples, s), append(at, i)
	}
	return samples, at
}

// Doubt is an entry of the log whose time is beyond belief, such as that of a
// clock left running: it counts as worked, and no rate is learned from it.
type Doubt struct {
	Entry ID
	Times float64 // how many times as long as all else says
}

// minutes is the target of a step: its quantity at the learned rate.
func (m *making) minutes(s Step) float64 {
	r, ok := m.rates().Rate(s.Rate)
	if !ok {
		return s.Minutes
	}
	return r.Median * s.Quantity
}

// Home gives the key of the step that time logged under a key counts on: of a part
// of a step that is whole again, the whole; empty where the plan has no such step.
func (w Work) Home(key string) string {
	whole, found := WholeKey(key), ""
	for _, s := range w.Steps {
		if s.Key == key {
			return key
		}
		if s.Key == whole {
			found = whole
		}
	}
	return found
}

// Logged gives the minutes in the log of the open piece by step, those that no
// step of the plan holds, such as the cuts of boards that are cut up, under the
// empty key. Only entries begun before by count; a zero by lets all count.
func (w Work) Logged(p *Project, by time.Time) map[string]float64 {
	out, homes := map[string]float64{}, map[string]string{}
	for _, e := range p.Log {
		if e.Piece != p.Piece.ID || e.Piece == 0 || !by.IsZero() && !e.Start.Before(by) {
			continue
		}
		home, ok := homes[e.Step]
		if !ok {
			home = w.Home(e.Step)
			homes[e.Step] = home
		}
		out[home] += float64(e.Seconds) / 60
	}
	return out
}

// ownRate is the rate that minutes typed by the maker are forecast at: as wide as
// a guess of the program's. Nothing is logged under it.
var ownRate = forecast.Rate{ID: "own", Name: "the maker's own minutes", Phase: string(PhaseMill), Unit: "minute", Median: 1, Sigma: 0.4, Weight: 1.0 / 3, Source: forecast.Source}

// Rates are what the forecast of a plan begins with: the kinds of work, and the
// minutes that the maker typed.
func Rates() []forecast.Rate { return append(forecast.DefaultRates(), ownRate) }

// ownMedian is what a minute of the maker's comes to in the middle at the learned
// pace, which typed minutes are free of.
func (m *making) ownMedian() float64 {
	r, ok := m.rates().Rate(ownRate.ID)
	if !ok {
		return 1
	}
	return r.Median
}

// Tasks is the work of the piece as the forecast sees it. A step that is done
// counts with what was logged on it. Where that is nothing, nobody knows how long
// it took: it is neither work to come nor a lesson. by is as in Logged; what was
// still worked at after it was not done by then.
func (w Work) Tasks(p *Project, by time.Time) []forecast.Task {
	ownMedian := w.ownMedian
	if ownMedian <= 0 {
		ownMedian = 1
	}
	logged, all := w.Logged(p, by), w.Logged(p, time.Time{})
	kept := map[string]bool{}
	for _, e := range p.Log {
		if e.Kept && e.Piece == p.Piece.ID && e.Piece != 0 {
			kept[w.Home(e.Step)] = true
		}
	}
	var tasks []forecast.Task
	for _, s := range w.Steps {
		t := forecast.Task{Rate: s.Rate, Quantity: s.Quantity, DoneMinutes: logged[s.Key], Done: s.Done && logged[s.Key] == all[s.Key], Kept: kept[s.Key]}
		if s.Typed { // half of all outcomes take longer than the maker says
			t.Rate, t.Quantity = ownRate.ID, s.Minutes/ownMedian
		}
		tasks = append(tasks, t)
	}
	if other := logged[""]; other > 0 {
		tasks = append(tasks, forecast.Task{DoneMinutes: other, Done: true})
	}
	if w.Setups > 0 {
		tasks = append(tasks, forecast.Task{Rate: "set-up", Quantity: float64(w.Setups)})
	}
	return tasks
}

// tasks is the work of the piece at the present state of the log.
func (m *making) tasks(w Work) []forecast.Task {
	return w.Tasks(m.plan.Project, time.Time{})
}

// forecast reckons the range of the whole time and of the hourly earning.
func (m *making) forecast(l *Ledger) {
	o := Outlook{Forecast: m.rates().Predict(m.tasks(m.plan.Work)), Rates: m.rates().Rates()}
	o.Rates = slices.DeleteFunc(o.Rates, func(r forecast.Learned) bool { return r.ID == ownRate.ID })
	for _, r := range o.Rates {
		o.Samples += r.Samples
	}
	o.Doubts = m.doubtsHere(o.Forecast)
	o.Doubts = append(o.Doubts, m.doubts...)
	earned, _ := l.Result.Earned.Float64()
	if l.Sale.Price.IsPositive() {
		for i, minutes := range []float64{o.P90, o.P50, o.P10} {
			if whole := minutes + l.Collect; whole > 0 {
				o.Hourly[i] = earned / (whole / 60)
			}
		}
		wish, _ := l.Wish.Float64()
		if wish > 0 && earned > 0 {
			o.ChanceOfWish = o.ChanceWithin(earned/wish*60 - l.Collect)
		}
	}
	l.Forecast = o
}

// doubtsHere are the entries of the open piece whose time is beyond belief: of each
// step judged so, the longest.
func (m *making) doubtsHere(f forecast.Forecast) []Doubt {
	var out []Doubt
	w, p := m.plan.Work, m.plan.Project
	for i, at := range f.Doubtful {
		if at >= len(w.Steps) {
			continue
		}
		longest, most := ID(0), int64(0)
		for _, e := range p.Log {
			if e.Piece == p.Piece.ID && e.Seconds > most && w.Home(e.Step) == w.Steps[at].Key {
				longest, most = e.ID, e.Seconds
			}
		}
		if longest != 0 {
			out = append(out, Doubt{longest, f.Multiples[i]})
		}
	}
	return out
}

// doubtFindings say which entries of the log are set aside.
func (m *making) doubtFindings(o Outlook) {
	p := m.plan.Project
	for _, d := range o.Doubts {
		i := slices.IndexFunc(p.Log, func(e Entry) bool { return e.ID == d.Entry })
		if i < 0 {
			continue
		}
		e := p.Log[i]
		text := fmt.Sprintf("The %s logged on %s for %s are %.0f times as long as all else says", measure.FormatDuration(time.Duration(e.Seconds)*time.Second), e.Start.In(m.zone()).Format("2 January 2006"), m.entryWords(e), d.Times)
		do := "Correct the time in the Ledger if the clock was left running, or mark it as right there."
		if d.Times < 1 {
			text = fmt.Sprintf("The %s logged on %s for %s are only a %.0fth of what all else says", measure.FormatDuration(time.Duration(e.Seconds)*time.Second), e.Start.In(m.zone()).Format("2 January 2006"), m.entryWords(e), 1/d.Times)
			do = "Correct the time in the Ledger if the clock was started late, or mark it as right there."
		}
		m.ledger = append(m.ledger, Finding{Code: "time.wild", Severity: Note, Subject: Subject{Room: "ledger"}, Text: text + ": counted as worked, and no rate is learned from it.", Do: do,
			Source: "forecast: set aside when ten times off, or four standard deviations"})
	}
}

// overlapFindings say which times of the clock run into each other: a maker works
// at one thing at a time, so the minutes they share are counted twice. A time
// entered by hand has a day but no hour, and is left out.
func (m *making) overlapFindings() {
	p := m.plan.Project
	var clocked []Entry
	for _, e := range p.Log {
		if !e.ByHand && e.Seconds > 0 {
			clocked = append(clocked, e)
		}
	}
	byStart := func(a, b Entry) int { return a.Start.Compare(b.Start) }
	if !slices.IsSortedFunc(clocked, byStart) {
		slices.SortStableFunc(clocked, byStart)
	}
	last := 0 // the entry that ends latest so far
	end := func(e Entry) time.Time { return e.Start.Add(time.Duration(e.Seconds) * time.Second) }
	for i := 1; i < len(clocked); i++ {
		a, b := clocked[last], clocked[i]
		shared := min(end(a).Sub(b.Start), time.Duration(b.Seconds)*time.Second)
		if shared >= time.Minute && (a.Piece == p.Piece.ID || b.Piece == p.Piece.ID) {
			m.ledger = append(m.ledger, Finding{Code: "time.overlap", Severity: Warn, Subject: Subject{Room: "ledger"},
				Text: fmt.Sprintf("On %s the times for %s and for %s overlap by %s, which is counted twice.", b.Start.In(m.zone()).Format("2 January 2006"), m.entryWords(a), m.entryWords(b), measure.FormatDuration(shared.Truncate(time.Minute))),
				Do:   "Correct one of the two times in the Ledger."})
		}
		if end(b).After(end(a)) {
			last = i
		}
	}
}

// entryWords names what an entry was logged for.
func (m *making) entryWords(e Entry) string {
	words := "work by hand"
	if r, ok := m.rates().Rate(e.Rate); ok {
		words = "“" + r.Name + "”"
	}
	if s, ok := m.plan.Work.Step(m.plan.Work.Home(e.Step)); ok && e.Piece == m.plan.Project.Piece.ID {
		words = "“" + s.Title + "”"
	}
	for _, q := range m.plan.Project.Pieces {
		if q.ID == e.Piece && e.Piece != m.plan.Project.Piece.ID {
			words += " of " + clip(q.Name)
		}
	}
	return words
}
