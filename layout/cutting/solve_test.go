package cutting

import (
	"context"
	"fmt"
	"math/rand/v2"
	"testing"

	"pilewright/plan/measure"
)

const mm = measure.Millimetre

// shop is a generated job: boards of several widths and thicknesses with
// defects, and the blanks of a piece of furniture.
func shop(seed uint64, boards, blanks int) Problem {
	r := rand.New(rand.NewPCG(seed, 41))
	p := Problem{CrosscutKerf: 3 * mm, RipKerf: 3 * mm, LeftoverMin: 300 * mm}
	widths := []int{90, 95, 120, 145}
	for k := range boards {
		b := Board{ID: fmt.Sprintf("B%d", k+1), Length: measure.Length(700+r.IntN(1700)) * mm, Width: measure.Length(widths[r.IntN(4)]) * mm,
			Thickness: measure.Length(18+r.IntN(3)*4) * mm, TrimLeft: measure.Length(r.IntN(30)) * mm, TrimRight: measure.Length(r.IntN(30)) * mm}
		for range r.IntN(4) {
			from := measure.Length(r.IntN(int(b.Length/mm)-60)) * mm
			d := Defect{From: from, To: from + measure.Length(2+r.IntN(50))*mm, HiddenOK: r.IntN(3) == 0}
			if r.IntN(2) == 0 {
				d.AcrossFrom = measure.Length(r.IntN(60)) * mm
				d.AcrossTo = d.AcrossFrom + measure.Length(5+r.IntN(20))*mm
			}
			b.Defects = append(b.Defects, d)
		}
		p.Boards = append(p.Boards, b)
	}
	for made := 0; made < blanks; {
		n := min(blanks-made, 1+r.IntN(6))
		made += n
		it := Item{ID: fmt.Sprintf("part %d", len(p.Items)+1), Length: measure.Length(120+r.IntN(600)) * mm, Width: measure.Length([]int{40, 45, 60, 90}[r.IntN(4)]) * mm,
			Thickness: 18 * mm, Hidden: r.IntN(4) == 0, Count: n}
		p.Items = append(p.Items, it)
	}
	return p
}

func mustSolve(t testing.TB, p Problem, opt Options) Solution {
	t.Helper()
	s, err := Solve(context.Background(), p, opt)
	if err != nil {
		t.Fatal(err)
	}
	for _, v := range Check(p, s) {
		t.Errorf("violation: %s", v.Say)
	}
	return s
}

func TestPlansBreakNoRule(t *testing.T) {
	for seed := range uint64(8) {
		p := shop(seed, 4+int(seed), 10+int(seed)*2)
		switch seed % 4 {
		case 1:
			p.MinSafeLength = 300 * mm
		case 2:
			p.MaxPlaneOff = 5 * mm
			for k := range p.Boards {
				p.Boards[k].Price = int64(k%3) * 100
			}
		case 3:
			p.Boards[0].KeepWhole = true
			p.Boards[1].Closed = true
			p.Items[0].OnBoard = p.Boards[2].ID
			p.Items[1].NotOn = []string{p.Boards[2].ID, p.Boards[3].ID}
		}
		s := mustSolve(t, p, Options{Work: 4_000_000})
		t.Logf("seed %d: %d boards, short %d, levels %+v, %d cuts, %d set-ups", seed, len(s.Boards), len(s.Short), levelText(s), len(s.Cuts), s.Setups)
	}
}

func TestTrainsStayWholeUntilTheLastCuts(t *testing.T) {
	trains := 0
	for seed := range uint64(12) {
		p := shop(seed, 8, 14)
		p.MinSafeLength = measure.Length(250+20*seed) * mm
		s := mustSolve(t, p, Options{Work: 1_000_000})
		late := false
		for _, c := range s.Cuts {
			if late && !c.Parting {
				t.Fatalf("seed %d: a board is cut after trains were parted", seed)
			}
			late = late || c.Parting
		}
		for _, o := range s.Boards {
			whole := map[int][2]measure.Length{} // where trains begin and end
			for _, q := range o.Pieces {
				if q.Train == 0 {
					continue
				}
				r, seen := whole[q.Train]
				if !seen {
					r = [2]measure.Length{q.X, q.X}
				}
				whole[q.Train] = [2]measure.Length{min(r[0], q.X), max(r[1], q.X+q.Length)}
			}
			for _, c := range s.Cuts {
				if c.Board != o.Board || c.Machine != Crosscut || c.Parting {
					continue
				}
				for _, q := range o.Pieces {
					r := whole[q.Train]
					r[1] = max(r[1], r[0]+p.MinSafeLength)
					if q.Train > 0 && c.From < q.Y+q.Width && c.To > q.Y && c.At+p.CrosscutKerf > r[0] && c.At < r[1] {
						t.Fatalf("seed %d: a cut at %v goes through the train from %v to %v", seed, c.At, r[0], r[1])
					}
				}
			}
			trains += len(whole)
		}
	}
	if trains < 10 {
		t.Errorf("only %d trains came up", trains)
	}
}

func levelText(s Solution) string {
	t := ""
	for _, l := range s.Levels {
		t += fmt.Sprintf("%s %d/%d; ", l.Aim, l.Value, l.Bound)
	}
	return t
}

func TestEveryStateOfTheSearchTellsValueAndBoundOfItsAim(t *testing.T) {
	p := lines(rand.New(rand.NewPCG(3, 9)), 30)
	told, bounds := 0, map[Aim]int64{}
	s := mustSolve(t, p, Options{Work: 200_000_000, Progress: func(g Progress) {
		told++
		l := g.Solution.Levels[len(g.Solution.Levels)-1]
		if l.Aim != g.Aim || l.Bound > l.Value || l.Bound < 0 {
			t.Errorf("while %s is searched the last level is %s, %d with bound %d", g.Aim, l.Aim, l.Value, l.Bound)
		}
		if l.Bound < bounds[l.Aim] {
			t.Errorf("the bound of %s fell from %d to %d", l.Aim, bounds[l.Aim], l.Bound)
		}
		bounds[l.Aim] = l.Bound
	}})
	if told < 3 {
		t.Errorf("only %d states were told", told)
	}
	for _, l := range s.Levels {
		if bounds[l.Aim] > l.Bound {
			t.Errorf("%s: a bound of %d was told, %d is proved", l.Aim, bounds[l.Aim], l.Bound)
		}
	}
}
