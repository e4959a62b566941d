package drawing

import (
	"math"

	"pilewright/plan/solid"
)

// Corner is the corner of the piece one looks at from above.
type Corner uint8

// The corners of an isometric view.
const (
	FrontRight Corner = iota
	FrontLeft
	BackRight
	BackLeft
)

// IsometricOptions says how an isometric view is drawn. The zero value is from
// the front right, 120 by 100 mm, without marks.
type IsometricOptions struct {
	From          Corner
	Width, Height float64 // room on paper in mm
	Marks         bool    // write each body's mark on it, or beside the drawing where it shows too little
	Paths         bool    // exploded: a thin line from where a body was to where it is
}

func (c Corner) view() projection {
	a, b := int64(1), int64(-1)
	if c == FrontLeft || c == BackLeft {
		a = -1
	}
	if c == BackRight || c == BackLeft {
		b = 1
	}
	return isometricFrom(a, b)
}

// Isometric draws bodies in isometric projection with what is hidden left out,
// faces seen from above light, from the front (or back) middle, from a side dark.
// Bodies whose Offset is set are drawn moved. Every face carries its body's Ref.
func Isometric(solids []Solid3, o IsometricOptions) *Picture {
	p := &Picture{Title: "Isometric view"}
	boxes := cuboids(solids)
	if len(boxes) == 0 {
		return p
	}
	if o.Width <= 0 {
		o.Width = 120
	}
	if o.Height <= 0 {
		o.Height = 100
	}
	v := o.From.view()
	box := spread(&v, boxes)
	var together []cuboid
	if o.Paths {
		together = cuboids(unmoved(solids))
		box = box.join(spread(&v, together))
	}
	scale := math.Min(o.Width/box.W(), o.Height/box.H())
	flat := func(q vec) Point {
		f := v.flat(q)
		return Point{(f.X - box.X0) * scale, (f.Y - box.Y0) * scale}
	}
	p.Frames = append(p.Frames, Frame{X: -box.X0 * scale, Y: -box.Y0 * scale, Scale: scale, Across: scale})
	p.sayAll(solids)
	var faces []facet
	var art []stretch
	abreast(func() { faces = facesOf(&v, solids, boxes, flat) }, func() { art = lineArt(&v, boxes, outlines(boxes), false) })
	var ways [][2]vec
	if o.Paths {
		ways = paths(solids, together)
	}
	const perMark = 3 // with its line and its dot
	p.Marks = make([]Mark, 0, len(ways)+len(faces)+len(art)+perMark*len(solids))
	for _, l := range ways {
		p.Polyline(RoleGhost, "", flat(l[0]), flat(l[1]))
	}
	for _, f := range faces {
		p.Polygon(f.role, solids[f.solid].Ref, f.pts[:]...)
	}
	for _, s := range art {
		a, b := v.ends(s)
		p.Line(RoleOutline, "", (a.X-box.X0)*scale, (a.Y-box.Y0)*scale, (b.X-box.X0)*scale, (b.Y-box.Y0)*scale)
	}
	if o.Marks {
		markBodies(p, solids, faces, true)
	}
	return p
}

func unmoved(solids []Solid3) []Solid3 {
	out := append([]Solid3(nil), solids...)
	for i := range out {
		out[i].Offset = solid.Point{}
	}
	return out
}

// spread is the room the boxes take in a view, in real millimetres.
func spread(v *projection, boxes []cuboid) Rect {
	var b bounds
	for i := range boxes {
		x0, x1 := boxes[i].reach(v.right)
		y0, y1 := boxes[i].reach(v.up)
		b.add(Rect{float64(x0) * v.kx / 1e6, -float64(y1) * v.ky / 1e6, float64(x1) * v.kx / 1e6, -float64(y0) * v.ky / 1e6})
	}
	return b.box
}

// facet is one face of a box on paper.
type facet struct {
	role  Role
	solid int
	side  int // its axis
	pts   [4]Point
}

var faceRoles = [3]Role{RoleFaceDark, RoleFaceMid, RoleFaceLight}

// facesOf gives what shows of the faces turned to the viewer, farthest first; where
// two boxes of a body lie against each other nothing is painted.
func facesOf(v *projection, solids []Solid3, boxes []cuboid, flat func(vec) Point) []facet {
	sorted := ordered(v, boxes)
	of := bySolid(sorted, len(solids))
	turned := 0 // faces of each box turned to the viewer
	for _, n := range v.toward {
		turned += int(n * n)
	}
	out := make([]facet, 0, turned*len(sorted))
	var open, rest []patch
	for i := range sorted {
		c := &sorted[i]
		for k, n := range v.toward {
			if n == 0 {
				continue
			}
			a, b := (k+1)%3, (k+2)%3
			open, rest = bare(c, k, n, sorted, of[c.solid], open[:0], rest)
			var q vec
			q[k] = c.max[k]
			if n < 0 {
				q[k] = c.min[k]
			}
			for _, r := range open {
				f := facet{role: faceRoles[k], solid: c.solid, side: k}
				for i, corner := range [4][2]int64{{r.a0, r.b0}, {r.a1, r.b0}, {r.a1, r.b1}, {r.a0, r.b1}} {
					q[a], q[b] = corner[0], corner[1]
					f.pts[i] = flat(q)
				}
				out = append(out, f)
			}
		}
	}
	return out
}

// bySolid gives the places of the boxes of each of n bodies.
func bySolid(boxes []cuboid, n int) [][]int32 {
	count := make([]int, n)
	for i := range boxes {
		count[boxes[i].solid]++
	}
	all, of := make([]int32, len(boxes)), make([][]int32, n)
	for i, c := range count {
		of[i], all = all[:0:c], all[c:]
	}
	for i := range boxes {
		of[boxes[i].solid] = append(of[boxes[i].solid], int32(i))
	}
	return of
}

// patch is a rectangle on a face, along the two axes after the face's own.
type patch struct{ a0, b0, a1, b1 int64 }

// bare gives the face of a box less what other boxes of its body lie against.
// rest is room to work in.
func bare(c *cuboid, k int, n int64, all []cuboid, same []int32, open, rest []patch) ([]patch, []patch) {
	a, b := (k+1)%3, (k+2)%3
	open = append(open, patch{c.min[a], c.min[b], c.max[a], c.max[b]})
	for _, i := range same {
		o := &all[i]
		if n > 0 && o.min[k] != c.max[k] || n < 0 && o.max[k] != c.min[k] {
			continue
		}
		rest = rest[:0]
		for _, r := range open {
			in := patch{max(r.a0, o.min[a]), max(r.b0, o.min[b]), min(r.a1, o.max[a]), min(r.b1, o.max[b])}
			if in.a0 >= in.a1 || in.b0 >= in.b1 {
				rest = append(rest, r)
				continue
			}
			for _, piece := range [4]patch{{r.a0, r.b0, r.a1, in.b0}, {r.a0, in.b1, r.a1, r.b1}, {r.a0, in.b0, in.a0, in.b1}, {in.a1, in.b0, r.a1, in.b1}} {
				if piece.a0 < piece.a1 && piece.b0 < piece.b1 {
					rest = append(rest, piece)
				}
			}
		}
		open, rest = rest, open
	}
	return open, rest
}
