package layout_test

import (
	"slices"
	"strings"
	"testing"

	"pilewright/plan"
	"pilewright/plan/measure"
)

// A panel that wants more clamps than open wide enough is glued in groups, which
// are joined once they are out of the clamps; each is a step of its own.
func TestFewLongClampsGlueInSteps(t *testing.T) {
	p := withPlaner(demoProject(t), func(m *plan.Machine) { m.MaxWidth = 0 })
	widest := measure.Length(0)
	for _, g := range made(t, p).GlueUps {
		if g.Way != plan.Laminated {
			widest = max(widest, g.Width)
		}
	}
	if widest == 0 {
		t.Fatal("the demo has no panel")
	}
	staged := made(t, p.With(func(q *plan.Project) {
		q.Shop.Clamps = []plan.Clamp{{Kind: "bar", Opening: 2 * widest, Count: 5}, {Kind: "F", Opening: widest * 9 / 10, Count: 30}}
	}))
	goes := 0
	for _, g := range staged.GlueUps {
		if len(g.Clamping.Groups) < 2 || len(g.Beds) > 1 {
			continue
		}
		var before []string
		for _, s := range staged.Work.Steps {
			if !strings.HasPrefix(s.Key, "glue/"+g.Key) {
				continue
			}
			goes++
			if s.Key != "glue/"+g.Key {
				before = append(before, s.Key)
				if s.Wait != g.Clamping.InClamps {
					t.Errorf("%s waits %v, %v is the time in the clamps", s.Key, s.Wait, g.Clamping.InClamps)
				}
				continue
			}
			for _, key := range before {
				if !slices.Contains(s.Needs, key) {
					t.Errorf("%s does not need %s", s.Key, key)
				}
			}
		}
		if len(before) != len(g.Clamping.Groups)-1 {
			t.Errorf("%s: %d steps before the last, %d groups", g.Key, len(before), len(g.Clamping.Groups))
		}
	}
	if goes == 0 {
		t.Error("no panel is glued in groups")
	}
}
