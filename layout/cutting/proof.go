package cutting

import (
	"context"
	"fmt"
	"math/big"

	"pilewright/layout/cutting/pattern"
)

// CheckProof recomputes what the proofs of a solution claim: from integer prices
// alone, with plain dynamic programs of its own, no linear program and no
// floating point. It returns what does not hold, or that ctx was done before all was
// reckoned. A level without a proof claims
// nothing beyond its trivial bound of zero, unless its value is zero.
//
// Bounds on flat boards hold among layouts cut across first or along first (see
// flat); on lines they hold among all layouts.
func CheckProof(ctx context.Context, p Problem, s Solution) error {
	r := reduce(&p)
	demand := r.demand()
	var weights [][]int64
	for n, l := range s.Levels {
		if l.Bound > l.Value || l.Bound < 0 {
			return fmt.Errorf("%s: bound %d above value %d", l.Aim, l.Bound, l.Value)
		}
		if l.Aim.ofCuts() {
			if low := leastCuts(&p, &s, s.Levels, l.Aim); low.Cmp(big.NewInt(l.Bound)) < 0 {
				return fmt.Errorf("%s: %s are needed, %d are claimed", l.Aim, low, l.Bound)
			}
			continue
		}
		cost, unit := r.costs(l.Aim)
		if l.Aim == AimMade {
			cost = make([]int64, len(r.groups))
		} else if unit != l.Unit {
			return fmt.Errorf("%s: unit %d is not %d", l.Aim, l.Unit, unit)
		}
		if l.Proof == nil {
			if l.Bound > 0 {
				return fmt.Errorf("%s: a bound of %d without a proof", l.Aim, l.Bound)
			}
		} else {
			d := append([]int(nil), demand...)
			if l.Aim != AimMade {
				r.withhold(d, l.Proof.Short)
				if len(l.Proof.Budgets) > len(weights) {
					return fmt.Errorf("%s: more budgets than levels", l.Aim)
				}
				for k, b := range l.Proof.Budgets {
					// The proof may not lean on budgets tighter than the values reached.
					if w := r.spent(&p, &s, weights[k]); w.Cmp(big.NewInt(b)) > 0 {
						return fmt.Errorf("%s: a budget of %d is below what the plan uses", l.Aim, b)
					}
				}
			}
			c := &proofCheck{ctx: ctx, r: r, demand: d, cost: cost, weights: weights[:len(l.Proof.Budgets)], budgets: l.Proof.Budgets, made: l.Aim == AimMade, rest: l.Aim == AimLeftovers, value: l.Value, claim: l.Proof.Bound}
			if l.Proof.Whole {
				c.claim = l.Bound
			}
			got := c.node(l.Proof.Tree, pattern.RootState(r.model(d, cost, nil, nil)), nil)
			if err := ctx.Err(); err != nil {
				return err
			}
			if got == nil {
				return fmt.Errorf("%s: the proof does not cover every case", l.Aim)
			}
			if c.claim > 0 && got.Cmp(big.NewInt(c.claim)) < 0 {
				return fmt.Errorf("%s: the proof gives %s, %d is claimed", l.Aim, got, c.claim)
			}
		}
		if n > 0 && differs(cost) {
			weights = append(weights, cost)
		}
	}
	return nil
}

func differs(cost []int64) bool {
	for _, c := range cost {
		if c > 0 {
			return true
		}
	}
	return false
}

// withhold takes shortfalls off the demand.
func (r *reduced) withhold(demand []int, short []Shortfall) {
	for _, x := range short {
		for n, k := range r.rows {
			for _, it := range k.items {
				if it == x.Item {
					demand[n] -= x.Count
				}
			}
		}
	}
}

// spent is what a solution's boards cost by group costs.
func (r *reduced) spent(p *Problem, s *Solution, cost []int64) *big.Int {
	by := map[int]int{}
	for g := range r.groups {
		for _, b := range r.groups[g].boards {
			by[b] = g
		}
	}
	sum := new(big.Int)
	for _, o := range s.Boards {
		if g, ok := by[o.Board]; ok {
			sum.Add(sum, big.NewInt(cost[g]))
		}
	}
	return sum
}

type proofCheck struct {
	ctx     context.Context // done: what is returned says nothing
	r       *reduced
	demand  []int
	cost    []int64
	weights [][]int64
	budgets []int64
	made    bool
	rest    bool // leftovers count
	value   int64
	claim   int64
}

// node is the least bound over the cases of a proof node, in units of cost
// rounded up to their common step; nil when cases are missing.
func (c *proofCheck) node(n *pattern.ProofNode, st *pattern.CaseState, above *big.Int) *big.Int {
	if n == nil || c.ctx.Err() != nil {
		return above
	}
	low := above
	if n.Dual != nil {
		base, values := c.bound(n.Dual, st)
		b := c.round(base, n.Dual.Scale)
		if low == nil || b.Cmp(low) > 0 {
			low = b
		}
		if values == nil { // nothing is in this case
			return low
		}
		for _, d := range n.Fixed {
			// Deciding the other way would cost as much as the plan has.
			r := c.reducedCost(n.Dual, st, d.Group, values[d.Group])
			switch d.Kind {
			case pattern.Close:
			case pattern.Open:
				r.Neg(r)
			default:
				return nil
			}
			if r.Sign() < 0 || c.round(new(big.Int).Add(base, r), n.Dual.Scale).Cmp(big.NewInt(c.value)) < 0 {
				return nil
			}
		}
	}
	if claim := big.NewInt(c.claim); len(n.Selection) > 0 && !c.made && !c.rest && (low == nil || low.Cmp(claim) < 0) && c.selection(n.Selection) {
		low = claim
	}
	if n.LeftNode == nil {
		return low
	}
	for _, d := range n.Fixed {
		st = st.With(d)
	}
	if n.Left == nil {
		return c.node(n.LeftNode, st, low)
	}
	if n.Right == nil {
		return nil
	}
	l, r := *n.Left, *n.Right
	pair := l.Group == r.Group && l.Seg == r.Seg && l.Item == r.Item && r.N <= l.N+1 &&
		(l.Kind == pattern.Close && r.Kind == pattern.Open || l.Kind == pattern.AtMost && r.Kind == pattern.AtLeast)
	if !pair || (l.Kind == pattern.AtMost && !c.r.groups[l.Group].line) {
		return nil
	}
	a := c.node(n.LeftNode, st.With(l), low)
	b := c.node(n.RightNode, st.With(r), low)
	if a == nil || b == nil {
		return nil
	}
	if a.Cmp(b) > 0 {
		a = b
	}
	return a
}

// round is the least whole multiple of the costs' step not below b / 2^scale.
func (c *proofCheck) round(b *big.Int, scale uint) *big.Int {
	step := c.step()
	unit := new(big.Int).Lsh(big.NewInt(step), scale)
	q, m := new(big.Int).DivMod(b, unit, new(big.Int))
	if m.Sign() > 0 {
		q.Add(q, big.NewInt(1))
	}
	return q.Mul(q, big.NewInt(step))
}

// step is what every plan's cost is a multiple of.
func (c *proofCheck) step() int64 {
	step := int64(0)
	for g := range c.cost {
		if !c.over(g) { // boards that break a budget are not used
			step = gcdOf(step, c.cost[g])
		}
	}
	if c.made || c.rest {
		return 1
	}
	return max(step, 1)
}

// reducedCost is the price of one more board of g less the value of its best pattern.
func (c *proofCheck) reducedCost(d *pattern.Dual, st *pattern.CaseState, g int, value *big.Int) *big.Int {
	x := new(big.Int)
	if c.spent(st, g) {
		x.Sub(x, big.NewInt(d.Rho[g]))
		return x.Sub(x, value)
	}
	x.Lsh(big.NewInt(c.cost[g]), d.Scale)
	for b, num := range d.Num {
		if b < len(c.budgets) && num > 0 {
			w := new(big.Int).Mul(big.NewInt(num), big.NewInt(c.weights[b][g]))
			x.Add(x, w.Rsh(w, d.Shift[b]))
		}
	}
	x.Sub(x, big.NewInt(d.Rho[g]))
	return x.Sub(x, value)
}

// bound is the scaled Lagrangian bound of a case, and the boards' best values; no
// values when no plan is in the case.
func (c *proofCheck) bound(d *pattern.Dual, st *pattern.CaseState) (*big.Int, []*big.Int) {
	total := new(big.Int)
	pi := make([]int64, len(c.demand))
	pieces := 0
	for i, n := range c.demand {
		pieces += n
		pi[i] = max(d.Pi[i], 0)
		if c.made { // a copy left out costs one
			pi[i] = min(pi[i], int64(1)<<d.Scale)
		}
		total.Add(total, new(big.Int).Mul(big.NewInt(pi[i]), big.NewInt(int64(n))))
	}
	for b, num := range d.Num {
		if b >= len(c.budgets) {
			continue
		}
		left := c.budgets[b] // after the boards that this case opens
		for g := range c.r.groups {
			if c.spent(st, g) {
				left -= c.weights[b][g]
			}
		}
		if left < 0 {
			return c.empty(d), nil
		}
		if num > 0 {
			w := new(big.Int).Mul(big.NewInt(num), big.NewInt(left))
			up := new(big.Int).Add(w, new(big.Int).Sub(new(big.Int).Lsh(big.NewInt(1), d.Shift[b]), big.NewInt(1)))
			total.Sub(total, up.Rsh(up, d.Shift[b]))
		}
	}
	v := newValuer(c.r, pi, c.demand)
	if c.rest {
		v.keep = int(d.Scale)
	}
	values := make([]*big.Int, len(c.r.groups))
	for g := range c.r.groups {
		values[g] = new(big.Int)
		if unit := len(c.r.groups[g].boards) == 1; unit {
			total.Add(total, new(big.Int).Mul(big.NewInt(int64(st.Least(g))), new(big.Int).Lsh(big.NewInt(c.cost[g]), d.Scale)))
		} else {
			total.Add(total, new(big.Int).Mul(big.NewInt(d.Rho[g]), big.NewInt(int64(st.Least(g)))))
		}
		if st.Closed(g) || c.over(g) || c.ctx.Err() != nil {
			continue
		}
		w := v.board(g, st.Bounds(g))
		if w < 0 { // no pattern meets the counts: the case is empty
			return c.empty(d), nil
		}
		values[g].SetInt64(w)
		if x := c.reducedCost(d, st, g, values[g]); x.Sign() < 0 {
			total.Add(total, x.Mul(x, big.NewInt(int64(min(st.Most(g), pieces)))))
		}
	}
	return total, values
}

// spent reports that a case opens the one board of g, whatever is cut from it.
func (c *proofCheck) spent(st *pattern.CaseState, g int) bool {
	return len(c.r.groups[g].boards) == 1 && st.Least(g) > 0
}

// empty is a bound above every value: no plan is in the case.
func (c *proofCheck) empty(d *pattern.Dual) *big.Int {
	return new(big.Int).Lsh(big.NewInt(c.value+1), d.Scale+1)
}

// over reports that one board of g breaks a budget on its own.
func (c *proofCheck) over(g int) bool {
	for b, w := range c.weights {
		if w[g] > c.budgets[b] {
			return true
		}
	}
	return false
}
