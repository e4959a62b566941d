package schedule

import (
	"cmp"
	"container/heap"
	"context"
	"slices"
)

// state is a closed state of the shop: everything that needs no change is done.
type state struct {
	done   set
	held   held
	g, h   int64 // cost so far, bound on what is left
	parent int32
	move   int32 // block worked to get here, -1 at the root
	closed bool
}

type key struct {
	done set
	held held
}

func (s *shop) key(n *state) key {
	k := key{n.done, n.held}
	s.settle(&k.done, &k.held)
	return k
}

func (s *shop) root() state {
	n := state{held: s.start, parent: -1, move: -1}
	s.closure(&n.done, &n.held, nil)
	n.h = s.bound(&n.done, &n.held)
	return n
}

func (s *shop) step(from *state, at int32, move int) state {
	n := state{done: from.done, held: from.held, parent: at, move: int32(move)}
	n.g = from.g + s.work(move, &n.done, &n.held)
	s.closure(&n.done, &n.held, nil)
	// The bound of the parent less the cost of the move holds here as well.
	n.h = max(s.bound(&n.done, &n.held), from.g+from.h-n.g)
	return n
}

// trail replays the moves that lead to a node and gives every block in order.
func (s *shop) trail(nodes []state, at int32) []int {
	var moves []int
	for ; nodes[at].move >= 0; at = nodes[at].parent {
		moves = append(moves, int(nodes[at].move))
	}
	slices.Reverse(moves)
	var done set
	h := s.start
	var order []int
	s.closure(&done, &h, &order)
	for _, k := range moves {
		s.work(k, &done, &h)
		order = append(order, k)
		s.closure(&done, &h, &order)
	}
	return order
}

// beam is a level-by-level search that keeps the width most promising states.
// It gives a lawful order and its cost.
func (s *shop) beam(ctx context.Context, width int) ([]int, int64) {
	nodes := []state{s.root()}
	level := []int32{0}
	best, bestAt := int64(-1), int32(0)
	var buf []int
	for len(level) > 0 {
		seen := map[key]int32{}
		var next []int32
		for _, at := range level {
			if nodes[at].done == s.all {
				if best < 0 || nodes[at].g < best {
					best, bestAt = nodes[at].g, at
				}
				continue
			}
			buf = s.moves(&nodes[at].done, &nodes[at].held, buf)
			for _, k := range buf {
				n := s.step(&nodes[at], at, k)
				if best >= 0 && n.g+n.h >= best {
					continue
				}
				id := s.key(&n)
				if old, ok := seen[id]; ok {
					if n.g < nodes[old].g {
						nodes[old] = n
					}
					continue
				}
				nodes = append(nodes, n)
				seen[id] = int32(len(nodes) - 1)
				next = append(next, int32(len(nodes)-1))
			}
			if ctx.Err() != nil && best < 0 { // finish lawfully and narrowly
				width = 1
			} else if ctx.Err() != nil {
				return s.trail(nodes, bestAt), best
			}
		}
		slices.SortStableFunc(next, func(a, b int32) int {
			x, y := &nodes[a], &nodes[b]
			return cmp.Or(cmp.Compare(x.g+x.h, y.g+y.h), cmp.Compare(count(y.done), count(x.done)))
		})
		level = next[:min(width, len(next))]
	}
	return s.trail(nodes, bestAt), best
}

type frontier struct {
	nodes *[]state
	at    []int32
}

func (f *frontier) Len() int      { return len(f.at) }
func (f *frontier) Swap(i, j int) { f.at[i], f.at[j] = f.at[j], f.at[i] }
func (f *frontier) Push(x any)    { f.at = append(f.at, x.(int32)) }
func (f *frontier) Pop() any {
	x := f.at[len(f.at)-1]
	f.at = f.at[:len(f.at)-1]
	return x
}
func (f *frontier) Less(i, j int) bool {
	x, y := &(*f.nodes)[f.at[i]], &(*f.nodes)[f.at[j]]
	return cmp.Or(cmp.Compare(x.g+x.h, y.g+y.h), cmp.Compare(y.g, x.g), cmp.Compare(f.at[i], f.at[j])) < 0
}

// found is what a search knows when it ends.
type found struct {
	order  []int // nil when nothing better than the cutoff exists or was found
	cost   int64
	bound  int64
	proved bool
	states int
}

// exact is best-first search (A*, Hart, Nilsson and Raphael 1968) for an order
// that costs less than cutoff. It is over when the least bound in the frontier
// reaches the cutoff, so an empty answer with proved set means that none exists.
func (s *shop) exact(ctx context.Context, cutoff int64, limit int, report func(best, bound int64, states int)) found {
	nodes := []state{s.root()}
	f := &frontier{nodes: &nodes, at: []int32{0}}
	seen := map[key]int32{s.key(&nodes[0]): 0}
	bound, states := nodes[0].h, 0
	var buf []int
	for f.Len() > 0 {
		at := heap.Pop(f).(int32)
		n := nodes[at]
		if n.closed {
			continue
		}
		bound = max(bound, n.g+n.h)
		if bound >= cutoff {
			break
		}
		if n.done == s.all {
			return found{order: s.trail(nodes, at), cost: n.g, bound: n.g, proved: true, states: states}
		}
		if states >= limit || states&127 == 0 && ctx.Err() != nil {
			return found{bound: bound, states: states}
		}
		if states&4095 == 4095 && report != nil {
			report(cutoff, bound, states)
		}
		states++
		nodes[at].closed = true
		buf = s.moves(&n.done, &n.held, buf)
		for _, k := range buf {
			c := s.step(&n, at, k)
			if c.g+c.h >= cutoff {
				continue
			}
			id := s.key(&c)
			if old, ok := seen[id]; ok {
				if c.g >= nodes[old].g {
					continue
				}
				nodes[old].closed = true // the dearer copy still in the heap
			}
			nodes = append(nodes, c)
			seen[id] = int32(len(nodes) - 1)
			heap.Push(f, int32(len(nodes)-1))
		}
	}
	return found{cost: cutoff, bound: cutoff, proved: true, states: states}
}
