package schedule

import (
	"cmp"
	"context"
	"slices"
	"time"
)

// Offer is an order of work with its dates.
type Offer struct {
	Problem  Problem // operations in the order they are worked
	Timeline Timeline
}

// Arrangement is the two ends of the bargain between set-ups and dates.
type Arrangement struct {
	Answer Answer // the proof of the least set-up time
	// Fewest has the least set-up time (within the tolerance) and the earliest
	// finish found with it.
	Fewest Offer
	// Soonest finishes earlier at the price of more set-up time; it equals
	// Fewest when nothing earlier was found.
	Soonest Offer
	// Least: no order can finish earlier than this.
	Least time.Time
}

// ArrangeOptions limit the work of Arrange.
type ArrangeOptions struct {
	Options
	Width     int           // states kept per level of the search over dates; 0 is 80
	Tolerance time.Duration // set-up time above the least that Fewest may take
}

// Arrange orders a problem and sets it into the calendar. The search over dates
// is a beam over partial orders with their clock, waits and set-up time; it is
// exact when the width holds every state (small jobs), and otherwise a good
// answer next to the proven bound Least.
func Arrange(ctx context.Context, p Problem, week Week, start time.Time, opt ArrangeOptions) (Arrangement, error) {
	answer, err := Order(ctx, p, opt.Options)
	if err != nil {
		return Arrangement{}, err
	}
	job := Job{Problem: p.Ordered(answer), Week: week, Start: start}
	a := Arrangement{Answer: answer}
	if a.Least, err = LeastFinish(job, answer.Work+answer.setupBound()); err != nil {
		return Arrangement{}, err
	}
	if a.Fewest, err = offer(job); err != nil {
		return Arrangement{}, err
	}
	width := opt.Width
	if width <= 0 {
		width = 80
	}
	d, err := newDates(job)
	if err != nil {
		return Arrangement{}, err
	}
	least := a.Least.UnixNano()
	if o, ok, err := d.search(ctx, width, int64(answer.Setup+opt.Tolerance), a.Fewest, least); err != nil {
		return Arrangement{}, err
	} else if ok {
		a.Fewest = o
	}
	a.Soonest = a.Fewest
	job.Pull = PullAny
	if o, err := offer(job); err != nil {
		return Arrangement{}, err
	} else if earlier(o, a.Soonest) {
		a.Soonest = o
	}
	if o, ok, err := d.search(ctx, width, never, a.Soonest, least); err != nil {
		return Arrangement{}, err
	} else if ok {
		a.Soonest = o
	}
	if !a.Soonest.Timeline.Finish.Before(a.Fewest.Timeline.Finish) {
		a.Soonest = a.Fewest
	}
	return a, nil
}

func (a Answer) setupBound() time.Duration { return max(0, a.Bound-a.Work) }

// offer places a job and takes over the order in which it is really worked.
func offer(job Job) (Offer, error) {
	t, err := Place(job)
	if err != nil {
		return Offer{}, err
	}
	at := map[string]Operation{}
	for _, op := range job.Problem.Operations {
		at[op.ID] = op
	}
	p := job.Problem
	p.Operations = make([]Operation, len(t.Order))
	for i, id := range t.Order {
		p.Operations[i] = at[id]
	}
	return Offer{p, t}, nil
}

// earlier orders offers by finish, then set-up time.
func earlier(a, b Offer) bool {
	return cmp.Or(a.Timeline.Finish.Compare(b.Timeline.Finish), cmp.Compare(a.Timeline.Setup, b.Timeline.Setup)) < 0
}

// dates searches orders by their dates.
type dates struct {
	job  Job
	p    *placer
	shop *shop
	ends *earliest
}

func newDates(job Job) (*dates, error) {
	p, err := newPlacer(job)
	if err != nil {
		return nil, err
	}
	s, err := build(job.Problem, job.Problem.Operations)
	if err != nil {
		return nil, err
	}
	s.tableMax = 20_000
	return &dates{job: job, p: p, shop: s, ends: newEarliest(p)}, nil
}

// label is a partial order with its clock.
type label struct {
	done   set
	held   held
	at     cursor
	g      int64   // set-up time so far
	ends   []int64 // by operation, -1 when not done
	score  int64   // no completion finishes earlier
	parent int32
	block  int32
}

// sameState is how many labels of one state are kept, differing in clock and waits.
const sameState = 3

// search looks for an offer with at most budget set-up time that is earlier
// than the one known.
func (d *dates) search(ctx context.Context, width int, budget int64, known Offer, least int64) (Offer, bool, error) {
	s := d.shop
	if s.big || len(s.blocks) == 0 {
		return Offer{}, false, nil
	}
	best, found := known, false
	root := label{held: s.start, ends: make([]int64, len(s.ops)), parent: -1, block: -1, at: cursor{t: d.job.Start.UnixNano()}}
	for i := range root.ends {
		root.ends[i] = -1
	}
	labels := []label{root}
	level := []int32{0}
	for range s.blocks {
		limit := best.Timeline.Finish.UnixNano()
		if limit <= least || ctx.Err() != nil {
			return best, found, nil
		}
		var next []label
		for _, at := range level {
			for k := range s.blocks {
				if from := &labels[at]; from.done.has(k) || !from.done.holds(&s.blocks[k].pred) {
					continue
				}
				n := d.extend(&labels[at], at, k)
				if n.score > limit || n.g+s.bound(&n.done, &n.held) > budget {
					continue
				}
				next = append(next, n)
			}
		}
		slices.SortStableFunc(next, func(a, b label) int {
			return cmp.Or(cmp.Compare(a.score, b.score), cmp.Compare(a.g, b.g), cmp.Compare(a.at.t, b.at.t))
		})
		seen := map[key]int{}
		level = level[:0]
		for i := range next {
			id := key{next[i].done, next[i].held}
			if seen[id] >= sameState {
				continue
			}
			seen[id]++
			labels = append(labels, next[i])
			level = append(level, int32(len(labels)-1))
			if len(level) >= width {
				break
			}
		}
	}
	for _, at := range level[:min(5, len(level))] {
		var order []int
		for x := at; labels[x].block >= 0; x = labels[x].parent {
			order = append(order, int(labels[x].block))
		}
		slices.Reverse(order)
		job := d.job
		job.Problem.Operations = s.operations(order)
		job.Pull = PullNone
		o, err := offer(job)
		if err != nil {
			return Offer{}, false, err
		}
		if int64(o.Timeline.Setup) <= budget && earlier(o, best) {
			best, found = o, true
		}
	}
	return best, found, nil
}

// extend does one block after a label. Operations of the shop and of the
// placer have the same numbers.
func (d *dates) extend(from *label, at int32, k int) label {
	s := d.shop
	n := label{done: from.done, held: from.held, at: from.at, g: from.g, ends: slices.Clone(from.ends), parent: at, block: int32(k)}
	d.p.end = n.ends
	for _, i := range s.blocks[k].ops {
		var change int64
		if m := s.machineOf[i]; m >= 0 {
			change = s.machines[m].cost[n.held[m]][s.classOf[i]]
			n.held[m] = s.classOf[i]
		}
		n.at, _ = d.p.lay(n.at, i, change, d.p.ready(i), nil)
		n.g += change
		n.ends[i] = n.at.t
	}
	n.done.add(k)
	n.score = d.score(&n)
	return n
}

// score is a bound on the finish from the hands-on time left and from what
// every step left has to wait for.
func (d *dates) score(n *label) int64 {
	left := d.shop.bound(&n.done, &n.held)
	for i, end := range n.ends {
		if end < 0 {
			left += d.p.time[i]
		}
	}
	for m := range d.p.held {
		d.p.held[m] = int(n.held[m])
	}
	end := d.ends.last(n.at, slices.Clone(n.ends))
	if left > 0 {
		end = max(end, d.p.clock.spend(n.at, left, nil).t)
	}
	return end
}
