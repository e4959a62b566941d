package drawing

import (
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

// cells is a grid over the paper that finds the boxes near a place.
type cells struct {
	v              *projection
	boxes          []cuboid
	x0, y0, dx, dy int64
	n              int64
	in             [][]int32
	stamp          []int32
	round          int32
	deep           []int64 // nearest point of each box to the viewer
}

func newCells(v *projection, boxes []cuboid) *cells {
	g := &cells{v: v, boxes: boxes, stamp: make([]int32, len(boxes)), deep: make([]int64, len(boxes))}
	x0, y0, x1, y1 := int64(math.MaxInt64), int64(math.MaxInt64), int64(math.MinInt64), int64(math.MinInt64)
	for i := range boxes {
		a, b := boxes[i].reach(v.right)
		c, d := boxes[i].reach(v.up)
		x0, x1, y0, y1 = min(x0, a), max(x1, b), min(y0, c), max(y1, d)
		_, g.deep[i] = boxes[i].reach(v.toward)
	}
	g.n = max(1, min(64, int64(math.Sqrt(float64(len(boxes))))))
	g.x0, g.y0 = x0, y0
	g.dx, g.dy = (x1-x0)/g.n+1, (y1-y0)/g.n+1
	g.in = make([][]int32, g.n*g.n)
	for i := range boxes {
		g.each(&boxes[i], func(cell int64) { g.in[cell] = append(g.in[cell], int32(i)) })
	}
	return g
}

func (g *cells) each(c *cuboid, f func(cell int64)) {
	a, b := c.reach(g.v.right)
	d, e := c.reach(g.v.up)
	for y := (d - g.y0) / g.dy; y <= (e-g.y0)/g.dy; y++ {
		for x := (a - g.x0) / g.dx; x <= (b-g.x0)/g.dx; x++ {
			if x >= 0 && y >= 0 && x < g.n && y < g.n {
				f(y*g.n + x)
			}
		}
	}
}

// near calls f once for each box whose place on paper may meet that of c.
func (g *cells) near(c *cuboid, f func(i int)) {
	g.round++
	g.each(c, func(cell int64) {
		for _, i := range g.in[cell] {
			if g.stamp[i] != g.round {
				g.stamp[i] = g.round
				f(int(i))
			}
		}
	})
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
	beside := -1 // the axis across the edge on paper, for views along an axis
	for k, n := range g.v.toward {
		if n == 0 && k != e.axis {
			beside = k
		}
	}
	if beside < 0 {
		g.near(&line, func(i int) { buf = g.hide(e, &buf, i, -1, 0) })
		return joined(buf)
	}
	var left, right []span
	g.near(&line, func(i int) {
		left = g.hide(e, &left, i, beside, -1)
		right = g.hide(e, &right, i, beside, 1)
	})
	return common(joined(left), joined(right), buf)
}

// hide adds what box i hides of the edge; side says on which side of the edge,
// along the axis beside, the ray runs.
func (g *cells) hide(e edge, buf *[]span, i, beside, side int) []span {
	c, v := &g.boxes[i], g.v.toward
	if g.deep[i] <= e.at.dot(v) && (v[e.axis] == 0 || g.deep[i] <= e.at.dot(v)+v[e.axis]*(e.end-e.at[e.axis])) {
		return *buf
	}
	lo, hi := int64(0), int64(math.MaxInt64)
	for k := range 3 {
		if k == e.axis {
			continue
		}
		a, from, to := e.at[k], c.min[k], c.max[k]
		switch {
		case v[k] > 0:
			lo, hi = max(lo, from-a), min(hi, to-a)
		case v[k] < 0:
			lo, hi = max(lo, a-to), min(hi, a-from)
		case k == beside && side < 0:
			if !(from < a && a <= to) {
				return *buf
			}
		default:
			if !(from <= a && a < to) {
				return *buf
			}
		}
	}
	if lo >= hi {
		return *buf
	}
	s := span{c.min[e.axis], c.max[e.axis]}
	switch v[e.axis] {
	case 1:
		s.lo, s.hi = s.lo-hi, s.hi-lo
	case -1:
		s.lo, s.hi = s.lo+lo, s.hi+hi
	}
	s.lo, s.hi = max(s.lo, e.at[e.axis]), min(s.hi, e.end)
	if s.lo < s.hi {
		*buf = append(*buf, s)
	}
	return *buf
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
