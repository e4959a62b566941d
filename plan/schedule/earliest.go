package schedule

import "time"

// LeastFinish is a moment before which the job cannot be finished: all its
// hands-on time, which is at least hands, has to fit into sessions; every step
// has to wait for its needs and their cures, and for the one pair of hands to do
// all that comes before it with the set-ups that takes.
func LeastFinish(job Job, hands time.Duration) (time.Time, error) {
	p, err := newPlacer(job)
	if err != nil {
		return time.Time{}, err
	}
	if len(p.ops) == 0 {
		return job.Start, nil
	}
	now := cursor{t: job.Start.UnixNano()}
	end := newEarliest(p).last(now, p.end)
	if hands > 0 {
		end = max(end, p.clock.spend(now, job.scaled(hands), nil).t)
	}
	if p.clock.out {
		return time.Time{}, ErrNoSession
	}
	return p.clock.time(end), nil
}

// earliest works out how early steps can end at best.
type earliest struct {
	p     *placer
	above [][]int   // by operation, all that comes before it
	into  [][]int64 // by machine and class, the cheapest way in
	mark  [][]int   // the last round a class was counted in
	round int
	done  []bool
}

func newEarliest(p *placer) *earliest {
	e := &earliest{p: p, above: make([][]int, len(p.ops)), done: make([]bool, len(p.ops))}
	for _, i := range p.rest {
		seen := make([]bool, len(p.ops))
		for _, j := range p.net.before[i] {
			seen[j] = true
			for _, k := range e.above[j] {
				seen[k] = true
			}
		}
		for j, is := range seen {
			if is {
				e.above[i] = append(e.above[i], j)
			}
		}
	}
	for _, cost := range p.cost {
		into := make([]int64, len(cost))
		for c := range into {
			into[c] = never
			for a := range cost {
				if a != c {
					into[c] = min(into[c], cost[a][c])
				}
			}
		}
		e.into = append(e.into, into)
		e.mark = append(e.mark, make([]int, len(into)))
	}
	return e
}

// last bounds the end of the last step when the maker is free at a moment, the
// steps with an end are done and the placer's machines hold what they hold. It
// fills in bounds for the other ends.
func (e *earliest) last(now cursor, ends []int64) int64 {
	p := e.p
	kept := p.end
	p.end = ends
	latest := now.t
	for i, end := range ends {
		e.done[i] = end >= 0
	}
	for _, i := range p.rest {
		if e.done[i] {
			continue
		}
		e.round++
		first := e.enter(i)
		for _, j := range e.above[i] {
			if !e.done[j] {
				first += p.time[j] + e.enter(j)
			}
		}
		at := now
		if first > 0 {
			at = p.clock.spend(now, first, nil)
		}
		at, _ = p.lay(at, i, 0, p.ready(i), nil)
		ends[i] = at.t
		latest = max(latest, at.t)
	}
	p.end = kept
	return latest
}

// enter is the least a step's class costs the first time it is met in a round.
func (e *earliest) enter(i int) int64 {
	m := e.p.machine[i]
	if m < 0 {
		return 0
	}
	c := e.p.class[i]
	if c == e.p.held[m] || e.mark[m][c] == e.round {
		return 0
	}
	e.mark[m][c] = e.round
	return e.into[m][c]
}
