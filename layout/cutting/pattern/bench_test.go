package pattern

import (
	"bufio"
	"encoding/csv"
	"fmt"
	"os"
	"path/filepath"
	"sort"
	"strconv"
	"strings"
	"testing"
)

// benchDir is the folder of published instances beside the repository.
func benchDir(t testing.TB, set string) string {
	t.Helper()
	dir, err := os.Getwd()
	if err != nil {
		t.Fatal(err)
	}
	for {
		if _, err := os.Stat(filepath.Join(dir, "go.mod")); err == nil {
			break
		}
		up := filepath.Dir(dir)
		if up == dir {
			t.Fatal("no go.mod above the test")
		}
		dir = up
	}
	path := filepath.Join(dir, "..", "shared", "bench", set)
	if _, err := os.Stat(path); err != nil {
		t.Skipf("published instances are not here: %s", path)
	}
	return path
}

// published is one instance with its reference value.
type published struct {
	name, set string
	best, low int64
	m         *Model
}

func table(t testing.TB, path string) []map[string]string {
	t.Helper()
	f, err := os.Open(path)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	var out []map[string]string
	for _, r := range rows[1:] {
		m := map[string]string{}
		for k, h := range rows[0] {
			m[h] = r[k]
		}
		out = append(out, m)
	}
	return out
}

func number(t testing.TB, s string) int {
	t.Helper()
	n, err := strconv.Atoi(s)
	if err != nil {
		t.Fatal(err)
	}
	return n
}

// binPacking reads the sets of da Silva & Schouery 2023 (doi
// 10.1287/ijoc.2023.0399) and the BPPLIB of Delorme, Iori & Martello 2018.
func binPacking(t testing.TB) []published {
	dir := benchDir(t, "bpp1d")
	var out []published
	for _, row := range table(t, filepath.Join(dir, "optima.csv")) {
		stock, items := instance(t, filepath.Join(dir, row["instance_file"]))
		best := int64(number(t, row["opt"]))
		out = append(out, published{row["name"], row["set"], best, best, BinPack(items, []Stock{{Length: stock[0].Length, Cost: 1}})})
	}
	return out
}

// severalLengths reads instances of Monaci 2002 and Haouari & Serairi 2009.
func severalLengths(t testing.TB) []published {
	dir := benchDir(t, "vsbpp1d")
	var out []published
	for _, row := range table(t, filepath.Join(dir, "optima.csv")) {
		stock, items := instance(t, filepath.Join(dir, row["instance_file"]))
		best, err := strconv.ParseFloat(row["best_cost"], 64)
		if err != nil {
			t.Fatal(err)
		}
		low, err := strconv.ParseFloat(row["lower_bound"], 64)
		if err != nil {
			t.Fatal(err)
		}
		out = append(out, published{row["instance"], row["set"], int64(best), int64(low), BinPack(items, stock)})
	}
	return out
}

func instance(t testing.TB, path string) ([]Stock, []Demand) {
	t.Helper()
	f, err := os.Open(path)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	var stock []Stock
	var items []Demand
	for s := bufio.NewScanner(f); s.Scan(); {
		w := strings.Fields(s.Text())
		switch {
		case len(w) == 2 && w[0] == "capacity":
			stock = append(stock, Stock{Length: number(t, w[1])})
		case len(w) == 2:
			items = append(items, Demand{Size: number(t, w[0]), Count: number(t, w[1])})
		case len(w) == 6 && w[0] == "stock":
			k := Stock{Length: number(t, w[1]), Cost: int64(number(t, w[3]))}
			if w[5] != "unlimited" {
				k.Supply = number(t, w[5])
				k.Limited = true
			}
			stock = append(stock, k)
		case len(w) == 4 && w[0] == "item":
			items = append(items, Demand{Size: number(t, w[1]), Count: number(t, w[3])})
		}
	}
	if len(stock) == 0 || len(items) == 0 {
		t.Fatalf("%s: no instance", path)
	}
	return stock, items
}

// run solves published instances and fails on any contradiction.
func run(t *testing.T, all []published, seconds float64, short bool) {
	type found struct{ n, proved, optimal int }
	sets := map[string]*found{}
	var names []string
	for k, p := range all {
		if short && k%14 != 3 {
			continue
		}
		if only := os.Getenv("PILEWRIGHT_ONLY"); only != "" && !strings.Contains(p.set+"/"+p.name, only) {
			continue
		}
		ctx, cancel := within(seconds)
		start := cpu()
		res := Solve(ctx, p.m, Limits{}, nil, nil)
		cancel()
		if sets[p.set] == nil {
			sets[p.set] = &found{}
			names = append(names, p.set)
		}
		s := sets[p.set]
		s.n++
		if res.Plan == nil {
			if !short {
				t.Errorf("%s: no plan", p.name)
			}
			continue
		}
		if res.Bound > p.best || res.Plan.Cost < p.low {
			t.Errorf("%s: plan %d, bound %d contradict the published %d..%d", p.name, res.Plan.Cost, res.Bound, p.low, p.best)
		}
		if res.Proved {
			s.proved++
		}
		if res.Plan.Cost <= p.best {
			s.optimal++
		}
		if os.Getenv("PILEWRIGHT_EACH") != "" && !res.Proved {
			fmt.Printf("  %s: %d/%d, published %d, %d nodes, %.2f s\n", p.name, res.Plan.Cost, res.Bound, p.best, res.Nodes, (cpu()-start)/2)
		}
	}
	sort.Strings(names)
	var sum found
	for _, n := range names {
		s := sets[n]
		fmt.Printf("%-16s %3d: proved %3d, best value %3d\n", n, s.n, s.proved, s.optimal)
		sum.n, sum.proved, sum.optimal = sum.n+s.n, sum.proved+s.proved, sum.optimal+s.optimal
	}
	fmt.Printf("%-16s %3d: proved %3d, best value %3d\n", "all", sum.n, sum.proved, sum.optimal)
}

// TestPublished solves every published instance with PILEWRIGHT_FULL set (to
// seconds of limit each, two cores), else one in fourteen for a tenth of a second.
func TestPublished(t *testing.T) {
	seconds, short := 0.1, true
	if s := os.Getenv("PILEWRIGHT_FULL"); s != "" {
		short = false
		seconds = 10
		if v, err := strconv.ParseFloat(os.Getenv("PILEWRIGHT_SECONDS"), 64); err == nil {
			seconds = v
		}
	}
	t.Run("bin packing values are never contradicted", func(t *testing.T) { run(t, binPacking(t), seconds, short) })
	t.Run("values for several stock lengths are never contradicted", func(t *testing.T) { run(t, severalLengths(t), seconds, short) })
}
