package solid

import (
	"cmp"
	"encoding/binary"
	"slices"
)

// Solid is a body: any union and difference of boxes. The zero value is empty.
// A Solid never changes; its methods give new ones, safe for use by several
// goroutines. Two solids that fill the same points are Equal however they were
// made. Bodies are closed under "fills volume": a face or edge without
// thickness is never part of one.
type Solid struct {
	slabs []Box
	hull  Box
}

func of(slabs []Box) Solid { return Solid{slabs, hullOf(slabs)} }

// New gives the union of the boxes; a box without volume adds nothing.
func New(boxes ...Box) Solid { return of(join(boxes)) }

// Add gives the body with the boxes added (a tenon).
func (s Solid) Add(boxes ...Box) Solid { return s.Union(New(boxes...)) }

// Cut gives the body with the boxes taken away (a mortise).
func (s Solid) Cut(boxes ...Box) Solid { return s.Minus(New(boxes...)) }

// Union gives the points in either body.
func (s Solid) Union(t Solid) Solid {
	switch {
	case t.Empty():
		return s
	case s.Empty():
		return t
	}
	return of(combine(make([]Box, 0, len(s.slabs)+len(t.slabs)), s.slabs, t.slabs, 0, union))
}

// Minus gives the points of s that are not in t.
func (s Solid) Minus(t Solid) Solid {
	less := near(t.slabs, s.Bounds())
	if len(less) == 0 {
		return s
	}
	return of(combine(make([]Box, 0, len(s.slabs)+2*len(less)), s.slabs, less, 0, difference))
}

// Intersect gives the points in both bodies.
func (s Solid) Intersect(t Solid) Solid {
	return of(combine(nil, near(s.slabs, t.Bounds()), near(t.slabs, s.Bounds()), 0, intersection))
}

// Boxes gives the body as boxes that share no volume, in a fixed order that
// depends only on the points the body fills.
func (s Solid) Boxes() []Box { return slices.Clone(s.slabs) }

// Shape appends to key what is the same for two bodies exactly where one is the
// other moved.
func (s Solid) Shape(key []byte) []byte {
	key = slices.Grow(key, 48*len(s.slabs))
	for i := range s.slabs {
		b := s.slabs[i].Translate(Point{}.Sub(s.hull.Min))
		for k := range 3 {
			key = binary.BigEndian.AppendUint64(key, uint64(b.Min[k]))
			key = binary.BigEndian.AppendUint64(key, uint64(b.Max[k]))
		}
	}
	return key
}

// Empty reports whether the body fills nothing.
func (s Solid) Empty() bool { return len(s.slabs) == 0 }

// Bounds is the least box around the body; the zero Box for an empty one.
func (s Solid) Bounds() Box { return s.hull }

// Volume is the exact volume.
func (s Solid) Volume() Volume {
	var v Volume
	for _, b := range s.slabs {
		v = v.Add(b.Volume())
	}
	return v
}

// Equal reports whether both bodies fill the same points.
func (s Solid) Equal(t Solid) bool { return slices.Equal(s.slabs, t.slabs) }

// Compare orders bodies: negative, zero or positive as s sorts before, is Equal
// to or sorts after t. The order means nothing else.
func (s Solid) Compare(t Solid) int {
	if c := cmp.Compare(len(s.slabs), len(t.slabs)); c != 0 {
		return c
	}
	return slices.CompareFunc(s.slabs, t.slabs, func(a, b Box) int {
		if c := slices.Compare(a.Min[:], b.Min[:]); c != 0 {
			return c
		}
		return slices.Compare(a.Max[:], b.Max[:])
	})
}

// Contains reports whether every point of t is in s.
func (s Solid) Contains(t Solid) bool {
	return len(combine(nil, t.slabs, near(s.slabs, t.Bounds()), 0, difference)) == 0
}

// Has reports whether the point is in the body. A point on a face belongs to
// the body whose inside lies towards greater coordinates.
func (s Solid) Has(p Point) bool {
	for _, b := range s.slabs {
		if b.Min[0] <= p[0] && p[0] < b.Max[0] && b.Min[1] <= p[1] && p[1] < b.Max[1] && b.Min[2] <= p[2] && p[2] < b.Max[2] {
			return true
		}
	}
	return false
}

// Translate gives the body moved by d.
func (s Solid) Translate(d Point) Solid {
	if d == (Point{}) {
		return s
	}
	t := make([]Box, len(s.slabs))
	for i, b := range s.slabs {
		t[i] = b.Translate(d)
	}
	return of(t)
}

// Turn gives the body turned (or mirrored) about the origin.
func (s Solid) Turn(t Turn) Solid {
	if t == Identity {
		return s
	}
	boxes := make([]Box, len(s.slabs))
	for i, b := range s.slabs {
		boxes[i] = t.Box(b)
	}
	if t.From == Identity.From {
		// The slabs stay as they are, only their order turns round.
		slices.SortFunc(boxes, func(a, b Box) int { return slices.Compare(a.Min[:], b.Min[:]) })
		return of(boxes)
	}
	return of(join(boxes))
}

// Blocks reports whether the body shares volume with the box.
func (s Solid) Blocks(b Box) bool {
	for _, a := range near(s.slabs, b) {
		if a.Overlaps(b) {
			return true
		}
	}
	return false
}

// Overlaps reports whether the bodies share volume.
func (s Solid) Overlaps(t Solid) bool {
	if len(s.slabs) < len(t.slabs) {
		s, t = t, s
	}
	return slices.ContainsFunc(t.slabs, s.Blocks)
}

// OverlapVolume is the volume the bodies share.
func OverlapVolume(a, b Solid) Volume {
	if len(a.slabs) < len(b.slabs) {
		a, b = b, a
	}
	var v Volume
	for _, y := range b.slabs {
		for _, x := range near(a.slabs, y) {
			v = v.Add(x.Intersect(y).Volume())
		}
	}
	return v
}
