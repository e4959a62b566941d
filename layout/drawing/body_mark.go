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
	const cell = 0.5
	var b bounds
	for i := range fs {
		b.add(around(fs[i].pts[:]))
	}
	box := b.box
	w, h := int(box.W()/cell)+1, int(box.H()/cell)+1
	if w > 4000 || h > 4000 {
		return
	}
	seen := make([]int32, w*h)
	for i := range fs {
		r := around(fs[i].pts[:])
		x0, x1 := int((r.X0-box.X0)/cell), min(w-1, int((r.X1-box.X0)/cell))
		for y := int((r.Y0 - box.Y0) / cell); y < h && box.Y0+float64(y)*cell <= r.Y1; y++ {
			in := func(x int) bool {
				return inConvex(&fs[i].pts, Point{box.X0 + (float64(x)+0.5)*cell, box.Y0 + (float64(y)+0.5)*cell})
			}
			from, to := x0, x1 // what is inside lies between its ends
			for from <= to && !in(from) {
				from++
			}
			for from <= to && !in(to) {
				to--
			}
			for x := from; x <= to; x++ {
				seen[y*w+x] = int32(3*fs[i].solid+fs[i].side) + 1
			}
		}
	}
	// The cells of each side of each body.
	first := make([]int32, 3*len(solids)+2)
	for _, id := range seen {
		first[id]++
	}
	sum := int32(0)
	first[0] = 0 // where nothing is
	for id, n := range first {
		first[id] = sum
		sum += n
	}
	of := make([]int32, sum)
	for i, id := range seen {
		if id > 0 {
			of[first[id]] = int32(i)
			first[id]++ // becomes the first of the next side
		}
	}
	cells := func(id int) []int32 { return of[first[id-1]:first[id]] }
	var rest []callout
	var written []Rect
	for i, s := range solids {
		if s.Mark == "" {
			continue
		}
		own := [][]int32{cells(3*i + 1), cells(3*i + 2), cells(3*i + 3)}
		slices.SortStableFunc(own, func(a, b []int32) int { return len(b) - len(a) })
		marked := false
		for try := range 3 * len(markSizes) {
			where, size := own[try%3], markSizes[try/3]
			high := font.CapHeight * size
			mw, mh := int(font.Width(s.Mark, size, true)/cell)+2, int(high/cell)+2
			if at := roomFor(where, seen, w, h, mw, mh); at >= 0 {
				x, y := box.X0+(float64(at%w)+float64(mw)/2+0.5)*cell, box.Y0+(float64(at/w)+float64(mh)/2+0.5)*cell
				p.BoldText(RoleLabel, s.Ref, x, y, size, Middle+Centre, s.Mark)
				written = append(written, Rect{x - float64(mw)/2*cell, y - float64(mh)/2*cell, x + float64(mw)/2*cell, y + float64(mh)/2*cell})
				marked = true
				break
			}
		}
		if !marked && len(own[0]) > 0 {
			place := func(at int32) Point {
				return Point{box.X0 + (float64(int(at)%w)+0.5)*cell, box.Y0 + (float64(int(at)/w)+0.5)*cell}
			}
			where := slices.Concat(own...)
			at := place(nearest(where, w))
			c := callout{x: at.X, y: at.Y, text: s.Mark, ref: s.Ref}
			for i := 0; i < len(where); i += 1 + len(where)/40 {
				c.also = append(c.also, place(where[i]))
			}
			rest = append(rest, c)
		}
	}
	if outside {
		beside(p, rest, written, box)
	}
}

// middleOf is the middle of cells.
func middleOf(where []int32, w int) (x, y float64) {
	for _, k := range where {
		x, y = x+float64(int(k)%w), y+float64(int(k)/w)
	}
	n := math.Max(1, float64(len(where)))
	return x / n, y / n
}

// nearest is the cell nearest to the middle of the given ones.
func nearest(where []int32, w int) int32 {
	cx, cy := middleOf(where, w)
	best, at := math.Inf(1), where[0]
	for _, k := range where {
		if d := math.Hypot(float64(int(k)%w)-cx, float64(int(k)/w)-cy); d < best {
			best, at = d, k
		}
	}
	return at
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

// roomFor finds the block of mw by mh cells that lies nearest to the middle of
// the given cells and shows one thing only; -1 if there is none.
func roomFor(where, seen []int32, w, h, mw, mh int) int {
	cx, cy := middleOf(where, w)
	at, best := -1, math.Inf(1)
	for _, k := range where {
		x, y := int(k)%w, int(k)/w
		if x+mw >= w || y+mh >= h {
			continue
		}
		d := math.Hypot(float64(x)+float64(mw)/2-cx, float64(y)+float64(mh)/2-cy)
		if d < best && alike(seen, w, x, y, mw, mh) {
			at, best = int(k), d
		}
	}
	return at
}

// alike tells whether all cells of a block show the same.
func alike(seen []int32, w, x, y, mw, mh int) bool {
	id := seen[y*w+x]
	for yy := y; yy <= y+mh; yy++ {
		for xx := x; xx <= x+mw; xx++ {
			if seen[yy*w+xx] != id {
				return false
			}
		}
	}
	return true
}

// inConvex tells whether a point is inside a convex quadrangle.
func inConvex(pts *[4]Point, q Point) bool {
	var left, right bool
	for i, a := range pts {
		b := pts[(i+1)%4]
		c := (b.X-a.X)*(q.Y-a.Y) - (b.Y-a.Y)*(q.X-a.X)
		left, right = left || c > 0, right || c < 0
	}
	return !(left && right)
}
