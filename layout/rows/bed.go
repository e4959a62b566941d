package rows

import "pilewright/plan/measure"

// SplitForBed parts the rows of a panel wider than the planer's bed into the
// fewest groups that each pass it, to be glued and planed apart and joined
// afterwards; among those, groups as equal in width as can be. It gives for each
// group the first row and the row after its last. ok is false when a single
// row is wider than the bed. A bed of zero has no limit.
func SplitForBed(rows []Row, bed measure.Length) (groups [][2]int, ok bool) {
	n := len(rows)
	if n == 0 {
		return nil, true
	}
	if bed <= 0 {
		return [][2]int{{0, n}}, true
	}
	count := 0
	var in measure.Length
	for _, r := range rows {
		if r.Width > bed {
			return nil, false
		}
		if count == 0 || in+r.Width > bed {
			count, in = count+1, 0
		}
		in += r.Width
	}
	// The narrowest limit that still takes no more groups, by bisection on
	// widths; greedy filling under it is then as even as rows allow.
	lo, hi := measure.Length(0), bed
	for lo+1 < hi {
		if mid := lo + (hi-lo)/2; len(fillGroups(rows, mid)) <= count && widest(rows) <= mid {
			hi = mid
		} else {
			lo = mid
		}
	}
	return fillGroups(rows, hi), true
}

func widest(rows []Row) measure.Length {
	var w measure.Length
	for _, r := range rows {
		w = max(w, r.Width)
	}
	return w
}

func fillGroups(rows []Row, limit measure.Length) [][2]int {
	var out [][2]int
	var in measure.Length
	from := 0
	for i, r := range rows {
		if i > from && in+r.Width > limit {
			out = append(out, [2]int{from, i})
			from, in = i, 0
		}
		in += r.Width
	}
	return append(out, [2]int{from, len(rows)})
}
