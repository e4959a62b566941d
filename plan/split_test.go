package plan_test

import (
	"context"
	"math"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"pilewright/plan"
	"pilewright/plan/schedule"
)

func float(text string) (float64, error) { return strconv.ParseFloat(text, 64) }

func make1(t testing.TB, p *plan.Project) *plan.Plan {
	t.Helper()
	made, err := plan.Make(context.Background(), p, toyTools, nil)
	if err != nil {
		t.Fatal(err)
	}
	return made
}

// stepLike is the first step whose key begins so and that can be split.
func stepLike(t testing.TB, made *plan.Plan, prefix string, least float64) plan.Step {
	t.Helper()
	for _, s := range made.Work.Steps {
		if strings.HasPrefix(s.Key, prefix) && s.Quantity >= least {
			return s
		}
	}
	t.Fatalf("no step %s of %v or more", prefix, least)
	return plan.Step{}
}

// split splits a step as the maker types it.
func split(t testing.TB, p *plan.Project, s plan.Step, text string) *plan.Project {
	t.Helper()
	shares, err := plan.ParseShares(text, s, float)
	if err != nil {
		t.Fatal(err)
	}
	q, err := p.SplitStep(s, shares)
	if err != nil {
		t.Fatal(err)
	}
	return q
}

func part(t testing.TB, made *plan.Plan, key string) plan.Step {
	t.Helper()
	s, ok := made.Work.Step(key)
	if !ok {
		t.Fatalf("the plan has no step %s", key)
	}
	return s
}

func TestAStepSplitInTwoSharesQuantityMinutesAndMarks(t *testing.T) {
	p := demoProject(t)
	made := make1(t, p)
	whole := stepLike(t, made, "mortise/", 6)
	first := math.Floor(whole.Quantity * 2 / 3)
	parted := make1(t, split(t, p, whole, strconv.FormatFloat(first, 'f', 0, 64)))
	checkSteps(t, parted)
	a, b := part(t, parted, whole.Key), part(t, parted, whole.Key+"#2")
	if a.Quantity != first || a.Quantity+b.Quantity != whole.Quantity {
		t.Errorf("%v split at %v gives %v and %v", whole.Quantity, first, a.Quantity, b.Quantity)
	}
	if math.Abs(a.Minutes+b.Minutes-whole.Minutes) > 1e-9 || math.Abs(a.Minutes-whole.Minutes*first/whole.Quantity) > 1e-9 {
		t.Errorf("%v min are shared as %v and %v", whole.Minutes, a.Minutes, b.Minutes)
	}
	if a.Machine != whole.Machine || b.Machine != whole.Machine || a.Setup != b.Setup || a.Setup != whole.Setup || a.Method != b.Method {
		t.Errorf("set-ups %q %q and %q %q, of the whole %q %q", a.Machine, a.Setup, b.Machine, b.Setup, whole.Machine, whole.Setup)
	}
	var marks []string
	for _, s := range []plan.Step{a, b} {
		for _, m := range s.Marks {
			if !slices.Contains(marks, m) {
				marks = append(marks, m)
			}
		}
	}
	if !slices.Equal(marks, whole.Marks) || len(a.Marks) == len(whole.Marks) && len(b.Marks) == len(whole.Marks) {
		t.Errorf("marks %v and %v of %v", a.Marks, b.Marks, whole.Marks)
	}
	if !strings.Contains(b.Title, "part 2 of 2") || !strings.Contains(b.Title, strconv.FormatFloat(b.Quantity, 'f', 0, 64)) {
		t.Errorf("the second part is called %q", b.Title)
	}
	// What needed the whole needs both; each keeps what the whole needed.
	for _, s := range parted.Work.Steps {
		before, _ := made.Work.Step(s.Key)
		if slices.Contains(before.Needs, whole.Key) && !(slices.Contains(s.Needs, a.Key) && slices.Contains(s.Needs, b.Key)) {
			t.Errorf("%s needs %v", s.Key, s.Needs)
		}
	}
	for _, n := range whole.Needs {
		if !slices.Contains(a.Needs, n) || !slices.Contains(b.Needs, n) {
			t.Errorf("the whole needs %s, the parts %v and %v", n, a.Needs, b.Needs)
		}
	}
	if parted.Work.Setups != made.Work.Setups || math.Abs(parted.Ledger.Target-made.Ledger.Target) > 1e-6 {
		t.Errorf("%d set-ups and %v min, before %d and %v", parted.Work.Setups, parted.Ledger.Target, made.Work.Setups, made.Ledger.Target)
	}
}

func TestPartsKeepWhatWasLoggedAndLockedThroughEdits(t *testing.T) {
	p := demoProject(t)
	made := make1(t, p)
	whole := stepLike(t, made, "mortise/", 6)
	at := time.Date(2026, 3, 1, 18, 0, 0, 0, time.UTC)
	log := func(key string, minutes int64) func(*plan.Project) {
		return func(q *plan.Project) {
			q.Log = append(slices.Clone(q.Log), plan.Entry{ID: q.Take(), Piece: q.Piece.ID, Phase: plan.PhaseJoinery, Step: key, Start: at, Seconds: 60 * minutes})
		}
	}
	p = p.With(log(whole.Key, 7))
	follower := ""
	for _, s := range made.Work.Steps {
		if slices.Contains(s.Needs, whole.Key) {
			follower = s.Key
		}
	}
	p = p.With(func(q *plan.Project) {
		q.Steps = append(slices.Clone(q.Steps), plan.StepEdit{ID: q.Take(), Piece: q.Piece.ID, Key: follower, After: whole.Key})
	})
	joined := p
	p = split(t, p, whole, "2+3").With(log(whole.Key+"#3", 11))
	edits := p.Steps
	p = p.With(func(q *plan.Project) {
		q.Steps = append(slices.Clone(edits), plan.StepEdit{ID: q.Take(), Piece: q.Piece.ID, Key: whole.Key + "#2", Done: true})
	})
	check := func(name string, p *plan.Project) {
		got := make1(t, p)
		if got.Work.Blocked != "" {
			t.Fatalf("%s: %s", name, got.Work.Blocked)
		}
		logged := got.Work.Logged(p, time.Time{})
		if logged[whole.Key] != 7 || logged[whole.Key+"#3"] != 11 || !part(t, got, whole.Key+"#2").Done {
			t.Errorf("%s: logged %v", name, logged)
		}
		if f := part(t, got, follower); f.After != whole.Key+"#3" {
			t.Errorf("%s: the step locked after the whole is after %q", name, f.After)
		}
	}
	check("as split", p)
	check("with a dearer price and another day", p.With(func(q *plan.Project) { q.Piece.Start = "2026-05-01" }))

	// Joined again, all that was logged counts on the whole and the lock is as it was.
	q, err := p.JoinStep(part(t, make1(t, p), whole.Key+"#3"))
	if err != nil {
		t.Fatal(err)
	}
	got := make1(t, q)
	if s := part(t, got, whole.Key); s.Done || s.Parts > 1 || s.Quantity != whole.Quantity {
		t.Errorf("joined: done %v, %d parts, %v", s.Done, s.Parts, s.Quantity)
	}
	if l := got.Work.Logged(q, time.Time{}); l[whole.Key] != 18 || l[""] != 0 {
		t.Errorf("joined: logged %v", l)
	}
	if f := part(t, got, follower); f.After != whole.Key {
		t.Errorf("joined: the lock is after %q", f.After)
	}
	if before := make1(t, joined); got.Ledger.Target != before.Ledger.Target {
		t.Errorf("joined: target %v, before %v", got.Ledger.Target, before.Ledger.Target)
	}

	// Undone: the changes taken back leave the project as it was.
	changes, err := plan.Diff(joined.Settled(), split(t, joined, whole, "2+3").Settled())
	if err != nil {
		t.Fatal(err)
	}
	there, err := joined.Settled().Apply(changes)
	if err != nil {
		t.Fatal(err)
	}
	back, err := there.Apply(plan.Invert(changes))
	if err != nil {
		t.Fatal(err)
	}
	if len(back.Steps) != len(joined.Steps) || len(make1(t, there).Work.Steps) != len(made.Work.Steps)+2 {
		t.Errorf("undone: %d changes of steps, before %d", len(back.Steps), len(joined.Steps))
	}
}

func TestSharesFollowAChangedQuantity(t *testing.T) {
	p := demoProject(t)
	whole := stepLike(t, make1(t, p), "mortise/", 6)
	p = p.With(func(q *plan.Project) {
		q.Steps = []plan.StepEdit{{ID: q.Take(), Piece: q.Piece.ID, Key: whole.Key, Split: []float64{whole.Quantity - 1, 50, 2}}}
	})
	got := make1(t, p) // the second share is more than there is: it takes the rest
	if s := part(t, got, whole.Key+"#2"); s.Quantity != 1 || s.Parts != 2 {
		t.Errorf("the last part is %v of %d", s.Quantity, s.Parts)
	}
	p.Steps[0].Split = []float64{-1, 0, 1e300}
	if s := part(t, make1(t, p), whole.Key); s.Parts > 1 || s.Quantity != whole.Quantity {
		t.Errorf("senseless shares split the step: %+v", s)
	}
}

func TestAStepOfTheMakersOwnIsSplitByItsMinutes(t *testing.T) {
	p := demoProject(t).With(func(q *plan.Project) {
		q.Steps = []plan.StepEdit{{ID: q.Take(), Piece: q.Piece.ID, Key: "own-1", Own: true, Title: "Carve", Phase: plan.PhaseSand, Machine: "bench", Minutes: 60}}
	})
	p = split(t, p, part(t, make1(t, p), "own-1"), "40")
	got := make1(t, p)
	if a, b := part(t, got, "own-1"), part(t, got, "own-1#2"); a.Minutes != 40 || b.Minutes != 20 {
		t.Errorf("60 min are split into %v and %v", a.Minutes, b.Minutes)
	}
}

func TestMinutesOfTheMakersOwnAreSharedOutAndJoined(t *testing.T) {
	p := demoProject(t)
	whole := stepLike(t, make1(t, p), "mortise/", 6)
	p = p.With(func(q *plan.Project) {
		q.Steps = []plan.StepEdit{{ID: q.Take(), Piece: q.Piece.ID, Key: whole.Key, Minutes: 100}}
	})
	p = split(t, p, part(t, make1(t, p), whole.Key), "1")
	got := make1(t, p)
	a, b := part(t, got, whole.Key), part(t, got, whole.Key+"#2")
	if want := math.Round(100 / whole.Quantity); a.Minutes != want || b.Minutes != 100-want {
		t.Errorf("100 min are shared as %v and %v", a.Minutes, b.Minutes)
	}
	q, err := p.JoinStep(a)
	if err != nil {
		t.Fatal(err)
	}
	if s := part(t, make1(t, q), whole.Key); s.Minutes != 100 {
		t.Errorf("joined again it takes %v min", s.Minutes)
	}
}

func TestStepsThatCantBeDividedSayWhy(t *testing.T) {
	made := make1(t, demoProject(t))
	for _, x := range []struct{ prefix, why string }{{"glue/", "glue is open"}, {"coat/", "wet edge"}, {"dry-fit", "everything"}, {"stage/", "one go"}, {"deliver", "one trip"}} {
		for _, s := range made.Work.Steps {
			if !strings.HasPrefix(s.Key, x.prefix) {
				continue
			}
			if why := s.Undivided(); !strings.Contains(why, x.why) {
				t.Errorf("%s: %q, want it to say %q", s.Key, why, x.why)
			}
			if _, err := made.Project.SplitStep(s, []float64{1, 1}); err == nil {
				t.Errorf("%s was split", s.Key)
			}
		}
	}
	for _, s := range made.Work.Steps {
		if s.Whole && s.Undivided() == "" {
			t.Errorf("%s must be done in one session and can be split", s.Key)
		}
	}
}

func TestSharesAsTyped(t *testing.T) {
	s := plan.Step{Key: "mortise/1", Rate: "mortise", Quantity: 12, Unit: "joint", Minutes: 96}
	for _, x := range []struct {
		text string
		want []float64
		say  string
	}{
		{"8 + 4", []float64{8, 4}, ""}, {"8", []float64{8, 4}, ""}, {"8;4", []float64{8, 4}, ""}, {"3+3+3+3", []float64{3, 3, 3, 3}, ""},
		{"", nil, "write the shares"}, {"12", nil, "whole step"}, {"8+8", nil, "16 in all"}, {"-3", nil, "not a share"}, {"0", nil, "not a share"},
		{"1.5", nil, "whole numbers"}, {"NaN", nil, "not a share"}, {"Inf", nil, "not a share"}, {"x", nil, "not a share"},
	} {
		got, err := plan.ParseShares(x.text, s, float)
		if x.say == "" && (err != nil || !slices.Equal(got, x.want)) {
			t.Errorf("%q: %v, %v; want %v", x.text, got, err, x.want)
		}
		if x.say != "" && (err == nil || !strings.Contains(err.Error(), x.say)) {
			t.Errorf("%q: %v, %v; want an error with %q", x.text, got, err, x.say)
		}
	}
}

func TestSplitStepsAreInTheCalendar(t *testing.T) {
	p := demoProject(t)
	whole := stepLike(t, make1(t, p), "mortise/", 6)
	got := make1(t, split(t, p, whole, "3"))
	for _, key := range []string{whole.Key, whole.Key + "#2"} {
		if !slices.ContainsFunc(got.Work.Timeline.Bars, func(b schedule.Bar) bool { return b.Step == key && b.Kind == schedule.Work }) {
			t.Errorf("%s is in no session", key)
		}
	}
}

func TestAStepDoneWithoutTimeIsNeitherToGoNorALesson(t *testing.T) {
	p := demoProject(t)
	made := make1(t, p)
	s := stepLike(t, made, "mortise/", 6)
	p = p.With(func(q *plan.Project) {
		q.Steps = []plan.StepEdit{{ID: q.Take(), Piece: q.Piece.ID, Key: s.Key, Done: true}}
	})
	got := make1(t, p)
	if d := made.Ledger.Left - got.Ledger.Left; d < s.Minutes-1e-6 {
		t.Errorf("%v min less to go, want %v and its set-up", d, s.Minutes)
	}
	if d := made.Ledger.Forecast.P50 - got.Ledger.Forecast.P50; d < s.Minutes/2 {
		t.Errorf("the forecast falls by %v min, of %v planned", d, s.Minutes)
	}
	a, b := made.Ledger.Forecast.Rates, got.Ledger.Forecast.Rates
	for i := range a {
		if a[i].Median != b[i].Median || a[i].Samples != b[i].Samples {
			t.Errorf("%s was learned anew: %v, %v", a[i].ID, a[i].Median, b[i].Median)
		}
	}
	if slices.ContainsFunc(got.Work.Timeline.Bars, func(x schedule.Bar) bool { return x.Step == s.Key }) {
		t.Error("it is in the calendar")
	}
	if !slices.ContainsFunc(got.Findings, func(f plan.Finding) bool { return f.Code == "time.untimed" && strings.Contains(f.Text, "One step") }) {
		t.Error("nothing says that its time is not known")
	}
}

func TestTheForecastHoldsWhatTheMakerTyped(t *testing.T) {
	p := demoProject(t)
	made := make1(t, p)
	q := p.With(func(q *plan.Project) {
		q.Steps = []plan.StepEdit{{ID: q.Take(), Piece: q.Piece.ID, Key: "own-1", Own: true, Title: "Carve", Phase: plan.PhaseSand, Machine: "bench", Minutes: 600}}
	})
	got := make1(t, q)
	if d := got.Ledger.Forecast.P50 - made.Ledger.Forecast.P50; d < 500 || d > 800 {
		t.Errorf("600 min of the maker's own add %v to the forecast", d)
	}
	s := stepLike(t, made, "mortise/", 6)
	q.Steps[0] = plan.StepEdit{ID: q.Take(), Piece: q.Piece.ID, Key: s.Key, Minutes: int(s.Minutes) + 600}
	if d := make1(t, q).Ledger.Forecast.P50 - made.Ledger.Forecast.P50; d < 450 || d > 850 {
		t.Errorf("600 min more typed add %v to the forecast", d)
	}
	for _, r := range got.Ledger.Forecast.Rates {
		if r.ID == "own" {
			t.Error("typed minutes are shown among the rates")
		}
	}
}

func TestAStepBegunTakesOnlyTheRestInTheCalendar(t *testing.T) {
	p := demoProject(t)
	made := make1(t, p)
	s := stepLike(t, made, "mortise/", 6)
	at := time.Date(2026, 3, 1, 18, 0, 0, 0, time.UTC)
	worked := func(minutes float64) time.Duration {
		q := p.With(func(q *plan.Project) {
			q.Log = append(slices.Clone(q.Log), plan.Entry{ID: q.Take(), Piece: q.Piece.ID, Phase: s.Phase, Step: s.Key, Start: at, Seconds: int64(minutes * 60)})
		})
		sum := time.Duration(0)
		for _, b := range make1(t, q).Work.Timeline.Bars {
			if b.Step == s.Key && b.Kind == schedule.Work {
				sum += b.End.Sub(b.Start)
			}
		}
		return sum
	}
	for _, x := range []struct{ done, left float64 }{{0, s.Minutes}, {s.Minutes / 2, s.Minutes / 2}, {s.Minutes * 2, s.Minutes / 10}} {
		if got := worked(x.done).Minutes(); math.Abs(got-x.left) > 0.1 {
			t.Errorf("%v of %v min worked: %v are planned, want %v", x.done, s.Minutes, got, x.left)
		}
	}
}

func TestTheDayReadyComesWithTheChanceOfHoldingIt(t *testing.T) {
	p := demoProject(t)
	made := make1(t, p)
	w := made.Work
	if w.ChanceReady < 0.02 || w.ChanceReady > 0.9 || w.Safe.Before(w.Timeline.Ready) {
		t.Errorf("the chance of %v is %v, nine in ten hold %v", w.Timeline.Ready, w.ChanceReady, w.Safe)
	}
	p = p.With(func(q *plan.Project) { q.Piece.Due = w.Safe.Format(time.DateOnly) })
	if c := make1(t, p).Work.ChanceOfDue; c < 0.85 {
		t.Errorf("the chance of the safe day is %v", c)
	}
	same, err := made.ReadyWithout(0)
	if err != nil || !same.Equal(w.Timeline.Ready) {
		t.Errorf("with no session lost it is ready %v, %v; planned %v", same, err, w.Timeline.Ready)
	}
	later, err := made.ReadyWithout(3)
	if err != nil || later.Before(same) {
		t.Errorf("three sessions lost: %v, %v", later, err)
	}
}

// FuzzSplit splits, joins and plans as a maker might at random: nothing is lost.
func FuzzSplit(f *testing.F) {
	f.Add("8 + 4", uint8(3))
	f.Add("1 1 1", uint8(9))
	f.Add("1e9", uint8(0))
	p := demoProject(f)
	made := make1(f, p)
	f.Fuzz(func(t *testing.T, text string, at uint8) {
		s := made.Work.Steps[int(at)%len(made.Work.Steps)]
		shares, err := plan.ParseShares(text, s, float)
		if err != nil {
			return
		}
		q, err := p.SplitStep(s, shares)
		if err != nil {
			return
		}
		got := make1(t, q)
		sum, minutes := 0.0, 0.0
		for _, x := range got.Work.Steps {
			if plan.WholeKey(x.Key) == s.Key {
				sum, minutes = sum+x.Quantity, minutes+x.Minutes
			}
		}
		if math.Abs(sum-s.Quantity) > 1e-6*s.Quantity || math.Abs(minutes-s.Minutes) > 1e-6*s.Minutes {
			t.Errorf("%s split by %q: %v of %v, %v of %v min", s.Key, text, sum, s.Quantity, minutes, s.Minutes)
		}
	})
}
