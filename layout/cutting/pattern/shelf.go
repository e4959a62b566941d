package pattern

import (
	"math/rand/v2"
	"slices"
	"sort"
)

// shelves keep the patterns seen of each board, the dearest first. Counts lie in
// bytes of words, so that a subtraction a word tells whether a pattern fits in
// what is left.
type shelves struct {
	pi    []int64
	place []int // of an item among the bytes
	words int   // a pattern
	most  int   // patterns of a board
	of    []*shelf
	now   []uint64
	set   together
}

// shelf is the patterns of one group.
type shelf struct {
	cols  []*Column
	value []int64
	key   []uint64
	count []uint64
	known map[uint64]bool // keys
}

const (
	// mostShelved is the most patterns of one board that are kept, allShelved of
	// all boards.
	mostShelved = 2000
	allShelved  = 60_000
	// mostCopies is the most of one item that a byte holds, highBits the bits
	// that tell that it holds less than nothing.
	mostCopies = 127
	highBits   = 0x8080808080808080
)

// newShelves are shelves for so many groups; nil where an item is demanded too often.
func newShelves(demand []int, pi []int64, units []int, groups int) *shelves {
	s := &shelves{pi: pi, place: make([]int, len(demand)), of: make([]*shelf, groups), most: min(mostShelved, allShelved/max(len(units), 1))}
	n := 0
	for i, d := range demand {
		if d > mostCopies {
			return nil
		}
		if d > 0 {
			s.place[i] = n
			n++
		}
	}
	s.words = (n + 7) / 8
	s.now = make([]uint64, s.words)
	s.set.words = s.words
	return s
}

// put adds copies of an item.
func (s *shelves) put(dst []uint64, item, n int) {
	at := s.place[item]
	dst[at>>3] += uint64(n) << (at & 7 * 8)
}

// fits reports whether a pattern's counts are within what is left.
func fits(left, c []uint64) bool {
	for w, x := range c {
		if ((left[w]|highBits)-x)&highBits != highBits {
			return false
		}
	}
	return true
}

// keep puts a pattern on its shelf, unless one with the same items is there, or
// enough dearer ones.
func (s *shelves) keep(c *Column) {
	if s == nil {
		return
	}
	l := s.of[c.Group]
	if l == nil {
		l = &shelf{known: map[uint64]bool{}}
		s.of[c.Group] = l
	}
	v := c.worth(s.pi)
	at := sort.Search(len(l.value), func(n int) bool { return l.value[n] < v })
	if at >= s.most {
		return
	}
	clear(s.now)
	for k, i := range c.Items {
		s.put(s.now, i, c.N[k])
	}
	key := uint64(0)
	for _, x := range s.now {
		key = (key ^ x) * 0x9E3779B97F4A7C15
		key ^= key >> 29
	}
	if l.known[key] {
		return
	}
	l.known[key] = true
	l.cols = slices.Insert(l.cols, at, c)
	l.value = slices.Insert(l.value, at, v)
	l.key = slices.Insert(l.key, at, key)
	l.count = slices.Insert(l.count, at*s.words, s.now...)
	if n := s.most; len(l.cols) > n {
		delete(l.known, l.key[n])
		l.cols[n] = nil
		l.cols, l.value, l.key, l.count = l.cols[:n], l.value[:n], l.key[:n], l.count[:n*s.words]
	}
}

// together is a search for patterns of a few boards that fit in what is left at
// once.
type together struct {
	words int
	lists [mostTogether]fitting
	now   int64 // what is to be exceeded
	least int64
	seen  int
	steps int // left
	old   [mostTogether]*Column
	pick  [mostTogether]*Column
	found [mostTogether]*Column
	r     *rand.Rand
}

// fitting is the patterns of one board that fit in what is left, the dearest first.
type fitting struct {
	cols  []*Column
	value []int64
	count []uint64
	left  []uint64 // before a pattern of this board is chosen
	tail  int64    // what this and the boards behind it hold at most
}

// mostTogether is the most boards searched at once, mostSteps the most patterns
// looked at.
const (
	mostTogether = 5
	mostSteps    = 20_000
)

// together looks for patterns of the groups given, other than old, that fit in
// what is left: the dearest, if worth more than now, else any worth at least
// least, each with the same chance. It gives up after so many steps, and returns
// the steps made.
func (s *shelves) together(groups []int, left []int, now, least int64, old [mostTogether]*Column, r *rand.Rand) (found []*Column, steps int) {
	clear(s.now)
	for i, n := range left {
		if n > 0 {
			s.put(s.now, i, n)
		}
	}
	t := &s.set
	t.now, t.least, t.seen, t.steps, t.old, t.r = now, least, 0, mostSteps, old, r
	t.pick, t.found = [mostTogether]*Column{}, [mostTogether]*Column{}
	if t.gather(s, groups) {
		t.choose(0, len(groups), 0)
	}
	if steps = (mostSteps - t.steps) * s.words; t.found[0] == nil {
		return nil, steps
	}
	return t.found[:len(groups)], steps
}

// gather lists the patterns that fit and may be part of what is looked for; it
// reports whether there is anything to find.
func (t *together) gather(s *shelves, groups []int) bool {
	var top [mostTogether]int // of each board, the dearest that fits
	total := int64(0)
	for k, g := range groups {
		l := s.of[g]
		if l == nil {
			return false
		}
		n := 0
		for n < len(l.cols) && !fits(s.now, l.count[n*t.words:(n+1)*t.words]) {
			n++
		}
		t.steps -= n / 4
		if n == len(l.cols) {
			return false
		}
		top[k] = n
		total += l.value[n]
	}
	tail := int64(0)
	for k := len(groups) - 1; k >= 0; k-- {
		l, f := s.of[groups[k]], &t.lists[k]
		f.cols, f.value, f.count = f.cols[:0], f.value[:0], f.count[:0]
		f.left = append(f.left[:0], s.now...)
		best := l.value[top[k]]
		tail += best
		f.tail = tail
		n := top[k]
		for ; n < len(l.cols) && l.value[n] >= t.least-total+best; n++ {
			if c := l.count[n*t.words : (n+1)*t.words]; fits(s.now, c) {
				f.cols, f.value = append(f.cols, l.cols[n]), append(f.value, l.value[n])
				f.count = append(f.count, c...)
			}
		}
		t.steps -= (n - top[k]) / 4
	}
	return total >= t.least
}

// choose goes through the patterns of the k-th board of n and those behind it,
// given what those before are worth.
func (t *together) choose(k, n int, worth int64) {
	l := &t.lists[k]
	behind := int64(0)
	if k+1 < n {
		behind = t.lists[k+1].tail
	}
	for q, v := range l.value {
		if worth+v+behind < t.least {
			return
		}
		if t.steps--; t.steps < 0 {
			return
		}
		c := l.count[q*t.words : (q+1)*t.words]
		if !fits(l.left, c) {
			continue
		}
		t.pick[k] = l.cols[q]
		if k+1 < n {
			next := t.lists[k+1].left
			for w, x := range c {
				next[w] = l.left[w] - x
			}
			t.choose(k+1, n, worth+v)
			continue
		}
		if t.pick == t.old {
			continue
		}
		if worth+v > t.now {
			t.found, t.now, t.least = t.pick, worth+v, worth+v+1 // nothing else counts any more
			return
		}
		if t.seen++; t.r.IntN(t.seen) == 0 {
			t.found = t.pick
		}
	}
}
