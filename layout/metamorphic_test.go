package layout_test

import (
	"context"
	"fmt"
	"math/rand/v2"
	"os"
	"slices"
	"testing"

	"github.com/shopspring/decimal"

	"pilewright/layout"
	"pilewright/plan"
	"pilewright/plan/measure"
)

// slats is a piece of loose slats of a few sizes and a pile for it, small enough
// to be cut at the proved optimum.
func slats(r *rand.Rand) *plan.Project {
	s := plan.Start{ID: "slats", Name: "Slats"}
	for i := range 2 + r.IntN(2) {
		s.Parts = append(s.Parts, plan.Part{Name: fmt.Sprintf("slat %d", i+1), Length: fmt.Sprintf("%d in", 8+r.IntN(20)), Width: fmt.Sprintf("%d in", 1+r.IntN(2)), Thickness: "1/2 in", Way: plan.Solid,
			Copies: []plan.Copy{{X: "0", Y: fmt.Sprintf("%d in", 100*i), Z: "0", Along: plan.X, Thick: plan.Z, Repeat: fmt.Sprint(1 + r.IntN(3)), StepY: "6 in"}}})
	}
	p := (&plan.Project{Shop: plan.DefaultShop(), NextID: 1}).NewPiece(s, "slats")
	for range 4 + r.IntN(3) {
		p.Boards = append(p.Boards, randomBoard(r, p))
	}
	return p
}

func randomBoard(r *rand.Rand, p *plan.Project) plan.Board {
	const in = measure.Inch
	return plan.Board{ID: p.Take(), Mark: fmt.Sprint(len(p.Boards) + 1), Length: measure.Length(24+r.IntN(36)) * in, Width: measure.Length(2+r.IntN(4)) * in, Thickness: 3 * in / 4, Species: "pine", Price: decimal.New(int64(r.IntN(300)), -2)}
}

// levels are the aims of the cuts, in their order.
func levels(t *testing.T, p *plan.Project) ([]decimal.Decimal, bool) {
	t.Helper()
	tools := layout.Tools(day)
	full := tools.Cut
	tools.Cut = func(ctx context.Context, job plan.CutJob, better func(plan.Cuts)) (plan.Cuts, error) {
		job.Effort = 100_000_000
		return full(ctx, job, better)
	}
	made, err := plan.Make(context.Background(), p, tools, nil)
	if err != nil {
		t.Fatal(err)
	}
	if !made.Drawable() {
		t.Fatal(made.Failure())
	}
	missing := 0
	for _, s := range made.Cuts.Short {
		missing += s.Count
	}
	return []decimal.Decimal{decimal.NewFromInt(int64(missing)), made.Cuts.Money, decimal.NewFromFloat(made.Cuts.Wood.Float()).Round(3), decimal.NewFromInt(int64(len(made.Cuts.Boards)))}, made.Cuts.Proved
}

func compare(a, b []decimal.Decimal) int {
	return slices.CompareFunc(a, b, func(x, y decimal.Decimal) int { return x.Cmp(y) })
}

// At the proved optimum the order of the lists changes nothing, one board more never
// makes the cuts worse, and all sizes doubled take the same boards.
func TestProvedCutsFollowThePileAndNotTheList(t *testing.T) {
	n := uint64(3)
	if os.Getenv("PILEWRIGHT_FULL") != "" {
		n = 200
	}
	compared := 0
	for seed := range n {
		r := rand.New(rand.NewPCG(seed, 7))
		p := slats(r)
		want, proved := levels(t, p)
		if !proved {
			continue
		}
		compared++
		listed, ok := levels(t, p.With(func(q *plan.Project) {
			q.Boards, q.Parts = slices.Clone(p.Boards), slices.Clone(p.Parts)
			r.Shuffle(len(q.Boards), func(i, k int) { q.Boards[i], q.Boards[k] = q.Boards[k], q.Boards[i] })
			slices.Reverse(q.Parts)
		}))
		if ok && compare(listed, want) != 0 {
			t.Errorf("seed %d: %v, listed in another order %v", seed, want, listed)
		}
		more, ok := levels(t, p.With(func(q *plan.Project) { q.Boards = append(slices.Clone(p.Boards), randomBoard(r, q)) }))
		if ok && compare(more, want) > 0 {
			t.Errorf("seed %d: %v, with one board more %v", seed, want, more)
		}
		if shown, ok := levels(t, p.With(func(q *plan.Project) { q.Shop.Inches = false })); ok && compare(shown, want) != 0 {
			t.Errorf("seed %d: %v, shown in millimetres %v", seed, want, shown)
		}
		twice, ok := levels(t, p.With(func(q *plan.Project) { double(q, p) }))
		four := decimal.NewFromInt(4)
		if ok && (!twice[0].Equal(want[0]) || !twice[1].Equal(want[1]) || !twice[2].Sub(want[2].Mul(four)).Abs().LessThan(decimal.NewFromInt(1)) || !twice[3].Equal(want[3])) {
			t.Errorf("seed %d: %v, all sizes doubled %v", seed, want, twice)
		}
	}
	if compared < int(n)/2 {
		t.Errorf("only %d of %d piles were cut at a proved optimum", compared, n)
	}
	t.Logf("%d of %d compared", compared, n)
}

// double makes every size twice as large: parts, boards, allowances and blades.
func double(q, p *plan.Project) {
	q.Boards, q.Parts, q.Shop.Blades = slices.Clone(p.Boards), slices.Clone(p.Parts), slices.Clone(p.Shop.Blades)
	for i := range q.Boards {
		b := &q.Boards[i]
		b.Length, b.Width, b.Thickness = 2*b.Length, 2*b.Width, 2*b.Thickness
	}
	for i := range q.Parts {
		s := &q.Parts[i]
		s.Length, s.Width, s.Thickness = "2*("+s.Length+")", "2*("+s.Width+")", "2*("+s.Thickness+")"
		s.Copies = slices.Clone(s.Copies)
		for k := range s.Copies {
			s.Copies[k].Y, s.Copies[k].StepY = "2*("+s.Copies[k].Y+")", "2*("+s.Copies[k].StepY+")"
		}
	}
	for i := range q.Shop.Blades {
		q.Shop.Blades[i].Kerf *= 2
	}
	q.Shop.Machines = slices.Clone(p.Shop.Machines)
	for i := range q.Shop.Machines {
		q.Shop.Machines[i].MinLength *= 2
	}
	for _, l := range []*measure.Length{&q.Shop.LengthAllowance, &q.Shop.WidthAllowance, &q.Shop.PlaneAllowance, &q.Shop.PlaneLimit, &q.Shop.LeftoverMin} {
		*l *= 2
	}
}
