package drawing_test

import (
	"math"
	"testing"

	"pilewright/layout/drawing"
	"pilewright/layout/drawing/font"
)

// everyMark draws each kind of mark and each role once.
func everyMark() *drawing.Picture {
	p := &drawing.Picture{Title: "Every mark"}
	for r := drawing.Role(0); r < drawing.Roles; r++ {
		x, y := float64(r%4)*46, float64(r/4)*14
		p.Rect(r, r.String(), drawing.Rect{X0: x, Y0: y, X1: x + 12, Y1: y + 8})
		p.Line(r, "", x+14, y+8, x+24, y)
		p.Text(r, "", x+26, y+4, 2.6, drawing.Left+drawing.Centre, r.String())
		p.Say(r.String(), "this is "+r.String())
	}
	y := 122.0
	p.Polygon(drawing.RoleOutline, "triangle", drawing.Point{X: 0, Y: y + 20}, drawing.Point{X: 15, Y: y}, drawing.Point{X: 30, Y: y + 20})
	p.Hatch(drawing.RoleThin, "triangle", 45, 1.5, drawing.Point{X: 0, Y: y + 20}, drawing.Point{X: 15, Y: y}, drawing.Point{X: 30, Y: y + 20})
	p.Arc(drawing.RoleCentre, "arc", 45, y+10, 9, -90, 180)
	p.Arc(drawing.RolePart, "disc", 70, y+10, 9, 0, 360)
	p.Rect(drawing.RoleOutline, "", drawing.Rect{X0: 90, Y0: y, X1: 130, Y1: y + 12})
	p.DimensionH("wide", 90, y+12, 130, y+12, y+19, 2.5, "1' 11 ½\"")
	p.DimensionH("narrow", 130, y+12, 134, y+12, y+19, 2.5, "⅜″")
	p.DimensionV("tall", 90, y, 90, y+12, 84, 2.5, "59.7")
	p.DimensionV("low", 130, y, 130, y+3, 140, 2.5, "≈ 3.1 mm")
	p.TextUp(drawing.RoleLabel, "up", 160, y+20, 3, drawing.Left, "runs up – é ×")
	return p
}

func TestEveryMark(t *testing.T) { golden(t, "every_mark", everyMark()) }

func TestHitFindsTheTopmostThing(t *testing.T) {
	p := everyMark()
	p.Rect(drawing.RoleSelected, "over", drawing.Rect{X0: 0, Y0: 0, X1: 5, Y1: 5})
	for _, c := range []struct {
		name string
		x, y float64
		want string
	}{
		{"a rectangle drawn later hides one below", 2, 2, "over"},
		{"the rest of the lower one can be hit", 8, 6, "outline"},
		{"nothing is hit between things", 25, 30, ""},
		{"a free polygon is hit inside", 15, 132, "triangle"},
		{"and not beside its slanted side", 3, 125, ""},
		{"an arc is hit on its line", 54, 132, "arc"},
		{"and not in the gap of the circle", 45 - 9*math.Sqrt(.5), 132 - 9*math.Sqrt(.5), ""},
		{"a disc is hit near its rim", 79, 132, "disc"},
		{"a dimension is hit on its figure", 110, 139, "wide"},
		{"a text that runs up is hit along it", 159, 130, "up"},
	} {
		t.Run(c.name, func(t *testing.T) {
			if got := p.Hit(c.x, c.y, 0.3); got != c.want {
				t.Errorf("Hit(%v, %v) = %q, want %q", c.x, c.y, got, c.want)
			}
		})
	}
	if got := p.HoverAt(8, 6, 0); got != "this is outline" {
		t.Errorf("HoverAt = %q", got)
	}
}

func TestBoundsHoldWhatIsDrawn(t *testing.T) {
	var p drawing.Picture
	if got := p.Bounds(); got != (drawing.Rect{}) {
		t.Errorf("an empty picture has bounds %v", got)
	}
	p.Text(drawing.RoleLabel, "", 10, 10, 4, drawing.Right, "Rail")
	b := p.Bounds()
	if want := 10 - font.Width("Rail", 4, false); math.Abs(b.X0-want) > 1e-9 || b.X1 != 10 {
		t.Errorf("text right-aligned at 10 spans %v..%v, want %v..10", b.X0, b.X1, want)
	}
	p.DimensionH("", 0, 0, 4, 0, -10, 2.5, "a long figure")
	if b := p.Bounds(); b.X1 < 4+font.Width("a long figure", 2.5, false) || b.Y0 > -11 {
		t.Errorf("bounds %v leave out the figure beside its dimension", b)
	}
}

func TestAddScalesPlacesTextAndFrames(t *testing.T) {
	var a, b drawing.Picture
	a.Text(drawing.RoleLabel, "t", 10, 20, 4, drawing.Left, "x")
	a.DimensionV("d", 0, 0, 0, 10, 30, 3, "y")
	a.Frames = append(a.Frames, drawing.Frame{Ref: "f", X: 1, Y: 2, Scale: 0.1, Across: 0.2})
	a.Say("t", "hello")
	b.Add(&a, 100, 200, 0.5)
	if m := b.Marks[0]; m.Pts[0] != (drawing.Point{X: 105, Y: 210}) || m.Size != 2 {
		t.Errorf("text came to %v size %v", m.Pts[0], m.Size)
	}
	if m := b.Marks[1]; m.At != 115 {
		t.Errorf("vertical dimension line came to %v", m.At)
	}
	if f, _ := b.Frame("f"); f != (drawing.Frame{Ref: "f", X: 100.5, Y: 201, Scale: 0.05, Across: 0.1}) {
		t.Errorf("frame came to %v", f)
	}
	if b.Hover["t"] != "hello" || a.Marks[0].Pts[0].X != 10 {
		t.Error("hover text lost or the source changed")
	}
}

// recorder keeps every path a picture renders to.
type recorder struct{ paths [][]drawing.Point }

func (r *recorder) Path(pts []drawing.Point, _ bool, _ drawing.Paint, _ drawing.Role) {
	r.paths = append(r.paths, append([]drawing.Point(nil), pts...))
}
func (r *recorder) Write(drawing.TextLine) {}

// The length of hatching lines times their spacing must come near the area they
// hatch: exact for a rectangle hatched along a side, within a spacing's width of
// the border otherwise.
func TestHatchCoversItsAreaAndStaysInside(t *testing.T) {
	shape := []drawing.Point{{X: 0, Y: 0}, {X: 40, Y: 5}, {X: 22, Y: 14}, {X: 38, Y: 30}, {X: 2, Y: 25}}
	area := 0.0
	for i, a := range shape {
		b := shape[(i+1)%len(shape)]
		area += (a.X*b.Y - b.X*a.Y) / 2
	}
	for _, angle := range []float64{0, 30, 45, 90, 135} {
		var p drawing.Picture
		p.Hatch(drawing.RoleThin, "", angle, 0.2, shape...)
		var r recorder
		p.Render(&r, drawing.Detail{})
		total := 0.0
		var ref drawing.Picture
		ref.Polygon(drawing.RoleThin, "in", shape...)
		for _, l := range r.paths {
			total += math.Hypot(l[1].X-l[0].X, l[1].Y-l[0].Y)
			for _, f := range []float64{0.001, 0.5, 0.999} {
				x, y := l[0].X+f*(l[1].X-l[0].X), l[0].Y+f*(l[1].Y-l[0].Y)
				if ref.Hit(x, y, 0) != "in" {
					t.Fatalf("angle %v: a line leaves the polygon at %v, %v", angle, x, y)
				}
			}
		}
		if math.Abs(total*0.2-area) > 0.01*area {
			t.Errorf("angle %v: lines cover %.2f mm², the polygon has %.2f", angle, total*0.2, area)
		}
	}
}

func TestRenderLeavesOutWhatIsOutsideTheView(t *testing.T) {
	p := everyMark()
	var r recorder
	p.Render(&r, drawing.Detail{View: drawing.Rect{X0: -1, Y0: -1, X1: 13, Y1: 9}})
	if len(r.paths) != 1 {
		t.Errorf("%d paths in a view of one rectangle", len(r.paths))
	}
}
