package rows

import (
	"cmp"
	"math/rand/v2"
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

// Bounds of building and mending a partition.
const (
	mendStrips  = 13 // taken apart at once, at least
	mendMore    = 12 // at most so many more
	mendIdle    = 100
	mendNodes   = 60
	mendTargets = 3      // costs that a part is chosen at
	partNodes   = 20_000 // sets tried for a relaxation of a part
	diveTries   = 5      // chains tried as the next
	diveStrips  = 15     // so few are parted as a whole
)

// dive builds a partition: again and again the chains of most value in the
// relaxation m are taken, and the relaxation is solved anew for the rest, until so
// few strips are left that they are parted as a whole.
func (x *chainSearch) dive(m *master) partition {
	var p partition
	free := make([]bool, len(x.strips))
	of := make([]int, len(x.strips))
	for k := range free {
		free[k], of[k] = true, k
	}
	rows, left := x.rows, len(free)
	bound := x.least()
	for i, c := range m.Basis() {
		if j := int(c) - len(x.strips) - 1; j >= 0 && m.Values()[i] > 1e-6 {
			x.partRows = max(x.partRows, m.set[j].rows)
		}
	}
	x.partRows = max(x.partRows, nearRows)
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
		if left == 0 {
			break
		}
		y := next.y
		m, of, bound = next.m, next.of, next.cost-q.cost
		if left <= diveStrips && !m.leavesOut() {
			if taken := y.choosePart(never, of, x); taken != nil {
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
	y.rowsNear, y.partNodes = x.partRows, partNodes
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

// choosePart looks for a choice of chains of a part of x, all of which are laid,
// that costs less than now. of are the strips.
func (y *chainSearch) choosePart(now int64, of []int, x *chainSearch) (taken []chain) {
	tries := mendTargets
	for target := y.least(); target < now && tries > 0; target, tries = target+x.step, tries-1 {
		found, _ := y.pricer(y.proof, 0, y.near, nearHubs).upTo(target<<scaleBits-y.proof.sum, worthNodes/4)
		set := someOf(found, 2000, 2000)
		done, _ := y.choose(set, target, mendNodes, func(t []chain) bool {
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

// diveIn builds a partition of a set of chains alone: again and again the chain of
// most value in the relaxation over them is taken.
func (x *chainSearch) diveIn(set []chain) partition {
	t := &tree{master: x.master()}
	for _, q := range set {
		t.add(q)
	}
	t.off = make([]int, len(set))
	var p partition
	free := make([]bool, len(x.strips))
	for k := range free {
		free[k] = true
	}
	n := len(x.strips)
	for !x.spent() {
		t.Refresh()
		t.solve()
		best, most := -1, 1e-6
		values := t.Values()
		for i, c := range t.Basis() {
			if j := int(c) - n - 1; j >= 0 && t.off[j] == 0 && values[i] > most {
				best, most = j, values[i]
			}
		}
		if best < 0 {
			break
		}
		q := set[best]
		if x.lay(&q) == nil {
			t.bar(best, 1)
			continue
		}
		p.taken = append(p.taken, q)
		p.cost += q.cost
		for _, k := range q.strips {
			free[k] = false
		}
		t.SetRHS(n, t.RHS(n)-float64(q.rows))
		for _, k := range q.strips {
			t.SetRHS(k, 0)
		}
		for j := range set {
			if t.off[j] == 0 && (set[j].rows > int64(t.RHS(n)+0.5) || slices.ContainsFunc(set[j].strips, func(k int) bool { return slices.Contains(q.strips, k) })) {
				t.bar(j, 1)
			}
		}
		t.Refresh()
		t.Dual(1000)
	}
	for k, f := range free {
		if f {
			p.cost += x.whole(k)
		}
	}
	return p
}

// mend parts a few chains of a partition anew, and the strips that are left out;
// the result costs less, or is p.
func (x *chainSearch) mend(p partition, r *rand.Rand) (partition, bool) {
	n := len(x.strips)
	free := make([]bool, n)
	for k := range free {
		free[k] = true
	}
	rows := x.rows
	for _, q := range p.taken {
		rows -= q.rows
		for _, k := range q.strips {
			free[k] = false
		}
	}
	kept := partition{}
	count, most := 0, mendStrips+r.IntN(mendMore+1)
	for _, k := range r.Perm(n) {
		switch {
		case !free[k]:
		case count < mendStrips/2:
			count++
		default:
			free[k] = false
			kept.cost += x.whole(k)
		}
	}
	// Chains that cost more than the relaxation asks go first.
	order := make([]int, len(p.taken))
	worth := make([]float64, len(p.taken))
	for i := range order {
		order[i] = i
		worth[i] = (float64(x.reduced(&p.taken[i]))/(1<<scaleBits) + float64(x.step)/2) * r.ExpFloat64()
		if !p.complete() {
			worth[i] = r.Float64()
		}
	}
	slices.SortFunc(order, func(a, b int) int { return cmp.Compare(worth[b], worth[a]) })
	for _, i := range order {
		q := p.taken[i]
		if count+len(q.strips) > most {
			kept.taken, kept.cost = append(kept.taken, q), kept.cost+q.cost
			continue
		}
		count += len(q.strips)
		rows += q.rows
		for _, k := range q.strips {
			free[k] = true
		}
	}
	y, m, of := x.relaxPart(free, rows)
	if y.spent() || y.proof.strip == nil || m.leavesOut() {
		return p, false
	}
	taken := y.choosePart(p.cost-kept.cost, of, x)
	if taken == nil {
		return p, false
	}
	for _, q := range taken {
		kept.taken, kept.cost = append(kept.taken, q), kept.cost+q.cost
	}
	return kept, true
}

// part is the structure of some of the strips and rows, and which strips they are.
func (c *chains) part(free []bool, rows int64) (*chains, []int) {
	d := *c
	d.strips, d.saving, d.length, d.usesOf, d.total = nil, nil, nil, nil, 0
	d.rows = rows
	var of []int
	for k, f := range free {
		if !f {
			continue
		}
		of = append(of, k)
		d.strips, d.saving, d.length = append(d.strips, c.strips[k]), append(d.saving, c.saving[k]), append(d.length, c.length[k])
		d.usesOf = append(d.usesOf, c.usesOf[k])
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
