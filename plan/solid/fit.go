package solid

import "pilewright/plan/measure"

// Body is one placed copy of a part, named by ID, in the piece's space.
type Body struct {
	ID    string
	Solid Solid
}

// Mate is one tenon in one mortise (or a tongue in a groove, a board in a
// housing): the hole cut in A, the wood of B that enters it, and how much air is
// meant to be left.
type Mate struct {
	ID      string
	A, B    string
	Mortise Rounded        // in the piece's space, from its mouth to its end
	Tenon   Rounded        // in the piece's space, from its shoulder to its tip
	Dir     Direction      // the way the tenon goes in
	Side    measure.Length // greatest gap at each side of the tenon
	End     measure.Length // greatest gap before its tip
}

// FaultKind says what is wrong with a mate or a body.
type FaultKind string

// The faults Fit finds. Gap and Side of the Fault belong to those that say so.
const (
	UnknownBody   FaultKind = "unknown-body"    // A or B names no body, or both the same
	RepeatedBody  FaultKind = "repeated-body"   // two bodies with one name
	NoDirection   FaultKind = "no-direction"    // Dir is None
	MortiseFilled FaultKind = "mortise-not-cut" // A has wood where the mortise should be
	TenonMissing  FaultKind = "tenon-missing"   // B has no wood where the tenon should be
	TenonTooBig   FaultKind = "tenon-too-big"   // it reaches Gap beyond the mortise at Side
	TenonLoose    FaultKind = "tenon-loose"     // Gap at Side is more than Allowed
	ShoulderOpen  FaultKind = "shoulder-open"   // root and mouth are Gap apart along the way in
	RoundCorner   FaultKind = "round-corner"    // a corner of the tenon meets the mortise's round end
)

// Fault is one thing wrong with a mate or a body.
type Fault struct {
	Kind    FaultKind
	Mate    string
	Body    string
	Side    Direction
	Gap     measure.Length
	Allowed measure.Length
}

// Overlap is two bodies in the same place.
type Overlap struct {
	A, B   string
	Volume Volume
	Box    Box // around all the shared volume
}

// Touching is two bodies in contact.
type Touching struct {
	A, B string
	Area Area
}

// Report is what Fit found. Contacts are facts, everything else is wrong.
type Report struct {
	Overlaps []Overlap
	Faults   []Fault
	Islands  [][]string // the groups that do not hang together; nil when all do
	Contacts []Touching
}

// OK reports whether the bodies go together.
func (r Report) OK() bool { return len(r.Overlaps)+len(r.Faults)+len(r.Islands) == 0 }

// Fit proves that the bodies of a piece go together, or says what is wrong: no
// two share volume, every tenon fills its mortise up to the stated gaps and
// clears its round ends, and nothing floats. Bodies hang together where their
// surfaces touch or where a mate without fault holds one in the other. All
// lists follow the order of bodies and mates given.
func Fit(bodies []Body, mates []Mate) Report {
	var r Report
	index := make(map[string]int, len(bodies))
	bounds := make([]Box, len(bodies))
	for i, b := range bodies {
		if _, ok := index[b.ID]; ok {
			r.Faults = append(r.Faults, Fault{Kind: RepeatedBody, Body: b.ID})
		} else {
			index[b.ID] = i
		}
		bounds[i] = b.Solid.Bounds()
	}
	var links [][2]int
	for _, p := range Pairs(bounds) {
		a, b := bodies[p[0]], bodies[p[1]]
		if v := OverlapVolume(a.Solid, b.Solid); !v.IsZero() {
			r.Overlaps = append(r.Overlaps, Overlap{a.ID, b.ID, v, a.Solid.Intersect(b.Solid).Bounds()})
			links = append(links, p)
			continue
		}
		if area := ContactArea(a.Solid, b.Solid); !area.IsZero() {
			r.Contacts = append(r.Contacts, Touching{a.ID, b.ID, area})
			links = append(links, p)
		}
	}
	for _, m := range mates {
		a, okA := index[m.A]
		b, okB := index[m.B]
		if !okA || !okB || a == b {
			body := m.A
			if okA {
				body = m.B
			}
			r.Faults = append(r.Faults, Fault{Kind: UnknownBody, Mate: m.ID, Body: body})
			continue
		}
		faults := m.check(bodies[a].Solid, bodies[b].Solid)
		r.Faults = append(r.Faults, faults...)
		if len(faults) == 0 {
			links = append(links, [2]int{a, b})
		}
	}
	if groups := Islands(len(bodies), links); len(groups) > 1 {
		for _, g := range groups {
			names := make([]string, len(g))
			for i, n := range g {
				names[i] = bodies[n].ID
			}
			r.Islands = append(r.Islands, names)
		}
	}
	return r
}

// check gives the faults of the mate between the bodies a and b.
func (m Mate) check(a, b Solid) []Fault {
	var out []Fault
	fault := func(f Fault) {
		f.Mate = m.ID
		out = append(out, f)
	}
	if m.Dir == None {
		fault(Fault{Kind: NoDirection})
		return out
	}
	if a.Blocks(m.Mortise.Box) {
		fault(Fault{Kind: MortiseFilled, Body: m.A})
	}
	if !m.Tenon.Valid() || !b.Contains(New(m.Tenon.Box)) {
		fault(Fault{Kind: TenonMissing, Body: m.B})
	}
	for _, side := range []Direction{MinusX, PlusX, MinusY, PlusY, MinusZ, PlusZ} {
		gap := room(m.Mortise.Box, m.Tenon.Box, side)
		switch {
		case side == m.Dir.Opposite():
			if gap != 0 {
				fault(Fault{Kind: ShoulderOpen, Side: side, Gap: max(gap, -gap)})
			}
		case side == m.Dir:
			// A through tenon may stand proud: the wood beyond the end decides.
			if gap < 0 && a.Blocks(m.Tenon.Box) {
				fault(Fault{Kind: TenonTooBig, Side: side, Gap: -gap})
			} else if gap > m.End {
				fault(Fault{Kind: TenonLoose, Side: side, Gap: gap, Allowed: m.End})
			}
		case gap < 0:
			fault(Fault{Kind: TenonTooBig, Side: side, Gap: -gap})
		case gap > m.Side:
			fault(Fault{Kind: TenonLoose, Side: side, Gap: gap, Allowed: m.Side})
		}
	}
	if len(m.Mortise.Bites(m.Tenon)) > 0 {
		fault(Fault{Kind: RoundCorner, Body: m.B})
	}
	return out
}

// room is the gap between an inner box and the outer box around it on one side;
// negative where the inner one reaches beyond.
func room(outer, inner Box, side Direction) measure.Length {
	k := side.Axis()
	if side.Positive() {
		return outer.Max[k] - inner.Max[k]
	}
	return inner.Min[k] - outer.Min[k]
}
