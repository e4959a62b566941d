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
// sections and trims; then trims across. In a phase the largest setting that
// some stick waits for is done on all of them before it is changed; with every
// stick in falling order that is the least number of settings.
func (r *reduced) sequence(boards []Opened) ([]Cut, int) {
	var sticks []stick
	for _, o := range boards {
		b := &r.p.Boards[o.Board]
		c := &cutter{kc: r.p.CrosscutKerf, kr: r.p.RipKerf, board: o.Board, safe: r.p.MinSafeLength}
		whole := Rect{0, 0, b.Length, b.Width}
		if first := Crosscut; !c.split(whole, o.Pieces, first, 1) {
			c.sticks = nil
			c.split(whole, o.Pieces, Rip, 1)
		}
		sticks = append(sticks, c.sticks...)
	}
	var out []Cut
	setups := 0
	for phase := range 5 {
		var wait []stick
		for _, s := range sticks {
			if s.phase == phase {
				wait = append(wait, s)
			}
		}
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
					s.cuts[0].Setup = setups
					out = append(out, s.cuts[0])
					s.cuts = s.cuts[1:]
				}
				if len(s.cuts) > 0 {
					rest = append(rest, s)
				}
			}
			wait = rest
		}
	}
	return out, setups
}

// cutter separates pieces edge to edge.
type cutter struct {
	kc, kr measure.Length
	safe   measure.Length
	board  int
	sticks []stick
}

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
	if stage > 3 {
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
			c.sticks = append(c.sticks, stick{phase(m, stage), cuts})
			cuts = nil
		}
	}
	cut := func(x, setting measure.Length) {
		cuts = append(cuts, Cut{Board: c.board, Machine: m, Stage: stage, At: x, From: from, To: to, Setting: setting})
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
