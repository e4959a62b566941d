package plan

import (
	"fmt"
	"math"
	"reflect"
	"slices"
	"strings"
	"time"

	"pilewright/plan/schedule"
)

// Work is the steps in the order of work, when they fall, and what the order is
// worth.
type Work struct {
	Steps        []Step // in the order of work; those done come first
	Setups       int    // set-up changes still to come
	SetupMinutes float64
	SetupLeft    float64
	NaiveSetups  int     // part by part
	Saved        float64 // minutes against part by part
	Proved       bool    // no order takes less hands-on time
	Bound        float64 // minutes no order can go below, changes included
	Timeline     schedule.Timeline
	Start        time.Time
	Soonest      schedule.Timeline  // finishing earlier at the price of more set-ups; equal where none is
	ChanceOfDue  float64            // of being ready by the wished day; 0 without one
	ChanceReady  float64            // of being ready by the day of Timeline.Ready; 0 until the plan is final
	Safe         time.Time          // the day that nine outcomes in ten hold; zero until the plan is final
	left         map[string]float64 // minutes still to do, by step
	ownMedian    float64            // see making.ownMedian
	Blocked      string             // why there is no order or no calendar
}

// Step gives a step by its key.
func (w Work) Step(key string) (Step, bool) {
	i := slices.IndexFunc(w.Steps, func(s Step) bool { return s.Key == key })
	if i < 0 {
		return Step{}, false
	}
	return w.Steps[i], true
}

// States of the search for an order, and width of the search over dates: few while
// better cuts may follow, more for the plan that stays.
const (
	quickStates = 2_000
	fullStates  = 60_000
	quickWidth  = 4
	fullWidth   = 12
)

// steps derives the steps, puts them in order and sets them into the calendar.
func (m *making) steps() error {
	m.work = nil
	m.machineFindings()
	w := Work{Steps: m.withEdits(m.derive())}
	for i := range w.Steps {
		s := &w.Steps[i]
		if s.Minutes == 0 {
			s.Minutes = m.minutes(*s)
		}
		if r, ok := m.rates().Rate(s.Rate); ok {
			s.Unit = r.Unit
		}
	}
	w.left, w.ownMedian = w.minutesLeft(m.plan.Project), m.ownMedian()
	if err := m.order(&w); err != nil {
		return err
	}
	m.plan.Work = w
	return nil
}

// withEdits applies what the maker changed about steps: first to whole steps and
// the maker's own, then to the parts of those that were split.
func (m *making) withEdits(steps []Step) []Step {
	edits := m.plan.Project.Steps
	for _, e := range edits {
		if WholeKey(e.Key) != e.Key {
			continue
		}
		i := slices.IndexFunc(steps, func(s Step) bool { return s.Key == e.Key })
		if i < 0 {
			if !e.Own {
				continue // a step that the plan no longer has
			}
			steps = append(steps, Step{Key: e.Key, Own: true, Phase: e.Phase, Machine: clip(e.Machine), Setup: clip(e.Setup)})
			i = len(steps) - 1
		}
		steps[i].change(e, e.Own || len(e.Split) < 2)
	}
	steps = m.dealOut(steps)
	for _, e := range edits {
		i := slices.IndexFunc(steps, func(s Step) bool { return s.Key == e.Key })
		if i < 0 {
			continue
		}
		s := &steps[i]
		if s.Part > 1 {
			s.change(e, true)
		} else if s.Part == 1 && !s.Own && e.Minutes > 0 {
			s.Minutes, s.Typed = float64(min(e.Minutes, mostMinutes)), true
		}
		s.After, s.Done = lastPartOf(steps, e.After), e.Done
	}
	return steps
}

// change puts the maker's name, times and needs into a step.
func (s *Step) change(e StepEdit, minutes bool) {
	if e.Title != "" {
		s.Title = clip(e.Title)
	}
	if e.Minutes > 0 && minutes {
		s.Minutes, s.Typed = float64(min(e.Minutes, mostMinutes)), true
	}
	if e.Wait > 0 {
		s.Wait = time.Duration(min(e.Wait, mostWait)) * time.Minute
	}
	for _, n := range e.Needs {
		if !slices.Contains(s.Needs, n) {
			s.Needs = append(s.Needs, n)
		}
	}
}

// lastPartOf gives the key itself where the plan has that step; of a part that it no
// longer has, the last part there is of the same step.
func lastPartOf(steps []Step, key string) string {
	last := key
	for _, s := range steps {
		if s.Key == key {
			return key
		}
		if WholeKey(s.Key) == WholeKey(key) {
			last = s.Key
		}
	}
	return last
}

// leastLeft is the share of its target that a step begun and not done still takes:
// common practice, no source.
const leastLeft = 0.1

// minutesLeft gives, for the steps that are not done, the planned minutes less what
// is logged on them.
func (w Work) minutesLeft(p *Project) map[string]float64 {
	logged, out := w.Logged(p, time.Time{}), map[string]float64{}
	for _, s := range w.Steps {
		if !s.Done {
			out[s.Key] = max(s.Minutes-logged[s.Key], leastLeft*s.Minutes)
		}
	}
	return out
}

// ReadyWithout is when the piece is ready if the next n sessions of the shop fall
// out, in the order that is planned.
func (p *Plan) ReadyWithout(n int) (time.Time, error) {
	m := &making{plan: *p, tools: Tools{Today: p.Work.Start}}
	w := p.Work
	w.left = w.minutesLeft(p.Project)
	ops := m.operations(w)
	for i := range ops {
		ops[i].Methods, ops[i].Group = nil, "" // they are chosen
	}
	job := schedule.Job{Problem: schedule.Problem{Operations: ops, Change: m.change}, Week: m.week(), Start: p.Work.Start, Lost: n}
	t, err := schedule.Place(job)
	if err != nil {
		return time.Time{}, err
	}
	job.Pull = schedule.PullNone // the order may have been found so
	if kept, err := schedule.Place(job); err == nil && kept.Ready.Before(t.Ready) {
		t = kept
	}
	return t.Ready, nil
}

// operations turns the steps still to do into the scheduler's terms.
func (m *making) operations(w Work) []schedule.Operation {
	open := map[string]bool{}
	for _, s := range w.Steps {
		open[s.Key] = !s.Done
	}
	var out []schedule.Operation
	for _, s := range w.Steps {
		if s.Done {
			continue
		}
		op := schedule.Operation{ID: s.Key, Machine: s.Machine, Setup: s.Setup, Time: minutesOf(w.left[s.Key]), Wait: s.Wait, Whole: s.Whole}
		if s.Machine == "bench" {
			op.Setup = "" // nothing is set up at the bench
		}
		if len(s.Methods) > 1 {
			if s.Parts > 1 {
				op.Group = WholeKey(s.Key) // all parts are done by one method
			}
			for _, x := range s.Methods {
				setup := x.Setup
				if x.Machine == "bench" {
					setup = ""
				}
				op.Methods = append(op.Methods, schedule.Method{Name: x.Name, Machine: x.Machine, Setup: setup, Time: minutesOf(w.left[s.Key] * x.Share)})
			}
		}
		if open[s.After] {
			op.RightAfter = s.After
		}
		for _, n := range s.Needs {
			switch {
			case !open[n]:
			case slices.Contains(s.Free, n):
				op.Then = append(op.Then, n)
			default:
				op.After = append(op.After, n)
			}
		}
		out = append(out, op)
	}
	return out
}

func minutesOf(m float64) time.Duration {
	return time.Duration(math.Round(min(max(m, 0), mostMinutes*100)*60)) * time.Second
}

// change is the time to bring a machine from one set-up to another: a new tool
// where the words before the comma differ, else only fence or stop.
func (m *making) change(machine, from, to string) time.Duration {
	mc, ok := m.plan.Project.Shop.Machine(machine)
	if !ok || from == to {
		return 0
	}
	a, _, _ := strings.Cut(from, ",")
	b, _, _ := strings.Cut(to, ",")
	if a != b {
		return minutesOf(mc.ChangeTool + mc.ChangeFence)
	}
	return minutesOf(mc.ChangeFence)
}

func (m *making) week() schedule.Week {
	s := &m.plan.Project.Shop
	w := schedule.Week{Zone: m.zone()}
	for d, list := range s.Hours {
		for _, x := range list {
			w.Hours[d] = append(w.Hours[d], schedule.Window{From: x.From, To: x.To})
		}
	}
	for _, day := range s.DaysOff {
		if t, err := time.Parse(time.DateOnly, day); err == nil {
			w.Off = append(w.Off, schedule.DateOf(t, time.UTC))
		}
	}
	return w
}

func (m *making) zone() *time.Location {
	if z, err := time.LoadLocation(m.plan.Project.Shop.TimeZone); err == nil && m.plan.Project.Shop.TimeZone != "" {
		return z
	}
	return m.tools.Today.Location()
}

// start is when the work can go on: the wished first day, or today if that is past.
func (m *making) start() time.Time {
	today := m.tools.Today.In(m.zone())
	if t, err := time.ParseInLocation(time.DateOnly, m.plan.Project.Piece.Start, m.zone()); err == nil && t.After(today) {
		return t
	}
	return today
}

// order finds the order with the least hands-on time and sets it into the calendar.
func (m *making) order(w *Work) error {
	ops := m.operations(*w)
	if len(ops) == 0 {
		return nil
	}
	states := fullStates
	if m.plan.Phase != "" {
		states = quickStates
	}
	w.Start = m.start()
	a, err := m.arrange(ops, states, w.Start)
	if err != nil {
		w.Blocked = fmt.Sprintf("The steps can't be put in order: %v.", err)
		m.work = append(m.work, Finding{Code: "work.blocked", Severity: Stop, Subject: Subject{Room: "bench"}, Text: w.Blocked, Do: "Take a lock or a step of your own back, or give the shop hours."})
		return nil
	}
	if err := checkWork(a, m.week(), w); err != nil {
		return err
	}
	w.Timeline, w.Soonest = a.Fewest.Timeline, a.Soonest.Timeline
	answer := a.Answer
	w.Setups, w.SetupMinutes = w.Timeline.Setups, w.Timeline.Setup.Minutes()
	w.SetupLeft = w.SetupMinutes
	w.NaiveSetups, w.Saved = answer.NaiveSetups, answer.Saves().Minutes()
	w.Proved, w.Bound = answer.Status == schedule.Optimal, answer.Bound.Minutes()
	for _, c := range answer.Chosen {
		for i := range w.Steps {
			s := &w.Steps[i]
			if k := slices.IndexFunc(s.Methods, func(x StepMethod) bool { return x.Name == c.Method }); (s.Key == c.Group || s.Parts > 1 && WholeKey(s.Key) == c.Group) && k >= 0 {
				s.take(k)
				s.Minutes *= s.Methods[k].Share
			}
		}
	}
	rank := map[string]int{}
	for i, key := range w.Timeline.Order {
		rank[key] = i + 1
	}
	slices.SortStableFunc(w.Steps, func(x, y Step) int { return rank[x.Key] - rank[y.Key] })
	for _, key := range w.Timeline.TooLong {
		s, _ := w.Step(key)
		m.work = append(m.work, Finding{Code: "work.long", Severity: Warn, Subject: Subject{Room: "bench"}, Text: fmt.Sprintf("“%s” must be done in one go and takes longer than any session of the shop.", s.Title), Do: "Split it, or give the shop a longer session."})
	}
	w.left = w.minutesLeft(m.plan.Project) // by the methods chosen
	m.sayMethods(w)
	m.due(w, a.Fewest)
	return nil
}

// arranged is an order found, with what it was found for.
type arranged struct {
	ops    []schedule.Operation
	states int
	answer schedule.Arrangement
}

// arrange orders the operations; better cuts often leave the same steps, whose
// order is then taken as it was found.
func (m *making) arrange(ops []schedule.Operation, states int, start time.Time) (schedule.Arrangement, error) {
	last := &m.arranged
	if last.ops != nil && last.states >= states && reflect.DeepEqual(last.ops, ops) {
		return last.answer, nil
	}
	width := quickWidth
	if states == fullStates {
		width = fullWidth
	}
	problem := schedule.Problem{Operations: ops, Change: m.change}
	a, err := schedule.Arrange(m.ctx, problem, m.week(), start, schedule.ArrangeOptions{Options: schedule.Options{MaxStates: states}, Width: width})
	if err == nil {
		*last = arranged{ops, states, a}
	}
	return a, err
}

// due reckons the chance of being ready by the wished day, and in a plan that stays
// that of holding the day it says.
func (m *making) due(w *Work, offer schedule.Offer) {
	day, err := time.ParseInLocation(time.DateOnly, m.plan.Project.Piece.Due, m.zone())
	wished := err == nil
	if !wished && m.plan.Phase != "" {
		return
	}
	planned := w.SetupMinutes
	for _, s := range w.Steps {
		planned += w.left[s.Key]
	}
	if planned <= 0 {
		return
	}
	job := schedule.Job{Problem: offer.Problem, Week: m.week(), Start: w.Start, Lost: m.plan.Project.Piece.LostDays}
	f := m.rates().Predict(m.tasks(*w))
	scale := func(p float64) float64 { return max((f.Quantile(p)-f.Spent)/planned, 1e-3) }
	if m.plan.Phase == "" {
		ready := w.Timeline.Ready.In(m.zone())
		if c, err := schedule.Chance(job, endOf(ready), scale); err == nil {
			w.ChanceReady = c
		}
		job := job
		job.Scale = scale(0.9)
		if t, err := schedule.Place(job); err == nil {
			w.Safe = t.Ready
		}
	}
	if !wished {
		return
	}
	chance, err := schedule.Chance(job, endOf(day), scale)
	if err != nil {
		return
	}
	w.ChanceOfDue = chance
	if chance < 0.5 {
		m.work = append(m.work, Finding{Code: "work.due", Severity: Warn, Subject: Subject{Room: "bench"}, Text: fmt.Sprintf("The chance of being ready by %s is %.0f %%; the plan says %s.", day.Format("2 January"), 100*chance, w.Timeline.Ready.Format("2 January")), Do: "Choose a later day, more hours, or fewer coats.", Source: "calendar at 40 outcomes of the forecast"})
	}
}

// endOf is the last second of a moment's day.
func endOf(t time.Time) time.Time {
	return time.Date(t.Year(), t.Month(), t.Day(), 23, 59, 59, 0, t.Location())
}
