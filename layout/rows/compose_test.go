package rows

import (
	"context"
	"errors"
	"fmt"
	"math/rand/v2"
	"os"
	"testing"

	"pilewright/plan/measure"
)

const mm = measure.Millimetre

// bruteForce tries every composition of a small job on the grid of its unit
// and returns the least wood planed away, by the checker's rules alone.
func bruteForce(t *testing.T, job Job, unit measure.Length) (Panel, bool) {
	t.Helper()
	var best Panel
	found := false
	arrangement := make([][]Placed, job.Rows)
	var next func(r int, at measure.Length)
	next = func(r int, at measure.Length) {
		if r == job.Rows {
			p, v := Evaluate(job, arrangement)
			if len(v) == 0 && (!found || p.Planed.LessThan(best.Planed)) {
				best, found = p, true
			}
			return
		}
		if at == job.Length {
			next(r+1, 0)
			return
		}
		for _, s := range job.Strips {
			for n := max(job.MinPiece, unit); at+n <= job.Length && n <= s.Length; n += unit {
				arrangement[r] = append(arrangement[r], Placed{Strip: s.ID, Length: n})
				if p, _ := Evaluate(job, arrangement[:r+1]); overuse(job, p) == 0 {
					next(r, at+n)
				}
				arrangement[r] = arrangement[r][:len(arrangement[r])-1]
			}
		}
	}
	next(0, 0)
	return best, found
}

func overuse(job Job, p Panel) (n int) {
	for _, v := range Check(job, p) {
		if v.Rule == StripOverused || v.Rule == PieceOverlaps || v.Rule == JointsClose || v.Rule == StepHigh {
			n++
		}
	}
	return n
}

func smallJob(r *rand.Rand) Job {
	job := Job{Length: 6 * mm, Rows: 2, MinPiece: 2 * mm, Stagger: mm * measure.Length(r.IntN(2)),
		EndCut: mm * measure.Length(r.IntN(2)), Step: mm * measure.Length(1+r.IntN(3)), CleanUp: mm / 2, OnEdge: r.IntN(2) == 0}
	for i := range 3 + r.IntN(2) {
		s := Strip{ID: fmt.Sprint("s", i), Length: mm * measure.Length(2+r.IntN(6)), Width: 9 * mm, Thickness: mm * measure.Length(4+r.IntN(4))}
		if r.IntN(4) == 0 {
			s.Width += mm
		}
		job.Strips = append(job.Strips, s)
	}
	return job
}

func TestComposeAgainstEveryComposition(t *testing.T) {
	count := 40
	if os.Getenv("PILEWRIGHT_FULL") != "" {
		count = 1500
	}
	r := rand.New(rand.NewPCG(1, 2))
	made, best, proved := 0, 0, 0
	for k := range count {
		job := smallJob(r)
		want, possible := bruteForce(t, job, mm)
		got, err := Compose(context.Background(), job, Options{})
		if (err == nil) != possible {
			var short *ShortError
			if errors.As(err, &short) && !short.Proven && possible {
				t.Logf("case %d: a composition exists and none was found: %+v", k, job)
				continue
			}
			t.Fatalf("case %d: possible %v, got error %v for %+v", k, possible, err, job)
		}
		if !possible {
			continue
		}
		made++
		if v := Check(job, got); len(v) > 0 {
			t.Fatalf("case %d: %v", k, v)
		}
		if got.Planed.LessThan(want.Planed) || got.Bound.GreaterThan(want.Planed) {
			t.Fatalf("case %d: planed %s bound %s, every composition tried gives %s: %+v", k, got.Planed, got.Bound, want.Planed, job)
		}
		if got.Planed.Equal(want.Planed) {
			best++
		}
		if got.Status == Optimal {
			proved++
			if !got.Planed.Equal(want.Planed) {
				t.Fatalf("case %d: claimed optimal at %s, %s is possible", k, got.Planed, want.Planed)
			}
		}
	}
	t.Logf("%d jobs, %d possible by brute force and composed, %d at the optimum, %d proved", count, made, best, proved)
	if made < count/4 || best*100 < made*95 {
		t.Errorf("only %d of %d composed, %d at the optimum", made, count, best)
	}
}

// salvaged is a pile of strips as pallets give them: lengths of a few kinds
// with trimmed ends, thickness read to half a millimetre.
func salvaged(seed uint64, n int, onEdge bool) []Strip {
	r := rand.New(rand.NewPCG(seed, 9))
	var out []Strip
	for i := range n {
		s := Strip{ID: fmt.Sprintf("s%03d", i), Length: mm * measure.Length(700+5*r.IntN(120)), Width: 70 * mm,
			Thickness: 15*mm + mm/2*measure.Length(r.IntN(14)), Grade: r.IntN(3), GoodFace: r.IntN(2) == 0}
		if onEdge {
			s.Width = 42 * mm
		}
		out = append(out, s)
	}
	return out
}

func panelJob(strips []Strip, rows int, onEdge bool) Job {
	return Job{Strips: strips, OnEdge: onEdge, Length: 1420 * mm, Rows: rows, Joining: mm / 2, EndCut: 3 * mm, MinPiece: 200 * mm, Stagger: 100 * mm, Step: 3 * mm, CleanUp: mm}
}

func TestComposeLargerPanelsKeepEveryRule(t *testing.T) {
	for _, onEdge := range []bool{false, true} {
		for seed := range uint64(3) {
			t.Run(fmt.Sprintf("twelve rows, on edge %v, pile %d", onEdge, seed), func(t *testing.T) {
				job := panelJob(salvaged(seed, 45, onEdge), 12, onEdge)
				p, err := Compose(context.Background(), job, Options{Work: 60_000})
				if err != nil {
					t.Fatal(err)
				}
				if v := Check(job, p); len(v) > 0 {
					t.Fatalf("violations %v", v)
				}
				if p.Bound.GreaterThan(p.Planed) {
					t.Fatalf("bound %s above planed %s", p.Bound, p.Planed)
				}
				again, _ := Compose(context.Background(), job, Options{Work: 60_000})
				if fmt.Sprint(again) != fmt.Sprint(p) {
					t.Fatal("the same job gave two panels")
				}
				t.Logf("planed %s bound %s gap %.4f %s joints %d work %d", p.Planed.Round(0), p.Bound.Round(0), p.Gap(), p.Status, p.EndJoints, p.Work)
			})
		}
	}
}

// Five rows of two strips each, cut so that rows turned end for end have their
// joints staggered: two pieces a row are enough, worked by hand.
func TestComposeTakesNoMoreEndJointsThanItMust(t *testing.T) {
	const in = measure.Inch
	job := Job{Length: 49*in + in/4, Rows: 5, EndCut: in / 8, MinPiece: 8 * in, Stagger: 4 * in, Step: in / 32, CleanUp: in / 32}
	for mask := range 1 << 10 { // every choice of strips that are fit to be seen
		if mask%97 != 0 {
			continue
		}
		job.Strips = nil
		for i := range 10 {
			s := Strip{ID: fmt.Sprint("s", i), Length: 23*in + 5*in/8, Width: 118 * mm, Thickness: 22 * mm, GoodFace: mask>>i&1 > 0, Grade: mask >> i & 1}
			if i >= 5 {
				s.Length += 4 * in
			}
			job.Strips = append(job.Strips, s)
		}
		p, err := Compose(context.Background(), job, Options{})
		if err != nil {
			t.Fatal(err)
		}
		if p.EndJoints != 5 || p.Status != Optimal {
			t.Errorf("%010b: %d end joints, %s", mask, p.EndJoints, p.Status)
		}
	}
}

// Nine strips hardly make three rows: the first choice of chains takes none at all.
func TestComposeWhereNoChainIsTaken(t *testing.T) {
	strips := salvaged(110, 9, false)
	for k := range strips {
		strips[k].Thickness -= strips[k].Thickness % (2 * mm)
	}
	job := panelJob(strips, 3, false)
	job.Stagger, job.Step = 0, 100*mm
	p, err := Compose(context.Background(), job, Options{Work: 60_000})
	if err != nil {
		t.Fatal(err)
	}
	if v := Check(job, p); len(v) > 0 {
		t.Errorf("got %+v", v)
	}
}

// solverGap is the relative gap at which a general solver, unless told otherwise, ends
// with a result that it calls optimal (Gurobi Optimizer Reference Manual, MIPGap).
const solverGap = 1e-4

// thirtyRows is a panel of thirty rows from 120 strips that keeps every rule.
func thirtyRows(t *testing.T, seed uint64, onEdge bool) Panel {
	t.Helper()
	job := panelJob(salvaged(seed, 120, onEdge), 30, onEdge)
	p, err := Compose(context.Background(), job, Options{})
	if err != nil {
		t.Fatal(err)
	}
	if v := Check(job, p); len(v) > 0 {
		t.Fatalf("pile %d: %v", seed, v)
	}
	return p
}

// Thirty flat rows from 120 strips: the panel keeps every rule, and the bound of its
// loss is as near as a general solver asks for, except in few piles whose fill is short.
func TestThirtyFlatRowsAreBounded(t *testing.T) {
	count := 3
	if os.Getenv("PILEWRIGHT_FULL") != "" {
		count = 100
	}
	proved, within, most := 0, 0, 0.0
	for seed := range count {
		p := thirtyRows(t, uint64(seed), false)
		if p.Status == Optimal {
			proved++
		}
		if p.Gap() <= solverGap {
			within++
		}
		most = max(most, p.Gap())
	}
	t.Logf("%d of %d proved, %d within 0.01 %%, gap at most %.4f %%", proved, count, within, 100*most)
	if within*10 < count*9 {
		t.Errorf("%d of %d within 0.01 %%", within, count)
	}
}

func BenchmarkThirtyRowsFrom120Strips(b *testing.B) {
	for _, onEdge := range []bool{false, true} {
		b.Run(fmt.Sprintf("on edge %v", onEdge), func(b *testing.B) {
			proved, within, gap := 0, 0, 0.0
			for i := 0; b.Loop(); i++ {
				p, err := Compose(context.Background(), panelJob(salvaged(uint64(i%10), 120, onEdge), 30, onEdge), Options{})
				if err != nil {
					b.Fatal(err)
				}
				if p.Status == Optimal {
					proved++
				}
				if p.Gap() <= solverGap {
					within++
				}
				gap += p.Gap()
			}
			b.ReportMetric(float64(proved)/float64(b.N), "proved/op")
			b.ReportMetric(float64(within)/float64(b.N), "within-0.01%/op")
			b.ReportMetric(100*gap/float64(b.N), "gap-%")
		})
	}
}
