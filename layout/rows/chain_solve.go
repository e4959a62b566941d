package rows

import (
	"cmp"
	"context"
	"math"

	"pilewright/layout/cutting/simplex"
)

// chainSearch holds the chains generated so far.
type chainSearch struct {
	*chains
	ctx       context.Context
	limit     int64                 // of work
	laid      map[string]*laidChain // by strips, rows and cost; nil = not found
	bound     int64                 // no partition costs less; -1 = none known
	proof     prices                // of the relaxation
	known     []chain               // chains to begin with
	partNodes int                   // sets tried for a part of other strips; 0 = not one
	near      int64                 // length of chains looked for first, in grains

	complete bool // the prices bound all chains; else only those up to near
}

func (c *chains) search(ctx context.Context, limit int64) *chainSearch {
	return &chainSearch{chains: c, ctx: ctx, limit: limit, bound: -1, laid: map[string]*laidChain{}}
}

func (x *chainSearch) spent() bool { return x.ctx.Err() != nil || *x.work > x.limit }

// Bounds of generating chains.
const (
	chainsARound = 250
	roundNodes   = 3_000
	proofNodes   = 3_000_000
	nearRows     = 4         // chains of up to so many rows are looked for first
	farNodes     = 3_000_000 // sets of long chains tried
	worthNodes   = 200_000
	chainsEnough = 8_000 // found at once
	partRaises   = 2     // of what a strip left out of a part costs
)

// master is the linear relaxation of the partition: one row for each strip, which
// may be left out at its whole saving, and one for the rows of the panel.
type master struct {
	*simplex.LP
	x   *chainSearch
	set []chain // by column, after the unit columns
}

func (x *chainSearch) master() *master {
	n := len(x.strips)
	rhs, cost := make([]float64, n+1), make([]float64, n+1)
	for k := range n {
		rhs[k], cost[k] = 1, float64(x.whole(k))
	}
	rhs[n] = float64(x.rows)
	return &master{LP: simplex.New(rhs, cost, 1), x: x}
}

func (m *master) add(q chain) {
	col := simplex.Column{Cost: float64(q.cost)}
	for _, k := range q.strips {
		col.Rows, col.Vals = append(col.Rows, int32(k)), append(col.Vals, 1)
	}
	col.Rows, col.Vals = append(col.Rows, int32(len(m.x.strips))), append(col.Vals, float64(q.rows))
	m.Add(col)
	m.set = append(m.set, q)
}

// solve solves the relaxation as it stands and gives prices, rounded down.
func (m *master) solve() prices {
	before := *m.Work
	m.Primal(20_000)
	*m.x.work += (*m.Work - before) / 384
	n := len(m.x.strips)
	y := m.Duals()
	p := prices{strip: make([]int64, n)}
	for k := range n {
		p.strip[k] = min(int64(math.Floor(y[k]*(1<<scaleBits))), m.x.whole(k)<<scaleBits)
		p.sum += p.strip[k]
	}
	p.perRow = min(int64(math.Floor(y[n]*(1<<scaleBits))), 0)
	p.sum += p.perRow * m.x.rows
	return p
}

// relax solves the linear relaxation by generating chains, those longer than near
// only if far is set. Where it comes to an end it proves a bound, in whole numbers
// throughout.
func (x *chainSearch) relax(far bool) *master {
	m := x.master()
	n := len(x.strips)
	ceiling := 2 * max(x.s.cut, 1) * x.saving[n-1]
	x.near = min(x.total, nearRows*(x.s.panel+x.s.cut)/x.grain)
	for k := range n {
		over := x.chains.over[k]
		m.add(chain{[]int{k}, 1, x.saving[k] * over * x.grain})
	}
	for _, q := range x.known {
		m.add(q)
	}
	capped := func() {
		for k := range n {
			m.SetCost(k, float64(min(x.whole(k), ceiling)))
		}
		m.Refresh()
	}
	capped()
	raised := 0
	var clean prices // that bound all chains but longer ones
	for !x.spent() {
		p := m.solve()
		x.proof = p
		price := x.pricer(p, 0, x.near)
		price.enough = chainsEnough
		found, least := price.cheapest(60, roundNodes)
		ok := least == 0
		if len(found) == 0 && !ok {
			found, ok = price.upTo(-1, cmp.Or(x.partNodes, proofNodes))
		}
		long := true // longer chains are bound by the prices
		if far && len(found) == 0 && ok && x.total > x.near {
			clean = p
			over := x.pricer(p, x.near, x.total)
			over.enough = chainsEnough
			if found, least = over.cheapest(60, roundNodes); len(found) == 0 && least < 0 {
				found, long = over.upTo(-1, farNodes)
			}
		}
		if len(found) > 0 {
			for _, q := range someOf(found, chainsARound, 6) {
				m.add(q)
			}
			continue
		}
		if !ok {
			break
		}
		out := false // a strip is left out that costs more than it is said to
		for k := range n {
			out = out || m.Basic(k) && x.whole(k) > ceiling
		}
		if out && ceiling < never/8 {
			values, basis := m.Values(), m.Basis()
			out = false
			for i, j := range basis {
				out = out || int(j) < n && values[i] > 1e-6 && x.whole(int(j)) > ceiling
			}
		}
		if !out || x.partNodes > 0 && raised == partRaises {
			x.complete = long && (far || x.total <= x.near)
			sum := p.sum
			if !x.complete && far {
				sum -= x.longWorth(p)
			}
			x.bound = x.stepUp(sum)
			break
		}
		ceiling *= 8
		raised++
		capped()
	}
	if x.bound < 0 && clean.strip != nil {
		x.bound = x.stepUp(clean.sum - x.longWorth(clean))
	}
	return m
}

// stepUp is the least cost, in coins, that is no less than a sum of prices: what is
// left unused comes in steps.
func (x *chainSearch) stepUp(sum int64) int64 {
	step := x.step << scaleBits
	return (sum + step - 1) / step * x.step
}

// longWorth is the most that chains longer than those looked for first can be worth
// beyond their prices: what they are for their length, at the length of all strips.
func (x *chainSearch) longWorth(p prices) int64 {
	var most int64
	for from := x.near; from < x.total; {
		to := min(from+from/4, x.total)
		_, least := x.pricer(p, from, to).cheapest(100, 0)
		most = max(most, (-least*x.total+from)/(from+1))
		from = to
	}
	return most
}
