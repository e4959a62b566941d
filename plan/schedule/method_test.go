package schedule

import (
	"context"
	"errors"
	"math/rand/v2"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
)

// A housing cut many times at the mitre saw's depth stop, or once each with the
// dado stack at the table saw: figures worked by hand.
func TestOrderChoosesTheMethod(t *testing.T) {
	change := func(machine, _, to string) time.Duration {
		if to == "dado" {
			return minutes(25)
		}
		return minutes(5)
	}
	housing := func(id, group string, after ...string) Operation {
		return Operation{ID: id, Group: group, After: after, Methods: []Method{
			{"depth stop", "mitre saw", "stop", minutes(12)},
			{"dado stack", "table saw", "dado", minutes(3)},
		}}
	}
	for _, tc := range []struct {
		name  string
		ops   []Operation
		want  []Choice
		total int
	}{
		// 2 x 12 + 5 = 29 against 2 x 3 + 25 = 31.
		{"two housings are nibbled at the depth stop", []Operation{housing("a", "h"), housing("b", "h")}, []Choice{{"h", "depth stop"}}, 29},
		// 3 x 12 + 5 = 41 against 3 x 3 + 25 = 34.
		{"three pay for the stack", []Operation{housing("a", "h"), housing("b", "h"), housing("c", "h")}, []Choice{{"h", "dado stack"}}, 34},
		// Each group alone would take the stop (29 + 24); together the stack is cheaper: 25 + 4 x 3 = 37.
		{"two groups share one stack", []Operation{housing("a", "h"), housing("b", "h"), housing("c", "k"), housing("d", "k")}, []Choice{{"h", "dado stack"}, {"k", "dado stack"}}, 37},
		{"operations without a group choose apart", []Operation{housing("a", ""), housing("b", "")}, []Choice{{"a", "depth stop"}, {"b", "depth stop"}}, 29},
	} {
		t.Run(tc.name, func(t *testing.T) {
			p := Problem{Operations: tc.ops, Change: change}
			a, err := Order(context.Background(), p, Options{})
			if err != nil {
				t.Fatal(err)
			}
			if diff := cmp.Diff(tc.want, a.Chosen); diff != "" {
				t.Error(diff)
			}
			if a.Total() != minutes(tc.total) || a.Status != Optimal || a.Bound != a.Total() {
				t.Errorf("total %v, bound %v, want %d min proved", a.Total(), a.Bound, tc.total)
			}
			if v := CheckOrder(p, a.Order); v != nil {
				t.Error(v)
			}
			if a.Saves() < 0 {
				t.Errorf("saves %v", a.Saves())
			}
		})
	}
	odd := housing("b", "h")
	odd.Methods = odd.Methods[:1]
	if _, err := Order(context.Background(), Problem{Operations: []Operation{housing("a", "h"), odd}}, Options{}); !errors.Is(err, ErrMethods) {
		t.Errorf("different methods in one group: %v", err)
	}
	odd.Group, odd.Methods = "", []Method{{Time: -1}}
	if _, err := Order(context.Background(), Problem{Operations: []Operation{odd}}, Options{}); !errors.Is(err, ErrTime) {
		t.Errorf("a time below zero: %v", err)
	}
}

// randomMethods gives some operations of a random shop a second method.
func randomMethods(seed uint64, n, share int) Problem {
	r := rand.New(rand.NewPCG(seed, 5))
	p := randomShop(seed, n, 3, 3, seed%2 == 0, true)
	for i := range p.Operations {
		op := &p.Operations[i]
		if r.IntN(share) > 0 {
			continue
		}
		other := p.Operations[r.IntN(n)]
		op.Methods = []Method{{"one", op.Machine, op.Setup, op.Time}, {"two", other.Machine, other.Setup, time.Duration(1+r.IntN(25)) * time.Minute}}
		if r.IntN(2) == 0 {
			op.Group = "g"
		}
	}
	return p
}

// Every combination of methods is compared with the plain dynamic program.
func TestMethodsEqualEveryCombination(t *testing.T) {
	for seed := range uint64(20) {
		p := randomMethods(seed, 9, 3)
		groups, err := gather(p.Operations)
		if err != nil {
			t.Fatal(err)
		}
		best := time.Duration(-1)
		pick := make([]int, len(groups))
		for more := true; more; more = next(pick, groups) {
			q := p
			q.Operations = choose(p.Operations, groups, pick)
			if total := leastSetup(q) + workTime(q.Operations); best < 0 || total < best {
				best = total
			}
		}
		a, err := Order(context.Background(), p, Options{})
		if err != nil || a.Total() != best || a.Status != Optimal {
			t.Errorf("seed %d: total %v, bound %v (%v), every combination gives %v", seed, a.Total(), a.Bound, err, best)
		}
		if setups, setup := p.Setups(a.Steps); setups != a.Setups || setup != a.Setup || workTime(a.Steps) != a.Work {
			t.Errorf("seed %d: the totals do not add up", seed)
		}
	}
}

// With more combinations than are compared one by one the answer stays lawful,
// is never worse than the first methods, and its bound holds.
func TestManyMethodsStayWithinTheirBound(t *testing.T) {
	p := randomMethods(3, 40, 2)
	for i := range p.Operations {
		p.Operations[i].Group = ""
	}
	a, err := Order(context.Background(), p, Options{MaxStates: 20_000})
	if err != nil || CheckOrder(p, a.Order) != nil {
		t.Fatal(err)
	}
	if a.Bound > a.Total() || a.Saves() < 0 {
		t.Errorf("total %v, bound %v, saves %v", a.Total(), a.Bound, a.Saves())
	}
}
