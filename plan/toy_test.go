package plan_test

import (
	"context"
	"fmt"
	"time"

	"pilewright/plan"
	"pilewright/plan/plantest"
)

// toyCompose lays the strips as they come.
func toyCompose(_ context.Context, job plan.PanelJob) (plan.Panel, error) {
	p := plan.Panel{Length: job.Length}
	for i, s := range job.Strips {
		row := plan.PanelRow{Width: s.Width - 2*job.Joining, Thickness: s.Thickness,
			Pieces: []plan.PanelPiece{{Mark: fmt.Sprintf("%da", i+1), Strip: s.ID, Length: s.Length}}}
		if job.OnEdge {
			row.Width, row.Thickness = s.Thickness-2*job.Joining, s.Width
		}
		p.Width += row.Width
		p.Rows = append(p.Rows, row)
	}
	return p, nil
}

var toyTools = plan.Tools{Cut: plantest.Cut, Check: plantest.Check, Compose: toyCompose, Today: time.Date(2026, 3, 2, 12, 0, 0, 0, time.UTC)}
