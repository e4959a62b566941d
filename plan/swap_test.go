package plan_test

import (
	"context"
	"strings"
	"testing"

	"pilewright/plan"
)

// The legs of a table are handed in pairs: diagonal ones may be swapped, those
// beside each other may not, and the joints that suffer are named.
func TestSwappingLegs(t *testing.T) {
	p := demoProject(t)
	made, err := plan.Make(context.Background(), p, toyTools, nil)
	if err != nil {
		t.Fatal(err)
	}
	if said := made.Swap("B1", "B4"); len(said) != 0 {
		t.Errorf("diagonal legs: %v", said)
	}
	said := made.Swap("B1", "B2")
	if len(said) == 0 || !strings.Contains(strings.Join(said, " "), "no longer fits") {
		t.Errorf("handed legs: %v", said)
	}
	if said := made.Swap("B1", "nobody"); said != nil {
		t.Errorf("an unknown mark: %v", said)
	}
	found := false
	for _, a := range made.Frame.Marking.Alike {
		found = found || a.Handed && len(a.A) == 2 && len(a.B) == 2
	}
	if !found {
		t.Errorf("the legs are not told to be handed: %+v", made.Frame.Marking.Alike)
	}
}
