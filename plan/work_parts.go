package plan

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"pilewright/plan/assembly"
	"pilewright/plan/joinery"
	"pilewright/plan/measure"
	"pilewright/plan/solid"
)

// square brings every part to its finished width and length, one setting after
// the other.
func (s *stepper) square() {
	m := s.m
	type group struct {
		rip   bool
		size  measure.Length
		cross measure.Length // widest member at that setting
		names []string
		subs  []string
		marks []string
		each  []float64 // cuts or metres of each
		cuts  int
		long  measure.Length
	}
	var groups []*group
	at := func(rip bool, size measure.Length) *group {
		for _, g := range groups {
			if g.rip == rip && g.size == size {
				return g
			}
		}
		groups = append(groups, &group{rip: rip, size: size})
		return groups[len(groups)-1]
	}
	for _, sp := range m.plan.Parts {
		if sp.N == 0 {
			continue
		}
		for i := sp.First; i < sp.First+sp.N; i++ {
			c := m.plan.Copies[i]
			if way, ok := m.wayOf(sp.ID); ok && way.Way == Solid {
				s.merge(c.Mark, "blank "+blankKey(sp.ID, "solid"))
			}
			full := sp.L + m.plan.Frame.Added[i][0] + m.plan.Frame.Added[i][1]
			for _, g := range []*group{at(true, sp.W), at(false, full)} {
				g.subs, g.marks = append(g.subs, c.Mark), append(g.marks, c.Mark)
				if !slices.Contains(g.names, sp.Name) {
					g.names = append(g.names, sp.Name)
				}
				if g.rip {
					g.each = append(g.each, metres(full))
				} else {
					g.each = append(g.each, 2)
				}
				g.cuts++
				g.long += full
				g.cross = max(g.cross, sp.W)
			}
		}
	}
	slices.SortStableFunc(groups, func(a, b *group) int {
		return cmp.Or(cmp.Compare(boolInt(b.rip), boolInt(a.rip)), cmp.Compare(b.size, a.size))
	})
	for _, g := range groups {
		size := m.setting(g.size)
		if g.rip {
			s.add(Step{Key: fmt.Sprintf("width/%d", g.size), Phase: PhaseMill, Title: fmt.Sprintf("Rip to finished width %s: %s", size, strings.Join(g.names, ", ")), Marks: g.marks, Amounts: g.each, Machine: "table-saw",
				Setup: "rip blade, fence " + size, Rate: "rip", Quantity: metres(g.long), Detail: []string{"Fence at " + size + ", jointed edge against it."}, Cautions: []string{"kickback", "push-stick", "dust"}}, g.subs...)
			continue
		}
		st := Step{Key: fmt.Sprintf("length/%d", g.size), Phase: PhaseMill, Title: fmt.Sprintf("Crosscut to finished length %s: %s", size, strings.Join(g.names, ", ")), Marks: g.marks, Amounts: g.each,
			Rate: "crosscut", Quantity: float64(2 * g.cuts)}
		m.endCut(&st, size, g.size, g.cross)
		s.add(st, g.subs...)
	}
}

// wayOf gives how a part is made.
func (m *making) wayOf(part ID) (WayOption, bool) {
	for _, pw := range m.plan.Ways {
		if pw.Part == part {
			return pw.Choice()
		}
	}
	return WayOption{}, false
}

// joinery: marking out, a test joint, then the cuts of each kind and size.
func (s *stepper) joinery() {
	m := s.m
	if len(m.plan.Frame.Joints) == 0 {
		return
	}
	var all []string
	cut := 0
	for _, j := range m.plan.Frame.Joints {
		if !isCut(j.Rule.Kind) {
			continue
		}
		cut++
		for _, i := range []int{j.A, j.B} {
			if mark := m.plan.Copies[i].Mark; !slices.Contains(all, mark) {
				all = append(all, mark)
			}
		}
	}
	if cut == 0 {
		return
	}
	s.add(Step{Key: "mark-out", Phase: PhaseJoinery, Title: "Mark out the joints", Marks: all, Machine: "bench", Setup: "bench", Rate: "mark-out", Quantity: float64(cut),
		Detail: []string{"Write each copy's mark and each joint's pair number first, as on the marking plan. Gauge from the marked faces."}}, all...)
	var groups []*cutGroup
	put := func(g cutGroup, mark string) {
		i := slices.IndexFunc(groups, func(o *cutGroup) bool { return o.key == g.key })
		if i < 0 {
			groups, i = append(groups, &g), len(groups)
		}
		groups[i].n++
		if !slices.Contains(groups[i].subs, mark) {
			groups[i].subs, groups[i].each = append(groups[i].subs, mark), append(groups[i].each, 0)
		}
		groups[i].each[slices.Index(groups[i].subs, mark)]++
	}
	for _, j := range m.plan.Frame.Joints {
		a, b := m.plan.Copies[j.A].Mark, m.plan.Copies[j.B].Mark
		if !isCut(j.Rule.Kind) {
			continue
		}
		switch j.Rule.Kind {
		case joinery.ThroughTenon, joinery.StoppedTenon, joinery.Bridle:
			put(m.cutStep("mortise", j.Result, false), a)
			put(m.cutStep("tenon", j.Result, true), b)
		case joinery.Dowels:
			put(m.cutStep("dowel", j.Result, false), a)
			put(m.cutStep("dowel", j.Result, false), b)
		default:
			put(m.cutStep("housing", j.Result, false), a)
			if j.Rule.Kind == joinery.HalfLap {
				put(m.cutStep("housing", j.Result, true), b)
			}
		}
	}
	slices.SortStableFunc(groups, func(x, y *cutGroup) int { return cmp.Compare(x.key, y.key) })
	for _, g := range groups {
		st := Step{Key: g.key, Phase: PhaseJoinery, Title: g.title, Marks: g.subs, Amounts: g.each, Rate: g.rate, Quantity: float64(g.n), Methods: g.methods}
		st.take(0)
		s.add(st, g.subs...)
	}
}

// take makes one of the step's methods its own.
func (s *Step) take(i int) {
	x := s.Methods[i]
	s.Method, s.Machine, s.Setup, s.Cautions = x.Name, x.Machine, x.Setup, x.Cautions
	s.Detail = append([]string{"Cut a test joint in an offcut first; go on when it slides home by hand."}, x.Detail...)
}

// isCut reports whether a joint is cut before assembly; screws and glued faces
// are made at it.
func isCut(k JointKind) bool {
	return k != joinery.Screws && k != joinery.Buttons && k != joinery.EdgeGlue && k != joinery.FaceGlue
}

// cutGroup is the joints that are cut alike.
type cutGroup struct {
	key, title, rate string
	methods          []StepMethod
	subs             []string
	each             []float64 // cuts in each
	n                int
}

// cutStep words the cuts of one kind in one member of a joint: the entering one
// where onB. Every method that the shop's tools allow is offered.
func (m *making) cutStep(rate string, r joinery.Result, onB bool) cutGroup {
	what := map[string]string{"mortise": "mortises", "housing": "housings", "dowel": "dowel holes", "tenon": "tenons"}[rate]
	size := fmt.Sprintf("%s wide, %s deep", m.say(r.Spec.Thickness), m.say(r.Spec.Depth))
	long := max(r.Added.Min, r.Added.Max)
	switch rate {
	case "tenon":
		size = fmt.Sprintf("%s thick, %s long", m.say(r.Spec.Thickness), m.say(long))
	case "dowel":
		size = fmt.Sprintf("%s, %s deep", m.say(r.Spec.Thickness), m.say(r.Spec.Depth))
	case "housing":
		size = m.say(r.Spec.Depth) + " deep"
	}
	g := cutGroup{key: fmt.Sprintf("%s/%d/%d/%d", rate, r.Spec.Thickness, r.Spec.Depth, long), title: "Cut " + what + ", " + size, rate: rate}
	var told []measure.Length // what is set besides: cuts set differently are steps of their own
	for _, x := range r.Methods {
		if x.OnB != onB {
			continue
		}
		if rate == "tenon" {
			told = append(told, x.Depths...)
		} else if x.TemplateLength > 0 {
			told = append(told, x.TemplateLength)
		}
		if i := slices.IndexFunc(g.methods, func(o StepMethod) bool { return o.Name == string(x.Tool) }); i >= 0 {
			g.methods[i].deeper(m, x) // shoulders of another depth, by the same tool
		} else {
			g.methods = append(g.methods, StepMethod{Name: string(x.Tool), Machine: machineOf(x.Tool), Setup: settingOf(m, x), Share: toolShare[x.Tool] + passShare*float64(max(len(x.Starts), 1)-1), Detail: methodLines(m, x), Cautions: slices.Clone(x.Cautions)})
		}
	}
	slices.Sort(told)
	for _, l := range slices.Compact(told) {
		g.key += fmt.Sprintf("/%d", l)
	}
	if len(g.methods) == 0 {
		g.methods = []StepMethod{{Name: "hand", Machine: "bench", Setup: "hand tools", Share: toolShare[joinery.ByChisel]}}
	}
	return g
}

// deeper adds the further depth that shoulders are cut to by the same tool.
func (o *StepMethod) deeper(m *making, x joinery.Method) {
	depth := m.setting(x.Depths[len(x.Depths)-1])
	if x.Tool != joinery.BySaw {
		o.Setup += ", then " + depth + " deep"
	}
	o.Detail = append(o.Detail, fmt.Sprintf("Shoulders of more than one depth: all of one first, then those %s deep.", depth))
}

// toolShare is how long a cut takes by each tool against the shop's rate for the
// joint: a starting guess, no source.
var toolShare = map[joinery.Tool]float64{joinery.ByRouter: 1, joinery.ByDado: 0.8, joinery.ByMitre: 0.9, joinery.ByDrill: 1, joinery.ByChisel: 2.5, joinery.BySaw: 2}

// passShare is how much longer each further pass of a cutter makes a cut: a
// starting guess, no source.
const passShare = 0.06

func machineOf(t joinery.Tool) string {
	switch t {
	case joinery.ByRouter:
		return "router"
	case joinery.ByDado:
		return "table-saw"
	case joinery.ByMitre:
		return "mitre-saw"
	case joinery.ByDrill:
		return "drill"
	}
	return "bench"
}

// settingOf names the set-up: cutter and depth or fence.
func settingOf(m *making, x joinery.Method) string {
	depth := ""
	if n := len(x.Depths); n > 0 {
		depth = m.setting(x.Depths[n-1]) + " deep"
	}
	switch x.Tool {
	case joinery.ByRouter:
		return fmt.Sprintf("router bit %s, %s", m.setting(x.Cutter), depth)
	case joinery.ByDado:
		return fmt.Sprintf("dado stack %s, %s", m.setting(x.Cutter), depth)
	case joinery.ByMitre:
		return "depth stop, " + depth
	case joinery.ByDrill:
		return fmt.Sprintf("drill %s, %s", m.setting(x.Cutter), depth)
	}
	return "hand tools"
}

func methodLines(m *making, x joinery.Method) []string {
	var out []string
	switch x.Tool {
	case joinery.ByRouter:
		line := fmt.Sprintf("Bit %s", m.say(x.Cutter))
		if x.GuideGap > 0 {
			line += fmt.Sprintf(", guides %s apart for the base", m.say(x.GuideGap))
		}
		if x.TemplateWidth > 0 {
			line += fmt.Sprintf(", template %s x %s for the guide bush", m.say(x.TemplateWidth), m.say(x.TemplateLength))
		}
		out = append(out, line+fmt.Sprintf("; %d rounds to depth.", max(len(x.Depths), 1)))
		if x.Square {
			out = append(out, "Chop the round ends square.")
		}
	case joinery.ByDado:
		out = append(out, fmt.Sprintf("Stack %s, %d passes.", m.say(x.Cutter), max(len(x.Starts), 1)))
	case joinery.ByMitre:
		out = append(out, fmt.Sprintf("Depth stop set, %d cuts side by side, then pare the floor.", max(len(x.Starts), 1)))
	case joinery.ByDrill:
		out = append(out, "Depth stop on the bit; drill through a jig.")
	}
	return out
}

// assemble: sand inside faces, dry fit, then the stages with their cures.
func (s *stepper) assemble() {
	m := s.m
	var all []string
	for _, c := range m.plan.Copies {
		all = append(all, c.Mark)
	}
	if len(all) < 2 {
		return
	}
	s.add(Step{Key: "ease", Phase: PhaseAssemble, Title: "Chamfer edges and sand what can't be reached later", Marks: all, Machine: "sander", Setup: "sanding", Rate: "sand", Quantity: 0.4 * m.area(),
		Detail: []string{"Keep off the joint faces and the shoulders."}, Cautions: []string{"dust"}}, all...)
	seq := m.plan.Frame.Build.Sequence
	joints := len(m.plan.Copies)
	for _, j := range m.plan.Frame.Joints {
		joints += boolInt(isCut(j.Rule.Kind))
	}
	s.add(Step{Key: "dry-fit", Phase: PhaseAssemble, Title: "Dry fit everything", Marks: all, Machine: "bench", Setup: "bench", Rate: "dry-fit", Quantity: float64(joints) / 2,
		Detail: []string{"In the order of the assembly stages, without glue. Check marks, pair numbers and squareness; take it apart backwards."}}, all...)
	last := -1 // the last stage with glue
	for i, st := range seq.Stages {
		if !st.Dry {
			last = i
		}
	}
	for i, st := range seq.Stages {
		s.stage(i, st, i == last)
	}
}

// stage is one stage of assembly. After the last one with glue the frame stands
// until the glue is cured, before it is sanded or loaded.
func (s *stepper) stage(i int, st assembly.Stage, cure bool) {
	m := s.m
	step := Step{Key: fmt.Sprintf("stage/%d", i+1), Phase: PhaseAssemble, Title: fmt.Sprintf("Assembly stage %d: %s", i+1, listMarks(st.Parts)), Marks: st.Parts, Machine: "bench", Setup: "assembly",
		Rate: "assemble", Quantity: float64(max(len(st.Joints), 1)), Whole: !st.Dry}
	for _, move := range st.Moves {
		step.Detail = append(step.Detail, fmt.Sprintf("%s %s to %s (joints %s).", listMarks(move.Moving), wayWords(move.Dir), listMarks(move.Into), strings.Join(s.pairs(move.Joints), ", ")))
	}
	if !st.Dry {
		glue := m.glueData()
		step.Wait, step.WaitFor = glue.clamp, "glue"
		if cure {
			step.Wait = max(glue.clamp, glue.Cure)
		}
		step.Detail = append(step.Detail, fmt.Sprintf("%d clamps at least, across the joints; measure both diagonals.", st.Clamps))
		step.Cautions = m.glueCautions()
	}
	s.add(step, st.Parts...)
}

// mostPairsListed is how many pair numbers a step lists.
const mostPairsListed = 12

// pairs gives the pair numbers of joints, shortened where there are many.
func (s *stepper) pairs(ids []string) []string {
	if s.pairOf == nil {
		s.pairOf = map[string]int{}
		for _, j := range s.m.plan.Frame.Joints {
			s.pairOf[j.ID] = j.Pair
		}
	}
	var out []string
	for i, id := range ids {
		if i == mostPairsListed {
			return append(out, fmt.Sprintf("%d more", len(ids)-i))
		}
		if n, ok := s.pairOf[id]; ok {
			out = append(out, fmt.Sprint(n))
		}
	}
	return out
}

// wayWords says a direction as the maker faces the piece.
func wayWords(d solid.Direction) string {
	return map[solid.Direction]string{solid.PlusX: "to the right", solid.MinusX: "to the left", solid.PlusY: "backwards", solid.MinusY: "forwards", solid.PlusZ: "upwards", solid.MinusZ: "down"}[d]
}

// surface is what is sanded and finished: every face of every finished body.
func (m *making) surface() measure.Area {
	if m.skin != nil {
		return *m.skin
	}
	var total measure.Area
	for _, b := range m.plan.Frame.Bodies {
		total = total.Add(b.Surface().Measure())
	}
	m.skin = &total
	return total
}

// area is the surface in m².
func (m *making) area() float64 { return m.surface().Float() / 1e6 }
