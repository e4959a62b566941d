package cutting

import (
	"fmt"
	"sort"

	"pilewright/layout/cutting/pattern"
)

// valuer finds the best pattern value of boards by plain dynamic programs.
type valuer struct {
	r     *reduced
	pi    []int64
	limit []int
	memo  map[string]int64
	rooms map[string][]int64 // of fills
	keep  int                // below zero; else what is left counts times 2^keep
}

// newValuer takes prices and needs of rows.
func newValuer(r *reduced, pi []int64, need []int) *valuer {
	v := &valuer{r: r, memo: map[string]int64{}, rooms: map[string][]int64{}, keep: -1}
	for _, k := range r.kinds {
		v.pi = append(v.pi, pi[k.row]*int64(k.worth))
		v.limit = append(v.limit, (need[k.row]+k.worth-1)/k.worth)
	}
	return v
}

// board is the best value of one board under count bounds, -1 when none can be met.
func (v *valuer) board(g int, bounds []pattern.CountBound) int64 {
	gr := &v.r.groups[g]
	if !gr.line {
		return v.whole(g)
	}
	total := int64(0)
	some, gain := v.keep >= 0, int64(-1)<<60 // a board that is cut holds a piece
	must := map[int]int{}
	for _, b := range bounds {
		if must[b.Item] += b.Lo; must[b.Item] > v.limit[b.Item] {
			return -1
		}
		some = some && b.Lo == 0
	}
	for n, s := range gr.segs {
		lo, hi := map[int]int{}, map[int]int{}
		for _, b := range bounds {
			if b.Seg == n {
				lo[b.Item], hi[b.Item] = b.Lo, b.Hi
			}
		}
		room := s.b - s.a + v.r.kc
		limit := append([]int(nil), v.limit...)
		for i, k := range v.r.kinds {
			c := lo[i]
			room -= c * (k.l + v.r.kc)
			total += int64(c) * v.pi[i]
			limit[i] -= must[i]
			if m, ok := hi[i]; ok {
				limit[i] = max(0, min(limit[i], m-c))
			}
		}
		if room < 0 {
			return -1
		}
		if v.keep < 0 {
			total += v.fill(room, limit, gr.allowed, len(bounds) == 0, true, 0)
			continue
		}
		best, held := int64(0), int64(-1)
		for c, f := range v.kept(room, limit, gr.allowed, len(bounds) == 0) {
			x := f + v.r.segUse(g, n, room-c-v.r.kc)<<v.keep
			best = max(best, x)
			if f > 0 {
				held = max(held, x)
			}
		}
		none := v.r.segUse(g, n, room-v.r.kc) << v.keep
		for i, k := range v.r.kinds {
			if gr.allowed[i] && limit[i] > 0 && v.pi[i] == 0 && k.l+v.r.kc <= room {
				held = max(held, v.r.segUse(g, n, room-k.l-2*v.r.kc)<<v.keep)
			}
		}
		some = some && best == none
		if held >= 0 {
			gain = max(gain, held-none)
		}
		total += best
	}
	if some {
		if gain < -1<<59 && len(bounds) > 0 {
			return -1
		}
		return max(0, total+gain)
	}
	return total
}

// kept is fills, remembered for plain limits.
func (v *valuer) kept(room int, limit []int, allowed []bool, plain bool) []int64 {
	if !plain {
		return v.fills(room, limit, allowed, true, 0)
	}
	key := fmt.Sprint(room, allowed)
	if v.rooms[key] == nil {
		v.rooms[key] = v.fills(room, limit, allowed, true, 0)
	}
	return v.rooms[key]
}

// fill is the best value of pieces in a clear run of the room given, one kerf
// included; along uses lengths, else widths; other limits the other side, 0: any.
func (v *valuer) fill(room int, limit []int, allowed []bool, plain, along bool, other int) int64 {
	key := ""
	if plain {
		key = fmt.Sprint(room, along, other, allowed)
		if x, ok := v.memo[key]; ok {
			return x
		}
	}
	best := v.fills(room, limit, allowed, along, other)[room]
	if plain {
		v.memo[key] = best
	}
	return best
}

// fills is fill for every room up to the one given.
func (v *valuer) fills(room int, limit []int, allowed []bool, along bool, other int) []int64 {
	kerf, safe := v.r.kr, 0
	if along {
		kerf, safe = v.r.kc, v.r.safe
	}
	table := func(short bool) []int64 {
		f := make([]int64, room+1)
		for i, k := range v.r.kinds {
			size, side := k.w, k.l
			if along {
				size, side = k.l, k.w
			}
			if !allowed[i] || (size < safe) != short || v.pi[i] == 0 || (other > 0 && side > other) {
				continue
			}
			for n := 0; n < limit[i] && n < room/(size+kerf); n++ {
				for c := room; c >= size+kerf; c-- {
					f[c] = max(f[c], f[c-size-kerf]+v.pi[i])
				}
			}
		}
		return f
	}
	best := table(false)
	if safe > 0 {
		long, short := append([]int64(nil), best...), table(true)
		for c := range best {
			for t := safe + kerf; t <= c; t++ {
				best[c] = max(best[c], long[c-t]+short[t])
			}
		}
	}
	return best
}

// whole is the best value of a board of sections or strips, what is left counted
// as in flat.best: behind sections and beside strips exactly, else by steps.
func (v *valuer) whole(g int) int64 {
	gr := &v.r.groups[g]
	if v.keep < 0 {
		return max(v.flat(g, true, gr.x1, nil), v.flat(g, false, gr.w, nil))
	}
	best := max(v.flat(g, false, gr.w, func(x int) int64 { return v.r.endUse(gr, x) << v.keep }),
		v.flat(g, true, gr.x1, func(y int) int64 { return v.r.sideUse(gr, y) << v.keep }))
	some := func(pieces, rest int64) {
		if pieces > 0 {
			best = max(best, pieces+rest)
		}
	}
	for k := range restSteps {
		from, to := restStep(0, gr.w, k)
		if u := v.r.sideUse(gr, from+1+v.r.kr); u > 0 {
			some(v.flat(g, false, to, nil), u<<v.keep)
		}
		from, to = restStep(gr.x0, gr.x1, k)
		if u := v.r.endUse(gr, from+1+v.r.kc); u > 0 {
			some(v.flat(g, true, to, nil), u<<v.keep)
		}
	}
	for n, ok := range gr.allowed {
		if ok && v.limit[n] > 0 && v.pi[n] == 0 {
			best = max(best, v.r.pieceUse(gr, n)<<v.keep)
		}
	}
	return max(best, 0)
}

// flat is the best value of sections (across first) or strips (along first), in
// which pieces reach no further than clip the other way; rest, when not nil, is
// the value of what lies behind the place reached.
//
// A section need begin only where a defect ends, or at a place whose total is
// above that of every earlier place: any other section can be moved towards the
// begin until one of the two holds, touches no more defects there, and the
// pieces it held still fit in it.
func (v *valuer) flat(g int, strips bool, clip int, rest func(int) int64) int64 {
	gr := &v.r.groups[g]
	r := v.r
	begin, end, kerf := gr.x0, gr.x1, r.kc
	if strips {
		begin, end, kerf = 0, gr.w, r.kr
	}
	sizes := map[int]bool{}
	for n, k := range r.kinds {
		if gr.allowed[n] {
			if strips {
				sizes[k.w] = true
			} else {
				sizes[max(k.l, r.safe)] = true
			}
		}
	}
	list := make([]int, 0, len(sizes))
	for s := range sizes {
		list = append(list, s)
	}
	sort.Ints(list)
	stop := map[int]bool{}
	for _, d := range append(append([]box(nil), gr.hard...), gr.soft...) {
		if strips {
			stop[d.y1] = true
		} else {
			stop[d.x1] = true
		}
	}
	f := make([]int64, end+kerf+1) // total of sections that end there
	top, best := int64(-1), int64(-1)
	for x := begin; x <= end+kerf; x++ {
		better := f[x] > top
		if better {
			top = f[x]
			total := top
			if rest != nil {
				total += rest(x)
			}
			if rest == nil || top > 0 { // a board that is cut holds a piece
				best = max(best, total)
			}
		}
		if !better && !stop[x] {
			continue
		}
		for _, s := range list {
			if x+s > end {
				break
			}
			f[x+s+kerf] = max(f[x+s+kerf], top+v.section(gr, x, s, strips, clip))
		}
	}
	return best
}

// section is the best value of one section or strip.
func (v *valuer) section(gr *group, at, size int, strip bool, clip int) int64 {
	side := func(d box) (lo, hi, a, b int) { return d.x0, d.x1, d.y0, d.y1 }
	a, b, kerf := 0, gr.w, v.r.kr
	if strip {
		side = func(d box) (lo, hi, a, b int) { return d.y0, d.y1, d.x0, d.x1 }
		a, b, kerf = gr.x0, gr.x1, v.r.kc
	}
	var hard, soft []span
	for _, d := range gr.hard {
		if lo, hi, p, q := side(d); lo < at+size && hi > at {
			hard = append(hard, span{p, q})
		}
	}
	for _, d := range gr.soft {
		if lo, hi, p, q := side(d); lo < at+size && hi > at {
			soft = append(soft, span{p, q})
		}
	}
	b = min(b, clip)
	total := int64(0)
	sort.Slice(hard, func(i, j int) bool { return hard[i].a < hard[j].a })
	from := a
	run := func(to int) {
		if to <= from {
			return
		}
		var in []span
		for _, s := range soft {
			if s.a < to && s.b > from {
				in = append(in, s)
			}
		}
		if len(in) == 0 {
			total += v.fill(to-from+kerf, v.limit, gr.allowed, true, strip, size)
		} else {
			total += v.stained(gr, from, to, in, strip, size)
		}
		from = to + kerf
	}
	for _, s := range hard {
		if s.a > from {
			run(min(s.a, b))
		}
		from = max(from, s.b)
	}
	run(b)
	return total
}

// stained is the best value of a run with soft defects, any number of copies.
func (v *valuer) stained(gr *group, a, b int, soft []span, along bool, other int) int64 {
	key := fmt.Sprint(a, b, soft, along, other, gr.class)
	if x, ok := v.memo[key]; ok {
		return x
	}
	kerf := v.r.kr
	if along {
		kerf = v.r.kc
	}
	// Behind the last soft defect copies are counted, before it they are not;
	// places as in flat.
	tail := a
	stop := map[int]bool{}
	for _, s := range soft {
		tail = max(tail, min(s.b, b))
		stop[s.b] = true
	}
	behind := []int64{0}
	if tail < b {
		behind = v.fills(b-tail+kerf, v.limit, gr.allowed, along, other)
	}
	f := make([]int64, b+kerf+1)
	top, best := int64(-1), int64(0)
	for x := a; x <= b+kerf; x++ {
		better := f[x] > top
		if better {
			top = f[x]
		}
		if x >= tail {
			best = max(best, top+behind[min(max(b-x+kerf, 0), len(behind)-1)])
		}
		if x >= tail || (!better && !stop[x]) {
			continue
		}
		for i, k := range v.r.kinds {
			size, side := k.w, k.l
			if along {
				size, side = k.l, k.w
			}
			if !gr.allowed[i] || v.limit[i] == 0 || side > other || x+size > b || (along && size < v.r.safe) {
				continue
			}
			clear := true
			for _, s := range soft {
				if s.a < x+size && s.b > x && !k.hidden {
					clear = false
				}
			}
			if clear {
				f[x+size+kerf] = max(f[x+size+kerf], top+v.pi[i])
			}
		}
	}
	v.memo[key] = best
	return best
}
