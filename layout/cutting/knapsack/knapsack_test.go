package knapsack

import (
	"math/rand/v2"
	"testing"
)

// brute tries every combination.
func brute(c int, items []Item) int64 {
	if len(items) == 0 {
		return 0
	}
	best := int64(0)
	for n := 0; n <= items[0].Limit && n*items[0].Size <= c; n++ {
		best = max(best, int64(n)*items[0].Value+brute(c-n*items[0].Size, items[1:]))
	}
	return best
}

func TestBothFormsEqualBruteForceAtEveryCapacity(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 4))
	for n := range 300 {
		items := make([]Item, 1+r.IntN(6))
		for i := range items {
			items[i] = Item{Size: 1 + r.IntN(12), Limit: r.IntN(5), Value: int64(r.IntN(20))}
		}
		limit := 1 + r.IntN(40)
		for name, f := range map[string]Filler{"dense": &Table{}, "sparse": &List{}} {
			f.Fill(limit, items)
			for c := 0; c <= limit; c++ {
				want := brute(c, items)
				if got := f.Best(c); got != want {
					t.Fatalf("case %d, %s, capacity %d of %v: %d, want %d", n, name, c, items, got, want)
				}
				counts := make([]int, len(items))
				f.Take(c, counts)
				size, value := 0, int64(0)
				for i, k := range counts {
					if k > items[i].Limit {
						t.Fatalf("case %d, %s: %d copies of %+v", n, name, k, items[i])
					}
					size += k * items[i].Size
					value += int64(k) * items[i].Value
				}
				if size > c || value != want {
					t.Fatalf("case %d, %s, capacity %d: taken size %d value %d, want value %d", n, name, c, size, value, want)
				}
			}
		}
	}
}

func TestASingleCapacityLosesNothing(t *testing.T) {
	r := rand.New(rand.NewPCG(7, 4))
	for n := range 500 {
		items := make([]Item, 1+r.IntN(7))
		for i := range items {
			items[i] = Item{Size: 1 + r.IntN(12), Limit: r.IntN(5), Value: int64(r.IntN(20))}
		}
		c := 1 + r.IntN(40)
		l := &List{Single: true}
		l.Fill(c, items)
		if got, want := l.Best(c), brute(c, items); got != want {
			t.Fatalf("case %d, capacity %d of %v: %d, want %d", n, c, items, got, want)
		}
	}
}

func BenchmarkTable(b *testing.B) {
	r := rand.New(rand.NewPCG(3, 4))
	items := make([]Item, 80)
	for i := range items {
		items[i] = Item{Size: 150 + r.IntN(900), Limit: 1 + r.IntN(6), Value: int64(1000 + r.IntN(5000))}
	}
	for _, f := range []struct {
		name string
		Filler
	}{{"dense", &Table{}}, {"sparse", &List{}}} {
		b.Run(f.name, func(b *testing.B) {
			for b.Loop() {
				f.Fill(3600, items)
			}
		})
	}
}

// bruteTrains is brute with the rule for short pieces, on whole fillings.
func bruteTrains(c, safe, kerf int, items []Item) int64 {
	best := int64(0)
	var walk func(k, long, short int, value int64)
	walk = func(k, long, short int, value int64) {
		if short > 0 && short < safe+kerf {
			if long+safe+kerf <= c && k == len(items) {
				best = max(best, value)
			}
		} else if long+short <= c && k == len(items) {
			best = max(best, value)
		}
		if k == len(items) {
			return
		}
		for n := 0; n <= items[k].Limit && long+short+n*items[k].Size <= c; n++ {
			if items[k].Size-kerf < safe {
				walk(k+1, long, short+n*items[k].Size, value+int64(n)*items[k].Value)
			} else {
				walk(k+1, long+n*items[k].Size, short, value+int64(n)*items[k].Value)
			}
		}
	}
	walk(0, 0, 0, 0)
	return best
}

func TestTrainsEqualBruteForce(t *testing.T) {
	r := rand.New(rand.NewPCG(5, 6))
	for n := range 300 {
		f := &Trains{Safe: r.IntN(9), Kerf: 1}
		items := make([]Item, 1+r.IntN(5))
		for i := range items {
			items[i] = Item{Size: 2 + r.IntN(12), Limit: r.IntN(4), Value: int64(r.IntN(20))}
		}
		limit := 1 + r.IntN(40)
		f.Fill(limit, items)
		for c := 1; c <= limit; c++ {
			want := bruteTrains(c, f.Safe, f.Kerf, items)
			if got := f.Best(c); got != want {
				t.Fatalf("case %d, safe %d, capacity %d of %v: %d, want %d", n, f.Safe, c, items, got, want)
			}
			counts := make([]int, len(items))
			f.Take(c, counts)
			value := int64(0)
			for i, k := range counts {
				value += int64(k) * items[i].Value
			}
			if value != want {
				t.Fatalf("case %d: taken %d, want %d", n, value, want)
			}
		}
	}
}
