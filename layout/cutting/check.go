package cutting

import (
	"fmt"
	"math/big"
	"slices"
	"sort"

	"pilewright/plan/measure"
)

// Check reads a plan against the rules, from the rectangles alone: it shares no
// geometry with the solver. No violation means the plan can be cut as drawn.
func Check(p Problem, s Solution) []Violation {
	var out []Violation
	say := func(board int, f string, args ...any) {
		out = append(out, Violation{board, fmt.Sprintf(f, args...)})
	}
	made := make([]int, len(p.Items))
	covered := make([]measure.Length, len(p.Items))
	copies := map[[2]int]bool{}
	opened := map[int]bool{}
	for _, o := range s.Boards {
		if o.Board < 0 || o.Board >= len(p.Boards) {
			say(-1, "board %d is not in the pile", o.Board)
			continue
		}
		b := &p.Boards[o.Board]
		if opened[o.Board] {
			say(o.Board, "board %s is cut twice", b.ID)
		}
		opened[o.Board] = true
		if b.Closed {
			say(o.Board, "board %s is not to be cut", b.ID)
		}
		if len(o.Pieces) == 0 {
			say(o.Board, "board %s is opened for nothing", b.ID)
		}
		for _, pc := range o.Pieces {
			if pc.Item < 0 || pc.Item >= len(p.Items) {
				say(o.Board, "piece of unknown blank %d", pc.Item)
				continue
			}
			it := &p.Items[pc.Item]
			made[pc.Item]++
			if it.Cover != nil {
				covered[pc.Item] += pc.Width - it.Cover.Joint
			}
			if key := [2]int{pc.Item, pc.Copy}; copies[key] || pc.Copy < 1 || it.Cover == nil && pc.Copy > it.Count {
				say(o.Board, "copy %d of blank %s is cut twice or was not asked for", pc.Copy, it.ID)
			} else {
				copies[key] = true
			}
			checkPiece(&p, b, it, &pc, func(f string, args ...any) { say(o.Board, f, args...) })
		}
		for n, l := range o.Leftovers {
			if l.X < b.TrimLeft || l.Y < 0 || l.X+l.Length > b.Length-b.TrimRight || l.Y+l.Width > b.Width || l.Length < p.LeftoverMin {
				say(o.Board, "a leftover of board %s lies outside it or is too short", b.ID)
			}
			if l.Width < b.Width && l.Width < p.narrowest() {
				say(o.Board, "a leftover of board %s is narrower than every blank", b.ID)
			}
			for _, d := range b.Defects {
				if to := d.AcrossTo; l.X < d.To && d.From < l.X+l.Length && (to == 0 || l.Y < to) && d.AcrossFrom < l.Y+l.Width {
					say(o.Board, "a leftover of board %s holds a defect", b.ID)
				}
			}
			for _, c := range s.Cuts {
				if c.Board == o.Board && crosses(&p, &c, l) {
					say(o.Board, "a cut at %s goes through a leftover of board %s", show(c.At), b.ID)
				}
			}
			for _, k := range o.Leftovers[:n] {
				if l.X < k.X+k.Length && k.X < l.X+l.Length && l.Y < k.Y+k.Width && k.Y < l.Y+l.Width {
					say(o.Board, "two leftovers of board %s overlap", b.ID)
				}
			}
			for _, pc := range o.Pieces {
				if l.X < pc.X+pc.Length && pc.X < l.X+l.Length && l.Y < pc.Y+pc.Width && pc.Y < l.Y+l.Width {
					say(o.Board, "a leftover of board %s lies on a piece", b.ID)
				}
			}
		}
		if !cuttable(o.Pieces, p.CrosscutKerf, p.RipKerf) {
			say(o.Board, "board %s cannot be cut edge to edge with the kerfs given", b.ID)
		}
		checkTrains(&p, &o, func(f string, args ...any) { say(o.Board, f, args...) })
	}
	short := make([]int, len(p.Items))
	for _, x := range s.Short {
		if x.Item < 0 || x.Item >= len(p.Items) || x.Count <= 0 {
			say(-1, "shortfall of unknown blank %d", x.Item)
			continue
		}
		short[x.Item] += x.Count
	}
	for n, it := range p.Items {
		if c := it.Cover; c != nil {
			if c.Rows > 0 && made[n]+short[n] < c.Rows {
				say(-1, "panel %s: %d rows made and %d short of %d", it.ID, made[n], short[n], c.Rows)
			}
			if c.Rows == 0 && covered[n]+measure.Length(short[n])*c.Unit() < c.Total {
				say(-1, "panel %s: %s covered and %s short of %s", it.ID, show(covered[n]), show(measure.Length(short[n])*c.Unit()), show(c.Total))
			}
			continue
		}
		if made[n]+short[n] != it.Count {
			say(-1, "blank %s: %d made and %d short of %d", it.ID, made[n], short[n], it.Count)
		}
	}
	for _, l := range s.Levels {
		if got := value(&p, &s, l.Aim); got.Cmp(l.Exact()) != 0 {
			say(-1, "%s: the plan has %s, not %s", l.Aim, got, l.Exact())
		}
		if l.Bound > l.Value || l.Proved != (l.Bound == l.Value) {
			say(-1, "%s: bound %d and value %d do not fit what is claimed", l.Aim, l.Bound, l.Value)
		}
	}
	return out
}

// crosses reports whether the blade passes through the inside of a rectangle.
func crosses(p *Problem, c *Cut, l Rect) bool {
	at, end, kerf, from, to := l.X, l.X+l.Length, p.CrosscutKerf, l.Y, l.Y+l.Width
	if c.Machine == Rip {
		at, end, kerf, from, to = l.Y, l.Y+l.Width, p.RipKerf, l.X, l.X+l.Length
	}
	return c.At < end && at < c.At+kerf && c.From < to && from < c.To
}

func checkPiece(p *Problem, b *Board, it *Item, pc *Piece, say func(string, ...any)) {
	if it.Cover != nil {
		if pc.Length != it.Length || !slices.Contains(it.Cover.Widths, pc.Width) {
			say("a strip of panel %s is %s x %s, which it does not take", it.ID, show(pc.Length), show(pc.Width))
		}
	} else if pc.Length != it.Length || pc.Width != it.Width {
		say("blank %s is drawn %s x %s, not %s x %s", it.ID, show(pc.Length), show(pc.Width), show(it.Length), show(it.Width))
	}
	if pc.X < b.TrimLeft || pc.X+pc.Length > b.Length-b.TrimRight || pc.Y < 0 || pc.Y+pc.Width > b.Width {
		say("blank %s lies outside the usable part of board %s", it.ID, b.ID)
	}
	for _, d := range b.Defects {
		to := d.AcrossTo
		if to == 0 {
			to = b.Width
		}
		if d.HiddenOK && it.Hidden {
			continue
		}
		if pc.X < d.To && d.From < pc.X+pc.Length && pc.Y < to && d.AcrossFrom < pc.Y+pc.Width {
			say("blank %s lies on a defect of board %s", it.ID, b.ID)
		}
	}
	if it.Species != "" && it.Species != b.Species {
		say("blank %s is to be %s, board %s is %s", it.ID, it.Species, b.ID, b.Species)
	}
	if it.Thickness > 0 && b.Thickness < it.Thickness {
		say("blank %s needs %s, board %s is %s thick", it.ID, show(it.Thickness), b.ID, show(b.Thickness))
	}
	if it.Thickness > 0 && p.MaxPlaneOff > 0 && b.Thickness-it.Thickness > p.MaxPlaneOff {
		say("blank %s: more than %s would be planed off board %s", it.ID, show(p.MaxPlaneOff), b.ID)
	}
	if it.OnBoard != "" && it.OnBoard != b.ID {
		say("blank %s is to come from board %s", it.ID, it.OnBoard)
	}
	for _, id := range it.NotOn {
		if id == b.ID {
			say("blank %s is not to come from board %s", it.ID, id)
		}
	}
}

// cuttable recovers a sequence of edge-to-edge cuts: rectangles can be
// separated when some straight cut, one kerf wide, misses all of them.
func cuttable(ps []Piece, kc, kr measure.Length) bool {
	if len(ps) <= 1 {
		return true
	}
	for along := range 2 {
		lo := func(q *Piece) measure.Length { return q.X }
		hi := func(q *Piece) measure.Length { return q.X + q.Length }
		kerf := kc
		if along == 1 {
			lo = func(q *Piece) measure.Length { return q.Y }
			hi = func(q *Piece) measure.Length { return q.Y + q.Width }
			kerf = kr
		}
		s := append([]Piece(nil), ps...)
		sort.SliceStable(s, func(a, b int) bool { return lo(&s[a]) < lo(&s[b]) })
		top := hi(&s[0])
		for k := 1; k < len(s); k++ {
			if lo(&s[k]) >= top+kerf {
				return cuttable(s[:k], kc, kr) && cuttable(s[k:], kc, kr)
			}
			top = max(top, hi(&s[k]))
		}
	}
	return false
}

// checkTrains wants every piece shorter than the safe length to be in a train
// with room for the safe length, of which nothing else takes part.
func checkTrains(p *Problem, o *Opened, say func(string, ...any)) {
	b := &p.Boards[o.Board]
	trains := map[int][]Piece{}
	for _, pc := range o.Pieces {
		if pc.Length < p.MinSafeLength {
			if pc.Train == 0 {
				say("blank %s is shorter than the safe %s and in no train", p.Items[pc.Item].ID, show(p.MinSafeLength))
				continue
			}
			trains[pc.Train] = append(trains[pc.Train], pc)
		} else if pc.Train != 0 {
			say("blank %s needs no train", p.Items[pc.Item].ID)
		}
	}
	numbers := make([]int, 0, len(trains))
	for t := range trains {
		numbers = append(numbers, t)
	}
	sort.Ints(numbers)
	for _, t := range numbers {
		ps := trains[t]
		x0, x1, y0, y1 := ps[0].X, ps[0].X+ps[0].Length, ps[0].Y, ps[0].Y+ps[0].Width
		for _, q := range ps {
			x0, x1 = min(x0, q.X), max(x1, q.X+q.Length)
			y0, y1 = min(y0, q.Y), max(y1, q.Y+q.Width)
		}
		x1 = max(x1, x0+p.MinSafeLength)
		if x1 > b.Length-b.TrimRight {
			say("train %d of board %s has no room for %s", t, b.ID, show(p.MinSafeLength))
		}
		for _, q := range o.Pieces {
			if q.Train != t && q.X < x1+p.CrosscutKerf && x0 < q.X+q.Length+p.CrosscutKerf && q.Y < y1 && y0 < q.Y+q.Width {
				say("train %d of board %s meets blank %s", t, b.ID, p.Items[q.Item].ID)
			}
		}
	}
}

// value recomputes a level.
func value(p *Problem, s *Solution, a Aim) *big.Int {
	sum := new(big.Int)
	if a == AimMade {
		for _, x := range s.Short {
			sum.Add(sum, big.NewInt(int64(x.Count)))
		}
		return sum
	}
	for _, o := range s.Boards {
		if o.Board < 0 || o.Board >= len(p.Boards) {
			continue
		}
		b := &p.Boards[o.Board]
		switch a {
		case AimKept:
			if b.KeepWhole {
				sum.Add(sum, big.NewInt(1))
			}
		case AimMoney:
			sum.Add(sum, big.NewInt(b.Price))
		case AimWood:
			sum.Add(sum, new(big.Int).Mul(big.NewInt(int64(b.Length)), big.NewInt(int64(b.Width))))
		case AimBoards:
			sum.Add(sum, big.NewInt(1))
		case AimLength:
			sum.Add(sum, big.NewInt(int64(b.Length)))
		case AimLeftovers:
			sum.Add(sum, useOf(p, b))
			for _, l := range o.Leftovers {
				sum.Sub(sum, usefulness(p, l.Length, l.Width))
			}
		}
	}
	switch a {
	case AimSetups:
		seen := map[int]bool{}
		for _, c := range s.Cuts {
			seen[c.Setup] = true
		}
		return big.NewInt(int64(len(seen)))
	case AimCuts:
		return big.NewInt(int64(len(s.Cuts)))
	}
	return sum
}

// usefulness is what a leftover counts: nothing below the least length, else its
// width times the square of its length in whole grains.
func usefulness(p *Problem, l, w measure.Length) *big.Int {
	if p.LeftoverMin == 0 || l < p.LeftoverMin || w <= 0 {
		return new(big.Int)
	}
	g := p.Grain()
	n := big.NewInt(int64(l / g))
	return n.Mul(n, n).Mul(n, big.NewInt(int64(w/g)))
}

// useOf is what a board counts while it lies in the pile: its stretches clear
// across the whole width, or the clear strip along its upper edge.
func useOf(p *Problem, b *Board) *big.Int {
	ds := append([]Defect(nil), b.Defects...)
	high := measure.Length(0)
	for k := range ds {
		if ds[k].AcrossTo == 0 {
			ds[k].AcrossTo = b.Width
		}
		high = max(high, ds[k].AcrossTo)
		// The cut that removes a narrow defect is one kerf wide.
		if ds[k].To-ds[k].From < p.CrosscutKerf {
			ds[k].To = ds[k].From + p.CrosscutKerf
			if ds[k].To > b.Length {
				ds[k].From, ds[k].To = b.Length-p.CrosscutKerf, b.Length
			}
		}
	}
	sort.SliceStable(ds, func(i, j int) bool { return ds[i].From < ds[j].From })
	sum := new(big.Int)
	at, end := b.TrimLeft, b.Length-b.TrimRight
	for _, d := range ds {
		sum.Add(sum, usefulness(p, min(d.From, end)-at, b.Width))
		at = max(at, d.To)
	}
	sum.Add(sum, usefulness(p, end-at, b.Width))
	if w := b.Width - high; w >= p.narrowest() {
		if u := usefulness(p, end-b.TrimLeft, w); u.Cmp(sum) > 0 {
			return u
		}
	}
	return sum
}
