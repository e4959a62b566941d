package assembly

import (
	"fmt"
	"slices"
	"strings"

	"pilewright/plan/solid"
)

// Check replays a sequence and says what is wrong with it: the first thing that
// cannot be done, or nil. It trusts nothing but the bodies, the joints and the
// limits, and does not use the blocking graphs Plan works with: every move is
// checked by sweeping the moving wood back along its way and asking for shared
// volume.
func Check(bodies []solid.Body, joints []Joint, limits Limits, s Sequence) error {
	ends, blocked := number(bodies, joints)
	if blocked != nil {
		return blocked
	}
	r := replay{bodies: bodies, joints: joints, ends: ends, index: map[string]int{}, jointIndex: map[string]int{},
		group: make([]int, len(bodies)), size: make([]int, len(bodies)), from: make([]int, len(bodies)), closed: make([]bool, len(joints))}
	for i, b := range bodies {
		r.index[b.ID], r.group[i], r.size[i], r.from[i] = i, i, 1, -1
	}
	for i, j := range joints {
		r.jointIndex[j.ID] = i
	}
	dry := 0
	for n, st := range s.Stages {
		if err := r.stage(n, st, s.Stages, limits); err != nil {
			return fmt.Errorf("stage %d: %w", n+1, err)
		}
		for _, m := range st.Moves {
			if dry >= len(s.DryFit) || !sameMove(m, s.DryFit[dry]) {
				return fmt.Errorf("stage %d: the dry fit goes another way", n+1)
			}
			dry++
		}
	}
	if dry != len(s.DryFit) {
		return fmt.Errorf("the dry fit has %d moves that no stage has", len(s.DryFit)-dry)
	}
	for i := range bodies {
		if r.group[i] != r.group[0] {
			return fmt.Errorf("%s and %s are never brought together", bodies[0].ID, bodies[i].ID)
		}
	}
	for i, done := range r.closed {
		if !done {
			return fmt.Errorf("joint %s never closes", joints[i].ID)
		}
	}
	return nil
}

func sameMove(a, b Move) bool {
	return slices.Equal(a.Moving, b.Moving) && slices.Equal(a.Into, b.Into) && a.Dir == b.Dir &&
		slices.Equal(a.Joints, b.Joints) && a.Held == b.Held && a.Travel == b.Travel
}

// replay is a piece on its way from loose bodies to one.
type replay struct {
	bodies     []solid.Body
	joints     []Joint
	ends       [][2]int
	index      map[string]int
	jointIndex map[string]int
	group      []int // of each body: the number of one of its bodies
	size       []int // of each group
	from       []int // the stage each group comes from, -1 for a loose body
	closed     []bool
	still      []*solid.Body // room to work in
}

func (r *replay) stage(n int, st Stage, all []Stage, limits Limits) error {
	if len(st.Moves) == 0 {
		return fmt.Errorf("nothing moves")
	}
	var closing []string
	level, minutes, dry := 1, 0, true
	var after []int
	for m, move := range st.Moves {
		if move.Dir.Axis() != st.Axis {
			return fmt.Errorf("move %d goes %v, the stage's axis is %d", m+1, move.Dir, st.Axis)
		}
		moving, err := r.whole(move.Moving)
		if err != nil {
			return fmt.Errorf("move %d: %w", m+1, err)
		}
		into, err := r.whole(move.Into)
		if err != nil {
			return fmt.Errorf("move %d: %w", m+1, err)
		}
		if moving == into {
			return fmt.Errorf("move %d brings %s to itself", m+1, move.Moving[0])
		}
		for _, g := range []int{moving, into} {
			if f := r.from[g]; f >= 0 && f != n {
				after = append(after, f)
				level = max(level, all[f].Level+1)
			}
		}
		if err := r.move(move, moving, into); err != nil {
			return fmt.Errorf("move %d: %w", m+1, err)
		}
		closing = append(closing, move.Joints...)
		for i := range r.group {
			if r.group[i] == moving {
				r.group[i] = into
			}
		}
		r.size[into] += r.size[moving]
		r.from[into] = n
	}
	for _, id := range closing {
		j := r.joints[r.jointIndex[id]]
		minutes += j.Minutes
		dry = dry && j.Dry
	}
	parts, err := r.whole(st.Parts)
	if err != nil || r.from[parts] != n {
		return fmt.Errorf("it does not leave %s as one", strings.Join(st.Parts, ", "))
	}
	slices.Sort(after)
	if !slices.Equal(closing, st.Joints) || minutes != st.Minutes || dry != st.Dry || level != st.Level || !slices.Equal(slices.Compact(after), st.After) {
		return fmt.Errorf("its joints, minutes, level or needed stages are not those of its moves")
	}
	if dry {
		return nil
	}
	if limits.OpenMinutes > 0 && minutes > limits.OpenMinutes {
		return fmt.Errorf("it takes %d min, the glue stays open %d min", minutes, limits.OpenMinutes)
	}
	if limits.ClampsFor != nil {
		if need := limits.ClampsFor(len(st.Joints)); need != st.Clamps || need > limits.Clamps {
			return fmt.Errorf("it needs %d clamps, says %d, and there are %d", need, st.Clamps, limits.Clamps)
		}
	}
	return nil
}

// whole gives the group the names make up, all of it and nothing else.
func (r *replay) whole(ids []string) (int, error) {
	if len(ids) == 0 {
		return 0, fmt.Errorf("a group is empty")
	}
	seen := make(map[int]bool, len(ids))
	for _, id := range ids {
		i, ok := r.index[id]
		if !ok || seen[i] || r.group[i] != r.group[r.index[ids[0]]] {
			return 0, fmt.Errorf("%s does not belong with %s", id, ids[0])
		}
		seen[i] = true
	}
	g := r.group[r.index[ids[0]]]
	if r.size[g] != len(ids) {
		return 0, fmt.Errorf("%s is only a part of what was put together", strings.Join(ids, ", "))
	}
	return g, nil
}

// move checks one move between two groups.
func (r *replay) move(m Move, moving, into int) error {
	var want []string
	touch := false
	for i, e := range r.ends {
		a, b := r.group[e[0]], r.group[e[1]]
		if a == moving && b == into || a == into && b == moving {
			j := r.joints[i]
			dir := m.Dir
			if a == moving {
				dir = dir.Opposite()
			}
			if j.Dir != solid.None && j.Dir != dir {
				return fmt.Errorf("joint %s closes %v, but %s moves %v", j.ID, j.Dir, j.B, dir)
			}
			if j.Dir == solid.None && !j.Dry && !pressed(r.bodies[e[0]].Solid, r.bodies[e[1]].Solid, m.Dir.Axis()) {
				return fmt.Errorf("the faces of joint %s are not pressed by a move %v", j.ID, m.Dir)
			}
			want = append(want, j.ID)
			r.closed[i] = true
			touch = true
		}
	}
	if !slices.Equal(want, m.Joints) {
		return fmt.Errorf("it closes the joints %v, not %v", want, m.Joints)
	}
	still := r.still[:0]
	hull := r.bodies[r.index[m.Into[0]]].Solid.Bounds()
	for _, id := range m.Into {
		b := &r.bodies[r.index[id]]
		still, hull = append(still, b), hull.Hull(b.Solid.Bounds())
	}
	r.still = still
	for _, id := range m.Moving {
		a := r.bodies[r.index[id]]
		way, on := wayOf(a.Solid, m.Dir, hull)
		for _, b := range still {
			if !on.Meets(b.Solid.Bounds()) {
				continue
			}
			if slices.ContainsFunc(way, b.Solid.Blocks) {
				return fmt.Errorf("%s does not pass %s on its way %v", a.ID, b.ID, m.Dir)
			}
			touch = touch || !solid.ContactArea(a.Solid, b.Solid).IsZero()
		}
	}
	if touch == m.Held {
		return fmt.Errorf("%s is said to be held: %v, but touching is %v", m.Moving[0], m.Held, touch)
	}
	return nil
}

// pressed reports whether the bodies have touching faces across axis k.
func pressed(a, b solid.Solid, k int) bool { return solid.ContactAxes(a, b)[k] }

// wayOf gives the wood of a together with all the room it passes when it comes
// to its place along dir from beyond the hull, as boxes and the box around them.
func wayOf(a solid.Solid, dir solid.Direction, hull solid.Box) (way []solid.Box, around solid.Box) {
	k, around := dir.Axis(), a.Bounds()
	far := max(0, hull.Max[k]-around.Min[k], around.Max[k]-hull.Min[k])
	swept := func(b *solid.Box) {
		if dir.Positive() {
			b.Min[k] -= far
		} else {
			b.Max[k] += far
		}
	}
	way = a.Boxes()
	for i := range way {
		swept(&way[i])
	}
	swept(&around)
	return way, around
}
