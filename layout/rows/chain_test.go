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
			all, ok := c.pricer(p, span[0], span[1]).upTo(never/8, 1<<30)
			if !ok {
				t.Fatal("not all sets tried")
			}
			for _, most := range []int64{-20, -1, 10} {
				most <<= scaleBits
				var want []chain
				for _, q := range all {
					if q.reduced <= most {
						want = append(want, q.chain)
					}
				}
				got, _ := c.pricer(p, span[0], span[1]).upTo(most, 1<<30)
				some += len(want)
				if !slices.EqualFunc(got, want, func(a priced, b chain) bool {
					return a.rows == b.rows && a.cost == b.cost && slices.Equal(a.strips, b.strips)
				}) {
					t.Fatalf("%d chains found up to %d, of %d there are", len(got), most>>scaleBits, len(want))
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

// What chains without fill are said to cost at least, and how they are laid, against
// every way to cut their strips for the rows, tried one by one.
func TestHangingChainsAgainstEveryLaying(t *testing.T) {
	count := 400
	if os.Getenv("PILEWRIGHT_FULL") != "" {
		count = 20_000
	}
	r := rand.New(rand.NewPCG(4, 17))
	same, more, none, laid := 0, 0, 0, 0
	for done := 0; done < count; {
		rows, cut := 2+r.IntN(2), r.IntN(3)
		job := Job{Length: 12 * mm, Rows: rows + 1, MinPiece: 3 * mm, EndCut: mm * measure.Length(cut), Step: 9 * mm}
		total := 0
		for i := range rows + 1 + r.IntN(2) {
			l := 5 + r.IntN(8)
			total += l
			job.Strips = append(job.Strips, Strip{ID: fmt.Sprint("s", i), Length: mm * measure.Length(l), Width: 9 * mm, Thickness: mm * measure.Length(4+r.IntN(3))})
		}
		if spare := total - cut*(rows-1) - 12*rows; spare < 0 || spare > 2 {
			continue
		}
		for i := range rows { // fill, dearer than all
			job.Strips = append(job.Strips, Strip{ID: fmt.Sprint("f", i), Length: 12 * mm, Width: 9 * mm, Thickness: 7 * mm})
		}
		s := scale(&job)
		work := int64(0)
		c := s.chainsAbove(s.floors()[0], &work)
		if c == nil || len(c.strips) != len(job.Strips)-rows || c.abreast != 1 {
			continue
		}
		done++
		set := make([]int, len(c.strips))
		for k := range set {
			set[k] = k
		}
		least := c.saving[0] * c.unused(c.total*c.grain, int64(rows), int64(rows-1))
		got := c.hangs(set, int64(rows), least, never/4)
		want := everyLaying(c, rows)
		switch {
		case want < got:
			t.Fatalf("said to cost %d at least, a laying costs %d: %+v", got, want, job)
		case want == never:
			none++
			continue
		case want == got:
			same++
		default:
			more++
		}
		if l := c.hang(&chain{set, int64(rows), want}); l != nil {
			laid++
		}
	}
	t.Logf("%d costs as said, %d more, %d laid, %d cannot be laid", same, more, laid, none)
	if same < count/4 || none < count/20 || laid < (same+more)*3/4 {
		t.Error("hardly a cost is as said, or hardly a chain is laid")
	}
}

// everyLaying is the least that all strips cost in so many full rows that hang
// together, in coins; never where they cannot be laid.
func everyLaying(c *chains, rows int) int64 {
	n := len(c.strips)
	type state struct {
		used, pieces [6]int64
		group        [6]int
	}
	var start state
	for k := range n {
		start.group[k] = k
	}
	states := map[state]bool{start: true}
	for range rows {
		next := map[state]bool{}
		var fill func(k int, st state, want int64, with int)
		fill = func(k int, st state, want int64, with int) {
			if want == 0 {
				next[st] = true
				return
			}
			if k == n {
				return
			}
			fill(k+1, st, want, with)
			for l := c.s.piece; l <= min(want, c.length[k]*c.grain-st.used[k]-st.pieces[k]*c.s.cut); l++ {
				more := st
				more.used[k] += l
				more.pieces[k]++
				if with >= 0 {
					for j := range n {
						if st.group[j] == st.group[k] {
							more.group[j] = st.group[with]
						}
					}
				}
				fill(k+1, more, want-l, k)
			}
		}
		for st := range states {
			fill(0, st, c.s.panel, -1)
		}
		states = next
	}
	best := never
	for st := range states {
		var cost int64
		hangs := true
		for k := range n {
			cost += c.saving[k] * (c.length[k]*c.grain - st.used[k])
			hangs = hangs && st.pieces[k] > 0 && st.group[k] == st.group[0]
		}
		if hangs {
			best = min(best, cost)
		}
	}
	return best
}
