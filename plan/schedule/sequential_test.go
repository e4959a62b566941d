package schedule

import (
	"bufio"
	"context"
	"encoding/csv"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"
)

// Changing set-ups at one machine, each asked for once and with a price for
// every pair, is the sequential ordering problem (Escudero 1988). The instances
// and their optima are TSPLIB's (Reinelt 1991).

// sequential reads `nodes n` and a matrix in which -1 at (i, j) means that j
// must come before i; the path runs from the first node to the last.
func sequential(t testing.TB, path string) Problem {
	t.Helper()
	f, err := os.Open(path)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	var m [][]int
	for sc := bufio.NewScanner(f); sc.Scan(); {
		fields := strings.Fields(sc.Text())
		if len(fields) == 0 || fields[0] == "nodes" {
			continue
		}
		row := make([]int, len(fields))
		for i, s := range fields {
			if row[i], err = strconv.Atoi(s); err != nil {
				t.Fatal(err)
			}
		}
		m = append(m, row)
	}
	p := Problem{Holds: map[string]string{"m": "0"}, Change: func(_, from, to string) time.Duration {
		i, _ := strconv.Atoi(from)
		j, _ := strconv.Atoi(to)
		return time.Duration(max(m[i][j], 0)) // an arc of -1 is never taken
	}}
	for i := 1; i < len(m); i++ {
		op := Operation{ID: fmt.Sprint(i), Machine: "m", Setup: fmt.Sprint(i)}
		for j := 1; j < len(m); j++ {
			if m[i][j] == -1 {
				op.After = append(op.After, fmt.Sprint(j))
			}
		}
		p.Operations = append(p.Operations, op)
	}
	return p
}

func TestSequentialOrderingAgainstTSPLIB(t *testing.T) {
	dir := filepath.Join(root(t), "..", "shared", "bench", "sop")
	f, err := os.Open(filepath.Join(dir, "optima.csv"))
	if err != nil {
		t.Skip("the benchmark data is not here:", err)
	}
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	// Those few states are enough for; the others are only held against their
	// known bounds, all of them in the full run.
	must := strings.Fields("ESC07 ESC11 ESC12 ESC25 br17.12")
	also := strings.Fields("p43.4 ry48p.4")
	// Strongly constrained ones that take up to 750 000 states.
	long := strings.Fields("ESC47 ESC63 br17.10 p43.4 ry48p.4 ft53.4")
	limit := 15_000
	seen, proved := 0, 0
	for _, r := range rows[1:] {
		if r[6] == "" || !full() && !slices.Contains(must, r[0]) && !slices.Contains(also, r[0]) {
			continue
		}
		best, err := strconv.Atoi(r[3])
		if err != nil {
			t.Fatal(err)
		}
		p := sequential(t, filepath.Join(dir, r[6]))
		began, allowed := time.Now(), limit
		switch {
		case !full() && slices.Contains(also, r[0]):
			allowed = 200
		case slices.Contains(long, r[0]):
			allowed = 1_000_000
		}
		a, err := Order(context.Background(), p, Options{MaxStates: allowed})
		if err != nil {
			t.Fatal(err)
		}
		seen++
		if v := CheckOrder(p, a.Order); v != nil {
			t.Errorf("%s: %v", r[0], v)
		}
		optimal := strings.HasPrefix(r[4], "optimal")
		if optimal && int(a.Setup) < best {
			t.Errorf("%s: %d is below the optimum %d", r[0], a.Setup, best)
		}
		if int(a.Bound) > best {
			t.Errorf("%s: bound %d above the best known %d", r[0], a.Bound, best)
		}
		if a.Status == Optimal {
			proved++
		} else if slices.Contains(must, r[0]) || full() && slices.Contains(long, r[0]) {
			t.Errorf("%s: not proved, %d of %d states", r[0], a.States, allowed)
		}
		if a.Status == Optimal && int(a.Setup) != best {
			t.Errorf("%s: %d claimed optimal, the best known is %d", r[0], a.Setup, best)
		}
		if testing.Verbose() {
			t.Logf("%-10s found %6d bound %6d best known %6d %-22s %8d states %v", r[0], a.Setup, a.Bound, best, r[4], a.States, time.Since(began).Round(time.Millisecond))
		}
	}
	if seen < len(must)+len(also) {
		t.Errorf("%d instances read", seen)
	}
	t.Logf("%d of %d proved", proved, seen)
}

// root is the repository's root.
func root(t testing.TB) string {
	t.Helper()
	dir, err := os.Getwd()
	if err != nil {
		t.Fatal(err)
	}
	for {
		if _, err := os.Stat(filepath.Join(dir, "go.mod")); err == nil {
			return dir
		}
		up := filepath.Dir(dir)
		if up == dir {
			t.Fatal("no go.mod above this folder")
		}
		dir = up
	}
}
