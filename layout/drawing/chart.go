package drawing

import (
	"math"
	"strconv"

	"pilewright/layout/drawing/font"
)

// Value is a point of a chart in the chart's own units.
type Value struct{ X, Y float64 }

// Guide is a line across a chart with a word, as break-even or the wish.
type Guide struct {
	At   float64
	Text string
}

// CurveView is a curve over an axis, as earnings an hour over the price.
type CurveView struct {
	Ref            string
	XTitle, YTitle string
	Values         []Value // in the order of X
	Across         []Guide // at a height
	Upright        []Guide // at a place along X
	Dots           []Value // points picked out
	XFormat        func(float64) string
	YFormat        func(float64) string
	Height         float64 // of the drawing; 0 means 0.5 of its width
}

// plot is the frame of a chart: its axes and how values come to paper.
type plot struct {
	p              *Picture
	box            Rect
	x0, x1, y0, y1 float64
}

func (f *plot) at(v Value) Point {
	return Point{f.box.X0 + (v.X-f.x0)/(f.x1-f.x0)*f.box.W(), f.box.Y1 - (v.Y-f.y0)/(f.y1-f.y0)*f.box.H()}
}

// plainNumber writes a number with as few decimals as it needs, at most two.
func plainNumber(v float64) string {
	return strconv.FormatFloat(math.Round(v*100)/100+0, 'f', -1, 64)
}

// ticks gives about n round values (1, 2 or 5 times a power of ten) from lo to
// hi, lo and hi widened to hold whole steps.
func ticks(lo, hi float64, n int) (from, to, step float64) {
	if !(hi > lo) {
		hi = lo + 1
	}
	raw := (hi - lo) / float64(max(n, 1))
	power := math.Pow(10, math.Floor(math.Log10(raw)))
	step = 10 * power
	for _, m := range []float64{1, 2, 5} {
		if m*power >= raw*0.999 {
			step = m * power
			break
		}
	}
	return math.Floor(lo/step+1e-9) * step, math.Ceil(hi/step-1e-9) * step, step
}

// newPlot draws axes with round figures and titles and gives the plot. ok is
// false where there is nothing finite to draw.
func newPlot(p *Picture, values []Value, x, y func(float64) string, xTitle, yTitle string, across []Guide, width, height float64, fitX bool) (*plot, bool) {
	if x == nil {
		x = plainNumber
	}
	if y == nil {
		y = plainNumber
	}
	f := &plot{p: p, x0: math.Inf(1), x1: math.Inf(-1), y0: math.Inf(1), y1: math.Inf(-1)}
	for _, v := range values {
		if math.IsNaN(v.X+v.Y) || math.IsInf(v.X, 0) || math.IsInf(v.Y, 0) {
			return nil, false
		}
		f.x0, f.x1, f.y0, f.y1 = math.Min(f.x0, v.X), math.Max(f.x1, v.X), math.Min(f.y0, v.Y), math.Max(f.y1, v.Y)
	}
	if len(values) == 0 {
		return nil, false
	}
	var xs, ys float64
	xLo, xHi := f.x0, f.x1
	f.x0, f.x1, xs = ticks(f.x0, f.x1, 8)
	f.y0, f.y1, ys = ticks(f.y0, f.y1, 6)
	if fitX && xHi > xLo {
		f.x0, f.x1 = xLo, xHi
	}
	const size = 2.4
	left := 0.0
	for v := f.y0; v <= f.y1+ys/2; v += ys {
		left = math.Max(left, font.Width(y(v), size, false))
	}
	right := 4.0
	for _, g := range across {
		right = math.Max(right, font.Width(g.Text, size, false)+1.5)
	}
	f.box = Rect{left + 2.5, 6, width - math.Min(right, width/3), height - 9}
	for v := f.y0; v <= f.y1+ys/2; v += ys {
		q := f.at(Value{f.x0, v})
		p.Line(RoleGrid, "", f.box.X0, q.Y, f.box.X1, q.Y)
		p.Text(RoleNote, "", f.box.X0-1.5, q.Y, size, Right+Centre, y(v))
	}
	end := math.Inf(-1)
	for v := math.Ceil(f.x0/xs-1e-9) * xs; v <= f.x1+xs*1e-6; v += xs {
		q := f.at(Value{v, f.y0})
		w := font.Width(x(v), size, false)
		if w == 0 {
			continue
		}
		p.Line(RoleThin, "", q.X, f.box.Y1, q.X, f.box.Y1+1)
		if q.X-w/2 > end+1 {
			p.Text(RoleNote, "", q.X, f.box.Y1+1.8, size, Middle+Top, x(v))
			end = q.X + w/2
		}
	}
	p.Line(RoleThin, "", f.box.X0, f.box.Y0, f.box.X0, f.box.Y1)
	p.Line(RoleThin, "", f.box.X0, f.box.Y1, f.box.X1, f.box.Y1)
	if f.y0 < 0 && f.y1 > 0 {
		q := f.at(Value{f.x0, 0})
		p.Line(RoleThin, "", f.box.X0, q.Y, f.box.X1, q.Y)
	}
	p.Text(RoleLabel, "", f.box.X0, 3.2, 2.5, Left, yTitle)
	p.Text(RoleLabel, "", f.box.X1, height-1.2, 2.5, Right, xTitle)
	return f, true
}

// across draws a level line with its word to the right of the plot.
func (f *plot) across(g Guide) {
	if g.At < f.y0 || g.At > f.y1 {
		return
	}
	q := f.at(Value{f.x0, g.At})
	f.p.Line(RoleHidden, "", f.box.X0, q.Y, f.box.X1, q.Y)
	f.p.Text(RoleLabel, "", f.box.X1+1.2, q.Y, 2.4, Centre, g.Text)
}

// upright draws a plumb line with its word at the top.
func (f *plot) upright(g Guide, row int) {
	if g.At < f.x0 || g.At > f.x1 {
		return
	}
	q := f.at(Value{g.At, f.y0})
	f.p.Line(RoleCentre, "", q.X, f.box.Y0, q.X, f.box.Y1)
	x, align := q.X+0.9, Left
	if w := font.Width(g.Text, 2.4, false); x+w > f.box.X1 {
		x, align = q.X-0.9, Right
	}
	f.word(x, f.box.Y0+2.6+float64(row)*3.4, align, g.Text)
}

// word writes a guide's text on bare paper.
func (f *plot) word(x, y float64, align Align, s string) {
	w := font.Width(s, 2.4, false)
	r := Rect{x - 0.4, y - 2.1, x + w + 0.4, y + 0.6}
	if align == Right {
		r.X0, r.X1 = x-w-0.4, x+0.4
	}
	f.p.Rect(RolePaper, "", r)
	f.p.Text(RoleLabel, "", x, y, 2.4, align, s)
}

// dot marks a value.
func (f *plot) dot(ref string, v Value) {
	q := f.at(v)
	f.p.Arc(RoleKerf, ref, q.X, q.Y, 0.8, 0, 360)
}

// Curve draws a line chart with guides, as the earnings of an hour over the price
// with break-even and wish marked.
func Curve(v CurveView, o Options) *Picture {
	p := &Picture{Title: v.YTitle}
	if o.Width <= 0 {
		o.Width = defaultWidth
	}
	if v.Height <= 0 {
		v.Height = o.Width * 0.5
	}
	all := append([]Value(nil), v.Values...)
	for _, g := range v.Across {
		if len(all) > 0 {
			all = append(all, Value{all[0].X, g.At})
		}
	}
	f, ok := newPlot(p, all, v.XFormat, v.YFormat, v.XTitle, v.YTitle, v.Across, o.Width, v.Height, true)
	if !ok {
		return p
	}
	for _, g := range v.Across {
		f.across(g)
	}
	for i, g := range v.Upright {
		f.upright(g, i)
	}
	pts := make([]Point, len(v.Values))
	for i, c := range v.Values {
		pts[i] = f.at(c)
	}
	p.Polyline(RoleCurve, v.Ref, pts...)
	for _, d := range v.Dots {
		f.dot(v.Ref, d)
	}
	return p
}

// RangePoint is a forecast made at one time: with one chance in ten the outcome
// lies below Low, with one in ten above High; as likely above as below Middle.
type RangePoint struct {
	Ref, Label, Hover string
	Low, Middle, High float64
}

// RangeView is how a forecast closes in while the work goes on.
type RangeView struct {
	YTitle  string
	Points  []RangePoint // in order of time
	Across  []Guide
	YFormat func(float64) string
	Height  float64
}

// Range draws the band from low to high narrowing over the forecasts, with the
// middle as a curve.
func Range(v RangeView, o Options) *Picture {
	p := &Picture{Title: v.YTitle}
	if o.Width <= 0 {
		o.Width = defaultWidth
	}
	if v.Height <= 0 {
		v.Height = o.Width * 0.42
	}
	var all []Value
	for i, q := range v.Points {
		all = append(all, Value{float64(i), q.Low}, Value{float64(i), q.High})
	}
	for _, g := range v.Across {
		if len(all) > 0 {
			all = append(all, Value{0, g.At})
		}
	}
	f, ok := newPlot(p, all, func(float64) string { return "" }, v.YFormat, "", v.YTitle, v.Across, o.Width, v.Height, false)
	if !ok {
		return p
	}
	f.x0, f.x1 = -0.3, math.Max(float64(len(v.Points))-0.7, 0.7)
	var band, middle []Point
	for i, q := range v.Points {
		band = append(band, f.at(Value{float64(i), q.High}))
		middle = append(middle, f.at(Value{float64(i), q.Middle}))
	}
	for i := len(v.Points) - 1; i >= 0; i-- {
		band = append(band, f.at(Value{float64(i), v.Points[i].Low}))
	}
	p.Polygon(RoleFaceMid, "", band...)
	p.Polygon(RoleThin, "", band...)
	for _, g := range v.Across {
		f.across(g)
	}
	p.Polyline(RoleCurve, "", middle...)
	end := math.Inf(-1)
	for i, q := range v.Points {
		x := middle[i].X
		hi, lo := f.at(Value{float64(i), q.High}), f.at(Value{float64(i), q.Low})
		p.Line(RoleDimension, q.Ref, x, hi.Y, x, lo.Y)
		f.dot(q.Ref, Value{float64(i), q.Middle})
		p.Say(q.Ref, q.Hover)
		if w := font.Width(q.Label, 2.3, false); x-w/2 > end+1 {
			p.Text(RoleNote, q.Ref, x, f.box.Y1+1.8, 2.3, Middle+Top, q.Label)
			end = x + w/2
		}
	}
	p.Text(RoleNote, "", f.box.X0, f.box.Y1+8, 2.3, Left, o.Words.Word("band: 8 of 10 outcomes; line: as likely above as below"))
	return p
}
