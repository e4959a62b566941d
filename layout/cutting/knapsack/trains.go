package knapsack

// Trains fills lengths when pieces shorter than Safe may only leave the saw
// together: all short pieces of a filling form one train, with waste if need be,
// at least Safe long. Kerf is the kerf contained in every size and capacity.
type Trains struct {
	Safe, Kerf  int
	long, short Filler
	dense       [2]Table
	sparse      [2]List
	items       [2][]Item
	index       [2][]int
	n           int
	best        []int64
	split       []int32 // room of the train, 0: none
	known       []bool
	work        int64
}

// Fill implements Filler.
func (t *Trains) Fill(max int, items []Item) {
	t.n = len(items)
	for s := range 2 {
		t.items[s], t.index[s] = t.items[s][:0], t.index[s][:0]
	}
	for k, it := range items {
		s := 0
		if it.Size-t.Kerf < t.Safe {
			s = 1
		}
		t.items[s] = append(t.items[s], it)
		t.index[s] = append(t.index[s], k)
	}
	t.long, t.short = &t.dense[0], &t.dense[1]
	if max > 25_000 {
		t.long, t.short = &t.sparse[0], &t.sparse[1]
	}
	t.long.Fill(max, t.items[0])
	t.short.Fill(max, t.items[1])
	if cap(t.best) <= max {
		t.best, t.split, t.known = make([]int64, max+1), make([]int32, max+1), make([]bool, max+1)
	}
	t.known = t.known[:cap(t.known)]
	clear(t.known)
}

func (t *Trains) at(c int) {
	if t.known[c] {
		return
	}
	t.known[c] = true
	best, split := t.long.Best(c), 0
	if len(t.items[1]) > 0 {
		for p := c - t.Safe - t.Kerf; p >= 0; p-- {
			if v := t.long.Best(p) + t.short.Best(c-p); v > best {
				best, split = v, c-p
			}
		}
		t.work += int64(c)
	}
	t.best[c], t.split[c] = best, int32(split)
}

// Best implements Filler.
func (t *Trains) Best(c int) int64 {
	if c <= 0 {
		return 0
	}
	t.at(c)
	return t.best[c]
}

// Take implements Filler.
func (t *Trains) Take(c int, counts []int) {
	if c <= 0 {
		return
	}
	t.at(c)
	take := func(f Filler, s, c int) {
		part := make([]int, len(t.index[s]))
		f.Take(c, part)
		for k, n := range part {
			counts[t.index[s][k]] += n
		}
	}
	room := int(t.split[c])
	take(t.long, 0, c-room)
	if room > 0 {
		take(t.short, 1, room)
	}
}

// trainSteps is how many capacities are looked at where trains make each dear.
const trainSteps = 24

// Steps implements Filler. With short pieces only some capacities are looked at,
// and what lies between counts as the next.
func (t *Trains) Steps(c int, visit func(c, least int, v int64)) {
	if len(t.items[1]) == 0 {
		t.long.Steps(c, visit)
		return
	}
	least := 0
	for k := range trainSteps + 1 {
		at := c * k / trainSteps
		visit(at, least, t.Best(at))
		least = at + 1
	}
}

// Work implements Filler.
func (t *Trains) Work() int64 {
	w := t.work
	for s := range 2 {
		w += t.dense[s].Work() + t.sparse[s].Work()
	}
	return w
}
