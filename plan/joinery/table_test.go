package joinery

import (
	"fmt"
	"testing"

	"pilewright/plan/measure"
	"pilewright/plan/solid"
)

// A whole table frame: four legs, four rails, every rail tenoned at both ends. The
// mortises of each leg meet; where the tenons do, they are shortened by what the finding
// says, and plan/solid then proves that the piece goes together.
func TestATableFrameGoesTogether(t *testing.T) {
	const leg, inset = 2 * in, in / 4
	legs, rails := []Member{}, []Member{}
	for _, x := range []measure.Length{0, 40 * in} {
		for _, y := range []measure.Length{0, 24 * in} {
			legs = append(legs, Member{Name: "leg", Box: box(x, y, 0, leg, leg, 28*in), Along: 2, Thick: 0, Species: "oak"})
		}
	}
	for _, y := range []measure.Length{inset, 24*in + leg - inset - frac(0, 3, 4)} {
		rails = append(rails, Member{Name: "rail", Box: box(leg, y, 24*in, 40*in-leg, frac(0, 3, 4), 4*in), Along: 0, Thick: 1, Species: "oak"})
	}
	for _, x := range []measure.Length{inset, 40*in + leg - inset - frac(0, 3, 4)} {
		rails = append(rails, Member{Name: "rail", Box: box(x, leg, 24*in, frac(0, 3, 4), 24*in-leg, 4*in), Along: 1, Thick: 0, Species: "oak"})
	}
	depth := measure.Length(frac(1, 5, 8)) // deep enough for the tenons to meet
	build := func(depth measure.Length) (solid.Report, []Finding, measure.Length) {
		cutLegs, cutRails := make([]solid.Solid, 4), make([]solid.Solid, 4)
		for i, m := range legs {
			cutLegs[i] = solid.New(m.Box)
		}
		for i, m := range rails {
			cutRails[i] = solid.New(m.Box)
		}
		var mates []solid.Mate
		var clashes []Finding
		var added measure.Length
		for i, l := range legs {
			var hollows []Hollow
			for k, r := range rails {
				if Meet(l.Box, r.Box).Contact != ByFace {
					continue
				}
				id := fmt.Sprintf("joint %d-%d", i, k)
				j := Make(l, r, Spec{Kind: StoppedTenon, Depth: depth}, shop())
				if !j.Made {
					t.Fatalf("%s: %v", id, codesOf(j.Findings))
				}
				cutLegs[i] = cutLegs[i].Cut(j.CutA...)
				cutRails[k] = cutRails[k].Add(j.AddB...).Cut(j.CutB...)
				mates = append(mates, j.Mates(id, fmt.Sprint("leg ", i), fmt.Sprint("rail ", k))...)
				hollows = append(hollows, j.HollowsA(id)...)
				added += j.Added.Min + j.Added.Max
			}
			if len(hollows) != 4 && len(hollows) != 2 {
				t.Fatalf("leg %d has %d mortises", i, len(hollows))
			}
			clashes = append(clashes, Clashes(hollows, 0)...)
		}
		var bodies []solid.Body
		for i := range 4 {
			bodies = append(bodies, solid.Body{ID: fmt.Sprint("leg ", i), Solid: cutLegs[i]}, solid.Body{ID: fmt.Sprint("rail ", i), Solid: cutRails[i]})
		}
		return solid.Fit(bodies, mates), clashes, added
	}
	rep, clashes, _ := build(depth)
	if rep.OK() || len(clashes) == 0 || clashes[0].Code != TenonsMeet {
		t.Fatalf("the tenons meet, but: %+v, %v", rep, codesOf(clashes))
	}
	depth -= max(clashes[0].Lengths["first"], clashes[0].Lengths["second"])
	rep, clashes, added := build(depth)
	if !rep.OK() {
		t.Errorf("%+v", rep)
	}
	for _, f := range clashes {
		if f.Severity == Stop {
			t.Errorf("still %v %v", f.Code, f.Words)
		}
	}
	if want := 8 * (depth - in/16); added != want {
		t.Errorf("the rails grow by %v in all, want %v", added, want)
	}
}
