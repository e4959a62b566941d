package pattern

import (
	"context"
	"fmt"
	"testing"
)

// BenchmarkPiles reports plan quality beside speed, for a fixed amount of work.
func BenchmarkPiles(b *testing.B) {
	for _, c := range []struct {
		aim    string
		boards int
		rho    float64
	}{{"count", 50, 0.7}, {"count", 100, 0.7}, {"length", 20, 0.7}, {"length", 50, 0.7}, {"length", 100, 0.7}, {"money", 50, 0.85}} {
		b.Run(fmt.Sprintf("%s/%d", c.aim, c.boards), func(b *testing.B) {
			gap, proved, n := 0.0, 0, 0
			for b.Loop() {
				seed := uint64(n % 4)
				p := salvage(seed, c.boards, c.rho)
				res := Solve(context.Background(), p.model(aim(c.aim, seed, p)), Limits{Work: 200_000_000}, nil, nil)
				n++
				if res.Proved {
					proved++
				} else {
					gap += float64(res.Plan.Cost-res.Bound) / float64(res.Plan.Cost)
				}
			}
			b.ReportMetric(100*gap/float64(n), "gap%")
			b.ReportMetric(100*float64(proved)/float64(n), "proved%")
		})
	}
}

// BenchmarkFirstPlan is the time to the first full plan: 60 boards, some 200 blanks.
func BenchmarkFirstPlan(b *testing.B) {
	p := salvage(1, 60, 0.7)
	m := p.model(aim("length", 1, p))
	for b.Loop() {
		if First(context.Background(), m, 1) == nil {
			b.Fatal("no plan")
		}
	}
}
