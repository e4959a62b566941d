package piece

import (
	"math"
	"testing"

	"pilewright/layout/drawing"
)

func length(edges [][2]drawing.Point) (sum float64) {
	for _, e := range edges {
		sum += math.Hypot(e[1].X-e[0].X, e[1].Y-e[0].Y)
	}
	return sum
}

func rect(x0, y0, x1, y1 float64) []drawing.Point {
	return []drawing.Point{{X: x0, Y: y0}, {X: x1, Y: y0}, {X: x1, Y: y1}, {X: x0, Y: y1}}
}

func TestSilhouetteIsTheOutsideOfTheFacesTogether(t *testing.T) {
	turned := rect(4, 0, 10, 6)
	turned[1], turned[3] = turned[3], turned[1] // the other way round
	for _, c := range []struct {
		name  string
		faces [][]drawing.Point
		want  float64 // by hand: the way round the outside
	}{
		{"one face keeps its four sides", [][]drawing.Point{rect(0, 0, 10, 6)}, 32},
		{"a face in two halves loses the line between them", [][]drawing.Point{rect(0, 0, 4, 6), rect(4, 0, 10, 6)}, 32},
		{"whichever way the halves are run round", [][]drawing.Point{rect(0, 0, 4, 6), turned}, 32},
		{"edges that meet in part keep the rest", [][]drawing.Point{rect(0, 0, 4, 6), rect(4, 2, 10, 6)}, 4 + 6 + 10 + 4 + 6 + 2},
		{"a hole keeps its rim", [][]drawing.Point{rect(0, 0, 10, 2), rect(0, 2, 2, 4), rect(8, 2, 10, 4), rect(0, 4, 10, 6)}, 32 + 16},
	} {
		t.Run(c.name, func(t *testing.T) {
			if got := length(silhouette(c.faces)); math.Abs(got-c.want) > 0.05 {
				t.Errorf("outline of %v is %.3f mm long, want %.3f", c.faces, got, c.want)
			}
		})
	}
}
