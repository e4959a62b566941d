package cost

import (
	"math/big"
	"math/rand/v2"
	"testing"

	"github.com/shopspring/decimal"

	"pilewright/plan/measure"
	"pilewright/plan/money"
)

func dec(text string) decimal.Decimal { return decimal.RequireFromString(text) }

func same(t *testing.T, what string, got decimal.Decimal, want string) {
	t.Helper()
	if !got.Equal(dec(want)) {
		t.Errorf("%s = %s, want %s", what, got, want)
	}
}

// Identifiers name the rows of the reference table ../shared/checks.csv.
func TestPrices(t *testing.T) {
	t.Run("mo03: a markup of 25 % on 80 is a price of 100 and a margin of 20 %", func(t *testing.T) {
		same(t, "price", PriceForMarkup(dec("80"), dec("0.25")), "100")
		same(t, "margin", MarginOfMarkup(dec("0.25")), "0.2")
		r := Reckon(Sale{Price: dec("100")}, Costs{Wood: dec("80")}, decimal.Zero, decimal.Zero)
		same(t, "margin of the sale", r.Margin.Decimal, "0.2")
		same(t, "markup of the sale", r.Markup.Decimal, "0.25")
	})
	t.Run("mo04: cost 60 at a margin of 40 % is 100", func(t *testing.T) {
		p, ok := PriceForMargin(dec("60"), dec("0.4"))
		if same(t, "price", p, "100"); !ok {
			t.Error("no price")
		}
	})
	t.Run("a margin of the whole price has no price", func(t *testing.T) {
		if p, ok := PriceForMargin(dec("60"), dec("1")); ok {
			t.Errorf("price %s", p)
		}
	})
	t.Run("mo05: cost-plus", func(t *testing.T) {
		same(t, "price", CostPlus(dec("120"), dec("8").Mul(dec("25")), dec("0.15"), dec("0.10")), "404.80")
	})
	t.Run("mo06: the list price that nets 300", func(t *testing.T) {
		p, ok := Sale{FeeRate: dec("0.065"), FeeFixed: dec("0.45")}.PriceToReceive(dec("300"))
		if !ok || p.Round(4).String() != "321.3369" {
			t.Errorf("price = %s, %v; want 321.3369", p, ok)
		}
		same(t, "shown", money.Of("USD").Round(p), "321.34")
	})
	t.Run("mo07: break-even after eight pieces", func(t *testing.T) {
		if n, ok := BreakEvenPieces(dec("900"), dec("250"), dec("130")); n != 8 || !ok {
			t.Errorf("pieces = %d, %v; want 8", n, ok)
		}
		if n, ok := BreakEvenPieces(dec("960"), dec("250"), dec("130")); n != 8 || !ok {
			t.Errorf("an even division: %d, %v; want 8", n, ok)
		}
	})
	t.Run("no number of pieces pays back", func(t *testing.T) {
		for _, c := range [][3]string{{"900", "130", "130"}, {"900", "100", "130"}, {"900", "0.0001", "0"}} {
			if n, ok := BreakEvenPieces(dec(c[0]), dec(c[1]), dec(c[2])); ok {
				t.Errorf("%v: %d", c, n)
			}
		}
		if n, ok := BreakEvenPieces(dec("0"), dec("1"), dec("5")); n != 0 || !ok {
			t.Errorf("nothing to pay back: %d, %v", n, ok)
		}
	})
	t.Run("no limit of hours without a wish or without earning", func(t *testing.T) {
		if h, ok := (Result{Earned: dec("100")}).HoursWithin(dec("0")); ok {
			t.Errorf("no wish: %s", h)
		}
		if h, ok := (Result{Earned: dec("-1")}).HoursWithin(dec("20")); ok {
			t.Errorf("a loss: %s", h)
		}
	})
	t.Run("mo08: 420 less 150 in 9 hours is 30 an hour", func(t *testing.T) {
		r := Reckon(Sale{Price: dec("420")}, Costs{Wood: dec("100"), Consumables: dec("30"), Hardware: dec("20")}, dec("9"), dec("25"))
		same(t, "an hour", r.PerHour.Decimal, "30")
		same(t, "profit over the wished pay", r.Profit, "45")
		same(t, "break-even", r.BreakEven.Decimal, "150")
		same(t, "price for the wish", r.PriceWish.Decimal, "375")
		if r.State != Earns {
			t.Errorf("state %q", r.State)
		}
		if h, ok := r.HoursWithin(dec("25")); !ok || !h.Equal(dec("10.8")) {
			t.Errorf("hours within the wish = %s, %v; want 10.8", h, ok)
		}
	})
	t.Run("mo09: tax on top stays apart", func(t *testing.T) {
		s := Sale{Price: dec("199.99"), TaxRate: dec("0.0825")}
		same(t, "tax", s.Tax(), "16.499175")
		same(t, "tax shown", money.Of("USD").Round(s.Tax()), "16.50")
		same(t, "received", s.Received(), "199.99")
		same(t, "buyer pays", s.BuyerPays(), "216.489175")
	})
	t.Run("tax inside the price", func(t *testing.T) {
		// By hand: 119 holds 19 at 19 %.
		s := Sale{Price: dec("119"), TaxRate: dec("0.19"), TaxIncluded: true, FeeRate: dec("0.1")}
		same(t, "tax", s.Tax(), "19")
		same(t, "before tax", s.BeforeTax(), "100")
		same(t, "fees on the price as written", s.Fees(), "11.9")
		same(t, "received", s.Received(), "88.1")
		p, ok := s.PriceToReceive(dec("88.1"))
		if same(t, "price", p, "119"); !ok {
			t.Error("no price")
		}
	})
	t.Run("a discount takes its fee share along", func(t *testing.T) {
		// By hand: 500 less 10 % is 450; fees 45 + 5, delivery 40: 360 received.
		s := Sale{Price: dec("500"), Discount: dec("0.1"), FeeRate: dec("0.1"), FeeFixed: dec("5"), Delivery: dec("40")}
		r := Reckon(s, Costs{Wood: dec("60")}, dec("12"), dec("20"))
		same(t, "received", r.Received, "360")
		same(t, "an hour", r.PerHour.Decimal, "25")
		// 60 + 240 + 5 + 40 = 345, over 0.9 = 383.33 agreed, over 500: 23.3 % off.
		if d, ok := LargestDiscount(s, Costs{Wood: dec("60")}, dec("12"), dec("20")); !ok || d.Round(6).String() != "0.233333" {
			t.Errorf("largest discount = %s, %v; want 0.233333", d, ok)
		}
	})
}

func TestReckonStates(t *testing.T) {
	fees := Sale{FeeRate: dec("0.1"), FeeFixed: dec("5"), Delivery: dec("30")}
	priced := func(p string) Sale { s := fees; s.Price = dec(p); return s }
	tests := []struct {
		name  string
		sale  Sale
		hours string
		want  State
	}{
		{"no price", priced("0"), "5", NotPriced},
		{"a price below nought is none", priced("-4"), "5", NotPriced},
		{"less than the fees", priced("20"), "5", BelowFees},
		{"less than the costs", priced("80"), "5", Loss},
		{"just the costs", priced("95"), "5", BreaksEven}, // 95·0.9 - 35 = 50.5
		{"more", priced("400"), "5", Earns},
		{"no hours", priced("400"), "0", Earns},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			r := Reckon(tt.sale, Costs{Wood: dec("50.5")}, dec(tt.hours), dec("20"))
			if r.State != tt.want {
				t.Errorf("state %q, want %q (earned %s)", r.State, tt.want, r.Earned)
			}
			if want := tt.want != NotPriced && tt.hours != "0"; r.PerHour.Valid != want {
				t.Errorf("pay for an hour valid %v, want %v", r.PerHour.Valid, want)
			}
			same(t, "break-even", r.BreakEven.Decimal, "95")
		})
	}
	t.Run("fees that take everything leave no price", func(t *testing.T) {
		r := Reckon(Sale{Price: dec("100"), FeeRate: dec("1")}, Costs{}, dec("1"), dec("20"))
		if r.BreakEven.Valid || r.PriceWish.Valid {
			t.Errorf("prices %v and %v", r.BreakEven, r.PriceWish)
		}
		r = Reckon(Sale{Price: dec("100"), FeeRate: dec("0.9"), TaxRate: dec("0.2"), TaxIncluded: true}, Costs{}, dec("1"), dec("20"))
		if r.BreakEven.Valid || r.State != BelowFees {
			t.Errorf("fees and tax above the price: %v, %q", r.BreakEven, r.State)
		}
	})
	t.Run("a piece given away whole", func(t *testing.T) {
		r := Reckon(Sale{Price: dec("100"), Discount: dec("1")}, Costs{}, dec("1"), dec("20"))
		if r.Margin.Valid || r.Markup.Valid || r.BreakEven.Valid || r.State != BreaksEven {
			t.Errorf("%+v", r)
		}
	})
}

func TestEndings(t *testing.T) {
	byName := map[string]Ending{}
	for _, e := range Endings() {
		byName[e.Name] = e
	}
	for _, tt := range []struct{ rule, price, up, down string }{
		{"whole", "321.34", "322", "321"},
		{"whole", "321", "321", "321"},
		{"ends in 0 or 5", "321.34", "325", "320"},
		{"ends in 0", "321.34", "330", "320"},
		{"ends in 5", "325.01", "335", "325"},
		{"ends in 9", "321.34", "329", "319"},
		{"ends in 9", "0", "9", ""},
		{"ends in 9", "-40", "9", ""},
		{"ends in .99", "321.34", "321.99", "320.99"},
		{"ends in 0", "0", "10", ""},
	} {
		e := byName[tt.rule]
		same(t, tt.rule+": up from "+tt.price, e.Up(dec(tt.price)), tt.up)
		down, ok := e.Down(dec(tt.price))
		if ok != (tt.down != "") {
			t.Errorf("%s: down from %s = %s, %v", tt.rule, tt.price, down, ok)
		}
		if ok {
			same(t, tt.rule+": down from "+tt.price, down, tt.down)
		}
	}
	same(t, "no rule", Ending{}.Up(dec("3.21")), "3.21")
}

// Up and Down are the nearest prices of the rule on either side, as counting
// through all of them shows.
func TestEndingsAgreeWithCounting(t *testing.T) {
	for _, e := range Endings() {
		for cents := int64(1); cents < 4000; cents += 7 {
			price := decimal.New(cents, -2)
			up := decimal.Zero
			down := decimal.Zero
			for n := int64(-2); ; n++ {
				p := e.Every.Mul(decimal.NewFromInt(n)).Add(e.Last)
				if p.Sign() <= 0 {
					continue
				}
				if p.LessThanOrEqual(price) {
					down = p
				}
				if p.GreaterThanOrEqual(price) {
					up = p
					break
				}
			}
			gotDown, ok := e.Down(price)
			if !e.Up(price).Equal(up) || ok != (down.Sign() > 0) || ok && !gotDown.Equal(down) {
				t.Fatalf("%s around %s: up %s want %s, down %s %v want %s", e.Name, price, e.Up(price), up, gotDown, ok, down)
			}
		}
	}
}

func TestConsumables(t *testing.T) {
	square := measure.AreaOf(measure.Metre, measure.Metre)
	t.Run("glue by area and spread", func(t *testing.T) {
		// By hand: 0.4 m² at 200 ml/m² and a quarter lost is 100 ml; at 12 a litre 1.20.
		g := Glue{Area: measure.AreaOf(400*measure.Millimetre, measure.Metre), Spread: dec("200"), Loss: dec("0.25"), Litre: dec("12")}
		same(t, "millilitres", g.Millilitres(), "100")
		same(t, "cost", g.Cost(), "1.2")
	})
	t.Run("finish by area, coats and coverage", func(t *testing.T) {
		// By hand: 3 coats on 2 m² at 10 m² a litre is 0.6 l; at 30 a litre 18.
		f := Finish{Area: square.Times(2), Coats: 3, Coverage: dec("10"), Litre: dec("30")}
		same(t, "millilitres", f.Millilitres(), "600")
		same(t, "cost", f.Cost(), "18")
	})
	t.Run("no coverage known", func(t *testing.T) {
		f := Finish{Area: square, Coats: 3, Litre: dec("30")}
		same(t, "millilitres", f.Millilitres(), "0")
		same(t, "cost", f.Cost(), "0")
	})
	t.Run("sandpaper and machine hours", func(t *testing.T) {
		same(t, "sandpaper", Sandpaper(square.Times(2), 3, dec("0.5")), "3")
		same(t, "machines", Machines(dec("2.5"), dec("0.4"), dec("0.6")), "2.5")
	})
	t.Run("gl04: a film of 6 mil covers 267.4 square feet a gallon", func(t *testing.T) {
		film := CoverageOfFilm(measure.Inch * 6 / 1000)
		gallon := CoverageFromGallon(dec("267.36"))
		if film.Sub(gallon).Abs().GreaterThan(dec("0.001")) {
			t.Errorf("film %s m²/l, 267.36 ft²/gal %s m²/l", film, gallon)
		}
		// TRADE.md §8: m²/l = ft²/gal × 0.02454.
		if got := CoverageFromGallon(one).Round(5).String(); got != "0.02454" {
			t.Errorf("one ft²/gal = %s m²/l", got)
		}
	})
	t.Run("a lot's cost by the wood taken", func(t *testing.T) {
		lot := measure.VolumeOf(measure.Metre, measure.Metre, 30*measure.Millimetre)
		part := measure.VolumeOf(measure.Metre, measure.Metre, 10*measure.Millimetre)
		if got := Portion(dec("45"), part, lot).Round(10); !got.Equal(dec("15")) {
			t.Errorf("portion = %s, want 15", got)
		}
		same(t, "an empty lot", Portion(dec("45"), part, measure.Volume{}), "0")
	})
}

// A second reckoning in exact fractions (math/big) agrees with Reckon, and the
// prices it gives do what they promise.
func TestReckonAgreesWithFractions(t *testing.T) {
	rng := rand.New(rand.NewPCG(7, 8))
	pick := func(most int64, exp int32) decimal.Decimal { return decimal.New(rng.Int64N(most), exp) }
	near := func(got decimal.Decimal, want *big.Rat) bool {
		off := new(big.Rat).Sub(got.Rat(), want)
		scale := new(big.Rat).Add(big.NewRat(1, 1), new(big.Rat).Abs(want))
		return off.Abs(off).Cmp(scale.Mul(scale, big.NewRat(1, 1_000_000_000))) < 0
	}
	add := func(rs ...*big.Rat) *big.Rat {
		sum := new(big.Rat)
		for _, r := range rs {
			sum.Add(sum, r)
		}
		return sum
	}
	unit := big.NewRat(1, 1)
	for n := range 2000 {
		s := Sale{
			Price: pick(200_000, -2), Discount: pick(60, -2), FeeRate: pick(300, -3), FeeFixed: pick(500, -2),
			Delivery: pick(9000, -2), TaxRate: pick(2500, -4), TaxIncluded: rng.IntN(2) == 0,
		}
		c := Costs{pick(9000, -2), pick(3000, -2), pick(3000, -2), pick(900, -2), pick(3000, -2), pick(2000, -2)}
		hours, wish := pick(400, -1), pick(5000, -2)
		r := Reckon(s, c, hours, wish)

		costs := add(c.Wood.Rat(), c.Consumables.Rat(), c.Hardware.Rat(), c.Machines.Rat(), c.Expenses.Rat(), c.Overhead.Rat())
		agreed := new(big.Rat).Mul(s.Price.Rat(), new(big.Rat).Sub(unit, s.Discount.Rat()))
		paid := new(big.Rat).Mul(agreed, add(unit, s.TaxRate.Rat()))
		before := agreed
		if s.TaxIncluded {
			paid = agreed
			before = new(big.Rat).Quo(agreed, add(unit, s.TaxRate.Rat()))
		}
		tax := new(big.Rat).Sub(paid, before)
		fees := add(new(big.Rat).Mul(agreed, s.FeeRate.Rat()), s.FeeFixed.Rat())
		received := new(big.Rat).Sub(before, add(fees, s.Delivery.Rat()))
		earned := new(big.Rat).Sub(received, costs)
		if s.Price.Sign() > 0 {
			for what, pair := range map[string]struct {
				got  decimal.Decimal
				want *big.Rat
			}{
				"buyer pays": {r.BuyerPays, paid}, "tax": {r.Tax, tax}, "fees": {r.Fees, fees}, "received": {r.Received, received},
				"earned": {r.Earned, earned}, "profit": {r.Profit, new(big.Rat).Sub(earned, new(big.Rat).Mul(hours.Rat(), wish.Rat()))},
			} {
				if !near(pair.got, pair.want) {
					t.Fatalf("case %d %+v: %s = %s, want %s", n, s, what, pair.got, pair.want.FloatString(12))
				}
			}
			if hours.Sign() > 0 && !near(r.PerHour.Decimal, new(big.Rat).Quo(earned, hours.Rat())) {
				t.Fatalf("case %d: an hour earns %s", n, r.PerHour.Decimal)
			}
			if r.Margin.Valid && r.Markup.Valid {
				// margin = markup / (1 + markup)
				if m := r.Markup.Decimal.Rat(); m.Cmp(big.NewRat(-1, 1)) > 0 &&
					!near(r.Margin.Decimal, new(big.Rat).Quo(m, add(unit, m))) {
					t.Fatalf("case %d: margin %s beside markup %s", n, r.Margin.Decimal, r.Markup.Decimal)
				}
			}
		}
		if r.BreakEven.Valid && r.BreakEven.Decimal.Sign() > 0 {
			at := s
			at.Price = r.BreakEven.Decimal
			if even := Reckon(at, c, hours, wish); !near(even.Earned, new(big.Rat)) {
				t.Fatalf("case %d: at the break-even price %s earned is %s", n, at.Price, even.Earned)
			}
			at.Price = r.PriceWish.Decimal
			if wished := Reckon(at, c, hours, wish); !near(wished.Profit, new(big.Rat)) {
				t.Fatalf("case %d: at the wished price %s profit is %s", n, at.Price, wished.Profit)
			}
		}
		if d, ok := LargestDiscount(s, c, hours, wish); ok && d.Sign() > 0 {
			at := s
			at.Discount = d
			if left := Reckon(at, c, hours, wish); !near(left.Profit, new(big.Rat)) {
				t.Fatalf("case %d: at the largest discount %s profit is %s", n, d, left.Profit)
			}
		}
	}
}
