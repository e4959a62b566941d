package solid

import (
	"cmp"
	"slices"

	"pilewright/plan/measure"
)

// Face is a flat rectangle of a body's surface. Min and Max agree on the axis
// of Normal, which points out of the wood.
type Face struct {
	Normal   Direction
	Min, Max Point
}

// Area is the face's area.
func (f Face) Area() Area {
	k := f.Normal.Axis()
	u, v := (k+1)%3, (k+2)%3
	return rectangle(f.Max[u]-f.Min[u], f.Max[v]-f.Min[v])
}

// Segment is a straight edge, A before B along its axis.
type Segment struct{ A, B Point }

// cyclic brings axis k to the front, keeping the hand.
func cyclic(k int) Turn { return Turn{From: [3]int{k, (k + 1) % 3, (k + 2) % 3}} }

// along gives the slabs of the body cut across axis k, with that axis brought
// to the front, and the turn that brings them back.
func (s Solid) along(k int) ([]Box, Turn) {
	if k == 0 {
		return s.slabs, Identity
	}
	t := cyclic(k)
	return s.Turn(t).slabs, t.Inverse()
}

// slabs calls f for each slab of the list, in order, with the slab before it
// where that touches.
func slabs(list []Box, f func(before, slab []Box)) {
	var before []Box
	for len(list) > 0 {
		n := first(list, 0)
		slab := list[:n]
		if len(before) > 0 && before[0].Max[0] != slab[0].Min[0] {
			f(before, nil)
			before = nil
		}
		f(before, slab)
		before, list = slab, list[n:]
	}
	if len(before) > 0 {
		f(before, nil)
	}
}

// Faces gives the surface of the body as rectangles that do not overlap: per
// plane, strips as long as the surface lets them be. Seams inside the wood are
// not faces. The order depends only on the body.
func (s Solid) Faces() []Face {
	var faces []Face
	for k := range 3 {
		list, back := s.along(k)
		slabs(list, func(before, slab []Box) {
			var at measure.Length
			if len(slab) > 0 {
				at = slab[0].Min[0]
			} else {
				at = before[0].Max[0]
			}
			for _, side := range []struct {
				positive bool
				section  []Box
			}{
				{false, combine(nil, slab, before, 1, difference)},
				{true, combine(nil, before, slab, 1, difference)},
			} {
				for _, b := range side.section {
					b.Min[0], b.Max[0] = at, at
					b = back.Box(b)
					faces = append(faces, Face{Along(k, side.positive), b.Min, b.Max})
				}
			}
		})
	}
	return faces
}

// corner is a point of a cross-section.
type corner struct{ u, v measure.Length }

// Edges gives the true edges of the body, where its surface turns: outer
// arrises, inner corners, and lines where two blocks only touch. An edge runs as
// far as the surface turns along it; seams between the boxes of the body are not
// edges. The order depends only on the body.
func (s Solid) Edges() []Segment {
	var edges []Segment
	type run struct {
		corner
		from, to measure.Length
	}
	for k := range 3 {
		list, back := s.along(k)
		var runs []run
		for len(list) > 0 {
			n := first(list, 0)
			for _, c := range corners(list[:n]) {
				runs = append(runs, run{c, list[0].Min[0], list[0].Max[0]})
			}
			list = list[n:]
		}
		slices.SortFunc(runs, func(a, b run) int {
			return cmp.Or(cmp.Compare(a.u, b.u), cmp.Compare(a.v, b.v), cmp.Compare(a.from, b.from))
		})
		for i, r := range runs {
			if i > 0 && runs[i-1].corner == r.corner && runs[i-1].to == r.from {
				edges[len(edges)-1].B = back.Point(Point{r.to, r.u, r.v})
				continue
			}
			edges = append(edges, Segment{back.Point(Point{r.from, r.u, r.v}), back.Point(Point{r.to, r.u, r.v})})
		}
	}
	return edges
}

// corners gives the points where the outline of one slab's section turns: those
// with wood in one or three of the four quadrants about them, or in two opposite
// ones.
func corners(slab []Box) []corner {
	var out []corner
	var left []Box
	turnsAt := func(u measure.Length, left, right []Box) {
		ends := make([]measure.Length, 0, 2*(len(left)+len(right)))
		for _, b := range left {
			ends = append(ends, b.Min[2], b.Max[2])
		}
		for _, b := range right {
			ends = append(ends, b.Min[2], b.Max[2])
		}
		slices.Sort(ends)
		for _, v := range slices.Compact(ends) {
			lb, la := around(left, v)
			rb, ra := around(right, v)
			if lb != la != (rb != ra) || lb == ra && la == rb && lb != la {
				out = append(out, corner{u, v})
			}
		}
	}
	for len(slab) > 0 {
		n := first(slab, 1)
		right := slab[:n]
		if len(left) > 0 && left[0].Max[1] != right[0].Min[1] {
			turnsAt(left[0].Max[1], left, nil)
			left = nil
		}
		turnsAt(right[0].Min[1], left, right)
		left, slab = right, slab[n:]
	}
	if len(left) > 0 {
		turnsAt(left[0].Max[1], left, nil)
	}
	return out
}

// around reports whether a strip has wood just below and just above v.
func around(strip []Box, v measure.Length) (below, above bool) {
	for _, b := range strip {
		below = below || b.Min[2] < v && v <= b.Max[2]
		above = above || b.Min[2] <= v && v < b.Max[2]
	}
	return below, above
}
