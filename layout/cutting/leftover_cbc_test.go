package cutting

import (
	"context"
	"fmt"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"pilewright/plan/measure"
)

// leastUse solves the level of leftovers of a job of line boards without kerf, in
// whole centimetres, with Debian's cbc: y board opened, x copies in a clear run, b
// the length left of a run. It returns false when cbc did not prove it.
func leastUse(t *testing.T, p Problem, levels []Level) (float64, bool) {
	t.Helper()
	const cm = 10 * mm
	var b strings.Builder
	goal, made := "", make([]string, len(p.Items))
	var rows, ints, bins []string
	wood, boards := "", ""
	for n := range p.Boards {
		board := &p.Boards[n]
		y := fmt.Sprintf("y%d", n)
		bins = append(bins, y)
		use, _ := useOf(&p, board).Float64()
		goal += fmt.Sprintf(" + %.0f %s", use, y)
		wood += fmt.Sprintf(" + %d %s", int64(board.Length/cm), y)
		boards += " + " + y
		from := measure.Length(0)
		add := func(to measure.Length) {
			if to <= from {
				return
			}
			length := int64((to - from) / cm)
			one, rest := "", ""
			for k := range length + 1 {
				v := fmt.Sprintf("b%d_%d_%d", n, from/cm, k)
				bins = append(bins, v)
				one += " + " + v
				rest += fmt.Sprintf(" + %d %s", k, v)
				if u, _ := usefulness(&p, measure.Length(k)*cm, board.Width).Float64(); u > 0 {
					goal += fmt.Sprintf(" - %.0f %s", u, v)
				}
			}
			for i := range p.Items {
				v := fmt.Sprintf("x%d_%d_%d", i, n, from/cm)
				ints = append(ints, v)
				made[i] += " + " + v
				rest += fmt.Sprintf(" + %d %s", int64(p.Items[i].Length/cm), v)
			}
			rows = append(rows, fmt.Sprintf("%s - %s = 0", one, y), fmt.Sprintf("%s - %d %s <= 0", rest, length, y))
		}
		for _, d := range board.Defects {
			add(d.From)
			from = d.To
		}
		add(board.Length)
	}
	b.WriteString("Minimize\n obj:" + goal + "\nSubject To\n")
	for i := range p.Items {
		rows = append(rows, fmt.Sprintf("%s = %d", made[i], p.Items[i].Count))
	}
	for _, l := range levels {
		switch l.Aim {
		case AimWood:
			v, _ := l.Exact().Float64()
			rows = append(rows, fmt.Sprintf("%s <= %.0f", wood, v/float64(95*mm)/float64(cm)))
		case AimBoards:
			rows = append(rows, fmt.Sprintf("%s <= %d", boards, l.Value))
		}
	}
	for k, r := range rows {
		fmt.Fprintf(&b, " r%d:%s\n", k, r)
	}
	b.WriteString("Generals\n " + strings.Join(ints, " ") + "\nBinaries\n " + strings.Join(bins, " ") + "\nEnd\n")
	dir := t.TempDir()
	model, answer := filepath.Join(dir, "m.lp"), filepath.Join(dir, "a.txt")
	if err := os.WriteFile(model, []byte(b.String()), 0o600); err != nil {
		t.Fatal(err)
	}
	if out, err := exec.Command("cbc", model, "ratio", "0", "allow", "0", "sec", "20", "solve", "solu", answer).CombinedOutput(); err != nil {
		t.Fatalf("cbc: %v\n%s", err, out)
	}
	text, err := os.ReadFile(answer)
	if err != nil {
		t.Fatal(err)
	}
	head, _, _ := strings.Cut(string(text), "\n")
	if !strings.HasPrefix(head, "Optimal") {
		return 0, false
	}
	v, err := strconv.ParseFloat(strings.TrimSpace(head[strings.LastIndex(head, "value")+5:]), 64)
	if err != nil {
		t.Fatalf("cbc said %q", head)
	}
	return v, true
}

func TestLeftoversEqualAGeneralSolver(t *testing.T) {
	if _, err := exec.LookPath("cbc"); err != nil {
		t.Skip("cbc (Debian coinor-cbc) is not installed")
	}
	r := rand.New(rand.NewPCG(52, 3))
	cases, most := 8, 6
	if os.Getenv("PILEWRIGHT_FULL") != "" {
		cases, most = 60, 9
	}
	compared, same, proved := 0, 0, 0
	for n := range cases {
		p := lines(r, 3+r.IntN(most-2))
		p.CrosscutKerf, p.LeftoverMin, p.Aims = 0, 200*mm, []Aim{AimWood, AimBoards, AimLeftovers}
		for k := range p.Boards {
			b := &p.Boards[k]
			b.Length, b.TrimLeft, b.Price = b.Length/(20*mm)*(10*mm), 0, 0
			for d := range b.Defects {
				at := min(b.Defects[d].From/(20*mm)*(10*mm), b.Length-30*mm)
				b.Defects[d] = Defect{From: at, To: at + 20*mm}
			}
		}
		for k := range p.Items {
			p.Items[k].Length = p.Items[k].Length / (20 * mm) * (10 * mm)
		}
		s := mustSolve(t, p, Options{Work: 300_000_000})
		if err := CheckProof(context.Background(), p, s); err != nil {
			t.Errorf("case %d: %v", n, err)
		}
		if s.Levels[0].Value > 0 || !s.Levels[1].Proved || !s.Levels[2].Proved {
			continue
		}
		want, ok := leastUse(t, p, s.Levels)
		if !ok {
			continue
		}
		compared++
		l := s.Levels[3]
		if float64(l.Value) < want-0.5 || float64(l.Bound) > want+0.5 {
			t.Errorf("case %d, %d boards: use taken %d, bound %d, cbc %.0f", n, len(p.Boards), l.Value, l.Bound, want)
		}
		same += boolInt(float64(l.Value) < want+0.5)
		proved += boolInt(l.Proved)
	}
	t.Logf("%d jobs, %d with the same leftovers, %d proved", compared, same, proved)
	if compared == 0 || same*10 < compared*9 {
		t.Errorf("%d jobs, %d with the same leftovers, %d proved", compared, same, proved)
	}
}
