package measure

import (
	"math"
	"math/big"
	"math/bits"
)

// int128 is a signed two's complement integer that compares with ==. Its
// arithmetic stops at the largest and least value instead of wrapping round.
type int128 struct {
	hi int64
	lo uint64
}

var (
	most128  = int128{math.MaxInt64, math.MaxUint64}
	least128 = int128{math.MinInt64, 0}
)

func wide(n int64) int128 { return int128{n >> 63, uint64(n)} }

func (a int128) sign() int {
	switch {
	case a.hi < 0:
		return -1
	case a.hi == 0 && a.lo == 0:
		return 0
	}
	return 1
}

func (a int128) neg() int128 {
	if a == least128 {
		return most128
	}
	lo, borrow := bits.Sub64(0, a.lo, 0)
	hi, _ := bits.Sub64(0, uint64(a.hi), borrow)
	return int128{int64(hi), lo}
}

func (a int128) add(b int128) int128 {
	lo, carry := bits.Add64(a.lo, b.lo, 0)
	hi, _ := bits.Add64(uint64(a.hi), uint64(b.hi), carry)
	sum := int128{int64(hi), lo}
	if (a.hi < 0) == (b.hi < 0) && (sum.hi < 0) != (a.hi < 0) {
		if a.hi < 0 {
			return least128
		}
		return most128
	}
	return sum
}

// times multiplies by a 64-bit number.
func (a int128) times(n int64) int128 {
	negative := (a.sign() < 0) != (n < 0)
	if a.sign() < 0 {
		a = a.neg()
	}
	m := uint64(n)
	if n < 0 {
		m = -m
	}
	carry, lo := bits.Mul64(a.lo, m)
	over, hi := bits.Mul64(uint64(a.hi), m)
	hi, c := bits.Add64(hi, carry, 0)
	if over+c > 0 || hi > math.MaxInt64 {
		if negative {
			return least128
		}
		return most128
	}
	p := int128{int64(hi), lo}
	if negative {
		return p.neg()
	}
	return p
}

func (a int128) cmp(b int128) int {
	switch {
	case a.hi < b.hi:
		return -1
	case a.hi > b.hi:
		return 1
	case a.lo < b.lo:
		return -1
	case a.lo > b.lo:
		return 1
	}
	return 0
}

func (a int128) big() *big.Int {
	n := new(big.Int).Lsh(big.NewInt(a.hi), 64)
	return n.Add(n, new(big.Int).SetUint64(a.lo))
}

// float works on the magnitude: near zero a negative number's halves are huge
// and would cancel.
func (a int128) float() float64 {
	if a.sign() < 0 {
		return -a.neg().float()
	}
	return math.Ldexp(float64(a.hi), 64) + float64(a.lo)
}
