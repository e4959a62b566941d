package rows

import (
	"cmp"
	"slices"
)

// scaleBits is the fraction of prices, which are whole multiples of 2^-scaleBits.
const scaleBits = 16

// A pricer looks for the chains that cost least for given prices of strips and of
// rows. A set is built from its strip of least saving on, by rising saving. What
// the rest of it can give at best, for every length and every strip that may come
// next, is in tables filled backwards (a knapsack). They leave out that hubs pay
// for themselves beyond the rows' cuts, and price whole strips instead of counting
// how many fit in the rows; there is a table for each of a few such prices. Sets
// that no table rules out are weighed by all the rules.
type pricer struct {
	*chains
	prices
	most     int64 // chains of no greater reduced cost are looked for
	nodes    int   // left to be tried
	from, to int64 // lengths of the sets looked for, in grains
	hubs     int   // long hubs that are told apart

	tables []*table
	low    int64 // saving of the set's first strip
	set    []int
	ways   []way
	found  []priced
	bestOf map[int]int64 // by the first strip of each class: what all tables allow
}

// prices of strips and of rows, in fractions of a coin; that of rows is not above
// zero.
type prices struct {
	strip  []int64
	perRow int64
	sum    int64 // what all strips and rows are worth
}

// table holds the least that the rest of a set costs, by the strip next in turn,
// the long hubs so far and the length so far.
type table struct {
	perWhole int64
	least    []int64
}

// wholePrices are what a whole strip costs in the tables, in halves of a cut at
// the least saving; rows give it back for the whole strips that fit in them.
var wholePrices = [...]int64{0, 2, 1, 4}

type tableCosts [len(wholePrices)]int64

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
func (c *chains) pricer(p prices, from, to int64, hubs int) *pricer {
	q := &pricer{chains: c, prices: p, from: from, to: to, hubs: hubs, bestOf: map[int]int64{}}
	for len(c.tables) < len(wholePrices) {
		c.tables = append(c.tables, &table{})
	}
	at := wholePrices[:]
	if from == 0 {
		at = wholePrices[:2]
	}
	size := (len(c.strips) + 1) * (hubs + 1) * int(to+1)
	for i, w := range at {
		t := c.tables[i]
		t.perWhole = w * c.s.cut * (c.saving[0] << scaleBits) / 2
		t.least = slices.Grow(t.least[:0], size)[:size]
		q.tables = append(q.tables, t)
	}
	return q
}

// cheapest finds the chains of reduced cost up to part hundredths of the least that
// the tables do not rule out, and that least, in fractions of a coin. ok is false
// when there were too many to try.
func (p *pricer) cheapest(part int64, nodes int) (found []priced, least int64, ok bool) {
	for a := 0; a < len(p.strips); a = p.classEnd(a) {
		p.fill(a)
		best := never
		for i := a; i < p.classEnd(a); i++ {
			best = min(best, p.bestFrom(i))
		}
		p.bestOf[a] = best
		least = min(least, best)
	}
	found, ok = p.upTo(min(least*part/100, -1), nodes)
	return found, least, ok
}

// upTo finds the chains of reduced cost up to most.
func (p *pricer) upTo(most int64, nodes int) (found []priced, ok bool) {
	p.most, p.nodes, p.found = most, nodes, nil
	for a := 0; a < len(p.strips); a = p.classEnd(a) {
		if best, known := p.bestOf[a]; known && best > most {
			continue
		}
		p.fill(a)
		for i := a; i < p.classEnd(a); i++ {
			p.add(i, 0, 0, tableCosts{})
		}
	}
	*p.work += int64(nodes-p.nodes) / 96
	return once(p.found), p.nodes > 0
}

// classEnd is the first strip after i of another saving.
func (c *chains) classEnd(i int) int {
	b := i
	for b < len(c.saving) && c.saving[b] == c.saving[i] {
		b++
	}
	return b
}

func (p *pricer) plane(t *table, next, hubs int) []int64 {
	size := int(p.to + 1)
	return t.least[(next*(p.hubs+1)+min(hubs, p.hubs))*size:][:size]
}

// bestFrom is the least that all tables allow for sets whose first strip is i.
func (p *pricer) bestFrom(i int) int64 {
	best := int64(-never)
	for _, t := range p.tables {
		least := never
		for _, u := range p.usesOf[i] {
			if u.length <= p.to {
				least = min(least, p.plane(t, i+1, u.hubs)[u.length]+u.cost(p, t, i))
			}
		}
		best = max(best, least)
	}
	return best
}

// use is one way a strip may be used: what it adds to hubs and length.
type use struct {
	way
	hubs   int
	length int64
}

// cost is what the use of strip i costs in a table.
func (u use) cost(p *pricer, t *table, i int) int64 {
	hub := (p.saving[i] - p.low) * p.s.cut << scaleBits
	switch u.way {
	case asHub:
		return hub - p.strip[i]
	case shortened:
		return p.saving[i]*p.over(i)*p.grain<<scaleBits + t.perWhole - p.strip[i]
	}
	return min(t.perWhole, hub) - p.strip[i]
}

// fill fills the tables for sets whose first strip is of the class that begins with
// strip a.
func (p *pricer) fill(a int) {
	p.low = p.saving[a]
	n := len(p.strips)
	p.end()
	for _, t := range p.tables {
		for k := n - 1; k >= a; k-- {
			for h := range p.hubs + 1 {
				now, next := p.plane(t, k, h), p.plane(t, k+1, h)
				for i, u := range p.usesOf[k] {
					n := max(p.to+1-u.length, 0) // with the strip no set is longer
					from, cost := p.plane(t, k+1, h+u.hubs), u.cost(p, t, k)
					if i == 0 {
						copy(now[n:], next[n:])
					} else {
						next = now
					}
					to, from, next := now[:n], from[p.to+1-n:][:n], next[:n]
					for l := range to {
						to[l] = min(next[l], from[l]+cost)
					}
				}
			}
		}
	}
	*p.work += int64(len(p.tables)*(n-a+2)*(p.hubs+1)) * p.to / 768
}

// end fills in what rows cost at least for a set so long, cuts included.
func (p *pricer) end() {
	n := len(p.strips)
	opens := p.opensTo(p.to, p.hubs)
	row := p.s.panel - p.s.piece - p.s.cut*p.cuts
	few := row > 0 && -p.perRow <= p.low*row<<scaleBits // fewer rows lose more than they are worth
	for _, t := range p.tables {
		// Each whole strip beyond those that fit leaves so much unused that its price
		// does not come up to it, or else all are given back.
		fair := t.perWhole <= p.low*(p.tight/2)<<scaleBits
		for h := range p.hubs + 1 {
			end := p.plane(t, n, h)
			for l := range end {
				end[l] = never
				if int64(l) <= p.from {
					continue
				}
				most := p.mostRows(int64(l))
				first := int64(1)
				if few {
					first = most - 2
				}
				for r := max(first, min(int64(h), 1)+1); r <= most; r++ {
					var open int64
					if back := most - r; back < 3 {
						open = opens[h][l][back]
					} else {
						open = p.unused(int64(l)*p.grain, r, max(r-1, int64(h)))
					}
					whole := p.abreast * r
					if r == 1 || open > p.tight/2 || !fair {
						whole = int64(l) / p.short
					}
					end[l] = min(end[l], p.low*open<<scaleBits-p.perRow*r-t.perWhole*whole)
				}
			}
		}
	}
}

// opensTo is what sets of every length up to to leave unused at least, by long hubs
// and by how many rows fewer than the most there are.
func (c *chains) opensTo(to int64, hubs int) [][][3]int64 {
	if c.opens == nil {
		c.opens = map[int64][][][3]int64{}
	}
	o := c.opens[to]
	if len(o) <= hubs {
		o = make([][][3]int64, hubs+1)
		for h := range o {
			o[h] = make([][3]int64, to+1)
			for l := range o[h] {
				most := c.mostRows(int64(l))
				for back := range int64(3) {
					if r := most - back; r > 0 {
						o[h][l][back] = c.unused(int64(l)*c.grain, r, max(r-1, int64(h)))
					}
				}
			}
		}
		c.opens[to] = o
	}
	return o
}

// mostRows is how many rows a set so long (in grains) can need: in more it loses
// more. In fewer than fewestRows it loses more than any row is worth.
func (c *chains) mostRows(length int64) int64 { return length*c.grain/(c.s.panel+c.s.cut) + 2 }

func (p *pricer) fewestRows(most int64) int64 {
	row := p.s.panel - p.s.piece - p.s.cut*p.cuts
	if row <= 0 || -p.perRow > p.low*row<<scaleBits {
		return 1
	}
	return most - 2
}

// add adds strip i to the set, with so many long hubs, so long and of such costs in
// the tables before, and goes on with all strips that may follow.
func (p *pricer) add(i, hubs int, length int64, costs tableCosts) {
	for _, u := range p.usesOf[i] {
		l, h := length+u.length, hubs+u.hubs
		if l > p.to || p.nodes <= 0 {
			continue
		}
		c := costs
		for k, t := range p.tables {
			c[k] += u.cost(p, t, i)
		}
		if !p.may(i+1, h, l, &c) {
			continue
		}
		p.nodes--
		p.set, p.ways = append(p.set, i), append(p.ways, u.way)
		if p.may(len(p.strips), h, l, &c) {
			p.weigh(l)
		}
		for k := i + 1; k < len(p.strips) && p.may(k, h, l, &c); k++ {
			p.add(k, h, l, c)
		}
		p.set, p.ways = p.set[:len(p.set)-1], p.ways[:len(p.ways)-1]
	}
}

// may is false when some table rules out every set that goes on with strip next or
// a later one.
func (p *pricer) may(next, hubs int, length int64, costs *tableCosts) bool {
	for k, t := range p.tables {
		if costs[k]+p.plane(t, next, hubs)[length] > p.most {
			return false
		}
	}
	return true
}

// weigh keeps the set with every number of rows for which it costs little enough.
func (p *pricer) weigh(length int64) {
	var price int64
	for _, k := range p.set {
		price += p.strip[k]
	}
	most := p.mostRows(length)
	for r := max(1, p.fewestRows(most)); r <= most; r++ {
		cost := p.least(length*p.grain, r)
		if cost == never {
			continue
		}
		if reduced := cost<<scaleBits - price - p.perRow*r; reduced <= p.most {
			p.found = append(p.found, priced{chain{slices.Clone(p.set), r, cost}, reduced})
		}
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
			cost += p.saving[k] * p.over(k) * p.grain
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

// over is what a whole strip leaves unused at least, in grains: beside another
// piece it is no longer than room.
func (c *chains) over(i int) int64 {
	long := c.length[i] * c.grain
	if long >= c.s.panel {
		return (long - c.s.panel) / c.grain
	}
	return max(long-c.room, 0) / c.grain
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
