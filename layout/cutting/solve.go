package cutting

import (
	"context"
	"math"

	"pilewright/layout/cutting/pattern"
)

// Options steer a solve. The answer depends on them and the problem only.
type Options struct {
	Seed uint64
	// Work is the effort limit in elementary operations of one worker, about
	// 1e9 a second; zero means DefaultWork. Two workers share it evenly.
	Work int64
	// Progress is called with the first full plan, and with better plans and
	// bounds, never twice within some 50 ms of work.
	Progress func(Progress)
}

// DefaultWork is the effort when none is given: some six seconds.
const DefaultWork = 6_000_000_000

// Progress is a state of the search.
type Progress struct {
	Solution Solution
	Aim      Aim
	Bound    int64 // of the level of Aim, in its unit
}

// Solve plans the cuts. It returns an error only for a problem that cannot be
// worked with (InputErrors). Cancelling ctx returns the best plan so far, within
// milliseconds, with Status Stopped. Boards and blanks are not changed.
func Solve(ctx context.Context, p Problem, opt Options) (Solution, error) {
	if err := p.Validate(); err != nil {
		return Solution{}, err
	}
	s := &solver{ctx: ctx, opt: opt, r: reduce(&p)}
	s.r.over = func() bool { return ctx.Err() != nil }
	if err := s.r.tooFine(); err != nil {
		return Solution{}, err
	}
	if opt.Work == 0 {
		s.opt.Work = DefaultWork
	}
	return s.run(), nil
}

type solver struct {
	ctx     context.Context
	opt     Options
	r       *reduced
	demand  []int
	short   []int
	plan    *pattern.Plan
	levels  []Level
	weights [][]int64
	budgets []int64
	sol     Solution
	work    int64
	nodes   int
	told    int64
}

func (s *solver) run() Solution {
	s.demand = s.r.demand()
	s.short = make([]int, len(s.demand))
	aims := s.r.p.Aims
	if aims == nil {
		aims = DefaultAims()
	}
	s.made(aims)
	boards, last := len(aims), len(aims)
	for last > 0 && aims[last-1].ofCuts() {
		last--
	}
	for boards = last; boards > 0 && aims[boards-1] == AimLeftovers; {
		boards--
	}
	all := s.opt.Work
	if boards < last && s.r.p.LeftoverMin > 0 {
		s.opt.Work -= all / leftoverShare
	}
	for n, a := range aims[:boards] {
		s.level(a, boards-n)
	}
	s.opt.Work = min(all, s.work/2+all/leftoverShare)
	for n, a := range aims[boards:last] {
		s.level(a, last-boards-n)
	}
	// A later level may have made an earlier one better by chance.
	for n, a := range aims[:last] {
		s.plan.Reprice(s.r.modelOf(a, s.demand, nil, nil))
		lv := &s.levels[n+1]
		lv.Value = s.plan.Cost
		lv.Proved = lv.Bound == lv.Value
	}
	sol := s.solution(s.plan)
	if last < len(aims) {
		s.r.tidy(&sol, func() bool { return s.ctx.Err() != nil })
	}
	for _, a := range aims[last:] {
		s.levels = append(s.levels, s.r.countLevel(a, &sol, s.levels))
	}
	sol.Levels, sol.Work, sol.Nodes = s.levels, s.work, s.nodes
	sol.Status = Optimal
	for _, l := range s.levels {
		if !l.Proved && !l.Aim.ofCuts() {
			sol.Status = Limit
		}
	}
	if s.ctx.Err() != nil && sol.Status != Optimal {
		sol.Status = Stopped
	}
	return sol
}

// mostLeftoverGroups is the most different boards whose leftovers are searched.
const mostLeftoverGroups = 500

// leftoverShare is the share of the effort kept for leftovers, as one part in so many.
const leftoverShare = 16

// made finds a plan that makes every blank, or one that leaves out as few as
// possible; later levels work on what is made.
func (s *solver) made(aims []Aim) {
	first := AimWood
	if len(aims) > 0 {
		first = aims[len(aims)-1]
	}
	for _, a := range aims {
		if a == AimWood {
			first = a
		}
	}
	cost, _ := s.r.costs(first)
	lv := Level{Aim: AimMade, Unit: 1}
	defer func() { s.levels = append(s.levels, lv) }()
	s.plan = pattern.First(s.ctx, s.r.model(s.demand, cost, nil, nil), s.opt.Seed)
	if s.plan != nil {
		lv.Proved = true
		s.publish(s.plan, AimMade, 0, true)
		return
	}
	m := s.r.model(s.demand, make([]int64, len(s.r.groups)), nil, nil)
	m.Short = make([]int64, len(s.demand))
	for i := range m.Short {
		m.Short[i] = 1
	}
	res := pattern.Solve(s.ctx, m, pattern.Limits{Work: max(s.opt.Work/2, 1), Seed: s.opt.Seed}, nil, func(p *pattern.Plan, bound, work int64) {
		s.publish(p, AimMade, bound, false)
	})
	s.spend(res)
	if res.Plan == nil { // cancelled at once: nothing is cut
		res.Plan = &pattern.Plan{Short: append([]int(nil), s.demand...)}
		for _, d := range s.demand {
			res.Plan.Cost += int64(d)
		}
		res.Bound, res.Proved = 0, false
	}
	s.plan = res.Plan
	copy(s.short, res.Plan.Short)
	lv.Value, lv.Bound, lv.Proved = res.Plan.Cost, res.Bound, res.Proved
	lv.Proof = s.proof(res)
	for i := range s.demand {
		s.demand[i] -= s.short[i]
	}
	s.plan = &pattern.Plan{Uses: res.Plan.Uses, Short: make([]int, len(s.demand))}
}

func (s *solver) spend(res pattern.Result) {
	s.work += res.Work
	s.nodes += res.Nodes
}

func (s *solver) proof(res pattern.Result) *Proof {
	if res.Proof == nil || res.Proof.Dual == nil {
		return nil
	}
	p := &Proof{Tree: res.Proof, Whole: res.Whole, Bound: res.Bound, Budgets: append([]int64(nil), s.budgets...), Short: s.shortfalls(s.short)}
	if !res.Whole {
		p.Bound = res.RootBound
	}
	return p
}

// level makes the plan as good as possible in one aim, keeping those before.
func (s *solver) level(a Aim, left int) {
	cost, unit := s.r.costs(a)
	m := s.r.modelOf(a, s.demand, s.weights, s.budgets)
	lv := Level{Aim: a, Unit: unit}
	s.plan.Reprice(m)
	lv.Value = s.plan.Cost
	switch {
	case lv.Value == 0:
		lv.Proved = true
	case a == AimLeftovers && len(s.r.groups) > mostLeftoverGroups:
	case s.ctx.Err() == nil:
		if a == AimLeftovers {
			s.plan = s.polish(s.plan, m)
		}
		share := (s.opt.Work - s.work/2) // two workers spent it
		if left > 1 {
			share = share * 2 / 3
		}
		res := pattern.Solve(s.ctx, m, pattern.Limits{Work: max(share, 1), Seed: s.opt.Seed}, s.plan, func(p *pattern.Plan, bound, work int64) {
			if s.work+work-s.told > 50_000_000 {
				s.told = s.work + work
				s.publish(p, a, bound, true)
			}
		})
		s.spend(res)
		s.plan = res.Plan
		if a == AimLeftovers {
			s.plan = s.polish(s.plan, m)
		}
		lv.Value, lv.Bound = s.plan.Cost, min(res.Bound, s.plan.Cost)
		lv.Proved = lv.Value == lv.Bound
		lv.Proof = s.proof(res)
	}
	s.levels = append(s.levels, lv)
	if s.opt.Progress != nil && s.ctx.Err() == nil {
		s.publish(s.plan, a, lv.Bound, true)
	}
	// A level whose values do not differ binds nothing.
	low, high := int64(math.MaxInt64), int64(0)
	for _, c := range cost {
		low, high = min(low, c), max(high, c)
	}
	if high > 0 {
		s.weights = append(s.weights, cost)
		s.budgets = append(s.budgets, lv.Value)
	}
}

func (s *solver) publish(p *pattern.Plan, a Aim, bound int64, made bool) {
	if s.opt.Progress == nil {
		return
	}
	sol := s.solution(p)
	if !made {
		sol.Short = s.shortfalls(p.Short)
	}
	sol.Levels = append([]Level(nil), s.levels...)
	if n := len(sol.Levels); n == 0 || sol.Levels[n-1].Aim != a { // the level being searched
		unit := int64(1)
		if a != AimMade {
			_, unit = s.r.costs(a)
		}
		value := p.Cost
		if a == AimMade && made {
			value = 0
		}
		bound = max(0, min(bound, value))
		sol.Levels = append(sol.Levels, Level{Aim: a, Value: value, Bound: bound, Proved: bound == value, Unit: unit})
	}
	s.opt.Progress(Progress{Solution: sol, Aim: a, Bound: bound})
}

// shortfalls turns what rows lack into blanks of the problem: the last copies
// of the last rows.
func (s *solver) shortfalls(short []int) []Shortfall {
	var out []Shortfall
	for n, k := range s.r.rows {
		left := short[n]
		for q := len(k.items) - 1; q >= 0 && left > 0; q-- {
			c := left
			if it := &s.r.p.Items[k.items[q]]; it.Cover == nil {
				c = min(left, it.Count)
			}
			out = append(out, Shortfall{k.items[q], c})
			left -= c
		}
	}
	return out
}
