package plan

import (
	"context"

	"pilewright/plan/schedule"
)

// Reorder puts the steps of a plan in order and into the calendar anew; calendar is
// the placing alone, in the order found.
func Reorder(made *Plan, tools Tools) (work Work, calendar func() error, err error) {
	m := &making{ctx: context.Background(), tools: tools, plan: *made}
	work = made.Work
	if err = m.order(&work); err != nil {
		return work, nil, err
	}
	job := schedule.Job{Problem: m.arranged.answer.Fewest.Problem, Week: m.week(), Start: work.Start}
	return work, func() error { _, err := schedule.Place(job); return err }, nil
}
