package assembly

import (
	"slices"

	"pilewright/plan/solid"
)

// Misfit is a joint, or just two bodies, that no longer go together.
type Misfit struct {
	Mate    string            // the joint; empty where bodies clash that have none
	Place   string            // the copy whose place is wrongly taken
	Other   string            // the copy at the other side
	Faults  []solid.FaultKind // what is wrong with the joint itself
	Overlap solid.Volume      // of the two bodies
}

// Swap is what happens when two copies are exchanged.
type Swap struct {
	Misfits []Misfit
	// Missing is wood the places should have and the exchanged copies have not, such
	// as a mortise left open; Extra is wood they have too much. In the piece's space.
	Missing, Extra []solid.Box
}

// Harmless reports whether nobody would notice: everything fits and no cut shows.
func (s Swap) Harmless() bool { return len(s.Misfits)+len(s.Missing)+len(s.Extra) == 0 }

// SwapEffect exchanges copies i and j, each held the way that spoils least (fewest
// joints, then least wood missing or too much), and tells which joints no longer
// fit. Interchangeable copies have a Harmless effect. Only the two copies and
// what they meet are looked at.
func SwapEffect(copies []Copy, mates []solid.Mate, i, j int) Swap {
	s := swapper{copies: copies, mates: mates, i: i, j: j}
	for _, c := range copies {
		s.bodies = append(s.bodies, c.Body())
	}
	var best Swap
	var spoilt solid.Volume
	found := false
	consider := func(atI, atJ solid.Solid) {
		e, v := s.effect(atI, atJ)
		if !found || len(e.Misfits) < len(best.Misfits) || len(e.Misfits) == len(best.Misfits) && v.Cmp(spoilt) < 0 {
			best, spoilt, found = e, v, true
		}
	}
	intoI, intoJ := s.ways(i, j), s.ways(j, i)
	for _, atI := range intoI {
		for _, atJ := range intoJ {
			consider(atI, atJ)
		}
	}
	return best
}

type swapper struct {
	copies []Copy
	mates  []solid.Mate
	bodies []solid.Body
	i, j   int
}

// ways gives the wood of copy other at the place of copy at, in every different
// way it can be held there, its bounds beginning at the same corner.
func (s swapper) ways(at, other int) []solid.Solid {
	place := s.copies[at]
	var out []solid.Solid
	for _, t := range turns(s.copies[other].AnyGrain, false) {
		wood := held(s.copies[other].Local, t).Translate(place.Local.Bounds().Min)
		wood = wood.Turn(place.Turn).Translate(place.At)
		if !slices.ContainsFunc(out, wood.Equal) {
			out = append(out, wood)
		}
	}
	return out
}

// effect tells what is wrong with the two bodies where they are, and how much
// wood is out of place.
func (s swapper) effect(atI, atJ solid.Solid) (Swap, solid.Volume) {
	bodies := slices.Clone(s.bodies)
	bodies[s.i].Solid, bodies[s.j].Solid = atI, atJ
	var out Swap
	var spoilt solid.Volume
	for _, n := range []int{s.i, s.j} {
		missing, extra := s.bodies[n].Solid.Minus(bodies[n].Solid), bodies[n].Solid.Minus(s.bodies[n].Solid)
		out.Missing, out.Extra = append(out.Missing, missing.Boxes()...), append(out.Extra, extra.Boxes()...)
		spoilt = spoilt.Add(missing.Volume()).Add(extra.Volume())
		jointed := map[string]bool{}
		for _, m := range s.mates {
			other := m.B
			if m.B == s.bodies[n].ID {
				other = m.A
			} else if m.A != s.bodies[n].ID {
				continue
			}
			if n == s.j && other == s.bodies[s.i].ID {
				continue // told from the other place
			}
			jointed[other] = true
			k := slices.IndexFunc(bodies, func(b solid.Body) bool { return b.ID == other })
			if k < 0 {
				continue
			}
			now := misfit(bodies[n], bodies[k], m)
			was := misfit(s.bodies[n], s.bodies[k], m)
			if now.worse(was) {
				now.Mate, now.Place, now.Other = m.ID, bodies[n].ID, other
				out.Misfits = append(out.Misfits, now)
			}
		}
		for k := range bodies {
			if k == n || jointed[bodies[k].ID] || n == s.j && k == s.i || !bodies[n].Solid.Bounds().Meets(bodies[k].Solid.Bounds()) {
				continue
			}
			now := solid.OverlapVolume(bodies[n].Solid, bodies[k].Solid)
			if now.Cmp(solid.OverlapVolume(s.bodies[n].Solid, s.bodies[k].Solid)) > 0 {
				out.Misfits = append(out.Misfits, Misfit{Place: bodies[n].ID, Other: bodies[k].ID, Overlap: now})
			}
		}
	}
	return out, spoilt
}

// misfit looks at one joint between two bodies.
func misfit(a, b solid.Body, m solid.Mate) Misfit {
	var out Misfit
	r := solid.Fit([]solid.Body{a, b}, []solid.Mate{m})
	for _, f := range r.Faults {
		out.Faults = append(out.Faults, f.Kind)
	}
	for _, o := range r.Overlaps {
		out.Overlap = o.Volume
	}
	return out
}

// worse reports whether more is wrong than was before anything was exchanged.
func (m Misfit) worse(was Misfit) bool {
	return len(m.Faults) > len(was.Faults) || m.Overlap.Cmp(was.Overlap) > 0
}
