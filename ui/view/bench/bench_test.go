package bench

import (
	"bytes"
	"io"
	"slices"
	"strings"
	"testing"
	"time"

	"fyne.io/fyne/v2"
	ics "github.com/arran4/golang-ical"

	"pilewright/plan"
	"pilewright/plan/schedule"
	"pilewright/plan/trade"
	"pilewright/ui/control"
	"pilewright/ui/desk/desktest"
)

// atBench is a desk with the room shown; the ticking is counted, not waited for.
func atBench(t *testing.T) (*desktest.Desk, *Room, *int) {
	t.Helper()
	d := desktest.New(t)
	r := New(d)
	running := 0
	r.every = func(time.Duration, func()) func() {
		running++
		return func() { running-- }
	}
	d.Show(r)
	return d, r, &running
}

func TestStartPauseDone(t *testing.T) {
	d, r, running := atBench(t)
	r.tabs.SelectIndex(tabOne)
	first, _, ok := r.current()
	if !ok {
		t.Fatal("the demonstration has no steps")
	}
	r.one.start.TypedRune(' ')
	if !d.Session().Project().Timer.Running || *running != 1 {
		t.Fatalf("space does not start the clock: %+v, %d tickings", d.Session().Project().Timer, *running)
	}
	d.Time = d.Time.Add(10 * time.Minute)
	r.tick()
	if r.one.clock.Text != "0:10:00" || r.one.start.Title() != "Pause" {
		t.Errorf("after ten minutes it shows %q, the key %q", r.one.clock.Text, r.one.start.Title())
	}
	r.one.start.TypedRune(' ')
	if *running != 0 || r.one.start.Title() != "Go on" {
		t.Errorf("paused: %d tickings, key %q", *running, r.one.start.Title())
	}
	d.Time = d.Time.Add(time.Hour)
	r.finish()
	d.Settle()
	if d.Failed != nil {
		t.Fatal(d.Failed)
	}
	p := d.Session().Project()
	e := p.Log[len(p.Log)-1]
	if e.Step != first.Key || e.Seconds != 600 || e.Rate != first.Rate || e.Quantity != first.Quantity || e.Target != first.Minutes {
		t.Errorf("entry %+v for step %+v", e, first)
	}
	if p.Timer != (plan.Timer{}) {
		t.Errorf("the clock still holds %+v", p.Timer)
	}
	if s, _ := d.Session().Plan().Work.Step(first.Key); !s.Done {
		t.Error("the step is not done")
	}
	if next, _, _ := r.current(); next.Key == first.Key {
		t.Error("the next step is not shown")
	}
	if _, err := d.Session().Undo(); err != nil {
		t.Fatal(err)
	}
	if n := len(d.Session().Project().Log); n != len(p.Log)-1 {
		t.Errorf("undo leaves %d entries", n)
	}
}

func TestACrashLosesNoTime(t *testing.T) {
	d, r, _ := atBench(t)
	r.startOrPause()
	key := d.Session().Project().Timer.Step
	d.Time = d.Time.Add(25 * time.Minute)
	d.Open(d.Session().Project().Piece.ID)
	after := New(d)
	d.Show(after)
	if s, _, _ := after.current(); s.Key != key {
		t.Errorf("step %q is shown, want %q", s.Key, key)
	}
	if got := elapsed(d.Session().Project().Timer, d.Time); got != 25*60 {
		t.Errorf("%d s on the clock", got)
	}
}

func TestStartingAnotherStepBanksTheFirst(t *testing.T) {
	d, r, _ := atBench(t)
	steps := r.plan().Work.Steps
	before := len(d.Session().Project().Log)
	r.choose(steps[0].Key)
	r.startOrPause()
	d.Time = d.Time.Add(7 * time.Minute)
	r.choose(steps[1].Key)
	r.startOrPause()
	p := d.Session().Project()
	if len(p.Log) != before+1 || p.Log[before].Step != steps[0].Key || p.Log[before].Seconds != 420 {
		t.Errorf("log %+v", p.Log[before:])
	}
	if p.Timer.Step != steps[1].Key || !p.Timer.Running || elapsed(p.Timer, d.Time) != 0 {
		t.Errorf("clock %+v", p.Timer)
	}
}

func TestTickingAStepOffInTheTableTakesTheClocksTime(t *testing.T) {
	d, r, _ := atBench(t)
	before := len(d.Session().Project().Log)
	r.startOrPause()
	key := d.Session().Project().Timer.Step
	d.Time = d.Time.Add(30 * time.Minute)
	row := slices.IndexFunc(r.plan().Work.Steps, func(s plan.Step) bool { return s.Key == key })
	if err := r.commitStep(row, colDone, "true"); err != nil {
		t.Fatal(err)
	}
	d.Settle()
	p := d.Session().Project()
	if len(p.Log) != before+1 || p.Log[before].Seconds != 1800 || p.Timer.Running {
		t.Errorf("log %+v, clock %+v", p.Log[before:], p.Timer)
	}
}

func TestAForgottenClockIsAskedAbout(t *testing.T) {
	d, r, _ := atBench(t)
	r.tabs.SelectIndex(tabOne)
	d.Time = time.Date(2026, 3, 3, 18, 30, 0, 0, time.UTC) // a Tuesday; the shop is open 18 to 21
	r.startOrPause()
	d.Time = d.Time.Add(15 * time.Hour)
	r.one.refreshClock()
	if !r.one.strip.Visible() || !strings.Contains(r.one.doubt.Text, "21:00") {
		t.Fatalf("it is not noticed: %q", r.one.doubt.Text)
	}
	if err := r.takeCorrection("20 h"); err == nil {
		t.Error("more time than went by is taken")
	}
	if err := r.takeCorrection("what"); err == nil {
		t.Error("nonsense is taken")
	}
	if err := r.takeCorrection("2h30"); err != nil {
		t.Fatal(err)
	}
	if c := d.Session().Project().Timer; c.Running || c.Seconds != 9000 {
		t.Errorf("clock %+v", c)
	}
	r.one.refreshClock()
	if r.one.strip.Visible() {
		t.Error("the question stays")
	}
}

func TestAComputersClockSetBackTakesNoTimeFromAStep(t *testing.T) {
	d, r, _ := atBench(t)
	d.Time = time.Date(2026, 3, 3, 18, 30, 0, 0, time.UTC)
	r.startOrPause()
	d.Time = d.Time.Add(time.Hour)
	r.heed()
	// The wall clock is set back by half an hour while the steady one goes on.
	r.seenWall = r.seenWall.Add(30 * time.Minute)
	r.seen = r.seen.Add(-time.Minute)
	r.startOrPause()
	if c := d.Session().Project().Timer; c.Running || c.Seconds != 91*60 {
		t.Errorf("an hour, and half an hour set back: %+v", c)
	}
	if !strings.Contains(d.Said, "set back by 31 min") {
		t.Errorf("it says %q", d.Said)
	}
	r.startOrPause()
	// The program was closed meanwhile: nothing tells how far.
	d.Time = d.Time.Add(-10 * time.Minute)
	r.seen = time.Time{}
	r.one.refreshClock()
	if !r.one.strip.Visible() || !strings.Contains(r.one.doubt.Text, "still to come") {
		t.Errorf("a clock that begins in the future: %q", r.one.doubt.Text)
	}
}

func TestTheTickingEndsWhenTheRoomIsLeft(t *testing.T) {
	d, r, running := atBench(t)
	r.tabs.SelectIndex(tabOne)
	r.startOrPause()
	if *running != 1 {
		t.Fatalf("%d tickings", *running)
	}
	r.tabs.SelectIndex(tabCalendar)
	if *running != 0 {
		t.Error("it goes on ticking under another tab")
	}
	r.tabs.SelectIndex(tabOne)
	d.Window().SetContent(New(d).Content())
	r.tick()
	if *running != 0 {
		t.Error("it goes on ticking when another room is shown")
	}
}

func TestStepsAreEdited(t *testing.T) {
	d, r, _ := atBench(t)
	commit := func(row, col int, text string) error {
		err := r.commitStep(row, col, text)
		d.Settle()
		return err
	}
	find := func(key string) int {
		return slices.IndexFunc(r.plan().Work.Steps, func(s plan.Step) bool { return s.Key == key })
	}
	key := r.plan().Work.Steps[1].Key
	if err := commit(find(key), colTarget, "1h20"); err != nil {
		t.Fatal(err)
	}
	if got := r.plan().Work.Steps[find(key)].Minutes; got != 80 {
		t.Errorf("target %v", got)
	}
	if err := commit(find(key), colTarget, ""); err != nil || r.plan().Work.Steps[find(key)].Minutes == 80 {
		t.Errorf("the plan's own time does not come back: %v", err)
	}
	for _, bad := range []struct {
		col  int
		text string
	}{{colTarget, "soon"}, {colAfter, "99. x"}, {colAfter, "none"}, {colSetup, "x"}} {
		if err := commit(0, bad.col, bad.text); err == nil {
			t.Errorf("column %d takes %q", bad.col, bad.text)
		}
	}
	if err := commit(0, colDone, "true"); err != nil {
		t.Fatal(err)
	}
	if s := r.plan().Work.Steps[0]; !s.Done {
		t.Error("ticking does not finish the step")
	}
	n := len(r.plan().Work.Steps)
	if err := commit(n, colTitle, "Sharpen the plane"); err != nil {
		t.Fatal(err)
	}
	own := slices.IndexFunc(r.plan().Work.Steps, func(s plan.Step) bool { return s.Own })
	if own < 0 || r.plan().Work.Steps[own].Minutes != ownMinutes {
		t.Fatalf("the own step is not there (%d steps)", len(r.plan().Work.Steps))
	}
	r.deleteSteps([]int{own})
	d.Settle()
	if d.Failed != nil || len(r.plan().Work.Steps) != n {
		t.Errorf("the own step can't be deleted: %v", d.Failed)
	}
	r.deleteSteps([]int{n - 1})
	if d.Failed == nil {
		t.Error("a step of the plan can be deleted")
	}
}

func TestLockingAfterTheStepAbove(t *testing.T) {
	d, r, _ := atBench(t)
	steps := r.plan().Work.Steps
	r.choose(steps[2].Key)
	r.lockAfter()
	d.Settle()
	s, _ := r.plan().Work.Step(steps[2].Key)
	if d.Failed != nil || s.After != steps[1].Key {
		t.Fatalf("after %q, error %v", s.After, d.Failed)
	}
	r.choose(steps[2].Key)
	r.unlock()
	d.Settle()
	if s, _ = r.plan().Work.Step(steps[2].Key); s.After != "" {
		t.Error("it stays locked")
	}
}

func TestEveryStepHasADrawingAndItsCautions(t *testing.T) {
	_, r, _ := atBench(t)
	p := r.plan()
	for i, s := range p.Work.Steps {
		pic, _ := stepPicture(p, s)
		if len(pic.Marks) == 0 {
			t.Errorf("%s has no drawing", s.Key)
		}
		text := ""
		for _, seg := range segments(p, s, i) {
			text += seg.Textual() + "\n"
		}
		if !strings.Contains(text, s.Title) {
			t.Errorf("%s: the title is not shown", s.Key)
		}
		for _, code := range s.Cautions {
			c, ok := trade.CautionByCode(code)
			if !ok || !strings.Contains(text, c.Text) || !strings.Contains(text, c.Source) {
				t.Errorf("%s: caution %s is not told in full", s.Key, code)
			}
		}
	}
}

// The calendar made again from the steps falls on the same days as the plan's.
func TestTheCalendarMadeAgainAgrees(t *testing.T) {
	_, r, _ := atBench(t)
	p := r.plan()
	last := p.Work.Timeline.Ready
	for n := range 3 {
		ready, err := p.ReadyWithout(n)
		if err != nil {
			t.Fatal(err)
		}
		if n == 0 && ready.Sub(last).Abs() > 36*time.Hour {
			t.Errorf("without a lost session it is ready %v, the plan says %v", ready, last)
		}
		if n > 0 && ready.Before(last) {
			t.Errorf("%d lost sessions make it ready sooner: %v before %v", n, ready, last)
		}
		last = ready
	}
}

func TestEveryStepStandsInTheSessions(t *testing.T) {
	_, r, _ := atBench(t)
	p := r.plan()
	all := ""
	hands := time.Duration(0)
	for _, l := range r.calendar.lines {
		all += strings.Join(l.work, ";") + ";"
		hands += l.hands
	}
	for _, s := range p.Work.Steps {
		if !strings.Contains(all, s.Title) {
			t.Errorf("%q is in no session", s.Title)
		}
	}
	if want := p.Work.Timeline.Work + p.Work.Timeline.Setup; (hands - want).Abs() > time.Minute {
		t.Errorf("the sessions hold %v, the timeline %v", hands, want)
	}
}

// The export is read back by golang-ical, a general-purpose RFC 5545 library.
func TestTheExportIsReadBack(t *testing.T) {
	d, r, _ := atBench(t)
	p := r.plan()
	var b bytes.Buffer
	if err := writeICS(&b, p, d.Time); err != nil {
		t.Fatal(err)
	}
	cal, err := ics.ParseCalendar(&b)
	if err != nil {
		t.Fatal(err)
	}
	want := schedule.Events(p.Work.Timeline, func(string, bool) (string, string) { return "x", "" })
	if got := len(cal.Events()); got != len(want) || got == 0 {
		t.Errorf("%d events, want %d", got, len(want))
	}
	if err := writeICS(io.Discard, &plan.Plan{Project: p.Project}, d.Time); err != nil {
		t.Errorf("an empty calendar: %v", err)
	}
}

func TestHoursAreEdited(t *testing.T) {
	d, r, _ := atBench(t)
	if err := r.hours.days.Commit(0, 1, "18-20"); err != nil {
		t.Fatal(err)
	}
	d.Settle()
	if got := windowsText(d.Session().Project().Shop.Hours[time.Monday]); got != "18:00-20:00" {
		t.Errorf("Monday %q", got)
	}
	for _, f := range []struct {
		name string
		do   func() error
		ok   bool
	}{
		{"a wished day", func() error { return r.hours.due.Commit("2026-05-01") }, true},
		{"a wished day that is none", func() error { return r.hours.due.Commit("soon") }, false},
		{"days off", func() error { return r.hours.off.Commit("2026-03-07, 2026-03-03") }, true},
		{"a day off that is none", func() error { return r.hours.off.Commit("Easter") }, false},
		{"lost sessions", func() error { return r.hours.lost.Commit("2") }, true},
		{"fewer than no lost sessions", func() error { return r.hours.lost.Commit("-1") }, false},
		{"a first day", func() error { return r.hours.start.Commit("2026-03-10") }, true},
	} {
		t.Run(f.name, func(t *testing.T) {
			if err := f.do(); (err == nil) != f.ok {
				t.Errorf("error %v", err)
			}
		})
	}
	d.Settle()
	p := d.Session().Project()
	if p.Piece.Due != "2026-05-01" || p.Piece.LostDays != 2 || p.Piece.Start != "2026-03-10" || !slices.Equal(p.Shop.DaysOff, []string{"2026-03-03", "2026-03-07"}) {
		t.Errorf("piece %+v, days off %v", p.Piece, p.Shop.DaysOff)
	}
	if !slices.ContainsFunc(r.calendar.datesOf(r.plan()), func(f control.Fact) bool { return f.ID == "due" }) {
		t.Error("the chance of the wished day is not shown")
	}
}

func TestOneStepInALargeAndASmallWindow(t *testing.T) {
	d, r, _ := atBench(t)
	for _, size := range []fyne.Size{{Width: 1280, Height: 800}, {Width: 1920, Height: 1080}, {Width: 800, Height: 600}} {
		d.Window().Resize(size)
		for i := range r.tabs.Items {
			r.tabs.SelectIndex(i)
		}
		r.tabs.SelectIndex(tabOne)
		if r.one.start.Size().Height < 72 {
			t.Errorf("at %v the start key is %v high", size, r.one.start.Size().Height)
		}
	}
}
