package plan

import (
	"cmp"
	"slices"
	"strings"

	"pilewright/plan/measure"
)

// likeInWidth gives the places that put pieces of one width together in each row, so
// that none is made narrower: the thickest with the thickest, rows the thickest first,
// those that the maker placed in their places.
func likeInWidth(job PanelJob, sp SizedPart) []RowLock {
	type line struct {
		strips []Strip
		thin   measure.Length
		row    int // that the maker wants; zero = any
	}
	type spot struct {
		width measure.Length
		nth   int
	}
	lines, count := map[spot]*line{}, map[[2]int64]int{}
	var order []*line
	for _, s := range job.Strips {
		key, _, _ := strings.Cut(s.ID, "#")
		r, place, ok := readMixed(key, sp.ID)
		if !ok {
			return job.Locks
		}
		n := [2]int64{int64(r.width), int64(place)}
		at := spot{r.width, count[n]}
		count[n]++
		if lines[at] == nil {
			lines[at] = &line{thin: s.Thickness}
			order = append(order, lines[at])
		}
		l := lines[at]
		l.strips, l.thin = append(l.strips, s), min(l.thin, s.Thickness)
		for _, k := range job.Locks {
			if k.Strip == s.ID {
				l.row = k.Row
			}
		}
	}
	slices.SortStableFunc(order, func(a, b *line) int { return cmp.Compare(b.thin, a.thin) })
	rows := make([]*line, len(order))
	put := func(l *line, row int) bool {
		if row < 1 || row > len(rows) || rows[row-1] != nil {
			return false
		}
		rows[row-1] = l
		return true
	}
	free := slices.DeleteFunc(order, func(l *line) bool { return put(l, l.row) })
	for _, l := range free {
		put(l, 1+slices.Index(rows, nil))
	}
	locked := slices.Clone(job.Locks)
	for i, l := range rows {
		for _, s := range l.strips {
			if !slices.ContainsFunc(job.Locks, func(k RowLock) bool { return k.Strip == s.ID }) {
				locked = append(locked, RowLock{Strip: s.ID, Row: i + 1, AnyFace: true})
			}
		}
	}
	return locked
}

// inFewerBeds puts rows of several widths in an order that takes fewer glue-ups where
// the panel is wider than the planer, as long as every rule holds and no more is
// planed away; that weighs more than good pieces in the outer rows. The widest row goes
// first, each to the first glue-up that has room (first fit decreasing). Rows
// that the maker placed stay.
func (m *making) inFewerBeds(p Panel, job PanelJob) Panel {
	planer, ok := m.plan.Project.Shop.Machine("planer")
	if !ok || planer.MaxWidth == 0 || p.Width <= planer.MaxWidth || len(p.Faults) > 0 || len(job.Locks) > 0 {
		return p
	}
	rows := slices.Clone(p.Rows)
	slices.SortStableFunc(rows, func(a, b PanelRow) int { return cmp.Compare(b.Width, a.Width) })
	var beds [][]PanelRow
	var room []measure.Length
	for _, r := range rows {
		i := slices.IndexFunc(room, func(left measure.Length) bool { return left >= r.Width })
		if i < 0 {
			i, beds, room = len(beds), append(beds, nil), append(room, planer.MaxWidth)
		}
		beds[i], room[i] = append(beds[i], r), room[i]-r.Width
	}
	if len(beds) >= len(evenBeds(p.Rows, planer.MaxWidth)) {
		return p
	}
	for i, r := range slices.Concat(beds...) {
		for _, q := range r.Pieces {
			job.Locks = append(job.Locks, RowLock{Strip: q.Strip, Row: i + 1, AnyFace: true})
		}
	}
	q, err := m.tools.Compose(m.untilDone(), job)
	if err != nil || len(q.Faults) > 0 || len(q.Rows) != len(p.Rows) || q.Planed.GreaterThan(p.Planed) || q.EndJoints > p.EndJoints {
		return p
	}
	q.Bound, q.Proved = p.Bound, p.Proved
	return q
}
