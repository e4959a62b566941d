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
	spent  int64
	sync   func(int64)
	k      int // boards cut again at a time
	misses int
	dives  int
}

// timed gives a search its own zero of work and books it afterwards.
func (p *plans) timed(f func(sync func(int64))) {
	base := p.spent
	f(func(w int64) {
		p.spent = max(p.spent, base+w)
		p.sync(p.spent)
	})
}

func (p *plans) take(q *Plan) bool {
	if q == nil || !q.keeps(p.m, p.m.Demand, p.supply) {
		return false
	}
	if q.Cost < p.ub {
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
	before := p.spent
	p.timed(func(sync func(int64)) {
		c := p.root.clone(p.clk, p.oracle)
		q := c.dive(p.r, noise, p.ub, sync)
		sync(c.work())
		p.take(q)
		for _, col := range c.pool[len(p.root.pool):] {
			if len(p.root.pool) < 6000 {
				p.root.add(col)
			}
		}
	})
	p.dives++
	if p.best == nil {
		return
	}
	cost := max(p.spent-before, quantum)
	cur := p.best
	if p.k == 0 {
		p.k = 4
	}
	for end := p.spent + 6*cost; p.spent < end && !p.clk.cancelled() && p.ub > p.low; {
		if p.best.Cost < cur.Cost {
			cur = p.best
		}
		p.timed(func(sync func(int64)) {
			q := recut(p.m, p.oracle, p.clk, cur, p.supply, p.root, p.k, p.r, sync)
			if q != nil && q.keeps(p.m, p.m.Demand, p.supply) {
				if q.Cost <= cur.Cost {
					cur = q
				}
				if p.take(q) {
					p.misses = 0
					return
				}
			}
			p.misses++
		})
		p.spent += 1000
		if p.misses > 12 {
			p.misses = 0
			if p.k++; p.k > 12 {
				p.k = 3
			}
		}
	}
}
