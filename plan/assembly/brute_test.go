package assembly

import (
	"math/bits"
	"slices"

	"pilewright/plan/measure"
	"pilewright/plan/solid"
)

// brute is the exhaustive search for small pieces. It shares nothing with Plan:
// collisions come from stepping cubes, orders from trying every split.
type brute struct {
	n      int
	bodies []solid.Body
	joints []Joint
	ends   [][2]int
	hits   [][][solid.MinusZ + 1]bool
	faces  [][3]bool
	linked [][]bool
	split  map[uint]bool
	least  map[uint]int
}

func newBrute(bodies []solid.Body, joints []Joint) *brute {
	b := &brute{n: len(bodies), bodies: bodies, joints: joints, split: map[uint]bool{}, least: map[uint]int{}}
	cubes := make([]map[[3]measure.Length]bool, b.n)
	for i, body := range bodies {
		cubes[i] = map[[3]measure.Length]bool{}
		for x := measure.Length(0); x < side; x++ {
			for y := measure.Length(0); y < side; y++ {
				for z := measure.Length(0); z < side; z++ {
					if body.Solid.Has(solid.Point{x, y, z}) {
						cubes[i][[3]measure.Length{x, y, z}] = true
					}
				}
			}
		}
	}
	b.hits = make([][][solid.MinusZ + 1]bool, b.n)
	touch := make([][][3]bool, b.n)
	for i := range b.n {
		b.hits[i], touch[i] = make([][solid.MinusZ + 1]bool, b.n), make([][3]bool, b.n)
		for j := range b.n {
			for d := solid.PlusX; d <= solid.MinusZ; d++ {
				for far := measure.Length(1); far < side; far++ {
					for c := range cubes[i] {
						if i != j && cubes[j][solid.Point(c).Add(d.Times(far))] {
							b.hits[i][j][d] = true
							touch[i][j][d.Axis()] = touch[i][j][d.Axis()] || far == 1
						}
					}
				}
			}
		}
	}
	for range b.n {
		b.linked = append(b.linked, make([]bool, b.n))
	}
	for _, j := range joints {
		var e [2]int
		for i, body := range bodies {
			if body.ID == j.A {
				e[0] = i
			}
			if body.ID == j.B {
				e[1] = i
			}
		}
		b.ends = append(b.ends, e)
		if !j.Dry {
			b.linked[e[0]][e[1]], b.linked[e[1]][e[0]] = true, true
		}
		b.faces = append(b.faces, touch[e[0]][e[1]])
	}
	return b
}

// leaves reports whether the bodies of part can leave those of rest towards d.
func (b *brute) leaves(part, rest uint, d solid.Direction) bool {
	for i := range b.n {
		for j := range b.n {
			if part>>i&1 == 1 && rest>>j&1 == 1 && b.hits[i][j][d] {
				return false
			}
		}
	}
	for n, j := range b.joints {
		x, y := uint(1)<<b.ends[n][0], uint(1)<<b.ends[n][1]
		var in solid.Direction // the way B goes in when the parting is undone
		switch {
		case x&part != 0 && y&rest != 0:
			in = d
		case y&part != 0 && x&rest != 0:
			in = d.Opposite()
		default:
			continue
		}
		if j.Dir != solid.None && j.Dir != in || j.Dir == solid.None && !j.Dry && !b.faces[n][d.Axis()] {
			return false
		}
	}
	return true
}

// possible reports whether any sequence of splits takes the bodies apart.
func (b *brute) possible(all uint) bool {
	if bits.OnesCount(all) < 2 {
		return true
	}
	if known, ok := b.split[all]; ok {
		return known
	}
	found := false
	for part := (all - 1) & all; part > 0 && !found; part = (part - 1) & all {
		for d := solid.PlusX; d <= solid.MinusZ && !found; d++ {
			found = b.leaves(part, all&^part, d) && b.possible(part) && b.possible(all&^part)
		}
	}
	b.split[all] = found
	return found
}

// glueUps is the least number of glue-ups over every tree of stages, each stage
// any partition of its bodies drawn apart along one axis within the limits.
// Things that no glue links count as glue-ups of their own. It is negative when there is none.
func (b *brute) glueUps(all uint, limits Limits) int {
	if bits.OnesCount(all) < 2 {
		return 0
	}
	if known, ok := b.least[all]; ok {
		return known
	}
	best := -1
	var groups []uint
	var try func(left uint)
	try = func(left uint) {
		if left != 0 {
			low := left & -left
			rest := left &^ low
			for with := rest; ; with = (with - 1) & rest {
				groups = append(groups, with|low)
				try(rest &^ with)
				groups = groups[:len(groups)-1]
				if with == 0 {
					return
				}
			}
		}
		if len(groups) < 2 {
			return
		}
		minutes, joints, glue := 0, 0, 0
		things := map[uint]bool{}
		for n, j := range b.joints {
			for _, g := range groups {
				x, y := uint(1)<<b.ends[n][0], uint(1)<<b.ends[n][1]
				if g&x != 0 && g&y == 0 && all&y != 0 {
					minutes += j.Minutes
					joints++
					if !j.Dry {
						things[b.island(all, x)] = true
						glue = len(things)
					}
				}
			}
		}
		if glue > 0 && b.over(minutes, joints, limits) {
			return
		}
		sum := glue
		for _, g := range groups {
			sub := b.glueUps(g, limits)
			if sub < 0 {
				return
			}
			sum += sub
		}
		if best >= 0 && sum >= best {
			return
		}
		for k := range 3 {
			if b.unstacks(groups, solid.Along(k, true)) {
				best = sum
				return
			}
		}
	}
	try(all)
	b.least[all] = best
	return best
}

// over reports whether a stage with glue takes more than the limits.
func (b *brute) over(minutes, joints int, limits Limits) bool {
	return limits.OpenMinutes > 0 && minutes > limits.OpenMinutes || limits.ClampsFor != nil && limits.ClampsFor(joints) > limits.Clamps
}

// easiest gives the fewest minutes and the fewest joints that any parting of the
// bodies in two along one axis closes at once, and whether some parting with
// glue is within the limits or has no glue.
func (b *brute) easiest(all uint, limits Limits) (minutes, joints int, within bool) {
	minutes, joints = -1, -1
	for part := (all - 1) & all; part > 0; part = (part - 1) & all {
		for d := solid.PlusX; d <= solid.MinusZ; d++ {
			if !b.leaves(part, all&^part, d) {
				continue
			}
			m, n, glue := 0, 0, false
			for i, j := range b.joints {
				if x, y := part>>b.ends[i][0]&1, part>>b.ends[i][1]&1; x != y && all>>b.ends[i][0]&1 == 1 && all>>b.ends[i][1]&1 == 1 {
					m, n, glue = m+j.Minutes, n+1, glue || !j.Dry
				}
			}
			within = within || !glue || !b.over(m, n, limits)
			if glue && (minutes < 0 || m < minutes) {
				minutes = m
			}
			if glue && (joints < 0 || n < joints) {
				joints = n
			}
		}
	}
	return minutes, joints, within
}

// island gives the bodies of all that glue links to those of some.
func (b *brute) island(all, some uint) uint {
	for range b.n {
		for i := range b.n {
			for j := range b.n {
				if some>>i&1 == 1 && all>>j&1 == 1 && b.linked[i][j] {
					some |= 1 << j
				}
			}
		}
	}
	return some
}

// unstacks reports whether the groups can leave one by one towards d.
func (b *brute) unstacks(groups []uint, d solid.Direction) bool {
	left := slices.Clone(groups)
	for len(left) > 1 {
		gone := false
		for i, g := range left {
			var rest uint
			for j, h := range left {
				if i != j {
					rest |= h
				}
			}
			if b.leaves(g, rest, d) {
				left = slices.Delete(left, i, i+1)
				gone = true
				break
			}
		}
		if !gone {
			return false
		}
	}
	return true
}

// things counts glue-ups as brute does.
func things(b *brute, s Sequence) int {
	index := map[string]int{}
	for i, body := range b.bodies {
		index[body.ID] = i
	}
	n := 0
	for _, st := range s.Stages {
		var all uint
		for _, id := range st.Parts {
			all |= 1 << index[id]
		}
		seen := map[uint]bool{}
		for i, j := range b.joints {
			if slices.Contains(st.Joints, j.ID) && !j.Dry {
				seen[b.island(all, 1<<b.ends[i][0])] = true
			}
		}
		n += len(seen)
	}
	return n
}
