package schedule

import "math/bits"

// tableStates is how many states the tables of the bound may hold.
const tableStates = 100_000

// tableKey is the state of one machine when the others are left out of sight.
type tableKey struct {
	done set // of the machine's own blocks
	held uint8
}

// bound is time that changes of set-up still take whatever is done: for each
// machine what its own blocks would take if no other machine had a say. Every
// order of the whole shop is an order of each machine, so the sum is a lower bound.
func (s *shop) bound(done *set, h *held) int64 {
	var sum int64
	for m := range s.machines {
		sum += s.machineBound(m, done, h[m])
	}
	return sum
}

func (s *shop) machineBound(m int, done *set, h uint8) int64 {
	mc := &s.machines[m]
	if done.holds(&mc.mask) {
		return 0
	}
	if len(s.machines) == 1 { // the table would be the whole search
		return mc.quick(done, h)
	}
	d := done.and(&mc.mask)
	return s.alone(m, d, h)
}

// alone is the least cost of one machine's remaining blocks, by dynamic
// programming over the closed sets of its own precedence; when the tables have
// grown to their limit it falls back on the quick bound.
func (s *shop) alone(m int, done set, h uint8) int64 {
	mc := &s.machines[m]
	// Close: work what needs no change.
	if mc.metric {
		for w := range done {
			for left := mc.mask[w] &^ done[w]; left != 0; left &= left - 1 {
				k := w<<6 + bits.TrailingZeros64(left)
				n := s.needOf(k, m)
				if n.first == h && n.last == h && n.inner == 0 && done.holds(&mc.above[k]) {
					done.add(k)
				}
			}
		}
	}
	if done.holds(&mc.mask) {
		return 0
	}
	if mc.plain && h != idle && !done.meetsRest(&mc.touch[h]) {
		h = idle
	}
	key := tableKey{done, h}
	if v, ok := mc.table[key]; ok {
		return v
	}
	if s.tableMax <= 0 {
		return mc.quick(&done, h)
	}
	s.tableMax--
	if s.tableMax&255 == 0 && s.stopped != nil && s.stopped() != nil {
		s.tableMax = 0
	}
	best := int64(-1)
	var tried [4]uint64
	for w := range done {
		for left := mc.mask[w] &^ done[w]; left != 0; left &= left - 1 {
			k := w<<6 + bits.TrailingZeros64(left)
			if !done.holds(&mc.above[k]) {
				continue
			}
			n := s.needOf(k, m)
			if mc.metric && n.first == n.last && n.inner == 0 {
				if tried[n.first>>6]>>(n.first&63)&1 == 1 {
					continue
				}
				tried[n.first>>6] |= 1 << (n.first & 63)
			}
			d := done
			d.add(k)
			v := mc.change(h, n.first) + n.inner + s.alone(m, d, n.last)
			if best < 0 || v < best {
				best = v
			}
		}
	}
	mc.table[key] = best
	return best
}

func (s *shop) needOf(k, m int) *need {
	b := &s.blocks[k]
	for i := range b.needs {
		if b.needs[i].machine == m {
			return &b.needs[i]
		}
	}
	panic("schedule: block does not use the machine") // mask and needs are built together
}

// change is the cost between classes; from an idle class, which only a plain
// machine has, it is that of any other.
func (mc *machine) change(from, to uint8) int64 {
	if from == idle {
		from = 0
		if to == 0 {
			from = 1
		}
	}
	return mc.cost[from][to]
}

// quick is a bound without a table: every class still asked for and not held
// is entered at least once.
func (mc *machine) quick(done *set, h uint8) int64 {
	var in, out int64
	most := -far
	some := false
	if h != idle { // else the machine is plain and leaving has no price
		out, most = mc.out[h], mc.out[h]
	}
	for c := range mc.classes {
		if uint8(c) == h || !done.meetsRest(&mc.touch[c]) {
			continue
		}
		some = true
		in += mc.into[c]
		out += mc.out[c]
		most = max(most, mc.out[c])
	}
	if !some {
		return 0
	}
	if mc.rest != nil {
		in += mc.enter(done, h)
	}
	return in + out - most
}

// enter adds what the cheapest lawful way into every class still asked for
// costs above the prices.
func (mc *machine) enter(done *set, h uint8) int64 {
	var todo [256]uint8
	n := 0
	for c := range mc.classes {
		if uint8(c) != h && done.meetsRest(&mc.touch[c]) {
			todo[n] = uint8(c)
			n++
		}
	}
	var sum int64
	for _, c := range todo[:n] {
		low := far
		row := mc.rest[c]
		if done.holds(&mc.above[mc.first[c]]) {
			low = row[h]
		}
		for _, a := range todo[:n] {
			low = min(low, row[a])
		}
		sum += low
	}
	return sum
}

const far = int64(1) << 50 // stands for an arc that may not be taken

// price gives every class a price for entering and leaving. Where each class
// is entered once along a path (detours never pay, or every class is asked for
// once), they are the duals of the assignment problem of predecessors to
// classes: entering c from a costs at least out[a] + into[c], so the remaining
// path costs at least the sum of prices less the dearest leaving price (its last
// class is not left). Otherwise entering costs at least the cheapest way in.
func (mc *machine) price() {
	n := len(mc.classes)
	mc.into, mc.out = make([]int64, n), make([]int64, n)
	var needed []int
	for c := range n {
		if mc.touch[c] == (set{}) {
			continue
		}
		needed = append(needed, c)
		low := far
		for a := range n {
			if a != c {
				low = min(low, mc.cost[a][c])
			}
		}
		if low < far {
			mc.into[c] = low
		}
	}
	if mc.plain || !mc.metric && !mc.single {
		return
	}
	// Class 0 is where the path begins. Asked for itself it may be left twice,
	// unless the triangle rule lets the second visit join the first.
	if mc.touch[0] != (set{}) && !mc.metric {
		return
	}
	cost := make([][]int64, 0, n)
	for _, c := range needed {
		if c == 0 {
			continue
		}
		row := make([]int64, n)
		for a := range n {
			row[a] = mc.cost[a][c]
			if a == c || mc.single && mc.apart(a, c) {
				row[a] = far
			}
		}
		cost = append(cost, row)
	}
	in, out := assign(cost)
	i := 0
	for _, c := range needed {
		if c == 0 {
			mc.into[c] = 0
			continue
		}
		mc.into[c] = in[i]
		i++
	}
	copy(mc.out, out)
	if !mc.single || mc.touch[0] != (set{}) {
		return
	}
	mc.rest, mc.first = make([][]int64, n), make([]int, n)
	for i, c := range needed {
		mc.first[c] = mc.touch[c].least()
		mc.rest[c] = cost[i]
		for a := range n {
			mc.rest[c][a] -= in[i] + out[a]
		}
	}
}

// apart says that class c can never be entered from class a, each being asked
// for once: c comes before a, or something comes between.
func (mc *machine) apart(a, c int) bool {
	to := mc.above[mc.touch[c].least()]
	if mc.touch[a] == (set{}) { // the start
		return to != (set{})
	}
	from := mc.touch[a].least()
	if mc.above[from].holds(&mc.touch[c]) {
		return true
	}
	if !to.has(from) {
		return false
	}
	for k := range mc.above {
		if k != from && to.has(k) && mc.above[k].has(from) {
			return true
		}
	}
	return false
}

// assign solves the assignment of every row to its own column at least cost and
// gives the duals: u[i] + v[j] <= cost[i][j] everywhere, v <= 0, and v is zero
// on columns left over. Shortest augmenting paths (Kuhn 1955, Munkres 1957, in
// the O(n^2 m) form of Jonker and Volgenant 1987).
func assign(cost [][]int64) (u, v []int64) {
	n := len(cost)
	if n == 0 {
		return nil, nil
	}
	m := len(cost[0])
	u, v = make([]int64, n+1), make([]int64, m+1)
	row := make([]int, m+1) // row[j] is the row of column j, 0 free
	way := make([]int, m+1)
	for i := 1; i <= n; i++ {
		row[0] = i
		j0 := 0
		least := make([]int64, m+1)
		used := make([]bool, m+1)
		for j := range least {
			least[j] = 4 * far
		}
		for {
			used[j0] = true
			i0, j1, delta := row[j0], 0, 4*far
			for j := 1; j <= m; j++ {
				if used[j] {
					continue
				}
				if c := cost[i0-1][j-1] - u[i0] - v[j]; c < least[j] {
					least[j], way[j] = c, j0
				}
				if least[j] < delta {
					delta, j1 = least[j], j
				}
			}
			for j := 0; j <= m; j++ {
				if used[j] {
					u[row[j]] += delta
					v[j] -= delta
				} else {
					least[j] -= delta
				}
			}
			j0 = j1
			if row[j0] == 0 {
				break
			}
		}
		for j0 != 0 {
			j1 := way[j0]
			row[j0] = row[j1]
			j0 = j1
		}
	}
	return u[1:], v[1:]
}
