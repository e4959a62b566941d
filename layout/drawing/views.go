package drawing

import (
	"encoding/binary"
	"math"
	"slices"

	"pilewright/layout/drawing/font"
	"pilewright/plan/measure"
	"pilewright/plan/words"
)

// ViewsOptions says how the views of a piece are drawn. The zero value is third
// angle on 190 by 150 mm, without hidden lines, figures in millimetres.
type ViewsOptions struct {
	Width, Height float64 // room on paper in mm
	Hidden        bool    // draw what lies behind, dashed
	FirstAngle    bool    // plan below the front, as ISO drawings have it
	NoMarks       bool
	Format        func(measure.Length) string
	Words         *words.Language // what is written beside the views; nil = English
	Unit          string          // said once below, word for word: "sizes in mm"
}

// viewName is the name of a view in a language: top is a word for a part too.
func viewName(w *words.Language, name string) string {
	if w == nil {
		return name
	}
	return w.Word("view: " + name)
}

// Views draws front, side and top of a piece to one scale, in line with each
// other, with the third- or first-angle symbol. Each size is given once: widths
// and heights at the front view, depths at the side view, the main levels in a
// chain and the whole outside it. A level whose figure would not fit between its
// neighbours is left out of the chain.
func Views(solids []Solid3, o ViewsOptions) *Picture {
	p := &Picture{Title: "Views"}
	boxes := cuboids(unmoved(solids))
	if len(boxes) == 0 {
		return p
	}
	if o.Width <= 0 {
		o.Width = defaultWidth
	}
	if o.Height <= 0 {
		o.Height = 150
	}
	if o.Format == nil {
		o.Format = plainMillimetres
	}
	lo, hi := boxes[0].min, boxes[0].max
	for i := range boxes {
		for k := range 3 {
			lo[k], hi[k] = min(lo[k], boxes[i].min[k]), max(hi[k], boxes[i].max[k])
		}
	}
	const near, whole, gap, title = 6.0, 15.5, 13.0, 5.5
	size := func(k int) float64 { return float64(hi[k]-lo[k]) / 1e6 }
	denominator := roundScale(math.Max((size(0)+size(1))/(o.Width-whole-gap-6), (size(2)+size(1))/(o.Height-whole-gap-2*title)))
	s := 1 / denominator
	w, d, h := size(0)*s, size(1)*s, size(2)*s
	side, sideName := rightView, "right side"
	frontY, topY := title+d+gap, title
	if o.FirstAngle {
		side, sideName = leftView, "left side"
		frontY, topY = title, title+h+gap+whole
	}
	x0, x1 := whole+4, whole+4+w+gap
	edges := outlines(boxes)
	views := [3]*projection{&topView, &frontView, &side}
	var seen [3]sight
	abreast(func() { seen[0] = look(views[0], solids, boxes, edges, o.Hidden) },
		func() { seen[1] = look(views[1], solids, boxes, edges, o.Hidden) },
		func() { seen[2] = look(views[2], solids, boxes, edges, o.Hidden) })
	p.Marks = make([]Mark, 0, seen[0].marks()+seen[1].marks()+seen[2].marks()+len(views)*len(solids)+besides)
	p.sayAll(solids)
	set := func(i int, x, y float64, name string) []stretch {
		box := spread(views[i], boxes)
		seen[i].draw(p, solids, x-box.X0*s, y-box.Y0*s, s, !o.NoMarks && !o.Hidden)
		p.Text(RoleNote, "", x, y-1.6, 2.3, Left, viewName(o.Words, name))
		return seen[i].art
	}
	set(0, x0, topY, "top")
	front := set(1, x0, frontY, "front")
	beside := set(2, x1, frontY, sideName)
	bottom := frontY + h
	// place gives where a level along an axis is measured.
	place := []func(at int64) Point{
		func(at int64) Point { return Point{x0 + float64(at-lo[0])/1e6*s, bottom} },
		func(at int64) Point {
			if o.FirstAngle { // seen from the left, the front is at the right
				at = lo[1] + hi[1] - at
			}
			return Point{x1 + float64(at-lo[1])/1e6*s, bottom}
		},
		func(at int64) Point { return Point{x0, bottom - float64(at-lo[2])/1e6*s} },
	}
	levelled := [3]*projection{&frontView, &side, &frontView}
	arts := [3][]stretch{front, beside, front}
	spans := [3]int{2, 2, 0} // a level's lines run along this axis
	for k := range 3 {
		up := k == 2
		dimension := func(marks []int64, at float64) float64 {
			if k == 1 && o.FirstAngle {
				slices.Reverse(marks)
			}
			var points []Point
			var texts []string
			for i, m := range marks {
				points = append(points, place[k](m))
				if i > 0 {
					texts = append(texts, o.Format(measure.Length(max(m-marks[i-1], marks[i-1]-m))))
				}
			}
			if up {
				return chain(p, "", true, points, texts, x0-at, 1)
			}
			return chain(p, "", false, points, texts, bottom+at, -1)
		}
		at := near
		marks := levels(arts[k], levelled[k], k, lo[k], hi[k], hi[spans[k]]-lo[spans[k]], s, o.Format)
		if len(marks) > 2 {
			at += near + dimension(marks, at)
		}
		dimension([]int64{lo[k], hi[k]}, at)
	}
	foot := math.Max(bottom+whole, topY+d) + 9
	angleSymbol(p, math.Max(x1, x1+d-16), foot-3, o.FirstAngle)
	note := o.Words.Format("scale 1:%g", denominator)
	if o.Unit != "" {
		note += ", " + o.Unit
	}
	p.Text(RoleNote, "", x0, foot, 2.3, Left, note)
	return p
}

// roundScale gives the least plain scale denominator that is enough.
func roundScale(least float64) float64 {
	for _, n := range []float64{1, 2, 3, 4, 5, 6, 8, 10, 12, 15, 20, 25, 30, 40, 50, 75, 100, 150, 200} {
		if n >= least {
			return n
		}
	}
	return math.Ceil(least/100) * 100
}

// foremost leaves out every body that stands behind one like it, moved along the
// line of sight alone: all its lines fall on those of the one before it, and it is
// seen nowhere that one is not. Boxes are body after body; behind gives, by the
// number of a body that is left, those that were left out for it.
func foremost(v *projection, boxes []cuboid) (front []cuboid, behind map[int][]int) {
	axis := slices.IndexFunc(v.toward[:], func(d int64) bool { return d != 0 })
	type body struct {
		from, to int
		near     int64
	}
	seen := map[string]int{}
	bodies := make([]body, 0, boxes[len(boxes)-1].solid+1)
	hides := map[int][]int{} // by number in bodies
	var key []byte
	for from := 0; from < len(boxes); {
		to := from + 1
		for to < len(boxes) && boxes[to].solid == boxes[from].solid {
			to++
		}
		key = key[:0]
		for _, c := range boxes[from:to] {
			for k := range 3 {
				base := int64(0)
				if k == axis {
					base = boxes[from].min[k]
				}
				key = binary.BigEndian.AppendUint64(key, uint64(c.min[k]-base))
				key = binary.BigEndian.AppendUint64(key, uint64(c.max[k]-base))
			}
		}
		b := body{from, to, boxes[from].min[axis] * v.toward[axis]}
		if i, ok := seen[string(key)]; !ok {
			seen[string(key)] = len(bodies)
			bodies = append(bodies, b)
		} else {
			if b.near > bodies[i].near {
				b, bodies[i] = bodies[i], b
			}
			hides[i] = append(hides[i], boxes[b.from].solid)
		}
		from = to
	}
	behind = map[int][]int{}
	for i, list := range hides {
		behind[boxes[bodies[i].from].solid] = list
	}
	slices.SortFunc(bodies, func(a, b body) int { return a.from - b.from })
	front = make([]cuboid, 0, len(boxes))
	for _, b := range bodies {
		front = append(front, boxes[b.from:b.to]...)
	}
	return front, behind
}

// sight is what is seen in one view along an axis.
type sight struct {
	v      *projection
	behind map[int][]int // see foremost
	faces  []facet       // in real millimetres
	art    []stretch
}

func look(v *projection, solids []Solid3, boxes []cuboid, edges []contour, hidden bool) sight {
	boxes, behind := foremost(v, boxes)
	return sight{v, behind, facesOf(v, solids, boxes, v.flat), lineArt(v, boxes, edges, hidden)}
}

// besides is room for the marks beside the views of bodies: names, dimensions,
// the symbol. What needs more gets it.
const besides = 64

// marks is how many marks draw makes, without those written on the bodies.
func (e *sight) marks() int {
	n := len(e.faces) + len(e.art)
	for i := range e.faces {
		n += len(e.behind[e.faces[i].solid])
	}
	return n
}

// draw draws a view with its paper origin at (dx, dy). It puts the faces on paper,
// so it can be done once.
func (e *sight) draw(p *Picture, solids []Solid3, dx, dy, s float64, marks bool) {
	fs := e.faces
	for i := range fs {
		for k, q := range fs[i].pts {
			fs[i].pts[k] = Point{dx + q.X*s, dy + q.Y*s}
		}
	}
	for _, f := range fs {
		for _, b := range e.behind[f.solid] { // covered at once, yet there to be picked out
			p.Polygon(RolePaper, solids[b].Ref, f.pts[:]...)
		}
		p.Polygon(RolePaper, solids[f.solid].Ref, f.pts[:]...)
	}
	for _, seen := range []bool{false, true} {
		role := RoleHidden
		if seen {
			role = RoleOutline
		}
		for _, l := range e.art {
			if l.seen == seen {
				a, b := e.v.ends(l)
				p.Line(role, "", dx+a.X*s, dy+a.Y*s, dx+b.X*s, dy+b.Y*s)
			}
		}
	}
	if marks {
		markBodies(p, solids, fs, false)
	}
}

// levels picks the coordinates along axis k that a dimension chain shows: the
// ends lo and hi, then those along which most is seen in the view, a level and its
// mirror image together, as long as the figures fit. Two stretches may be too
// narrow for theirs, as an overhang or a top's thickness is; these figures stand
// off the chain. Short lines, as of a screw hole or a slat's end, are no levels.
func levels(art []stretch, v *projection, k int, lo, hi, across int64, scale float64, format func(measure.Length) string) []int64 {
	seen := map[int64]int64{} // how much is seen along each level
	for _, l := range art {
		r := v.right[l.axis]
		switch {
		case !l.seen:
		case r == 0 && v.right[k] != 0: // an upright line
			seen[-l.place*v.right[k]] += l.to - l.from
		case r != 0 && v.up[k] != 0: // a level one
			seen[l.place*r] += l.to - l.from
		}
	}
	picked := []int64{lo, hi}
	var inner []int64
	for at, length := range seen {
		if lo < at && at < hi && float64(length) >= leastSeen*float64(across) {
			inner = append(inner, at)
		}
	}
	slices.Sort(inner)
	slices.SortStableFunc(inner, func(a, b int64) int { return compare(seen[b], seen[a]) })
	const most = 9
	add := func(at ...int64) {
		try := slices.Clone(picked)
		for _, a := range at {
			if i, found := slices.BinarySearch(try, a); !found {
				try = slices.Insert(try, i, a)
			}
		}
		narrow := 0
		for i := 1; i < len(try); i++ {
			if roomy(try[i-1], try[i], scale, format) {
				continue
			}
			narrow++
			beside := i > 1 && !roomy(try[i-2], try[i-1], scale, format)
			if narrow > 2 || beside || float64(try[i]-try[i-1])/1e6*scale < leastStretch {
				return
			}
		}
		if len(try) <= most {
			picked = try
		}
	}
	for _, at := range inner {
		if mirror := lo + hi - at; slices.Contains(inner, mirror) {
			add(at, mirror)
		}
		add(at)
	}
	return picked
}

// leastSeen is how much of the view a level's lines must run along.
const leastSeen = 0.08

// leastStretch is the narrowest stretch of a chain of levels on paper, in mm.
const leastStretch = 1.2

// roomy tells whether a figure fits between its arrows.
func roomy(a, b int64, scale float64, format func(measure.Length) string) bool {
	room := float64(b-a) / 1e6 * scale
	return room >= 2*arrowLength+0.8 && room >= font.Width(format(measure.Length(b-a)), 2.5, false)+1.2
}

// angleSymbol draws the symbol of the projection method (ISO 5456-2), a cut cone
// seen from the side and from its narrow end, about 12 mm wide.
func angleSymbol(p *Picture, x, y float64, first bool) {
	const narrowEnd, wideEnd = 1.1, 2.2
	// Third angle: the end view stands at the narrow end it is seen from.
	circles, cone, a, b := x+2.5, x+8, narrowEnd, wideEnd
	if first { // first angle: it stands beyond the wide end's side
		circles, cone, a, b = x+10.5, x, narrowEnd, wideEnd
	}
	p.Polygon(RoleThin, "", Point{cone, y - a}, Point{cone + 5, y - b}, Point{cone + 5, y + b}, Point{cone, y + a})
	p.Line(RoleCentre, "", cone-1, y, cone+6, y)
	for _, r := range []float64{narrowEnd, wideEnd} {
		p.Arc(RoleThin, "", circles, y, r, 0, 360)
	}
	p.Line(RoleCentre, "", circles-wideEnd-0.8, y, circles+wideEnd+0.8, y)
	p.Line(RoleCentre, "", circles, y-wideEnd-0.8, circles, y+wideEnd+0.8)
}
