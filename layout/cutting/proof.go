package cutting

import (
	"fmt"
	"math/big"
	"sort"

	"pilewright/layout/cutting/pattern"
)

// CheckProof recomputes what the proofs of a solution claim: from integer prices
// alone, with plain dynamic programs of its own, no linear program and no
// floating point. It returns what does not hold. A level without a proof claims
// nothing beyond its trivial bound of zero, unless its value is zero.
//
// Bounds on flat boards hold among layouts cut across first or along first (see
// flat); on lines they hold among all layouts.
func CheckProof(p Problem, s Solution) error {
	r := reduce(&p)
	demand := make([]int, len(r.kinds))
	for n, k := range r.kinds {
		demand[n] = k.count
	}
	var weights [][]int64
	for n, l := range s.Levels {
		if l.Bound > l.Value || l.Bound < 0 {
			return fmt.Errorf("%s: bound %d above value %d", l.Aim, l.Bound, l.Value)
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
			c := &proofCheck{r: r, demand: d, cost: cost, weights: weights[:len(l.Proof.Budgets)], budgets: l.Proof.Budgets, made: l.Aim == AimMade, value: l.Value}
			got := c.node(l.Proof.Tree, pattern.RootState(r.model(d, cost, nil, nil)), nil)
			if got == nil {
				return fmt.Errorf("%s: the proof does not cover every case", l.Aim)
			}
			claim := l.Proof.Bound
			if l.Proof.Whole {
				claim = l.Bound
			}
			if claim > 0 && got.Cmp(big.NewInt(claim)) < 0 {
				return fmt.Errorf("%s: the proof gives %s, %d is claimed", l.Aim, got, claim)
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

// withhold takes shortfalls off the demand by kind.
func (r *reduced) withhold(demand []int, short []Shortfall) {
	for _, x := range short {
		for n, k := range r.kinds {
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
	r       *reduced
	demand  []int
	cost    []int64
	weights [][]int64
	budgets []int64
	made    bool
	value   int64
}

// node is the least bound over the cases of a proof node, in units of cost
// rounded up to their common step; nil when cases are missing.
func (c *proofCheck) node(n *pattern.ProofNode, st *pattern.CaseState, above *big.Int) *big.Int {
	if n == nil {
		return above
	}
	low := above
	if n.Dual != nil {
		base, values := c.bound(n.Dual, st)
		b := c.round(base, n.Dual.Scale)
		if low == nil || b.Cmp(low) > 0 {
			low = b
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
	step := int64(0)
	for g := range c.cost {
		if !c.over(g) { // boards that break a budget are not used
			step = gcdOf(step, c.cost[g])
		}
	}
	if c.made {
		step = 1
	}
	unit := new(big.Int).Lsh(big.NewInt(max(step, 1)), scale)
	q, m := new(big.Int).DivMod(b, unit, new(big.Int))
	if m.Sign() > 0 {
		q.Add(q, big.NewInt(1))
	}
	return q.Mul(q, big.NewInt(max(step, 1)))
}

// reducedCost is the price of one more board of g less the value of its best pattern.
func (c *proofCheck) reducedCost(d *pattern.Dual, st *pattern.CaseState, g int, value *big.Int) *big.Int {
	x := new(big.Int)
	if len(c.r.groups[g].boards) > 1 || st.Least(g) == 0 {
		x.Lsh(big.NewInt(c.cost[g]), d.Scale)
	}
	for b, num := range d.Num {
		if b < len(c.budgets) && num > 0 {
			w := new(big.Int).Mul(big.NewInt(num), big.NewInt(c.weights[b][g]))
			x.Add(x, w.Rsh(w, d.Shift[b]))
		}
	}
	x.Sub(x, big.NewInt(d.Rho[g]))
	return x.Sub(x, value)
}

// bound is the scaled Lagrangian bound of a case, and the boards' best values.
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
		if b < len(c.budgets) && num > 0 {
			w := new(big.Int).Mul(big.NewInt(num), big.NewInt(c.budgets[b]))
			up := new(big.Int).Add(w, new(big.Int).Sub(new(big.Int).Lsh(big.NewInt(1), d.Shift[b]), big.NewInt(1)))
			total.Sub(total, up.Rsh(up, d.Shift[b]))
		}
	}
	v := &valuer{r: c.r, pi: pi, limit: c.demand, memo: map[string]int64{}}
	values := make([]*big.Int, len(c.r.groups))
	for g := range c.r.groups {
		values[g] = new(big.Int)
		if unit := len(c.r.groups[g].boards) == 1; unit {
			total.Add(total, new(big.Int).Mul(big.NewInt(int64(st.Least(g))), new(big.Int).Lsh(big.NewInt(c.cost[g]), d.Scale)))
		} else {
			total.Add(total, new(big.Int).Mul(big.NewInt(d.Rho[g]), big.NewInt(int64(st.Least(g)))))
		}
		if st.Closed(g) || c.over(g) {
			continue
		}
		w := v.board(g, st.Bounds(g))
		if w < 0 { // no pattern meets the counts: the case is empty
			return new(big.Int).Lsh(big.NewInt(c.value+1), d.Scale+1), values
		}
		values[g].SetInt64(w)
		if x := c.reducedCost(d, st, g, values[g]); x.Sign() < 0 {
			total.Add(total, x.Mul(x, big.NewInt(int64(min(st.Most(g), pieces)))))
		}
	}
	return total, values
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

// valuer finds the best pattern value of boards by plain dynamic programs.
type valuer struct {
	r     *reduced
	pi    []int64
	limit []int
	memo  map[string]int64
}

// board is the best value of one board under count bounds, -1 when none can be met.
func (v *valuer) board(g int, bounds []pattern.CountBound) int64 {
	gr := &v.r.groups[g]
	if !gr.line {
		return max(v.flat(g, true), v.flat(g, false))
	}
	total := int64(0)
	must := map[int]int{}
	for _, b := range bounds {
		if must[b.Item] += b.Lo; must[b.Item] > v.limit[b.Item] {
			return -1
		}
	}
	for n, s := range gr.segs {
		lo, hi := map[int]int{}, map[int]int{}
		for _, b := range bounds {
			if b.Seg == n {
				lo[b.Item], hi[b.Item] = b.Lo, b.Hi
			}
		}
		room := s.b - s.a + v.r.kc
		limit := append([]int(nil), v.limit...)
		for i, k := range v.r.kinds {
			c := lo[i]
			room -= c * (k.l + v.r.kc)
			total += int64(c) * v.pi[i]
			limit[i] -= must[i]
			if m, ok := hi[i]; ok {
				limit[i] = max(0, min(limit[i], m-c))
			}
		}
		if room < 0 {
			return -1
		}
		total += v.fill(room, limit, gr.allowed, len(bounds) == 0, true, 0)
	}
	return total
}

// fill is the best value of pieces in a clear run of the room given, one kerf
// included; along uses lengths, else widths; other limits the other side, 0: any.
func (v *valuer) fill(room int, limit []int, allowed []bool, plain, along bool, other int) int64 {
	key := ""
	if plain {
		key = fmt.Sprint(room, along, other, allowed)
		if x, ok := v.memo[key]; ok {
			return x
		}
	}
	best := v.fills(room, limit, allowed, along, other)[room]
	if plain {
		v.memo[key] = best
	}
	return best
}

// fills is fill for every room up to the one given.
func (v *valuer) fills(room int, limit []int, allowed []bool, along bool, other int) []int64 {
	kerf, safe := v.r.kr, 0
	if along {
		kerf, safe = v.r.kc, v.r.safe
	}
	table := func(short bool) []int64 {
		f := make([]int64, room+1)
		for i, k := range v.r.kinds {
			size, side := k.w, k.l
			if along {
				size, side = k.l, k.w
			}
			if !allowed[i] || (size < safe) != short || v.pi[i] == 0 || (other > 0 && side > other) {
				continue
			}
			for n := 0; n < limit[i] && n < room/(size+kerf); n++ {
				for c := room; c >= size+kerf; c-- {
					f[c] = max(f[c], f[c-size-kerf]+v.pi[i])
				}
			}
		}
		return f
	}
	best := table(false)
	if safe > 0 {
		long, short := append([]int64(nil), best...), table(true)
		for c := range best {
			for t := safe + kerf; t <= c; t++ {
				best[c] = max(best[c], long[c-t]+short[t])
			}
		}
	}
	return best
}

// flat is the best value of sections (across first) or strips (along first).
//
// A section need begin only where a defect ends, or at a place whose total is
// above that of every earlier place: any other section can be moved towards the
// begin until one of the two holds, touches no more defects there, and the
// pieces it held still fit in it.
func (v *valuer) flat(g int, strips bool) int64 {
	gr := &v.r.groups[g]
	r := v.r
	begin, end, kerf := gr.x0, gr.x1, r.kc
	if strips {
		begin, end, kerf = 0, gr.w, r.kr
	}
	sizes := map[int]bool{}
	for n, k := range r.kinds {
		if gr.allowed[n] {
			if strips {
				sizes[k.w] = true
			} else {
				sizes[max(k.l, r.safe)] = true
			}
		}
	}
	list := make([]int, 0, len(sizes))
	for s := range sizes {
		list = append(list, s)
	}
	sort.Ints(list)
	stop := map[int]bool{}
	for _, d := range append(append([]box(nil), gr.hard...), gr.soft...) {
		if strips {
			stop[d.y1] = true
		} else {
			stop[d.x1] = true
		}
	}
	f := make([]int64, end+kerf+1) // total of sections that end there
	top := int64(-1)
	for x := begin; x <= end+kerf; x++ {
		better := f[x] > top
		if better {
			top = f[x]
		}
		if !better && !stop[x] {
			continue
		}
		for _, s := range list {
			if x+s > end {
				break
			}
			f[x+s+kerf] = max(f[x+s+kerf], top+v.section(gr, x, s, strips))
		}
	}
	return top
}

// section is the best value of one section or strip.
func (v *valuer) section(gr *group, at, size int, strip bool) int64 {
	side := func(d box) (lo, hi, a, b int) { return d.x0, d.x1, d.y0, d.y1 }
	a, b, kerf := 0, gr.w, v.r.kr
	if strip {
		side = func(d box) (lo, hi, a, b int) { return d.y0, d.y1, d.x0, d.x1 }
		a, b, kerf = gr.x0, gr.x1, v.r.kc
	}
	var hard, soft []span
	for _, d := range gr.hard {
		if lo, hi, p, q := side(d); lo < at+size && hi > at {
			hard = append(hard, span{p, q})
		}
	}
	for _, d := range gr.soft {
		if lo, hi, p, q := side(d); lo < at+size && hi > at {
			soft = append(soft, span{p, q})
		}
	}
	total := int64(0)
	sort.Slice(hard, func(i, j int) bool { return hard[i].a < hard[j].a })
	from := a
	run := func(to int) {
		if to <= from {
			return
		}
		var in []span
		for _, s := range soft {
			if s.a < to && s.b > from {
				in = append(in, s)
			}
		}
		if len(in) == 0 {
			total += v.fill(to-from+kerf, v.limit, gr.allowed, true, strip, size)
		} else {
			total += v.stained(gr, from, to, in, strip, size)
		}
		from = to + kerf
	}
	for _, s := range hard {
		if s.a > from {
			run(min(s.a, b))
		}
		from = max(from, s.b)
	}
	run(b)
	return total
}

// stained is the best value of a run with soft defects, any number of copies.
func (v *valuer) stained(gr *group, a, b int, soft []span, along bool, other int) int64 {
	key := fmt.Sprint(a, b, soft, along, other, gr.class)
	if x, ok := v.memo[key]; ok {
		return x
	}
	kerf := v.r.kr
	if along {
		kerf = v.r.kc
	}
	// Behind the last soft defect copies are counted, before it they are not;
	// places as in flat.
	tail := a
	stop := map[int]bool{}
	for _, s := range soft {
		tail = max(tail, min(s.b, b))
		stop[s.b] = true
	}
	behind := []int64{0}
	if tail < b {
		behind = v.fills(b-tail+kerf, v.limit, gr.allowed, along, other)
	}
	f := make([]int64, b+kerf+1)
	top, best := int64(-1), int64(0)
	for x := a; x <= b+kerf; x++ {
		better := f[x] > top
		if better {
			top = f[x]
		}
		if x >= tail {
			best = max(best, top+behind[min(max(b-x+kerf, 0), len(behind)-1)])
		}
		if x >= tail || (!better && !stop[x]) {
			continue
		}
		for i, k := range v.r.kinds {
			size, side := k.w, k.l
			if along {
				size, side = k.l, k.w
			}
			if !gr.allowed[i] || v.limit[i] == 0 || side > other || x+size > b || (along && size < v.r.safe) {
				continue
			}
			clear := true
			for _, s := range soft {
				if s.a < x+size && s.b > x && !k.hidden {
					clear = false
				}
			}
			if clear {
				f[x+size+kerf] = max(f[x+size+kerf], top+v.pi[i])
			}
		}
	}
	v.memo[key] = best
	return best
}
