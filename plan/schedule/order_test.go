package schedule

import (
	"context"
	"errors"
	"fmt"
	"math/rand/v2"
	"os"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
)

// randomShop is randomCosts with one cost a machine or one for every pair.
func randomShop(seed uint64, n, chains, machines int, pairs, metric bool) Problem {
	if pairs {
		return randomCosts(seed, n, chains, machines, func(r *rand.Rand, _, _ int) time.Duration { return time.Duration(1+r.IntN(12)) * time.Minute }, metric)
	}
	return randomCosts(seed, n, chains, machines, nil, metric)
}

// byTarget makes changes that cost what the new class costs to set up.
func byTarget(r *rand.Rand, m, to int) time.Duration {
	return time.Duration(2+(to*7+m*3)%11*2) * time.Minute
}

// randomCosts makes a shop like a maker's: chains of operations (one chain a
// part) over machines that know a few classes, with some needs between chains.
// price gives the cost of a change, nil one cost a machine; metric repairs the
// costs so that no detour pays.
func randomCosts(seed uint64, n, chains, machines int, price func(r *rand.Rand, machine, to int) time.Duration, metric bool) Problem {
	r := rand.New(rand.NewPCG(seed, 17))
	classes := make([]int, machines)
	cost := make([][][]time.Duration, machines)
	for m := range classes {
		classes[m] = 3 + r.IntN(4)
		flat := time.Duration(2+r.IntN(10)) * time.Minute
		c := make([][]time.Duration, classes[m]+1)
		for a := range c {
			c[a] = make([]time.Duration, classes[m]+1)
			for b := range c[a] {
				c[a][b] = flat
				if price != nil {
					c[a][b] = price(r, m, b)
				}
				if a == b {
					c[a][b] = 0
				}
			}
		}
		if metric {
			for k := range c {
				for a := range c {
					for b := range c {
						c[a][b] = min(c[a][b], c[a][k]+c[k][b])
					}
				}
			}
		}
		cost[m] = c
	}
	ops := make([]Operation, n)
	last := make([]int, chains)
	for i := range last {
		last[i] = -1
	}
	for i := range ops {
		m := r.IntN(machines)
		op := Operation{ID: fmt.Sprintf("s%02d", i), Machine: fmt.Sprintf("m%d", m), Setup: fmt.Sprint(r.IntN(classes[m])), Time: time.Duration(2+r.IntN(20)) * time.Minute}
		ch := i * chains / n
		if last[ch] >= 0 {
			op.After = append(op.After, ops[last[ch]].ID)
		}
		if r.IntN(5) == 0 {
			if o := r.IntN(chains); last[o] >= 0 && o != ch {
				op.After = append(op.After, ops[last[o]].ID)
			}
		}
		last[ch] = i
		ops[i] = op
	}
	return Problem{Operations: ops, Change: func(machine, from, to string) time.Duration {
		var m, t int
		fmt.Sscanf(machine, "m%d", &m)
		fmt.Sscan(to, &t)
		f := classes[m]
		if from != "" {
			fmt.Sscan(from, &f)
		}
		return cost[m][f][t]
	}}
}

// twoParts is the cost of set-ups made of a tool and a stop: the tool (an odd or
// an even class) is dear to change, the stop cheap.
func twoParts(_, from, to string) time.Duration {
	if from != "" && (from[0]-to[0])%2 == 0 {
		return 2 * time.Minute
	}
	return 12 * time.Minute
}

// toolAndStop is randomShop with such set-ups.
func toolAndStop(seed uint64, n, chains, machines int) Problem {
	p := randomShop(seed, n, chains, machines, false, false)
	p.Change = twoParts
	return p
}

// leastSetup is the plain dynamic program over (done, class of every machine),
// one operation at a time, with no shortcut.
func leastSetup(p Problem) time.Duration {
	type st struct {
		done uint32
		held string
	}
	n := len(p.Operations)
	at := map[string]int{}
	for i, op := range p.Operations {
		at[op.ID] = i
	}
	var machines []string
	for _, op := range p.Operations {
		if !slices.Contains(machines, op.Machine) {
			machines = append(machines, op.Machine)
		}
	}
	start := make([]string, len(machines))
	for i, m := range machines {
		start[i] = p.Holds[m]
	}
	level := map[st]time.Duration{{0, strings.Join(start, "|")}: 0}
	for range n {
		next := map[st]time.Duration{}
		for s, g := range level {
			held := strings.Split(s.held, "|")
			for i, op := range p.Operations {
				if s.done>>i&1 == 1 {
					continue
				}
				ok := true
				for _, id := range op.After {
					ok = ok && s.done>>at[id]&1 == 1
				}
				if !ok {
					continue
				}
				h := slices.Clone(held)
				m := slices.Index(machines, op.Machine)
				c := g
				if op.Setup != "" && h[m] != op.Setup {
					c += p.Change(op.Machine, h[m], op.Setup)
					h[m] = op.Setup
				}
				k := st{s.done | 1<<i, strings.Join(h, "|")}
				if old, ok := next[k]; !ok || c < old {
					next[k] = c
				}
			}
		}
		level = next
	}
	best := time.Duration(-1)
	for _, g := range level {
		if best < 0 || g < best {
			best = g
		}
	}
	return best
}

func TestOrderEqualsPlainDynamicProgram(t *testing.T) {
	for _, kind := range []struct {
		name string
		make func(seed uint64, n, chains, machines int) Problem
	}{
		{"when every change of a machine costs the same", func(s uint64, n, c, m int) Problem { return randomShop(s, n, c, m, false, false) }},
		{"when changes cost what the new class costs", func(s uint64, n, c, m int) Problem { return randomCosts(s, n, c, m, byTarget, false) }},
		{"when a tool is dear to change and its stop cheap", toolAndStop},
		{"when changes depend on the pair and detours never pay", func(s uint64, n, c, m int) Problem { return randomShop(s, n, c, m, true, true) }},
		{"when changes depend on the pair and detours may pay", func(s uint64, n, c, m int) Problem { return randomShop(s, n, c, m, true, false) }},
	} {
		t.Run(kind.name, func(t *testing.T) {
			seeds := uint64(25)
			if full() {
				seeds = 200
			}
			for seed := range seeds {
				n := 9 + int(seed%4)
				p := kind.make(seed, n, 3+int(seed%3), 2+int(seed%3))
				if seed%3 == 0 {
					p.Holds = map[string]string{"m0": "1"}
				}
				if seed%5 == 0 {
					p.Operations[3].Setup = ""
				}
				a, err := Order(context.Background(), p, Options{})
				if err != nil {
					t.Fatal(err)
				}
				if want := leastSetup(p); a.Setup != want || a.Status != Optimal || a.Bound != a.Total() {
					t.Fatalf("seed %d: set-up %v, bound %v, status %v; the plain program gives %v", seed, a.Setup, a.Bound-a.Work, a.Status, want)
				}
				if v := CheckOrder(p, a.Order); v != nil {
					t.Fatalf("seed %d: %v", seed, v)
				}
			}
		})
	}
}

// Locks are checked against trying every order.
func TestOrderWithLocksEqualsEveryOrder(t *testing.T) {
	for seed := range uint64(40) {
		r := rand.New(rand.NewPCG(seed, 3))
		p := randomShop(seed, 7, 3, 2, seed%2 == 0, seed%4 == 0)
		for range 2 {
			i, j := r.IntN(7), r.IntN(7)
			if i < j {
				p.Operations[j].RightAfter = p.Operations[i].ID
			}
		}
		if seed%3 == 0 {
			p.Pinned = []string{"s06", "s01"}
		}
		best := time.Duration(-1)
		every(p, func(order []Operation) {
			if _, s := p.Setups(order); best < 0 || s < best {
				best = s
			}
		})
		a, err := Order(context.Background(), p, Options{})
		if best < 0 {
			var ring *CycleError
			if !errors.As(err, &ring) && !errors.Is(err, ErrLock) {
				t.Fatalf("seed %d: no order is lawful but Order says %v, %v", seed, a.Order, err)
			}
			continue
		}
		if err != nil || a.Setup != best || a.Status != Optimal {
			t.Fatalf("seed %d: set-up %v (%v), trying every order gives %v", seed, a.Setup, err, best)
		}
		if v := CheckOrder(p, a.Order); v != nil {
			t.Fatalf("seed %d: %v", seed, v)
		}
	}
}

// every calls use with each lawful order (by the independent check).
func every(p Problem, use func([]Operation)) {
	var order []Operation
	taken := make([]bool, len(p.Operations))
	var grow func()
	grow = func() {
		if len(order) == len(taken) {
			if CheckOrder(p, ids(order)) == nil {
				use(order)
			}
			return
		}
		for i, op := range p.Operations {
			if taken[i] || slices.ContainsFunc(op.After, func(id string) bool {
				return !slices.ContainsFunc(order, func(o Operation) bool { return o.ID == id })
			}) {
				continue
			}
			taken[i] = true
			order = append(order, op)
			grow()
			order = order[:len(order)-1]
			taken[i] = false
		}
	}
	grow()
}

func full() bool { return os.Getenv("PILEWRIGHT_FULL") == "1" }

func TestOrderProvesShopsOfSixtyOperations(t *testing.T) {
	shops, proved, within := 5, 0, 0
	if full() {
		shops = 100
	}
	var worst, states int
	for seed := range shops {
		chains := 8 + 4*(seed%2)
		p := randomShop(uint64(seed)+1000, 60, chains, 5, false, false)
		switch seed % 3 {
		case 1:
			p = randomCosts(uint64(seed)+1000, 60, chains, 5, byTarget, false)
		case 2:
			p = toolAndStop(uint64(seed)+1000, 60, chains, 5)
		}
		began := time.Now()
		a, err := Order(context.Background(), p, Options{})
		if err != nil {
			t.Fatal(err)
		}
		took := time.Since(began)
		if v := CheckOrder(p, a.Order); v != nil {
			t.Fatalf("seed %d: %v", seed, v)
		}
		if a.Bound > a.Total() {
			t.Fatalf("seed %d: bound %v above %v", seed, a.Bound, a.Total())
		}
		if a.Status == Optimal {
			proved++
			if took < time.Second {
				within++
			}
		}
		worst, states = max(worst, a.States), states+a.States
		if testing.Verbose() {
			t.Logf("seed %d: set-up %v against %v part by part, %d states, %v", seed, a.Setup, a.NaiveSetup, a.States, took)
		}
	}
	t.Logf("%d of %d proved, %d within a second here; states: mean %d, most %d", proved, shops, within, states/shops, worst)
	if proved*100 < shops*95 {
		t.Errorf("%d of %d shops proved; want at least 95 in 100", proved, shops)
	}
}

func TestOrderSaysWhatIsWrong(t *testing.T) {
	step := func(id string, after ...string) Operation { return Operation{ID: id, After: after} }
	lock := func(id, behind string, after ...string) Operation {
		return Operation{ID: id, After: after, RightAfter: behind}
	}
	for _, tc := range []struct {
		name   string
		p      Problem
		is     error
		ring   []string
		locked bool
	}{
		{"a ring is named once round", Problem{Operations: []Operation{step("a"), step("b", "a", "d"), step("c", "b"), step("d", "c")}}, nil, []string{"b", "c", "d"}, false},
		{"a step that needs itself", Problem{Operations: []Operation{step("a", "a")}}, nil, []string{"a"}, false},
		{"a fixed order against the dependencies", Problem{Operations: []Operation{step("a"), step("b", "a")}, Pinned: []string{"b", "a"}}, nil, []string{"a", "b"}, false},
		{"a step that has to come between two locked ones", Problem{Operations: []Operation{step("a"), step("c", "a"), lock("b", "a", "c")}}, nil, []string{"a", "c"}, true},
		{"a need that does not exist", Problem{Operations: []Operation{step("a", "x")}}, ErrUnknown, nil, false},
		{"a lock behind nothing", Problem{Operations: []Operation{lock("a", "x")}}, ErrUnknown, nil, false},
		{"a fixed order of an unknown step", Problem{Operations: []Operation{step("a")}, Pinned: []string{"x"}}, ErrUnknown, nil, false},
		{"one id twice", Problem{Operations: []Operation{step("a"), step("a")}}, ErrTwice, nil, false},
		{"two steps locked behind one", Problem{Operations: []Operation{step("a"), lock("b", "a"), lock("c", "a")}}, ErrLock, nil, false},
		{"a time below zero", Problem{Operations: []Operation{{ID: "a", Time: -1}}}, ErrTime, nil, false},
		{"a change below zero", Problem{Operations: []Operation{{ID: "a", Machine: "m", Setup: "x"}}, Change: func(_, _, _ string) time.Duration { return -1 }}, ErrTime, nil, false},
	} {
		t.Run(tc.name, func(t *testing.T) {
			_, err := Order(context.Background(), tc.p, Options{})
			var ring *CycleError
			if tc.is != nil && !errors.Is(err, tc.is) {
				t.Fatalf("got %v, want %v", err, tc.is)
			}
			if tc.ring != nil {
				if !errors.As(err, &ring) {
					t.Fatalf("got %v, want a ring", err)
				}
				turn := slices.Index(ring.IDs, tc.ring[0])
				if turn < 0 || !slices.Equal(slices.Concat(ring.IDs[turn:], ring.IDs[:turn]), tc.ring) || ring.Locked != tc.locked {
					t.Fatalf("got ring %v (locked %v), want %v", ring.IDs, ring.Locked, tc.ring)
				}
				if !strings.Contains(err.Error(), tc.ring[0]) {
					t.Errorf("the message %q does not name the step", err)
				}
			}
		})
	}
}

func TestCheckOrderFindsEveryFault(t *testing.T) {
	p := Problem{Operations: []Operation{{ID: "a"}, {ID: "b", After: []string{"a"}}, {ID: "c", RightAfter: "a"}, {ID: "d"}}, Pinned: []string{"d", "b"}}
	for _, tc := range []struct {
		name  string
		order string
		want  []Violation
	}{
		{"a lawful order", "a c d b", nil},
		{"a need after its step", "d b a c", []Violation{{RuleBefore, "b", "a"}}},
		{"something between locked steps", "a d c b", []Violation{{RuleLock, "c", "a"}}},
		{"the fixed order turned round", "a c b d", []Violation{{RulePinned, "b", "d"}}},
		{"a step left out", "a c b", []Violation{{RuleMissing, "d", ""}}},
		{"a step twice", "a c d b d", []Violation{{RuleTwice, "d", ""}, {RulePinned, "b", "d"}}},
		{"a step that is not ours", "a c d b x", []Violation{{RuleUnknown, "x", ""}}},
	} {
		t.Run(tc.name, func(t *testing.T) {
			got := CheckOrder(p, strings.Fields(tc.order))
			if tc.name == "a step left out" {
				got = slices.DeleteFunc(got, func(v Violation) bool { return v.Rule == RulePinned })
			}
			if diff := cmp.Diff(tc.want, got); diff != "" {
				t.Error(diff)
			}
		})
	}
}

func TestOrderIsTheSameEveryTime(t *testing.T) {
	p := randomShop(5, 40, 6, 5, true, true)
	a, _ := Order(context.Background(), p, Options{MaxStates: 500})
	for range 3 {
		b, _ := Order(context.Background(), p, Options{MaxStates: 500})
		if diff := cmp.Diff(a, b); diff != "" {
			t.Fatal(diff)
		}
	}
}

func TestOrderStopsWhenAsked(t *testing.T) {
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	p := randomShop(2, 60, 12, 5, true, false)
	a, err := Order(ctx, p, Options{})
	if err != nil || CheckOrder(p, a.Order) != nil || a.Status == Limit || a.Bound > a.Total() {
		t.Fatalf("cancelled: %v, %v, bound %v of %v", err, a.Status, a.Bound, a.Total())
	}
	a, err = Order(context.Background(), p, Options{MaxStates: 1})
	if err != nil || CheckOrder(p, a.Order) != nil || a.Bound > a.Total() {
		t.Fatalf("limited: %v, %v", err, a.Status)
	}
}

func TestOrderOfVeryManySteps(t *testing.T) {
	p := randomShop(3, 400, 30, 5, false, false)
	a, err := Order(context.Background(), p, Options{})
	if err != nil || CheckOrder(p, a.Order) != nil || a.Bound > a.Total() || len(a.Steps) != 400 {
		t.Fatalf("got %d steps, %v, bound %v", len(a.Steps), err, a.Bound)
	}
	if a, err = Order(context.Background(), Problem{}, Options{}); err != nil || a.Status != Optimal || len(a.Order) != 0 {
		t.Fatalf("no steps at all: %v %v", a, err)
	}
}

func BenchmarkOrderSixty(b *testing.B) {
	for _, kind := range []struct {
		name string
		make func(seed uint64, chains int) Problem
	}{
		{"one cost a machine", func(s uint64, c int) Problem { return randomShop(s, 60, c, 5, false, false) }},
		{"cost of the new class", func(s uint64, c int) Problem { return randomCosts(s, 60, c, 5, byTarget, false) }},
		{"tool and stop", func(s uint64, c int) Problem { return toolAndStop(s, 60, c, 5) }},
		{"cost of the pair", func(s uint64, c int) Problem { return randomShop(s, 60, c, 5, true, true) }},
	} {
		for _, chains := range []int{8, 12} {
			b.Run(fmt.Sprintf("%s, %d chains", kind.name, chains), func(b *testing.B) {
				states, proved, n := 0, 0, 0
				for b.Loop() {
					a, err := Order(context.Background(), kind.make(uint64(1000+n%10), chains), Options{})
					if err != nil {
						b.Fatal(err)
					}
					states += a.States
					n++
					if a.Status == Optimal {
						proved++
					}
				}
				b.ReportMetric(float64(states)/float64(n), "states/op")
				b.ReportMetric(100*float64(proved)/float64(n), "%proved")
			})
		}
	}
}
