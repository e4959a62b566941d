package plan_test

import (
	"slices"
	"strings"
	"testing"

	"pilewright/plan"
	"pilewright/plan/measure"
	"pilewright/plan/trade"
)

func TestTheMethodChosenIsSaidWithWhatAnotherWouldTake(t *testing.T) {
	several := 0
	for _, id := range startIDs(t) {
		made := make1(t, demoProject(t).NewPiece(readStart(t, id), id))
		for _, s := range made.Work.Steps {
			said := slices.IndexFunc(s.Detail, func(d string) bool { return strings.HasPrefix(d, "Chosen: ") })
			if want := len(s.Methods) > 1; want != (said >= 0) {
				t.Errorf("%s, %s: %d methods, said %v", id, s.Key, len(s.Methods), said >= 0)
			}
			if said < 0 {
				continue
			}
			several++
			for i, x := range s.Methods {
				if slices.ContainsFunc(s.Methods[i+1:], func(y plan.StepMethod) bool { return y.Name == x.Name }) {
					t.Errorf("%s, %s: two ways are called %s", id, s.Key, x.Name)
				}
			}
			if !strings.Contains(s.Detail[said], "changes of set-up counted") || strings.Contains(s.Detail[said], "By  ") {
				t.Errorf("%s, %s: %s", id, s.Key, s.Detail[said])
			}
		}
	}
	if several == 0 {
		t.Error("no step has several methods")
	}
}

// The shoulders of a tenon are as deep as its stock is thicker and wider than it:
// both depths must stand at the step.
func TestATenonsStepTellsEveryDepthOfItsShoulders(t *testing.T) {
	n := 0
	for _, id := range startIDs(t) {
		made := make1(t, demoProject(t).NewPiece(readStart(t, id), id))
		for _, j := range made.Frame.Joints {
			by := map[string]map[measure.Length]bool{}
			for _, x := range j.Result.Methods {
				if x.OnB && len(j.Result.Mortises) > 0 {
					if by[string(x.Tool)] == nil {
						by[string(x.Tool)] = map[measure.Length]bool{}
					}
					by[string(x.Tool)][x.Depths[len(x.Depths)-1]] = true
				}
			}
			if len(by) == 0 {
				continue
			}
			n++
			b := made.Copies[j.B].Mark
			if !slices.ContainsFunc(made.Work.Steps, func(s plan.Step) bool {
				return strings.HasPrefix(s.Key, "tenon/") && slices.Contains(s.Marks, b) && strings.Count(s.Setup, " deep") == len(by[s.Method])
			}) {
				t.Errorf("%s, joint %s: no step tells its %d depths", id, j.ID, len(by["dado-stack"]))
			}
		}
	}
	if n == 0 {
		t.Error("no tenons")
	}
}

// The list is that of the work: which caution each machine and set-up calls for.
func TestCautionsStandWhereTheyMatterAndNowhereElse(t *testing.T) {
	seen := map[string]bool{}
	for n, id := range startIDs(t) {
		p := demoProject(t).NewPiece(readStart(t, id), id)
		finishes := trade.Finishes[:1]
		if n == 0 {
			finishes = trade.Finishes
		}
		for _, finish := range finishes {
			p.Piece.Finish = finish.ID
			made := make1(t, p)
			for _, s := range made.Work.Steps {
				has := func(code string) bool { return slices.Contains(s.Cautions, code) }
				rip := s.Machine == "table-saw" && strings.HasPrefix(s.Setup, "rip blade")
				dado := strings.HasPrefix(s.Setup, "dado")
				for _, x := range []struct {
					code string
					want bool
				}{
					{"kickback", rip}, {"push-stick", rip}, {"dado-guard", dado}, {"mitre-depth-stop", strings.HasPrefix(s.Setup, "depth stop")},
					{"router-direction", s.Machine == "router"}, {"router-breakout", s.Machine == "router"}, {"planer-short", s.Machine == "planer"}, {"rocking", s.Key == "joint"},
					{"ventilation", strings.HasPrefix(s.Key, "coat/")}, {"load", s.Key == "deliver"},
					{"crosscut-support", s.Machine == "table-saw" && strings.HasPrefix(s.Setup, "crosscut sled") || dado},
				} {
					if has(x.code) != x.want {
						t.Errorf("%s, %s (%s, %s): caution %s is %v, want %v", id, s.Key, s.Machine, s.Setup, x.code, has(x.code), x.want)
					}
					seen[x.code] = seen[x.code] || has(x.code)
				}
				oily := strings.HasPrefix(s.Key, "coat/") && strings.Contains(strings.ToLower(finish.Name), "oil")
				if oily && !has("oily-rags") {
					t.Errorf("%s, %s: no word of oily rags", finish.ID, s.Key)
				}
				if has("oily-rags") && !strings.HasPrefix(s.Key, "coat/") || has("oily-rags") && (finish.ID == "poly-water" || finish.ID == "paint") {
					t.Errorf("%s, %s: oily rags where there are none", finish.ID, s.Key)
				}
				if s.Key == "nails" && !(has("metal") && has("pallet-mark")) {
					t.Errorf("%s: %v", s.Key, s.Cautions)
				}
				for _, code := range s.Cautions {
					c, ok := trade.CautionByCode(code)
					if !ok || c.Source == "" || c.When == "" || c.Text == "" {
						t.Errorf("%s: caution %q is not whole", s.Key, code)
					}
				}
			}
		}
	}
	p := demoProject(t).With(func(q *plan.Project) {
		q.Lots = slices.Clone(q.Lots)
		for i := range q.Lots {
			q.Lots[i].Source = "bought"
		}
		q.Boards = slices.Clone(q.Boards)
		for i := range q.Boards {
			q.Boards[i].Lot = q.Lots[0].ID
		}
	})
	for _, s := range make1(t, p).Work.Steps {
		if s.Key == "nails" && slices.Contains(s.Cautions, "pallet-mark") {
			t.Error("bought boards have no pallet's mark")
		}
	}
	for _, code := range []string{"kickback", "router-direction", "planer-short", "ventilation", "load"} {
		if !seen[code] {
			t.Errorf("no step shows %q", code)
		}
	}
}
