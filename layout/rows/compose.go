package rows

import (
	"context"
	"sort"

	"github.com/shopspring/decimal"
)

// Options limits the search. Work counts pieces tried; 0 means DefaultWork.
type Options struct {
	Work     int
	Progress func(Progress)
}

// DefaultWork takes less than a second for a panel of thirty rows.
const DefaultWork = 580_000

// Progress tells how far a search is: the best panel so far and the least wood
// any panel planes away, in cubic millimetres.
type Progress struct {
	Planed, Bound decimal.Decimal
	Work          int
}

// Compose makes the panel. Its aims, one before the other: make it at all;
// least wood planed away; fewest end joints; least wood taken from the strips;
// good pieces in the outer rows. The second is proved where it can be
// (Panel.Bound; a difference below one cubic millimetre counts as none), and of the
// last that no other order of the rows found does better (Panel.OuterBest).
//
// Cancelled or at its work limit it returns the best panel found. When it finds
// none the error is a *ShortError that says what is short and what would do.
func Compose(ctx context.Context, job Job, opt Options) (Panel, error) {
	if err := job.Validate(); err != nil {
		return Panel{}, err
	}
	limit := opt.Work
	if limit <= 0 {
		limit = DefaultWork
	}
	c := &composer{job: &job, s: scale(&job), ctx: ctx, limit: limit, progress: opt.Progress}
	c.boundFloors()
	if len(c.floors) == 0 {
		return Panel{}, c.short(true)
	}
	c.chain()
	c.byClasses()
	if !c.settled() {
		c.search()
	}
	if c.best == nil {
		return Panel{}, c.short(false)
	}
	p := c.outside(*c.best)
	p.Bound, p.Work, p.Status = c.bound(), c.work, c.status()
	return p, nil
}

type composer struct {
	job      *Job
	s        *scaled
	ctx      context.Context
	limit    int
	work     int
	floors   []floorBound
	best     *Panel
	neat     bool // the best panel is one of the classes, laid with few end joints
	progress func(Progress)
}

// floorBound is the least loss of panels whose thinnest piece is floor thick.
type floorBound struct {
	floor int64
	least decimal.Decimal
	plans []*windowPlan // guides for strips that differ across only
}

func (c *composer) boundFloors() {
	s := c.s
	for _, f := range s.floors() {
		order := s.byCost(f)
		lost, ok := s.pourBound(order, s.length, f-s.cleanup2, int64(c.job.Rows), s.width)
		if !ok {
			continue
		}
		var plans []*windowPlan
		if s.even && c.job.Rows > 0 {
			lost = max(lost, s.pieceBound(order, f-s.cleanup2))
		}
		if !s.even {
			l, plan, ok := s.windowBound(f, s.panel)
			if !ok {
				continue
			}
			if s.flat {
				plans = s.plans(f, plan)
			}
			lost = max(lost, l)
		}
		c.floors = append(c.floors, floorBound{f, s.wood(max(lost, 0)), plans})
	}
	c.sortFloors()
}

func (c *composer) sortFloors() {
	sort.SliceStable(c.floors, func(a, b int) bool { return c.floors[a].least.LessThan(c.floors[b].least) })
}

// plans adds to the best windows those of longer rows, which leave wood for
// cuts and short ends.
func (s *scaled) plans(floor int64, first *windowPlan) []*windowPlan {
	out := []*windowPlan{first}
	for _, more := range []int64{1, 3, 6, 12, 25} {
		if _, p, ok := s.windowBound(floor, s.panel+s.panel*more/100); ok {
			out = append(out, p)
		}
	}
	return out
}

// bound is the least over all floors: every panel has one of them.
func (c *composer) bound() decimal.Decimal {
	b := c.floors[0].least
	for _, f := range c.floors[1:] {
		if f.least.LessThan(b) {
			b = f.least
		}
	}
	if c.best != nil && c.best.Planed.LessThan(b) {
		return c.best.Planed
	}
	return b
}

var oneCubicMillimetre = decimal.NewFromInt(1)

func (c *composer) proved() bool {
	return c.best != nil && c.best.Planed.Sub(c.bound()).LessThan(oneCubicMillimetre)
}

// settled is true when neither wood nor end joints can get better: with a proof,
// and no more pieces in a row than the longest strip asks for, or than the classes do.
func (c *composer) settled() bool {
	if c.neat && c.proved() {
		return true
	}
	longest := int64(1)
	for _, l := range c.s.length {
		longest = max(longest, min(l, c.s.panel))
	}
	least := (c.s.panel+longest-1)/longest - 1
	return c.proved() && int64(c.best.EndJoints) <= least*int64(len(c.best.Rows))
}

func (c *composer) status() Status {
	switch {
	case c.proved():
		return Optimal
	case c.ctx.Err() != nil:
		return Stopped
	}
	return Limit
}

// search tries the floors in order of their bounds, with beams that widen, each
// round with its share of the work.
func (c *composer) search() {
	for _, beam := range []int{2, 8, 30, 90} {
		for _, f := range c.floors {
			if c.ctx.Err() != nil || c.work > c.limit {
				return
			}
			if c.best != nil && f.least.GreaterThan(c.best.Planed) {
				break
			}
			for _, plan := range f.choices() {
				d := c.s.newSearcher(c.ctx, f.floor, plan, beam)
				d.used, d.limit = &c.work, c.limit
				if st := d.run(); st != nil {
					rows := rowsOf(st)
					c.offer(measureUp(c.job, d.arrangement(rows)))
					if c.job.Rows > 0 && beam > 2 && !c.proved() {
						d.beam = 4
						c.offer(measureUp(c.job, d.arrangement(d.polish(rows))))
					}
				}
			}
		}
		if c.settled() {
			return
		}
	}
}

// choices are the guides of a floor, or none.
func (f floorBound) choices() []*windowPlan {
	if len(f.plans) == 0 {
		return []*windowPlan{nil}
	}
	return append(append([]*windowPlan(nil), f.plans...), &windowPlan{target: f.plans[0].target})
}

func (c *composer) offer(p Panel) {
	if len(Check(*c.job, p)) > 0 {
		return
	}
	if c.best == nil || lessWood(&p, c.best) {
		c.best = &p
		if c.progress != nil {
			c.progress(Progress{p.Planed, c.bound(), c.work})
		}
	}
}

// lessWood orders panels by the aims that the search itself follows.
func lessWood(a, b *Panel) bool {
	if d := a.Planed.Cmp(b.Planed); d != 0 {
		return d < 0
	}
	if a.EndJoints != b.EndJoints {
		return a.EndJoints < b.EndJoints
	}
	return a.Used.LessThan(b.Used)
}
