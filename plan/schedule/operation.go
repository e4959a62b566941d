// Package schedule decides in which order the operations of a job are worked so
// that the machines are set up as little as possible, when each operation falls
// in the shop's hours, and writes the result as an iCalendar file.
//
// It knows operations, machines, set-ups, waits and sessions, and nothing of
// boards, parts or money. It has no clock: every date is passed in. Start at
// Order (fewest set-ups), Place (dates) and Arrange (both together).
package schedule

import (
	"errors"
	"fmt"
	"slices"
	"strings"
	"time"
)

// Operation is one thing done at one machine in one set-up.
type Operation struct {
	ID      string
	Machine string
	// Setup names what the machine must hold: tool (blade, stack, bit) with its
	// fence or stop setting. Equal names are one set-up. Empty: none is needed.
	Setup string
	Time  time.Duration // hands on, without the change of set-up
	After []string      // operations that come before it, and whose waits it keeps
	Then  []string      // operations that come before it, whose waits it does not keep
	// Wait is how long its successors must wait after it: a glue's cure, a
	// coat's drying. It runs on through nights.
	Wait time.Duration
	// Whole says that it is begun and ended in one session: a glue-up has to be
	// in its clamps before the shop closes.
	Whole bool
	// NotBefore is a moment before which it cannot begin, on top of its needs: a
	// cure begun earlier, a delivery. Zero: none. Only the calendar looks at it.
	NotBefore time.Time
	// RightAfter locks it directly behind another operation. It orders the two
	// but keeps no wait unless After names the other too.
	RightAfter string
	// Group and Methods give several ways to do it; Machine, Setup and Time are
	// then taken from the chosen method. Operations of one group (which all have
	// the same method names) share one choice; an empty group is a choice of its own.
	Group   string
	Methods []Method
}

// Method is one way to do an operation.
type Method struct {
	Name    string
	Machine string
	Setup   string
	Time    time.Duration
}

// Problem is a set of operations and what changing set-ups costs.
type Problem struct {
	// Operations are in the order of a maker who works one part after another;
	// ties are broken by it, and the saving is measured against it.
	Operations []Operation
	// Change is the time to bring a machine from one set-up to another; from is
	// empty when nothing is set. Nil: every change takes a minute, which counts set-ups.
	Change func(machine, from, to string) time.Duration
	Holds  map[string]string // what machines hold before the work begins
	Pinned []string          // operations kept in this order among one another
}

// Errors of a problem that cannot be ordered; see also CycleError.
var (
	ErrUnknown   = errors.New("names a step that does not exist")
	ErrTwice     = errors.New("is named twice")
	ErrLock      = errors.New("two steps are locked right after the same step")
	ErrTime      = errors.New("a time is below zero")
	ErrMethods   = errors.New("steps of one group must offer the same methods")
	ErrNoSession = errors.New("the shop has no hours")
)

// CycleError says that operations wait on one another in a ring.
type CycleError struct {
	IDs []string // the ring once round, each needing the one before it
	// Locked says that the ring closes only through steps locked together: a
	// step would have to come between two that are locked.
	Locked bool
}

func (e *CycleError) Error() string {
	ring := strings.Join(append(slices.Clone(e.IDs), e.IDs[0]), " -> ")
	if e.Locked {
		return "a step would have to come between two that are locked together: " + ring + "; undo one lock"
	}
	return "these steps wait on each other: " + ring + "; remove one of these dependencies"
}

// network is the validated precedence of a list of operations.
type network struct {
	index  map[string]int
	before [][]int // every predecessor
	waits  [][]int // predecessors whose wait is kept
	next   []int   // the operation locked right behind, or -1
	prev   []int   // the operation it is locked behind, or -1
}

func connect(ops []Operation, pinned []string) (*network, error) {
	n := &network{index: make(map[string]int, len(ops)), before: make([][]int, len(ops)), waits: make([][]int, len(ops)), next: make([]int, len(ops)), prev: make([]int, len(ops))}
	for i, op := range ops {
		if _, dup := n.index[op.ID]; dup {
			return nil, fmt.Errorf("step %q %w", op.ID, ErrTwice)
		}
		n.index[op.ID] = i
		n.next[i], n.prev[i] = -1, -1
		if op.Time < 0 || op.Wait < 0 {
			return nil, fmt.Errorf("step %q: %w", op.ID, ErrTime)
		}
	}
	for i, op := range ops {
		for k, id := range slices.Concat(op.After, op.Then) {
			j, ok := n.index[id]
			if !ok {
				return nil, fmt.Errorf("step %q comes after %q and %w", op.ID, id, ErrUnknown)
			}
			if k < len(op.After) && !slices.Contains(n.waits[i], j) {
				n.waits[i] = append(n.waits[i], j)
			}
			if !slices.Contains(n.before[i], j) {
				n.before[i] = append(n.before[i], j)
			}
		}
	}
	for i, op := range ops {
		if op.RightAfter == "" {
			continue
		}
		j, ok := n.index[op.RightAfter]
		if !ok {
			return nil, fmt.Errorf("step %q is locked after %q and %w", op.ID, op.RightAfter, ErrUnknown)
		}
		if n.next[j] >= 0 {
			return nil, fmt.Errorf("%w: %q and %q after %q", ErrLock, ops[n.next[j]].ID, op.ID, op.RightAfter)
		}
		n.next[j], n.prev[i] = i, j
		n.before[i] = append(n.before[i], j)
	}
	last := -1
	for _, id := range pinned {
		i, ok := n.index[id]
		if !ok {
			return nil, fmt.Errorf("the fixed order holds %q and %w", id, ErrUnknown)
		}
		if last >= 0 {
			n.before[i] = append(n.before[i], last)
		}
		last = i
	}
	if ring := findRing(n.before); ring != nil {
		return nil, ringError(ops, ring, false)
	}
	return n, nil
}

func ringError(ops []Operation, ring []int, locked bool) error {
	ids := make([]string, len(ring))
	for k, i := range ring {
		ids[k] = ops[i].ID
	}
	return &CycleError{IDs: ids, Locked: locked}
}

// findRing gives the nodes of a directed ring, each a predecessor of the next
// one, or nil. Depth-first search with three colours.
func findRing(before [][]int) []int {
	colour := make([]int8, len(before))
	var path, ring []int
	var visit func(i int) bool
	visit = func(i int) bool {
		colour[i] = 1
		path = append(path, i)
		for _, j := range before[i] {
			switch colour[j] {
			case 1:
				ring = slices.Clone(path[slices.Index(path, j):])
				slices.Reverse(ring)
				return true
			case 0:
				if visit(j) {
					return true
				}
			}
		}
		colour[i] = 2
		path = path[:len(path)-1]
		return false
	}
	for i := range before {
		if colour[i] == 0 && visit(i) {
			return ring
		}
	}
	return nil
}

// chains gives the operations that are locked together, each chain once, in
// the order of their first operations.
func (n *network) chains() [][]int {
	var all [][]int
	for i := range n.prev {
		if n.prev[i] >= 0 {
			continue
		}
		chain := []int{i}
		for j := n.next[i]; j >= 0; j = n.next[j] {
			chain = append(chain, j)
		}
		all = append(all, chain)
	}
	return all
}

// sort gives the chains, their numbers in a lawful order that stays as near as
// can be to the order of the problem, and the chains each one comes after.
func (n *network) sort(ops []Operation) (chains [][]int, seq []int, before [][]int, err error) {
	chains = n.chains()
	of := make([]int, len(ops))
	for c, chain := range chains {
		for _, i := range chain {
			of[i] = c
		}
	}
	before = make([][]int, len(chains))
	for c, chain := range chains {
		for _, i := range chain {
			for _, j := range n.before[i] {
				if of[j] != c && !slices.Contains(before[c], of[j]) {
					before[c] = append(before[c], of[j])
				}
			}
		}
	}
	if ring := findRing(before); ring != nil {
		heads := make([]int, len(ring))
		for k, c := range ring {
			heads[k] = chains[c][0]
		}
		return nil, nil, nil, ringError(ops, heads, true)
	}
	return chains, sortFirst(before), before, nil
}

// sortFirst is Kahn's topological sort taking the lowest free number first.
func sortFirst(before [][]int) []int {
	left := make([]int, len(before))
	after := make([][]int, len(before))
	for i, b := range before {
		left[i] = len(b)
		for _, j := range b {
			after[j] = append(after[j], i)
		}
	}
	var free, seq []int
	for i, n := range left {
		if n == 0 {
			free = append(free, i)
		}
	}
	for len(free) > 0 {
		i := free[0]
		free = free[1:]
		seq = append(seq, i)
		for _, j := range after[i] {
			left[j]--
			if left[j] == 0 {
				at, _ := slices.BinarySearch(free, j)
				free = slices.Insert(free, at, j)
			}
		}
	}
	return seq
}

func (p Problem) change(machine, from, to string) time.Duration {
	if from == to || to == "" {
		return 0
	}
	if p.Change == nil {
		return time.Minute
	}
	return p.Change(machine, from, to)
}

// Setups counts the changes of set-up of the operations in the order given and
// adds up their time.
func (p Problem) Setups(order []Operation) (count int, total time.Duration) {
	held := make(map[string]string, len(p.Holds))
	for m, s := range p.Holds {
		held[m] = s
	}
	for _, op := range order {
		if op.Setup == "" || held[op.Machine] == op.Setup {
			continue
		}
		count++
		total += p.change(op.Machine, held[op.Machine], op.Setup)
		held[op.Machine] = op.Setup
	}
	return count, total
}
