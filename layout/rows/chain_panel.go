package rows

import (
	"cmp"
	"math/rand/v2"
	"slices"
)

// Bounds of the search for chains: how often rows are put in order anew, how often
// a choice of chains is laid, what part of the work left goes to choices at one cost,
// how far above the bound they are looked for, the work left for other searches, and
// for how many rounds of prices there must be work to look for long chains.
const (
	orderTries   = 4000
	panelTries   = 12
	chooseShare  = 6
	targets      = 4
	leftForBeams = 50_000
	farRounds    = 5
)

// chain searches the floors where strips differ only through the panel by chains:
// it sharpens their bounds and offers the panels it finds.
func (c *composer) chain() {
	work := int64(c.work)
	defer func() { c.work = int(work) }()
	for k := range c.floors {
		f := &c.floors[k]
		if c.best != nil && !f.least.LessThan(c.best.Planed) {
			break
		}
		ch := c.s.chainsAbove(f.floor, &work)
		if ch == nil {
			return
		}
		if len(ch.strips) == 0 {
			continue
		}
		x := ch.search(c.ctx, int64(c.limit-max(c.limit/8, min(c.limit/4, leftForBeams))))
		sharpen := func() {
			if x.bound >= 0 {
				if least := c.s.wood(ch.base + x.bound*ch.coin); least.GreaterThan(f.least) {
					f.least = least
				}
			}
		}
		all := x.limit
		x.limit = work + (all-work)/3
		m := x.relax(false) // short chains make the panels, all of them the bound
		x.known = slices.Clone(m.set[len(x.strips):])
		x.limit = all
		finished := x.bound >= 0
		if x.near < x.total {
			x.bound = -1 // it is of short chains alone
		}
		if x.bound < 0 && ch.fillWork(x.total)*farRounds < (all-work)/2 {
			d := *ch
			d.loose = !finished
			y := d.search(c.ctx, work+(all-work)/2)
			y.known = x.known
			y.relax(true)
			x.bound, x.complete = y.bound, y.complete && !d.loose && y.proof.sum == x.proof.sum
		}
		sharpen()
		x.panels(m, func(rows [][]cutPiece) bool {
			sharpen()
			d := c.s.newSearcher(c.ctx, f.floor, nil, 2)
			c.offer(measureUp(c.job, d.arrangement(rows)))
			return c.best != nil && c.best.Planed.Sub(f.least).LessThan(oneCubicMillimetre)
		})
		sharpen()
	}
	c.sortFloors()
}

// panels offers the rows of choices of chains: first of one that costs no more than
// the bound, which rises where there is none, then of ever better ones. It ends
// when offer says that is enough. m is the relaxation over short chains.
func (x *chainSearch) panels(m *master, offer func([][]cutPiece) bool) {
	if x.proof.strip == nil {
		return
	}
	r := rand.New(rand.NewPCG(1, uint64(len(x.strips))))
	best := never
	use := func(taken []chain) bool {
		for range panelTries {
			rows, cost := x.panel(taken, r)
			if rows == nil {
				continue
			}
			if cost < best {
				best = cost
				if offer(rows) {
					return true
				}
			}
			break
		}
		return false
	}
	target := x.stepUp(x.proof.sum)
	for range targets {
		set, ok := x.worth(target)
		if !ok {
			break // too many to choose from
		}
		all := x.limit
		x.limit = *x.work + (all-*x.work)/chooseShare
		done, none := x.choose(set, target, treeNodes, use)
		x.limit = all
		if done {
			return
		}
		if !none || !x.complete {
			break
		}
		target += x.step
		x.bound = max(x.bound, target)
	}
	p := x.dive(m, false)
	g := x.regrouper(r)
	for try := 0; try < regroupFirst && !p.complete() && !x.spent(); try++ {
		p, _ = g.regroup(p)
	}
	if !p.complete() {
		p = x.dive(m, true)
	}
	if !p.complete() || use(p.taken) {
		return
	}
	for idle := 0; idle < regroupIdle && !x.spent(); idle++ {
		q, ok := g.regroup(p)
		if !ok {
			continue
		}
		if q.cost < p.cost {
			idle = 0
		}
		if p = q; p.cost < best && use(p.taken) {
			return
		}
	}
}

// worth lists chains that a choice at no more than a target cost may have; ok is
// false when there may be more.
func (x *chainSearch) worth(target int64) (set []chain, ok bool) {
	most := target<<scaleBits - x.proof.sum
	near := x.pricer(x.proof, 0, x.near)
	near.enough = chainsSet
	found, ok := near.upTo(most, worthNodes)
	if ok && x.near < x.total && x.complete {
		far := x.pricer(x.proof, x.near, x.total)
		far.enough = chainsSet - len(found)
		var long []priced
		long, ok = far.upTo(most, farNodes)
		found = append(found, long...)
	}
	set = someOf(found, chainsSet, chainsSet)
	return set, ok
}

// panel lays chains side by side: it finds the fill and puts the rows in an order
// that keeps stagger and steps, and tells what they cost. nil where it finds none.
func (x *chainSearch) panel(taken []chain, r *rand.Rand) ([][]cutPiece, int64) {
	var rows [][]cutPiece
	var fill []int64
	var cost int64
	for k := range taken {
		l := x.lay(&taken[k])
		if l == nil {
			return nil, 0
		}
		cost += taken[k].cost
		for i, row := range l.rows {
			rows, fill = append(rows, slices.Clip(row)), append(fill, l.fill[i])
		}
	}
	for len(rows) < int(x.rows) {
		rows, fill = append(rows, nil), append(fill, x.s.panel)
	}
	if len(rows) > int(x.rows) {
		return nil, 0
	}
	extra := x.fillRows(rows, fill, r)
	if extra < 0 {
		return nil, 0
	}
	return x.s.inOrder(rows, r), cost + extra
}

// fillTries is how often rows are filled anew, each time in another order, and
// fillMore how often where they are not filled by then.
const (
	fillTries = 60
	fillMore  = 240
)

// fillRows gives every row its fill from the strips that save nothing, and where
// they do not do, from dearer ones. It tells what the dearer ones cost, in coins;
// negative where the fill does not come out.
func (x *chainSearch) fillRows(rows [][]cutPiece, fill []int64, r *rand.Rand) int64 {
	var best [][]cutPiece
	least := int64(-1)
	order := make([]int, len(rows))
	for try := 0; try < fillTries || least < 0 && try < fillMore; try++ {
		for i := range order {
			order[i] = i
		}
		weight := slices.Clone(fill)
		for i := range weight {
			if try > 0 {
				weight[i] = weight[i] * (70 + r.Int64N(61)) / 100
			}
		}
		slices.SortStableFunc(order, func(a, b int) int { return cmp.Compare(weight[b], weight[a]) })
		with, cost := x.fillInOrder(rows, fill, order)
		if cost < 0 || least >= 0 && try%2 == 1 {
			slices.Reverse(order)
			with, cost = x.fillFromShort(rows, fill, order)
		}
		if cost >= 0 && (least < 0 || cost < least) {
			best, least = with, cost
		}
		if least == 0 {
			break
		}
	}
	copy(rows, best)
	return least
}

// fillFromShort fills the rows in this order, each in one piece where a strip is long
// enough, of one that leaves least below the shortest piece, else in several, the
// shortest strips first.
func (x *chainSearch) fillFromShort(rows [][]cutPiece, fill []int64, order []int) ([][]cutPiece, int64) {
	s := x.s
	left := slices.Clone(s.length)
	with := slices.Clone(rows)
	var cost int64
	for _, row := range order {
		for want := fill[row]; want > 0; {
			best, least, n := -1, never, want
			for _, i := range x.fills {
				lost := left[i] - want - s.cut
				if lost >= s.piece || lost < 0 {
					lost = 0
				}
				if left[i] >= want && (lost < least || lost == least && left[i] < left[best]) {
					best, least = i, lost
				}
			}
			if best < 0 {
				for _, i := range x.fills {
					if left[i] >= s.piece && left[i] <= want-s.piece && (best < 0 || left[i] < left[best]) {
						best, n = i, left[i]
					}
				}
			}
			if best < 0 {
				return nil, -1
			}
			with[row] = append(slices.Clip(with[row]), cutPiece{best, n})
			cost += (x.loss[best]*n + x.coin - 1) / x.coin
			left[best] -= n + s.cut
			want -= n
		}
	}
	return with, cost
}

// fillInOrder fills the rows in this order, each in one piece where it can be,
// else in two, from the strip that is left shortest.
func (x *chainSearch) fillInOrder(rows [][]cutPiece, fill []int64, order []int) ([][]cutPiece, int64) {
	s := x.s
	left := slices.Clone(s.length)
	with := slices.Clone(rows)
	var cost int64
	take := func(r, strip int, n int64) {
		with[r] = append(slices.Clip(with[r]), cutPiece{strip, n})
		left[strip] -= n + s.cut
		cost += (x.loss[strip]*n + x.coin - 1) / x.coin
	}
	for _, r := range order {
		if fill[r] == 0 {
			continue
		}
		if !x.fillOne(r, fill[r], left, take) {
			return nil, -1
		}
	}
	return with, cost
}

// fillOne fills one row from the cheapest class of strips that does.
func (x *chainSearch) fillOne(r int, want int64, left []int64, take func(r, strip int, n int64)) bool {
	s := x.s
	fit := func(among []int, n int64, but int) (strip int) {
		strip = -1
		for _, i := range among {
			if i != but && left[i] >= n && (strip < 0 || left[i] < left[strip]) {
				strip = i
			}
		}
		return strip
	}
	for from := 0; from < len(x.fills); {
		to := from // strips of one loss
		for to < len(x.fills) && x.loss[x.fills[to]] == x.loss[x.fills[from]] {
			to++
		}
		if i := fit(x.fills[from:to], want, -1); i >= 0 {
			take(r, i, want)
			return true
		}
		best, other, part := -1, -1, int64(0)
		var least int64
		for _, i := range x.fills[:to] {
			n := min(left[i], want-s.piece)
			if n < s.piece {
				continue
			}
			k := fit(x.fills[:to], want-n, i)
			if k < 0 {
				continue
			}
			if v := left[i] + left[k]; best < 0 || v < least {
				best, other, part, least = i, k, n, v
			}
		}
		if best >= 0 {
			take(r, best, part)
			take(r, other, want-part)
			return true
		}
		from = to
	}
	return false
}

// Rows of more pieces than these are tried in so many ways, not in all.
const (
	orderPieces = 4
	orderWays   = 24
)

// inOrder puts rows, each turned as need be, in an order that keeps stagger and
// steps: the rows that go with fewest others first. nil where none is found.
func (s *scaled) inOrder(rows [][]cutPiece, r *rand.Rand) [][]cutPiece {
	d := &searcher{scaled: s}
	var ways [][]cutPiece // to lay every row
	var rowOf []int
	for i, row := range rows {
		use := func(w []cutPiece) {
			if s.evenEnough(w) {
				ways, rowOf = append(ways, slices.Clone(w)), append(rowOf, i)
			}
		}
		if len(row) <= orderPieces {
			arrange(row, use)
			continue
		}
		w := slices.Clone(row)
		for range orderWays {
			use(w)
			r.Shuffle(len(w), func(a, b int) { w[a], w[b] = w[b], w[a] })
		}
	}
	meets := make([][]bool, len(ways))
	friends := make([]int, len(rows))
	for a := range ways {
		meets[a] = make([]bool, len(ways))
		for b := range ways {
			if meets[a][b] = rowOf[a] != rowOf[b] && d.meets(ways[a], ways[b]); meets[a][b] {
				friends[rowOf[a]]++
			}
		}
	}
	for range orderTries / len(rows) {
		used := make([]bool, len(rows))
		var path []int
		for len(path) < len(rows) {
			best, score := -1, 0.0
			for w := range ways {
				if used[rowOf[w]] || len(path) > 0 && !meets[path[len(path)-1]][w] {
					continue
				}
				if v := float64(friends[rowOf[w]]) * (0.5 + r.Float64()); best < 0 || v < score {
					best, score = w, v
				}
			}
			if best < 0 {
				break
			}
			used[rowOf[best]] = true
			path = append(path, best)
		}
		if len(path) == len(rows) {
			out := make([][]cutPiece, len(rows))
			for k, w := range path {
				out[k] = ways[w]
			}
			return out
		}
	}
	return nil
}

// arrange calls use with every order of a row's pieces.
func arrange[P any](row []P, use func([]P)) {
	w := slices.Clone(row)
	var next func(int)
	next = func(k int) {
		if k == len(w) {
			use(w)
			return
		}
		for i := k; i < len(w); i++ {
			w[k], w[i] = w[i], w[k]
			next(k + 1)
			w[k], w[i] = w[i], w[k]
		}
	}
	next(0)
}
