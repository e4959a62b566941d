// Package cost does the ledger's arithmetic on plain amounts: what a piece
// costs, what a price leaves after fees and tax, what an hour of the work then
// earns, and the price that a wished hour asks for.
//
// Nothing is rounded to money here: amounts are exact except for quotients,
// which keep 16 decimals, and money.Currency.Round is applied to the line that
// is shown. Rates of fees and taxes are always the maker's own inputs. Start at
// Reckon.
package cost

import "github.com/shopspring/decimal"

// places is how many decimals a quotient keeps, rounded half away from zero.
const places = 16

var one = decimal.NewFromInt(1)

// Sale is how a piece is sold. Rates are shares: 0.065 is 6.5 %.
type Sale struct {
	Price       decimal.Decimal // asked
	Discount    decimal.Decimal // share taken off the asked price, 0 to 1
	FeeRate     decimal.Decimal // share of the agreed price the market place or card keeps
	FeeFixed    decimal.Decimal // kept of every sale
	Delivery    decimal.Decimal // what delivering costs the maker
	TaxRate     decimal.Decimal // sales tax as a share of the price before tax
	TaxIncluded bool            // the asked price already holds the tax; else it is added on top
}

// Agreed is the asked price after the discount.
func (s Sale) Agreed() decimal.Decimal { return s.Price.Mul(one.Sub(s.Discount)) }

// BeforeTax is the part of the agreed price that is not tax.
func (s Sale) BeforeTax() decimal.Decimal {
	if !s.TaxIncluded || s.TaxRate.Sign() <= 0 {
		return s.Agreed()
	}
	return s.Agreed().DivRound(one.Add(s.TaxRate), places)
}

// Tax is the sales tax, which is passed on and never the maker's.
func (s Sale) Tax() decimal.Decimal {
	if s.TaxRate.Sign() <= 0 {
		return decimal.Zero
	}
	if s.TaxIncluded {
		return s.Agreed().Sub(s.BeforeTax())
	}
	return s.Agreed().Mul(s.TaxRate)
}

// BuyerPays is the agreed price with its tax.
func (s Sale) BuyerPays() decimal.Decimal { return s.BeforeTax().Add(s.Tax()) }

// Fees are what selling costs. They are reckoned on the agreed price as
// written: with the tax where the price holds it, without where it does not.
func (s Sale) Fees() decimal.Decimal { return s.Agreed().Mul(s.FeeRate).Add(s.FeeFixed) }

// Received is what is left of the price after tax, fees and delivery.
func (s Sale) Received() decimal.Decimal {
	return s.BeforeTax().Sub(s.Fees()).Sub(s.Delivery)
}

// keeps is the share of every unit of agreed price that reaches the maker, as
// a fraction, so that it can be divided by without rounding first.
func (s Sale) keeps() (num, den decimal.Decimal) {
	if !s.TaxIncluded || s.TaxRate.Sign() <= 0 {
		return one.Sub(s.FeeRate), one
	}
	den = one.Add(s.TaxRate)
	return one.Sub(s.FeeRate.Mul(den)), den
}

// PriceToReceive gives the asked price that leaves the amount after tax, fees,
// delivery and the discount. ok is false where no price does, because fees and
// tax or the discount take all of it.
func (s Sale) PriceToReceive(amount decimal.Decimal) (price decimal.Decimal, ok bool) {
	num, den := s.keeps()
	num = num.Mul(one.Sub(s.Discount))
	if num.Sign() <= 0 {
		return decimal.Zero, false
	}
	need := amount.Add(s.FeeFixed).Add(s.Delivery)
	return decimal.Max(decimal.Zero, need.Mul(den).DivRound(num, places)), true
}
