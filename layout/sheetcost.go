package layout

import (
	"math"

	"github.com/shopspring/decimal"

	"pilewright/layout/guillotine"
	"pilewright/plan/measure"
)

// lexicographic is the prices that make the least sum the least money, then the
// least wood, then the fewest sheets: (money*wood + area)*sheets + 1, all in whole
// units.
type lexicographic struct {
	price        []int64
	exact        bool  // all three levels are in the price
	perMoney     int64 // price of one unit of money
	perWood      int64
	moneyUnit    int64
	long, across measure.Length // one unit of wood
}

// mostPrice is the highest price package guillotine takes.
const mostPrice = 1 << 40

func (t *sheetTask) lexicographic(kinds []sheetKind) lexicographic {
	c := lexicographic{price: make([]int64, len(kinds))}
	sheets := int64(1)
	for _, k := range kinds {
		o := t.sheets[k.members[0]]
		c.moneyUnit = gcd(c.moneyUnit, k.money)
		c.long, c.across = gcd(c.long, o.Length), gcd(c.across, o.Width)
		sheets += int64(len(k.members))
	}
	c.moneyUnit = max(c.moneyUnit, 1)
	wood, top := 1.0, 0.0
	area := make([]float64, len(kinds))
	for n, k := range kinds {
		o := t.sheets[k.members[0]]
		area[n] = float64(o.Length/c.long) * float64(o.Width/c.across)
		wood += area[n] * float64(len(k.members))
	}
	for n, k := range kinds {
		top = max(top, (float64(k.money/c.moneyUnit)*wood+area[n])*float64(sheets)+1)
	}
	c.exact = top <= mostPrice
	if c.exact {
		c.perWood, c.perMoney = sheets, sheets*int64(wood)
		for n, k := range kinds {
			c.price[n] = k.money/c.moneyUnit*c.perMoney + int64(area[n])*c.perWood + 1
		}
		return c
	}
	// Too much for one number: money and wood in proportion, as finely as they go.
	for n, k := range kinds {
		c.price[n] = max(int64(math.Round((float64(k.money/c.moneyUnit)*wood+area[n])*float64(sheets)/top*mostPrice)), 1)
	}
	return c
}

func gcd[T int64 | measure.Length](a, b T) T {
	for b != 0 {
		a, b = b, a%b
	}
	return a
}

// mostMixes bounds the choices of sheets gone through to raise a bound.
const mostMixes = 20_000

// lift raises a bound to the next sum of prices whose sheets have the area of the
// blanks, since other sums can't be a plan's.
func (q *question) lift(bound int64, area float64) (int64, bool) {
	mixes := 1
	for _, s := range q.stock {
		if mixes *= s.Supply + 1; mixes > mostMixes {
			return bound, false
		}
	}
	best, found := int64(math.MaxInt64), false
	var try func(k int, cost int64, has float64)
	try = func(k int, cost int64, has float64) {
		if k == len(q.stock) {
			// The margin is far above the error of the sums.
			if cost >= bound && has*(1+1e-9) >= area && cost < best {
				best, found = cost, true
			}
			return
		}
		s := q.stock[k]
		for n := range s.Supply + 1 {
			try(k+1, cost+int64(n)*s.Price, has+float64(n)*q.kinds[k].area)
		}
	}
	try(0, 0, 0)
	if !found {
		return bound, false
	}
	return best, true
}

// proved gives the bounds of the levels from the bound of the cutting. Where sizes
// were rounded only the area speaks.
func (q *question) proved(c guillotine.Cutting, total aims, blanks []sheetBlank) aims {
	bound, area := int64(0), 0.0
	for _, b := range blanks {
		area += float64(b.Length) * float64(b.Width) * float64(len(b.numbers))
	}
	if q.exact {
		bound = c.Bound
	}
	bound, _ = q.lift(bound, area)
	if !q.cost.exact {
		return aims{}
	}
	bound = min(bound, c.Cost)
	if bound == c.Cost {
		return total
	}
	var out aims
	money, cost := bound/q.cost.perMoney, c.Cost/q.cost.perMoney
	if money < cost {
		out.money = decimal.NewFromInt(money).Mul(decimal.NewFromInt(q.cost.moneyUnit)).Shift(-priceDigits)
		return out
	}
	out.money = total.money
	wood, opened := bound%q.cost.perMoney/q.cost.perWood, c.Cost%q.cost.perMoney/q.cost.perWood
	if wood < opened {
		out.wood = measure.AreaOf(q.cost.long, q.cost.across).Times(int(wood))
		return out
	}
	out.wood = total.wood
	out.boards = int(bound % q.cost.perMoney % q.cost.perWood)
	return out
}
