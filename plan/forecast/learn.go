package forecast

import "math"

// Sample is one logged task: how much was done of which rate, in how long.
type Sample struct {
	Rate     string // Rate.ID
	Piece    string // tasks of one piece share its good or bad spell; empty = on its own
	Quantity float64
	Minutes  float64
}

// usable reports whether a sample says anything.
func (s Sample) usable() bool {
	return sensible(s.Quantity) && sensible(s.Minutes)
}

// sensible keeps amounts of work and time within what a shop can log; it is
// false for NaN.
func sensible(x float64) bool { return x > 1e-9 && x < 1e9 }

// Spread is how far the parts of the model scatter, each a standard deviation
// in the logarithm or a factor on the guessed ones.
type Spread struct {
	Pace  float64 // of the maker's pace against all guesses; fixed, one maker cannot teach it
	Own   float64 // factor on Sigma/√Weight: how wrong single guesses are
	Piece float64 // between pieces
	Error float64 // factor on Sigma: scatter of single tasks
}

// startSpread is what is believed before any log, a starting guess without a
// source; trust counts for how many observations each is worth.
var (
	startSpread = Spread{Pace: 0.4, Own: 1, Piece: 0.15, Error: 1}
	trust       = Spread{Own: 6, Piece: 4, Error: 10}
)

// Model is what the shop's log has taught. The zero Model knows no rates.
type Model struct {
	rates  []Rate
	index  map[string]int
	mean   []float64 // of the logarithm of minutes for a unit, by rate
	cov    matrix
	counts []int
	spread Spread
	// Skipped counts samples without a known rate or without a quantity or
	// time above zero.
	Skipped int
}

// Learned is what is known about one rate.
type Learned struct {
	Rate
	Median  float64 // minutes for a unit, half go faster
	Low     float64 // one task in ten goes faster
	High    float64 // one task in ten goes slower
	Samples int     // logged tasks it was learned from
	FromLog float64 // 0 to 1: how much of the guess's doubt the log has removed
}

// Learn fits the model to the log. The log of the piece that is to be forecast
// stays out: Predict takes its finished tasks itself. Rates with the same ID
// count once, the first; a rate without a median, scatter and weight above
// zero is left out. Scatter is held between 0.02 and 2, weight between 0.01
// and 1000.
//
// The spreads are found with the rates by expectation maximisation (Dempster,
// Laird and Rubin 1977) under scaled inverse chi-squared priors, so that a
// short log leaves them at the guess and a long one replaces them. Cost grows
// with the samples and with pieces × rates².
func Learn(rates []Rate, samples []Sample) Model {
	m := newModel(rates)
	f := newFit(m, samples)
	m.Skipped = len(samples) - len(f.obs)
	const most, close = 200, 1e-6
	for range most {
		f.solve()
		before := f.spread
		f.update()
		if math.Abs(f.spread.Own-before.Own)+math.Abs(f.spread.Piece-before.Piece)+math.Abs(f.spread.Error-before.Error) < close {
			break
		}
	}
	f.solve()
	m.spread = f.spread
	f.rateDistribution(&m)
	return m
}

func newModel(rates []Rate) Model {
	m := Model{index: map[string]int{}, spread: startSpread}
	for _, r := range rates {
		if _, twice := m.index[r.ID]; twice || !sensible(r.Median) || !(r.Sigma > 0) || !(r.Weight > 0) {
			continue
		}
		r.Sigma = math.Min(math.Max(r.Sigma, 0.02), 2)
		r.Weight = math.Min(math.Max(r.Weight, 0.01), 1000)
		m.index[r.ID] = len(m.rates)
		m.rates = append(m.rates, r)
	}
	m.counts = make([]int, len(m.rates))
	return m
}

// observation is a usable sample as the fit sees it.
type observation struct {
	rate, piece int
	y           float64 // logarithm of minutes for a unit, less that of the guess
}

// fit solves for x = (pace, own of every rate) and the pieces. Pieces touch
// each other only through x, so they are eliminated (Schur complement) and the
// matrix that is inverted has one row for each rate.
type fit struct {
	rates  []Rate
	obs    []observation
	pieces int
	seen   []bool // rate has samples
	spread Spread

	x    []float64 // posterior mean
	cov  matrix    // posterior covariance of x
	u    []float64 // posterior means of the pieces
	link [][]float64
	prec []float64 // precision of a piece given x
}

func newFit(m Model, samples []Sample) *fit {
	f := &fit{rates: m.rates, spread: m.spread, seen: make([]bool, len(m.rates))}
	pieces := map[string]int{}
	for _, s := range samples {
		r, known := m.index[s.Rate]
		if !known || !s.usable() {
			continue
		}
		o := observation{rate: r, y: math.Log(s.Minutes/s.Quantity) - math.Log(m.rates[r].Median)}
		known = false
		if s.Piece != "" {
			o.piece, known = pieces[s.Piece]
		}
		if !known {
			o.piece = f.pieces
			f.pieces++
			if s.Piece != "" {
				pieces[s.Piece] = o.piece
			}
		}
		m.counts[r]++
		f.seen[r] = true
		f.obs = append(f.obs, o)
	}
	return f
}

func (f *fit) noise(r int) float64 { return sq(f.spread.Error * f.rates[r].Sigma) }
func (f *fit) own(r int) float64   { return sq(f.spread.Own*f.rates[r].Sigma) / f.rates[r].Weight }

func sq(x float64) float64 { return x * x }

// solve finds the posterior under the present spreads.
func (f *fit) solve() {
	n := 1 + len(f.rates)
	a := newMatrix(n)
	b := make([]float64, n)
	a.set(0, 0, 1/sq(f.spread.Pace))
	for r := range f.rates {
		a.set(1+r, 1+r, 1/f.own(r))
	}
	f.link = make([][]float64, f.pieces) // precision between a piece and x
	f.prec = make([]float64, f.pieces)
	side := make([]float64, f.pieces)
	for p := range f.pieces {
		f.link[p] = make([]float64, n)
		f.prec[p] = 1 / sq(f.spread.Piece)
	}
	for _, o := range f.obs {
		w, i := 1/f.noise(o.rate), 1+o.rate
		a.addTo(0, 0, w)
		a.addTo(0, i, w)
		a.addTo(i, 0, w)
		a.addTo(i, i, w)
		b[0] += w * o.y
		b[i] += w * o.y
		f.link[o.piece][0] += w
		f.link[o.piece][i] += w
		f.prec[o.piece] += w
		side[o.piece] += w * o.y
	}
	for p, l := range f.link {
		for i := range n {
			if l[i] == 0 {
				continue
			}
			c := l[i] / f.prec[p]
			for j := range n {
				a.addTo(i, j, -c*l[j])
			}
			b[i] -= c * side[p]
		}
	}
	f.cov = a.inverse()
	f.x = f.cov.times(b)
	f.u = make([]float64, f.pieces)
	for p, l := range f.link {
		f.u[p] = (side[p] - dot(l, f.x)) / f.prec[p]
	}
}

// update sets the spreads to their most likely values given the expected
// squares under the present posterior.
func (f *fit) update() {
	covLink := make([][]float64, f.pieces) // covariance of x with a piece, times minus its precision
	pieceVar := make([]float64, f.pieces)
	between, nPieces := trust.Piece*sq(startSpread.Piece), trust.Piece
	for p, l := range f.link {
		covLink[p] = f.cov.times(l)
		pieceVar[p] = 1/f.prec[p] + dot(l, covLink[p])/sq(f.prec[p])
		between += sq(f.u[p]) + pieceVar[p]
		nPieces++
	}
	scatter, n := trust.Error, trust.Error
	for _, o := range f.obs {
		i := 1 + o.rate
		fitted := f.x[0] + f.x[i] + f.u[o.piece]
		doubt := f.cov.at(0, 0) + 2*f.cov.at(0, i) + f.cov.at(i, i) +
			pieceVar[o.piece] - 2*(covLink[o.piece][0]+covLink[o.piece][i])/f.prec[o.piece]
		scatter += (sq(o.y-fitted) + doubt) / sq(f.rates[o.rate].Sigma)
		n++
	}
	own, nOwn := trust.Own, trust.Own
	for r, rate := range f.rates {
		if f.seen[r] {
			own += (sq(f.x[1+r]) + f.cov.at(1+r, 1+r)) * rate.Weight / sq(rate.Sigma)
			nOwn++
		}
	}
	f.spread.Piece = math.Sqrt(between / nPieces)
	f.spread.Error = math.Sqrt(scatter / n)
	f.spread.Own = math.Sqrt(own / nOwn)
}

// rateDistribution turns pace and own into the joint distribution of the
// rates.
func (f *fit) rateDistribution(m *Model) {
	n := len(f.rates)
	m.mean = make([]float64, n)
	m.cov = newMatrix(n)
	for r := range n {
		m.mean[r] = math.Log(f.rates[r].Median) + f.x[0] + f.x[1+r]
		for q := range n {
			m.cov.set(r, q, f.cov.at(0, 0)+f.cov.at(0, 1+r)+f.cov.at(0, 1+q)+f.cov.at(1+r, 1+q))
		}
	}
}

// noise is the variance of a single task of rate r beyond its piece's spell.
func (m Model) noise(r int) float64 { return sq(m.spread.Error * m.rates[r].Sigma) }

// Spread gives what was learned about the scatter.
func (m Model) Spread() Spread { return m.spread }

// Rates gives what is known about every rate, in the order they were given.
func (m Model) Rates() []Learned {
	all := make([]Learned, len(m.rates))
	for r := range all {
		all[r] = m.learned(r)
	}
	return all
}

// Rate gives what is known about one rate.
func (m Model) Rate(id string) (Learned, bool) {
	r, ok := m.index[id]
	if !ok {
		return Learned{}, false
	}
	return m.learned(r), true
}

func (m Model) learned(r int) Learned {
	rate := m.rates[r]
	doubt := sq(startSpread.Pace) + sq(m.spread.Own*rate.Sigma)/rate.Weight
	task := math.Sqrt(m.cov.at(r, r) + m.noise(r) + sq(m.spread.Piece))
	return Learned{
		Rate:    rate,
		Median:  math.Exp(m.mean[r]),
		Low:     math.Exp(m.mean[r] + normalAt(0.1)*task),
		High:    math.Exp(m.mean[r] + normalAt(0.9)*task),
		Samples: m.counts[r],
		FromLog: math.Max(0, 1-m.cov.at(r, r)/doubt),
	}
}
