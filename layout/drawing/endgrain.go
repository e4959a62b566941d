package drawing

import (
	"math"

	"pilewright/layout/drawing/font"
)

// EndGrain is how growth rings lie at the end of a piece, seen with its top up.
type EndGrain uint8

// The ways rings lie; RingsRight and RingsLeft arch towards the side named.
const (
	NoRings EndGrain = iota
	RingsUp
	RingsDown
	RingsRight
	RingsLeft
	RingsUpright
	RingsLevel
)

const (
	endWide, endHigh = 4.6, 2.6 // of the end drawn, in millimetres
	faceSize         = 2.4
)

// endGrain draws the end of a piece: its outline, its upper edge stronger, and
// three arcs or lines for the rings. The sign is ours.
func endGrain(p *Picture, role Role, ref string, box Rect, g EndGrain) {
	if g == NoRings {
		return
	}
	p.Rect(RolePaper, ref, box)
	w, h := box.W(), box.H()
	put := func(x, y float64) Point { return Point{box.X0 + x, box.Y0 + y} }
	switch g {
	case RingsDown:
		put = func(x, y float64) Point { return Point{box.X0 + x, box.Y1 - y} }
	case RingsRight, RingsLeft:
		w, h = h, w
		put = func(x, y float64) Point { return Point{box.X1 - y, box.Y0 + x} }
		if g == RingsLeft {
			put = func(x, y float64) Point { return Point{box.X0 + y, box.Y0 + x} }
		}
	}
	for _, at := range []float64{0.2, 0.5, 0.8} {
		switch g {
		case RingsUpright:
			p.Polyline(role, ref, put(w*at, 0), put(w*at, h))
		case RingsLevel:
			p.Polyline(role, ref, put(0, h*at), put(w, h*at))
		default:
			// Circles about one centre below the end, as rings lie about the heart.
			const steps = 8
			r := 1.5*h - at*h
			half := math.Min(w/2, math.Sqrt(r*r-h*h/4))
			pts := make([]Point, 0, steps+1)
			for i := range steps + 1 {
				x := half * (2*float64(i)/steps - 1)
				pts = append(pts, put(w/2+x, 1.5*h-math.Sqrt(r*r-x*x)))
			}
			p.Polyline(role, ref, pts...)
		}
	}
	p.Rect(role, ref, box)
	p.Line(RoleOutline, ref, box.X0, box.Y0, box.X1, box.Y0)
}

// lie draws at the left of a piece how it lies and gives the room that is left for
// its mark; a piece too small for both keeps its mark.
func lie(p *Picture, c RowPiece, box Rect) Rect {
	face := c.Face
	if c.Poor {
		face += "!"
	}
	need := 1.0
	if c.Rings != NoRings {
		need += endWide + 0.8
	}
	if face != "" {
		need += font.Width(face, faceSize, true) + 0.8
	}
	if need == 1 || box.W() < need+font.Width(c.Mark, 2.4, true)+1 || box.H() < 2.2 {
		return box
	}
	x, middle := box.X0+1, (box.Y0+box.Y1)/2
	if c.Rings != NoRings {
		high := math.Min(endHigh, box.H()-1)
		role := RoleThin
		if c.Against {
			role = RoleWarning
		}
		endGrain(p, role, c.Ref, Rect{x, middle - high/2, x + endWide, middle + high/2}, c.Rings)
		x += endWide + 0.8
	}
	if face != "" {
		role := RoleLabel
		if c.Poor {
			role = RoleWarning
		}
		size := math.Min(faceSize, box.H()-0.6)
		p.BoldText(role, c.Ref, x, middle, size, Centre, face)
		x += font.Width(face, size, true) + 0.8
	}
	box.X0 = x
	return box
}
