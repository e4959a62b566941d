package assembly

import (
	"cmp"
	"slices"

	"pilewright/plan/measure"
	"pilewright/plan/solid"
)

// answer is the best way found to put a set of bodies together.
type answer struct {
	stages  []draft // those needed come first
	cost    cost
	blocked *Blocked
}

// draft is a stage by numbers; after counts within its answer.
type draft struct {
	axis    int
	moves   []draftMove
	parts   []int
	joints  []int
	after   []int
	level   int
	minutes int
	clamps  int
	dry     bool
}

type draftMove struct {
	moving, into []int
	dir          solid.Direction
	joints       []int
	held         bool
}

// cost is what makes one order worse than another, most important first.
type cost struct {
	glueUps, held int
	glued         measure.Length // longest sides of what the glue-ups leave, added up
	slides, level int
	span          measure.Length // longest sides of what all stages leave, added up
	stages        int
}

func (c cost) compare(d cost) int {
	return cmp.Or(cmp.Compare(c.glueUps, d.glueUps), cmp.Compare(c.held, d.held), cmp.Compare(c.glued, d.glued),
		cmp.Compare(c.slides, d.slides), cmp.Compare(c.level, d.level), cmp.Compare(c.span, d.span), cmp.Compare(c.stages, d.stages))
}

func (c cost) add(d cost) cost {
	return cost{c.glueUps + d.glueUps, c.held + d.held, c.glued + d.glued, c.slides + d.slides,
		max(c.level, d.level), c.span + d.span, c.stages + d.stages}
}

// open begins a stage with what is there.
func (p *planner) open(axis int, parts []int, from int, stages []draft) draft {
	d := draft{axis: axis, parts: parts, level: 1, dry: true}
	return d.needs(from, stages)
}

func (d draft) needs(from int, stages []draft) draft {
	if from >= 0 {
		d.after = append(d.after, from)
		d.level = max(d.level, stages[from].level+1)
	}
	return d
}

// with adds a move to a stage, the last of its moves so far. The joints of moves
// that follow each other stand one after the other, so the stage's are a stretch of
// them.
func (p *planner) with(d draft, moves []draftMove, parts []int, from int, stages []draft) draft {
	d.moves, d.parts = moves, parts
	m := moves[len(moves)-1]
	if len(d.joints) == 0 {
		d.joints = m.joints
	} else {
		d.joints = d.joints[:len(d.joints)+len(m.joints)]
	}
	for _, j := range m.joints {
		d.minutes += p.joints[j].Minutes
		d.dry = d.dry && p.joints[j].Dry
	}
	return d.needs(from, stages)
}

// close ends a stage of the answer.
func (a *answer) close(p *planner, d draft) {
	if p.limits.ClampsFor != nil && !d.dry {
		d.clamps = p.limits.ClampsFor(len(d.joints))
	}
	slices.Sort(d.after)
	a.stages = append(a.stages, d)
	a.cost.stages++
	for _, m := range d.moves {
		if m.held {
			a.cost.held++
		}
	}
	hull := p.bounds[d.parts[0]]
	for _, i := range d.parts {
		hull = hull.Hull(p.bounds[i])
	}
	size := hull.Size()
	longest := max(size[0], size[1], size[2])
	a.cost.span += longest
	if !d.dry {
		a.cost.glueUps += p.glued(d)
		a.cost.glued += longest
	}
	a.cost.level = max(a.cost.level, d.level)
}

// glued is the number of separate things the stage glues: more than one only
// where bodies without glue between them hold each other captive, or are put
// together by the same moves.
func (p *planner) glued(d draft) int {
	parts := newSet(len(p.bodies))
	for _, i := range d.parts {
		parts.add(i)
	}
	return p.gluedThings(parts, d.joints)
}

// gluedThings is the number of separate things among the bodies that the joints
// glue. Those it reaches are taken out of left.
func (p *planner) gluedThings(left set, joints []int) int {
	things := 0
	var reached []int
	for _, j := range joints {
		if i := p.ends[j][0]; !p.joints[j].Dry && left.has(i) {
			things++
			left.drop(i)
			reached = append(reached, i)
		}
		for len(reached) > 0 {
			i := reached[len(reached)-1]
			reached = reached[:len(reached)-1]
			for _, t := range p.touching[i] {
				if t.glued && left.has(t.body) {
					left.drop(t.body)
					reached = append(reached, t.body)
				}
			}
		}
	}
	return things
}

// over tells which limit is against adding the move to the stage, what it would
// take and what there is; no reason where none is.
func (p *planner) over(d draft, m draftMove) (reason Reason, need, have int) {
	if p.limits.free() {
		return "", 0, 0
	}
	minutes, dry := d.minutes, d.dry
	for _, j := range m.joints {
		minutes += p.joints[j].Minutes
		dry = dry && p.joints[j].Dry
	}
	if dry {
		return "", 0, 0
	}
	if open := p.limits.OpenMinutes; open > 0 && minutes > open {
		return OverTime, minutes, open
	}
	if n := len(d.joints) + len(m.joints); n > p.most {
		return TooFewClamps, p.limits.ClampsFor(n), p.limits.Clamps
	}
	return "", 0, 0
}

// tooMuch says that a move by itself is over a limit.
func (p *planner) tooMuch(m draftMove, reason Reason, need, have int) *Blocked {
	return &Blocked{Reason: reason, Bodies: p.names(slices.Concat(m.into, m.moving)), Joints: p.jointNames(m.joints), Need: need, Have: have, Unsure: true}
}
