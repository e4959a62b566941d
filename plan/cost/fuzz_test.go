package cost

import (
	"testing"

	"github.com/shopspring/decimal"
)

// FuzzReckon tries amounts and rates that no field would let through.
func FuzzReckon(f *testing.F) {
	f.Add(int64(42000), int64(10), int64(65), int64(45), int64(825), true, int64(15000), int64(90), int64(2500))
	f.Add(int64(0), int64(0), int64(0), int64(0), int64(0), false, int64(0), int64(0), int64(0))
	f.Add(int64(-1), int64(1000), int64(1000), int64(-5), int64(-10000), true, int64(-7), int64(-3), int64(-2))
	f.Add(int64(100), int64(100), int64(2000), int64(1), int64(10000), true, int64(1), int64(1), int64(1))
	f.Fuzz(func(t *testing.T, price, discount, fee, fixed, tax int64, included bool, wood, hours, wish int64) {
		s := Sale{
			Price: decimal.New(price, -2), Discount: decimal.New(discount, -2), FeeRate: decimal.New(fee, -3),
			FeeFixed: decimal.New(fixed, -2), TaxRate: decimal.New(tax, -4), TaxIncluded: included,
		}
		c := Costs{Wood: decimal.New(wood, -2)}
		h, w := decimal.New(hours, -1), decimal.New(wish, -2)
		r := Reckon(s, c, h, w)
		if (r.State == NotPriced) != (price <= 0) {
			t.Fatalf("price %s: %q", s.Price, r.State)
		}
		if r.State == Earns && r.Earned.Sign() <= 0 || r.State == Loss && r.Earned.Sign() >= 0 {
			t.Fatalf("%q with %s earned", r.State, r.Earned)
		}
		if r.PerHour.Valid != (r.State != NotPriced && hours > 0) {
			t.Fatalf("pay for an hour %v in %s hours", r.PerHour, h)
		}
		if r.BreakEven.Valid && r.BreakEven.Decimal.Sign() < 0 || r.PriceWish.Valid && r.PriceWish.Decimal.Sign() < 0 {
			t.Fatalf("a price below nought: %v, %v", r.BreakEven, r.PriceWish)
		}
		if d, ok := LargestDiscount(s, c, h, w); ok && d.Sign() < 0 {
			t.Fatalf("a discount of %s", d)
		}
		for _, e := range Endings() {
			if up := e.Up(s.Price); up.Sign() <= 0 || up.LessThan(s.Price) {
				t.Fatalf("%s: %s up to %s", e.Name, s.Price, up)
			}
			if down, ok := e.Down(s.Price); ok && (down.Sign() <= 0 || down.GreaterThan(s.Price)) {
				t.Fatalf("%s: %s down to %s", e.Name, s.Price, down)
			}
		}
	})
}
