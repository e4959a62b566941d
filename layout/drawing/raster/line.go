package raster

import (
	"image/color"
	"math"

	"pilewright/layout/drawing"
)

// stroke paints the lines through d.pts, dashed where dash (mm) says so. Each
// segment is painted on its own: at the widths drawn here a mitre would not show.
func (d *Painter) stroke(closed bool, width float64, dash []float64, c color.RGBA) {
	pts := d.pts
	n := len(pts) - 1
	if closed {
		n++
	}
	var phase float64
	for i := range n {
		a, b := pts[i], pts[(i+1)%len(pts)]
		if len(dash) == 0 {
			// square ends by a quarter of the width close the corners
			d.segment(a, b, width, c)
			continue
		}
		phase = d.dashes(a, b, width, dash, phase, c)
	}
}

// dashes paints one segment dashed and gives how far along the pattern it ended.
// Dashes never get shorter than two pixels, gaps not below one and a half.
func (d *Painter) dashes(a, b drawing.Point, width float64, dash []float64, phase float64, c color.RGBA) float64 {
	length := math.Hypot(b.X-a.X, b.Y-a.Y)
	if length == 0 {
		return phase
	}
	k := d.t.Scale
	for _, v := range dash {
		k = math.Max(k, 1.5/math.Max(v, 0.6))
	}
	var period float64
	for _, v := range dash {
		period += v * k
	}
	dx, dy := (b.X-a.X)/length, (b.Y-a.Y)/length
	// Only the stretch on the image is walked: zoomed in, a line is mostly outside.
	from, to, ok := d.visible(a, b, width)
	if !ok {
		return math.Mod(phase+length, period)
	}
	from, to = from*length, to*length
	start := from - math.Mod(phase+from, period)
	for start < to {
		at := start
		for i, v := range dash {
			end := at + v*k
			if i%2 == 0 && end > from && at < to {
				s, e := math.Max(at, from), math.Min(end, to)
				d.segment(drawing.Point{X: a.X + dx*s, Y: a.Y + dy*s}, drawing.Point{X: a.X + dx*e, Y: a.Y + dy*e}, width, c)
			}
			at = end
		}
		start += period
	}
	return math.Mod(phase+length, period)
}

// visible gives the part of a segment, 0..1, that can touch the image (Liang and
// Barsky, "A new concept and method for line clipping", ACM TOG 3(1), 1984).
func (d *Painter) visible(a, b drawing.Point, width float64) (from, to float64, ok bool) {
	r := d.img.Bounds()
	from, to = 0, 1
	edge := func(p, q float64) bool {
		switch {
		case p == 0:
			return q >= 0
		case p < 0:
			from = math.Max(from, q/p)
		default:
			to = math.Min(to, q/p)
		}
		return from <= to
	}
	dx, dy := b.X-a.X, b.Y-a.Y
	ok = edge(-dx, a.X-float64(r.Min.X)+width) && edge(dx, float64(r.Max.X)+width-a.X) &&
		edge(-dy, a.Y-float64(r.Min.Y)+width) && edge(dy, float64(r.Max.Y)+width-a.Y)
	return from, to, ok
}

// segment paints a straight line. Lines along an axis are rectangles, moved to
// whole pixels so thin ones stay crisp; a slanted one is shaded by each pixel's
// distance from it, which costs only the pixels it touches.
func (d *Painter) segment(a, b drawing.Point, width float64, c color.RGBA) {
	half := width / 2
	switch {
	case a.Y == b.Y:
		y, h := crisp(a.Y, width)
		d.block(drawing.Rect{X0: math.Min(a.X, b.X) - half/2, X1: math.Max(a.X, b.X) + half/2, Y0: y, Y1: y + h}, c)
		return
	case a.X == b.X:
		x, w := crisp(a.X, width)
		d.block(drawing.Rect{Y0: math.Min(a.Y, b.Y) - half/2, Y1: math.Max(a.Y, b.Y) + half/2, X0: x, X1: x + w}, c)
		return
	}
	from, to, ok := d.visible(a, b, width)
	if !ok {
		return
	}
	a, b = drawing.Point{X: a.X + from*(b.X-a.X), Y: a.Y + from*(b.Y-a.Y)}, drawing.Point{X: a.X + to*(b.X-a.X), Y: a.Y + to*(b.Y-a.Y)}
	dx, dy := b.X-a.X, b.Y-a.Y
	length := math.Hypot(dx, dy)
	if length < 1e-9 {
		return
	}
	dx, dy = dx/length, dy/length
	steep := math.Abs(dy) > math.Abs(dx)
	r := d.img.Bounds()
	// Walk along the longer direction; across it, the line covers a short span.
	lead, cross := dx, dy
	a0, b0, c0 := a.X, b.X, a.Y
	lo, hi, cl, ch := r.Min.X, r.Max.X, r.Min.Y, r.Max.Y
	if steep {
		lead, cross = dy, dx
		a0, b0, c0 = a.Y, b.Y, a.X
		lo, hi, cl, ch = r.Min.Y, r.Max.Y, r.Min.X, r.Max.X
	}
	slope := cross / lead
	reach := (half + 0.7) / math.Abs(lead)
	first := max(lo, int(math.Floor(math.Min(a0, b0)-half)))
	last := min(hi-1, int(math.Ceil(math.Max(a0, b0)+half)))
	for u := first; u <= last; u++ {
		mid := c0 + (float64(u)+0.5-a0)*slope
		v0, v1 := max(cl, int(mid-reach)), min(ch-1, int(mid+reach))
		for v := v0; v <= v1; v++ {
			off := math.Abs((float64(v) + 0.5 - mid) * lead)
			cover := math.Min(half+0.5-off, math.Min(1, width))
			if cover <= 0 {
				continue
			}
			along := (float64(u)+0.5-a0)*lead + (float64(v)+0.5-c0)*cross
			cover *= math.Max(0, math.Min(1, math.Min(along+0.5, length-along+0.5)))
			if cover <= 0 {
				continue
			}
			x, y := u, v
			if steep {
				x, y = v, u
			}
			over(d.img.Pix[d.img.PixOffset(x, y):], c, cover)
		}
	}
}

// crisp places a line of the given width about a coordinate so that a line up to
// a pixel and a half wide covers whole pixels.
func crisp(at, width float64) (from, size float64) {
	if width < 1.5 {
		return math.Floor(at), 1
	}
	return at - width/2, width
}
