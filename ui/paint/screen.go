package paint

import (
	"image"
	"image/draw"
	"time"

	"fyne.io/fyne/v2"

	xdraw "golang.org/x/image/draw"

	"pilewright/layout/drawing"
	"pilewright/layout/drawing/raster"
)

// patience is how long one painting may hold up the window. A picture whose last
// painting took longer is moved and zoomed as a stretched copy of what was
// painted, and painted anew in the background.
const patience = 45 * time.Millisecond

// manyMarks is a picture that is taken for slow before it was ever painted.
const manyMarks = 30000

// screen keeps what was painted last.
type screen struct {
	painter raster.Painter // of the user interface's goroutine
	img     *image.RGBA    // what is given out
	shown   look           // what img shows
	ready   *image.RGBA    // last true painting, when it is not img
	readyAs look
	cost    time.Duration // of the last true painting
	marks   int
	busy    bool // a background painting is on its way

	behind raster.Painter // of the one background painting at a time
}

// look is everything a painting depends on.
type look struct {
	picture *drawing.Picture
	at      raster.Transform
	palette *raster.Palette
	w, h    int
}

// forget drops what was painted, keeping what is known of the cost as far as the
// next picture is about as big.
func (s *screen) forget(marks int) {
	s.shown, s.readyAs, s.ready = look{}, look{}, nil
	if s.marks > 0 {
		s.cost = time.Duration(float64(s.cost) * min(1, float64(marks)/float64(s.marks)))
	}
	if marks > manyMarks {
		s.cost = max(s.cost, 2*patience)
	}
	s.marks = marks
}

// generate paints the view for a raster of w by h pixels, which may be more than
// the view has units.
func (v *View) generate(w, h int) image.Image {
	s := &v.screen
	want := v.look(w, h)
	if s.img == nil || s.img.Rect.Dx() != w || s.img.Rect.Dy() != h {
		s.img = image.NewRGBA(image.Rect(0, 0, w, h))
		s.shown = look{}
	}
	switch {
	case s.shown == want:
	case s.ready != nil && s.readyAs == want:
		s.img, s.shown = s.ready, want
	case s.cost > patience:
		v.stretch(want)
		v.paintBehind(want)
	default:
		start := time.Now()
		s.painter.Draw(s.img, want.picture, want.at, want.palette)
		s.cost, s.marks = time.Since(start), len(want.picture.Marks)
		s.shown, s.ready = want, nil
	}
	return s.img
}

// look works out the transform in pixels.
func (v *View) look(w, h int) look {
	k := 1.0
	if width := v.Size().Width; width > 0 {
		k = float64(w) / float64(width)
	}
	return look{
		picture: v.picture, palette: v.palette(), w: w, h: h,
		at: raster.Transform{Scale: v.zoom * k, DX: v.ox * k, DY: v.oy * k},
	}
}

// stretch shows the last true painting moved and scaled to the wanted transform.
func (v *View) stretch(want look) {
	s := &v.screen
	src, as := s.ready, s.readyAs
	if src == nil && s.shown.picture != nil {
		// keep the true painting: img is about to be painted over
		src, as = s.img, s.shown
		s.ready, s.readyAs = src, as
		s.img = image.NewRGBA(image.Rect(0, 0, want.w, want.h))
	}
	if src == s.img && src != nil {
		s.img = image.NewRGBA(image.Rect(0, 0, want.w, want.h))
	}
	draw.Draw(s.img, s.img.Rect, image.NewUniform(want.palette.Paper), image.Point{}, draw.Src)
	s.shown = look{}
	if src == nil || as.at.Scale == 0 {
		return
	}
	k := want.at.Scale / as.at.Scale
	x, y := want.at.DX-as.at.DX*k, want.at.DY-as.at.DY*k
	to := image.Rect(int(x), int(y), int(x+float64(as.w)*k), int(y+float64(as.h)*k))
	if k == 1 {
		draw.Draw(s.img, to, src, image.Point{}, draw.Src)
		return
	}
	xdraw.NearestNeighbor.Scale(s.img, to, src, src.Rect, draw.Src, nil)
}

// paintBehind paints off the user interface's goroutine. One painting runs at a
// time; when it is done and no longer wanted, the next follows.
func (v *View) paintBehind(want look) {
	s := &v.screen
	if s.busy {
		return
	}
	s.busy = true
	run := v.Background
	if run == nil {
		run = func(work func()) { go work() }
	}
	run(func() {
		img := image.NewRGBA(image.Rect(0, 0, want.w, want.h))
		start := time.Now()
		s.behind.Draw(img, want.picture, want.at, want.palette)
		cost := time.Since(start)
		fyne.Do(func() {
			s.busy = false
			s.cost, s.marks = cost, len(want.picture.Marks)
			if want.picture == v.picture {
				s.ready, s.readyAs = img, want
			}
			v.raster.Refresh()
		})
	})
}
