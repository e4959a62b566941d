package rows

import (
	"math/rand/v2"
	"slices"
)

// partition is a choice of chains and what it costs, strips left out too.
type partition struct {
	taken []chain
	cost  int64
}

// Bounds of mending a partition.
const (
	mendStrips = 13 // taken apart at once
	mendIdle   = 100
	mendNodes  = 60
)

// dive builds a partition: again and again the chain of most value in the
// relaxation over a set of chains is taken.
func (x *chainSearch) dive(set []chain) partition {
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
	count := 0
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
	order := r.Perm(len(p.taken))
	// A dear one goes first.
	for range min(2, len(order)) {
		i := r.IntN(len(order))
		if p.taken[order[i]].cost > p.taken[order[0]].cost {
			order[0], order[i] = order[i], order[0]
		}
	}
	for _, i := range order {
		q := p.taken[i]
		if count+len(q.strips) > mendStrips {
			kept.taken, kept.cost = append(kept.taken, q), kept.cost+q.cost
			continue
		}
		count += len(q.strips)
		rows += q.rows
		for _, k := range q.strips {
			free[k] = true
		}
	}
	sub, of := x.part(free, rows)
	y := sub.search(x.ctx, x.limit)
	y.relax(false)
	if y.spent() || y.proof.strip == nil {
		return p, false
	}
	now, tries := p.cost-kept.cost, 3
	for target := y.stepUp(y.proof.sum); target < now && tries > 0; target, tries = target+x.step, tries-1 {
		found, _ := y.pricer(y.proof, 0, y.near, nearHubs).upTo(target<<scaleBits-y.proof.sum, proofNodes)
		set := someOf(found, 2000, 2000)
		better := partition{}
		done, _ := y.choose(set, target, mendNodes, func(taken []chain) bool {
			better.taken = taken
			return true
		})
		if !done {
			continue
		}
		for _, q := range better.taken {
			c := chain{rows: q.rows, cost: q.cost}
			for _, k := range q.strips {
				c.strips = append(c.strips, of[k])
			}
			if x.lay(&c) == nil {
				return p, false
			}
			kept.taken, kept.cost = append(kept.taken, c), kept.cost+c.cost
		}
		return kept, true
	}
	return p, false
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
