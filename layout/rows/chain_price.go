package rows

import (
	"cmp"
	"math"
	"slices"
)

// Values of the knapsack: none (and whatever stems from none), and the fraction of
// prices, which are whole multiples of 2^-scaleBits.
const (
	noSet     = math.MinInt64 / 4
	scaleBits = 16
	mostHubs  = 2 // hubs that are told apart; further ones pay the least saving
)

// How the best set of a cell came about: by a strip whole or as a hub, from a set
// with or without one of the class at hand.
const (
	fromWith    = 1 << iota
	fromWithout // one of these two where there is a strip
	asHub
	fewerHubs // one hub less before
)

// plane is the best sets of strips by total length, for a number of hubs and of
// whole strips.
type plane struct {
	value    []int64
	low, top int64 // of the lengths that occur; low > top = none
}

// sack is the knapsack of one search for chains.
type sack struct {
	c             *chains
	size          int64 // longest set, in grains
	whole         int64 // most whole strips told apart; 0 = none are
	perWhole      int64 // price of a whole strip
	without, with []plane
	how           [][]uint8 // by strip, then plane and length
	merged        [][]bool  // by class: the set has one of the class
	class         []int     // of strips
	first         []int     // strip of each class
}

// knapsack gives the sack for sets up to reach grains, empty.
func (c *chains) knapsack(reach, whole int64) *sack {
	id := [2]int64{min(c.total, reach), whole}
	k := c.sacks[id]
	n := int((mostHubs + 1) * (whole + 1))
	if k == nil {
		k = &sack{c: c, size: id[0], whole: whole}
		for range n {
			k.without = append(k.without, plane{value: make([]int64, k.size+1)})
			k.with = append(k.with, plane{value: make([]int64, k.size+1)})
		}
		for i := range c.strips {
			k.how = append(k.how, make([]uint8, n*int(k.size+1)))
			if i == 0 || c.saving[i] != c.saving[i-1] {
				k.first = append(k.first, i)
				k.merged = append(k.merged, make([]bool, n*int(k.size+1)))
			}
			k.class = append(k.class, len(k.first)-1)
		}
		c.sacks[id] = k
	}
	for _, list := range [][]plane{k.without, k.with} {
		for i := range list {
			p := &list[i]
			p.low, p.top = k.size+1, -1
			for t := range p.value {
				p.value[t] = noSet
			}
		}
	}
	for i := range k.how {
		clear(k.how[i])
	}
	for i := range k.merged {
		clear(k.merged[i])
	}
	k.without[0].value[0], k.without[0].low, k.without[0].top = 0, 0, 0
	return k
}

func (k *sack) at(hubs, whole int64) int { return int(hubs*(k.whole+1) + whole) }

// pull makes better sets of plane to by adding a strip to those of plane from.
func (k *sack) pull(strip, to int, from *plane, length, value int64, code uint8) {
	if from.low > from.top {
		return
	}
	lo, hi := from.low+length, min(from.top+length, k.size)
	if lo > hi {
		return
	}
	*k.c.work += (hi-lo)/256 + 1
	dst, src := k.with[to].value[lo:hi+1], from.value[lo-length:hi-length+1]
	how := k.how[strip][int64(to)*(k.size+1)+lo:][:len(dst)]
	src = src[:len(dst)]
	for t := len(dst) - 1; t >= 0; t-- {
		if x := src[t] + value; x > dst[t] {
			dst[t], how[t] = x, code
		}
	}
	p := &k.with[to]
	p.low, p.top = min(p.low, lo), max(p.top, hi)
}

// add offers a strip to every set, whole or as a hub. Planes are taken from the
// fullest down, so that none holds the strip twice.
func (k *sack) add(i int, price int64) {
	c := k.c
	over := c.over(i) // a strip too long to be whole beside others
	whole, used := price-c.saving[i]*over*c.grain<<scaleBits-k.perWhole, c.length[i]-over
	hub := price - c.saving[i]*c.s.cut<<scaleBits
	for h := int64(mostHubs); h >= 0; h-- {
		for w := k.whole; w >= 0; w-- {
			to := k.at(h, w)
			for pass, from := range [][]plane{k.with, k.without} {
				source := uint8(fromWith)
				if pass == 1 {
					source = fromWithout
				}
				// Sets that stay in their plane go first.
				switch {
				case h == mostHubs && k.whole == 0:
					k.pullBoth(i, to, &from[to], c.length[i], price-k.perWhole, used, whole, source)
				case h == mostHubs:
					k.pull(i, to, &from[to], c.length[i], price, source|asHub)
				case k.whole == 0:
					k.pull(i, to, &from[to], used, whole, source)
				}
				if w > 0 {
					k.pull(i, to, &from[k.at(h, w-1)], used, whole, source)
				}
				if h > 0 {
					k.pull(i, to, &from[k.at(h-1, w)], c.length[i], hub, source|asHub|fewerHubs)
				}
			}
		}
	}
}

// pullBoth pulls a strip as a further hub and whole, in one go so that no set
// gets both.
func (k *sack) pullBoth(strip, to int, from *plane, hubLength, hub, length, whole int64, source uint8) {
	if from.low > from.top {
		return
	}
	lo, hi := from.low+min(hubLength, length), min(from.top+max(hubLength, length), k.size)
	if lo > hi {
		return
	}
	*k.c.work += (hi-lo)/128 + 1
	p := &k.with[to]
	how := k.how[strip][int64(to)*(k.size+1):]
	for t := hi; t >= lo; t-- {
		if t >= hubLength {
			if x := from.value[t-hubLength] + hub; x > p.value[t] {
				p.value[t], how[t] = x, source|asHub
			}
		}
		if t >= length {
			if x := from.value[t-length] + whole; x > p.value[t] {
				p.value[t], how[t] = x, source
			}
		}
	}
	p.low, p.top = min(p.low, lo), max(p.top, hi)
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

// cheapest finds the chains of least reduced cost for prices of strips (free[k]
// false: not to be used) and of rows, both in fractions of a coin, among chains up
// to reach grains long: the least there is, and up to top chains below zero.
func (c *chains) cheapest(price []int64, perRow int64, free []bool, reach int64, top int) (least int64, found []chain) {
	k := c.knapsack(reach, c.abreast*(reach*c.grain/c.s.panel+2)+1)
	k.perWhole = 0
	return k.cheapest(price, perRow, free, 0, top)
}

// leastLong bounds the reduced cost of chains longer than from grains. Their whole
// strips are not counted but priced: each costs so much, which every row gives back
// for those that fit in it.
func (c *chains) leastLong(price []int64, perRow int64, free []bool, from int64) int64 {
	k := c.knapsack(c.total, 0)
	least := int64(noSet)
	for try := range int64(6) {
		k = c.knapsack(c.total, 0)
		k.perWhole = -perRow * try / 4
		v, _ := k.cheapest(price, perRow-k.perWhole*c.abreast, free, from, 0)
		least = max(least, v)
	}
	return least
}

type candidate struct {
	reduced    int64
	plane      int
	length     int64
	class      int
	rows, cost int64
}

func (k *sack) cheapest(price []int64, perRow int64, free []bool, from int64, top int) (least int64, found []chain) {
	c := k.c
	var best []candidate // of each length
	if top > 0 {
		best = make([]candidate, k.size+1)
	}
	for class, a := range k.first {
		b := a
		for ; b < len(c.strips) && c.saving[b] == c.saving[a]; b++ {
			if free[b] {
				k.add(b, price[b])
			}
		}
		save := c.saving[a]
		for h := int64(0); h <= mostHubs; h++ {
			for w := int64(0); w <= k.whole; w++ {
				at := k.at(h, w)
				p, q := &k.with[at], &k.without[at]
				merged := k.merged[class][int64(at)*(k.size+1):]
				for t := p.low; t <= p.top; t++ {
					v := p.value[t]
					p.value[t] = noSet
					if v < noSet/2 {
						continue
					}
					if v > q.value[t] {
						q.value[t], merged[t] = v, true
					}
					if from > 0 && t <= from {
						continue
					}
					total := t * c.grain
					first := max(1, total/(c.s.panel+c.s.cut))
					for r := first; r <= first+3; r++ {
						if r == first+3 {
							if r = 1; first == 1 {
								break
							}
						}
						if (r > 1) == (h > 0) && (h == mostHubs || h*c.cuts >= r-1) {
							open := c.unused(total, r, max(r-1, h)) - h*c.s.cut
							if r > 1 && w > c.abreast*r {
								open = max(open, max(r-1-h, 0)*c.s.cut+c.tight)
							}
							cost := save * max(open, 0)
							reduced := cost<<scaleBits - v - perRow*r
							least = min(least, reduced)
							if top > 0 && reduced < best[t].reduced {
								best[t] = candidate{reduced, at, t, class, r, cost}
							}
						}
						if r == 1 && first > 1 {
							break
						}
					}
				}
				q.low, q.top = min(q.low, p.low), max(q.top, p.top)
				p.low, p.top = k.size+1, -1
			}
		}
	}
	best = slices.DeleteFunc(best, func(x candidate) bool { return x.reduced == 0 })
	slices.SortStableFunc(best, func(a, b candidate) int { return cmp.Compare(a.reduced, b.reduced) })
	for _, x := range best[:min(top, len(best))] {
		found = append(found, k.read(x))
	}
	return least, found
}

// read follows the ways back to the strips of a set and adds what they cost.
func (k *sack) read(x candidate) chain {
	c := k.c
	q := chain{rows: x.rows, cost: x.cost}
	at, t, class := x.plane, x.length, x.class
	hubs := map[int]bool{}
	for t > 0 {
		// in the sets with a strip of the class at hand, after its last strip
		last := len(c.strips) - 1
		if class+1 < len(k.first) {
			last = k.first[class+1] - 1
		}
		for b := last; b >= k.first[class]; b-- {
			how := k.how[b][int64(at)*(k.size+1)+t]
			if how == 0 {
				continue
			}
			q.strips = append(q.strips, b)
			if how&asHub != 0 {
				hubs[b] = true
				t -= c.length[b]
				if how&fewerHubs != 0 {
					at -= int(k.whole + 1)
					q.cost += c.saving[b] * c.s.cut
				}
			} else {
				over := c.over(b)
				t -= c.length[b] - over
				q.cost += c.saving[b] * over * c.grain
				if k.whole > 0 {
					at--
				}
			}
			if how&fromWithout != 0 {
				break
			}
		}
		for class--; class >= 0 && !k.merged[class][int64(at)*(k.size+1)+t]; class-- {
		}
	}
	slices.Sort(q.strips)
	for _, b := range q.strips {
		q.hubs = append(q.hubs, hubs[b])
	}
	return q
}
