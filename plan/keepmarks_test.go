package plan_test

import (
	"context"
	"fmt"
	"slices"
	"testing"

	"pilewright/plan"
	"pilewright/plan/plantest"
)

// turning is a cutter whose every better plan cuts the boards in another order of
// the pile, so that blanks are numbered anew: by the number of the plan.
func turning(plans int) plan.Cutter {
	return func(ctx context.Context, job plan.CutJob, better func(plan.Cuts)) (plan.Cuts, error) {
		if better == nil {
			return plantest.Cut(ctx, job, nil)
		}
		var last plan.Cuts
		for n := range plans {
			turned := job
			k := n % max(len(job.Boards), 1)
			turned.Boards = append(slices.Clone(job.Boards[k:]), job.Boards[:k]...)
			c, err := plantest.Cut(ctx, turned, nil)
			if err != nil {
				return c, err
			}
			better(c)
			last = c
		}
		return last, nil
	}
}

// stay counts the blanks of a kind that are cut from a board in both plans, and
// those of them that keep their marks.
func stay(a, b *plan.Plan) (both, kept int) {
	marks := func(p *plan.Plan) map[string][]string {
		out := map[string][]string{}
		for _, cb := range p.Cuts.Boards {
			for _, q := range cb.Pieces {
				key := fmt.Sprint(cb.Board, " ", q.Blank)
				out[key] = append(out[key], q.Mark)
			}
		}
		return out
	}
	was, now := marks(a), marks(b)
	for key, list := range was {
		n := 0
		for _, m := range list {
			if slices.Contains(now[key], m) {
				n++
			}
		}
		both, kept = both+min(len(list), len(now[key])), kept+n
	}
	return both, kept
}

func TestBlanksThatStayOnTheirBoardsKeepTheirMarks(t *testing.T) {
	p := demoProject(t)
	tools := toyTools
	tools.Cut = turning(6)
	var shown []*plan.Plan
	last, err := plan.Make(context.Background(), p, tools, func(better *plan.Plan) {
		if better.Phase == "proving the cuts" {
			shown = append(shown, better)
		}
	})
	if err != nil {
		t.Fatal(err)
	}
	moved := 0
	for i := 1; i < len(shown); i++ {
		both, kept := stay(shown[i-1], shown[i])
		if both != kept {
			t.Errorf("plan %d: %d of %d blanks that stay on their boards keep their marks", i+1, kept, both)
		}
		moved += both
	}
	if len(shown) < 4 || moved == 0 {
		t.Fatalf("%d plans with %d blanks that stay: nothing can be seen of this", len(shown), moved)
	}
	// Saws and long blanks speak of the marks that are drawn.
	for _, cb := range last.Cuts.Boards {
		for _, s := range cb.Saws {
			if s.Mark != "" && !slices.ContainsFunc(cb.Pieces, func(q plan.CutPiece) bool { return q.Mark == s.Mark }) {
				t.Errorf("a cut frees %s, which is not cut from its board", s.Mark)
			}
		}
	}
	// Without its first board the pile numbers the blanks of all others anew.
	edited := p.With(func(q *plan.Project) {
		used := last.Cuts.Boards[0].Board
		q.Boards = slices.DeleteFunc(slices.Clone(p.Boards), func(b plan.Board) bool { return b.ID == used })
	})
	first := func(before *plan.Plan) *plan.Plan {
		tools := toyTools
		tools.Before = before
		var out *plan.Plan
		if _, err := plan.Make(context.Background(), edited, tools, func(better *plan.Plan) {
			if out == nil {
				out = better
			}
		}); err != nil {
			t.Fatal(err)
		}
		return out
	}
	before, err := plan.Make(context.Background(), p, toyTools, nil)
	if err != nil {
		t.Fatal(err)
	}
	after := first(before)
	if both, kept := stay(before, after); both != kept || both == 0 {
		t.Errorf("after an edit %d of %d blanks that stay on their boards keep their marks", kept, both)
	}
	seen := map[string]bool{}
	for _, cb := range after.Cuts.Boards {
		for _, q := range cb.Pieces {
			if seen[q.Ref()] {
				t.Errorf("%s is cut twice", q.Ref())
			}
			seen[q.Ref()] = true
		}
	}
}
