package rows

import "sort"

// byCost lists the strips that may be used above a floor, those that lose
// least wood for what they give first.
func (s *scaled) byCost(floor int64) []int {
	var order []int
	for i := range s.length {
		if s.height[i] >= floor && s.length[i] >= s.piece && s.rowWidth(i) > 0 {
			order = append(order, i)
		}
	}
	t := floor - s.cleanup2
	cost := func(i int) int64 { return s.section(i, s.rowWidth(i), t) }
	// Of equal strips those fit to be seen come first.
	sort.SliceStable(order, func(a, b int) bool {
		x, y := s.job.Strips[order[a]], s.job.Strips[order[b]]
		if x.GoodFace != y.GoodFace {
			return x.GoodFace
		}
		return x.Grade > y.Grade
	})
	sort.SliceStable(order, func(a, b int) bool {
		i, k := order[a], order[b]
		if s.job.Rows > 0 {
			return cost(i) < cost(k)
		}
		// Loss for a unit of width; compared as fractions in float because the
		// order only steers, except in pourBound, which tolerates any order.
		return float64(cost(i))/float64(s.rowWidth(i)) < float64(cost(k))/float64(s.rowWidth(k))
	})
	return order
}

// pourBound is the wood lost at least when `rows` more rows (or `width` more
// width) are poured from the given lengths as if they were liquid: no kerf, no
// shortest piece, rows as wide as each piece allows. ok is false when there is
// not enough.
func (s *scaled) pourBound(order []int, left []int64, t, rows, width int64) (lost int64, ok bool) {
	if s.job.Rows > 0 {
		need := rows * s.panel
		for _, i := range order {
			if need <= 0 {
				break
			}
			if left[i] < s.piece {
				continue
			}
			use := min(left[i], need)
			lost += use * s.section(i, s.rowWidth(i), t)
			need -= use
		}
		return lost, need <= 0
	}
	// A fractional cover of length × width. The order is by ratio; the last
	// strip is used in part, rounded down so that the bound stays one. A
	// product of length and width of a whole panel fits 62 bits by the scale.
	need := float64(width) * float64(s.panel)
	sum := 0.0
	for _, i := range order {
		if need <= 0 {
			break
		}
		if left[i] < s.piece {
			continue
		}
		give := float64(left[i]) * float64(s.rowWidth(i))
		c := float64(left[i]) * float64(s.section(i, s.rowWidth(i), t))
		if give > need {
			c *= need / give
		}
		need -= give
		sum += c
	}
	return int64(sum * (1 - 1e-12)), need <= 0
}

// windowBound is the wood lost at least because pieces of one row differ in
// what they take of the panel's width: rows are windows of the strips laid end
// to end in that order, everything at least `floor` thick. For a given choice
// of wood, consecutive windows give the widest rows, and of two choices the
// one without gaps inside a window loses less, so the best windows bound every
// composition. Windows longer than a row leave room for cuts and ends: a plan
// then, no bound.
func (s *scaled) windowBound(floor, panel int64) (lost int64, plan *windowPlan, ok bool) {
	order := s.byCost(floor)
	if len(order) == 0 {
		return 0, nil, false
	}
	sort.SliceStable(order, func(a, b int) bool { return s.across[order[a]] < s.across[order[b]] })
	start := make([]int64, len(order)+1)
	for k, i := range order {
		start[k+1] = start[k] + s.length[i]
	}
	total := start[len(order)]
	places := s.windowPlaces(start, total, panel)
	t := floor - s.cleanup2
	// gross(x): wood of the first x units, all taken to be floor thick.
	at := make([]int, len(places)) // strip under each place
	gross := make([]int64, len(places))
	var run int64
	k := 0
	for p, x := range places {
		for k < len(order)-1 && start[k+1] <= x {
			run += s.length[order[k]] * ((s.across[order[k]] * floor) >> s.shift)
			k++
		}
		at[p] = k
		gross[p] = run + (x-start[k])*((s.across[order[k]]*floor)>>s.shift)
	}
	end := make([]int, len(places)) // place one panel length on, or -1
	q := 0
	for p, x := range places {
		for q < len(places) && places[q] < x+panel {
			q++
		}
		end[p] = -1
		if q < len(places) && places[q] == x+panel {
			end[p] = q
		}
	}
	cost := func(p int) int64 {
		w := s.rowWidth(order[at[p]])
		return gross[end[p]] - gross[p] - panel*((w*t)>>s.shift) - s.slack()
	}
	if s.job.Rows > 0 {
		lost, used, ok := cheapestWindows(end, cost, s.job.Rows)
		if !ok {
			return 0, nil, false
		}
		return max(lost, 0), s.planOf(order, start, places, at, end, used), true
	}
	lost, used, ok := s.windowWidthBound(order, at, end, cost)
	if !ok {
		return 0, nil, false
	}
	return lost, s.planOf(order, start, places, at, end, used), true
}

// windowPlan is a set of windows as a guide for the search: the strips they
// touch and, row by row, the size across of their narrowest strip.
type windowPlan struct {
	chosen []bool
	target []int64
}

// slack covers the rounding down of cross-sections in one row.
func (s *scaled) slack() int64 {
	if s.shift == 0 {
		return 0
	}
	return 2 * s.panel
}

// windowPlaces are the positions at which some window of a best set starts or
// ends: strip ends moved by whole panel lengths. Between them the loss is
// linear in the position of a chain of windows.
func (s *scaled) windowPlaces(start []int64, total, panel int64) []int64 {
	var places []int64
	reach := int64(s.job.Rows)
	if reach <= 0 {
		reach = total / panel
	}
	for _, b := range start {
		for j := -reach; j <= reach; j++ {
			if x := b + j*panel; x >= 0 && x <= total {
				places = append(places, x)
			}
		}
	}
	sort.Slice(places, func(a, b int) bool { return places[a] < places[b] })
	keep := places[:0]
	for _, x := range places {
		if len(keep) == 0 || keep[len(keep)-1] != x {
			keep = append(keep, x)
		}
	}
	return keep
}

const never = int64(1) << 62

// cheapestWindows picks `count` windows that do not overlap, least cost first.
func cheapestWindows(end []int, cost func(int) int64, count int) (int64, []int, bool) {
	n := len(end)
	best := make([][]int64, count+1)
	best[0] = make([]int64, n+1)
	for r := 1; r <= count; r++ {
		best[r] = make([]int64, n+1)
		best[r][n] = never
		for p := n - 1; p >= 0; p-- {
			best[r][p] = best[r][p+1]
			if end[p] >= 0 && best[r-1][end[p]] < never {
				best[r][p] = min(best[r][p], best[r-1][end[p]]+cost(p))
			}
		}
	}
	if best[count][0] >= never {
		return 0, nil, false
	}
	var used []int
	for r, p := count, 0; r > 0; {
		if best[r][p] == best[r][p+1] {
			p++
			continue
		}
		used = append(used, p)
		p = end[p]
		r--
	}
	return best[count][0], used, true
}

// windowWidthBound prices the wanted width (a Lagrangian bound, whole prices):
// any price gives a valid bound, the best of a bisection is kept.
func (s *scaled) windowWidthBound(order, at, end []int, cost func(int) int64) (int64, []int, bool) {
	n := len(end)
	gain := make([]int64, n+1)
	wide := make([]int64, n+1)
	solve := func(price int64) {
		for p := n - 1; p >= 0; p-- {
			gain[p], wide[p] = gain[p+1], wide[p+1]
			if end[p] < 0 {
				continue
			}
			w := s.rowWidth(order[at[p]])
			if g := gain[end[p]] + cost(p) - price*w; g < gain[p] {
				gain[p], wide[p] = g, wide[end[p]]+w
			}
		}
	}
	lo, hi := int64(0), int64(1)
	for {
		solve(hi)
		if wide[0] >= s.width {
			break
		}
		if hi > never/(1+4*s.width*int64(1+len(order))) {
			return 0, nil, false
		}
		lo, hi = hi, 2*hi
	}
	best := max(gain[0]+hi*s.width, 0)
	for lo+1 < hi && (hi-lo) > hi>>20 {
		mid := lo + (hi-lo)/2
		solve(mid)
		best = max(best, gain[0]+mid*s.width)
		if wide[0] >= s.width {
			hi = mid
		} else {
			lo = mid
		}
	}
	solve(hi)
	best = max(best, gain[0]+hi*s.width)
	var used []int
	for p := 0; p < n; {
		if gain[p] == gain[p+1] {
			p++
			continue
		}
		used = append(used, p)
		p = end[p]
	}
	return best, used, true
}

func (s *scaled) planOf(order []int, start, places []int64, at, end, used []int) *windowPlan {
	plan := &windowPlan{chosen: make([]bool, s.n)}
	for _, p := range used {
		from, to := places[p], places[end[p]]
		for k, i := range order {
			if start[k] < to && start[k+1] > from {
				plan.chosen[i] = true
			}
		}
		plan.target = append(plan.target, s.across[order[at[p]]])
	}
	return plan
}
