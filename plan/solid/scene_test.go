package solid

import (
	"math/rand/v2"

	"pilewright/plan/measure"
)

const mm = measure.Millimetre

// box is a block given in millimetres.
func box(x0, y0, z0, x1, y1, z1 int) Box {
	return Box{
		Point{measure.Length(x0) * mm, measure.Length(y0) * mm, measure.Length(z0) * mm},
		Point{measure.Length(x1) * mm, measure.Length(y1) * mm, measure.Length(z1) * mm},
	}
}

// side of the grid the random bodies live in.
const cells = 7

// grid is the independent picture of a body: one truth value per unit cube.
type grid [cells][cells][cells]bool

func (g *grid) set(b Box, value bool) {
	for x := b.Min[0]; x < b.Max[0]; x++ {
		for y := b.Min[1]; y < b.Max[1]; y++ {
			for z := b.Min[2]; z < b.Max[2]; z++ {
				g[x][y][z] = value
			}
		}
	}
}

func (g *grid) count() uint64 {
	var n uint64
	for x := range cells {
		for y := range cells {
			for z := range cells {
				if g[x][y][z] {
					n++
				}
			}
		}
	}
	return n
}

func (g *grid) at(x, y, z int) bool {
	return x >= 0 && y >= 0 && z >= 0 && x < cells && y < cells && z < cells && g[x][y][z]
}

func randomBox(r *rand.Rand) Box {
	var b Box
	for k := range 3 {
		p, q := measure.Length(r.IntN(cells)), measure.Length(r.IntN(cells))
		b.Min[k], b.Max[k] = min(p, q), max(p, q)+1
	}
	return b
}

// randomSolid makes a body by random cuts and additions, with its picture.
func randomSolid(r *rand.Rand) (Solid, grid) {
	var s Solid
	var g grid
	for range 1 + r.IntN(7) {
		b := randomBox(r)
		if r.IntN(3) == 0 {
			s = s.Cut(b)
			g.set(b, false)
		} else {
			s = s.Add(b)
			g.set(b, true)
		}
	}
	return s, g
}
