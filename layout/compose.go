package layout

import (
	"context"
	"errors"
	"fmt"

	"pilewright/layout/rows"
	"pilewright/plan"
	"pilewright/plan/measure"
)

// Compose finds the rows of a panel with rows.Compose; it is a plan.Composer. A
// panel that no composition makes by every rule comes back composed without the
// rules on steps and stagger, with Faults.
func Compose(ctx context.Context, job plan.PanelJob) (plan.Panel, error) {
	j, say := rowsJob(job), job.Say
	p, err := rows.Compose(ctx, j, rows.Options{Work: job.Work})
	if err == nil {
		if v := rows.Check(j, p); len(v) > 0 {
			return plan.Panel{}, fmt.Errorf("the composed rows break the rule %s (%d faults)", v[0].Rule, len(v))
		}
		return panelOf(p, nil), nil
	}
	var short *rows.ShortError
	if !errors.As(err, &short) {
		return plan.Panel{}, err
	}
	faults := []string{shortSentence(short, say)}
	loose := j
	loose.Step, loose.Stagger, loose.MinPiece, loose.LeastThickness = measure.Metre, 0, 0, 0
	if p, err = rows.Compose(ctx, loose, rows.Options{Work: job.Work}); err == nil {
		return panelOf(p, faults), nil
	}
	if errors.As(err, &short) {
		return plan.Panel{Faults: faults}, nil
	}
	return plan.Panel{}, err
}

func rowsJob(job plan.PanelJob) rows.Job {
	j := rows.Job{
		OnEdge: job.OnEdge, Length: job.Length, Rows: job.Rows, LeastThickness: job.LeastThickness, Joining: job.Joining,
		EndCut: job.EndCut, MinPiece: job.MinPiece, Stagger: job.Stagger, Step: job.Step, CleanUp: job.CleanUp,
	}
	for _, s := range job.Strips {
		grade := 0
		if s.Sightly() {
			grade = 1
		}
		j.Strips = append(j.Strips, rows.Strip{ID: s.ID, Length: s.Length, Width: s.Width, Thickness: s.Thickness, Grade: grade, GoodFace: s.Sightly()})
	}
	for _, l := range job.Locks {
		j.Locks = append(j.Locks, rows.Lock{Strip: l.Strip, Row: l.Row, Place: l.Place, Flip: l.Flip && !l.AnyFace})
	}
	return j
}

func panelOf(p rows.Panel, faults []string) plan.Panel {
	out := plan.Panel{Length: p.Length, Width: p.Width, Thickness: p.Thickness, Planed: p.Planed, Bound: p.Bound, EndJoints: p.EndJoints, Proved: p.Status == rows.Optimal && len(faults) == 0, Faults: faults}
	for _, r := range p.Rows {
		row := plan.PanelRow{Width: r.Width, Thickness: r.Thickness}
		for _, q := range r.Pieces {
			row.Pieces = append(row.Pieces, plan.PanelPiece{Mark: q.Mark, Strip: q.Strip, At: q.At, Length: q.Length, Flip: q.Flip})
		}
		out.Rows = append(out.Rows, row)
	}
	for _, s := range p.Steps {
		out.Steps = append(out.Steps, plan.PanelStep{Mark: s.Mark, Other: s.Other, Height: s.Height})
	}
	return out
}

// shortSentence says in the maker's words why a panel can't be made by the
// rules, and what alone would make it possible.
func shortSentence(e *rows.ShortError, say func(measure.Length) string) string {
	text := "No arrangement of these strips keeps every rule for rows"
	if e.Proven {
		text = fmt.Sprintf("The strips at least %s thick come to %s of row; %s are needed", say(e.Thickness), say(e.Have), say(e.Need))
	}
	for i, r := range e.Reliefs {
		join := "; "
		if i == 0 {
			join = ": it would go with "
		} else if i == len(e.Reliefs)-1 {
			join = " or "
		}
		text += join + relief(r, say)
	}
	return text + "."
}

func relief(r rows.Relief, say func(measure.Length) string) string {
	switch r.Kind {
	case rows.SmallerStagger:
		return "end joints staggered by only " + say(r.Value)
	case rows.ShorterPieces:
		return "pieces as short as " + say(r.Value)
	case rows.HigherSteps:
		return "steps of up to " + say(r.Value) + " between neighbours"
	case rows.ThinnerPanel:
		return "a panel of " + say(r.Value)
	case rows.FewerRows:
		return fmt.Sprintf("%d rows", r.Rows)
	case rows.NarrowerPanel:
		return "a width of " + say(r.Value)
	case rows.NoLocks:
		return "no locked strips"
	}
	return string(r.Kind)
}
