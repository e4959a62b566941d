package guillotine

import (
	"math"
	"math/bits"
)

// relax solves the linear relaxation by column generation and raises the bound
// with the prices of each round: if no pattern of sheet s is worth more than V
// at prices v, a cutting costs at least sum(v·demand)·price/V (Farley, 1990).
// The prices it gives are scaled by area.
func (f *fewest) relax() []float64 {
	demand := make([]int64, len(f.items))
	for k, i := range f.items {
		demand[k] = int64(i.Count)
	}
	high := 0.0
	for _, s := range f.stock {
		high = max(high, float64(s.Price))
	}
	m := newMaster(demand, high)
	price := m.prices()
	best := make([]float64, len(f.items))
	for range 400 {
		if f.finished() || f.work > f.relaxed {
			break
		}
		const scale = 1 << 16
		items := append([]Item(nil), f.items...)
		var paid int64
		some := items[:0]
		for k, i := range f.items {
			i.Value = int64(max(price[k], 0) / high * scale)
			paid += i.Value * demand[k]
			if i.Value > 0 {
				some = append(some, i)
			}
		}
		bound, entered := int64(math.MaxInt64), false
		for _, s := range f.stock {
			opt := f.opt
			opt.Progress, opt.Work = nil, fillWork
			p, err := Solve(f.ctx, s.Sheet, some, opt)
			f.work += p.Work
			if err != nil || p.Bound <= 0 {
				bound = 0
				continue
			}
			bound = min(bound, ceilShare(paid, s.Price, p.Bound))
			column := make([]float64, len(f.items))
			worth := 0.0
			for _, q := range p.Placed {
				for k := range f.items {
					if f.items[k].ID == q.Item {
						column[k]++
						worth += price[k]
					}
				}
			}
			if worth > float64(s.Price)*(1+1e-7) {
				entered = m.enter(column, float64(s.Price)) || entered
			}
		}
		if bound > f.bound {
			f.bound = bound
			f.tell()
		}
		for k, i := range f.items {
			best[k] = max(price[k], 0) / high * area(f.stock[0].Sheet.Length, f.stock[0].Sheet.Width) / area(i.Length, i.Width)
		}
		if !entered {
			break
		}
		m.settle()
		price = m.prices()
	}
	return best
}

// ceilShare is a·b/c rounded up, without overflow for a·b below 2^126.
func ceilShare(a, b, c int64) int64 {
	hi, lo := bits.Mul64(uint64(a), uint64(b))
	if hi >= uint64(c) {
		return math.MaxInt64
	}
	q, r := bits.Div64(hi, lo, uint64(c))
	if r > 0 {
		q++
	}
	return int64(q)
}
