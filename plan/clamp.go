package plan

import (
	"fmt"
	"math"
	"time"

	"pilewright/plan/measure"
	"pilewright/plan/trade"
	"pilewright/plan/wood"
)

// Rules of thumb of a lay-up (common practice, no source).
const (
	clampEnd      = 45 * measure.Millimetre // first clamp from the end; trade pages say 1-1/2 to 2 in
	caulWidth     = 2 * measure.Inch
	spreadSeconds = 40 // to spread a metre of joint
	clampSeconds  = 25 // to place and tighten a clamp
)

// clamp plans the clamping of a glue-up with the shop's clamps.
func (m *making) clamp(g *GlueUp) {
	glue := m.glueData()
	temp := m.plan.Project.Shop.TempC
	narrow := g.Width
	for _, r := range g.Panel.Rows {
		narrow = min(narrow, r.Width)
	}
	inch := func(l measure.Length) float64 { return float64(l) / float64(measure.Inch) }
	spacing := trade.SpacingIn(inch(narrow), inch(caulWidth))
	c := Clamping{Spacing: measure.Length(spacing*64) * measure.SixtyFourth, Open: glue.Open + glue.Closed, Clamp: glue.Clamp, Cure: glue.Cure}
	if g.Way == Laminated {
		c.Clamp = glue.Stressed
	}
	span := max(g.Length-2*clampEnd, 0)
	c.Count = int(math.Ceil(float64(span)/float64(c.Spacing))) + 1
	across, high := g.Width, g.Thickness
	if g.Way == Laminated {
		across, high = g.Thickness, g.Width
	}
	for _, k := range m.plan.Project.Shop.Clamps {
		if k.Kind != "spring" && k.Opening >= across {
			c.Have += k.Count
		}
	}
	lines := max(len(g.Panel.Rows)-1, 1)
	spread := float64(lines) * metres(g.Length) * spreadSeconds
	c.LayUp = time.Duration(spread+float64(c.Count)*clampSeconds) * time.Second
	c.Stages = 1
	if c.Have > 0 && c.Count > c.Have {
		c.Stages = (c.Count + c.Have - 1) / c.Have
	}
	if c.LayUp > c.Open {
		c.Stages = max(c.Stages, int(math.Ceil(float64(c.LayUp)/float64(c.Open))))
	}
	c.Stages = min(c.Stages, lines)
	species := wood.Reckon(m.speciesOf(g)).Species
	psi := trade.PressureFor(species.HardnessN)
	c.ForceLbf = trade.ClampForceLbf(inch(g.Length), inch(high), (psi.LowPsi+psi.HighPsi)/2) / float64(c.Count)
	c.GlueML = trade.GlueMillilitres(g.GlueArea.Float()/1e6) * 1.25
	m.clampAdvice(g, &c, glue, temp)
	g.Clamping = c
}

// speciesOf is the wood of the glue-up's first strip.
func (m *making) speciesOf(g *GlueUp) string {
	if part, ok := m.plan.Part(g.Part); ok && part.Species != "" {
		return part.Species
	}
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

func (m *making) clampAdvice(g *GlueUp, c *Clamping, glue glueUse, temp float64) {
	sub := Subject{Room: "glue-ups", Part: g.Part, Marks: []string{g.Copy}}
	warn := func(code string, sev Severity, text, do, source string) {
		m.glue = append(m.glue, Finding{Code: code, Severity: sev, Subject: sub, Text: text, Do: do, Source: source})
	}
	c.Say = append(c.Say, fmt.Sprintf("Wax or paper on the cauls; about %.0f lbf a clamp. Wipe the squeeze-out when it has skinned over.", c.ForceLbf))
	if c.Have == 0 {
		warn("clamp.none", Warn, fmt.Sprintf("No clamp of the shop opens as wide as the %s (%s).", g.Name, m.say(g.Width)), "Borrow longer clamps, join two end to end, or use wedges between stops screwed to a board.", "clamps of the shop")
	} else if c.Stages > 1 {
		text := fmt.Sprintf("The %s wants %d clamps at once and %d open wide enough", g.Name, c.Count, c.Have)
		if c.Count <= c.Have {
			text = fmt.Sprintf("Laying up the %s takes about %d min; the glue stays open %d min", g.Name, int(c.LayUp.Minutes()+0.5), int(c.Open.Minutes()))
		}
		warn("clamp.stages", Note, fmt.Sprintf("%s: glue it in %d goes.", text, c.Stages), "Glue the rows in halves first, then the halves together.", "clamp spacing: trade pages; open time: glue data")
		c.Say = append(c.Say, fmt.Sprintf("In %d goes, each with its own cure.", c.Stages))
	}
	if glue.TooCold(temp) {
		warn("glue.cold", Stop, fmt.Sprintf("At %.0f °C the %s forms no film (least %.0f °C): the joint would be weak.", temp, glue.name, glue.MinC), "Warm the shop, the wood and the glue, leave air under the panel and turn it; or take a glue that stands the cold.", glue.Source)
	} else if glue.TooCold(temp - warmMargin) {
		warn("glue.cool", Note, fmt.Sprintf("At %.0f °C the glue cures slowly: %s in the clamps.", temp, hoursText(c.Clamp)), "Bring the wood into a warm room the day before.", glue.Source)
	}
	if moist := m.plan.Project.Shop.WoodMoisture; moist > 12 {
		warn("glue.damp", Warn, fmt.Sprintf("The wood is at %.0f %% moisture; glue wants 6 to 10 %%.", moist), "Stack it with stickers in a heated room for one to two weeks.", "trade pages (TRADE data): 7 to 14 days to settle")
	}
}

// hoursText writes a waiting time.
func hoursText(d time.Duration) string {
	if d < time.Hour {
		return fmt.Sprintf("%d min", int(d.Minutes()))
	}
	return fmt.Sprintf("%.3g h", d.Hours())
}
