package plan

import (
	"strconv"
	"time"

	"pilewright/plan/forecast"
)

// Outlook is the forecast of the whole time of the piece, and what it was
// learned from.
type Outlook struct {
	forecast.Forecast
	Rates        []forecast.Learned
	Samples      int        // logged tasks of other pieces it learned from
	Hourly       [3]float64 // earned an hour at the price when all takes P90, P50, P10; zero without a price
	ChanceOfWish float64    // of earning at least the wished hourly amount at this price
}

// rates learns the shop's rates from the log of every piece but the open one.
// It is done once for a plan.
func (m *making) rates() *forecast.Model {
	if m.model == nil {
		learned := forecast.Learn(forecast.DefaultRates(), Samples(m.plan.Project.Log, m.plan.Project.Piece.ID))
		m.model = &learned
	}
	return m.model
}

// Samples gives the log as the forecast learns from it, without one piece.
func Samples(log []Entry, without ID) []forecast.Sample {
	var out []forecast.Sample
	for _, e := range log {
		if e.Rate == "" || e.Piece == without && without != 0 {
			continue
		}
		s := forecast.Sample{Rate: e.Rate, Quantity: e.Quantity, Minutes: float64(e.Seconds) / 60}
		if e.Piece != 0 {
			s.Piece = strconv.FormatInt(int64(e.Piece), 10)
		}
		out = append(out, s)
	}
	return out
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

// Tasks is the work of the piece as the forecast sees it. A step that is done
// counts with what was logged on it. Where that is nothing, nobody knows how long
// it took: it is neither work to come nor a lesson.
func (w Work) Tasks(logged map[string]float64) []forecast.Task {
	var tasks []forecast.Task
	for _, s := range w.Steps {
		tasks = append(tasks, forecast.Task{Rate: s.Rate, Quantity: s.Quantity, DoneMinutes: logged[s.Key], Done: s.Done})
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
	return w.Tasks(w.Logged(m.plan.Project, time.Time{}))
}

// forecast reckons the range of the whole time and of the hourly earning.
func (m *making) forecast(l *Ledger) {
	o := Outlook{Forecast: m.rates().Predict(m.tasks(m.plan.Work)), Rates: m.rates().Rates()}
	for _, r := range o.Rates {
		o.Samples += r.Samples
	}
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
