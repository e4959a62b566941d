package rows

import (
	"cmp"
	"slices"
)

// partition is a choice of chains and what it costs, strips left out too.
type partition struct {
	taken []chain
	cost  int64
}

// complete is true when no strip is left out.
func (p *partition) complete() bool {
	cost := p.cost
	for _, q := range p.taken {
		cost -= q.cost
	}
	return cost == 0
}

// Bounds of building a partition.
const (
	wholeNodes   = 60     // of a choice of chains of the last strips
	wholeTargets = 3      // costs that they are chosen at
	partNodes    = 20_000 // sets tried for a relaxation of a part
	diveTries    = 5      // chains tried as the next
	diveStrips   = 15     // so few are left to be parted as a whole
)

// dive builds a partition: again and again the chain of most value in the relaxation
// m is taken, and the relaxation is solved anew for the rest, until so few strips are
// left that they can be parted as a whole. That is done if whole is set.
func (x *chainSearch) dive(m *master, whole bool) (p partition) {
	free := make([]bool, len(x.strips))
	of := make([]int, len(x.strips))
	for k := range free {
		free[k], of[k] = true, k
	}
	rows, left := x.rows, len(free)
	bound := x.least()
	for !x.spent() {
		type part struct {
			q     chain
			value float64
		}
		var parts []part
		values := m.Values()
		for i, c := range m.Basis() {
			if j := int(c) - len(m.x.strips) - 1; j >= 0 && values[i] > 1e-6 {
				if q := renamed(m.set[j], of); q.rows <= rows && x.lay(&q) != nil {
					parts = append(parts, part{q, values[i]})
				}
			}
		}
		slices.SortStableFunc(parts, func(a, b part) int { return cmp.Compare(b.value, a.value) })
		if len(parts) == 0 {
			break
		}
		// The first that costs nothing beyond the bound, else that which costs least.
		var next struct {
			at   int
			y    *chainSearch
			m    *master
			of   []int
			cost int64
		}
		next.cost = never
		take := func(q *chain, n int64) { // 1, or -1 to give it back
			for _, k := range q.strips {
				free[k] = n < 0
			}
			rows -= n * q.rows
			left -= int(n) * len(q.strips)
		}
		for i := range parts[:min(len(parts), diveTries)] {
			q := &parts[i].q
			take(q, 1)
			if left == 0 {
				next.at, next.cost, next.y = i, q.cost, nil
			} else if y, ym, yof := x.relaxPart(free, rows); y.proof.strip != nil && q.cost+y.least() < next.cost {
				next.at, next.y, next.m, next.of, next.cost = i, y, ym, yof, q.cost+y.least()
			}
			take(q, -1)
			if next.cost <= bound {
				break
			}
		}
		if next.cost == never {
			break
		}
		q := parts[next.at].q
		take(&q, 1)
		p.taken, p.cost = append(p.taken, q), p.cost+q.cost
		if left == 0 || left <= diveStrips && !whole {
			break
		}
		m, of, bound = next.m, next.of, next.cost-q.cost
		if left <= diveStrips && !m.leavesOut() {
			if taken := next.y.choosePart(of, x); taken != nil {
				for _, q := range taken {
					p.taken, p.cost = append(p.taken, q), p.cost+q.cost
					for _, k := range q.strips {
						free[k] = false
					}
				}
				break
			}
		}
	}
	for k, f := range free {
		if f {
			p.cost += x.whole(k)
		}
	}
	return p
}

// renamed gives a chain the names that its strips have elsewhere.
func renamed(q chain, of []int) chain {
	c := chain{rows: q.rows, cost: q.cost}
	for _, k := range q.strips {
		c.strips = append(c.strips, of[k])
	}
	return c
}

// relaxPart solves the relaxation for some of the strips and rows, beginning with
// the chains known. of are the strips.
func (x *chainSearch) relaxPart(free []bool, rows int64) (*chainSearch, *master, []int) {
	sub, of := x.part(free, rows)
	at := make([]int, len(free))
	for i, k := range of {
		at[k] = i
	}
	y := sub.search(x.ctx, x.limit)
	y.partNodes = partNodes
	for _, q := range x.known {
		if q.rows <= rows && !slices.ContainsFunc(q.strips, func(k int) bool { return !free[k] }) {
			y.known = append(y.known, renamed(q, at))
		}
	}
	given := len(y.known)
	m := y.relax(false)
	for _, q := range m.set[min(len(m.set), len(of)+given):] {
		x.known = append(x.known, renamed(q, of))
	}
	return y, m, of
}

// choosePart looks for a choice of chains of a part of x, all of which are laid. of
// are the strips.
func (y *chainSearch) choosePart(of []int, x *chainSearch) (taken []chain) {
	for i := range int64(wholeTargets) {
		target := y.least() + i*x.step
		found, _ := y.pricer(y.proof, 0, y.near).upTo(target<<scaleBits-y.proof.sum, worthNodes/4)
		set := someOf(found, 2000, 2000)
		done, _ := y.choose(set, target, wholeNodes, func(t []chain) bool {
			taken = nil
			for _, q := range t {
				c := renamed(q, of)
				if x.lay(&c) == nil {
					return false
				}
				taken = append(taken, c)
			}
			return true
		})
		if done {
			return taken
		}
	}
	return nil
}

// part is the structure of some of the strips and rows, and which strips they are.
func (c *chains) part(free []bool, rows int64) (*chains, []int) {
	d := *c
	d.strips, d.saving, d.length, d.over, d.usesOf, d.total = nil, nil, nil, nil, nil, 0
	d.rows = rows
	var of []int
	for k, f := range free {
		if !f {
			continue
		}
		of = append(of, k)
		d.strips, d.saving, d.length = append(d.strips, c.strips[k]), append(d.saving, c.saving[k]), append(d.length, c.length[k])
		d.over, d.usesOf = append(d.over, c.over[k]), append(d.usesOf, c.usesOf[k])
		d.total += c.length[k]
	}
	return &d, of
}

// reduced is what a chain costs beyond its worth in the relaxation, in fractions of
// a coin.
func (x *chainSearch) reduced(q *chain) int64 {
	v := q.cost<<scaleBits - x.proof.perRow*q.rows
	for _, k := range q.strips {
		v -= x.proof.strip[k]
	}
	return v
}

// least is what all strips are worth in the relaxation.
func (x *chainSearch) least() int64 { return x.stepUp(x.proof.sum) }

// leavesOut is true when the relaxation leaves strips out.
func (m *master) leavesOut() bool {
	values := m.Values()
	for i, c := range m.Basis() {
		if int(c) < len(m.x.strips) && values[i] > 1e-6 {
			return true
		}
	}
	return false
}
