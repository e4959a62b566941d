// Package raster paints a drawing.Picture into an image: the screen's painter
// and the PNG export. It keeps widths and dashes of the roles and takes colours
// from a Palette. Start with Painter.Draw.
package raster

import (
	"bufio"
	"image"
	"image/color"
	"image/draw"
	"image/png"
	"io"
	"math"

	"golang.org/x/image/vector"

	"pilewright/layout/drawing"
)

// Transform places a picture on an image: the point (x, y) of the picture in
// millimetres lands on the pixel (x*Scale+DX, y*Scale+DY).
type Transform struct{ Scale, DX, DY float64 }

// Fit gives the transform that shows box whole and centred in w by h pixels.
func Fit(box drawing.Rect, w, h int) Transform {
	if box.Empty() {
		return Transform{Scale: 1}
	}
	s := math.Min(float64(w)/math.Max(box.W(), 1e-6), float64(h)/math.Max(box.H(), 1e-6))
	return Transform{Scale: s, DX: (float64(w) - (box.X0+box.X1)*s) / 2, DY: (float64(h) - (box.Y0+box.Y1)*s) / 2}
}

// Point gives the place on the picture that is under a pixel.
func (t Transform) Point(px, py float64) drawing.Point {
	return drawing.Point{X: (px - t.DX) / t.Scale, Y: (py - t.DY) / t.Scale}
}

// Palette holds the colours of one look. A fully transparent colour is not
// painted.
type Palette struct {
	Paper color.NRGBA // behind everything
	Line  [drawing.Roles]color.NRGBA
	Fill  [drawing.Roles]color.NRGBA // of areas; and of hatching and arrows: Line
	Text  [drawing.Roles]color.NRGBA
}

// Print is the black-and-white palette of the paper renderers.
func Print() *Palette {
	p := &Palette{Paper: color.NRGBA{255, 255, 255, 255}}
	gray := func(v uint8) color.NRGBA { return color.NRGBA{v, v, v, 255} }
	for r := drawing.Role(0); r < drawing.Roles; r++ {
		s := r.Style()
		p.Line[r], p.Text[r] = gray(s.Pen.Gray), gray(s.Ink)
		if s.Fill {
			p.Fill[r] = gray(s.Tone)
		}
	}
	return p
}

// Tinted is the palette of Print with black turned to ink, white to paper and the
// grays between them, for a dark or a coloured theme to start from.
func Tinted(ink, paper color.NRGBA) *Palette {
	p := Print()
	mix := func(c color.NRGBA) color.NRGBA {
		if c.A == 0 {
			return c
		}
		part := func(a, b uint8) uint8 { return uint8((int(a)*(255-int(c.R)) + int(b)*int(c.R)) / 255) }
		return color.NRGBA{part(ink.R, paper.R), part(ink.G, paper.G), part(ink.B, paper.B), 255}
	}
	p.Paper = mix(p.Paper)
	for r := range p.Line {
		p.Line[r], p.Fill[r], p.Text[r] = mix(p.Line[r]), mix(p.Fill[r]), mix(p.Text[r])
	}
	return p
}

// Sizes below which detail is left out, in pixels.
const (
	minText  = 6   // em of a text
	minHatch = 4   // spacing of hatching
	minLine  = 1   // width of a line
	maxLine  = 3.5 // width of a line however far one zooms in
)

// Painter paints pictures. It keeps glyphs and buffers between calls, so keep it
// as long as the view. The zero Painter is ready. Not for two goroutines at once.
type Painter struct {
	ras    vector.Rasterizer
	glyphs glyphCache

	img   *image.RGBA
	t     Transform
	pal   *Palette
	pts   []drawing.Point
	other []drawing.Point
}

// Draw paints the paper and then the picture over the whole image. Lines are at
// least a pixel wide; text under six pixels is left out and hatching thinned, so
// a view of hundreds of parts stays legible and quick.
func (d *Painter) Draw(img *image.RGBA, p *drawing.Picture, t Transform, pal *Palette) {
	draw.Draw(img, img.Bounds(), image.NewUniform(pal.Paper), image.Point{}, draw.Src)
	d.Over(img, p, t, pal)
}

// Over paints the picture over what the image shows.
func (d *Painter) Over(img *image.RGBA, p *drawing.Picture, t Transform, pal *Palette) {
	if !(t.Scale > 0) || img.Bounds().Empty() {
		return
	}
	d.img, d.t, d.pal = img, t, pal
	b := img.Bounds()
	lo, hi := t.Point(float64(b.Min.X), float64(b.Min.Y)), t.Point(float64(b.Max.X), float64(b.Max.Y))
	p.Render(d, drawing.Detail{
		View:    drawing.Rect{X0: lo.X, Y0: lo.Y, X1: hi.X, Y1: hi.Y},
		MinText: minText / t.Scale, MinHatch: minHatch / t.Scale,
	})
	d.img, d.pal = nil, nil
}

// Draw paints once, without keeping anything for the next time.
func Draw(img *image.RGBA, p *drawing.Picture, t Transform, pal *Palette) {
	new(Painter).Draw(img, p, t, pal)
}

// MaxPixels bounds a PNG's width and height.
const MaxPixels = 12000

// PNG writes the picture as a PNG of the given resolution in dots per inch, with
// a margin of 2 mm. A picture too big for MaxPixels is written at the highest
// resolution that fits.
func PNG(w io.Writer, p *drawing.Picture, dpi float64, pal *Palette) error {
	box := p.Bounds().Grow(2)
	scale := dpi / 25.4
	if m := math.Max(box.W(), box.H()) * scale; m > MaxPixels {
		scale *= MaxPixels / m
	}
	img := image.NewRGBA(image.Rect(0, 0, max(1, int(math.Ceil(box.W()*scale))), max(1, int(math.Ceil(box.H()*scale)))))
	Draw(img, p, Transform{Scale: scale, DX: -box.X0 * scale, DY: -box.Y0 * scale}, pal)
	out := bufio.NewWriter(w)
	if err := png.Encode(out, img); err != nil {
		return err
	}
	return out.Flush()
}

// Path is part of drawing.Canvas; Painter.Draw calls it.
func (d *Painter) Path(pts []drawing.Point, closed bool, paint drawing.Paint, role drawing.Role) {
	d.pts = d.pts[:0]
	for _, p := range pts {
		d.pts = append(d.pts, drawing.Point{X: p.X*d.t.Scale + d.t.DX, Y: p.Y*d.t.Scale + d.t.DY})
	}
	style := role.Style()
	if paint&drawing.Fill != 0 {
		c := d.pal.Fill[role]
		if !style.Fill {
			c = d.pal.Line[role] // an arrow head
		}
		d.fill(d.pts, premultiplied(c))
	}
	if paint&drawing.Stroke != 0 && d.pal.Line[role].A > 0 {
		width := math.Max(minLine, math.Min(maxLine, style.Pen.Width*d.t.Scale))
		d.stroke(closed, width, style.Pen.Dash, premultiplied(d.pal.Line[role]))
	}
}

func premultiplied(c color.NRGBA) color.RGBA {
	if c.A == 255 {
		return color.RGBA{c.R, c.G, c.B, 255}
	}
	return color.RGBAModel.Convert(c).(color.RGBA)
}

// Write is part of drawing.Canvas; Painter.Draw calls it.
func (d *Painter) Write(t drawing.TextLine) {
	if c := d.pal.Text[t.Role]; c.A > 0 {
		d.text(t, premultiplied(c))
	}
}
