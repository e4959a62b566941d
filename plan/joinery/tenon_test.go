package joinery

import (
	"testing"

	"pilewright/plan/measure"
	"pilewright/plan/solid"
)

func TestStoppedTenonTakesTheTradesProportions(t *testing.T) {
	leg, rail := legAndRail()
	r := Make(leg, rail, Spec{Kind: StoppedTenon}, shop())
	mustFit(t, leg, rail, r)
	if got := r.Spec.Thickness; got != in/4 { // a third of 3/4 in: three trade pages
		t.Errorf("thickness %v, want 1/4 in", got)
	}
	if got := r.Spec.Depth; got != in { // two thirds of the leg's 1-1/2 in, within 3 to 5 widths
		t.Errorf("depth %v, want 1 in", got)
	}
	if got := r.Added; got != (Added{0, in - in/16, 0}) {
		t.Errorf("added %v, want 15/16 in at the low end", got)
	}
	if r.Into != solid.MinusX || r.Shoulder != frac(1, 1, 2) {
		t.Errorf("into %v, shoulder at %v", r.Into, r.Shoulder)
	}
	m := r.Mortises[0]
	if top := leg.Box.Max[2] - m.Max[2]; top < endWood {
		t.Errorf("only %v left above the mortise", top)
	}
	if f, ok := has(r, MortiseNearEnd); ok {
		t.Errorf("unexpected %v", f)
	}
	want := Mark{Member: "leg", Face: solid.PlusX, End: solid.PlusZ, FromEnd: leg.Box.Max[2] - m.Max[2], Length: r.Spec.Width,
		Edge: solid.MinusY, FromEdge: frac(0, 5, 8), Width: in / 4, Depth: in}
	if r.Marks[0] != want {
		t.Errorf("mark %+v\nwant %+v", r.Marks[0], want)
	}
	// On the rail: the tenon stands between shoulders of 1/4 in on both faces.
	want = Mark{Member: "rail", OnB: true, Stays: true, Face: solid.MinusX, End: solid.MinusZ, FromEnd: m.Min[2] - rail.Box.Min[2], Length: r.Spec.Width,
		Edge: solid.MinusY, FromEdge: in / 4, Width: in / 4, Depth: frac(0, 15, 16)}
	if r.Marks[1] != want {
		t.Errorf("mark %+v\nwant %+v", r.Marks[1], want)
	}
	cheeks := 0
	for _, m := range r.Methods {
		if m.OnB && m.Tool == ByDado && m.Depths[0] == in/4 && len(m.Starts) == 2 {
			cheeks++
		}
	}
	if cheeks != 1 {
		t.Errorf("the cheeks are cut by %+v", r.Methods)
	}
	// Two cheeks of long grain; everything else of the tenon is end grain somewhere.
	cheek := solid.Face{Normal: solid.PlusY, Min: solid.Point{0, 0, 0}, Max: solid.Point{in - in/16, 0, r.Spec.Width}}.Area()
	if r.LongGrain != cheek.Add(cheek) {
		t.Errorf("long grain %v, want twice %v", r.LongGrain, cheek)
	}
}

func TestThroughTenonComesOutFlush(t *testing.T) {
	leg, rail := legAndRail()
	r := Make(leg, rail, Spec{Kind: ThroughTenon}, shop())
	mustFit(t, leg, rail, r)
	if r.Tenons[0].Min[0] != 0 || r.Added.Min != frac(1, 1, 2) || !r.Marks[0].Through {
		t.Errorf("tenon %v, added %v", r.Tenons[0], r.Added)
	}
	r = Make(leg, rail, Spec{Kind: ThroughTenon, Proud: in / 8}, shop())
	mustFit(t, leg, rail, r)
	if r.Tenons[0].Min[0] != -in/8 || r.Added.Min != frac(1, 5, 8) {
		t.Errorf("proud tenon %v, added %v", r.Tenons[0], r.Added)
	}
}

// checks of the trade's rules on tenons: 1/3 rule (three trade pages) and mortise
// depth of 3 to 5 widths (school handout after Moxon: 5/16 in gives 15/16 and 1-9/16).
func TestTenonRules(t *testing.T) {
	if got := (frac(0, 3, 4)) / tenonShare; got != in/4 {
		t.Errorf("a third of 3/4 in is %v", got)
	}
	if got := depthLeast * (in * 5 / 16); got != in*15/16 {
		t.Errorf("least depth %v, want 15/16 in", got)
	}
	if got := depthMost * (in * 5 / 16); got != frac(1, 9, 16) {
		t.Errorf("greatest depth %v, want 1-9/16 in", got)
	}
	if got := frac(0, 3, 4) / housingShare; got != in*3/16 {
		t.Errorf("housing in 3/4 in stock %v, want 3/16 in", got)
	}
	if got := frac(0, 3, 4) / housingLimit; got != in/4 {
		t.Errorf("deepest housing in 3/4 in stock %v, want 1/4 in", got)
	}
}

func TestTenonFindings(t *testing.T) {
	leg, rail := legAndRail()
	for _, c := range []struct {
		name string
		s    Spec
		want Code
		made bool
	}{
		{"over half the stock is thick", Spec{Thickness: in / 2}, TenonThick, true},
		{"as wide as seven thicknesses and undivided", Spec{Thickness: in / 4, Width: frac(1, 3, 4), Tenons: 1}, TenonWide, true},
		{"flush with the end leaves no wood", Spec{Width: frac(3, 1, 2), OffsetWide: 0, Tenons: 1}, MortiseNearEnd, true},
		{"a loose fit", Spec{Thickness: in / 4, Clearance: in / 64}, LooseFit, true},
		{"a round mortise for a square tenon", Spec{Round: true}, RoundMortise, true},
		{"a thickness of no bit", Spec{Thickness: in * 5 / 16}, CutterPasses, true},
		{"thinner than any bit", Spec{Thickness: in / 8}, CutterMissing, true},
		{"deeper than the leg", Spec{Depth: 2 * in}, MortiseComesThrough, false},
		{"just behind the far face", Spec{Depth: frac(1, 3, 8)}, BottomThin, true},
		{"shallow", Spec{Depth: in / 2}, MortiseShallow, true},
		{"moved out of the stock", Spec{Offset: in}, TenonOutside, false},
		{"moved to the edge", Spec{Offset: in / 8}, "", true},
		{"less than nothing", Spec{Depth: -1}, NegativeSize, false},
	} {
		t.Run(c.name, func(t *testing.T) {
			c.s.Kind = StoppedTenon
			r := Make(leg, rail, c.s, shop())
			if r.Made != c.made {
				t.Fatalf("made %v, findings %v", r.Made, codesOf(r.Findings))
			}
			if r.Made {
				mustFit(t, leg, rail, r)
			}
			if c.want != "" {
				mustFind(t, r, c.want)
			}
		})
	}
	t.Run("a bit too short", func(t *testing.T) {
		tools := shop()
		tools.Bits[0].Cut = in / 2
		mustFind(t, Make(leg, rail, Spec{Kind: StoppedTenon}, tools), CutterShort)
	})
}

func TestEndWoodIsKeptWhereTheWidthAllowsIt(t *testing.T) {
	leg, rail := legAndRail()
	for eighths := measure.Length(8); eighths <= 64; eighths++ {
		r := rail
		r.Box.Min[2] = r.Box.Max[2] - eighths*in/8
		j := Make(leg, r, Spec{Kind: StoppedTenon}, shop())
		mustFit(t, leg, r, j)
		_, near := has(j, MortiseNearEnd)
		if wide := eighths >= 16; near == wide {
			t.Errorf("rail of %d/8 in: near the end %v, mortise %v", eighths, near, j.Mortises[0])
		}
	}
}

func TestDepthByProportionIsWithinReachOfTheBit(t *testing.T) {
	leg := Member{Box: box(0, 0, 0, frac(2, 1, 4), frac(2, 1, 4), 30*in), Along: 2, Thick: 0}
	rail := Member{Box: box(frac(2, 1, 4), in/2, 20*in, 30*in, frac(0, 3, 4), 3*in), Along: 0, Thick: 1}
	r := Make(leg, rail, Spec{Kind: StoppedTenon}, shop())
	if _, short := has(r, CutterShort); short || r.Spec.Depth != in {
		t.Errorf("depth %v with a bit of 1 in: %v", r.Spec.Depth, codesOf(r.Findings))
	}
	mustFind(t, Make(leg, rail, Spec{Kind: StoppedTenon, Depth: frac(1, 1, 8)}, shop()), CutterShort)
}

func TestWideTenonIsDivided(t *testing.T) {
	leg := Member{Box: box(0, 0, 0, 3*in, 3*in, 29*in), Along: 2, Thick: 0}
	rail := Member{Box: box(3*in, in, 16*in, 40*in, frac(0, 3, 4), 8*in), Along: 0, Thick: 1}
	r := Make(leg, rail, Spec{Kind: StoppedTenon}, shop())
	mustFit(t, leg, rail, r)
	if len(r.Tenons) != 2 {
		t.Fatalf("%d tenons", len(r.Tenons))
	}
	for _, x := range r.Tenons {
		if w := x.Max[2] - x.Min[2]; w > 6*r.Spec.Thickness {
			t.Errorf("tenon %v wide", w)
		}
	}
	if r.Tenons[0].Overlaps(r.Tenons[1]) {
		t.Error("the tenons overlap")
	}
	if _, ok := has(r, TenonWide); ok {
		t.Error("a divided tenon is called wide")
	}
}

func TestRoundMortises(t *testing.T) {
	leg, rail := legAndRail()
	square := Make(leg, rail, Spec{Kind: StoppedTenon, Round: true}, shop())
	mustFit(t, leg, rail, square)
	slot := square.Mortises[0].Max[2] - square.Mortises[0].Min[2]
	if slot != square.Spec.Width+in/4 || square.EndRadius != in/8 {
		t.Errorf("slot %v for a tenon of %v, radius %v", slot, square.Spec.Width, square.EndRadius)
	}
	round := Make(leg, rail, Spec{Kind: StoppedTenon, Round: true, RoundTenon: true}, shop())
	mustFit(t, leg, rail, round)
	if round.Mortises[0].Max[2]-round.Mortises[0].Min[2] != round.Spec.Width || round.Tenons[0].Bit != in/4 {
		t.Errorf("rounded tenon %+v in %+v", round.Tenons[0], round.Mortises[0])
	}
	if _, ok := has(round, RoundMortise); ok {
		t.Error("a rounded tenon is found fault with")
	}
	wide := Make(leg, rail, Spec{Kind: StoppedTenon, Thickness: in * 5 / 16, Round: true, RoundTenon: true, Clearance: in / 256}, shop())
	mustFit(t, leg, rail, wide)
}

func TestHaunchFillsTheShoulderAtTheEnd(t *testing.T) {
	leg, rail := legAndRail()
	r := Make(leg, rail, Spec{Kind: StoppedTenon, Haunch: true}, shop())
	mustFit(t, leg, rail, r)
	stub := r.AddB[len(r.AddB)-1]
	if stub.Max[2] != leg.Box.Max[2] || stub.Max[0]-stub.Min[0] != in/4 || stub.Min[2] != r.Tenons[0].Max[2] {
		t.Errorf("haunch %v above tenon %v", stub, r.Tenons[0])
	}
}

func TestMembersThatDoNotMeet(t *testing.T) {
	leg, rail := legAndRail()
	shift := func(d measure.Length) Member {
		m := rail
		m.Box = rail.Box.Translate(solid.Point{d, 0, 0})
		return m
	}
	r := Make(leg, shift(in/8), Spec{Kind: StoppedTenon}, shop())
	f := mustFind(t, r, MembersApart)
	if r.Made || f.Severity != Stop || f.Lengths["gap"] != in/8 || f.Words["axis"] != "x" || f.Words["move"] != "-x" {
		t.Errorf("%+v", f)
	}
	f = mustFind(t, Make(leg, shift(-in/8), Spec{Kind: StoppedTenon}, shop()), MembersOverlap)
	if f.Lengths["depth"] != in/8 || f.Words["axis"] != "x" {
		t.Errorf("%+v", f)
	}
	m := rail
	m.Box = rail.Box.Translate(solid.Point{0, 3 * in, 0})
	f = mustFind(t, Make(leg, m, Spec{Kind: Dowels}, shop()), MembersApart)
	if f.Words["axis"] != "y" || f.Words["move"] != "-y" {
		t.Errorf("%+v", f)
	}
	m.Box = rail.Box.Translate(solid.Point{0, frac(1, 1, 8), 0})
	mustFind(t, Make(leg, m, Spec{Kind: Dowels}, shop()), EdgeContact)
	mustFind(t, Make(Member{}, rail, Spec{Kind: Dowels}, shop()), BadMember)
	mustFind(t, Make(leg, rail, Spec{Kind: "dovetail"}, shop()), UnknownKind)
}
