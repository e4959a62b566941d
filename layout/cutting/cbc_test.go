package cutting

import (
	"bufio"
	"context"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"pilewright/plan/measure"
)

// arcFlow states one level of a job of line boards as a mixed-integer program, by
// arc flow (Valério de Carvalho 1999): y opens a board, which sends one unit of
// flow from place zero to the end of each of its clear runs; an arc of a blank
// goes from where the blank begins to where its kerf ends, an arc e leaves room
// empty. Longer blanks come first, so that an order of pieces is counted once. A
// row bounds each level before; for AimMade blanks may be left out at one each.
func arcFlow(p Problem, level []float64, budgets [][]float64, limits []float64) string {
	runs := map[int][]int{}
	most := 0
	for n, board := range p.Boards {
		from := board.TrimLeft
		add := func(to measure.Length) {
			if to > from {
				w := int((to - from + p.CrosscutKerf) / mm)
				runs[w] = append(runs[w], n)
				most = max(most, w)
			}
		}
		for _, d := range board.Defects {
			add(d.From)
			from = d.To
		}
		add(board.Length - board.TrimRight)
	}
	order := make([]int, len(p.Items))
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(a, b int) int { return int(p.Items[b].Length - p.Items[a].Length) })
	reached := make([]bool, most+1)
	reached[0] = true
	flow := make([]string, most+1) // out of a place less what comes in
	made := make([]string, len(p.Items))
	var arcs []string
	for _, i := range order {
		l := int((p.Items[i].Length + p.CrosscutKerf) / mm)
		begins := make([]bool, most+1)
		for v, is := range reached {
			for k := 0; is && k < p.Items[i].Count && v+(k+1)*l <= most; k++ {
				begins[v+k*l] = true
			}
		}
		for v, is := range begins {
			if is {
				reached[v+l] = true
				a := fmt.Sprintf("a%d_%d", i, v)
				arcs = append(arcs, a)
				flow[v] += " + " + a
				flow[v+l] += " - " + a
				made[i] += " + " + a
			}
		}
	}
	last := 0
	for v := 1; v <= most; v++ {
		if reached[v] || runs[v] != nil {
			e := fmt.Sprintf("e%d", last)
			flow[last] += " + " + e
			flow[v] += " - " + e
			last = v
		}
	}
	var b strings.Builder
	sum := func(w []float64) {
		for n := range p.Boards {
			fmt.Fprintf(&b, " + %.0f y%d", w[n], n)
		}
	}
	b.WriteString("Minimize\n obj: 0 zero")
	if level == nil {
		for i := range p.Items {
			fmt.Fprintf(&b, " + s%d", i)
			made[i] += fmt.Sprintf(" + s%d", i)
		}
	} else {
		sum(level)
	}
	b.WriteString("\nSubject To\n")
	for v := 1; v <= most; v++ {
		if flow[v] == "" {
			continue
		}
		fmt.Fprintf(&b, " f%d:%s", v, flow[v])
		for _, n := range runs[v] {
			fmt.Fprintf(&b, " + y%d", n)
		}
		b.WriteString(" = 0\n")
	}
	for i, it := range p.Items {
		fmt.Fprintf(&b, " d%d:%s = %d\n", i, made[i], it.Count)
	}
	for k, w := range budgets {
		fmt.Fprintf(&b, " l%d: 0 zero", k)
		sum(w)
		fmt.Fprintf(&b, " <= %.0f\n", limits[k])
	}
	b.WriteString("Bounds\n zero = 0\n")
	for n := range p.Boards { // cbc was seen to open a board twice where it was but named binary
		fmt.Fprintf(&b, " y%d <= 1\n", n)
	}
	b.WriteString("Generals\n " + strings.Join(arcs, " "))
	for n := range p.Boards {
		fmt.Fprintf(&b, " y%d", n)
	}
	b.WriteString("\nEnd\n")
	return b.String()
}

// cbcAnswer is what the general solver came to: the value of its best plan, if it
// has one, and the processor seconds after which it had it. Proved without a plan
// means that there is none.
type cbcAnswer struct {
	value, seconds float64
	plan, proved   bool
}

var cbcFound = regexp.MustCompile(`Integer solution of .* found .*\(([0-9.]+) seconds\)|Found feasible solution .* \(([0-9.]+) seconds\)`)

// cbc solves a model with Debian's cbc, a general mixed-integer solver, within so
// many processor seconds.
func cbc(t *testing.T, model string, limit int) cbcAnswer {
	t.Helper()
	dir := t.TempDir()
	lp, answer := filepath.Join(dir, "m.lp"), filepath.Join(dir, "a.txt")
	if err := os.WriteFile(lp, []byte(model), 0o600); err != nil {
		t.Fatal(err)
	}
	run := exec.Command("cbc", lp, "ratio", "0", "allow", "0", "sec", strconv.Itoa(limit), "solve", "solu", answer)
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
	if strings.HasPrefix(head, "Infeasible") || strings.HasPrefix(head, "Integer infeasible") {
		return cbcAnswer{proved: true}
	}
	var a cbcAnswer
	a.proved = strings.HasPrefix(head, "Optimal")
	if !a.proved && !strings.HasPrefix(head, "Stopped on time") || strings.Contains(head, "no integer") {
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

// onGrid puts a job of line boards on a grid: a general solver is quick where few
// places are possible.
func onGrid(p Problem, grid measure.Length) Problem {
	for k := range p.Items {
		p.Items[k].Length = p.Items[k].Length/grid*grid - p.CrosscutKerf
	}
	for k := range p.Boards {
		b := &p.Boards[k]
		b.Length, b.TrimLeft = b.Length/grid*grid, 0
		for n := range b.Defects {
			d := &b.Defects[n]
			d.From, d.To = d.From/grid*grid-p.CrosscutKerf, d.To/grid*grid
		}
	}
	return p
}

// levelCost is what each board counts in an aim, with wood in millimetres of
// length: boards are equally wide.
func levelCost(p Problem, a Aim) []float64 {
	cost := make([]float64, len(p.Boards))
	for k, b := range p.Boards {
		switch a {
		case AimKept:
			if b.KeepWhole {
				cost[k] = 1
			}
		case AimMoney:
			cost[k] = float64(b.Price)
		case AimWood:
			cost[k] = float64(b.Length / mm)
		default:
			cost[k] = 1
		}
	}
	return cost
}

// levelValue is a level's value in the same terms.
func levelValue(l Level) float64 {
	v, _ := l.Exact().Float64()
	if l.Aim == AimWood {
		v /= 95e12
	}
	return v
}

func TestEveryLevelEqualsAGeneralSolver(t *testing.T) {
	if _, err := exec.LookPath("cbc"); err != nil {
		t.Skip("cbc (Debian coinor-cbc) is not installed")
	}
	full := os.Getenv("PILEWRIGHT_FULL") != ""
	compared, proved := map[Aim]int{}, map[Aim]int{}
	one := func(name string, p Problem, work int64, limit int) {
		t.Run(name, func(t *testing.T) {
			s := mustSolve(t, p, Options{Work: work})
			if err := CheckProof(context.Background(), p, s); err != nil {
				t.Error(err)
			}
			var budgets [][]float64
			var limits []float64
			for n, l := range s.Levels {
				got := levelValue(l)
				var cost []float64
				if n > 0 { // a plan no worse than ours is asked for
					cost = levelCost(p, l.Aim)
					budgets, limits = append(budgets, cost), append(limits, got)
				}
				a := cbc(t, arcFlow(p, cost, budgets, limits), limit)
				switch {
				case a.proved && !a.plan:
					t.Errorf("%s is %.0f, cbc finds that no plan comes to that", l.Aim, got)
				case !a.plan:
					t.Logf("%s: cbc found no plan in %d s, ours has %.0f (proved %v)", l.Aim, limit, got, l.Proved)
				case got > a.value:
					t.Errorf("%s is %.0f, cbc has a plan of %.0f (proved here %v)", l.Aim, got, a.value, l.Proved)
				case a.proved && got < a.value:
					t.Errorf("%s is %.0f, cbc proves that none is below %.0f", l.Aim, got, a.value)
				}
				if a.proved {
					compared[l.Aim]++
				}
				if l.Proved {
					proved[l.Aim]++
				}
				if n == 0 { // what is left out stays out in the levels below
					p.Items = slices.Clone(p.Items)
					for _, x := range s.Short {
						p.Items[x.Item].Count -= x.Count
					}
				}
			}
		})
	}
	r := rand.New(rand.NewPCG(51, 3))
	cases, most, work, limit := 3, 6, int64(30_000_000), 20
	if full {
		cases, most, work = 40, 20, 1_000_000_000
	}
	for n := range cases {
		one(fmt.Sprintf("pile %d to the millimetre", n), lines(r, 4+r.IntN(most-3)), work, limit)
	}
	aims := []Aim{AimKept, AimMoney, AimWood, AimBoards}
	for n, boards := range []int{8, 9, 11, 12, 14, 17, 20} {
		p := onGrid(lines(rand.New(rand.NewPCG(uint64(n), 20)), boards), 5*mm)
		p.Aims = aims
		p.Boards[1].KeepWhole, p.Boards[4].KeepWhole = true, true
		for k := 0; k < boards; k += 2 {
			p.Boards[k].Price = int64(1 + k%9)
		}
		if n%2 == 1 { // what can't all be cut
			for k := range p.Items {
				p.Items[k].Count *= 2
			}
		}
		one(fmt.Sprintf("%d boards on a grid", boards), p, work, limit)
	}
	for _, a := range append([]Aim{AimMade}, aims...) {
		if compared[a] < 5 || proved[a] < 5 {
			t.Errorf("%s: %d compared, %d proved here; at least five each are wanted", a, compared[a], proved[a])
		}
	}
	t.Logf("compared %v, proved here %v", compared, proved)
}
