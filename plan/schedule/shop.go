package schedule

import (
	"fmt"
	"math/bits"
	"slices"
	"time"
)

const (
	maxBlocks   = 256
	maxMachines = 16
)

// set is a set of blocks.
type set [maxBlocks / 64]uint64

func (s *set) add(i int)      { s[i>>6] |= 1 << (i & 63) }
func (s *set) has(i int) bool { return s[i>>6]>>(i&63)&1 == 1 }

func (s *set) holds(t *set) bool {
	return t[0]&^s[0] == 0 && t[1]&^s[1] == 0 && t[2]&^s[2] == 0 && t[3]&^s[3] == 0
}

// least is the lowest member of a set that has one.
func (s *set) least() int {
	for w, word := range s {
		if word != 0 {
			return w<<6 + bits.TrailingZeros64(word)
		}
	}
	return -1
}

// meetsRest says whether t has a member outside s.
func (s *set) meetsRest(t *set) bool { return !s.holds(t) }

func (s set) and(t *set) set {
	return set{s[0] & t[0], s[1] & t[1], s[2] & t[2], s[3] & t[3]}
}

func (s set) or(t *set) set {
	return set{s[0] | t[0], s[1] | t[1], s[2] | t[2], s[3] | t[3]}
}

// need is what a block asks of one machine: the class it must hold at first,
// the one it holds at the end, and the cost of changes inside the block.
type need struct {
	machine     int
	first, last uint8
	inner       int64
}

// block is a run of operations locked together; most hold one operation.
type block struct {
	ops   []int
	needs []need
	pred  set // direct predecessors
	same  int // blocks of one number ask for the same and are worked in one go
}

// machine is a machine with its classes of set-up; class 0 is what it holds at first.
type machine struct {
	name    string
	classes []string
	cost    [][]int64 // from, to, in nanoseconds
	plain   bool      // what a change costs depends on the new class only
	metric  bool      // a detour over a third class never costs less
	single  bool      // every class is asked for once
	mask    set       // blocks that ask for it
	touch   []set     // by class, blocks that ask for it
	into    []int64   // by class, a price for entering it ...
	out     []int64   // ... and, where lawful, for leaving it: see prices
	rest    [][]int64 // by class and the one before it, cost above the prices; nil if not single
	first   []int     // by class, its block, with rest
	table   map[tableKey]int64
	above   []set // by block, its predecessors (direct or not) on this machine
}

// shop is the problem in the shape the search works on.
type shop struct {
	p        Problem
	ops      []Operation
	net      *network
	blocks   []block // numbered so that predecessors come first
	all      set
	machines []machine
	start    held
	// By operation: its machine (-1 without a set-up) and class.
	machineOf []int
	classOf   []uint8
	big       bool         // more than the search can hold: only the plain order is known
	tableMax  int          // states the bound tables may still take
	stopped   func() error // asked now and then while the tables grow; may be nil
}

// held is the class each machine holds.
type held [maxMachines]uint8

// build orders blocks topologically, ties by place in the problem.
func build(p Problem, ops []Operation) (*shop, error) {
	net, err := connect(ops, p.Pinned)
	if err != nil {
		return nil, err
	}
	s := &shop{p: p, ops: ops, net: net}
	chains, seq, before, err := net.sort(ops)
	if err != nil {
		return nil, err
	}
	place := make([]int, len(chains))
	for k, c := range seq {
		place[c] = k
	}
	s.blocks = make([]block, len(chains))
	for k, c := range seq {
		s.blocks[k].ops = chains[c]
	}
	if len(chains) > maxBlocks {
		s.big = true
		return s, nil
	}
	for k, c := range seq {
		for _, d := range before[c] {
			s.blocks[k].pred.add(place[d])
		}
		s.all.add(k)
	}
	return s, s.tool()
}

// tool fills in the machines and what the blocks ask of them.
func (s *shop) tool() error {
	at := map[string]int{}
	var names []string
	for _, op := range s.ops {
		if op.Setup != "" && !slices.Contains(names, op.Machine) {
			names = append(names, op.Machine)
		}
	}
	slices.Sort(names)
	if len(names) > maxMachines {
		s.big = true
		return nil
	}
	s.machines = make([]machine, len(names))
	for m, name := range names {
		at[name] = m
		s.machines[m] = machine{name: name, classes: []string{s.p.Holds[name]}, table: map[tableKey]int64{}}
	}
	class := func(m int, setup string) uint8 {
		mc := &s.machines[m]
		c := slices.Index(mc.classes, setup)
		if c < 0 {
			c = len(mc.classes)
			mc.classes = append(mc.classes, setup)
		}
		return uint8(c)
	}
	s.machineOf, s.classOf = make([]int, len(s.ops)), make([]uint8, len(s.ops))
	for i, op := range s.ops {
		s.machineOf[i] = -1
		if op.Setup != "" {
			s.machineOf[i] = at[op.Machine]
			s.classOf[i] = class(at[op.Machine], op.Setup)
		}
	}
	for m := range s.machines {
		mc := &s.machines[m]
		n := len(mc.classes)
		if n > 250 {
			s.big = true
			return nil
		}
		mc.cost = make([][]int64, n)
		mc.touch = make([]set, n)
		for a := range n {
			mc.cost[a] = make([]int64, n)
			for b := range n {
				if a == b {
					continue
				}
				c := s.p.change(mc.name, mc.classes[a], mc.classes[b])
				if c < 0 {
					return fmt.Errorf("changing %q from %q to %q: %w", mc.name, mc.classes[a], mc.classes[b], ErrTime)
				}
				mc.cost[a][b] = int64(c)
			}
		}
	}
	for k := range s.blocks {
		b := &s.blocks[k]
		for _, i := range b.ops {
			op := s.ops[i]
			if op.Setup == "" {
				continue
			}
			m, c := s.machineOf[i], s.classOf[i]
			mc := &s.machines[m]
			mc.mask.add(k)
			mc.touch[c].add(k)
			n := slices.IndexFunc(b.needs, func(n need) bool { return n.machine == m })
			if n < 0 {
				b.needs = append(b.needs, need{machine: m, first: c, last: c})
				continue
			}
			b.needs[n].inner += mc.cost[b.needs[n].last][c]
			if c != b.needs[n].last {
				b.needs[n].last = c
			}
		}
	}
	for m := range s.machines {
		s.machines[m].judge(s.blocks, m)
	}
	s.group()
	s.project()
	for m := range s.machines {
		s.machines[m].price()
	}
	return nil
}

// judge finds out which shortcuts the costs of a machine allow.
func (mc *machine) judge(blocks []block, m int) {
	n := len(mc.classes)
	mc.plain, mc.metric, mc.single = true, true, true
	for _, b := range blocks {
		for _, n := range b.needs {
			if n.machine == m && (n.first != n.last || n.inner != 0) {
				mc.single = false
			}
		}
	}
	for b := range n {
		var one int64 = -1
		if mc.touch[b] == (set{}) {
			continue
		}
		if count(mc.touch[b]) > 1 {
			mc.single = false
		}
		for a := range n {
			if a == b {
				continue
			}
			if one < 0 {
				one = mc.cost[a][b]
			}
			if mc.cost[a][b] != one {
				mc.plain = false
			}
			for c := range n {
				if c != a && c != b && mc.touch[c] != (set{}) && mc.cost[a][c]+mc.cost[c][b] < mc.cost[a][b] {
					mc.metric = false
				}
			}
		}
	}
}

func count(s set) int {
	n := 0
	for _, w := range s {
		n += bits.OnesCount64(w)
	}
	return n
}

// group numbers blocks that ask for the same, so that only one of them is tried.
func (s *shop) group() {
	for k := range s.blocks {
		b := &s.blocks[k]
		b.same = k
		if !s.steady(b) {
			continue
		}
		for j := range k {
			if slices.Equal(s.blocks[j].needs, b.needs) {
				b.same = s.blocks[j].same
				break
			}
		}
	}
}

// steady says whether a block may be worked at once when all its machines hold
// what it asks for: it changes nothing, and by the triangle rule leaving it out
// later on cannot cost more.
func (s *shop) steady(b *block) bool {
	for _, n := range b.needs {
		if n.first != n.last || n.inner != 0 || !s.machines[n.machine].metric {
			return false
		}
	}
	return true
}

// project finds for every machine the order its own blocks are forced into,
// directly or through other machines.
func (s *shop) project() {
	above := make([]set, len(s.blocks))
	for k := range s.blocks {
		for j := range k {
			if s.blocks[k].pred.has(j) {
				above[k] = above[k].or(&above[j])
				above[k].add(j)
			}
		}
	}
	for m := range s.machines {
		mc := &s.machines[m]
		mc.above = make([]set, len(s.blocks))
		for k := range s.blocks {
			mc.above[k] = above[k].and(&mc.mask)
		}
	}
}

// closure works every block that is free to be worked without a change: done
// blocks are added to order when it is not nil.
func (s *shop) closure(done *set, h *held, order *[]int) {
	for w := range done {
		for left := s.all[w] &^ done[w]; left != 0; left &= left - 1 {
			k := w<<6 + bits.TrailingZeros64(left)
			b := &s.blocks[k]
			if !done.holds(&b.pred) || !s.ready(b, h) {
				continue
			}
			done.add(k)
			if order != nil {
				*order = append(*order, k)
			}
		}
	}
}

func (s *shop) ready(b *block, h *held) bool {
	for _, n := range b.needs {
		if h[n.machine] != n.first || n.first != n.last || n.inner != 0 || !s.machines[n.machine].metric {
			return false
		}
	}
	return true
}

// work does one block and gives what its changes cost.
func (s *shop) work(k int, done *set, h *held) int64 {
	var cost int64
	for _, n := range s.blocks[k].needs {
		cost += s.machines[n.machine].cost[h[n.machine]][n.first] + n.inner
		h[n.machine] = n.last
	}
	done.add(k)
	return cost
}

// moves lists the blocks worth doing next in a closed state, or the one that
// can be done at once without loss.
func (s *shop) moves(done *set, h *held, buf []int) []int {
	buf = buf[:0]
	for w := range done {
	next:
		for left := s.all[w] &^ done[w]; left != 0; left &= left - 1 {
			k := w<<6 + bits.TrailingZeros64(left)
			b := &s.blocks[k]
			if !done.holds(&b.pred) {
				continue
			}
			for _, j := range buf {
				if s.blocks[j].same == b.same {
					continue next
				}
			}
			if s.forced(b, k, done, h) {
				return append(buf[:0], k)
			}
			buf = append(buf, k)
		}
	}
	return buf
}

// forced says that block k may be worked now without loss: a change of its
// machine costs the same from wherever it comes, nothing left asks for what it
// holds now, and the change finishes all that asks for the new class. That class
// has to be entered once anyway, and entering it first makes no other dearer.
// Likewise when nothing but the new class is left: its one change costs the same
// now as later.
func (s *shop) forced(b *block, k int, done *set, h *held) bool {
	if len(b.needs) != 1 || b.needs[0].first != b.needs[0].last || b.needs[0].inner != 0 {
		return false
	}
	m := b.needs[0].machine
	mc := &s.machines[m]
	if mc.onlyLeft(b.needs[0].first, done) {
		return true
	}
	if !mc.plain || !mc.metric || done.meetsRest(&mc.touch[h[m]]) {
		return false
	}
	d, g := *done, *h
	s.work(k, &d, &g)
	s.closure(&d, &g, nil)
	return d.holds(&mc.touch[b.needs[0].first])
}

// onlyLeft says that a machine is asked for no class but one any more.
func (mc *machine) onlyLeft(class uint8, done *set) bool {
	for c := range mc.touch {
		if uint8(c) != class && done.meetsRest(&mc.touch[c]) {
			return false
		}
	}
	return true
}

// settle forgets what no longer matters, so that equal situations look equal.
// Its result is a key, not a state to work on from.
func (s *shop) settle(done *set, h *held) {
	for m := range s.machines {
		mc := &s.machines[m]
		if done.holds(&mc.mask) || mc.plain && !done.meetsRest(&mc.touch[h[m]]) {
			h[m] = idle
		}
	}
}

// idle stands for a class nothing asks for any more.
const idle = 255

// operations turns blocks in order into operations in order.
func (s *shop) operations(order []int) []Operation {
	out := make([]Operation, 0, len(s.ops))
	for _, k := range order {
		for _, i := range s.blocks[k].ops {
			out = append(out, s.ops[i])
		}
	}
	return out
}

// naive is the order of one part after another, kept lawful.
func (s *shop) naive() []int {
	order := make([]int, len(s.blocks))
	for k := range order {
		order[k] = k
	}
	return order
}

func workTime(ops []Operation) time.Duration {
	var t time.Duration
	for _, op := range ops {
		t += op.Time
	}
	return t
}
