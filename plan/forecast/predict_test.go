package forecast

import (
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"reflect"
	"slices"
	"sync"
	"testing"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/stat/distuv"
)

// full asks for the long simulations.
var full = os.Getenv("PILEWRIGHT_FULL") != ""

// draws is the size of the brute simulations; their own error at the 10 and
// 90 % points is then about 0.5 % of the time, 0.1 % in full.
func draws() int {
	if full {
		return 2_000_000
	}
	return 40_000
}

// simulate draws the minutes of all tasks from the model itself: rates from
// their joint distribution, the spell, an error for each task. Draws that
// contradict what is under way are thrown away; finished tasks are not taken
// as evidence here.
func simulate(m Model, tasks []Task, rng *rand.Rand) []float64 {
	n := len(m.rates)
	cov := mat.NewSymDense(n, m.cov.a)
	var c mat.Cholesky
	if !c.Factorize(cov) {
		panic("not positive definite")
	}
	var tri mat.TriDense
	c.LTo(&tri)
	l := newMatrix(n)
	for i := range n {
		for j := range i + 1 {
			l.set(i, j, tri.At(i, j))
		}
	}
	var totals []float64
	z, rate := make([]float64, n), make([]float64, n)
	for len(totals) < draws() {
		for i := range z {
			z[i] = rng.NormFloat64()
		}
		u := m.spread.Piece * rng.NormFloat64()
		for i := range rate {
			rate[i] = m.mean[i] + u + dot(l.row(i)[:i+1], z[:i+1])
		}
		total, possible := 0.0, true
		for _, t := range tasks {
			r := m.index[t.Rate]
			took := t.Quantity * math.Exp(rate[r]+math.Sqrt(m.noise(r))*rng.NormFloat64())
			if took < t.DoneMinutes {
				possible = false
				break
			}
			total += took
		}
		if possible {
			totals = append(totals, total)
		}
	}
	slices.Sort(totals)
	return totals
}

func testShop(seed uint64, pieces int) Model {
	rng := rand.New(rand.NewPCG(seed, 1))
	rates := DefaultRates()
	own := make([]float64, len(rates))
	for i := range own {
		own[i] = 0.4 * rng.NormFloat64()
	}
	return Learn(rates, logOf(rng, rates, pieces, 15, 0.2, own, 0.2, 1))
}

// table is the work of a small table.
func table() []Task {
	return []Task{
		{Rate: "rip", Quantity: 14}, {Rate: "crosscut", Quantity: 22}, {Rate: "plane", Quantity: 30}, {Rate: "joint", Quantity: 12},
		{Rate: "tenon", Quantity: 8}, {Rate: "mortise", Quantity: 8}, {Rate: "mark-out", Quantity: 8}, {Rate: "dry-fit", Quantity: 8},
		{Rate: "glue-up", Quantity: 5}, {Rate: "flatten", Quantity: 0.6}, {Rate: "sand", Quantity: 3.6}, {Rate: "sand", Quantity: 1.8},
		{Rate: "assemble", Quantity: 8}, {Rate: "coat", Quantity: 1.8}, {Rate: "coat", Quantity: 1.8}, {Rate: "coat", Quantity: 1.8},
		{Rate: "deliver", Quantity: 1},
	}
}

func TestPredictAgreesWithSimulation(t *testing.T) {
	begun := table()
	begun[4].DoneMinutes, begun[10].DoneMinutes = 30, 20
	late := table()
	late[5].DoneMinutes = 160 // about two and a half times the guess
	for _, c := range []struct {
		name  string
		model Model
		tasks []Task
	}{
		{"a table in a new shop", testShop(1, 0), table()},
		{"a table in a shop with a log", testShop(2, 12), table()},
		{"one task", testShop(3, 3), table()[5:6]},
		{"two tasks of one rate", testShop(3, 3), table()[13:15]},
		{"one long task and one short", testShop(4, 2), []Task{{Rate: "deliver", Quantity: 3}, {Rate: "rip", Quantity: 2}}},
		{"two tasks under way", testShop(5, 4), begun},
		{"a task that runs late", testShop(6, 4), late},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			tolerance, chance := 0.02, 0.01
			if full {
				tolerance, chance = 0.01, 0.005
			}
			f := c.model.Predict(c.tasks)
			totals := simulate(c.model, c.tasks, rand.New(rand.NewPCG(15, 16)))
			sum := 0.0
			for _, x := range totals {
				sum += x
			}
			at := func(p float64) float64 { return totals[int(p*float64(len(totals)))] }
			for _, q := range []struct {
				name      string
				got, want float64
			}{{"P10", f.P10, at(0.1)}, {"P50", f.P50, at(0.5)}, {"P90", f.P90, at(0.9)}, {"mean", f.Mean, sum / float64(len(totals))}} {
				off := q.got/q.want - 1
				t.Logf("%s %.1f min, simulated %.1f (%+.2f %%)", q.name, q.got, q.want, 100*off)
				if math.Abs(off) > tolerance {
					t.Errorf("%s = %.2f, simulation %.2f: %+.2f %% off", q.name, q.got, q.want, 100*off)
				}
			}
			for _, p := range []float64{0.05, 0.25, 0.5, 0.75, 0.95} {
				if got := f.ChanceWithin(at(p)); math.Abs(got-p) > chance {
					t.Errorf("chance within %.1f min = %.4f, simulation %.2f", at(p), got, p)
				}
			}
		})
	}
}

// Reference: gonum/stat/distuv. One task is exactly log-normal.
func TestOneTaskIsLogNormal(t *testing.T) {
	m := testShop(7, 5)
	r := m.index["mortise"]
	want := distuv.LogNormal{
		Mu:    m.mean[r] + math.Log(8),
		Sigma: math.Sqrt(m.cov.at(r, r) + sq(m.spread.Piece) + m.noise(r)),
	}
	f := m.Predict([]Task{{Rate: "mortise", Quantity: 8}})
	for _, p := range []float64{0.01, 0.1, 0.3, 0.5, 0.7, 0.9, 0.99} {
		if got := f.Quantile(p); !near(got/want.Quantile(p), 1, 0.004) {
			t.Errorf("quantile %v = %v, want %v", p, got, want.Quantile(p))
		}
	}
	l, _ := m.Rate("mortise")
	if !near(l.Low*8, want.Quantile(0.1), 1e-9) || !near(l.High*8, want.Quantile(0.9), 1e-9) {
		t.Errorf("range of a task %v to %v for a unit", l.Low, l.High)
	}
}

// es04 of ../shared/checks.csv: independent deviations of 3, 4 and 12 add up
// to 13. With no shared doubt the tasks are independent and so do theirs.
func TestIndependentTasksAddTheirVariances(t *testing.T) {
	var rates []Rate
	for i, sd := range []float64{3, 4, 12} {
		rates = append(rates, Rate{ID: fmt.Sprint(i), Median: 100, Sigma: sd / 100, Weight: 1000})
	}
	m := Learn(rates, nil)
	m.cov, m.spread.Piece = newMatrix(3), 0
	f := m.Predict([]Task{{Rate: "0", Quantity: 1}, {Rate: "1", Quantity: 1}, {Rate: "2", Quantity: 1}})
	// A deviation of 12 % in the logarithm is 12.17 of 100.
	if sd := (f.P90 - f.P10) / (normalAt(0.9) - normalAt(0.1)); math.Abs(sd-13) > 0.25 {
		t.Errorf("deviation %.3f, want 13", sd)
	}
}

// What is left of a log-normal beyond a time, against numerical integration.
func TestRemainingAgreesWithIntegration(t *testing.T) {
	for _, c := range []struct{ mu, sigma, done float64 }{{3, 0.4, 10}, {3, 0.4, 20}, {3, 0.4, 60}, {3, 0.1, 40}, {0, 1, 3}} {
		mean, variance := remaining(c.mu, c.sigma, c.done)
		const steps = 200_000
		from := math.Log(c.done)
		to := math.Max(from, c.mu) + 12*c.sigma
		mass, first, second := 0.0, 0.0, 0.0
		for i := range steps {
			x := from + (to-from)*(float64(i)+0.5)/steps
			w := math.Exp(-sq((x-c.mu)/c.sigma)/2 + sq((from-c.mu)/c.sigma)/2)
			mass += w
			first += w * (math.Exp(x) - c.done)
			second += w * sq(math.Exp(x)-c.done)
		}
		wantMean := first / mass
		wantVar := second/mass - sq(wantMean)
		if !near(mean/wantMean, 1, 1e-5) || !near(variance/wantVar, 1, 1e-4) {
			t.Errorf("%+v: left %v ± %v, want %v ± %v", c, mean, variance, wantMean, wantVar)
		}
	}
}

// Finished tasks are evidence just as samples of the log are.
func TestFinishedTasksTeachLikeTheLog(t *testing.T) {
	rates := DefaultRates()
	rng := rand.New(rand.NewPCG(17, 18))
	own := make([]float64, len(rates))
	earlier := logOf(rng, rates, 6, 20, 0.1, own, 0.2, 1)
	m := Learn(rates, earlier)
	done := []Task{{"rip", 14, 30, true, false}, {"tenon", 8, 90, true, false}, {"tenon", 4, 41, true, false}}
	p := m.posterior()
	for _, d := range done {
		r := m.index[d.Rate]
		p.observe(r, math.Log(d.DoneMinutes/d.Quantity), m.noise(r))
	}
	// The same by the whole fit, with the spreads held.
	fitted := newModel(rates)
	samples := slices.Clone(earlier)
	for _, d := range done {
		samples = append(samples, Sample{d.Rate, "now", d.Quantity, d.DoneMinutes, false})
	}
	f := newFit(fitted, samples)
	f.spread = m.spread
	f.solve()
	f.rateDistribution(&fitted, f.turn) // on this piece, not on the one after it
	now := f.u[len(f.u)-1]
	for r, rate := range rates {
		if want := fitted.mean[r] + now; !near(p.mean[r], want, 1e-9) {
			t.Errorf("%s: %v after the finished tasks, want %v", rate.ID, p.mean[r], want)
		}
	}
}

func TestPredictFollowsTheWork(t *testing.T) {
	m := testShop(8, 4)
	t.Run("no tasks take no time", func(t *testing.T) {
		f := m.Predict(nil)
		if f.P90 != 0 || f.Mean != 0 || f.ChanceWithin(0) != 1 || f.ChanceWithin(-1) != 0 {
			t.Errorf("%+v", f)
		}
	})
	t.Run("when all is done the forecast is what it took", func(t *testing.T) {
		f := m.Predict([]Task{{"rip", 10, 12, true, false}, {"tenon", 8, 70.5, true, false}})
		if f.P10 != 82.5 || f.P90 != 82.5 || f.Mean != 82.5 || f.ChanceWithin(82.5) != 1 || f.ChanceWithin(82) != 0 {
			t.Errorf("%+v", f)
		}
	})
	t.Run("doing the work narrows the range", func(t *testing.T) {
		tasks := table()
		width := math.Inf(1)
		for i := range tasks {
			f := m.Predict(tasks)
			if w := f.P90 - f.P10; w > width*1.02 {
				t.Errorf("after %d tasks the range is %.1f min, before %.1f", i, w, width)
			} else {
				width = w
			}
			l, _ := m.Rate(tasks[i].Rate)
			tasks[i].Done, tasks[i].DoneMinutes = true, l.Median*tasks[i].Quantity
		}
	})
	t.Run("a slow start makes the rest slower", func(t *testing.T) {
		tasks := table()
		l, _ := m.Rate("rip")
		tasks[0].Done, tasks[0].DoneMinutes = true, l.Median*14
		usual := m.Predict(tasks)
		tasks[0].DoneMinutes *= 2
		slow := m.Predict(tasks)
		if slow.P50-slow.Spent <= usual.P50-usual.Spent {
			t.Errorf("left after a slow start %.1f, after a usual one %.1f", slow.P50-slow.Spent, usual.P50-usual.Spent)
		}
	})
	t.Run("a task is never shorter than what was worked on it", func(t *testing.T) {
		f := m.Predict([]Task{{"tenon", 8, 1000, false, false}})
		if f.P10 <= 1000 || f.ChanceWithin(1000) > 1e-6 {
			t.Errorf("%+v", f)
		}
	})
	t.Run("an unknown rate is named", func(t *testing.T) {
		f := m.Predict([]Task{{"carve", 8, 5, false, false}, {"carve", 1, 0, false, false}, {"old", 1, 7, true, false}})
		if !slices.Equal(f.Unknown, []string{"carve"}) || f.P50 != 12 {
			t.Errorf("%+v", f)
		}
	})
	t.Run("chance of an hourly pay", func(t *testing.T) {
		f := m.Predict(table())
		hours := f.P50 / 60
		if got := f.ChanceOfHourly(300, 300/hours); !near(got, 0.5, 1e-6) {
			t.Errorf("chance at the median = %v", got)
		}
		if a, b := f.ChanceOfHourly(300, 10), f.ChanceOfHourly(300, 20); a <= b {
			t.Errorf("a higher wish is likelier: %v, %v", a, b)
		}
		for _, c := range []struct{ earned, wish, want float64 }{{-5, 10, 0}, {0, 10, 0}, {0, 0, 1}, {5, 0, 1}, {-5, 0, 0}, {math.NaN(), 1, 0}} {
			if got := f.ChanceOfHourly(c.earned, c.wish); got != c.want {
				t.Errorf("earned %v, wish %v: %v, want %v", c.earned, c.wish, got, c.want)
			}
		}
	})
	t.Run("quantile and chance undo each other", func(t *testing.T) {
		f := m.Predict(table())
		for p := 0.001; p < 1; p += 0.0333 {
			if got := f.ChanceWithin(f.Quantile(p)); math.Abs(got-p) > 1e-6 {
				t.Errorf("chance within the %v point = %v", p, got)
			}
		}
	})
}

func TestPredictIsTheSameFromEveryGoroutine(t *testing.T) {
	m := testShop(9, 3)
	want := m.Predict(table())
	var wait sync.WaitGroup
	for range 8 {
		wait.Go(func() {
			if got := m.Predict(table()); !reflect.DeepEqual(got, want) {
				t.Errorf("%+v, want %+v", got, want)
			}
		})
	}
	wait.Wait()
	if again := testShop(9, 3); !reflect.DeepEqual(again, m) {
		t.Error("the same log gives another model")
	}
}

func FuzzPredict(f *testing.F) {
	f.Add(uint64(1), 1.0, 10.0, 20.0, 3.0, 0.0)
	f.Add(uint64(2), 1e-8, 1e8, 1e-8, 1e8, 1e8)
	f.Add(uint64(3), math.NaN(), math.Inf(1), -1.0, 0.0, 5.0)
	f.Add(uint64(4), 5.0, 1e7, 2.0, 3.0, 1e8)
	f.Fuzz(func(t *testing.T, seed uint64, quantity, minutes, q2, m2, done float64) {
		rng := rand.New(rand.NewPCG(seed, 3))
		rates := DefaultRates()
		id := func() string { return rates[rng.IntN(len(rates))].ID }
		m := Learn(rates, []Sample{{id(), "a", quantity, minutes, false}, {id(), "a", q2, m2, false}, {id(), "", quantity, m2, false}})
		fc := m.Predict([]Task{{id(), quantity, done, false, false}, {id(), q2, minutes, true, false}, {id(), q2, m2, false, false}, {id(), quantity, 0, false, false}})
		for _, x := range []float64{fc.P10, fc.P50, fc.P90, fc.Mean, fc.Spent} {
			if math.IsNaN(x) || x < 0 {
				t.Fatalf("%+v", fc)
			}
		}
		if fc.P10 > fc.P50 || fc.P50 > fc.P90 || fc.Spent > fc.P10 {
			t.Fatalf("not in order: %v %v %v, spent %v", fc.P10, fc.P50, fc.P90, fc.Spent)
		}
		for _, x := range []float64{quantity, minutes, q2, m2, done} {
			if c := fc.ChanceWithin(x); !(c >= 0 && c <= 1) {
				t.Fatalf("chance within %v = %v", x, c)
			}
		}
	})
}

func BenchmarkPredict(b *testing.B) {
	m := testShop(1, 12)
	for b.Loop() {
		m.Predict(table())
	}
}

func BenchmarkLearn(b *testing.B) {
	rng := rand.New(rand.NewPCG(1, 1))
	rates := DefaultRates()
	samples := logOf(rng, rates, 50, 40, 0.2, make([]float64, len(rates)), 0.2, 1)
	for b.Loop() {
		Learn(rates, samples)
	}
}

func TestAWildTimeOnThisPieceCountsAsSpentOnly(t *testing.T) {
	m := Learn(DefaultRates(), nil)
	work := []Task{{Rate: "tenon", Quantity: 8}, {Rate: "sand", Quantity: 3}, {Rate: "mortise", Quantity: 8}}
	plain := m.Predict(work)
	for _, done := range []bool{true, false} {
		wild := slices.Clone(work)
		wild[0].Done, wild[0].DoneMinutes = done, 14*60*8
		f := m.Predict(wild)
		want := plain.P50
		if done {
			want = m.Predict(work[1:]).P50
		}
		if got := f.P50 - f.Spent; !near(got/want, 1, 0.02) || len(f.Doubtful) != 1 || f.Doubtful[0] != 0 || f.Multiples[0] < WildFactor {
			t.Errorf("done %v: %v min to go, want %v; doubtful %v %v", done, got, want, f.Doubtful, f.Multiples)
		}
		wild[0].Kept = true
		if f := m.Predict(wild); len(f.Doubtful) != 0 || done && f.P50-f.Spent < 1.2*want {
			t.Errorf("done %v: kept, it teaches nothing: %v, %v", done, f.Doubtful, f.P50-f.Spent)
		}
	}
}
