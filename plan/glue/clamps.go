// Package glue plans the gluing of a panel: which clamps stand where, how hard
// they pull, how much glue, whether the lay-up is done before the glue skins
// over and, if not, into which smaller glue-ups it is split, and how long it
// stands. The rules of thumb are those of package trade; start at Make.
package glue

import (
	"math"
	"sort"
	"time"

	"pilewright/plan/measure"
	"pilewright/plan/trade"
)

// Clamp is a set of equal clamps of the shop.
type Clamp struct {
	Kind    string
	Opening measure.Length
	Count   int
	Force   float64 // of each in a firm hand, lbf; 0 = not known
}

// Panel is what is glued: rows side by side, Length long.
type Panel struct {
	Length measure.Length
	Rows   []measure.Length // width of each
	Height measure.Length   // of a glue line; the thinner of the two rows
	Caul   measure.Length   // width of the cauls between clamp and outer row; 0 = none
	Beds   [][2]int         // rows, from and to, that are glued and planed before they are joined; none = all at once
}

// Conditions are the glue, the wood and the air.
type Conditions struct {
	Glue      trade.Glue
	TempC     float64
	HardnessN float64 // side hardness of the wood; softer wood wants less pressure
	Stressed  bool    // bent, sprung or laminated
}

// Standing is one clamp in its place.
type Standing struct {
	At   measure.Length // from the panel's end
	Kind string
	Over bool // over the panel; else under it
	lbf  float64
}

// Shortage names what stands in the way of clamping a panel at once.
type Shortage string

// The shortages.
const (
	Enough       Shortage = ""
	TooFew       Shortage = "too-few"       // fewer clamps open wide enough than the spacing wants
	NoneWide     Shortage = "none-wide"     // no clamp opens as wide as the panel
	GlueTooQuick Shortage = "glue-too-fast" // even two rows are not laid up within the open time
	TooCold      Shortage = "too-cold"      // below the glue's least temperature
)

// Plan is the glue-up worked out.
type Plan struct {
	Spacing   measure.Length // widest the 45° rule allows
	Needed    int
	Clamps    []Standing // as many as there are, evenly spread
	Force     float64    // of each, lbf, for pressure in the middle of its range
	Pressure  trade.Pressure
	FirmPsi   float64        // with which a firm hand on these clamps presses; 0 = not known
	AllPsi    float64        // the same of every clamp of the shop that opens wide enough
	CaulWidth measure.Length // caul width with which the clamps at hand suffice; 0 = not needed
	GlueML    float64
	Groups    []Group // glued one after the other; the last joins the others, where there are several
	InClamps  time.Duration
	Cure      time.Duration
	Short     []Shortage
	Staged    bool // in groups because all rows at once want more clamps than there are
}

// Rules of thumb of a lay-up: common practice, no source, except ends.
const (
	FromEnd       = 3 * measure.Inch / 2 // trade page: 1-1/2 to 2 in
	spreadAMetre  = 40 * time.Second
	placeAClamp   = 25 * time.Second
	glueAllowance = 1.25 // squeeze-out and what stays on the brush
)

// Make plans a glue-up with the shop's clamps. Spring clamps never count.
func Make(p Panel, c Conditions, shop []Clamp) Plan {
	out := Plan{Pressure: trade.PressureFor(c.HardnessN)}
	if len(p.Rows) == 0 || p.Length <= 0 {
		return out
	}
	outer := min(p.Rows[0], p.Rows[len(p.Rows)-1])
	out.Spacing = Spacing(outer, p.Caul)
	count := Count(p.Length, out.Spacing)
	out.Needed = count
	var across measure.Length
	for _, w := range p.Rows {
		across += w
	}
	wide := wideEnough(shop, across+2*p.Caul)
	out.Clamps = stand(p.Length, out.Needed, wide)
	have := len(out.Clamps)
	switch {
	case have == 0:
		out.Short = append(out.Short, NoneWide)
	case have < out.Needed:
		out.Short = append(out.Short, TooFew)
		out.CaulWidth = caulFor(p.Length, outer, have)
	}
	// A panel is pressed by the clamps that are there; the force is shared.
	psi := (out.Pressure.LowPsi + out.Pressure.HighPsi) / 2
	out.Force = trade.ClampForceLbf(inches(p.Length), inches(p.Height), psi) / float64(max(have, 1))
	lines := len(p.Rows) - 1
	area := float64(lines) * metres(p.Length) * metres(p.Height)
	out.GlueML = trade.GlueMillilitres(area) * glueAllowance
	open := c.Glue.Open + c.Glue.Closed
	if groups, ok := p.stages(shop, open); ok {
		out.Groups, out.Short, out.CaulWidth = groups, nil, 0
		if last := groups[len(groups)-1]; len(groups) > 1 {
			out.Spacing, out.Needed = last.Spacing, last.Needed
			out.Clamps = stand(p.Length, out.Needed, wide)
			out.Force = trade.ClampForceLbf(inches(p.Length), inches(p.Height), psi) / float64(max(len(out.Clamps), 1))
			out.Staged = have < count
		}
	} else if out.Groups, ok = p.inTime(max(have, 1), open); !ok {
		out.Short = append(out.Short, GlueTooQuick)
	}
	if face := inches(p.Length) * inches(p.Height); face > 0 {
		out.FirmPsi, out.AllPsi = firm(out.Clamps)/face, firm(stand(p.Length, len(wide), wide))/face
	}
	if c.Glue.TooCold(c.TempC) {
		out.Short = append(out.Short, TooCold)
	}
	at := c.Glue.At(c.TempC)
	out.InClamps, out.Cure = at.Clamp, at.Cure
	if c.Stressed {
		out.InClamps = at.Stressed
	}
	return out
}

// Spacing is the widest clamp spacing: pressure spreads at 45° through the
// outer row and the caul, so twice their width, and no more than 12 in. Rounded
// down to 1/64 in.
func Spacing(outer, caul measure.Length) measure.Length {
	return measure.Length(trade.SpacingIn(inches(outer), inches(caul))*64) * measure.SixtyFourth
}

// Count is the number of clamps for a length: one near each end, the rest
// between them no further apart than spacing; one alone on a short piece.
func Count(length, spacing measure.Length) int {
	span := length - 2*FromEnd
	if span <= 0 || spacing <= 0 {
		return 1
	}
	return int((span+spacing-1)/spacing) + 1
}

// wideEnough lists each clamp that opens at least that wide, the shortest first,
// without spring clamps.
func wideEnough(shop []Clamp, opening measure.Length) []Clamp {
	list := append([]Clamp(nil), shop...)
	sort.SliceStable(list, func(a, b int) bool { return list[a].Opening < list[b].Opening })
	var out []Clamp
	for _, c := range list {
		if c.Kind == "spring" || c.Opening < opening {
			continue
		}
		for range c.Count {
			out = append(out, c)
		}
	}
	return out
}

// stand spreads clamps evenly along the panel, alternating under and over so
// that they do not cup it.
func stand(length measure.Length, needed int, clamps []Clamp) []Standing {
	n := min(needed, len(clamps))
	out := make([]Standing, n)
	for i := range out {
		out[i] = Standing{At: length / 2, Kind: clamps[i].Kind, Over: i%2 == 1, lbf: clamps[i].Force}
		if n > 1 {
			out[i].At = FromEnd + (length-2*FromEnd)*measure.Length(i)/measure.Length(n-1)
		}
	}
	return out
}

// firm is the force of clamps together, lbf; 0 where that of one is not known.
func firm(clamps []Standing) float64 {
	sum := 0.0
	for _, c := range clamps {
		if c.lbf <= 0 {
			return 0
		}
		sum += c.lbf
	}
	return sum
}

// caulFor is the caul width that lets the clamps at hand do, or 0 where their
// spacing would pass 12 in whatever the caul.
func caulFor(length, outer measure.Length, have int) measure.Length {
	if have < 2 {
		return 0
	}
	span := length - 2*FromEnd
	spacing := (span + measure.Length(have-2)) / measure.Length(have-1)
	if spacing > 12*measure.Inch {
		return 0
	}
	return max((spacing+1)/2-outer, 0)
}

// LayUp is the time from the first glue to the last clamp.
func LayUp(length measure.Length, lines, clamps int) time.Duration {
	return time.Duration(float64(lines)*metres(length)*float64(spreadAMetre)) + time.Duration(clamps)*placeAClamp
}

// Rounds is how many times the clamps go round when several equal panels wait:
// each round clamps as many panels as there are clamps for.
func Rounds(panels, needed, have int) int {
	if panels <= 0 || needed <= 0 {
		return 0
	}
	atOnce := max(have/needed, 1)
	return (panels + atOnce - 1) / atOnce
}

func inches(l measure.Length) float64 { return float64(l) / float64(measure.Inch) }

func metres(l measure.Length) float64 { return float64(l) / float64(measure.Metre) }

// TotalForce is the force of all clamps on a glue line at that pressure, in
// pounds-force, rounded to whole pounds.
func TotalForce(length, height measure.Length, psi float64) float64 {
	return math.Round(trade.ClampForceLbf(inches(length), inches(height), psi))
}
