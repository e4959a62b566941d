package rows

import "slices"

// A chain that fills its rows to the last, with one whole strip in a row at most,
// hangs together as a tree of hubs and rows: one more cut, or a second whole strip in
// a row, would leave more unused than there is to spare. hanging looks for the tree of
// least cost: which strips are hubs, how often each is cut, and leaf by leaf which rows
// a hub fills to their end and in which one it meets another hub. Chains with fill are
// laid as such trees too.
type hanging struct {
	*chains
	set   []int
	rows  int64
	fill  int64 // that one row wants
	spare int64 // unused beyond the cuts
	off   int64 // of it, what any strip may be shorter by
	less  int   // the strip that is shorter by what is to spare; -1 = not told
	limit int64 // of cost
	cuts  []int64
	best  int64
	tries int  // left for a tree
	tried int  // in all
	given bool // what the tries do not settle counts as found

	long     []int64 // of hubs, the first one is the last to be laid
	cut      []int64 // of hubs
	rest     []int64 // that rows want
	filled   int     // the row with the fill
	hub, row []int   // what they are in set; -1 = no whole strip
	laid     []hung
	layout   *laidChain
}

// hung is a piece of a hub in a row.
type hung struct {
	hub, row int
	length   int64
}

const (
	hangTries = 1000   // for one tree
	hangAll   = 20_000 // for a chain
	hangWork  = 5      // of them a unit of work
	hangMost  = 60     // strips, or rows
	hangRows  = 4      // chains of more are taken to hang together as cheaply as can be
)

// beyondCuts is what r rows want of fill beside strips of a total length, and what
// these leave unused beyond the cuts.
func (c *chains) beyondCuts(total, r int64) (fill, spare int64) {
	spare = total - c.s.cut*(r-1) - r*c.s.panel
	if spare < 0 {
		fill = max(-spare, c.s.piece)
		spare += fill
	}
	return fill, spare
}

// mayHang is true for several rows with one whole strip in each at most, not too many.
func (c *chains) mayHang(strips int, r int64) bool {
	return c.abreast == 1 && r > 1 && max(int64(strips), r) <= hangMost
}

// hangs is the least that a set costs in r rows, given a bound, as far as it is no
// more than a limit.
func (c *chains) hangs(set []int, r, least, limit int64) int64 {
	total := c.lengthOf(set) * c.grain
	fill, spare := c.beyondCuts(total, r)
	if fill > 0 || !c.mayHang(len(set), r) {
		return least
	}
	low := c.saving[set[0]]
	other := max(least, low*min(c.unused(total, r, r), c.tight))
	h := hanging{chains: c, set: set, rows: r, spare: spare, off: spare, less: -1, limit: min(limit, other-1), given: true}
	h.start(low)
	*c.work += int64(h.tried) / hangWork
	if h.tried > hangAll { // not all is tried
		return least
	}
	return min(h.best, other)
}

// hang lays a chain that may hang; nil where it finds no tree.
func (c *chains) hang(q *chain) *laidChain {
	fill, spare := c.beyondCuts(c.lengthOf(q.strips)*c.grain, q.rows)
	for i, k := range q.strips {
		h := hanging{chains: c, set: q.strips, rows: q.rows, fill: fill, spare: spare, less: i, limit: q.cost}
		h.start(c.saving[k])
		*c.work += int64(h.tried) / hangWork
		if h.layout != nil || spare == 0 {
			return h.layout
		}
	}
	return nil
}

// start looks for the tree, what is to spare being of a strip of some saving.
func (h *hanging) start(saving int64) {
	h.best = never
	h.cuts = make([]int64, len(h.set))
	h.choose(0, h.rows-1, h.rows, h.spare*saving)
}

// of is the length of strip i of the set.
func (h *hanging) of(i int) int64 {
	l := h.length[h.set[i]] * h.grain
	if i == h.less {
		l -= h.spare
	}
	return l
}

// choose tells for strip i on whether it is whole or how often it is cut.
func (h *hanging) choose(i int, cuts, wholes, cost int64) {
	if i == len(h.set) {
		if cuts == 0 && h.fits() {
			h.best = cost
		}
		return
	}
	k := h.set[i]
	each := h.saving[k] * h.s.cut
	if h.layout != nil || h.tried > hangAll || cost+cuts*each > min(h.limit, h.best-1) {
		return // no strip to come is cut for less
	}
	for n := cuts; n > 0; n-- {
		h.cuts[i] = n
		h.choose(i+1, cuts-n, wholes, cost+n*each)
	}
	if wholes > 0 && h.of(i)-h.off <= h.room {
		h.cuts[i] = 0
		h.choose(i+1, cuts, wholes-1, cost)
	}
}

// fits tells whether the hubs, cut so often, fill the rows. First by the room they
// have: where a hub of least saving is among them, the others lie in rows that it is
// not in, of which there are no more than they have cuts, and in rows that it shares,
// of which there are no more than such hubs, each less the shortest piece.
func (h *hanging) fits() bool {
	h.long, h.cut, h.rest, h.hub, h.row = h.long[:0], h.cut[:0], h.rest[:0], h.hub[:0], h.row[:0]
	low, shared, room := h.saving[h.set[0]], int64(0), int64(0)
	first := false
	for i, k := range h.set {
		l := h.of(i)
		if h.cuts[i] == 0 {
			rest := h.s.panel - min(l, h.room)
			if rest+h.off < h.s.piece {
				return false
			}
			h.rest, h.row = append(h.rest, rest), append(h.row, i)
			continue
		}
		h.long, h.cut, h.hub = append(h.long, l), append(h.cut, h.cuts[i]), append(h.hub, i)
		if h.saving[k] == low {
			first = true
			continue
		}
		shared += 1 + h.cuts[i]
		room += h.cuts[i]*(h.s.panel+h.s.cut) + h.s.panel - h.s.piece - l
	}
	if first && h.short(shared, room+h.off) {
		return false
	}
	for int64(len(h.rest)) < h.rows {
		h.rest, h.row = append(h.rest, h.s.panel), append(h.row, -1)
	}
	h.tries, h.laid = hangTries, h.laid[:0]
	if h.fill == 0 {
		return h.leaf(1<<len(h.long)-1, 1<<len(h.rest)-1)
	}
	for h.filled = range h.rest {
		if h.rest[h.filled]-h.fill < h.s.piece {
			continue
		}
		h.rest[h.filled] -= h.fill
		if h.leaf(1<<len(h.long)-1, 1<<len(h.rest)-1) {
			return true
		}
		h.rest[h.filled] += h.fill
	}
	return false
}

// short is true when the shortest whole strips of so many rows are longer than the
// room that hubs leave in them.
func (h *hanging) short(rows, room int64) bool {
	empty := h.rows - int64(len(h.rest))
	whole := min(rows, h.rows) - empty
	if whole <= 0 {
		return room < 0
	}
	var at [64]int64
	w := at[:0]
	for _, rest := range h.rest {
		w = append(w, h.s.panel-rest)
	}
	slices.Sort(w)
	for _, l := range w[:whole] {
		room -= l
	}
	return room < 0
}

// leaf lays a hub that meets others in one row only, and goes on with the rest of the
// hubs and rows.
func (h *hanging) leaf(hubs, rows uint64) bool {
	h.tried++
	if h.tries--; h.tries < 0 {
		return h.given
	}
	if hubs == 1 {
		for j := range h.rest {
			if rows>>j&1 != 0 {
				h.laid = append(h.laid, hung{0, j, h.rest[j]})
			}
		}
		h.keep()
		return true
	}
	for i := 1; i < len(h.long); i++ {
		if hubs>>i&1 != 0 && h.end(hubs&^(1<<i), rows, i, 0, h.cut[i], h.long[i]-h.cut[i]*h.s.cut) {
			return true
		}
	}
	return false
}

// end fills so many rows from place from on to their end with hub i, which has left
// left for them and for the row where it meets another.
func (h *hanging) end(hubs, rows uint64, i, from int, more, left int64) bool {
	for j := from; j < len(h.rest); j++ {
		if rows>>j&1 == 0 {
			continue
		}
		n := left
		if more > 0 {
			n = h.rest[j]
			if left-n < h.s.piece {
				continue
			}
		} else if h.rest[j]-n+h.off < h.s.piece {
			continue
		}
		h.laid = append(h.laid, hung{i, j, n})
		var ok bool
		switch {
		case more > 1:
			ok = h.end(hubs, rows&^(1<<j), i, j+1, more-1, left-n)
		case more == 1:
			ok = h.end(hubs, rows&^(1<<j), i, 0, 0, left-n)
		default:
			h.rest[j] -= n
			ok = h.leaf(hubs, rows)
			h.rest[j] += n
		}
		if ok {
			return true
		}
		h.laid = h.laid[:len(h.laid)-1]
	}
	return false
}

// keep makes rows of the tree found.
func (h *hanging) keep() {
	if h.given {
		return
	}
	l := &laidChain{rows: make([][]cutPiece, h.rows), fill: make([]int64, h.rows)}
	l.fill[h.filled] = h.fill
	for j, i := range h.row {
		if i >= 0 {
			l.rows[j] = append(l.rows[j], cutPiece{h.strips[h.set[i]], h.of(i)})
		}
	}
	for _, p := range h.laid {
		l.rows[p.row] = append(l.rows[p.row], cutPiece{h.strips[h.set[h.hub[p.hub]]], p.length})
	}
	h.layout = l
}
