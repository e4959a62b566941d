package solid

// Blocked tells, per direction, whether body a moved that way for ever would
// hit body b; bodies that only slide along each other do not hit. None is never
// blocked. Bodies that overlap block each other every way.
func Blocked(a, b Solid) (hits [MinusZ + 1]bool) {
	ba, bb := a.Bounds(), b.Bounds()
	for k := range 3 {
		u, v := (k+1)%3, (k+2)%3
		if ba.Min[u] >= bb.Max[u] || bb.Min[u] >= ba.Max[u] || ba.Min[v] >= bb.Max[v] || bb.Min[v] >= ba.Max[v] {
			continue // they pass each other
		}
		up, down := Along(k, true), Along(k, false)
		mayUp, mayDown := bb.Max[k] > ba.Min[k], bb.Min[k] < ba.Max[k]
		few, many, swapped := a.slabs, b.slabs, false
		if len(few) > len(many) {
			few, many, swapped = many, few, true
		}
	search:
		for _, x := range few {
			lane := x // x's way, from one end of the other body to the other
			lane.Min[k], lane.Max[k] = min(ba.Min[k], bb.Min[k]), max(ba.Max[k], bb.Max[k])
			for _, y := range near(many, lane) {
				if x.Min[u] >= y.Max[u] || y.Min[u] >= x.Max[u] || x.Min[v] >= y.Max[v] || y.Min[v] >= x.Max[v] {
					continue
				}
				p, q := x, y
				if swapped {
					p, q = y, x
				}
				hits[up] = hits[up] || q.Max[k] > p.Min[k]
				hits[down] = hits[down] || q.Min[k] < p.Max[k]
				if hits[up] == mayUp && hits[down] == mayDown {
					break search
				}
			}
		}
	}
	return hits
}
