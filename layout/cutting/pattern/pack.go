package pattern

import (
	"math"
	"math/rand/v2"
	"sort"
)

// packer tries to cut all that is demanded from boards that a selection holds
// possible: it empties two or three of them again and again and fills one after
// the other with what is worth most, until nothing is left over.
type packer struct {
	m      *Model
	oracle Oracle
	clk    *clock
	r      *rand.Rand
	sel    *selection // the conditions
	pi     []int64    // what items are worth
	margin float64    // the boards are worth so much more than what is demanded
	next   *selection // chooses boards of the margin, the cheapest first
	fails  int        // of boards of this margin
	none   bool       // no boards are left that are cheaper than the plan known
	want   []bool
	value  []int64
	prices []int64
}

// leastMargin is the least margin that is not nothing.
const leastMargin = 1e-4

// packMoves is how often boards are emptied before others are chosen.
const packMoves = 1000

func newPacker(p *plans, sel *selection, margin float64) *packer {
	return &packer{m: p.m, oracle: p.oracle, clk: p.clk, r: p.r, sel: sel, pi: sel.conds[0].dual.Pi, margin: margin,
		want: make([]bool, len(p.m.Groups)), value: make([]int64, len(p.m.Groups)), prices: make([]int64, len(p.m.Demand))}
}

// try chooses boards cheaper than ub and tries to cut all from them. The margin
// is the greatest that still leaves boards to choose: the more boards can hold,
// the sooner they are filled.
func (p *packer) try(ub int64) *Plan {
	for !p.clk.cancelled() {
		if p.next == nil {
			p.next, p.fails = p.sel.withMargin(p.margin*(0.9+0.2*p.r.Float64()), p.clk), 0
		}
		boards := p.next.choose(ub)
		if boards == nil {
			p.next = nil
			switch {
			case p.fails > 0:
			case p.margin == 0:
				p.none = true
				return nil
			case p.margin < leastMargin:
				p.margin = 0
			default:
				p.margin *= 0.9
			}
			continue
		}
		plan := p.pack(boards, packMoves, 0.002+0.005*p.r.Float64())
		if plan != nil {
			p.next = nil
			return plan
		}
		if p.fails++; p.fails >= 5 {
			p.next = nil
			p.margin = max(leastMargin, p.margin*1.1)
		}
		return nil
	}
	return nil
}

// fill is the best pattern of g with what is left, under prices that are a little off.
func (p *packer) fill(g int, left []int, noise float64) *Column {
	for i, v := range p.pi {
		p.prices[i] = int64(float64(v) * (1 + noise*(p.r.Float64()-0.5)))
	}
	clear(p.want)
	p.want[g] = true
	before := p.oracle.Work()
	p.oracle.Price(p.prices, left, p.want, p.value)
	c := p.oracle.Pattern(g)
	p.clk.work += p.oracle.Work() - before
	if c == nil {
		return nil
	}
	return c.within(left)
}

// pack cuts all from the boards given, or gives up after so many moves. Now and
// then it goes on with more left over than before, by a share of heat of all at
// most, and less with each move (threshold accepting, Dueck & Scheuer 1990).
func (p *packer) pack(boards []int, moves int, heat float64) *Plan {
	left := append([]int(nil), p.m.Demand...)
	use := make([]*Column, len(boards))
	put := func(b int, c *Column) {
		if use[b] = c; c != nil {
			for k, i := range c.Items {
				left[i] -= c.N[k]
			}
		}
	}
	empty := func(b int) {
		if c := use[b]; c != nil {
			for k, i := range c.Items {
				left[i] += c.N[k]
			}
		}
		use[b] = nil
	}
	worth := func() float64 {
		v := 0.0
		for i, n := range left {
			v += float64(p.pi[i]) * float64(n)
		}
		return v
	}
	all := worth()
	for b, g := range boards {
		put(b, p.fill(g, left, 0.1))
	}
	now := worth()
	var old [3]*Column
	for n := 0; n < moves && !p.clk.cancelled(); n++ {
		if sum(left) == 0 {
			plan := &Plan{Short: left}
			for _, c := range use {
				if c != nil {
					plan.Uses = append(plan.Uses, Use{c, 1})
				}
			}
			plan.price(p.m)
			return plan
		}
		k := 2
		if p.r.IntN(3) == 0 {
			k = 3
		}
		pick := p.r.Perm(len(boards))[:min(k, len(boards))]
		for q, b := range pick {
			old[q] = use[b]
			empty(b)
		}
		noise := 0.2 * p.r.Float64()
		for _, b := range pick {
			put(b, p.fill(boards[b], left, noise))
		}
		w := worth()
		if w <= now+heat*all*(1-float64(n)/float64(moves))*p.r.Float64() {
			now = w
			continue
		}
		for _, b := range pick {
			empty(b)
		}
		for q, b := range pick {
			put(b, old[q])
		}
	}
	return nil
}

// withMargin is a selection of boards worth more than demanded by a share.
func (c *selection) withMargin(share float64, clk *clock) *selection {
	s := &selection{ms: c.ms, clk: clk, units: c.units, first: c.first, ub: math.MaxInt64, end: math.MaxInt64}
	for _, k := range c.conds {
		k.need += int64(float64(k.need) * share)
		s.conds = append(s.conds, k)
	}
	n := &choice{}
	s.look(n)
	s.open = choices{n}
	return s
}

// choose is the next boards, of less cost than ub, that meet all conditions; nil
// when there are no more, or too many cases to go through.
func (c *selection) choose(ub int64) []int {
	c.ub = ub
	for !c.full() && !c.clk.poll() {
		n := c.pop()
		if n == nil {
			return nil
		}
		if n.at >= 0 {
			c.branch(n)
			continue
		}
		var boards []int
		for u, g := range c.units {
			if n.open.has(u) {
				boards = append(boards, g)
			}
		}
		sort.Ints(boards)
		return boards
	}
	return nil
}
