package raster

import (
	"image"
	"image/color"
	"math"

	"pilewright/layout/drawing"
)

// fill paints a polygon given in pixels (non-zero rule). Upright rectangles are
// painted directly; anything else by a rasterizer no bigger than the part of the
// polygon that is on the image, since its cost goes with its area.
func (d *Painter) fill(pts []drawing.Point, c color.RGBA) {
	if c.A == 0 || len(pts) < 3 {
		return
	}
	if r, ok := upright(pts); ok {
		d.block(r, c)
		return
	}
	b := d.img.Bounds()
	pts = d.clip(pts, drawing.Rect{X0: float64(b.Min.X), Y0: float64(b.Min.Y), X1: float64(b.Max.X), Y1: float64(b.Max.Y)})
	if len(pts) < 3 {
		return
	}
	x0, y0, x1, y1 := pts[0].X, pts[0].Y, pts[0].X, pts[0].Y
	for _, p := range pts[1:] {
		x0, y0, x1, y1 = math.Min(x0, p.X), math.Min(y0, p.Y), math.Max(x1, p.X), math.Max(y1, p.Y)
	}
	at := image.Rect(int(math.Floor(x0)), int(math.Floor(y0)), int(math.Ceil(x1)), int(math.Ceil(y1))).Intersect(b)
	if at.Empty() {
		return
	}
	d.ras.Reset(at.Dx(), at.Dy())
	for i, p := range pts {
		x, y := float32(p.X-float64(at.Min.X)), float32(p.Y-float64(at.Min.Y))
		if i == 0 {
			d.ras.MoveTo(x, y)
		} else {
			d.ras.LineTo(x, y)
		}
	}
	d.ras.ClosePath()
	d.ras.Draw(d.img, at, image.NewUniform(c), image.Point{})
}

// upright recognises a rectangle with sides along the axes.
func upright(p []drawing.Point) (drawing.Rect, bool) {
	if len(p) != 4 {
		return drawing.Rect{}, false
	}
	if p[0].X == p[3].X && p[1].X == p[2].X && p[0].Y == p[1].Y && p[2].Y == p[3].Y ||
		p[0].X == p[1].X && p[2].X == p[3].X && p[0].Y == p[3].Y && p[1].Y == p[2].Y {
		return drawing.Rect{X0: math.Min(p[0].X, p[2].X), Y0: math.Min(p[0].Y, p[2].Y),
			X1: math.Max(p[0].X, p[2].X), Y1: math.Max(p[0].Y, p[2].Y)}, true
	}
	return drawing.Rect{}, false
}

// block paints an upright rectangle with exact coverage of its border pixels.
func (d *Painter) block(r drawing.Rect, c color.RGBA) {
	b := d.img.Bounds()
	r.X0, r.Y0 = math.Max(r.X0, float64(b.Min.X)), math.Max(r.Y0, float64(b.Min.Y))
	r.X1, r.Y1 = math.Min(r.X1, float64(b.Max.X)), math.Min(r.Y1, float64(b.Max.Y))
	if r.Empty() || r.X0 >= r.X1 || r.Y0 >= r.Y1 {
		return
	}
	for y := int(r.Y0); y < int(math.Ceil(r.Y1)); y++ {
		cy := math.Min(float64(y)+1, r.Y1) - math.Max(float64(y), r.Y0)
		if cy <= 0 {
			continue
		}
		row := d.img.Pix[d.img.PixOffset(b.Min.X, y):]
		x := int(r.X0)
		last := int(math.Ceil(r.X1))
		if fx := math.Min(float64(x)+1, r.X1) - r.X0; fx < 1 {
			over(row[4*(x-b.Min.X):], c, fx*cy)
			x++
		}
		end := last
		if r.X1 < float64(last) {
			end--
		}
		if cy > 0.999 && c.A == 255 {
			for ; x < end; x++ {
				p := row[4*(x-b.Min.X) : 4*(x-b.Min.X)+4 : 4*(x-b.Min.X)+4]
				p[0], p[1], p[2], p[3] = c.R, c.G, c.B, 255
			}
		} else {
			for ; x < end; x++ {
				over(row[4*(x-b.Min.X):], c, cy)
			}
		}
		if x == end && end < last {
			over(row[4*(x-b.Min.X):], c, (r.X1-float64(end))*cy)
		}
	}
}

// over puts a premultiplied colour over a pixel with the given coverage.
func over(p []uint8, c color.RGBA, coverage float64) {
	a := uint32(coverage*256 + 0.5)
	if a == 0 {
		return
	}
	keep := 256*255 - a*uint32(c.A) // what shows through, of 256*255
	p = p[:4:4]
	p[0] = uint8((uint32(c.R)*a*255 + uint32(p[0])*keep) / (256 * 255))
	p[1] = uint8((uint32(c.G)*a*255 + uint32(p[1])*keep) / (256 * 255))
	p[2] = uint8((uint32(c.B)*a*255 + uint32(p[2])*keep) / (256 * 255))
	p[3] = uint8((uint32(c.A)*a*255 + uint32(p[3])*keep) / (256 * 255))
}

// clip cuts a polygon to a rectangle (Sutherland and Hodgman, "Reentrant polygon
// clipping", CACM 17(1), 1974). The result is valid until the next call.
func (d *Painter) clip(pts []drawing.Point, r drawing.Rect) []drawing.Point {
	inside := true
	for _, p := range pts {
		inside = inside && r.Holds(p.X, p.Y)
	}
	if inside {
		return pts
	}
	a := append(d.other[:0], pts...)
	var b []drawing.Point
	for side := range 4 {
		depth := func(p drawing.Point) float64 {
			switch side {
			case 0:
				return p.X - r.X0
			case 1:
				return r.X1 - p.X
			case 2:
				return p.Y - r.Y0
			}
			return r.Y1 - p.Y
		}
		b = b[:0]
		for i, p := range a {
			q := a[(i+1)%len(a)]
			dp, dq := depth(p), depth(q)
			if dp >= 0 {
				b = append(b, p)
			}
			if (dp > 0 && dq < 0) || (dp < 0 && dq > 0) {
				t := dp / (dp - dq)
				b = append(b, drawing.Point{X: p.X + t*(q.X-p.X), Y: p.Y + t*(q.Y-p.Y)})
			}
		}
		a, b = b, a
	}
	d.other = a
	return a
}
