package joinery

import (
	"testing"

	"pilewright/plan/measure"
	"pilewright/plan/solid"
)

// Two rails into neighbouring faces of one leg at the same height.
func corner(depth measure.Length) (leg Member, x, y Result) {
	leg, rail := legAndRail()
	side := Member{Name: "side rail", Box: box(frac(0, 3, 8), frac(1, 1, 2), frac(13, 1, 2), frac(0, 3, 4), 14*in, frac(3, 1, 2)), Along: 1, Thick: 0}
	s := Spec{Kind: StoppedTenon, Depth: depth}
	return leg, Make(leg, rail, s, shop()), Make(leg, side, s, shop())
}

func TestTenonsThatMeetInALeg(t *testing.T) {
	leg, x, y := corner(in)
	fs := Clashes(append(x.HollowsA("front"), y.HollowsA("side")...), 0)
	if len(fs) != 1 || fs[0].Code != TenonsMeet || fs[0].Words["way"] != "corner" || fs[0].Words["first"] != "front" {
		t.Fatalf("%+v", fs)
	}
	// What the finding says must be enough: shorten the first tenon by that much.
	cut := fs[0].Lengths["first"]
	_, rail := legAndRail()
	x = Make(leg, rail, Spec{Kind: StoppedTenon, Depth: in - cut}, shop())
	fs = Clashes(append(x.HollowsA("front"), y.HollowsA("side")...), 0)
	for _, f := range fs {
		if f.Code == TenonsMeet {
			t.Errorf("still %+v after shortening by %v", f, cut)
		}
	}
	_, x, y = corner(in / 2)
	if fs := Clashes(append(x.HollowsA("front"), y.HollowsA("side")...), 0); len(fs) != 0 {
		t.Errorf("short tenons clash: %+v", fs)
	}
}

func TestCutsFromOppositeSides(t *testing.T) {
	leg, rail := legAndRail()
	far := rail
	far.Box = rail.Box.Translate(solid.Point{-30*in - frac(1, 1, 2), 0, 0})
	for _, c := range []struct {
		depth measure.Length
		want  Code
	}{{in, TenonsMeet}, {frac(0, 13, 16), MortisesMeet}, {frac(0, 23, 32), MortisesClose}, {in / 2, ""}} {
		s := Spec{Kind: StoppedTenon, Depth: c.depth}
		a, b := Make(leg, rail, s, shop()), Make(leg, far, s, shop())
		fs := Clashes(append(a.HollowsA("right"), b.HollowsA("left")...), 0)
		if c.want == "" {
			if len(fs) != 0 {
				t.Errorf("depth %v: %+v", c.depth, fs)
			}
			continue
		}
		if len(fs) != 1 || fs[0].Code != c.want || fs[0].Words["way"] != "opposite" {
			t.Errorf("depth %v: %+v, want %s", c.depth, fs, c.want)
		}
	}
}

func TestJointsFarApartDoNotClash(t *testing.T) {
	leg, rail := legAndRail()
	low := rail
	low.Box = rail.Box.Translate(solid.Point{0, 0, -8 * in})
	a, b := Make(leg, rail, Spec{Kind: ThroughTenon}, shop()), Make(leg, low, Spec{Kind: ThroughTenon}, shop())
	if fs := Clashes(append(a.HollowsA("a"), b.HollowsA("b")...), 0); len(fs) != 0 {
		t.Errorf("%+v", fs)
	}
	x, y := crossing()
	r := Make(x, y, Spec{Kind: HalfLap}, shop())
	if fs := Clashes(append(r.HollowsB("lap"), r.HollowsB("lap")...), 0); len(fs) != 0 {
		t.Errorf("a joint clashes with itself: %+v", fs)
	}
	if fs := Clashes(append(r.HollowsB("lap"), r.HollowsB("other")...), 0); len(fs) != 1 || fs[0].Code != MortisesMeet {
		t.Errorf("two laps in one place: %+v", fs)
	}
}

// Screws through rails on two neighbouring faces run into each other; moved by what the
// finding says, they pass.
func TestScrewsFromTwoSidesAreStaggered(t *testing.T) {
	post := Member{Name: "post", Box: box(0, 0, 0, frac(1, 1, 2), frac(1, 1, 2), 12*in), Along: 2, Thick: 0}
	right := Member{Name: "right", Box: box(frac(1, 1, 2), 0, 8*in, in/2, 20*in, 3*in), Along: 1, Thick: 0}
	front := Member{Name: "front", Box: box(0, -in/2, 8*in, 20*in, in/2, 3*in), Along: 0, Thick: 1}
	rows := func(offset measure.Length) []Finding {
		a := Make(post, right, Spec{Kind: Screws, Depth: in}, shop())
		b := Make(post, front, Spec{Kind: Screws, Depth: in, Offset: offset}, shop())
		mustFit(t, post, right, a)
		mustFit(t, post, front, b)
		return Clashes(append(a.HollowsA("right"), b.HollowsA("front")...), 0)
	}
	fs := rows(0)
	if len(fs) != 2 || fs[0].Code != HolesMeet {
		t.Fatalf("%+v", fs)
	}
	if fs = rows(fs[0].Lengths["shift"]); len(fs) != 0 {
		t.Errorf("still %+v", fs)
	}
	mustFind(t, Make(post, front, Spec{Kind: Screws, Offset: 3 * in}, shop()), HolesOutside)
	mustFind(t, Make(post, front, Spec{Kind: Screws, OffsetWide: in}, shop()), HolesOutside)
}
