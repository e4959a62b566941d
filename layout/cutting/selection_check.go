package cutting

import (
	"cmp"
	"math/bits"
	"slices"

	"pilewright/layout/cutting/pattern"
)

// selectionCheck goes through choices of boards on its own: under each vector
// of prices the boards opened must be worth what is demanded.
type selectionCheck struct {
	price []int64 // by group
	claim int64
	step  int64 // every cost is a multiple
	needs []int64
	value [][]int64 // by condition and group
	order [][]int   // groups worth anything, the cheapest for their worth first
}

// selection reports whether no boards of less cost than the claim meet all conditions.
func (c *proofCheck) selection(duals []*pattern.Dual) bool {
	s := &selectionCheck{price: c.cost, claim: c.claim, step: c.step()}
	root := pattern.RootState(c.r.model(c.demand, c.cost, nil, nil))
	most, used := make([]int, len(c.cost)), make([]int, len(c.cost))
	for g := range c.cost {
		if !c.over(g) {
			most[g] = len(c.r.groups[g].boards)
		}
	}
	for _, d := range duals {
		_, values := c.bound(d, root)
		need := int64(0)
		for i, n := range c.demand {
			hi, lo := bits.Mul64(uint64(max(d.Pi[i], 0)), uint64(n))
			if hi != 0 || lo > 1<<61 || need > 1<<61 {
				return false
			}
			need += int64(lo)
		}
		value, order := make([]int64, len(values)), []int(nil)
		for g, v := range values {
			if !v.IsInt64() || v.Int64() > 1<<61 {
				return false
			}
			if value[g] = v.Int64(); value[g] > 0 && most[g] > 0 {
				order = append(order, g)
			}
		}
		slices.SortStableFunc(order, func(a, b int) int {
			ah, al := bits.Mul64(uint64(s.price[a]), uint64(value[b]))
			bh, bl := bits.Mul64(uint64(s.price[b]), uint64(value[a]))
			return cmp.Or(cmp.Compare(ah, bh), cmp.Compare(al, bl))
		})
		s.needs, s.value, s.order = append(s.needs, need), append(s.value, value), append(s.order, order)
	}
	return !s.cheaper(used, most, 0)
}

// cheaper reports whether boards of less cost than the claim may meet all
// conditions: used of each group are opened, at most most may be.
func (s *selectionCheck) cheaper(used, most []int, cost int64) bool {
	worst, at := int64(-1), -1
	for k, left := range s.needs {
		value := s.value[k]
		for g, n := range used {
			left -= value[g] * int64(n)
		}
		if left <= 0 {
			continue
		}
		total, last := cost, -1
		for _, g := range s.order[k] {
			if used[g] == most[g] {
				continue
			}
			last = g
			n := min(int64(most[g]-used[g]), left/value[g])
			left -= n * value[g]
			total += n * s.price[g]
			if left > 0 && n < int64(most[g]-used[g]) { // the last in part
				hi, lo := bits.Mul64(uint64(s.price[g]), uint64(left))
				q, r := bits.Div64(hi, lo, uint64(value[g]))
				total += int64(q)
				if r > 0 {
					total++
				}
				left = 0
			}
			if left <= 0 {
				break
			}
		}
		if left > 0 {
			return false
		}
		if total > worst {
			worst, at = total, last
		}
	}
	if at < 0 {
		return cost < s.claim
	}
	if worst > s.claim-s.step {
		return false
	}
	used[at]++
	found := s.cheaper(used, most, cost+s.price[at])
	used[at]--
	if found {
		return true
	}
	before := most[at]
	most[at] = used[at]
	found = s.cheaper(used, most, cost)
	most[at] = before
	return found
}
