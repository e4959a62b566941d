package cost_test

import (
	"fmt"

	"github.com/shopspring/decimal"

	"pilewright/plan/cost"
	"pilewright/plan/money"
)

func ExampleReckon() {
	d := decimal.RequireFromString
	usd := money.Of("USD")
	r := cost.Reckon(
		cost.Sale{Price: d("320"), FeeRate: d("0.065"), FeeFixed: d("0.45"), Delivery: d("20")},
		cost.Costs{Wood: d("18.40"), Consumables: d("14.25"), Hardware: d("2.80")},
		d("16"), d("22"),
	)
	fmt.Println(r.State, usd.Format(r.Earned), "in all,", usd.Format(r.PerHour.Decimal), "an hour")
	fmt.Println("no loss from", usd.Format(r.BreakEven.Decimal))
	ending := cost.Endings()[1]
	fmt.Println("for the wish", usd.Format(ending.Up(r.PriceWish.Decimal)), "which", ending.Name)
	// Output:
	// earns $243.30 in all, $15.21 an hour
	// no loss from $59.79
	// for the wish $440.00 which ends in 0 or 5
}
