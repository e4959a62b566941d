package guillotine

import "sort"

// spotted is the dynamic programme for a sheet with defects: the worth of every
// rectangle between positions, by position and not by size alone. Positions are
// sums of sizes counted from the edge and from the far side of each defect: an
// item that cannot be pushed further left or down lies at one. Rectangles are
// kept as rows of x spans, each a list over y spans, so that the inner loops run
// straight through memory.
type spotted struct {
	*task
	xs, ys []int64
	ny     int // y spans
	best   []int64
	steps  int64
}

// maxSpans keeps the table within about half a gigabyte.
const maxSpans = 60_000_000

func span(i, k int) int { return k*(k-1)/2 + i } // i < k

func (t *task) positions(limit int64, size func(shape) int64, starts []int64) []int64 {
	reached := map[int64]bool{limit: true}
	var list []int64
	add := func(x int64) {
		if x >= 0 && x < limit && !reached[x] {
			reached[x] = true
			list = append(list, x)
		}
	}
	add(0)
	for _, s := range starts {
		add(s)
	}
	for n := 0; n < len(list) && len(list) < 8*maxRaster; n++ {
		for _, s := range t.shapes {
			add(list[n] + size(s))
		}
	}
	list = append(list, limit)
	sort.Slice(list, func(a, b int) bool { return list[a] < list[b] })
	return list
}

// thinned keeps the fixed positions and every k-th of the others.
func thinned(list, fixed []int64, k int) []int64 {
	keep := map[int64]bool{0: true, list[len(list)-1]: true}
	for _, x := range fixed {
		keep[x] = true
	}
	var out []int64
	for n, x := range list {
		if n%k == 0 || keep[x] {
			out = append(out, x)
		}
	}
	return out
}

// newSpotted lists the positions; exact is false when some were left out to
// keep the table small, and the result is then no bound.
func (t *task) newSpotted() (s *spotted, exact bool) {
	var fx, fy []int64
	for _, d := range t.bad {
		fx, fy = append(fx, d.x+d.w), append(fy, d.y+d.h)
	}
	xs := t.positions(t.w, func(s shape) int64 { return s.w }, fx)
	ys := t.positions(t.h, func(s shape) int64 { return s.h }, fy)
	s = &spotted{task: t, xs: xs, ys: ys}
	for k := 2; ; k++ {
		nx, ny := len(s.xs), len(s.ys)
		if nx*(nx-1)/2*(ny*(ny-1)/2) <= maxSpans {
			break
		}
		s.xs, s.ys = thinned(xs, fx, k), thinned(ys, fy, k)
		if k > 64 {
			return nil, false
		}
	}
	s.ny = len(s.ys) * (len(s.ys) - 1) / 2
	s.best = make([]int64, len(s.xs)*(len(s.xs)-1)/2*s.ny)
	return s, len(s.xs) == len(xs) && len(s.ys) == len(ys)
}

// free of defects, the kerf not counted.
func (s *spotted) sound(x, y int64, sh shape) bool {
	w, h := sh.w-s.kerf, sh.h-s.kerf
	for _, d := range s.bad {
		if x < d.x+d.w && d.x < x+w && y < d.y+d.h && d.y < y+h {
			return false
		}
	}
	return true
}

func reach(list []int64, x int64) int {
	return sort.Search(len(list), func(i int) bool { return list[i] >= x })
}

// run fills the table for prices by kind; stop is asked between x spans.
func (s *spotted) run(price []int64, stop func() bool) bool {
	nx, ny := len(s.xs), len(s.ys)
	for k := range s.best {
		s.best[k] = 0
	}
	for i := range nx - 1 {
		for j := range ny - 1 {
			for _, sh := range s.shapes {
				p := price[sh.kind]
				i2, j2 := reach(s.xs, s.xs[i]+sh.w), reach(s.ys, s.ys[j]+sh.h)
				if p <= 0 || i2 == nx || j2 == ny || !s.sound(s.xs[i], s.ys[j], sh) {
					continue
				}
				at := span(i, i2)*s.ny + span(j, j2)
				s.best[at] = max(s.best[at], p)
			}
		}
	}
	for i2 := 1; i2 < nx; i2++ {
		for i := i2 - 1; i >= 0; i-- {
			if stop() {
				return false
			}
			row := s.row(i, i2)
			for c := i + 1; c < i2; c++ {
				left, right := s.row(i, c), s.row(c, i2)
				for k, v := range left {
					if v += right[k]; v > row[k] {
						row[k] = v
					}
				}
			}
			for j2 := 1; j2 < ny; j2++ {
				for j := j2 - 1; j >= 0; j-- {
					v := row[span(j, j2)]
					for c := j + 1; c < j2; c++ {
						v = max(v, row[span(j, c)]+row[span(c, j2)])
					}
					row[span(j, j2)] = v
				}
			}
			s.steps += int64(s.ny) * int64(i2-i+ny/3)
		}
	}
	return true
}

func (s *spotted) row(i, k int) []int64 {
	at := span(i, k) * s.ny
	return s.best[at : at+s.ny]
}

func (s *spotted) whole() int64 {
	return s.row(0, len(s.xs)-1)[span(0, len(s.ys)-1)]
}

// pattern finds the cuts of a rectangle again; its parts fill it exactly.
func (s *spotted) pattern(i, i2, j, j2 int, price []int64) *node {
	v := s.row(i, i2)[span(j, j2)]
	w, h := s.xs[i2]-s.xs[i], s.ys[j2]-s.ys[j]
	if v == 0 {
		return &node{shape: -1, w: w, h: h}
	}
	for k, sh := range s.shapes {
		if price[sh.kind] == v && sh.w <= w && sh.h <= h && s.sound(s.xs[i], s.ys[j], sh) {
			return &node{shape: k, w: w, h: h}
		}
	}
	for c := i + 1; c < i2; c++ {
		if s.row(i, c)[span(j, j2)]+s.row(c, i2)[span(j, j2)] == v {
			return &node{across: true, parts: []*node{s.pattern(i, c, j, j2, price), s.pattern(c, i2, j, j2, price)}, w: w, h: h}
		}
	}
	row := s.row(i, i2)
	for c := j + 1; c < j2; c++ {
		if row[span(j, c)]+row[span(c, j2)] == v {
			return &node{parts: []*node{s.pattern(i, i2, j, c, price), s.pattern(i, i2, c, j2, price)}, w: w, h: h}
		}
	}
	return &node{shape: -1, w: w, h: h}
}

// defects solves a sheet with defects. Limited copies are priced as on a clear
// sheet; what a pattern has too many of is left as waste.
func (s *solving) defects() {
	d, exact := s.newSpotted()
	if d == nil {
		return
	}
	n := len(s.items)
	price := make([]int64, n) // of each limited copy
	step := 1.0
	cur := make([]float64, n)
	rounds := 1
	if !s.unlimited() {
		rounds = 25
	}
	for range rounds {
		reduced, paid := make([]int64, n), int64(0)
		for k := range n {
			price[k] = int64(cur[k])
			reduced[k] = s.task.value[k]*fine - price[k]
			paid += price[k] * s.count[k]
		}
		done := d.run(reduced, func() bool { return s.ctx.Err() != nil || s.work+d.steps > s.limit })
		if !done {
			break
		}
		if exact {
			s.lower((d.whole() + paid) / fine)
		}
		p := d.pattern(0, len(d.xs)-1, 0, len(d.ys)-1, reduced)
		use := make([]int64, n)
		s.offer(p, s.trim(p, use))
		if s.value >= s.bound {
			break
		}
		norm := 0.0
		for k := range n {
			if g := float64(use[k] - s.count[k]); g > 0 || cur[k] > 0 {
				norm += g * g
			}
		}
		if norm == 0 {
			break
		}
		gap := float64(d.whole() + paid - s.value*fine)
		for k := range n {
			cur[k] = max(0, cur[k]+step*gap*float64(use[k]-s.count[k])/norm)
		}
		step *= 0.9
	}
	if !exact {
		f := newFree(s.x, s.y, s.shapes)
		f.run(s.value64())
		s.lower(f.whole() / fine)
		s.work += f.steps
	}
	s.work += d.steps
}

// trim turns surplus copies into waste and gives the value of the rest; use
// counts all copies, the surplus too.
func (s *solving) trim(p *node, use []int64) int64 {
	if p == nil {
		return 0
	}
	if len(p.parts) == 0 {
		if p.shape < 0 {
			return 0
		}
		k := s.shapes[p.shape].kind
		if use[k]++; use[k] > s.count[k] {
			p.shape = -1
			return 0
		}
		return s.task.value[k]
	}
	var sum int64
	for _, q := range p.parts {
		sum += s.trim(q, use)
	}
	return sum
}
