package plan

import (
	"errors"
	"fmt"
	"sync"

	"pilewright/plan/assembly"
	"pilewright/plan/joinery"
	"pilewright/plan/solid"
)

// Build is how the piece is put together, or why it can't be.
type Build struct {
	Sequence assembly.Sequence
	Blocked  string   // empty where there is an order
	Clash    []string // marks of the bodies that can't be brought together
}

// Rules of thumb of an assembly (common practice, no source): minutes to spread
// glue in one joint and bring it home, and clamps across one joint's line.
const (
	jointMinutes   = 2
	clampsPerJoint = 1
)

// marksAndOrder marks the copies and finds the order of assembly. The order only
// reads the bodies, so it is looked for while the marks are made.
func (m *making) marksAndOrder() {
	var seq assembly.Sequence
	var err error
	var wait sync.WaitGroup
	joints := make([]assembly.Joint, len(m.plan.Frame.Joints))
	for i := range joints {
		joints[i] = m.assemblyJoint(&m.plan.Frame.Joints[i])
	}
	wait.Go(func() { seq, err = m.assembly(joints) })
	m.marking(joints)
	wait.Wait()
	m.build(seq, err)
}

// assembly finds the order of assembly and checks it.
func (m *making) assembly(joints []assembly.Joint) (assembly.Sequence, error) {
	p := &m.plan
	bodies := make([]solid.Body, len(p.Copies))
	for i, c := range p.Copies {
		bodies[i] = solid.Body{ID: c.Mark, Solid: p.Frame.Bodies[i]}
	}
	limits := assembly.Limits{OpenMinutes: m.openMinutes()}
	for _, c := range p.Project.Shop.Clamps {
		if c.Kind != "spring" {
			limits.Clamps += c.Count
			limits.ClampsFor = clampsFor
		}
	}
	seq, err := assembly.Plan(bodies, joints, limits)
	if err == nil {
		err = assembly.Check(bodies, joints, limits, seq)
	}
	return seq, err
}

// build keeps the order of assembly, or says why there is none.
func (m *making) build(seq assembly.Sequence, err error) {
	p := &m.plan
	if err == nil {
		p.Frame.Build = Build{Sequence: seq}
		return
	}
	p.Frame.Build = Build{Blocked: err.Error()}
	sub := Subject{Room: "piece"}
	var blocked *assembly.Blocked
	if errors.As(err, &blocked) {
		p.Frame.Build.Clash, sub.Marks = blocked.Bodies, blocked.Bodies
		p.Frame.Build.Blocked = m.blockedSentence(blocked)
	}
	m.shape = append(m.shape, Finding{Code: "assembly.blocked", Severity: Stop, Subject: sub, Text: p.Frame.Build.Blocked,
		Do: "Change the joint named, leave one part loose until last, or make it of two parts.", Source: "assembly order by translation along one axis"})
}

// assemblyJoint tells the assembler how a joint closes.
func (m *making) assemblyJoint(j *MadeJoint) assembly.Joint {
	a := assembly.Joint{ID: j.ID, A: m.plan.Copies[j.A].Mark, B: m.plan.Copies[j.B].Mark, Minutes: jointMinutes, Dry: j.Rule.Dry}
	switch j.Rule.Kind {
	case joinery.Screws:
		a.Dry = true // the screws hold it; it may be offered up from any side
	case joinery.Buttons, joinery.EdgeGlue, joinery.FaceGlue:
	default:
		a.Dir = j.Result.Into
	}
	return a
}

func clampsFor(joints int) int {
	return (joints + 1) / 2 * clampsPerJoint
}

func (m *making) blockedSentence(b *assembly.Blocked) string {
	switch {
	case b.Unsure && b.Reason == assembly.OverTime:
		return fmt.Sprintf("In every order tried %d joints close together and take %d min; the glue stays open %d min. There may be others: the piece is too large to try them all.", len(b.Joints), b.Need, b.Have)
	case b.Unsure:
		return fmt.Sprintf("In every order tried %d joints close together and need %d clamps; the shop has %d. There may be others: the piece is too large to try them all.", len(b.Joints), b.Need, b.Have)
	}
	switch b.Reason {
	case assembly.OverTime:
		return fmt.Sprintf("%d joints can only close together and take %d min; the glue stays open %d min. They are %s.", len(b.Joints), b.Need, b.Have, listMarks(m.jointPairs(b.Joints)))
	case assembly.TooFewClamps:
		return fmt.Sprintf("%d joints can only close together and need %d clamps; the shop has %d. They are %s.", len(b.Joints), b.Need, b.Have, listMarks(m.jointPairs(b.Joints)))
	case assembly.Interlocked:
		text := "There is no way to bring " + listMarks(b.Bodies) + " together along one axis"
		if len(b.Joints) > 0 {
			text += "; the joints of " + listMarks(m.jointPairs(b.Joints)) + " hold them"
		}
		return text + "."
	}
	return "The piece can't be assembled: " + b.Error() + "."
}

// jointPairs names joints by the marks they join.
func (m *making) jointPairs(ids []string) []string {
	var out []string
	for _, id := range ids {
		for _, j := range m.plan.Frame.Joints {
			if j.ID == id {
				out = append(out, m.plan.Copies[j.A].Mark+"-"+m.plan.Copies[j.B].Mark)
			}
		}
	}
	return out
}
