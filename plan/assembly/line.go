package assembly

import (
	"slices"

	"pilewright/plan/solid"
)

// line is the groups of one stage as they stand along its axis: which is before
// which, directly or through others.
type line struct {
	p       *planner
	axis    int
	groups  []set
	members [][]int
	of      []int // the group of each body; -1 outside the stage
	size    int   // bodies in all
	before  []set // groups that must stay towards lesser coordinates
	behind  []set // groups that must stay towards greater coordinates
}

// line orders groups as blocking.groups gives them.
func (p *planner) line(axis int, within set, groups []set) *line {
	n := len(groups)
	l := &line{p: p, axis: axis, groups: groups, members: make([][]int, n), of: make([]int, len(p.bodies)),
		size: within.count(), before: make([]set, n), behind: make([]set, n)}
	for i := range l.of {
		l.of[i] = -1
	}
	for g, s := range groups {
		l.before[g], l.behind[g] = newSet(n), newSet(n)
		l.members[g] = s.members()
		for _, i := range l.members[g] {
			l.of[i] = g
		}
	}
	// The groups come in order, so what a later one reaches is known already.
	for g := n - 1; g >= 0; g-- {
		for _, i := range l.members[g] {
			for w, word := range p.ways.hit[axis][i] {
				rest := set{word & within[w]}
				for _, j := range rest.members() {
					if h := l.of[w<<6+j]; h != g && !l.behind[g].has(h) {
						l.behind[g].add(h)
						l.behind[g].join(l.behind[h])
					}
				}
			}
		}
	}
	for g := range n {
		for _, h := range l.behind[g].members() {
			l.before[h].add(g)
		}
	}
	return l
}

// start is the group others are brought to: the one of the most bodies, then of
// the most wood, then the first.
func (l *line) start() int {
	best, wood := 0, l.wood(0)
	for g := 1; g < len(l.groups); g++ {
		w := l.wood(g)
		if len(l.members[g]) > len(l.members[best]) || len(l.members[g]) == len(l.members[best]) && w.Cmp(wood) > 0 {
			best, wood = g, w
		}
	}
	return best
}

func (l *line) wood(g int) solid.Volume {
	var v solid.Volume
	for _, i := range l.members[g] {
		v = v.Add(l.p.volumes[i])
	}
	return v
}

// run is a stage being put together.
type run struct {
	*line
	bodies         []int // in the order they came
	in             set   // groups
	parts          set   // bodies
	wood           solid.Volume
	before, behind set   // groups before or behind any of those in
	closing        []int // joints of each group with what is in
	gluing         []int // those of them that are glued
	meets          []bool
}

func (l *line) run(start int) *run {
	n := len(l.groups)
	r := &run{line: l, bodies: make([]int, 0, l.size), in: newSet(n), parts: newSet(len(l.p.bodies)),
		before: newSet(n), behind: newSet(n), closing: make([]int, n), gluing: make([]int, n), meets: make([]bool, n)}
	r.add(start)
	return r
}

func (r *run) add(g int) {
	r.in.add(g)
	r.parts.join(r.groups[g])
	r.before.join(r.line.before[g])
	r.behind.join(r.line.behind[g])
	r.bodies = append(r.bodies, r.members[g]...)
	r.wood = r.wood.Add(r.line.wood(g))
	for _, i := range r.members[g] {
		for _, t := range r.p.touching[i] {
			if h := r.of[t.body]; h >= 0 {
				r.meets[h] = true
			}
		}
		for _, j := range r.p.jointsOf[i] {
			for _, b := range r.p.ends[j] {
				if h := r.of[b]; h >= 0 && h != g {
					r.closing[h]++
					if !r.p.joints[j].Dry {
						r.gluing[h]++
					}
				}
			}
		}
	}
}

// choice says whether a group closing m joints is to come before one closing n.
type choice func(m, n int) bool

func fewestJoints(m, n int) bool { return m < n }
func mostJoints(m, n int) bool   { return m > n }

// next picks a group that can be brought to what is there and shuts nothing out:
// no group still to come stands between it and the rest. Of these it prefers one
// that closes a glued joint, so that dry ones wait until the glue has set, then one
// that closes a joint, then one that touches. There always is one, because a group
// next to what is there in the order along the axis shuts nothing out.
func (r *run) next(choose choice) int {
	best, firmest := -1, -1
	for g := range r.groups {
		if r.in.has(g) {
			continue
		}
		hold := 0
		switch {
		case r.gluing[g] > 0:
			hold = 3
		case r.closing[g] > 0:
			hold = 2
		case r.meets[g]:
			hold = 1
		}
		if hold < firmest || hold == firmest && !choose(r.closing[g], r.closing[best]) || r.shutsOut(g) {
			continue
		}
		best, firmest = g, hold
	}
	return best
}

func (r *run) shutsOut(g int) bool {
	for w := range r.in {
		open := ^r.in[w]
		if r.line.behind[g][w]&r.before[w]&open != 0 || r.line.before[g][w]&r.behind[w]&open != 0 {
			return true
		}
	}
	return false
}

// move is the one that brings group g to what is there; the side of fewer bodies
// moves, of as many the lighter one.
func (r *run) move(g int) draftMove {
	positive := false
	switch {
	case r.before.has(g):
		positive = true
	case !r.behind.has(g):
		// Free both ways: come from the nearer end.
		k, a, b := r.axis, r.hull(r.members[g]), r.hull(r.bodies)
		positive = a.Max[k]-b.Min[k] < b.Max[k]-a.Min[k]
	}
	m := draftMove{moving: r.members[g], into: r.bodies[:len(r.bodies):len(r.bodies)],
		dir: solid.Along(r.axis, positive), held: !r.meets[g]}
	for _, i := range r.members[g] {
		for _, j := range r.p.jointsOf[i] {
			if e := r.p.ends[j]; r.parts.has(e[0]) || r.parts.has(e[1]) {
				m.joints = append(m.joints, j)
			}
		}
	}
	slices.Sort(m.joints)
	few, many := len(m.moving), len(m.into)
	if few > many || few == many && r.line.wood(g).Cmp(r.wood) > 0 {
		m.moving, m.into, m.dir = m.into, m.moving, m.dir.Opposite()
	}
	return m
}

func (r *run) hull(bodies []int) solid.Box {
	h := r.p.bounds[bodies[0]]
	for _, i := range bodies {
		h = h.Hull(r.p.bounds[i])
	}
	return h
}
