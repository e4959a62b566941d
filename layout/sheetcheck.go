package layout

import (
	"fmt"
	"slices"

	"pilewright/layout/guillotine"
	"pilewright/plan"
	"pilewright/plan/measure"
)

// checkWithSheets reads a plan with sheets against its job: the boards by package
// cutting, every sheet by package guillotine in real sizes, and the numbers over
// both. Which blanks are short is what neither has.
func checkWithSheets(job plan.CutJob, c plan.Cuts) []string {
	t := partSheets(job)
	var faults []string
	sheetAt := map[plan.ID]plan.Board{}
	for _, o := range t.sheets {
		sheetAt[o.ID] = o
	}
	made, opened := map[string]bool{}, map[plan.ID]bool{}
	boards := c
	boards.Boards = nil
	for _, cb := range c.Boards {
		o, isSheet := sheetAt[cb.Board]
		if !isSheet {
			boards.Boards = append(boards.Boards, cb)
			continue
		}
		fault := func(format string, a ...any) {
			faults = append(faults, "sheet "+o.Mark+": "+fmt.Sprintf(format, a...))
		}
		if opened[o.ID] {
			fault("it is cut twice")
		}
		opened[o.ID] = true
		for _, ch := range job.Choices {
			if ch.Kind == plan.NeverBoard && ch.Board == o.ID {
				fault("it is never to be cut")
			}
		}
		for _, p := range cb.Pieces {
			if made[p.Ref()] {
				fault("blank %s number %d is cut twice", p.Blank, p.N)
			}
			made[p.Ref()] = true
		}
		for _, say := range t.checkSheet(job, o, cb) {
			fault("%s", say)
		}
	}
	// The boards have to make what the sheets don't.
	rest := t.boards
	rest.Blanks = nil
	missing := map[string]int{}
	for _, s := range c.Short {
		missing[s.Blank] += s.Count
	}
	for _, b := range job.Blanks {
		if b.Strips != nil {
			rest.Blanks = append(rest.Blanks, b)
			continue
		}
		onSheets, onBoards := 0, 0
		r := b
		r.Done = slices.Clone(b.Done)
		for n, left := 1, b.Count; left > 0; n++ {
			if slices.Contains(b.Done, n) {
				continue
			}
			left--
			if made[plan.CutPiece{Blank: b.Key, N: n}.Ref()] {
				onSheets++
				r.Done = append(r.Done, n)
			}
		}
		for _, cb := range boards.Boards {
			for _, p := range cb.Pieces {
				if p.Blank != b.Key {
					continue
				}
				onBoards++
				for _, ch := range job.Choices {
					if o, isSheet := sheetAt[ch.Board]; isSheet && ch.Kind == plan.BlankOnBoard && ch.Blank == p.Blank && ch.Row == p.N {
						faults = append(faults, fmt.Sprintf("blank %s number %d is to come from sheet %s", p.Blank, p.N, o.Mark))
					}
				}
			}
		}
		if onSheets+onBoards+missing[b.Key] != b.Count {
			faults = append(faults, fmt.Sprintf("blank %s: %d made and %d short of %d", b.Key, onSheets+onBoards, missing[b.Key], b.Count))
		}
		if r.Count = b.Count - onSheets; r.Count > 0 {
			rest.Blanks = append(rest.Blanks, r)
		}
	}
	if len(rest.Blanks) == 0 && len(boards.Boards) == 0 {
		return faults
	}
	return append(faults, CheckCuts(rest, boards)...)
}

// checkSheet reads one sheet: kinds, thickness and locks here, geometry and cuts
// by package guillotine.
func (t *sheetTask) checkSheet(job plan.CutJob, o plan.Board, cb plan.CutBoard) []string {
	var faults []string
	fault := func(format string, a ...any) { faults = append(faults, fmt.Sprintf(format, a...)) }
	s := guillotine.Sheet{Length: o.Length, Width: o.Width}
	bad := func(x, y, l, w measure.Length) {
		if l > 0 && w > 0 {
			s.Defects = append(s.Defects, guillotine.Rect{X: x, Y: y, Length: l, Width: w})
		}
	}
	bad(0, 0, o.TrimLeft, o.Width)
	bad(o.Length-o.TrimRight, 0, o.TrimRight, o.Width)
	for _, d := range o.Defects {
		if r := defectRect(o, d); !d.Kind.HiddenMayHold() {
			bad(r.X, r.Y, r.Length, r.Width)
		}
	}
	var items []guillotine.Item
	p := guillotine.Plan{Value: int64(len(cb.Pieces)), Bound: int64(len(cb.Pieces))}
	for _, c := range cb.Pieces {
		k := slices.IndexFunc(job.Blanks, func(b plan.Blank) bool { return b.Key == c.Blank })
		if k < 0 {
			fault("blank %s is not in the job", c.Blank)
			continue
		}
		b := job.Blanks[k]
		if c.N < 1 || slices.Contains(b.Done, c.N) || !wants(b, c.N) {
			fault("blank %s number %d is not in the job", c.Blank, c.N)
		}
		for _, ch := range job.Choices {
			if ch.Kind == plan.BlankOnBoard && ch.Blank == c.Blank && ch.Row == c.N && ch.Board != o.ID && slices.ContainsFunc(job.Boards, func(x plan.Board) bool { return x.ID == ch.Board }) {
				fault("blank %s number %d is to come from another board", c.Blank, c.N)
			}
		}
		if !suits(o, b, 0) {
			fault("blank %s is of another kind or thickness", c.Blank)
		}
		if !b.Sheet {
			fault("blank %s is planed, or a row or layer; those come from boards", c.Blank)
		}
		for _, d := range o.Defects {
			r := defectRect(o, d)
			if d.Kind.HiddenMayHold() && b.Grade != plan.Hidden && c.X < r.X+r.Length && r.X < c.X+c.Length && c.Y < r.Y+r.Width && r.Y < c.Y+c.Width {
				fault("blank %s lies on a defect", c.Blank)
			}
		}
		id := c.Ref()
		items = append(items, guillotine.Item{ID: id, Length: b.Length, Width: b.Width, Value: 1, Count: 1, Turn: o.NoGrain})
		p.Placed = append(p.Placed, guillotine.Placed{Item: id, Rect: guillotine.Rect{X: c.X, Y: c.Y, Length: c.Length, Width: c.Width}, Turned: c.Length != b.Length || c.Width != b.Width})
	}
	if len(faults) > 0 {
		return faults
	}
	p.Cuts, faults = sheetCutsOf(o, cb.Saws, job.RipKerf)
	if len(faults) > 0 {
		return faults
	}
	return guillotine.Check(s, items, guillotine.Options{Kerf: job.RipKerf, Stages: sheetStages}, p)
}

// wants reports whether number n is among the blanks still to be cut.
func wants(b plan.Blank, n int) bool {
	before := 0
	for _, d := range b.Done {
		if d > 0 && d < n {
			before++
		}
	}
	return n-before <= b.Count
}

// sheetCutsOf replays the cuts: every cut runs from edge to edge of a region that
// earlier cuts have left.
func sheetCutsOf(o plan.Board, saws []plan.Saw, kerf measure.Length) ([]guillotine.Cut, []string) {
	regions := []guillotine.Rect{{Length: o.Length, Width: o.Width}}
	var out []guillotine.Cut
	for n, w := range saws {
		at := slices.IndexFunc(regions, func(r guillotine.Rect) bool {
			if w.Rip {
				return r.X == w.From && r.X+r.Length == w.To && w.At > r.Y-kerf && w.At < r.Y+r.Width
			}
			return r.Y == w.From && r.Y+r.Width == w.To && w.At > r.X-kerf && w.At < r.X+r.Length
		})
		if at < 0 {
			return nil, []string{fmt.Sprintf("cut %d does not run from edge to edge", n+1)}
		}
		r := regions[at]
		near, far := r, beyond(r, w.Rip, w.At+kerf)
		if w.Rip {
			near.Width = w.At - r.Y
		} else {
			near.Length = w.At - r.X
		}
		out = append(out, guillotine.Cut{Region: r, Across: !w.Rip, At: w.At})
		regions = slices.Delete(regions, at, at+1)
		for _, r := range []guillotine.Rect{near, far} {
			if r.Length > 0 && r.Width > 0 {
				regions = append(regions, r)
			}
		}
	}
	return out, nil
}
