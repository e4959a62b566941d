package pattern

import (
	"context"
	"math/rand/v2"
	"sync/atomic"
	"testing"
)

func TestFirstFitIsAPlan(t *testing.T) {
	plans := 0
	for seed := range uint64(60) {
		p := salvage(seed, 10+int(seed), 0.5)
		m := p.model(aim("length", seed, p))
		supply := make([]int, len(m.Groups))
		for g := range supply {
			supply[g] = m.Groups[g].Supply
		}
		o := m.Oracle().(*lineOracle)
		q := o.firstFit(m, m.Demand, supply)
		if q == nil {
			continue
		}
		plans++
		if !q.keeps(m, m.Demand, supply) {
			t.Errorf("seed %d: demands or supplies are broken", seed)
		}
		for _, u := range q.Uses {
			room := append([]int(nil), o.l.Segs[u.Col.Group]...)
			for _, part := range u.Col.Parts {
				if room[part.Seg] -= part.N * o.l.Size[part.Item]; room[part.Seg] < 0 {
					t.Errorf("seed %d: a run of board %d is overfull", seed, u.Col.Group)
				}
			}
		}
		if res := Solve(context.Background(), m, Limits{Work: 1}, nil, nil); res.Plan == nil || res.Plan.Cost > q.Cost {
			t.Errorf("seed %d: the solver's first answer is worse than what fits first", seed)
		}
	}
	if plans < 50 {
		t.Errorf("only %d plans", plans)
	}
}

func TestFineSizesHaveAPlanAtOnce(t *testing.T) {
	r := rand.New(rand.NewPCG(5, 5))
	var items []Demand
	for range 250 {
		items = append(items, Demand{1 + r.IntN(700_000), 1 + r.IntN(20)})
	}
	m := BinPack(items, []Stock{{Length: 1_500_000, Cost: 1}})
	ctx, cancel := context.WithCancel(context.Background())
	first := make(chan int64, 1)
	stopped := &atomic.Bool{}
	res := Solve(ctx, m, Limits{}, nil, func(p *Plan, _, work int64) {
		if !stopped.Swap(true) {
			first <- work
			cancel()
		}
	})
	if res.Plan == nil {
		t.Fatal("no plan")
	}
	if w := <-first; w > 1_000_000 {
		t.Errorf("the first plan took %d operations", w)
	}
}

// A quick plan follows every keystroke: its effort is what was given and a first
// plan, not a whole linear program of a big pile.
func TestALimitOfWorkHoldsOnABigPile(t *testing.T) {
	for _, boards := range []int{150, 300} {
		p := salvage(2, boards, 0.7)
		m := p.model(aim("length", 2, p))
		first := First(context.Background(), m, 0)
		o := m.Oracle()
		clk := &clock{ctx: context.Background(), stopped: &atomic.Bool{}}
		supply := make([]int, len(m.Groups))
		for g := range supply {
			supply[g] = m.Groups[g].Supply
		}
		greedy(m, o, clk, m.Demand, supply, m.sizes(o), 0)
		const limit = 2_000_000
		res := Solve(context.Background(), m, Limits{Work: limit}, first, nil)
		if most := limit + 3*clk.work; res.Work > most {
			t.Errorf("%d boards: %d operations for a limit of %d and a first plan of %d", boards, res.Work, limit, clk.work)
		}
		if res.Plan == nil || res.Plan.Cost > first.Cost {
			t.Errorf("%d boards: the plan given was lost", boards)
		}
	}
}
