package pattern

import "math/rand/v2"

// plans is the worker that looks for better plans: dives from the first LP, and
// cutting a few boards of the best plan again.
type plans struct {
	m      *Model
	clk    *clock
	oracle Oracle
	root   *master
	supply []int
	best   *Plan
	ub     int64
	low    int64
	r      *rand.Rand
	k      int // boards cut again at a time
	misses int
	dives  int
	// recutOnly is for piles too large for one linear program.
	recutOnly bool
	packer    *packer // nil where no selection of boards is known
	packed    effort  // of the packer
	dived     effort  // of dives and recuts beside it
	won       int64   // what own plans have saved
}

// effort is the work spent in one way and what it saved.
type effort struct{ work, gain int64 }

// better reports whether e saved more for its work than f.
func (e effort) better(f effort) bool {
	return float64(e.gain)*float64(f.work) > float64(f.gain)*float64(e.work)
}

// share is how much more work the packer has than dives and recuts: little
// before either has found anything, then by who found more for its work.
func (p *plans) share() int64 {
	switch {
	case p.packed.better(p.dived):
		return 8
	case p.dived.better(p.packed):
		return 1
	}
	return 2
}

// search looks for a better plan in the ways there are, by turns.
func (p *plans) search() {
	if p.packer == nil || p.packer.none {
		p.round()
		return
	}
	before, won := p.clk.work, p.won
	e := &p.dived
	if p.packed.work <= p.share()*(p.dived.work+25*quantum) {
		e = &p.packed
		p.take(p.packer.try(p.ub, p.low, p.best))
	} else {
		p.round()
	}
	e.work += p.clk.work - before
	e.gain += p.won - won
}

// recutWork is what a recut costs beyond its pricing and pivots.
const recutWork = 20_000

func (p *plans) take(q *Plan) bool {
	if q == nil || !q.keeps(p.m, p.m.Demand, p.supply) {
		return false
	}
	if q.Cost < p.ub {
		p.won += p.ub - q.Cost
		p.ub, p.best = q.Cost, q
		return true
	}
	return false
}

// round makes one dive, or as many recuts as one dive costs.
func (p *plans) round() {
	noise := 0.0
	if p.dives > 0 {
		noise = 0.1 + 0.3*p.r.Float64()
	}
	before := p.clk.work
	// With many rows a dive is dear: cut again first.
	if !p.recutOnly && (p.dives > 0 || p.root.lp.Rows() < 130 || p.best == nil) {
		c := p.root.clone(p.clk, p.oracle)
		p.take(c.dive(p.r, noise, p.ub))
		for _, col := range c.pool {
			if len(p.root.pool) < 6000 {
				p.root.add(col)
			}
		}
	}
	p.dives++
	if p.best == nil {
		return
	}
	// Fine costs are won board by board, coarse ones (a whole board more or
	// less) and boards alike by dives.
	cost := max(p.clk.work-before, quantum)
	if (p.ub-p.low)/p.root.step > 2 && len(p.root.groups) > 3 {
		cost = 6 * max(cost, 100*quantum)
		if !p.m.lines(p.oracle) {
			cost /= 12 // recuts are no cheaper than dives
		}
	}
	cur := p.best
	if p.k == 0 {
		p.k = 4
	}
	for end := p.clk.work + cost; p.clk.work < end && !p.clk.cancelled() && p.ub > p.low; {
		if p.best.Cost < cur.Cost {
			cur = p.best
		}
		q := recut(p.m, p.oracle, p.clk, cur, p.supply, p.root, p.k, p.r)
		p.clk.work += recutWork
		p.misses++
		if q != nil && q.keeps(p.m, p.m.Demand, p.supply) {
			if q.Cost <= cur.Cost {
				cur = q
			}
			if p.take(q) {
				p.misses = 0
			}
		}
		if p.misses > 12 {
			p.misses = 0
			if p.k++; p.k > 12 {
				p.k = 3
			}
		}
	}
}

// pairs goes on with a search over pairs of pieces, other than the first
// worker's, where the model allows it; it reports whether it did.
func (p *plans) pairs() bool {
	if (p.ub-p.low)/p.root.step > 2 {
		return false
	}
	t := newPairTree(p.m, p.root, p.clk, p.ub, 1)
	if t == nil {
		return false
	}
	meet := p.clk.meet
	p.clk.meet = func() {
		p.take(t.plan)
		meet()
		t.ub = min(t.ub, p.ub)
	}
	for !t.done() && !p.clk.cancelled() && p.ub > p.low {
		t.step()
	}
	p.clk.meet = meet
	p.take(t.plan)
	return true
}
