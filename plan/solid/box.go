package solid

import "pilewright/plan/measure"

// Point is a place in the piece's space: X to the right, Y to the back, Z up.
type Point [3]measure.Length

// Add gives p moved by d.
func (p Point) Add(d Point) Point { return Point{p[0] + d[0], p[1] + d[1], p[2] + d[2]} }

// Sub gives the way from q to p.
func (p Point) Sub(q Point) Point { return Point{p[0] - q[0], p[1] - q[1], p[2] - q[2]} }

// Box is an axis-aligned block with Min below Max on every axis.
type Box struct{ Min, Max Point }

// Valid reports whether the box holds any volume.
func (b Box) Valid() bool {
	return b.Min[0] < b.Max[0] && b.Min[1] < b.Max[1] && b.Min[2] < b.Max[2]
}

// Size is the extent along each axis.
func (b Box) Size() Point { return b.Max.Sub(b.Min) }

// Translate gives the box moved by d.
func (b Box) Translate(d Point) Box { return Box{b.Min.Add(d), b.Max.Add(d)} }

// Volume is the box's volume; a box that is not Valid has none.
func (b Box) Volume() Volume {
	if !b.Valid() {
		return Volume{}
	}
	s := b.Size()
	return product(s[0], s[1], s[2])
}

// Intersect gives the part common to both boxes; it is not Valid where they
// share no volume.
func (b Box) Intersect(c Box) Box {
	for k := range 3 {
		b.Min[k], b.Max[k] = max(b.Min[k], c.Min[k]), min(b.Max[k], c.Max[k])
	}
	return b
}

// Overlaps reports whether the boxes share volume.
func (b Box) Overlaps(c Box) bool {
	return b.Min[0] < c.Max[0] && c.Min[0] < b.Max[0] &&
		b.Min[1] < c.Max[1] && c.Min[1] < b.Max[1] &&
		b.Min[2] < c.Max[2] && c.Min[2] < b.Max[2]
}

// Meets reports whether the closed boxes share at least a point: they overlap
// or touch by a face, an edge or a corner.
func (b Box) Meets(c Box) bool {
	return b.Min[0] <= c.Max[0] && c.Min[0] <= b.Max[0] &&
		b.Min[1] <= c.Max[1] && c.Min[1] <= b.Max[1] &&
		b.Min[2] <= c.Max[2] && c.Min[2] <= b.Max[2]
}

// Contains reports whether c lies in b; their faces may coincide.
func (b Box) Contains(c Box) bool {
	return b.Min[0] <= c.Min[0] && c.Max[0] <= b.Max[0] &&
		b.Min[1] <= c.Min[1] && c.Max[1] <= b.Max[1] &&
		b.Min[2] <= c.Min[2] && c.Max[2] <= b.Max[2]
}

// Hull is the least box around both.
func (b Box) Hull(c Box) Box {
	for k := range 3 {
		b.Min[k], b.Max[k] = min(b.Min[k], c.Min[k]), max(b.Max[k], c.Max[k])
	}
	return b
}

func hullOf(boxes []Box) Box {
	if len(boxes) == 0 {
		return Box{}
	}
	h := boxes[0]
	for _, b := range boxes[1:] {
		h = h.Hull(b)
	}
	return h
}
