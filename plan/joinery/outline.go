package joinery

import (
	"cmp"
	"slices"

	"pilewright/plan/solid"
)

// flatPoint is a place on the floor in mm.
type flatPoint struct{ x, y float64 }

func cornersOf(b solid.Box) []flatPoint {
	x0, x1 := millimetres(b.Min[0]), millimetres(b.Max[0])
	y0, y1 := millimetres(b.Min[1]), millimetres(b.Max[1])
	return []flatPoint{{x0, y0}, {x1, y0}, {x1, y1}, {x0, y1}}
}

// hull gives the convex outline of points, anticlockwise, without points on its
// sides; fewer than three where they lie in a line. Andrew's monotone chain, 1979.
func hull(points []flatPoint) []flatPoint {
	points = slices.Clone(points)
	slices.SortFunc(points, func(a, b flatPoint) int { return cmp.Or(cmp.Compare(a.x, b.x), cmp.Compare(a.y, b.y)) })
	points = slices.Compact(points)
	if len(points) < 3 {
		return points
	}
	left := func(a, b, c flatPoint) bool { return (b.x-a.x)*(c.y-a.y)-(b.y-a.y)*(c.x-a.x) > 1e-9 }
	var out []flatPoint
	chain := func(points []flatPoint) {
		start := len(out)
		for _, p := range points {
			for len(out) >= start+2 && !left(out[len(out)-2], out[len(out)-1], p) {
				out = out[:len(out)-1]
			}
			out = append(out, p)
		}
		out = out[:len(out)-1] // it begins the other chain
	}
	chain(points)
	slices.Reverse(points)
	chain(points)
	return out
}
