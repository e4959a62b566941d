package cutting

import "sort"

// surveyed is a board's geometry, found once and shared, with room of its own
// for one goroutine to price it.
func (r *reduced) surveyed(g int, c *flatClass) *flatBoard {
	r.mu.Lock()
	defer r.mu.Unlock()
	if r.surveys == nil {
		r.surveys = make([]*flatBoard, len(r.groups))
	}
	if r.surveys[g] == nil {
		r.surveys[g] = r.survey(g, c)
	}
	b := *r.surveys[g]
	b.f, b.fb = make([]int64, len(b.xs)+1), make([]int32, len(b.xs)+1)
	b.gy, b.gb = make([]int64, len(b.ys)+1), make([]int32, len(b.ys)+1)
	return &b
}

// distinct are the different sizes of allowed blanks, descending.
func (r *reduced) distinct(allowed []bool, size func(*kind) int) []int {
	seen := map[int]bool{}
	var out []int
	for n := range r.kinds {
		if s := size(&r.kinds[n]); allowed[n] && !seen[s] {
			seen[s] = true
			out = append(out, s)
		}
	}
	sort.Sort(sort.Reverse(sort.IntSlice(out)))
	return out
}

// starts are the places where a section or strip may begin: from each given
// place on, every sum of sizes with kerfs.
func starts(from []int, sizes []int, kerf, end int) []int {
	reach := make([]bool, end+1)
	for _, a := range from {
		if a <= end {
			reach[a] = true
		}
	}
	var out []int
	for x := 0; x <= end; x++ {
		if !reach[x] {
			continue
		}
		out = append(out, x)
		for _, s := range sizes {
			if n := x + s + kerf; n <= end {
				reach[n] = true
			}
		}
	}
	return out
}

func thin(xs []int, most int) []int {
	if len(xs) <= most {
		return xs
	}
	step := (len(xs) + most - 1) / most
	var out []int
	for k := 0; k < len(xs); k += step {
		out = append(out, xs[k])
	}
	return out
}

// survey finds a board's starts and runs.
func (r *reduced) survey(g int, c *flatClass) *flatBoard {
	gr := &r.groups[g]
	b := &flatBoard{g: g}
	all := append(append([]box(nil), gr.hard...), gr.soft...)
	// Section lengths shorter than the safe length are cut at the safe length.
	seen := map[int]bool{}
	for _, l := range c.lens {
		if l = max(l, r.safe); l <= gr.x1-gr.x0 && !seen[l] {
			seen[l] = true
			b.lens = append(b.lens, l)
		}
	}
	for _, w := range c.wids {
		if w <= gr.w {
			b.wids = append(b.wids, w)
		}
	}
	from := []int{gr.x0}
	fromY := []int{0}
	for _, d := range all {
		from = append(from, max(d.x1, gr.x0))
		fromY = append(fromY, d.y1)
	}
	b.xs = thin(starts(from, b.lens, r.kc, gr.x1), max(100, min(maxStarts, maxCells/(len(r.groups)*max(1, len(b.lens))))))
	b.ys = thin(starts(fromY, b.wids, r.kr, gr.w), maxStarts)
	index := map[string]int32{}
	intern := func(s []run) int32 {
		key := make([]byte, 0, 16*len(s))
		add := func(v int) { key = append(key, byte(v), byte(v>>8), byte(v>>16), byte(v>>24)) }
		for _, x := range s {
			add(x.a)
			add(x.b)
			for _, d := range x.soft {
				add(-1)
				add(d.a)
				add(d.b)
			}
		}
		if k, ok := index[string(key)]; ok {
			return k
		}
		index[string(key)] = int32(len(b.runs))
		b.runs = append(b.runs, s)
		return int32(len(b.runs) - 1)
	}
	var blocked []span
	fill := func(at []int, sizes []int, kerf, end int, side func(lo, hi int) []run) (where, next [][]int32) {
		for _, x := range at {
			row, nx := make([]int32, len(sizes)), make([]int32, len(sizes))
			for k, s := range sizes {
				if x+s > end {
					row[k] = -1
					continue
				}
				row[k] = intern(side(x, x+s))
				nx[k] = int32(sort.SearchInts(at, x+s+kerf))
			}
			where, next = append(where, row), append(next, nx)
		}
		return where, next
	}
	var spots []span
	runs := func(a, b, kerf int) []run {
		var out []run
		for _, s := range gaps(a, b, blocked, kerf) {
			n := run{a: s.a, b: s.b}
			for _, d := range spots {
				if d.a < s.b && d.b > s.a {
					n.soft = append(n.soft, d)
				}
			}
			out = append(out, n)
		}
		return out
	}
	b.secAt, b.next = fill(b.xs, b.lens, r.kc, gr.x1, func(lo, hi int) []run {
		blocked, spots = blocked[:0], spots[:0]
		for _, d := range gr.hard {
			if d.x0 < hi && d.x1 > lo {
				blocked = append(blocked, span{d.y0, d.y1})
			}
		}
		for _, d := range gr.soft {
			if d.x0 < hi && d.x1 > lo {
				spots = append(spots, span{d.y0, d.y1})
			}
		}
		return runs(0, gr.w, r.kr)
	})
	b.strAt, b.nextY = fill(b.ys, b.wids, r.kr, gr.w, func(lo, hi int) []run {
		blocked, spots = blocked[:0], spots[:0]
		for _, d := range gr.hard {
			if d.y0 < hi && d.y1 > lo {
				blocked = append(blocked, span{d.x0, d.x1})
			}
		}
		for _, d := range gr.soft {
			if d.y0 < hi && d.y1 > lo {
				spots = append(spots, span{d.x0, d.x1})
			}
		}
		return runs(gr.x0, gr.x1, r.kc)
	})
	return b
}
