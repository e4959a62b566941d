package rows

import (
	"cmp"
	"slices"
)

// scaleBits is the fraction of prices, which are whole multiples of 2^-scaleBits.
const scaleBits = 16

// A pricer looks for the chains that cost least for given prices of strips and of
// rows. For every length and number of rows that a chain may have, sets of just that
// length are built from their strip of least saving on, by rising saving. What the
// strips that may still come cost at least, for every length still wanted, is in
// tables filled backwards (a knapsack). They leave out that hubs pay for themselves
// beyond the rows' cuts, and price whole strips instead of counting how many fit in
// the rows; there is a table for each of a few such prices. Sets that no table rules
// out are weighed by all the rules.
type pricer struct {
	*chains
	prices
	from, to int64 // lengths of the sets looked for, in grains

	low    int64 // saving of the sets' first strips
	aims   []aim
	most   int64 // chains of no greater reduced cost are looked for
	nodes  int   // left to be tried
	enough int   // chains to be found; 0 = all
	want   aim
	set    []int
	ways   []way
	found  []priced
}

// aim is a length, in grains, and a number of rows that a chain may have, and the
// least reduced cost that the tables allow.
type aim struct {
	length, rows, least int64
	ends                tableCosts
}

// prices of strips and of rows, in fractions of a coin; that of rows is not above
// zero.
type prices struct {
	strip  []int64
	perRow int64
	sum    int64 // what all strips and rows are worth
}

// tables hold the least that strips still to come cost, by the strip next in turn,
// the length wanted of them and the table.
type tables struct {
	perWhole tableCosts
	least    []tableCosts
	first    []tableCosts // by length, where a strip of the first class is among them
	cost     [][2]tableCosts
}

// wholePrices are what a whole strip costs in the tables, in halves of a cut at
// the least saving; rows give it back for the whole strips that fit in them.
var wholePrices = tableCosts{0, 1, 2, 4}

type tableCosts [4]int64

// way is how a strip longer than a piece beside another may be is used.
type way uint8

const (
	asItIs way = iota // no longer than that
	asHub             // cut
	shortened
)

type priced struct {
	chain
	reduced int64
}

// pricer gives one for sets longer than from and up to to, in grains.
func (c *chains) pricer(p prices, from, to int64) *pricer {
	t, n, size := c.tables, len(c.strips), int(to+1)
	t.least = slices.Grow(t.least[:0], (n+1)*size)[:(n+1)*size]
	t.first = slices.Grow(t.first[:0], size)[:size]
	t.cost = slices.Grow(t.cost[:0], n)[:n]
	none := t.least[n*size:]
	for l := range none {
		none[l] = ruledOut
	}
	none[0] = tableCosts{}
	return &pricer{chains: c, prices: p, from: from, to: to}
}

var ruledOut = tableCosts{never, never, never, never}

// nodesAnAim is how many sets of one length and number of rows are tried where only
// some chains are wanted.
const nodesAnAim = 40

// cheapest finds chains of reduced cost up to part hundredths of the least that the
// tables do not rule out, for every class of first strips, and that least, in
// fractions of a coin.
func (p *pricer) cheapest(part int64, nodes int) (found []priced, least int64) {
	p.found = nil
	for a := 0; a < len(p.strips); a = p.classEnd(a) {
		p.fill(a)
		p.aim(-1)
		if len(p.aims) == 0 {
			continue
		}
		slices.SortStableFunc(p.aims, func(a, b aim) int { return cmp.Compare(a.least, b.least) })
		best := p.aims[0].least
		least = min(least, best)
		p.most = min(best*part/100, -1)
		left := nodes
		for _, g := range p.aims {
			if left <= 0 || g.least > p.most {
				break
			}
			p.nodes = nodesAnAim
			p.reach(a, g)
			left -= nodesAnAim - p.nodes
		}
		*p.work += int64(nodes-left) / 96
	}
	return once(p.found), least
}

// upTo finds the chains of reduced cost up to most; ok is false when there were too
// many to try, or enough.
func (p *pricer) upTo(most int64, nodes int) (found []priced, ok bool) {
	p.most, p.nodes, p.found = most, nodes, nil
	ok = true
	for a := 0; a < len(p.strips) && ok; a = p.classEnd(a) {
		p.fill(a)
		p.aim(most)
		for i := 0; i < len(p.aims) && ok; i++ {
			p.reach(a, p.aims[i])
			ok = p.nodes > 0 && (p.enough == 0 || len(p.found) < p.enough)
		}
	}
	*p.work += int64(nodes-p.nodes) / 96
	return once(p.found), ok
}

// classEnd is the first strip after i of another saving.
func (c *chains) classEnd(i int) int {
	b := i
	for b < len(c.saving) && c.saving[b] == c.saving[i] {
		b++
	}
	return b
}

// use is one way a strip may be used: what it adds to the length.
type use struct {
	way
	length int64
}

// fill fills the tables for sets whose first strip is of the class that begins with
// strip a.
func (p *pricer) fill(a int) {
	t := p.tables
	n, end, size := len(p.strips), p.classEnd(a), int(p.to+1)
	p.low = p.saving[a]
	for i, v := range wholePrices {
		t.perWhole[i] = v * p.s.cut * p.saving[0] << scaleBits / 2
	}
	for l := range t.first {
		t.first[l] = ruledOut
	}
	for k := n - 1; k >= a; k-- {
		now, next := t.least[k*size:][:size], t.least[(k+1)*size:][:size]
		copy(now, next)
		for j, u := range p.usesOf[k] {
			if u.length > p.to {
				continue
			}
			c := &t.cost[k][j]
			for i, whole := range t.perWhole {
				c[i] = u.cost(p, whole, k)
			}
			lower(now[u.length:], next, c)
			if k < end {
				lower(t.first[u.length:], next, c)
			}
		}
	}
	*p.work += int64(len(wholePrices)*(n+end-2*a+2)) * p.to / 768
}

// fillWork is the work of filling all tables for sets of up to a length.
func (c *chains) fillWork(to int64) (work int64) {
	for a := 0; a < len(c.strips); a = c.classEnd(a) {
		work += int64(len(wholePrices)*(len(c.strips)+c.classEnd(a)-2*a+2)) * to / 768
	}
	return work
}

// cost is what the use of strip k costs beyond its price, with whole strips at theirs.
func (u use) cost(p *pricer, whole int64, k int) int64 {
	hub := (p.saving[k] - p.low) * p.s.cut << scaleBits
	switch u.way {
	case asHub:
		return hub - p.strip[k]
	case shortened:
		return p.saving[k]*p.over[k]*p.grain<<scaleBits + whole - p.strip[k]
	}
	return min(whole, hub) - p.strip[k]
}

// lower puts from plus cost in place of what is more.
func lower(to, from []tableCosts, cost *tableCosts) {
	from = from[:len(to)]
	for l := range to {
		a, b := &to[l], &from[l]
		a[0] = min(a[0], b[0]+cost[0])
		a[1] = min(a[1], b[1]+cost[1])
		a[2] = min(a[2], b[2]+cost[2])
		a[3] = min(a[3], b[3]+cost[3])
	}
}

// aim lists the lengths and numbers of rows for which the tables do not rule out
// that a set costs no more than most.
func (p *pricer) aim(most int64) {
	p.aims = p.aims[:0]
	opens := p.opensTo(p.to)
	row := p.s.panel - p.s.piece - p.s.cut*p.cuts
	few := row > 0 && -p.perRow <= p.low*row<<scaleBits // fewer rows lose more than they are worth
	for l := p.from + 1; l <= p.to; l++ {
		if p.tables.first[l][0] >= never/2 {
			continue
		}
		rows := p.mostRows(l)
		first := int64(1)
		if few {
			first = max(rows-2, 1)
		}
		for r := first; r <= rows; r++ {
			open := int64(0)
			if back := rows - r; back < 3 {
				open = opens[l][back]
			} else {
				open = p.unused(l*p.grain, r, r-1)
			}
			if g := p.end(l, r, open); g.least <= most {
				p.aims = append(p.aims, g)
			}
		}
	}
}

// end is what r rows of a length cost at least beside the strips, of which so much is
// left unused.
func (p *pricer) end(l, r, open int64) aim {
	g := aim{length: l, rows: r, least: -never}
	for i, perWhole := range p.tables.perWhole {
		// Each whole strip beyond those that fit leaves so much unused that its price
		// does not come up to it, or else all are given back.
		whole := p.abreast * r
		if r == 1 || open > p.tight/2 || perWhole > p.low*(p.tight/2)<<scaleBits {
			whole = l / p.short
		}
		g.ends[i] = p.low*open<<scaleBits - p.perRow*r - perWhole*whole
		g.least = max(g.least, p.tables.first[l][i]+g.ends[i])
	}
	return g
}

// opensTo is what sets of every length up to to leave unused at least, by how many
// rows fewer than the most there are.
func (c *chains) opensTo(to int64) [][3]int64 {
	for l := int64(len(c.opens)); l <= to; l++ {
		var open [3]int64
		most := c.mostRows(l)
		for back := range min(most, 3) {
			r := most - back
			open[back] = c.unused(l*c.grain, r, r-1)
		}
		c.opens = append(c.opens, open)
	}
	return c.opens
}

// mostRows is how many rows a set so long (in grains) can need: in more it loses
// more.
func (c *chains) mostRows(length int64) int64 { return length*c.grain/(c.s.panel+c.s.cut) + 2 }

// reach tries the sets of an aim whose first strip is of the class that begins with
// strip a.
func (p *pricer) reach(a int, g aim) {
	p.want = g
	for i := a; i < p.classEnd(a); i++ {
		p.add(i, g.length, &g.ends)
	}
}

// add adds strip i to the set, which wants so much more length and costs so much in
// the tables before, and goes on with all strips that may follow.
func (p *pricer) add(i int, want int64, costs *tableCosts) {
	for j, u := range p.usesOf[i] {
		l := want - u.length
		if l < 0 {
			continue
		}
		c := *costs
		for k, v := range p.tables.cost[i][j] {
			c[k] += v
		}
		if !p.may(i+1, l, &c) {
			continue
		}
		if p.nodes--; p.nodes <= 0 || p.enough > 0 && len(p.found) >= p.enough {
			return
		}
		p.set, p.ways = append(p.set, i), append(p.ways, u.way)
		if l == 0 {
			p.weigh()
		} else {
			for k := i + 1; k < len(p.strips) && p.may(k, l, &c); k++ {
				p.add(k, l, &c)
			}
		}
		p.set, p.ways = p.set[:len(p.set)-1], p.ways[:len(p.ways)-1]
	}
}

// may is false when some table rules out every set that goes on with strip next or
// a later one.
func (p *pricer) may(next int, want int64, costs *tableCosts) bool {
	t := &p.tables.least[next*int(p.to+1)+int(want)]
	m := p.most
	return costs[0]+t[0] <= m && costs[1]+t[1] <= m && costs[2]+t[2] <= m && costs[3]+t[3] <= m
}

// weigh keeps the set if it costs little enough.
func (p *pricer) weigh() {
	r := p.want.rows
	worth := p.perRow * r
	for _, k := range p.set {
		worth += p.strip[k]
	}
	limit := (p.most + worth) >> scaleBits
	cost := p.least(p.want.length*p.grain, r)
	if cost <= limit && r <= hangRows && !p.loose {
		cost = p.hangs(p.set, r, cost, limit)
	}
	if cost <= limit {
		p.found = append(p.found, priced{chain{slices.Clone(p.set), r, cost}, cost<<scaleBits - worth})
	}
}

// least is what the set costs at least in r rows, with its long strips used the
// way they are; total is its length without what these are shortened by.
func (p *pricer) least(total, r int64) int64 {
	var cost, hubs int64
	for i, k := range p.set {
		switch p.ways[i] {
		case asHub:
			cost += p.saving[k] * p.s.cut
			hubs++
		case shortened:
			cost += p.saving[k] * p.over[k] * p.grain
		}
	}
	if r == 1 {
		if hubs > 0 {
			return never
		}
		return cost + p.low*p.unused(total, 1, 0)
	}
	least := never
	weigh := func() {
		if hubs == 0 || hubs*p.cuts < r-1 {
			return
		}
		open := p.unused(total, r, max(r-1, hubs)) - hubs*p.s.cut
		if more := int64(len(p.set)) - hubs - p.abreast*r; more > 0 {
			open = max(open, max(r-1-hubs, 0)*p.s.cut+more*p.tight)
		}
		least = min(least, cost+p.low*max(open, 0))
	}
	weigh()
	for i, k := range p.set { // more hubs, those of least saving first
		if p.ways[i] == asItIs {
			cost += p.saving[k] * p.s.cut
			hubs++
			weigh()
		}
	}
	return least
}

// once keeps every set of strips and number of rows once, at its least cost.
func once(found []priced) []priced {
	slices.SortFunc(found, func(a, b priced) int {
		return cmp.Or(slices.Compare(a.strips, b.strips), cmp.Compare(a.rows, b.rows), cmp.Compare(a.cost, b.cost))
	})
	return slices.CompactFunc(found, func(a, b priced) bool {
		return a.rows == b.rows && slices.Equal(a.strips, b.strips)
	})
}

// someOf takes up to count of the chains found, the cheapest first, no strip too
// often.
func someOf(found []priced, count, most int) []chain {
	slices.SortStableFunc(found, func(a, b priced) int { return cmp.Compare(a.reduced, b.reduced) })
	var out []chain
	often := map[int]int{}
	for _, f := range found {
		worn := true
		for _, k := range f.strips {
			worn = worn && often[k] >= most
		}
		if worn {
			continue
		}
		for _, k := range f.strips {
			often[k]++
		}
		if out = append(out, f.chain); len(out) == count {
			break
		}
	}
	return out
}
