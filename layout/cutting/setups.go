package cutting

import (
	"math/big"
	"slices"
	"sort"

	"pilewright/plan/measure"
)

// opening is one way to cut a board apart: the same blanks, and where they lie.
type opening struct {
	pieces []Piece
	sticks []stick
}

// mostStages is how many times the cut may turn on one board. Three are enough
// but where a leftover is cut off whole before the rest.
const mostStages = 4

// openings are the ways to cut a board apart that leave its leftovers whole, the
// plainest first: across or along first, the blanks as they lie or, with many,
// every row in falling order.
func (r *reduced) openings(o *Opened, many bool) []opening {
	b := &r.p.Boards[o.Board]
	var out []opening
	try := func(pieces []Piece, first Machine, stages int, leftovers []Rect) bool {
		c := &cutter{kc: r.p.CrosscutKerf, kr: r.p.RipKerf, board: o.Board, stages: stages}
		joined, trains := r.p.joined(pieces)
		if !c.split(Rect{0, 0, b.Length, b.Width}, joined, first, 1) {
			return false
		}
		for _, s := range c.sticks {
			for k := range s.cuts {
				for _, l := range leftovers {
					if crosses(r.p, &s.cuts[k], l) {
						return false
					}
				}
			}
		}
		c.parting = true
		for _, t := range trains {
			c.split(t.room, t.pieces, Crosscut, 1)
		}
		out = append(out, opening{pieces, c.sticks})
		return true
	}
	for _, leftovers := range [][]Rect{o.Leftovers, nil} {
		for _, stages := range []int{3, mostStages} {
			for _, first := range []Machine{Crosscut, Rip} {
				if try(o.Pieces, first, stages, leftovers) && !many {
					return out
				}
			}
			if len(out) > 0 {
				break
			}
		}
		if len(out) > 0 {
			break
		}
	}
	if sorted, ok := r.falling(o); ok {
		for _, stages := range []int{3, mostStages} {
			for _, first := range []Machine{Crosscut, Rip} {
				try(sorted, first, stages, o.Leftovers)
			}
		}
	}
	return out
}

// falling puts the sections, strips and pieces that follow each other without a
// gap in falling order of size, where no defect is in the way; ok is false when
// that changes nothing.
func (r *reduced) falling(o *Opened) (pieces []Piece, ok bool) {
	b := &r.p.Boards[o.Board]
	for k := range o.Pieces {
		if o.Pieces[k].Train > 0 {
			return nil, false // trains keep their place
		}
	}
	ps := slices.Clone(o.Pieces)
	at := make([]int, len(ps))
	for k := range at {
		at[k] = k
	}
	changed := false
	var sortAxis func(in []int, across bool, depth int)
	sortAxis = func(in []int, across bool, depth int) {
		if len(in) < 2 || depth == 0 {
			return
		}
		lo := func(k int) measure.Length { return ps[k].X }
		hi := func(k int) measure.Length { return ps[k].X + ps[k].Length }
		kerf := r.p.CrosscutKerf
		if across {
			lo = func(k int) measure.Length { return ps[k].Y }
			hi = func(k int) measure.Length { return ps[k].Y + ps[k].Width }
			kerf = r.p.RipKerf
		}
		sort.SliceStable(in, func(a, b int) bool { return lo(in[a]) < lo(in[b]) })
		type block struct {
			in   []int
			a, b measure.Length
		}
		var blocks []block
		for _, k := range in {
			if n := len(blocks); n > 0 && lo(k) < blocks[n-1].b+kerf {
				blocks[n-1].in, blocks[n-1].b = append(blocks[n-1].in, k), max(blocks[n-1].b, hi(k))
				continue
			}
			blocks = append(blocks, block{[]int{k}, lo(k), hi(k)})
		}
		for from := 0; from < len(blocks); {
			to := from + 1
			for to < len(blocks) && blocks[to].a == blocks[to-1].b+kerf {
				to++
			}
			row := slices.Clone(blocks[from:to])
			sort.SliceStable(row, func(a, b int) bool { return row[a].b-row[a].a > row[b].b-row[b].a })
			was := slices.Clone(ps)
			moved, x := false, blocks[from].a
			for _, w := range row {
				for _, k := range w.in {
					if across {
						ps[k].Y += x - w.a
					} else {
						ps[k].X += x - w.a
					}
				}
				moved = moved || x != w.a
				x += w.b - w.a + kerf
			}
			if moved && !r.clear(b, ps) {
				ps, moved = was, false
			}
			changed = changed || moved
			from = to
		}
		for _, w := range blocks {
			sortAxis(w.in, !across, depth-1)
		}
	}
	sortAxis(at, false, mostStages)
	sortAxis(at, true, mostStages)
	return ps, changed
}

// clear reports whether no piece lies on a defect it may not hold.
func (r *reduced) clear(b *Board, ps []Piece) bool {
	good := true
	for k := range ps {
		checkPiece(r.p, b, &r.p.Items[ps[k].Item], &ps[k], func(string, ...any) { good = false })
	}
	return good
}

// tidyCuts bounds the search for fewer set-ups, in cuts looked at.
const tidyCuts = 3_000_000

// tidy looks for the fewest set-ups, then the fewest cuts, with the same blanks
// from the same boards and the same leftovers: one board's way of cutting is
// changed at a time, from all boards begun across, or along, or as they are.
func (r *reduced) tidy(sol *Solution, over func() bool) {
	if len(sol.Boards) == 0 {
		return
	}
	ways := make([][]opening, len(sol.Boards))
	cuts := 0
	for n := range sol.Boards {
		ways[n] = r.openings(&sol.Boards[n], true)
		if len(ways[n]) == 0 || over() {
			return
		}
		cuts += len(sol.Boards[n].Pieces) * 2
	}
	pick := make([]int, len(ways))
	var order saws
	var sticks []stick
	picked := func(pick []int) []stick {
		sticks = sticks[:0]
		for k, w := range ways {
			sticks = append(sticks, w[pick[k]].sticks...)
		}
		return sticks
	}
	count := func() (setups, n int) { return order.inOrder(picked(pick), nil) }
	work := 0
	bestSetups, bestCuts := count()
	best := slices.Clone(pick)
	for _, start := range []func(w []opening) int{
		func([]opening) int { return 0 },
		func(w []opening) int { return firstWith(w, Crosscut) },
		func(w []opening) int { return firstWith(w, Rip) },
	} {
		for k := range ways {
			pick[k] = start(ways[k])
		}
		setups, n := count()
		for better := true; better; {
			better = false
			for k := range ways {
				for w := range ways[k] {
					if work += cuts; work > tidyCuts || over() {
						better = false
						break
					}
					was := pick[k]
					pick[k] = w
					if s, c := count(); s < setups || s == setups && c < n {
						setups, n, better = s, c, true
						continue
					}
					pick[k] = was
				}
			}
		}
		if setups < bestSetups || setups == bestSetups && n < bestCuts {
			bestSetups, bestCuts = setups, n
			best = slices.Clone(pick)
		}
	}
	for k, w := range ways {
		sol.Boards[k].Pieces = w[best[k]].pieces
	}
	sol.Cuts = sol.Cuts[:0]
	sol.Setups, _ = order.inOrder(picked(best), func(c Cut) { sol.Cuts = append(sol.Cuts, c) })
}

// firstWith is the first way that begins on a machine.
func firstWith(w []opening, m Machine) int {
	for k := range w {
		if len(w[k].sticks) > 0 && slices.ContainsFunc(w[k].sticks, func(s stick) bool { return s.cuts[0].Machine == m && s.cuts[0].Stage == 1 }) {
			return k
		}
	}
	return 0
}

// countLevel is the level of set-ups or cuts of a finished plan.
func (r *reduced) countLevel(a Aim, sol *Solution, levels []Level) Level {
	lv := Level{Aim: a, Unit: 1, Value: int64(sol.Setups)}
	if a == AimCuts {
		lv.Value = int64(len(sol.Cuts))
	}
	lv.Bound = min(lv.Value, leastCuts(r.p, sol, levels, a).Int64())
	lv.Proved = lv.Bound == lv.Value
	return lv
}

// leastCuts is how many set-ups or cuts no plan does without that keeps the
// levels above, by counting alone. Where blanks are short it is nothing.
//
// A size needs a stop setting of its own unless every copy of it ends where the
// wood ends anyhow: at the board's own end or edge, at the cut that takes a
// leftover off, or beside a blank that ends there too. Every cut makes two pieces of wood of one, so there are as many
// as blanks and pieces of waste, less the boards; a trimmed end, and an end or
// edge that no blank can reach exactly, is waste.
func leastCuts(p *Problem, s *Solution, levels []Level, a Aim) *big.Int {
	if len(s.Short) > 0 {
		return new(big.Int)
	}
	w := newEnds(p)
	for _, l := range levels {
		if l.Aim == AimBoards {
			w.open, w.opened = int(l.Value), max(1, int(l.Bound))
		}
	}
	if a == AimSetups {
		return big.NewInt(int64(w.settings()))
	}
	return big.NewInt(int64(w.cuts()))
}

// ends knows on which boards a blank can end where the wood ends.
type ends struct {
	p      *Problem
	open   int // boards that may be opened
	opened int // boards that are opened in any plan
	holds  [][]int
	least  measure.Length // narrowest blank
}

func newEnds(p *Problem) *ends {
	w := &ends{p: p, open: len(p.Boards), opened: 1, least: p.narrowest()}
	for k := range p.Boards {
		var in []int
		b := &p.Boards[k]
		for i := range p.Items {
			if b.holds(&p.Items[i]) {
				in = append(in, i)
			}
		}
		w.holds = append(w.holds, in)
	}
	return w
}

// holds reports whether a wanted blank goes on a board, defects apart.
func (b *Board) holds(it *Item) bool {
	return !b.Closed && it.Length <= b.Length-b.TrimLeft-b.TrimRight && it.width() <= b.Width && (it.Count > 0 || it.Cover != nil)
}

// width is that of a blank, or of the narrowest strip of a cover.
func (it *Item) width() measure.Length {
	if it.Cover != nil {
		return slices.Min(it.Cover.Widths)
	}
	return it.Width
}

// rows reports whether two blanks can lie side by side on a board, or a strip be
// left beside one so wide.
func (w *ends) rows(b *Board, width measure.Length) bool {
	return width+w.p.RipKerf+w.least <= b.Width
}

// endsAlong is at most how many blanks of an item end where a board does, or, with
// others beside them, where the wood was cut before.
func (w *ends) endsAlong(k int, it *Item) int {
	b := &w.p.Boards[k]
	switch {
	case w.rows(b, w.least):
		return w.room(b, it)
	case b.TrimRight > 0 || !w.exact(k, it.Length):
		return 0
	}
	return 1
}

// room is at most how many blanks of an item a board holds.
func (w *ends) room(b *Board, it *Item) int {
	return int((b.Width+w.p.RipKerf)/(it.width()+w.p.RipKerf)) * int((b.Length+w.p.CrosscutKerf)/(it.Length+w.p.CrosscutKerf))
}

// mostExact is the most units of a board's length that are looked through.
const mostExact = 100_000

// exact reports whether blanks, one of them so long, can fill the end of a board
// exactly, from a trimmed end or a defect on.
func (w *ends) exact(k int, last measure.Length) bool {
	b := &w.p.Boards[k]
	unit := gcdOf(int64(w.p.CrosscutKerf), int64(last))
	starts := []measure.Length{b.TrimLeft}
	for _, d := range b.Defects {
		starts = append(starts, d.To)
		if d.To-d.From < w.p.CrosscutKerf {
			return true // how it is cut out is not looked into
		}
	}
	for _, i := range w.holds[k] {
		unit = gcdOf(unit, int64(w.p.Items[i].Length))
	}
	unit = max(unit, 1)
	for _, s := range starts {
		room := b.Length - s - last
		if room < 0 || int64(room)%unit != 0 {
			continue
		}
		n := int64(room) / unit
		if n > mostExact {
			return true
		}
		reach := make([]bool, n+1)
		reach[0] = true
		for at := range n + 1 {
			if !reach[at] {
				continue
			}
			for _, i := range w.holds[k] {
				if to := at + int64(w.p.Items[i].Length+w.p.CrosscutKerf)/unit; to <= n {
					reach[to] = true
				}
			}
		}
		if reach[n] {
			return true
		}
	}
	return false
}

// endsAcross is at most how many blanks of an item end at a board's upper edge,
// or, with others beside them, where the wood was cut before.
func (w *ends) endsAcross(k int, it *Item) int {
	b := &w.p.Boards[k]
	above := slices.ContainsFunc(b.Defects, func(d Defect) bool { return d.AcrossFrom > 0 || d.AcrossTo > 0 && d.AcrossTo < b.Width })
	if it.width() != b.Width && !w.rows(b, it.width()) && !above {
		return 0
	}
	return w.room(b, it)
}

// most sums the greatest counts of as many boards as may be opened.
func (w *ends) most(counts []int) int {
	slices.Sort(counts)
	sum := 0
	for _, c := range counts[max(0, len(counts)-w.open):] {
		sum += c
	}
	return sum
}

// settings counts the lengths and widths that need a stop of their own.
func (w *ends) settings() int {
	type size struct {
		across bool
		l      measure.Length
	}
	copies, sized := map[size]int{}, map[size][]*Item{}
	for i := range w.p.Items {
		it := &w.p.Items[i]
		if it.Cover != nil {
			continue // how many strips, and how wide, is part of the plan
		}
		if it.Length >= w.p.MinSafeLength {
			copies[size{false, it.Length}] += it.Count
		}
		copies[size{true, it.Width}] += it.Count
		for _, s := range []size{{false, it.Length}, {true, it.Width}} {
			sized[s] = append(sized[s], it)
		}
	}
	n := 0
	spared := map[bool][]int{} // copies of sizes that may do without, along and across
	ends := map[bool][]int{false: make([]int, len(w.p.Boards)), true: make([]int, len(w.p.Boards))}
	for s, c := range copies {
		free := make([]int, len(w.p.Boards))
		for k := range w.p.Boards {
			for _, it := range sized[s] {
				switch {
				case !w.p.Boards[k].holds(it):
				case s.across:
					free[k] = max(free[k], w.endsAcross(k, it))
				default:
					free[k] = max(free[k], w.endsAlong(k, it))
				}
			}
		}
		for k, f := range free {
			ends[s.across][k] = max(ends[s.across][k], f)
		}
		n++
		if c <= w.most(free) {
			spared[s.across] = append(spared[s.across], c)
		}
	}
	// The sizes that do without share the ends: those of few copies go furthest.
	for across, list := range spared {
		left := w.most(ends[across])
		slices.Sort(list)
		for _, c := range list {
			if left -= c; left < 0 {
				break
			}
			n--
		}
	}
	return n
}

// cuts counts blanks and pieces of waste, less the boards.
func (w *ends) cuts() int {
	blanks := 0
	for i := range w.p.Items {
		it := &w.p.Items[i]
		if c := it.Cover; c != nil {
			most := c.worth(slices.Max(c.Widths))
			blanks += (c.need() + most - 1) / most
			continue
		}
		blanks += it.Count
	}
	var waste []int
	for k := range w.p.Boards {
		b := &w.p.Boards[k]
		if len(w.holds[k]) == 0 {
			continue
		}
		along, across := false, false
		for _, i := range w.holds[k] {
			along = along || w.endsAlong(k, &w.p.Items[i]) > 0
			across = across || w.endsAcross(k, &w.p.Items[i]) > 0
		}
		n := -1
		if b.TrimLeft > 0 {
			n++
		}
		if !along {
			n++
		}
		if !across {
			n++
		}
		waste = append(waste, n)
	}
	slices.Sort(waste)
	sum := 0
	for k, n := range waste {
		if k < w.opened || n < 0 && k < w.open {
			sum += n
		}
	}
	return max(0, blanks+sum)
}
