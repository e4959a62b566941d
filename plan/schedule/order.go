package schedule

import (
	"context"
	"slices"
	"time"
)

// Status says how an answer ended.
type Status int

const (
	Optimal Status = iota // proved: nothing better exists
	Limit                 // the work limit was reached
	Stopped               // the context was cancelled
)

// Progress is what a search knows so far.
type Progress struct {
	Best, Bound time.Duration
	States      int
}

// Options limit the work of a search.
type Options struct {
	// MaxStates ends a search after so many expanded states; 0 means 300 000.
	// The limit is counted, not timed, so equal input gives equal answers.
	MaxStates int
	Progress  func(Progress) // called now and then on the caller's goroutine; may be nil
}

func (o Options) states() int {
	if o.MaxStates <= 0 {
		return 300_000
	}
	return o.MaxStates
}

// Answer is an order of work and what is known about it.
type Answer struct {
	Order  []string    // ids in working order
	Steps  []Operation // the same, with the chosen methods filled in
	Chosen []Choice    // the method of every group that has several, in the problem's order

	Setups int           // changes of set-up
	Setup  time.Duration // time they take
	Work   time.Duration // hands-on time without them
	// Bound: no lawful order and choice of methods takes less than this, changes
	// included. Equal to Setup + Work when Status is Optimal.
	Bound  time.Duration
	Status Status

	// Naive is the order of one part after another with the first method of each group.
	NaiveSetups int
	NaiveSetup  time.Duration
	NaiveWork   time.Duration

	States int // states expanded
}

// Total is the hands-on time, changes of set-up included.
func (a Answer) Total() time.Duration { return a.Setup + a.Work }

// Saves is what the order and the methods save against working part by part.
func (a Answer) Saves() time.Duration { return a.NaiveSetup + a.NaiveWork - a.Total() }

// Order finds the order with the least hands-on time, changes of set-up
// included: a beam search for a good order at once, then best-first search for
// the best one with a proof. Time that no order can change (the operations
// themselves) is in the totals. Errors: CycleError and the Err values of this
// package. A cancelled context is no error: the best order so far is returned. More
// than 256 operations (locked runs counted once) or 16 machines with set-ups are
// not searched; the order part by part is returned then.
func Order(ctx context.Context, p Problem, opt Options) (Answer, error) {
	groups, err := gather(p.Operations)
	if err != nil {
		return Answer{}, err
	}
	first := make([]int, len(groups))
	naive, err := build(p, choose(p.Operations, groups, first))
	if err != nil {
		return Answer{}, err
	}
	c := contest{ctx: ctx, p: p, opt: opt, groups: groups, left: opt.states()}
	if err := c.run(naive); err != nil {
		return Answer{}, err
	}
	a := c.best
	plain := naive.operations(naive.naive())
	a.NaiveSetups, a.NaiveSetup = p.Setups(plain)
	a.NaiveWork = workTime(plain)
	a.States = opt.states() - c.left
	a.Bound = c.bound
	a.Chosen = chosen(groups, c.pick)
	switch {
	case a.Bound == a.Total():
		a.Status = Optimal
	case ctx.Err() != nil:
		a.Status = Stopped
	default:
		a.Status = Limit
	}
	return a, nil
}

// solve orders a shop, given that only orders with set-up time below cutoff
// are of use (negative: any). An answer without an order has none below it.
func (s *shop) solve(ctx context.Context, cutoff int64, limit int, report func(best, bound int64, states int)) found {
	if s.big {
		return found{order: s.naive(), cost: int64(s.setup(s.naive()))}
	}
	s.tableMax, s.stopped = tableStates, ctx.Err
	root := s.root()
	if cutoff >= 0 && root.h >= cutoff {
		return found{bound: root.h, proved: true}
	}
	var best []int
	widths := []int{8, 64, 256}
	if s.dense() {
		widths = []int{8, 32}
	}
	for _, width := range widths {
		order, cost := s.beam(ctx, width)
		if cost > root.h && ctx.Err() == nil {
			order, cost = s.improve(ctx, order, cost)
		}
		if cutoff < 0 || cost < cutoff {
			best, cutoff = order, cost
		}
		if root.h >= cutoff || ctx.Err() != nil {
			break
		}
	}
	f := s.exact(ctx, cutoff, limit, report)
	if f.order == nil {
		f.order, f.cost = best, cutoff
	}
	return f
}

// dense says that a machine's classes are all asked for once at pair-dependent
// prices: the levels are then many and wide, and the local search does more.
func (s *shop) dense() bool {
	return slices.ContainsFunc(s.machines, func(mc machine) bool { return mc.rest != nil })
}

func (s *shop) setup(order []int) time.Duration {
	_, t := s.p.Setups(s.operations(order))
	return t
}

func ids(ops []Operation) []string {
	out := make([]string, len(ops))
	for i, op := range ops {
		out[i] = op.ID
	}
	return out
}
