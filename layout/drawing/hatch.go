package drawing

import (
	"math"
	"slices"
)

// hatchLimit is the most lines of a hatching; more is no picture, and this also
// refuses what is not finite.
const hatchLimit = 50_000

// hatch draws the parallel lines of a hatching, each clipped to the polygon by
// the even-odd rule. The lines are fixed to the paper, not to the polygon, so
// neighbouring areas of one kind join up.
func (r *renderer) hatch(pts []Point, angle, spacing float64, role Role) {
	sin, cos := math.Sincos(-angle * math.Pi / 180) // y points down
	lo, hi := math.Inf(1), math.Inf(-1)
	for _, p := range pts {
		v := p.Y*cos - p.X*sin
		lo, hi = math.Min(lo, v), math.Max(hi, v)
	}
	if !(hi-lo < hatchLimit*spacing) {
		return
	}
	for k := math.Floor(lo/spacing) + 1; k*spacing < hi; k++ {
		v := k * spacing
		r.cut = r.cut[:0]
		for i, a := range pts {
			b := pts[(i+1)%len(pts)]
			va, vb := a.Y*cos-a.X*sin, b.Y*cos-b.X*sin
			if (va <= v) == (vb <= v) {
				continue
			}
			t := (v - va) / (vb - va)
			ua, ub := a.X*cos+a.Y*sin, b.X*cos+b.Y*sin
			r.cut = append(r.cut, ua+t*(ub-ua))
		}
		slices.Sort(r.cut)
		for i := 0; i+1 < len(r.cut); i += 2 {
			u0, u1 := r.cut[i], r.cut[i+1]
			if u1-u0 < 0.05 {
				continue
			}
			r.pts = append(r.pts[:0], Point{u0*cos - v*sin, u0*sin + v*cos}, Point{u1*cos - v*sin, u1*sin + v*cos})
			r.c.Path(r.pts, false, Stroke, role)
		}
	}
}
