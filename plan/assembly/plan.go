package assembly

import (
	"slices"

	"pilewright/plan/solid"
)

// Plan finds an order of assembly. Moves are translations along one axis, checked
// exactly from infinity to the finished place; every stage keeps to one axis, so
// that all its clamps pull one way, and joints between the same two groups close
// at once. Of the orders found it takes the one with the fewest glue-ups, then the
// fewest parts held loose, then the shortest glued sub-assemblies (end frames
// before long sides), then the one that slides the fewest parts along each other,
// then the shallowest. Dry joints wait, where they can, until the glue has set.
//
// Without limits an order is found whenever there is one made of such moves. Where
// every glued joint closes along one axis the number of glue-ups is then the least
// there can be with one axis a stage (things without glue between them count as
// glue-ups of their own). Where the limits split a stage, or a joint may close
// along several axes, a search goes through all orders, fewest glue-ups first; of
// pieces of ordinary size it reaches the end. Sequence.Fewest and Blocked.Unsure
// tell whether it did. The bodies should pass solid.Fit first.
//
// The error is a *Blocked.
func Plan(bodies []solid.Body, joints []Joint, limits Limits) (Sequence, error) {
	p, blocked := newPlanner(bodies, joints, limits)
	if blocked != nil {
		return Sequence{}, blocked
	}
	if len(bodies) == 0 {
		return Sequence{}, nil
	}
	all := newSet(len(bodies))
	for i := range bodies {
		all.add(i)
	}
	if stuck := p.ways.separable(all); stuck != nil {
		return Sequence{}, p.interlocked(stuck)
	}
	best := p.solve(all)
	fewest := best.blocked == nil && !p.split && !p.choice
	if !fewest {
		best, fewest = p.search().fewest(all)
	}
	if best.blocked != nil {
		return Sequence{}, best.blocked
	}
	s := p.sequence(best)
	s.Fewest = fewest
	return s, nil
}

// planner is the piece being planned, by numbers.
type planner struct {
	bodies   []solid.Body
	bounds   []solid.Box
	volumes  []solid.Volume
	joints   []Joint
	ends     [][2]int // the bodies A and B of each joint
	jointsOf [][]int
	touching [][]neighbour
	limits   Limits
	most     int // joints the clamps hold at once
	ways     *blocking
	faced    *blocking // with dry joints kept to ways that press their faces together
	known    map[string]*answer
	split    bool  // some stage was over the limits
	only     []int // the one axis along which each glued joint closes; else -1
	choice   bool  // some glued joint may close along several axes
}

// neighbour is a body another one touches or is jointed to.
type neighbour struct {
	body    int
	jointed bool
	glued   bool    // by a joint that is not dry
	guided  bool    // by a joint with a direction
	axes    [3]bool // of the touching faces
}

// number looks names up; it refuses unknown and repeated ones.
func number(bodies []solid.Body, joints []Joint) (ends [][2]int, blocked *Blocked) {
	index := make(map[string]int, len(bodies))
	for i, b := range bodies {
		if _, ok := index[b.ID]; ok {
			return nil, &Blocked{Reason: Repeated, Bodies: []string{b.ID}}
		}
		index[b.ID] = i
	}
	seen := make(map[string]bool, len(joints))
	ends = make([][2]int, len(joints))
	for i, j := range joints {
		a, okA := index[j.A]
		b, okB := index[j.B]
		if !okA || !okB || a == b {
			return nil, &Blocked{Reason: Unknown, Joints: []string{j.ID}}
		}
		if seen[j.ID] {
			return nil, &Blocked{Reason: Repeated, Joints: []string{j.ID}}
		}
		seen[j.ID] = true
		ends[i] = [2]int{a, b}
	}
	return ends, nil
}

func newPlanner(bodies []solid.Body, joints []Joint, limits Limits) (*planner, *Blocked) {
	ends, blocked := number(bodies, joints)
	if blocked != nil {
		return nil, blocked
	}
	n := len(bodies)
	p := &planner{
		bodies: bodies, joints: joints, ends: ends, limits: limits, most: limits.most(len(joints)),
		bounds: make([]solid.Box, n), volumes: make([]solid.Volume, n),
		jointsOf: make([][]int, n), touching: make([][]neighbour, n),
		ways: newBlocking(n), known: map[string]*answer{},
	}
	for i, b := range bodies {
		p.bounds[i], p.volumes[i] = b.Solid.Bounds(), b.Solid.Volume()
	}
	axes := map[[2]int][3]bool{}
	jointed, guided, glued := map[[2]int]bool{}, map[[2]int]bool{}, map[[2]int]bool{}
	for i, e := range ends {
		p.jointsOf[e[0]] = append(p.jointsOf[e[0]], i)
		p.jointsOf[e[1]] = append(p.jointsOf[e[1]], i)
		q := [2]int{min(e[0], e[1]), max(e[0], e[1])}
		jointed[q] = true
		guided[q] = guided[q] || joints[i].Dir != solid.None
		glued[q] = glued[q] || !joints[i].Dry
	}
	pairs := solid.Pairs(p.bounds)
	for _, q := range pairs {
		axes[q] = solid.ContactAxes(bodies[q[0]].Solid, bodies[q[1]].Solid)
	}
	for q := range jointed {
		if _, ok := axes[q]; !ok {
			pairs = append(pairs, q)
		}
	}
	slices.SortFunc(pairs, func(a, b [2]int) int { return slices.Compare(a[:], b[:]) })
	for _, q := range pairs {
		if a := axes[q]; jointed[q] || a != [3]bool{} {
			p.touching[q[0]] = append(p.touching[q[0]], neighbour{q[1], jointed[q], glued[q], guided[q], a})
			p.touching[q[1]] = append(p.touching[q[1]], neighbour{q[0], jointed[q], glued[q], guided[q], a})
		}
	}
	p.ways.bodies(bodies)
	var loose []int
	for i, e := range ends {
		free := axes[[2]int{min(e[0], e[1]), max(e[0], e[1])}]
		if joints[i].Dir == solid.None {
			if joints[i].Dry {
				loose = append(loose, i)
				continue
			}
			if free == [3]bool{} {
				return nil, &Blocked{Reason: Apart, Bodies: []string{joints[i].A, joints[i].B}, Joints: []string{joints[i].ID}}
			}
		}
		p.ways.joint(e[0], e[1], joints[i].Dir, free)
	}
	p.only = make([]int, len(joints))
	for i, e := range ends {
		p.only[i] = joints[i].Dir.Axis()
		if joints[i].Dir == solid.None && !joints[i].Dry {
			if free := axes[[2]int{min(e[0], e[1]), max(e[0], e[1])}]; one(free) {
				p.only[i] = slices.Index(free[:], true)
			} else {
				p.choice = true
			}
		}
	}
	p.faced = p.ways.without(nil)
	for _, i := range loose {
		e := ends[i]
		if free := axes[[2]int{min(e[0], e[1]), max(e[0], e[1])}]; free != [3]bool{} {
			p.faced.bind(e[0], e[1], free)
		}
	}
	return p, nil
}

// one tells whether just one is true.
func one(axes [3]bool) bool {
	n := 0
	for _, a := range axes {
		if a {
			n++
		}
	}
	return n == 1
}

// solve finds the best order for the bodies, which must be separable.
func (p *planner) solve(within set) *answer {
	if within.count() < 2 {
		return &answer{}
	}
	key := within.key()
	if a, ok := p.known[key]; ok {
		return a
	}
	best := &answer{blocked: &Blocked{}}
	for k := range 3 {
		groups := p.ways.groups(k, within)
		// Screwed and loose parts may come from any side, but they are better
		// offered up face to face; both are tried.
		for _, split := range [][]set{p.faced.groups(k, within), groups} {
			if len(split) < 2 {
				continue
			}
			if a := p.bring(k, within, split); a.blocked == nil && (best.blocked != nil || a.cost.compare(best.cost) < 0) ||
				best.blocked != nil && best.blocked.Reason == "" {
				best = a
			}
			if len(split) == len(groups) {
				break
			}
		}
	}
	p.known[key] = best
	return best
}

// bring makes the stages along axis k that join the groups, each put together
// in the best way found for it.
func (p *planner) bring(k int, within set, groups []set) *answer {
	parts := make([]*answer, len(groups))
	for i, g := range groups {
		if parts[i] = p.solve(g); parts[i].blocked != nil {
			return parts[i]
		}
	}
	return p.best(p.line(k, within, groups), parts)
}

// best makes the stages that join the groups of a line.
func (p *planner) best(l *line, parts []*answer) *answer {
	groups := l.groups
	before, last := together(parts)
	first := l.inTurn(l.start(), fewestJoints)
	best := p.stages(first, before, last, nil)
	if p.limits.free() {
		return best
	}
	if best.blocked == nil {
		if len(best.stages)-len(before.stages) == 1 {
			return best
		}
	}
	p.split = true
	// Over the limits the stage was split; where one begins and what comes next
	// decides how well the stages are filled.
	tries := min(len(groups), 12)
	if len(groups) > 24 {
		tries = 4
	}
	for s := range tries {
		start := s * len(groups) / tries
		fewest, most := l.inTurn(start, fewestJoints), l.inTurn(start, mostJoints)
		for _, o := range []*queue{fewest, most} {
			if slices.Equal(o.groups, first.groups) || o == most && slices.Equal(most.groups, fewest.groups) {
				continue // it has been tried
			}
			if a := p.stages(o, before, last, best); a.blocked == nil && (best.blocked != nil || a.cost.compare(best.cost) < 0) {
				best = a
			}
		}
	}
	return best
}

// together lists the stages that make the parts, one part's after the other's, and
// the last stage of each, -1 for a single body.
func together(parts []*answer) (all *answer, last []int) {
	all, last = &answer{}, make([]int, len(parts))
	for i, part := range parts {
		offset := len(all.stages)
		for _, d := range part.stages {
			d.after = slices.Clone(d.after)
			for n := range d.after {
				d.after[n] += offset
			}
			all.stages = append(all.stages, d)
		}
		last[i] = len(all.stages) - 1
		if len(part.stages) == 0 {
			last[i] = -1
		}
		all.cost = all.cost.add(part.cost)
	}
	return all, last
}

// stages brings the groups in the order given and closes a stage whenever the next
// move would take it over the limits. before and last are what together gives. It
// may stop, and is then blocked, once it can't cost less than the answer known,
// unless that is nil or blocked.
func (p *planner) stages(o *queue, before *answer, last []int, known *answer) *answer {
	a := &answer{stages: make([]draft, len(before.stages), len(before.stages)+len(o.moves)/4+2), cost: before.cost}
	copy(a.stages, before.stages)
	a.cost.slides += o.slides
	there := len(o.members[o.groups[0]]) // bodies
	d := p.open(o.axis, o.bodies[:there], last[o.groups[0]], a.stages)
	first := 0
	for n, m := range o.moves {
		reason, need, have := p.over(d, m)
		// What is put on dry at the end waits until the glue has set.
		if reason != "" || n == o.glued && !d.dry {
			if n == first {
				return &answer{blocked: p.tooMuch(m, reason, need, have)}
			}
			if a.close(p, d); known != nil && known.blocked == nil && a.cost.compare(known.cost) >= 0 {
				return &answer{blocked: &Blocked{}}
			}
			d, first = p.open(o.axis, o.bodies[:there], len(a.stages)-1, a.stages), n
			if reason, need, have := p.over(d, m); reason != "" {
				return &answer{blocked: p.tooMuch(m, reason, need, have)}
			}
		}
		g := o.groups[n+1]
		there += len(o.members[g])
		d = p.with(d, o.moves[first:n+1:n+1], o.bodies[:there], last[g], a.stages)
	}
	a.close(p, d)
	return a
}

func (p *planner) names(bodies []int) []string {
	out := make([]string, len(bodies))
	for i, b := range bodies {
		out[i] = p.bodies[b].ID
	}
	return out
}

func (p *planner) jointNames(joints []int) []string {
	out := make([]string, len(joints))
	for i, j := range joints {
		out[i] = p.joints[j].ID
	}
	return out
}

// stage is a draft by names, without its moves.
func (p *planner) stage(d draft) Stage {
	return Stage{
		Axis: d.axis, Parts: p.names(d.parts), Joints: p.jointNames(d.joints), After: slices.Clone(d.after),
		Level: d.level, Minutes: d.minutes, Clamps: d.clamps, Dry: d.dry,
	}
}

// sequence is an answer by names.
func (p *planner) sequence(a *answer) Sequence {
	travel := p.spread(a.stages)
	var s Sequence
	for n, d := range a.stages {
		st := p.stage(d)
		// What is there already is a beginning of the stage's parts; its names are
		// shared, or a row of a thousand slats would hold half a million of them.
		named := func(bodies []int) []string {
			if &bodies[0] == &d.parts[0] {
				return st.Parts[:len(bodies):len(bodies)]
			}
			return p.names(bodies)
		}
		for i, m := range d.moves {
			st.Moves = append(st.Moves, Move{
				Moving: named(m.moving), Into: named(m.into), Dir: m.dir,
				Joints: p.jointNames(m.joints), Held: m.held, Travel: travel[n][i],
			})
		}
		s.Stages = append(s.Stages, st)
		s.DryFit = append(s.DryFit, st.Moves...)
	}
	return s
}
