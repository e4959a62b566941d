package assembly

import (
	"math/bits"
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
	joints  int   // there are no more that close between them
	before  []set // groups that must stay towards lesser coordinates
	behind  []set // groups that must stay towards greater coordinates
}

// line orders groups as blocking.groups gives them.
func (p *planner) line(axis int, within set, groups []set) *line {
	n := len(groups)
	l := &line{p: p, axis: axis, groups: groups, members: make([][]int, n), of: make([]int, len(p.bodies)), size: within.count()}
	sets := newSets(2*n, n)
	l.before, l.behind = sets[:n], sets[n:]
	for i := range l.of {
		l.of[i] = -1
	}
	for g, s := range groups {
		l.members[g] = s.members()
		for _, i := range l.members[g] {
			l.of[i] = g
			l.joints += len(p.jointsOf[i])
		}
	}
	l.joints /= 2 // each is counted at both ends
	// The groups come in order, so what a later one reaches is known already.
	for g := n - 1; g >= 0; g-- {
		for _, i := range l.members[g] {
			for w, word := range p.ways.hit[axis][i] {
				for rest := word & within[w]; rest != 0; rest &= rest - 1 {
					if h := l.of[w<<6+bits.TrailingZeros64(rest)]; h != g && !l.behind[g].has(h) {
						l.behind[g].add(h)
						l.behind[g].join(l.behind[h])
					}
				}
			}
		}
	}
	for g := range n {
		for w, word := range l.behind[g] {
			for ; word != 0; word &= word - 1 {
				l.before[w<<6+bits.TrailingZeros64(word)].add(g)
			}
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
	around         solid.Box
	before, behind set   // groups before or behind any of those in
	closing        []int // joints of each group with what is in
	gluing         []int // those of them that are glued
	meets          []bool
	closed         []int // joints, in the order of the moves that closed them
}

func (l *line) run(start int) *run {
	n := len(l.groups)
	sets, counts := newSets(3, n), make([]int, 2*n)
	r := &run{line: l, bodies: make([]int, 0, l.size), in: sets[0], parts: newSet(len(l.p.bodies)),
		before: sets[1], behind: sets[2], closing: counts[:n], gluing: counts[n:], meets: make([]bool, n), closed: make([]int, 0, l.joints)}
	r.add(start)
	return r
}

// queue is an order in which the groups of a line come.
type queue struct {
	*line
	groups []int // the first is what the others are brought to
	moves  []draftMove
	bodies []int // group after group
	slides int
	glued  int // moves up to the last that needs glue
}

// inTurn adds the groups of the line one by one, beginning with the group start.
func (l *line) inTurn(start int, choose choice) *queue {
	o := &queue{line: l, groups: make([]int, 1, len(l.groups)), moves: make([]draftMove, 0, len(l.groups)-1)}
	o.groups[0] = start
	r := l.run(start)
	for len(r.bodies) < l.size {
		g := r.next(choose)
		o.groups, o.moves = append(o.groups, g), append(o.moves, r.move(g))
		if r.gluing[g] > 0 {
			o.glued = len(o.moves)
		}
		o.slides += r.slides(g)
		r.add(g)
	}
	o.bodies = r.bodies
	return o
}

func (r *run) add(g int) {
	r.in.add(g)
	r.parts.join(r.groups[g])
	r.before.join(r.line.before[g])
	r.behind.join(r.line.behind[g])
	if len(r.bodies) == 0 {
		r.around = r.hull(r.members[g])
	}
	r.around = r.around.Hull(r.hull(r.members[g]))
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
		k, a, b := r.axis, r.hull(r.members[g]), r.around
		positive = a.Max[k]-b.Min[k] < b.Max[k]-a.Min[k]
	}
	m := draftMove{moving: r.members[g], into: r.bodies[:len(r.bodies):len(r.bodies)],
		dir: solid.Along(r.axis, positive), held: !r.meets[g]}
	from := len(r.closed)
	for _, i := range r.members[g] {
		for _, j := range r.p.jointsOf[i] {
			if e := r.p.ends[j]; r.parts.has(e[0]) || r.parts.has(e[1]) {
				r.closed = append(r.closed, j)
			}
		}
	}
	m.joints = r.closed[from:]
	slices.Sort(m.joints)
	few, many := len(m.moving), len(m.into)
	if few > many || few == many && r.line.wood(g).Cmp(r.wood) > 0 {
		m.moving, m.into, m.dir = m.into, m.moving, m.dir.Opposite()
	}
	return m
}

// slides counts the faces that group g rubs along what is there that are not pressed
// by its move.
func (r *run) slides(g int) int {
	n := 0
	for _, i := range r.members[g] {
		for _, t := range r.p.touching[i] {
			if r.parts.has(t.body) && !t.guided && t.axes != [3]bool{} && !t.axes[r.axis] {
				n++
			}
		}
	}
	return n
}

func (r *run) hull(bodies []int) solid.Box {
	h := r.p.bounds[bodies[0]]
	for _, i := range bodies {
		h = h.Hull(r.p.bounds[i])
	}
	return h
}
