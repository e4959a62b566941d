package drawing

import "math"

// Hit gives the Ref of the topmost mark at a place, or "". An area is hit inside
// or on its edge, filled or not; a line or an arc within tol millimetres of it;
// a text in its box. Marks without a Ref are looked through.
func (p *Picture) Hit(x, y, tol float64) string {
	for i := len(p.Marks) - 1; i >= 0; i-- {
		m := &p.Marks[i]
		if m.Ref != "" && m.hit(Point{x, y}, tol) {
			return m.Ref
		}
	}
	return ""
}

// HoverAt gives what to say about the topmost thing at a place, or "".
func (p *Picture) HoverAt(x, y, tol float64) string { return p.Hover[p.Hit(x, y, tol)] }

// Extent is the box around the areas and lines that carry ref, for an outline
// drawn about what is selected.
func (p *Picture) Extent(ref string) (Rect, bool) {
	var b bounds
	for i := range p.Marks {
		m := &p.Marks[i]
		if m.Ref != ref || m.Kind == Letters || m.Kind == Dimension {
			continue
		}
		box := around(m.Pts)
		if m.Kind == Arc {
			box = box.Grow(m.Radius)
		}
		b.add(box)
	}
	return b.box, b.any
}

func (m *Mark) hit(q Point, tol float64) bool {
	if m.Kind == Letters { // a cheap look before measuring the text
		if off := q.Y - m.Pts[0].Y; !m.Up && math.Abs(off) > 2*m.Size || m.Up && math.Abs(q.X-m.Pts[0].X) > 2*m.Size {
			return false
		}
	}
	if !m.reach().Grow(tol).Holds(q.X, q.Y) {
		return false
	}
	switch m.Kind {
	case Polygon, Hatch:
		return inside(m.Pts, q)
	case Polyline:
		for i := 1; i < len(m.Pts); i++ {
			if distance(q, m.Pts[i-1], m.Pts[i]) <= tol {
				return true
			}
		}
		return false
	case Arc:
		return m.onArc(q, tol)
	case Letters:
		return m.textBox().Holds(q.X, q.Y)
	default:
		g := m.geometry()
		return g.text.box().Holds(q.X, q.Y) || distance(q, g.c, g.d) <= tol
	}
}

func (m *Mark) onArc(q Point, tol float64) bool {
	dx, dy := q.X-m.Pts[0].X, q.Y-m.Pts[0].Y
	if math.Abs(math.Hypot(dx, dy)-m.Radius) > tol {
		return false
	}
	from, to := min(m.From, m.To), max(m.From, m.To)
	a := math.Atan2(dy, dx) * 180 / math.Pi
	for a < from {
		a += 360
	}
	return a <= to
}

// inside tells whether the point lies in the polygon (even-odd) or on its edge.
func inside(pts []Point, q Point) bool {
	in := false
	for i, a := range pts {
		b := pts[(i+1)%len(pts)]
		if distance(q, a, b) < 1e-9 {
			return true
		}
		if (a.Y > q.Y) != (b.Y > q.Y) && q.X < a.X+(q.Y-a.Y)*(b.X-a.X)/(b.Y-a.Y) {
			in = !in
		}
	}
	return in
}

// distance is how far q lies from the segment a-b.
func distance(q, a, b Point) float64 {
	dx, dy := b.X-a.X, b.Y-a.Y
	t := 0.0
	if l := dx*dx + dy*dy; l > 0 {
		t = max(0, min(1, ((q.X-a.X)*dx+(q.Y-a.Y)*dy)/l))
	}
	return math.Hypot(q.X-a.X-t*dx, q.Y-a.Y-t*dy)
}
