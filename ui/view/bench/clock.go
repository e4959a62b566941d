package bench

import (
	"fmt"
	"slices"
	"time"

	"fyne.io/fyne/v2/lang"

	"pilewright/plan"
	"pilewright/plan/measure"
	"pilewright/plan/schedule"
	"pilewright/ui/locale"
)

// Bounds of a clock that is believed: longer stretches, and those that outlast
// the session by more than the grace, are asked about. Common practice, no source.
const (
	longestStretch = 4 * time.Hour
	sessionGrace   = 15 * time.Minute
)

// elapsed is the seconds on the clock at a moment, earlier stretches included.
func elapsed(t plan.Timer, now time.Time) int64 {
	return t.Seconds + stretch(t, now)
}

// stretch is the seconds of the running stretch; a clock set back counts nothing.
func stretch(t plan.Timer, now time.Time) int64 {
	if !t.Running {
		return 0
	}
	return max(int64(now.Sub(t.Since)/time.Second), 0)
}

// started is the clock running for a step; time already on it for that step stays.
func started(t plan.Timer, piece plan.ID, step string, now time.Time) plan.Timer {
	if t.Piece != piece || t.Step != step {
		t = plan.Timer{Piece: piece, Step: step}
	}
	if !t.Running {
		t.Running, t.Since = true, now
	}
	return t
}

// paused is the clock stopped, with its time kept.
func paused(t plan.Timer, now time.Time) plan.Timer {
	t.Seconds = elapsed(t, now)
	t.Running = false
	return t
}

// corrected is the clock stopped with another length of its running stretch.
func corrected(t plan.Timer, kept time.Duration) plan.Timer {
	t.Seconds += max(int64(kept/time.Second), 0)
	t.Running = false
	return t
}

// doubt is why a running clock looks forgotten, and what it likely should show.
type doubt struct {
	why  string
	keep time.Duration // of the running stretch
}

// forgotten tells whether a running clock was likely left running. sessions are
// the shop's, those around the stretch among them.
func forgotten(t plan.Timer, now time.Time, sessions []schedule.Session) (doubt, bool) {
	if t.Running && t.Since.Sub(now) > leastSetBack {
		return doubt{lang.L("The clock has run since {{.moment}}, which is still to come: the computer's clock was set back.", locale.With{"moment": moment(t.Since, now)}), 0}, true
	}
	run := time.Duration(stretch(t, now)) * time.Second
	if !t.Running || run < time.Minute {
		return doubt{}, false
	}
	clock := func(at time.Time) string { return at.In(now.Location()).Format("15:04") }
	for _, s := range sessions {
		if t.Since.Before(s.Start) || !t.Since.Before(s.End) || !now.After(s.End.Add(sessionGrace)) {
			continue
		}
		return doubt{lang.L("The clock has run since {{.moment}}, and the session ended at {{.clock}}.", locale.With{"moment": moment(t.Since, now), "clock": clock(s.End)}), s.End.Sub(t.Since)}, true
	}
	if run > longestStretch {
		return doubt{lang.L("The clock has run since {{.moment}} without a pause: {{.run}}.", locale.With{"moment": moment(t.Since, now), "run": measure.FormatDuration(run.Truncate(time.Minute))}), longestStretch}, true
	}
	return doubt{}, false
}

// moment writes when something was: the time of a day, with the day where it is
// not today's.
func moment(at, now time.Time) string {
	at = at.In(now.Location())
	if at.Format(time.DateOnly) == now.Format(time.DateOnly) {
		return at.Format("15:04")
	}
	return locale.Day(at, "Mon 2 Jan 15:04")
}

// face writes the clock for reading at arm's length.
func face(seconds int64) string {
	return fmt.Sprintf("%d:%02d:%02d", seconds/3600, seconds/60%60, seconds%60)
}

// entryOf is the log entry of a stopped clock's time on a step.
func entryOf(t plan.Timer, s plan.Step, now time.Time) plan.Entry {
	return plan.Entry{
		Piece: t.Piece, Phase: s.Phase, Step: t.Step, Start: now.Add(-time.Duration(t.Seconds) * time.Second).UTC(), Seconds: t.Seconds,
		Rate: s.Rate, Quantity: s.Quantity, Target: s.Minutes,
	}
}

// withEdit gives the project with something changed about a step.
func withEdit(p *plan.Project, key string, change func(*plan.StepEdit)) *plan.Project {
	return p.With(func(q *plan.Project) {
		q.Steps = slices.Clone(p.Steps)
		i := slices.IndexFunc(q.Steps, func(e plan.StepEdit) bool { return e.Key == key })
		if i < 0 {
			q.Steps = append(q.Steps, plan.StepEdit{ID: q.Take(), Piece: p.Piece.ID, Key: key, Order: len(q.Steps)})
			i = len(q.Steps) - 1
		}
		e := q.Steps[i]
		e.Needs = slices.Clone(e.Needs)
		change(&e)
		q.Steps[i] = e
	})
}

// tooShort is the share of its target under which a step's time is taken for a
// clock that was started late or by mistake: common practice, no source.
const tooShort = 0.05

// withDone gives the project with a step finished and the clock's time in the
// log, under the rate it teaches. A clock without time leaves no entry.
func withDone(w plan.Work, p *plan.Project, t plan.Timer, s plan.Step, now time.Time) *plan.Project {
	q := withEdit(p, s.Key, func(e *plan.StepEdit) { e.Done = true })
	if t.Step != s.Key || t.Piece != p.Piece.ID || t.Seconds <= 0 {
		return q
	}
	e := entryOf(t, s, now)
	last := float64(t.Seconds) / 60
	whole := logged(w, p, s.Key) + last
	if whole < tooShort*s.Minutes {
		e.Step, e.Rate, e.Quantity, e.Note = "", "", 0, lang.L("“{{.title}}”: too short to learn from", locale.With{"title": s.Title})
	} else { // stretches logged before hold their share of the quantity
		e.Quantity *= last / whole
	}
	return withEntry(q, e)
}

// withPart gives the project with the clock's time on an unfinished step in the
// log. What it was enough for is not known yet, so it teaches no rate.
func withPart(p *plan.Project, t plan.Timer, s plan.Step, now time.Time) *plan.Project {
	e := entryOf(t, s, now)
	e.Rate, e.Quantity = "", 0
	return withEntry(p, e)
}

func withEntry(p *plan.Project, e plan.Entry) *plan.Project {
	return p.With(func(q *plan.Project) {
		e.ID = q.Take()
		q.Log = append(slices.Clone(p.Log), e)
	})
}

// minutes writes minutes as a maker does.
func minutes(m float64) string {
	return measure.FormatDuration(time.Duration(m+0.5) * time.Minute)
}
