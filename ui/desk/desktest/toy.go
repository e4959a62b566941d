package desktest

import (
	"cmp"
	"context"
	"fmt"
	"slices"
	"strings"

	"pilewright/plan"
	"pilewright/plan/measure"
)

// cut is a plain cutter: longest blank first,
// into the first clear stretch that takes it, ripped beside its like. Every
// defect blocks the whole width.
func cut(_ context.Context, job plan.CutJob, better func(plan.Cuts)) (plan.Cuts, error) {
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
		out.Boards = append(out.Boards, plan.CutBoard{Board: b.ID, Pieces: cut[i]})
		out.Wood = out.Wood.Add(measure.AreaOf(b.Length, b.Width))
		out.Money = out.Money.Add(b.Price)
	}
	if better != nil {
		better(out)
	}
	return out, nil
}

// check finds pieces off their board or over each other.
func check(job plan.CutJob, c plan.Cuts) []string {
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
