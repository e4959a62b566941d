package forecast

import "math"

// Forecast is the distribution of the minutes a piece takes in all. The zero
// Forecast takes no time for certain.
type Forecast struct {
	P10, P50, P90 float64 // minutes that one, five and nine chances in ten stay within
	Mean          float64
	Spent         float64  // minutes already worked, a part of all others
	Unknown       []string // rates of open tasks the model does not know; their time is missing
	// Doubtful are the tasks, by index, whose time is beyond belief, and Multiples
	// how many times as long as expected each took.
	Doubtful  []int
	Multiples []float64

	parts []part
}

// ChanceWithin gives the chance that all the work takes at most the minutes.
func (f Forecast) ChanceWithin(minutes float64) float64 {
	left := minutes - f.Spent
	if len(f.parts) == 0 {
		if left >= 0 {
			return 1
		}
		return 0
	}
	if !(left > 0) {
		return 0
	}
	sum, log := 0.0, math.Log(left)
	for _, p := range f.parts {
		sum += below((log - p.mu) / p.sigma)
	}
	return sum / float64(len(f.parts))
}

// ChanceOfHourly gives the chance that an hour of the work earns at least
// wish when the piece earns so much in all.
func (f Forecast) ChanceOfHourly(earned, wish float64) float64 {
	switch {
	case math.IsNaN(earned) || math.IsNaN(wish):
		return 0
	case wish <= 0 && earned >= 0:
		return 1
	case wish > 0 && earned <= 0:
		return 0
	case wish < 0: // a loss, and a loss for an hour that is accepted: slow is better
		return 1 - f.ChanceWithin(earned/wish*60)
	case wish == 0:
		return 0
	}
	return f.ChanceWithin(earned / wish * 60)
}

// Quantile gives the minutes that the work stays within with chance p; p is
// held between 0.0001 and 0.9999.
func (f Forecast) Quantile(p float64) float64 {
	if len(f.parts) == 0 {
		return f.Spent
	}
	if !(p > 0.0001) {
		p = 0.0001
	}
	p = math.Min(p, 0.9999)
	low, high := math.Inf(1), math.Inf(-1)
	z := normalAt(p)
	for _, q := range f.parts {
		low = math.Min(low, q.mu+z*q.sigma)
		high = math.Max(high, q.mu+z*q.sigma)
	}
	// The mixture's point lies between its parts' points: Newton's steps, or
	// halving where a step would leave the bracket.
	x := (low + high) / 2
	for range 100 {
		sum, density := 0.0, 0.0
		for _, q := range f.parts {
			t := (x - q.mu) / q.sigma
			sum += below(t)
			density += math.Exp(-t*t/2) / q.sigma
		}
		n := float64(len(f.parts))
		off := sum/n - p
		if off < 0 {
			low = x
		} else {
			high = x
		}
		next := x - off*n*math.Sqrt(2*math.Pi)/density
		if !(next > low && next < high) {
			next = (low + high) / 2
		}
		if math.Abs(next-x) < 1e-10 {
			break
		}
		x = next
	}
	return f.Spent + math.Exp(x)
}

func (f *Forecast) summarise() {
	f.Mean = f.Spent
	for _, p := range f.parts {
		f.Mean += math.Exp(p.mu+sq(p.sigma)/2) / float64(len(f.parts))
	}
	f.P10, f.P50, f.P90 = f.Quantile(0.1), f.Quantile(0.5), f.Quantile(0.9)
}
