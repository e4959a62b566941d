package plan

import (
	"fmt"
	"strconv"
	"strings"
	"time"

	"pilewright/plan/glue"
	"pilewright/plan/measure"
	"pilewright/plan/trade"
	"pilewright/plan/wood"
)

// caulWidth is the width of the cauls a glue-up is reckoned with: common
// practice, no source.
const caulWidth = 2 * measure.Inch

// Clamping is how a glue-up is clamped, and how long it stands.
type Clamping struct {
	glue.Plan
	Open time.Duration // what the glue allows from first spreading to pressure
	Say  []string      // advice, in order
	How  []string      // number, places and pressure of clamps, cauls, glue and times, in sentences
}

// clamp plans the clamping of a glue-up with the shop's clamps.
func (m *making) clamp(g *GlueUp) {
	use := m.glueData()
	shop := &m.plan.Project.Shop
	panel := glue.Panel{Length: g.Length, Height: g.Thickness, Caul: caulWidth}
	for _, r := range g.Panel.Rows {
		wide := r.Width
		if g.Way == Laminated {
			wide, panel.Height = r.Thickness, r.Width
		}
		panel.Rows = append(panel.Rows, wide)
	}
	if len(g.Beds) > 1 {
		panel.Beds = g.Beds
	}
	var clamps []glue.Clamp
	for _, c := range shop.Clamps {
		clamps = append(clamps, glue.Clamp{Kind: c.Kind, Opening: c.Opening, Count: c.Count, Force: c.ForceLbf})
	}
	species := wood.Reckon(m.speciesOf(g)).Species
	g.Clamping = Clamping{Open: use.Open + use.Closed, Plan: glue.Make(panel, glue.Conditions{Glue: use.Glue, TempC: shop.TempC, HardnessN: species.HardnessN, Stressed: g.Way == Laminated}, clamps)}
	m.clampAdvice(g, use)
	g.Clamping.How = m.clampWords(g)
}

// clampWords says how the glue-up is clamped, glued and timed.
func (m *making) clampWords(g *GlueUp) []string {
	c, shop := &g.Clamping, &m.plan.Project.Shop
	var out []string
	say := func(format string, a ...any) { out = append(out, fmt.Sprintf(format, a...)) }
	say("%d clamps, at most %s apart; they open to at least %s.", c.Needed, m.say(c.Spacing), m.say(g.clampedAcross()))
	var under, over, kinds []string
	count := map[string]int{}
	for _, s := range c.Clamps {
		if count[s.Kind]++; count[s.Kind] == 1 {
			kinds = append(kinds, s.Kind)
		}
		if s.Over {
			over = append(over, m.say(s.At))
		} else {
			under = append(under, m.say(s.At))
		}
	}
	for i, k := range kinds {
		kinds[i] = fmt.Sprintf("%d %s", count[k], k)
	}
	if len(kinds) > 0 {
		say("Of the shop's clamps take: %s.", strings.Join(kinds, ", "))
		say("From the left end, under the work at %s.", strings.Join(under, ", "))
	}
	if len(over) > 0 {
		say("From the left end, over the work at %s.", strings.Join(over, ", "))
	}
	low, high := m.pressure(c.Pressure)
	say("Pressure for this wood: %s to %s, about %s a clamp.", low, high, m.force(c.Force))
	if g.Way == Laminated {
		say("Two cauls over the whole face, %s long, waxed or papered, spread the pressure.", m.say(g.Length))
	} else {
		say("Two cauls %s wide and %s long, waxed or papered, lie between the clamps and the outer rows.", m.say(caulWidth), m.say(g.Length))
	}
	say("About %.0f ml of glue.", c.GlueML)
	for _, x := range c.Groups {
		say("Rows %d to %d: %d clamps; the lay-up takes about %.0f min, the glue stays open %.0f min.", x.From, x.To, x.Needed, x.LayUp.Minutes(), c.Open.Minutes())
	}
	say("At %.0f °C: %s in the clamps, %s before planing or load.", shop.TempC, HoursText(c.InClamps), HoursText(c.Cure))
	return out
}

// clampedAcross is what a clamp has to open to for the glue-up and its cauls.
func (g GlueUp) clampedAcross() measure.Length {
	if g.Way == Laminated {
		return g.Thickness + 2*caulWidth
	}
	return g.Width + 2*caulWidth
}

// speciesOf is the wood of the glue-up's first strip.
func (m *making) speciesOf(g *GlueUp) string {
	for _, cb := range m.plan.Cuts.Boards {
		for _, p := range cb.Pieces {
			if id, _ := KeyPart(p.Blank); id == g.Part {
				b, _ := m.plan.Project.Board(cb.Board)
				return b.Species
			}
		}
	}
	return ""
}

func (m *making) clampAdvice(g *GlueUp, use glueUse) {
	c := &g.Clamping
	temp := m.plan.Project.Shop.TempC
	tell := func(code string, sev Severity, text, do, source string) {
		for i := range m.glue { // copies of a part are told of together
			if f := &m.glue[i]; f.Code == code && f.Text == text && f.Subject.Part == g.Part {
				f.Subject.Marks = append(f.Subject.Marks, g.Copy)
				return
			}
		}
		m.glue = append(m.glue, Finding{Code: code, Severity: sev, Subject: Subject{Room: "glue-ups", Part: g.Part, Marks: []string{g.Copy}}, Text: text, Do: do, Source: source})
	}
	c.Say = append(c.Say, fmt.Sprintf("Wax or paper on the cauls; firm pressure, about %s a clamp. Scrape the squeeze-out when it has skinned over.", m.force(c.Force)))
	if len(c.Groups) > 1 && len(g.Beds) < 2 {
		why := "so that the glue stays open"
		if c.Staged {
			why = "because the shop has too few clamps for all at once"
		}
		c.Say = append(c.Say, fmt.Sprintf("In %d goes, %s: %s.", len(c.Groups), why, goes(c.Groups)))
	}
	for _, s := range c.Short {
		switch s {
		case glue.NoneWide:
			tell("clamp.none", Warn, fmt.Sprintf("No clamp of the shop opens as wide as the %s and its cauls (%s).", g.Name, m.say(g.Width+2*caulWidth)), "Borrow longer clamps, hook two together, or drive wedges between stops screwed to a board.", "clamps of the shop")
		case glue.TooFew:
			do := "Glue the rows in halves first, then the halves together, or borrow clamps."
			if c.CaulWidth > 0 {
				do = fmt.Sprintf("Cauls %s wide spread the pressure far enough for the clamps there are; or borrow some.", m.say(c.CaulWidth))
			}
			tell("clamp.few", Warn, fmt.Sprintf("The %s wants %d clamps and %d open wide enough.", g.Name, c.Needed, len(c.Clamps)), do, "45° spread of pressure, at most 12 in apart: common practice and trade pages")
		case glue.GlueTooQuick:
			tell("glue.quick", Warn, fmt.Sprintf("Even two rows of the %s are not laid up in the %d min the glue stays open.", g.Name, int(c.Open.Minutes())), "Take a slower glue, or find a second pair of hands.", use.Source)
		case glue.TooCold:
			tell("glue.cold", Stop, fmt.Sprintf("At %.0f °C the glue (%s) forms no film; it needs %.0f °C. The joint would be weak.", temp, use.name, use.MinC), "Warm the shop, the wood and the glue; leave air under the panel and turn it. Or take a glue that stands the cold.", use.Source)
		}
	}
	if c.FirmPsi > 0 && c.FirmPsi < handSlack*c.Pressure.LowPsi {
		low, high := m.pressure(c.Pressure)
		do := fmt.Sprintf("Joint the faces until they close under a light hand, and set every clamp that opens wide enough: together they reach %s.", m.psi(c.AllPsi))
		if c.AllPsi <= c.FirmPsi {
			do = "Joint the faces until they close under a light hand, and borrow more or stronger clamps."
		}
		tell("clamp.light", Note, fmt.Sprintf("A firm hand on the %d clamps presses the %s with %s; this wood wants %s to %s for the thinnest glue line.", len(c.Clamps), g.Name, m.psi(c.FirmPsi), low, high), do, "pressure: a glue maker's guide; force of a clamp: the shop's clamps")
	}
	if !use.TooCold(temp) && use.TooCold(temp-warmMargin) {
		tell("glue.cool", Note, fmt.Sprintf("At %.0f °C the glue cures slowly: %s in the clamps.", temp, HoursText(c.InClamps)), "Bring the wood into a warm room the day before.", use.Source)
	}
	if moist := m.plan.Project.Shop.WoodMoisture; moist > dampWood {
		tell("glue.damp", Warn, fmt.Sprintf("The wood is at %.0f %% moisture; glue wants 6 to 10 %%.", moist), "Stack it with stickers in a heated room for one to two weeks.", "trade pages: 7 to 14 days to settle")
	}
}

// handSlack is the share of the least pressure below which clamps are told to be
// weak: no hand is known to a tenth. Common practice, no source.
const handSlack = 0.9

// psi writes a pressure as the shop measures.
func (m *making) psi(v float64) string {
	if m.plan.Project.Shop.Inches {
		return amount(v, 0, "psi")
	}
	return amount(v*wood.NewtonPerLbf/(25.4*25.4), 2, "MPa") // N/mm²
}

// pressure writes the ends of a range, the unit behind the second.
func (m *making) pressure(p trade.Pressure) (low, high string) {
	low, _, _ = strings.Cut(m.psi(p.LowPsi), " ")
	return low, m.psi(p.HighPsi)
}

// force writes a force as the shop measures.
func (m *making) force(lbf float64) string {
	if m.plan.Project.Shop.Inches {
		return amount(lbf, 0, "lbf")
	}
	return amount(lbf*wood.NewtonPerLbf/1000, 1, "kN")
}

func amount(v float64, places int, unit string) string {
	return strconv.FormatFloat(v, 'f', places, 64) + " " + unit
}

// goes lists glue-ups of one panel in their order.
func goes(groups []glue.Group) string {
	var list []string
	for _, g := range groups {
		list = append(list, fmt.Sprintf("rows %d to %d (%d clamps)", g.From, g.To, g.Needed))
	}
	return strings.Join(list, ", then ")
}

// dampWood is the moisture, in percent, above which glue-ups are warned of:
// common practice, no source.
const dampWood = 12

// HoursText writes a waiting time.
func HoursText(d time.Duration) string {
	if d < time.Hour {
		return fmt.Sprintf("%d min", int(d.Minutes()))
	}
	if d >= 48*time.Hour {
		return fmt.Sprintf("%.3g days", d.Hours()/24)
	}
	return fmt.Sprintf("%.3g h", d.Hours())
}
