package forecast

import "math"

// Sample is one logged task: how much was done of which rate, in how long.
// Stretches of the clock on the same task are added up first.
type Sample struct {
	Rate     string // Rate.ID
	Piece    string // tasks of one piece share its good or bad spell; empty = on its own
	Quantity float64
	Minutes  float64
	Kept     bool // the maker stands by it: it is never set aside
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
	Pace     float64 // of the maker's pace against all guesses; fixed, one maker cannot teach it
	Practice float64 // of the exponent of practice; fixed likewise
	Own      float64 // factor on Sigma/√Weight: how wrong single guesses are
	Piece    float64 // between pieces
	Error    float64 // factor on Sigma: scatter of single tasks
}

// startSpread is what is believed before any log, a starting guess without a
// source; trust counts for how many observations each is worth.
var (
	startSpread = Spread{Pace: 0.4, Practice: 0.1, Own: 1, Piece: 0.15, Error: 1}
	trust       = Spread{Own: 6, Piece: 4, Error: 10}
)

// Model is what the shop's log has taught. The zero Model knows no rates.
type Model struct {
	rates    []Rate
	index    map[string]int
	mean     []float64 // of the logarithm of minutes for a unit on the next piece, by rate
	cov      matrix
	counts   []int
	spread   Spread
	practice float64
	// Skipped counts samples without a known rate or without a quantity or
	// time above zero.
	Skipped int
	// Doubtful are the samples, by index, that were set aside because all the
	// others contradict them; Multiples is how many times as long as the others
	// say each took.
	Doubtful  []int
	Multiples []float64
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

// Learn fits the model to the log, oldest sample first: the pieces count up in
// the order in which they first appear, and the forecast is for the one after
// them. The log of the piece that is to be forecast stays out: Predict takes
// its finished tasks itself. Rates with the same ID
// count once, the first; a rate without a median, scatter and weight above
// zero is left out. Scatter is held between 0.02 and 2, weight between 0.01
// and 1000.
//
// The spreads are found with the rates by expectation maximisation (Dempster,
// Laird and Rubin 1977) under scaled inverse chi-squared priors, so that a
// short log leaves them at the guess and a long one replaces them. Cost grows
// with the samples and with pieces × rates².
//
// A sample more than four standard deviations, or more than WildFactor times,
// away from what all the others say of it, like that of a forgotten timer, is set
// aside (studentised deleted residuals; Belsley, Kuh and Welsch 1980) and listed
// in Doubtful, unless it is Kept. The first look is taken with the spreads at the
// guess, so that one wild sample of a short log can't widen them and hide in them;
// what was set aside is taken back where the cleaned fit agrees with it.
func Learn(rates []Rate, samples []Sample) Model { return learn(rates, samples, 0) }

// learn is Learn for the piece with the given number, 0 for the next one.
func learn(rates []Rate, samples []Sample, piece int) Model {
	m := newModel(rates)
	f := newFit(m, samples)
	m.Skipped = len(samples) - len(f.obs)
	const rounds = 4
	f.solve()
	for range rounds {
		if !f.setAside() {
			break
		}
		f.solve()
	}
	f.settle()
	for range rounds {
		if !f.setAside() {
			break
		}
		f.settle()
	}
	covLink, pieceVar := f.pieceDoubt()
	for _, o := range f.obs {
		if o.aside {
			m.Doubtful = append(m.Doubtful, o.sample)
			off, _ := f.contradicted(o, covLink, pieceVar)
			m.Multiples = append(m.Multiples, math.Exp(off))
		} else {
			m.counts[o.rate]++
		}
	}
	if piece <= 0 {
		piece = f.turn + 1
	}
	m.spread, m.practice = f.spread, f.x[1]
	f.rateDistribution(&m, piece)
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
	turn        float64 // logarithm of the piece's number in the log
	y           float64 // logarithm of minutes for a unit, less that of the guess
	sample      int     // its index in the log
	aside, kept bool
}

// fit solves for x = (pace, practice, own of every rate) and the pieces. An
// observation is pace + practice·turn + own + piece + error. Pieces touch
// each other only through x, so they are eliminated (Schur complement) and the
// matrix that is inverted has one row for each rate.
type fit struct {
	rates  []Rate
	obs    []observation
	pieces int
	turn   int    // named pieces so far
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
	var turns []float64 // of every piece; a sample of no piece has the turn of the last
	for i, s := range samples {
		r, known := m.index[s.Rate]
		if !known || !s.usable() {
			continue
		}
		o := observation{rate: r, sample: i, kept: s.Kept, y: math.Log(s.Minutes/s.Quantity) - math.Log(m.rates[r].Median)}
		known = false
		if s.Piece != "" {
			o.piece, known = pieces[s.Piece]
		}
		if !known {
			o.piece = f.pieces
			f.pieces++
			if s.Piece != "" {
				pieces[s.Piece] = o.piece
				f.turn++
			}
			turns = append(turns, math.Log(float64(max(f.turn, 1))))
		}
		o.turn = turns[o.piece]
		f.seen[r] = true
		f.obs = append(f.obs, o)
	}
	return f
}

func (f *fit) noise(r int) float64 { return sq(f.spread.Error * f.rates[r].Sigma) }
func (f *fit) own(r int) float64   { return sq(f.spread.Own*f.rates[r].Sigma) / f.rates[r].Weight }

func sq(x float64) float64 { return x * x }

// settle alternates between the posterior and the spreads until they agree.
func (f *fit) settle() {
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
}

// Bounds of a sample that is believed: its distance from what all the others say,
// in standard deviations of that distance, and in times as long or as short. The
// factor is a choice, no source: a forgotten timer of a night makes thirty.
const (
	wildDeviations = 4
	WildFactor     = 10
)

// contradicted gives how far an observation lies from what all the others say of
// it, in the logarithm, and whether that is too far to be believed.
func (f *fit) contradicted(o observation, covLink [][]float64, pieceVar []float64) (off float64, wild bool) {
	fitted, doubt := f.fitted(o, covLink, pieceVar)
	noise := f.noise(o.rate)
	off, variance := o.y-fitted, noise+doubt
	if !o.aside { // what leaving it out would give
		own := noise - doubt
		if own <= 0 {
			return 0, false
		}
		off *= noise / own
		variance = sq(noise) / own
	}
	return off, tooFar(off, variance)
}

// tooFar reports whether a distance in the logarithm is beyond belief.
func tooFar(off, variance float64) bool {
	return sq(off) > sq(wildDeviations)*variance || math.Abs(off) > math.Log(WildFactor)
}

// setAside marks the observations that all the others contradict, takes back
// those that they no longer do, and reports whether anything changed.
func (f *fit) setAside() (changed bool) {
	covLink, pieceVar := f.pieceDoubt()
	for i := range f.obs {
		o := &f.obs[i]
		if o.kept {
			continue
		}
		if _, wild := f.contradicted(*o, covLink, pieceVar); wild != o.aside {
			o.aside, changed = wild, true
		}
	}
	return changed
}

// row gives the places and factors of x in the observation.
func (o observation) row() (at [3]int, by [3]float64) {
	return [3]int{0, 1, 2 + o.rate}, [3]float64{1, o.turn, 1}
}

// solve finds the posterior under the present spreads.
func (f *fit) solve() {
	n := 2 + len(f.rates)
	a := newMatrix(n)
	b := make([]float64, n)
	a.set(0, 0, 1/sq(f.spread.Pace))
	a.set(1, 1, 1/sq(f.spread.Practice))
	for r := range f.rates {
		a.set(2+r, 2+r, 1/f.own(r))
	}
	f.link = make([][]float64, f.pieces) // precision between a piece and x
	f.prec = make([]float64, f.pieces)
	side := make([]float64, f.pieces)
	for p := range f.pieces {
		f.link[p] = make([]float64, n)
		f.prec[p] = 1 / sq(f.spread.Piece)
	}
	for _, o := range f.obs {
		if o.aside {
			continue
		}
		w := 1 / f.noise(o.rate)
		at, by := o.row()
		for i, c := range by {
			for j, d := range by {
				a.addTo(at[i], at[j], w*c*d)
			}
			b[at[i]] += w * c * o.y
			f.link[o.piece][at[i]] += w * c
		}
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

// pieceDoubt gives, for every piece, the covariance of x with it times minus
// its precision, and its variance.
func (f *fit) pieceDoubt() (covLink [][]float64, variance []float64) {
	covLink = make([][]float64, f.pieces)
	variance = make([]float64, f.pieces)
	for p, l := range f.link {
		covLink[p] = f.cov.times(l)
		variance[p] = 1/f.prec[p] + dot(l, covLink[p])/sq(f.prec[p])
	}
	return covLink, variance
}

// fitted gives what the posterior says of an observation without its error,
// and the variance of that.
func (f *fit) fitted(o observation, covLink [][]float64, pieceVar []float64) (mean, doubt float64) {
	at, by := o.row()
	mean, doubt = f.u[o.piece], pieceVar[o.piece]
	for i, c := range by {
		mean += c * f.x[at[i]]
		doubt -= 2 * c * covLink[o.piece][at[i]] / f.prec[o.piece]
		for j, d := range by {
			doubt += c * d * f.cov.at(at[i], at[j])
		}
	}
	return mean, doubt
}

// update sets the spreads to their most likely values given the expected
// squares under the present posterior.
func (f *fit) update() {
	covLink, pieceVar := f.pieceDoubt()
	between, nPieces := trust.Piece*sq(startSpread.Piece), trust.Piece
	for p := range f.pieces {
		between += sq(f.u[p]) + pieceVar[p]
		nPieces++
	}
	scatter, n := trust.Error, trust.Error
	for _, o := range f.obs {
		if o.aside {
			continue
		}
		fitted, doubt := f.fitted(o, covLink, pieceVar)
		scatter += (sq(o.y-fitted) + doubt) / sq(f.rates[o.rate].Sigma)
		n++
	}
	own, nOwn := trust.Own, trust.Own
	for r, rate := range f.rates {
		if f.seen[r] {
			own += (sq(f.x[2+r]) + f.cov.at(2+r, 2+r)) * rate.Weight / sq(rate.Sigma)
			nOwn++
		}
	}
	f.spread.Piece = math.Sqrt(between / nPieces)
	f.spread.Error = math.Sqrt(scatter / n)
	f.spread.Own = math.Sqrt(own / nOwn)
}

// rateDistribution turns pace, practice and own into the joint distribution of
// the rates on the piece with the given number.
func (f *fit) rateDistribution(m *Model, piece int) {
	n := len(f.rates)
	m.mean = make([]float64, n)
	m.cov = newMatrix(n)
	turn := math.Log(float64(max(piece, 1)))
	for r := range n {
		at, by := observation{rate: r, turn: turn}.row()
		m.mean[r] = math.Log(f.rates[r].Median)
		for i, c := range by {
			m.mean[r] += c * f.x[at[i]]
		}
		for q := range n {
			to, _ := observation{rate: q}.row()
			for i, c := range by {
				for j, d := range by {
					m.cov.addTo(r, q, c*d*f.cov.at(at[i], to[j]))
				}
			}
		}
	}
}

// noise is the variance of a single task of rate r beyond its piece's spell.
func (m Model) noise(r int) float64 { return sq(m.spread.Error * m.rates[r].Sigma) }

// Spread gives what was learned about the scatter.
func (m Model) Spread() Spread { return m.spread }

// Doubling gives the share of the time that remains each time the number of
// pieces made doubles: 0.95 is a learning curve of 95 %. The model takes the
// time for a unit as a·n^b on the n-th piece (Crawford's unit form of the
// curve of Wright 1936), b = ln(share)/ln 2.
func (m Model) Doubling() float64 { return math.Exp2(m.practice) }

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
	doubt := sq(m.spread.Pace) + sq(m.spread.Own*rate.Sigma)/rate.Weight
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
