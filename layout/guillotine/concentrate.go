package guillotine

import "sort"

// concentrate takes two sheets of a kind at a time and fills them anew one after
// the other; where they end up more unevenly full than before, which in the end
// empties one, the new ones stay.
func (f *fewest) concentrate(c *Cutting, work int64) {
	limit := f.work + work
	stop := func() bool { return c.Cost <= f.bound || f.work > limit || f.ctx.Err() != nil }
	for changed := true; changed && !stop(); {
		sort.SliceStable(c.Sheets, func(a, b int) bool { return filled(c.Sheets[a].Plan) < filled(c.Sheets[b].Plan) })
		changed = f.repackSome(c, stop)
	}
}

func filled(p Plan) (sum float64) {
	for _, q := range p.Placed {
		sum += area(q.Rect.Length, q.Rect.Width)
	}
	return sum
}

func (f *fewest) repackSome(c *Cutting, stop func() bool) bool {
	n := len(c.Sheets)
	for i := range n {
		for j := n - 1; j > i; j-- {
			if stop() || f.repack(c, i, j) {
				return !stop()
			}
		}
	}
	return false
}

// repack lays the items of some sheets anew; false where they stay.
func (f *fewest) repack(c *Cutting, sheets ...int) bool {
	count := map[string]int{}
	left, before := 0, 0.0
	for _, n := range sheets {
		if c.Sheets[n].Stock != c.Sheets[sheets[0]].Stock {
			return false
		}
		for _, q := range c.Sheets[n].Plan.Placed {
			count[q.Item]++
			left++
		}
		v := filled(c.Sheets[n].Plan)
		before += v * v
	}
	var stock Stock
	for _, s := range f.stock {
		if s.ID == c.Sheets[sheets[0]].Stock {
			stock = s
		}
	}
	var plans []Plan
	after := 0.0
	for range sheets {
		if left == 0 {
			break
		}
		var items []Item
		for _, it := range f.items {
			if count[it.ID] > 0 {
				it.Count, it.Value = count[it.ID], int64(area(it.Length, it.Width))+1
				items = append(items, it)
			}
		}
		opt := f.opt
		opt.Progress, opt.Work = nil, fillWork/5
		p, err := Solve(f.ctx, stock.Sheet, items, opt)
		if err != nil {
			return false
		}
		f.work += p.Work + fillWork/500
		for _, q := range p.Placed {
			count[q.Item]--
			left--
		}
		v := filled(p)
		after += v * v
		p.Value = f.worth(stock.Sheet, p)
		p.Bound, p.Status, p.Work = p.Value, "", 0
		plans = append(plans, p)
	}
	if left > 0 || len(plans) == len(sheets) && after <= before*(1+1e-9) {
		return false
	}
	for k, n := range sheets {
		if k < len(plans) {
			c.Sheets[n].Plan = plans[k]
		}
	}
	for k := len(sheets) - 1; k >= len(plans); k-- {
		c.Sheets = append(c.Sheets[:sheets[k]], c.Sheets[sheets[k]+1:]...)
		c.Cost -= stock.Price
	}
	return true
}
