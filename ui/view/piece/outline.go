package piece

import (
	"cmp"
	"maps"
	"math"
	"slices"

	"pilewright/layout/drawing"
)

// outlined is the picture with some things drawn round in a role.
func outlined(p *drawing.Picture, refs map[string]bool, role drawing.Role) *drawing.Picture {
	if len(refs) == 0 {
		return p
	}
	faces := map[string][][]drawing.Point{}
	for _, m := range p.Marks {
		if m.Kind == drawing.Polygon && refs[m.Ref] {
			faces[m.Ref] = append(faces[m.Ref], m.Pts)
		}
	}
	q := *p
	q.Marks = slices.Clone(p.Marks)
	for _, ref := range slices.Sorted(maps.Keys(faces)) {
		for _, e := range silhouette(faces[ref]) {
			q.Line(role, ref, e[0].X, e[0].Y, e[1].X, e[1].Y)
		}
	}
	return &q
}

// upon names a straight line of the drawing: its direction in thousandths and its
// distance from the origin in hundredths of a millimetre.
type upon struct{ dx, dy, off int }

// turn is a place on such a line where a face's edge begins or ends; by says on
// which side of the line the face lies.
type turn struct {
	at float64
	by int
}

// silhouette gives the edges of some faces that have a face on one side only. Two
// faces that share a stretch of edge, seen from either side of it, cancel there.
func silhouette(faces [][]drawing.Point) [][2]drawing.Point {
	lines := map[upon][]turn{}
	for _, f := range faces {
		around := 0.0
		for i, a := range f {
			b := f[(i+1)%len(f)]
			around += a.X*b.Y - b.X*a.Y
		}
		for i, a := range f {
			b := f[(i+1)%len(f)]
			long := math.Hypot(b.X-a.X, b.Y-a.Y)
			if long < 1e-9 {
				continue
			}
			side := 1
			if around < 0 {
				side = -1
			}
			ux, uy := (b.X-a.X)/long, (b.Y-a.Y)/long
			if ux < -1e-6 || math.Abs(ux) <= 1e-6 && uy < 0 {
				a, b, ux, uy, side = b, a, -ux, -uy, -side
			}
			k := upon{int(math.Round(ux * 1000)), int(math.Round(uy * 1000)), int(math.Round((ux*a.Y - uy*a.X) * 100))}
			lines[k] = append(lines[k], turn{ux*a.X + uy*a.Y, side}, turn{ux*b.X + uy*b.Y, -side})
		}
	}
	order := slices.SortedFunc(maps.Keys(lines), func(a, b upon) int {
		return cmp.Or(cmp.Compare(a.dx, b.dx), cmp.Compare(a.dy, b.dy), cmp.Compare(a.off, b.off))
	})
	var out [][2]drawing.Point
	for _, k := range order {
		turns := lines[k]
		slices.SortStableFunc(turns, func(a, b turn) int { return cmp.Compare(a.at, b.at) })
		ux, uy := float64(k.dx)/1000, float64(k.dy)/1000
		n := math.Hypot(ux, uy)
		ux, uy = ux/n, uy/n
		off := float64(k.off) / 100
		point := func(at float64) drawing.Point { return drawing.Point{X: ux*at - uy*off, Y: uy*at + ux*off} }
		sum := 0
		for i, t := range turns {
			if sum != 0 && t.at-turns[i-1].at > 1e-3 {
				out = append(out, [2]drawing.Point{point(turns[i-1].at), point(t.at)})
			}
			sum += t.by
		}
	}
	return out
}
