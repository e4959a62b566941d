package schedule

import (
	"context"
	"slices"
)

// improveWork is how many blocks the local search may look at.
const improveWork = 20_000_000

// improve moves runs of up to three blocks to other lawful places as long as
// that lowers the set-up time (or-opt, Or 1976, under precedence).
func (s *shop) improve(ctx context.Context, order []int, cost int64) ([]int, int64) {
	order = slices.Clone(order)
	trial := make([]int, len(order))
	work := 0
	for better := true; better; {
		better = false
		for size := 1; size <= 3; size++ {
			for i := 0; i+size <= len(order) && work < improveWork && ctx.Err() == nil; i++ {
				var run, needs set
				for _, k := range order[i : i+size] {
					run.add(k)
					needs = needs.or(&s.blocks[k].pred)
				}
				lo, hi := i, i+size // the run may stand anywhere in [lo, hi)
				for lo > 0 && !needs.has(order[lo-1]) {
					lo--
				}
				for hi < len(order) && s.blocks[order[hi]].pred.and(&run) == (set{}) {
					hi++
				}
				best, to := cost, -1
				for at := lo; at+size <= hi; at++ {
					if at == i {
						continue
					}
					shift(trial, order, i, size, at)
					work += len(order)
					if c := s.price(trial, best); c < best {
						best, to = c, at
					}
				}
				if to >= 0 {
					shift(trial, order, i, size, to)
					order, trial = trial, order
					cost, better = best, true
				}
			}
		}
	}
	return order, cost
}

// shift writes order into out with the run of size blocks at i moved so that it
// begins at place at.
func shift(out, order []int, i, size, at int) {
	copy(out, order)
	if at < i {
		copy(out[at+size:i+size], order[at:i])
	} else {
		copy(out[i:at], order[i+size:at+size])
	}
	copy(out[at:at+size], order[i:i+size])
}

// price is the set-up time of an order of blocks, given up at limit.
func (s *shop) price(order []int, limit int64) int64 {
	h := s.start
	var sum int64
	for _, k := range order {
		for _, n := range s.blocks[k].needs {
			sum += s.machines[n.machine].cost[h[n.machine]][n.first] + n.inner
			h[n.machine] = n.last
		}
		if sum >= limit {
			return limit
		}
	}
	return sum
}
