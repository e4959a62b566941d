package assembly

import (
	"fmt"
	"math/rand/v2"
	"slices"
	"testing"

	"pilewright/plan/solid"
)

func TestCheckRefusesWhatCannotBeDone(t *testing.T) {
	limits := Limits{OpenMinutes: 10, Clamps: 8, ClampsFor: func(joints int) int { return joints }}
	for _, c := range []struct {
		name string
		edit func(s *Sequence)
	}{
		{"a stage left out", func(s *Sequence) { s.Stages = slices.Delete(s.Stages, 1, 2); s.redo() }},
		{"the last stage left out", func(s *Sequence) { s.Stages = s.Stages[:3]; s.redo() }},
		{"a stage before those it needs", func(s *Sequence) { s.Stages[0], s.Stages[2] = s.Stages[2], s.Stages[0]; s.redo() }},
		{"a move from the other side", func(s *Sequence) { s.Stages[3].Moves[0].Dir = solid.PlusZ; s.redo() }},
		{"a move along another axis than its stage", func(s *Sequence) { s.Stages[3].Moves[0].Dir = solid.PlusX; s.redo() }},
		{"a move and its stage along the wrong axis", func(s *Sequence) {
			s.Stages[3].Axis, s.Stages[3].Moves[0].Dir = 0, solid.PlusX
			s.redo()
		}},
		{"the far frame before the long rails", func(s *Sequence) {
			m := s.Stages[2].Moves
			m[0], m[2] = m[2], m[0]
			s.redo()
		}},
		{"a leg torn out of its frame", func(s *Sequence) {
			m := &s.Stages[2].Moves[2]
			m.Moving = m.Moving[:2]
			s.redo()
		}},
		{"a joint said to close that does not", func(s *Sequence) {
			m := &s.Stages[2].Moves[2]
			m.Joints = append(slices.Clone(m.Joints), "top/rail l")
			s.redo()
		}},
		{"a joint not said to close", func(s *Sequence) {
			m := &s.Stages[2].Moves[2]
			m.Joints = m.Joints[1:]
			s.redo()
		}},
		{"minutes told too few", func(s *Sequence) { s.Stages[2].Minutes-- }},
		{"clamps told too few", func(s *Sequence) { s.Stages[2].Clamps-- }},
		{"glue told dry", func(s *Sequence) { s.Stages[2].Dry = true }},
		{"a needed stage not told", func(s *Sequence) { s.Stages[2].After = s.Stages[2].After[1:] }},
		{"a level too low", func(s *Sequence) { s.Stages[3].Level = 1 }},
		{"parts told that are not there", func(s *Sequence) { s.Stages[0].Parts = append(slices.Clone(s.Stages[0].Parts), "top") }},
		{"a part said to be held that touches", func(s *Sequence) { s.Stages[0].Moves[0].Held = true; s.redo() }},
		{"a body moved twice", func(s *Sequence) {
			st := &s.Stages[0]
			st.Moves = append(slices.Clone(st.Moves), st.Moves[0])
			s.redo()
		}},
		{"a dry fit of another order", func(s *Sequence) { s.DryFit[0], s.DryFit[2] = s.DryFit[2], s.DryFit[0] }},
		{"a dry fit cut short", func(s *Sequence) { s.DryFit = s.DryFit[:5] }},
		{"an empty stage", func(s *Sequence) { s.Stages = append(s.Stages, Stage{}) }},
		{"an unknown body", func(s *Sequence) { s.Stages[0].Moves[0].Moving = []string{"shelf"}; s.redo() }},
	} {
		t.Run(c.name, func(t *testing.T) {
			bodies, joints := table()
			s := plan(t, bodies, joints, limits)
			c.edit(&s)
			if err := Check(bodies, joints, limits, s); err == nil {
				t.Errorf("accepted:\n%s", told(s))
			}
		})
	}
	bodies, joints := table()
	s := plan(t, bodies, joints, limits)
	if err := Check(bodies, joints, Limits{OpenMinutes: 7}, s); err == nil {
		t.Error("accepted a stage longer than the open time")
	}
	limits.Clamps = 3
	if err := Check(bodies, joints, limits, s); err == nil {
		t.Error("accepted a stage of more clamps than there are")
	}
}

func TestCheckSweepsTheWood(t *testing.T) {
	bodies := []solid.Body{
		{ID: "post", Solid: solid.New(box(0, 0, 0, 10, 10, 100))},
		{ID: "ring", Solid: solid.New(box(-10, -10, 40, 20, 20, 60)).Cut(box(0, 0, 40, 10, 10, 60))},
	}
	s := plan(t, bodies, nil, Limits{})
	for _, d := range []solid.Direction{solid.PlusX, solid.MinusX, solid.PlusY, solid.MinusY} {
		s.Stages[0].Axis, s.Stages[0].Moves[0].Dir = d.Axis(), d
		s.redo()
		if err := Check(bodies, nil, Limits{}, s); err == nil {
			t.Errorf("accepted a ring coming %v through the post", d)
		}
	}
}

func TestADeepTenonIsDrawnOutBeforeItsNeighbourMoves(t *testing.T) {
	// b has a long tenon in a, and is drawn off to the right, past c and d. c has a
	// deep one in b across that way; d, in one piece with c, only touches a.
	long, deep := box(100, 40, 40, 400, 60, 60), box(405, 100, 10, 420, 300, 30)
	bodies := []solid.Body{
		{ID: "a", Solid: solid.New(box(0, 0, 0, 400, 300, 100)).Cut(long)},
		{ID: "b", Solid: solid.New(box(400, 0, 0, 500, 300, 100), long).Cut(deep)},
		{ID: "c", Solid: solid.New(box(405, 300, 0, 425, 400, 50), deep)},
		{ID: "d", Solid: solid.New(box(380, 300, 50, 425, 400, 100))},
	}
	joints := []Joint{
		{ID: "ab", A: "a", B: "b", Dir: solid.MinusX},
		{ID: "ad", A: "a", B: "d", Dir: solid.MinusY},
		{ID: "cd", A: "c", B: "d", Dir: solid.MinusZ},
	}
	checkExploded(t, bodies, joints, plan(t, bodies, joints, Limits{}), 100)
}

// redo makes the dry fit follow edited stages.
func (s *Sequence) redo() {
	s.DryFit = nil
	for _, st := range s.Stages {
		s.DryFit = append(s.DryFit, st.Moves...)
	}
}

// checkExploded looks at states of the exploded view: whole at 0, every joint open at 1,
// and never two bodies in one place between.
func checkExploded(t *testing.T, bodies []solid.Body, joints []Joint, s Sequence, steps int) {
	t.Helper()
	if got := Exploded(s, 0); len(got) != 0 {
		t.Fatalf("at 0 %v are off their place", got)
	}
	for step := 1; step <= steps; step++ {
		at := Exploded(s, float64(step)/float64(steps))
		for i, a := range bodies {
			x := a.Solid.Translate(at[a.ID])
			for _, b := range bodies[:i] {
				y := b.Solid.Translate(at[b.ID])
				if x.Overlaps(y) {
					t.Fatalf("step %d of %d: %s and %s overlap\n%s", step, steps, a.ID, b.ID, told(s))
				}
			}
		}
	}
	at := Exploded(s, 1)
	body := map[string]solid.Solid{}
	for _, b := range bodies {
		body[b.ID] = b.Solid
	}
	for _, j := range joints {
		// A dry joint of bodies far from each other never was closed.
		if at[j.A] == at[j.B] && !solid.ContactArea(body[j.A], body[j.B]).IsZero() {
			t.Fatalf("joint %s is closed at the end\n%s", j.ID, told(s))
		}
	}
}

func TestTheExplodedViewNeverOverlaps(t *testing.T) {
	bodies, joints := table()
	checkExploded(t, bodies, joints, plan(t, bodies, joints, Limits{}), 200)
	bodies, joints = slattedBench(8)
	s := plan(t, bodies, joints, Limits{OpenMinutes: 9})
	checkExploded(t, bodies, joints, s, 90)
	// Slats on one side of a rail go equally far.
	var travel []int64
	for _, m := range s.DryFit {
		if len(m.Joints) == 1 {
			travel = append(travel, int64(m.Travel))
		}
	}
	if slices.Min(travel) != slices.Max(travel) {
		t.Errorf("slats are drawn apart by %v", travel)
	}
	r := rand.New(rand.NewPCG(3, 3))
	for n := 0; n < 60; {
		bodies, joints := randomPiece(r, 6)
		// Coordinates of a few nanometres would round the steps away.
		for i, b := range bodies {
			var boxes []solid.Box
			for _, x := range b.Solid.Boxes() {
				for k := range 3 {
					x.Min[k] *= 1000
					x.Max[k] *= 1000
				}
				boxes = append(boxes, x)
			}
			bodies[i].Solid = solid.New(boxes...)
		}
		s, err := Plan(bodies, joints, Limits{})
		if err != nil {
			continue
		}
		n++
		checkExploded(t, bodies, joints, s, 40)
	}
}

func TestExplodedAtEitherEndAndBeyond(t *testing.T) {
	bodies, joints := table()
	s := plan(t, bodies, joints, Limits{})
	nan := 0.0
	nan /= nan
	for _, c := range []struct{ t, same float64 }{{-1, 0}, {nan, 0}, {2, 1}} {
		if got, want := fmt.Sprint(Exploded(s, c.t)), fmt.Sprint(Exploded(s, c.same)); got != want {
			t.Errorf("at %v: got %v, want what is shown at %v", c.t, got, c.same)
		}
	}
	if got := Exploded(s, 1.0/16)["top"]; got[0] != 0 || got[1] != 0 || got[2] != s.DryFit[7].Travel/2 {
		t.Errorf("half of the last move undone: the top is at %v", got)
	}
}

func BenchmarkPlan(b *testing.B) {
	for _, c := range []struct {
		name   string
		make   func() ([]solid.Body, []Joint)
		limits Limits
	}{
		{"table of 60 copies", slattedTable, Limits{OpenMinutes: 10}},
		{"bench of 1000 copies", func() ([]solid.Body, []Joint) { return slattedBench(998) }, Limits{}},
		{"bench of 1000 copies within limits", func() ([]solid.Body, []Joint) { return slattedBench(998) }, Limits{OpenMinutes: 1000}},
	} {
		bodies, joints := c.make()
		b.Run(c.name, func(b *testing.B) {
			for b.Loop() {
				if _, err := Plan(bodies, joints, c.limits); err != nil {
					b.Fatal(err)
				}
			}
		})
		s, err := Plan(bodies, joints, c.limits)
		if err != nil {
			b.Fatal(err)
		}
		b.Run("check "+c.name, func(b *testing.B) {
			for b.Loop() {
				if err := Check(bodies, joints, c.limits, s); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}

func TestTheStageShownOpenIsTheEarliestWithAMoveUndone(t *testing.T) {
	bodies, joints := table()
	s := plan(t, bodies, joints, Limits{OpenMinutes: 10})
	for step := range 201 {
		at := float64(step) / 200
		moved := Exploded(s, at)
		n, open := s.OpenAt(at)
		if open != (len(moved) > 0) {
			t.Fatalf("at %v: open %v, %d bodies moved", at, open, len(moved))
		}
		if !open {
			continue
		}
		// What earlier stages move is only carried along: their joints stay closed.
		for k, st := range s.Stages {
			for _, m := range st.Moves {
				apart := moved[m.Moving[0]] != moved[m.Into[0]]
				if k < n && apart {
					t.Fatalf("at %v stage %d is said to be the first open, but %v of stage %d has moved", at, n+1, m.Moving, k+1)
				}
			}
		}
		m := s.Stages[n].Moves[len(s.Stages[n].Moves)-1]
		if moved[m.Moving[0]] == moved[m.Into[0]] {
			t.Fatalf("at %v stage %d is said to be open, but nothing of it has moved", at, n+1)
		}
	}
}
