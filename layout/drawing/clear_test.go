package drawing

import (
	"fmt"
	"math/rand"
	"testing"
	"time"

	"pilewright/plan/measure"
	"pilewright/plan/solid"
)

// textBoxes gives where the words and figures of a picture stand: from the foot
// of the letters to the top of the capitals.
func textBoxes(p *Picture) (boxes []Rect, texts []string) {
	for i := range p.Marks {
		m := &p.Marks[i]
		var l TextLine
		switch m.Kind {
		case Letters:
			l = m.line()
		case Dimension:
			l = m.geometry().text
		}
		if l.Text == "" {
			continue
		}
		b := l.box()
		if l.Up {
			b.X0, b.X1 = l.X-0.7*l.Size, l.X
		} else {
			b.Y0, b.Y1 = l.Y-0.7*l.Size, l.Y
		}
		boxes, texts = append(boxes, b.Grow(-0.05)), append(texts, l.Text)
	}
	return boxes, texts
}

// collisions lists texts that overlap.
func collisions(p *Picture) []string {
	boxes, texts := textBoxes(p)
	var out []string
	for i, a := range boxes {
		for k, b := range boxes[:i] {
			if a.Meets(b) {
				out = append(out, fmt.Sprintf("%q and %q", texts[i], texts[k]))
			}
		}
	}
	return out
}

// inches writes sixty-fourths, the longest figures there are.
func inches(l measure.Length) string {
	n := int64(l / measure.SixtyFourth)
	if n%64 == 0 {
		return fmt.Sprintf("%d\"", n/64)
	}
	return fmt.Sprintf("%d %d/64\"", n/64, n%64)
}

func someFormat(rng *rand.Rand) func(measure.Length) string {
	return []func(measure.Length) string{plainMillimetres, inches}[rng.Intn(2)]
}

func TestFiguresOfViewsNeverOverlap(t *testing.T) {
	rng := rand.New(rand.NewSource(21))
	for range rounds(150, 3000) {
		var solids []Solid3
		for i := range 1 + rng.Intn(14) {
			var b solid.Box
			for k := range 3 {
				b.Min[k] = measure.Length(rng.Intn(900)) * mmT
				b.Max[k] = b.Min[k] + measure.Length(10+rng.Intn(500))*mmT
			}
			solids = append(solids, Solid3{Ref: fmt.Sprint(i), Boxes: []solid.Box{b}})
		}
		o := ViewsOptions{FirstAngle: rng.Intn(2) == 0, Format: someFormat(rng), NoMarks: true}
		if c := collisions(Views(solids, o)); len(c) > 0 {
			t.Fatalf("%v overlap in the views of %v", c, solids)
		}
	}
}

func TestFiguresOfJointsNeverOverlap(t *testing.T) {
	rng := rand.New(rand.NewSource(4))
	length := func(lo, hi int) measure.Length { return measure.Length(lo+rng.Intn(hi-lo+1)) * mmT }
	for range rounds(300, 5000) {
		j := JointView{Title: "Tenon", Receiver: JointMember{Mark: "A1", Width: length(30, 100), Thickness: length(25, 100)}, Member: JointMember{Mark: "B1", Width: length(40, 140), Thickness: length(18, 25)},
			RunsOn: rng.Intn(2) == 0}
		j.Horn = measure.Length(rng.Intn(40)) * mmT
		j.Setback = (j.Receiver.Thickness - j.Member.Thickness) / 2
		tg := Tongue{FromEdge: length(8, 12), FromFace: j.Member.Thickness / 3, Thickness: j.Member.Thickness / 3, Depth: min(length(15, 40), j.Receiver.Width)}
		tg.Width = j.Member.Width - 2*tg.FromEdge
		j.Tongues = []Tongue{tg}
		if c := collisions(Joint(j, Options{Format: someFormat(rng)})); len(c) > 0 {
			t.Fatalf("%v overlap in the joint %+v", c, j)
		}
	}
}

func TestFiguresOfPartsNeverOverlap(t *testing.T) {
	rng := rand.New(rand.NewSource(8))
	length := func(lo, hi int) measure.Length { return measure.Length(lo+rng.Intn(hi-lo+1)) * mmT }
	for range rounds(200, 3000) {
		v := PartView{Ref: "A1", Mark: "A1", Title: "leg", Length: length(300, 1500), Width: length(40, 120), Thickness: length(20, 45)}
		if rng.Intn(2) == 0 {
			v.LeftTenon, v.RightTenon = length(15, 40), length(15, 40)
			v.TenonEdge, v.TenonWidth, v.TenonFace, v.TenonThick = 10*mmT, v.Width-20*mmT, 6*mmT, v.Thickness-12*mmT
		}
		x := 60 * mmT
		for x < v.Length-120*mmT && len(v.Features) < 4 {
			v.Features = append(v.Features, Feature{Kind: "mortise", Edge: rng.Intn(2) == 0, X: x, Y: 8 * mmT, L: 50 * mmT, W: 8 * mmT, Depth: 12 * mmT})
			x += length(80, 400)
		}
		if c := collisions(Part(v, Options{Format: someFormat(rng)})); len(c) > 0 {
			t.Fatalf("%v overlap in the part %+v", c, v)
		}
	}
}

// Boxes around mortises must fill the body less the mortises and not overlap.
func TestCarvedBoxesFillTheRestExactly(t *testing.T) {
	rng := rand.New(rand.NewSource(6))
	random := func() solid.Box {
		var b solid.Box
		for k := range 3 {
			b.Min[k] = measure.Length(rng.Intn(8))
			b.Max[k] = b.Min[k] + 1 + measure.Length(rng.Intn(5))
		}
		return b
	}
	for range 300 {
		body, holes := random(), []solid.Box{random(), random(), random()}
		parts := carved(body, holes)
		for x := range measure.Length(13) {
			for y := range measure.Length(13) {
				for z := range measure.Length(13) {
					in := func(b solid.Box) bool {
						return b.Min[0] <= x && x < b.Max[0] && b.Min[1] <= y && y < b.Max[1] && b.Min[2] <= z && z < b.Max[2]
					}
					want, got := 0, 0
					if in(body) && !in(holes[0]) && !in(holes[1]) && !in(holes[2]) {
						want = 1
					}
					for _, p := range parts {
						if in(p) {
							got++
						}
					}
					if got != want {
						t.Fatalf("cell %d %d %d is in %d parts, want %d", x, y, z, got, want)
					}
				}
			}
		}
	}
}

// Time on paper never runs backwards and sessions are to scale.
func TestClockRunsForward(t *testing.T) {
	h := time.Hour
	c := newClock([]Session{{"", 24 * h, 26 * h}, {"", 0, 3 * h}, {"", 26 * h, 26 * h}, {"", 50 * h, 51 * h}}, 10, 100)
	last := c.at(-h)
	for m := -time.Hour; m < 60*h; m += 7 * time.Minute {
		x := c.at(m)
		if x < last-1e-9 {
			t.Fatalf("at %v the place goes back from %.3f to %.3f", m, last, x)
		}
		last = x
	}
	a, b := c.at(3*h)-c.at(0), c.at(26*h)-c.at(24*h)
	if a/b < 1.499 || a/b > 1.501 {
		t.Errorf("three hours take %.2f mm, two %.2f", a, b)
	}
	if last > 110+1e-9 {
		t.Errorf("the end is at %.2f, the paper ends at 110", last)
	}
}

func TestLinesToMarksNeverCross(t *testing.T) {
	rng := rand.New(rand.NewSource(12))
	for range 300 {
		var marks []callout
		for i := range 1 + rng.Intn(12) {
			marks = append(marks, callout{x: rng.Float64() * 100, y: rng.Float64() * 60, text: fmt.Sprint(i)})
		}
		var p Picture
		beside(&p, marks, nil, Rect{0, 0, 100, 60})
		var lines []Mark
		for _, m := range p.Marks {
			if m.Kind == Polyline {
				lines = append(lines, m)
			}
		}
		side := func(a, b, c Point) float64 { return (b.X-a.X)*(c.Y-a.Y) - (b.Y-a.Y)*(c.X-a.X) }
		for i, m := range lines {
			for _, n := range lines[:i] {
				a, b, c, d := m.Pts[0], m.Pts[1], n.Pts[0], n.Pts[1]
				if (b.X > 50) != (d.X > 50) {
					continue // the columns are filled apart
				}
				if side(a, b, c)*side(a, b, d) < 0 && side(c, d, a)*side(c, d, b) < 0 {
					t.Fatalf("lines to %v cross", marks)
				}
			}
		}
	}
}
