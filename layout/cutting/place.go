package cutting

import (
	"cmp"
	"slices"
	"sort"

	"pilewright/layout/cutting/pattern"
	"pilewright/plan/measure"
)

// solution turns patterns into boards with pieces, leftovers and cuts.
func (s *solver) solution(plan *pattern.Plan) Solution {
	r := s.r
	next := make([]int, len(r.rows)) // copies handed out, by row
	used := make([]int, len(r.groups))
	var sol Solution
	for _, u := range plan.Uses {
		for range u.N {
			g := &r.groups[u.Col.Group]
			b := g.boards[used[u.Col.Group]]
			used[u.Col.Group]++
			sol.Boards = append(sol.Boards, r.place(b, g, u.Col))
		}
	}
	sort.SliceStable(sol.Boards, func(a, b int) bool { return sol.Boards[a].Board < sol.Boards[b].Board })
	for n := range sol.Boards {
		for k := range sol.Boards[n].Pieces {
			pc := &sol.Boards[n].Pieces[k]
			kind := pc.Item
			at := next[r.kinds[kind].row]
			next[r.kinds[kind].row]++
			if r.isCover(kind) {
				pc.Item, pc.Copy = r.kinds[kind].items[0], at+1
				continue
			}
			for _, item := range r.kinds[kind].items {
				if c := r.p.Items[item].Count; at >= c {
					at -= c
					continue
				}
				pc.Item, pc.Copy = item, at+1
				break
			}
		}
	}
	sol.Short = s.shortfalls(s.short)
	sol.Cuts, sol.Setups = r.sequence(sol.Boards)
	return sol
}

// place puts a pattern on a board; pieces carry their kind as Item.
func (r *reduced) place(board int, g *group, c *pattern.Column) Opened {
	o := Opened{Board: board}
	put := func(kind, x, y, train int) {
		k := &r.kinds[kind]
		o.Pieces = append(o.Pieces, Piece{Item: kind, X: measure.Length(int64(x) * r.ux), Y: measure.Length(int64(y) * r.uy),
			Length: measure.Length(int64(k.l) * r.ux), Width: measure.Length(int64(k.w) * r.uy), Train: train})
	}
	left := func(x0, x1, y0, y1 int) {
		l := measure.Length(int64(x1-x0) * r.ux)
		if r.p.LeftoverMin > 0 && l >= r.p.LeftoverMin && y1 > y0 {
			o.Leftovers = append(o.Leftovers, Rect{measure.Length(int64(x0) * r.ux), measure.Length(int64(y0) * r.uy), l, measure.Length(int64(y1-y0) * r.uy)})
		}
	}
	if g.line {
		train := 0
		for n, s := range g.segs {
			var kinds []int
			for _, p := range c.Parts {
				if p.Seg == n {
					for range p.N {
						kinds = append(kinds, p.Item)
					}
				}
			}
			// Longest first: all boards then follow the same falling stop settings.
			sort.SliceStable(kinds, func(a, b int) bool { return r.kinds[kinds[a]].l > r.kinds[kinds[b]].l })
			at, begun := s.a, -1
			for _, k := range kinds {
				t := 0
				if r.kinds[k].l < r.safe {
					if begun < 0 {
						begun = at
						train++
					}
					t = train
				}
				put(k, at, 0, t)
				at += r.kinds[k].l + r.kc
			}
			if begun >= 0 {
				at = max(at, begun+r.safe+r.kc)
			}
			left(max(at, g.clean[n]), s.b, 0, g.w)
		}
		return o
	}
	// Sections or strips: trains are the short pieces of one strip and run.
	trains := map[[2]int]int{}
	parts := kindsOf(c.Parts)
	runs := r.runsOf(parts)
	for _, p := range parts {
		t := 0
		if r.kinds[p.Item].l < r.safe {
			key := [2]int{int(p.X), -1}
			if p.Seg == 1 {
				key = [2]int{runs[[2]int64{p.X, p.Y}], int(p.Y)}
			}
			if trains[key] == 0 {
				trains[key] = len(trains) + 1
			}
			t = trains[key]
		}
		put(p.Item, int(p.X), int(p.Y), t)
	}
	along, across := r.reach(g, parts)
	if r.sideUse(g, across) > r.endUse(g, along) {
		left(g.x0, g.x1, max(across, g.bare), g.w)
	} else {
		left(max(along, g.lame), g.x1, 0, g.w)
	}
	return o
}

// runsOf numbers the runs of the strips: parts of one strip that follow each other
// with only a kerf between lie in one run. The numbers are by place.
func (r *reduced) runsOf(parts []pattern.Part) map[[2]int64]int {
	byY := slices.Clone(parts)
	slices.SortFunc(byY, func(a, b pattern.Part) int { return cmp.Or(cmp.Compare(a.Y, b.Y), cmp.Compare(a.X, b.X)) })
	out := map[[2]int64]int{}
	run := 0
	for n, p := range byY {
		if n > 0 {
			q := byY[n-1]
			if p.Y != q.Y || p.X != q.X+int64(r.kinds[q.Item].l+r.kc) {
				run++
			}
		}
		out[[2]int64{p.X, p.Y}] = run
	}
	return out
}
