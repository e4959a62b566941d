package rows

import (
	"math/bits"
	"slices"
)

// Laying a class: what is made of its strips is shared out among sets of strips
// that hang together. A set of v strips that makes d things takes v+d-1 pieces,
// so the fewest pieces are those of a choice of sets with the fewest strips less
// sets. Choices are looked through from the fewest pieces on; a set is taken only
// where its pieces are found too.

// Bounds of laying.
const (
	shareNodes  = 40_000 // sets tried in a class
	betterNodes = 50_000 // more of them, once a choice is found
	blockNodes  = 600    // rows tried in a set
	wholeMost   = 3      // whole strips in a row beside the piece that ends it
	moreCuts    = 2      // in a set, where it is not found without
)

// things are what a set of strips makes: full rows, and perhaps what the class
// gives to its own mixed row, and to that of the class before.
type things struct {
	rows    int64
	x, owed bool
}

type block struct {
	strips uint64
	makes  things
}

type classLayer struct {
	*classes
	q       *class
	x, owed int64 // lengths; 0 = none
	used    uint64
	slack   int64 // length that may still be left unused or lost in cuts
	blocks  []block
	nodes   int // left
	spent   int
	more    int   // cuts in a set beyond those that it must have
	waste   int64 // of the blocks
	known   map[block]*cutter
	seen    map[shared]int64 // least waste so far

	least int64 // waste of the best choice
	best  []block
}

// shared is how far the sharing out is.
type shared struct {
	used  uint64
	want  things
	extra int
}

// lay cuts n rows from class k, or n-1 and x, and what is owed. The rows come
// first, then x, then what is owed; nil where none are found.
func (c *classes) lay(k, n int, x, owed int64) [][]cutPiece {
	q := &c.list[k]
	want := things{int64(n), x > 0, owed > 0}
	if want.x {
		want.rows--
	}
	if want == (things{}) {
		return [][]cutPiece{}
	}
	if len(q.strips) > 64 {
		return nil
	}
	l := &classLayer{classes: c, q: q, x: x, owed: owed, known: map[block]*cutter{}, seen: map[shared]int64{}, least: never}
	l.slack = q.total - l.length(want)
	for l.more = range moreCuts + 1 {
		clear(l.known)
		for extra := range len(q.strips) {
			clear(l.seen)
			l.nodes = min(shareNodes, c.nodes)
			l.share(want, extra)
			c.nodes -= l.spent
			l.spent = 0
			if l.best != nil {
				return l.rows()
			}
		}
	}
	return nil
}

func (l *classLayer) length(m things) int64 {
	v := m.rows * l.s.panel
	if m.x {
		v += l.x
	}
	if m.owed {
		v += l.owed
	}
	return v
}

func (m things) count() int64 {
	d := m.rows
	if m.x {
		d++
	}
	if m.owed {
		d++
	}
	return d
}

// share makes what is wanted from the strips not yet used, with sets that have in
// all so many strips more than sets, and keeps the choice that wastes least.
func (l *classLayer) share(want things, extra int) {
	if l.waste >= l.least {
		return
	}
	if want == (things{}) {
		if l.best == nil {
			l.nodes = min(l.nodes, betterNodes)
		}
		l.least, l.best = l.waste, slices.Clone(l.blocks)
		return
	}
	if l.slack < 0 || int64(extra) < want.rows && l.s.length[l.q.strips[0]] < l.s.panel {
		return
	}
	at := shared{l.used, want, extra}
	if waste, seen := l.seen[at]; seen && waste <= l.waste {
		return
	}
	l.seen[at] = l.waste
	first := bits.TrailingZeros64(^l.used)
	if first >= len(l.q.strips) {
		return
	}
	n := l.s.length[l.q.strips[first]]
	l.join(want, extra, len(l.q.strips), first, 1<<first, n)
	// The strip is not used.
	l.used |= 1 << first
	l.slack -= n
	if l.nodes >= 0 {
		l.share(want, extra)
	}
	l.slack += n
	l.used &^= 1 << first
}

// join tries a set of strips, and with more strips, the shortest first.
func (l *classLayer) join(want things, extra, last, first int, set uint64, sum int64) {
	if l.count(1); l.nodes < 0 {
		return
	}
	for _, x := range [2]bool{false, true} {
		for _, owed := range [2]bool{false, true} {
			if x && !want.x || owed && !want.owed {
				continue
			}
			m := things{0, x, owed}
			each := l.s.panel + l.s.cut
			m.rows = min((sum-l.length(m)-l.s.cut*m.count()+l.s.cut)/each, want.rows)
			if sum < l.length(m)+l.s.cut*(m.count()-1) || m == (things{}) || m.rows < 0 {
				continue
			}
			lost := sum - l.length(m)
			if lost > l.slack {
				continue
			}
			b := block{set, m}
			d := l.pieces(b)
			if d == nil {
				continue
			}
			l.used |= set
			l.slack -= lost
			l.waste += d.waste()
			l.blocks = append(l.blocks, b)
			l.share(things{want.rows - m.rows, want.x && !x, want.owed && !owed}, extra)
			l.blocks = l.blocks[:len(l.blocks)-1]
			l.waste -= d.waste()
			l.slack += lost
			l.used &^= set
		}
	}
	if extra == 0 {
		return
	}
	before := int64(0)
	for i := last - 1; i > first; i-- {
		n := l.s.length[l.q.strips[i]]
		if l.used>>i&1 > 0 || n == before { // as good as the one before
			continue
		}
		before = n
		l.join(want, extra-1, i, first, set|1<<i, sum+n)
		if l.nodes < 0 {
			return
		}
	}
}

func (l *classLayer) count(nodes int) { l.nodes, l.spent = l.nodes-nodes, l.spent+nodes }

// rows lists what the blocks make.
func (l *classLayer) rows() [][]cutPiece {
	var out [][]cutPiece
	var x, owed []cutPiece
	for _, b := range l.best {
		made := l.pieces(b).made
		out = append(out, made[:b.makes.rows]...)
		made = made[b.makes.rows:]
		if b.makes.x {
			x, made = made[0], made[1:]
		}
		if b.makes.owed {
			owed = made[0]
		}
	}
	if x != nil {
		out = append(out, x)
	}
	if owed != nil {
		out = append(out, owed)
	}
	return out
}

// pieces cuts what a set of strips makes; nil where it is not found.
func (l *classLayer) pieces(b block) *cutter {
	d, known := l.known[b]
	if !known {
		d = l.cutUp(b)
		l.known[b] = d
	}
	return d
}

// cutter makes things one after the other, each of whole rests of strips and one
// piece cut from another.
type cutter struct {
	s      *scaled
	piece  int64
	strips []int
	rest   []int64
	want   []int64 // lengths still to be made, 0 = made
	made   [][]cutPiece
	nodes  int
	pieces int  // that may still be cut
	parts  bool // a row may hold a part of a rest beside the piece that ends it
}

func (l *classLayer) cutUp(b block) *cutter {
	d := &cutter{s: l.s, piece: l.s.piece, nodes: blockNodes}
	for k, i := range l.q.strips {
		if b.strips>>k&1 > 0 {
			d.strips, d.rest = append(d.strips, i), append(d.rest, l.s.length[i])
		}
	}
	for range b.makes.rows {
		d.want = append(d.want, l.s.panel)
	}
	if b.makes.x {
		d.want = append(d.want, l.x)
	}
	if b.makes.owed {
		d.want = append(d.want, l.owed)
	}
	d.made = make([][]cutPiece, len(d.want))
	d.pieces, d.parts = len(d.strips)+len(d.want)-1+l.more, l.more > 0
	ok := d.next()
	l.count(blockNodes - d.nodes)
	if ok {
		return d
	}
	return nil
}

// waste is the length lost in cuts and ends too short to be a piece.
func (d *cutter) waste() (sum int64) {
	for k, i := range d.strips {
		sum += d.s.length[i]
		if d.rest[k] >= d.piece {
			sum -= d.rest[k]
		}
	}
	for _, row := range d.made {
		for _, q := range row {
			sum -= q.length
		}
	}
	return sum
}

func (d *cutter) next() bool {
	var lacks, have int64
	var seen []int64
	for _, w := range d.want {
		lacks += w
	}
	if lacks == 0 {
		return true
	}
	for _, v := range d.rest {
		if v >= d.piece {
			have += v
		}
	}
	if have < lacks {
		return false
	}
	for k, w := range d.want {
		if w == 0 || slices.Contains(seen, w) {
			continue
		}
		seen = append(seen, w)
		d.want[k] = 0
		if d.fill(k, w, 0, nil) {
			return true
		}
		d.want[k] = w
	}
	return false
}

// fill goes on with thing k, which wants so much more, with whole rests from place
// from on.
func (d *cutter) fill(k int, want int64, from int, row []cutPiece) bool {
	if d.nodes--; d.nodes < 0 || d.pieces <= 0 {
		return false
	}
	// The piece that ends it.
	for i, v := range d.rest {
		if v < want || slices.ContainsFunc(row, func(q cutPiece) bool { return q.strip == d.strips[i] }) {
			continue
		}
		q, end := slices.Clone(row), want
		if want < d.piece { // one before must be shorter
			short := slices.IndexFunc(q, func(q cutPiece) bool { return q.length >= 2*d.piece-want })
			if short < 0 || v < d.piece {
				continue
			}
			q[short].length -= d.piece - want
			end = d.piece
		}
		d.rest[i] -= end + d.s.cut
		d.pieces--
		d.made[k] = append(q, cutPiece{d.strips[i], end})
		if d.next() {
			return true
		}
		d.pieces++
		d.rest[i] = v
	}
	if len(row) >= wholeMost {
		return false
	}
	for i := from; i < len(d.rest); i++ {
		v := d.rest[i]
		for j, n := range [3]int64{v, v - d.piece - d.s.cut, d.piece} {
			if j > 0 && !d.parts {
				break
			}
			if n < d.piece || n > v || n >= want {
				continue
			}
			d.rest[i] = v - n - d.s.cut
			d.pieces--
			if d.fill(k, want-n, i+1, append(slices.Clip(row), cutPiece{d.strips[i], n})) {
				return true
			}
			d.pieces++
			d.rest[i] = v
		}
	}
	return false
}
