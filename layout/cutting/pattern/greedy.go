package pattern

import (
	"math"
	"math/rand/v2"
	"sort"
)

// greedy fills one board after another, each the one that holds most value for
// its cost, until nothing is left or nothing fits (sequential value correction
// repeats it with corrected values).
func greedy(m *Model, o Oracle, clk *clock, demand, supply []int, value []float64, spend float64) *Plan {
	if k, ok := o.(Keeper); ok {
		k.Keep(-1)
	}
	left, avail := append([]int(nil), demand...), append([]int(nil), supply...)
	pi := make([]int64, len(demand))
	top := 0.0
	for i, v := range value {
		if demand[i] > 0 {
			top = math.Max(top, v)
		}
	}
	for i, v := range value {
		pi[i] = int64(v / math.Max(top, 1e-300) * (1 << 30))
	}
	want, got := make([]bool, len(m.Groups)), make([]int64, len(m.Groups))
	budget := append([]int64(nil), m.Budgets...)
	p := &Plan{}
	rest := int64(0)
	remaining := 0
	for i, d := range left {
		rest += pi[i] * int64(d)
		remaining += d
	}
	many := remaining > 1500
	// Where boards are dear to price, a huge pile is gone through in parts.
	window := len(want)
	part := 40
	if many && len(want) > 300 && !m.lines(o) {
		window, part = 150, 4
	}
	lazy, priced := !many && !m.lines(o), false
	var again []int
	some := make([]bool, len(want))
	for remaining > 0 && !clk.cancelled() {
		open := 0
		for g := range want {
			want[g] = avail[g] > 0 && open < window
			if want[g] {
				open++
			}
			for b, w := range m.Groups[g].Weight {
				if w > budget[b] {
					want[g] = false
				}
			}
		}
		order := make([]int, 0, 8)
		score := func(g int) float64 {
			c := float64(m.Groups[g].Cost)
			if spend > 0 && c > spend {
				return 0
			}
			return float64(got[g]) / (c + 1e-6)
		}
		before := o.Work()
		few := lazy && priced
		if few {
			// Values only fall as blanks are used up: price again what may be best.
			fresh := make([]bool, len(want))
			for top := -1.0; !clk.cancelled(); {
				again := again[:0]
				for g := range want {
					if want[g] && !fresh[g] && got[g] > 0 && (score(g) > top || got[g] >= rest) {
						again = append(again, g)
					}
				}
				if len(again) == 0 {
					break
				}
				sort.SliceStable(again, func(a, b int) bool { return score(again[a]) > score(again[b]) })
				clear(some)
				for _, g := range again[:min(len(again), 4)] {
					some[g], fresh[g] = true, true
				}
				o.Price(pi, left, some, got)
				for g := range some {
					if some[g] {
						top = max(top, score(g))
					}
				}
			}
		} else {
			o.Price(pi, left, want, got)
			priced = window == len(want)
		}
		clk.work += o.Work() - before
		// A board that takes all that is left ends the plan: the cheapest such.
		last := -1
		for g := range want {
			if want[g] && got[g] >= rest && (last < 0 || m.Groups[g].Cost < m.Groups[last].Cost) {
				last = g
			}
		}
		best := -1
		for g := range want {
			if want[g] && got[g] > 0 {
				if many {
					order = append(order, g)
				}
				if best < 0 || score(g) > score(best) {
					best = g
				}
			}
		}
		if last >= 0 {
			best, order = last, nil
		}
		if best < 0 {
			if window < len(want) {
				window = len(want)
				continue
			}
			break
		}
		if many {
			// Huge piles: take the better boards from one table.
			sort.SliceStable(order, func(a, b int) bool { return score(order[a]) > score(order[b]) })
			order = order[:min(len(order), 1+len(order)/part)]
		} else {
			order = append(order[:0], best)
		}
		placed := false
		for _, g := range order {
			if clk.cancelled() {
				break
			}
			if few && !some[g] {
				// Priced before the last ones: the oracle keeps only what those need.
				clear(some)
				some[g] = true
				o.Price(pi, left, some, got)
			}
			col := o.Pattern(g)
			if col == nil {
				continue
			}
			n := min(col.times(left), avail[g])
			if n == 0 {
				continue
			}
			if many && len(order) > 1 {
				n = min(n, max(1, avail[g]/4))
			} else if avail[g] > 1 && n > 1 && remaining < 400 {
				n = (n + 1) / 2
			}
			for b, w := range m.Groups[g].Weight {
				if w > 0 {
					n = min(n, int(budget[b]/w))
				}
			}
			if n == 0 {
				continue
			}
			placed = true
			for k, i := range col.Items {
				left[i] -= n * col.N[k]
				remaining -= n * col.N[k]
				rest -= pi[i] * int64(n*col.N[k])
			}
			avail[g] -= n
			for b, w := range m.Groups[g].Weight {
				budget[b] -= w * int64(n)
			}
			p.Uses = append(p.Uses, Use{col, n})
		}
		if !placed {
			break
		}
	}
	p.Short = left
	if remaining > 0 && m.Short == nil {
		return nil
	}
	p.price(m)
	return p
}

// correct moves values towards what each pattern really cost per piece.
func correct(m *Model, value, base []float64, p *Plan, r *rand.Rand) {
	if p == nil {
		return
	}
	for _, u := range p.Uses {
		sum := 0.0
		for k, i := range u.Col.Items {
			sum += base[i] * float64(u.Col.N[k])
		}
		if sum <= 0 {
			continue
		}
		ratio := float64(m.Groups[u.Col.Group].Cost) / sum
		w := 0.2 + 0.4*r.Float64()
		for _, i := range u.Col.Items {
			value[i] = (1-w)*value[i] + w*ratio*base[i]
		}
	}
}
