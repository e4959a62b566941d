package figure

import (
	"pilewright/layout/drawing"
	"pilewright/plan"
	"pilewright/plan/assembly"
	"pilewright/plan/solid"
)

// Limits of a stage's drawing: beyond mostWhole bodies only those are drawn whose
// joints close in it, beyond mostDrawn none is, as no mark could be read.
const (
	mostWhole = 60
	mostDrawn = 200
)

// Stage gives the bodies of an assembly stage, counted from 0, drawn apart along
// its moves. whole reports whether all that the stage leaves as one is there; of
// large stages only the bodies are whose joints close in it.
func Stage(p *plan.Plan, n int) (bodies []drawing.Solid3, whole bool) {
	st := p.Frame.Build.Sequence.Stages[n]
	at := map[string]solid.Point{}
	for i := len(st.Moves) - 1; i >= 0; i-- {
		m := st.Moves[i]
		for _, mark := range m.Moving {
			at[mark] = at[mark].Add(m.Dir.Opposite().Times(m.Travel))
		}
	}
	show, whole := stageParts(p, st)
	if len(show) > mostDrawn {
		return nil, false
	}
	bodies = solidsOf(p, show)
	for i := range bodies {
		bodies[i].Offset = at[bodies[i].Mark]
	}
	return bodies, whole
}

// stageParts gives the marks of the bodies to be drawn of a stage.
func stageParts(p *plan.Plan, st assembly.Stage) (show map[string]bool, whole bool) {
	show = map[string]bool{}
	if len(st.Parts) <= mostWhole {
		for _, mark := range st.Parts {
			show[mark] = true
		}
		return show, true
	}
	closes := map[string]bool{}
	for _, id := range st.Joints {
		closes[id] = true
	}
	for _, j := range p.Frame.Joints {
		if closes[j.ID] {
			show[p.Copies[j.A].Mark], show[p.Copies[j.B].Mark] = true, true
		}
	}
	return show, false
}

// StagePicture draws a stage of the assembly, counted from 0; see Stage for
// whole. It is empty where too many bodies are joined in one stage.
func StagePicture(p *plan.Plan, n int, width, height float64) (picture *drawing.Picture, whole bool) {
	bodies, whole := Stage(p, n)
	return drawing.Isometric(bodies, drawing.IsometricOptions{Width: width, Height: height, Marks: true, Paths: true}), whole
}
