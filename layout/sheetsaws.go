package layout

import (
	"sort"

	"pilewright/layout/cutting"
	"pilewright/layout/guillotine"
	"pilewright/plan"
	"pilewright/plan/measure"
)

// sheetSaws is an order of edge-to-edge cuts that frees the pieces of a sheet at
// their real sizes: stage by stage, each stage from the left or lower edge.
func sheetSaws(o plan.Board, pieces []plan.CutPiece, kerf measure.Length) []plan.Saw {
	s := sawing{kerf: kerf, board: &plan.CutBoard{Pieces: pieces}}
	rip := stages(pieces, true, kerf) < stages(pieces, false, kerf)
	s.free(guillotine.Rect{Length: o.Length, Width: o.Width}, pieces, rip)
	return s.saws
}

type sawing struct {
	kerf  measure.Length
	board *plan.CutBoard // for the marks of what falls off
	saws  []plan.Saw
}

// free cuts the region until every piece is a region of its own.
func (s *sawing) free(region guillotine.Rect, pieces []plan.CutPiece, rip bool) {
	groups := strips(pieces, rip, s.kerf)
	if len(groups) == 1 && len(pieces) > 1 {
		rip = !rip
		groups = strips(pieces, rip, s.kerf)
	}
	if len(groups) == 1 && len(pieces) > 1 {
		return // no cut parts them
	}
	parts := make([]guillotine.Rect, len(groups))
	for n, g := range groups {
		lo, hi := reach(g, rip)
		from, to := region.X, region.X+region.Length
		if rip {
			from, to = region.Y, region.Y+region.Width
		}
		if lo > from {
			s.cut(region, rip, lo-s.kerf, 0)
			region = beyond(region, rip, lo)
		}
		parts[n] = region
		if hi < to {
			s.cut(region, rip, hi, hi-lo)
			if rip {
				parts[n].Width = hi - lo
			} else {
				parts[n].Length = hi - lo
			}
			region = beyond(region, rip, hi+s.kerf)
		}
	}
	for n, g := range groups {
		if len(g) > 1 || !fills(parts[n], g[0]) {
			s.free(parts[n], g, !rip)
		}
	}
}

func fills(r guillotine.Rect, p plan.CutPiece) bool {
	return r == guillotine.Rect{X: p.X, Y: p.Y, Length: p.Length, Width: p.Width}
}

func (s *sawing) cut(region guillotine.Rect, rip bool, at, stop measure.Length) {
	w := plan.Saw{Rip: rip, At: at, From: region.Y, To: region.Y + region.Width, Stop: stop}
	machine := cutting.Crosscut
	if rip {
		w.From, w.To, machine = region.X, region.X+region.Length, cutting.Rip
	}
	w.Mark = freed(s.board, cutting.Cut{Machine: machine, At: at, From: w.From, To: w.To})
	s.saws = append(s.saws, w)
}

// beyond is what is left of a region from a position on.
func beyond(r guillotine.Rect, rip bool, at measure.Length) guillotine.Rect {
	if rip {
		r.Y, r.Width = at, r.Y+r.Width-at
	} else {
		r.X, r.Length = at, r.X+r.Length-at
	}
	return r
}

// reach is where the pieces begin and end along the direction of the strips.
func reach(pieces []plan.CutPiece, rip bool) (lo, hi measure.Length) {
	for n, p := range pieces {
		a, b := p.X, p.X+p.Length
		if rip {
			a, b = p.Y, p.Y+p.Width
		}
		if n == 0 || a < lo {
			lo = a
		}
		hi = max(hi, b)
	}
	return lo, hi
}

// strips parts the pieces as far as cuts in one direction do.
func strips(pieces []plan.CutPiece, rip bool, kerf measure.Length) [][]plan.CutPiece {
	at := func(p plan.CutPiece) measure.Length {
		if rip {
			return p.Y
		}
		return p.X
	}
	list := append([]plan.CutPiece(nil), pieces...)
	sort.SliceStable(list, func(a, b int) bool { return at(list[a]) < at(list[b]) })
	var out [][]plan.CutPiece
	var end measure.Length
	for _, p := range list {
		if len(out) == 0 || at(p) >= end+kerf {
			out = append(out, nil)
		}
		out[len(out)-1] = append(out[len(out)-1], p)
		_, hi := reach([]plan.CutPiece{p}, rip)
		end = max(end, hi)
	}
	return out
}

// stages is the fewest stages that part the pieces when the first cuts run along
// (rip) or across; trimming apart.
func stages(pieces []plan.CutPiece, rip bool, kerf measure.Length) int {
	const never = 1 << 20
	if len(pieces) <= 1 {
		return 0
	}
	groups := strips(pieces, rip, kerf)
	if len(groups) == 1 {
		return never
	}
	deepest := 0
	for _, g := range groups {
		deepest = max(deepest, stages(g, !rip, kerf))
	}
	return min(1+deepest, never)
}
