package rows

import "slices"

// laidChain is the rows of a chain; fill[i] is what a row still wants of fill.
type laidChain struct {
	rows [][]cutPiece
	fill []int64
}

// Bounds of laying a chain: rows tried, and pieces in a row without its fill.
const (
	layTries   = 4000
	piecesLaid = 4
)

// layOut finds rows for a chain that cost no more than it says; nil where it finds
// none. Rows are poured one after the other from a strip, the hub, each with whole
// strips beside it; a hub that ends within a row is followed by another.
func (c *chains) layOut(q *chain) *laidChain {
	if c.mayHang(len(q.strips), q.rows) {
		return c.hang(q)
	}
	l := &layer{chains: c, q: q, used: make([]bool, len(q.strips)), spare: q.cost}
	for _, k := range q.strips {
		l.long, l.left = append(l.long, c.length[k]*c.grain), l.left+c.length[k]*c.grain
	}
	l.tries, l.tried = layTries, layTries
	defer func() { *c.work += int64(l.tried-l.tries) / 12 }()
	if q.rows == 1 && l.single() || q.rows > 1 && l.first() {
		return &laidChain{l.rows, l.fills}
	}
	// What is left unused beyond the cuts may be of any strip, not only of the last
	// one cut.
	short := c.unused(l.left, q.rows, q.rows-1) - (q.rows-1)*c.s.cut
	if q.rows == 1 || short <= 0 {
		return nil
	}
	for i := range q.strips {
		lost := short * l.save(i)
		if lost > l.spare || l.long[i]-short < c.s.piece {
			continue
		}
		l.tried += layTries - l.tries
		l.tries, l.spare, l.left = layTries, q.cost-lost, l.left-short
		l.long[i] -= short
		if l.first() {
			return &laidChain{l.rows, l.fills}
		}
		l.long[i] += short
		l.spare, l.left = q.cost, l.left+short
	}
	return nil
}

type layer struct {
	*chains
	q     *chain
	used  []bool
	long  []int64 // of the strips, less what one of them is shortened by
	left  int64   // length of strips not yet laid, the rest of the hub too
	spare int64   // coins that may still be lost
	rows  [][]cutPiece
	fills []int64
	tries int
	tried int // in all, with those left
}

func (l *layer) len(i int) int64  { return l.long[i] }
func (l *layer) save(i int) int64 { return l.saving[l.q.strips[i]] }
func (l *layer) strip(i int) int  { return l.strips[l.q.strips[i]] }

// whole is what a strip gives in one piece beside others.
func (l *layer) whole(i int) int64 { return min(l.len(i), l.room) }

func (l *layer) first() bool {
	for i := range l.q.strips {
		l.used[i] = true
		if l.with(i, l.len(i), nil, l.s.panel, 0) {
			return true
		}
		l.used[i] = false
	}
	return false
}

// with adds whole strips, from place from on, to a row that wants so much more,
// then closes it from the hub, which has rest left.
func (l *layer) with(hub int, rest int64, row []cutPiece, want int64, from int) bool {
	if l.tries--; l.tries < 0 {
		return false
	}
	if l.close(hub, rest, row, want) {
		return true
	}
	if len(row) >= piecesLaid-1 {
		return false
	}
	for i := from; i < len(l.q.strips) && l.tries >= 0; i++ {
		n := l.whole(i)
		lost := (l.len(i) - n) * l.save(i)
		if l.used[i] || want-n < l.s.piece || lost > l.spare {
			continue
		}
		if i > from && !l.used[i-1] && l.len(i) == l.len(i-1) && l.save(i) == l.save(i-1) {
			continue // as good as the one before
		}
		l.used[i] = true
		l.left -= l.len(i)
		l.spare -= lost
		if l.with(hub, rest, append(slices.Clip(row), cutPiece{l.strip(i), n}), want-n, i+1) {
			return true
		}
		l.spare += lost
		l.left += l.len(i)
		l.used[i] = false
	}
	return false
}

// done lays a row; the hub goes on with rest in the next one.
func (l *layer) done(row []cutPiece, fill int64, hub int, rest int64) bool {
	l.rows, l.fills = append(l.rows, row), append(l.fills, fill)
	if l.with(hub, rest, nil, l.s.panel, 0) {
		return true
	}
	l.rows, l.fills = l.rows[:len(l.rows)-1], l.fills[:len(l.fills)-1]
	return false
}

// close ends a row with pieces of the hub, of another where it ends, and fill.
func (l *layer) close(hub int, rest int64, row []cutPiece, want int64) bool {
	piece, cut := l.s.piece, l.s.cut
	from := func(row []cutPiece, hub int, length int64) []cutPiece {
		return append(slices.Clip(row), cutPiece{l.strip(hub), length})
	}
	if int64(len(l.rows)) == l.q.rows-1 { // all that is left of the hub is for this row
		if slices.Contains(l.used, false) {
			return false
		}
		take := min(rest, want)
		if fill := want - take; fill > 0 && fill < piece {
			take = want - piece
		}
		if take < piece || (rest-take)*l.save(hub) > l.spare {
			return false
		}
		l.rows, l.fills = append(l.rows, from(row, hub, take)), append(l.fills, want-take)
		return true
	}
	// What the rows want beyond the strips is fill: all of it, the least there may
	// be, or none of it is in this row.
	lacks := (l.q.rows-int64(len(l.rows)))*l.s.panel - (l.s.panel - want) - l.left
	for k, fill := range [3]int64{0, lacks, piece} {
		if k > 0 && (fill < piece || k == 2 && fill >= lacks) {
			continue
		}
		need := want - fill
		if lost := cut * l.save(hub); need >= piece && rest-need-cut >= piece && lost <= l.spare {
			l.spare -= lost
			l.left -= need + cut
			if l.done(from(row, hub, need), fill, hub, rest-need-cut) {
				return true
			}
			l.left += need + cut
			l.spare += lost
		}
		if rest < piece || need-rest < piece || len(row)+2 > piecesLaid {
			continue
		}
		need -= rest // the hub ends here and another goes on
		for i := range l.q.strips {
			lost := cut * l.save(i)
			if l.used[i] || l.len(i)-need-cut < piece || lost > l.spare {
				continue
			}
			l.used[i] = true
			l.spare -= lost
			l.left -= rest + need + cut
			if l.done(from(from(row, hub, rest), i, need), fill, i, l.len(i)-need-cut) {
				return true
			}
			l.left += rest + need + cut
			l.spare += lost
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
	short, fill := total-l.s.panel, int64(0)
	if short < 0 {
		if fill = -short; fill < l.s.piece {
			short, fill = l.s.piece-fill, l.s.piece
		} else {
			short = 0
		}
	}
	for i := range row {
		if row[i].length-short >= l.s.piece && short*l.save(i) <= l.spare {
			row[i].length -= short
			l.rows, l.fills = [][]cutPiece{row}, []int64{fill}
			return true
		}
	}
	return false
}
