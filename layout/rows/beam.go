package rows

import (
	"cmp"
	"context"
	"slices"
)

// The search builds the panel row by row. A state holds what is left of every
// strip and the row last laid, against which the next must stagger; the best
// states of each depth are kept (a beam), ranked by the wood lost so far plus
// the least that the rest must lose. It runs once for each thickness the
// thinnest piece may have, most promising first, narrow and then wide.

type cutPiece struct {
	strip  int
	length int64
}

type state struct {
	left   []int64
	row    []cutPiece
	parent *state
	rows   int
	width  int64 // so far
	lost   int64 // so far, for the floor of the search
	rank   int64 // lost and the least still to lose
	joints int
	scrap  int64 // length of strip ends too short to be a piece
}

type searcher struct {
	*scaled
	ctx    context.Context
	floor  int64
	t      int64   // panel thickness for this floor
	order  []int   // strips by cost
	target []int64 // size across aimed at, row by row; none = no aim
	locks  map[int][]Lock
	lastLk int // last row with a lock
	index  map[string]int
	beam   int
	work   int
	limit  int
	used   *int // work of the whole Compose

	end   int        // rows at which the search is done; 0 = by the job
	after []cutPiece // the row that follows then
}

// lookAhead is how many strips are tried for a place.
const lookAhead = 9

// rowsKept and placeLimit are how many rows are weighed for a state and how many
// pieces placed for it; a wider beam looks closer.
func (d *searcher) rowsKept() int   { return 8 + d.beam }
func (d *searcher) placeLimit() int { return 300 + 25*d.beam }

func (s *scaled) newSearcher(ctx context.Context, floor int64, plan *windowPlan, beam int) *searcher {
	var allowed []bool
	d := &searcher{scaled: s, ctx: ctx, floor: floor, t: floor - s.cleanup2, beam: beam, locks: map[int][]Lock{}, index: map[string]int{}}
	if plan != nil {
		allowed, d.target = plan.chosen, plan.target
	}
	for i, t := range s.job.Strips {
		d.index[t.ID] = i
	}
	locked := make([]bool, s.n)
	for _, l := range s.job.Locks {
		d.locks[l.Row-1] = append(d.locks[l.Row-1], l)
		d.lastLk = max(d.lastLk, l.Row)
		locked[d.index[l.Strip]] = true
	}
	for _, i := range s.byCost(floor) {
		if allowed == nil || allowed[i] || locked[i] {
			d.order = append(d.order, i)
		}
	}
	return d
}

// lockedOut is true when a locked strip is thinner than the floor.
func (d *searcher) lockedOut() bool {
	in := map[int]bool{}
	for _, i := range d.order {
		in[i] = true
	}
	for _, l := range d.job.Locks {
		if !in[d.index[l.Strip]] {
			return true
		}
	}
	return false
}

func (d *searcher) done(st *state) bool {
	if d.end > 0 {
		return st.rows == d.end
	}
	if d.job.Rows > 0 {
		return st.rows == d.job.Rows
	}
	return st.width >= d.scaled.width && st.rows >= d.lastLk
}

// run returns the best complete state, or nil.
func (d *searcher) run() *state {
	if d.lockedOut() {
		return nil
	}
	return d.runFrom(&state{left: slices.Clone(d.length)}, nil)
}

// runFrom goes on from a state; only what is better than best counts.
func (d *searcher) runFrom(first, best *state) *state {
	front := []*state{first}
	for len(front) > 0 {
		var next []*state
		for _, st := range front {
			for _, child := range d.next(st) {
				if d.done(child) {
					if !d.meets(child.row, d.after) {
						continue
					}
					if best == nil || better(child, best) {
						best = child
					}
					continue
				}
				next = append(next, child)
			}
			if d.ctx.Err() != nil || *d.used > d.limit {
				return best
			}
		}
		front = d.keep(next, best)
	}
	return best
}

func better(a, b *state) bool { return compare(a, b) < 0 }

// compare puts the state that loses less first, then fewer joints, less scrap.
func compare(a, b *state) int {
	return cmp.Or(cmp.Compare(a.rank, b.rank), cmp.Compare(a.joints, b.joints), cmp.Compare(a.scrap, b.scrap))
}

// keep sorts the states and drops those that leave the same lengths behind the
// same last row as a better one.
func (d *searcher) keep(next []*state, best *state) []*state {
	slices.SortStableFunc(next, compare)
	seen := map[uint64]int{}
	out := next[:0]
	for _, st := range next {
		if len(out) == d.beam {
			break
		}
		if best != nil && !better(st, best) {
			continue
		}
		h := uint64(1469598103934665603)
		for _, v := range st.left {
			h = (h ^ uint64(v)) * 1099511628211
		}
		if seen[h] >= 2 {
			continue
		}
		seen[h]++
		out = append(out, st)
	}
	return out
}

// lay adds a row to a state; nil when what is left cannot make the rest.
func (d *searcher) lay(st *state, row []cutPiece) *state {
	c := &state{left: append([]int64(nil), st.left...), row: row, parent: st, rows: st.rows + 1, joints: st.joints + len(row) - 1, scrap: st.scrap}
	narrow := d.rowWidth(row[0].strip)
	for _, q := range row {
		narrow = min(narrow, d.rowWidth(q.strip))
		c.left[q.strip] -= q.length + d.cut
		if rest := c.left[q.strip]; rest < d.piece {
			c.scrap += max(rest, 0)
			c.left[q.strip] = 0
		}
	}
	c.lost = st.lost
	for _, q := range row {
		c.lost += q.length * d.section(q.strip, narrow, d.t)
	}
	c.width = st.width + narrow
	if d.done(c) {
		c.rank = c.lost
		return c
	}
	rest, ok := d.estimate(c)
	if !ok {
		return nil
	}
	c.rank = c.lost + rest
	return c
}

// estimate is the wood the rest of the panel loses at least.
func (d *searcher) estimate(c *state) (int64, bool) {
	return d.pourBound(d.order, c.left, d.t, int64(max(d.job.Rows, 0)-c.rows)-int64(d.behind()), d.scaled.width-c.width)
}

// behind is the number of rows already laid after the end of the search.
func (d *searcher) behind() int {
	if d.end == 0 {
		return 0
	}
	return d.job.Rows - d.end
}

// arrangement gives rows with the strips' ids, locked pieces turned as asked.
func (d *searcher) arrangement(rows [][]cutPiece) [][]Placed {
	out := make([][]Placed, len(rows))
	for r, row := range rows {
		taken := map[int]bool{}
		places := make([]Placed, len(row))
		for i, q := range row {
			places[i] = Placed{Strip: d.job.Strips[q.strip].ID, Length: lengthOf(q.length, d.unit)}
		}
		for _, l := range d.locks[r] {
			for i := range places {
				if places[i].Strip == l.Strip && !taken[i] && (l.Place == 0 || l.Place == i+1) {
					taken[i], places[i].Flip = true, l.Flip
					break
				}
			}
		}
		out[r] = places
	}
	return out
}
