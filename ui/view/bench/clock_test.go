package bench

import (
	"strings"
	"testing"
	"time"

	"pilewright/plan"
	"pilewright/plan/schedule"
)

var evening = time.Date(2026, 3, 3, 18, 0, 0, 0, time.UTC)

func at(h, m int) time.Time { return time.Date(2026, 3, 3, h, m, 0, 0, time.UTC) }

func TestTheClockCountsItsStretches(t *testing.T) {
	c := started(plan.Timer{}, 1, "nails", at(18, 0))
	if got := elapsed(c, at(18, 20)); got != 20*60 {
		t.Fatalf("after 20 minutes it shows %d s", got)
	}
	c = paused(c, at(18, 20))
	if got := elapsed(c, at(19, 0)); got != 20*60 || c.Running {
		t.Fatalf("paused it shows %d s, running %v", got, c.Running)
	}
	c = started(c, 1, "nails", at(19, 0))
	if got := elapsed(c, at(19, 5)); got != 25*60 {
		t.Fatalf("going on it shows %d s", got)
	}
	if again := started(c, 1, "nails", at(19, 3)); again.Since != c.Since {
		t.Error("starting a running clock loses time")
	}
	if other := started(c, 1, "trim", at(19, 10)); elapsed(other, at(19, 10)) != 0 {
		t.Error("another step begins with time of the first")
	}
	if got := elapsed(c, at(17, 0)); got != 20*60 {
		t.Errorf("a clock set back gives %d s", got)
	}
}

func TestForgotten(t *testing.T) {
	sessions := []schedule.Session{{Start: at(18, 0), End: at(21, 0)}}
	tests := []struct {
		name  string
		since time.Time
		now   time.Time
		want  time.Duration // kept; 0 = not forgotten
	}{
		{"within the session", at(18, 5), at(20, 0), 0},
		{"a little past the session's end", at(18, 5), at(21, 10), 0},
		{"long past the session's end", at(18, 5), at(23, 0), 2*time.Hour + 55*time.Minute},
		{"the next morning", at(20, 0), at(20, 0).Add(13 * time.Hour), time.Hour},
		{"outside every session, two hours", at(8, 0), at(10, 0), 0},
		{"outside every session, five hours", at(8, 0), at(13, 0), 4 * time.Hour},
		{"begun in the session's last minute", at(20, 59), at(21, 30), time.Minute},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			d, ok := forgotten(plan.Timer{Running: true, Since: tt.since}, tt.now, sessions)
			if ok != (tt.want > 0) || d.keep != tt.want {
				t.Errorf("forgotten %v, keeps %v, want %v (%s)", ok, d.keep, tt.want, d.why)
			}
			if ok && d.why == "" {
				t.Error("it does not say why")
			}
		})
	}
	if _, ok := forgotten(plan.Timer{Since: at(1, 0)}, at(23, 0), nil); ok {
		t.Error("a clock that does not run is forgotten")
	}
}

func TestWithDoneWritesOneEntry(t *testing.T) {
	p := &plan.Project{NextID: 20, Piece: plan.Piece{ID: 3}}
	s := plan.Step{Key: "nails", Title: "Pull nails", Phase: plan.PhasePrepare, Rate: "pull-nails", Quantity: 12, Minutes: 36}
	now := at(19, 0)
	w := plan.Work{Steps: []plan.Step{s}}
	q := withDone(w, p, plan.Timer{Piece: 3, Step: "nails", Seconds: 1500}, s, now)
	if len(q.Log) != 1 || len(q.Steps) != 1 || !q.Steps[0].Done {
		t.Fatalf("log %v, steps %v", q.Log, q.Steps)
	}
	e := q.Log[0]
	want := plan.Entry{ID: e.ID, Piece: 3, Phase: plan.PhasePrepare, Step: "nails", Start: at(18, 35), Seconds: 1500, Rate: "pull-nails", Quantity: 12, Target: 36}
	if e.ID == 0 || !e.Start.Equal(want.Start) || e.Seconds != want.Seconds || e.Rate != want.Rate || e.Quantity != want.Quantity || e.Target != want.Target || e.Phase != want.Phase || e.Step != want.Step || e.Piece != want.Piece {
		t.Errorf("entry %+v, want %+v", e, want)
	}
	if got := logged(w, q, "nails"); got != 25 {
		t.Errorf("%v minutes logged, want 25", got)
	}
	second := withDone(w, withPart(p, plan.Timer{Piece: 3, Step: "nails", Seconds: 1200}, s, now), plan.Timer{Piece: 3, Step: "nails", Seconds: 600}, s, now)
	if a, b := second.Log[0], second.Log[1]; a.Rate != "" || a.Quantity != 0 || b.Rate != "pull-nails" || b.Quantity != 4 {
		t.Errorf("twelve in 30 minutes, the last ten of them logged as %+v and %+v", a, b)
	}
	slip := withDone(w, p, plan.Timer{Piece: 3, Step: "nails", Seconds: 4}, s, now)
	if e := slip.Log[0]; e.Rate != "" || e.Step != "" || e.Seconds != 4 || e.Note == "" {
		t.Errorf("four seconds teach: %+v", e)
	}
	for name, timer := range map[string]plan.Timer{"no time": {Piece: 3, Step: "nails"}, "another step's": {Piece: 3, Step: "trim", Seconds: 60}, "another piece's": {Piece: 9, Step: "nails", Seconds: 60}} {
		if q := withDone(w, p, timer, s, now); len(q.Log) != 0 || !q.Steps[0].Done {
			t.Errorf("%s: log %v", name, q.Log)
		}
	}
	if len(p.Log) != 0 || len(p.Steps) != 0 {
		t.Error("the project before was changed")
	}
}

func TestCurrentStep(t *testing.T) {
	steps := []plan.Step{{Key: "a", Done: true}, {Key: "b"}, {Key: "c"}, {Key: "d"}}
	for _, tt := range []struct {
		name, asked string
		timer       plan.Timer
		want        int
	}{
		{"the first that is not done", "", plan.Timer{}, 1},
		{"the one asked for, even if done", "a", plan.Timer{}, 0},
		{"the one the clock is on", "", plan.Timer{Piece: 1, Step: "c", Running: true}, 2},
		{"the one with time on a paused clock", "", plan.Timer{Piece: 1, Step: "d", Seconds: 5}, 3},
		{"not the clock's of another piece", "", plan.Timer{Piece: 2, Step: "c", Running: true}, 1},
		{"one asked for that is gone", "x", plan.Timer{}, 1},
	} {
		t.Run(tt.name, func(t *testing.T) {
			if got := currentStep(steps, tt.asked, tt.timer, 1); got != tt.want {
				t.Errorf("step %d, want %d", got, tt.want)
			}
		})
	}
	if got := currentStep(nil, "", plan.Timer{}, 1); got != -1 {
		t.Errorf("without steps: %d", got)
	}
	if got := currentStep(steps[:1], "", plan.Timer{}, 1); got != 0 {
		t.Errorf("all done: %d", got)
	}
}

func TestWindowsReadBack(t *testing.T) {
	for _, tt := range []struct {
		text, want, fault string
	}{
		{"18:00-21:00", "18:00-21:00", ""},
		{"9-12, 13:30-17", "9:00-12:00, 13:30-17:00", ""},
		{" 13-17 ; 9-12 ", "9:00-12:00, 13:00-17:00", ""},
		{"18:00–24:00", "18:00-24:00", ""},
		{"", "", ""},
		{"18", "", "no end"},
		{"21-18", "", "ends before"},
		{"18-25", "", "time of day"},
		{"9-12, 11-13", "", "overlap"},
		{"9:75-12", "", "time of day"},
		{"nine-twelve", "", "time of day"},
		{"-5-9", "", "time of day"},
	} {
		t.Run(tt.text, func(t *testing.T) {
			list, err := parseWindows(tt.text)
			if tt.fault != "" {
				if err == nil || !strings.Contains(err.Error(), tt.fault) {
					t.Errorf("error %v, want one with %q", err, tt.fault)
				}
				return
			}
			if got := windowsText(list); err != nil || got != tt.want {
				t.Errorf("read as %q, %v; want %q", got, err, tt.want)
			}
			back, err := parseWindows(windowsText(list))
			if err != nil || windowsText(back) != tt.want {
				t.Errorf("what is shown does not read back: %v", err)
			}
		})
	}
}

func FuzzParseWindows(f *testing.F) {
	for _, s := range []string{"18:00-21:00", "9-12, 13:30-17", "", "–", "1-2-3", "24:00-24:00", "00:00-00:01"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, text string) {
		list, err := parseWindows(text)
		if err != nil {
			return
		}
		end := 0
		for _, w := range list {
			if w.From < end || w.To <= w.From || w.To > 24*60 {
				t.Fatalf("%q gave %v", text, list)
			}
			end = w.To
		}
	})
}

func TestFileName(t *testing.T) {
	for name, want := range map[string]string{"Potting table": "Potting table", `a/b\c:d`: "a-b-c-d", "  ": "piece", "": "piece"} {
		if got := fileName(name); got != want {
			t.Errorf("%q gives %q, want %q", name, got, want)
		}
	}
}

func TestFace(t *testing.T) {
	for s, want := range map[int64]string{0: "0:00:00", 59: "0:00:59", 3661: "1:01:01", 36000: "10:00:00"} {
		if got := face(s); got != want {
			t.Errorf("%d s is %q, want %q", s, got, want)
		}
	}
}
