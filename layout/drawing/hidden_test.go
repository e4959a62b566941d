package drawing

import (
	"fmt"
	"math"
	"math/rand"
	"os"
	"testing"

	"pilewright/plan/measure"
	"pilewright/plan/solid"
)

// rayScene is an independent second opinion on what is seen: it works in floating
// point on the bodies as given and casts rays at sample points. It shares no code
// with the interval method.
type rayScene struct {
	solids []Solid3
	dir    [3]float64
}

// thickness is how far the ray p + s·dir, s > 0, runs inside a box.
func thickness(p, dir [3]float64, b solid.Box) float64 {
	lo, hi := 1e-6, math.Inf(1)
	for k := range 3 {
		a, z := float64(b.Min[k]), float64(b.Max[k])
		if dir[k] == 0 {
			if p[k] <= a || p[k] >= z {
				return 0
			}
			continue
		}
		s, t := (a-p[k])/dir[k], (z-p[k])/dir[k]
		lo, hi = math.Max(lo, math.Min(s, t)), math.Min(hi, math.Max(s, t))
	}
	return math.Max(0, hi-lo)
}

// blocked tells whether the ray runs inside any body.
func (r rayScene) blocked(p [3]float64) bool {
	for _, s := range r.solids {
		for _, b := range s.Boxes {
			if thickness(p, r.dir, b) > 1e-3 {
				return true
			}
		}
	}
	return false
}

// hides looks at a point of an edge along axis: seen end-on views look beside it
// on both sides, as a line is drawn when either side shows it.
func (r rayScene) hides(p [3]float64, axis int) bool {
	for k, d := range r.dir {
		if d == 0 && k != axis {
			a, b := p, p
			a[k] -= 0.01
			b[k] += 0.01
			return r.blocked(a) && r.blocked(b)
		}
	}
	return r.blocked(p)
}

// turns tells whether a body's surface bends at a point of an axis-parallel line,
// by looking into its four quadrants.
func turns(s Solid3, p [3]float64, axis int) bool {
	a, b := (axis+1)%3, (axis+2)%3
	in := func(da, db float64) bool {
		q := p
		q[a] += da
		q[b] += db
		for _, x := range s.Boxes {
			ok := true
			for k := range 3 {
				ok = ok && float64(x.Min[k]) < q[k] && q[k] < float64(x.Max[k])
			}
			if ok {
				return true
			}
		}
		return false
	}
	const e = 0.01
	var f [4]bool
	f[0], f[1], f[2], f[3] = in(-e, -e), in(e, -e), in(e, e), in(-e, e)
	flat := f[0] == f[1] && f[2] == f[3] || f[0] == f[3] && f[1] == f[2]
	return !flat
}

// scene gives disjoint bodies of small whole sizes, so that edges often line up
// and touch, which is where such methods go wrong.
func scene(rng *rand.Rand, bodies, boxes, grid int) []Solid3 {
	return sceneOf(rng, bodies, boxes, grid, false)
}

// sceneOf may let bodies run into each other.
func sceneOf(rng *rand.Rand, bodies, boxes, grid int, collide bool) []Solid3 {
	var out []Solid3
	var taken []solid.Box
	for i := range bodies {
		s := Solid3{Ref: fmt.Sprint("s", i)}
		for range 1 + rng.Intn(boxes) {
			var b solid.Box
			for k := range 3 {
				b.Min[k] = measure.Length(rng.Intn(grid)) * 10
				b.Max[k] = b.Min[k] + measure.Length(1+rng.Intn(grid/2))*10
			}
			free := true
			for _, t := range taken {
				apart := false
				for k := range 3 {
					apart = apart || b.Max[k] <= t.Min[k] || t.Max[k] <= b.Min[k]
				}
				free = free && apart
			}
			if free || collide {
				taken = append(taken, b)
				s.Boxes = append(s.Boxes, b)
			}
		}
		if len(s.Boxes) > 0 {
			out = append(out, s)
		}
	}
	return out
}

func rounds(few, full int) int {
	if os.Getenv("PILEWRIGHT_FULL") == "1" {
		return full
	}
	return few
}

var allViews = map[string]projection{
	"front": frontView, "right": rightView, "left": leftView, "top": topView,
	"isometric front right": FrontRight.view(), "isometric front left": FrontLeft.view(),
	"isometric back right": BackRight.view(), "isometric back left": BackLeft.view(),
}

func TestHiddenLinesAgreeWithRays(t *testing.T) {
	for name, v := range allViews {
		t.Run(name, func(t *testing.T) {
			rng := rand.New(rand.NewSource(11))
			points := 0
			for range rounds(60, 1500) {
				points += checkLines(t, v, scene(rng, 1+rng.Intn(6), 1+rng.Intn(4), 8))
				if t.Failed() {
					return
				}
			}
			t.Logf("%d points compared", points)
		})
	}
}

// checkLines samples every box edge between the coordinates where anything can
// change and compares drawn and hidden with the rays.
func checkLines(t *testing.T, v projection, solids []Solid3) int {
	t.Helper()
	art := lineArt(&v, cuboids(solids), outlines(cuboids(solids)), true)
	r := rayScene{solids: solids}
	for k, n := range v.toward {
		r.dir[k] = float64(n)
	}
	onPaper := func(p [3]float64) (x, y float64) {
		for k := range 3 {
			x += float64(v.right[k]) * p[k]
			y += float64(v.up[k]) * p[k]
		}
		return
	}
	// drawn finds what the line art has at a point of paper on a line along axis.
	drawn := func(p [3]float64, axis int) (seen, dashed bool) {
		x, y := onPaper(p)
		for _, s := range art {
			if s.axis != axis {
				continue
			}
			a, b := v.ends(s)
			ax, ay, bx, by := a.X*1e6/v.kx, -a.Y*1e6/v.ky, b.X*1e6/v.kx, -b.Y*1e6/v.ky
			l := math.Hypot(bx-ax, by-ay)
			if math.Abs((bx-ax)*(y-ay)-(by-ay)*(x-ax)) > 1e-3*l {
				continue
			}
			if d := ((x-ax)*(bx-ax) + (y-ay)*(by-ay)) / l; d > -1e-3 && d < l+1e-3 {
				seen, dashed = seen || s.seen, dashed || !s.seen
			}
		}
		return
	}
	type sample struct {
		p    [3]float64
		axis int
		seen bool
	}
	var samples []sample
	for _, s := range solids {
		for _, b := range s.Boxes {
			for axis := range 3 {
				if v.right[axis] == 0 && v.up[axis] == 0 {
					continue
				}
				for corner := range 4 {
					p := [3]float64{float64(b.Min[0]), float64(b.Min[1]), float64(b.Min[2])}
					if corner&1 != 0 {
						p[(axis+1)%3] = float64(b.Max[(axis+1)%3])
					}
					if corner&2 != 0 {
						p[(axis+2)%3] = float64(b.Max[(axis+2)%3])
					}
					for u := float64(b.Min[axis]) + 2.5; u < float64(b.Max[axis]); u += 5 {
						p[axis] = u
						if turns(s, p, axis) {
							samples = append(samples, sample{p, axis, !r.hides(p, axis)})
						}
					}
				}
			}
		}
	}
	for _, s := range samples {
		seen, dashed := drawn(s.p, s.axis)
		if s.seen && !seen {
			t.Errorf("point %v of an edge along %d is seen but not drawn\n%v", s.p, s.axis, solids)
			return 0
		}
		if s.seen || !seen {
			if !s.seen && !dashed {
				t.Errorf("point %v of an edge along %d is hidden but not dashed\n%v", s.p, s.axis, solids)
				return 0
			}
			continue
		}
		// Hidden but drawn: then another edge that is seen must lie on the same place.
		x, y := onPaper(s.p)
		excused := false
		for _, o := range samples {
			ox, oy := onPaper(o.p)
			if o.seen && o.axis == s.axis && math.Abs(ox-x) < 1e-3 && math.Abs(oy-y) < 1e-3 {
				excused = true
				break
			}
		}
		if !excused {
			t.Errorf("point %v of an edge along %d is hidden but drawn\n%v", s.p, s.axis, solids)
			return 0
		}
	}
	return len(samples)
}

// What painting the faces in order leaves on top must be the body a ray from the
// viewer meets first.
func TestDepthOrderAgreesWithRays(t *testing.T) {
	for name, v := range allViews {
		t.Run(name, func(t *testing.T) {
			rng := rand.New(rand.NewSource(5))
			for range rounds(60, 1500) {
				checkOrder(t, v, scene(rng, 1+rng.Intn(8), 1+rng.Intn(4), 8), rng, 120)
				checkOrder(t, v, sceneOf(rng, 1+rng.Intn(5), 1+rng.Intn(3), 8, true), rng, 60)
			}
		})
	}
}

func checkOrder(t *testing.T, v projection, solids []Solid3, rng *rand.Rand, points int) {
	t.Helper()
	boxes := cuboids(solids)
	fs := facesOf(&v, solids, boxes, func(q vec) Point { return Point{float64(v.right.dot(q)), float64(v.up.dot(q))} })
	for range points {
		var p, dir [3]float64
		for k := range 3 {
			p[k], dir[k] = rng.Float64()*130-10, float64(v.toward[k])
		}
		want, near, tie := -1, math.Inf(-1), false
		for i, s := range solids {
			for _, b := range s.Boxes {
				back := p
				for k := range 3 {
					back[k] -= 1000 * dir[k]
				}
				if d := thickness(back, dir, b); d > 0 {
					if front := leaves(back, dir, b); front > near+1e-6 {
						near, want, tie = front, i, false
					} else if front > near-1e-6 {
						tie = tie || want != i
					}
				}
			}
		}
		got := -1
		at := Point{}
		for k := range 3 {
			at.X += float64(v.right[k]) * p[k]
			at.Y += float64(v.up[k]) * p[k]
		}
		for _, f := range fs {
			if inConvex(&f.pts, at) {
				got = f.solid
			}
		}
		if got != want && !tie {
			t.Fatalf("at %v: body %d on top, the ray meets %d\n%v", p, got, want, solids)
		}
	}
}

// leaves is the ray parameter at which the ray leaves the box towards the viewer.
func leaves(p, dir [3]float64, b solid.Box) float64 {
	hi := math.Inf(1)
	for k := range 3 {
		if dir[k] != 0 {
			hi = math.Min(hi, math.Max((float64(b.Min[k])-p[k])/dir[k], (float64(b.Max[k])-p[k])/dir[k]))
		}
	}
	return hi
}

// Three bars laid over each other in a ring have no depth order until one is cut.
func TestARingOfBarsIsCut(t *testing.T) {
	rng := rand.New(rand.NewSource(1))
	v := FrontRight.view()
	rings := 0
	for range 4000 {
		var solids []Solid3
		for long := range 3 { // one bar along each axis
			var b solid.Box
			for k := range 3 {
				b.Min[k] = measure.Length(rng.Intn(12)) * 10
				b.Max[k] = b.Min[k] + 20
			}
			b.Min[long], b.Max[long] = 0, 140
			solids = append(solids, Solid3{Ref: fmt.Sprint("bar", long), Boxes: []solid.Box{b}})
		}
		boxes := cuboids(solids)
		if len(boxes) == 3 && len(ordered(&v, boxes)) > 3 { // not in each other, and cut
			rings++
			checkOrder(t, v, solids, rng, 200)
			checkLines(t, v, solids)
		}
	}
	if rings == 0 {
		t.Fatal("no ring among 4,000 scenes: the test does not reach the cut")
	}
	t.Logf("%d rings", rings)
}

const mmT = measure.Millimetre

func TestNoSeamsBetweenBoxesOfOneBody(t *testing.T) {
	// A block of 2 x 2 x 2 boxes has the twelve edges of a cube, each in one piece.
	var boxes []cuboid
	for i := range 8 {
		c := cuboid{}
		for k := range 3 {
			c.min[k] = int64(i>>k&1) * 100
			c.max[k] = c.min[k] + 100
		}
		boxes = append(boxes, c)
	}
	edges := outline(boxes)
	if len(edges) != 12 {
		t.Errorf("%d edges, want 12: %v", len(edges), edges)
	}
	for _, e := range edges {
		if e.end-e.at[e.axis] != 200 {
			t.Errorf("edge %v is %d long, want 200", e, e.end-e.at[e.axis])
		}
	}
	// An L of two boxes has 18 edges (Euler: 12 corners, 8 faces, V-E+F=2).
	l := []cuboid{{min: vec{0, 0, 0}, max: vec{200, 100, 100}}, {min: vec{0, 0, 100}, max: vec{100, 100, 200}}}
	if got := len(outline(l)); got != 18 {
		t.Errorf("an L has %d edges, want 18", got)
	}
}

func BenchmarkIsometric60Bodies8Boxes(b *testing.B) {
	solids := stack(60, 8)
	for range b.N {
		Isometric(solids, IsometricOptions{})
	}
}

func BenchmarkIsometric1000Bodies8Boxes(b *testing.B) {
	solids := stack(1000, 8)
	for range b.N {
		Isometric(solids, IsometricOptions{})
	}
}

// stack gives bodies of several boxes (a rail with tenons and grooves, as it
// were), laid in open courses so that they hide each other.
func stack(bodies, boxes int) []Solid3 {
	var out []Solid3
	per := int(math.Ceil(math.Cbrt(float64(bodies))))
	for i := range bodies {
		s := Solid3{Ref: fmt.Sprint("s", i), Mark: fmt.Sprint("A", i)}
		x, y, z := measure.Length(i%per)*400*mmT, measure.Length(i/per%per)*400*mmT, measure.Length(i/per/per)*120*mmT
		for k := range boxes {
			k := measure.Length(k)
			s.Boxes = append(s.Boxes, solid.Box{
				Min: solid.Point{x + k*40*mmT, y + (k%2)*10*mmT, z + (k%3)*5*mmT},
				Max: solid.Point{x + (k+1)*40*mmT, y + 80*mmT, z + 60*mmT}})
		}
		out = append(out, s)
	}
	return out
}
