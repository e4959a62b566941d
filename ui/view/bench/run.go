package bench

import (
	"errors"
	"time"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/dialog"
	"fyne.io/fyne/v2/lang"
	"fyne.io/fyne/v2/widget"

	"pilewright/plan"
	"pilewright/plan/measure"
	"pilewright/plan/schedule"
	"pilewright/ui/locale"
)

// ticking calls f at an interval on the screen's goroutine.
func ticking(interval time.Duration, f func()) (stop func()) {
	done := make(chan struct{})
	go func() {
		t := time.NewTicker(interval)
		defer t.Stop()
		for {
			select {
			case <-done:
				return
			case <-t.C:
				fyne.Do(f)
			}
		}
	}()
	return func() { close(done) }
}

// tickWhileSeen runs the ticking only while a running clock is on show.
func (r *Room) tickWhileSeen() {
	wanted := r.desk.Session().Project().Timer.Running && r.tabs.SelectedIndex() == tabOne
	switch {
	case wanted && r.halt == nil:
		r.halt = r.every(time.Second, r.tick)
	case !wanted && r.halt != nil:
		r.halt()
		r.halt = nil
	}
}

// tick brings the clock's face up to date, and ends the ticking when the room is
// no longer on show.
func (r *Room) tick() {
	if r.halt == nil {
		return
	}
	if !onShow(r.one.clock) {
		r.halt()
		r.halt = nil
		return
	}
	r.heed()
	r.one.refreshClock()
}

// leastSetBack is by how much a computer's clock must be set back to be heeded;
// less is how systems keep it right.
const leastSetBack = time.Minute

// heed keeps the time of a running clock when the computer's clock was set back
// since it last looked: by the steady time that a moment of this process carries
// beside that of the wall, it tells how far.
func (r *Room) heed() {
	now := r.desk.Session().Now()
	wall := now.Round(0) // of the wall alone
	was, wasWall := r.seen, r.seenWall
	r.seen, r.seenWall = now, wall
	back := now.Sub(was) - wall.Sub(wasWall)
	t := r.desk.Session().Project().Timer
	if was.IsZero() || back < leastSetBack || !t.Running {
		return
	}
	t.Since = t.Since.Add(-back)
	if err := r.saveClock(t); err != nil {
		r.desk.Fail(err)
		return
	}
	r.desk.Say(lang.L("The computer's clock was set back by {{.duration}}; the clock of the step goes on.", locale.With{"duration": measure.FormatDuration(back.Round(time.Minute))}))
}

// saveClock stores the clock at once, so that a crash loses nothing.
func (r *Room) saveClock(t plan.Timer) error {
	return r.desk.Session().Record(false, func(p *plan.Project) (*plan.Project, error) {
		return p.With(func(q *plan.Project) { q.Timer = t }), nil
	})
}

// startOrPause starts the clock for the step shown, or pauses it.
func (r *Room) startOrPause() {
	r.heed()
	s, _, ok := r.current()
	if !ok {
		r.desk.Fail(errNoStep)
		return
	}
	p := r.desk.Session().Project()
	if p.Timer.Running && p.Timer.Piece == p.Piece.ID && p.Timer.Step == s.Key {
		r.desk.Fail(r.saveClock(paused(p.Timer, r.now())))
		return
	}
	r.desk.Fail(errors.Join(r.bank(s.Key), r.saveClock(started(r.desk.Session().Project().Timer, p.Piece.ID, s.Key, r.now()))))
}

// bank puts time the clock holds for another step into the log before the clock
// is used for this one.
func (r *Room) bank(key string) error {
	p, now := r.desk.Session().Project(), r.now()
	t := paused(p.Timer, now)
	if t.Seconds <= 0 || t.Step == key && t.Piece == p.Piece.ID {
		return nil
	}
	s, ok := r.plan().Work.Step(t.Step)
	if !ok || t.Piece != p.Piece.ID { // of another piece, or a step that is gone
		s = plan.Step{Key: t.Step, Title: lang.L("a step of another piece or plan"), Phase: plan.PhaseMill}
	}
	r.desk.Say(lang.L("{{.duration}} on “{{.title}}” went into the log.", locale.With{"duration": measure.FormatDuration(time.Duration(t.Seconds) * time.Second), "title": s.Title}))
	return r.desk.Session().Record(false, func(p *plan.Project) (*plan.Project, error) {
		return withPart(p, t, s, now).With(func(q *plan.Project) { q.Timer = plan.Timer{} }), nil
	})
}

// finish ticks the step shown off and puts the clock's time into the log.
func (r *Room) finish() {
	r.heed()
	s, _, ok := r.current()
	if !ok {
		r.desk.Fail(errNoStep)
		return
	}
	p, now := r.desk.Session().Project(), r.now()
	t := p.Timer
	mine := t.Step == s.Key && t.Piece == p.Piece.ID
	if mine {
		t = paused(t, now)
	}
	r.place = ""
	err := r.desk.Session().Edit(lang.L("finish “{{.title}}”", locale.With{"title": s.Title}), "", func(p *plan.Project) (*plan.Project, error) { return withDone(r.plan().Work, p, t, s, now), nil })
	if err == nil && mine {
		err = r.saveClock(plan.Timer{})
	}
	r.desk.Fail(err)
	if err == nil && mine && t.Seconds > 0 {
		r.desk.Say(lang.L("“{{.title}}” took {{.duration}}; planned were {{.minutes}}.", locale.With{"title": s.Title, "duration": measure.FormatDuration(time.Duration(t.Seconds) * time.Second), "minutes": minutes(s.Minutes)}))
	}
}

// sessionsAround lists the shop's sessions from the day before a moment on, as
// far as two days.
func sessionsAround(p *plan.Project, at time.Time) []schedule.Session {
	var out []schedule.Session
	for s := range week(p, at).Sessions(at.AddDate(0, 0, -1)) {
		if s.Start.After(at.AddDate(0, 0, 2)) {
			break
		}
		out = append(out, s)
	}
	return out
}

// forgotten tells whether the clock looks as if it had been left running.
func (r *Room) forgotten() (doubt, bool) {
	t := r.desk.Session().Project().Timer
	if !t.Running {
		return doubt{}, false
	}
	return forgotten(t, r.now(), sessionsAround(r.desk.Session().Project(), t.Since.In(r.now().Location())))
}

// correct asks how much of the running stretch was work.
func (r *Room) correct() {
	r.heed()
	t := r.desk.Session().Project().Timer
	if !t.Running {
		r.desk.Fail(locale.Error("the clock is not running; logged time is corrected in the Ledger"))
		return
	}
	run := time.Duration(stretch(t, r.now())) * time.Second
	keep, why := run, lang.L("The clock has run since {{.moment}}.", locale.With{"moment": moment(t.Since, r.now())})
	if d, ok := r.forgotten(); ok {
		keep, why = d.keep, d.why
	}
	entry := widget.NewEntry()
	entry.SetText(measure.FormatDuration(keep.Truncate(time.Minute)))
	said := widget.NewLabel(lang.L("{{.why}} How long of it was work on this step?", locale.With{"why": why}))
	said.Wrapping = fyne.TextWrapWord
	d := dialog.NewCustomConfirm(lang.L("Correct the clock"), lang.L("Keep this much and pause"), lang.L("Leave it running"), container.NewVBox(said, entry), func(ok bool) {
		if ok {
			r.desk.Fail(r.takeCorrection(entry.Text))
		}
	}, r.desk.Window())
	d.Resize(fyne.NewSize(460, 220))
	d.Show()
}

// takeCorrection pauses the clock with another length of its running stretch.
func (r *Room) takeCorrection(text string) error {
	kept, err := locale.ParseMinutes(text)
	if err != nil {
		return err
	}
	t := r.desk.Session().Project().Timer
	if run := time.Duration(stretch(t, r.now())) * time.Second; kept > run {
		return locale.Error("the clock has run only {{.run}}; add more by hand in the Ledger", locale.With{"run": measure.FormatDuration(run)})
	}
	return r.saveClock(corrected(t, kept))
}
