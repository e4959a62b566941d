package plan

import (
	"io/fs"
	"testing"

	"pilewright/assets"
	"pilewright/plan/solid"
)

func TestStartingPointsAreSizedAndFreeOfClashes(t *testing.T) {
	files, err := fs.Glob(assets.Starts, "starts/*.json")
	if err != nil || len(files) == 0 {
		t.Fatalf("no starting points: %v", err)
	}
	for _, f := range files {
		t.Run(f, func(t *testing.T) {
			body, err := fs.ReadFile(assets.Starts, f)
			if err != nil {
				t.Fatal(err)
			}
			s, err := ReadStart(body)
			if err != nil {
				t.Fatal(err)
			}
			p := (&Project{Shop: DefaultShop()}).NewPiece(s, s.Name)
			_, copies, z := size(p)
			for _, f := range z.findings {
				t.Errorf("%s: %s", f.Code, f.Text)
			}
			if len(copies) < 5 {
				t.Fatalf("only %d copies", len(copies))
			}
			boxes := make([]solid.Box, len(copies))
			for i, c := range copies {
				boxes[i] = c.Box
			}
			for _, pair := range solid.Pairs(boxes) {
				a, b := copies[pair[0]], copies[pair[1]]
				if a.Box.Overlaps(b.Box) {
					t.Errorf("%s and %s overlap: %v %v", a.Mark, b.Mark, a.Box, b.Box)
				}
			}
		})
	}
}
