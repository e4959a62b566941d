package guillotine

import (
	"context"
	"encoding/csv"
	"fmt"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
	"time"

	"pilewright/plan/measure"
)

const mm = measure.Millimetre

// shared is the folder of open benchmark data beside the repository; see its
// README for sources and licences.
func shared(t testing.TB, path ...string) string {
	t.Helper()
	dir, _ := os.Getwd()
	for {
		if _, err := os.Stat(filepath.Join(dir, "go.mod")); err == nil {
			break
		}
		if filepath.Dir(dir) == dir {
			t.Fatal("no go.mod above the test")
		}
		dir = filepath.Dir(dir)
	}
	p := filepath.Join(append([]string{dir, "..", "shared", "bench"}, path...)...)
	if _, err := os.Stat(p); err != nil {
		t.Skip("benchmark data is not here:", err)
	}
	return p
}

func table(t testing.TB, path ...string) []map[string]string {
	t.Helper()
	f, err := os.Open(shared(t, path...))
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	if err != nil || len(rows) < 2 {
		t.Fatal("no rows", err)
	}
	var out []map[string]string
	for _, r := range rows[1:] {
		m := map[string]string{}
		for k, name := range rows[0] {
			m[name] = r[k]
		}
		out = append(out, m)
	}
	return out
}

// instance reads one file: plate, items, defects; a length unit is a millimetre.
func instance(t testing.TB, path string) (Sheet, []Item) {
	t.Helper()
	b, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	var s Sheet
	var items []Item
	for n, line := range strings.Split(strings.TrimSpace(string(b)), "\n") {
		word := ""
		var v []int64
		for _, f := range strings.Fields(line) {
			if x, err := strconv.ParseInt(f, 10, 64); err == nil {
				v = append(v, x)
			} else {
				word = f
			}
		}
		l := func(k int) measure.Length { return measure.Length(v[k]) * mm }
		switch word {
		case "plate":
			s.Length, s.Width = l(0), l(1)
		case "defect":
			s.Defects = append(s.Defects, Rect{l(0), l(1), l(2), l(3)})
		default:
			i := Item{ID: fmt.Sprint(n), Length: l(0), Width: l(1), Count: 1}
			if len(v) > 2 {
				i.Value = v[2]
			}
			if word == "item" {
				i.Count = 0
			}
			if len(v) > 3 {
				i.Count = int(v[3])
			}
			items = append(items, i)
		}
	}
	return s, items
}

func full() bool { return os.Getenv("PILEWRIGHT_FULL") != "" }

func TestDefectsAgainstKnownOptima(t *testing.T) {
	for n, row := range table(t, "defects2d", "optima.csv") {
		if !full() && n%6 != 0 {
			continue
		}
		t.Run(row["instance"], func(t *testing.T) {
			s, items := instance(t, shared(t, "defects2d", row["instance_file"]))
			began := time.Now()
			p, err := Solve(context.Background(), s, items, Options{})
			if err != nil {
				t.Fatal(err)
			}
			if faults := Check(s, items, Options{}, p); len(faults) > 0 {
				t.Fatal(faults)
			}
			want, _ := strconv.ParseInt(row["opt_unlimited_copies"], 10, 64)
			t.Logf("%d of %d, %s, %.2f s", p.Value, want, p.Status, time.Since(began).Seconds())
			if p.Value != want || !p.Proved() {
				t.Errorf("got %d bound %d, want %d", p.Value, p.Bound, want)
			}
		})
	}
}

func TestLimitedCopiesAgainstKnownOptima(t *testing.T) {
	count, same, proved, seen := 0, 0, 0, 0
	var spent time.Duration
	for _, row := range table(t, "guillotine2d", "optima.csv") {
		if row["g_status"] != "optimal" || row["ref_time_s"] == "" {
			continue
		}
		ref, _ := strconv.ParseFloat(row["ref_time_s"], 64)
		if seen++; !full() && (seen%3 != 1 || ref > 5) {
			continue
		}
		s, items := instance(t, shared(t, "guillotine2d", row["instance_file"]))
		began := time.Now()
		p, err := Solve(context.Background(), s, items, Options{})
		if err != nil {
			t.Errorf("%s: %v", row["instance"], err)
			continue
		}
		took := time.Since(began)
		spent += took
		want, _ := strconv.ParseInt(row["g_opt_no_rot"], 10, 64)
		if faults := Check(s, items, Options{}, p); len(faults) > 0 {
			t.Errorf("%s: %v", row["instance"], faults)
		}
		if p.Value > want || p.Bound < want {
			t.Errorf("%s: value %d bound %d contradict the known optimum %d", row["instance"], p.Value, p.Bound, want)
		}
		count++
		if p.Value == want {
			same++
		}
		if p.Proved() {
			proved++
		}
		t.Logf("%-8s %8d of %8d bound %8d %-7s %5.2f s, work %d million", row["instance"], p.Value, want, p.Bound, p.Status, took.Seconds(), p.Work/1e6)
	}
	t.Logf("%d instances, %d at the known optimum, %d proved, %.0f s", count, same, proved, spent.Seconds())
	if same < count-count/14 {
		t.Errorf("only %d of %d at the optimum", same, count)
	}
}

// The larger instances have published brackets (Velasco and Uchoa 2019,
// tightened by Becker et al.): no plan may pass the upper end, no bound the
// lower one.
func TestLimitedCopiesAgainstPublishedBrackets(t *testing.T) {
	count, same, above, proved := 0, 0, 0, 0
	for _, row := range table(t, "guillotine2d", "optima.csv") {
		lo, errLo := strconv.ParseInt(row["vu_lb"], 10, 64)
		top, errHi := strconv.ParseFloat(row["vu_ub"], 64)
		hi := int64(top)
		if errLo != nil || errHi != nil || row["ref_time_s"] != "" {
			continue
		}
		if !full() && row["instance"] != "P3_150_150_50_3" {
			continue
		}
		if g, err := strconv.ParseInt(row["g_opt_no_rot"], 10, 64); err == nil {
			lo = max(lo, g)
			if row["g_status"] == "optimal" {
				hi = min(hi, g)
			}
		}
		s, items := instance(t, shared(t, "guillotine2d", row["instance_file"]))
		opt := Options{}
		began := time.Now()
		p, err := Solve(context.Background(), s, items, opt)
		if err != nil {
			t.Errorf("%s: %v", row["instance"], err)
			continue
		}
		if faults := Check(s, items, opt, p); len(faults) > 0 || p.Value > hi || p.Bound < lo {
			t.Errorf("%s: value %d bound %d, published %d to %d, %v", row["instance"], p.Value, p.Bound, lo, hi, faults)
		}
		count++
		if p.Value >= lo {
			same++
		}
		if p.Value > lo {
			above++
		}
		if p.Proved() {
			proved++
		}
		t.Logf("%-16s %8d bound %8d published %8d to %8d %-7s %5.2f s, work %d million", row["instance"], p.Value, p.Bound, lo, hi, p.Status, time.Since(began).Seconds(), p.Work/1e6)
	}
	t.Logf("%d instances, %d at or above the published lower end (%d above), %d proved", count, same, above, proved)
	if count == 0 {
		t.Error("no instance read")
	}
}
