package glue

import (
	"time"

	"pilewright/plan/measure"
)

// Group is one smaller glue-up: rows From to To, counted from 1, with the clamps
// that it wants.
type Group struct {
	From, To int
	LayUp    time.Duration
	Needed   int
	Spacing  measure.Length
}

// stages parts a panel into the fewest groups of rows, each laid up within the
// open time and pressed by clamps of the shop that open wide enough, and last the
// joining of the groups; as equal in rows as can be. Groups that are themselves
// too many to join at once are joined in groups again. A narrow group is pressed
// by shorter clamps, and joined groups press wider apart than single rows. ok is
// false where even two rows want more time or clamps.
func (p Panel) stages(shop []Clamp, open time.Duration) (groups []Group, ok bool) {
	return p.join(func(g Group) bool {
		return g.LayUp <= open && len(wideEnough(shop, p.across(g.From, g.To)+2*p.Caul)) >= g.Needed
	}, 0)
}

// inTime is stages with so many clamps, wide enough or not. Where even two rows
// take longer they are glued in pairs all the same, and the time says by how much.
func (p Panel) inTime(clamps int, open time.Duration) (groups []Group, ok bool) {
	return p.join(func(g Group) bool { return g.LayUp <= open }, clamps)
}

// Split is inTime for the number of clamps.
func Split(p Panel, clamps int, open time.Duration) (groups []Group, ok bool) {
	return p.inTime(clamps, open)
}

func (p Panel) across(from, to int) (w measure.Length) {
	for _, r := range p.Rows[from-1 : to] {
		w += r
	}
	return w
}

// join glues the rows of every bed, then the beds. clamps is how many are used, 0
// for as many as each group wants.
func (p Panel) join(fits func(Group) bool, clamps int) (groups []Group, ok bool) {
	beds := p.Beds
	if len(beds) == 0 {
		beds = [][2]int{{1, len(p.Rows)}}
	}
	ok = true
	ends := []int{0}
	for _, b := range beds {
		starts := make([]int, b[1]-b[0]+2)
		for i := range starts {
			starts[i] = b[0] - 1 + i
		}
		ends = append(ends, b[1])
		if len(starts) == 2 && len(beds) > 1 {
			continue // a row by itself
		}
		ok = p.joinUnits(&groups, starts, fits, clamps) && ok
	}
	if len(beds) > 1 {
		ok = p.joinUnits(&groups, ends, fits, clamps) && ok
	}
	return groups, ok
}

// joinUnits glues units of rows, each already one, together; unit i is the rows
// after starts[i] up to starts[i+1].
func (p Panel) joinUnits(groups *[]Group, starts []int, fits func(Group) bool, clamps int) bool {
	ok := true
	for {
		n := len(starts) - 1
		group := func(from, to int) Group {
			g := Group{From: starts[from] + 1, To: starts[to]}
			outer := min(p.across(starts[from]+1, starts[from+1]), p.across(starts[to-1]+1, starts[to]))
			g.Spacing = Spacing(outer, p.Caul)
			g.Needed = Count(p.Length, g.Spacing)
			used := g.Needed
			if clamps > 0 {
				used = clamps
			}
			g.LayUp = LayUp(p.Length, to-from-1, used)
			return g
		}
		k := 1 // groups
		for ; k < (n+1)/2; k++ {
			all := true
			for i := range k {
				from, to := n*i/k, n*(i+1)/k
				all = all && (to-from < 2 || fits(group(from, to)))
			}
			if all {
				break
			}
		}
		next := []int{starts[0]}
		for i := range k {
			from, to := n*i/k, n*(i+1)/k
			if to-from > 1 || n == 1 {
				g := group(from, to)
				ok = ok && fits(g)
				*groups = append(*groups, g)
			}
			next = append(next, starts[to])
		}
		if k <= 1 {
			return ok
		}
		starts = next
	}
}
