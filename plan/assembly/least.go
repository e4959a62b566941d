package assembly

import (
	"slices"
)

// search looks for orders within the limits with as few glue-ups as there can be.
// It goes through every way to take a set of bodies apart in one stage (any groups
// that can leave one by one along one axis), then through the groups, and keeps
// what it has found out about each set. It is branch and bound, cut off after a
// fixed number of steps.
type search struct {
	p    *planner
	open int // minutes of a stage
	most int // joints of a stage
	left int // steps
	sets map[string]*loose
	free *planner // without limits; nil where its orders may not be the best
}

// loose is what is known of a set of bodies still to be put together.
type loose struct {
	bodies set
	least  int  // glue-ups: there is no order with fewer; -1 while no bound is known
	found  int  // glue-ups of the best order found; -1 for none
	plain  bool // the planner's own order is that one
	axis   int  // else the last stage's axis
	groups []set
	ready  [3]*parting
}

// never is more glue-ups than any order has.
const never = 1 << 30

// steps bounds the search. It is some hundredths of a second of work.
const steps = 20_000

func (p *planner) search() *search {
	s := &search{p: p, open: p.limits.OpenMinutes, most: p.most, left: steps, sets: map[string]*loose{}}
	if s.open <= 0 {
		s.open = never
	}
	step := 0
	for _, j := range p.joints {
		step = gcd(step, j.Minutes)
	}
	if step > 0 {
		s.open -= s.open % step // no stage takes more than that
	}
	if !p.choice {
		free := *p
		free.limits, free.most, free.known = Limits{}, len(p.joints), map[string]*answer{}
		s.free = &free
	}
	return s
}

func gcd(a, b int) int {
	for b != 0 {
		a, b = b, a%b
	}
	return a
}

// fewest gives the planner's order of the bodies, or one with fewer glue-ups if
// there is any, and whether it is proved that none has fewer still.
func (s *search) fewest(within set) (best *answer, proved bool) {
	best = s.p.solve(within)
	if best.blocked != nil {
		if any := s.any(within); any.blocked == nil || !any.blocked.Unsure {
			best = any
		}
		if best.blocked != nil {
			return best, false
		}
	}
	l := s.bounded(within)
	if l.found < 0 || best.cost.glueUps < l.found {
		l.found, l.plain, l.groups = best.cost.glueUps, true, nil
	}
	had := l.found
	for l.least < l.found && s.left > 0 {
		if !s.within(l, l.found-1) && s.left > 0 {
			l.least = l.found
		}
	}
	if l.found < had {
		best = s.answer(l)
	}
	return best, l.least >= l.found
}

// of gives what is known of a set.
func (s *search) of(within set) *loose {
	key := within.key()
	if l, ok := s.sets[key]; ok {
		return l
	}
	l := &loose{bodies: within, found: -1}
	s.sets[key] = l
	s.left -= within.count() // what it costs to look at, roughly
	if within.count() < 2 {
		l.found, l.plain = 0, true
		return l
	}
	l.least = -1
	return l
}

// bounded is what is known of a set, with a bound.
func (s *search) bounded(within set) *loose {
	l := s.of(within)
	if l.least < 0 {
		l.least = s.bound(within)
	}
	return l
}

// bound gives a number of glue-ups below which there is no order. Without limits
// there may be fewer, but the planner's own order then is the best; and each axis
// needs stages enough for the joints that close along it alone. Things that no
// glue links are counted one by one.
func (s *search) bound(within set) int {
	sum := 0
	for _, thing := range s.p.things(within) {
		var minutes [3][]int
		n := 0
		for _, i := range thing.members() {
			for _, j := range s.p.jointsOf[i] {
				if s.p.joints[j].Dry || s.p.ends[j][0] != i || !thing.has(s.p.ends[j][1]) {
					continue
				}
				if k := s.p.only[j]; k >= 0 {
					minutes[k] = append(minutes[k], s.p.joints[j].Minutes)
				}
				n = 1
			}
		}
		axes := 0
		for _, list := range minutes {
			axes += max(bins(list, s.open), ceil(len(list), max(1, s.most)))
		}
		sum += max(n, axes)
	}
	if s.free != nil && sum < s.free.solve(within).cost.glueUps {
		return s.free.solve(within).cost.glueUps
	}
	return sum
}

// bins is a number of bins of a size below which the items do not fit: bound L2 of
// Martello and Toth, "Lower bounds and reduction procedures for the bin packing
// problem", Discrete Applied Mathematics 28, 1990. Items above the size, which
// need not fit anywhere, fill a bin each.
func bins(items []int, size int) int {
	least := 0
	for _, small := range append([]int{0}, items...) {
		if 2*small > size {
			continue
		}
		large, middle, room, rest := 0, 0, 0, 0
		for _, n := range items {
			switch {
			case n > size-small:
				large++
			case 2*n > size:
				middle++
				room += size - n
			case n >= small:
				rest += n
			}
		}
		least = max(least, large+middle+max(0, ceil(rest-room, size)))
	}
	return min(len(items), max(least, min(1, len(items))))
}

// ceil is a/b rounded up; b is positive.
func ceil(a, b int) int {
	if a <= 0 {
		return 0
	}
	return (a-1)/b + 1
}

// things gives the parts of a set that glue links to each other.
func (p *planner) things(within set) []set {
	left := within.clone()
	var out []set
	var reached []int
	for _, i := range within.members() {
		if !left.has(i) {
			continue
		}
		thing := newSet(len(p.bodies))
		left.drop(i)
		for reached = append(reached[:0], i); len(reached) > 0; {
			i := reached[len(reached)-1]
			reached = reached[:len(reached)-1]
			thing.add(i)
			for _, t := range p.touching[i] {
				if t.glued && left.has(t.body) {
					left.drop(t.body)
					reached = append(reached, t.body)
				}
			}
		}
		out = append(out, thing)
	}
	return out
}

// within tells whether the bodies can be put together with at most so many
// glue-ups. Once the search is cut off it says no, and nothing is learned.
func (s *search) within(l *loose, most int) bool {
	switch {
	case l.found >= 0 && l.found <= most:
		return true
	case l.least > most || s.left <= 0:
		return false
	}
	if l.found < 0 {
		if a := s.p.solve(l.bodies); a.blocked == nil {
			l.found, l.plain = a.cost.glueUps, true
			if l.found <= most {
				return true
			}
		}
	}
	for k := range 3 {
		part := s.parting(l, k)
		if part == nil {
			continue
		}
		t := &taking{search: s, whole: l, parting: part, most: most}
		if t.apart(part.all, used{}, 0) {
			return true
		}
	}
	if s.left > 0 {
		l.least = most + 1
	}
	return false
}

// taking is one stage being taken apart.
type taking struct {
	*search
	*parting
	whole  *loose
	most   int
	gone   []set // groups of the parting that have left, the first to leave first
	least  []int // and the least glue-ups each needs
	closed []int // joints the stage closes
}

// used is what a stage takes.
type used struct {
	minutes, joints int
	glue            bool
}

// apart takes more groups away from those that stay, having used so much; least
// glue-ups are needed for what has left.
func (t *taking) apart(stay set, so used, least int) bool {
	return t.parts(stay, so, func(leave set, now used) bool {
		if n := len(t.gone); n > 0 && t.couldSwap(t.gone[n-1], leave) {
			return false // the same in another order
		}
		rest := stay.clone()
		for w := range rest {
			rest[w] &^= leave[w]
		}
		off, on := t.bounded(t.union(leave)), t.bounded(t.union(rest))
		glue := 0
		if now.glue {
			glue = 1
		}
		if least+off.least+glue > t.most {
			return false
		}
		joints := len(t.closed)
		t.closed = t.between(leave, rest, t.closed)
		t.gone, t.least = append(t.gone, leave), append(t.least, off.least)
		done := least+off.least+on.least+glue <= t.most && t.settle(rest)
		if !done && rest.count() > 1 {
			done = t.apart(rest, now, least+off.least)
		}
		t.closed, t.gone, t.least = t.closed[:joints], t.gone[:len(t.gone)-1], t.least[:len(t.least)-1]
		return done
	})
}

// settle tells whether the groups of a stage can each be put together within what
// the stage leaves of the glue-ups; if so it is kept.
func (t *taking) settle(rest set) bool {
	groups := append([]set{rest}, t.gone...)
	slices.Reverse(groups[1:]) // as they stand along the axis
	glue := t.p.gluedThings(t.whole.bodies.clone(), t.closed)
	least, sum := glue, glue
	for i := range groups {
		groups[i] = t.union(groups[i])
		least += t.bounded(groups[i]).least
	}
	for _, g := range groups {
		l := t.of(g)
		for {
			was := l.least
			if least > t.most || t.left <= 0 {
				return false
			}
			if t.within(l, l.least) {
				break
			}
			least += l.least - was
		}
		sum += l.found
	}
	if l := t.whole; l.found < 0 || sum < l.found {
		l.found, l.plain, l.axis, l.groups = sum, false, t.axis, groups
	}
	return true
}

// answer makes the stages of the best order found.
func (s *search) answer(l *loose) *answer {
	if l.plain {
		return s.p.solve(l.bodies)
	}
	parts := make([]*answer, len(l.groups))
	for i, g := range l.groups {
		parts[i] = s.answer(s.of(g))
	}
	return s.p.best(s.p.line(l.axis, l.bodies, l.groups), parts)
}

// any finds an order within the limits if there is one. What can be taken apart
// within the limits can be so without any of its bodies too, so whatever parting
// fits them may be taken without looking back.
func (s *search) any(within set) *answer {
	if a := s.p.solve(within); a.blocked == nil {
		return a
	}
	for k := range 3 {
		part := s.parting(s.of(within), k)
		if part == nil {
			continue
		}
		var two []set
		t := &taking{search: s, parting: part}
		t.parts(part.all, used{}, func(leave set, _ used) bool {
			rest := part.all.clone()
			for w := range rest {
				rest[w] &^= leave[w]
			}
			two = []set{part.union(rest), part.union(leave)}
			return true
		})
		if two == nil {
			continue
		}
		parts := make([]*answer, 2)
		for i, g := range two {
			if parts[i] = s.any(g); parts[i].blocked != nil {
				return parts[i]
			}
		}
		return s.p.best(s.p.line(k, within, two), parts)
	}
	return &answer{blocked: s.over(within)}
}

// over says which joints must close at once in bodies no parting of which is
// within the limits, and what they take at least.
func (s *search) over(within set) *Blocked {
	open, most := s.open, s.most
	defer func() { s.open, s.most = open, most }()
	// least finds the parting that takes least by the measure shrink tightens.
	least := func(shrink func(used)) (best used, joints []int) {
		for k := range 3 {
			part := s.parting(s.of(within), k)
			if part == nil {
				continue
			}
			t := &taking{search: s, parting: part}
			t.parts(part.all, used{}, func(leave set, now used) bool {
				rest := part.all.clone()
				for w := range rest {
					rest[w] &^= leave[w]
				}
				best, joints = now, part.between(leave, rest, nil)
				shrink(now)
				return false
			})
		}
		return best, joints
	}
	blocked := func(reason Reason, joints []int, need, have int) *Blocked {
		slices.Sort(joints)
		return &Blocked{Reason: reason, Bodies: s.p.names(within.members()), Joints: s.p.jointNames(joints), Need: need, Have: have, Unsure: s.left <= 0}
	}
	s.open, s.most = never, never
	fewer := func(u used) { s.most = u.joints - 1 }
	if u, joints := least(fewer); u.joints > most {
		return blocked(TooFewClamps, joints, s.p.limits.ClampsFor(u.joints), s.p.limits.Clamps)
	}
	s.open, s.most = never, most
	u, joints := least(func(u used) { s.open = u.minutes - 1 })
	return blocked(OverTime, joints, u.minutes, s.p.limits.OpenMinutes)
}
