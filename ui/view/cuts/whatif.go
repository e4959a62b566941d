package cuts

import (
	"slices"

	"fyne.io/fyne/v2/lang"

	"pilewright/plan"
	"pilewright/ui/locale"
)

// stopOrGo stops the search with the best plan so far, or lets it go on.
func (r *Room) stopOrGo() {
	s := r.desk.Session()
	if busy, _ := s.Busy(); busy {
		s.Stop()
		return
	}
	s.Replan()
}

// offer says on the button what can be done: stop while the search runs, go on
// while something is left to find or to prove.
func (r *Room) offer() {
	busy, _ := r.desk.Session().Busy()
	switch c := r.cuts(); {
	case busy:
		r.plan.SetText(lang.L("Stop"))
		r.plan.Enable()
	default:
		r.plan.SetText(lang.L("Plan on"))
		if c.Proved && c.Final {
			r.plan.Disable()
		} else {
			r.plan.Enable()
		}
	}
}

// ask puts an answer, or that it is sought, below the proof; a question that was
// open before is dropped.
func (r *Room) ask(text string) {
	if r.asked != nil {
		r.asked()
		r.asked = nil
	}
	r.whatIf = text
}

// without asks what the plan would come to if the board picked stayed whole.
// Nothing is changed by it.
func (r *Room) without() {
	s := r.desk.Session()
	before, id := s.Plan(), s.Selection().Board
	b, ok := s.Project().Board(id)
	if !ok || before == nil {
		r.desk.Fail(locale.Error("pick a board in the table or the drawing first"))
		return
	}
	if s.Stale() {
		r.desk.Fail(locale.Error("the plan of the last edit is not there yet; ask again in a moment"))
		return
	}
	if !slices.ContainsFunc(before.Cuts.Boards, func(c plan.CutBoard) bool { return c.Board == id }) {
		r.ask(lang.L("Without board {{.board}}: it costs nothing; no blank comes from it.", locale.With{"board": b.Mark}))
		r.proof.SetText(r.sentence())
		return
	}
	r.ask(lang.L("Without board {{.board}}: planning…", locale.With{"board": b.Mark}))
	r.proof.SetText(r.sentence())
	r.asked = s.WhatIf(func(p *plan.Project) (*plan.Project, error) {
		return p.With(func(q *plan.Project) {
			q.Choices = append(slices.Clone(p.Choices), plan.Choice{ID: q.Take(), Piece: p.Piece.ID, Kind: plan.NeverBoard, Board: id, Order: len(p.Choices)})
		}), nil
	}, func(after *plan.Plan, err error) {
		r.asked = nil
		switch {
		case err != nil:
			r.whatIf = ""
			r.desk.Fail(err)
		default:
			r.whatIf = lang.L("Without board {{.board}}: {{.cost}}. Nothing was changed; Never cut keeps it so.", locale.With{"board": b.Mark, "cost": Cost(before, after)})
			r.desk.Say(r.whatIf)
		}
		r.proof.SetText(r.sentence())
	})
}
