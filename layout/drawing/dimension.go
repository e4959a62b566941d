package drawing

import (
	"math"

	"pilewright/layout/drawing/font"
)

// Dimension style after ISO 129-1: extension lines start a little off the
// outline and run a little past the dimension line; filled narrow arrows; the
// figure stands above its line, readable from the bottom or the right.
const (
	extensionGap  = 0.8
	extensionPast = 1.2
	arrowLength   = 2.2
	arrowWidth    = 0.75
	figureGap     = 0.7
)

// dimensionGeometry is a dimension as lines: extension lines from a to the line
// and from b to it, the dimension line c-d, arrow tips at c and d.
type dimensionGeometry struct {
	a, b       Point // where the extension lines start
	c, d       Point // ends of the dimension line
	ea, eb     Point // where the extension lines end
	outside    bool  // arrows point inwards from outside
	tail       Point // end of the outer line under a figure that did not fit
	text       TextLine
	textBeside bool
	stemFrom   Point // a lifted figure stands on a stem from the middle of its line
	stem       Point
}

// geometry places the parts of a dimension. A figure that is too wide for its
// span goes to the far side (right of, or above, the span).
func (m *Mark) geometry() dimensionGeometry {
	p0, p1 := m.Pts[0], m.Pts[1]
	if m.Up { // turn: work along y
		p0, p1 = Point{-p1.Y, p1.X}, Point{-p0.Y, p0.X}
	}
	width := font.Width(m.Text, m.Size, m.Bold)
	span := p1.X - p0.X
	g := dimensionGeometry{outside: span < 2*arrowLength+0.6 && !m.Ticks, textBeside: width > span-0.6 && m.Lift == 0}
	side := func(p Point) (from, to Point) {
		if math.Abs(m.At-p.Y) <= extensionGap {
			return p, p // the line touches the outline: nothing to extend
		}
		if m.At < p.Y {
			return Point{p.X, p.Y - extensionGap}, Point{p.X, m.At - extensionPast}
		}
		return Point{p.X, p.Y + extensionGap}, Point{p.X, m.At + extensionPast}
	}
	g.a, g.ea = side(p0)
	g.b, g.eb = side(p1)
	g.c, g.d = Point{p0.X, m.At}, Point{p1.X, m.At}
	g.text = TextLine{X: (p0.X + p1.X - width) / 2, Y: m.At - figureGap, Size: m.Size, Text: m.Text, Bold: m.Bold, Role: m.Role}
	if g.textBeside {
		g.text.X = p1.X + 1
		if g.outside {
			g.text.X += arrowLength
		}
	}
	if m.Lift != 0 {
		middle := (p0.X + p1.X) / 2
		g.text.X, g.text.Y = middle+0.6, m.At-m.Lift-figureGap
		g.stemFrom, g.stem = Point{middle, m.At}, Point{middle, g.text.Y - font.CapHeight*m.Size}
		if m.Lift < 0 {
			g.text.Y = m.At - m.Lift - figureGap
			g.stem.Y = g.text.Y
		}
	}
	g.tail = Point{g.d.X, m.At}
	if g.outside {
		g.tail.X += arrowLength + 1
	}
	if g.textBeside && m.Text != "" {
		g.tail.X = g.text.X + width
	}
	if m.Up {
		for _, p := range []*Point{&g.a, &g.b, &g.c, &g.d, &g.ea, &g.eb, &g.tail, &g.stem, &g.stemFrom} {
			*p = Point{p.Y, -p.X}
		}
		g.text.X, g.text.Y, g.text.Up = g.text.Y, -g.text.X, true
	}
	return g
}

func (r *renderer) dimension(m *Mark) {
	g := m.geometry()
	seg := func(a, b Point) {
		if a != b {
			r.pts = append(r.pts[:0], a, b)
			r.c.Path(r.pts, false, Stroke, m.Role)
		}
	}
	seg(g.a, g.ea)
	seg(g.b, g.eb)
	seg(g.c, g.d)
	if g.tail != g.d {
		seg(g.d, g.tail)
	}
	if m.Lift != 0 {
		seg(g.stemFrom, g.stem)
	}
	dx, dy := 1.0, 0.0
	if m.Up {
		dx, dy = 0, -1
	}
	switch {
	case m.Ticks:
		for _, p := range []Point{g.c, g.d} {
			seg(Point{p.X - 0.8, p.Y + 0.8}, Point{p.X + 0.8, p.Y - 0.8})
		}
	case g.outside:
		seg(Point{g.c.X - dx*(arrowLength+1), g.c.Y - dy*(arrowLength+1)}, g.c)
		r.arrow(g.c, -dx, -dy, m.Role)
		r.arrow(g.d, dx, dy, m.Role)
	default:
		r.arrow(g.c, dx, dy, m.Role)
		r.arrow(g.d, -dx, -dy, m.Role)
	}
	if m.Text != "" && m.Size >= r.d.MinText {
		r.c.Write(g.text)
	}
}

// arrow draws a filled arrow head with its tip at p, its body towards (dx, dy).
func (r *renderer) arrow(p Point, dx, dy float64, role Role) {
	q := Point{p.X + dx*arrowLength, p.Y + dy*arrowLength}
	nx, ny := -dy*arrowWidth/2, dx*arrowWidth/2
	r.pts = append(r.pts[:0], p, Point{q.X + nx, q.Y + ny}, Point{q.X - nx, q.Y - ny})
	r.c.Path(r.pts, true, Fill, role)
}
