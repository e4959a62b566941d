package cutting

import (
	"math/big"

	"pilewright/layout/cutting/pattern"
	"pilewright/plan/measure"
)

// What is left of a board counts by its use: a leftover at least LeftoverMin
// long counts its width times the square of its length, in whole grains, so
// that one long leftover counts for more than two of half its length. A leftover
// lies behind the last piece of a clear run of the whole width, or beside all
// pieces along the upper edge of the whole usable length, where it must be as
// wide as the narrowest blank.
//
// The level AimLeftovers is the use that cutting takes from the boards it opens:
// that of the board as it lies in the pile, less that of its leftovers. The least
// loss leaves the most useful pile.

// mostUse bounds the sum of all boards' use in grains; grains are made coarser
// until it holds.
const mostUse = 1_000_000_000_000

// Grain is the length in which the use of leftovers is counted: one millimetre,
// or, for a huge pile, more.
func (p *Problem) Grain() measure.Length {
	for e := measure.Millimetre; ; e *= 2 {
		sum := new(big.Int)
		for k := range p.Boards {
			l, w := int64(p.Boards[k].Length/e), int64(p.Boards[k].Width/e)
			sum.Add(sum, new(big.Int).Mul(big.NewInt(l*w), big.NewInt(l)))
		}
		if sum.Cmp(big.NewInt(mostUse)) <= 0 {
			return e
		}
	}
}

// narrowest is the width of the narrowest blank.
func (p *Problem) narrowest() measure.Length {
	least := maxLength
	for k := range p.Items {
		it := &p.Items[k]
		if it.Cover == nil {
			least = min(least, it.Width)
			continue
		}
		for _, w := range it.Cover.Widths {
			least = min(least, w)
		}
	}
	return least
}

// use is what a clear rectangle of so many units counts as a leftover.
func (r *reduced) use(l, w int) int64 {
	if r.p.LeftoverMin == 0 || l < r.keepMin || w <= 0 {
		return 0
	}
	l, w = int(int64(l)*r.ux/r.grain), int(int64(w)*r.uy/r.grain)
	return int64(w) * int64(l) * int64(l)
}

// stripUse is use of a strip along the upper edge.
func (r *reduced) stripUse(l, w int) int64 {
	if w < r.keepWide {
		return 0
	}
	return r.use(l, w)
}

// boardUse is what a board of g counts in the pile.
func (r *reduced) boardUse(g int) int64 {
	gr := &r.groups[g]
	sum := int64(0)
	for _, s := range clearRuns(gr.x0, gr.x1, gr.all, 0) {
		sum += r.use(s.b-s.a, gr.w)
	}
	return max(sum, r.stripUse(gr.x1-gr.x0, gr.w-gr.bare))
}

// stained is how far defects that no blank of a line minds reach into a segment.
func (g *group) stained(seg int) int {
	s := g.segs[seg]
	end := s.a
	for _, d := range g.all {
		if d.x0 < s.b && d.x1 > s.a {
			end = max(end, min(d.x1, s.b))
		}
	}
	return end
}

// segUse is the use of so much length at the end of a segment of a line.
func (r *reduced) segUse(g, seg, length int) int64 {
	gr := &r.groups[g]
	return r.use(min(length, gr.segs[seg].b-gr.clean[seg]), gr.w)
}

// reach is what the pieces of a flat board reach: along, kerf included, and across.
func (r *reduced) reach(gr *group, parts []pattern.Part) (along, across int) {
	along, across = gr.x0, 0
	for _, p := range parts {
		k := &r.kinds[p.Item]
		along = max(along, int(p.X)+max(k.l, r.safe)+r.kc)
		across = max(across, int(p.Y)+k.w+r.kr)
	}
	return along, across
}

// rest is what a pattern leaves that is worth keeping (see pattern.Model.Rest).
func (r *reduced) rest(c *pattern.Column) int64 {
	gr := &r.groups[c.Group]
	if !gr.line {
		along, across := r.reach(gr, kindsOf(c.Parts))
		return max(r.endUse(gr, along), r.sideUse(gr, across))
	}
	sum := int64(0)
	for n := range gr.segs {
		sum += r.segUse(c.Group, n, gr.segs[n].b-r.taken(gr, n, c.Parts))
	}
	return sum
}

// taken is where the pieces of a segment end, the last kerf included.
func (r *reduced) taken(gr *group, seg int, parts []pattern.Part) int {
	long, short := 0, 0
	for _, p := range parts {
		if p.Seg != seg {
			continue
		}
		if l := r.kinds[p.Item].l; l < r.safe {
			short += p.N * (l + r.kc)
		} else {
			long += p.N * (l + r.kc)
		}
	}
	if short > 0 {
		short = max(short, r.safe+r.kc)
	}
	return gr.segs[seg].a + long + short
}

// endUse is the use of a flat board's right end, from a place on.
func (r *reduced) endUse(gr *group, from int) int64 {
	return r.use(gr.x1-max(from, gr.lame), gr.w)
}

// sideUse is the use of a flat board's upper strip, from a height on.
func (r *reduced) sideUse(gr *group, from int) int64 {
	return r.stripUse(gr.x1-gr.x0, gr.w-max(from, gr.bare))
}

// pieceUse is at most the use of what one piece leaves of a flat board.
func (r *reduced) pieceUse(gr *group, kind int) int64 {
	k := &r.kinds[kind]
	return max(r.endUse(gr, gr.x0+max(k.l, r.safe)+r.kc), r.sideUse(gr, k.w+r.kr))
}

// kindsOf gives the parts of a flat board with their kinds as items.
func kindsOf(parts []pattern.Part) []pattern.Part {
	out := make([]pattern.Part, len(parts))
	for n, p := range parts {
		p.Item, p.Seg = p.Seg>>1, p.Seg&1
		out[n] = p
	}
	return out
}

// polish lays the blanks of every flat board anew, for the most useful leftover,
// and keeps what is better.
func (s *solver) polish(p *pattern.Plan, m *pattern.Model) *pattern.Plan {
	o := m.Oracle()
	o.(pattern.Keeper).Keep(0)
	pi, limit := make([]int64, len(m.Demand)), make([]int, len(m.Demand))
	want, value := make([]bool, len(m.Groups)), make([]int64, len(m.Groups))
	out := &pattern.Plan{Short: p.Short}
	for _, u := range p.Uses {
		g := u.Col.Group
		if !s.r.groups[g].line && s.ctx.Err() == nil {
			clear(pi)
			clear(limit)
			for k, i := range u.Col.Items { // every blank is worth more than any leftover
				pi[i], limit[i] = s.r.boardUse(g)+1, u.Col.N[k]
			}
			want[g] = true
			o.Price(pi, limit, want, value)
			want[g] = false
			if c := o.Pattern(g); c != nil && c.Holds(u.Col) && s.r.rest(c) > s.r.rest(u.Col) {
				u.Col = c
			}
		}
		out.Uses = append(out.Uses, u)
	}
	s.work += o.Work()
	out.Reprice(m)
	return out
}
