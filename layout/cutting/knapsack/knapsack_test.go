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
