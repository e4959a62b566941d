package rows

import (
	"cmp"
	"math/bits"
	"math/rand/v2"
	"slices"
)

// regrouper parts a few chains of a partition anew: every set of their strips is
// weighed, and of those that cost little enough beyond their prices a choice is made
// that takes every strip once. It costs no more than before; where it costs as much,
// what is free beside the fill is gathered in few chains, which leaves room for others.
type regrouper struct {
	x       *chainSearch
	r       *rand.Rand
	inRows  map[int64][]int64 // by saving, what a length costs at least in rows
	of      []int             // strips parted anew
	lengths []int64           // of sets, by their strips' bits
	worth   []int64           // of sets
	set     []int

	sets   []rowSet
	from   []int // where those of each first strip begin
	rows   int64 // left
	looks  int   // at sets, left
	beyond int64 // that a set may cost beyond its prices
	now    []int
	best   []int
	cost   int64 // of the best
	free   int64
}

// rowSet is a set of strips, by their bits in regrouper.of, as a chain.
type rowSet struct {
	bits          uint32
	rows, cost    int64
	reduced, free int64
	laid          bool
}

// Bounds of parting chains anew.
const (
	regroupStrips = 15        // parted at once, at least
	regroupMore   = 3         // at most so many more
	regroupBeyond = 4         // coins that a set may cost beyond its prices
	regroupFar    = 16        // the same, where strips stay left out
	regroupSets   = 20_000    // of least cost that a choice is made from
	regroupLooks  = 1_000_000 // at sets for one choice, and ten times that while strips are left out
	regroupFirst  = 5         // tries to take in all strips
	regroupIdle   = 1000      // tries that gain nothing
	regroupAny    = 8         // every so often a choice is taken that gathers less
)

func (x *chainSearch) regrouper(r *rand.Rand) *regrouper {
	g := &regrouper{x: x, r: r, inRows: map[int64][]int64{}, beyond: regroupBeyond << scaleBits}
	opens := x.opensTo(x.total)
	for a := 0; a < len(x.strips); a = x.classEnd(a) {
		cost := make([]int64, x.total+1)
		for l := range cost {
			cost[l] = never
			most := x.mostRows(int64(l))
			for back := range min(most, 3) {
				cost[l] = min(cost[l], x.saving[a]*opens[l][back]<<scaleBits-x.proof.perRow*(most-back))
			}
		}
		g.inRows[x.saving[a]] = cost
	}
	return g
}

// regroup parts some chains of p anew, and strips that it leaves out; ok is false where
// it finds no other choice.
func (g *regrouper) regroup(p partition) (q partition, ok bool) {
	x := g.x
	most := regroupStrips + g.r.IntN(regroupMore+1)
	out := make([]bool, len(x.strips))
	for k := range out {
		out[k] = true
	}
	for i := range p.taken {
		for _, k := range p.taken[i].strips {
			out[k] = false
		}
	}
	g.of, g.rows, g.cost, g.free = g.of[:0], x.rows, 0, 0
	for _, k := range g.r.Perm(len(out)) {
		switch {
		case !out[k]:
		case len(g.of) < most:
			g.of = append(g.of, k)
		default:
			q.cost += x.whole(k)
		}
	}
	incomplete := len(g.of) > 0
	order := make([]int, len(p.taken))
	weight := make([]float64, len(p.taken))
	for i := range order {
		order[i] = i
		weight[i] = (float64(x.reduced(&p.taken[i]))/(1<<scaleBits) + float64(x.step)/2) * g.r.ExpFloat64()
	}
	slices.SortFunc(order, func(a, b int) int { return cmp.Compare(weight[b], weight[a]) })
	for _, i := range order {
		c := &p.taken[i]
		if len(g.of)+len(c.strips) > most {
			q.taken, q.cost = append(q.taken, *c), q.cost+c.cost
			g.rows -= c.rows
			continue
		}
		g.of = append(g.of, c.strips...)
		g.cost += c.cost
		g.free += x.freeIn(x.lengthOf(c.strips), c.rows)
	}
	slices.Sort(g.of)
	beyond := g.cost<<scaleBits - x.proof.perRow*g.rows
	for _, k := range g.of {
		beyond -= x.proof.strip[k]
	}
	switch {
	case incomplete:
		g.cost, g.free, beyond = never, -1, never
	case g.r.IntN(regroupAny) == 0:
		g.free = -1
	}
	looks := regroupLooks
	if incomplete {
		looks *= 10
	}
	g.list(min(beyond, g.beyond))
	g.looks, g.now, g.best = looks, g.now[:0], nil
	g.cover(0, g.rows, 0, 0, beyond)
	*x.work += int64(looks-g.looks)/700 + int64(len(g.lengths))/60 + 50
	if g.best == nil {
		if incomplete {
			g.beyond = min(2*g.beyond, regroupFar<<scaleBits)
		}
		return p, false
	}
	for _, j := range g.best {
		c := g.chain(&g.sets[j])
		q.taken, q.cost = append(q.taken, c), q.cost+c.cost
	}
	return q, true
}

func (c *chains) lengthOf(set []int) (total int64) {
	for _, k := range set {
		total += c.length[k]
	}
	return total
}

// freeIn is a measure of what rows of a length want beyond the shortest fill.
func (c *chains) freeIn(length, rows int64) int64 {
	fill := rows*c.s.panel - c.s.cut*(rows-1) - length*c.grain
	free := max(fill-c.s.piece, 0)
	return free * free
}

// list weighs all sets of the strips, and keeps those that cost no more than most
// beyond their prices.
func (g *regrouper) list(most int64) {
	x, n := g.x, 1<<len(g.of)
	g.lengths = slices.Grow(g.lengths[:0], n)[:n]
	g.worth = slices.Grow(g.worth[:0], n)[:n]
	g.sets, g.from = g.sets[:0], g.from[:0]
	inRows := make([][]int64, len(g.of))
	for i, k := range g.of {
		inRows[i] = g.inRows[x.saving[k]]
	}
	for s := 1; s < n; s++ {
		first := bits.TrailingZeros(uint(s))
		rest := s & (s - 1)
		l := g.lengths[rest] + x.length[g.of[first]]
		g.lengths[s] = l
		g.worth[s] = g.worth[rest] + x.proof.strip[g.of[first]]
		if inRows[first][l]-g.worth[s] <= most && !x.spent() {
			g.keep(s, most)
		}
	}
	if len(g.sets) > regroupSets {
		slices.SortFunc(g.sets, func(a, b rowSet) int {
			return cmp.Or(cmp.Compare(a.reduced, b.reduced), cmp.Compare(a.bits, b.bits))
		})
		g.sets = g.sets[:regroupSets]
	}
	g.order()
}

// order sorts the sets by the strip that comes first in them, the strips in the order
// of how few sets they are in, and shuffles those of one strip.
func (g *regrouper) order() {
	count := make([]int, len(g.of))
	for i := range g.sets {
		for b := g.sets[i].bits; b != 0; b &= b - 1 {
			count[bits.TrailingZeros32(b)]++
		}
	}
	by := make([]int, len(g.of))
	for i := range by {
		by[i] = i
	}
	slices.SortStableFunc(by, func(a, b int) int { return cmp.Compare(count[a], count[b]) })
	to, of := make([]int, len(by)), make([]int, len(by))
	for i, k := range by {
		to[k], of[i] = i, g.of[k]
	}
	g.of = of
	for i := range g.sets {
		s := &g.sets[i]
		var with uint32
		for b := s.bits; b != 0; b &= b - 1 {
			with |= 1 << to[bits.TrailingZeros32(b)]
		}
		s.bits = with
	}
	g.r.Shuffle(len(g.sets), func(a, b int) { g.sets[a], g.sets[b] = g.sets[b], g.sets[a] })
	slices.SortStableFunc(g.sets, func(a, b rowSet) int {
		return cmp.Compare(bits.TrailingZeros32(a.bits), bits.TrailingZeros32(b.bits))
	})
	at := 0
	for i := range g.of {
		g.from = append(g.from, at)
		for at < len(g.sets) && bits.TrailingZeros32(g.sets[at].bits) == i {
			at++
		}
	}
	g.from = append(g.from, at)
}

// keep keeps a set with every number of rows for which it costs little enough.
func (g *regrouper) keep(s int, most int64) {
	x, l := g.x, g.lengths[s]
	g.set = g.set[:0]
	rows, low, opens := x.mostRows(l), x.saving[g.of[bits.TrailingZeros(uint(s))]], x.opens[l]
	for back := range min(rows, 3) {
		r := rows - back
		worth := g.worth[s] + x.proof.perRow*r
		limit := (most + worth) >> scaleBits
		if low*opens[back] > limit {
			continue
		}
		if len(g.set) == 0 {
			for b := uint(s); b != 0; b &= b - 1 {
				g.set = append(g.set, g.of[bits.TrailingZeros(b)])
			}
		}
		cost := x.costOf(g.set, l, r)
		if cost > limit {
			continue
		}
		if cost = x.hangs(g.set, r, cost, limit); cost <= limit {
			g.sets = append(g.sets, rowSet{uint32(s), r, cost, cost<<scaleBits - worth, x.freeIn(l, r), false})
		}
	}
}

// costOf is what a set of a length costs at least in r rows, strips longer than beside
// a piece cut where there are more rows than one.
func (c *chains) costOf(set []int, length, r int64) int64 {
	low := c.saving[set[0]]
	var cost, hubs int64
	if r == 1 {
		for _, k := range set {
			length -= c.over[k]
			cost += c.saving[k] * c.over[k] * c.grain
		}
		return cost + low*c.unused(length*c.grain, 1, 0)
	}
	for _, k := range set {
		if c.over[k] > 0 {
			cost += c.saving[k] * c.s.cut
			hubs++
		}
	}
	want := max(1, int64(len(set))-c.abreast*r)
	for _, k := range set {
		if hubs >= want {
			break
		}
		if c.over[k] == 0 {
			cost += c.saving[k] * c.s.cut
			hubs++
		}
	}
	if hubs*c.cuts < r-1 {
		return never
	}
	return cost + low*max(c.unused(length*c.grain, r, max(r-1, hubs))-hubs*c.s.cut, 0)
}

// cover takes sets that leave no strip out.
func (g *regrouper) cover(used uint32, rows, cost, free, beyond int64) {
	if used == 1<<len(g.of)-1 {
		if cost > g.cost || cost == g.cost && free <= g.free || !g.lay() {
			return
		}
		g.best, g.cost, g.free = slices.Clone(g.now), cost, free
		return
	}
	i := bits.TrailingZeros32(^used)
	g.looks -= g.from[i+1] - g.from[i]
	for j := g.from[i]; j < g.from[i+1] && g.looks > 0 && !g.x.spent(); j++ {
		s := &g.sets[j]
		if s.bits&used != 0 || s.rows > rows || s.reduced > beyond {
			continue
		}
		g.now = append(g.now, j)
		g.cover(used|s.bits, rows-s.rows, cost+s.cost, free+s.free, beyond-s.reduced)
		g.now = g.now[:len(g.now)-1]
	}
}

// lay is false when some set taken is not laid; it is not taken again.
func (g *regrouper) lay() bool {
	for _, j := range g.now {
		s := &g.sets[j]
		if s.laid {
			continue
		}
		c := g.chain(s)
		if g.x.lay(&c) == nil {
			s.rows = g.x.rows + 1
			return false
		}
		s.laid = true
	}
	return true
}

func (g *regrouper) chain(s *rowSet) chain {
	c := chain{rows: s.rows, cost: s.cost}
	for b := s.bits; b != 0; b &= b - 1 {
		c.strips = append(c.strips, g.of[bits.TrailingZeros32(b)])
	}
	slices.Sort(c.strips)
	return c
}
