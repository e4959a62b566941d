package drawing

import (
	"math"
	"slices"

	"pilewright/layout/drawing/font"
)

// markBodies writes marks on bodies: an item buffer of half-millimetre cells says
// which side of which body is seen where, and a mark goes on the side that shows
// most, where it fits nearest to the middle of what is seen.
func markBodies(p *Picture, solids []Solid3, fs []facet) {
	const cell = 0.5
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
					seen[y*w+x] = int32(3*fs[i].solid+fs[i].side) + 1
				}
			}
		}
	}
	sides := make([][]int32, 3*len(solids)+1) // cells of each side of each body
	for i, id := range seen {
		sides[id] = append(sides[id], int32(i))
	}
	for i, s := range solids {
		if s.Mark == "" {
			continue
		}
		own := [][]int32{sides[3*i+1], sides[3*i+2], sides[3*i+3]}
		slices.SortStableFunc(own, func(a, b []int32) int { return len(b) - len(a) })
		own = append(own, slices.Concat(own...)) // last resort: across an edge of the body
		side := func(cell int32) int32 { return seen[cell] }
		body := func(cell int32) int32 { return (seen[cell] + 2) / 3 }
		for try := range 4 * len(markSizes) {
			where, size, same := own[try%3], markSizes[try/3%len(markSizes)], side
			if try >= 3*len(markSizes) {
				where, size, same = own[3], markSizes[try-3*len(markSizes)], body
			}
			high := font.CapHeight * size
			mw, mh := int(font.Width(s.Mark, size, true)/cell)+2, int(high/cell)+2
			if at := roomFor(where, same, w, h, mw, mh); at >= 0 {
				x, y := box.X0+(float64(at%w)+float64(mw)/2+0.5)*cell, box.Y0+(float64(at/w)+float64(mh)/2+0.5)*cell
				p.BoldText(RoleLabel, s.Ref, x, y, size, Middle+Centre, s.Mark)
				break
			}
		}
	}
}

// markSizes are the text sizes a mark is tried at.
var markSizes = []float64{2.6, 2.2, 1.9}

// roomFor finds the block of mw by mh cells that lies nearest to the middle of
// the given cells and shows one thing only; -1 if there is none.
func roomFor(where []int32, same func(cell int32) int32, w, h, mw, mh int) int {
	var cx, cy float64
	for _, k := range where {
		cx, cy = cx+float64(int(k)%w), cy+float64(int(k)/w)
	}
	cx, cy = cx/float64(len(where)), cy/float64(len(where))
	at, best := -1, math.Inf(1)
	for _, k := range where {
		x, y := int(k)%w, int(k)/w
		if x+mw >= w || y+mh >= h {
			continue
		}
		d := math.Hypot(float64(x)+float64(mw)/2-cx, float64(y)+float64(mh)/2-cy)
		if d < best && alike(same, w, x, y, mw, mh) {
			at, best = int(k), d
		}
	}
	return at
}

// alike tells whether all cells of a block show the same.
func alike(same func(cell int32) int32, w, x, y, mw, mh int) bool {
	id := same(int32(y*w + x))
	for yy := y; yy <= y+mh; yy++ {
		for xx := x; xx <= x+mw; xx++ {
			if same(int32(yy*w+xx)) != id {
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
