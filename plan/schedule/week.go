package schedule

import (
	"fmt"
	"iter"
	"slices"
	"time"
)

// Date is a day of the calendar, without a time zone.
type Date struct {
	Year  int
	Month time.Month
	Day   int
}

// DateOf is the day an instant falls on in a zone.
func DateOf(t time.Time, zone *time.Location) Date {
	y, m, d := t.In(zone).Date()
	return Date{y, m, d}
}

func (d Date) String() string { return fmt.Sprintf("%04d-%02d-%02d", d.Year, int(d.Month), d.Day) }

// Next is the day after.
func (d Date) Next() Date {
	t := time.Date(d.Year, d.Month, d.Day+1, 0, 0, 0, 0, time.UTC)
	return Date{t.Year(), t.Month(), t.Day()}
}

// Weekday is its day of the week.
func (d Date) Weekday() time.Weekday {
	return time.Date(d.Year, d.Month, d.Day, 0, 0, 0, 0, time.UTC).Weekday()
}

// Window is shop time within a day, in minutes after midnight by the clock on
// the wall; To may be 1440, the end of the day.
type Window struct{ From, To int }

// Extra is a session beside the usual hours; it holds on days off as well.
type Extra struct {
	Date   Date
	Window Window
}

// Week is when the shop is open.
type Week struct {
	Hours [7][]Window // by time.Weekday, Sunday first
	Off   []Date
	Extra []Extra
	Zone  *time.Location // nil is UTC
}

// Session is one stretch of shop time.
type Session struct{ Start, End time.Time }

// Length is the real time in it, which on a day the clocks change is not the
// difference of the hours shown.
func (s Session) Length() time.Duration { return s.End.Sub(s.Start) }

// Validate says which hours cannot be meant.
func (w Week) Validate() error {
	check := func(day string, win Window) error {
		if win.From < 0 || win.To > 24*60 || win.From >= win.To {
			return fmt.Errorf("the hours of %s go from minute %d to minute %d; they must end after they begin and stay within the day", day, win.From, win.To)
		}
		return nil
	}
	for d, list := range w.Hours {
		for _, win := range list {
			if err := check(time.Weekday(d).String(), win); err != nil {
				return err
			}
		}
	}
	for _, e := range w.Extra {
		if err := check(e.Date.String(), e.Window); err != nil {
			return err
		}
	}
	return nil
}

func (w Week) zone() *time.Location {
	if w.Zone == nil {
		return time.UTC
	}
	return w.Zone
}

// windows are the hours of one day, sorted and joined where they touch.
func (w Week) windows(d Date) []Window {
	var list []Window
	if !slices.Contains(w.Off, d) {
		list = append(list, w.Hours[d.Weekday()]...)
	}
	for _, e := range w.Extra {
		if e.Date == d {
			list = append(list, e.Window)
		}
	}
	slices.SortFunc(list, func(a, b Window) int { return a.From - b.From })
	joined := list[:0]
	for _, win := range list {
		if n := len(joined); n > 0 && win.From <= joined[n-1].To {
			joined[n-1].To = max(joined[n-1].To, win.To)
			continue
		}
		joined = append(joined, win)
	}
	return joined
}

// horizon is how far ahead sessions are looked for.
const horizon = 3660 // days, ten years

// Sessions gives the sessions from an instant on, in order, for ten years; one
// that is running is given from that instant.
func (w Week) Sessions(from time.Time) iter.Seq[Session] {
	return func(yield func(Session) bool) {
		day := DateOf(from, w.zone())
		for range horizon {
			for _, s := range w.day(day, from) {
				if !yield(s) {
					return
				}
			}
			day = day.Next()
		}
	}
}

// day is what is left of the sessions of a day from an instant on.
func (w Week) day(d Date, from time.Time) []Session {
	var list []Session
	for _, win := range w.windows(d) {
		s := Session{Instant(d, win.From, w.zone()), Instant(d, win.To, w.zone())}
		if s.Start.Before(from) {
			s.Start = from.In(w.zone())
		}
		if s.End.After(s.Start) {
			list = append(list, s)
		}
	}
	return list
}

// Instant is the moment the clock on the wall shows a minute of a day. When the
// clocks go forward over it, it is the moment they do; when they go back and it
// comes twice, it is the first.
func Instant(d Date, minute int, zone *time.Location) time.Time {
	t := time.Date(d.Year, d.Month, d.Day, 0, minute, 0, 0, zone)
	want := time.Date(d.Year, d.Month, d.Day, 0, minute, 0, 0, time.UTC)
	shown := wall(t)
	begin, end := t.ZoneBounds()
	switch {
	case shown.After(want): // read with the offset before the gap
		return begin
	case shown.Before(want): // read with the offset after it
		return end
	}
	if begin.IsZero() {
		return t
	}
	_, now := t.Zone()
	_, before := begin.Add(-1).Zone()
	if first := t.Add(-time.Duration(before-now) * time.Second); before > now && first.Before(begin) {
		return first
	}
	return t
}

// wall is what the clock shows, as if it were UTC.
func wall(t time.Time) time.Time {
	_, offset := t.Zone()
	return t.UTC().Add(time.Duration(offset) * time.Second)
}

// clock is a list of sessions made as far as it is needed, in nanoseconds.
type clock struct {
	week Week
	from time.Time
	next Date // the first day not in the list
	days int  // days looked at
	lost int  // sessions still to be left out
	list []span
	out  bool // ran past the last session
}

type span struct{ start, end int64 }

const never = int64(1) << 62

func newClock(w Week, from time.Time, lost int) *clock {
	return &clock{week: w, from: from, next: DateOf(from, w.zone()), lost: lost}
}

func (c *clock) at(i int) span {
	for len(c.list) <= i {
		if c.days >= horizon {
			c.out = true
			return span{never, never + never/2}
		}
		for _, s := range c.week.day(c.next, c.from) {
			if c.lost > 0 {
				c.lost--
				continue
			}
			c.list = append(c.list, span{s.Start.UnixNano(), s.End.UnixNano()})
		}
		c.next = c.next.Next()
		c.days++
	}
	return c.list[i]
}

func (c *clock) time(t int64) time.Time { return time.Unix(0, t).In(c.week.zone()) }

// cursor is a moment with the session it lies in or before.
type cursor struct {
	session int
	t       int64
}

// open is the first moment from at on at which the shop is open with time left.
func (c *clock) open(at cursor) cursor {
	for at.t >= c.at(at.session).end && !c.out {
		at.session++
	}
	at.t = max(at.t, c.at(at.session).start)
	return at
}

// touch is like open but lets the very end of a session count.
func (c *clock) touch(at cursor) cursor {
	for at.t > c.at(at.session).end && !c.out {
		at.session++
	}
	at.t = max(at.t, c.at(at.session).start)
	return at
}

// left is the time left in the session.
func (c *clock) left(at cursor) int64 { return c.at(at.session).end - at.t }

// spend uses up d from at on, broken off at the end of sessions, and tells every piece.
func (c *clock) spend(at cursor, d int64, piece func(session int, start, end int64)) cursor {
	if d == 0 {
		at = c.touch(at)
		if piece != nil {
			piece(at.session, at.t, at.t)
		}
		return at
	}
	for d > 0 {
		at = c.open(at)
		if c.out {
			return at
		}
		part := min(d, c.left(at))
		if piece != nil {
			piece(at.session, at.t, at.t+part)
		}
		at.t += part
		d -= part
	}
	return at
}

// lookAhead is in how many sessions a place for an unbroken step is looked for.
const lookAhead = 100

// fit is the first moment from at on with d left in its session.
func (c *clock) fit(at cursor, d int64) (cursor, bool) {
	at = c.open(at)
	for range lookAhead {
		if c.out {
			break
		}
		if c.left(at) >= d {
			return at, true
		}
		at.t = c.at(at.session).end
		at = c.open(at)
	}
	return at, false
}
