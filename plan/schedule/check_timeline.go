package schedule

import (
	"slices"
	"time"
)

// CheckTimeline says what is wrong with a timeline of a job; an empty answer
// means that it can be worked as it stands. It reads the clock on the wall
// minute by minute and shares no code with Place.
func CheckTimeline(job Job, t Timeline) []Violation {
	var out []Violation
	ops := map[string]Operation{}
	for _, op := range job.Problem.Operations {
		ops[op.ID] = op
	}
	first, last, spent := map[string]time.Time{}, map[string]time.Time{}, map[string]time.Duration{}
	pieces := map[string]int{}
	var order []string
	held := map[string]string{}
	for m, s := range job.Problem.Holds {
		held[m] = s
	}
	changing := time.Duration(0)
	var setup time.Duration
	for k, b := range t.Bars {
		op, ok := ops[b.Step]
		if !ok {
			out = append(out, Violation{RuleUnknown, b.Step, ""})
			continue
		}
		if b.End.Before(b.Start) || b.Start.Before(job.Start) || k > 0 && b.Start.Before(t.Bars[k-1].End) {
			out = append(out, Violation{RuleOverlap, b.Step, ""})
		}
		if !openAll(job.Week, b.Start, b.End) || b.Session < 0 || b.Session >= len(t.Sessions) || b.Start.Before(t.Sessions[b.Session].Start) || b.End.After(t.Sessions[b.Session].End) {
			out = append(out, Violation{RuleHours, b.Step, ""})
		}
		if b.Kind == Change {
			changing += b.End.Sub(b.Start)
			setup += b.End.Sub(b.Start)
			continue
		}
		if _, seen := first[b.Step]; !seen {
			first[b.Step] = b.Start
			order = append(order, b.Step)
			var want time.Duration
			if op.Setup != "" && held[op.Machine] != op.Setup {
				want = time.Duration(job.scaled(job.Problem.change(op.Machine, held[op.Machine], op.Setup)))
				held[op.Machine] = op.Setup
			}
			if changing != want {
				out = append(out, Violation{RuleSetup, b.Step, ""})
			}
			changing = 0
		} else if order[len(order)-1] != b.Step || changing != 0 {
			out = append(out, Violation{RuleOverlap, b.Step, order[len(order)-1]})
		}
		last[b.Step] = b.End
		spent[b.Step] += b.End.Sub(b.Start)
		pieces[b.Step]++
	}
	if !slices.Equal(order, t.Order) {
		out = append(out, Violation{RuleSequence, "", ""})
	}
	if setup != t.Setup {
		out = append(out, Violation{RuleSetup, "", ""})
	}
	out = append(out, CheckOrder(job.Problem, order)...)
	finish, ready := job.Start, job.Start
	for _, op := range job.Problem.Operations {
		start, ok := first[op.ID]
		if !ok {
			continue // CheckOrder has named it
		}
		if spent[op.ID] != time.Duration(job.scaled(op.Time)) {
			out = append(out, Violation{RuleTime, op.ID, ""})
		}
		if start.Before(op.NotBefore) {
			out = append(out, Violation{RuleWait, op.ID, ""})
		}
		for _, id := range op.After {
			if end, ok := last[id]; ok && start.Before(end.Add(ops[id].Wait)) {
				out = append(out, Violation{RuleWait, op.ID, id})
			}
		}
		for _, id := range op.Then {
			if end, ok := last[id]; ok && start.Before(end) {
				out = append(out, Violation{RuleBefore, op.ID, id})
			}
		}
		if op.Whole && pieces[op.ID] > 1 && !slices.Contains(t.TooLong, op.ID) {
			out = append(out, Violation{RuleWhole, op.ID, ""})
		}
		if last[op.ID].After(finish) {
			finish = last[op.ID]
		}
		if end := last[op.ID].Add(op.Wait); end.After(ready) {
			ready = end
		}
	}
	if !finish.Equal(t.Finish) || !ready.Equal(t.Ready) {
		out = append(out, Violation{RuleTime, "", ""})
	}
	return out
}

// openAll says whether the shop is open from start to end.
func openAll(w Week, start, end time.Time) bool {
	at := func(t time.Time, before bool) bool {
		zone := w.Zone
		if zone == nil {
			zone = time.UTC
		}
		t = t.In(zone)
		minute := float64(t.Hour()*60+t.Minute()) + float64(t.Second())/60 + float64(t.Nanosecond())/60e9
		day := Date{t.Year(), t.Month(), t.Day()}
		inside := func(win Window) bool {
			if before {
				return float64(win.From) <= minute && minute <= float64(win.To)
			}
			return float64(win.From) <= minute && minute < float64(win.To)
		}
		if !slices.Contains(w.Off, day) && slices.ContainsFunc(w.Hours[int(t.Weekday())], inside) {
			return true
		}
		return slices.ContainsFunc(w.Extra, func(e Extra) bool { return e.Date == day && inside(e.Window) })
	}
	if start.Equal(end) { // a moment may be the very end
		return at(start, true) || at(start.Add(-1), true)
	}
	for t := start; t.Before(end); t = t.Add(time.Minute) {
		if !at(t, false) {
			return false
		}
	}
	return at(end.Add(-1), true)
}
