package rows

import (
	"context"
	"math"
	"math/rand/v2"
	"slices"

	"pilewright/layout/cutting/simplex"
)

// chainSearch holds the chains generated so far.
type chainSearch struct {
	*chains
	ctx   context.Context
	limit int64 // of work
	pool  []chain
	laid  map[int]*laidChain // of pool chains that were tried; nil = can't be laid at their cost
	bound int64              // no partition costs less; -1 = none known
}

func (c *chains) search(ctx context.Context, limit int64) *chainSearch {
	return &chainSearch{chains: c, ctx: ctx, limit: limit, laid: map[int]*laidChain{}, bound: -1}
}

func (x *chainSearch) over() bool { return x.ctx.Err() != nil || *x.work > x.limit }

// Chains generated a round, and the length, in panels, of those looked for first.
const (
	chainsARound = 40
	firstReach   = 4
)

// relax solves the linear relaxation over the free strips and so many rows by
// generating chains; usable tells which of the pool may take part. It gives the
// value of each chain of the pool. exact goes on until the bound is proved.
func (x *chainSearch) relax(free []bool, rows int64, usable func(int) bool, rounds int, exact bool) map[int]float64 {
	at := make([]int32, len(x.strips))
	var rhs, cost []float64
	for k, f := range free {
		at[k] = -1
		if f {
			at[k] = int32(len(rhs))
			rhs, cost = append(rhs, 1), append(cost, float64(x.whole(k)))
		}
	}
	n := len(rhs)
	rhs, cost = append(rhs, float64(rows)), append(cost, 0)
	lp := simplex.New(rhs, cost, 1)
	var column []int // of the pool, by column
	add := func(j int) {
		q := &x.pool[j]
		col := simplex.Column{Cost: float64(x.costs(j, exact))}
		for _, k := range q.strips {
			if at[k] < 0 {
				return
			}
			col.Rows, col.Vals = append(col.Rows, at[k]), append(col.Vals, 1)
		}
		if q.rows > rows || !usable(j) {
			return
		}
		col.Rows, col.Vals = append(col.Rows, int32(n)), append(col.Vals, float64(q.rows))
		lp.Add(col)
		column = append(column, j)
	}
	for j := range x.pool {
		add(j)
	}
	price := make([]int64, len(x.strips))
	near := min(firstReach*x.s.panel/x.grain, x.total)
	for round := 0; ; round++ {
		before := *lp.Work
		lp.Primal(20_000)
		*x.work += (*lp.Work - before) / 256
		if round >= rounds || x.over() {
			break
		}
		y := lp.Duals()
		for k := range price {
			price[k] = 0
			if at[k] >= 0 {
				price[k] = min(int64(math.Floor(y[at[k]]*(1<<scaleBits))), x.whole(k)<<scaleBits)
			}
		}
		perRow := min(int64(math.Floor(y[n]*(1<<scaleBits))), 0)
		least, found := x.cheapest(price, perRow, free, near, chainsARound)
		if least > -(1 << (scaleBits - 10)) { // none shorter: look at the long ones
			if !exact {
				break
			}
			if near < x.total {
				x.prove(price, perRow, least, x.leastLong(price, perRow, free, near), free, rows)
			} else {
				x.prove(price, perRow, least, 0, free, rows)
			}
			break
		}
		for _, q := range found {
			x.pool = append(x.pool, q)
			add(len(x.pool) - 1)
		}
	}
	out := map[int]float64{}
	values := lp.Values()
	for i, j := range lp.Basis() {
		if int(j) > n && values[i] > 1e-7 {
			out[column[int(j)-n-1]] = values[i]
		}
	}
	return out
}

// prove turns prices into a bound, in whole numbers throughout: no chain costs
// less than its strips and rows are worth and the least reduced cost, and there
// are no more chains than rows, and long ones take many. Only prices for all
// strips bound the whole.
func (x *chainSearch) prove(price []int64, perRow, least, long int64, free []bool, rows int64) {
	if rows != x.rows || slices.Contains(free, false) {
		return
	}
	sum := perRow*rows + least*rows + long*(x.total/(firstReach*x.s.panel/x.grain))
	for _, v := range price {
		sum += v
	}
	step := x.step << scaleBits
	x.bound = max(x.bound, (sum+step-1)/step*x.step)
}

// dive builds a partition of the free strips: the chains of most value in the
// relaxation are taken, what is left is solved again. The result indexes the pool.
func (x *chainSearch) dive(free []bool, rows int64, rounds int) (taken []int, cost int64) {
	free = slices.Clone(free)
	for !x.over() {
		value := x.relax(free, rows, x.layable, rounds, false)
		took := false
		for {
			best := -1
			for j, v := range value {
				if best < 0 || v > value[best] || v == value[best] && j < best {
					best = j
				}
			}
			if best < 0 || took && value[best] < 0.999 {
				break
			}
			delete(value, best)
			q := &x.pool[best]
			fits := q.rows <= rows
			for _, k := range q.strips {
				fits = fits && free[k]
			}
			if !fits || x.lay(best) == nil {
				continue
			}
			for _, k := range q.strips {
				free[k] = false
			}
			rows -= q.rows
			cost += x.lay(best).cost
			taken, took = append(taken, best), true
		}
		if !took {
			break
		}
	}
	for k, f := range free {
		if f {
			cost += x.whole(k)
		}
	}
	return taken, cost
}

// costs is what a chain costs: as it was laid where it has been, but for a bound
// what it costs at least.
func (x *chainSearch) costs(j int, bound bool) int64 {
	if l := x.laid[j]; l != nil && !bound {
		return l.cost
	}
	return x.pool[j].cost
}

// layable is false for chains known not to come out at their cost.
func (x *chainSearch) layable(j int) bool {
	l, tried := x.laid[j]
	return !tried || l != nil
}

func (x *chainSearch) lay(j int) *laidChain {
	l, tried := x.laid[j]
	if !tried {
		l = x.layOut(&x.pool[j])
		x.laid[j] = l
	}
	return l
}

// partition is a choice of chains, by their places in the pool.
type partition struct {
	taken []int
	cost  int64
}

// better parts a few chains of a partition anew, the worst among them; it never
// gets dearer.
func (x *chainSearch) better(p partition, r *rand.Rand) partition {
	n := len(p.taken)
	out := make([]bool, n)
	worst := 0
	for i, j := range p.taken {
		if x.lay(j).cost > x.lay(p.taken[worst]).cost {
			worst = i
		}
	}
	if r.IntN(4) == 0 {
		worst = r.IntN(n)
	}
	out[worst] = true
	for range 3 + r.IntN(4) {
		out[r.IntN(n)] = true
	}
	free := make([]bool, len(x.strips))
	for k := range free {
		free[k] = true
	}
	kept := partition{}
	rows := x.rows
	for i, j := range p.taken {
		if out[i] {
			continue
		}
		q := &x.pool[j]
		kept.taken, kept.cost = append(kept.taken, j), kept.cost+x.lay(j).cost
		rows -= q.rows
		for _, k := range q.strips {
			free[k] = false
		}
	}
	taken, cost := x.dive(free, rows, 12)
	if kept.cost+cost > p.cost {
		return p
	}
	return partition{append(kept.taken, taken...), kept.cost + cost}
}
