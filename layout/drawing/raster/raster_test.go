package raster

import (
	"bytes"
	"image"
	"image/color"
	"image/png"
	"math"
	"testing"

	"pilewright/layout/drawing"
)

// darkness sums how much ink an image holds, in pixels of full black.
func darkness(img *image.RGBA) float64 {
	sum := 0.0
	for i := 0; i < len(img.Pix); i += 4 {
		sum += 1 - float64(img.Pix[i])/255
	}
	return sum
}

func blank(w, h int) *image.RGBA { return image.NewRGBA(image.Rect(0, 0, w, h)) }

// The ink of a filled figure must be its area, that of a line its length times
// its width, wherever it lies and however it is turned.
func TestInkMatchesGeometry(t *testing.T) {
	pal := Print()
	for _, c := range []struct {
		name string
		draw func(p *drawing.Picture)
		want float64
		tol  float64
	}{
		{"an upright rectangle off the pixel grid", func(p *drawing.Picture) {
			p.Marks = append(p.Marks, drawing.Mark{Kind: drawing.Polygon, Role: drawing.RoleKerf, Pts: []drawing.Point{{X: 10.3, Y: 10.7}, {X: 60.9, Y: 10.7}, {X: 60.9, Y: 40.2}, {X: 10.3, Y: 40.2}}})
		}, 50.6*29.5 + 2*(50.6+29.5)*0.5, 45},
		{"a slanted line, thinner than a pixel and so drawn one wide", func(p *drawing.Picture) { p.Line(drawing.RoleSelected, "", 10, 10, 80, 60) }, math.Hypot(70, 50), 4},
		{"a steep line", func(p *drawing.Picture) { p.Line(drawing.RoleThin, "", 20, 5, 33, 90) }, math.Hypot(13, 85), 4},
	} {
		t.Run(c.name, func(t *testing.T) {
			var p drawing.Picture
			c.draw(&p)
			img := blank(100, 100)
			Draw(img, &p, Transform{Scale: 1}, pal)
			if got := darkness(img); math.Abs(got-c.want) > c.tol {
				t.Errorf("ink %.1f, want %.1f ± %.1f", got, c.want, c.tol)
			}
		})
	}
}

// A polygon far larger than the image must paint the same pixels as its visible
// part alone.
func TestZoomingInPaintsTheVisiblePart(t *testing.T) {
	var p drawing.Picture
	p.Polygon(drawing.RolePart, "", drawing.Point{X: -1e5, Y: 50}, drawing.Point{X: 50, Y: -1e5}, drawing.Point{X: 1e5, Y: 50}, drawing.Point{X: 50, Y: 1e5})
	p.Hatch(drawing.RoleDefect, "", 45, 1e4, drawing.Point{X: -1e5, Y: -1e5}, drawing.Point{X: 1e5, Y: -1e5}, drawing.Point{X: 1e5, Y: 1e5})
	img := blank(100, 100)
	Draw(img, &p, Transform{Scale: 1}, Print())
	want := color.RGBA{236, 236, 236, 255}
	for _, at := range []image.Point{{0, 0}, {99, 0}, {50, 50}, {0, 99}, {99, 99}} {
		if got := img.RGBAAt(at.X, at.Y); got != want && got.R > 236 {
			t.Errorf("pixel %v is %v, want %v", at, got, want)
		}
	}
}

func TestSmallTextIsLeftOutAndLargeIsNot(t *testing.T) {
	var p drawing.Picture
	p.Text(drawing.RoleLabel, "", 10, 50, 3, drawing.Left, "A1 23 ½")
	for _, c := range []struct {
		scale float64
		shown bool
	}{{1.9, false}, {2.1, true}, {6, true}} {
		img := blank(200, 400)
		Draw(img, &p, Transform{Scale: c.scale}, Print())
		if got := darkness(img) > 5; got != c.shown {
			t.Errorf("at %.1f px/mm (%.1f px) text shown: %v", c.scale, 3*c.scale, got)
		}
	}
}

// Text that runs up is the same text turned: the same ink.
func TestTextRunsUp(t *testing.T) {
	var a, b drawing.Picture
	a.Text(drawing.RoleLabel, "", 10, 60, 20, drawing.Left, "Leg 7")
	b.TextUp(drawing.RoleLabel, "", 60, 90, 20, drawing.Left, "Leg 7")
	ia, ib := blank(100, 100), blank(100, 100)
	Draw(ia, &a, Transform{Scale: 1}, Print())
	Draw(ib, &b, Transform{Scale: 1}, Print())
	da, db := darkness(ia), darkness(ib)
	if da < 100 || math.Abs(da-db) > 0.03*da {
		t.Errorf("ink %.1f across, %.1f upwards", da, db)
	}
	ba := b.Bounds()
	for y := range 100 {
		for x := range 100 {
			if ib.RGBAAt(x, y).R < 128 && !ba.Grow(1).Holds(float64(x), float64(y)) {
				t.Fatalf("ink at %d, %d outside %v", x, y, ba)
			}
		}
	}
}

func TestTransformFitsAndInverts(t *testing.T) {
	box := drawing.Rect{X0: -10, Y0: 5, X1: 190, Y1: 105}
	tr := Fit(box, 400, 400)
	if tr.Scale != 2 {
		t.Errorf("scale %v, want 2", tr.Scale)
	}
	q := tr.Point(box.X0*tr.Scale+tr.DX, box.Y1*tr.Scale+tr.DY)
	if math.Abs(q.X-box.X0) > 1e-9 || math.Abs(q.Y-box.Y1) > 1e-9 {
		t.Errorf("came back to %v", q)
	}
	if tr := Fit(drawing.Rect{}, 10, 10); tr.Scale != 1 {
		t.Errorf("an empty box gives scale %v", tr.Scale)
	}
}

func TestTheSameViewGivesTheSamePixels(t *testing.T) {
	var p drawing.Picture
	p.Text(drawing.RoleLabel, "", 1, 20, 10, drawing.Left, "≈ ½ é")
	p.Arc(drawing.RolePart, "", 50, 50, 30, 0, 360)
	p.Line(drawing.RoleHidden, "", 0, 0, 99, 70)
	a, b := blank(100, 100), blank(100, 100)
	var d Painter
	d.Draw(a, &p, Transform{Scale: 1}, Print())
	d.Draw(b, &p, Transform{Scale: 1.7}, Print())
	d.Draw(b, &p, Transform{Scale: 1}, Print())
	if !bytes.Equal(a.Pix, b.Pix) {
		t.Error("a second painting differs from the first")
	}
}

func TestPNGHasTheSizeOfThePicture(t *testing.T) {
	var p drawing.Picture
	p.Rect(drawing.RolePaper, "", drawing.Rect{X0: 0, Y0: 0, X1: 25.4, Y1: 50.8})
	var b bytes.Buffer
	if err := PNG(&b, &p, 100, Print()); err != nil {
		t.Fatal(err)
	}
	img, err := png.Decode(&b)
	if err != nil {
		t.Fatal(err)
	}
	if w, h := img.Bounds().Dx(), img.Bounds().Dy(); w != 117 || h != 217 { // 2 mm and half a pen more on each side
		t.Errorf("%d x %d pixels", w, h)
	}
	b.Reset()
	p.Rect(drawing.RolePaper, "", drawing.Rect{X0: 0, Y0: 0, X1: 1e5, Y1: 10})
	if err := PNG(&b, &p, 300, Print()); err != nil {
		t.Fatal(err)
	}
	c, err := png.DecodeConfig(&b)
	if err != nil {
		t.Fatal(err)
	}
	if c.Width > MaxPixels+1 {
		t.Errorf("%d pixels wide", c.Width)
	}
}

func TestStrangeInputDoesNoHarm(t *testing.T) {
	var p drawing.Picture
	for _, v := range []float64{math.NaN(), math.Inf(1), -1e300, 1e18} {
		p.Line(drawing.RoleHidden, "", v, 0, 50, v)
		p.Rect(drawing.RoleBoard, "", drawing.Rect{X0: v, Y0: 0, X1: 50, Y1: 50})
		p.Polygon(drawing.RolePart, "", drawing.Point{X: v, Y: 3}, drawing.Point{X: 9, Y: 50}, drawing.Point{X: 4, Y: v})
		p.Text(drawing.RoleLabel, "", v, 10, 10, drawing.Left, "x")
		p.Text(drawing.RoleLabel, "", 10, 10, math.Abs(v), drawing.Left, "x")
		p.Arc(drawing.RolePart, "", v, 10, 10, 0, 360)
		p.Arc(drawing.RolePart, "", 10, 10, math.Abs(v), 0, v)
		p.Hatch(drawing.RoleDefect, "", 45, 1, drawing.Point{X: v, Y: 3}, drawing.Point{X: 9, Y: 50}, drawing.Point{X: 4, Y: v})
		p.DimensionH("", v, 0, 50, v, v, 2.5, "x")
	}
	Draw(blank(60, 60), &p, Transform{Scale: 1}, Print())
	Draw(blank(60, 60), &p, Transform{Scale: math.NaN()}, Print())
	Draw(blank(0, 0), &p, Transform{Scale: 1}, Print())
}

func TestTintedRunsFromInkToPaper(t *testing.T) {
	ink, paper := color.NRGBA{240, 230, 220, 255}, color.NRGBA{20, 22, 30, 255}
	p := Tinted(ink, paper)
	if p.Paper != paper || p.Line[drawing.RoleOutline] != ink || p.Fill[drawing.RoleBoard] != paper {
		t.Errorf("paper %v, outline %v, board %v", p.Paper, p.Line[drawing.RoleOutline], p.Fill[drawing.RoleBoard])
	}
	if got := p.Fill[drawing.RoleOutline]; got.A != 0 {
		t.Errorf("a role without a fill got %v", got)
	}
}
