package pattern

import (
	"context"
	"math"
	"math/rand/v2"
	"slices"
	"sync/atomic"
	"testing"
)

func TestTheCheapestBoardsThatMeetAllConditionsAreChosen(t *testing.T) {
	r := rand.New(rand.NewPCG(7, 3))
	none := 0
	for n := range 200 {
		m := &Model{}
		s := &selection{ms: &master{m: m, step: 1}, first: make([]int, 6)}
		for g := range 6 { // some alike
			m.Groups = append(m.Groups, Group{Cost: int64(r.IntN(40)), Supply: 1 + r.IntN(3)})
			s.first[g] = len(s.units)
			for range m.Groups[g].Supply {
				s.units = append(s.units, g)
			}
		}
		for range 1 + r.IntN(4) {
			k := condition{need: int64(r.IntN(200)), value: make([]int64, len(s.units))}
			for u, g := range s.units {
				if k.value[u] = int64(r.IntN(50)); u > s.first[g] {
					k.value[u] = k.value[s.first[g]]
				}
				if k.value[u] > 0 {
					k.order = append(k.order, u)
				}
			}
			ratio := func(u int) float64 { return float64(m.Groups[s.units[u]].Cost) / float64(k.value[u]) }
			slices.SortStableFunc(k.order, func(a, b int) int {
				switch x, y := ratio(a), ratio(b); {
				case x < y:
					return -1
				case x > y:
					return 1
				}
				return 0
			})
			s.conds = append(s.conds, k)
		}
		want := int64(math.MaxInt64)
		for set := range 1 << len(s.units) {
			cost, meets := int64(0), true
			for u, g := range s.units {
				if set>>u&1 != 0 {
					cost += m.Groups[g].Cost
				}
			}
			for _, k := range s.conds {
				v := int64(0)
				for u := range s.units {
					if set>>u&1 != 0 {
						v += k.value[u]
					}
				}
				meets = meets && v >= k.need
			}
			if meets {
				want = min(want, cost)
			}
		}
		clk := &clock{ctx: context.Background(), stopped: &atomic.Bool{}}
		boards, got := s.withMargin(0, clk).choose(math.MaxInt64/4), int64(math.MaxInt64)
		if boards != nil || want == 0 {
			got = 0
			for _, g := range boards {
				got += m.Groups[g].Cost
			}
		} else {
			none++
		}
		if got != want {
			t.Errorf("case %d: boards %v cost %d, the cheapest %d", n, boards, got, want)
		}
	}
	if none == 0 || none > 150 {
		t.Errorf("%d of 200 cases have no answer", none)
	}
}
