package plan

import (
	"fmt"
	"strings"
)

// Faults gives what is wrong with the references and sizes of a stored project,
// in sentences. A sound project has none; findings about the piece are not faults.
func (p *Project) Faults() []string { return append(p.pileFaults(), p.PieceFaults()...) }

func (p *Project) pileFaults() []string {
	var out []string
	say := func(format string, args ...any) { out = append(out, fmt.Sprintf(format, args...)) }
	lots := map[ID]bool{0: true}
	for _, l := range p.Lots {
		lots[l.ID] = true
	}
	marks := map[string]bool{}
	for _, b := range p.Boards {
		if !lots[b.Lot] {
			say("Board %s belongs to a lot that is not there.", b.Mark)
		}
		if b.Length <= 0 || b.Width <= 0 || b.Thickness <= 0 {
			say("Board %s has a size of nothing or less.", b.Mark)
		}
		if text, _ := boardFault(b); text != "" {
			say("Board %s: %s.", b.Mark, text)
		}
		if key := strings.ToLower(b.Mark); marks[key] {
			say("Two boards have the mark %s.", b.Mark)
		} else {
			marks[key] = true
		}
	}
	return out
}

// PieceFaults are those of Faults that are about the open piece.
func (p *Project) PieceFaults() []string {
	var out []string
	say := func(format string, args ...any) { out = append(out, fmt.Sprintf(format, args...)) }
	parts := map[ID]bool{}
	for _, part := range p.Parts {
		parts[part.ID] = true
	}
	for _, j := range p.Joints {
		if !parts[j.A.Part] || !parts[j.B.Part] {
			say("Joint %d names a part that is not there.", j.ID)
		}
	}
	for _, c := range p.Choices {
		if _, there := p.Board(c.Board); c.Kind != RowPlace && !there {
			say("A choice names a board that is not there.")
		}
	}
	return out
}
