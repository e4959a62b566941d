package guillotine

import "context"

// Values are counted in sixty-fourths while prices are searched, so that a
// price need not be whole.
const fine = 64

// limitedBound prices the limited copies (Lagrangian relaxation, subgradient
// steps with whole prices): whatever the prices, the worth of the free pattern
// at values less prices, and the price of all copies, is a bound. It gives the
// best prices and their table. pattern is shown each free pattern's copies and
// gives the best value known, which the steps aim at.
func (t *task) limitedBound(ctx context.Context, f *free, rounds int, pattern func([]int64) int64) (price []int64, bound int64) {
	n := len(t.items)
	cur := make([]float64, n)
	price = make([]int64, n)
	reduced := make([]int64, n)
	whole := make([]int64, n)
	bound = int64(1) << 62
	step, stale := 1.0, 0
	for range rounds {
		if ctx.Err() != nil {
			break
		}
		var paid int64
		for k := range n {
			whole[k] = int64(cur[k])
			reduced[k] = t.value[k]*fine - whole[k]
			paid += whole[k] * t.count[k]
		}
		f.run(reduced)
		b := f.whole() + paid
		if b < bound {
			bound, stale = b, 0
			copy(price, whole)
		} else if stale++; stale >= 6 {
			step, stale = step*0.6, 0
			for k := range n {
				cur[k] = float64(price[k])
			}
			continue
		}
		use := make([]int64, n)
		f.use(len(f.x.at)-1, f.ny-1, use)
		floor := pattern(use)
		norm := 0.0
		for k := range n {
			g := float64(use[k] - t.count[k])
			if g < 0 && cur[k] == 0 {
				continue
			}
			norm += g * g
		}
		if norm == 0 || step < 0.01 {
			break
		}
		gap := float64(b - floor*fine)
		if gap < fine {
			break
		}
		for k := range n {
			g := float64(use[k] - t.count[k])
			cur[k] = max(0, cur[k]+step*gap*g/norm)
		}
	}
	for k := range n {
		reduced[k] = t.value[k]*fine - price[k]
	}
	f.run(reduced)
	return price, bound
}
