package layout_test

import (
	"context"
	"fmt"
	"math/rand/v2"
	"os"
	"testing"

	"pilewright/layout"
	"pilewright/plan"
	"pilewright/plan/measure"
)

// Whatever the pile and the blanks, the plan passes the checker, no bound is above
// its value, and the same job gives the same plan.
func TestRandomJobsWithSheetsPassTheChecker(t *testing.T) {
	n := uint64(12)
	if os.Getenv("PILEWRIGHT_FULL") != "" {
		n = 120
	}
	for seed := range n {
		job := sheetJob(rand.New(rand.NewPCG(seed, 5)))
		c, err := layout.Cut(context.Background(), job, nil)
		if err != nil {
			t.Errorf("seed %d: %v", seed, err)
			continue
		}
		if faults := layout.CheckCuts(job, c); len(faults) > 0 {
			t.Errorf("seed %d: %v", seed, faults)
		}
		for _, l := range c.Levels {
			if l.Bound.GreaterThan(l.Value) {
				t.Errorf("seed %d: %s has bound %s above %s", seed, l.Name, l.Bound, l.Value)
			}
		}
		again, _ := layout.Cut(context.Background(), job, nil)
		again.Proof, c.Proof = nil, nil // printed, they are addresses
		if fmt.Sprint(again) != fmt.Sprint(c) {
			t.Errorf("seed %d: the same job gives another plan", seed)
		}
	}
}

// sheetJob is a job with trims, defects, locks, blanks already cut and sizes to 1/64 in.
func sheetJob(r *rand.Rand) plan.CutJob {
	const sixtyFourth = in / 64
	size := func(least, most int) measure.Length {
		return measure.Length(least*64+r.IntN((most-least)*64)) * sixtyFourth
	}
	job := plan.CutJob{CrosscutKerf: in / 8, RipKerf: in / 8, First: true, PlaneLimit: in / 2, LeftoverMin: 12 * in}
	next := func() plan.ID { return plan.ID(len(job.Boards) + 1) }
	for range r.IntN(3) {
		job.Boards = append(job.Boards, board(next(), fmt.Sprint(next()), size(20, 60), size(3, 8)))
	}
	for range 1 + r.IntN(4) {
		s := sheet(next(), size(24, 97), size(20, 49), r.IntN(2) == 0)
		if r.IntN(3) == 0 {
			s.TrimLeft, s.TrimRight = size(0, 2), size(0, 2)
		}
		if r.IntN(3) == 0 {
			s.Species = "Oak"
		}
		for range r.IntN(3) {
			x, y := size(0, 20), size(0, 18)
			d := plan.Defect{Kind: plan.DefectKinds[r.IntN(len(plan.DefectKinds))], From: x, To: x + in/2}
			if r.IntN(4) > 0 {
				d.AcrossFrom, d.AcrossTo = y, y+in/2
			}
			s.Defects = append(s.Defects, d)
		}
		job.Boards = append(job.Boards, s)
	}
	some := func() plan.ID { return plan.ID(1 + r.IntN(len(job.Boards))) }
	for k := range 1 + r.IntN(5) {
		b := sheetBlank(fmt.Sprintf("%d/solid", k+1), 1+r.IntN(5), size(4, 40), size(2, 20))
		b.Mark = string(rune('A' + k))
		b.Species = []string{"birch plywood", "birch plywood", "", "pine"}[r.IntN(4)]
		if r.IntN(3) == 0 {
			b.Grade = plan.Hidden
		}
		if r.IntN(4) == 0 {
			b.Done = []int{2, 4}
		}
		if r.IntN(4) == 0 {
			job.Choices = append(job.Choices, plan.Choice{Kind: plan.BlankOnBoard, Blank: b.Key, Row: 1, Board: some()})
		}
		job.Blanks = append(job.Blanks, b)
	}
	if r.IntN(5) == 0 {
		job.Choices = append(job.Choices, plan.Choice{Kind: plan.NeverBoard, Board: some()})
	}
	return job
}
