package rows

import (
	"slices"
)

// laidChain is the rows of a chain; fill[i] is what a row still wants of fill.
type laidChain struct {
	rows [][]cutPiece
	fill []int64
	cost int64
}

// layOut finds rows for a chain that leave no more unused than it has to: cuts are
// made only in its hubs and the strips of its least saving. Rows are poured one after the other
// from such a strip, the hub, each with whole strips beside it; a hub that ends
// within a row is followed by another hub or, once, by fill.
func (c *chains) layOut(q *chain) *laidChain {
	l := &layer{chains: c, q: q, used: make([]bool, len(q.strips)), tries: 3000}
	l.low = c.saving[q.strips[0]]
	var total int64
	for _, k := range q.strips {
		l.low = min(l.low, c.saving[k])
		total += c.length[k] * c.grain
	}
	l.spare = c.unused(total, q.rows, q.rows-1) - c.s.cut*(q.rows-1)
	if !l.row(0, -1, 0) {
		return nil
	}
	used := map[int]int64{}
	for _, row := range l.rows {
		for _, p := range row {
			used[p.strip] += p.length
		}
	}
	out := &laidChain{l.rows, l.fills, 0}
	for i, k := range q.strips {
		out.cost += c.saving[k] * (l.len(i) - used[l.strip(i)])
	}
	return out
}

type layer struct {
	*chains
	q     *chain
	low   int64
	spare int64 // may be left unused beside the cuts
	used  []bool
	rows  [][]cutPiece
	fills []int64
	tries int
}

func (l *layer) len(i int) int64 { return l.length[l.q.strips[i]] * l.grain }
func (l *layer) hub(i int) bool  { return l.q.hubs[i] || l.saving[l.q.strips[i]] == l.low }
func (l *layer) strip(i int) int { return l.strips[l.q.strips[i]] }

// row lays row n and those after it; hub is the strip poured from (-1: none) with
// rest left of it.
func (l *layer) row(n int64, hub int, rest int64) bool {
	if l.tries--; l.tries < 0 {
		return false
	}
	if n == l.q.rows {
		return !slices.Contains(l.used, false) && hub < 0
	}
	if hub < 0 && n > 0 {
		return false // the rows before hang together with none after
	}
	if hub < 0 {
		if l.q.rows == 1 {
			return l.single()
		}
		for i := range l.q.strips {
			if l.hub(i) {
				l.used[i] = true
				if l.with(n, i, l.len(i), nil, l.s.panel, 0) {
					return true
				}
				l.used[i] = false
			}
		}
		return false
	}
	return l.with(n, hub, rest, nil, l.s.panel, 0)
}

// with adds whole strips, from place from on, to a row that wants so much more,
// then closes it from the hub.
func (l *layer) with(n int64, hub int, rest int64, row []cutPiece, want int64, from int) bool {
	if l.close(n, hub, rest, row, want) {
		return true
	}
	if len(row) >= 3 {
		return false
	}
	for i := from; i < len(l.q.strips); i++ {
		if l.used[i] || want-l.len(i) < l.s.piece {
			continue
		}
		if i > from && !l.used[i-1] && l.len(i) == l.len(i-1) && l.hub(i) == l.hub(i-1) {
			continue // as good as the one before
		}
		l.used[i] = true
		if l.with(n, hub, rest, append(slices.Clip(row), cutPiece{l.strip(i), l.len(i)}), want-l.len(i), i+1) {
			return true
		}
		l.used[i] = false
		if l.tries < 0 {
			return false
		}
	}
	return false
}

func (l *layer) close(n int64, hub int, rest int64, row []cutPiece, want int64) bool {
	piece, cut := l.s.piece, l.s.cut
	last := n == l.q.rows-1
	done := func(row []cutPiece, fill int64, hub int, rest int64) bool {
		l.rows, l.fills = append(l.rows, row), append(l.fills, fill)
		if l.row(n+1, hub, rest) {
			return true
		}
		l.rows, l.fills = l.rows[:len(l.rows)-1], l.fills[:len(l.fills)-1]
		return false
	}
	from := func(hub int, length int64) []cutPiece {
		return append(slices.Clip(row), cutPiece{l.strip(hub), length})
	}
	if last { // all that is left of the hub is for this row
		left := rest - want
		switch {
		case left >= 0 && left <= l.spare && !slices.Contains(l.used, false):
			return done(from(hub, want), 0, -1, 0)
		case left < 0 && !slices.Contains(l.used, false):
			take := rest
			if -left < piece {
				take = want - piece
			}
			if rest-take <= l.spare && take >= piece {
				return done(from(hub, take), want-take, -1, 0)
			}
		}
	}
	if !last && want >= piece && rest-want-cut >= piece {
		if done(from(hub, want), 0, hub, rest-want-cut) {
			return true
		}
	}
	// The hub ends here and another goes on.
	if rest >= piece && want-rest >= piece && len(row) < 3 {
		for i := range l.q.strips {
			need := want - rest
			if l.used[i] || !l.hub(i) || l.len(i)-need-cut < piece || last {
				continue
			}
			l.used[i] = true
			if done(append(from(hub, rest), cutPiece{l.strip(i), need}), 0, i, l.len(i)-need-cut) {
				return true
			}
			l.used[i] = false
		}
	}
	return false
}

// single lays a chain of one row: whole strips, one of them shortened where they
// are too long, and fill.
func (l *layer) single() bool {
	var total int64
	var row []cutPiece
	for i := range l.q.strips {
		total += l.len(i)
		row = append(row, cutPiece{l.strip(i), l.len(i)})
	}
	fill := l.s.panel - total
	if fill < l.s.piece && fill != 0 {
		keep := l.s.panel
		if fill > 0 {
			keep -= l.s.piece
		}
		short := total - keep
		for i := range row {
			if l.hub(i) && row[i].length-short >= l.s.piece {
				row[i].length -= short
				l.rows, l.fills = [][]cutPiece{row}, []int64{l.s.panel - keep}
				return true
			}
		}
		return false
	}
	l.rows, l.fills = [][]cutPiece{row}, []int64{fill}
	return true
}
