package solid

import (
	"cmp"
	"math"
	"math/big"
	"math/bits"

	"pilewright/plan/measure"
)

// Volume is an exact number of cubic nanometres, 128 bits wide. The zero value
// is no volume; == compares.
type Volume wide

// Area is an exact number of square nanometres, 128 bits wide. The zero value
// is no area; == compares.
type Area wide

type wide struct{ hi, lo uint64 }

func (w wide) add(v wide) wide {
	lo, c := bits.Add64(w.lo, v.lo, 0)
	hi, _ := bits.Add64(w.hi, v.hi, c)
	return wide{hi, lo}
}

func (w wide) cmp(v wide) int {
	if c := cmp.Compare(w.hi, v.hi); c != 0 {
		return c
	}
	return cmp.Compare(w.lo, v.lo)
}

func (w wide) big() *big.Int {
	n := new(big.Int).SetUint64(w.hi)
	return n.Lsh(n, 64).Or(n, new(big.Int).SetUint64(w.lo))
}

func (w wide) float() float64 { return math.Ldexp(float64(w.hi), 64) + float64(w.lo) }

// square is the square of a length of either sign.
func square(a measure.Length) wide {
	if a < 0 {
		a = -a
	}
	hi, lo := bits.Mul64(uint64(a), uint64(a))
	return wide{hi, lo}
}

// rectangle is the area of sides a and b, which must not be negative.
func rectangle(a, b measure.Length) Area {
	hi, lo := bits.Mul64(uint64(a), uint64(b))
	return Area{hi, lo}
}

func product(a, b, c measure.Length) Volume {
	hi, lo := bits.Mul64(uint64(a), uint64(b))
	carry, low := bits.Mul64(lo, uint64(c))
	return Volume{hi*uint64(c) + carry, low}
}

// Add gives the sum of both volumes.
func (v Volume) Add(w Volume) Volume { return Volume(wide(v).add(wide(w))) }

// Cmp is -1, 0 or 1 as v is less than, equal to or more than w.
func (v Volume) Cmp(w Volume) int { return wide(v).cmp(wide(w)) }

// IsZero reports whether there is no volume.
func (v Volume) IsZero() bool { return v == Volume{} }

// Big is the number of cubic nanometres.
func (v Volume) Big() *big.Int { return wide(v).big() }

// CubicMetres is the volume rounded to a float, for weights and for showing.
func (v Volume) CubicMetres() float64 { return wide(v).float() * 1e-27 }

// Add gives the sum of both areas.
func (a Area) Add(b Area) Area { return Area(wide(a).add(wide(b))) }

// Cmp is -1, 0 or 1 as a is less than, equal to or more than b.
func (a Area) Cmp(b Area) int { return wide(a).cmp(wide(b)) }

// IsZero reports whether there is no area.
func (a Area) IsZero() bool { return a == Area{} }

// Big is the number of square nanometres.
func (a Area) Big() *big.Int { return wide(a).big() }

// SquareMetres is the area rounded to a float, for glue amounts and for showing.
func (a Area) SquareMetres() float64 { return wide(a).float() * 1e-18 }

// Measure is the same volume in the type lengths multiply to.
func (v Volume) Measure() measure.Volume { return measure.SquareNanometres(v.Big()).By(1) }

// Measure is the same area in the type lengths multiply to.
func (a Area) Measure() measure.Area { return measure.SquareNanometres(a.Big()) }
