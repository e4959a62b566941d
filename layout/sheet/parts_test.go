package sheet

import (
	"context"
	"slices"
	"strings"
	"testing"

	"pilewright/plan"
	"pilewright/plan/joinery"
)

// What is found of a joint is printed where the joint is cut: the screw to take,
// and what is wrong with a tenon.
func TestWhatIsFoundOfAJointStandsWithIt(t *testing.T) {
	p, err := demoProject()
	if err != nil {
		t.Fatal(err)
	}
	q := p.With(func(q *plan.Project) {
		q.Joints = slices.Clone(q.Joints)
		for i := range q.Joints {
			if q.Joints[i].Kind == joinery.StoppedTenon {
				q.Joints[i].Thickness = "1/2 in" // in rails of 3/4 in
			}
		}
	})
	ctx, cancel := context.WithCancel(context.Background())
	defer cancel()
	made, err := plan.Make(ctx, q, quickTools(), func(*plan.Plan) { cancel() })
	if err != nil {
		t.Fatal(err)
	}
	flow := func(s string) string { return strings.Join(strings.Fields(s), " ") }
	printed := flow(said(t, made, "parts"))
	for _, want := range []string{
		`Screw no. 6, 1 1/2" long: pilot hole`,
		`The tenon is 1/2" thick in stock of 3/4"; a third is 1/4". Make it nearer to a third`,
	} {
		if !strings.Contains(printed, want) {
			t.Errorf("%q is not printed with its joint:\n%s", want, printed)
		}
	}
}
