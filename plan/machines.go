package plan

import (
	"fmt"
	"slices"

	"pilewright/plan/measure"
)

// machineFindings tells which parts come near or beyond what the shop's machines
// take, and how it is done then. Limits are the shop's own; zero is none.
func (m *making) machineFindings() {
	shop := &m.plan.Project.Shop
	mitre, hasMitre := shop.Machine("mitre-saw")
	planer, hasPlaner := shop.Machine("planer")
	table, hasTable := shop.Machine("table-saw")
	tell := func(sp SizedPart, code string, sev Severity, text, do string) {
		m.work = append(m.work, Finding{Code: code, Severity: sev, Subject: Subject{Room: "bench", Part: sp.ID}, Text: text, Do: do, Source: "limits of the shop's machines; the machine's manual comes first"})
	}
	for _, sp := range m.plan.Parts {
		if sp.N == 0 {
			continue
		}
		long := m.plan.Frame.LongestOf(sp)
		if hasMitre && long < mitre.MinLength {
			tell(sp, "part.short", Warn, fmt.Sprintf("The %s (%s long) is shorter than the %s holds safely (%s).", sp.Name, m.say(long), mitre.Name, m.say(mitre.MinLength)),
				"Cut it last from a longer piece, clamped or in a jig; never hold it by hand.")
		}
		if hasMitre && mitre.MaxWidth > 0 && sp.W > mitre.MaxWidth {
			tell(sp, "part.reach", Note, fmt.Sprintf("The %s (%s wide) is wider than the %s reaches (%s).", sp.Name, m.say(sp.W), mitre.Name, m.say(mitre.MaxWidth)), "Square its ends with a sled at the table saw or a guided saw.")
		}
		if hasTable && table.MaxWidth > 0 && sp.W > table.MaxWidth {
			tell(sp, "part.fence", Note, fmt.Sprintf("The %s (%s wide) is wider than the fence of the %s opens (%s).", sp.Name, m.say(sp.W), table.Name, m.say(table.MaxWidth)), "Cut it to width with a guided saw.")
		}
		if !hasPlaner {
			continue
		}
		if sp.T < planer.MinThickness {
			tell(sp, "part.thin", Note, fmt.Sprintf("The %s (%s thick) is thinner than the %s takes: it is planed to %s and thinned by hand or resawn.", sp.Name, m.say(sp.T), planer.Name, m.say(planer.MinThickness)),
				"Or carry it through on a flat board stuck down with double-sided tape, where the manual allows that.")
		}
		o, ok := m.wayOf(sp.ID)
		if !ok || len(o.Blanks) == 0 {
			continue
		}
		if o.Way == Solid && planer.MaxWidth > 0 && sp.W > planer.MaxWidth {
			tell(sp, "part.bed", Warn, fmt.Sprintf("The %s is one board %s wide; the %s takes %s.", sp.Name, m.say(sp.W), planer.Name, m.say(planer.MaxWidth)),
				"Rip it, plane the halves and glue them again, or flatten it by hand or with a router on rails.")
		}
		m.shortBlanks(sp, o, planer, tell)
	}
}

// shortBlanks tells what becomes of blanks and panels shorter than the planer takes.
func (m *making) shortBlanks(sp SizedPart, o WayOption, planer Machine, tell func(SizedPart, string, Severity, string, string)) {
	least := m.say(planer.MinLength)
	if one, full := m.plan.Frame.LongestOf(sp)+m.plan.Project.Shop.LengthAllowance, o.Blanks[0].Length; o.Way != Solid && one < planer.MinLength {
		_, full = gang(&m.plan.Project.Shop, sp.N, m.plan.Frame.LongestOf(sp))
		tell(sp, "panel.gang", Note, fmt.Sprintf("The %s, %s long as glued, would be too short for the %s (%s): %s glued in a length of %s, planed and then parted.", sp.Name, m.say(one), planer.Name, least, several(max(o.Gang, 1), "one is", "are"), m.say(full)),
			"Mark the copies before you part them.")
	}
	for _, b := range o.Blanks {
		if b.Sheet || b.Length >= planer.MinLength {
			continue
		}
		in, loose := m.divided(b.Key)
		if in > 0 {
			tell(sp, "blank.train", Note, fmt.Sprintf("The blanks of the %s are %s long; the %s takes nothing shorter than %s: %d of them leave the saw in longer lengths and are parted when they are planed.", sp.Name, m.say(b.Length), planer.Name, least, in),
				"Cut at the lines of the cut pages only; the others are cut after planing.")
		}
		if loose > 0 {
			tell(sp, "blank.short", Warn, fmt.Sprintf("%d blanks of the %s are %s long and parted already; the %s takes nothing shorter than %s.", loose, sp.Name, m.say(b.Length), planer.Name, least), "Plane them by hand.")
		}
		for _, short := range m.plan.Cuts.Short {
			if short.Blank == b.Key {
				tell(sp, "blank.room", Warn, fmt.Sprintf("%d blanks of the %s are missing: being %s long they leave the saw only in a length of %s or more, and no such length was found for them.", short.Count, sp.Name, m.say(b.Length), least),
					"Add a board with that much clear length, or plane them by hand and say at the shop what the planer really takes.")
			}
		}
	}
}

// several writes a number of things with the words for one and for more.
func several(n int, one, more string) string {
	if n == 1 {
		return one
	}
	return fmt.Sprintf("%d %s", n, more)
}

// divided counts the pieces of a blank that leave the planer as part of a longer
// length, and those that do not.
func (m *making) divided(key string) (in, loose int) {
	for _, c := range m.cutPieces()[key] {
		joined := slices.ContainsFunc(m.plan.Cuts.Boards, func(cb CutBoard) bool {
			return cb.Board == c.board.ID && slices.ContainsFunc(cb.Divide, func(d Divide) bool { return slices.Contains(d.Marks, c.piece.Mark) })
		})
		if joined {
			in++
		} else {
			loose++
		}
	}
	return in, loose
}

// endCut words the crosscuts of a setting: at the mitre saw, or beyond its reach
// with a sled at the table saw.
func (m *making) endCut(st *Step, size string, long, cross measure.Length) {
	st.Machine, st.Setup = "mitre-saw", "crosscut blade, stop "+size
	st.Detail, st.Cautions = []string{"Square one end first, then stop block at " + size + "."}, []string{"support-long"}
	saw, ok := m.plan.Project.Shop.Machine("mitre-saw")
	if !ok || saw.MaxWidth > 0 && cross > saw.MaxWidth {
		st.Machine, st.Setup = "table-saw", "crosscut sled, stop "+size
		st.Detail, st.Cautions = []string{"Square the ends with a sled or a guided saw, to " + size + "."}, []string{"crosscut-support", "support-long"}
		if ok {
			st.Detail[0] = fmt.Sprintf("Wider than the %s reaches (%s): square the ends with a sled or a guided saw, to %s.", saw.Name, m.say(saw.MaxWidth), size)
		}
		return
	}
	if long < saw.MinLength {
		st.Cautions = append(st.Cautions, "mitre-short")
		st.Detail = append(st.Detail, fmt.Sprintf("Shorter than the %s holds safely (%s): cut from a longer piece and clamp it.", saw.Name, m.say(saw.MinLength)))
	}
}
