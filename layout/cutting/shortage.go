package cutting

import (
	"context"
	"fmt"
	"slices"
	"sort"

	"pilewright/plan/measure"
)

// Lack is what the pile is short of, in a maker's words: either of Extra would
// do, and Places says why where that is plain to see.
type Lack struct {
	Extra  []Extra
	Places []Place
}

// Extra is more boards of one clear size that would make every blank: Count do,
// fewer than AtLeast cannot (proved). Exact when both agree. Count is zero when
// no number of such boards was found to do.
type Extra struct {
	Length, Width, Thickness measure.Length
	Species                  string
	AtLeast, Count           int
	Exact                    bool
}

// Place says that Wanted blanks at least Length long (and Width wide, of
// boards Thickness thick or more) are asked for while the pile has no more than
// Room places for them: Wanted - Room must come out short.
type Place struct {
	Length, Width, Thickness measure.Length
	Wanted, Room             int
}

// lackStandards are clear lengths boards are often sold in; common practice, no source.
var lackStandards = []measure.Length{900 * measure.Millimetre, 1200 * measure.Millimetre, 1500 * measure.Millimetre,
	1800 * measure.Millimetre, 2400 * measure.Millimetre, 3000 * measure.Millimetre}

// lackStandardsFeet are the same where sizes are in inches.
var lackStandardsFeet = []measure.Length{3 * measure.Foot, 4 * measure.Foot, 5 * measure.Foot, 6 * measure.Foot, 8 * measure.Foot, 10 * measure.Foot}

// Shortage says how many boards of which clear length are missing. short are the
// items that lack, with their numbers: the boards added are as long, wide and thick
// as the largest of them asks; nil means any item. lengths are the lengths on offer;
// nil means the longest of those blanks and common standard lengths. Prices and
// boards to be kept whole are not spared. A problem whose blanks can all be made
// gives no Extra. Cancelling ctx leaves what was not yet answered out.
func Shortage(ctx context.Context, p Problem, short []Shortfall, lengths []measure.Length, opt Options) (Lack, error) {
	if err := p.Validate(); err != nil {
		return Lack{}, err
	}
	work := opt.Work
	if work == 0 {
		work = 500_000_000
	}
	lack := Lack{Places: places(&p)}
	var longest, width, thick measure.Length
	species, same := "", true
	blanks := 0
	for k, it := range p.Items {
		n, w := it.Count, it.Width
		at := slices.IndexFunc(short, func(s Shortfall) bool { return s.Item == k })
		if short != nil && at < 0 {
			continue
		}
		if at >= 0 {
			n = short[at].Count
		}
		if c := it.Cover; c != nil { // strips of its narrowest width
			w = slices.Min(c.Widths)
			n = (c.need() + c.worth(w) - 1) / c.worth(w)
		}
		if n == 0 || it.OnBoard != "" {
			continue
		}
		longest, width, thick = max(longest, it.Length), max(width, w), max(thick, it.Thickness)
		if blanks > 0 && it.Species != species {
			same = false
		}
		species = it.Species
		blanks += n
	}
	if blanks == 0 {
		return lack, nil
	}
	longest = max(longest, p.MinSafeLength)
	if lengths == nil {
		lengths = append(lengths, longest)
		standards := lackStandards
		if longest%measure.SixtyFourth == 0 { // sizes are in inches
			standards = lackStandardsFeet
		}
		for _, l := range standards {
			if l > longest {
				lengths = append(lengths, l)
			}
		}
	}
	for _, l := range lengths {
		if ctx.Err() != nil {
			break
		}
		x := Extra{Length: l, Width: width, Thickness: thick}
		if same {
			x.Species = species
		}
		q := p
		q.Aims = []Aim{AimMoney}
		q.Boards = append([]Board(nil), p.Boards...)
		for k := range q.Boards {
			q.Boards[k].Price = 0
		}
		for n := range min(blanks, MaxBoards-len(p.Boards)) {
			q.Boards = append(q.Boards, Board{ID: freshID(&p, n), Length: l, Width: width, Thickness: thick, Species: x.Species, Price: 1})
		}
		s, err := Solve(ctx, q, Options{Seed: opt.Seed, Work: work})
		if err != nil {
			return Lack{}, err
		}
		made, money := s.Levels[0], s.Levels[1]
		if made.Value == 0 {
			if money.Value == 0 {
				return Lack{}, nil
			}
			x.AtLeast, x.Count, x.Exact = int(money.Bound), int(money.Value), money.Proved
		}
		lack.Extra = append(lack.Extra, x)
	}
	return lack, nil
}

func freshID(p *Problem, n int) string {
	id := fmt.Sprintf("extra %d", n+1)
	for k := range p.Boards {
		if p.Boards[k].ID == id {
			return id + " more"
		}
	}
	return id
}

// places finds, for every distinct blank length, whether more blanks at least
// that long are wanted than the pile could hold if nothing else were cut.
func places(p *Problem) []Place {
	r := reduce(p)
	var out []Place
	seen := map[[3]measure.Length]bool{}
	for _, ref := range p.Items {
		key := [3]measure.Length{ref.Length, ref.Width, ref.Thickness}
		if ref.Count == 0 || seen[key] {
			continue
		}
		seen[key] = true
		at := Place{Length: ref.Length, Width: ref.Width, Thickness: ref.Thickness}
		for _, it := range p.Items {
			if it.Length >= ref.Length && it.Width >= ref.Width && it.Thickness >= ref.Thickness {
				at.Wanted += it.Count
			}
		}
		for g := range r.groups {
			at.Room += r.room(g, &ref) * len(r.groups[g].boards)
		}
		if at.Wanted > at.Room {
			out = append(out, at)
		}
	}
	sort.SliceStable(out, func(a, b int) bool {
		return out[a].Wanted-out[a].Room > out[b].Wanted-out[b].Room || out[a].Wanted-out[a].Room == out[b].Wanted-out[b].Room && out[a].Length > out[b].Length
	})
	return out
}

// room is at most how many blanks of the reference size or larger a board of g
// can hold: rows across times places along, counting only defects that reach
// across the whole board and no blank may contain.
func (r *reduced) room(g int, ref *Item) int {
	gr := &r.groups[g]
	b := &r.p.Boards[gr.boards[0]]
	if b.Width < ref.Width || b.Thickness < ref.Thickness {
		return 0
	}
	any := false
	for n, k := range r.kinds {
		any = any || gr.allowed[n] && k.l >= r.x(ref.Length) && k.w >= r.y(ref.Width)
	}
	if !any {
		return 0
	}
	rows := (gr.w + r.kr) / max(1, r.y(ref.Width)+r.kr)
	var across []span
	for _, d := range gr.hard {
		if d.y0 <= 0 && d.y1 >= gr.w {
			across = append(across, span{d.x0, d.x1})
		}
	}
	n := 0
	for _, s := range gaps(gr.x0, gr.x1, across, r.kc) {
		n += (s.b - s.a + r.kc) / max(1, r.x(ref.Length)+r.kc)
	}
	return n * rows
}
