package drawing

import (
	"math"

	"pilewright/plan/measure"
	"pilewright/plan/solid"
)

// JointMember is one of the two members of a joint.
type JointMember struct {
	Mark             string
	Width, Thickness measure.Length
}

// Tongue is what enters the other member: a tenon, the end of a shelf, a dowel
// (as a square) or the half of a lap. FromEdge is measured from the entering
// member's upper edge, FromFace from its front face.
type Tongue struct {
	FromEdge, FromFace measure.Length
	Width, Thickness   measure.Length
	Depth              measure.Length // how far it enters
	Mortise            measure.Length // depth of its hole; 0 means Depth
}

// JointView is a joint drawn pulled apart: the receiver stands upright at the
// left, the member enters it from the right.
type JointView struct {
	Title            string
	Receiver, Member JointMember
	Setback          measure.Length // member's front face behind the receiver's
	Horn             measure.Length // receiver's end above the member's upper edge
	RunsOn           bool           // the receiver runs on above: Horn says nothing
	Tongues          []Tongue
	Notes            []string // said below, as "ends round"
}

// Joint draws a joint from the front and from above, pulled apart and with what
// is inside dashed, each size once and beside the thing it belongs to; and, for
// the eye, in isometric projection. A joint without tongues is drawn as two
// members that meet.
func Joint(j JointView, o Options) *Picture {
	p := &Picture{Title: j.Title}
	if j.Receiver.Width <= 0 || j.Receiver.Thickness <= 0 || j.Member.Width <= 0 || j.Member.Thickness <= 0 {
		return p
	}
	if o.Width <= 0 {
		o.Width = defaultWidth
	}
	if o.Format == nil {
		o.Format = plainMillimetres
	}
	d := newJointDrawing(j)
	room := o.Width
	if !o.Plain {
		room = o.Width * 0.62
	}
	const left, right, between, title = 15.0, 9.0, 15.0, 4.0
	// The gap takes the figures of the tongue; how many rows of them it needs
	// depends on the scale, and the scale on the gap.
	gap, s := jointGap, 0.0
	for range 3 {
		real := millimetres(j.Receiver.Width) + d.deepest() + d.stub
		s = math.Min((room-left-right-gap)/real, 1.5)
		s = math.Min(s, 95/(d.high+math.Max(millimetres(j.Receiver.Thickness), millimetres(j.Setback+j.Member.Thickness))))
		if s < 1 {
			s = 1 / math.Ceil(1/s*2) * 2 // 1:1, 1:1.5, 1:2, ...
		}
		gap = math.Max(gap, jointGap-4+d.tongueRows(s, o.Format))
	}
	apart := measure.Length((gap/s + d.deepest()) * 1e6)
	solids := d.solids(apart)
	boxes := cuboids(solids)
	frontY := title + 8
	box := spread(&frontView, boxes)
	edges := outlines(boxes)
	dx, dy := left-box.X0*s, frontY-box.Y0*s
	var front, top sight
	var iso *Picture
	abreast(func() {
		front, top = look(&frontView, solids, boxes, edges, true), look(&topView, solids, boxes, edges, true)
	}, func() {
		if !o.Plain {
			bodies := d.solids(measure.Length((d.deepest() + 0.5*d.stub + 0.3*millimetres(j.Receiver.Thickness)) * 1e6))
			iso = Isometric(bodies, IsometricOptions{Width: o.Width - room - 4, Height: 80, Marks: true, From: FrontLeft})
		}
	})
	more := 0
	if iso != nil {
		more = len(iso.Marks)
	}
	p.Marks = make([]Mark, 0, front.marks()+top.marks()+besides+more)
	front.draw(p, solids, dx, dy, s, false)
	d.frontDimensions(p, dx, dy, s, o.Format, apart)
	topY := frontY + box.H()*s + between + 6
	plan := spread(&topView, boxes)
	px, py := left-plan.X0*s, topY-plan.Y0*s
	top.draw(p, solids, px, py, s, false)
	d.topDimensions(p, px, py, s, o.Format, apart)
	p.BoldText(RoleLabel, "", 0, 3, titleSize, Left, j.Title)
	shoulder := left + millimetres(j.Receiver.Width+apart)*s
	p.Text(RoleNote, "", shoulder+1, dy-millimetres(j.Member.Width)*s-1.6, 2.6, Left, o.Words.Word("front"))
	p.Text(RoleNote, "", shoulder+1, py-millimetres(j.Setback+j.Member.Thickness)*s-1.6, 2.6, Left, o.Words.Word("from above"))
	foot := p.Bounds().Y1 + 4
	for i, n := range j.Notes {
		p.Text(RoleNote, "", left, foot+float64(i)*3.6, 2.5, Left, n)
	}
	if iso != nil {
		p.Add(iso, room+4, frontY, 1)
	}
	return p
}

// jointGap is the free paper between tongue tip and receiver, room for figures.
const jointGap = 15.0

type jointDrawing struct {
	JointView
	high float64 // of the stretch of receiver drawn, mm
	stub float64 // of the stretch of member drawn, mm
	over measure.Length
	foot measure.Length
}

func newJointDrawing(j JointView) *jointDrawing {
	margin := max(j.Member.Width/2, j.Receiver.Width)
	d := &jointDrawing{JointView: j, over: j.Horn, foot: margin}
	if j.RunsOn {
		d.over = margin
	}
	d.high = millimetres(d.over + j.Member.Width + d.foot)
	d.stub = millimetres(max(j.Member.Width*3/4, min(j.Member.Thickness*2, 60*measure.Millimetre)))
	return d
}

func (d *jointDrawing) deepest() float64 {
	most := measure.Length(0)
	for _, t := range d.Tongues {
		most = max(most, t.Depth)
	}
	return millimetres(most)
}

func (t Tongue) mortise() measure.Length {
	if t.Mortise > 0 {
		return t.Mortise
	}
	return t.Depth
}

// solids builds the two members, the second moved to the right by apart. The
// receiver is cut into boxes along all faces of its mortises.
func (d *jointDrawing) solids(apart measure.Length) []Solid3 {
	r, m := d.Receiver, d.Member
	top := m.Width + d.over // z of the receiver's end; z = 0 at the member's lower edge
	body := solid.Box{Min: solid.Point{0, 0, -d.foot}, Max: solid.Point{r.Width, r.Thickness, top}}
	holes := make([]solid.Box, 0, len(d.Tongues))
	member := []solid.Box{{Min: solid.Point{r.Width, d.Setback, 0}, Max: solid.Point{r.Width + measure.Length(d.stub*1e6), d.Setback + m.Thickness, m.Width}}}
	for _, t := range d.Tongues {
		z1 := m.Width - t.FromEdge
		y0 := d.Setback + t.FromFace
		hole := solid.Box{Min: solid.Point{max(0, r.Width-t.mortise()), y0, z1 - t.Width}, Max: solid.Point{r.Width, y0 + t.Thickness, z1}}
		holes = append(holes, hole)
		tongue := hole
		tongue.Min[0] = r.Width - t.Depth
		member = append(member, tongue)
	}
	return []Solid3{
		{Ref: "receiver", Mark: r.Mark, Boxes: carved(body, holes)},
		{Ref: "member", Mark: m.Mark, Boxes: member, Offset: solid.Point{apart, 0, 0}},
	}
}

// carved gives a box less some holes, as disjoint boxes.
func carved(body solid.Box, holes []solid.Box) []solid.Box {
	cut := make([]cuboid, len(holes))
	for i, h := range holes {
		cut[i] = cuboidOf(h)
	}
	parts := cuboidOf(body).without(cut)
	out := make([]solid.Box, len(parts))
	for i, c := range parts {
		for k := range 3 {
			out[i].Min[k], out[i].Max[k] = measure.Length(c.min[k]), measure.Length(c.max[k])
		}
	}
	return out
}

func cuboidOf(b solid.Box) cuboid {
	var c cuboid
	for k := range 3 {
		c.min[k], c.max[k] = int64(b.Min[k]), int64(b.Max[k])
	}
	return c
}

// frontDimensions: the receiver's width and the mortise's depth, how far the
// mortise is from the receiver's end, the tongue's length and width and the
// shoulders above and below it.
func (d *jointDrawing) frontDimensions(p *Picture, dx, dy, s float64, format func(measure.Length) string, apart measure.Length) {
	x := func(l measure.Length) float64 { return dx + millimetres(l)*s }
	y := func(z measure.Length) float64 { return dy - millimetres(z)*s }
	r, m := d.Receiver, d.Member
	bottom := y(-d.foot)
	across := bottom + 6
	if len(d.Tongues) > 0 && d.Tongues[0].mortise() < r.Width {
		p.DimensionH("receiver", x(r.Width-d.Tongues[0].mortise()), bottom, x(r.Width), bottom, across, 2.5, format(d.Tongues[0].mortise()))
		across += 6.5
	}
	p.DimensionH("receiver", x(0), bottom, x(r.Width), bottom, across, 2.5, format(r.Width))
	end := x(r.Width + apart + measure.Length(d.stub*1e6))
	chain(p, "member", true, []Point{{end, y(0)}, {end, y(m.Width)}}, []string{format(m.Width)}, end+6, -1)
	if len(d.Tongues) == 0 {
		return
	}
	t := d.Tongues[0]
	tip, shoulder := x(r.Width+apart-t.Depth), x(r.Width+apart)
	p.DimensionH("member", tip, y(m.Width-t.FromEdge-t.Width), shoulder, y(0), y(0)+6, 2.5, format(t.Depth))
	points, texts := d.tongueFront(tip, shoulder, y, format)
	chain(p, "member", true, points, texts, tip-5, 1)
	z := d.tongueEdges()
	if !d.RunsOn {
		z[0] = m.Width + d.over
		points, texts = nil, nil
		for i := len(z) - 2; i >= 0; i-- {
			points = append(points, Point{x(0), y(z[i])})
			if i > 0 {
				texts = append(texts, figure(z[i-1]-z[i], format))
			}
		}
		chain(p, "receiver", true, points, texts, x(0)-6, 1)
	}
}

// tongueEdges gives the heights of the tongues' edges from the top down, with the
// member's own edges first and last.
func (d *jointDrawing) tongueEdges() []measure.Length {
	z := []measure.Length{d.Member.Width}
	for _, t := range d.Tongues {
		z = append(z, d.Member.Width-t.FromEdge, d.Member.Width-t.FromEdge-t.Width)
	}
	return append(z, 0)
}

// tongueFront gives the chain of the tongues seen from the front, none where the
// member's width says it all.
func (d *jointDrawing) tongueFront(tip, shoulder float64, y func(measure.Length) float64, format func(measure.Length) string) (points []Point, texts []string) {
	if len(d.Tongues) == 1 && d.Tongues[0].Width == d.Member.Width {
		return nil, nil
	}
	z := d.tongueEdges()
	for i := len(z) - 1; i >= 0; i-- {
		points = append(points, Point{pick(i == 0 || i == len(z)-1, shoulder, tip), y(z[i])})
		if i > 0 {
			texts = append(texts, figure(z[i-1]-z[i], format))
		}
	}
	return points, texts
}

// tongueTop gives the chain of the first tongue seen from above.
func (d *jointDrawing) tongueTop(tip, shoulder float64, y func(measure.Length) float64, format func(measure.Length) string) (points []Point, texts []string) {
	t, m := d.Tongues[0], d.Member
	if t.Thickness >= m.Thickness {
		return nil, nil
	}
	y0 := d.Setback + t.FromFace
	return []Point{{shoulder, y(d.Setback)}, {tip, y(y0)}, {tip, y(y0 + t.Thickness)}, {shoulder, y(d.Setback + m.Thickness)}},
		[]string{figure(t.FromFace, format), format(t.Thickness), figure(m.Thickness-t.FromFace-t.Thickness, format)}
}

// tongueRows tells how far off their lines the tongue's figures stand at a scale.
func (d *jointDrawing) tongueRows(s float64, format func(measure.Length) string) float64 {
	if len(d.Tongues) == 0 {
		return 0
	}
	var scratch Picture
	y := func(l measure.Length) float64 { return -millimetres(l) * s }
	points, texts := d.tongueFront(0, 0, y, format)
	front := chain(&scratch, "", true, points, texts, 0, 1)
	points, texts = d.tongueTop(0, 0, y, format)
	return math.Max(front, chain(&scratch, "", true, points, texts, 0, 1))
}

// figure writes a stretch, nothing for none.
func figure(l measure.Length, format func(measure.Length) string) string {
	if l <= 0 {
		return ""
	}
	return format(l)
}

func pick(first bool, a, b float64) float64 {
	if first {
		return a
	}
	return b
}

// topDimensions: the thicknesses, how far the mortise is from the receiver's
// face, the tongue's thickness and the shoulders at its faces.
func (d *jointDrawing) topDimensions(p *Picture, dx, dy, s float64, format func(measure.Length) string, apart measure.Length) {
	x := func(l measure.Length) float64 { return dx + millimetres(l)*s }
	y := func(depth measure.Length) float64 { return dy - millimetres(depth)*s } // the front is below
	r, m := d.Receiver, d.Member
	end := x(r.Width + apart + measure.Length(d.stub*1e6))
	chain(p, "member", true, []Point{{end, max(y(d.Setback), y(d.Setback+m.Thickness))}, {end, min(y(d.Setback), y(d.Setback+m.Thickness))}}, []string{format(m.Thickness)}, end+6, -1)
	at := x(0) - 6.0
	if len(d.Tongues) > 0 {
		t := d.Tongues[0]
		y0 := d.Setback + t.FromFace
		tip, shoulder := x(r.Width+apart-t.Depth), x(r.Width+apart)
		points, texts := d.tongueTop(tip, shoulder, y, format)
		chain(p, "member", true, points, texts, tip-5, 1)
		at -= 6 + chain(p, "receiver", true, []Point{{x(0), y(0)}, {x(0), y(y0)}, {x(0), y(y0 + t.Thickness)}},
			[]string{figure(y0, format), format(t.Thickness)}, at, 1)
	}
	chain(p, "receiver", true, []Point{{x(0), max(y(0), y(r.Thickness))}, {x(0), min(y(0), y(r.Thickness))}}, []string{format(r.Thickness)}, at, 1)
}
