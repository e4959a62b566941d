package guillotine

import (
	"fmt"
	"sort"

	"pilewright/plan/measure"
)

// Check reads a plan against the rules: every item inside the sheet, of its
// size, off the defects, no more than asked for, all to be had by cuts from
// edge to edge with the kerf between them and within the stages, value and
// cuts as stated. It gives the faults it finds, none for a good plan. It works
// from the placed items alone and shares nothing with the search.
func Check(sheet Sheet, items []Item, opt Options, p Plan) []string {
	var out []string
	fault := func(format string, a ...any) { out = append(out, fmt.Sprintf(format, a...)) }
	byID := map[string]Item{}
	unit := commonUnit(sheet, items, opt)
	for _, i := range items {
		byID[i.ID] = i
	}
	used := map[string]int{}
	var value int64
	for _, q := range p.Placed {
		i, known := byID[q.Item]
		if !known {
			fault("%s is not asked for", q.Item)
			continue
		}
		l, w := i.Length, i.Width
		if q.Turned {
			l, w = w, l
			if !i.Turn {
				fault("%s is turned", q.Item)
			}
		}
		r := q.Rect
		if r.Length != l || r.Width != w {
			fault("%s has the wrong size", q.Item)
		}
		if r.X < 0 || r.Y < 0 || r.X+l > sheet.Length || r.Y+w > sheet.Width {
			fault("%s lies outside the sheet", q.Item)
		}
		for _, d := range sheet.Defects {
			if r.X < d.X+d.Length && d.X < r.X+l && r.Y < d.Y+d.Width && d.Y < r.Y+w {
				fault("%s lies on a defect", q.Item)
			}
		}
		if used[q.Item]++; i.Count > 0 && used[q.Item] > i.Count {
			fault("%s is there more often than asked for", q.Item)
		}
		if v := i.Value; v != 0 {
			value += v
		} else {
			value += int64(i.Length/unit) * int64(i.Width/unit)
		}
	}
	if value != p.Value || p.Bound < p.Value {
		fault("the value is %d, stated as %d with bound %d", value, p.Value, p.Bound)
	}
	rects := make([]Rect, len(p.Placed))
	for k, q := range p.Placed {
		rects[k] = q.Rect
	}
	best := stagesOf(rects, opt.Kerf)
	switch n := min(best[0], best[1]); {
	case n >= never:
		fault("cuts from edge to edge do not free every item")
	case opt.Stages > 0 && n > opt.Stages:
		fault("%d stages, at most %d allowed", n, opt.Stages)
	}
	return append(out, checkCuts(sheet, opt, p)...)
}

const never = 1 << 20

// stagesOf gives the fewest stages that part the items, first cut across or
// along, trimming apart. Parts are as small as cuts in one direction make them,
// which is never worse.
func stagesOf(rects []Rect, kerf measure.Length) [2]int {
	if len(rects) <= 1 {
		return [2]int{0, 0}
	}
	var out [2]int
	for d := range 2 {
		lo := func(r Rect) measure.Length { return r.X }
		size := func(r Rect) measure.Length { return r.Length }
		if d == 1 {
			lo = func(r Rect) measure.Length { return r.Y }
			size = func(r Rect) measure.Length { return r.Width }
		}
		list := append([]Rect(nil), rects...)
		sort.SliceStable(list, func(a, b int) bool { return lo(list[a]) < lo(list[b]) })
		var parts [][]Rect
		var end measure.Length
		for k, r := range list {
			if k == 0 || lo(r) >= end+kerf {
				parts = append(parts, nil)
			}
			parts[len(parts)-1] = append(parts[len(parts)-1], r)
			end = max(end, lo(r)+size(r))
		}
		if len(parts) == 1 {
			out[d] = never
			continue
		}
		deepest := 0
		for _, p := range parts {
			deepest = max(deepest, stagesOf(p, kerf)[1-d])
		}
		out[d] = min(1+deepest, never)
	}
	// A first stage of no cut lets the other direction begin.
	return [2]int{min(out[0], 1+out[1], never), min(out[1], 1+out[0], never)}
}

// checkCuts replays the cuts: each divides a region that is there, and at the
// end every item is the corner of a region of its own.
func checkCuts(sheet Sheet, opt Options, p Plan) []string {
	regions := map[Rect]bool{{0, 0, sheet.Length, sheet.Width}: true}
	for n, c := range p.Cuts {
		r := c.Region
		if !regions[r] {
			return []string{fmt.Sprintf("cut %d divides a region that is not there", n+1)}
		}
		delete(regions, r)
		a, b := r, r
		if c.Across {
			a.Length, b.X = c.At-r.X, c.At+opt.Kerf
			b.Length = r.X + r.Length - b.X
		} else {
			a.Width, b.Y = c.At-r.Y, c.At+opt.Kerf
			b.Width = r.Y + r.Width - b.Y
		}
		// A kerf may shave the region's edge and leave nothing on that side.
		if a.Length <= -opt.Kerf || a.Width <= -opt.Kerf || b.Length < -opt.Kerf || b.Width < -opt.Kerf {
			return []string{fmt.Sprintf("cut %d lies outside its region", n+1)}
		}
		if a.Length > 0 && a.Width > 0 {
			regions[a] = true
		}
		if b.Length > 0 && b.Width > 0 {
			regions[b] = true
		}
	}
	for _, q := range p.Placed {
		if !regions[q.Rect] {
			return []string{fmt.Sprintf("the cuts do not free %s", q.Item)}
		}
		delete(regions, q.Rect)
	}
	return nil
}

func commonUnit(s Sheet, items []Item, opt Options) measure.Length {
	var g measure.Length
	all := []measure.Length{s.Length, s.Width, opt.Kerf}
	for _, i := range items {
		all = append(all, i.Length, i.Width)
	}
	for _, d := range s.Defects {
		all = append(all, d.X, d.Y, d.Length, d.Width)
	}
	for _, v := range all {
		for v != 0 {
			g, v = v, g%v
		}
	}
	return g
}
