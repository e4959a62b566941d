package plan

import (
	"fmt"
	"strings"

	"pilewright/plan/assembly"
	"pilewright/plan/solid"
)

// Marking is which copies may take each other's place, and where every mark and
// pair number is written.
type Marking struct {
	Groups [][]string // marks of copies that are interchangeable
	Alike  []Alike    // copies that only look so
	Joints []assembly.JointMark
}

// Alike is two sorts of copies that are easily taken for each other.
type Alike struct {
	A, B   []string // marks
	Handed bool     // mirror images; else alike in outline and cut differently
}

// locals gives the copies with their bodies in their parts' frames: grain, width,
// thickness. Bodies of one shape that lie alike are turned once.
func (p *Plan) locals() []assembly.Copy {
	out := make([]assembly.Copy, len(p.Copies))
	known := map[string]solid.Solid{}
	var key []byte
	var part SizedPart
	var kind string
	for i, c := range p.Copies {
		if i == 0 || c.Part != part.ID {
			part, _ = p.Part(c.Part)
			kind = fmt.Sprintf("%s/%s/%d", part.Species, part.Grade, part.ID)
		}
		t := solid.Turn{From: [3]int{int(c.Along), int(c.Across()), int(c.Thick)}}
		if t.Mirrors() {
			t.Flip[2] = true
		}
		body := p.Frame.Bodies[i]
		key = body.Shape(append(key[:0], byte(c.Along), byte(c.Thick)))
		local, ok := known[string(key)]
		if !ok {
			local = body.Translate(solid.Point{}.Sub(body.Bounds().Min)).Turn(t)
			known[string(key)] = local
		}
		out[i] = assembly.Copy{ID: c.Mark, Kind: kind, Local: local, Turn: t.Inverse(), At: body.Bounds().Min}
	}
	return out
}

// marking finds interchangeable copies and warns of those that only look so.
func (m *making) marking(joints []assembly.Joint) {
	copies := m.plan.locals()
	marked := assembly.Mark(copies)
	out := Marking{Joints: assembly.MarkJoints(copies, m.plan.Frame.Bodies, joints)}
	byLetter := map[string][]string{}
	for _, g := range marked.Groups {
		out.Groups = append(out.Groups, g.Copies)
		byLetter[g.Letter] = g.Copies
	}
	for _, l := range marked.LookAlikes {
		a := Alike{A: byLetter[l.A], B: byLetter[l.B], Handed: l.Like == assembly.Handed}
		out.Alike = append(out.Alike, a)
		m.alike(a)
	}
	m.plan.Frame.Marking = out
}

func (m *making) alike(a Alike) {
	text := fmt.Sprintf("%s and %s look alike but are cut differently.", listMarks(a.A), listMarks(a.B))
	if a.Handed {
		text = fmt.Sprintf("%s and %s are handed: mirror images of each other.", listMarks(a.A), listMarks(a.B))
	}
	m.shape = append(m.shape, Finding{Code: "marks.alike", Severity: Note, Subject: Subject{Room: "piece", Marks: append(append([]string{}, a.A...), a.B...)},
		Text: text, Do: "Write the marks before the first joint is cut, on the end that shows them at assembly.", Source: "bodies compared under every way of holding them"})
}

// Swap tells what exchanging two copies would do, in sentences; none where nobody
// would notice.
func (p *Plan) Swap(a, b string) []string {
	at := make(map[string]int, len(p.Copies))
	for i, c := range p.Copies {
		at[c.Mark] = i
	}
	i, okA := at[a]
	k, okB := at[b]
	if !okA || !okB || i == k {
		return nil
	}
	var mates []solid.Mate
	pair := map[string]int{}
	for _, j := range p.Frame.Joints {
		for _, mate := range j.Result.Mates(j.ID, p.Copies[j.A].Mark, p.Copies[j.B].Mark) {
			mates = append(mates, mate)
			pair[mate.ID] = j.Pair
		}
	}
	effect := assembly.SwapEffect(p.locals(), mates, i, k)
	var out []string
	for _, x := range effect.Misfits {
		if x.Mate == "" {
			out = append(out, fmt.Sprintf("At the place of %s the wood runs into %s.", x.Place, x.Other))
			continue
		}
		out = append(out, fmt.Sprintf("At the place of %s joint %d with %s no longer fits.", x.Place, pair[x.Mate], x.Other))
	}
	if len(out) == 0 && !effect.Harmless() {
		out = append(out, strings.TrimSpace(fmt.Sprintf("Every joint fits, but a cut of %s or %s shows where none should be.", a, b)))
	}
	return out
}
