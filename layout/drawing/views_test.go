package drawing_test

import (
	"fmt"
	"testing"

	"pilewright/layout/drawing"
	"pilewright/plan/measure"
	"pilewright/plan/solid"
)

func block(x0, y0, z0, x1, y1, z1 float64) solid.Box {
	n := func(v float64) measure.Length { return measure.Length(v * 1e6) }
	return solid.Box{Min: solid.Point{n(x0), n(y0), n(z0)}, Max: solid.Point{n(x1), n(y1), n(z1)}}
}

// bench is a slatted bench: four legs with open mortises made of boxes, rails
// with tenons, a stretcher, and five slats.
func bench() []drawing.Solid3 {
	var out []drawing.Solid3
	leg := func(i int, x, y float64) {
		// the leg with a slot 12 x 60 x 25 from each inner side left out is drawn
		// as the boxes around one mortise; the other end is plain
		in := x + 45 - 25
		if x > 500 {
			in = x
		}
		out = append(out, drawing.Solid3{Ref: fmt.Sprintf("A%d", i), Mark: fmt.Sprintf("A%d", i), Boxes: []solid.Box{
			block(x, y, 0, x+45, y+45, 330), block(x, y, 390, x+45, y+45, 420),
			block(x, y, 330, x+45, y+16, 390), block(x, y+28, 330, x+45, y+45, 390),
			func() solid.Box {
				if in == x {
					return block(x+25, y+16, 330, x+45, y+28, 390)
				}
				return block(x, y+16, 330, in, y+28, 390)
			}(),
		}})
	}
	leg(1, 60, 20)
	leg(2, 1095, 20)
	leg(3, 60, 285)
	leg(4, 1095, 285)
	for i, y := range []float64{20, 285} {
		out = append(out, drawing.Solid3{Ref: fmt.Sprintf("B%d", i+1), Mark: fmt.Sprintf("B%d", i+1), Boxes: []solid.Box{
			block(105, y+11, 320, 1095, y+33, 400), block(80, y+16, 330, 105, y+28, 390), block(1095, y+16, 330, 1120, y+28, 390)}})
	}
	for i, x := range []float64{71, 1106} {
		out = append(out, drawing.Solid3{Ref: fmt.Sprintf("C%d", i+1), Mark: fmt.Sprintf("C%d", i+1), Boxes: []solid.Box{block(x, 65, 330, x+22, 285, 400)}})
	}
	for i := range 5 {
		y := float64(i) * 70.5
		out = append(out, drawing.Solid3{Ref: fmt.Sprintf("D%d", i+1), Mark: fmt.Sprintf("D%d", i+1), Boxes: []solid.Box{block(0, y, 420, 1200, y+68, 442)}})
	}
	return out
}

func exploded(solids []drawing.Solid3) []drawing.Solid3 {
	for i := range solids {
		switch solids[i].Mark[0] {
		case 'D':
			solids[i].Offset = solid.Point{0, 0, 180 * mm}
		case 'A':
			solids[i].Offset = solid.Point{-120 * mm, 0, 0}
			if solids[i].Mark == "A2" || solids[i].Mark == "A4" {
				solids[i].Offset[0] = 120 * mm
			}
		}
	}
	return solids
}

func TestViewsThirdAngle(t *testing.T) {
	golden(t, "views_third_angle", drawing.Views(bench(), drawing.ViewsOptions{Unit: "sizes in mm"}))
}

func TestViewsFirstAngleWithHiddenLines(t *testing.T) {
	golden(t, "views_first_angle", drawing.Views(bench(), drawing.ViewsOptions{FirstAngle: true, Hidden: true, Unit: "sizes in mm"}))
}

func TestIsometricView(t *testing.T) {
	golden(t, "isometric", drawing.Isometric(bench(), drawing.IsometricOptions{Width: 150, Height: 110, Marks: true}))
}

func TestIsometricExploded(t *testing.T) {
	golden(t, "isometric_exploded", drawing.Isometric(exploded(bench()), drawing.IsometricOptions{Width: 170, Height: 130, Marks: true, Paths: true, From: drawing.FrontLeft}))
}

func TestNoBodiesGiveAnEmptyPicture(t *testing.T) {
	flat := []drawing.Solid3{{Ref: "x", Boxes: []solid.Box{{}}}}
	if p := drawing.Views(flat, drawing.ViewsOptions{}); len(p.Marks) != 0 {
		t.Errorf("views of nothing: %d marks", len(p.Marks))
	}
	if p := drawing.Isometric(nil, drawing.IsometricOptions{}); len(p.Marks) != 0 {
		t.Errorf("isometric view of nothing: %d marks", len(p.Marks))
	}
}

// The whole sizes are given once each and the chain adds up to the whole.
func TestViewDimensionsAreGivenOnceAndAddUp(t *testing.T) {
	p := drawing.Views(bench(), drawing.ViewsOptions{})
	count := map[string]int{}
	var chain, whole float64
	for _, m := range p.Marks {
		if m.Kind != drawing.Dimension {
			continue
		}
		count[m.Text]++
		if m.Up {
			if m.Text == "442" {
				whole = m.At
			} else {
				chain += m.Pts[1].Y - m.Pts[0].Y
			}
		}
	}
	for _, text := range []string{"1200", "442", "350"} {
		if count[text] != 1 {
			t.Errorf("size %s is given %d times", text, count[text])
		}
	}
	box, _ := p.Extent("A1")
	if whole >= box.X0 || chain == 0 {
		t.Errorf("whole height at x=%.1f, chain %.1f mm", whole, chain)
	}
}

func TestIsometricFacesCarryTheirBody(t *testing.T) {
	p := drawing.Isometric(bench(), drawing.IsometricOptions{})
	seen := map[string]bool{}
	b := p.Bounds()
	for y := b.Y0; y < b.Y1; y += 0.5 {
		for x := b.X0; x < b.X1; x += 0.5 {
			seen[p.Hit(x, y, 0)] = true
		}
	}
	for _, ref := range []string{"A1", "A2", "B1", "D1", "D5"} {
		if !seen[ref] {
			t.Errorf("%s is nowhere to be hit", ref)
		}
	}
}

func BenchmarkIsometricWithMarks(b *testing.B) {
	solids := bench()
	for range b.N {
		drawing.Isometric(solids, drawing.IsometricOptions{Width: 190, Height: 150, Marks: true})
	}
}

func TestIsometricMarksSmallBodiesBeside(t *testing.T) {
	p := drawing.Isometric(bench(), drawing.IsometricOptions{Width: 75, Height: 60, Marks: true})
	golden(t, "isometric_small", p)
	marks := map[string]int{}
	for _, m := range p.Marks {
		if m.Kind == drawing.Letters {
			marks[m.Text]++
		}
	}
	for _, want := range []string{"A1", "A2", "A3", "A4", "B1", "C2", "D1", "D5"} {
		if marks[want] != 1 {
			t.Errorf("%s is written %d times", want, marks[want])
		}
	}
}
