package solid

import (
	"slices"
	"sort"

	"pilewright/plan/measure"
)

// A body is held as slabs: cut along X wherever its cross-section changes, each
// slab cut along Y wherever its section changes, each strip cut into its runs
// along Z. Neighbouring slabs and strips with equal sections are always merged,
// so the list of boxes, in the order of the cuts, is the same for the same set
// of points however it was made: equality of lists is equality of bodies.

// operation says which points of two bodies a and b the result keeps.
type operation uint8

const (
	inA operation = 1 << iota
	inB
	inBoth
)

const (
	union        = inA | inB | inBoth
	difference   = inA
	intersection = inBoth
)

// combine appends to dst the slabs of a op b from axis k on. The coordinates of
// axes before k are left for the caller to set; k = 3 is a single point.
func combine(dst, a, b []Box, k int, op operation) []Box {
	if len(a) == 0 || len(b) == 0 {
		switch {
		case len(a) > 0 && op&inA != 0:
			dst = append(dst, a...)
		case len(b) > 0 && op&inB != 0:
			dst = append(dst, b...)
		}
		return dst
	}
	if k == 3 {
		if op&inBoth != 0 {
			dst = append(dst, Box{})
		}
		return dst
	}
	ga, gb := first(a, k), first(b, k)
	at := min(a[0].Min[k], b[0].Min[k])
	last := len(dst) // where the slab before starts
	for len(a) > 0 || len(b) > 0 {
		var sa, sb []Box
		to := measure.Length(1<<63 - 1)
		if len(a) > 0 {
			if lo, hi := a[0].Min[k], a[0].Max[k]; lo <= at {
				sa, to = a[:ga], min(to, hi)
			} else {
				to = min(to, lo)
			}
		}
		if len(b) > 0 {
			if lo, hi := b[0].Min[k], b[0].Max[k]; lo <= at {
				sb, to = b[:gb], min(to, hi)
			} else {
				to = min(to, lo)
			}
		}
		start := len(dst)
		dst = combine(dst, sa, sb, k+1, op)
		for i := start; i < len(dst); i++ {
			dst[i].Min[k], dst[i].Max[k] = at, to
		}
		if sameSection(dst[last:start], dst[start:], k) {
			for i := last; i < start; i++ {
				dst[i].Max[k] = to
			}
			dst = dst[:start]
		} else {
			last = start
		}
		at = to
		if len(a) > 0 && a[0].Max[k] <= at {
			a = a[ga:]
			ga = first(a, k)
		}
		if len(b) > 0 && b[0].Max[k] <= at {
			b = b[gb:]
			gb = first(b, k)
		}
	}
	return dst
}

// first is the number of boxes in the first slab along axis k.
func first(boxes []Box, k int) int {
	for i := range boxes {
		if boxes[i].Min[k] != boxes[0].Min[k] {
			return i
		}
	}
	return len(boxes)
}

// sameSection reports whether slab b, which follows slab a along axis k, has the
// same section.
func sameSection(a, b []Box, k int) bool {
	if len(a) == 0 || len(a) != len(b) {
		return false
	}
	for i := range a {
		for j := k + 1; j < 3; j++ {
			if a[i].Min[j] != b[i].Min[j] || a[i].Max[j] != b[i].Max[j] {
				return false
			}
		}
	}
	return true
}

// near narrows slabs to a run of them that holds every box meeting c: whole
// slabs, or whole strips of the only slab, or boxes of the only strip.
func near(list []Box, c Box) []Box {
	for k := range 3 {
		lo := sort.Search(len(list), func(i int) bool { return list[i].Max[k] >= c.Min[k] })
		hi := sort.Search(len(list), func(i int) bool { return list[i].Min[k] > c.Max[k] })
		if lo >= hi {
			return nil
		}
		list = list[lo:hi]
		if list[0].Min[k] != list[len(list)-1].Min[k] {
			break
		}
	}
	return list
}

// join gives the slabs of any boxes, which may overlap. Boxes without volume
// are left out.
func join(boxes []Box) []Box {
	if len(boxes) < 2 {
		if len(boxes) == 0 || !boxes[0].Valid() {
			return nil
		}
		return []Box{boxes[0]}
	}
	room := make([]Box, 4*len(boxes)) // of both; what needs more gets it
	out, _ := halves(room[:0:2*len(boxes)], room[2*len(boxes):2*len(boxes)], boxes)
	return slices.Clone(out)
}

// halves appends the slabs of the boxes to dst: those of one half together with
// those of the other, both put at the end of rest for as long. The halves of a half
// change places with it, so that two lists do for all.
func halves(dst, rest, boxes []Box) (out, same []Box) {
	if len(boxes) == 1 {
		if boxes[0].Valid() {
			dst = append(dst, boxes[0])
		}
		return dst, rest
	}
	half, from := len(boxes)/2, len(rest)
	rest, dst = halves(rest, dst, boxes[:half])
	middle := len(rest)
	rest, dst = halves(rest, dst, boxes[half:])
	dst = combine(dst, rest[from:middle], rest[middle:], 0, union)
	return dst, rest[:from]
}
