package layout_test

import (
	"context"
	"io/fs"
	"path"
	"strings"
	"testing"
	"time"

	"pilewright/assets"
	"pilewright/layout"
	"pilewright/plan"
)

// Every starting point is planned from the demo's pile, in inches and in
// millimetres, and no plan fails its check on the way.
func TestEveryStartingPointIsPlannedAndChecked(t *testing.T) {
	files, err := fs.Glob(assets.Starts, "starts/*.json")
	if err != nil || len(files) < 5 {
		t.Fatalf("starting points: %v, %v", files, err)
	}
	for _, f := range files {
		for _, inches := range []bool{true, false} {
			body, err := assets.Starts.ReadFile(f)
			if err != nil {
				t.Fatal(err)
			}
			s, err := plan.ReadStart(body)
			if err != nil {
				t.Fatal(err)
			}
			p := demoProject(t).NewPiece(s, s.Name)
			p.Shop.Inches = inches
			ctx, cancel := context.WithTimeout(context.Background(), 700*time.Millisecond)
			made, err := plan.Make(ctx, p, layout.Tools(day), nil)
			cancel()
			if err != nil {
				t.Errorf("%s, inches %v: %v", s.Name, inches, err)
				continue
			}
			if len(made.Cuts.Boards) == 0 || len(made.Work.Steps) == 0 {
				t.Errorf("%s, inches %v: %d boards, %d steps", s.Name, inches, len(made.Cuts.Boards), len(made.Work.Steps))
			}
		}
	}
}

// A plan whose time was over before it began comes late but comes: the wood is
// short for some of these pieces, and nobody may wait for a proof of that.
func TestAPlanWithoutTimeStillEnds(t *testing.T) {
	files, err := fs.Glob(assets.Starts, "starts/*.json")
	if err != nil {
		t.Fatal(err)
	}
	for _, f := range files {
		s, err := plan.OpenStart(assets.Starts, strings.TrimSuffix(path.Base(f), ".json"))
		if err != nil {
			t.Fatal(err)
		}
		p := demoProject(t).NewPiece(s, s.Name)
		tools := layout.Tools(day)
		tools.Cut = func(_ context.Context, job plan.CutJob, better func(plan.Cuts)) (plan.Cuts, error) {
			late, cancel := context.WithDeadline(context.Background(), time.Unix(0, 0))
			defer cancel()
			return layout.Cut(late, job, better)
		}
		done := make(chan error, 1)
		go func() {
			_, err := plan.Make(context.Background(), p, tools, nil)
			done <- err
		}()
		select {
		case err := <-done:
			if err != nil {
				t.Errorf("%s: %v", s.Name, err)
			}
		case <-time.After(30 * time.Second):
			t.Fatalf("%s: no plan after 30 s", s.Name)
		}
	}
}
