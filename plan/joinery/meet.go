package joinery

import (
	"pilewright/plan/measure"
	"pilewright/plan/solid"
)

// Contact says how two boxes lie to each other.
type Contact int

// The ways boxes lie to each other.
const (
	Apart   Contact = iota // a gap between them
	ByEdge                 // they touch in an edge or a corner only
	ByFace                 // they touch in a face
	Through                // they share volume
)

// Meeting is how B lies to A.
type Meeting struct {
	Contact Contact
	Axis    int             // of the gap or of the face's normal
	Gap     measure.Length  // the widest gap when Apart
	Into    solid.Direction // from B into A, when ByFace or Apart
	Patch   solid.Box       // the common face (flat on Axis) or the shared volume
}

// Meet tells how two boxes lie to each other.
func Meet(a, b solid.Box) Meeting {
	patch := a.Intersect(b)
	m := Meeting{Contact: Through, Patch: patch}
	flat := 0
	for k := range 3 {
		gap := patch.Min[k] - patch.Max[k]
		if gap < 0 {
			continue
		}
		into := solid.Along(k, b.Min[k] < a.Min[k])
		if gap > 0 {
			if m.Contact != Apart || gap > m.Gap {
				m.Contact, m.Axis, m.Gap, m.Into = Apart, k, gap, into
			}
			continue
		}
		flat++
		if m.Contact != Apart {
			m.Contact, m.Axis, m.Into = ByFace, k, into
		}
	}
	if m.Contact == ByFace && flat > 1 {
		m.Contact = ByEdge
	}
	return m
}

// others gives the two axes besides k, in order.
func others(k int) (u, v int) {
	switch k {
	case 0:
		return 1, 2
	case 1:
		return 0, 2
	}
	return 0, 1
}

// grown gives the flat patch drawn out by depth in a direction.
func grown(patch solid.Box, d solid.Direction, depth measure.Length) solid.Box {
	k := d.Axis()
	if d.Positive() {
		patch.Max[k] = patch.Min[k] + depth
	} else {
		patch.Min[k] = patch.Max[k] - depth
	}
	return patch
}

// entry gives the way B goes into A when they overlap: along an axis on which B
// sticks out of A on one side only, its grain first, else the shallowest. ok is
// false where B sticks out on no single side.
func entry(a, b Member, shared solid.Box) (solid.Direction, bool) {
	best := solid.None
	var depth measure.Length
	for k := range 3 {
		below, above := b.Box.Min[k] < a.Box.Min[k], b.Box.Max[k] > a.Box.Max[k]
		if below == above {
			continue
		}
		size := shared.Max[k] - shared.Min[k]
		if k == b.Along {
			return solid.Along(k, below), true
		}
		if best == solid.None || size < depth {
			best, depth = solid.Along(k, below), size
		}
	}
	return best, best != solid.None
}
