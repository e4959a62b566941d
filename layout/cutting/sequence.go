package cutting

import (
	"sort"

	"pilewright/plan/measure"
)

// stick is cuts that must follow each other on one piece of wood.
type stick struct {
	phase int
	cuts  []Cut
}

// sequence finds the cuts of all boards and puts them in shop order: boards
// ripped first go to the rip saw; then every crosscut; then the rips of
// sections and trims; then trims across. A train leaves the saw whole; the cuts
// that part it come last, after the planer. In a phase the largest setting that
// some stick waits for is done on all of them before it is changed; with every
// stick in falling order that is the least number of settings.
func (r *reduced) sequence(boards []Opened) ([]Cut, int) {
	var sticks []stick
	for n := range boards {
		if w := r.openings(&boards[n], false); len(w) > 0 {
			sticks = append(sticks, w[0].sticks...)
		}
	}
	var out []Cut
	setups, _ := new(saws).inOrder(sticks, func(c Cut) { out = append(out, c) })
	return out, setups
}

// saws puts cuts in order; its room is used again from one order to the next.
type saws struct{ wait []stick }

// inOrder hands on the cuts of sticks in shop order, and counts the settings and
// the cuts.
func (o *saws) inOrder(sticks []stick, each func(Cut)) (setups, cuts int) {
	for phase := range phases {
		wait := o.wait[:0]
		for _, s := range sticks {
			if s.phase == phase {
				wait = append(wait, s)
			}
		}
		o.wait = wait
		for len(wait) > 0 {
			var top measure.Length
			for _, s := range wait {
				top = max(top, s.cuts[0].Setting)
			}
			marks := false
			for _, s := range wait {
				marks = marks || s.cuts[0].Setting == 0
			}
			if marks {
				top = 0 // cuts to a mark come first: they make the other sticks
			}
			setups++
			rest := wait[:0]
			for _, s := range wait {
				for len(s.cuts) > 0 && s.cuts[0].Setting == top {
					if cuts++; each != nil {
						c := s.cuts[0]
						c.Setup = setups
						each(c)
					}
					s.cuts = s.cuts[1:]
				}
				if len(s.cuts) > 0 {
					rest = append(rest, s)
				}
			}
			wait = rest
		}
	}
	return setups, cuts
}

// cutter separates pieces edge to edge.
type cutter struct {
	kc, kr  measure.Length
	board   int
	stages  int  // the most turns of the cut
	parting bool // of trains, after the planer
	sticks  []stick
}

// train is the short pieces that pass the planer as one, and the room they take.
type train struct {
	room   Rect
	pieces []Piece
}

// joined gives the pieces as they leave the saw, each train as one piece, and
// the trains in the order of their numbers.
func (p *Problem) joined(pieces []Piece) (whole []Piece, trains []train) {
	at := map[int]int{}
	for _, q := range pieces {
		if q.Train == 0 {
			whole = append(whole, q)
			continue
		}
		r := Rect{q.X, q.Y, q.Length, q.Width}
		k, seen := at[q.Train]
		if !seen {
			at[q.Train] = len(trains)
			trains = append(trains, train{r, []Piece{q}})
			continue
		}
		t := &trains[k]
		x1, y1 := max(t.room.X+t.room.Length, r.X+r.Length), max(t.room.Y+t.room.Width, r.Y+r.Width)
		t.room.X, t.room.Y = min(t.room.X, r.X), min(t.room.Y, r.Y)
		t.room.Length, t.room.Width = x1-t.room.X, y1-t.room.Y
		t.pieces = append(t.pieces, q)
	}
	for k := range trains {
		t := &trains[k]
		t.room.Length = max(t.room.Length, p.MinSafeLength)
		whole = append(whole, Piece{X: t.room.X, Y: t.room.Y, Length: t.room.Length, Width: t.room.Width})
	}
	return whole, trains
}

// phases is the number of values phase and, for trains, phase + partingFrom take.
const (
	partingFrom = 5
	phases      = 2 * partingFrom
)

// phase orders stages and machines so that each machine is visited once or twice.
func phase(m Machine, stage int) int {
	switch {
	case m == Rip && stage == 1:
		return 0
	case m == Crosscut && stage <= 2:
		return 1
	case m == Rip && stage <= 3:
		return 2
	case m == Crosscut:
		return 3
	}
	return 4
}

// split cuts region so that every piece comes out, beginning with machine m. It
// reports whether that takes no more than three stages.
func (c *cutter) split(region Rect, pieces []Piece, m Machine, stage int) bool {
	if len(pieces) == 0 {
		return true
	}
	if len(pieces) == 1 && region == (Rect{pieces[0].X, pieces[0].Y, pieces[0].Length, pieces[0].Width}) {
		return true
	}
	if stage > c.stages {
		return false
	}
	lo := func(p *Piece) measure.Length { return p.X }
	size := func(p *Piece) measure.Length { return p.Length }
	start, end, kerf := region.X, region.X+region.Length, c.kc
	from, to := region.Y, region.Y+region.Width
	if m == Rip {
		lo = func(p *Piece) measure.Length { return p.Y }
		size = func(p *Piece) measure.Length { return p.Width }
		start, end, kerf = region.Y, region.Y+region.Width, c.kr
		from, to = region.X, region.X+region.Length
	}
	ps := append([]Piece(nil), pieces...)
	sort.SliceStable(ps, func(a, b int) bool { return lo(&ps[a]) < lo(&ps[b]) })
	at := start
	var cuts []Cut
	flush := func() {
		if len(cuts) > 0 {
			at := phase(m, stage)
			if c.parting {
				at += partingFrom
			}
			c.sticks = append(c.sticks, stick{at, cuts})
			cuts = nil
		}
	}
	cut := func(x, setting measure.Length) {
		cuts = append(cuts, Cut{Board: c.board, Machine: m, Stage: stage, At: x, From: from, To: to, Setting: setting, Parting: c.parting})
	}
	other := Crosscut
	if m == Crosscut {
		other = Rip
	}
	for k := 0; k < len(ps); {
		// Pieces that overlap along this axis stay together.
		a, b := lo(&ps[k]), lo(&ps[k])+size(&ps[k])
		n := k + 1
		for n < len(ps) && lo(&ps[n]) < b+kerf {
			b = max(b, lo(&ps[n])+size(&ps[n]))
			n++
		}
		if a > at {
			flush()
			cut(a-kerf, 0)
			flush()
		}
		if b < end {
			cut(b, b-a)
		}
		sub := region
		if m == Crosscut {
			sub.X, sub.Length = a, b-a
		} else {
			sub.Y, sub.Width = a, b-a
		}
		save := cuts
		cuts = nil
		if !c.split(sub, ps[k:n], other, stage+1) {
			return false
		}
		cuts = save
		at = b + kerf
		k = n
	}
	flush()
	return true
}
