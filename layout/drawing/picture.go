// Package drawing is the drawing model: a Picture is a flat list of marks in
// millimetres on paper, y down, each with a role instead of a colour and, where
// it stands for something, the id of that thing. Builders (Boards, Views,
// Isometric, Joint, PanelRows, Timeline, ...) turn answers into pictures; the
// packages svg, pdf and raster turn roles into pens. Start with Picture and
// Render. The package decides where things are drawn, never what is drawn.
package drawing

import (
	"math"

	"pilewright/layout/drawing/font"
)

// Point is a place on the picture in millimetres, x to the right, y down.
type Point struct{ X, Y float64 }

// Rect is an upright rectangle, X0 <= X1 and Y0 <= Y1.
type Rect struct{ X0, Y0, X1, Y1 float64 }

// W is the rectangle's width.
func (r Rect) W() float64 { return r.X1 - r.X0 }

// H is the rectangle's height.
func (r Rect) H() float64 { return r.Y1 - r.Y0 }

// Empty holds for a rectangle that encloses nothing, as the zero Rect.
func (r Rect) Empty() bool { return r.X1 <= r.X0 && r.Y1 <= r.Y0 }

// Grow gives the rectangle widened by d on every side.
func (r Rect) Grow(d float64) Rect { return Rect{r.X0 - d, r.Y0 - d, r.X1 + d, r.Y1 + d} }

// Holds tells whether the point is in the rectangle or on its edge.
func (r Rect) Holds(x, y float64) bool { return x >= r.X0 && x <= r.X1 && y >= r.Y0 && y <= r.Y1 }

// Meets tells whether two rectangles share a point.
func (r Rect) Meets(o Rect) bool {
	return r.X0 <= o.X1 && o.X0 <= r.X1 && r.Y0 <= o.Y1 && o.Y0 <= r.Y1
}

func (r Rect) join(o Rect) Rect {
	return Rect{math.Min(r.X0, o.X0), math.Min(r.Y0, o.Y0), math.Max(r.X1, o.X1), math.Max(r.Y1, o.Y1)}
}

func (r Rect) corners() []Point {
	return []Point{{r.X0, r.Y0}, {r.X1, r.Y0}, {r.X1, r.Y1}, {r.X0, r.Y1}}
}

func around(pts []Point) Rect {
	if len(pts) == 0 {
		return Rect{}
	}
	r := Rect{pts[0].X, pts[0].Y, pts[0].X, pts[0].Y}
	for _, p := range pts[1:] {
		r.X0, r.Y0 = math.Min(r.X0, p.X), math.Min(r.Y0, p.Y)
		r.X1, r.Y1 = math.Max(r.X1, p.X), math.Max(r.Y1, p.Y)
	}
	return r
}

// Kind is the shape of a mark.
type Kind uint8

// The shapes. Which fields of a Mark count is said beside each.
const (
	Polyline  Kind = iota // Pts, two or more
	Polygon               // Pts, three or more; filled where the role fills
	Arc                   // Pts[0] centre, Radius, From and To in degrees, clockwise from 3 o'clock
	Hatch                 // Pts polygon, Angle in degrees, Spacing
	Letters               // Pts[0] anchor, Text, Size, Align, Up, Bold
	Dimension             // Pts[0] and Pts[1] measured points, At, Up, Text, Size, Lift, Ticks
)

// Align says which point of a text its anchor is.
type Align uint8

// Horizontal places combine with vertical ones by +. Left and Baseline are zero.
// For a text that runs up, "left" is its start and "top" its upper side as read.
const (
	Left     Align = 0
	Middle   Align = 1
	Right    Align = 2
	Baseline Align = 0
	Centre   Align = 4 // half the capital height
	Top      Align = 8 // the tops of capitals
)

// Mark is one thing drawn.
type Mark struct {
	Kind             Kind
	Role             Role
	Align            Align
	Up               bool // text runs upwards, to be read from the right; dimension is vertical
	Bold             bool
	Ticks            bool // oblique strokes instead of arrows
	Ref              string
	Pts              []Point
	Text             string
	Size             float64 // of text, em in millimetres
	At               float64 // y of a horizontal dimension line, x of a vertical one
	Lift             float64 // moves a figure off its dimension line: above it, or below where negative
	Radius, From, To float64
	Angle, Spacing   float64
}

// Frame ties a stretch of the picture to the real thing: the place (x, y) in
// millimetres of the object named by Ref is drawn at (X+x*Scale, Y+y*Across).
type Frame struct {
	Ref           string
	X, Y          float64
	Scale, Across float64
}

// Picture is a flat list of marks, drawn first to last. The zero Picture is
// empty and ready. It is not safe to build from several goroutines; a finished
// picture may be read by any number.
type Picture struct {
	Title  string
	Marks  []Mark
	Frames []Frame
	Hover  map[string]string // what to say about a Ref when the pointer rests on it
	arena  []Point
}

// Points are kept in blocks of twice the size of the one before, up to mostKept.
const (
	firstKept = 16
	mostKept  = 512
)

func (p *Picture) keep(pts ...Point) []Point {
	if cap(p.arena)-len(p.arena) < len(pts) {
		p.arena = make([]Point, 0, max(firstKept, min(2*cap(p.arena), mostKept), len(pts)))
	}
	n := len(p.arena)
	p.arena = append(p.arena, pts...)
	return p.arena[n:len(p.arena):len(p.arena)]
}

// Line adds a straight line.
func (p *Picture) Line(role Role, ref string, x0, y0, x1, y1 float64) {
	p.Marks = append(p.Marks, Mark{Kind: Polyline, Role: role, Ref: ref, Pts: p.keep(Point{x0, y0}, Point{x1, y1})})
}

// Polyline adds an open line through the points.
func (p *Picture) Polyline(role Role, ref string, pts ...Point) {
	if len(pts) > 1 {
		p.Marks = append(p.Marks, Mark{Kind: Polyline, Role: role, Ref: ref, Pts: p.keep(pts...)})
	}
}

// Polygon adds a closed figure, filled where the role fills.
func (p *Picture) Polygon(role Role, ref string, pts ...Point) {
	if len(pts) > 2 {
		p.Marks = append(p.Marks, Mark{Kind: Polygon, Role: role, Ref: ref, Pts: p.keep(pts...)})
	}
}

// Rect adds an upright rectangle.
func (p *Picture) Rect(role Role, ref string, r Rect) {
	p.Polygon(role, ref, Point{r.X0, r.Y0}, Point{r.X1, r.Y0}, Point{r.X1, r.Y1}, Point{r.X0, r.Y1})
}

// Arc adds a stretch of a circle, from and to in degrees clockwise from 3 o'clock.
func (p *Picture) Arc(role Role, ref string, x, y, radius, from, to float64) {
	p.Marks = append(p.Marks, Mark{Kind: Arc, Role: role, Ref: ref, Pts: p.keep(Point{x, y}), Radius: radius, From: from, To: to})
}

// Hatch adds parallel lines clipped exactly to a polygon: angle in degrees
// counter-clockwise from the horizontal, spacing in millimetres.
func (p *Picture) Hatch(role Role, ref string, angle, spacing float64, pts ...Point) {
	if len(pts) > 2 && spacing > 0 {
		p.Marks = append(p.Marks, Mark{Kind: Hatch, Role: role, Ref: ref, Pts: p.keep(pts...), Angle: angle, Spacing: spacing})
	}
}

// Text adds a horizontal line of text.
func (p *Picture) Text(role Role, ref string, x, y, size float64, align Align, s string) {
	p.letters(role, ref, x, y, size, align, s, false, false)
}

// BoldText adds a horizontal line of bold text.
func (p *Picture) BoldText(role Role, ref string, x, y, size float64, align Align, s string) {
	p.letters(role, ref, x, y, size, align, s, true, false)
}

// TextUp adds a line of text that runs upwards, to be read from the right.
func (p *Picture) TextUp(role Role, ref string, x, y, size float64, align Align, s string) {
	p.letters(role, ref, x, y, size, align, s, false, true)
}

func (p *Picture) letters(role Role, ref string, x, y, size float64, align Align, s string, bold, up bool) {
	s = font.Clean(s)
	if s == "" || size <= 0 {
		return
	}
	p.Marks = append(p.Marks, Mark{Kind: Letters, Role: role, Ref: ref, Pts: p.keep(Point{x, y}), Text: s, Size: size,
		Align: align, Bold: bold || role.Style().Bold, Up: up})
}

// DimensionH adds a horizontal dimension from (x0, y0) to (x1, y1) with its line
// at height at.
func (p *Picture) DimensionH(ref string, x0, y0, x1, y1, at, size float64, text string) {
	if x1 < x0 {
		x0, y0, x1, y1 = x1, y1, x0, y0
	}
	p.Marks = append(p.Marks, Mark{Kind: Dimension, Role: RoleDimension, Ref: ref, Pts: p.keep(Point{x0, y0}, Point{x1, y1}),
		At: at, Text: font.Clean(text), Size: size})
}

// DimensionV adds a vertical dimension with its line at x = at.
func (p *Picture) DimensionV(ref string, x0, y0, x1, y1, at, size float64, text string) {
	if y1 < y0 {
		x0, y0, x1, y1 = x1, y1, x0, y0
	}
	p.Marks = append(p.Marks, Mark{Kind: Dimension, Role: RoleDimension, Ref: ref, Pts: p.keep(Point{x0, y0}, Point{x1, y1}),
		At: at, Text: font.Clean(text), Size: size, Up: true})
}

// Say sets what the pointer is told when it rests on ref.
func (p *Picture) Say(ref, text string) {
	if ref == "" || text == "" {
		return
	}
	if p.Hover == nil {
		p.Hover = map[string]string{}
	}
	p.Hover[ref] = text
}

// sayAll sets what the pointer is told on bodies.
func (p *Picture) sayAll(solids []Solid3) {
	for i := range solids {
		p.Say(solids[i].Ref, solids[i].Hover)
	}
}

// Add draws another picture into this one: its point (x, y) comes to
// (dx+x*scale, dy+y*scale). Text and hatching scale too; pens, dashes and arrows
// keep their size on paper.
func (p *Picture) Add(o *Picture, dx, dy, scale float64) {
	for _, m := range o.Marks {
		m.Pts = p.keep(m.Pts...)
		for i, q := range m.Pts {
			m.Pts[i] = Point{dx + q.X*scale, dy + q.Y*scale}
		}
		m.Size *= scale
		m.Radius *= scale
		m.Spacing *= scale
		m.Lift *= scale
		if m.Kind == Dimension {
			if m.Up {
				m.At = dx + m.At*scale
			} else {
				m.At = dy + m.At*scale
			}
		}
		p.Marks = append(p.Marks, m)
	}
	for _, f := range o.Frames {
		p.Frames = append(p.Frames, Frame{f.Ref, dx + f.X*scale, dy + f.Y*scale, f.Scale * scale, f.Across * scale})
	}
	for ref, text := range o.Hover {
		p.Say(ref, text)
	}
}

// Frame finds the frame of the thing named by ref.
func (p *Picture) Frame(ref string) (Frame, bool) {
	for _, f := range p.Frames {
		if f.Ref == ref {
			return f, true
		}
	}
	return Frame{}, false
}
