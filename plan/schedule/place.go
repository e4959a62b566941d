package schedule

import (
	"math"
	"slices"
	"time"
)

// Pull says what may be done out of order while the next step cannot begin.
type Pull int

const (
	PullFree Pull = iota // a later step, if that adds no set-up time
	PullNone             // nothing: the order is kept
	PullAny              // a later step, even with more set-ups
)

// Job is an order of work to be set into the calendar.
type Job struct {
	// Problem holds the operations in working order with their methods chosen:
	// see Problem.Ordered.
	Problem Problem
	Week    Week
	Start   time.Time
	Pull    Pull
	Scale   float64 // factor on all hands-on time; 0 is 1
	Lost    int     // coming sessions that fall out, a running one included
}

// Ordered is the problem with its operations in the order of the answer and the
// methods filled in.
func (p Problem) Ordered(a Answer) Problem {
	p.Operations = a.Steps
	return p
}

// Kind is what a bar of the timeline is.
type Kind int

const (
	Work   Kind = iota
	Change      // changing the set-up
)

// Bar is an unbroken stretch of hands-on time.
type Bar struct {
	Step       string
	Kind       Kind
	Machine    string
	Setup      string
	Start, End time.Time
	Session    int // index into Timeline.Sessions
}

// Wait is a cure or a drying time.
type Wait struct {
	Step       string
	Start, End time.Time
}

// Timeline is a job in the calendar.
type Timeline struct {
	Sessions []Session // those with work in them
	Bars     []Bar     // in order of time, never two at once
	Waits    []Wait
	Order    []string // steps in the order they are begun
	Finish   time.Time
	Ready    time.Time // when the last wait is over too; not before Finish
	Setups   int
	Setup    time.Duration
	Work     time.Duration
	// TooLong names steps that should be done in one go but are longer than any
	// session; they are broken off all the same.
	TooLong []string
}

// Place sets a job into the shop's hours: one pair of hands, changes of set-up
// where the order needs them, waits running through nights. When the next step
// must wait, or must not be broken off and no longer fits the session, a later
// step may be pulled forward as job.Pull allows. Errors: those of Order, and
// ErrNoSession when the hours of ten years are not enough.
func Place(job Job) (Timeline, error) {
	p, err := newPlacer(job)
	if err != nil {
		return Timeline{}, err
	}
	return p.run()
}

// FinishAt is when the job is finished if all hands-on time is scale times as long.
func FinishAt(job Job, scale float64) (time.Time, error) {
	job.Scale = scale
	t, err := Place(job)
	return t.Finish, err
}

// Chance is the share of outcomes in which the job is ready at the latest by a
// moment: scaleAt gives, for a probability, the factor on hands-on time that is
// not passed with that probability. It is evaluated at 40 equally likely outcomes.
func Chance(job Job, by time.Time, scaleAt func(p float64) float64) (float64, error) {
	const outcomes = 40
	held := 0
	for k := range outcomes {
		job.Scale = scaleAt((float64(k) + 0.5) / outcomes)
		t, err := Place(job)
		if err != nil {
			return 0, err
		}
		if !t.Ready.After(by) {
			held++
		}
	}
	return float64(held) / outcomes, nil
}

// Tonight is what falls into the session that runs at a moment or comes next:
// its bars and the waits that begin in it. False when no work is left.
func (t Timeline) Tonight(at time.Time) (Session, []Bar, []Wait, bool) {
	for i, s := range t.Sessions {
		if !s.End.After(at) {
			continue
		}
		var bars []Bar
		for _, b := range t.Bars {
			if b.Session == i {
				bars = append(bars, b)
			}
		}
		var waits []Wait
		for _, w := range t.Waits {
			if !w.Start.Before(s.Start) && !w.Start.After(s.End) {
				waits = append(waits, w)
			}
		}
		return s, bars, waits, true
	}
	return Session{}, nil, nil, false
}

func (j Job) scaled(d time.Duration) int64 {
	if j.Scale == 0 || j.Scale == 1 {
		return int64(d)
	}
	return int64(math.Round(float64(d) * j.Scale))
}

// placer sets steps one after another.
type placer struct {
	job   Job
	ops   []Operation
	net   *network
	clock *clock

	machine []int // by operation, -1 without a set-up
	class   []int
	names   []string
	classes [][]string
	cost    [][][]int64
	held    []int

	time   []int64 // by operation
	end    []int64 // when done, -1 before
	rest   []int   // operations not begun, in order
	now    cursor
	out    Timeline
	shifts map[int]int // session of the clock to session of the timeline
}

func newPlacer(job Job) (*placer, error) {
	net, err := connect(job.Problem.Operations, job.Problem.Pinned)
	if err != nil {
		return nil, err
	}
	if err := job.Week.Validate(); err != nil {
		return nil, err
	}
	p := &placer{job: job, ops: job.Problem.Operations, net: net, clock: newClock(job.Week, job.Start, job.Lost), shifts: map[int]int{}}
	n := len(p.ops)
	p.machine, p.class, p.time, p.end = make([]int, n), make([]int, n), make([]int64, n), make([]int64, n)
	for _, op := range p.ops { // machines by name, classes by appearance, as in shop
		if op.Setup != "" && !slices.Contains(p.names, op.Machine) {
			p.names = append(p.names, op.Machine)
		}
	}
	slices.Sort(p.names)
	for _, name := range p.names {
		p.classes = append(p.classes, []string{job.Problem.Holds[name]})
		p.held = append(p.held, 0)
	}
	for i, op := range p.ops {
		p.time[i], p.end[i] = job.scaled(op.Time), -1
		p.machine[i] = -1
		if op.Setup == "" {
			continue
		}
		m, _ := slices.BinarySearch(p.names, op.Machine)
		c := slices.Index(p.classes[m], op.Setup)
		if c < 0 {
			c = len(p.classes[m])
			p.classes[m] = append(p.classes[m], op.Setup)
		}
		p.machine[i], p.class[i] = m, c
	}
	for m, classes := range p.classes {
		cost := make([][]int64, len(classes))
		for a := range cost {
			cost[a] = make([]int64, len(classes))
			for b := range cost[a] {
				if a != b {
					cost[a][b] = job.scaled(job.Problem.change(p.names[m], classes[a], classes[b]))
				}
				if cost[a][b] < 0 {
					return nil, ErrTime
				}
			}
		}
		p.cost = append(p.cost, cost)
	}
	chains, seq, _, err := net.sort(p.ops)
	if err != nil {
		return nil, err
	}
	for _, c := range seq {
		p.rest = append(p.rest, chains[c]...)
	}
	return p, nil
}

// change is the time to bring the machine of a step to its set-up.
func (p *placer) change(i int) int64 {
	if m := p.machine[i]; m >= 0 {
		return p.cost[m][p.held[m]][p.class[i]]
	}
	return 0
}

// ready is when everything a step needs is done and its waits are over; never
// while a predecessor has not been placed.
func (p *placer) ready(i int) int64 {
	r := p.job.Start.UnixNano()
	if t := p.ops[i].NotBefore; t.After(p.job.Start) {
		r = t.UnixNano()
	}
	for _, j := range p.net.before[i] {
		if p.end[j] < 0 {
			return never
		}
		r = max(r, p.end[j])
	}
	for _, j := range p.net.waits[i] {
		r = max(r, p.end[j]+int64(p.ops[j].Wait))
	}
	return r
}

func (p *placer) run() (Timeline, error) {
	p.now.t = p.job.Start.UnixNano()
	last := -1
	for len(p.rest) > 0 && !p.clock.out {
		if last >= 0 && p.net.next[last] >= 0 { // locked: nothing may come between
			last = p.net.next[last]
			p.put(last, p.ready(last))
			continue
		}
		i, wake := p.pick()
		if i >= 0 {
			p.put(i, p.ready(i))
			last = i
			continue
		}
		last = -1
		p.now = p.clock.open(cursor{p.now.session, wake})
	}
	if p.clock.out {
		return Timeline{}, ErrNoSession
	}
	return p.finish(), nil
}

// pick chooses the step to do next, or says until when nothing can be done.
func (p *placer) pick() (int, int64) {
	first := p.rest[0]
	now := p.clock.open(p.now)
	if p.time[first] == 0 && p.change(first) == 0 && p.ready(first) <= p.now.t {
		return first, 0
	}
	wake := never
	for k, i := range p.rest {
		if k > 0 && p.net.prev[i] >= 0 {
			continue
		}
		r := p.ready(i)
		if k > 0 && (r == never || p.job.Pull == PullNone) {
			continue
		}
		if r <= now.t {
			if p.fits(i, now) && (k == 0 || p.mayPull(k)) {
				return i, 0
			}
			continue
		}
		if k == 0 || p.mayPull(k) {
			wake = min(wake, r)
		}
	}
	end := p.clock.at(now.session).end
	if wake < end {
		return -1, wake
	}
	if p.ready(first) <= now.t { // it only lacks room: its set-up may be made tonight
		return first, 0
	}
	return -1, min(wake, max(end, now.t))
}

// fits says whether a step may be begun now: one that must not be broken off
// needs room in the session for itself and its change.
func (p *placer) fits(i int, now cursor) bool {
	if !p.ops[i].Whole || p.change(i)+p.time[i] <= p.clock.left(now) {
		return true
	}
	_, ever := p.clock.fit(now, p.time[i])
	return !ever
}

// mayPull says whether the step at place k of the rest (with those locked
// behind it) may come first without adding set-up time.
func (p *placer) mayPull(k int) bool {
	if p.job.Pull == PullAny {
		return true
	}
	chain := []int{p.rest[k]}
	for j := p.net.next[p.rest[k]]; j >= 0; j = p.net.next[j] {
		chain = append(chain, j)
	}
	free := true
	for _, i := range chain {
		free = free && p.machine[i] < 0
	}
	if free {
		return true
	}
	stay := p.rest
	moved := append(chain, slices.DeleteFunc(slices.Clone(stay), func(i int) bool { return slices.Contains(chain, i) })...)
	return p.changes(moved) <= p.changes(stay)
}

// changes is the set-up time of steps in order from now on.
func (p *placer) changes(order []int) int64 {
	var buf [maxMachines]int
	held := append(buf[:0], p.held...)
	var sum int64
	for _, i := range order {
		if m := p.machine[i]; m >= 0 {
			sum += p.cost[m][held[m]][p.class[i]]
			held[m] = p.class[i]
		}
	}
	return sum
}

// lay finds the place of one step from a moment on: its change of set-up, then
// the step. Pieces are told to see when it is not nil. The last result says that
// a step that should not be broken off had to be.
func (p *placer) lay(at cursor, i int, change, ready int64, see func(kind Kind, session int, start, end int64)) (cursor, bool) {
	at.t = max(at.t, ready)
	tell := func(kind Kind) func(int, int64, int64) {
		if see == nil {
			return nil
		}
		return func(session int, start, end int64) { see(kind, session, start, end) }
	}
	whole := p.ops[i].Whole && p.time[i] > 0
	tooLong := false
	if change > 0 {
		at = p.clock.spend(at, change, tell(Change))
	}
	if whole {
		fresh, ok := p.clock.fit(at, p.time[i])
		if ok {
			at = fresh
		}
		tooLong = !ok
	}
	return p.clock.spend(at, p.time[i], tell(Work)), tooLong
}

// put sets one step into the calendar.
func (p *placer) put(i int, ready int64) {
	op := p.ops[i]
	change := p.change(i)
	if m := p.machine[i]; m >= 0 && p.held[m] != p.class[i] {
		p.held[m] = p.class[i]
		p.out.Setups++
		p.out.Setup += time.Duration(change)
	}
	at, tooLong := p.lay(p.now, i, change, ready, func(kind Kind, session int, start, end int64) { p.bar(i, kind, session, start, end) })
	if tooLong {
		p.out.TooLong = append(p.out.TooLong, op.ID)
	}
	p.out.Work += time.Duration(p.time[i])
	p.end[i] = at.t
	p.now = at
	p.out.Order = append(p.out.Order, op.ID)
	k := slices.Index(p.rest, i)
	p.rest = slices.Delete(p.rest, k, k+1)
	if op.Wait > 0 {
		p.out.Waits = append(p.out.Waits, Wait{op.ID, p.clock.time(at.t), p.clock.time(at.t + int64(op.Wait))})
	}
}

func (p *placer) bar(i int, kind Kind, session int, start, end int64) {
	at, ok := p.shifts[session]
	if !ok {
		at = len(p.out.Sessions)
		p.shifts[session] = at
		s := p.clock.at(session)
		p.out.Sessions = append(p.out.Sessions, Session{p.clock.time(s.start), p.clock.time(s.end)})
	}
	op := p.ops[i]
	p.out.Bars = append(p.out.Bars, Bar{Step: op.ID, Kind: kind, Machine: op.Machine, Setup: op.Setup, Start: p.clock.time(start), End: p.clock.time(end), Session: at})
}

func (p *placer) finish() Timeline {
	t := p.out
	t.Finish = p.job.Start
	if n := len(t.Bars); n > 0 {
		t.Finish = t.Bars[n-1].End
	}
	t.Ready = t.Finish
	for _, w := range t.Waits {
		if w.End.After(t.Ready) {
			t.Ready = w.End
		}
	}
	return t
}
