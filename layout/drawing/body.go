package drawing

import (
	"encoding/binary"
	"slices"

	"pilewright/plan/solid"
)

// Solid3 is a body to be drawn: boxes that together are one thing, in the piece's
// space (X right, Y back, Z up).
type Solid3 struct {
	Ref    string
	Mark   string // written on it where there is room
	Hover  string
	Boxes  []solid.Box
	Offset solid.Point // moves the body, for an exploded view
}

// vec is a place or a direction in nanometres.
type vec [3]int64

func (a vec) dot(b vec) int64 { return a[0]*b[0] + a[1]*b[1] + a[2]*b[2] }

// cuboid is a box of the body number solid.
type cuboid struct {
	min, max vec
	solid    int
}

// edge is a straight edge along an axis, from the point at to the coordinate end.
type edge struct {
	at   vec
	end  int64
	axis int
}

// contour is the edges of a body, counted from a place that moves with it.
type contour struct {
	shape []edge // shared by bodies of one shape
	from  vec
}

// cuboids unpacks bodies with their offsets into disjoint boxes, body after body;
// boxes without extent are left out.
func cuboids(solids []Solid3) []cuboid {
	n := 0
	for i := range solids {
		n += len(solids[i].Boxes)
	}
	out := make([]cuboid, 0, n)
	for i := range solids {
		s := &solids[i]
		for _, b := range s.Boxes {
			c := cuboid{solid: i}
			flat := false
			for k := range 3 {
				c.min[k], c.max[k] = int64(b.Min[k]+s.Offset[k]), int64(b.Max[k]+s.Offset[k])
				flat = flat || c.min[k] >= c.max[k]
			}
			if !flat {
				out = append(out, c)
			}
		}
	}
	return apart(out)
}

// outlines gives the edges of every body, by its number; those of bodies of one
// shape are found once. Boxes are body after body.
func outlines(boxes []cuboid) []contour {
	if len(boxes) == 0 {
		return nil
	}
	known := map[string][]edge{} // by shape, relative to the least corner of its first box
	out := make([]contour, boxes[len(boxes)-1].solid+1)
	var key []byte
	for from := 0; from < len(boxes); {
		to := from + 1
		for to < len(boxes) && boxes[to].solid == boxes[from].solid {
			to++
		}
		body, base := boxes[from:to], boxes[from].min
		key = key[:0]
		for i := range body {
			for k := range 3 {
				key = binary.LittleEndian.AppendUint64(key, uint64(body[i].min[k]-base[k]))
				key = binary.LittleEndian.AppendUint64(key, uint64(body[i].max[k]-base[k]))
			}
		}
		shape, ok := known[string(key)]
		if !ok {
			shape = outline(body)
			for i := range shape {
				shape[i] = shape[i].moved(vec{-base[0], -base[1], -base[2]})
			}
			known[string(key)] = shape
		}
		out[body[0].solid] = contour{shape, base}
		from = to
	}
	return out
}

func (e edge) moved(by vec) edge {
	for k := range 3 {
		e.at[k] += by[k]
	}
	e.end += by[e.axis]
	return e
}

// outline gives the edges of the union of the boxes of one body. A stretch of a
// box's edge is an edge of the body exactly where the four quadrants around it
// are filled in one, in three or in two opposite places; with two neighbouring
// quadrants it is a seam in a flat face, with four it lies inside.
func outline(boxes []cuboid) []edge {
	var out []edge
	type line struct{ a, b int64 }
	var lines []line
	var cuts []int64
	for axis := range 3 {
		a, b := (axis+1)%3, (axis+2)%3
		lines = lines[:0]
		for _, c := range boxes {
			lines = append(lines, line{c.min[a], c.min[b]}, line{c.min[a], c.max[b]}, line{c.max[a], c.min[b]}, line{c.max[a], c.max[b]})
		}
		slices.SortFunc(lines, func(p, q line) int {
			if p.a != q.a {
				return compare(p.a, q.a)
			}
			return compare(p.b, q.b)
		})
		lines = slices.Compact(lines)
		for _, l := range lines {
			near := func(c *cuboid) bool {
				return c.min[a] <= l.a && l.a <= c.max[a] && c.min[b] <= l.b && l.b <= c.max[b]
			}
			cuts = cuts[:0]
			for i := range boxes {
				if near(&boxes[i]) {
					cuts = append(cuts, boxes[i].min[axis], boxes[i].max[axis])
				}
			}
			slices.Sort(cuts)
			cuts = slices.Compact(cuts)
			open := false
			for i := 1; i < len(cuts); i++ {
				var filled [4]bool
				for k := range boxes {
					c := &boxes[k]
					if !near(c) || c.min[axis] > cuts[i-1] || c.max[axis] < cuts[i] {
						continue
					}
					left, right := c.min[a] < l.a, c.max[a] > l.a
					below, above := c.min[b] < l.b, c.max[b] > l.b
					filled[0] = filled[0] || left && below
					filled[1] = filled[1] || right && below
					filled[2] = filled[2] || right && above
					filled[3] = filled[3] || left && above
				}
				if !bends(filled) {
					open = false
					continue
				}
				if open {
					out[len(out)-1].end = cuts[i]
					continue
				}
				e := edge{axis: axis, end: cuts[i]}
				e.at[axis], e.at[a], e.at[b] = cuts[i-1], l.a, l.b
				out = append(out, e)
				open = true
			}
		}
	}
	return out
}

// bends tells whether the surface turns at an edge with these quadrants filled.
func bends(q [4]bool) bool {
	n := 0
	for _, f := range q {
		if f {
			n++
		}
	}
	return n == 1 || n == 3 || n == 2 && q[0] == q[2]
}

func compare(a, b int64) int {
	switch {
	case a < b:
		return -1
	case a > b:
		return 1
	}
	return 0
}
