package plan_test

import (
	"context"
	"fmt"
	"testing"

	"pilewright/plan"
)

// Every choice a starting point offers gives a piece that fits and goes together.
func TestStartingPointsWithAndWithoutTheirOptions(t *testing.T) {
	for _, id := range []string{"table", "bench", "stool"} {
		for choice := range 8 {
			name := fmt.Sprintf("%s %03b", id, choice)
			t.Run(name, func(t *testing.T) {
				p := demoProject(t).NewPiece(readStart(t, id), name)
				for i, m := range p.Measures {
					for bit, option := range []string{"with_apron", "with_shelf", "with_slats"} {
						if m.Name == option {
							p.Measures[i].Text = fmt.Sprintf("%d pcs", choice>>bit&1)
						}
					}
				}
				made, err := plan.Make(context.Background(), p, toyTools, nil)
				if err != nil {
					t.Fatal(err)
				}
				for _, f := range made.Findings {
					if f.Severity == plan.Stop && f.Subject.Room == "piece" && f.Code != "way.none" {
						t.Errorf("%s: %s (%v)", f.Code, f.Text, f.Subject.Marks)
					}
				}
			})
		}
	}
}
