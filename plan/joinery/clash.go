package joinery

import (
	"pilewright/plan/measure"
	"pilewright/plan/solid"
)

// Hollow is one cut in a member, with the tenon that fills it where there is one.
type Hollow struct {
	Joint string
	Cut   solid.Rounded
	Tenon solid.Rounded // not Valid where no tenon goes in
	Into  solid.Direction
	Bored bool // a hole for a dowel or screw
}

// HollowsA gives the cuts the joint makes in A.
func (r Result) HollowsA(joint string) []Hollow {
	out := make([]Hollow, 0, len(r.CutA))
	for i, c := range r.CutA {
		h := r.hollow(joint, c, r.Into)
		if i < len(r.Tenons) {
			h.Tenon = r.Tenons[i]
		}
		if i < len(r.Mortises) {
			h.Cut = r.Mortises[i]
		}
		out = append(out, h)
	}
	return out
}

// HollowsB gives the cuts the joint makes in B.
func (r Result) HollowsB(joint string) []Hollow {
	out := make([]Hollow, 0, len(r.CutB))
	for _, c := range r.CutB {
		out = append(out, r.hollow(joint, c, r.Into.Opposite()))
	}
	return out
}

// hollow is a square cut, or a round one where the joint is bored.
func (r Result) hollow(joint string, cut solid.Box, into solid.Direction) Hollow {
	h := Hollow{Joint: joint, Cut: solid.Rounded{Box: cut, Axis: into.Axis()}, Into: into, Bored: len(r.Holes) > 0}
	if h.Bored {
		u, v := others(h.Cut.Axis)
		h.Cut.Bit = min(cut.Max[u]-cut.Min[u], cut.Max[v]-cut.Min[v])
	}
	return h
}

// leastBetween is the wood that should stay between two cuts of a member: common
// practice, no source.
const leastBetween = 3 * measure.Millimetre

// Clashes compares every two cuts of one member that belong to different joints:
// tenons that would stand in the same place, mortises that break into each other,
// and walls left too thin between them. Round ends and bored holes count as what
// they are. Findings name the joints as "first" and
// "second" and come in the order of the list. step is the gap to leave between
// shortened tenons, and what shifts are rounded up to; zero is 1/16 in.
func Clashes(hollows []Hollow, step measure.Length) []Finding {
	if step <= 0 {
		step = measure.Inch / 16
	}
	var out []Finding
	for i := range hollows {
		h := &hollows[i]
		for k := i + 1; k < len(hollows); k++ {
			g := &hollows[k]
			if h.Joint == g.Joint {
				continue
			}
			f, ok := clash(h, g, step)
			if ok {
				out = append(out, f.word("first", h.Joint).word("second", g.Joint))
			}
		}
	}
	return out
}

func clash(h, g *Hollow, step measure.Length) (Finding, bool) {
	way := "same"
	switch {
	case h.Into.Axis() != g.Into.Axis():
		way = "corner"
	case h.Into == g.Into.Opposite():
		way = "opposite"
	}
	if h.Tenon.Valid() && g.Tenon.Valid() && h.Tenon.Overlaps(g.Tenon) {
		f := found(TenonsMeet, Stop, lengths{"first": shorter(h, g) + step, "second": shorter(g, h) + step})
		return f.word("way", way), true
	}
	shared := h.Cut.Intersect(g.Cut.Box)
	meet := h.Cut.Overlaps(g.Cut)
	if meet && h.Bored && g.Bored && way == "corner" {
		k := 3 - h.Into.Axis() - g.Into.Axis() // moving one along this axis lets them pass
		shift := (shared.Max[k] - shared.Min[k] + leastBetween + step - 1) / step * step
		return found(HolesMeet, Warn, lengths{"shift": shift}).word("way", way), true
	}
	if meet {
		severity := Warn
		if h.Tenon.Valid() && g.Tenon.Valid() && way == "corner" {
			severity = Note // the usual case in a leg: the mortises meet, the tenons do not
		}
		k := shallowest(shared)
		return found(MortisesMeet, severity, lengths{"over": shared.Max[k] - shared.Min[k]}).word("way", way), true
	}
	var wall measure.Length
	apart := 0
	for k := range 3 {
		if gap := shared.Min[k] - shared.Max[k]; gap >= 0 {
			apart++
			wall = gap
		}
	}
	if apart == 0 { // only the corners of the boxes meet, where the cuts are round
		apart, wall = 1, h.Cut.Clear(g.Cut, leastBetween)
	}
	if apart == 1 && wall < leastBetween {
		return found(MortisesClose, Warn, lengths{"wall": wall, "least": leastBetween}).word("way", way), true
	}
	return Finding{}, false
}

// shorter is how far h's tenon reaches into g's along its own way.
func shorter(h, g *Hollow) measure.Length {
	k := h.Into.Axis()
	if h.Into.Positive() {
		return h.Tenon.Max[k] - g.Tenon.Min[k]
	}
	return g.Tenon.Max[k] - h.Tenon.Min[k]
}
