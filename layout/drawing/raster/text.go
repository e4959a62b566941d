package raster

import (
	"image"
	"image/color"
	"math"

	"golang.org/x/image/font/sfnt"
	"golang.org/x/image/math/fixed"

	"pilewright/layout/drawing"
	"pilewright/layout/drawing/font"
)

// glyphCacheLimit bounds the masks kept: sixteen sizes of a full alphabet at
// four places each; past it the cache starts anew.
const glyphCacheLimit = 8000

// glyphKey is a glyph at a size in quarter pixels and a quarter-pixel place.
type glyphKey struct {
	r    rune
	size uint16
	face font.Face
	frac uint8
	up   bool
}

// mask is a glyph's coverage, its corner relative to the pen's whole pixel.
type mask struct {
	at  image.Rectangle
	pix []uint8
}

type glyphCache struct {
	masks map[glyphKey]mask
	buf   sfnt.Buffer
}

// text sets one line, glyph after glyph, from cached coverage masks.
func (d *Painter) text(t drawing.TextLine, c color.RGBA) {
	size := math.Round(t.Size*d.t.Scale*4) / 4
	if size > 400 {
		size = 400
	}
	x, y := t.X*d.t.Scale+d.t.DX, t.Y*d.t.Scale+d.t.DY
	b := d.img.Bounds().Inset(-int(2 * size))
	for _, r := range t.Text {
		step := font.Advance(r, t.Bold) * t.Size * d.t.Scale
		if image.Pt(int(x), int(y)).In(b) {
			d.glyph(r, font.FaceOf(r, t.Bold), size, x, y, t.Up, c)
		}
		if t.Up {
			y -= step
		} else {
			x += step
		}
	}
}

// glyph paints one glyph with its origin at (x, y). Along the line it is placed
// to a quarter of a pixel, across to a whole one.
func (d *Painter) glyph(r rune, face font.Face, size, x, y float64, up bool, c color.RGBA) {
	key := glyphKey{r: r, size: uint16(size * 4), face: face, up: up}
	along, across := x, math.Round(y)
	if up {
		along, across = y, math.Round(x)
	}
	whole := math.Floor(along)
	frac := math.Floor((along - whole) * 4)
	key.frac = uint8(frac)
	m, ok := d.glyphs.masks[key]
	if !ok {
		m = d.render(key, frac/4)
	}
	px, py := int(whole), int(across)
	if up {
		px, py = int(across), int(whole)
	}
	at := m.at.Add(image.Pt(px, py))
	show := at.Intersect(d.img.Bounds())
	for yy := show.Min.Y; yy < show.Max.Y; yy++ {
		src := m.pix[(yy-at.Min.Y)*at.Dx():]
		row := d.img.Pix[d.img.PixOffset(show.Min.X, yy):]
		for i := range show.Dx() {
			if a := src[show.Min.X-at.Min.X+i]; a > 0 {
				over(row[4*i:], c, float64(a)/255)
			}
		}
	}
}

// render draws the outline of a glyph into a mask and keeps it.
func (d *Painter) render(k glyphKey, frac float64) mask {
	if d.glyphs.masks == nil || len(d.glyphs.masks) > glyphCacheLimit {
		d.glyphs.masks = map[glyphKey]mask{}
	}
	m := mask{}
	f := k.face.SFNT()
	size := float64(k.size) / 4
	index, err := f.GlyphIndex(&d.glyphs.buf, k.r)
	if err == nil {
		var segments sfnt.Segments
		segments, err = f.LoadGlyph(&d.glyphs.buf, index, fixed.Int26_6(size*64), nil)
		if err == nil && len(segments) > 0 {
			m = d.outline(segments, frac, k.up)
		}
	}
	d.glyphs.masks[k] = m
	return m
}

func (d *Painter) outline(segments sfnt.Segments, frac float64, up bool) mask {
	turn := func(p fixed.Point26_6) (float32, float32) {
		x, y := float32(p.X)/64, float32(p.Y)/64
		if up {
			return y, -x + float32(frac)
		}
		return x + float32(frac), y
	}
	lo, hi := [2]float32{1e9, 1e9}, [2]float32{-1e9, -1e9}
	each := func(s sfnt.Segment, f func(n int)) {
		switch s.Op {
		case sfnt.SegmentOpQuadTo:
			f(2)
		case sfnt.SegmentOpCubeTo:
			f(3)
		default:
			f(1)
		}
	}
	for _, s := range segments {
		each(s, func(n int) {
			for _, p := range s.Args[:n] {
				x, y := turn(p)
				lo[0], lo[1], hi[0], hi[1] = min(lo[0], x), min(lo[1], y), max(hi[0], x), max(hi[1], y)
			}
		})
	}
	at := image.Rect(int(math.Floor(float64(lo[0]))), int(math.Floor(float64(lo[1]))),
		int(math.Ceil(float64(hi[0])))+1, int(math.Ceil(float64(hi[1])))+1)
	d.ras.Reset(at.Dx(), at.Dy())
	ox, oy := float32(at.Min.X), float32(at.Min.Y)
	for _, s := range segments {
		var p [3][2]float32
		for i, a := range s.Args {
			x, y := turn(a)
			p[i] = [2]float32{x - ox, y - oy}
		}
		switch s.Op {
		case sfnt.SegmentOpMoveTo:
			d.ras.ClosePath()
			d.ras.MoveTo(p[0][0], p[0][1])
		case sfnt.SegmentOpLineTo:
			d.ras.LineTo(p[0][0], p[0][1])
		case sfnt.SegmentOpQuadTo:
			d.ras.QuadTo(p[0][0], p[0][1], p[1][0], p[1][1])
		case sfnt.SegmentOpCubeTo:
			d.ras.CubeTo(p[0][0], p[0][1], p[1][0], p[1][1], p[2][0], p[2][1])
		}
	}
	d.ras.ClosePath()
	a := image.NewAlpha(image.Rect(0, 0, at.Dx(), at.Dy()))
	d.ras.Draw(a, a.Bounds(), image.Opaque, image.Point{})
	return mask{at: at, pix: a.Pix}
}
