package forecast_test

import (
	"fmt"

	"pilewright/plan/forecast"
)

func ExampleModel_Predict() {
	// One earlier piece took a third longer than the guesses.
	model := forecast.Learn(forecast.DefaultRates(), []forecast.Sample{
		{Rate: "rip", Piece: "stool", Quantity: 10, Minutes: 20},
		{Rate: "tenon", Piece: "stool", Quantity: 4, Minutes: 32},
		{Rate: "sand", Piece: "stool", Quantity: 2, Minutes: 40},
	})
	f := model.Predict([]forecast.Task{
		{Rate: "rip", Quantity: 14, DoneMinutes: 26, Done: true},
		{Rate: "tenon", Quantity: 8, DoneMinutes: 15},
		{Rate: "sand", Quantity: 3},
	})
	fmt.Printf("%.0f to %.0f min, half the time within %.0f\n", f.P10, f.P90, f.P50)
	fmt.Printf("within three hours: %.0f %%\n", 100*f.ChanceWithin(180))
	// Output:
	// 100 to 238 min, half the time within 150
	// within three hours: 70 %
}
