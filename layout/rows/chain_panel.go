package rows

import (
	"cmp"
	"math/rand/v2"
	"slices"
)

// Bounds of the search for chains: rounds of generating at the root and in a
// dive, and how often rows are put in order anew.
const (
	rootRounds = 400
	diveRounds = 30
	orderTries = 4000
	panelTries = 12
	mostIdle   = 300
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
		x := ch.search(c.ctx, int64(c.limit)*3/4)
		all := make([]bool, len(ch.strips))
		for i := range all {
			all[i] = true
		}
		if len(all) == 0 {
			continue
		}
		x.relax(all, ch.rows, func(int) bool { return true }, rootRounds, true)
		if x.bound >= 0 {
			if least := c.s.wood(ch.base + x.bound*ch.coin); least.GreaterThan(f.least) {
				f.least = least
			}
		}
		x.panels(all, func(rows [][]cutPiece) bool {
			d := c.s.newSearcher(c.ctx, f.floor, nil, 2)
			c.offer(measureUp(c.job, d.arrangement(rows)))
			return c.best != nil && c.best.Planed.Sub(f.least).LessThan(oneCubicMillimetre)
		})
	}
	c.sortFloors()
}

// panels finds partitions, ever better ones, and offers the rows of each; it ends
// when offer says that is enough, or when nothing gets better.
func (x *chainSearch) panels(all []bool, offer func([][]cutPiece) bool) {
	taken, cost := x.dive(all, x.rows, diveRounds)
	p := partition{taken, cost}
	r := rand.New(rand.NewPCG(1, uint64(len(all))))
	laid, tries, idle := int64(-1), 0, 0 // cost of the last panel offered
	for len(p.taken) > 0 {
		if p.cost != laid && tries < panelTries {
			tries++
			if rows := x.panel(p, r); rows != nil {
				if offer(rows) {
					return
				}
				laid, tries = p.cost, 0
			}
		}
		if x.over() || idle > mostIdle || laid >= 0 && p.cost <= x.bound {
			return
		}
		q := x.better(p, r)
		if idle++; q.cost < p.cost {
			idle, tries = 0, 0
		}
		p = q
	}
}

// panel lays the chains of a partition side by side: it finds the fill and puts
// the rows in an order that keeps stagger and steps. nil where it finds none.
func (x *chainSearch) panel(p partition, r *rand.Rand) [][]cutPiece {
	var rows [][]cutPiece
	var fill []int64
	for _, j := range p.taken {
		l := x.lay(j)
		for i, row := range l.rows {
			rows, fill = append(rows, slices.Clip(row)), append(fill, l.fill[i])
		}
	}
	for len(rows) < int(x.rows) {
		rows, fill = append(rows, nil), append(fill, x.s.panel)
	}
	if len(rows) > int(x.rows) || !x.fillRows(rows, fill) {
		return nil
	}
	return x.s.inOrder(rows, r)
}

// fillRows gives every row its fill from the strips that save nothing, the
// cheapest first: in one piece where it can be, else in two.
func (x *chainSearch) fillRows(rows [][]cutPiece, fill []int64) bool {
	s := x.s
	left := slices.Clone(s.length)
	row := make([]int, len(rows))
	for i := range row {
		row[i] = i
	}
	slices.SortStableFunc(row, func(a, b int) int { return cmp.Compare(fill[b], fill[a]) })
	take := func(r, strip int, n int64) {
		rows[r] = append(rows[r], cutPiece{strip, n})
		left[strip] -= n + s.cut
		fill[r] -= n
	}
	for from := 0; from < len(x.fills); {
		to := from // strips of one loss
		for to < len(x.fills) && x.loss[x.fills[to]] == x.loss[x.fills[from]] {
			to++
		}
		class := x.fills[from:to]
		from = to
		for _, r := range row {
			for fill[r] > 0 {
				best, longest := -1, -1
				for _, i := range class {
					if left[i] >= fill[r] && (best < 0 || left[i] < left[best]) {
						best = i
					}
					if longest < 0 || left[i] > left[longest] {
						longest = i
					}
				}
				if best >= 0 {
					take(r, best, fill[r])
					break
				}
				part := min(left[longest], fill[r]-s.piece)
				if part < s.piece || len(rows[r]) > 2 {
					break
				}
				take(r, longest, part)
			}
		}
	}
	return slices.Max(fill) == 0
}

// inOrder puts rows, each turned as need be, in an order that keeps stagger and
// steps: the rows that go with fewest others first. nil where none is found.
func (s *scaled) inOrder(rows [][]cutPiece, r *rand.Rand) [][]cutPiece {
	d := &searcher{scaled: s}
	var ways [][]cutPiece // every way to lay every row
	var rowOf []int
	for i, row := range rows {
		arrange(row, func(w []cutPiece) {
			for k := 1; k < len(w); k++ {
				if step := s.thick[w[k].strip] - s.thick[w[k-1].strip]; step > s.step || -step > s.step {
					return
				}
			}
			ways, rowOf = append(ways, slices.Clone(w)), append(rowOf, i)
		})
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
func arrange(row []cutPiece, use func([]cutPiece)) {
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
