package layout

import (
	"context"
	"slices"
	"strings"

	"pilewright/layout/guillotine"
	"pilewright/plan"
	"pilewright/plan/measure"
)

// Sheets are never planed: a blank is at most so much thinner than its sheet.
const sheetThinner = measure.Millimetre

// sheetStages is how often the direction of cutting changes on a sheet, a last
// trimming cut apart.
const sheetStages = 3

func hasSheets(job plan.CutJob) bool {
	return slices.ContainsFunc(job.Boards, func(b plan.Board) bool { return b.Sheet })
}

// sheetBlank is the numbers of one blank that are cut from sheets, and the sheets
// they may come from.
type sheetBlank struct {
	plan.Blank
	numbers []int
	sheets  []int // indices in sheetTask.sheets
	turn    bool
}

// sheetTask is a job parted in two: boards for package cutting, sheets for package
// guillotine.
type sheetTask struct {
	boards plan.CutJob // without the sheets and the blanks that go to them
	kerf   measure.Length
	sheets []plan.Board
	blanks []sheetBlank
	// Blanks that stay with the boards though a sheet would hold them too: what is
	// proved for the boards alone is then not proved for the pile.
	shared map[string]bool
}

// partSheets sends to the sheets what a sheet holds and no board does, what is of a
// kind or thickness that only sheets have, and what is locked to a sheet. Only blanks meant for
// sheets go to them: what is planed, and rows and layers, stay with the boards.
func partSheets(job plan.CutJob) *sheetTask {
	t := &sheetTask{boards: job, kerf: job.RipKerf, shared: map[string]bool{}}
	t.boards.Boards, t.boards.Blanks = nil, nil
	never := map[plan.ID]bool{}
	for _, c := range job.Choices {
		if c.Kind == plan.NeverBoard {
			never[c.Board] = true
		}
	}
	at := map[plan.ID]int{}
	for _, b := range job.Boards {
		if b.Sheet {
			at[b.ID] = len(t.sheets)
			t.sheets = append(t.sheets, b)
		} else {
			t.boards.Boards = append(t.boards.Boards, b)
		}
	}
	for _, b := range job.Blanks {
		if b.Strips != nil {
			t.boards.Blanks = append(t.boards.Blanks, b)
			continue
		}
		onBoard := map[int]plan.ID{}
		for _, c := range job.Choices {
			if c.Kind == plan.BlankOnBoard && c.Blank == b.Key && slices.ContainsFunc(job.Boards, func(o plan.Board) bool { return o.ID == c.Board }) {
				onBoard[c.Row] = c.Board
			}
		}
		kind, board := false, false
		for _, o := range t.boards.Boards {
			if !never[o.ID] && suits(o, b, job.PlaneLimit) {
				kind = true
				board = board || holds(o, b, false)
			}
		}
		var all []int
		sheet := false
		for k, o := range t.sheets {
			if !never[o.ID] && suits(o, b, 0) {
				all = append(all, k)
				sheet = sheet || holds(o, b, o.NoGrain)
			}
		}
		glued := !b.Sheet
		var free []int
		locked := map[int][]int{}
		stay := 0
		rest := b
		rest.Done = slices.Clone(b.Done)
		for n, left := 1, b.Count; left > 0; n++ {
			if slices.Contains(b.Done, n) {
				continue
			}
			left--
			on, isLocked := onBoard[n]
			k, isSheet := at[on]
			switch {
			case isLocked && isSheet:
				locked[k] = append(locked[k], n)
			case !isLocked && !glued && (sheet && !board || len(all) > 0 && !kind):
				free = append(free, n)
			default:
				stay++
				t.shared[b.Key] = t.shared[b.Key] || sheet && !isLocked && !glued
				continue
			}
			rest.Done = append(rest.Done, n)
		}
		if stay > 0 {
			rest.Count = stay
			t.boards.Blanks = append(t.boards.Blanks, rest)
		}
		if len(free) > 0 {
			t.blanks = append(t.blanks, sheetBlank{Blank: b, numbers: free, sheets: all})
		}
		for k, o := range t.sheets {
			if len(locked[k]) > 0 {
				var only []int
				if !never[o.ID] && suits(o, b, 0) {
					only = []int{k}
				}
				t.blanks = append(t.blanks, sheetBlank{Blank: b, numbers: locked[k], sheets: only})
			}
		}
	}
	return t
}

// suits reports whether a board or sheet is of the blank's kind and thickness.
func suits(o plan.Board, b plan.Blank, planeLimit measure.Length) bool {
	if b.Species != "" && !strings.EqualFold(b.Species, o.Species) {
		return false
	}
	if b.Thickness <= 0 {
		return true
	}
	off := o.Thickness - b.Thickness
	if o.Sheet {
		return off >= 0 && off <= sheetThinner
	}
	return off >= 0 && (planeLimit <= 0 || off <= planeLimit)
}

// holds reports whether the blank fits, defects apart.
func holds(o plan.Board, b plan.Blank, turn bool) bool {
	clear := o.Length - o.TrimLeft - o.TrimRight
	return clear >= b.Length && o.Width >= b.Width || turn && clear >= b.Width && o.Width >= b.Length
}

// grained settles for every blank whether it may be turned and leaves it only the
// sheets where that holds. A blank that sheets with grain hold as it lies is not
// turned, unless it is among the plain ones and a sheet without grain holds it.
// Blanks that leave that choice are told by their numbers.
func (t *sheetTask) grained(plain func(blank int) bool) (blanks []sheetBlank, open []int) {
	blanks = slices.Clone(t.blanks)
	for i := range blanks {
		b := &blanks[i]
		var noGrain []int
		grain, free := false, false
		for _, k := range b.sheets {
			o := t.sheets[k]
			if o.NoGrain {
				noGrain = append(noGrain, k)
				free = free || holds(o, b.Blank, true)
			} else {
				grain = grain || holds(o, b.Blank, false)
			}
		}
		switch {
		case !grain && !free:
			b.sheets = nil // no sheet holds it
		case !grain || free && plain(i):
			b.sheets, b.turn = noGrain, true
		}
		if grain && free {
			open = append(open, i)
		}
	}
	return blanks, open
}

// mostOpen is how many blanks are tried each way on sheets with grain and without;
// where there are more, all go the same way.
const mostOpen = 3

// bestGrain solves the sheets. Where some have grain and some not, each choice is
// tried, and nothing is proved over all of them.
func (t *sheetTask) bestGrain(ctx context.Context, work int64) (*sheetCuts, error) {
	blanks, open := t.grained(func(int) bool { return false })
	if len(open) == 0 {
		return t.solve(ctx, work, blanks)
	}
	var best *sheetCuts
	every := 1<<len(open[:min(len(open), mostOpen)]) - 1
	step := 1
	if len(open) > mostOpen {
		step = every
	}
	for choice := 0; choice <= every; choice += step {
		blanks, _ = t.grained(func(i int) bool {
			n := slices.Index(open, i)
			return n >= 0 && (choice == every || n < mostOpen && choice>>n&1 == 1)
		})
		c, err := t.solve(ctx, work/int64(every/step+1), blanks)
		if err != nil {
			return nil, err
		}
		if best == nil || c.total.less(best.total) {
			best = c
		}
	}
	best.proved = false
	return best, nil
}

// cutWithSheets solves a job that has sheets: the sheets first, then the boards.
func cutWithSheets(ctx context.Context, job plan.CutJob, better func(plan.Cuts)) (plan.Cuts, error) {
	t := partSheets(job)
	if len(t.blanks) == 0 {
		c, err := Cut(ctx, t.boards, t.passOn(nil, better))
		return t.merge(nil, c), err
	}
	work := int64(fullSheetWork)
	if job.Effort > 0 {
		work = int64(job.Effort)
	}
	if job.First {
		work = quickSheetWork
	}
	sheets, err := t.bestGrain(ctx, work)
	if err != nil {
		return plan.Cuts{}, err
	}
	if len(t.boards.Blanks) == 0 {
		return t.merge(sheets, plan.Cuts{Final: true}), nil
	}
	c, err := Cut(ctx, t.boards, t.passOn(sheets, better))
	if err != nil {
		return plan.Cuts{}, err
	}
	return t.merge(sheets, c), nil
}

func (t *sheetTask) passOn(sheets *sheetCuts, better func(plan.Cuts)) func(plan.Cuts) {
	if better == nil {
		return nil
	}
	return func(c plan.Cuts) { better(t.merge(sheets, c)) }
}

// Effort on sheets, in basic steps of package guillotine.
const (
	quickSheetWork = 20_000_000
	fullSheetWork  = 1_000_000_000
)

// sheetSteps are what sizes are rounded to, coarser where a search asks for it:
// blanks, kerf and defects grow, sheets shrink. The first leaves them as they are.
var sheetSteps = []measure.Length{1, measure.Millimetre / 10, measure.Millimetre}

func roundUp(l, step measure.Length) measure.Length { return (l + step - 1) / step * step }

func roundDown(l, step measure.Length) measure.Length { return l / step * step }

// usable is a sheet without its trims, in rounded sizes, with the defects that
// count; positions on it are from the left trim.
func usable(o plan.Board, hidden bool, step measure.Length) (guillotine.Sheet, bool) {
	s := guillotine.Sheet{Length: roundDown(o.Length-o.TrimLeft-o.TrimRight, step), Width: roundDown(o.Width, step)}
	if s.Length <= 0 || s.Width <= 0 {
		return s, false
	}
	for _, d := range o.Defects {
		if hidden && d.Kind.HiddenMayHold() {
			continue
		}
		r := defectRect(o, d)
		x0, y0 := max(roundDown(max(r.X-o.TrimLeft, 0), step), 0), roundDown(max(r.Y, 0), step)
		x1, y1 := min(roundUp(max(r.X-o.TrimLeft+r.Length, 0), step), s.Length), min(roundUp(r.Y+r.Width, step), s.Width)
		if x0 < x1 && y0 < y1 {
			s.Defects = append(s.Defects, guillotine.Rect{X: x0, Y: y0, Length: x1 - x0, Width: y1 - y0})
		}
	}
	return s, true
}

func defectRect(o plan.Board, d plan.Defect) guillotine.Rect {
	top := d.AcrossTo
	if top == 0 {
		top = o.Width
	}
	return guillotine.Rect{X: d.From, Y: d.AcrossFrom, Length: d.To - d.From, Width: top - d.AcrossFrom}
}
