package drawing

import (
	"math"
	"slices"
)

// ordered gives boxes from the farthest to the nearest, so that painting them in
// turn shows what the viewer sees. Where boxes hide each other in a ring, one of
// them is cut along a face of another until no ring is left; the boxes being
// disjoint that ends, since boxes cut along all faces form a grid.
func ordered(v *projection, boxes []cuboid) []cuboid {
	return orderParts(v, boxes, 0, make([]cuboid, 0, len(boxes)))
}

// cutLimit bounds how often one ring is cut, against a fault in what is given.
const cutLimit = 40

func orderParts(v *projection, boxes []cuboid, depth int, out []cuboid) []cuboid {
	type pair struct{ front, back int32 }
	var pairs []pair
	side := int64(min(64, math.Sqrt(float64(len(boxes)))))
	g := newGrid(v.up, v.right, boxes, inOrder(len(boxes)), side, side)
	seen := stamps{of: make([]int32, len(boxes))}
	places := v.shadows(boxes)
	for i := range boxes {
		a := &boxes[i]
		g.near(a, &seen, func(j int) {
			if j > i && places[i].overlaps(&places[j]) {
				if v.inFront(a, &boxes[j]) {
					pairs = append(pairs, pair{int32(i), int32(j)})
				} else {
					pairs = append(pairs, pair{int32(j), int32(i)})
				}
			}
		})
	}
	count := make([]int32, len(boxes))
	for _, p := range pairs {
		count[p.front]++
	}
	all, behind := make([]int32, len(pairs)), make([][]int32, len(boxes)) // behind[i]: those that must come before i
	for i, n := range count {
		behind[i], all = all[:0:n], all[n:]
	}
	for _, p := range pairs {
		behind[p.front] = append(behind[p.front], p.back)
	}
	for _, ring := range components(behind) {
		if len(ring) == 1 {
			out = append(out, boxes[ring[0]])
			continue
		}
		part := make([]cuboid, len(ring))
		for k, i := range ring {
			part[k] = boxes[i]
		}
		cut, ok := cutOne(part)
		if !ok || depth >= cutLimit {
			slices.SortStableFunc(part, func(a, b cuboid) int {
				return compare(v.toward.dot(a.min)+v.toward.dot(a.max), v.toward.dot(b.min)+v.toward.dot(b.max))
			})
			out = append(out, part...)
			continue
		}
		out = orderParts(v, cut, depth+1, out)
	}
	return out
}

// shadow is the place of a box on paper: how far it reaches across the lines along
// each axis. The picture of a box is bounded by such lines, so two boxes share more
// than an edge on paper exactly where all three reaches overlap. Along an axis that
// is seen end on there are no lines; there everything reaches alike.
type shadow struct{ lo, hi [3]int64 }

func (a *shadow) overlaps(b *shadow) bool {
	return a.lo[0] < b.hi[0] && b.lo[0] < a.hi[0] && a.lo[1] < b.hi[1] && b.lo[1] < a.hi[1] && a.lo[2] < b.hi[2] && b.lo[2] < a.hi[2]
}

// shadows gives the places of boxes on paper.
func (v *projection) shadows(boxes []cuboid) []shadow {
	out := make([]shadow, len(boxes))
	for k := range 3 {
		var f vec // the form that is nought along axis k and along the view
		for i := range 3 {
			f[i] = v.up[i]*v.right[k] - v.right[i]*v.up[k]
		}
		for i := range boxes {
			out[i].lo[k], out[i].hi[k] = boxes[i].reach(f)
			if f == (vec{}) {
				out[i].hi[k] = 1
			}
		}
	}
	return out
}

// inFront tells, for two boxes that overlap on paper, whether a is nearer. Some
// axis separates disjoint boxes, and all that do agree.
func (v *projection) inFront(a, b *cuboid) bool {
	for k, n := range v.toward {
		switch {
		case n == 0:
		case a.max[k] <= b.min[k]:
			return n < 0
		case b.max[k] <= a.min[k]:
			return n > 0
		}
	}
	return v.toward.dot(a.min)+v.toward.dot(a.max) > v.toward.dot(b.min)+v.toward.dot(b.max)
}

// components gives the strongly connected components of a graph, each after all
// that it points to (Tarjan, "Depth-first search and linear graph algorithms",
// SIAM J. Comput. 1(2), 1972), without recursion.
func components(to [][]int32) [][]int32 {
	n := len(to)
	index, low := make([]int32, n), make([]int32, n)
	on := make([]bool, n)
	var stack, path []int32
	next := make([]int32, n)
	count := int32(0)
	all, out := make([]int32, 0, n), make([][]int32, 0, n)
	for root := range n {
		if index[root] != 0 {
			continue
		}
		path = append(path, int32(root))
		for len(path) > 0 {
			i := path[len(path)-1]
			if index[i] == 0 {
				count++
				index[i], low[i] = count, count
				stack = append(stack, i)
				on[i] = true
			}
			pushed := false
			for int(next[i]) < len(to[i]) {
				j := to[i][next[i]]
				next[i]++
				if index[j] == 0 {
					path = append(path, j)
					pushed = true
					break
				}
				if on[j] {
					low[i] = min(low[i], index[j])
				}
			}
			if pushed {
				continue
			}
			path = path[:len(path)-1]
			if len(path) > 0 {
				up := path[len(path)-1]
				low[up] = min(low[up], low[i])
			}
			if low[i] == index[i] {
				from := len(all)
				for {
					j := stack[len(stack)-1]
					stack = stack[:len(stack)-1]
					on[j] = false
					all = append(all, j)
					if j == i {
						break
					}
				}
				ring := all[from:len(all):len(all)]
				slices.Sort(ring)
				out = append(out, ring)
			}
		}
	}
	return out
}

// cutOne cuts one box of a ring along a face of another that runs through it.
func cutOne(ring []cuboid) ([]cuboid, bool) {
	for i, a := range ring {
		for j, b := range ring {
			if i == j {
				continue
			}
			for k := range 3 {
				for _, at := range [2]int64{b.min[k], b.max[k]} {
					if a.min[k] < at && at < a.max[k] {
						low, high := a, a
						low.max[k], high.min[k] = at, at
						out := slices.Clone(ring)
						out[i] = low
						return append(out, high), true
					}
				}
			}
		}
	}
	return nil, false
}
