package forecast

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"testing"
)

// shop is a maker who does not exist: true rates drawn from what the model
// believes of a maker it has never seen, or from something else.
type shop struct {
	rates   []Rate
	log     []float64 // true logarithm of minutes for a unit
	spell   float64
	scatter float64
	drift   float64 // how much faster every piece is than the one before
	curve   float64 // exponent of practice
	heavy   bool    // errors with long tails (Student, 4 degrees) in place of normal ones
}

func newShop(rng *rand.Rand, spell, scatter float64) shop {
	s := shop{rates: DefaultRates(), spell: spell, scatter: scatter}
	pace := startSpread.Pace * rng.NormFloat64()
	for _, r := range s.rates {
		s.log = append(s.log, math.Log(r.Median)+pace+r.Sigma/math.Sqrt(r.Weight)*rng.NormFloat64())
	}
	return s
}

// piece makes the log of one piece: ten to twenty tasks.
func (s shop) piece(rng *rand.Rand, n int) []Sample {
	u := s.spell*rng.NormFloat64() - s.drift*float64(n) + s.curve*math.Log(float64(n+1))
	var samples []Sample
	for range 10 + rng.IntN(11) {
		r := rng.IntN(len(s.rates))
		q := float64(1 + rng.IntN(20))
		e := rng.NormFloat64()
		if s.heavy {
			chi := 0.0
			for range 4 {
				chi += sq(rng.NormFloat64())
			}
			e /= math.Sqrt(chi / 4 * 2) // variance 1
		}
		y := s.log[r] + u + s.scatter*s.rates[r].Sigma*e
		samples = append(samples, Sample{s.rates[r].ID, fmt.Sprint(n), q, q * math.Exp(y), false})
	}
	return samples
}

func work(samples []Sample) (tasks []Task, took float64) {
	for _, s := range samples {
		tasks = append(tasks, Task{Rate: s.Rate, Quantity: s.Quantity})
		took += s.Minutes
	}
	return tasks, took
}

// Eight of ten pieces take between P10 and P90, whatever the maker's scatter:
// with no log, a short one and a longer one.
func TestRangesHoldAsOftenAsTheySay(t *testing.T) {
	makers := 30
	if full {
		makers = 1500
	}
	for _, c := range []struct {
		name           string
		spell, scatter float64
		drift, curve   float64
		heavy          bool
		low, high      float64
	}{
		{"the maker the guesses expect", 0.15, 1, 0, 0, false, 0.76, 0.84},
		{"a steady maker", 0.05, 0.6, 0, 0, false, 0.76, 0.93}, // starts too wide by right
		{"an unsteady maker", 0.3, 1.3, 0, 0, false, 0.68, 0.84},
		{"a maker who gets faster", 0.15, 1, 0.03, 0, false, 0.72, 0.84},
		{"a maker on a 90 % curve", 0.15, 1, 0, -0.152, false, 0.72, 0.84},
		{"errors with long tails", 0.15, 1, 0, 0, true, 0.74, 0.88},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			rng := rand.New(rand.NewPCG(19, 20))
			for _, pieces := range []int{0, 3, 10} {
				held, below, above := 0, 0, 0
				for range makers {
					s := newShop(rng, c.spell, c.scatter)
					s.drift, s.curve, s.heavy = c.drift, c.curve, c.heavy
					var log []Sample
					for n := range pieces {
						log = append(log, s.piece(rng, n)...)
					}
					tasks, took := work(s.piece(rng, pieces))
					f := Learn(s.rates, log).Predict(tasks)
					switch {
					case took < f.P10:
						below++
					case took > f.P90:
						above++
					default:
						held++
					}
				}
				share := float64(held) / float64(makers)
				slack := 0.0
				if !full {
					slack = 2 * math.Sqrt(0.16/float64(makers)) // two deviations of the share itself
				}
				t.Logf("after %d pieces %.3f held, %.3f faster, %.3f slower", pieces, share, float64(below)/float64(makers), float64(above)/float64(makers))
				if share < c.low-slack || share > c.high+slack {
					t.Errorf("after %d pieces %.3f of the ranges held, want %.2f to %.2f", pieces, share, c.low, c.high)
				}
			}
		})
	}
}

func TestCalibrate(t *testing.T) {
	rng := rand.New(rand.NewPCG(21, 22))
	s := newShop(rng, 0.15, 1)
	var log []Sample
	for n := range 40 {
		log = append(log, s.piece(rng, n)...)
	}
	log = append(log, Sample{"nothing", "x", 1, 1, false}, Sample{"rip", "", 1, 1, false}, Sample{"rip", "y", 0, 1, false})
	c := Calibrate(s.rates, log)
	if c.Pieces != 40 || c.Held+c.Faster+c.Slower != 40 || len(c.Ratios) != 40 || !slices.IsSorted(c.Ratios) {
		t.Errorf("%+v", c)
	}
	if c.Share() < 0.65 || c.Share() > 0.95 {
		t.Errorf("%.2f of the ranges held", c.Share())
	}
	if m := c.Ratios[20]; m < 0.8 || m > 1.25 {
		t.Errorf("the middle ratio is %.2f", m)
	}
	if empty := Calibrate(s.rates, nil); empty.Pieces != 0 || empty.Share() != 0 {
		t.Errorf("no log: %+v", empty)
	}
}

// rival forecasts a piece's minutes by other means.
type rival struct {
	name  string
	guess func(rates []Rate, log []Sample, tasks []Task) (p10, p50, p90 float64)
}

// pointwise turns minutes for a unit into a forecast: the sum, and the sum
// with the ratios of the shop's own past pieces at 10 and 90 %.
func pointwise(unit func(Rate, []Sample) float64) func([]Rate, []Sample, []Task) (float64, float64, float64) {
	return func(rates []Rate, log []Sample, tasks []Task) (float64, float64, float64) {
		byRate := map[string][]Sample{}
		total := func(tasks []Task) float64 {
			sum := 0.0
			for _, t := range tasks {
				i := slices.IndexFunc(rates, func(r Rate) bool { return r.ID == t.Rate })
				sum += t.Quantity * unit(rates[i], byRate[t.Rate])
			}
			return sum
		}
		// Each past piece against what this rival would have said before it.
		var ratios []float64
		for i := 0; i < len(log); {
			j := i
			for j < len(log) && log[j].Piece == log[i].Piece {
				j++
			}
			past, took := work(log[i:j])
			ratios = append(ratios, took/total(past))
			for _, s := range log[i:j] {
				byRate[s.Rate] = append(byRate[s.Rate], s)
			}
			i = j
		}
		p50 := total(tasks)
		if len(ratios) == 0 {
			return p50 * 0.6, p50, p50 * 1.6
		}
		slices.Sort(ratios)
		at := func(p float64) float64 { return ratios[int(math.Round(p*float64(len(ratios)-1)))] }
		return p50 * at(0.1), p50, p50 * at(0.9)
	}
}

var rivals = []rival{
	{"learned", func(rates []Rate, log []Sample, tasks []Task) (float64, float64, float64) {
		f := Learn(rates, log).Predict(tasks)
		return f.P10, f.P50, f.P90
	}},
	{"guesses", pointwise(func(r Rate, _ []Sample) float64 { return r.Median })},
	{"last value", pointwise(func(r Rate, log []Sample) float64 {
		if len(log) == 0 {
			return r.Median
		}
		return log[len(log)-1].Minutes / log[len(log)-1].Quantity
	})},
	{"mean", pointwise(func(r Rate, log []Sample) float64 {
		if len(log) == 0 {
			return r.Median
		}
		minutes, quantity := 0.0, 0.0
		for _, s := range log {
			minutes += s.Minutes
			quantity += s.Quantity
		}
		return minutes / quantity
	})},
}

// pinball is the usual loss of a quantile forecast, here over the time taken
// so that pieces of all sizes count alike.
func pinball(p, forecast, took float64) float64 {
	if took >= forecast {
		return p * (took - forecast) / took
	}
	return (1 - p) * (forecast - took) / took
}

// contest forecasts pieces 1 to pieces of many makers one after the other and
// gives each rival's error of the logarithm (root of the mean square) and its
// mean pinball loss at 10, 50 and 90 %.
func contest(makers, pieces int) (logError, loss map[string]float64) {
	rng := rand.New(rand.NewPCG(23, 24))
	logError, loss = map[string]float64{}, map[string]float64{}
	n := 0.0
	for range makers {
		s := newShop(rng, 0.05+0.25*rng.Float64(), 0.6+0.8*rng.Float64())
		var log []Sample
		for k := range pieces {
			next := s.piece(rng, k)
			tasks, took := work(next)
			for _, r := range rivals {
				p10, p50, p90 := r.guess(s.rates, log, tasks)
				logError[r.name] += sq(math.Log(took / p50))
				loss[r.name] += (pinball(0.1, p10, took) + pinball(0.5, p50, took) + pinball(0.9, p90, took)) / 3
			}
			n++
			log = append(log, next...)
		}
	}
	for name := range loss {
		logError[name] = math.Sqrt(logError[name] / n)
		loss[name] /= n
	}
	return logError, loss
}

func TestLearningBeatsSimplerForecasts(t *testing.T) {
	makers := 25
	if full {
		makers = 300
	}
	logError, loss := contest(makers, 8)
	for _, r := range rivals {
		t.Logf("%-10s error of the logarithm %.3f, pinball loss %.4f", r.name, logError[r.name], loss[r.name])
		if r.name != "learned" && (logError["learned"] >= logError[r.name] || loss["learned"] >= loss[r.name]) {
			t.Errorf("%s is as good", r.name)
		}
	}
}

func BenchmarkForecastError(b *testing.B) {
	for b.Loop() {
		logError, loss := contest(20, 8)
		for _, r := range rivals {
			name := map[string]string{"last value": "last"}[r.name]
			if name == "" {
				name = r.name
			}
			b.ReportMetric(logError[r.name], name+"-logerr")
			b.ReportMetric(loss[r.name], name+"-pinball")
		}
	}
}
