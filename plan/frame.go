package plan

import (
	"cmp"
	"fmt"
	"slices"

	"pilewright/plan/joinery"
	"pilewright/plan/measure"
	"pilewright/plan/solid"
)

// MadeJoint is one joint between two placed copies.
type MadeJoint struct {
	Rule   Joint
	ID     string // rule number and place: 3.1
	Pair   int    // the pair number chalked on both members
	A, B   int    // indexes into Plan.Copies; A receives
	Result joinery.Result
}

// Frame is the piece put together: its joints, the finished bodies, what the fit
// proof found and how it is assembled.
type Frame struct {
	Joints  []MadeJoint
	Bodies  []solid.Solid       // of Plan.Copies, with every joint cut
	Added   [][2]measure.Length // of Plan.Copies: wood beyond the shoulders, at the low and the high end of the grain
	Fit     solid.Report
	Build   Build
	Use     Use
	Marking Marking
}

// LongestOf is the length a blank of the part must give: its length between
// shoulders and the most that any copy has beyond them.
func (f *Frame) LongestOf(sp SizedPart) measure.Length {
	most := measure.Length(0)
	for i := sp.First; i < sp.First+sp.N && i < len(f.Added); i++ {
		most = max(most, f.Added[i][0]+f.Added[i][1])
	}
	return sp.L + most
}

// mostPairs is how many pairs of copies may touch or overlap: a piece of 2,000
// copies has some ten thousand.
const mostPairs = 60_000

// mostCuts is how many mortises, housings and holes one member may have.
const mostCuts = 1_500

// frame makes the joints wherever their rules meet, cuts the bodies and proves
// that they fit; false where the copies lie in a heap.
func (m *making) frame() bool {
	p := &m.plan
	boxes := make([]solid.Box, len(p.Copies))
	for i, c := range p.Copies {
		boxes[i] = c.Box
	}
	pairs := solid.Pairs(boxes)
	if len(pairs) > mostPairs {
		m.shape = append(m.shape, Finding{Code: "copies.heap", Severity: Stop, Subject: Subject{Room: "piece"},
			Text: fmt.Sprintf("The copies lie upon each other at %d places; at most %d can be proved to fit.", len(pairs), mostPairs), Do: "Check the steps from one copy to the next."})
		return false
	}
	tools := m.joineryTools()
	var specs []joinery.Spec
	for _, rule := range p.Project.Joints {
		specs = append(specs, m.joint(rule, pairs, tools)...)
	}
	for i, cuts := range m.cutCounts() {
		if cuts > mostCuts {
			part, _ := m.plan.Part(m.plan.Copies[i].Part)
			m.shape = append(m.shape, Finding{Code: "copy.cuts", Severity: Stop, Subject: Subject{Room: "piece", Part: part.ID, Marks: []string{m.plan.Copies[i].Mark}},
				Text: fmt.Sprintf("%d cuts are to be made in one %s; at most %d can be proved to fit.", cuts, part.Name, mostCuts), Do: "Check its size and the number of copies joined to it, or make it in several lengths."})
			return false
		}
	}
	m.shortenMeeting(specs, tools)
	hollows := m.passHoles(specs, tools)
	for i := range p.Frame.Joints {
		p.Frame.Joints[i].Pair = i + 1
		m.jointFindings(&p.Frame.Joints[i])
	}
	for _, stage := range []func(){func() { m.clashes(hollows, tools) }, m.bodies, m.fit, m.marksAndOrder, m.uses} {
		if m.ctx.Err() != nil {
			m.plan.stopped = true
			return false
		}
		stage()
	}
	return true
}

// joineryTools is the shop as joinery sees it.
func (m *making) joineryTools() joinery.Tools {
	s := &m.plan.Project.Shop
	t := joinery.Tools{Step: measure.Inch / 16, DryPct: s.HomeMoisture - s.SeasonSwing/2, DampPct: s.HomeMoisture + s.SeasonSwing/2}
	if metric(m.plan.Parts) {
		t.Step = measure.Millimetre
	}
	for _, b := range s.Bits {
		switch b.Use {
		case "drill":
			t.Drills = append(t.Drills, b.Diameter)
		case "chisel":
			t.Chisels = append(t.Chisels, b.Diameter)
		default:
			t.Bits = append(t.Bits, joinery.Bit{Diameter: b.Diameter, Cut: b.Cut})
		}
	}
	for _, b := range s.Blades {
		if b.Use == "dado" {
			t.DadoMin, t.DadoMax = b.Kerf, max(b.Kerf, b.Widest)
		}
	}
	if saw, ok := s.Machine("mitre-saw"); ok {
		t.MitreKerf, t.MitreReach = s.Kerf("crosscut"), saw.MaxWidth
	}
	return t
}

// member is a placed copy as joinery sees it.
func (m *making) member(i int) joinery.Member {
	c := m.plan.Copies[i]
	part, _ := m.plan.Part(c.Part)
	return joinery.Member{Name: c.Mark, Box: c.Box, Along: int(c.Along), Thick: int(c.Thick), Species: m.woodOf(part)}
}

// named reports whether ref means the copy.
func (r CopyRef) named(c PlacedCopy) bool {
	return r.Part == c.Part && (r.Index == 0 || r.Index == c.Index)
}

// joint makes a rule's joint at every place where it applies: between the very
// copies it names, or wherever copies of its two parts meet.
func (m *making) joint(rule Joint, pairs [][2]int, tools joinery.Tools) (specs []joinery.Spec) {
	sub := Subject{Room: "piece", Joint: rule.ID}
	spec, ok := m.spec(rule)
	if !ok {
		return nil
	}
	a, okA := m.plan.Part(rule.A.Part)
	b, okB := m.plan.Part(rule.B.Part)
	if !okA || !okB {
		m.shape = append(m.shape, Finding{Code: "joint.part", Severity: Stop, Subject: sub, Text: "A joint names a part that is not there.", Do: "Choose both parts of the joint again, or delete it."})
		return nil
	}
	places := m.places(rule, pairs)
	if len(places) == 0 && a.N > 0 && b.N > 0 {
		m.shape = append(m.shape, m.apart(rule, a, b))
	}
	m.plan.Frame.Joints = slices.Grow(m.plan.Frame.Joints, min(len(places), mostMade))
	for _, at := range places {
		if len(m.plan.Frame.Joints) >= mostMade {
			m.once(Finding{Code: "joints.many", Severity: Stop, Subject: sub, Text: fmt.Sprintf("The joints meet at more than %d places.", mostMade), Do: "Name the copies that a joint is for, or plan it as two pieces."})
			break
		}
		j := MadeJoint{Rule: rule, A: at[0], B: at[1], ID: fmt.Sprintf("%d.%d", rule.ID, len(m.plan.Frame.Joints)+1)}
		j.Result = joinery.Make(m.member(at[0]), m.member(at[1]), spec, tools)
		if !j.Result.Made {
			m.jointFindings(&j)
			continue
		}
		m.plan.Frame.Joints = append(m.plan.Frame.Joints, j)
		specs = append(specs, spec)
	}
	return specs
}

// cutCounts counts the cuts of every copy.
func (m *making) cutCounts() []int {
	out := make([]int, len(m.plan.Copies))
	for i := range m.plan.Frame.Joints {
		j := &m.plan.Frame.Joints[i]
		out[j.A] += len(j.Result.CutA)
		out[j.B] += len(j.Result.CutB)
	}
	return out
}

// hollows lists the cuts of every copy.
func (m *making) hollows() [][]joinery.Hollow {
	out := make([][]joinery.Hollow, len(m.plan.Copies))
	for i, n := range m.cutCounts() {
		if n > 0 {
			out[i] = make([]joinery.Hollow, 0, n)
		}
	}
	for i := range m.plan.Frame.Joints {
		j := &m.plan.Frame.Joints[i]
		out[j.A] = append(out[j.A], j.Result.HollowsA(j.ID)...)
		out[j.B] = append(out[j.B], j.Result.HollowsB(j.ID)...)
	}
	return out
}

// clashes compares the cuts of every copy with each other.
func (m *making) clashes(hollows [][]joinery.Hollow, tools joinery.Tools) {
	for i, list := range hollows {
		for _, f := range joinery.Clashes(list, tools.Step) {
			for _, w := range []string{"first", "second"} {
				f.Words[w] = m.jointPairs([]string{f.Words[w]})[0]
			}
			t := joinery.Explain(f, m.say)
			m.once(Finding{Code: "joint." + string(f.Code), Severity: Severity(f.Severity),
				Subject: Subject{Room: "piece", Part: m.plan.Copies[i].Part, Marks: []string{m.plan.Copies[i].Mark}}, Text: t.What, Do: t.Do, Source: t.Source})
		}
	}
}

// places lists the index pairs (A, B) where the rule applies, in a fixed order.
func (m *making) places(rule Joint, pairs [][2]int) [][2]int {
	var out [][2]int
	copies := m.plan.Copies
	for _, p := range pairs {
		for _, at := range [][2]int{p, {p[1], p[0]}} {
			if !rule.A.named(copies[at[0]]) || !rule.B.named(copies[at[1]]) {
				continue
			}
			meet := joinery.Meet(copies[at[0]].Box, copies[at[1]].Box)
			if meet.Contact == joinery.ByFace || meet.Contact == joinery.Through {
				out = append(out, at)
				break
			}
		}
	}
	slices.SortFunc(out, func(x, y [2]int) int { return cmp.Or(cmp.Compare(x[0], y[0]), cmp.Compare(x[1], y[1])) })
	return slices.Compact(out)
}

// apart says that a rule's copies do not meet, and by how much the nearest miss.
func (m *making) apart(rule Joint, a, b SizedPart) Finding {
	f := Finding{Code: "joint.apart", Severity: Stop, Subject: Subject{Room: "piece", Joint: rule.ID}}
	best := measure.Length(-1)
	for _, i := range m.copiesOf(rule.A, a) {
		for _, k := range m.copiesOf(rule.B, b) {
			meet := joinery.Meet(m.plan.Copies[i].Box, m.plan.Copies[k].Box)
			if best < 0 || meet.Gap < best {
				best = meet.Gap
				f.Subject.Marks = []string{m.plan.Copies[i].Mark, m.plan.Copies[k].Mark}
			}
		}
	}
	f.Text = fmt.Sprintf("The %s and the %s are to be joined (%s) but meet nowhere; the nearest are %s apart.", a.Name, b.Name, KindName(rule.Kind), m.say(max(best, 0)))
	f.Do = "Move one of them until they touch, or delete the joint."
	return f
}

func (m *making) copiesOf(ref CopyRef, sp SizedPart) []int {
	var out []int
	for i := sp.First; i < sp.First+sp.N; i++ {
		if ref.named(m.plan.Copies[i]) {
			out = append(out, i)
		}
	}
	return out
}

// spec evaluates the sizes a joint's rule gives.
func (m *making) spec(rule Joint) (joinery.Spec, bool) {
	s := &sizing{unit: m.plan.Project.Shop.Unit(), values: m.plan.Values}
	spec := joinery.Spec{Kind: rule.Kind, Round: rule.Round, RoundTenon: rule.RoundTenon, Count: rule.Count, Dry: rule.Dry}
	ok := true
	for _, f := range []struct {
		text, field string
		into        *measure.Length
	}{{rule.Thickness, "thickness", &spec.Thickness}, {rule.Width, "width", &spec.Width}, {rule.Depth, "depth", &spec.Depth}, {rule.Offset, "offset", &spec.Offset}} {
		if f.text == "" {
			continue
		}
		l, good := s.length(f.text, "The joint's "+f.field, f.field, Subject{Joint: rule.ID})
		*f.into, ok = l, ok && good
	}
	m.shape = append(m.shape, s.findings...)
	return spec, ok
}

// jointFindings puts what joinery found into words, each once.
func (m *making) jointFindings(j *MadeJoint) {
	for _, f := range j.Result.Findings {
		marks := []string{m.plan.Copies[j.A].Mark, m.plan.Copies[j.B].Mark}
		t := joinery.Explain(f, m.say)
		m.once(Finding{Code: "joint." + string(f.Code), Severity: Severity(f.Severity), Subject: Subject{Room: "piece", Joint: j.Rule.ID, Marks: marks}, Text: t.What, Do: t.Do, Source: t.Source})
	}
}

// once adds a finding, or only its marks where the same was said before.
func (m *making) once(f Finding) {
	for i := range m.shape {
		o := &m.shape[i]
		if o.Code == f.Code && o.Text == f.Text && o.Do == f.Do {
			for _, mark := range f.Subject.Marks {
				if !slices.Contains(o.Subject.Marks, mark) {
					o.Subject.Marks = append(slices.Clip(o.Subject.Marks), mark)
				}
			}
			return
		}
	}
	m.shape = append(m.shape, f)
}

// bodies cuts every joint into the copies it concerns.
func (m *making) bodies() {
	p := &m.plan
	p.Frame.Bodies = make([]solid.Solid, len(p.Copies))
	p.Frame.Added = make([][2]measure.Length, len(p.Copies))
	add, cut := make([][]solid.Box, len(p.Copies)), make([][]solid.Box, len(p.Copies))
	for i, n := range m.cutCounts() {
		cut[i] = make([]solid.Box, 0, n)
	}
	for i := range p.Frame.Joints {
		j := &p.Frame.Joints[i]
		r := &j.Result
		add[j.B] = append(add[j.B], r.AddB...)
		cut[j.A] = append(cut[j.A], r.CutA...)
		cut[j.B] = append(cut[j.B], r.CutB...)
		if r.Added.Axis == int(p.Copies[j.B].Along) {
			ends := &p.Frame.Added[j.B]
			ends[0], ends[1] = max(ends[0], r.Added.Min), max(ends[1], r.Added.Max)
		}
	}
	for i, c := range p.Copies {
		p.Frame.Bodies[i] = solid.New(c.Box).Add(add[i]...).Cut(cut[i]...)
	}
}

// fit runs the fit proof and tells what fails.
func (m *making) fit() {
	p := &m.plan
	bodies := make([]solid.Body, len(p.Copies))
	for i, c := range p.Copies {
		bodies[i] = solid.Body{ID: c.Mark, Solid: p.Frame.Bodies[i]}
	}
	var mates []solid.Mate
	rule := map[string]ID{}
	for _, j := range p.Frame.Joints {
		for _, mate := range j.Result.Mates(j.ID, p.Copies[j.A].Mark, p.Copies[j.B].Mark) {
			mates = append(mates, mate)
			rule[mate.ID] = j.Rule.ID
		}
	}
	p.Frame.Fit = solid.Fit(bodies, mates)
	for _, o := range p.Frame.Fit.Overlaps {
		size := o.Box.Size()
		m.shape = append(m.shape, Finding{Code: "fit.overlap", Severity: Stop, Subject: Subject{Room: "piece", Marks: []string{o.A, o.B}},
			Text: fmt.Sprintf("%s and %s are in the same place: they share a block of %s x %s x %s.", o.A, o.B, m.say(size[0]), m.say(size[1]), m.say(size[2])),
			Do:   "Move or shorten one of them, or join them with a half-lap or a housing.", Source: "fit proof"})
	}
	for _, f := range p.Frame.Fit.Faults {
		m.shape = append(m.shape, Finding{Code: "fit." + string(f.Kind), Severity: Stop, Subject: Subject{Room: "piece", Joint: rule[f.Mate], Marks: []string{f.Body}},
			Text: fitSentence(f, m.say), Do: "Change the joint's sizes or its place.", Source: "fit proof"})
	}
	if n := len(p.Frame.Fit.Islands); n > 1 {
		for _, island := range p.Frame.Fit.Islands[1:] {
			m.shape = append(m.shape, Finding{Code: "fit.floating", Severity: Stop, Subject: Subject{Room: "piece", Marks: island},
				Text: fmt.Sprintf("%s touches nothing else of the piece.", listMarks(island)), Do: "Move it until it touches, or delete it.", Source: "fit proof"})
		}
	}
}

func fitSentence(f solid.Fault, say func(measure.Length) string) string {
	switch f.Kind {
	case solid.MortiseFilled:
		return fmt.Sprintf("The mortise in %s is not free: wood stands in it.", f.Body)
	case solid.TenonMissing:
		return fmt.Sprintf("The tenon of %s is cut into by another joint.", f.Body)
	case solid.TenonTooBig:
		return fmt.Sprintf("The tenon of %s is %s too big for its mortise.", f.Body, say(f.Gap))
	case solid.TenonLoose:
		return fmt.Sprintf("The tenon of %s has %s of play, more than the %s meant.", f.Body, say(f.Gap), say(f.Allowed))
	case solid.ShoulderOpen:
		return fmt.Sprintf("The shoulder of %s stands %s off.", f.Body, say(f.Gap))
	case solid.RoundCorner:
		return fmt.Sprintf("A square corner of the tenon of %s meets the round end of its mortise.", f.Body)
	}
	return fmt.Sprintf("A joint of %s can't be checked (%s).", f.Body, f.Kind)
}

// say shows a length the shop's way.
func (m *making) say(l measure.Length) string {
	return measure.Format(l, m.plan.Project.Shop.Style())
}

// listMarks writes marks for reading, shortened beyond five.
func listMarks(marks []string) string {
	out := ""
	for i, mark := range marks {
		switch {
		case i == 5:
			return fmt.Sprintf("%s and %d more", out, len(marks)-5)
		case i > 0 && i == len(marks)-1:
			out += " and "
		case i > 0:
			out += ", "
		}
		out += mark
	}
	return out
}

// KindName is a joint's name for reading.
func KindName(k JointKind) string {
	switch k {
	case joinery.ThroughTenon:
		return "through tenon"
	case joinery.StoppedTenon:
		return "stopped tenon"
	case joinery.EdgeGlue:
		return "edge glue"
	case joinery.FaceGlue:
		return "face glue"
	case joinery.HalfLap:
		return "half-lap"
	}
	return clip(string(k))
}
