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
	divided := m.divided()
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
			tell(sp, "part.thin", Warn, fmt.Sprintf("The %s (%s thick) is thinner than the %s takes (%s).", sp.Name, m.say(sp.T), planer.Name, m.say(planer.MinThickness)),
				"Carry it through on a flat board stuck down with double-sided tape, or plane it by hand.")
		}
		o, ok := m.wayOf(sp.ID)
		if !ok || len(o.Blanks) == 0 {
			continue
		}
		if o.Way == Solid && planer.MaxWidth > 0 && sp.W > planer.MaxWidth {
			tell(sp, "part.bed", Warn, fmt.Sprintf("The %s is one board %s wide; the %s takes %s.", sp.Name, m.say(sp.W), planer.Name, m.say(planer.MaxWidth)),
				"Rip it, plane the halves and glue them again, or flatten it by hand or with a router on rails.")
		}
		i := slices.IndexFunc(o.Blanks, func(b Blank) bool { return b.Length < planer.MinLength && !divided[b.Key] })
		if i >= 0 && (o.Way == Solid || o.Way == OnEdge || o.Way == Laminated) {
			tell(sp, "blank.short", Warn, fmt.Sprintf("The blanks of the %s are %s long; the %s takes nothing shorter than %s.", sp.Name, m.say(o.Blanks[i].Length), planer.Name, m.say(planer.MinLength)),
				"Plane them by hand, or plane a longer board and cut them from it.")
		}
	}
}

// divided reports the blanks whose every piece leaves the planer as part of a
// longer length.
func (m *making) divided() map[string]bool {
	out := map[string]bool{}
	for _, cb := range m.plan.Cuts.Boards {
		for _, p := range cb.Pieces {
			in := slices.ContainsFunc(cb.Divide, func(d Divide) bool { return slices.Contains(d.Marks, p.Mark) })
			if was, seen := out[p.Blank]; seen {
				in = in && was
			}
			out[p.Blank] = in
		}
	}
	return out
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
