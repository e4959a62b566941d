package layout_test

import (
	"context"
	"io/fs"
	"strings"
	"testing"

	"pilewright/assets"
	"pilewright/plan"
	"pilewright/plan/measure"
)

// Every starting point is planned to the end with the real solvers from a pile that
// has wood enough, and nothing stands in its way.
func TestEveryStartingPointIsPlannedFromAPileThatHasTheWood(t *testing.T) {
	files, err := fs.Glob(assets.Starts, "starts/*.json")
	if err != nil || len(files) < 5 {
		t.Fatalf("starting points: %v, %v", files, err)
	}
	for _, file := range files {
		id := strings.TrimSuffix(strings.TrimPrefix(file, "starts/"), ".json")
		t.Run(id, func(t *testing.T) {
			body, err := assets.Starts.ReadFile(file)
			if err != nil {
				t.Fatal(err)
			}
			s, err := plan.ReadStart(body)
			if err != nil {
				t.Fatal(err)
			}
			p := &plan.Project{Shop: plan.DefaultShop(), NextID: 1}
			const in = measure.Inch
			for _, b := range []plan.Board{{Length: 60 * in, Width: 5 * in, Thickness: in}, {Length: 72 * in, Width: 7 * in / 2, Thickness: 7 * in / 4}, {Length: 48 * in, Width: 4 * in, Thickness: 5 * in / 8}} {
				b.Species = "spruce"
				if p, err = p.AddBoards(b, 14); err != nil {
					t.Fatal(err)
				}
			}
			made := planOf(t, p.NewPiece(s, id))
			for _, f := range made.Findings {
				switch {
				case f.Severity == plan.Stop:
					t.Errorf("%s: %s", f.Code, f.Text)
				case f.Severity == plan.Warn:
					t.Logf("%s: %s | %s", f.Code, f.Text, f.Do)
				}
			}
			if len(made.Cuts.Short) > 0 || len(made.Frame.Build.Sequence.Stages) == 0 || made.Work.Timeline.Ready.IsZero() {
				t.Errorf("short %v, %d stages, ready %v", made.Cuts.Short, len(made.Frame.Build.Sequence.Stages), made.Work.Timeline.Ready)
			}
			// Every part that can be left out is: the rest still fits and is assembled.
			for i, m := range s.Measures {
				if !strings.HasPrefix(m.Name, "with_") {
					continue
				}
				q := p.NewPiece(s, id)
				q.Measures[i].Text = map[bool]string{true: "0 pcs", false: "1 pcs"}[strings.HasPrefix(m.Text, "1")]
				for _, f := range planOf(t, q).Findings {
					if f.Severity == plan.Stop && f.Subject.Room != "cuts" {
						t.Errorf("%s %s: %s: %s", m.Name, q.Measures[i].Text, f.Code, f.Text)
					}
				}
			}
		})
	}
}

func planOf(t *testing.T, p *plan.Project) *plan.Plan {
	t.Helper()
	made, err := plan.Make(context.Background(), p, quickTools(), nil)
	if err != nil {
		t.Fatal(err)
	}
	return made
}
