package plan_test

import (
	"context"
	"slices"
	"strings"
	"testing"

	"pilewright/plan"
	"pilewright/plan/forecast"
	"pilewright/plan/schedule"
	"pilewright/plan/trade"
)

// stages of the work on one copy, as a maker would put them; a later one never
// comes before an earlier one on the same copy. Written down apart from the steps.
var stages = []string{"glue/", "flat/", "join/", "flush/", "width/", "length/", "mark-out", "cut", "ease", "dry-fit", "stage/", "repair", "sand/", "coat/", "hardware", "deliver"}

func stageOf(key string) int {
	for _, cut := range []string{"mortise/", "tenon/", "housing/", "dowel/"} {
		if strings.HasPrefix(key, cut) {
			key = "cut"
		}
	}
	return slices.IndexFunc(stages, func(s string) bool { return strings.HasPrefix(key, s) })
}

// letter is the part's letter of a copy's or a blank's mark: A of A1, Aa and Aa2.
func letter(mark string) string {
	return strings.TrimRight(mark, "0123456789abcdefghijklmnopqrstuvwxyz")
}

// checkSteps replays the order of work by rules of its own.
func checkSteps(t *testing.T, made *plan.Plan) {
	t.Helper()
	steps := made.Work.Steps
	at := map[string]int{}
	for i, s := range steps {
		if _, twice := at[s.Key]; twice {
			t.Errorf("the key %q stands twice", s.Key)
		}
		at[s.Key] = i
	}
	for i, s := range steps {
		for _, n := range s.Needs {
			if k, ok := at[n]; !ok || k >= i {
				t.Errorf("%s comes before %s, which it needs", s.Key, n)
			}
		}
		for _, o := range steps[i+1:] { // o is worked later
			a, b := stageOf(s.Key), stageOf(o.Key)
			shared := slices.ContainsFunc(s.Marks, func(m string) bool { return slices.Contains(o.Marks, m) })
			if a > b && b >= 0 && shared && a != stageOf("coat/1") {
				t.Errorf("%s is worked before %s on the same copy", s.Key, o.Key)
			}
			early := strings.HasPrefix(o.Key, "plane/") || o.Key == "joint" // marks are letters
			if early && a >= 0 && slices.ContainsFunc(s.Marks, func(m string) bool {
				return slices.ContainsFunc(o.Marks, func(x string) bool { return letter(x) == letter(m) })
			}) {
				t.Errorf("%s is worked before %s of its blanks", s.Key, o.Key)
			}
			if o.Key == "nails" || o.Key == "trim" && strings.HasPrefix(s.Key, "crosscut/") {
				t.Errorf("%s is worked before %s", s.Key, o.Key)
			}
		}
		if strings.HasPrefix(s.Key, "glue/") || strings.HasPrefix(s.Key, "join/") || strings.HasPrefix(s.Key, "coat/") {
			if s.Wait <= 0 || s.WaitFor == "" {
				t.Errorf("nothing is waited for after %s", s.Key)
			}
		}
	}
	// Every blank that is cut is planed or glued; every copy is made, fitted and finished.
	for _, c := range made.Copies {
		for _, want := range []string{"width/", "length/", "dry-fit", "sand/", "coat/", "deliver"} {
			if len(made.Copies) > 1 && !slices.ContainsFunc(steps, func(s plan.Step) bool {
				return strings.HasPrefix(s.Key, want) && (want == "coat/" || want == "deliver" || want == "sand/" || slices.Contains(s.Marks, c.Mark))
			}) {
				t.Errorf("no step %s for %s", want, c.Mark)
			}
		}
	}
	chalked := map[string]bool{}
	for _, cb := range made.Cuts.Boards {
		for _, p := range cb.Pieces {
			if chalked[p.Mark] {
				t.Errorf("two blanks are marked %s", p.Mark)
			}
			chalked[p.Mark] = true
		}
	}
	rates := forecast.DefaultRates()
	for _, s := range steps {
		if s.Own {
			continue
		}
		i := slices.IndexFunc(rates, func(r forecast.Rate) bool { return r.ID == s.Rate })
		if i < 0 || rates[i].Unit != s.Unit {
			t.Errorf("%s: rate %q, unit %q", s.Key, s.Rate, s.Unit)
		}
		if !slices.Contains(plan.Phases, s.Phase) {
			t.Errorf("%s is of phase %q", s.Key, s.Phase)
		}
		if s.Quantity <= 0 || s.Minutes <= 0 {
			t.Errorf("%s: quantity %v, %v min", s.Key, s.Quantity, s.Minutes)
		}
		for _, c := range s.Cautions {
			if _, ok := trade.CautionByCode(c); !ok {
				t.Errorf("%s: there is no caution %q", s.Key, c)
			}
		}
		if s.Machine == "" || s.Setup == "" || s.Title == "" {
			t.Errorf("%s: machine %q, set-up %q, title %q", s.Key, s.Machine, s.Setup, s.Title)
		}
	}
}

func TestStepsOfEveryStartingPointAreInAnOrderThatCanBeWorked(t *testing.T) {
	for _, id := range startIDs(t) {
		for _, metric := range []bool{false, true} {
			p := demoProject(t).NewPiece(readStart(t, id), id)
			p.Shop.Inches = !metric
			made, err := plan.Make(context.Background(), p, toyTools, nil)
			if err != nil {
				t.Fatal(err)
			}
			t.Run(id, func(t *testing.T) { checkSteps(t, made) })
		}
	}
}

func TestStepsOfAnyProjectAreInAnOrderThatCanBeWorked(t *testing.T) {
	for seed := range uint64(40) {
		p := project(t, 70_000+seed)
		p.Steps, p.Log = nil, nil
		made, err := plan.Make(context.Background(), p, toyTools, nil)
		if err != nil {
			t.Fatal(err)
		}
		if made.Work.Blocked == "" && len(made.Cuts.Short) == 0 && made.Drawable() {
			checkSteps(t, made)
		}
	}
}

func TestALotThatWaitsIsTakenApartOnlyWhereThePileIsShort(t *testing.T) {
	for _, short := range []bool{false, true} {
		p := demoProject(t)
		if short {
			p = p.With(func(q *plan.Project) { q.Boards = nil })
		}
		made, err := plan.Make(context.Background(), p, toyTools, nil)
		if err != nil {
			t.Fatal(err)
		}
		if got := len(made.Cuts.Short) > 0; got != short {
			t.Fatalf("the pile is short: %v, want %v", got, short)
		}
		n := 0
		for _, s := range made.Work.Steps {
			if strings.HasPrefix(s.Key, "take-apart/") {
				n++
				if s.Phase != plan.PhaseCollect || s.Rate != "take-apart" || s.Quantity != 33 || !slices.Contains(s.Cautions, "dismantle") {
					t.Errorf("the step is %+v", s)
				}
			}
		}
		if want := map[bool]int{false: 0, true: 1}[short]; n != want {
			t.Errorf("short %v: %d lots are taken apart, want %d", short, n, want)
		}
	}
}

// Rates are kept under the phases the plan has.
func TestRatesBelongToPhases(t *testing.T) {
	for _, r := range forecast.DefaultRates() {
		if !slices.Contains(plan.Phases, plan.Phase(r.Phase)) {
			t.Errorf("the rate %s is kept under %q", r.ID, r.Phase)
		}
	}
}

// The calendar that is shown is read again here, with the operations put together
// from the steps by hand.
func TestCalendarKeepsHoursAndWaits(t *testing.T) {
	made, err := plan.Make(context.Background(), demoProject(t), toyTools, nil)
	if err != nil {
		t.Fatal(err)
	}
	begin, end := map[string]int64{}, map[string]int64{}
	for _, b := range made.Work.Timeline.Bars {
		if b.Kind == schedule.Work {
			if _, ok := begin[b.Step]; !ok {
				begin[b.Step] = b.Start.Unix()
			}
			end[b.Step] = b.End.Unix()
		}
		day := b.Start.UTC()
		from, to := day.Hour()*60+day.Minute(), b.End.UTC().Hour()*60+b.End.UTC().Minute()
		open := slices.ContainsFunc(made.Project.Shop.Hours[day.Weekday()], func(w plan.Window) bool { return w.From <= from && to <= w.To })
		if !open {
			t.Errorf("%s is worked %v to %v, when the shop is shut", b.Step, b.Start, b.End)
		}
	}
	kept := map[string]bool{}
	for _, s := range made.Work.Steps {
		for _, n := range s.Needs {
			before, _ := made.Work.Step(n)
			wait := before.Wait
			if slices.Contains(s.Free, n) {
				if wait = 0; !strings.HasPrefix(n, "off/") {
					t.Errorf("%s need not sit out what %s needs", s.Key, n)
				}
			} else {
				kept[n] = true
			}
			if begin[s.Key] < end[n]+int64(wait.Seconds()) {
				t.Errorf("%s begins before %s has stood its %v", s.Key, n, wait)
			}
		}
	}
	for _, s := range made.Work.Steps {
		if strings.HasPrefix(s.Key, "off/") && s.Wait > 0 && !kept[s.Key] {
			t.Errorf("nothing waits for what was glued before %s", s.Key)
		}
	}
}
