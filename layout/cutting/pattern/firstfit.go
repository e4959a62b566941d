package pattern

import "sort"

// firstFit cuts the longest blanks first, each from the first board begun that
// has room, else from the next board that is long enough, cheapest for its
// length first: a plan in no time, where one is found at all. It is the first
// answer for sizes so fine that the better ones take seconds. Nil when blanks
// are left over that may not be.
func (o *lineOracle) firstFit(m *Model, demand, supply []int) *Plan {
	if o.l.Safe > 0 {
		return nil
	}
	type run struct{ board, seg, room int }
	type board struct {
		group int
		parts []Part
	}
	order := make([]int, 0, len(m.Groups))
	length := make([]int, len(m.Groups))
	for g, segs := range o.l.Segs {
		for _, s := range segs {
			length[g] += s
		}
		if length[g] > 0 && supply[g] > 0 {
			order = append(order, g)
		}
	}
	sort.SliceStable(order, func(a, b int) bool {
		g, h := order[a], order[b]
		return float64(m.Groups[g].Cost)*float64(length[h]) < float64(m.Groups[h].Cost)*float64(length[g])
	})
	items := make([]int, 0, len(demand))
	for i, d := range demand {
		if d > 0 {
			items = append(items, i)
		}
	}
	sort.SliceStable(items, func(a, b int) bool { return o.l.Size[items[a]] > o.l.Size[items[b]] })
	avail := append([]int(nil), supply...)
	budget := append([]int64(nil), m.Budgets...)
	var boards []board
	var runs []run
	fits := func(g, i int) bool {
		if avail[g] == 0 || !o.allowed(o.class(g), i) {
			return false
		}
		for b, w := range m.Groups[g].Weight {
			if w > budget[b] {
				return false
			}
		}
		for _, s := range o.l.Segs[g] {
			if s >= o.l.Size[i] {
				return true
			}
		}
		return false
	}
	p := &Plan{Short: make([]int, len(demand))}
	for _, i := range items {
		size, left, from := o.l.Size[i], demand[i], 0
		for left > 0 {
			for ; from < len(runs) && left > 0; from++ {
				r := &runs[from]
				n := min(left, r.room/size)
				if n <= 0 || !o.allowed(o.class(boards[r.board].group), i) {
					continue
				}
				r.room -= n * size
				left -= n
				at := &boards[r.board]
				at.parts = append(at.parts, Part{Item: i, N: n, Seg: r.seg})
			}
			if left == 0 {
				break
			}
			next := -1
			for _, g := range order {
				if fits(g, i) {
					next = g
					break
				}
			}
			if next < 0 {
				break
			}
			avail[next]--
			for b, w := range m.Groups[next].Weight {
				budget[b] -= w
			}
			for s, room := range o.l.Segs[next] {
				runs = append(runs, run{len(boards), s, room})
			}
			boards = append(boards, board{group: next})
		}
		if p.Short[i] = left; left > 0 && m.Short == nil {
			return nil
		}
	}
	for _, b := range boards {
		if len(b.parts) > 0 {
			p.Uses = append(p.Uses, Use{newColumn(b.group, b.parts), 1})
		}
	}
	p.price(m)
	return p
}

// fine reports that boards are so long in units that one filling takes long.
func (o *lineOracle) fine() bool {
	for _, c := range o.maxCap {
		if c > 4*denseMax {
			return true
		}
	}
	return false
}
