package drawing

import (
	"math"
	"slices"
)

// stretch is a drawn piece of an edge: on the line of paper named by axis and
// place, from and to along it.
type stretch struct {
	axis     int
	place    int64
	from, to int64
	seen     bool
}

// paperForms gives the line of paper that edges along an axis lie on, as two
// linear forms: one that is the same for all points of an edge, and one that tells
// where a point is along it. Edges that fall on one line are drawn once. right·p and
// up·p both change along the edge by a fixed ratio; crossing them out leaves what
// stays the same.
func (v *projection) paperForms(axis int) (place, along vec) {
	r, u := v.right[axis], v.up[axis]
	along = v.up
	for k := range 3 {
		place[k] = v.up[k]*r - v.right[k]*u
		if r != 0 {
			along[k] = v.right[k] * r // r is -1 or 1
		}
	}
	return place, along
}

// lineArt is what a view shows of bodies: stretches of paper lines seen and
// hidden, each drawn once. edges are those of every body.
func lineArt(v *projection, boxes []cuboid, edges []contour, wantHidden bool) []stretch {
	if len(boxes) == 0 {
		return nil
	}
	g := newCells(v, boxes)
	n := 0
	for i := range edges {
		n += len(edges[i].shape)
	}
	out := make([]stretch, 0, n/4) // most edges are hidden or seen end on
	var holes, shown []span
	var place, along [3]vec
	for axis := range 3 {
		place[axis], along[axis] = v.paperForms(axis)
	}
	add := func(e *edge, s span, seen bool) {
		p, q := e.at, e.at
		p[e.axis], q[e.axis] = s.lo, s.hi
		a, b := along[e.axis].dot(p), along[e.axis].dot(q)
		out = append(out, stretch{e.axis, place[e.axis].dot(p), min(a, b), max(a, b), seen})
	}
	for i := 0; i < len(boxes); {
		j := i
		for j < len(boxes) && boxes[j].solid == boxes[i].solid {
			j++
		}
		of := &edges[boxes[i].solid]
		for k := range of.shape {
			if axis := of.shape[k].axis; v.right[axis] == 0 && v.up[axis] == 0 {
				continue // seen end on
			}
			e := of.shape[k].moved(of.from)
			holes = g.hidden(e, holes)
			shown = without(span{e.at[e.axis], e.end}, holes, shown[:0])
			for _, s := range shown {
				add(&e, s, true)
			}
			if wantHidden {
				for _, s := range holes {
					add(&e, s, false)
				}
			}
		}
		i = j
	}
	return merged(out)
}

// merged joins stretches on one line, in the place of the list given; what is seen
// anywhere is not also drawn hidden.
func merged(in []stretch) []stretch {
	slices.SortFunc(in, func(a, b stretch) int {
		switch {
		case a.axis != b.axis:
			return a.axis - b.axis
		case a.place != b.place:
			return compare(a.place, b.place)
		}
		return compare(a.from, b.from)
	})
	out := in[:0]
	if slices.ContainsFunc(in, func(s stretch) bool { return !s.seen }) {
		out = make([]stretch, 0, len(in)) // what is hidden may fall into more pieces
	}
	var seen, veiled, rest []span
	for i := 0; i < len(in); {
		j := i
		seen, veiled = seen[:0], veiled[:0]
		axis, place := in[i].axis, in[i].place
		for ; j < len(in) && in[j].axis == axis && in[j].place == place; j++ {
			s := span{in[j].from, in[j].to}
			if in[j].seen {
				seen = append(seen, s)
			} else {
				veiled = append(veiled, s)
			}
		}
		seen, veiled = joined(seen), joined(veiled)
		for _, s := range seen {
			out = append(out, stretch{axis, place, s.lo, s.hi, true})
		}
		for _, h := range veiled {
			rest = without(h, seen, rest[:0])
			for _, s := range rest {
				out = append(out, stretch{axis, place, s.lo, s.hi, false})
			}
		}
		i = j
	}
	return out
}

// ends gives a stretch's ends on paper in millimetres of the real thing, y down.
func (v *projection) ends(s stretch) (a, b Point) {
	r, u := v.right[s.axis], v.up[s.axis]
	at := func(along int64) Point {
		var x, y int64
		if r != 0 {
			x = along * r
			y = (s.place + x*u) * r // r*r is 1
		} else {
			y = along
			x = -s.place * sign(u)
			if u == 2 || u == -2 {
				x /= 2
			}
		}
		return Point{float64(x) * v.kx / 1e6, -float64(y) * v.ky / 1e6}
	}
	return at(s.from), at(s.to)
}

func sign(n int64) int64 { return int64(math.Copysign(1, float64(n))) }
