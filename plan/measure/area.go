package measure

import (
	"math/big"

	"github.com/shopspring/decimal"
)

// Area is an exact area in square nanometres. The zero Area is no area; ==
// compares areas. Sums and products stop at the largest Area, about 1.7e20 m²,
// instead of wrapping round.
type Area struct{ nm2 int128 }

// Volume is an exact volume in cubic nanometres. The zero Volume is no volume;
// == compares volumes. Sums and products stop at the largest Volume, about
// 1.7e11 m³, instead of wrapping round.
type Volume struct{ nm3 int128 }

// decimals that a quotient which does not come out even is rounded to, half up.
const quotientPlaces = 12

// AreaOf is a times b.
func AreaOf(a, b Length) Area { return Area{wide(int64(a)).times(int64(b))} }

// SquareNanometres is an area counted elsewhere, exact up to the largest Area.
func SquareNanometres(n *big.Int) Area {
	if n.BitLen() > 127 {
		if n.Sign() < 0 {
			return Area{least128}
		}
		return Area{most128}
	}
	hi := new(big.Int).Rsh(n, 64) // rounds down, as two's complement wants
	lo := new(big.Int).Sub(n, new(big.Int).Lsh(hi, 64))
	return Area{int128{hi.Int64(), lo.Uint64()}}
}

// VolumeOf is a times b times c; exact for every three lengths within Limit.
func VolumeOf(a, b, c Length) Volume {
	return Volume{wide(int64(a)).times(int64(b)).times(int64(c))}
}

// Add gives the sum.
func (a Area) Add(b Area) Area { return Area{a.nm2.add(b.nm2)} }

// Sub gives a without b; it may be negative.
func (a Area) Sub(b Area) Area { return Area{a.nm2.add(b.nm2.neg())} }

// Times gives n such areas.
func (a Area) Times(n int) Area { return Area{a.nm2.times(int64(n))} }

// By is the volume of thickness t under a.
func (a Area) By(t Length) Volume { return Volume{a.nm2.times(int64(t))} }

// Cmp is -1, 0 or 1 as a is less than, equal to or greater than b.
func (a Area) Cmp(b Area) int { return a.nm2.cmp(b.nm2) }

// Sign is -1, 0 or 1.
func (a Area) Sign() int { return a.nm2.sign() }

// Equal reports whether the areas are the same.
func (a Area) Equal(b Area) bool { return a == b }

// SquareMillimetres is exact.
func (a Area) SquareMillimetres() decimal.Decimal { return decimal.NewFromBigInt(a.nm2.big(), -12) }

// SquareMetres is exact.
func (a Area) SquareMetres() decimal.Decimal { return decimal.NewFromBigInt(a.nm2.big(), -18) }

// SquareInches is rounded to 12 decimals.
func (a Area) SquareInches() decimal.Decimal { return quotient(a.nm2, int64(Inch), int64(Inch)) }

// SquareFeet is rounded to 12 decimals.
func (a Area) SquareFeet() decimal.Decimal { return quotient(a.nm2, int64(Foot), int64(Foot)) }

// Float is the area in square millimetres for drawing and physics.
func (a Area) Float() float64 { return a.nm2.float() / 1e12 }

// Add gives the sum.
func (v Volume) Add(w Volume) Volume { return Volume{v.nm3.add(w.nm3)} }

// Sub gives v without w; it may be negative.
func (v Volume) Sub(w Volume) Volume { return Volume{v.nm3.add(w.nm3.neg())} }

// Times gives n such volumes.
func (v Volume) Times(n int) Volume { return Volume{v.nm3.times(int64(n))} }

// Cmp is -1, 0 or 1 as v is less than, equal to or greater than w.
func (v Volume) Cmp(w Volume) int { return v.nm3.cmp(w.nm3) }

// Sign is -1, 0 or 1.
func (v Volume) Sign() int { return v.nm3.sign() }

// Equal reports whether the volumes are the same.
func (v Volume) Equal(w Volume) bool { return v == w }

// CubicMillimetres is exact.
func (v Volume) CubicMillimetres() decimal.Decimal { return decimal.NewFromBigInt(v.nm3.big(), -18) }

// CubicMetres is exact.
func (v Volume) CubicMetres() decimal.Decimal { return decimal.NewFromBigInt(v.nm3.big(), -27) }

// CubicInches is rounded to 12 decimals.
func (v Volume) CubicInches() decimal.Decimal {
	return quotient(v.nm3, int64(Inch), int64(Inch), int64(Inch))
}

// BoardFeet is the volume in board feet of 144 cubic inches as measured,
// rounded to 12 decimals. The trade's tally, which counts thinner stock as one
// inch thick, is TallyBoardFeet.
func (v Volume) BoardFeet() decimal.Decimal {
	return quotient(v.nm3, 144, int64(Inch), int64(Inch), int64(Inch))
}

// TallyBoardFeet is the board feet a yard would charge for: stock under one
// inch counts as one inch thick (common practice, no source).
func TallyBoardFeet(length, width, thickness Length) decimal.Decimal {
	return VolumeOf(length, width, max(thickness, Inch)).BoardFeet()
}

// Float is the volume in cubic millimetres for physics.
func (v Volume) Float() float64 { return v.nm3.float() / 1e18 }

func quotient(n int128, divisors ...int64) decimal.Decimal {
	d := big.NewInt(1)
	for _, f := range divisors {
		d.Mul(d, big.NewInt(f))
	}
	return decimal.NewFromBigInt(n.big(), 0).DivRound(decimal.NewFromBigInt(d, 0), quotientPlaces)
}
