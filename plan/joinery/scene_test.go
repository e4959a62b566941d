package joinery

import (
	"testing"

	"pilewright/plan/measure"
	"pilewright/plan/solid"
)

const in = measure.Inch

// frac is a size in 64ths of an inch.
func frac(whole, over, under measure.Length) measure.Length { return whole*in + over*in/under }

func box(x, y, z, dx, dy, dz measure.Length) solid.Box {
	return solid.Box{Min: solid.Point{x, y, z}, Max: solid.Point{x + dx, y + dy, z + dz}}
}

// A leg of 1-1/2 in square, 17 in high, and a rail of 3/4 × 3-1/2 in, flush with its
// top, standing in the middle of the leg's inner face.
func legAndRail() (leg, rail Member) {
	leg = Member{Name: "leg", Box: box(0, 0, 0, frac(1, 1, 2), frac(1, 1, 2), 17*in), Along: 2, Thick: 0, Species: "oak_white"}
	rail = Member{Name: "rail", Box: box(frac(1, 1, 2), frac(0, 3, 8), frac(13, 1, 2), 30*in, frac(0, 3, 4), frac(3, 1, 2)), Along: 0, Thick: 1, Species: "oak_white"}
	return leg, rail
}

func shop() Tools {
	return Tools{
		Bits:       []Bit{{in / 4, in}, {in * 3 / 8, 2 * in}, {in / 2, 2 * in}},
		Drills:     []measure.Length{in / 16, in * 5 / 64, in * 3 / 32, in / 8, in * 11 / 64, in / 4, in * 5 / 16, in * 3 / 8, in / 2},
		Chisels:    []measure.Length{in / 4, in / 2, in * 3 / 4, in},
		RouterBase: 6 * in, GuideBush: in * 5 / 8,
		DadoMin: in / 4, DadoMax: in * 13 / 16,
		MitreKerf: in / 8, MitreReach: 12 * in,
	}
}

func has(r Result, code Code) (Finding, bool) {
	for _, f := range r.Findings {
		if f.Code == code {
			return f, true
		}
	}
	return Finding{}, false
}

func mustFind(t *testing.T, r Result, code Code) Finding {
	t.Helper()
	f, ok := has(r, code)
	if !ok {
		t.Errorf("no finding %q among %v", code, codesOf(r.Findings))
	}
	return f
}

func codesOf(fs []Finding) []Code {
	var out []Code
	for _, f := range fs {
		out = append(out, f.Code)
	}
	return out
}

// mustFit proves by plan/solid, which knows nothing of joints, that the two cut
// bodies share no wood and that every tenon fills its mortise.
func mustFit(t *testing.T, a, b Member, r Result) {
	t.Helper()
	if !r.Made {
		t.Errorf("%s: not made: %v", r.Spec.Kind, codesOf(r.Findings))
		return
	}
	rep := solid.Fit([]solid.Body{{ID: "a", Solid: r.BodyA(a)}, {ID: "b", Solid: r.BodyB(b)}}, r.Mates("m", "a", "b"))
	if !rep.OK() {
		t.Errorf("%s: %+v\nA %v\nB %v\ncutA %v addB %v cutB %v", r.Spec.Kind, rep, a, b, r.CutA, r.AddB, r.CutB)
	}
}
