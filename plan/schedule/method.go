package schedule

import (
	"cmp"
	"context"
	"fmt"
	"slices"
	"time"
)

// Choice is the method taken by a group of operations.
type Choice struct {
	Group  string // the group's name, or the operation's id
	Method string
}

// group is the operations that share one choice of method.
type group struct {
	name    string
	methods []string
	ops     []int
	least   []time.Duration // by method, time of its operations
}

// gather finds the groups with methods to choose between.
func gather(ops []Operation) ([]group, error) {
	var groups []group
	for i, op := range ops {
		if len(op.Methods) == 0 {
			continue
		}
		names := make([]string, len(op.Methods))
		for k, m := range op.Methods {
			names[k] = m.Name
			if m.Time < 0 {
				return nil, fmt.Errorf("step %q: %w", op.ID, ErrTime)
			}
		}
		name := op.Group
		at := -1
		if name == "" {
			name = op.ID
		} else {
			at = slices.IndexFunc(groups, func(g group) bool { return g.name == op.Group && ops[g.ops[0]].Group != "" })
		}
		if at < 0 {
			groups = append(groups, group{name: name, methods: names, least: make([]time.Duration, len(names))})
			at = len(groups) - 1
		}
		g := &groups[at]
		if !slices.Equal(g.methods, names) {
			return nil, fmt.Errorf("%w: %q and %q", ErrMethods, ops[g.ops[0]].ID, op.ID)
		}
		g.ops = append(g.ops, i)
		for k, m := range op.Methods {
			g.least[k] += m.Time
		}
	}
	return groups, nil
}

// choose fills in machine, set-up and time of the picked methods.
func choose(ops []Operation, groups []group, pick []int) []Operation {
	out := slices.Clone(ops)
	for g, grp := range groups {
		for _, i := range grp.ops {
			m := ops[i].Methods[pick[g]]
			out[i].Machine, out[i].Setup, out[i].Time, out[i].Methods = m.Machine, m.Setup, m.Time, nil
		}
	}
	return out
}

func chosen(groups []group, pick []int) []Choice {
	var out []Choice
	for g, grp := range groups {
		out = append(out, Choice{grp.name, grp.methods[pick[g]]})
	}
	return out
}

// contest compares the choices of methods by the best order of each.
type contest struct {
	ctx    context.Context
	p      Problem
	opt    Options
	groups []group
	left   int // states still allowed

	best  Answer
	pick  []int
	bound time.Duration
	any   bool
}

// manyPicks is the number of combinations up to which all are compared.
const manyPicks = 256

func (c *contest) run(first *shop) error {
	picks := 1
	for _, g := range c.groups {
		picks = min(picks*len(g.methods), manyPicks+1)
	}
	pick := make([]int, len(c.groups))
	if picks > manyPicks {
		return c.descend(first, pick)
	}
	return c.compare(first, pick)
}

// compare tries all combinations, the most promising first, until none left can
// take less time than the best. The bound of the whole is the least of any.
func (c *contest) compare(first *shop, pick []int) error {
	type combination struct {
		pick  []int
		bound time.Duration
	}
	var all []combination
	for more := true; more; more = next(pick, c.groups) {
		if c.ctx.Err() != nil {
			c.try(first, make([]int, len(c.groups)))
			c.bound = c.leastWork(first)
			return nil
		}
		s, err := build(c.p, choose(c.p.Operations, c.groups, pick))
		if err != nil {
			return err
		}
		bound := workTime(s.ops)
		if !s.big {
			s.tableMax, s.stopped = tableStates, c.ctx.Err
			bound += time.Duration(s.root().h)
		}
		all = append(all, combination{slices.Clone(pick), bound})
	}
	slices.SortStableFunc(all, func(a, b combination) int { return cmp.Compare(a.bound, b.bound) })
	for i, one := range all {
		if c.any && (one.bound >= c.best.Total() || c.ctx.Err() != nil) {
			c.bound = min(c.bound, one.bound)
			break
		}
		s, err := build(c.p, choose(c.p.Operations, c.groups, one.pick))
		if err != nil {
			return err
		}
		bound := c.try(s, one.pick)
		if i == 0 || bound < c.bound {
			c.bound = bound
		}
	}
	c.bound = min(c.bound, c.best.Total())
	return nil
}

// next counts pick up by one and says false after the last combination.
func next(pick []int, groups []group) bool {
	for g := range pick {
		pick[g]++
		if pick[g] < len(groups[g].methods) {
			return true
		}
		pick[g] = 0
	}
	return false
}

// try orders one combination and keeps it when it takes less time in all. It
// gives a bound on that combination.
func (c *contest) try(s *shop, pick []int) time.Duration {
	work := workTime(s.ops)
	cutoff := int64(-1)
	if c.any {
		cutoff = int64(c.best.Total() - work)
		if cutoff <= 0 {
			return work
		}
	}
	f := s.solve(c.ctx, cutoff, max(c.left, 1), func(best, bound int64, states int) {
		if c.opt.Progress != nil {
			c.opt.Progress(Progress{Best: work + time.Duration(best), Bound: work + time.Duration(bound), States: states})
		}
	})
	c.left -= min(f.states, c.left)
	if f.order != nil && (!c.any || f.cost < cutoff) {
		steps := s.operations(f.order)
		c.best = Answer{Order: ids(steps), Steps: steps, Work: work}
		c.best.Setups, c.best.Setup = c.p.Setups(steps)
		c.pick = slices.Clone(pick)
		c.any = true
	}
	return work + time.Duration(f.bound)
}

// descend changes one group's method at a time while that helps.
func (c *contest) descend(first *shop, pick []int) error {
	c.try(first, pick)
	for better := true; better && c.ctx.Err() == nil; {
		better = false
		for g, grp := range c.groups {
			for k := range grp.methods {
				trial := slices.Clone(c.pick)
				if trial[g] == k {
					continue
				}
				trial[g] = k
				s, err := build(c.p, choose(c.p.Operations, c.groups, trial))
				if err != nil {
					return err
				}
				before := c.best.Total()
				c.try(s, trial)
				better = better || c.best.Total() < before
			}
		}
	}
	c.bound = c.leastWork(first)
	return nil
}

// leastWork is the time of the quickest method of every group, without changes
// of set-up; first is the shop of the first methods.
func (c *contest) leastWork(first *shop) time.Duration {
	t := workTime(first.ops)
	for _, g := range c.groups {
		t += slices.Min(g.least) - g.least[0]
	}
	return t
}
