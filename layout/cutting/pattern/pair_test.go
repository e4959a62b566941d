package pattern

import (
	"context"
	"fmt"
	"math/rand/v2"
	"sync/atomic"
	"testing"
)

// cheapest is the least cost of bins for the pieces, by trying every piece in
// every bin; a bin costs what the cheapest length that holds its load costs.
func cheapest(sizes []int, stock []Stock) int64 {
	cost := func(load int) int64 {
		c := int64(1 << 40)
		for _, s := range stock {
			if s.Length >= load {
				c = min(c, s.Cost)
			}
		}
		return c
	}
	best := int64(1 << 40)
	load := make([]int, len(sizes))
	var try func(k, used int, spent int64)
	try = func(k, used int, spent int64) {
		if spent >= best {
			return
		}
		if k == len(sizes) {
			best = spent
			return
		}
		for b := range used + 1 {
			old := int64(0)
			if b < used {
				old = cost(load[b])
			}
			load[b] += sizes[k]
			try(k+1, max(used, b+1), spent-old+cost(load[b]))
			load[b] -= sizes[k]
		}
	}
	try(0, 0, 0)
	return best
}

func TestPairsAgreeWithTryingEverything(t *testing.T) {
	closed, hard := 0, 0
	for seed := range uint64(300) {
		r := rand.New(rand.NewPCG(seed, 41))
		c := 40 + r.IntN(60)
		stock := []Stock{{Length: c, Cost: int64(20 + r.IntN(5))}}
		if seed%3 > 0 {
			stock = append(stock, Stock{Length: c * 2 / 3, Cost: int64(13 + r.IntN(4))})
		}
		var items []Demand
		var sizes []int
		seen := map[int]bool{}
		for len(sizes) < 8 {
			s := c/6 + r.IntN(c/2-c/6)
			if seen[s] {
				continue
			}
			seen[s] = true
			n := 1 + r.IntN(3)
			items = append(items, Demand{s, n})
			for range n {
				sizes = append(sizes, s)
			}
		}
		want := cheapest(sizes, stock)
		m := BinPack(items, stock)
		clk := &clock{ctx: context.Background(), stopped: &atomic.Bool{}}
		o := m.Oracle()
		supply := make([]int, len(m.Groups))
		for g := range supply {
			supply[g] = m.Groups[g].Supply
		}
		root := newMaster(m, clk, o, m.Demand, supply, 1)
		root.bounding = true
		root.generate(want+1, 500, true, false)
		// Asked for better than the best the search must find nothing, asked
		// for the best it must find it, unless it says that it got stuck.
		for _, ub := range []int64{want, want + 1} {
			pt := newPairTree(m, root, clk, ub, int(seed%2))
			for n := 0; !pt.done() && n < 5000; n++ {
				pt.step()
			}
			if !pt.done() {
				t.Fatalf("seed %d: the search for less than %d did not end", seed, ub)
			}
			if pt.plan != nil && pt.plan.Cost < want {
				t.Errorf("seed %d: a plan of %d, the best is %d", seed, pt.plan.Cost, want)
			}
			if pt.stuck < ub {
				continue
			}
			if closed++; root.lb < want {
				hard++
			}
			if found := pt.plan != nil; found != (ub > want) {
				t.Errorf("seed %d: best %d, asked for less than %d, found %v", seed, want, ub, found)
			}
		}
		if seed%6 == 0 {
			res := Solve(context.Background(), m, Limits{Work: 20_000_000}, nil, nil)
			if !res.Proved || res.Plan.Cost != want {
				t.Errorf("seed %d: solved to %d, proved %v, the best is %d", seed, res.Plan.Cost, res.Proved, want)
			}
			if res.Whole && res.Bound > res.RootBound && res.Proof.Left == nil && res.Proof.LeftNode == nil {
				t.Errorf("seed %d: the stored proof ends at %d, yet %d is said to be stored", seed, res.RootBound, res.Bound)
			}
		}
	}
	if closed < 300 || hard < 20 {
		t.Errorf("only %d searches were whole, %d with a gap to close", closed, hard)
	}
	t.Logf("%d whole searches, %d with a gap", closed, hard)
}

func TestPairsOfPiecesAlikeAreDecidedOnce(t *testing.T) {
	size := []int{5, 5, 5, 7, 7, 9}
	p := newPairs(6)
	p.partAlike(0, 3, size)
	for a := range int32(3) {
		for b := int32(3); b < 5; b++ {
			if !p.apart(a, b) || !p.apart(b, a) {
				t.Errorf("pieces %d and %d may still be cut together", a, b)
			}
		}
	}
	if p.apart(0, 5) || p.apart(0, 1) {
		t.Error("pieces that nothing was said about are apart")
	}
	q := newPairs(6)
	q.part(0, 5)
	q.partAlike(0, 3, size)
	if q.apart(1, 3) {
		t.Error("piece 1 was unlike piece 0 and must not share its fate")
	}
	q.join(1, 2)
	for _, c := range []struct {
		items []Part
		bad   bool
	}{
		{[]Part{{Item: 1, N: 1}, {Item: 2, N: 1}}, false},
		{[]Part{{Item: 1, N: 1}}, true},
		{[]Part{{Item: 0, N: 1}, {Item: 5, N: 1}}, true},
		{[]Part{{Item: 0, N: 1}, {Item: 1, N: 1}, {Item: 2, N: 1}}, false},
	} {
		if got := q.breaks(newColumn(0, c.items)); got != c.bad {
			t.Errorf("%v breaks the decisions: %v", fmt.Sprint(c.items), got)
		}
	}
}
