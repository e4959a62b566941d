package rows

import "math/bits"

// pieceBound sharpens pourBound where strips differ only through the panel: a
// row takes at least so many pieces, and a strip cut into k pieces loses k-1
// cuts. With a price on length and one on pieces (Lagrangian relaxation) every
// strip is weighed by itself; any whole prices give a bound, and the best is
// searched for, coarse to fine. It is for a fixed number of rows.
func (s *scaled) pieceBound(order []int, t int64) int64 {
	longest, cost := int64(0), make([]int64, len(order))
	for k, i := range order {
		longest = max(longest, min(s.length[i], s.panel))
		cost[k] = s.section(i, s.rowWidth(i), t)
	}
	if longest == 0 {
		return 0
	}
	rows := int64(s.job.Rows)
	pieces := rows * ((s.panel + longest - 1) / longest)
	length := rows * s.panel
	// Prices in fractions of the unit of cost, as far as 62 bits allow.
	top := int64(1)
	for _, c := range cost {
		top = max(top, c)
	}
	var total int64
	for _, i := range order {
		total += s.length[i]
	}
	fine := uint(max(0, min(12, 58-bits.Len64(uint64(2*top))-bits.Len64(uint64(total+length)))))
	worth := func(perLength, perPiece int64) int64 {
		sum := perLength*length + perPiece*pieces
		for k, i := range order {
			best := int64(0)
			each := cost[k]<<fine - perLength
			// More pieces than all rows want are never needed of one strip.
			n := pieces
			if least := s.piece + s.cut; least > 0 {
				n = min(n, (s.length[i]+s.cut)/least)
			}
			// The value is linear in the number of pieces: its ends decide.
			for _, n := range [2]int64{min(n, 1), n} {
				v := each*n*s.piece - perPiece*n
				if each < 0 {
					v = each*(s.length[i]-s.cut*(n-1)) - perPiece*n
				}
				if n > 0 {
					best = min(best, v)
				}
			}
			sum += best
		}
		return sum
	}
	// The sum is concave in both prices: narrow each in turn.
	best := int64(0)
	inner := func(perLength int64) int64 {
		lo, hi := int64(0), (top<<fine)*max(s.cut, 1)
		for hi-lo > 2 {
			a := lo + (hi-lo)/3
			b := hi - (hi-lo)/3
			if worth(perLength, a) < worth(perLength, b) {
				lo = a + 1
			} else {
				hi = b
			}
		}
		v := worth(perLength, lo)
		for p := lo + 1; p <= hi; p++ {
			v = max(v, worth(perLength, p))
		}
		best = max(best, v)
		return v
	}
	lo, hi := int64(0), 2*top<<fine
	for hi-lo > 2 {
		a := lo + (hi-lo)/3
		b := hi - (hi-lo)/3
		if inner(a) < inner(b) {
			lo = a + 1
		} else {
			hi = b
		}
	}
	for p := lo; p <= hi; p++ {
		inner(p)
	}
	return (best + 1<<fine - 1) >> fine
}
