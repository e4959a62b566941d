package drawing

import "slices"

// apart cuts boxes that run into later ones, so that all are disjoint: a tenon
// drawn into a leg without a mortise, or members that collide, are then seen as
// they are, with the lines where their surfaces meet. Disjoint boxes stay as they
// are, in the same order.
func apart(boxes []cuboid) []cuboid {
	order := make([]int, len(boxes))
	for i := range order {
		order[i] = i
	}
	slices.SortFunc(order, func(a, b int) int { return compare(boxes[a].min[0], boxes[b].min[0]) })
	holes := map[int][]int{}
	for k, i := range order {
		for _, j := range order[k+1:] {
			if boxes[j].min[0] >= boxes[i].max[0] {
				break
			}
			if boxes[i].min[1] < boxes[j].max[1] && boxes[j].min[1] < boxes[i].max[1] &&
				boxes[i].min[2] < boxes[j].max[2] && boxes[j].min[2] < boxes[i].max[2] {
				holes[min(i, j)] = append(holes[min(i, j)], max(i, j))
			}
		}
	}
	if len(holes) == 0 {
		return boxes
	}
	out := make([]cuboid, 0, len(boxes)+4*len(holes))
	for i, c := range boxes {
		cut := make([]cuboid, len(holes[i]))
		for k, j := range holes[i] {
			cut[k] = boxes[j]
		}
		out = append(out, c.without(cut)...)
	}
	return out
}

// without gives a box less others, as disjoint boxes.
func (c cuboid) without(holes []cuboid) []cuboid {
	parts := []cuboid{c}
	for i := range holes {
		var next []cuboid
		for _, p := range parts {
			next = append(next, p.less(&holes[i])...)
		}
		parts = next
	}
	return parts
}

// less gives a box without another, as up to six boxes.
func (c cuboid) less(h *cuboid) []cuboid {
	for k := range 3 {
		if h.max[k] <= c.min[k] || c.max[k] <= h.min[k] {
			return []cuboid{c}
		}
	}
	var out []cuboid
	for k := range 3 {
		if h.min[k] > c.min[k] {
			low := c
			low.max[k] = h.min[k]
			out = append(out, low)
			c.min[k] = h.min[k]
		}
		if h.max[k] < c.max[k] {
			high := c
			high.min[k] = h.max[k]
			out = append(out, high)
			c.max[k] = h.max[k]
		}
	}
	return out
}
