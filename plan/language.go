package plan

import (
	"slices"

	"pilewright/plan/words"
)

// In gives the plan with everything it says in another language: findings,
// steps, cautions, reasons, what is proved. The maker's own names stay as they
// are, and so do keys, machines' kinds and the project itself. Nil, English,
// gives the plan as it is, and
// so does the language it is said in already.
func (p *Plan) In(l *words.Language) *Plan {
	if l == nil || p == nil || p.Project == nil || p.Words.Tag() == l.Tag() {
		return p
	}
	l = l.Keeping(p.Project.ownNames()...)
	out := *p
	out.Words = l
	out.Findings = mapped(p.Findings, func(f *Finding) {
		f.Text, f.Do, f.Source = l.Say(f.Text), l.Say(f.Do), l.Say(f.Source)
	})
	out.Work.Blocked = l.Say(p.Work.Blocked)
	out.Work.Steps = mapped(p.Work.Steps, func(s *Step) {
		if s.Own {
			return
		}
		s.Title, s.Setup, s.Detail = l.Say(s.Title), l.Say(s.Setup), l.All(s.Detail)
		s.Methods = mapped(s.Methods, func(m *StepMethod) { m.Setup, m.Detail = l.Say(m.Setup), l.All(m.Detail) })
	})
	out.Work.Timeline.Bars = slices.Clone(p.Work.Timeline.Bars)
	for i := range out.Work.Timeline.Bars {
		b := &out.Work.Timeline.Bars[i]
		b.Setup = l.Say(b.Setup)
	}
	out.Cuts.Sentence = l.Say(p.Cuts.Sentence)
	out.Cuts.Short = mapped(p.Cuts.Short, func(s *Short) { s.Say = l.Say(s.Say) })
	out.Blanks = mapped(p.Blanks, func(b *Blank) { b.Name = l.Say(b.Name) })
	out.GlueUps = mapped(p.GlueUps, func(g *GlueUp) {
		g.Clamping.Say, g.Panel.Faults = l.All(g.Clamping.Say), l.All(g.Panel.Faults)
	})
	out.Frame.Build.Blocked = l.Say(p.Frame.Build.Blocked)
	out.Ways = mapped(p.Ways, func(w *PartWays) {
		w.Options = mapped(w.Options, func(o *WayOption) { o.Why = l.Say(o.Why) })
	})
	out.Ledger.Lines = mapped(p.Ledger.Lines, func(x *Line) { x.Text, x.How = l.Say(x.Text), l.Say(x.How) })
	return &out
}

// mapped copies a list with every member changed.
func mapped[T any](list []T, change func(*T)) []T {
	out := slices.Clone(list)
	for i := range out {
		change(&out[i])
	}
	return out
}

// ownNames are the words of the maker's that stand in the plan's sentences.
func (p *Project) ownNames() []string {
	var out []string
	add := func(list ...string) {
		for _, n := range list {
			if n != "" {
				out = append(out, n, clip(n))
			}
		}
	}
	add(p.Piece.Name, p.Piece.Note)
	for _, x := range p.Parts {
		add(x.Name, x.Note)
	}
	for _, x := range p.Measures {
		add(x.Name, x.Text)
	}
	for _, x := range p.Boards {
		add(x.Mark, x.Place)
	}
	for _, x := range p.Lots {
		add(x.Name)
	}
	for _, x := range p.Piece.Hardware {
		add(x.Name)
	}
	for _, x := range p.Expenses {
		add(x.What)
	}
	return out
}

// In gives a starting point that ships with the program in another language:
// its name, the names of its parts and what is noted at them. Measures keep their
// names, which stand in sizes. A maker's own starting point stays as it is.
func (s Start) In(l *words.Language) Start {
	if l == nil || s.Number != 0 {
		return s
	}
	s.Name, s.Note = l.Word(s.Name), l.Word(s.Note)
	s.Measures = mapped(s.Measures, func(m *Measure) { m.Note = l.Word(m.Note) })
	s.Parts = mapped(s.Parts, func(p *Part) { p.Name, p.Note = l.Word(p.Name), l.Word(p.Note) })
	s.Joints = mapped(s.Joints, func(j *StartJoint) { j.A, j.B, j.Note = l.Word(j.A), l.Word(j.B), l.Word(j.Note) })
	return s
}
