package cost

import "github.com/shopspring/decimal"

// MarginOfMarkup gives the margin, a share of the price, that a markup, a
// share of the cost, comes to: 25 % markup is 20 % margin. A markup of -1 or
// less has no price above zero and gives zero.
func MarginOfMarkup(markup decimal.Decimal) decimal.Decimal {
	return quotient(markup, one.Add(markup)).Decimal
}

// PriceForMarkup gives the price with the markup, a share of the cost, on it.
func PriceForMarkup(cost, markup decimal.Decimal) decimal.Decimal {
	return cost.Mul(one.Add(markup))
}

// PriceForMargin gives the price of which the margin, a share of the price, is
// left; ok is false for a margin of 1 or more.
func PriceForMargin(cost, margin decimal.Decimal) (price decimal.Decimal, ok bool) {
	q := quotient(cost, one.Sub(margin))
	return q.Decimal, q.Valid
}

// CostPlus gives (materials + labour) with overhead on both and profit on all
// of it, each a share.
func CostPlus(materials, labour, overhead, profit decimal.Decimal) decimal.Decimal {
	return materials.Add(labour).Mul(one.Add(overhead)).Mul(one.Add(profit))
}

// BreakEvenPieces gives how many pieces pay back a fixed spending, such as a
// machine, when each sells at price and costs variable; ok is false where no
// number does or it is beyond a million.
func BreakEvenPieces(fixed, price, variable decimal.Decimal) (pieces int, ok bool) {
	each := price.Sub(variable)
	if fixed.Sign() <= 0 {
		return 0, true
	}
	if each.Sign() <= 0 {
		return 0, false
	}
	q, r := fixed.QuoRem(each, 0)
	if r.Sign() > 0 {
		q = q.Add(one)
	}
	if q.GreaterThan(decimal.NewFromInt(1_000_000)) {
		return 0, false
	}
	return int(q.IntPart()), true
}

// Ending is a rule for prices that look right on a tag: the prices
// n·Every + Last for whole n, above zero.
type Ending struct {
	Name  string
	Every decimal.Decimal
	Last  decimal.Decimal
}

// Endings lists the rules offered, the plain one first.
func Endings() []Ending {
	return []Ending{
		{"whole", decimal.NewFromInt(1), decimal.Zero},
		{"ends in 0 or 5", decimal.NewFromInt(5), decimal.Zero},
		{"ends in 0", decimal.NewFromInt(10), decimal.Zero},
		{"ends in 5", decimal.NewFromInt(10), decimal.NewFromInt(5)},
		{"ends in 9", decimal.NewFromInt(10), decimal.NewFromInt(9)},
		{"ends in .99", decimal.NewFromInt(1), decimal.New(99, -2)},
	}
}

// Up gives the least price of the rule that is not below price, so a price
// found for a wished hour still earns it. A rule without a step leaves the
// price as it is.
func (e Ending) Up(price decimal.Decimal) decimal.Decimal {
	if e.Every.Sign() <= 0 {
		return price
	}
	n, r := price.Sub(e.Last).QuoRem(e.Every, 0)
	if r.Sign() > 0 {
		n = n.Add(one)
	}
	up := n.Mul(e.Every).Add(e.Last)
	if up.Sign() > 0 {
		return up
	}
	if up = e.Last.Mod(e.Every); up.Sign() <= 0 {
		up = up.Add(e.Every)
	}
	return up
}

// Down gives the greatest price of the rule that is not above price; ok is
// false where there is none above zero.
func (e Ending) Down(price decimal.Decimal) (down decimal.Decimal, ok bool) {
	if e.Every.Sign() <= 0 {
		return price, price.Sign() > 0
	}
	down = e.Up(price)
	if down.GreaterThan(price) {
		down = down.Sub(e.Every)
	}
	return down, down.Sign() > 0
}
