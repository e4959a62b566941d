package assembly

import "slices"

// interlocked explains a set of bodies that no move along an axis can split: it
// takes away bodies that do not matter, then looks for the fewest pairs of bodies
// that, freed of each other, would let the rest come together.
func (p *planner) interlocked(stuck set) *Blocked {
	members := p.core(stuck).members()
	jointed := map[[2]int]bool{}
	var pairs [][2]int // by places among the members
	for x, i := range members {
		for y := x + 1; y < len(members); y++ {
			q := [2]int{x, y}
			pairs = append(pairs, q)
			jointed[q] = slices.ContainsFunc(p.touching[i], func(t neighbour) bool { return t.jointed && t.body == members[y] })
		}
	}
	// Joints first: they are what the maker can change.
	slices.SortStableFunc(pairs, func(a, b [2]int) int {
		switch {
		case jointed[a] == jointed[b]:
			return 0
		case jointed[a]:
			return -1
		}
		return 1
	})
	out := &Blocked{Reason: Interlocked, Bodies: p.names(members)}
	for _, q := range p.ways.only(members).fewest(pairs) {
		q = [2]int{members[q[0]], members[q[1]]}
		named := false
		for _, j := range p.jointsOf[q[0]] {
			if e := p.ends[j]; e == q || e == [2]int{q[1], q[0]} {
				out.Joints = append(out.Joints, p.joints[j].ID)
				named = true
			}
		}
		if !named {
			out.Pairs = append(out.Pairs, [2]string{p.bodies[q[0]].ID, p.bodies[q[1]].ID})
		}
	}
	return out
}

// core takes bodies away as long as the rest stays stuck, by halves first. What
// remains is least: without any one body the others come together.
func (p *planner) core(stuck set) set {
	core := stuck.clone()
	for size := core.count() / 2; size >= 1; size /= 2 {
		for again := true; again; again = size == 1 && again {
			again = false
			members := core.members()
			for at := 0; at < len(members); at += size {
				rest := core.clone()
				for _, i := range members[at:min(at+size, len(members))] {
					rest.drop(i)
				}
				if p.ways.separable(rest) != nil {
					core = rest
					again = true
				}
			}
		}
	}
	return core
}

// fewest finds a smallest set of pairs whose freeing makes all bodies separable;
// of equal size, the first in the order given. Beyond a fixed number of trials it
// settles for a set none of which can be left out.
func (b *blocking) fewest(pairs [][2]int) [][2]int {
	all := newSet(b.n)
	for i := range b.n {
		all.add(i)
	}
	trials := 20000
	var chosen [][2]int
	var try func(from, left int) bool
	try = func(from, left int) bool {
		if left == 0 {
			trials--
			return b.without(chosen).separable(all) == nil
		}
		for n := from; n+left <= len(pairs) && trials > 0; n++ {
			chosen = append(chosen, pairs[n])
			if try(n+1, left-1) {
				return true
			}
			chosen = chosen[:len(chosen)-1]
		}
		return false
	}
	for size := 1; size <= len(pairs) && trials > 0; size++ {
		if try(0, size) {
			return chosen
		}
	}
	chosen = slices.Clone(pairs)
	for n := len(chosen) - 1; n >= 0; n-- {
		rest := slices.Delete(slices.Clone(chosen), n, n+1)
		if b.without(rest).separable(all) == nil {
			chosen = rest
		}
	}
	return chosen
}
