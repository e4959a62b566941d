package drawing

import (
	"cmp"
	"math"
	"slices"

	"pilewright/layout/drawing/font"
)

// markBodies writes marks on bodies: an item buffer of half-millimetre cells says
// which side of which body is seen where, and a mark goes on the side that shows
// most, where it fits nearest to the middle of what is seen.
//
// With outside, a body that shows too little for its mark gets it beside the
// drawing, with a thin line to a dot on it.
func markBodies(p *Picture, solids []Solid3, fs []facet, outside bool) {
	s := showing(solids, fs)
	if s == nil {
		return
	}
	var rest []callout
	var written []Rect
	for i := range solids {
		b := &solids[i]
		if b.Mark == "" {
			continue
		}
		own := [3]patches{s.side(i, 0), s.side(i, 1), s.side(i, 2)}
		slices.SortStableFunc(own[:], func(a, b patches) int { return b.cells - a.cells })
		marked := false
		for try := range 3 * len(markSizes) {
			where, size := own[try%3], markSizes[try/3]
			high := font.CapHeight * size
			mw, mh := int(font.Width(b.Mark, size, true)/cell)+2, int(high/cell)+2
			if at := s.roomFor(where, mw, mh); at >= 0 {
				x, y := s.box.X0+(float64(at%s.w)+float64(mw)/2+0.5)*cell, s.box.Y0+(float64(at/s.w)+float64(mh)/2+0.5)*cell
				p.BoldText(RoleLabel, b.Ref, x, y, size, Middle+Centre, b.Mark)
				written = append(written, Rect{x - float64(mw)/2*cell, y - float64(mh)/2*cell, x + float64(mw)/2*cell, y + float64(mh)/2*cell})
				marked = true
				break
			}
		}
		if outside && !marked && own[0].cells > 0 {
			where := patches{runs: slices.Concat(own[0].runs, own[1].runs, own[2].runs), cells: own[0].cells + own[1].cells + own[2].cells}
			at := s.place(s.nearest(where))
			c := callout{x: at.X, y: at.Y, text: b.Mark, ref: b.Ref}
			next, step := 0, 1+where.cells/40
			for _, r := range where.runs {
				for ; next < int(r.n); next += step {
					c.also = append(c.also, s.place(int(r.at)+next))
				}
				next -= int(r.n)
			}
			rest = append(rest, c)
		}
	}
	if outside {
		beside(p, rest, written, s.box)
	}
}

// cell is the width and height of a cell of what is shown, in millimetres.
const cell = 0.5

// mostCells is the most cells across and up that are looked at.
const mostCells = 4000

// shown tells what is seen where in a drawing of bodies.
type shown struct {
	box   Rect
	w, h  int
	seen  []uint16 // of every cell, row after row: the side seen, from 1 on
	runs  []run    // of every side, one side after the other
	first []int32  // of each side: its first run
}

// run is cells beside each other that show one side.
type run struct{ at, n int32 }

// patches is where a side of a body is seen.
type patches struct {
	runs  []run
	cells int
}

// showing paints the faces, the farthest first, into cells; nil where that would be
// too many.
func showing(solids []Solid3, fs []facet) *shown {
	var b bounds
	for i := range fs {
		b.add(around(fs[i].pts[:]))
	}
	s := &shown{box: b.box, w: int(b.box.W()/cell) + 1, h: int(b.box.H()/cell) + 1}
	sides := 3*len(solids) + 1
	if s.w > mostCells || s.h > mostCells || sides > math.MaxUint16 {
		return nil
	}
	s.seen = make([]uint16, s.w*s.h)
	for i := range fs {
		s.paint(&fs[i])
	}
	s.first = make([]int32, sides+1)
	s.each(func(side uint16, _ run) { s.first[side]++ })
	sum := int32(0)
	for side, n := range s.first {
		s.first[side] = sum
		sum += n
	}
	s.runs = make([]run, sum)
	s.each(func(side uint16, r run) {
		s.runs[s.first[side]] = r
		s.first[side]++ // becomes the first of the next side
	})
	return s
}

// paint fills the cells whose middle a face covers.
func (s *shown) paint(f *facet) {
	r := around(f.pts[:])
	x0, x1 := int((r.X0-s.box.X0)/cell), min(s.w-1, int((r.X1-s.box.X0)/cell))
	for y := int((r.Y0 - s.box.Y0) / cell); y < s.h && s.box.Y0+float64(y)*cell <= r.Y1; y++ {
		middle := s.box.Y0 + (float64(y)+0.5)*cell
		in := func(x int) bool {
			return inConvex(&f.pts, Point{s.box.X0 + (float64(x)+0.5)*cell, middle})
		}
		from, to := x0, x1 // what is inside lies between its ends
		if lo, hi, ok := reachAt(&f.pts, middle); ok {
			from, to = max(from, int((lo-s.box.X0)/cell)-2), min(to, int((hi-s.box.X0)/cell)+2)
		}
		for from <= to && !in(from) {
			from++
		}
		for from <= to && !in(to) {
			to--
		}
		row := s.seen[y*s.w:]
		for x := from; x <= to; x++ {
			row[x] = uint16(3*f.solid+f.side) + 1
		}
	}
}

// reachAt gives how far across a quadrangle reaches at a height; false where no side of it
// crosses that.
func reachAt(pts *[4]Point, y float64) (lo, hi float64, ok bool) {
	a := pts[3]
	for _, b := range pts {
		if (a.Y <= y) != (b.Y <= y) {
			x := a.X + (y-a.Y)/(b.Y-a.Y)*(b.X-a.X)
			if !ok || x < lo {
				lo = x
			}
			if !ok || x > hi {
				hi = x
			}
			ok = true
		}
		a = b
	}
	return lo, hi, ok
}

// each goes through the runs of cells, row after row, that show something.
func (s *shown) each(f func(side uint16, r run)) {
	for y := range s.h {
		row := s.seen[y*s.w : (y+1)*s.w]
		for x := 0; x < len(row); {
			side, from := row[x], x
			for x < len(row) && row[x] == side {
				x++
			}
			if side > 0 {
				f(side, run{int32(y*s.w + from), int32(x - from)})
			}
		}
	}
}

// side is where the side of a body across an axis is seen.
func (s *shown) side(body, axis int) patches {
	n := 3*body + axis // from 0 on: see showing
	p := patches{runs: s.runs[s.first[n]:s.first[n+1]]}
	for _, r := range p.runs {
		p.cells += int(r.n)
	}
	return p
}

// place is the middle of a cell on paper.
func (s *shown) place(at int) Point {
	return Point{s.box.X0 + (float64(at%s.w)+0.5)*cell, s.box.Y0 + (float64(at/s.w)+0.5)*cell}
}

// middleOf is the middle of cells, counted in cells.
func (s *shown) middleOf(where patches) (x, y float64) {
	var across, down int
	for _, r := range where.runs {
		at, n := int(r.at), int(r.n)
		across += n*(at%s.w) + n*(n-1)/2
		down += n * (at / s.w)
	}
	n := math.Max(1, float64(where.cells))
	return float64(across) / n, float64(down) / n
}

// nearest is the cell nearest to the middle of the given ones.
func (s *shown) nearest(where patches) int {
	cx, cy := s.middleOf(where)
	best, at := math.Inf(1), int(where.runs[0].at)
	for _, r := range where.runs {
		for k := int(r.at); k < int(r.at+r.n); k++ {
			if d := math.Hypot(float64(k%s.w)-cx, float64(k/s.w)-cy); d < best {
				best, at = d, k
			}
		}
	}
	return at
}

// roomFor finds the block of mw by mh cells that lies nearest to the middle of
// the given cells and shows one thing only; -1 if there is none.
func (s *shown) roomFor(where patches, mw, mh int) int {
	cx, cy := s.middleOf(where)
	at, best := -1, math.Inf(1)
	for _, r := range where.runs {
		y := int(r.at) / s.w
		if y+mh >= s.h {
			continue
		}
		from := int(r.at) % s.w
		for x := from; x+mw < from+int(r.n); x++ {
			d := math.Hypot(float64(x)+float64(mw)/2-cx, float64(y)+float64(mh)/2-cy)
			if d < best && s.alike(x, y, mw, mh) {
				at, best = y*s.w+x, d
			}
		}
	}
	return at
}

// alike tells whether all cells of a block show the same.
func (s *shown) alike(x, y, mw, mh int) bool {
	id := s.seen[y*s.w+x]
	for yy := y; yy <= y+mh; yy++ {
		for _, other := range s.seen[yy*s.w+x : yy*s.w+x+mw+1] {
			if other != id {
				return false
			}
		}
	}
	return true
}

// inConvex tells whether a point is inside a convex quadrangle.
func inConvex(pts *[4]Point, q Point) bool {
	var left, right bool
	a := pts[3]
	for _, b := range pts {
		c := (b.X-a.X)*(q.Y-a.Y) - (b.Y-a.Y)*(q.X-a.X)
		left, right, a = left || c > 0, right || c < 0, b
	}
	return !(left && right)
}

// untangle swaps marks whose lines to the column at edge cross. Each swap makes
// the lines shorter together, so it ends.
func untangle(column []callout, places []float64, edge float64) {
	for swapped := true; swapped; {
		swapped = false
		for i := range column {
			for k := range i {
				// Lines that cross are longer together than the same two swapped.
				a, b := column[k], column[i]
				straight := math.Hypot(a.x-edge, a.y-places[k]) + math.Hypot(b.x-edge, b.y-places[i])
				crossed := math.Hypot(a.x-edge, a.y-places[i]) + math.Hypot(b.x-edge, b.y-places[k])
				if crossed < straight-1e-9 {
					column[k], column[i] = b, a
					swapped = true
				}
			}
		}
	}
}

// goRound moves the ends of lines that cross what is written to another place of
// their body, where that crosses nothing; here tells which places belong to the
// column.
func goRound(column []callout, places []float64, edge float64, written []Rect, here func(Point) bool) {
	clear := func(i int, from Point) bool {
		to := Point{edge, places[i]}
		for _, r := range written {
			if r.crossed(from, to) {
				return false
			}
		}
		for k, m := range column {
			if k != i && cross(from, to, Point{m.x, m.y}, Point{edge, places[k]}) {
				return false
			}
		}
		return true
	}
	for i := range column {
		m := &column[i]
		best := math.Inf(1)
		from := Point{m.x, m.y}
		if clear(i, from) {
			continue
		}
		for _, q := range m.also {
			if d := math.Hypot(q.X-from.X, q.Y-from.Y); here(q) && d < best && clear(i, q) {
				m.x, m.y, best = q.X, q.Y, d
			}
		}
	}
}

// cross tells whether two lines have a point of their insides in common.
func cross(a, b, c, d Point) bool {
	side := func(a, b, c Point) float64 { return (b.X-a.X)*(c.Y-a.Y) - (b.Y-a.Y)*(c.X-a.X) }
	return side(a, b, c)*side(a, b, d) < 0 && side(c, d, a)*side(c, d, b) < 0
}

// crossed tells whether a line runs through the rectangle.
func (r Rect) crossed(a, b Point) bool {
	return r.Holds(a.X, a.Y) || r.Holds(b.X, b.Y) || cross(a, b, Point{r.X0, r.Y0}, Point{r.X1, r.Y1}) || cross(a, b, Point{r.X0, r.Y1}, Point{r.X1, r.Y0})
}

// beside writes marks in a column at the nearer side of a drawing, placed so that
// their lines do not cross, nor, where there is a way round, what is written on it.
func beside(p *Picture, marks []callout, written []Rect, box Rect) {
	const away, step = 5.0, 3.6
	slices.SortStableFunc(marks, func(a, b callout) int { return cmp.Compare(a.y, b.y) })
	middle := (box.X0 + box.X1) / 2
	for _, right := range []bool{false, true} {
		var column []callout
		for _, m := range marks {
			if (m.x > middle) == right {
				column = append(column, m)
			}
		}
		places := make([]float64, len(column))
		low := math.Inf(-1) // lowest place taken
		for i, m := range column {
			// not so low that those to come would leave the drawing
			places[i] = math.Max(low+step, math.Min(m.y, box.Y1-step*float64(len(column)-1-i)))
			low = places[i]
		}
		edge := box.X0 - away
		if right {
			edge = box.X1 + away
		}
		untangle(column, places, edge)
		goRound(column, places, edge, written, func(q Point) bool { return (q.X > middle) == right })
		for i, m := range column {
			y := places[i]
			x, align, end := box.X0-away, Right, box.X0-away+0.8
			if right {
				x, align, end = box.X1+away, Left, box.X1+away-0.8
			}
			p.Line(RoleDimension, m.ref, m.x, m.y, end, y)
			p.Arc(RoleKerf, m.ref, m.x, m.y, 0.45, 0, 360)
			p.BoldText(RoleLabel, m.ref, x, y, markSizes[0], align+Centre, m.text)
		}
	}
}

// markSizes are the text sizes a mark is tried at.
var markSizes = []float64{2.6, 2.3}
