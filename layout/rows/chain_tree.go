package rows

import (
	"fmt"
	"slices"
)

// tree chooses chains that take every strip once, in no more rows than there are,
// at no more than a target cost: branch and bound over chains generated before.
type tree struct {
	*master
	target int64
	nodes  int   // left
	off    []int // how often a chain is ruled out
	exact  bool  // nothing was given up that might do
	use    func([]chain) bool
	seen   map[string]bool
}

const (
	treeNodes = 400    // nodes of the tree
	barred    = 1e7    // cost of a chain ruled out
	chainsSet = 12_000 // chains weighed at once
)

// choose offers choices of chains at no more than a target cost to use, until it
// returns true. none is true when it is proved that there is none.
func (x *chainSearch) choose(set []chain, target int64, nodes int, use func([]chain) bool) (done, none bool) {
	t := &tree{master: x.master(), target: target, nodes: nodes, exact: true, use: use, seen: map[string]bool{}}
	for _, q := range set {
		t.add(q)
	}
	t.off = make([]int, len(t.set))
	done = t.node()
	return done, !done && t.exact && t.nodes > 0
}

func (t *tree) column(j int) int { return len(t.x.strips) + 1 + j }

// bar rules a chain out, or in again.
func (t *tree) bar(j, by int) {
	before := t.off[j] > 0
	t.off[j] += by
	if now := t.off[j] > 0; now != before {
		c := t.column(j)
		t.Ban(c, now)
		if now {
			t.SetCost(c, barred)
		} else {
			t.SetCost(c, float64(t.set[j].cost))
		}
	}
}

func (t *tree) node() (done bool) {
	if t.nodes--; t.nodes < 0 || t.x.spent() {
		t.nodes = -1
		return false
	}
	t.Refresh()
	p := t.solve()
	reduced := func(j int) int64 {
		q := &t.set[j]
		v := q.cost<<scaleBits - p.perRow*q.rows
		for _, k := range q.strips {
			v -= p.strip[k]
		}
		return v
	}
	least := int64(0)
	for j := range t.set {
		if t.off[j] == 0 {
			least = min(least, reduced(j))
		}
	}
	room := t.target<<scaleBits - p.sum - least*t.x.rows
	if room < 0 {
		return false
	}
	var out []int // ruled out below this node
	defer func() {
		for _, j := range out {
			t.bar(j, -1)
		}
	}()
	for j := range t.set {
		if t.off[j] == 0 && reduced(j) > room {
			out = append(out, j)
			t.bar(j, 1)
		}
	}
	var taken []chain
	n := len(t.x.strips)
	pair := map[[2]int]float64{}
	values := t.Values()
	whole := true // no chain in part, no strip left out
	for i, c := range t.Basis() {
		v := values[i]
		if v < 1e-6 || int(c) == n {
			continue
		}
		if int(c) < n {
			whole = false // a strip is left out
			continue
		}
		j := int(c) - n - 1
		taken = append(taken, t.set[j])
		whole = whole && v > 0.999
		for k, a := range t.set[j].strips {
			for _, b := range t.set[j].strips[:k] {
				pair[[2]int{b, a}] += v
			}
		}
	}
	best, most := [2]int{-1}, 0.0
	for ab, v := range pair {
		if v < 0.999 && (v > most || v == most && (ab[0] < best[0] || ab[0] == best[0] && ab[1] < best[1])) {
			best, most = ab, v
		}
	}
	if whole {
		for j := range t.set {
			for _, q := range taken {
				if t.off[j] == 0 && t.set[j].rows == q.rows && slices.Equal(t.set[j].strips, q.strips) && t.x.lay(&t.set[j]) == nil {
					t.exact = false
					out = append(out, j)
					t.bar(j, 1)
					return t.node()
				}
			}
		}
		slices.SortFunc(taken, func(a, b chain) int { return slices.Compare(a.strips, b.strips) })
		if id := fmt.Sprint(taken); !t.seen[id] {
			t.seen[id] = true
			if t.use(taken) {
				return true
			}
		}
		t.exact = false
		return false
	}
	if best[0] < 0 {
		t.exact = false
		return false
	}
	// The two strips in one chain, or in two.
	var apart, together []int
	for j, q := range t.set {
		switch a, b := slices.Contains(q.strips, best[0]), slices.Contains(q.strips, best[1]); {
		case a && b:
			together = append(together, j)
		case a || b:
			apart = append(apart, j)
		}
	}
	for _, rule := range [][]int{apart, together} {
		for _, j := range rule {
			t.bar(j, 1)
		}
		done = t.node()
		for _, j := range rule {
			t.bar(j, -1)
		}
		if done || t.nodes < 0 {
			return done
		}
	}
	return false
}

// lay gives the rows of a chain; nil where none are found at its cost.
func (x *chainSearch) lay(q *chain) *laidChain {
	id := fmt.Sprint(q.strips, q.rows, q.cost)
	l, tried := x.laid[id]
	if !tried {
		l = x.layOut(q)
		x.laid[id] = l
	}
	return l
}
