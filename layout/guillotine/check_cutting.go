package guillotine

import "fmt"

// CheckCutting reads a cutting against the rules: every sheet by Check, every
// item there as often as wanted, no kind of sheet used beyond its supply, the
// cost as stated.
func CheckCutting(stock []Stock, items []Item, opt Options, c Cutting) []string {
	var out []string
	byID := map[string]Stock{}
	each := int64(1)
	for _, s := range stock {
		byID[s.ID] = s
		if s.Price != 0 {
			each = 0
		}
	}
	got, sheets := map[string]int{}, map[string]int{}
	var cost int64
	for n, s := range c.Sheets {
		k, known := byID[s.Stock]
		if sheets[s.Stock]++; !known || k.Supply > 0 && sheets[s.Stock] > k.Supply {
			out = append(out, fmt.Sprintf("sheet %d: none of %s left", n+1, s.Stock))
		}
		cost += k.Price + each
		wanted := append([]Item(nil), items...)
		for i := range wanted {
			wanted[i].Count = max(wanted[i].Count, 1)
		}
		for _, fault := range Check(k.Sheet, wanted, opt, s.Plan) {
			out = append(out, fmt.Sprintf("sheet %d: %s", n+1, fault))
		}
		for _, q := range s.Plan.Placed {
			got[q.Item]++
		}
	}
	for _, i := range items {
		if got[i.ID] != max(i.Count, 1) {
			out = append(out, fmt.Sprintf("%s is there %d times, wanted %d", i.ID, got[i.ID], max(i.Count, 1)))
		}
	}
	if cost != c.Cost || c.Bound > c.Cost {
		out = append(out, fmt.Sprintf("the cost is %d, stated as %d with bound %d", cost, c.Cost, c.Bound))
	}
	return out
}
