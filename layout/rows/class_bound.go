package rows

import (
	"cmp"
	"slices"
)

// Where strips differ in what they take of the panel's width, mixing them in a
// row is dear, and the strips of one size across, a class, make rows by
// themselves as far as they reach. A row is as wide as its thinnest class; what
// it holds of others is planed off by their difference. So a composition comes
// to this: how many rows are as wide as each class, and how much of dearer
// classes is in them.
//
// Of a class of total length T come k full rows and at most a length x beside
// them for a row that is filled up from dearer classes. Strips and rows that
// hang together (share a piece) make a set; v strips and r rows in a set take at
// least v+r-1 pieces, so at least r-1 cuts. With one set, x = T - k·(row + cut).
// Each further set holds full rows only and spares one cut, less what it leaves
// over: worth something where strips come to r·(row + cut) - cut within a cut's
// width. The best choice of such sets, no two with a strip in common, gives the
// most x there can be. What a mixed row takes of the next class is one more thing
// to be made from that class, and may be in such a set too.
//
// The classes are gone through from the thinnest on (dynamic programming): how many
// rows so far, how many of them are open, which later classes go on with, and the
// length that these want; that it is not taken from this class costs the difference
// to the next. What more than one open row wants is poured, without cuts, which
// bounds the loss still. Steps and staggers are left out and kept by the rows laid.
type classes struct {
	s      *scaled
	list   []class
	height int64 // of all strips
	t      int64 // of the panel
	piece  int64 // the shortest allowed; 0 = any
	nodes  int   // left for laying
}

// class is the usable strips of one size across.
type class struct {
	across int64
	strips []int // the longest first
	total  int64 // length
	spared map[made]int64
	less   map[made]int64 // that x must be shorter, since it could not be laid
}

// made is what a class gives besides x: full rows and what is owed.
type made struct{ rows, owed int64 }

const (
	classStrips = 18     // of larger classes, sets are not looked at one by one
	sparedNodes = 20_000 // of the choice of sets
)

// classesAbove sorts the strips of a floor into classes; nil where the bound does
// not apply.
func (s *scaled) classesAbove(floor int64) *classes {
	if s.even || !s.flat || s.job.Rows <= 0 || s.shift > 0 {
		return nil
	}
	c := &classes{s: s, height: floor, t: floor - s.cleanup2, piece: int64(s.job.MinPiece) / s.unit}
	order := s.byCost(floor)
	slices.SortStableFunc(order, func(a, b int) int {
		return cmp.Or(cmp.Compare(s.across[a], s.across[b]), cmp.Compare(s.length[b], s.length[a]))
	})
	for _, i := range order {
		if k := len(c.list) - 1; k < 0 || c.list[k].across != s.across[i] {
			c.list = append(c.list, class{across: s.across[i], spared: map[made]int64{}, less: map[made]int64{}})
		}
		k := &c.list[len(c.list)-1]
		k.strips = append(k.strips, i)
		k.total += s.length[i]
	}
	return c
}

// classRows is a choice for the classes so far.
type classRows struct {
	laid  int   // rows
	open  int   // of them not full yet: later classes go on with them; 3 = or more
	owed  int64 // length that they want
	cost  int64 // at least
	loose bool  // cuts or what single rows want were left out of the count

	n    int   // rows as wide as the last class
	x    int64 // what the last class gives to one of them that stays open; 0 = none
	more int64 // what it gives to the row that was open
	by   made  // what it makes besides x, or besides more to a row that stays open
	from *classRows
}

// least is the choice that costs least, less than a limit; loose ones, which may not
// be possible, are let in for a bound. nil where there is none.
func (c *classes) least(loose bool, limit int64) *classRows {
	front := []classRows{{}}
	for k := range c.list {
		var next []classRows
		for i := range front {
			c.extend(k, &front[i], loose, func(r classRows) {
				// The rows to come are no narrower than this class.
				if r.cost+int64(c.s.job.Rows-r.laid)*c.row(k) < limit && (k+1 < len(c.list) || r.open == 0) {
					r.from = &front[i]
					next = append(next, r)
				}
			})
		}
		// A choice that costs no less than one that owes less is not kept.
		slices.SortStableFunc(next, func(a, b classRows) int {
			return cmp.Or(cmp.Compare(a.laid, b.laid), cmp.Compare(a.open, b.open), cmp.Compare(a.owed, b.owed), cmp.Compare(a.cost, b.cost), compareBool(a.loose, b.loose))
		})
		front = nil
		for _, r := range next {
			if f := len(front) - 1; f < 0 || front[f].laid != r.laid || front[f].open != r.open || r.cost < front[f].cost {
				front = append(front, r)
			}
		}
	}
	var best *classRows
	for i, r := range front {
		if r.laid == c.s.job.Rows && (best == nil || r.cost < best.cost) {
			best = &front[i]
		}
	}
	return best
}

func compareBool(a, b bool) int {
	switch {
	case a == b:
		return 0
	case b:
		return -1
	}
	return 1
}

// row is what a row of class k alone costs.
func (c *classes) row(k int) int64 {
	across := c.list[k].across
	return c.s.panel * (across*c.height - (across-c.s.joining2)*c.t)
}

// extend gives the choices for class k after a choice for those before it.
func (c *classes) extend(k int, from *classRows, loose bool, add func(classRows)) {
	q := &c.list[k]
	panel, piece := c.s.panel, c.piece
	over := int64(0) // of a length that is owed, by the next class and not by this one
	if k+1 < len(c.list) {
		over = c.height * (c.list[k+1].across - q.across)
	}
	most := func(m made) int64 {
		if loose {
			return c.most(q, m)
		}
		return c.most(q, m) - q.less[m]
	}
	for n := 0; from.laid+n <= c.s.job.Rows; n++ {
		r := classRows{laid: from.laid + n, loose: from.loose, n: n}
		owing := func(r classRows, open int, owed int64) {
			r.open, r.owed = open, owed
			r.cost = from.cost + int64(n)*c.row(k) + over*owed
			add(r)
		}
		rows, lacks := int64(n), int64(n)*panel+from.owed-q.total
		if from.open <= 1 {
			// What is owed is given.
			full := r
			full.more, full.by = from.owed, made{rows - 1, from.owed}
			if n == 0 {
				if lacks <= 0 {
					owing(full, 0, 0)
				}
			} else if x := most(full.by); x >= panel {
				owing(full, 0, 0)
			} else if x = min(x, panel-piece); x > 0 && x >= piece {
				full.x = x
				owing(full, 1, panel-x)
			}
		}
		if from.open == 1 {
			// The open row gets nothing, or a part.
			if by := (made{rows - 1, 0}); n == 0 || most(by) >= panel {
				none := r
				none.by = by
				owing(none, 1, from.owed)
			}
			part := r
			part.by = made{rows, 0}
			part.more = min(most(part.by), from.owed-piece)
			if part.more > 0 && part.more >= piece {
				owing(part, 1, from.owed-part.more)
			}
		}
		if !loose {
			continue
		}
		r.loose = true
		if from.open <= 1 {
			switch {
			case n >= 2 && from.open == 0:
				owing(r, 2, max(2*piece, 2*panel-c.beside(q, made{rows - 2, 0})))
			case n >= 1 && from.open == 1:
				// With the row that was open, or two others.
				two := from.owed + panel - c.beside(q, made{rows - 1, 0})
				if n >= 2 {
					two = min(two, 2*panel-c.beside(q, made{rows - 2, from.owed}))
				}
				owing(r, 2, max(2*piece, two))
			}
			if n+from.open >= 3 {
				owing(r, 3, max(3*piece, lacks))
			}
			continue
		}
		if lacks <= 0 {
			owing(r, 0, 0)
		}
		if one := max(piece, lacks); one <= panel-piece {
			owing(r, 1, one)
		}
		owing(r, 2, max(2*piece, lacks))
		if n+from.open >= 3 {
			owing(r, 3, max(3*piece, lacks))
		}
	}
}

// most is the length that a class gives at most to one more thing, beside what is
// made of it; more than a row may be said to be less, but still is more.
func (c *classes) most(q *class, m made) int64 {
	x := c.left(q, m)
	// Looked at closely only where it matters.
	if all := m.rows + 1; x < c.s.panel && x+all*c.s.cut >= c.piece {
		x += c.sparedBy(q, m)
	}
	return x
}

// beside is the length that a class gives at most to more things, as long as each of
// them has any length that suits.
func (c *classes) beside(q *class, m made) int64 { return c.left(q, m) + c.sparedBy(q, m) }

// left is the length of a class less what is made of it and a cut for each.
func (c *classes) left(q *class, m made) int64 {
	x := q.total - m.rows*(c.s.panel+c.s.cut)
	if m.owed > 0 {
		x -= m.owed + c.s.cut
	}
	return x
}

// sparedBy is the most length that sets of strips of their own spare.
func (c *classes) sparedBy(q *class, m made) int64 {
	if v, known := q.spared[m]; known {
		return v
	}
	v := c.spare(q, m)
	q.spared[m] = v
	return v
}

// tidy is a set of strips that comes to full rows, and perhaps what is owed, with
// less than a cut left over.
type tidy struct {
	strips uint32
	rows   int64
	owed   bool
	spares int64
}

func (c *classes) spare(q *class, m made) int64 {
	all := m.rows // sets there can be
	if m.owed > 0 {
		all++
	}
	all *= c.s.cut
	if len(q.strips) > classStrips || all == 0 {
		return all
	}
	sums := make([]int64, 1<<len(q.strips)) // length of every set
	for b, i := range q.strips {
		for set := range 1 << b {
			sums[1<<b|set] = sums[set] + c.s.length[i]
		}
	}
	var sets []tidy
	for set, sum := range sums {
		if set == 0 {
			continue
		}
		each := c.s.panel + c.s.cut
		if r := (sum + c.s.cut) / each; r > 0 && r <= m.rows {
			if over := sum + c.s.cut - r*each; over < c.s.cut {
				sets = append(sets, tidy{uint32(set), r, false, c.s.cut - over})
			}
		}
		if m.owed > 0 && sum >= m.owed {
			if r := (sum - m.owed) / each; r <= m.rows {
				if over := sum - m.owed - r*each; over < c.s.cut {
					sets = append(sets, tidy{uint32(set), r, true, c.s.cut - over})
				}
			}
		}
	}
	slices.SortStableFunc(sets, func(a, b tidy) int { return cmp.Compare(b.spares, a.spares) })
	// What sets that may share strips spare at most, for rows left to be made and
	// with what is owed or without.
	most := [2][]int64{make([]int64, m.rows+1), make([]int64, m.rows+1)}
	for with := range 2 {
		for rows := range m.rows + 1 {
			v := most[0][rows]
			for _, w := range sets {
				if w.rows <= rows && (with > 0 || !w.owed) {
					rest := with
					if w.owed {
						rest = 0
					}
					v = max(v, w.spares+most[rest][rows-w.rows])
				}
			}
			most[with][rows] = v
		}
	}
	owes := 0
	if m.owed > 0 {
		owes = 1
	}
	best, nodes := int64(0), sparedNodes
	var choose func(from int, used uint32, rows int64, owes int, sum int64)
	choose = func(from int, used uint32, rows int64, owes int, sum int64) {
		best = max(best, sum)
		if sum+most[owes][rows] <= best {
			return
		}
		for k := from; k < len(sets); k++ {
			w := sets[k]
			if nodes--; nodes < 0 {
				return
			}
			if w.strips&used != 0 || w.rows > rows || w.owed && owes == 0 {
				continue
			}
			rest := owes
			if w.owed {
				rest = 0
			}
			choose(k+1, used|w.strips, rows-w.rows, rest, sum+w.spares)
		}
	}
	choose(0, 0, m.rows, owes, 0)
	if nodes < 0 {
		return most[owes][m.rows]
	}
	return best
}
