package solid

import (
	"math/big"
	"sort"

	"pilewright/plan/measure"
)

// Rounded is a block whose four edges along Axis are rounded by a cutter of
// diameter Bit: a routed mortise, or a tenon whose cheeks were rounded to fit
// one. Bit zero is a square block; Bit equal to the shorter side of the section
// gives semicircular ends. A Bit larger than that counts as that.
//
// The section is a rectangle, smaller by the radius all round, swept by the
// cutter's disc; so every question comes down to comparing the squared distance
// of two rectangles with a squared sum of radii. Coordinates are doubled to keep
// half a diameter whole, and squares are 128 bits wide.
type Rounded struct {
	Box
	Axis int // 0, 1 or 2: the way the cutter plunges
	Bit  measure.Length
}

// section gives, doubled, the rectangle the middle of the cutter stays in, and
// the cutter's radius.
func (r Rounded) section() (lo, hi [2]measure.Length, radius measure.Length) {
	u, v := (r.Axis+1)%3, (r.Axis+2)%3
	radius = max(0, min(r.Bit, r.shorter()))
	lo = [2]measure.Length{2*r.Min[u] + radius, 2*r.Min[v] + radius}
	hi = [2]measure.Length{2*r.Max[u] - radius, 2*r.Max[v] - radius}
	return lo, hi, radius
}

// Overlaps reports whether the blocks share volume. Exact, whichever axes they are
// rounded about.
func (r Rounded) Overlaps(q Rounded) bool {
	if !r.Box.Overlaps(q.Box) {
		return false
	}
	if q.Bit <= 0 {
		q.Axis = r.Axis
	}
	if r.Bit <= 0 {
		r.Axis = q.Axis
	}
	if r.Axis != q.Axis {
		return r.crosses(q)
	}
	alo, ahi, ar := r.section()
	blo, bhi, br := q.section()
	if ar+br == 0 {
		return true
	}
	var gap [2]measure.Length
	for k := range 2 {
		gap[k] = max(0, alo[k]-bhi[k], blo[k]-ahi[k])
	}
	return square(gap[0]).add(square(gap[1])).cmp(square(ar+br)) < 0
}

// crosses reports whether blocks rounded about different axes, whose boxes overlap,
// share volume. Along the third axis, where both sections lie, each block has a
// stretch in which it is wide enough to reach into the other's box; they meet where
// the two stretches do.
func (r Rounded) crosses(q Rounded) bool {
	third := 3 - r.Axis - q.Axis
	rlo, rhi, rback := r.stretch(third, q.Axis, q.Box)
	qlo, qhi, qback := q.stretch(third, r.Axis, r.Box)
	return reaches(rback, qback, qlo-rhi) && reaches(rback, qback, rlo-qhi)
}

// stretch gives, doubled, where along one axis of its section the block is wide
// enough to reach into a box along the other: from lo - √back to hi + √back.
func (r Rounded) stretch(along, across int, b Box) (lo, hi measure.Length, back *big.Int) {
	mlo, mhi, radius := r.section()
	at := func(axis int) int { return (axis - r.Axis + 2) % 3 }
	off := max(0, 2*b.Min[across]-mhi[at(across)], mlo[at(across)]-2*b.Max[across])
	back = square(radius).big()
	return mlo[at(along)], mhi[at(along)], back.Sub(back, square(off).big())
}

// reaches reports whether √a + √b > gap, for a and b not negative.
func reaches(a, b *big.Int, gap measure.Length) bool {
	if gap < 0 {
		return true
	}
	// a + b + 2√(ab) > gap²
	rest := square(gap).big()
	rest.Sub(rest, a).Sub(rest, b)
	if rest.Sign() < 0 {
		return true
	}
	product := new(big.Int).Mul(a, b)
	return product.Lsh(product, 2).Cmp(rest.Mul(rest, rest)) > 0
}

// Clear gives how far apart the blocks are, if less than most, else most: nothing
// where they share volume. It is rounded down to the nanometre.
func (r Rounded) Clear(q Rounded, most measure.Length) measure.Length {
	if r.Bit <= 0 {
		r.Axis = q.Axis
	}
	n := sort.Search(int(most), func(i int) bool { return r.grown(measure.Length(i + 1)).Overlaps(q) })
	return measure.Length(n)
}

// grown gives the block with so much more all round, its edges rounded as a round
// cutter's path around it would be.
func (r Rounded) grown(by measure.Length) Rounded {
	r.Bit = max(0, min(r.Bit, r.shorter())) + 2*by
	for k := range 3 {
		r.Min[k] -= by
		r.Max[k] += by
	}
	return r
}

// shorter is the shorter side of the section.
func (r Rounded) shorter() measure.Length {
	u, v := (r.Axis+1)%3, (r.Axis+2)%3
	return min(r.Max[u]-r.Min[u], r.Max[v]-r.Min[v])
}

// Contains reports whether q lies in r; surfaces may coincide. Both are rounded
// about the axis of r; a square q needs no axis. Where q is rounded about another
// axis its square block is asked for instead, which may refuse a fit.
func (r Rounded) Contains(q Rounded) bool { return r.Box.Contains(q.Box) && len(r.Bites(q)) == 0 }

// Bites gives the corners of q's section that reach beyond the rounding of r,
// as -1 or +1 towards less or greater coordinates on the two axes that follow
// r's axis in the order X, Y, Z, X. Nil where q clears every corner.
//
// A convex section lies in another when it reaches less far in every direction
// (comparison of support functions). In the quarter of a corner that comes to: if
// the middle of q's rounding lies beyond the middle of r's on both axes, its
// distance from it plus q's radius may not exceed r's radius.
func (r Rounded) Bites(q Rounded) [][2]int {
	if q.Axis != r.Axis {
		q.Bit = 0
	}
	q.Axis = r.Axis
	mlo, mhi, mr := r.section()
	tlo, thi, tr := q.section()
	var out [][2]int
	for _, c := range [][2]int{{-1, -1}, {-1, 1}, {1, -1}, {1, 1}} {
		var beyond [2]measure.Length
		for k := range 2 {
			if c[k] < 0 {
				beyond[k] = mlo[k] - tlo[k]
			} else {
				beyond[k] = thi[k] - mhi[k]
			}
		}
		if beyond[0] <= 0 || beyond[1] <= 0 {
			continue // the flat sides decide, and those are the boxes' business
		}
		if mr < tr || square(beyond[0]).add(square(beyond[1])).cmp(square(mr-tr)) > 0 {
			out = append(out, c)
		}
	}
	return out
}
