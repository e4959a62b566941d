package solid

import (
	"math"
	"math/rand/v2"
	"testing"

	"pilewright/plan/measure"
)

// slot is a block 10 mm deep along Z, in micrometres of section.
func slot(x0, y0, x1, y1, bit int) Rounded {
	const um = measure.Micrometre
	return Rounded{
		Box: Box{
			Point{measure.Length(x0) * um, measure.Length(y0) * um, 0},
			Point{measure.Length(x1) * um, measure.Length(y1) * um, 10 * mm},
		},
		Axis: 2, Bit: measure.Length(bit) * um,
	}
}

func TestATenonInARoundEndedMortise(t *testing.T) {
	mortise := slot(0, 0, 50_000, 10_000, 10_000)
	// A corner of a square tenon e short of the end and the full 10 mm thick has
	// to stay 5 mm from the end; at 6 mm thickness it may go to
	// 5 - sqrt(25 - 9) = 1 mm from it (a 3-4-5 triangle, so exactly).
	for _, c := range []struct {
		name  string
		tenon Rounded
		fits  bool
	}{
		{"a square tenon as long as the slot bites at its corners", slot(0, 0, 50_000, 10_000, 0), false},
		{"a square tenon a bit's diameter shorter goes in", slot(5_000, 0, 45_000, 10_000, 0), true},
		{"a hair longer than that bites", slot(4_999, 0, 45_000, 10_000, 0), false},
		{"a thin tenon touches the round at the 3-4-5 corner", slot(1_000, 2_000, 49_000, 8_000, 0), true},
		{"a micrometre longer than the 3-4-5 corner bites", slot(999, 2_000, 49_000, 8_000, 0), false},
		{"a tenon rounded with the same cutter fills the slot", slot(0, 0, 50_000, 10_000, 10_000), true},
		{"a tenon rounded with a smaller cutter bites", slot(0, 0, 50_000, 10_000, 9_999), false},
		{"a tenon rounded with a smaller cutter, shortened, goes in", slot(1_000, 1_000, 49_000, 9_000, 8_000), true},
	} {
		t.Run(c.name, func(t *testing.T) {
			if got := mortise.Contains(c.tenon); got != c.fits {
				t.Errorf("got %v, want %v; bites %v", got, c.fits, mortise.Bites(c.tenon))
			}
		})
	}
	if got := mortise.Bites(slot(0, 0, 45_000, 10_000, 0)); len(got) != 2 || got[0] != [2]int{-1, -1} || got[1] != [2]int{-1, 1} {
		t.Errorf("a tenon too long at one end bites at %v, want its two corners there", got)
	}
}

func TestATenonLargerAllRoundBitesAtEveryCorner(t *testing.T) {
	square, rounded := slot(0, 0, 10_000, 10_000, 0), slot(-5_000, -5_000, 15_000, 15_000, 8_000)
	if got := square.Bites(rounded); len(got) != 4 || square.Contains(rounded) {
		t.Errorf("got bites %v, contains %v; want four and false", got, square.Contains(rounded))
	}
}

func TestARoundEndPastASquareCorner(t *testing.T) {
	end := slot(0, 0, 50_000, 10_000, 10_000) // middle of the end at (45, 5) mm
	for _, c := range []struct {
		name  string
		other Rounded
		want  bool
	}{
		{"a corner on the 3-4-5 point only touches", slot(48_000, 9_000, 60_000, 20_000, 0), false},
		{"a corner a micrometre inside clashes", slot(47_999, 9_000, 60_000, 20_000, 0), true},
		{"a block in the cut-away corner is clear", slot(49_000, 9_000, 60_000, 20_000, 0), false},
		{"two round ends that touch are clear", slot(50_000, 0, 90_000, 10_000, 10_000), false},
		{"two round ends beside each other slip past", slot(48_000, 8_000, 90_000, 18_000, 10_000), false},
		{"two round ends too close clash", slot(46_000, 6_000, 90_000, 16_000, 10_000), true},
	} {
		t.Run(c.name, func(t *testing.T) {
			if got := end.Overlaps(c.other); got != c.want {
				t.Errorf("got %v, want %v", got, c.want)
			}
			if got := c.other.Overlaps(end); got != c.want {
				t.Errorf("the other way round: got %v, want %v", got, c.want)
			}
		})
	}
}

// reach is how far the section reaches in the direction of angle a, in floats:
// the independent check of containment by support functions.
func reach(r Rounded, a float64) float64 {
	rad := float64(min(r.Bit, r.Max[0]-r.Min[0], r.Max[1]-r.Min[1])) / 2
	x := max(math.Cos(a)*(float64(r.Max[0])-rad), math.Cos(a)*(float64(r.Min[0])+rad))
	y := max(math.Sin(a)*(float64(r.Max[1])-rad), math.Sin(a)*(float64(r.Min[1])+rad))
	return x + y + rad
}

// nearest gives the point of the closed section nearest to x, y, in floats.
func nearest(r Rounded, x, y float64) (float64, float64) {
	rad := float64(min(r.Bit, r.Max[0]-r.Min[0], r.Max[1]-r.Min[1])) / 2
	cx := min(max(x, float64(r.Min[0])+rad), float64(r.Max[0])-rad)
	cy := min(max(y, float64(r.Min[1])+rad), float64(r.Max[1])-rad)
	d := math.Hypot(x-cx, y-cy)
	if d <= rad {
		return x, y
	}
	return cx + (x-cx)*rad/d, cy + (y-cy)*rad/d
}

// apart is the distance of two convex sections, found by projecting to and fro.
func apart(a, b Rounded) float64 {
	x, y := float64(a.Min[0]+a.Max[0])/2, float64(a.Min[1]+a.Max[1])/2
	var gap float64
	for range 3000 {
		u, v := nearest(b, x, y)
		gap = math.Hypot(u-x, v-y)
		if gap == 0 {
			break
		}
		x, y = nearest(a, u, v)
	}
	return gap
}

func TestRoundedSectionsAgreeWithFloatGeometry(t *testing.T) {
	r := rand.New(rand.NewPCG(7, 1))
	random := func() Rounded {
		x, y := r.IntN(12), r.IntN(12)
		return slot(x, y, x+1+r.IntN(12), y+1+r.IntN(12), r.IntN(10)*r.IntN(2))
	}
	var fits, bites, clashes, clear int
	for range 3000 {
		a, b := random(), random()
		over := math.Inf(-1)
		for i := range 1440 {
			angle := float64(i) * math.Pi / 720
			over = max(over, reach(b, angle)-reach(a, angle))
		}
		// Sizes are whole micrometres, so a true excess is many nanometres; a
		// quarter of a degree misses less than 0.1 of them.
		switch got := a.Contains(b); {
		case got != (over < 0.1):
			t.Fatalf("%v contains %v: got %v, but it reaches %g nm beyond", a, b, got, over)
		case got:
			fits++
		case a.Box.Contains(b.Box):
			bites++
		}
		gap := apart(a, b)
		switch got := a.Overlaps(b); {
		case got && gap > 50:
			t.Fatalf("%v and %v are %g nm apart but called overlapping", a, b, gap)
		case got:
			clashes++
		case gap > 50:
			clear++
		case gap == 0:
			// Touching: moving them 100 nm together must make them overlap.
			moved := false
			for i := range 9 {
				c := b
				c.Box = b.Translate(Point{measure.Length(i%3-1) * 100, measure.Length(i/3-1) * 100, 0})
				moved = moved || a.Overlaps(c)
			}
			if !moved {
				t.Fatalf("%v and %v share a point but are called clear", a, b)
			}
		}
	}
	if fits < 20 || bites < 10 || clashes < 200 || clear < 200 {
		t.Fatalf("only %d fits, %d bites, %d clashes and %d clear pairs were met", fits, bites, clashes, clear)
	}
}

// within tells whether a point is inside the block, in floats.
func within(r Rounded, p [3]float64) bool {
	u, v := (r.Axis+1)%3, (r.Axis+2)%3
	rad := float64(max(0, min(r.Bit, r.Max[u]-r.Min[u], r.Max[v]-r.Min[v]))) / 2
	for k := range 3 {
		if p[k] <= float64(r.Min[k]) || p[k] >= float64(r.Max[k]) {
			return false
		}
	}
	off := func(k int) float64 {
		return max(0, float64(r.Min[k])+rad-p[k], p[k]-float64(r.Max[k])+rad)
	}
	return rad == 0 || math.Hypot(off(u), off(v)) < rad
}

// nearestIn gives the point of the closed block nearest to p, in floats.
func nearestIn(r Rounded, p [3]float64) [3]float64 {
	u, v, w := (r.Axis+1)%3, (r.Axis+2)%3, r.Axis
	rad := float64(max(0, min(r.Bit, r.Max[u]-r.Min[u], r.Max[v]-r.Min[v]))) / 2
	cu := min(max(p[u], float64(r.Min[u])+rad), float64(r.Max[u])-rad)
	cv := min(max(p[v], float64(r.Min[v])+rad), float64(r.Max[v])-rad)
	if d := math.Hypot(p[u]-cu, p[v]-cv); d > rad {
		p[u], p[v] = cu+(p[u]-cu)*rad/d, cv+(p[v]-cv)*rad/d
	}
	p[w] = min(max(p[w], float64(r.Min[w])), float64(r.Max[w]))
	return p
}

// Blocks rounded about any axes: overlap against sampled points and against the
// distance found by projecting to and fro between the two, which are convex.
func TestRoundedBlocksAboutAnyAxesAgreeWithSampling(t *testing.T) {
	r := rand.New(rand.NewPCG(4, 9))
	const um = measure.Micrometre
	random := func() Rounded {
		var s Rounded
		for k := range 3 {
			s.Min[k] = measure.Length(r.IntN(10)) * um
			s.Max[k] = s.Min[k] + measure.Length(1+r.IntN(10))*um
		}
		s.Axis, s.Bit = r.IntN(3), measure.Length(r.IntN(11))*um
		return s
	}
	var corners, crossed, clear int
	for range 2000 {
		a, b := random(), random()
		for k := range 3 { // often only the corners of their boxes overlap
			if r.IntN(5) > 0 {
				by := a.Max[k] - b.Min[k] - measure.Length(1+r.IntN(2))*um
				b.Min[k], b.Max[k] = b.Min[k]+by, b.Max[k]+by
			}
		}
		if !a.Box.Overlaps(b.Box) {
			continue
		}
		got := a.Overlaps(b)
		if got != b.Overlaps(a) {
			t.Fatalf("%v and %v: the answer depends on the order", a, b)
		}
		shared := a.Box.Intersect(b.Box)
		for range 200 {
			var p [3]float64
			for k := range 3 {
				p[k] = float64(shared.Min[k]) + r.Float64()*float64(shared.Max[k]-shared.Min[k])
			}
			if !got && within(a, p) && within(b, p) {
				t.Fatalf("%v and %v share the point %v but are called clear", a, b, p)
			}
		}
		p := [3]float64{float64(a.Min[0]+a.Max[0]) / 2, float64(a.Min[1]+a.Max[1]) / 2, float64(a.Min[2]+a.Max[2]) / 2}
		gap := 0.0
		for range 4000 {
			q := nearestIn(b, p)
			next := nearestIn(a, q)
			gap = math.Sqrt((q[0]-p[0])*(q[0]-p[0]) + (q[1]-p[1])*(q[1]-p[1]) + (q[2]-p[2])*(q[2]-p[2]))
			if gap == 0 || next == p {
				break
			}
			p = next
		}
		room := a.Clear(b, 20*um)
		switch {
		case got && gap > 60:
			t.Fatalf("%v and %v are %g nm apart but called overlapping", a, b, gap)
		case got != (room == 0) && gap > 60:
			t.Fatalf("%v and %v: overlap %v, %v apart", a, b, got, room)
		case got && a.Axis != b.Axis:
			crossed++
		case !got && gap > 60:
			clear++
			if a.Axis != b.Axis {
				corners++
			}
			// Growing one is measured along the axes, not about corners, where it goes
			// on past the end of the other.
			if float64(room) > gap+60 || float64(room) < gap/2 {
				t.Fatalf("%v and %v are %g nm apart, got %v", a, b, gap, room)
			}
		}
	}
	if corners < 10 || crossed < 300 || clear < 40 {
		t.Fatalf("only %d clear corners about different axes, %d crossings, %d clear pairs", corners, crossed, clear)
	}
}

func TestTwoCylindersAcrossEachOther(t *testing.T) {
	// Bores of 10 and 6 mm, one above the other: they meet where their middles are
	// less than 8 mm apart, whatever their boxes do beside each other.
	bore := func(axis int, at Point, d measure.Length) Rounded {
		c := Rounded{Axis: axis, Bit: d}
		for k := range 3 {
			c.Min[k], c.Max[k] = at[k]-d/2, at[k]+d/2
			if k == axis {
				c.Min[k], c.Max[k] = -50*mm, 50*mm
			}
		}
		return c
	}
	x := bore(0, Point{}, 10*mm)
	for _, c := range []struct {
		off, up measure.Length
		want    bool
	}{{0, 8*mm - 1, true}, {0, 8 * mm, false}, {20 * mm, 8*mm - 1, true}, {48 * mm, 7 * mm, true}, {53 * mm, 0, false}, {52 * mm, 8 * mm, false}} {
		if got := x.Overlaps(bore(1, Point{c.off, 0, c.up}, 6*mm)); got != c.want {
			t.Errorf("%v along and %v above: got %v, want %v", c.off, c.up, got, c.want)
		}
	}
	// The shorter bore ends 2 mm past its middle: there it is 3 mm thick less the
	// 2 mm, so 5.47 mm wide and not 6: √(3² - 2²) = 2.236 mm above its middle.
	short := bore(1, Point{52 * mm, 0, 0}, 6*mm)
	for _, c := range []struct {
		up   measure.Length
		want bool
	}{{7_236_067, true}, {7_236_068, false}} {
		if got := x.Overlaps(Rounded{Box: short.Box.Translate(Point{0, 0, c.up}), Axis: 1, Bit: 6 * mm}); got != c.want {
			t.Errorf("%v above: got %v, want %v", c.up, got, c.want)
		}
	}
}
