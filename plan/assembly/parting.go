package assembly

import "slices"

// parting is a set of bodies as its finest groups stand along an axis, and what
// closes between them.
type parting struct {
	*line
	all   set      // its groups
	links [][]link // of each group
	turn  []int    // groups in the order they are decided on, each near one before it
}

// link is what closes between a group and another one.
type link struct {
	group int
	used
	joints []int
}

// parting gives the bodies as they come apart along axis k, nil where they don't.
func (s *search) parting(l *loose, k int) *parting {
	if l.ready[k] == nil {
		p := &parting{}
		if groups := s.p.ways.groups(k, l.bodies); len(groups) > 1 {
			p = s.p.parting(k, l.bodies, groups)
		}
		l.ready[k] = p
	}
	if l.ready[k].line == nil {
		return nil
	}
	return l.ready[k]
}

func (p *planner) parting(k int, within set, groups []set) *parting {
	n := len(groups)
	t := &parting{line: p.line(k, within, groups), all: newSet(n), links: make([][]link, n)}
	for g := range n {
		t.all.add(g)
		at := map[int]int{} // of each other group: its link
		for _, i := range t.members[g] {
			for _, j := range p.jointsOf[i] {
				other := p.ends[j][0]
				if other == i {
					other = p.ends[j][1]
				}
				h := t.of[other]
				if h < 0 || h == g {
					continue
				}
				if _, ok := at[h]; !ok {
					at[h] = len(t.links[g])
					t.links[g] = append(t.links[g], link{group: h})
				}
				l := &t.links[g][at[h]]
				l.minutes += p.joints[j].Minutes
				l.used.joints++
				l.glue = l.glue || !p.joints[j].Dry
				l.joints = append(l.joints, j)
			}
		}
	}
	// Those with the most links first: what a decision costs is then known early.
	for g := range n {
		t.turn = append(t.turn, g)
	}
	slices.SortStableFunc(t.turn, func(a, b int) int { return len(t.links[b]) - len(t.links[a]) })
	return t
}

// union gives the bodies of groups.
func (t *parting) union(groups set) set {
	out := newSet(len(t.p.bodies))
	for _, g := range groups.members() {
		out.join(t.groups[g])
	}
	return out
}

// between adds the joints that close between groups.
func (t *parting) between(a, b set, out []int) []int {
	for _, g := range a.members() {
		for _, l := range t.links[g] {
			if b.has(l.group) {
				out = append(out, l.joints...)
			}
		}
	}
	return out
}

// couldSwap tells whether the groups that left second could as well have left
// first and come first in number.
func (t *parting) couldSwap(first, second set) bool {
	a, b := first.members(), second.members()
	if b[0] > a[0] {
		return false
	}
	for _, g := range b {
		for w := range first {
			if t.behind[g][w]&first[w] != 0 {
				return false
			}
		}
	}
	return true
}

// parts goes through all the ways to take groups away from those that stay, towards
// greater coordinates, so that the stage takes no more than the limits, and calls
// visit with each until it is told to stop.
func (t *taking) parts(stay set, so used, visit func(leave set, now used) bool) bool {
	d := &decision{taking: t, leave: newSet(len(t.groups)), keep: newSet(len(t.groups)),
		leaving: make([]used, len(t.groups)), keeping: make([]used, len(t.groups)), visit: visit}
	for _, g := range t.turn {
		if stay.has(g) {
			d.turn = append(d.turn, g)
		}
	}
	return d.next(0, so)
}

// decision is which groups leave and which stay, decided one by one.
type decision struct {
	*taking
	turn             []int
	leave, keep      set
	leaving, keeping []used // what glued links close if a group leaves or stays, by what is decided
	put              []int  // groups in the order they were decided on
	visit            func(leave set, now used) bool
}

func (d *decision) next(n int, now used) bool {
	for n < len(d.turn) && (d.leave.has(d.turn[n]) || d.keep.has(d.turn[n])) {
		n++
	}
	if d.left--; d.left < 0 || d.tooMuch(n, now) {
		return false
	}
	if n == len(d.turn) {
		return d.leave.any() && d.keep.any() && d.visit(d.leave.clone(), now)
	}
	// What stands behind a group that leaves goes with it; what stands before one
	// that stays, stays.
	g := d.turn[n]
	return d.side(n, now, d.keep, d.leave, d.leaving, d.before[g]) ||
		d.side(n, now, d.leave, d.keep, d.keeping, d.behind[g])
}

// side puts a group and those with it on the side mine; costOther is what it would
// close were another group on the other.
func (d *decision) side(n int, now used, mine, other set, costOther []used, with set) bool {
	from, ok := len(d.put), true
	add := func(g int) {
		ok = ok && !other.has(g)
		mine.add(g)
		d.put = append(d.put, g)
		for _, l := range d.links[g] {
			if other.has(l.group) {
				now.add(l.used, 1)
			}
			if l.glue {
				costOther[l.group].add(l.used, 1)
			}
		}
	}
	add(d.turn[n])
	for _, g := range with.members() {
		if ok && d.stays(g) && !mine.has(g) {
			add(g)
		}
	}
	done := ok && d.next(n+1, now)
	for _, g := range d.put[from:] {
		mine.drop(g)
		for _, l := range d.links[g] {
			if l.glue {
				costOther[l.group].add(l.used, -1)
			}
		}
	}
	d.put = d.put[:from]
	return done
}

// stays tells whether the group has not left before.
func (t *taking) stays(g int) bool {
	for _, s := range t.gone {
		if s.has(g) {
			return false
		}
	}
	return true
}

// tooMuch tells whether the stage must take more than the limits: every group still to
// be decided on closes the lesser of what it closes if it leaves and if it stays.
func (d *decision) tooMuch(n int, now used) bool {
	for _, g := range d.turn[n:] {
		if a, b := d.leaving[g], d.keeping[g]; a.joints > 0 && b.joints > 0 && !d.leave.has(g) && !d.keep.has(g) {
			now.minutes += min(a.minutes, b.minutes)
			now.joints += min(a.joints, b.joints)
			now.glue = true
		}
	}
	return now.glue && (now.minutes > d.open || now.joints > d.search.most)
}

func (u *used) add(o used, times int) {
	u.minutes += times * o.minutes
	u.joints += times * o.joints
	u.glue = u.glue || o.glue
}
