// Package knapsack fills one length with pieces of most value, for every
// capacity at once, in exact integers. Table is the dense form (one cell a
// capacity), List the sparse form (only undominated sums) for long capacities
// in fine units. Both take at most Limit copies of an item.
//
// Method: dynamic programming over bounded items by binary splitting; Martello
// & Toth 1990, "Knapsack Problems", ch. 2 and 3.
package knapsack

import (
	"cmp"
	"slices"
	"sort"
)

// Item is a piece that may be cut: Size in units, Value per copy, Limit copies.
type Item struct {
	Size, Limit int
	Value       int64
}

// Filler is either form.
type Filler interface {
	// Fill prepares every capacity up to max for the items.
	Fill(max int, items []Item)
	// Best is the greatest value within capacity c.
	Best(c int) int64
	// Take adds the copies of one best filling of capacity c to counts.
	Take(c int, counts []int)
	// Steps visits rising capacities up to c, each with its best value v, which
	// no filling reaches that takes less than least: together they bound every
	// filling of c by its value and by what it takes.
	Steps(c int, visit func(c, least int, v int64))
	// Work is the number of cells touched since the filler was made.
	Work() int64
}

// layer is some copies of one item taken together.
type layer struct {
	item, copies, size int
	value              int64
}

// layers splits every useful item binarily; items of no value or no room are left out.
func layers(dst []layer, max int, items []Item) []layer {
	dst = dst[:0]
	for i, it := range items {
		if it.Value <= 0 || it.Size > max || it.Limit <= 0 {
			continue
		}
		left := it.Limit
		if it.Size > 0 {
			left = min(left, max/it.Size)
		}
		for k := 1; left > 0; k *= 2 {
			k = min(k, left)
			left -= k
			dst = append(dst, layer{i, k, k * it.Size, int64(k) * it.Value})
		}
	}
	return dst
}

// Table is the dense form. The zero value is ready.
type Table struct {
	base *Table // of the items before
	max  int
	f    []int64
	lay  []layer
	take []byte
	work int64
}

// Fill implements Filler.
func (t *Table) Fill(max int, items []Item) {
	t.base, t.max = nil, max
	t.lay = layers(t.lay, max, items)
	if cap(t.f) <= max {
		t.f = make([]int64, max+1)
	}
	t.f = t.f[:max+1]
	clear(t.f)
	t.add()
}

// Extend prepares what base was filled with and the items behind the first from.
// It stays good until base is filled again.
func (t *Table) Extend(base *Table, items []Item, from int) {
	t.base, t.max = base, base.max
	t.lay = layers(t.lay, t.max, items[from:])
	for k := range t.lay {
		t.lay[k].item += from
	}
	t.f = append(t.f[:0], base.f...)
	t.work += int64(len(t.f)) / 8
	t.add()
}

// add puts the layers into the table.
func (t *Table) add() {
	n := t.max + 1
	if need := n * len(t.lay); cap(t.take) < need {
		t.take = make([]byte, need+need/4)
	}
	t.take = t.take[:cap(t.take)]
	for k, l := range t.lay {
		row := t.take[k*n : k*n+n]
		src := t.f[:n-l.size]
		dst := t.f[l.size:][:len(src)]
		mark := row[l.size:][:len(src)]
		v := l.value
		clear(row[:l.size])
		for c := len(src) - 1; c >= 0; c-- {
			a, b := src[c]+v, dst[c]
			var m byte
			if a > b {
				b, m = a, 1
			}
			dst[c], mark[c] = b, m
		}
		t.work += int64(len(src))
	}
}

// Best implements Filler.
func (t *Table) Best(c int) int64 {
	if c <= 0 {
		return 0
	}
	return t.f[c]
}

// Take implements Filler.
func (t *Table) Take(c int, counts []int) {
	if c <= 0 {
		return
	}
	n := t.max + 1
	for k := len(t.lay) - 1; k >= 0; k-- {
		if t.take[k*n+c] != 0 {
			l := &t.lay[k]
			counts[l.item] += l.copies
			c -= l.size
		}
	}
	if t.base != nil {
		t.base.Take(c, counts)
	}
}

// Work implements Filler.
func (t *Table) Work() int64 { return t.work }

// List is the sparse form: the undominated (size, value) sums in order of size.
// The zero value is ready.
type List struct {
	// Single says that only the full capacity will be asked for: sums that
	// cannot lead to its best value are dropped on the way.
	Single bool

	state []state // arena
	front []int32 // undominated, by size
	next  []int32
	lay   []layer
	work  int64
}

type state struct {
	size   int
	value  int64
	parent int32
	layer  int32
}

// Fill implements Filler.
func (l *List) Fill(limit int, items []Item) {
	l.lay = layers(l.lay, limit, items)
	slices.SortStableFunc(l.lay, func(a, b layer) int { return b.size - a.size })
	floor := int64(-1) // a value that is reached for certain
	var rate []float64 // greatest value of a unit from a layer on
	if l.Single {
		slices.SortStableFunc(l.lay, func(a, b layer) int {
			return cmp.Compare(float64(b.value)/float64(max(1, b.size)), float64(a.value)/float64(max(1, a.size)))
		})
		room := limit
		floor = 0
		rate = make([]float64, len(l.lay)+1)
		for k, y := range l.lay {
			rate[k] = float64(y.value) / float64(max(1, y.size)) * (1 + 1e-9)
			if y.size <= room {
				room -= y.size
				floor += y.value
			}
		}
	}
	l.state = append(l.state[:0], state{parent: -1})
	l.front = append(l.front[:0], 0)
	for k, y := range l.lay {
		l.next = l.next[:0]
		a, b := 0, 0 // old states as they are, and old states with the layer added
		last := int64(-1)
		for a < len(l.front) || b < len(l.front) {
			var old, add *state
			if a < len(l.front) {
				old = &l.state[l.front[a]]
			}
			if b < len(l.front) {
				add = &l.state[l.front[b]]
				if add.size+y.size > limit {
					add, b = nil, len(l.front)
				}
			}
			switch {
			case old == nil && add == nil:
			case add == nil || old != nil && (old.size < add.size+y.size || old.size == add.size+y.size && old.value >= add.value+y.value):
				if old.value > last {
					last = old.value
					if rate != nil && float64(old.value)+float64(limit-old.size)*rate[k+1] < float64(floor)-1 {
						a++
						continue
					}
					l.next = append(l.next, l.front[a])
				}
				a++
			default:
				if v := add.value + y.value; v > last {
					last = v
					if rate != nil && float64(v)+float64(limit-add.size-y.size)*rate[k+1] < float64(floor)-1 {
						b++
						continue
					}
					l.state = append(l.state, state{add.size + y.size, v, l.front[b], int32(k)})
					l.next = append(l.next, int32(len(l.state)-1))
				}
				b++
			}
		}
		l.work += 4 * int64(len(l.front))
		l.front, l.next = l.next, l.front
	}
}

func (l *List) at(c int) int32 {
	k := sort.Search(len(l.front), func(k int) bool { return l.state[l.front[k]].size > c })
	return l.front[k-1]
}

// Best implements Filler.
func (l *List) Best(c int) int64 {
	if c <= 0 {
		return 0
	}
	return l.state[l.at(c)].value
}

// Take implements Filler.
func (l *List) Take(c int, counts []int) {
	if c <= 0 {
		return
	}
	for s := l.at(c); s > 0; s = l.state[s].parent {
		y := l.lay[l.state[s].layer]
		counts[y.item] += y.copies
	}
}

// Work implements Filler.
func (l *List) Work() int64 { return l.work }

// Steps implements Filler: the capacities at which the best value rises.
func (t *Table) Steps(c int, visit func(c, least int, v int64)) {
	last := int64(-1)
	for k, v := range t.f[:min(c, t.max)+1] {
		if v > last {
			last = v
			visit(k, k, v)
		}
	}
	t.work += int64(c)
}

// Steps implements Filler.
func (l *List) Steps(c int, visit func(c, least int, v int64)) {
	for _, k := range l.front {
		s := &l.state[k]
		if s.size > c {
			return
		}
		visit(s.size, s.size, s.value)
	}
	l.work += int64(len(l.front))
}
