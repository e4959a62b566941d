package pattern

import (
	"math"
	"math/bits"
)

// Dual is the prices of one bound, in integers: Pi by item, Rho by group with a
// least use, Sigma by budget as Num / 2^Shift. Prices are costs times 2^Scale.
type Dual struct {
	Scale uint
	Pi    []int64
	Rho   []int64
	Num   []int64
	Shift []uint
}

// dual rounds LP prices to integers that make a valid bound.
func (ms *master) dual(y []float64) Dual {
	s := math.Ldexp(ms.norm, int(ms.scale))
	d := Dual{Scale: ms.scale, Pi: make([]int64, len(ms.demand)), Rho: make([]int64, len(ms.m.Groups))}
	most := mostPrice(ms.pieces())
	for r, i := range ms.items {
		p := math.Min(math.Min(y[r], ms.big*1.5)*s, most)
		if p > 0 {
			d.Pi[i] = int64(p)
			if ms.m.Short != nil {
				d.Pi[i] = min(d.Pi[i], ms.m.Short[i]<<ms.scale)
			}
		}
	}
	for _, g := range ms.groups {
		// Without a least use the row binds nothing, whatever price it ends with:
		// that of a group that holds nothing would be endless.
		if r := ms.lower[g]; r >= 0 && y[r] > 0 && ms.st.least[g] > 0 {
			d.Rho[g] = int64(math.Min(y[r], ms.big) * s)
		}
	}
	for b := range ms.nb {
		v := -y[ms.budRow+b] * s / float64(ms.m.Budgets[b])
		num, shift := int64(0), uint(0)
		if v > 0 {
			shift = uint(max(0, min(60, 31-math.Ilogb(v))))
			// A budget in few steps makes for a high price of one; the price of all
			// of it must not overflow.
			v = math.Min(v, math.Ldexp(1, 60)/float64(ms.m.Budgets[b]))
			num = int64(math.Ldexp(v, int(shift)))
		}
		d.Num = append(d.Num, num)
		d.Shift = append(d.Shift, shift)
	}
	return d
}

// mostPrice is the most that one of so many copies may be priced at: the prices of
// all of them together must not overflow. Lower prices make a bound too.
func mostPrice(copies int) float64 { return math.Ldexp(1, 60) / float64(copies+1) }

// charge is floor(num * w / 2^shift), exactly.
func charge(num, w int64, shift uint, up bool) int64 {
	hi, lo := bits.Mul64(uint64(num), uint64(w))
	q := lo >> shift
	if shift > 0 {
		q |= hi << (64 - shift)
	}
	if up && shift > 0 && lo&(1<<shift-1) != 0 {
		q++
	}
	return int64(q)
}

// groupCost is the scaled cost of one more board of g under d in the state.
func (ms *master) groupCost(d *Dual, g int) int64 {
	gr := &ms.m.Groups[g]
	if ms.supply[g] == 1 && ms.st.least[g] > 0 { // spent, and counted in lagrange
		return -d.Rho[g]
	}
	c := gr.Cost << d.Scale
	for b, num := range d.Num {
		if num > 0 {
			c += charge(num, gr.Weight[b], d.Shift[b], false)
		}
	}
	return c - d.Rho[g]
}

// bound prices every board under d and returns the scaled Lagrangian bound.
func (ms *master) bound(d *Dual) int64 {
	ms.price(d)
	return ms.lagrange(d, ms.value)
}

func (ms *master) price(d *Dual) {
	if k, ok := ms.oracle.(Keeper); ok && ms.m.Rest != nil {
		k.Keep(int(ms.scale))
	}
	before := ms.oracle.Work()
	defer func() { ms.clk.work += ms.oracle.Work() - before }()
	ms.oracle.Price(d.Pi, ms.limit, ms.want, ms.value)
	if len(ms.st.bounds) > 0 {
		c := ms.oracle.(Counter)
		for _, g := range ms.groups {
			if bs := ms.st.bounds[g]; bs != nil && ms.want[g] {
				ms.value[g], _ = c.PriceBounded(g, bs, d.Pi, ms.limit)
			}
		}
	}
}

func (ms *master) lagrange(d *Dual, value []int64) int64 {
	total := ms.paid << d.Scale
	for _, i := range ms.items {
		total += d.Pi[i] * int64(ms.demand[i])
	}
	for b, num := range d.Num {
		left := ms.m.Budgets[b]
		for _, g := range ms.groups {
			if ms.supply[g] == 1 && ms.st.least[g] > 0 {
				left -= ms.m.Groups[g].Weight[b]
			}
		}
		if left < 0 { // the boards to be opened are too many
			return math.MaxInt64 / 2
		}
		if num > 0 {
			total -= charge(num, left, d.Shift[b], true)
		}
	}
	for _, g := range ms.groups {
		if ms.supply[g] == 1 {
			total += int64(ms.st.least[g]) * ms.m.Groups[g].Cost << d.Scale
		} else {
			total += d.Rho[g] * int64(ms.st.least[g])
		}
		if !ms.want[g] {
			continue
		}
		if value[g] < 0 { // bounds that no pattern meets
			return math.MaxInt64 / 2
		}
		if r := ms.groupCost(d, g) - value[g]; r < 0 {
			u := int64(min(ms.st.most[g], ms.pieces()))
			hi, lo := bits.Mul64(uint64(-r), uint64(u))
			if hi != 0 || lo > math.MaxInt64/4 || total < math.MinInt64/2 {
				return math.MinInt64 / 2
			}
			total -= int64(lo)
		}
	}
	return total
}

// round makes a scaled bound a bound on plans.
func (ms *master) round(scaled int64) int64 {
	if scaled >= math.MaxInt64/2 {
		return math.MaxInt64 / 2
	}
	return ceilTo(scaled, 1<<ms.scale, ms.step)
}
