package pattern

import (
	"math"
	"math/rand/v2"
	"sort"
)

// packer tries to cut all that is demanded from boards that a selection holds
// possible, or from boards near those of the best plan. It empties a few of them
// again and again, now and then takes others for them that are no dearer
// together than allowed, and fills them, until nothing is left over. Mostly it
// looks through the patterns seen before for those that fit together (see shelf);
// at times it prices boards anew, which is dear but finds other patterns.
type packer struct {
	m       *Model
	oracle  Oracle
	clk     *clock
	r       *rand.Rand
	sel     *selection // the conditions
	pi      []int64    // what items are worth
	margin  float64    // the boards are worth so much more than what is demanded
	next    *selection // chooses boards of the margin, the cheapest first
	fails   int        // of boards of this margin
	none    bool       // no boards are left that are cheaper than the plan known
	want    []bool
	value   []int64
	prices  []int64
	lowered []int64
	shelves *shelves // nil where a count is too great for them
}

const (
	// leastMargin is the least margin that is not nothing.
	leastMargin = 1e-4
	// packMoves is how often boards are emptied before others are chosen, times
	// their number, or a half or a quarter of it; pricedMoves is how many of these
	// price boards, as one in so many.
	packMoves   = 450
	pricedMoves = 20
	// nearTries: one try in so many does not begin near the best plan.
	nearTries = 4
	// exchanged is how many of the boards emptied are taken for others, as one in so many.
	exchanged = 4
	// moveWork and fillWork are what a move and a filling cost beyond what is counted.
	moveWork = 1000
	fillWork = 2000
)

func newPacker(p *plans, sel *selection, margin float64) *packer {
	q := &packer{m: p.m, oracle: p.oracle, clk: p.clk, r: p.r, sel: sel, pi: sel.conds[0].dual.Pi, margin: margin,
		want: make([]bool, len(p.m.Groups)), value: make([]int64, len(p.m.Groups)),
		prices: make([]int64, len(p.m.Demand)), lowered: make([]int64, len(p.m.Demand))}
	q.shelves = newShelves(p.m.Demand, q.pi, sel.units, len(p.m.Groups))
	for _, c := range p.root.pool {
		if c.within(p.m.Demand) == c {
			q.shelves.keep(c)
		}
	}
	return q
}

// try chooses boards that together are cheaper than ub, mostly those of best with
// one of them changed, and tries to cut all from them. The margin is the
// greatest that still leaves boards to choose: the more boards can hold, the
// sooner they are filled.
func (p *packer) try(ub, low int64, best *Plan) *Plan {
	if best != nil && p.r.IntN(nearTries) > 0 {
		if boards, use := p.near(ub, low, best); boards != nil {
			return p.pack(boards, use, ub)
		}
	}
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
		plan := p.pack(boards, make([]*Column, len(boards)), ub)
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

// near is the boards of a plan, one of them changed for one not in use so that
// they are cheaper than ub, and the patterns of the others; nil when there is no
// such board.
func (p *packer) near(ub, low int64, best *Plan) ([]int, []*Column) {
	used := make([]int, len(p.m.Groups))
	var boards []int
	var use []*Column
	need := p.sel.ms.step - ub // what is to be saved
	for _, u := range best.Uses {
		g := u.Col.Group
		used[g] += u.N
		need += int64(u.N) * p.m.Groups[g].Cost
		for range u.N {
			boards, use = append(boards, g), append(use, u.Col)
		}
	}
	type change struct {
		board, group int
		save         int64
	}
	var all []change
	for b, g := range boards {
		for s := range p.m.Groups {
			save := p.m.Groups[g].Cost - p.m.Groups[s].Cost
			if s != g && save >= need && used[s] < p.sel.ms.supply[s] {
				all = append(all, change{b, s, save})
			}
		}
	}
	if len(all) == 0 {
		return nil, nil
	}
	sort.SliceStable(all, func(a, b int) bool { return all[a].save < all[b].save })
	// How much is to be saved is at random, up to what may be possible at all.
	span := int64(float64(ub-low) * p.r.Float64() * p.r.Float64())
	n := sort.Search(len(all), func(n int) bool { return all[n].save > need+span })
	c := all[p.r.IntN(max(n, 1))]
	boards[c.board], use[c.board] = c.group, nil
	return boards, use
}

// fillTries is how often the prices of a board are corrected, lowering the share
// by which a price falls for copies that are not there.
const (
	fillTries = 3
	lowering  = 0.4
)

// fill is a good pattern of g with what is left, under prices that are a little
// off. Sections and strips are valued one by one, so that the best may hold an
// item more often than it is left; then it is made cheaper, and the board priced
// again, as in a Lagrangian relaxation of what is left.
func (p *packer) fill(g int, left []int, noise float64) *Column {
	for i, v := range p.pi {
		p.prices[i] = int64(float64(v) * (1 + noise*(p.r.Float64()-0.5)))
	}
	copy(p.lowered, p.prices)
	clear(p.want)
	p.want[g] = true
	before := p.oracle.Work()
	defer func() { p.clk.work += p.oracle.Work() - before }()
	loose, _ := p.oracle.(Loosener)
	var best *Column
	top, most := int64(0), int64(0)
	for n := 0; ; n++ {
		p.clk.work += fillWork
		p.oracle.Price(p.lowered, left, p.want, p.value)
		if n == 0 {
			most = p.value[g]
		}
		if c := p.oracle.Pattern(g); c != nil {
			if c = c.within(left); c != nil {
				if v := c.worth(p.prices); v > top {
					top, best = v, c
				}
				p.shelves.keep(c)
			}
		}
		if n == fillTries || top >= most || loose == nil {
			return best
		}
		loose.Loose(true)
		c := p.oracle.Pattern(g)
		loose.Loose(false)
		if c == nil {
			return best
		}
		over := false
		for k, i := range c.Items {
			if n := c.N[k]; n > left[i] {
				over = true
				p.lowered[i] -= int64(float64(p.lowered[i]) * lowering * float64(n-left[i]) / float64(n))
			}
		}
		if !over {
			return best
		}
	}
}

// worth is what the items of a pattern are worth together.
func (c *Column) worth(pi []int64) int64 {
	v := int64(0)
	for k, i := range c.Items {
		v += pi[i] * int64(c.N[k])
	}
	return v
}

// packing is boards being filled.
type packing struct {
	*packer
	boards []int // groups
	use    []*Column
	spare  []int // groups of boards that are not in use
	room   int64 // what the boards may cost more
	left   []int
}

// pack cuts all from the boards given, some of which are filled, and from boards
// that may take their place so that all cost less than ub, or gives up after so
// many moves. Now and then it goes on with more left over than before, by a
// share of all that falls with each move (threshold accepting, Dueck & Scheuer
// 1990).
func (p *packer) pack(boards []int, use []*Column, ub int64) *Plan {
	k := &packing{packer: p, boards: boards, use: make([]*Column, len(boards)), room: ub - p.sel.ms.step, left: append([]int(nil), p.m.Demand...)}
	used := make([]int, len(p.m.Groups))
	for _, g := range boards {
		used[g]++
		k.room -= p.m.Groups[g].Cost
	}
	for _, g := range p.sel.units {
		if used[g]--; used[g] < 0 {
			k.spare = append(k.spare, g)
		}
	}
	heat := (0.002 + 0.005*p.r.Float64()) * k.worth()
	for b, c := range use {
		k.put(b, c)
	}
	for b, g := range boards {
		if use[b] == nil {
			k.put(b, p.fill(g, k.left, 0.1))
		}
	}
	moves := packMoves * len(boards)
	moves >>= p.r.IntN(3)
	for n := 0; n < moves && sum(k.left) > 0 && !p.clk.cancelled(); n++ {
		k.move(heat * (1 - float64(n)/float64(moves)) * p.r.Float64())
	}
	if sum(k.left) > 0 {
		return nil
	}
	plan := &Plan{Short: k.left}
	for _, c := range k.use {
		if c != nil {
			plan.Uses = append(plan.Uses, Use{c, 1})
		}
	}
	plan.price(p.m)
	return plan
}

// put cuts a board by a pattern.
func (k *packing) put(b int, c *Column) {
	if k.use[b] = c; c != nil {
		for q, i := range c.Items {
			k.left[i] -= c.N[q]
		}
	}
}

// empty takes a board's pattern back.
func (k *packing) empty(b int) *Column {
	c := k.use[b]
	if k.use[b] = nil; c != nil {
		for q, i := range c.Items {
			k.left[i] += c.N[q]
		}
	}
	return c
}

// worth is what is left.
func (k *packing) worth() float64 {
	v := 0.0
	for i, n := range k.left {
		v += float64(k.pi[i]) * float64(n)
	}
	return v
}

// move fills a few boards anew, unless more than heat is left over than before.
func (k *packing) move(heat float64) {
	k.clk.work += moveWork
	priced := k.shelves == nil || k.r.IntN(pricedMoves) == 0
	n := 2
	switch {
	case priced && k.r.IntN(3) == 0:
		n = 3
	case !priced && k.r.IntN(2) == 0:
		n = 3 + k.r.IntN(mostTogether-2)
	}
	before := k.worth()
	pick := k.r.Perm(len(k.boards))[:min(n, len(k.boards))]
	var old [mostTogether]*Column
	var took [mostTogether]int // the place among the spare boards, -1 none
	held, room := int64(0), k.room
	for q, b := range pick {
		if old[q] = k.empty(b); old[q] != nil {
			held += old[q].worth(k.pi)
		}
		took[q] = -1
		if len(k.spare) > 0 && k.r.IntN(exchanged) == 0 {
			at := k.r.IntN(len(k.spare))
			if d := k.m.Groups[k.spare[at]].Cost - k.m.Groups[k.boards[b]].Cost; d <= k.room {
				k.room -= d
				k.boards[b], k.spare[at] = k.spare[at], k.boards[b]
				took[q] = at
			}
		}
	}
	if priced {
		noise := 0.2 * k.r.Float64()
		for _, b := range pick {
			k.put(b, k.fill(k.boards[b], k.left, noise))
		}
		if k.worth() <= before+heat {
			return
		}
	} else {
		var groups [mostTogether]int
		for q, b := range pick {
			groups[q] = k.boards[b]
		}
		found, steps := k.shelves.together(groups[:len(pick)], k.left, held, held-int64(heat), old, k.r)
		k.clk.work += int64(steps)
		if found != nil {
			for q, b := range pick {
				k.put(b, found[q])
			}
			return
		}
	}
	for q := len(pick) - 1; q >= 0; q-- {
		b := pick[q]
		if k.empty(b); took[q] >= 0 {
			k.boards[b], k.spare[took[q]] = k.spare[took[q]], k.boards[b]
		}
	}
	k.room = room
	for q, b := range pick {
		k.put(b, old[q])
	}
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
