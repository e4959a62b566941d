package plan

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"pilewright/plan/measure"
)

// gang is how many of n copies are glued as one length and parted when it has
// been planed, because one alone is shorter than the planer takes; full is that
// length as glued, a squaring allowance and a kerf for each copy included. Where
// even all copies come short, the rest is waste.
func gang(shop *Shop, n int, long measure.Length) (copies int, full measure.Length) {
	full = long + shop.LengthAllowance
	planer, ok := shop.Machine("planer")
	if !ok || full >= planer.MinLength || n < 1 || full <= 0 {
		return 1, full
	}
	kerf := shop.Kerf("crosscut")
	copies = min(n, int(ceilLen(planer.MinLength+kerf, full+kerf)))
	ups := (n + copies - 1) / copies
	copies = (n + ups - 1) / ups // as even as can be
	return copies, max((full+kerf)*measure.Length(copies)-kerf, planer.MinLength)
}

// ganged is how many glue-ups n copies take, so many at a time.
func ganged(n, copies int) int { return (n + max(copies, 1) - 1) / max(copies, 1) }

// planable is the thickness a planer may be set to for a finished one; what is
// thinner is planed to it and thinned by other means.
func planable(shop *Shop, t measure.Length) measure.Length {
	if planer, ok := shop.Machine("planer"); ok {
		return max(t, planer.MinThickness)
	}
	return t
}

// shortAtPlaner says what becomes of blanks shorter than the planer takes.
func (s *stepper) shortAtPlaner(planer Machine) string {
	text := fmt.Sprintf("The %s takes nothing shorter than %s.", planer.Name, s.m.say(planer.MinLength))
	if slices.ContainsFunc(s.m.plan.Cuts.Boards, func(cb CutBoard) bool { return len(cb.Divide) > 0 }) {
		text += " Short blanks go through in one length, as the cut pages have them, and are parted afterwards."
	}
	if s.m.looseShort(planer) {
		text += " Plane those that are parted already by hand."
	}
	return text
}

// looseShort reports whether a blank that is cut already is shorter than the
// planer takes.
func (m *making) looseShort(planer Machine) bool {
	return slices.ContainsFunc(m.plan.Project.Ready, func(r ReadyBlank) bool {
		b, ok := m.plan.Blank(r.Cut.Blank)
		return ok && !b.Sheet && r.Cut.Length < planer.MinLength && m.readyFor(r, b)
	})
}

// divide parts the lengths that were kept whole for the planer.
func (s *stepper) divide() {
	m := s.m
	st := Step{Key: "divide", Phase: PhaseMill, Title: "Part the lengths planed as one", Machine: "mitre-saw", Setup: "crosscut blade, to the marks", Rate: "crosscut",
		Detail: []string{"Square a line at every mark; mark each piece before the next cut."}, Cautions: []string{"mitre-short"}}
	var subs []string
	for _, cb := range m.plan.Cuts.Boards {
		b, _ := m.plan.Project.Board(cb.Board)
		for _, d := range cb.Divide {
			var parts []string
			for _, p := range cb.Pieces {
				if !slices.Contains(d.Marks, p.Mark) {
					continue
				}
				parts = append(parts, fmt.Sprintf("%s %s", p.Mark, m.say(p.Length)))
				if sub := "blank " + p.Blank; !slices.Contains(subs, sub) {
					subs = append(subs, sub)
				}
			}
			st.Marks = append(st.Marks, d.Marks...)
			st.Detail = append(st.Detail, fmt.Sprintf("Board %s: the length of %s into %s.", clip(b.Mark), m.say(d.Length), strings.Join(parts, ", ")))
			st.Quantity += float64(len(d.Marks))
		}
	}
	if len(subs) > 0 {
		s.add(st, subs...)
	}
}

// partPanels parts the glue-ups that make several copies of a part, or one that
// is shorter than it was planed.
func (s *stepper) partPanels(part ID) {
	m := s.m
	sp, _ := m.plan.Part(part)
	long := m.plan.Frame.LongestOf(sp) + m.plan.Project.Shop.LengthAllowance
	var marks []string
	st := Step{Key: fmt.Sprintf("part/%d", part), Phase: PhaseMill, Title: "Part the planed " + sp.Name, Rate: "crosscut"}
	m.endCut(&st, m.setting(long), long, sp.W)
	for _, g := range m.plan.GlueUps {
		if g.Part == part && g.Length > long {
			marks = append(marks, g.Copies...)
			st.Detail = append(st.Detail, fmt.Sprintf("The length of %s into %s, %s each.", m.say(g.Length), strings.Join(g.Copies, ", "), m.say(long)))
		}
	}
	if len(marks) > 0 {
		st.Marks, st.Quantity = marks, float64(len(marks))
		s.add(st, marks...)
	}
}

// thin takes parts from the thinnest a planer may be set to down to their own.
func (s *stepper) thin() {
	m := s.m
	planer, ok := m.plan.Project.Shop.Machine("planer")
	if !ok {
		return
	}
	for _, sp := range slices.SortedStableFunc(slices.Values(m.plan.Parts), func(a, b SizedPart) int { return cmp.Compare(a.ID, b.ID) }) {
		way, made := m.wayOf(sp.ID)
		if !made || sp.N == 0 || sp.T >= planer.MinThickness || len(way.Blanks) == 0 || way.Blanks[0].Sheet {
			continue
		}
		st := Step{Key: fmt.Sprintf("thin/%d", sp.ID), Phase: PhaseMill, Title: fmt.Sprintf("Thin the %s to %s", sp.Name, m.setting(sp.T)), Machine: "bench", Setup: "hand planes", Rate: "flatten",
			Quantity: metres(sp.L) * metres(sp.W) * float64(sp.N), Cautions: []string{"planer-thin"},
			Detail: []string{fmt.Sprintf("The %s is set no lower than %s. Take the rest off by hand on a flat board, or resaw; no part of it goes through the %s alone.", planer.Name, m.say(planer.MinThickness), planer.Name)}}
		var subs []string
		for i := sp.First; i < sp.First+sp.N; i++ {
			st.Marks = append(st.Marks, m.plan.Copies[i].Mark)
		}
		subs = st.Marks
		if way.Way == Solid {
			subs = []string{"blank " + blankKey(sp.ID, "solid")}
		}
		s.add(st, subs...)
	}
}
