package assembly

import (
	"math"

	"pilewright/plan/measure"
	"pilewright/plan/solid"
)

// spread gives how far the groups of every move of every stage are drawn apart:
// so far that nothing taken apart later on its own side meets anything of the
// other side, and that every joint stands open.
func (p *planner) spread(stages []draft) [][]measure.Length {
	// The room each body takes while its own sub-assembly is drawn apart.
	path := make([][]solid.Box, len(p.bodies))
	whole := p.bounds[0]
	for i, b := range p.bounds {
		path[i] = []solid.Box{b}
		whole = whole.Hull(b)
	}
	size := whole.Size()
	gap := max(size[0], size[1], size[2]) / 16
	out := make([][]measure.Length, len(stages))
	for n, d := range stages {
		out[n] = make([]measure.Length, len(d.moves))
		for m, move := range d.moves {
			k, positive := move.dir.Axis(), move.dir.Positive()
			travel := gap
			for _, i := range move.moving {
				jointed := newSet(len(p.bodies))
				for _, t := range p.touching[i] {
					if t.jointed {
						jointed.add(t.body)
					}
				}
				for _, a := range path[i] {
					for _, j := range move.into {
						for _, b := range path[j] {
							need := b.Max[k] - a.Min[k] + gap
							if positive {
								need = a.Max[k] - b.Min[k] + gap
							}
							if need > travel && (passes(a, b, k) || jointed.has(j)) {
								travel = need
							}
						}
					}
				}
			}
			out[n][m] = travel
			back := move.dir.Opposite().Times(travel)
			for _, i := range move.moving {
				for b := range path[i] {
					path[i][b] = path[i][b].Translate(back)
				}
				path[i] = append(path[i], p.bounds[i].Hull(p.bounds[i].Translate(back)))
			}
		}
	}
	return out
}

// passes reports whether the boxes would meet when moved along axis k.
func passes(a, b solid.Box, k int) bool {
	u, v := (k+1)%3, (k+2)%3
	return a.Min[u] < b.Max[u] && b.Min[u] < a.Max[u] && a.Min[v] < b.Max[v] && b.Min[v] < a.Max[v]
}

// OpenAt gives the place of the earliest stage that Exploded shows open at t, and
// false where it shows the piece whole.
func (s Sequence) OpenAt(t float64) (stage int, open bool) {
	if !(t > 0) || len(s.DryFit) == 0 {
		return 0, false
	}
	whole := len(s.DryFit) - int(math.Ceil(min(t, 1)*float64(len(s.DryFit)))) // moves still done
	for n, st := range s.Stages {
		if whole < len(st.Moves) {
			return n, true
		}
		whole -= len(st.Moves)
	}
	return 0, false
}

// Exploded gives how far each body is drawn from its finished place. At t = 0
// the piece is whole, at t = 1 every joint stands open; between, the moves of the
// sequence are undone one after the other, the last one first, each for an equal
// share of t. Every state shown can be reached at the bench, and no two bodies
// ever overlap in it. Bodies at their place are left out. t outside 0..1, or not
// a number, counts as the nearer end. Offsets within a move are rounded to the
// nearest nanometre and are for drawing only.
func Exploded(s Sequence, t float64) map[string]solid.Point {
	if !(t > 0) {
		return map[string]solid.Point{}
	}
	undone := min(t, 1) * float64(len(s.DryFit))
	out := map[string]solid.Point{}
	for n := len(s.DryFit) - 1; n >= 0 && undone > 0; n-- {
		m := s.DryFit[n]
		way := m.Travel
		if undone < 1 {
			way = measure.Length(math.Round(float64(m.Travel) * undone))
		}
		undone--
		step := m.Dir.Opposite().Times(way)
		for _, id := range m.Moving {
			out[id] = out[id].Add(step)
		}
	}
	return out
}
