// Package pattern decides which cutting patterns to use on which boards: least
// cost so that every demand is met, within supplies and budgets. It knows no
// wood: an Oracle says what one board can hold, be it a line of blanks or
// sections and strips. Column generation gives bounds, dives and re-cutting of
// a few boards at a time give plans, branching on boards and counts closes the
// gap. Every bound is an exact integer computation (see Certificate).
//
// Start at Solve. Sources: Gilmore & Gomory 1961/63 (column generation); Belov
// & Scheithauer, EJOR 171 (2006) 85-106 (several stock lengths, sequential
// value correction); Wentges 1997 (smoothing); Farley 1990 and Baldacci et al.
// 2023 (bounds safe from rounding); Sadykov et al. 2019 (diving heuristics).
package pattern

import (
	"context"
	"math"
	"sync/atomic"
)

// Model is one problem. Items and groups are known by index.
type Model struct {
	Demand []int
	Groups []Group
	// Budgets are limits of sum of Weight[b] over the boards used: values of
	// earlier levels that must not get worse.
	Budgets []int64
	// Short, when not nil, is the cost of leaving out one copy of an item;
	// otherwise every demand must be met.
	Short []int64
	// Rest, when not nil, is what a pattern leaves of its board that is worth
	// keeping, in units of cost: a board in use costs its group's Cost less that.
	// It is never above Cost, and falls as pieces are added. The oracle is then a
	// Keeper.
	Rest func(*Column) int64
	// Oracle makes an oracle for one goroutine.
	Oracle func() Oracle
}

// columnCost is what one board cut by c costs.
func (m *Model) columnCost(c *Column) int64 {
	cost := m.Groups[c.Group].Cost
	if m.Rest != nil {
		cost -= m.Rest(c)
	}
	return cost
}

// Group is identical boards: the same patterns fit on each.
type Group struct {
	Cost   int64
	Supply int
	Weight []int64 // one a budget
}

// Part is N copies of an item at one place of a board: a segment of a line, or
// a corner (X, Y) in the oracle's units.
type Part struct {
	Item, N, Seg int
	X, Y         int64
}

// Column is one pattern of one group; Items and N are its totals.
type Column struct {
	Group int
	Parts []Part
	Items []int
	N     []int
}

// Oracle prices patterns. An oracle belongs to one goroutine.
type Oracle interface {
	// Price sets value[g], for every g with want[g], to the greatest total of
	// pi over one pattern of g with at most limit[i] copies of item i, or to
	// an upper bound of that. A pattern may hold fewer pieces than it could.
	Price(pi []int64, limit []int, want []bool, value []int64)
	// Pattern is the best pattern found for g by the last Price, within its limits.
	Pattern(g int) *Column
	// Work counts elementary operations.
	Work() int64
}

// Counter is an oracle whose boards are lines of segments, on which the count
// of one item in one segment can be bounded. Branching on counts needs it.
type Counter interface {
	Oracle
	// Line reports whether g is such a board, and the size of its segments.
	Line(g int) bool
	// PriceBounded is Price for one group under bounds.
	PriceBounded(g int, bounds []CountBound, pi []int64, limit []int) (int64, *Column)
	// Overuse finds an item that the value of g counts more often than its
	// limit, since segments are valued one by one: n copies on segment seg.
	Overuse(g int, bounds []CountBound, pi []int64, limit []int) (seg, item, n int, ok bool)
}

// Loosener is an oracle whose values may count an item more often than its
// limit; when loose, its patterns do too, so that a bound can be had in full.
type Loosener interface{ Loose(on bool) }

// Keeper is an oracle whose values can take in what patterns leave (Model.Rest).
type Keeper interface {
	// Keep makes the values of every later Price count the rest of a pattern
	// times 2^scale; below zero it counts for nothing.
	Keep(scale int)
}

// Teller is an oracle that knows more good patterns than the best one, for
// groups of many boards: each round of column generation may then add several.
type Teller interface {
	// More calls take, which says whether a pattern is of use, with patterns of g
	// found by the last Price.
	More(g int, take func(*Column) bool)
}

// CountBound keeps Lo <= copies of Item on segment Seg <= Hi.
type CountBound struct{ Seg, Item, Lo, Hi int }

// Use is a pattern used N times.
type Use struct {
	Col *Column
	N   int
}

// Plan is the patterns used and the copies left out.
type Plan struct {
	Uses  []Use
	Short []int // by item
	Cost  int64
}

// newColumn totals the parts.
func newColumn(g int, parts []Part) *Column {
	c := &Column{Group: g, Parts: parts}
	for _, p := range parts {
		k := 0
		for k < len(c.Items) && c.Items[k] != p.Item {
			k++
		}
		if k == len(c.Items) {
			c.Items = append(c.Items, p.Item)
			c.N = append(c.N, 0)
		}
		c.N[k] += p.N
	}
	return c
}

// Holds reports whether c has the items of d, as many of each.
func (c *Column) Holds(d *Column) bool {
	n := map[int]int{}
	for k, i := range d.Items {
		n[i] = d.N[k]
	}
	for k, i := range c.Items {
		if n[i] != c.N[k] {
			return false
		}
	}
	return len(c.Items) == len(n)
}

// NewColumn makes a column of parts for group g.
func NewColumn(g int, parts []Part) *Column { return newColumn(g, parts) }

// within is the column with no more copies of an item than left; nil if empty.
func (c *Column) within(left []int) *Column {
	fits := true
	for k, i := range c.Items {
		if c.N[k] > left[i] {
			fits = false
		}
	}
	if fits {
		return c
	}
	room := map[int]int{}
	for _, i := range c.Items {
		room[i] = left[i]
	}
	var parts []Part
	for _, p := range c.Parts {
		p.N = min(p.N, room[p.Item])
		room[p.Item] -= p.N
		if p.N > 0 {
			parts = append(parts, p)
		}
	}
	if len(parts) == 0 {
		return nil
	}
	return newColumn(c.Group, parts)
}

// times is how often c fits in left.
func (c *Column) times(left []int) int {
	n := math.MaxInt32
	for k, i := range c.Items {
		n = min(n, left[i]/c.N[k])
	}
	if len(c.Items) == 0 {
		return 0
	}
	return n
}

// key orders and identifies columns.
func (c *Column) key() uint64 {
	h := uint64(c.Group)*0x9E3779B97F4A7C15 + 1
	// Order of parts does not matter: a sum of mixed terms.
	s := uint64(0)
	for _, p := range c.Parts {
		t := uint64(p.Item)*0xBF58476D1CE4E5B9 ^ uint64(p.Seg+1)*0x94D049BB133111EB ^ uint64(p.X)*0xD6E8FEB86659FD93 ^ uint64(p.Y)*0xA0761D6478BD642F
		t ^= t >> 29
		t *= 0xBF58476D1CE4E5B9
		t ^= t >> 32
		s += t * uint64(p.N)
	}
	h ^= s
	h ^= h >> 31
	return h * 0x9E3779B97F4A7C15
}

// Limits end a solve.
type Limits struct {
	// Work is the deterministic limit, in elementary operations of one worker
	// (about 1e9 a second); 0 means none.
	Work int64
	// Target stops as soon as a plan this cheap is known.
	Target int64
	// Nodes of the tree kept in the certificate at most; 0 means 1,000.
	Nodes int
	// Single keeps the search on one goroutine.
	Single bool
	Seed   uint64
}

// clock is the deterministic clock of one worker: it counts work, and at every
// mark of work lets the workers exchange what they found.
type clock struct {
	ctx     context.Context
	stopped *atomic.Bool // everything ends
	halted  bool         // this worker ends
	tick    int
	work    int64
	mark    int64
	meet    func() // nil while one goroutine works alone
	limit   int64  // work after which everything ends; 0 = none
}

const quantum = 2_000_000

func (c *clock) stop() { c.halted = true }

func (c *clock) cancelled() bool {
	for c.meet != nil && c.work >= c.mark && !c.halted {
		c.mark += quantum
		c.meet()
	}
	if c.halted || c.stopped.Load() || c.limit > 0 && c.work >= c.limit {
		return true
	}
	select {
	case <-c.ctx.Done():
		c.stopped.Store(true)
		return true
	default:
		return false
	}
}

// poll reports whether the solve must end; it is cheap enough for inner loops.
func (c *clock) poll() bool {
	c.tick++
	if c.tick&3 != 0 && (c.meet == nil || c.work < c.mark) {
		return c.halted || c.stopped.Load()
	}
	return c.cancelled()
}

func gcd(a, b int64) int64 {
	for b != 0 {
		a, b = b, a%b
	}
	if a < 0 {
		return -a
	}
	return a
}

// ceilTo is the least multiple of step not below num/den.
func ceilTo(num, den, step int64) int64 {
	q := num / den
	if num%den > 0 {
		q++
	}
	if step > 1 {
		r := q % step
		if r > 0 {
			q += step - r
		} else if r < 0 {
			q -= r
		}
	}
	return q
}
