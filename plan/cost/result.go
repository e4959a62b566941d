package cost

import "github.com/shopspring/decimal"

// Costs are what making a piece takes out of the pocket; the maker's own hours
// are not among them.
type Costs struct {
	Wood        decimal.Decimal
	Consumables decimal.Decimal // glue, finish, sandpaper
	Hardware    decimal.Decimal
	Machines    decimal.Decimal // power and wear
	Expenses    decimal.Decimal // the piece's share of other spending
	Overhead    decimal.Decimal // the piece's share of rent, insurance and the like
}

// Total adds the costs up.
func (c Costs) Total() decimal.Decimal {
	return decimal.Sum(c.Wood, c.Consumables, c.Hardware, c.Machines, c.Expenses, c.Overhead)
}

// State says in one word how a sale stands.
type State string

// The states, from the worst to the best.
const (
	NotPriced  State = "not priced" // no price is set, so nothing follows from it
	BelowFees  State = "below fees" // tax, fees and delivery take more than the price
	Loss       State = "loss"       // costs are not covered
	BreaksEven State = "breaks even"
	Earns      State = "earns"
)

// Result is what a sale at a price comes to. A NullDecimal that is not Valid
// has no meaning there, as its comment says; nothing is ever divided by zero.
type Result struct {
	State     State
	Agreed    decimal.Decimal // price after the discount
	BuyerPays decimal.Decimal
	Tax       decimal.Decimal
	Fees      decimal.Decimal
	Delivery  decimal.Decimal
	Received  decimal.Decimal // after tax, fees and delivery
	Costs     decimal.Decimal
	Earned    decimal.Decimal // received less costs: the pay for all the hours
	Wage      decimal.Decimal // hours at the wished pay
	Profit    decimal.Decimal // earned less wage; below zero = less than wished

	PerHour   decimal.NullDecimal // earned for an hour; not valid without hours
	Margin    decimal.NullDecimal // earned as a share of the price before tax; not valid without a price
	Markup    decimal.NullDecimal // earned as a share of all that was laid out; not valid where nothing was
	BreakEven decimal.NullDecimal // asked price at which earned is zero; not valid where there is none
	PriceWish decimal.NullDecimal // asked price at which an hour earns the wish; not valid where there is none
}

// Reckon works a sale out. hours are the maker's hours on the piece, wish is
// the pay wished for an hour. With no price set, only the costs, the wage and
// the two prices are filled in.
func Reckon(s Sale, c Costs, hours, wish decimal.Decimal) Result {
	r := Result{
		Costs: c.Total(),
		Wage:  hours.Mul(wish),
	}
	r.BreakEven = null(s.PriceToReceive(r.Costs))
	r.PriceWish = null(s.PriceToReceive(r.Costs.Add(r.Wage)))
	if s.Price.Sign() <= 0 {
		r.State = NotPriced
		return r
	}
	r.Agreed, r.BuyerPays, r.Tax, r.Fees, r.Delivery = s.Agreed(), s.BuyerPays(), s.Tax(), s.Fees(), s.Delivery
	r.Received = s.Received()
	r.Earned = r.Received.Sub(r.Costs)
	r.Profit = r.Earned.Sub(r.Wage)
	r.PerHour = quotient(r.Earned, hours)
	r.Margin = quotient(r.Earned, s.BeforeTax())
	r.Markup = quotient(r.Earned, decimal.Sum(r.Costs, r.Fees, r.Delivery))
	switch {
	case r.Received.Sign() < 0:
		r.State = BelowFees
	case r.Earned.Sign() < 0:
		r.State = Loss
	case r.Earned.Sign() == 0:
		r.State = BreaksEven
	default:
		r.State = Earns
	}
	return r
}

// HoursWithin gives how many hours may be spent so that an hour still earns
// the wish; ok is false where there is no such limit (no wish) or nothing is
// earned at all.
func (r Result) HoursWithin(wish decimal.Decimal) (hours decimal.Decimal, ok bool) {
	if wish.Sign() <= 0 || r.Earned.Sign() <= 0 {
		return decimal.Zero, false
	}
	return r.Earned.DivRound(wish, places), true
}

// LargestDiscount gives the share that can be taken off the asked price so
// that an hour still earns the wish, 0 where the asked price is already too
// low; ok is false where no price earns it or none is asked.
func LargestDiscount(s Sale, c Costs, hours, wish decimal.Decimal) (share decimal.Decimal, ok bool) {
	s.Discount = decimal.Zero
	need, ok := s.PriceToReceive(c.Total().Add(hours.Mul(wish)))
	if !ok || s.Price.Sign() <= 0 {
		return decimal.Zero, false
	}
	return decimal.Max(decimal.Zero, one.Sub(need.DivRound(s.Price, places))), true
}

func null(d decimal.Decimal, ok bool) decimal.NullDecimal {
	return decimal.NullDecimal{Decimal: d, Valid: ok}
}

// quotient divides where the divisor is above zero.
func quotient(a, b decimal.Decimal) decimal.NullDecimal {
	if b.Sign() <= 0 {
		return decimal.NullDecimal{}
	}
	return null(a.DivRound(b, places), true)
}
