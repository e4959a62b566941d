package cutting

import (
	"encoding/binary"
	"slices"
	"sort"
)

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

// survey finds a board's sizes, stops and run lists.
func (r *reduced) survey(g int, c *flatClass) *flatBoard {
	gr := &r.groups[g]
	b := &flatBoard{along: axis{begin: gr.x0, end: gr.x1, kerf: r.kc}, across: axis{end: gr.w, kerf: r.kr}}
	// Sections shorter than the safe length are cut at the safe length.
	seen := map[int]bool{}
	for _, l := range c.lens {
		if l = max(l, r.safe); l <= gr.x1-gr.x0 && !seen[l] {
			seen[l] = true
			b.along.sizes = append(b.along.sizes, l)
		}
	}
	for _, w := range c.wids {
		if w <= gr.w {
			b.across.sizes = append(b.across.sizes, w)
		}
	}
	index := map[string]int{}
	intern := func(s []run) int {
		key := make([]byte, 0, 16*len(s))
		add := func(v int) { key = binary.LittleEndian.AppendUint64(key, uint64(v)) }
		for _, x := range s {
			add(x.a)
			add(x.b)
			for _, d := range x.soft {
				add(-1)
				add(d.a)
				add(d.b)
			}
		}
		k, ok := index[string(key)]
		if !ok {
			k = len(b.lists)
			index[string(key)] = k
			b.lists = append(b.lists, s)
		}
		return k
	}
	// A defect's reach along the axis (lo, hi) and the other way (a, b).
	type reach struct{ lo, hi, a, b int }
	fill := func(x *axis, hard, soft []reach, a, z, kerf int) {
		all := append(slices.Clone(hard), soft...)
		for _, d := range all {
			if d.hi > x.begin && d.hi < x.end {
				x.stops = append(x.stops, d.hi)
			}
		}
		slices.Sort(x.stops)
		x.stops = slices.Compact(x.stops)
		for _, size := range x.sizes {
			// The defects a section touches change where one ends before it, or
			// begins inside it.
			at := append([]int{x.begin}, x.stops...)
			for _, d := range all {
				if p := d.lo - size + 1; p > x.begin && p < x.end {
					at = append(at, p)
				}
			}
			slices.Sort(at)
			var marks []mark
			for _, p := range slices.Compact(at) {
				var blocked, spots []span
				for _, d := range hard {
					if d.lo < p+size && d.hi > p {
						blocked = append(blocked, span{d.a, d.b})
					}
				}
				for _, d := range soft {
					if d.lo < p+size && d.hi > p {
						spots = append(spots, span{d.a, d.b})
					}
				}
				var runs []run
				for _, s := range gaps(a, z, blocked, kerf) {
					n := run{a: s.a, b: s.b}
					for _, d := range spots {
						if d.a < s.b && d.b > s.a {
							n.soft = append(n.soft, d)
						}
					}
					runs = append(runs, n)
				}
				k := intern(runs)
				if len(marks) == 0 || marks[len(marks)-1].runs != k {
					marks = append(marks, mark{p, k})
				}
			}
			x.runs = append(x.runs, marks)
		}
	}
	turn := func(boxes []box, strips bool) []reach {
		out := make([]reach, 0, len(boxes))
		for _, d := range boxes {
			if strips {
				out = append(out, reach{d.y0, d.y1, d.x0, d.x1})
			} else {
				out = append(out, reach{d.x0, d.x1, d.y0, d.y1})
			}
		}
		return out
	}
	longest := func(x *axis) (l int) {
		for _, marks := range x.runs {
			for _, m := range marks {
				for _, s := range b.lists[m.runs] {
					l = max(l, s.b-s.a)
				}
			}
		}
		return l
	}
	fill(&b.along, turn(gr.hard, false), turn(gr.soft, false), 0, gr.w, r.kr)
	b.widest = longest(&b.along)
	fill(&b.across, turn(gr.hard, true), turn(gr.soft, true), gr.x0, gr.x1, r.kc)
	b.longest = longest(&b.across)
	return b
}
