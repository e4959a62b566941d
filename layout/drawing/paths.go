package drawing

// paths gives, for an exploded view, a line for each pair of bodies that touch
// when together and are drawn moved differently: from the middle of where they
// touch on the one to the same place on the other. together is the boxes of the
// bodies where they are when together, body after body.
func paths(solids []Solid3, together []cuboid) [][2]vec {
	of := make([][]cuboid, len(solids))
	around := make([]cuboid, len(solids))
	for i, c := range together {
		if len(of[c.solid]) == 0 {
			of[c.solid], around[c.solid] = together[i:i], c
		}
		a := &around[c.solid]
		for k := range 3 {
			a.min[k], a.max[k] = min(a.min[k], c.min[k]), max(a.max[k], c.max[k])
		}
		of[c.solid] = of[c.solid][:len(of[c.solid])+1]
	}
	var out [][2]vec
	for i := range solids {
		for j := range i {
			if solids[i].Offset == solids[j].Offset || len(of[i]) == 0 || len(of[j]) == 0 {
				continue
			}
			if _, ok := contact(&around[i], &around[j]); !ok {
				continue
			}
			var all cuboid
			any := false
			for a := range of[i] {
				for b := range of[j] {
					c, ok := contact(&of[i][a], &of[j][b])
					if !ok {
						continue
					}
					if !any {
						all, any = c, true
					}
					for k := range 3 {
						all.min[k], all.max[k] = min(all.min[k], c.min[k]), max(all.max[k], c.max[k])
					}
				}
			}
			if !any {
				continue
			}
			var from, to vec
			for k := range 3 {
				m := (all.min[k] + all.max[k]) / 2
				from[k], to[k] = m+int64(solids[j].Offset[k]), m+int64(solids[i].Offset[k])
			}
			out = append(out, [2]vec{from, to})
		}
	}
	return out
}

// contact gives what two boxes share when that is at least a face.
func contact(a, b *cuboid) (cuboid, bool) {
	c := cuboid{}
	flat := 0
	for k := range 3 {
		c.min[k], c.max[k] = max(a.min[k], b.min[k]), min(a.max[k], b.max[k])
		if c.min[k] > c.max[k] {
			return c, false
		}
		if c.min[k] == c.max[k] {
			flat++
		}
	}
	return c, flat < 2
}
