package plan

import (
	"fmt"

	"github.com/shopspring/decimal"

	"pilewright/plan/measure"
	"pilewright/plan/trade"
)

// DefaultShop is a plain home shop with the tools of package trade. Every figure
// is a starting guess (common practice, no source) for the maker to replace;
// limits of machines come from their manuals.
func DefaultShop() Shop {
	const in = measure.Inch
	evening := []Window{{18 * 60, 21 * 60}}
	money := decimal.RequireFromString
	s := Shop{
		Name: "Home shop", Currency: "USD", Inches: true, Denominator: 16, Paper: "letter",
		Hours: [7][]Window{0: {{10 * 60, 14 * 60}}, 2: evening, 4: evening, 6: {{9 * 60, 13 * 60}}},
		TempC: 18, Humidity: 50, WoodMoisture: 10, HomeMoisture: 8, SeasonSwing: 4,
		Glue: "pva-yellow", Finish: "poly-wipe",
		GluePrice: money("14"), FinishCost: money("32"), SandCost: money("0.60"), WishHourly: money("25"),
		LengthAllowance: in, WidthAllowance: in / 8, PlaneAllowance: in / 16, PlaneLimit: in / 2,
		LeftoverMin: 12 * in, CleanUp: in / 16, PieceMin: 8 * in, Stagger: 4 * in, StepLimit: in / 16,
	}
	for _, m := range trade.Machines {
		s.Machines = append(s.Machines, Machine{ID: m.Kind, Kind: m.Kind, Name: m.Name, MaxWidth: m.MaxWidth, MaxHeight: m.MaxHeight,
			MinLength: m.MinLength, MinThickness: m.MinThickness, ChangeTool: m.ChangeTool, ChangeFence: m.ChangeFence})
	}
	for i, b := range trade.Blades {
		s.Blades = append(s.Blades, Blade{ID: fmt.Sprintf("%s-%d", b.Use, i+1), Name: b.Name, Machine: b.Machine, Kerf: b.Kerf, Widest: b.Widest, Use: b.Use})
	}
	for _, b := range trade.Bits {
		s.Bits = append(s.Bits, Bit{Name: b.Name, Use: b.Use, Diameter: b.Diameter, Cut: b.Cut})
	}
	for _, c := range trade.Clamps {
		s.Clamps = append(s.Clamps, Clamp{Kind: c.Kind, Opening: c.Opening, Count: c.Count, ForceLbf: c.ForceLbf})
	}
	return s
}
