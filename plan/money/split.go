package money

import (
	"slices"

	"github.com/shopspring/decimal"
)

// Split divides total over weights so that the parts are whole smallest units
// and add up to total rounded: every part is its exact share rounded down, and
// the units left over go to the largest remainders, the earlier part on a tie
// (largest-remainder method, Hamilton). Where no weight is above zero the
// parts are equal; weights below zero count as zero. nil for no weights.
func (c Currency) Split(total decimal.Decimal, weights ...decimal.Decimal) []decimal.Decimal {
	if len(weights) == 0 {
		return nil
	}
	sum := decimal.Zero
	shares := make([]decimal.Decimal, len(weights))
	for i, w := range weights {
		shares[i] = decimal.Max(w, decimal.Zero)
		sum = sum.Add(shares[i])
	}
	if sum.IsZero() {
		for i := range shares {
			shares[i] = decimal.NewFromInt(1)
		}
		sum = decimal.NewFromInt(int64(len(shares)))
	}
	units := c.Round(total).Abs().Shift(c.MinorDigits) // a whole number
	left := units
	parts := make([]decimal.Decimal, len(shares))
	rests := make([]decimal.Decimal, len(shares)) // over sum, so exact
	order := make([]int, len(shares))
	for i, w := range shares {
		q, r := units.Mul(w).QuoRem(sum, 0)
		parts[i], rests[i], order[i] = q, r, i
		left = left.Sub(q)
	}
	slices.SortStableFunc(order, func(a, b int) int { return rests[b].Cmp(rests[a]) })
	for _, i := range order[:left.IntPart()] {
		parts[i] = parts[i].Add(decimal.NewFromInt(1))
	}
	for i := range parts {
		parts[i] = parts[i].Shift(-c.MinorDigits)
		if total.Sign() < 0 {
			parts[i] = parts[i].Neg()
		}
	}
	return parts
}
