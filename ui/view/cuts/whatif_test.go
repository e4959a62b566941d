package cuts

import (
	"strings"
	"testing"

	"pilewright/plan"
	"pilewright/ui/session"
)

func TestWhatIfWithoutABoardTellsItsCostAndChangesNothing(t *testing.T) {
	d, r := shown(t)
	r.without()
	if d.Failed == nil {
		t.Error("asking without a board picked is not refused")
	}
	before := d.Session().Project()
	cb := d.Session().Plan().Cuts.Boards[0]
	d.Session().Select(session.Selection{Board: cb.Board})
	d.Failed = nil
	r.without()
	if d.Failed != nil {
		t.Fatal(d.Failed)
	}
	if !strings.Contains(r.proof.Text, "planning…") {
		t.Errorf("while it is asked the room reads %q", r.proof.Text)
	}
	d.Until(func() bool { return r.asked == nil })
	b, _ := before.Board(cb.Board)
	if want := "Without board " + b.Mark + ": "; !strings.HasPrefix(r.whatIf, want) || !strings.Contains(r.proof.Text, r.whatIf) {
		t.Errorf("the answer is %q, the room reads %q", r.whatIf, r.proof.Text)
	}
	if d.Session().Project() != before {
		t.Error("the question changed the project")
	}
	for _, other := range before.Boards {
		if _, cut := board(d.Session().Plan(), other.ID); !cut && other.State == plan.InPile {
			d.Session().Select(session.Selection{Board: other.ID})
			r.without()
			if !strings.Contains(r.whatIf, "costs nothing") {
				t.Errorf("for a board that is not cut the answer is %q", r.whatIf)
			}
			break
		}
	}
	d.Session().Select(session.Selection{Board: cb.Board})
	r.never(cb.Board)
	if r.whatIf != "" {
		t.Errorf("after an edit the old answer still stands: %q", r.whatIf)
	}
}

func board(p *plan.Plan, id plan.ID) (plan.CutBoard, bool) {
	for _, cb := range p.Cuts.Boards {
		if cb.Board == id {
			return cb, true
		}
	}
	return plan.CutBoard{}, false
}

func TestTheSearchIsStoppedAndGoesOn(t *testing.T) {
	d, r := shown(t)
	d.Session().Replan()
	r.Changed(session.Change{Busy: true})
	if busy, _ := d.Session().Busy(); !busy || r.plan.Text != "Stop" || r.plan.Disabled() {
		t.Fatalf("while it is busy the button reads %q", r.plan.Text)
	}
	shownBefore := d.Session().Plan()
	r.stopOrGo()
	d.Settle()
	if busy, _ := d.Session().Busy(); busy || r.plan.Text != "Plan on" {
		t.Errorf("stopped, the button reads %q", r.plan.Text)
	}
	if len(d.Session().Plan().Cuts.Boards) != len(shownBefore.Cuts.Boards) {
		t.Error("stopping lost the plan that was shown")
	}
	r.stopOrGo()
	d.Settle()
	if len(d.Session().Plan().Cuts.Boards) != len(shownBefore.Cuts.Boards) {
		t.Error("going on changed the plan for none better")
	}
}
