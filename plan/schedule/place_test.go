package schedule

import (
	"context"
	"errors"
	"fmt"
	"math/rand/v2"
	"slices"
	"testing"
	"time"
	_ "time/tzdata"
)

func zone(t testing.TB, name string) *time.Location {
	t.Helper()
	z, err := time.LoadLocation(name)
	if err != nil {
		t.Fatal(err)
	}
	return z
}

// evenings is a shop open 18:00-21:00 on Tuesday and Thursday and 9:00-13:00 on Saturday.
func evenings(z *time.Location) Week {
	return Week{Hours: [7][]Window{2: {{18 * 60, 21 * 60}}, 4: {{18 * 60, 21 * 60}}, 6: {{9 * 60, 13 * 60}}}, Zone: z}
}

// Days on which the clocks change: EU directive 2000/84/EC (last Sundays of
// March and October, at 01:00 UTC) and US Energy Policy Act of 2005 (second
// Sunday of March, first of November, at 02:00 local time).
func TestSessionsKeepTheClockOnTheWall(t *testing.T) {
	daily := Window{60, 5 * 60} // 01:00 to 05:00
	for _, tc := range []struct {
		name, zone string
		day        Date
		win        Window
		start, end string // UTC
	}{
		{"Berlin, an ordinary day", "Europe/Berlin", Date{2026, 3, 28}, daily, "2026-03-28T00:00:00Z", "2026-03-28T04:00:00Z"},
		{"Berlin, clocks forward: an hour less", "Europe/Berlin", Date{2026, 3, 29}, daily, "2026-03-29T00:00:00Z", "2026-03-29T03:00:00Z"},
		{"Berlin, clocks back: an hour more", "Europe/Berlin", Date{2026, 10, 25}, daily, "2026-10-24T23:00:00Z", "2026-10-25T04:00:00Z"},
		{"New York, clocks forward: an hour less", "America/New_York", Date{2026, 3, 8}, daily, "2026-03-08T06:00:00Z", "2026-03-08T09:00:00Z"},
		{"New York, clocks back: an hour more", "America/New_York", Date{2026, 11, 1}, daily, "2026-11-01T05:00:00Z", "2026-11-01T10:00:00Z"},
		{"New York, hours that begin in the missing hour begin with the change", "America/New_York", Date{2026, 3, 8}, Window{150, 300}, "2026-03-08T07:00:00Z", "2026-03-08T09:00:00Z"},
		{"Berlin, hours that end in the missing hour end with the change", "Europe/Berlin", Date{2026, 3, 29}, Window{60, 150}, "2026-03-29T00:00:00Z", "2026-03-29T01:00:00Z"},
		{"New York, hours that begin in the doubled hour begin the first time", "America/New_York", Date{2026, 11, 1}, Window{90, 180}, "2026-11-01T05:30:00Z", "2026-11-01T08:00:00Z"},
		{"Berlin, hours that end in the doubled hour end the first time", "Europe/Berlin", Date{2026, 10, 25}, Window{60, 150}, "2026-10-24T23:00:00Z", "2026-10-25T00:30:00Z"},
		{"Berlin, an evening before the change", "Europe/Berlin", Date{2026, 10, 24}, Window{18 * 60, 24 * 60}, "2026-10-24T16:00:00Z", "2026-10-24T22:00:00Z"},
		{"Berlin, an evening after the change", "Europe/Berlin", Date{2026, 10, 25}, Window{18 * 60, 24 * 60}, "2026-10-25T17:00:00Z", "2026-10-25T23:00:00Z"},
	} {
		t.Run(tc.name, func(t *testing.T) {
			z := zone(t, tc.zone)
			w := Week{Extra: []Extra{{tc.day, tc.win}}, Zone: z}
			var got []Session
			for s := range w.Sessions(time.Date(2026, 1, 1, 0, 0, 0, 0, z)) {
				got = append(got, s)
			}
			if len(got) != 1 || got[0].Start.UTC().Format(time.RFC3339) != tc.start || got[0].End.UTC().Format(time.RFC3339) != tc.end {
				t.Errorf("got %v, want %s to %s", got, tc.start, tc.end)
			}
		})
	}
}

// Zones with a change of half an hour, one at midnight and one that left out a
// whole day, beside the usual ones (IANA time zone database).
func TestInstantFollowsTheWall(t *testing.T) {
	for _, tc := range []struct {
		zone string
		days []Date
	}{
		{"Europe/Berlin", []Date{{2026, 3, 29}, {2026, 10, 25}}},
		{"America/New_York", []Date{{2026, 3, 8}, {2026, 11, 1}}},
		{"Australia/Lord_Howe", []Date{{2026, 4, 5}, {2026, 10, 4}}},
		{"America/Sao_Paulo", []Date{{2018, 11, 4}, {2018, 2, 17}, {2018, 2, 18}}},
		{"Pacific/Apia", []Date{{2011, 12, 29}, {2011, 12, 30}, {2011, 12, 31}}},
		{"UTC", []Date{{2026, 3, 29}}},
	} {
		z := zone(t, tc.zone)
		for _, d := range tc.days {
			last := Instant(d, 0, z)
			missing := 0
			for m := range 24*60 + 1 {
				at := Instant(d, m, z)
				if at.Before(last) {
					t.Fatalf("%s %v: minute %d comes before the one before it", tc.zone, d, m)
				}
				last = at
				y, mo, day := at.Date()
				shows := y == d.Year && mo == d.Month && day == d.Day && at.Hour()*60+at.Minute() == m
				if m < 24*60 && !shows {
					missing++
					if before := at.Add(-1); wall(at).Sub(wall(before)) <= time.Minute {
						t.Fatalf("%s %v: minute %d is given as %v, where the clocks do not change", tc.zone, d, m, at)
					}
				}
				if earlier := at.Add(-time.Hour); shows && earlier.Hour() == at.Hour() && earlier.Minute() == at.Minute() {
					t.Fatalf("%s %v: minute %d is not the first of two", tc.zone, d, m)
				}
			}
			day := Instant(d, 24*60, z).Sub(Instant(d, 0, z))
			if missing > 0 && day >= 24*time.Hour {
				t.Errorf("%s %v: %d minutes are missing from %v", tc.zone, d, missing, day)
			}
		}
	}
}

func TestSessionsOfAWeek(t *testing.T) {
	w := evenings(time.UTC)
	w.Off = []Date{{2026, 12, 3}}
	w.Extra = []Extra{{Date{2026, 12, 3}, Window{20 * 60, 22 * 60}}, {Date{2026, 12, 5}, Window{12 * 60, 15 * 60}}}
	w.Hours[6] = append(w.Hours[6], Window{8 * 60, 9 * 60})
	var got []string
	for s := range w.Sessions(time.Date(2026, 12, 1, 19, 30, 0, 0, time.UTC)) { // a Tuesday
		got = append(got, s.Start.Format("Mon 02 15:04-")+s.End.Format("15:04"))
		if len(got) == 4 {
			break
		}
	}
	want := []string{"Tue 01 19:30-21:00", "Thu 03 20:00-22:00", "Sat 05 08:00-15:00", "Tue 08 18:00-21:00"}
	if !slices.Equal(got, want) {
		t.Errorf("got %v, want %v", got, want)
	}
	for _, win := range []Window{{-1, 5}, {5, 5}, {60, 1441}} {
		if (Week{Hours: [7][]Window{{win}}}).Validate() == nil || (Week{Extra: []Extra{{Window: win}}}).Validate() == nil {
			t.Errorf("hours %v pass", win)
		}
	}
}

func minutes(n int) time.Duration { return time.Duration(n) * time.Minute }

// One hand-made job a line; every figure can be followed on paper.
func TestPlaceByHand(t *testing.T) {
	start := time.Date(2026, 12, 1, 18, 0, 0, 0, time.UTC) // Tuesday, sessions Tue, Thu 3 h, Sat 4 h
	saw := func(id, setup string, min int, after ...string) Operation {
		return Operation{ID: id, Machine: "saw", Setup: setup, Time: minutes(min), After: after}
	}
	hand := func(id string, min int, after ...string) Operation {
		return Operation{ID: id, Time: minutes(min), After: after}
	}
	glue := func(id string, min, wait int, after ...string) Operation {
		return Operation{ID: id, Time: minutes(min), Wait: minutes(wait), Whole: true, After: after}
	}
	ten := func(_, _, _ string) time.Duration { return minutes(10) }
	for _, tc := range []struct {
		name string
		job  Job
		want string
	}{
		{"work runs over into the next session", Job{Problem: Problem{Operations: []Operation{hand("a", 200)}}},
			"a 01 18:00-21:00; a 03 18:00-18:20; finish 03 18:20"},
		{"a change of set-up takes its time, once", Job{Problem: Problem{Operations: []Operation{saw("a", "x", 20), saw("b", "x", 20), saw("c", "y", 20)}}},
			"(a 01 18:00-18:10); a 01 18:10-18:30; b 01 18:30-18:50; (c 01 18:50-19:00); c 01 19:00-19:20; finish 01 19:20"},
		{"a held set-up needs no change", Job{Problem: Problem{Operations: []Operation{saw("a", "x", 20)}, Holds: map[string]string{"saw": "x"}}},
			"a 01 18:00-18:20; finish 01 18:20"},
		{"a glue-up that cannot be clamped before closing waits for the next session", Job{Problem: Problem{Operations: []Operation{hand("a", 160), glue("g", 30, 60, "a")}}},
			"a 01 18:00-20:40; g 03 18:00-18:30; wait g to 03 19:30; finish 03 18:30; ready 03 19:30"},
		{"meanwhile a later step is pulled forward", Job{Problem: Problem{Operations: []Operation{hand("a", 160), glue("g", 30, 60, "a"), hand("b", 15, "a")}}},
			"a 01 18:00-20:40; b 01 20:40-20:55; g 03 18:00-18:30; wait g to 03 19:30; finish 03 18:30; ready 03 19:30"},
		{"work goes on while glue cures", Job{Problem: Problem{Operations: []Operation{glue("g", 30, 60), hand("b", 10, "g"), hand("c", 40)}}},
			"g 01 18:00-18:30; c 01 18:30-19:10; b 01 19:30-19:40; wait g to 01 19:30; finish 01 19:40"},
		{"what comes only then keeps no wait", Job{Pull: PullNone, Problem: Problem{Operations: []Operation{glue("g", 30, 60), {ID: "h", Time: minutes(10), Then: []string{"g"}}, hand("b", 10, "g")}}},
			"g 01 18:00-18:30; h 01 18:30-18:40; b 01 19:30-19:40; wait g to 01 19:30; finish 01 19:40"},
		{"but not where that adds a set-up", Job{Problem: Problem{Operations: []Operation{saw("a", "x", 10), glue("g", 20, 60, "a"), saw("b", "x", 10, "g"), saw("c", "y", 10)}}},
			"(a 01 18:00-18:10); a 01 18:10-18:20; g 01 18:20-18:40; b 01 19:40-19:50; (c 01 19:50-20:00); c 01 20:00-20:10; wait g to 01 19:40; finish 01 20:10"},
		{"unless asked", Job{Pull: PullAny, Problem: Problem{Operations: []Operation{saw("a", "x", 10), glue("g", 20, 60, "a"), saw("b", "x", 10, "g"), saw("c", "y", 10)}}},
			"(a 01 18:00-18:10); a 01 18:10-18:20; g 01 18:20-18:40; (c 01 18:40-18:50); c 01 18:50-19:00; (b 01 19:40-19:50); b 01 19:50-20:00; wait g to 01 19:40; finish 01 20:00"},
		{"a change that has to come anyway may come early", Job{Problem: Problem{Operations: []Operation{saw("a", "x", 10), glue("g", 20, 60, "a"), hand("h", 10, "g"), saw("c", "y", 10)}}},
			"(a 01 18:00-18:10); a 01 18:10-18:20; g 01 18:20-18:40; (c 01 18:40-18:50); c 01 18:50-19:00; h 01 19:40-19:50; wait g to 01 19:40; finish 01 19:50"},
		{"nothing is pulled when the order is to be kept", Job{Pull: PullNone, Problem: Problem{Operations: []Operation{glue("g", 30, 60), hand("b", 10, "g"), hand("c", 40)}}},
			"g 01 18:00-18:30; b 01 19:30-19:40; c 01 19:40-20:20; wait g to 01 19:30; finish 01 20:20"},
		{"cures run through the night", Job{Problem: Problem{Operations: []Operation{hand("a", 170), glue("g", 10, 24*60, "a"), hand("b", 10, "g")}}},
			"a 01 18:00-20:50; g 01 20:50-21:00; b 03 18:00-18:10; wait g to 02 21:00; finish 03 18:10"},
		{"two coats fit one evening, the third does not", Job{Problem: Problem{Operations: []Operation{glue("c1", 15, 120), glue("c2", 15, 120, "c1"), glue("c3", 15, 120, "c2")}}},
			"c1 01 18:00-18:15; c2 01 20:15-20:30; c3 03 18:00-18:15; wait c1 to 01 20:15; wait c2 to 01 22:30; wait c3 to 03 20:15; finish 03 18:15; ready 03 20:15"},
		{"nothing comes between locked steps, even a wait", Job{Problem: Problem{Operations: []Operation{glue("g", 30, 60), {ID: "l", Time: minutes(10), After: []string{"g"}, RightAfter: "g"}, hand("c", 40)}}},
			"g 01 18:00-18:30; l 01 19:30-19:40; c 01 19:40-20:20; wait g to 01 19:30; finish 01 20:20"},
		{"a whole step longer than every session is named and broken off", Job{Problem: Problem{Operations: []Operation{glue("g", 250, 0)}}},
			"g 01 18:00-21:00; g 03 18:00-19:10; too long g; finish 03 19:10"},
		{"a whole step waits for the one long session", Job{Problem: Problem{Operations: []Operation{glue("g", 200, 0)}}},
			"g 05 09:00-12:20; finish 05 12:20"},
		{"a cure begun before the plan holds its step back", Job{Problem: Problem{Operations: []Operation{{ID: "a", Time: minutes(20), NotBefore: start.Add(minutes(90))}, hand("b", 30)}}},
			"b 01 18:00-18:30; a 01 19:30-19:50; finish 01 19:50"},
		{"lost sessions", Job{Lost: 2, Problem: Problem{Operations: []Operation{hand("a", 20)}}},
			"a 05 09:00-09:20; finish 05 09:20"},
		{"everything takes half as long again", Job{Scale: 1.5, Problem: Problem{Operations: []Operation{saw("a", "x", 20)}}},
			"(a 01 18:00-18:15); a 01 18:15-18:45; finish 01 18:45"},
		{"the set-up is made tonight when the glue-up does not fit any more", Job{Problem: Problem{Operations: []Operation{hand("a", 150), {ID: "g", Machine: "press", Setup: "caul", Time: minutes(30), Whole: true, After: []string{"a"}}}}},
			"a 01 18:00-20:30; (g 01 20:30-20:40); g 03 18:00-18:30; finish 03 18:30"},
		{"a step of no time at the end of a session", Job{Problem: Problem{Operations: []Operation{hand("a", 180), hand("m", 0, "a")}}},
			"a 01 18:00-21:00; m 01 21:00-21:00; finish 01 21:00"},
		{"nothing to do", Job{}, "finish 01 18:00"},
	} {
		t.Run(tc.name, func(t *testing.T) {
			tc.job.Start = start
			tc.job.Week = evenings(time.UTC)
			tc.job.Problem.Change = ten
			line, err := Place(tc.job)
			if err != nil {
				t.Fatal(err)
			}
			if got := show(line); got != tc.want {
				t.Errorf("got  %s\nwant %s", got, tc.want)
			}
			if v := CheckTimeline(tc.job, line); v != nil {
				t.Error(v)
			}
		})
	}
}

func show(t Timeline) string {
	s := ""
	for _, b := range t.Bars {
		form := "%s %s-%s; "
		if b.Kind == Change {
			form = "(%s %s-%s); "
		}
		s += fmt.Sprintf(form, b.Step, b.Start.Format("02 15:04"), b.End.Format("15:04"))
	}
	for _, w := range t.Waits {
		s += fmt.Sprintf("wait %s to %s; ", w.Step, w.End.Format("02 15:04"))
	}
	for _, id := range t.TooLong {
		s += "too long " + id + "; "
	}
	s += "finish " + t.Finish.Format("02 15:04")
	if t.Ready.After(t.Finish) {
		s += "; ready " + t.Ready.Format("02 15:04")
	}
	return s
}

// randomJob adds waits, whole steps and hand work to a random shop.
func randomJob(seed uint64, n int) Job {
	r := rand.New(rand.NewPCG(seed, 99))
	p := randomShop(seed, n, max(2, n/6), 2+int(seed%4), seed%2 == 1, seed%4 == 3)
	for i := range p.Operations {
		op := &p.Operations[i]
		switch r.IntN(6) {
		case 0:
			op.Setup, op.Machine = "", ""
			op.Whole, op.Wait = true, minutes(30+r.IntN(1500))
		case 1:
			op.Wait = minutes(r.IntN(300))
		case 2:
			op.Setup, op.Machine = "", ""
		case 4:
			op.NotBefore = time.Date(2026, 10, 1+r.IntN(40), r.IntN(24), 0, 0, 0, time.UTC)
		case 3:
			op.Whole = true
			op.Time = minutes(r.IntN(200))
		}
	}
	zones := []*time.Location{time.UTC}
	for _, name := range []string{"Europe/Berlin", "America/New_York"} {
		z, err := time.LoadLocation(name)
		if err != nil {
			panic(err)
		}
		zones = append(zones, z)
	}
	w := evenings(zones[r.IntN(3)])
	w.Hours[0] = []Window{{60, 240}} // the hours of the change
	start := time.Date(2026, []time.Month{3, 10}[r.IntN(2)], 1+r.IntN(28), r.IntN(24), r.IntN(60), 0, 0, w.zone())
	return Job{Problem: p, Week: w, Start: start, Pull: Pull(r.IntN(3)), Lost: r.IntN(2), Scale: []float64{0, 1.25, 0.7}[r.IntN(3)]}
}

func TestPlaceAlwaysPassesTheCheck(t *testing.T) {
	jobs := uint64(300)
	if full() {
		jobs = 5000
	}
	pulled := 0
	for seed := range jobs {
		job := randomJob(seed, 5+int(seed%40))
		line, err := Place(job)
		if err != nil {
			t.Fatalf("seed %d: %v", seed, err)
		}
		if v := CheckTimeline(job, line); v != nil {
			t.Fatalf("seed %d: %v", seed, v)
		}
		if least, err := LeastFinish(job, workTime(job.Problem.Operations)); err != nil || least.After(line.Finish) {
			t.Fatalf("seed %d: least finish %v, found %v (%v)", seed, least, line.Finish, err)
		}
		if !slices.Equal(line.Order, ids(job.Problem.Operations)) {
			pulled++
		}
		if job.Pull == PullFree {
			if _, s := job.Problem.Setups(job.Problem.Operations); line.Setup > time.Duration(job.scaled(s))+time.Duration(len(job.Problem.Operations)) {
				t.Fatalf("seed %d: pulling forward made the set-ups %v out of %v", seed, line.Setup, s)
			}
		}
	}
	if pulled < 20 {
		t.Errorf("only %d jobs pulled a step forward", pulled)
	}
}

func FuzzPlace(f *testing.F) {
	f.Add(uint64(1), uint8(5))
	f.Add(uint64(77), uint8(60))
	f.Fuzz(func(t *testing.T, seed uint64, n uint8) {
		job := randomJob(seed, 2+int(n)%80)
		line, err := Place(job)
		if err != nil {
			t.Fatal(err)
		}
		if v := CheckTimeline(job, line); v != nil {
			t.Fatal(v)
		}
	})
}

func TestCheckTimelineFindsFaults(t *testing.T) {
	ten := func(_, _, _ string) time.Duration { return minutes(10) }
	job := Job{Week: evenings(time.UTC), Start: time.Date(2026, 12, 1, 18, 0, 0, 0, time.UTC), Problem: Problem{Change: ten, Operations: []Operation{
		{ID: "a", Machine: "saw", Setup: "x", Time: minutes(20)},
		{ID: "g", Time: minutes(20), Wait: minutes(60), Whole: true, After: []string{"a"}},
		{ID: "b", Time: minutes(20), After: []string{"g"}},
	}}}
	for _, tc := range []struct {
		name string
		want Rule
		harm func(*Timeline)
	}{
		{"work after closing", RuleHours, func(t *Timeline) {
			b := &t.Bars[3]
			b.Start, b.End = b.Start.Add(3*time.Hour), b.End.Add(3*time.Hour)
		}},
		{"work before the wait is over", RuleWait, func(t *Timeline) {
			b := &t.Bars[3]
			b.Start, b.End = b.Start.Add(-time.Minute), b.End.Add(-time.Minute)
		}},
		{"two things at once", RuleOverlap, func(t *Timeline) { t.Bars[2].Start = t.Bars[2].Start.Add(-time.Minute) }},
		{"too little time", RuleTime, func(t *Timeline) { t.Bars[3].End = t.Bars[3].End.Add(-time.Minute) }},
		{"no change of set-up", RuleSetup, func(t *Timeline) { t.Bars = t.Bars[1:] }},
		{"a glue-up broken off", RuleWhole, func(t *Timeline) {
			b := t.Bars[2]
			mid := b.Start.Add(5 * time.Minute)
			t.Bars[2].End = mid
			b.Start = mid
			t.Bars = slices.Insert(t.Bars, 3, b)
		}},
		{"a step left out", RuleMissing, func(t *Timeline) { t.Bars = t.Bars[:3] }},
		{"work before a step's own date", RuleWait, func(*Timeline) { job.Problem.Operations[2].NotBefore = job.Start.AddDate(0, 0, 1) }},
		{"a wrong order told", RuleSequence, func(t *Timeline) { t.Order[0] = "b" }},
		{"a wrong finish told", RuleTime, func(t *Timeline) { t.Finish = t.Finish.Add(1) }},
	} {
		t.Run(tc.name, func(t *testing.T) {
			job.Problem.Operations[2].NotBefore = time.Time{}
			line, err := Place(job)
			if err != nil || CheckTimeline(job, line) != nil {
				t.Fatal(err, CheckTimeline(job, line))
			}
			tc.harm(&line)
			if got := CheckTimeline(job, line); !slices.ContainsFunc(got, func(v Violation) bool { return v.Rule == tc.want }) {
				t.Errorf("got %v, want %v", got, tc.want)
			}
		})
	}
}

func TestPlaceWithoutHours(t *testing.T) {
	job := Job{Problem: Problem{Operations: []Operation{{ID: "a", Time: minutes(1)}}}}
	if _, err := Place(job); !errors.Is(err, ErrNoSession) {
		t.Errorf("got %v", err)
	}
	if _, err := LeastFinish(job, 0); !errors.Is(err, ErrNoSession) {
		t.Errorf("got %v", err)
	}
	if _, err := Arrange(context.Background(), job.Problem, job.Week, job.Start, ArrangeOptions{}); !errors.Is(err, ErrNoSession) {
		t.Errorf("got %v", err)
	}
}

func TestTonightListsTheSession(t *testing.T) {
	job := Job{Week: evenings(time.UTC), Start: time.Date(2026, 12, 1, 18, 0, 0, 0, time.UTC), Problem: Problem{Operations: []Operation{
		{ID: "a", Time: minutes(170)}, {ID: "g", Time: minutes(10), Wait: 8 * time.Hour, After: []string{"a"}}, {ID: "b", Time: minutes(30), After: []string{"g"}}}}}
	line, err := Place(job)
	if err != nil {
		t.Fatal(err)
	}
	s, bars, waits, ok := line.Tonight(job.Start.Add(time.Hour))
	if !ok || s.End.Hour() != 21 || len(bars) != 2 || len(waits) != 1 || waits[0].Step != "g" {
		t.Errorf("the first evening: %v %v %v", s, bars, waits)
	}
	_, bars, waits, ok = line.Tonight(job.Start.Add(12 * time.Hour))
	if !ok || len(bars) != 1 || bars[0].Step != "b" || len(waits) != 0 {
		t.Errorf("the next one: %v %v", bars, waits)
	}
	if _, _, _, ok = line.Tonight(job.Start.AddDate(0, 0, 9)); ok {
		t.Error("work after the finish")
	}
}

func TestChanceOfADate(t *testing.T) {
	// 100 minutes, scaled evenly between 0.9 and 2.9: 180 minutes are left of the
	// evening, so the share of factors up to 1.8 is (1.8-0.9)/2 = 0.45.
	job := Job{Week: evenings(time.UTC), Start: time.Date(2026, 12, 1, 18, 0, 0, 0, time.UTC), Problem: Problem{Operations: []Operation{{ID: "a", Time: minutes(100)}}}}
	got, err := Chance(job, job.Start.Add(4*time.Hour), func(p float64) float64 { return 0.9 + 2*p })
	if err != nil || got < 0.44 || got > 0.46 {
		t.Errorf("got %v (%v), want 0.45", got, err)
	}
	finish, err := FinishAt(job, 2)
	if err != nil || !finish.Equal(time.Date(2026, 12, 3, 18, 20, 0, 0, time.UTC)) {
		t.Errorf("finish %v (%v)", finish, err)
	}
}

func BenchmarkPlaceSixty(b *testing.B) {
	job := randomJob(8, 60)
	job.Problem.Change = func(_, _, _ string) time.Duration { return minutes(7) }
	job.Pull = PullFree
	for b.Loop() {
		if _, err := Place(job); err != nil {
			b.Fatal(err)
		}
	}
}
