package cutting

import (
	"context"
	"fmt"
	"math/rand/v2"
	"os"
	"os/exec"
	"regexp"
	"sort"
	"testing"
	"time"

	"pilewright/layout/cutting/pattern"
	"pilewright/plan/measure"
)

// row prints one row of the table of numbers: what, the bar, the figure.
func row(what, bar, format string, args ...any) {
	fmt.Printf("%-52s | %-28s | %s\n", what, bar, fmt.Sprintf(format, args...))
}

// wanted reports whether a row is asked for: PILEWRIGHT_ROWS is an expression.
func wanted(what string) bool {
	return regexp.MustCompile(os.Getenv("PILEWRIGHT_ROWS")).MatchString(what)
}

// bench60 is 60 boards and 200 blanks, boards with nails and splits.
func bench60(seed uint64) Problem {
	r := rand.New(rand.NewPCG(seed, 60))
	p := lines(r, 60)
	p.Items = nil
	for n := 0; n < 200; {
		k := min(1+r.IntN(6), 200-n)
		p.Items = append(p.Items, Item{ID: fmt.Sprint("i", len(p.Items)), Length: measure.Length(100+r.IntN(150)) * mm, Width: 90 * mm, Count: k})
		n += k
	}
	return p
}

// TestNumbers prints the rows of the table of numbers that concern whole jobs;
// package pattern and package guillotine print theirs under the same name.
// Seconds are processor seconds of two cores where it says so.
func TestNumbers(t *testing.T) {
	if os.Getenv("PILEWRIGHT_FULL") == "" {
		t.Skip("set PILEWRIGHT_FULL to print the table")
	}
	if what := "first full plan, 60 boards / 200 blanks"; wanted(what) {
		var first []float64
		for seed := range uint64(20) {
			p := bench60(seed)
			ctx, cancel := context.WithCancel(context.Background())
			start, at := cpu(), 0.0
			if _, err := Solve(ctx, p, Options{Progress: func(Progress) {
				if at == 0 {
					at = cpu() - start
					cancel()
				}
			}}); err != nil {
				t.Fatal(err)
			}
			cancel()
			first = append(first, at*1000)
		}
		sort.Float64s(first)
		row(what, "50 ms", "median %.1f ms, worst %.1f ms of 20 (processor time)", first[10], first[19])
	}
	if what := "cancel"; wanted(what) {
		var took, busy []float64
		for seed := range uint64(20) {
			p := bench60(seed)
			if seed%2 == 1 {
				p = shop(seed, 30, 60)
			}
			ctx, cancel := context.WithCancel(context.Background())
			var at time.Time
			var begun float64
			go func() {
				time.Sleep(time.Duration(50+20*seed) * time.Millisecond)
				at, begun = time.Now(), cpu()
				cancel()
			}()
			if _, err := Solve(ctx, p, Options{}); err != nil {
				t.Fatal(err)
			}
			if ctx.Err() != nil {
				took, busy = append(took, time.Since(at).Seconds()*1000), append(busy, (cpu()-begun)*1000)
			}
			cancel()
		}
		sort.Float64s(took)
		sort.Float64s(busy)
		if n := len(took); n > 0 {
			row(what, "20 ms", "median %.1f ms, worst %.1f ms of %d (processor time %.1f, %.1f)", took[n/2], took[n-1], n, busy[n/2], busy[n-1])
		}
	}
	if what := "shortage sentence, 50 boards, 8 % too much"; wanted(what) {
		exact, n, took := 0, 0, 0.0
		for seed := range uint64(30) {
			p := overfull(seed)
			start := cpu()
			lack, err := Shortage(context.Background(), p, nil, []measure.Length{900 * mm, 1500 * mm, 2400 * mm}, Options{})
			if err != nil {
				t.Fatal(err)
			}
			took += (cpu() - start) / 2
			for _, x := range lack.Extra {
				n++
				if x.Exact {
					exact++
				}
			}
		}
		row(what, "0.3 s, exact in 95 %", "exact in %d of %d (%.1f %%), %.3f s a length", exact, n, 100*float64(exact)/float64(max(n, 1)), took/float64(max(n, 1)))
	}
	if what := "against cbc, piles of 8 to 20 boards, least wood"; wanted(what) {
		if _, err := exec.LookPath("cbc"); err != nil {
			t.Log("cbc is not installed: no row against it")
			return
		}
		worse, better, contradicted := 0, 0, 0
		var ratios, plans []float64 // with our proof, and to the plan alone
		for seed := range uint64(10) {
			r := rand.New(rand.NewPCG(seed, 20))
			p := lines(r, 8+int(seed)*4/3)
			p.Aims = []Aim{AimWood}
			start := cpu()
			s, err := Solve(context.Background(), p, Options{Work: 1_000_000_000})
			if err != nil {
				t.Fatal(err)
			}
			took := cpu() - start
			if s.Levels[0].Value > 0 {
				continue
			}
			v := levelValue(s.Levels[1])
			had := untilPlan(t, p, s.Levels[1].Value)
			a := cbc(t, arcFlow(p, levelCost(p, AimWood), nil, nil), 8)
			switch {
			case !a.plan || a.value > v:
				better++
				a.seconds = 8
			case a.value < v:
				worse++
				if s.Levels[1].Proved {
					contradicted++
				}
			}
			a.seconds = max(a.seconds, 0.01) // its clock's step
			ratios, plans = append(ratios, a.seconds/max(took, 1e-4)), append(plans, a.seconds/max(had, 1e-4))
		}
		sort.Float64s(ratios)
		sort.Float64s(plans)
		if contradicted > 0 {
			t.Errorf("%d proofs are contradicted by cbc", contradicted)
		}
		row(what, "never worse, 20 times faster", "worse %d, better %d of %d; %.0f to %.0f times faster to the plan, median %.0f; with proof %.1f to %.0f, median %.0f (cbc: 8 s each, to its plan)", worse, better, len(ratios), plans[0], plans[len(plans)-1], plans[len(plans)/2], ratios[0], ratios[len(ratios)-1], ratios[len(ratios)/2])
	}
}

// untilPlan is the processor time until a plan opens no more wood than value: the
// search of that level alone, which tells of each better plan at once.
func untilPlan(t *testing.T, p Problem, value int64) float64 {
	t.Helper()
	ctx, cancel := context.WithCancel(context.Background())
	defer cancel()
	start, had := cpu(), -1.0
	r := reduce(&p)
	m := r.modelOf(AimWood, r.demand(), nil, nil)
	seen := func(plan *pattern.Plan) {
		if had < 0 && plan != nil && plan.Cost <= value {
			had = cpu() - start
			cancel()
		}
	}
	first := pattern.First(ctx, m, 0)
	seen(first)
	res := pattern.Solve(ctx, m, pattern.Limits{Work: 1_000_000_000}, first, func(plan *pattern.Plan, _, _ int64) { seen(plan) })
	if seen(res.Plan); had < 0 {
		t.Fatalf("the search ends at %d, not at %d", res.Plan.Cost, value)
	}
	return had
}
