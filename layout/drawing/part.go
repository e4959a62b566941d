package drawing

import (
	"fmt"
	"math"
	"slices"
	"sort"
	"strconv"
	"strings"

	"pilewright/layout/drawing/font"
	"pilewright/plan/measure"
)

// Feature is something cut into a part: a mortise, a housing, a hole. It lies on
// the reference face or, with Edge set, on the edge opposite the reference edge.
// X is measured from the reference end at the left; Y, on the face, from the
// reference edge and, on the edge, from the reference face.
type Feature struct {
	Kind  string // mortise, housing, hole
	Edge  bool
	X, Y  measure.Length
	L, W  measure.Length
	Depth measure.Length // 0 means through
	Round bool           // a hole of diameter L, its middle at X, Y
	Note  string
}

// PartView is a part with all that is cut into it. Length runs between the
// shoulders plus the tenons; LeftTenon and RightTenon say how much of it they are.
type PartView struct {
	Ref, Mark, Title         string
	Length, Width, Thickness measure.Length
	LeftTenon, RightTenon    measure.Length
	TenonWidth, TenonThick   measure.Length
	TenonEdge, TenonFace     measure.Length // from the reference edge and face
	Features                 []Feature
}

// Part draws a part from its face and its edge, to mark out by: running figures
// along the tape from the reference end, and across from the reference edge,
// both shown by a filled mark. Features are numbered and listed below. Where the
// part is too slender to read, it is drawn wider by a whole factor, said below.
func Part(v PartView, o Options) *Picture {
	p := &Picture{Title: v.Title}
	if v.Length <= 0 || v.Width <= 0 || v.Thickness <= 0 {
		return p
	}
	if o.Width <= 0 {
		o.Width = defaultWidth
	}
	if o.Format == nil {
		o.Format = plainMillimetres
	}
	features := drilled(v.Features)
	columns := 2
	for _, edge := range []bool{false, true} {
		columns = max(columns, len(v.acrossPairs(features, edge)))
	}
	const left = 14.0
	right := 12 + 6*float64(columns)
	s := math.Min((o.Width-left-right)/millimetres(v.Length), 1)
	factor := math.Max(1, math.Min(8, math.Floor(16/(millimetres(min(v.Width, v.Thickness))*s))))
	factor = math.Min(factor, math.Max(1, math.Floor(45/(millimetres(max(v.Width, v.Thickness))*s))))
	across := s * factor
	p.Marks = make([]Mark, 0, besides+6*len(features))
	p.BoldText(RoleLabel, v.Ref, 0, 3, titleSize, Left, v.Mark+"  "+v.Title)
	y := 9.0
	y = v.side(p, false, y, left, s, across, features, o)
	y = v.side(p, true, y+5, left, s, across, features, o)
	y += 4
	for _, line := range featureList(features, o) {
		p.Text(RoleLabel, "", left, y, 2.6, Left, line)
		y += 3.9
	}
	if factor > 1 {
		p.Text(RoleNote, "", left, y, 2.3, Left, o.Words.Format("drawn %d times wider than long", int(factor)))
		y += 3.9
	}
	p.Text(RoleNote, "", left, y, 2.3, Left, o.Words.Word("measure from the left end and from the marked side below"))
	return p
}

// drilled gives features in order of their places. What is called a hole is
// drilled and so round, even where it was given by its corner and equal sizes.
func drilled(in []Feature) []Feature {
	out := append([]Feature(nil), in...)
	for i, f := range out {
		if f.Kind == "hole" && !f.Round && f.L == f.W {
			out[i].Round, out[i].X, out[i].Y = true, f.X+f.L/2, f.Y+f.W/2
		}
	}
	sort.SliceStable(out, func(i, j int) bool {
		if out[i].X != out[j].X {
			return out[i].X < out[j].X
		}
		return out[i].Y < out[j].Y
	})
	return out
}

// featureList tells what each number is, like ones in one line.
func featureList(features []Feature, o Options) []string {
	var texts []string
	numbers := map[string][]string{}
	for i, f := range features {
		size := o.Format(f.L) + " × " + o.Format(f.W)
		if f.Round {
			size = "Ø " + o.Format(f.L)
		}
		depth := o.Words.Word("through")
		if f.Depth > 0 {
			depth = o.Words.Format("%s deep", o.Format(f.Depth))
		}
		text := fmt.Sprintf("%s %s, %s", o.Words.Word(f.Kind), size, depth)
		if f.Note != "" {
			text += "; " + f.Note
		}
		if numbers[text] == nil {
			texts = append(texts, text)
		}
		numbers[text] = append(numbers[text], strconv.Itoa(i+1))
	}
	for i, text := range texts {
		texts[i] = strings.Join(numbers[text], ", ") + ":  " + text
	}
	return texts
}

// acrossPair is where something lies across a side: from the reference, its size.
type acrossPair struct{ from, size measure.Length }

// tenon is the height of the tenons on a side, the whole side where none is given.
func (v *PartView) tenon(edge bool) measure.Length {
	high, tenon := v.Width, v.TenonWidth
	if edge {
		high, tenon = v.Thickness, v.TenonThick
	}
	if tenon <= 0 {
		return high
	}
	return tenon
}

// acrossPairs lists the different places across a side that need figures.
func (v *PartView) acrossPairs(features []Feature, edge bool) []acrossPair {
	var pairs []acrossPair
	note := func(a acrossPair) {
		if !slices.Contains(pairs, a) {
			pairs = append(pairs, a)
		}
	}
	if v.LeftTenon > 0 || v.RightTenon > 0 {
		if edge {
			note(acrossPair{v.TenonFace, v.tenon(true)})
		} else {
			note(acrossPair{v.TenonEdge, v.tenon(false)})
		}
	}
	for _, f := range features {
		switch {
		case f.Edge != edge:
		case f.Round:
			note(acrossPair{0, f.Y})
		default:
			note(acrossPair{f.Y, f.W})
		}
	}
	return pairs
}

// ellipse fills a box; a hole in a part drawn wider than long is one.
func ellipse(r Rect) []Point {
	const n = 36
	out := make([]Point, n)
	for i := range out {
		sin, cos := math.Sincos(2 * math.Pi * float64(i) / n)
		out[i] = Point{(r.X0+r.X1)/2 + cos*r.W()/2, (r.Y0+r.Y1)/2 + sin*r.H()/2}
	}
	return out
}

// side draws one side of the part with its upper edge below y and gives the
// height used.
func (v *PartView) side(p *Picture, edge bool, y, left, s, across float64, features []Feature, o Options) float64 {
	format := o.Format
	name, high, tenonFrom, tenonHigh := o.Words.Word("face"), v.Width, v.TenonEdge, v.tenon(false)
	if edge {
		name, high, tenonFrom, tenonHigh = o.Words.Word("upper edge"), v.Thickness, v.TenonFace, v.tenon(true)
	}
	h := millimetres(high) * across
	bottom := y + 5.5 + h
	x := func(l measure.Length) float64 { return left + millimetres(l)*s }
	up := func(l measure.Length) float64 { return bottom - millimetres(l)*across }
	p.Text(RoleNote, "", left, y+1.4, 2.3, Left, name)
	outline := []Point{{x(v.LeftTenon), up(0)}, {x(v.LeftTenon), up(tenonFrom)}, {x(0), up(tenonFrom)}, {x(0), up(tenonFrom + tenonHigh)}, {x(v.LeftTenon), up(tenonFrom + tenonHigh)}, {x(v.LeftTenon), up(high)},
		{x(v.Length - v.RightTenon), up(high)}, {x(v.Length - v.RightTenon), up(tenonFrom + tenonHigh)}, {x(v.Length), up(tenonFrom + tenonHigh)}, {x(v.Length), up(tenonFrom)}, {x(v.Length - v.RightTenon), up(tenonFrom)}, {x(v.Length - v.RightTenon), up(0)}}
	if v.LeftTenon == 0 {
		outline = append([]Point{{x(0), up(0)}, {x(0), up(high)}}, outline[6:]...)
	}
	if v.RightTenon == 0 {
		outline = append(outline[:len(outline)-6:len(outline)-6], Point{x(v.Length), up(high)}, Point{x(v.Length), up(0)})
	}
	p.Polygon(RolePart, v.Ref, outline...)
	for _, t := range []measure.Length{v.LeftTenon, v.Length - v.RightTenon} {
		if t > 0 && t < v.Length {
			p.Line(RoleThin, "", x(t), up(tenonFrom), x(t), up(tenonFrom+tenonHigh))
		}
	}
	corner := x(v.LeftTenon) // the filled mark: the end and the edge to measure from
	p.Polygon(RoleKerf, "", Point{corner, bottom}, Point{corner, bottom - 2}, Point{corner + 2, bottom})
	marks := map[measure.Length]bool{}
	if v.LeftTenon > 0 {
		marks[v.LeftTenon] = true
	}
	if v.RightTenon > 0 {
		marks[v.Length-v.RightTenon] = true
	}
	for i, f := range features {
		number := strconv.Itoa(i + 1)
		x0, x1, y0, y1 := x(f.X), x(f.X+f.L), up(f.Y+f.W), up(f.Y)
		if f.Round {
			x0, x1, y0, y1 = x(f.X-f.L/2), x(f.X+f.L/2), up(f.Y+f.L/2), up(f.Y-f.L/2)
		}
		if f.Edge != edge { // seen from its side: dashed
			y0, y1 = up(high), up(0)
			if f.Depth > 0 && edge {
				y0, y1 = up(0), up(f.Depth)
			} else if f.Depth > 0 {
				y1 = up(high - f.Depth)
			}
			for _, at := range []float64{x0, x1} {
				p.Line(RoleHidden, "", at, y0, at, y1)
			}
			if f.Depth > 0 {
				p.Line(RoleHidden, "", x0, y1, x1, y1)
			}
			continue
		}
		if f.Round {
			ring := ellipse(Rect{x0, y0, x1, y1})
			p.Polygon(RolePaper, v.Ref, ring...)
			p.Polygon(RoleOutline, v.Ref, ring...)
			cx, cy := x(f.X), up(f.Y)
			p.Line(RoleCentre, "", x0-1, cy, x1+1, cy)
			p.Line(RoleCentre, "", cx, y0-1, cx, y1+1)
			marks[f.X] = true
		} else {
			p.Rect(RolePaper, v.Ref, Rect{x0, y0, x1, y1})
			p.Rect(RoleOutline, v.Ref, Rect{x0, y0, x1, y1})
			marks[f.X], marks[f.X+f.L] = true, true
		}
		// The number stands clear of the lines of what is cut from another side.
		w := font.Width(number, 2.4, true)/2 + 0.2
		p.Rect(RolePaper, v.Ref, Rect{(x0+x1)/2 - w, y0 - 3, (x0+x1)/2 + w, y0 - 0.6})
		p.BoldText(RoleLabel, v.Ref, (x0+x1)/2, y0-1.1, 2.4, Middle, number)
	}
	marks[v.Length] = true
	var places []measure.Length
	for m := range marks {
		places = append(places, m)
	}
	sort.Slice(places, func(i, j int) bool { return places[i] < places[j] })
	var figures []TapeMark
	for _, m := range places {
		figures = append(figures, TapeMark{X: m, Text: format(m)})
	}
	t := Picture{Marks: make([]Mark, 0, 3*len(figures)+2)}
	tape(&t, figures, s, millimetres(v.Length)*s, 0)
	p.Add(&t, left, bottom, 1)
	end := x(v.Length)
	at := end + math.Max(6, font.Width(format(v.Length), tapeSize, false)+3.2) // clear of the last figure on the tape
	// The outermost is drawn first, so that the figures of the inner ones stand on
	// its lines and not the other way.
	var outer []func()
	for _, q := range v.acrossPairs(features, edge) {
		size := figure(q.size, format)
		if q.from == 0 && q.size == high {
			continue
		}
		draw := func(p *Picture, at float64) float64 {
			return chain(p, v.Ref, true, []Point{{end, up(0)}, {end, up(q.from)}, {end, up(q.from + q.size)}}, []string{figure(q.from, format), size}, at, -1)
		}
		here := at
		outer = append(outer, func() { draw(p, here) })
		at += 6 + draw(&Picture{}, at)
	}
	for _, draw := range slices.Backward(outer) {
		draw()
	}
	chain(p, v.Ref, true, []Point{{left, up(0)}, {left, up(high)}}, []string{format(high)}, left-6, 1)
	return t.Bounds().Y1 + bottom
}
