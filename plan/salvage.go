package plan

import (
	"context"
	"fmt"
	"math"
	"slices"

	"pilewright/plan/measure"
)

// Breakage is what the shop's own lots say about boards that break while salvage
// is taken apart: a beta distribution, from a stated prior and the lots counted.
type Breakage struct {
	Broken, Held int     // counted in the shop's lots
	A, B         float64 // of the beta distribution of the share that breaks
}

// The prior: one board in five breaks, worth twenty boards. Trade pages speak of
// 10 to 30 % (common practice, no source).
const (
	priorBroken = 4
	priorWhole  = 16
)

// Breakage learns from the lots that were taken apart.
func (p *Project) Breakage() Breakage {
	b := Breakage{A: priorBroken, B: priorWhole}
	for _, l := range p.Lots {
		if l.Held > 0 && l.Broken >= 0 && l.Broken <= l.Held {
			b.Held, b.Broken = b.Held+l.Held, b.Broken+l.Broken
		}
	}
	b.A += float64(b.Broken)
	b.B += float64(b.Held - b.Broken)
	return b
}

// Mean is the share expected to break.
func (b Breakage) Mean() float64 { return b.A / (b.A + b.B) }

// whole is the chance that exactly k of n boards come out whole (beta-binomial).
func (b Breakage) whole(k, n int) float64 {
	lg := func(x float64) float64 { v, _ := math.Lgamma(x); return v }
	beta := func(x, y float64) float64 { return lg(x) + lg(y) - lg(x+y) }
	broken := float64(n - k)
	choose := lg(float64(n)+1) - lg(float64(k)+1) - lg(broken+1)
	return math.Exp(choose + beta(broken+b.A, float64(k)+b.B) - beta(b.A, b.B))
}

// AtLeast is the chance that at least k of n boards come out whole.
func (b Breakage) AtLeast(k, n int) float64 {
	switch {
	case k <= 0:
		return 1
	case k > n:
		return 0
	}
	sum := 0.0
	for i := k; i <= n; i++ {
		sum += b.whole(i, n)
	}
	return min(sum, 1)
}

// Quantile is the number of whole boards of n that is reached with chance 1-q or
// more: at q = 0.1, nine times in ten there are at least so many.
func (b Breakage) Quantile(q float64, n int) int {
	below := 0.0
	for k := range n + 1 {
		below += b.whole(k, n)
		if below > q {
			return k
		}
	}
	return n
}

// Expected is what a lot that still waits is reckoned to give.
type Expected struct {
	Lot            Lot
	Boards         int // when nothing breaks
	Low, Mid, High int // 10, 50 and 90 % points of the boards that come out whole
}

// ExpectedBoards reckons every lot that waits to be taken apart.
func (p *Project) ExpectedBoards() []Expected {
	b := p.Breakage()
	var out []Expected
	for _, l := range p.Lots {
		if n := l.Waiting * l.PerUnit; n > 0 && n <= MaxBoards {
			out = append(out, Expected{l, n, b.Quantile(0.1, n), b.Quantile(0.5, n), b.Quantile(0.9, n)})
		}
	}
	return out
}

// Collect is how much more salvage would make the piece possible.
type Collect struct {
	Boards int // whole boards of the unit's size that are missing
	Units  int // pallets or crates to collect for them with the chance asked for
	Chance float64
	Say    string
}

// mostMissing bounds the search: more boards than these are not tried.
const mostMissing = 64

// Collect finds how many more units like the lot's make the piece possible with
// the chance asked for (0.9). The pile as it is comes first; boards are added one
// by one, doubling and halving, and cut by the quick solver. Cancelling ctx gives
// an error.
func (p *Plan) Collect(ctx context.Context, tools Tools, lot Lot, chance float64) (Collect, error) {
	if lot.PerUnit < 1 || lot.UnitBoard <= 0 || lot.UnitWidth <= 0 || lot.UnitThick <= 0 {
		return Collect{}, fmt.Errorf("say at the lot %q how many boards one unit holds, and their size", lot.Name)
	}
	enough := func(n int) (bool, error) {
		q := p.Project
		if n > 0 {
			var err error
			b := Board{Length: lot.UnitBoard, Width: lot.UnitWidth, Thickness: lot.UnitThick, TrimLeft: measure.Inch, TrimRight: measure.Inch}
			if b.TrimLeft+b.TrimRight >= b.Length {
				b.TrimLeft, b.TrimRight = 0, 0
			}
			if q, err = q.AddBoards(b, n); err != nil {
				return false, err
			}
		}
		possible, _, err := Possible(ctx, q, tools)
		return possible, err
	}
	lo, hi := -1, 0
	for {
		ok, err := enough(hi)
		if err != nil {
			return Collect{}, err
		}
		if ok {
			break
		}
		if hi >= mostMissing {
			return Collect{Chance: chance, Say: fmt.Sprintf("Even %d more boards like these do not make the piece possible: another size is missing.", hi)}, nil
		}
		lo, hi = hi, max(1, 2*hi)
	}
	for hi-lo > 1 {
		mid := (lo + hi) / 2
		ok, err := enough(mid)
		if err != nil {
			return Collect{}, err
		}
		if ok {
			hi = mid
		} else {
			lo = mid
		}
	}
	c := Collect{Boards: hi, Chance: chance}
	b := p.Project.Breakage()
	for c.Units = 0; b.AtLeast(hi, c.Units*lot.PerUnit) < chance; c.Units++ {
		if c.Units > MaxBoards {
			break
		}
	}
	if hi == 0 {
		c.Say = "The pile makes the piece as it is."
	} else {
		c.Say = fmt.Sprintf("%d more whole boards are needed; collect %d of these to have them with %.0f %% confidence (%.0f %% break, from %d boards counted and a prior of 20).", hi, c.Units, 100*chance, 100*b.Mean(), b.Held)
	}
	return c, nil
}

// carefulEffort is the effort of a quick plan whose answer is the question.
const carefulEffort = 30_000_000

// briefEffort is that of a question asked to know where to ask with care.
const briefEffort = 300_000

// Possible reports whether the quick solver finds every blank of the piece, and
// if not, what is in the way.
func Possible(ctx context.Context, p *Project, tools Tools) (bool, string, error) {
	ways, cause, err := possible(ctx, p, tools, nil, false)
	return ways != nil, cause, err
}

// possible gives the ways by which every blank is found, nil where none are. It
// begins with ways that did for a project like it, where there are any. A brief
// question tries other ways with little effort: its no is not the last word.
func possible(ctx context.Context, p *Project, tools Tools, like []PartWays, brief bool) ([]PartWays, string, error) {
	m := &making{ctx: ctx, tools: tools, effort: carefulEffort}
	m.plan.Project = p
	if !m.shapeUp() {
		return nil, m.plan.Failure(), nil
	}
	for _, list := range [][]Finding{m.shape, m.ways} {
		for _, f := range list {
			if f.Severity == Stop {
				return nil, f.Text, nil
			}
		}
	}
	m.enough = true
	if like != nil {
		plain := m.plan.Ways
		m.plan.Ways = slices.Clone(plain)
		for i := range m.plan.Ways {
			m.chooseLike(&m.plan.Ways[i], like, 0)
		}
		if err := m.cut(true); err != nil {
			return nil, "", err
		}
		if ctx.Err() == nil && len(m.plan.Cuts.Short) == 0 {
			return m.plan.Ways, "", nil
		}
		m.plan.Ways = plain
	}
	if err := m.cut(true); err != nil {
		return nil, "", err
	}
	if len(m.plan.Cuts.Short) > 0 && ctx.Err() == nil { // another way of making a part may do
		if brief {
			m.effort = briefEffort
		}
		if _, err := m.tryWays(); err != nil {
			return nil, "", err
		}
	}
	if ctx.Err() != nil {
		return nil, "", ctx.Err()
	}
	if len(m.plan.Cuts.Short) > 0 {
		s := m.plan.Cuts.Short[0]
		b, _ := m.plan.Blank(s.Blank)
		return nil, fmt.Sprintf("the wood: %d of the %s (%s x %s x %s) can't be cut", s.Count, b.Name, m.say(b.Length), m.say(b.Width), m.say(b.Thickness)), nil
	}
	return append([]PartWays{}, m.plan.Ways...), "", nil
}
