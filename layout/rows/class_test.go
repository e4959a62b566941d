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

// leastLossOfAll goes through every composition on the grid of the unit, steps and
// staggers left out, and gives the least loss; never where there is none.
func leastLossOfAll(s *scaled, floor int64) int64 {
	known := map[string]int64{}
	var rest func(left []int64, rows int) int64
	rest = func(left []int64, rows int) int64 {
		if rows == 0 {
			return 0
		}
		key := fmt.Sprint(left, rows)
		if v, ok := known[key]; ok {
			return v
		}
		best, now := never, slices.Clone(left)
		var row []cutPiece
		var add func(from int, want int64)
		add = func(from int, want int64) {
			if want == 0 {
				narrow, lost := never, int64(0)
				for _, q := range row {
					narrow = min(narrow, s.rowWidth(q.strip))
				}
				for _, q := range row {
					lost += q.length * s.section(q.strip, narrow, floor-s.cleanup2)
				}
				best = min(best, lost+min(rest(now, rows-1), never-lost))
				return
			}
			for i := from; i < len(now); i++ {
				for n := s.piece; n <= min(want, now[i]); n++ {
					now[i] -= n + s.cut
					row = append(row, cutPiece{i, n})
					add(i, want-n)
					row = row[:len(row)-1]
					now[i] += n + s.cut
				}
			}
		}
		add(0, s.panel)
		known[key] = best
		return best
	}
	return rest(s.length, s.job.Rows)
}

func TestClassesAgainstEveryComposition(t *testing.T) {
	count := 40
	if os.Getenv("PILEWRIGHT_FULL") != "" {
		count = 2000
	}
	r := rand.New(rand.NewPCG(77, 2))
	tried, equal, best, mixed, spared := 0, 0, 0, 0, 0
	for tried < count {
		job := Job{OnEdge: true, Length: mm * measure.Length(4+r.IntN(4)), Rows: 2 + r.IntN(2), MinPiece: mm * measure.Length(1+r.IntN(2)),
			EndCut: mm * measure.Length(r.IntN(3)), Step: 100 * mm, CleanUp: mm, Joining: mm * measure.Length(r.IntN(2))}
		for i := range 3 + r.IntN(3) {
			job.Strips = append(job.Strips, Strip{ID: fmt.Sprint(i), Length: mm * measure.Length(2+r.IntN(7)), Width: 9 * mm, Thickness: mm * measure.Length(4+r.IntN(3+2*r.IntN(2)))})
		}
		// One too short to be of use keeps the unit at a millimetre.
		job.Strips = append(job.Strips, Strip{ID: "odd", Length: mm, Width: 9 * mm, Thickness: 4 * mm})
		s := scale(&job)
		c := s.classesAbove(9)
		if c == nil || s.unit != int64(mm) {
			continue
		}
		want := leastLossOfAll(s, 9)
		if want == never {
			continue
		}
		tried++
		bound := c.least(true, never)
		if bound == nil || bound.cost > want {
			t.Fatalf("bound %+v, %d is possible: %+v", bound, want, job)
		}
		if bound.cost == want {
			equal++
		}
		for r := bound; r != nil; r = r.from {
			if r.x > 0 {
				mixed++
				break
			}
		}
		for _, q := range c.list {
			for _, v := range q.spared {
				if v > 0 {
					spared++
					break
				}
			}
		}
		p, err := Compose(context.Background(), job, Options{Work: 20_000})
		if err != nil {
			t.Errorf("%v for %+v", err, job)
			continue
		}
		least := s.wood(want)
		if p.Planed.LessThan(least) || p.Bound.GreaterThan(least) {
			t.Fatalf("planed %s, bound %s, the least is %s: %+v", p.Planed, p.Bound, least, job)
		}
		if p.Planed.Equal(least) {
			best++
		}
	}
	t.Logf("%d jobs, bound exact in %d, composed at the optimum %d, mixed rows in %d, cuts spared in %d", tried, equal, best, mixed, spared)
	if equal*10 < tried*8 || best*10 < tried*9 || mixed == 0 || spared == 0 {
		t.Error("the bound is hardly ever exact")
	}
}

// What sets of strips of their own spare is what the best of all divisions of the
// strips into sets leaves for x beyond what one set does.
func TestLengthSparedAgainstEveryDivision(t *testing.T) {
	r := rand.New(rand.NewPCG(5, 6))
	some := 0
	for range 150 {
		job := panelJob(nil, 30, true)
		for i := range 3 + r.IntN(5) {
			// Lengths that come to full rows now and then.
			job.Strips = append(job.Strips, Strip{ID: fmt.Sprint(i), Length: mm * measure.Length(700+10*r.IntN(12)+r.IntN(4)), Width: 42 * mm, Thickness: 15 * mm})
		}
		job.Strips = append(job.Strips, Strip{ID: "other", Length: 800*mm + mm/2, Width: 42 * mm, Thickness: 16 * mm})
		s := scale(&job)
		c := s.classesAbove(s.floors()[0])
		q := &c.list[0]
		for rows := range int64(4) {
			for _, owed := range []int64{0, 200 * int64(mm) / s.unit, 220*int64(mm)/s.unit + 1} {
				m := made{rows, owed}
				got := c.spare(q, m)
				want := sparedOfAll(c, q, m)
				if got != want {
					t.Fatalf("%d spared, want %d, by %+v of %+v", got, want, m, job.Strips)
				}
				if got > 0 {
					some++
				}
			}
		}
	}
	if some < 20 {
		t.Errorf("cuts spared in %d", some)
	}
}

// sparedOfAll divides the strips into sets in every way, what is made of each too.
func sparedOfAll(c *classes, q *class, m made) int64 {
	var best int64
	sums := []int64{0} // of the set with x first, then of the others
	var place func(k int)
	place = func(k int) {
		if k == len(q.strips) {
			var share func(set int, rows int64, owes bool, spared int64)
			share = func(set int, rows int64, owes bool, spared int64) {
				if set == len(sums) {
					best = max(best, spared)
					return
				}
				for n := range rows + 1 {
					for _, with := range []bool{false, true} {
						if with && !owes || n == 0 && !with {
							continue
						}
						made, things := n*c.s.panel, n
						if with {
							made, things = made+m.owed, things+1
						}
						if over := sums[set] - made - c.s.cut*(things-1); over >= 0 {
							share(set+1, rows-n, owes && !with, spared+c.s.cut-over)
						}
					}
				}
			}
			share(1, m.rows, m.owed > 0, 0)
			return
		}
		n := c.s.length[q.strips[k]]
		for i := range sums {
			sums[i] += n
			place(k + 1)
			sums[i] -= n
		}
		sums = append(sums, n)
		place(k + 1)
		sums = sums[:len(sums)-1]
	}
	place(0)
	return best
}

func TestThirtyRowsOnEdgeAreProved(t *testing.T) {
	count := uint64(10)
	if os.Getenv("PILEWRIGHT_FULL") != "" {
		count = 1000
	}
	proved, joints, most := uint64(0), 0, 0
	for seed := range count {
		p := thirtyRows(t, seed, true)
		if p.Status == Optimal {
			proved++
		} else {
			t.Logf("pile %d: planed %s, bound %s", seed, p.Planed, p.Bound)
		}
		joints += p.EndJoints
		most = max(most, p.Work)
	}
	t.Logf("%d of %d proved, %.1f end joints, at most %d work", proved, count, float64(joints)/float64(count), most)
	if proved*100 < count*98 {
		t.Errorf("%d of %d proved", proved, count)
	}
}
