package assembly

import (
	"math/bits"

	"pilewright/plan/solid"
)

// set is a set of small numbers.
type set []uint64

func newSet(n int) set { return make(set, (n+63)/64) }

// newSets gives so many sets of numbers below n.
func newSets(many, n int) []set {
	words := (n + 63) / 64
	room, out := make(set, many*words), make([]set, many)
	for i := range out {
		out[i], room = room[:words:words], room[words:]
	}
	return out
}

func (s set) add(i int)      { s[i>>6] |= 1 << (i & 63) }
func (s set) drop(i int)     { s[i>>6] &^= 1 << (i & 63) }
func (s set) has(i int) bool { return s[i>>6]>>(i&63)&1 == 1 }

func (s set) clone() set { return append(set(nil), s...) }

func (s set) join(t set) {
	for i, w := range t {
		s[i] |= w
	}
}

func (s set) any() bool {
	for _, w := range s {
		if w != 0 {
			return true
		}
	}
	return false
}

func (s set) count() int {
	n := 0
	for _, w := range s {
		n += bits.OnesCount64(w)
	}
	return n
}

// members gives the numbers in ascending order.
func (s set) members() []int {
	out := make([]int, 0, s.count())
	for i, w := range s {
		for ; w != 0; w &= w - 1 {
			out = append(out, i<<6+bits.TrailingZeros64(w))
		}
	}
	return out
}

// key is a map key of the set.
func (s set) key() string {
	b := make([]byte, 0, 8*len(s))
	for _, w := range s {
		for range 8 {
			b = append(b, byte(w))
			w >>= 8
		}
	}
	return string(b)
}

// blocking holds the directional blocking graphs for the three axes (Wilson and
// Latombe, "Geometric reasoning about mechanical assembly", Artificial
// Intelligence 71, 1994): hit[k][i] has the bodies that stop body i when it moves
// towards greater coordinates of axis k for ever, by[k] is the same read
// backwards, which is the graph for the opposite direction.
type blocking struct {
	n       int
	hit, by [3][]set
}

func newBlocking(n int) *blocking {
	b := &blocking{n: n}
	for k := range 3 {
		b.hit[k], b.by[k] = newSets(n, n), newSets(n, n)
	}
	return b
}

func (b *blocking) arc(k, i, j int) {
	b.hit[k][i].add(j)
	b.by[k][j].add(i)
}

// without gives the graphs with the pair i, j free of each other.
func (b *blocking) without(pairs [][2]int) *blocking {
	c := &blocking{n: b.n}
	for k := range 3 {
		c.hit[k], c.by[k] = append([]set(nil), b.hit[k]...), append([]set(nil), b.by[k]...)
		for _, p := range pairs {
			for _, q := range [][2]int{p, {p[1], p[0]}} {
				c.hit[k][q[0]] = c.hit[k][q[0]].clone()
				c.hit[k][q[0]].drop(q[1])
				c.by[k][q[0]] = c.by[k][q[0]].clone()
				c.by[k][q[0]].drop(q[1])
			}
		}
	}
	return c
}

// only gives the graphs of the members alone, numbered by their places.
func (b *blocking) only(members []int) *blocking {
	c := newBlocking(len(members))
	for x, i := range members {
		for y, j := range members {
			for k := range 3 {
				if b.hit[k][i].has(j) {
					c.arc(k, x, y)
				}
			}
		}
	}
	return c
}

// bodies adds the arcs of the wood itself.
func (b *blocking) bodies(list []solid.Body) {
	for i := range list {
		for j := i + 1; j < len(list); j++ {
			hits := solid.Blocked(list[i].Solid, list[j].Solid)
			for k := range 3 {
				if hits[solid.Along(k, true)] {
					b.arc(k, i, j)
				}
				if hits[solid.Along(k, false)] {
					b.arc(k, j, i)
				}
			}
		}
	}
}

// joint adds the arcs that leave only the joint's own way between its bodies. A
// joint without direction leaves the axes given.
func (b *blocking) joint(a, m int, dir solid.Direction, axes [3]bool) {
	for k := range 3 {
		switch {
		case dir == solid.None && axes[k]:
		case k != dir.Axis():
			b.arc(k, a, m)
			b.arc(k, m, a)
		case dir.Positive():
			b.arc(k, m, a)
		default:
			b.arc(k, a, m)
		}
	}
}

// bind ties two bodies to each other along every axis but those given.
func (b *blocking) bind(i, j int, free [3]bool) {
	for k := range 3 {
		if !free[k] {
			for _, p := range [][2]int{{i, j}, {j, i}} {
				b.hit[k][p[0]] = b.hit[k][p[0]].clone()
				b.by[k][p[1]] = b.by[k][p[1]].clone()
				b.arc(k, p[0], p[1])
			}
		}
	}
}

// groups splits the bodies into the finest groups that can be drawn apart along
// axis k one after the other: the strong components of the blocking graph, those
// that lie furthest towards greater coordinates last. Kosaraju's algorithm on
// bit sets, where a visited body is never looked at again.
func (b *blocking) groups(k int, within set) []set {
	left := within.clone()
	var order []int
	var stack []int
	visit := func(edges []set, leave func(int)) {
		for len(stack) > 0 {
			i := stack[len(stack)-1]
			next := -1
			for w, word := range edges[i] {
				if m := word & left[w]; m != 0 {
					next = w<<6 + bits.TrailingZeros64(m)
					break
				}
			}
			if next < 0 {
				stack = stack[:len(stack)-1]
				leave(i)
				continue
			}
			left.drop(next)
			stack = append(stack, next)
		}
	}
	members := within.members()
	for _, i := range members {
		if left.has(i) {
			left.drop(i)
			stack = append(stack, i)
			visit(b.hit[k], func(i int) { order = append(order, i) })
		}
	}
	left = within.clone()
	var out []set
	for n := len(order) - 1; n >= 0; n-- {
		if i := order[n]; left.has(i) {
			group := newSet(b.n)
			left.drop(i)
			stack = append(stack, i)
			visit(b.by[k], func(i int) { group.add(i) })
			out = append(out, group)
		}
	}
	return out
}

// separable reports whether the bodies can be drawn apart into single ones by
// moves along single axes. Taking bodies away never hinders the others, so the
// finest split along any axis may be taken without looking back.
func (b *blocking) separable(within set) (stuck set) {
	n := within.count()
	if n < 2 {
		return nil
	}
	for k := range 3 {
		groups := b.groups(k, within)
		if len(groups) == 1 {
			continue
		}
		for _, g := range groups {
			if s := b.separable(g); s != nil {
				return s
			}
		}
		return nil
	}
	return within
}
