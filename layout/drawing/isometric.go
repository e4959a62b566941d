package drawing

import (
	"math"

	"pilewright/layout/drawing/font"
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
	Marks         bool    // write each body's mark on it where there is room
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
// Bodies that run into each other are drawn without the line where they meet.
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
	if o.Paths {
		box = box.join(spread(&v, cuboids(unmoved(solids))))
	}
	scale := math.Min(o.Width/box.W(), o.Height/box.H())
	flat := func(q vec) Point {
		f := v.flat(q)
		return Point{(f.X - box.X0) * scale, (f.Y - box.Y0) * scale}
	}
	p.Frames = append(p.Frames, Frame{X: -box.X0 * scale, Y: -box.Y0 * scale, Scale: scale, Across: scale})
	for _, s := range solids {
		p.Say(s.Ref, s.Hover)
		if o.Paths && s.Offset != (solid.Point{}) && len(s.Boxes) > 0 {
			to := middle(s)
			from := to
			for k := range 3 {
				from[k] -= int64(s.Offset[k])
			}
			p.Polyline(RoleGhost, "", flat(from), flat(to))
		}
	}
	faces := faces(&v, solids, boxes, flat)
	for _, f := range faces {
		p.Polygon(f.role, solids[f.solid].Ref, f.pts[:]...)
	}
	for _, s := range lineArt(&v, boxes, false) {
		a, b := v.ends(s)
		p.Line(RoleOutline, "", (a.X-box.X0)*scale, (a.Y-box.Y0)*scale, (b.X-box.X0)*scale, (b.Y-box.Y0)*scale)
	}
	if o.Marks {
		markBodies(p, solids, faces)
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

// middle is the middle of the box around a moved body.
func middle(s Solid3) vec {
	var lo, hi vec
	for i, c := range cuboids([]Solid3{s}) {
		for k := range 3 {
			if i == 0 || c.min[k] < lo[k] {
				lo[k] = c.min[k]
			}
			if i == 0 || c.max[k] > hi[k] {
				hi[k] = c.max[k]
			}
		}
	}
	return vec{(lo[0] + hi[0]) / 2, (lo[1] + hi[1]) / 2, (lo[2] + hi[2]) / 2}
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
	pts   [4]Point
}

var faceRoles = [3]Role{RoleFaceDark, RoleFaceMid, RoleFaceLight}

// faces gives the faces turned to the viewer, farthest first, without those that
// another box of the same body covers.
func faces(v *projection, solids []Solid3, boxes []cuboid, flat func(vec) Point) []facet {
	sorted := ordered(v, boxes)
	of := make([][]int32, len(solids))
	for i, c := range sorted {
		of[c.solid] = append(of[c.solid], int32(i))
	}
	out := make([]facet, 0, 3*len(sorted))
	for i := range sorted {
		c := &sorted[i]
		for k, n := range v.toward {
			if n == 0 || covered(c, k, n, sorted, of[c.solid]) {
				continue
			}
			a, b := (k+1)%3, (k+2)%3
			var q vec
			q[k] = c.max[k]
			if n < 0 {
				q[k] = c.min[k]
			}
			f := facet{role: faceRoles[k], solid: c.solid}
			for i, corner := range [4][2]int64{{c.min[a], c.min[b]}, {c.max[a], c.min[b]}, {c.max[a], c.max[b]}, {c.min[a], c.max[b]}} {
				q[a], q[b] = corner[0], corner[1]
				f.pts[i] = flat(q)
			}
			out = append(out, f)
		}
	}
	return out
}

// covered tells whether another box of the body lies against the whole face.
func covered(c *cuboid, k int, n int64, all []cuboid, same []int32) bool {
	a, b := (k+1)%3, (k+2)%3
	for _, i := range same {
		o := &all[i]
		touches := n > 0 && o.min[k] == c.max[k] || n < 0 && o.max[k] == c.min[k]
		if touches && o.min[a] <= c.min[a] && o.max[a] >= c.max[a] && o.min[b] <= c.min[b] && o.max[b] >= c.max[b] {
			return true
		}
	}
	return false
}

// markBodies writes marks on bodies: an item buffer of half-millimetre cells says
// what is seen where, and a mark goes where it fits nearest to the middle of what
// is seen of its body.
func markBodies(p *Picture, solids []Solid3, fs []facet) {
	const cell, size = 0.5, 2.6
	var b bounds
	for i := range fs {
		b.add(around(fs[i].pts[:]))
	}
	box := b.box
	w, h := int(box.W()/cell)+1, int(box.H()/cell)+1
	if w > 4000 || h > 4000 {
		return
	}
	seen := make([]int32, w*h)
	for i := range fs {
		r := around(fs[i].pts[:])
		for y := int((r.Y0 - box.Y0) / cell); y < h && box.Y0+float64(y)*cell <= r.Y1; y++ {
			for x := int((r.X0 - box.X0) / cell); x < w && box.X0+float64(x)*cell <= r.X1; x++ {
				if inConvex(fs[i].pts[:], Point{box.X0 + (float64(x)+0.5)*cell, box.Y0 + (float64(y)+0.5)*cell}) {
					seen[y*w+x] = int32(fs[i].solid) + 1
				}
			}
		}
	}
	type tally struct{ n, x, y float64 }
	sums := make([]tally, len(solids)+1)
	for i, s := range seen {
		t := &sums[s]
		t.n, t.x, t.y = t.n+1, t.x+float64(i%w), t.y+float64(i/w)
	}
	for i, s := range solids {
		t := sums[i+1]
		if s.Mark == "" || t.n == 0 {
			continue
		}
		high := font.CapHeight * size
		mw, mh := int(font.Width(s.Mark, size, true)/cell)+2, int(high/cell)+2
		bestAt, best := -1, math.Inf(1)
		for k, id := range seen {
			x, y := k%w, k/w
			if id != int32(i+1) || x+mw >= w || y+mh >= h {
				continue
			}
			d := math.Hypot(float64(x)+float64(mw)/2-t.x/t.n, float64(y)+float64(mh)/2-t.y/t.n)
			if d < best && alike(seen, w, x, y, mw, mh) {
				best, bestAt = d, k
			}
		}
		if bestAt >= 0 {
			x, y := box.X0+(float64(bestAt%w)+float64(mw)/2+0.5)*cell, box.Y0+(float64(bestAt/w)+float64(mh)/2+0.5)*cell
			p.BoldText(RoleLabel, s.Ref, x, y, size, Middle+Centre, s.Mark)
		}
	}
}

// alike tells whether all cells of a block show the same body.
func alike(seen []int32, w, x, y, mw, mh int) bool {
	id := seen[y*w+x]
	for yy := y; yy <= y+mh; yy++ {
		for xx := x; xx <= x+mw; xx++ {
			if seen[yy*w+xx] != id {
				return false
			}
		}
	}
	return true
}

// inConvex tells whether a point is inside a convex polygon.
func inConvex(pts []Point, q Point) bool {
	var left, right bool
	for i, a := range pts {
		b := pts[(i+1)%len(pts)]
		c := (b.X-a.X)*(q.Y-a.Y) - (b.Y-a.Y)*(q.X-a.X)
		left, right = left || c > 0, right || c < 0
	}
	return !(left && right)
}
