package pattern

import (
	"math/rand/v2"
	"testing"
)

// TestPatternsFoundTogetherAreTheDearest compares the search among patterns seen
// with trying every choice of one pattern a board.
func TestPatternsFoundTogetherAreTheDearest(t *testing.T) {
	r := rand.New(rand.NewPCG(8, 3))
	better, other, nothing := 0, 0, 0
	for n := range 300 {
		items, boards := 1+r.IntN(20), 2+r.IntN(3)
		demand, pi, left := make([]int, items), make([]int64, items), make([]int, items)
		for i := range demand {
			demand[i] = r.IntN(6)
			if i == 0 {
				demand[i] = mostCopies
			}
			pi[i], left[i] = int64(1+r.IntN(1000)), demand[i]-r.IntN(demand[i]/2+1)
		}
		units := make([]int, boards)
		s := newShelves(demand, pi, units, boards)
		all, groups := make([][]*Column, boards), make([]int, boards)
		for g := range boards {
			groups[g] = g
			for range 1 + r.IntN(12) {
				var parts []Part
				for i, d := range demand {
					if d > 0 && r.IntN(4) == 0 {
						parts = append(parts, Part{Item: i, N: 1 + r.IntN(d)})
					}
				}
				if len(parts) == 0 {
					continue
				}
				c, known := newColumn(g, parts), false
				for _, x := range all[g] {
					known = known || x.Holds(c)
				}
				if s.keep(c); !known {
					all[g] = append(all[g], c)
				}
			}
			if s.of[g] != nil && len(s.of[g].cols) != len(all[g]) {
				t.Fatalf("case %d: %d patterns kept of %d", n, len(s.of[g].cols), len(all[g]))
			}
		}
		var old, pick [mostTogether]*Column
		for g := range boards {
			if len(all[g]) > 0 {
				old[g] = all[g][r.IntN(len(all[g]))]
			}
		}
		// The dearest choice other than old, by trying all.
		top := int64(-1)
		var try func(g int, worth int64)
		try = func(g int, worth int64) {
			if g == boards {
				if pick != old {
					top = max(top, worth)
				}
				return
			}
			for _, c := range all[g] {
				if c.within(left) != c {
					continue
				}
				for k, i := range c.Items {
					left[i] -= c.N[k]
				}
				pick[g] = c
				try(g+1, worth+c.worth(pi))
				for k, i := range c.Items {
					left[i] += c.N[k]
				}
			}
			pick[g] = nil
		}
		try(0, 0)
		least := max(top, 100) * int64(50+r.IntN(70)) / 100
		now := least + max(top, 100)*int64(r.IntN(60))/100
		found, _ := s.together(groups, left, now, least, old, r)
		if found == nil {
			if nothing++; top >= least {
				t.Errorf("case %d: nothing found, but a choice is worth %d, at least %d", n, top, least)
			}
			continue
		}
		worth, sum := int64(0), make([]int, items)
		for g, c := range found {
			if c.Group != g {
				t.Errorf("case %d: a pattern of board %d for board %d", n, c.Group, g)
			}
			worth += c.worth(pi)
			for k, i := range c.Items {
				sum[i] += c.N[k]
			}
		}
		for i := range sum {
			if sum[i] > left[i] {
				t.Errorf("case %d: %d of item %d, %d are left", n, sum[i], i, left[i])
			}
		}
		switch {
		case top > now && worth == top:
			better++
		case top <= now && worth >= least && worth <= now:
			other++
		default:
			t.Errorf("case %d: worth %d found, the dearest %d, now %d, at least %d", n, worth, top, now, least)
		}
	}
	if better < 20 || other < 20 || nothing < 20 {
		t.Errorf("better %d, other %d, nothing %d of the cases", better, other, nothing)
	}
}

// TestFullShelvesKeepTheDearest fills a shelf beyond what it holds.
func TestFullShelvesKeepTheDearest(t *testing.T) {
	demand, pi := make([]int, 12), make([]int64, 12)
	for i := range demand {
		demand[i], pi[i] = mostCopies, int64(100+i*i)
	}
	s := newShelves(demand, pi, []int{0}, 1)
	s.most = 50
	r := rand.New(rand.NewPCG(1, 2))
	var values []int64
	for range 500 {
		var parts []Part
		for i := range demand {
			parts = append(parts, Part{Item: i, N: 1 + r.IntN(demand[i])})
		}
		c := newColumn(0, parts)
		s.keep(c)
		s.keep(c) // once more is nothing more
		values = append(values, c.worth(pi))
	}
	l := s.of[0]
	if len(l.cols) != 50 || len(l.known) != 50 || len(l.count) != 50*s.words {
		t.Fatalf("%d patterns, %d known, %d words", len(l.cols), len(l.known), len(l.count))
	}
	for n, v := range l.value {
		above := 0
		for _, x := range values {
			if x > v {
				above++
			}
		}
		if l.cols[n].worth(pi) != v || above > n {
			t.Errorf("the %d-th is worth %d, of which %d are dearer", n, v, above)
		}
	}
	if newShelves([]int{mostCopies + 1}, []int64{1}, []int{0}, 1) != nil {
		t.Error("a count above what a byte holds has shelves")
	}
}
