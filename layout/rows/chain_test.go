package rows

import (
	"context"
	"fmt"
	"math/rand/v2"
	"os"
	"slices"
	"testing"

	"pilewright/plan/measure"
)

// The tables rule out no chain that costs little enough: what is found for a limit
// is what there is among all chains, every set of strips tried.
func TestTablesRuleOutNoCheapChain(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 8))
	some := 0
	for range 40 {
		job := panelJob(salvaged(r.Uint64N(100), 10, false), 4, false)
		job.MinPiece = 50 * mm
		if r.IntN(2) == 0 {
			job.MinPiece *= 4
		}
		if r.IntN(3) == 0 {
			job.Length = 2000 * mm
		}
		s := scale(&job)
		work := int64(0)
		c := s.chainsAbove(s.floors()[0], &work)
		if c == nil || len(c.strips) == 0 {
			continue
		}
		p := prices{perRow: -r.Int64N(30 << scaleBits)}
		for range c.strips {
			p.strip = append(p.strip, r.Int64N(60<<scaleBits)-10<<scaleBits)
		}
		for _, span := range [][2]int64{{0, c.total}, {c.total / 3, c.total}} {
			all, ok := c.pricer(p, span[0], span[1], 0).upTo(never/8, 1<<30)
			if !ok {
				t.Fatal("not all sets tried")
			}
			for _, hubs := range []int{0, nearHubs} {
				for _, most := range []int64{-20, -1, 10} {
					most <<= scaleBits
					var want []chain
					for _, q := range all {
						if q.reduced <= most {
							want = append(want, q.chain)
						}
					}
					got, _ := c.pricer(p, span[0], span[1], hubs).upTo(most, 1<<30)
					some += len(want)
					if !slices.EqualFunc(got, want, func(a priced, b chain) bool {
						return a.rows == b.rows && a.cost == b.cost && slices.Equal(a.strips, b.strips)
					}) {
						t.Fatalf("%d chains found up to %d, of %d there are", len(got), most>>scaleBits, len(want))
					}
				}
			}
		}
	}
	if some == 0 {
		t.Error("no chain was cheap enough")
	}
}

// A chain that is laid has its rows full but for the fill, its strips kept, and
// costs no more than it says.
func TestLaidChainsCostWhatTheySay(t *testing.T) {
	laid := 0
	for seed := range uint64(3) {
		job := panelJob(salvaged(seed, 60, false), 14, false)
		s := scale(&job)
		work := int64(0)
		c := s.chainsAbove(s.floors()[0], &work)
		x := c.search(context.Background(), 200_000)
		for _, q := range x.relax(false).set {
			l := x.lay(&q)
			if l == nil {
				continue
			}
			laid++
			if int64(len(l.rows)) != q.rows {
				t.Fatalf("%d rows of %d", len(l.rows), q.rows)
			}
			used, pieces := map[int]int64{}, map[int]int64{}
			for i, row := range l.rows {
				sum := l.fill[i]
				if sum > 0 && sum < s.piece {
					t.Fatalf("a fill of %d", sum)
				}
				for _, w := range row {
					if w.length < s.piece {
						t.Fatalf("a piece of %d", w.length)
					}
					sum += w.length
					used[w.strip] += w.length
					pieces[w.strip]++
				}
				if sum != s.panel {
					t.Fatalf("a row of %d, want %d", sum, s.panel)
				}
			}
			var cost int64
			for _, k := range q.strips {
				i := c.strips[k]
				if used[i]+s.cut*(pieces[i]-1) > s.length[i] {
					t.Fatalf("%d pieces of %d in all from a strip of %d", pieces[i], used[i], s.length[i])
				}
				cost += c.saving[k] * (s.length[i] - used[i])
			}
			if len(used) != len(q.strips) || cost > q.cost {
				t.Fatalf("%d strips used of %d, cost %d, said to be %d", len(used), len(q.strips), cost, q.cost)
			}
		}
	}
	t.Logf("%d chains laid", laid)
	if laid < 100 {
		t.Error("hardly any chain is laid")
	}
}

// Every composition costs at least what the chains say: the bound is compared with
// the best of far longer searches, which no bound may pass.
func TestChainBoundHoldsForEveryPanelFound(t *testing.T) {
	for seed := range uint64(2) {
		job := panelJob(salvaged(50+seed, 40, false), 10, false)
		short, err := Compose(context.Background(), job, Options{Work: 60_000})
		if err != nil {
			t.Fatal(err)
		}
		long, err := Compose(context.Background(), job, Options{Work: 300_000})
		if err != nil {
			t.Fatal(err)
		}
		for _, b := range []Panel{short, long} {
			if b.Bound.GreaterThan(short.Planed) || b.Bound.GreaterThan(long.Planed) {
				t.Errorf("pile %d: bound %s, planed %s and %s", 50+seed, b.Bound, short.Planed, long.Planed)
			}
		}
		t.Logf("pile %d: %s %s, %s %s", 50+seed, short.Planed, short.Status, long.Planed, long.Status)
	}
}

// Small panels of strips that differ in thickness only, many of them shorter than a
// row, some longer: neither the bound nor a panel said to be best may pass what every
// composition, tried one by one, gives.
func TestChainBoundAgainstEveryComposition(t *testing.T) {
	count := 30
	if os.Getenv("PILEWRIGHT_FULL") != "" {
		count = 1000
	}
	r := rand.New(rand.NewPCG(5, 6))
	chained, proved := 0, 0
	for k := range count {
		job := Job{Length: mm * measure.Length(5+r.IntN(3)), Rows: 2, MinPiece: 2 * mm,
			EndCut: mm * measure.Length(r.IntN(2)), Step: 9 * mm}
		for i := range 3 + r.IntN(2) {
			job.Strips = append(job.Strips, Strip{ID: fmt.Sprint("s", i), Length: mm * measure.Length(2+r.IntN(7)), Width: 9 * mm,
				Thickness: mm * measure.Length(4+r.IntN(4))})
		}
		want, possible := bruteForce(t, job, mm)
		if !possible {
			continue
		}
		s := scale(&job)
		work := int64(0)
		for _, f := range s.floors() {
			c := s.chainsAbove(f, &work)
			if c == nil || len(c.strips) == 0 {
				continue
			}
			x := c.search(context.Background(), 1<<40)
			x.relax(true)
			if least := s.wood(c.base + x.bound*c.coin); x.bound >= 0 && want.Thickness == measure.Length((f-s.cleanup2)*s.unit) && least.GreaterThan(want.Planed) {
				t.Fatalf("case %d: bound %s, every composition tried gives %s: %+v", k, least, want.Planed, job)
			}
			chained++
		}
		got, err := Compose(context.Background(), job, Options{})
		if err != nil {
			continue
		}
		if got.Bound.GreaterThan(want.Planed) || got.Planed.LessThan(want.Planed) || got.Status == Optimal && !got.Planed.Equal(want.Planed) {
			t.Fatalf("case %d: planed %s bound %s %s, every composition tried gives %s: %+v", k, got.Planed, got.Bound, got.Status, want.Planed, job)
		}
		if got.Status == Optimal {
			proved++
		}
	}
	t.Logf("%d floors bounded by chains, %d panels proved", chained, proved)
	if chained < count/4 || proved == 0 {
		t.Error("hardly any panel is bounded by chains")
	}
}
