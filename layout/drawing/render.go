package drawing

import (
	"math"

	"pilewright/layout/drawing/font"
)

// Paint says what is done with a path.
type Paint uint8

// A path is stroked, filled or, for a closed one, both.
const (
	Stroke Paint = 1
	Fill   Paint = 2
)

// Line of text as a renderer gets it: X, Y is the start of the baseline.
type TextLine struct {
	X, Y, Size float64
	Text       string
	Bold, Up   bool
	Role       Role
}

// Canvas is what a renderer offers. Path gets points that are only valid during
// the call; a filled path is closed whatever closed says.
type Canvas interface {
	Path(pts []Point, closed bool, paint Paint, role Role)
	Write(t TextLine)
}

// Detail limits what is rendered. The zero Detail renders everything.
type Detail struct {
	View     Rect    // leave out marks that lie outside, unless empty
	MinText  float64 // leave out smaller text (mm)
	MinHatch float64 // widen closer hatching to at least this spacing (mm)
}

// Render breaks the marks into paths and lines of text and hands them to the
// canvas, first to last.
func (p *Picture) Render(c Canvas, d Detail) {
	r := renderer{c: c, d: d}
	for i := range p.Marks {
		r.mark(&p.Marks[i])
	}
}

type renderer struct {
	c   Canvas
	d   Detail
	pts []Point
	cut []float64
}

func (r *renderer) mark(m *Mark) {
	if !r.d.View.Empty() && !r.d.View.Meets(m.reach()) {
		return
	}
	style := m.Role.Style()
	switch m.Kind {
	case Polyline:
		r.c.Path(m.Pts, false, Stroke, m.Role)
	case Polygon:
		paint := Paint(0)
		if style.Fill {
			paint |= Fill
		}
		if style.Pen.Width > 0 {
			paint |= Stroke
		}
		r.c.Path(m.Pts, true, paint, m.Role)
	case Arc:
		r.arc(m)
	case Hatch:
		spacing := m.Spacing
		for spacing < r.d.MinHatch {
			spacing *= 2
		}
		r.hatch(m.Pts, m.Angle, spacing, m.Role)
	case Letters:
		if m.Size >= r.d.MinText {
			r.c.Write(m.line())
		}
	case Dimension:
		r.dimension(m)
	}
}

// reach is a box that surely holds all that the mark draws.
func (m *Mark) reach() Rect {
	box := around(m.Pts)
	switch m.Kind {
	case Arc:
		return box.Grow(m.Radius)
	case Letters:
		return m.textBox()
	case Dimension:
		g := m.geometry()
		box = box.join(around([]Point{g.a, g.b, g.c, g.d}))
		if m.Lift != 0 {
			box = box.join(around([]Point{g.stem}))
		}
		return box.join(g.text.box()).Grow(arrowLength)
	}
	return box.Grow(0.5)
}

// line gives the text with its anchor moved to the start of the baseline.
func (m *Mark) line() TextLine {
	t := TextLine{X: m.Pts[0].X, Y: m.Pts[0].Y, Size: m.Size, Text: m.Text, Bold: m.Bold, Up: m.Up, Role: m.Role}
	var along, down float64
	switch m.Align & 3 {
	case Middle:
		along = -font.Width(m.Text, m.Size, m.Bold) / 2
	case Right:
		along = -font.Width(m.Text, m.Size, m.Bold)
	}
	switch m.Align &^ 3 {
	case Centre:
		down = font.CapHeight * m.Size / 2
	case Top:
		down = font.CapHeight * m.Size
	}
	if m.Up {
		t.X += down
		t.Y -= along
	} else {
		t.X += along
		t.Y += down
	}
	return t
}

func (m *Mark) textBox() Rect { return m.line().box() }

// box is the room the line takes, from descenders to capitals with accents.
func (t TextLine) box() Rect {
	w := font.Width(t.Text, t.Size, t.Bold)
	up, down := 0.95*t.Size, 0.25*t.Size
	if t.Up {
		return Rect{t.X - up, t.Y - w, t.X + down, t.Y}
	}
	return Rect{t.X, t.Y - up, t.X + w, t.Y + down}
}

// arc approximates by chords that stay within 0.02 mm of the circle.
func (r *renderer) arc(m *Mark) {
	if !(m.Radius > 0) || !(math.Abs(m.To-m.From) <= 720) {
		return
	}
	step := math.Max(2*math.Acos(1-math.Min(0.02/m.Radius, 0.5)), 0.01)
	from, to := m.From*math.Pi/180, m.To*math.Pi/180
	n := int(math.Ceil(math.Abs(to-from)/step)) + 1
	r.pts = r.pts[:0]
	for i := 0; i <= n; i++ {
		a := from + (to-from)*float64(i)/float64(n)
		r.pts = append(r.pts, Point{m.Pts[0].X + m.Radius*math.Cos(a), m.Pts[0].Y + m.Radius*math.Sin(a)})
	}
	full := math.Abs(m.To-m.From) >= 360
	paint := Stroke
	if full && m.Role.Style().Fill {
		paint |= Fill
	}
	r.c.Path(r.pts, full, paint, m.Role)
}

// bounds is a canvas that only notes how far things reach.
type bounds struct {
	box Rect
	any bool
}

func (b *bounds) add(r Rect) {
	if !b.any {
		b.box, b.any = r, true
		return
	}
	b.box = b.box.join(r)
}

func (b *bounds) Path(pts []Point, _ bool, paint Paint, role Role) {
	d := 0.0
	if paint&Stroke != 0 {
		d = role.Style().Pen.Width / 2
	}
	b.add(around(pts).Grow(d))
}

func (b *bounds) Write(t TextLine) { b.add(t.box()) }

// Bounds is the least upright rectangle around everything drawn, pens and
// letters included; the zero Rect for an empty picture.
func (p *Picture) Bounds() Rect {
	var b bounds
	p.Render(&b, Detail{})
	return b.box
}
