package solid

import (
	"cmp"
	"math/bits"
	"slices"
)

// Contact gives the patches where the surfaces of two bodies touch, as
// rectangles that do not overlap; their normals point from a into b. Bodies that
// meet only in an edge or a corner do not touch. Bodies that overlap must be told
// apart first: patches inside an overlap are not contact.
func Contact(a, b Solid) []Face {
	var few [16]Face
	patches := few[:0]
	for _, x := range near(a.slabs, b.Bounds()) {
		for _, y := range near(b.slabs, x) {
			if f, ok := touch(x, y); ok {
				patches = append(patches, f)
			}
		}
	}
	if len(patches) < 2 {
		return append([]Face(nil), patches...)
	}
	plane := func(f, g Face) int {
		return cmp.Or(cmp.Compare(f.Normal, g.Normal), cmp.Compare(f.Min[f.Normal.Axis()], g.Min[f.Normal.Axis()]))
	}
	slices.SortStableFunc(patches, plane)
	out := make([]Face, 0, len(patches))
	for len(patches) > 0 {
		n := 1
		for n < len(patches) && plane(patches[0], patches[n]) == 0 {
			n++
		}
		if n == 1 {
			out, patches = append(out, patches[0]), patches[1:]
			continue
		}
		k, normal := patches[0].Normal.Axis(), patches[0].Normal
		at := patches[0].Min[k]
		boxes := make([]Box, n)
		for i, f := range patches[:n] {
			f.Max[k]++ // one nanometre thick while the rectangles are joined
			boxes[i] = Box{f.Min, f.Max}
		}
		for _, b := range join(boxes) {
			b.Max[k] = at
			out = append(out, Face{normal, b.Min, b.Max})
		}
		patches = patches[n:]
	}
	return out
}

// ContactAxes tells along which axes the faces of Contact look.
func ContactAxes(a, b Solid) (axes [3]bool) {
	for _, x := range near(a.slabs, b.Bounds()) {
		for _, y := range near(b.slabs, x) {
			if f, ok := touch(x, y); ok {
				axes[f.Normal.Axis()] = true
			}
		}
	}
	return axes
}

// ContactArea is the total area of Contact.
func ContactArea(a, b Solid) Area {
	if len(a.slabs) < len(b.slabs) {
		a, b = b, a
	}
	var sum Area
	for _, y := range b.slabs {
		for _, x := range near(a.slabs, y) {
			if f, ok := touch(x, y); ok {
				sum = sum.Add(f.Area())
			}
		}
	}
	return sum
}

// Surface is the area of the body's surface: that of its boxes less, on either side,
// what they share.
func (s Solid) Surface() Area {
	var all, inside wide
	for i, x := range s.slabs {
		d := x.Size()
		for k := range 3 {
			face := wide(rectangle(d[k], d[(k+1)%3]))
			all = all.add(face).add(face)
		}
		for _, y := range near(s.slabs[i+1:], x) {
			if f, ok := touch(x, y); ok {
				inside = inside.add(wide(f.Area())).add(wide(f.Area()))
			}
		}
	}
	lo, borrow := bits.Sub64(all.lo, inside.lo, 0)
	hi, _ := bits.Sub64(all.hi, inside.hi, borrow)
	return Area{hi, lo}
}

// touch gives the rectangle where two blocks meet face to face.
func touch(a, b Box) (Face, bool) {
	c := a.Intersect(b)
	flat := -1
	for k := range 3 {
		switch {
		case c.Min[k] > c.Max[k]:
			return Face{}, false
		case c.Min[k] == c.Max[k]:
			if flat >= 0 {
				return Face{}, false
			}
			flat = k
		}
	}
	if flat < 0 {
		return Face{}, false
	}
	return Face{Along(flat, a.Max[flat] == b.Min[flat]), c.Min, c.Max}, true
}

// Pairs gives every pair i < j of boxes that meet, in order. It sweeps along the
// axis on which the boxes lie furthest apart, so a long row of parts costs about
// as much as its neighbours.
func Pairs(boxes []Box) [][2]int {
	order := make([]int, len(boxes))
	for i := range order {
		order[i] = i
	}
	axis := sweepAxis(boxes)
	slices.SortFunc(order, func(i, j int) int {
		return cmp.Or(cmp.Compare(boxes[i].Min[axis], boxes[j].Min[axis]), cmp.Compare(i, j))
	})
	var pairs [][2]int
	var open []int
	for _, i := range order {
		keep := open[:0]
		for _, j := range open {
			if boxes[j].Max[axis] < boxes[i].Min[axis] {
				continue
			}
			keep = append(keep, j)
			if boxes[i].Meets(boxes[j]) {
				pairs = append(pairs, [2]int{min(i, j), max(i, j)})
			}
		}
		open = append(keep, i)
	}
	slices.SortFunc(pairs, func(a, b [2]int) int { return slices.Compare(a[:], b[:]) })
	return pairs
}

// sweepAxis picks the axis whose boxes are shortest against the whole extent.
func sweepAxis(boxes []Box) int {
	hull := hullOf(boxes)
	best, share := 0, 2.0
	for k := range 3 {
		whole := float64(hull.Max[k] - hull.Min[k])
		if whole <= 0 {
			continue
		}
		var sum float64
		for _, b := range boxes {
			sum += float64(b.Max[k]-b.Min[k]) / whole
		}
		if sum /= float64(len(boxes)); sum < share {
			best, share = k, sum
		}
	}
	return best
}

// Islands groups the numbers 0..n-1 by the links between them; members and
// groups are in ascending order.
func Islands(n int, links [][2]int) [][]int {
	root := make([]int, n)
	for i := range root {
		root[i] = i
	}
	find := func(i int) int {
		for root[i] != i {
			root[i] = root[root[i]]
			i = root[i]
		}
		return i
	}
	for _, l := range links {
		a, b := find(l[0]), find(l[1])
		root[max(a, b)] = min(a, b)
	}
	at := make(map[int]int, n)
	var groups [][]int
	for i := range n {
		r := find(i)
		g, ok := at[r]
		if !ok {
			g = len(groups)
			at[r] = g
			groups = append(groups, nil)
		}
		groups[g] = append(groups[g], i)
	}
	return groups
}
