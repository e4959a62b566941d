package drawing

import (
	"cmp"
	"math"
	"slices"
)

// span is an open stretch of an edge, by the coordinate along it.
type span struct{ lo, hi int64 }

// projection is a parallel view of the piece along an axis or a space diagonal.
// All of it is in whole numbers, so what hides what is decided exactly.
type projection struct {
	toward vec // direction to the viewer, each part -1, 0 or 1
	right  vec // right·p is the place across the paper
	up     vec // up·p is the place up the paper
	kx, ky float64
}

// The views. A cabinet maker's front is the side with the least Y.
var (
	frontView = projection{toward: vec{0, -1, 0}, right: vec{1, 0, 0}, up: vec{0, 0, 1}, kx: 1, ky: 1}
	rightView = projection{toward: vec{1, 0, 0}, right: vec{0, 1, 0}, up: vec{0, 0, 1}, kx: 1, ky: 1}
	leftView  = projection{toward: vec{-1, 0, 0}, right: vec{0, -1, 0}, up: vec{0, 0, 1}, kx: 1, ky: 1}
	topView   = projection{toward: vec{0, 0, 1}, right: vec{1, 0, 0}, up: vec{0, 1, 0}, kx: 1, ky: 1}
)

// isometricFrom gives the isometric view (ISO 5456-3) from above the corner
// towards (a, b): x and y axes at 30 degrees, sizes along the axes true.
func isometricFrom(a, b int64) projection {
	return projection{toward: vec{a, b, 1}, right: vec{-b, a, 0}, up: vec{-a, -b, 2}, kx: math.Sqrt(3) / 2, ky: 0.5}
}

// flat gives the place on paper in millimetres, y down.
func (v *projection) flat(p vec) Point {
	return Point{float64(v.right.dot(p)) * v.kx / 1e6, -float64(v.up.dot(p)) * v.ky / 1e6}
}

// reach gives the least and greatest value of a linear form over a box.
func (c *cuboid) reach(f vec) (lo, hi int64) {
	for k, n := range f {
		if n >= 0 {
			lo, hi = lo+n*c.min[k], hi+n*c.max[k]
		} else {
			lo, hi = lo+n*c.max[k], hi+n*c.min[k]
		}
	}
	return lo, hi
}

// grid finds the boxes near a place of the paper. Its rows run along a paper
// line, so that an edge on it lies in one row.
type grid struct {
	place, along   vec // linear forms across the rows and along them
	p0, a0, dp, da int64
	rows, cols     int64
	first          []int32 // of each cell, in boxes; row after row
	boxes          []int32
}

// newGrid lays a grid of at most rows by cols over boxes, each cell listing its
// boxes in the order given.
func newGrid(place, along vec, boxes []cuboid, order []int32, rows, cols int64) grid {
	g := grid{place: place, along: along, rows: max(1, rows), cols: max(1, cols), p0: math.MaxInt64, a0: math.MaxInt64}
	p1, a1 := int64(math.MinInt64), int64(math.MinInt64)
	for i := range boxes {
		a, b := boxes[i].reach(place)
		c, d := boxes[i].reach(along)
		g.p0, p1, g.a0, a1 = min(g.p0, a), max(p1, b), min(g.a0, c), max(a1, d)
	}
	g.dp, g.da = (p1-g.p0)/g.rows+1, (a1-g.a0)/g.cols+1
	g.first = make([]int32, g.rows*g.cols+1)
	in := make([][4]int32, len(boxes)) // rows and columns of each box
	for i := range boxes {
		r := g.block(&boxes[i])
		in[i] = r
		for row := r[0]; row <= r[1]; row++ {
			for at := int64(row)*g.cols + int64(r[2]); at <= int64(row)*g.cols+int64(r[3]); at++ {
				g.first[at]++
			}
		}
	}
	sum := int32(0)
	for i, n := range g.first {
		g.first[i] = sum
		sum += n
	}
	g.boxes = make([]int32, sum)
	for _, i := range order {
		r := in[i]
		for row := r[0]; row <= r[1]; row++ {
			for at := int64(row)*g.cols + int64(r[2]); at <= int64(row)*g.cols+int64(r[3]); at++ {
				g.boxes[g.first[at]] = i
				g.first[at]++
			}
		}
	}
	copy(g.first[1:], g.first) // each has become the first of the next cell
	g.first[0] = 0
	return g
}

// block gives the first and last row and the first and last column of a box, or
// of a line, within the grid.
func (g *grid) block(c *cuboid) [4]int32 {
	a, b := c.reach(g.place)
	d, e := c.reach(g.along)
	return [4]int32{
		int32(min(g.rows-1, max(0, (a-g.p0)/g.dp))), int32(min(g.rows-1, max(0, (b-g.p0)/g.dp))),
		int32(min(g.cols-1, max(0, (d-g.a0)/g.da))), int32(min(g.cols-1, max(0, (e-g.a0)/g.da))),
	}
}

// stamps marks what has been looked at in a round.
type stamps struct {
	of    []int32
	round int32
}

// fresh tells whether i is met for the first time in this round.
func (s *stamps) fresh(i int32) bool {
	if s.of[i] == s.round {
		return false
	}
	s.of[i] = s.round
	return true
}

// near calls f once for each box whose place on paper may meet that of c.
func (g *grid) near(c *cuboid, seen *stamps, f func(i int)) {
	seen.round++
	r := g.block(c)
	for row := int64(r[0]); row <= int64(r[1]); row++ {
		for _, i := range g.boxes[g.first[row*g.cols+int64(r[2])]:g.first[row*g.cols+int64(r[3])+1]] {
			if seen.fresh(i) {
				f(int(i))
			}
		}
	}
}

// inOrder is the numbers below n.
func inOrder(n int) []int32 {
	out := make([]int32, n)
	for i := range out {
		out[i] = int32(i)
	}
	return out
}

// cells finds what may hide an edge: a grid for the edges along each axis, its
// boxes from the nearest to the viewer on.
type cells struct {
	v     *projection
	boxes []turned
	grids [3]grid
	seen  stamps
	left  []span // room to work in
	right []span
}

// turned is a box with the axes reversed along which the view runs backwards, so
// that nearer is always more.
type turned struct {
	min, max vec
	deep     int64 // its nearest point to the viewer
}

// turn reverses the axes along which the view runs backwards.
func (v *projection) turn(p vec) vec {
	for k, n := range v.toward {
		if n < 0 {
			p[k] = -p[k]
		}
	}
	return p
}

func newCells(v *projection, boxes []cuboid) *cells {
	g := &cells{v: v, boxes: make([]turned, len(boxes)), seen: stamps{of: make([]int32, len(boxes))}}
	for i := range boxes {
		a, b := v.turn(boxes[i].min), v.turn(boxes[i].max)
		t := turned{min: a, max: b}
		for k, n := range v.toward {
			t.min[k], t.max[k] = min(a[k], b[k]), max(a[k], b[k])
			if n != 0 {
				t.deep += t.max[k]
			}
		}
		g.boxes[i] = t
	}
	order := inOrder(len(boxes))
	slices.SortFunc(order, func(a, b int32) int {
		return cmp.Or(compare(g.boxes[b].deep, g.boxes[a].deep), int(a-b))
	})
	side := int64(math.Sqrt(float64(len(boxes))))
	for axis := range 3 {
		if v.right[axis] != 0 || v.up[axis] != 0 {
			place, along := v.paperForms(axis)
			g.grids[axis] = newGrid(place, along, boxes, order, min(256, 2*side), min(64, side))
		}
	}
	return g
}

// hidden gives the stretches of an edge that boxes hide from the viewer, sorted
// and joined. A point u of the edge is hidden by a box if the ray u + s·toward,
// s > 0, meets the box's inside. All directions being -1, 0 or 1 along each axis,
// the hidden stretch is an interval whose ends are sums of coordinates: no
// division, no rounding.
//
// Seen along an axis, a ray may run exactly along the seam of two boxes without
// meeting the inside of either. There a point counts as hidden when it is hidden
// just left and just right of the edge.
func (g *cells) hidden(e edge, buf []span) []span {
	buf = buf[:0]
	line := cuboid{min: e.at, max: e.at}
	line.max[e.axis] = e.end
	at := &g.grids[e.axis]
	r := at.block(&line)
	from, to := g.v.turn(line.min), g.v.turn(line.max)
	if from[e.axis] > to[e.axis] {
		from[e.axis], to[e.axis] = to[e.axis], from[e.axis]
	}
	far := int64(0) // the edge's farthest point
	beside := -1    // the axis across the edge on paper, for views along an axis
	depth := -1     // and that of the view
	for k, n := range g.v.toward {
		if n != 0 {
			far += from[k]
			depth = k
		} else if k != e.axis {
			beside = k
		}
	}
	g.seen.round++
	row := int64(r[0]) * at.cols
	if beside < 0 {
		j, k := (e.axis+1)%3, (e.axis+2)%3
		lo, hi := from[e.axis], to[e.axis]
		for col := row + int64(r[2]); col <= row+int64(r[3]); col++ {
			for _, i := range at.boxes[at.first[col]:at.first[col+1]] {
				c := &g.boxes[i]
				if c.deep <= far {
					break
				}
				// The stretch of the ray inside the box as the two axes across the edge
				// have it.
				enter := max(0, c.min[j]-from[j], c.min[k]-from[k])
				leave := min(c.max[j]-from[j], c.max[k]-from[k])
				if enter >= leave || !g.seen.fresh(i) {
					continue
				}
				s := span{max(c.min[e.axis]-leave, lo), min(c.max[e.axis]-enter, hi)}
				if s.lo >= s.hi {
					continue
				}
				if s.lo == lo && s.hi == hi {
					return append(buf[:0], span{e.at[e.axis], e.end})
				}
				buf = append(buf, s)
			}
		}
		if g.v.toward[e.axis] < 0 {
			for i, s := range buf {
				buf[i] = span{-s.hi, -s.lo}
			}
		}
		return joined(buf)
	}
	left, right := g.left[:0], g.right[:0]
	a := from[beside]
	for col := row + int64(r[2]); col <= row+int64(r[3]); col++ {
		for _, i := range at.boxes[at.first[col]:at.first[col+1]] {
			c := &g.boxes[i]
			if c.max[depth] <= far {
				break
			}
			if a < c.min[beside] || c.max[beside] < a || !g.seen.fresh(i) {
				continue
			}
			s := span{max(c.min[e.axis], e.at[e.axis]), min(c.max[e.axis], e.end)}
			if s.lo >= s.hi {
				continue
			}
			onLeft, onRight := c.min[beside] < a, a < c.max[beside]
			if onLeft && onRight && s.lo == e.at[e.axis] && s.hi == e.end {
				return append(buf, s)
			}
			if onLeft {
				left = append(left, s)
			}
			if onRight {
				right = append(right, s)
			}
		}
	}
	g.left, g.right = left, right
	return common(joined(left), joined(right), buf)
}

// joined sorts stretches and joins those that overlap or touch, in place.
func joined(s []span) []span {
	slices.SortFunc(s, func(a, b span) int { return compare(a.lo, b.lo) })
	n := 0
	for _, t := range s {
		if n > 0 && t.lo <= s[n-1].hi {
			s[n-1].hi = max(s[n-1].hi, t.hi)
			continue
		}
		s[n] = t
		n++
	}
	return s[:n]
}

// common gives what two joined lists share.
func common(a, b, out []span) []span {
	for i, j := 0, 0; i < len(a) && j < len(b); {
		if lo, hi := max(a[i].lo, b[j].lo), min(a[i].hi, b[j].hi); lo < hi {
			out = append(out, span{lo, hi})
		}
		if a[i].hi < b[j].hi {
			i++
		} else {
			j++
		}
	}
	return out
}

// without gives the stretch all less the joined list holes.
func without(all span, holes, out []span) []span {
	for _, h := range holes {
		if h.lo > all.lo {
			out = append(out, span{all.lo, min(h.lo, all.hi)})
		}
		all.lo = max(all.lo, h.hi)
		if all.lo >= all.hi {
			return out
		}
	}
	if all.lo < all.hi {
		out = append(out, all)
	}
	return out
}
