package cutting

import (
	"bufio"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"pilewright/plan/measure"
)

// cbcOptimum solves one level of a job of line boards with Debian's cbc, a
// general mixed-integer solver, on the assignment model: y board opened, x_ns
// copies of blank n in clear run s. It returns false when cbc did not prove it.
func cbcOptimum(t *testing.T, p Problem, cost []float64, budgets [][]float64, limits []float64) (float64, bool) {
	t.Helper()
	a := cbc(t, p, cost, budgets, limits, 20)
	return a.value, a.proved
}

// cbcAnswer is what the general solver came to: the value of its best plan, if it
// has one, and the seconds after which it had it.
type cbcAnswer struct {
	value, seconds float64
	plan, proved   bool
}

var cbcFound = regexp.MustCompile(`Integer solution of .* found .*\(([0-9.]+) seconds\)|Found feasible solution .* \(([0-9.]+) seconds\)`)

func cbc(t *testing.T, p Problem, cost []float64, budgets [][]float64, limits []float64, limit int) cbcAnswer {
	t.Helper()
	var b strings.Builder
	term := func(c float64, name string) string { return fmt.Sprintf(" + %.0f %s", c, name) }
	b.WriteString("Minimize\n obj: 0 zero")
	for n := range p.Boards {
		b.WriteString(term(cost[n], fmt.Sprintf("y%d", n)))
	}
	b.WriteString("\nSubject To\n")
	made := make([]string, len(p.Items))
	var names []string
	for n, board := range p.Boards {
		from := board.TrimLeft
		run := 0
		add := func(to measure.Length) {
			if to > from {
				row := ""
				for i, it := range p.Items {
					name := fmt.Sprintf("x%d_%d_%d", i, n, run)
					names = append(names, name)
					made[i] += term(1, name)
					row += term(float64((it.Length+p.CrosscutKerf)/mm), name)
				}
				fmt.Fprintf(&b, " c%d_%d:%s - %d y%d <= 0\n", n, run, row, int64((to-from+p.CrosscutKerf)/mm), n)
				run++
			}
		}
		for _, d := range board.Defects {
			add(d.From)
			from = d.To
		}
		add(board.Length - board.TrimRight)
	}
	for i, it := range p.Items {
		fmt.Fprintf(&b, " d%d:%s = %d\n", i, made[i], it.Count)
	}
	for k, w := range budgets {
		row := ""
		for n := range p.Boards {
			row += term(w[n], fmt.Sprintf("y%d", n))
		}
		fmt.Fprintf(&b, " l%d:%s <= %.0f\n", k, row, limits[k])
	}
	b.WriteString("Bounds\n zero = 0\nGenerals\n")
	for _, n := range names {
		b.WriteString(" " + n)
	}
	b.WriteString("\nBinaries\n")
	for n := range p.Boards {
		fmt.Fprintf(&b, " y%d", n)
	}
	b.WriteString("\nEnd\n")
	dir := t.TempDir()
	model, answer := filepath.Join(dir, "m.lp"), filepath.Join(dir, "a.txt")
	if err := os.WriteFile(model, []byte(b.String()), 0o600); err != nil {
		t.Fatal(err)
	}
	run := exec.Command("cbc", model, "ratio", "0", "allow", "0", "sec", strconv.Itoa(limit), "solve", "solu", answer)
	out, err := run.CombinedOutput()
	if err != nil {
		t.Fatalf("cbc: %v\n%s", err, out)
	}
	f, err := os.Open(answer)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	s := bufio.NewScanner(f)
	if !s.Scan() {
		t.Fatal("cbc wrote no answer")
	}
	head := s.Text()
	var a cbcAnswer
	a.proved = strings.HasPrefix(head, "Optimal")
	if !a.proved && !strings.HasPrefix(head, "Stopped on time") || strings.Contains(head, "no integer") || strings.Contains(head, "infeasible") {
		return a
	}
	v, err := strconv.ParseFloat(strings.TrimSpace(head[strings.LastIndex(head, "value")+5:]), 64)
	if err != nil {
		t.Fatalf("cbc said %q", head)
	}
	a.value, a.plan = math.Round(v), true
	a.seconds = run.ProcessState.UserTime().Seconds()
	if m := cbcFound.FindAllStringSubmatch(string(out), -1); m != nil {
		last := m[len(m)-1]
		if at, err := strconv.ParseFloat(last[1]+last[2], 64); err == nil {
			a.seconds = min(a.seconds, at)
		}
	}
	return a
}

// lines is a job of line boards in whole millimetres, with some priced boards.
func lines(r *rand.Rand, boards int) Problem {
	p := Problem{CrosscutKerf: 3 * mm, RipKerf: 3 * mm, Aims: []Aim{AimMoney, AimWood, AimBoards}}
	clear := 0
	for k := range boards {
		l := 500 + r.IntN(900)
		b := Board{ID: fmt.Sprint(k), Length: measure.Length(l) * mm, Width: 95 * mm, TrimLeft: 10 * mm}
		if r.IntN(2) == 0 {
			at := 60 + r.IntN(l-150)
			b.Defects = []Defect{{From: measure.Length(at) * mm, To: measure.Length(at+20) * mm}}
		}
		if r.IntN(3) == 0 {
			b.Price = int64(1 + r.IntN(9))
		}
		clear += l
		p.Boards = append(p.Boards, b)
	}
	for need := clear * 5 / 10; need > 0; {
		l, n := 120+r.IntN(350), 1+r.IntN(4)
		p.Items = append(p.Items, Item{ID: fmt.Sprint("i", len(p.Items)), Length: measure.Length(l) * mm, Width: 90 * mm, Count: n})
		need -= l * n
	}
	return p
}

func TestEveryLevelEqualsAGeneralSolver(t *testing.T) {
	if _, err := exec.LookPath("cbc"); err != nil {
		t.Skip("cbc (Debian coinor-cbc) is not installed")
	}
	r := rand.New(rand.NewPCG(51, 3))
	cases, most, work := 3, 6, int64(30_000_000)
	if os.Getenv("PILEWRIGHT_FULL") != "" {
		cases, most, work = 40, 20, 1_000_000_000
	}
	compared := 0
	for n := range cases {
		p := lines(r, 4+r.IntN(most-3))
		s := mustSolve(t, p, Options{Work: work})
		if err := CheckProof(p, s); err != nil {
			t.Errorf("case %d: %v", n, err)
		}
		if s.Levels[0].Value > 0 {
			continue
		}
		var budgets [][]float64
		var limits []float64
		for _, l := range s.Levels[1:] {
			cost := make([]float64, len(p.Boards))
			for k, b := range p.Boards {
				switch l.Aim {
				case AimMoney:
					cost[k] = float64(b.Price)
				case AimWood:
					cost[k] = float64(b.Length / mm)
				default:
					cost[k] = 1
				}
			}
			got, _ := l.Exact().Float64()
			if l.Aim == AimWood {
				got /= 95e12
			}
			want, ok := cbcOptimum(t, p, cost, budgets, limits)
			if !ok {
				break
			}
			compared++
			if got < want || (l.Proved && got != want) {
				t.Errorf("case %d, %d boards: %s is %.0f, cbc %.0f (proved here %v)", n, len(p.Boards), l.Aim, got, want, l.Proved)
			}
			if !l.Proved {
				t.Logf("case %d: %s %.0f not proved here, cbc %.0f", n, l.Aim, got, want)
			}
			budgets, limits = append(budgets, cost), append(limits, got)
		}
	}
	if compared == 0 {
		t.Error("nothing was compared")
	}
	t.Logf("%d levels compared", compared)
}
