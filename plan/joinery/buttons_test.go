package joinery

import (
	"testing"

	"pilewright/plan/measure"
	"pilewright/plan/solid"
)

// A top of 44 x 22 in on an apron 36 in long: 914.4 mm at one button for each
// 250 mm is four, and no wood is cut or added.
func TestButtonsCutNothingAndAreNotGlued(t *testing.T) {
	const in = measure.Inch
	apron := Member{Name: "C1", Box: solid.Box{Min: solid.Point{4 * in, 2 * in, 0}, Max: solid.Point{40 * in, 3 * in, 4 * in}}, Along: 0, Thick: 1}
	top := Member{Name: "A1", Box: solid.Box{Min: solid.Point{0, 0, 4 * in}, Max: solid.Point{44 * in, 22 * in, 5 * in}}, Along: 0, Thick: 2}
	r := Make(apron, top, Spec{Kind: Buttons}, Tools{})
	if !r.Made || !r.Spec.Dry || r.Spec.Count != 4 {
		t.Errorf("made %v, dry %v, %d buttons; want 4", r.Made, r.Spec.Dry, r.Spec.Count)
	}
	if len(r.CutA)+len(r.CutB)+len(r.AddB)+len(r.Findings) != 0 || !r.LongGrain.IsZero() {
		t.Errorf("cuts %d, %d, added %d, findings %v", len(r.CutA), len(r.CutB), len(r.AddB), r.Findings)
	}
	if r := Make(apron, Member{Name: "A1", Box: top.Box.Translate(solid.Point{0, 0, in}), Along: 0, Thick: 2}, Spec{Kind: Buttons}, Tools{}); r.Made {
		t.Error("a top an inch above its apron was held")
	}
}
