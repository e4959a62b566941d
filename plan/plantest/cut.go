// Package plantest holds what tests of the pipeline and of the window share: a
// plain cutter with its check, and a piece of any size. Nothing that ships
// imports it.
package plantest

import (
	"cmp"
	"context"
	"fmt"
	"slices"
	"strings"

	"pilewright/plan"
	"pilewright/plan/measure"
)

// Cut is a plain cutter: longest blank first,
// into the first clear stretch that takes it, ripped beside its like. Every
// defect blocks the whole width.
func Cut(_ context.Context, job plan.CutJob, better func(plan.Cuts)) (plan.Cuts, error) {
	type section struct {
		board   int
		x, long measure.Length
		y       measure.Length
	}
	type stretch struct {
		board    int
		from, to measure.Length
	}
	var free []stretch
	for i, b := range job.Boards {
		at := b.TrimLeft
		stops := slices.Clone(b.Defects)
		slices.SortFunc(stops, func(a, b plan.Defect) int { return cmp.Compare(a.From, b.From) })
		for _, d := range stops {
			if d.From > at {
				free = append(free, stretch{i, at, d.From})
			}
			at = max(at, d.To)
		}
		if end := b.Length - b.TrimRight; end > at {
			free = append(free, stretch{i, at, end})
		}
	}
	blanks := slices.Clone(job.Blanks)
	slices.SortStableFunc(blanks, func(a, b plan.Blank) int {
		return cmp.Or(cmp.Compare(b.Length, a.Length), cmp.Compare(b.Width, a.Width))
	})
	cut := map[int][]plan.CutPiece{}
	var sections []section
	out := plan.Cuts{Final: true}
	for _, bl := range blanks {
		missing := 0
		for n := 1; n <= bl.Count; n++ {
			put := func(board int, x, y measure.Length) {
				cut[board] = append(cut[board], plan.CutPiece{Blank: bl.Key, N: n, Mark: fmt.Sprintf("%s%d", bl.Mark, n), X: x, Y: y, Length: bl.Length, Width: bl.Width})
				out.Used = out.Used.Add(measure.AreaOf(bl.Length, bl.Width))
			}
			suits := func(b plan.Board) bool {
				return b.Thickness >= bl.Thickness && b.Width >= bl.Width && (bl.Species == "" || strings.EqualFold(bl.Species, b.Species)) &&
					(job.PlaneLimit == 0 || bl.Thickness == 0 || b.Thickness-bl.Thickness <= job.PlaneLimit)
			}
			i := slices.IndexFunc(sections, func(s section) bool {
				return s.long == bl.Length && suits(job.Boards[s.board]) && s.y+bl.Width <= job.Boards[s.board].Width
			})
			if i >= 0 {
				put(sections[i].board, sections[i].x, sections[i].y)
				sections[i].y += bl.Width + job.RipKerf
				continue
			}
			k := slices.IndexFunc(free, func(f stretch) bool { return suits(job.Boards[f.board]) && f.to-f.from >= bl.Length })
			if k < 0 {
				missing++
				continue
			}
			put(free[k].board, free[k].from, 0)
			sections = append(sections, section{free[k].board, free[k].from, bl.Length, bl.Width + job.RipKerf})
			free[k].from += bl.Length + job.CrosscutKerf
		}
		if missing > 0 {
			out.Short = append(out.Short, plan.Short{Blank: bl.Key, Count: missing})
		}
	}
	for i, b := range job.Boards {
		if len(cut[i]) == 0 {
			continue
		}
		out.Boards = append(out.Boards, plan.CutBoard{Board: b.ID, Pieces: cut[i], Saws: saws(cut[i])})
		for _, f := range free {
			if f.board == i && f.to-f.from >= max(job.LeftoverMin, measure.Inch) {
				last := &out.Boards[len(out.Boards)-1]
				last.Leftovers = append(last.Leftovers, plan.Rect{X: f.from, Length: f.to - f.from, Width: b.Width})
			}
		}
		out.Wood = out.Wood.Add(measure.AreaOf(b.Length, b.Width))
		out.Money = out.Money.Add(b.Price)
	}
	var settings []setting
	for _, cb := range out.Boards {
		for _, s := range cb.Saws {
			settings = append(settings, setting{s.Rip, s.Stop})
		}
	}
	slices.SortFunc(settings, func(a, b setting) int {
		if a.rip != b.rip {
			if b.rip {
				return -1
			}
			return 1
		}
		return cmp.Compare(b.stop, a.stop)
	})
	settings = slices.Compact(settings)
	for i := range out.Boards {
		for k, s := range out.Boards[i].Saws {
			out.Boards[i].Saws[k].Group = 1 + slices.Index(settings, setting{s.Rip, s.Stop})
		}
	}
	if better != nil {
		better(out)
	}
	return out, nil
}

type setting struct {
	rip  bool
	stop measure.Length
}

// saws crosscuts the sections of a board and rips each.
func saws(pieces []plan.CutPiece) []plan.Saw {
	var across, along []plan.Saw
	for _, p := range pieces {
		if p.Y == 0 {
			across = append(across, plan.Saw{At: p.X + p.Length, To: p.Width, Stop: p.Length, Mark: p.Mark})
		}
		along = append(along, plan.Saw{Rip: true, At: p.Y + p.Width, From: p.X, To: p.X + p.Length, Stop: p.Width, Mark: p.Mark})
	}
	return append(across, along...)
}

// Check finds pieces off their board or over each other.
func Check(job plan.CutJob, c plan.Cuts) []string {
	var faults []string
	for _, cb := range c.Boards {
		i := slices.IndexFunc(job.Boards, func(b plan.Board) bool { return b.ID == cb.Board })
		if i < 0 {
			faults = append(faults, "a board that is not in the job")
			continue
		}
		b := job.Boards[i]
		for k, p := range cb.Pieces {
			if p.X < b.TrimLeft || p.X+p.Length > b.Length-b.TrimRight || p.Y < 0 || p.Y+p.Width > b.Width {
				faults = append(faults, p.Mark+" lies off its board")
			}
			for _, q := range cb.Pieces[k+1:] {
				if p.X < q.X+q.Length && q.X < p.X+p.Length && p.Y < q.Y+q.Width && q.Y < p.Y+p.Width {
					faults = append(faults, p.Mark+" lies over "+q.Mark)
				}
			}
		}
	}
	return faults
}

// WithEffort gives tools whose full searches end after so much work.
func WithEffort(tools plan.Tools, work int) plan.Tools {
	full := tools.Cut
	tools.Cut = func(ctx context.Context, job plan.CutJob, better func(plan.Cuts)) (plan.Cuts, error) {
		if !job.First {
			job.Effort = work
		}
		return full(ctx, job, better)
	}
	return tools
}

// FirstCut gives tools that stop at the first full plan of the cuts, for tests
// that are not about the best one.
func FirstCut(tools plan.Tools) plan.Tools {
	full := tools.Cut
	tools.Cut = func(ctx context.Context, job plan.CutJob, better func(plan.Cuts)) (plan.Cuts, error) {
		job.First = true
		return full(ctx, job, better)
	}
	return tools
}
