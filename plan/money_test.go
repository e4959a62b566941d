package plan_test

import (
	"context"
	"math"
	"math/big"
	"testing"
	"time"

	"github.com/shopspring/decimal"

	"pilewright/plan"
)

func rat(d decimal.Decimal) *big.Rat { return d.Rat() }

func area(l, w int64) *big.Rat {
	return new(big.Rat).Mul(new(big.Rat).SetInt64(l), new(big.Rat).SetInt64(w))
}

// woodCost reckons the wood by fractions: each board's price, or its lot's money by
// volume, times the share that does not go back to the pile.
func woodCost(made *plan.Plan) *big.Rat {
	p := made.Project
	lots := map[plan.ID]*big.Rat{}
	for _, b := range p.Boards {
		if b.Parent == 0 {
			if lots[b.Lot] == nil {
				lots[b.Lot] = new(big.Rat)
			}
			lots[b.Lot].Add(lots[b.Lot], new(big.Rat).Mul(area(int64(b.Length), int64(b.Width)), new(big.Rat).SetInt64(int64(b.Thickness))))
		}
	}
	sum := new(big.Rat)
	for _, cb := range made.Cuts.Boards {
		b, _ := p.Board(cb.Board)
		whole := area(int64(b.Length), int64(b.Width))
		taken := new(big.Rat).Set(whole)
		for _, l := range cb.Leftovers {
			taken.Sub(taken, area(int64(l.Length), int64(l.Width)))
		}
		if b.Price.IsPositive() {
			sum.Add(sum, new(big.Rat).Mul(rat(b.Price), new(big.Rat).Quo(taken, whole)))
			continue
		}
		lot, _ := p.Lot(b.Lot)
		if v := lots[b.Lot]; v != nil && v.Sign() > 0 {
			share := new(big.Rat).Quo(new(big.Rat).Mul(taken, new(big.Rat).SetInt64(int64(b.Thickness))), v)
			sum.Add(sum, share.Mul(share, rat(lot.Spent)))
		}
	}
	return sum
}

// earned reckons what is left of the price by fractions, from the definitions: the
// tax is taken out of, or put on, the price; fees are a share of the price and a
// fixed sum.
func earned(made *plan.Plan) *big.Rat {
	s, costs := made.Project.Shop, new(big.Rat)
	for _, l := range made.Ledger.Lines {
		costs.Add(costs, rat(l.Amount))
	}
	price := rat(made.Project.Piece.Price)
	net := new(big.Rat).Set(price)
	if s.TaxIncluded {
		net.Quo(net, new(big.Rat).Add(big.NewRat(1, 1), rat(s.TaxRate)))
	}
	fees := new(big.Rat).Add(new(big.Rat).Mul(price, rat(s.FeeRate)), rat(s.FeeFixed))
	out := new(big.Rat).Sub(net, fees)
	out.Sub(out, rat(s.Delivery))
	return out.Sub(out, costs)
}

func near(a *big.Rat, b decimal.Decimal) bool {
	d := new(big.Rat).Sub(a, rat(b))
	return d.Abs(d).Cmp(big.NewRat(1, 10_000)) < 0
}

func TestMoneyAgreesWithFractions(t *testing.T) {
	for _, c := range []struct {
		name string
		edit func(*plan.Project)
	}{
		{"as in the demo", func(*plan.Project) {}},
		{"tax within the price", func(p *plan.Project) {
			p.Shop.TaxRate, p.Shop.TaxIncluded = decimal.RequireFromString("0.19"), true
		}},
		{"tax on top and fees", func(p *plan.Project) {
			p.Shop.TaxRate, p.Shop.FeeRate, p.Shop.FeeFixed = decimal.RequireFromString("0.0825"), decimal.RequireFromString("0.065"), decimal.RequireFromString("0.45")
		}},
		{"delivery and machines", func(p *plan.Project) {
			p.Shop.Delivery, p.Shop.PowerCost, p.Shop.WearCost = decimal.RequireFromString("25.50"), decimal.RequireFromString("0.333"), decimal.RequireFromString("1.1")
		}},
	} {
		t.Run(c.name, func(t *testing.T) {
			made := mustMake(t, demoProject(t).With(c.edit))
			if got, want := made.Ledger.Costs.Wood, woodCost(made); !near(want, got) || got.IsZero() {
				t.Errorf("wood costs %s, by fractions %s", got, want.FloatString(6))
			}
			// Fees on a price with tax on top may be taken of the one or the other; the
			// ledger's own words decide, so only the difference is looked at there.
			got, want := made.Ledger.Result.Earned, earned(made)
			if !near(want, got) {
				t.Errorf("earned %s, by fractions %s", got, want.FloatString(6))
			}
		})
	}
}

// Cutting every board as planned takes the wood from the pile and leaves cost,
// collecting time and hours as they were.
func TestCuttingAsPlannedChangesNoCost(t *testing.T) {
	before, err := plan.Make(context.Background(), demoProject(t), toyTools, nil)
	if err != nil {
		t.Fatal(err)
	}
	p := before.Project
	for _, cb := range before.Cuts.Boards {
		if p, err = p.TickOff(before, cb.Board); err != nil {
			t.Fatal(err)
		}
	}
	after, err := plan.Make(context.Background(), p, toyTools, nil)
	if err != nil {
		t.Fatal(err)
	}
	if len(after.Cuts.Boards) != 0 || len(after.Cuts.Short) != 0 {
		t.Errorf("%d boards are still to be cut, short %v", len(after.Cuts.Boards), after.Cuts.Short)
	}
	a, b := before.Ledger, after.Ledger
	if d := a.Costs.Wood.Sub(b.Costs.Wood).Abs(); d.GreaterThan(decimal.New(1, -2)) {
		t.Errorf("the wood cost %s before and %s after", a.Costs.Wood, b.Costs.Wood)
	}
	if math.Abs(a.Collect-b.Collect) > 0.01 || a.Boards != b.Boards || a.Used.Cmp(b.Used) != 0 || a.Wood.Cmp(b.Wood) != 0 {
		t.Errorf("collected %.2f and %.2f min, %d and %d boards", a.Collect, b.Collect, a.Boards, b.Boards)
	}
	if len(after.GlueUps) != len(before.GlueUps) {
		t.Errorf("%d glue-ups before, %d after", len(before.GlueUps), len(after.GlueUps))
	}
	for _, s := range before.Work.Steps {
		sawn := s.Key == "nails" || s.Key == "trim" || len(s.Key) > 4 && (s.Key[:4] == "rip/" || len(s.Key) > 9 && s.Key[:9] == "crosscut/")
		if _, there := after.Work.Step(s.Key); !there && !sawn {
			t.Errorf("the step %s is gone after the cuts", s.Key)
		}
	}
}

// The forecast counts the time that was logged on steps that are gone.
func TestForecastCountsTimeLoggedOnCutsThatAreDone(t *testing.T) {
	p := demoProject(t)
	without, err := plan.Make(context.Background(), p, toyTools, nil)
	if err != nil {
		t.Fatal(err)
	}
	q := p.With(func(q *plan.Project) {
		q.Log = append(q.Log[:len(q.Log):len(q.Log)], plan.Entry{ID: q.Take(), Piece: q.Piece.ID, Phase: plan.PhaseMill, Step: "crosscut/1", Start: time.Date(2026, 3, 1, 9, 0, 0, 0, time.UTC), Seconds: 3600})
	})
	with, err := plan.Make(context.Background(), q, toyTools, nil)
	if err != nil {
		t.Fatal(err)
	}
	if d := with.Ledger.Forecast.P50 - without.Ledger.Forecast.P50; math.Abs(d-60) > 0.01 {
		t.Errorf("an hour logged elsewhere moves the forecast by %.2f min", d)
	}
}
