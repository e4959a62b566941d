package schedule

import (
	"context"
	"slices"
	"testing"
	"time"
)

// Small jobs are compared with placing every lawful order as it stands.
func TestArrangeEqualsEveryOrder(t *testing.T) {
	jobs := uint64(24)
	if full() {
		jobs = 150
	}
	differ, compared := 0, 0
	for seed := range jobs {
		job := randomJob(seed, 7)
		job.Scale, job.Lost, job.Pull = 0, 0, PullNone
		if seed%3 == 0 {
			job.Problem.Operations[5].RightAfter = job.Problem.Operations[4].ID
		}
		a, err := Arrange(context.Background(), job.Problem, job.Week, job.Start, ArrangeOptions{Width: 4000})
		if err != nil {
			continue // a lock that cannot be kept
		}
		compared++
		var soonest, fewest time.Time
		every(job.Problem, func(order []Operation) {
			j := job
			j.Problem.Operations = slices.Clone(order)
			line, err := Place(j)
			if err != nil {
				t.Fatal(err)
			}
			if soonest.IsZero() || line.Finish.Before(soonest) {
				soonest = line.Finish
			}
			if line.Setup == a.Answer.Setup && (fewest.IsZero() || line.Finish.Before(fewest)) {
				fewest = line.Finish
			}
		})
		for name, o := range map[string]Offer{"fewest": a.Fewest, "soonest": a.Soonest} {
			j := job
			j.Problem = o.Problem
			if v := CheckTimeline(j, o.Timeline); v != nil {
				t.Fatalf("seed %d, %s: %v", seed, name, v)
			}
			if o.Timeline.Finish.Before(a.Least) {
				t.Fatalf("seed %d, %s: finish %v before the bound %v", seed, name, o.Timeline.Finish, a.Least)
			}
		}
		if a.Fewest.Timeline.Setup != a.Answer.Setup {
			t.Fatalf("seed %d: %v of set-ups, the least is %v", seed, a.Fewest.Timeline.Setup, a.Answer.Setup)
		}
		if !a.Fewest.Timeline.Finish.Equal(fewest) || !a.Soonest.Timeline.Finish.Equal(soonest) {
			t.Errorf("seed %d: fewest set-ups by %v and soonest %v; trying every order gives %v and %v", seed, a.Fewest.Timeline.Finish, a.Soonest.Timeline.Finish, fewest, soonest)
		}
		if a.Soonest.Timeline.Finish.Before(a.Fewest.Timeline.Finish) {
			differ++
		}
	}
	if differ == 0 || compared < int(jobs)*2/3 {
		t.Errorf("%d jobs compared, %d of them with two ends", compared, differ)
	}
}

// The price of an earlier finish: with the saw left on one set-up the glue is
// on too late to cure on the first evening.
func TestArrangeShowsBothEnds(t *testing.T) {
	saw := func(id, setup string, min int, after ...string) Operation {
		return Operation{ID: id, Machine: "saw", Setup: setup, Time: minutes(min), After: after}
	}
	p := Problem{
		Operations: []Operation{
			saw("rip rails", "rip", 30), saw("cut rails", "cross", 30, "rip rails"),
			{ID: "glue rails", Time: minutes(20), Wait: minutes(60), Whole: true, After: []string{"cut rails"}},
			saw("rip top", "rip", 60),
			{ID: "fit", Time: minutes(20), After: []string{"glue rails", "rip top"}},
		},
		Change: func(_, _, _ string) time.Duration { return minutes(5) },
		Holds:  map[string]string{"saw": "rip"},
	}
	// Fewest: rip, rip, change, cut, glue: 145 min, cure to 205, past closing at 180.
	// Soonest: rip, change, cut, glue: 85 min; change, rip: 150; fit: 170.
	start := time.Date(2026, 12, 1, 18, 0, 0, 0, time.UTC)
	a, err := Arrange(context.Background(), p, evenings(time.UTC), start, ArrangeOptions{})
	if err != nil {
		t.Fatal(err)
	}
	few, soon := a.Fewest.Timeline, a.Soonest.Timeline
	if few.Setups != 1 || len(few.Sessions) != 2 || soon.Setups != 2 || len(soon.Sessions) != 1 {
		t.Errorf("got %d set-ups in %d evenings and %d in %d, want 1 in 2 and 2 in 1", few.Setups, len(few.Sessions), soon.Setups, len(soon.Sessions))
	}
	if want := start.Add(minutes(170)); !soon.Finish.Equal(want) {
		t.Errorf("soonest finish %v, want %v", soon.Finish, want)
	}
	a, err = Arrange(context.Background(), p, evenings(time.UTC), start, ArrangeOptions{Tolerance: minutes(5)})
	if err != nil || a.Fewest.Timeline.Setups != 2 || len(a.Fewest.Timeline.Sessions) != 1 {
		t.Errorf("with one change more allowed: %d set-ups in %d evenings (%v)", a.Fewest.Timeline.Setups, len(a.Fewest.Timeline.Sessions), err)
	}
}

func TestArrangeStopsWhenAsked(t *testing.T) {
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	job := randomJob(4, 50)
	a, err := Arrange(ctx, job.Problem, job.Week, job.Start, ArrangeOptions{})
	if err != nil || CheckOrder(job.Problem, a.Fewest.Timeline.Order) != nil {
		t.Fatal(err)
	}
}

func BenchmarkArrangeSixty(b *testing.B) {
	job := randomJob(8, 60)
	for b.Loop() {
		a, err := Arrange(context.Background(), job.Problem, job.Week, job.Start, ArrangeOptions{})
		if err != nil {
			b.Fatal(err)
		}
		b.ReportMetric(a.Soonest.Timeline.Finish.Sub(a.Least).Hours(), "h-over-bound")
		b.ReportMetric(a.Fewest.Timeline.Finish.Sub(a.Soonest.Timeline.Finish).Hours(), "h-between")
	}
}
