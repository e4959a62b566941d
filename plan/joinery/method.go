package joinery

import (
	"slices"

	"pilewright/plan/measure"
	"pilewright/plan/solid"
)

// Tool is a way of cutting.
type Tool string

// The tools a joint can be cut with.
const (
	ByRouter Tool = "router"
	ByChisel Tool = "chisel"
	ByDado   Tool = "dado-stack" // at the table saw
	ByMitre  Tool = "mitre-saw"  // repeated cuts at a depth stop
	ByDrill  Tool = "drill"
	BySaw    Tool = "hand-saw"
)

// Method is one way to make a cut with what the shop has, and its settings. Sizes
// across the cut count from its near line.
type Method struct {
	Tool   Tool
	OnB    bool             // cuts B: a tenon's shoulders; else A
	Cutter measure.Length   // bit, stack, kerf, chisel or drill
	Starts []measure.Length // near side of each pass across the cut
	Depths []measure.Length // depth set for each round, deepest last
	// For the router: from a cut's line to the edge of the guide its base runs along,
	// and the gap between two guides that leave exactly this cut.
	Fence    measure.Length
	GuideGap measure.Length
	// For a router with a guide bush: the opening of the template.
	TemplateWidth  measure.Length
	TemplateLength measure.Length
	Square         bool     // the round ends are chopped square afterwards
	Cautions       []string // ids in trade.Cautions
}

// slotShape is what decides which tools can make a cut.
type slotShape struct {
	stopped bool // wood stays at one end of it or both
	through bool // right through the member
	open    bool // open at one side: a rebate or a lap at an end
	round   bool // its ends stay round
	across  bool // it runs across the grain
}

// slotMethods lists the ways to cut a slot of that width, length and depth, the
// one needing least setting first.
func (j *joint) slotMethods(width, length, depth measure.Length, s slotShape) {
	t := j.tools
	serves := func(cutter measure.Length) bool { return cutter >= leastCutter && width <= mostPasses*cutter }
	if !s.stopped {
		if serves(t.DadoMax) && width >= t.DadoMin && !s.through {
			stack := min(width, t.DadoMax)
			j.r.Methods = append(j.r.Methods, Method{Tool: ByDado, Cutter: stack, Starts: passes(width, stack),
				Depths: []measure.Length{depth}, Cautions: []string{"dado-guard", "crosscut-support"}})
		}
		if serves(t.MitreKerf) && s.across && width >= t.MitreKerf && (t.MitreReach == 0 || length <= t.MitreReach) {
			j.r.Methods = append(j.r.Methods, Method{Tool: ByMitre, Cutter: t.MitreKerf, Starts: passes(width, t.MitreKerf),
				Depths: []measure.Length{depth}, Cautions: []string{"mitre-depth-stop", "mitre-short"}})
		}
	}
	bit, ok := t.routerBit(width)
	if ok = ok && serves(bit.Diameter) && depth <= mostPasses*bit.Diameter; ok {
		m := Method{Tool: ByRouter, Cutter: bit.Diameter, Starts: passes(width, bit.Diameter), Depths: plunges(depth, bit.Diameter),
			Square: s.stopped && !s.round, Cautions: []string{"router-direction", "router-breakout"}}
		if t.RouterBase > bit.Diameter {
			m.Fence = (t.RouterBase - bit.Diameter) / 2
			m.GuideGap = width + t.RouterBase - bit.Diameter
		}
		if t.GuideBush > bit.Diameter {
			m.TemplateWidth = width + t.GuideBush - bit.Diameter
			m.TemplateLength = length + t.GuideBush - bit.Diameter
		}
		j.r.Methods = append(j.r.Methods, m)
		reach := depth
		if s.through {
			reach = (depth + 1) / 2 // from both faces
		}
		if bit.Cut > 0 && bit.Cut < reach {
			j.find(found(CutterShort, Warn, lengths{"bit": bit.Diameter, "cut": bit.Cut, "depth": reach}))
		}
	}
	if !s.round && s.stopped {
		for _, c := range t.Chisels {
			if c == width {
				j.r.Methods = append(j.r.Methods, Method{Tool: ByChisel, Cutter: c, Starts: []measure.Length{0}, Depths: []measure.Length{depth}})
				break
			}
		}
	}
	if !s.stopped {
		j.r.Methods = append(j.r.Methods, Method{Tool: BySaw, Starts: []measure.Length{0}, Depths: []measure.Length{depth}})
	}
	if len(t.Bits) == 0 && len(t.Chisels) == 0 {
		return
	}
	switch {
	case ok && bit.Diameter == width, s.stopped && !s.round && t.hasChisel(width), !s.stopped && len(j.r.Methods) > 1:
	case ok:
		j.find(found(CutterPasses, Note, lengths{"size": width, "bit": bit.Diameter}).number("passes", float64(len(passes(width, bit.Diameter)))))
	case s.stopped:
		j.find(found(CutterMissing, Warn, lengths{"size": width}).word("tool", "bit or chisel"))
	}
}

// shoulderMethods lists the ways to cut a tenon's cheeks and shoulders on B: one
// method for each tool and each depth of shoulder, the stop set to the tenon's length.
func (j *joint) shoulderMethods(length measure.Length, tenons solid.Box) {
	t := j.tools
	depths := make([]measure.Length, 0, 4)
	for k := range 3 {
		if k == j.r.Into.Axis() {
			continue
		}
		depths = append(depths, tenons.Min[k]-j.b.Box.Min[k], j.b.Box.Max[k]-tenons.Max[k])
	}
	slices.Sort(depths)
	depths = slices.Compact(depths)
	// What the tools need is the same at every depth.
	ways := make([]Method, 0, 3)
	add := func(tool Tool, cutter measure.Length, cautions ...string) {
		if cutter >= leastCutter && length <= mostPasses*cutter {
			ways = append(ways, Method{Tool: tool, OnB: true, Cutter: cutter, Starts: passes(length, cutter), Cautions: cautions})
		}
	}
	if t.DadoMax > 0 {
		add(ByDado, min(max(length, t.DadoMin), t.DadoMax), "dado-guard", "crosscut-support")
	}
	if reach := t.MitreReach; t.MitreKerf > 0 && (reach == 0 || reach >= max(j.b.extent(j.b.Wide()), j.b.extent(j.b.Thick))) {
		add(ByMitre, t.MitreKerf, "mitre-depth-stop", "mitre-short")
	}
	ways = append(ways, Method{Tool: BySaw, OnB: true, Starts: []measure.Length{0}})
	j.r.Methods = slices.Grow(j.r.Methods, len(depths)*len(ways)+1)
	for i, d := range depths {
		for _, m := range ways {
			if m.Depths = depths[i : i+1 : i+1]; d > 0 {
				j.r.Methods = append(j.r.Methods, m)
			}
		}
	}
}

func (j *joint) methodDrill(diameter, depth measure.Length) {
	j.r.Methods = append(j.r.Methods, Method{Tool: ByDrill, Cutter: diameter, Starts: []measure.Length{0}, Depths: []measure.Length{depth}})
}

// passes gives the near side of each of the fewest passes of a cutter that clear a
// width: the first at 0, the last flush with the far line, none further from the
// one before than the cutter less a hair.
func passes(width, cutter measure.Length) []measure.Length {
	if cutter >= width {
		return []measure.Length{0}
	}
	stride := cutter
	if cutter > 2*passOverlap {
		stride -= passOverlap
	}
	n := (width - cutter + stride - 1) / stride
	out := make([]measure.Length, 0, n+1)
	for i := range n + 1 {
		out = append(out, (width-cutter)*i/n)
	}
	return out
}

// plunges gives the depth of each router round, none taking more than the bit's
// diameter (common practice, no source).
func plunges(depth, bit measure.Length) []measure.Length {
	n := max(1, (depth+bit-1)/bit)
	out := make([]measure.Length, 0, n)
	for i := range n {
		out = append(out, depth*(i+1)/n)
	}
	return out
}
