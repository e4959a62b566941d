package joinery

import (
	"pilewright/plan/measure"
	"pilewright/plan/solid"
)

// Mark tells where a cut lies on a member, as the maker measures it: on which
// face, from which end to the near and far line, and from which edge. The end and
// the edge are the nearer ones, so that mirrored members are marked alike.
type Mark struct {
	Member   string
	OnB      bool            // on the entering member; else on the receiving one
	Stays    bool            // what is marked stays and the rest is cut away: a tenon
	Face     solid.Direction // the face worked from
	End      solid.Direction // the end measured from
	FromEnd  measure.Length  // to the near line
	Length   measure.Length  // from line to line along the grain
	Edge     solid.Direction // the face or edge the gauge runs on
	FromEdge measure.Length
	Width    measure.Length
	Depth    measure.Length
	Through  bool // right through: mark it on the opposite face too
}

// mark gives the marking-out of a cut in a member, worked from one of its faces.
func mark(m Member, cut solid.Box, face solid.Direction, through bool) Mark {
	cut = cut.Intersect(m.Box)
	k := face.Axis()
	along := m.Along
	if along == k {
		along = m.Wide() // the cut is in the member's end
	}
	across := 3 - k - along
	out := Mark{Member: m.Name, Face: face, Through: through, Depth: cut.Max[k] - cut.Min[k],
		Length: cut.Max[along] - cut.Min[along], Width: cut.Max[across] - cut.Min[across]}
	out.End, out.FromEnd = nearer(m.Box, cut, along)
	out.Edge, out.FromEdge = nearer(m.Box, cut, across)
	return out
}

// tenonMark gives the marking-out of a tenon on the end of B, its blank already long
// enough: from the edge and the face of B to the tenon, and its length.
func (j *joint) tenonMark(tenon solid.Box) Mark {
	blank := j.b
	blank.Box = blank.Box.Hull(tenon)
	out := mark(blank, tenon, j.r.Into, false)
	out.OnB, out.Stays = true, true
	return out
}

// nearer gives the side of the member the cut lies nearer to, and how far; the side
// of the lesser coordinate when both are as near.
func nearer(m, cut solid.Box, axis int) (solid.Direction, measure.Length) {
	low, high := cut.Min[axis]-m.Min[axis], m.Max[axis]-cut.Max[axis]
	if high < low {
		return solid.Along(axis, true), high
	}
	return solid.Along(axis, false), low
}
