package rows

import (
	"context"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"pilewright/plan/measure"
)

// leastPlanedByCBC solves a job without joint and step rules as a mixed-integer
// programme with the COIN-OR solver: length x and use y of each strip in each
// row, width w of each row. The panel's thickness is that of its thinnest
// strip, so each possible one is solved and the least kept. The result is in
// cubic millimetres; ok is false when the solver proved nothing in time.
func leastPlanedByCBC(t *testing.T, job Job) (float64, bool) {
	t.Helper()
	path, err := exec.LookPath("cbc")
	if err != nil {
		t.Skip("cbc is not installed")
	}
	f := func(l measure.Length) float64 { return float64(l) / float64(mm) }
	best, found := 0.0, false
	tried := map[measure.Length]bool{}
	for _, least := range job.Strips {
		floor := job.through(least)
		if tried[floor] {
			continue
		}
		tried[floor] = true
		T := f(floor - 2*job.CleanUp)
		var obj, rows, bin strings.Builder
		add := func(b *strings.Builder, format string, a ...any) { fmt.Fprintf(b, format, a...) }
		for r := range job.Rows {
			add(&obj, " - %g w%d", T*f(job.Length), r)
			add(&rows, " len%d:", r)
			for i, s := range job.Strips {
				if job.through(s) >= floor {
					add(&rows, " + x%d_%d", i, r)
				}
			}
			add(&rows, " = %g\n", f(job.Length))
		}
		for i, s := range job.Strips {
			if job.through(s) < floor {
				continue
			}
			var take strings.Builder
			for r := range job.Rows {
				add(&obj, " + %g x%d_%d", f(s.Width)*f(s.Thickness), i, r)
				add(&take, " + x%d_%d + %g y%d_%d", i, r, f(job.EndCut), i, r)
				add(&rows, " a%d_%d: x%d_%d - %g y%d_%d <= 0\n", i, r, i, r, f(min(s.Length, job.Length)), i, r)
				add(&rows, " b%d_%d: x%d_%d - %g y%d_%d >= 0\n", i, r, i, r, f(job.MinPiece), i, r)
				add(&rows, " c%d_%d: w%d + %g y%d_%d <= %g\n", i, r, r, 1000-f(job.across(s)-2*job.Joining), i, r, 1000.0)
				add(&bin, " y%d_%d", i, r)
			}
			add(&rows, " t%d:%s <= %g\n", i, take.String(), f(s.Length+job.EndCut))
		}
		if bin.Len() == 0 {
			continue
		}
		dir := t.TempDir()
		lp, sol := filepath.Join(dir, "m.lp"), filepath.Join(dir, "m.sol")
		text := "Minimize\n obj:" + obj.String() + "\nSubject To\n" + rows.String() + "Binaries\n" + bin.String() + "\nEnd\n"
		if err := os.WriteFile(lp, []byte(text), 0o600); err != nil {
			t.Fatal(err)
		}
		out, err := exec.Command(path, lp, "sec", "60", "ratio", "0", "allow", "0", "solve", "solu", sol).CombinedOutput()
		if err != nil {
			t.Fatalf("%v %s", err, out)
		}
		b, _ := os.ReadFile(sol)
		head, _, _ := strings.Cut(string(b), "\n")
		if strings.HasPrefix(head, "Infeasible") || strings.Contains(head, "infeasible") {
			continue
		}
		if !strings.HasPrefix(head, "Optimal") {
			return 0, false
		}
		v, err := strconv.ParseFloat(head[strings.LastIndex(head, " ")+1:], 64)
		if err != nil {
			t.Fatal(head)
		}
		if !found || v < best {
			best, found = v, true
		}
	}
	return best, found
}

func TestComposeAgainstMixedIntegerProgrammes(t *testing.T) {
	if testing.Short() {
		t.Skip("short")
	}
	count := uint64(1)
	if os.Getenv("PILEWRIGHT_FULL") != "" {
		count = 12
	}
	solved, same := 0, 0
	for seed := range count {
		for _, onEdge := range []bool{false, true} {
			strips := salvaged(100+seed, 9, onEdge)
			for k := range strips { // a few thicknesses, so that few programmes are needed
				strips[k].Thickness -= strips[k].Thickness % (2 * mm)
			}
			job := panelJob(strips, 3, onEdge)
			job.Stagger, job.Step = 0, 100*mm
			want, ok := leastPlanedByCBC(t, job)
			got, err := Compose(context.Background(), job, Options{Work: 200_000})
			if !ok {
				t.Logf("pile %d on edge %v: nothing proved by cbc; composed: %v", seed, onEdge, err == nil)
				continue
			}
			if err != nil {
				t.Errorf("pile %d on edge %v: %v, but cbc finds %f", seed, onEdge, err, want)
				continue
			}
			planed, _ := got.Planed.Float64()
			bound, _ := got.Bound.Float64()
			if planed < want-1 || bound > want+1 {
				t.Errorf("pile %d on edge %v: planed %f bound %f, cbc proves %f", seed, onEdge, planed, bound, want)
			}
			solved++
			if planed < want+1 {
				same++
			}
			t.Logf("pile %d on edge %-5v planed %.0f bound %.0f cbc %.0f %s", seed, onEdge, planed, bound, want, got.Status)
		}
	}
	t.Logf("%d solved by cbc, %d equal", solved, same)
	if solved == 0 || same*10 < solved*8 {
		t.Errorf("only %d of %d equal", same, solved)
	}
}
