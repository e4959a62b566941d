package cost

import (
	"github.com/shopspring/decimal"

	"pilewright/plan/measure"
)

// Glue is the glue of a piece. Spread is millilitres for a square metre of
// joint; Loss is the share that stays in brush and pot or is wiped off.
type Glue struct {
	Area   measure.Area
	Spread decimal.Decimal
	Loss   decimal.Decimal
	Litre  decimal.Decimal // price
}

// Millilitres is how much glue must be at hand.
func (g Glue) Millilitres() decimal.Decimal {
	return g.Area.SquareMetres().Mul(g.Spread).Mul(one.Add(g.Loss))
}

// Cost is the price of that glue.
func (g Glue) Cost() decimal.Decimal { return g.Millilitres().Shift(-3).Mul(g.Litre) }

// Finish is the finish of a piece. Coverage is square metres for a litre and
// coat; Loss as for glue.
type Finish struct {
	Area     measure.Area
	Coats    int
	Coverage decimal.Decimal
	Loss     decimal.Decimal
	Litre    decimal.Decimal // price
}

// Millilitres is how much finish all coats take; nothing where the coverage is
// not known.
func (f Finish) Millilitres() decimal.Decimal {
	if f.Coverage.Sign() <= 0 || f.Coats <= 0 {
		return decimal.Zero
	}
	coats := decimal.NewFromInt(int64(f.Coats))
	return f.Area.SquareMetres().Mul(coats).Mul(one.Add(f.Loss)).Shift(3).DivRound(f.Coverage, places)
}

// Cost is the price of that finish.
func (f Finish) Cost() decimal.Decimal {
	if f.Coverage.Sign() <= 0 || f.Coats <= 0 {
		return decimal.Zero
	}
	coats := decimal.NewFromInt(int64(f.Coats))
	return f.Area.SquareMetres().Mul(coats).Mul(one.Add(f.Loss)).Mul(f.Litre).DivRound(f.Coverage, places)
}

// Sandpaper is the cost of sanding an area through a number of grits at a
// price for a square metre and grit.
func Sandpaper(area measure.Area, grits int, price decimal.Decimal) decimal.Decimal {
	return area.SquareMetres().Mul(decimal.NewFromInt(int64(max(grits, 0)))).Mul(price)
}

// Machines is the cost of machine hours at the prices of power and wear for an
// hour.
func Machines(hours, power, wear decimal.Decimal) decimal.Decimal { return hours.Mul(power.Add(wear)) }

// Portion gives the part of an amount that falls to part out of whole: the
// share of a lot's cost for the wood a piece takes from it. Nothing where the
// whole is nothing.
func Portion(amount decimal.Decimal, part, whole measure.Volume) decimal.Decimal {
	if whole.Sign() <= 0 {
		return decimal.Zero
	}
	return amount.Mul(part.CubicMillimetres()).DivRound(whole.CubicMillimetres(), places)
}

// litresPerGallon is the US liquid gallon of 231 in³.
var litresPerGallon = decimal.RequireFromString("3.785411784")

// CoverageFromGallon turns square feet for a US gallon into square metres for
// a litre.
func CoverageFromGallon(squareFeet decimal.Decimal) decimal.Decimal {
	return squareFeet.Mul(measure.AreaOf(measure.Foot, measure.Foot).SquareMetres()).DivRound(litresPerGallon, places)
}

// CoverageOfFilm gives the square metres a litre covers at a wet film
// thickness; zero for no thickness.
func CoverageOfFilm(thickness measure.Length) decimal.Decimal {
	if thickness <= 0 {
		return decimal.Zero
	}
	return decimal.NewFromInt(int64(measure.Millimetre)).DivRound(decimal.NewFromInt(int64(thickness)), places)
}
