package plan

import (
	"github.com/shopspring/decimal"

	"pilewright/plan/measure"
)

// DefaultShop is a plain home shop. Every figure is a starting guess (common
// practice, no source) for the maker to replace; limits of machines come from
// their manuals.
func DefaultShop() Shop {
	const in = measure.Inch
	evening := []Window{{18 * 60, 21 * 60}}
	money := func(s string) decimal.Decimal { return decimal.RequireFromString(s) }
	return Shop{
		Name: "Home shop", Currency: "USD", Inches: true, Denominator: 16, Paper: "letter",
		Machines: []Machine{
			{ID: "table-saw", Kind: "table-saw", Name: "table saw", MaxWidth: 24 * in, MaxHeight: 3 * in, MinLength: 10 * in, ChangeTool: 6, ChangeFence: 2},
			{ID: "mitre-saw", Kind: "mitre-saw", Name: "sliding mitre saw", MaxWidth: 12 * in, MaxHeight: 3*in + in/2, MinLength: 8 * in, ChangeTool: 6, ChangeFence: 2},
			{ID: "planer", Kind: "planer", Name: "thickness planer", MaxWidth: 12*in + in/2, MaxHeight: 6 * in, MinLength: 14 * in, MinThickness: in / 4, ChangeTool: 20, ChangeFence: 1},
			{ID: "router", Kind: "router", Name: "router", ChangeTool: 4, ChangeFence: 4},
			{ID: "drill", Kind: "drill", Name: "drill", ChangeTool: 1, ChangeFence: 1},
			{ID: "sander", Kind: "sander", Name: "sander", ChangeTool: 1, ChangeFence: 0},
			{ID: "bench", Kind: "bench", Name: "bench", ChangeTool: 0, ChangeFence: 0},
		},
		Blades: []Blade{
			{ID: "combination", Name: "combination blade", Machine: "table-saw", Kerf: in / 8, Use: "rip"},
			{ID: "crosscut", Name: "crosscut blade", Machine: "mitre-saw", Kerf: in / 8, Use: "crosscut"},
			{ID: "dado", Name: "dado stack", Machine: "table-saw", Kerf: 3 * in / 4, Use: "dado"},
		},
		Bits: []Bit{
			{Name: "1/4 in straight", Use: "router", Diameter: in / 4, Cut: in},
			{Name: "3/8 in straight", Use: "router", Diameter: 3 * in / 8, Cut: in + in/4},
			{Name: "1/2 in straight", Use: "router", Diameter: in / 2, Cut: 2 * in},
			{Name: "3/8 in brad point", Use: "drill", Diameter: 3 * in / 8, Cut: 3 * in},
			{Name: "1/8 in twist", Use: "drill", Diameter: in / 8, Cut: 2 * in},
		},
		Clamps: []Clamp{{Kind: "bar", Opening: 36 * in, Count: 6}, {Kind: "F", Opening: 12 * in, Count: 8}},
		Hours: [7][]Window{
			0: {{10 * 60, 14 * 60}}, 2: evening, 4: evening, 6: {{9 * 60, 13 * 60}},
		},
		TempC: 18, Humidity: 50, WoodMoisture: 10, HomeMoisture: 8, SeasonSwing: 4,
		Glue: "pva-yellow", Finish: "wipe-on-poly",
		GluePrice: money("14"), FinishCost: money("32"), SandCost: money("0.60"),
		WishHourly: money("25"), FeeRate: money("0"), FeeFixed: money("0"), Delivery: money("0"), TaxRate: money("0"),
		LengthAllowance: in, WidthAllowance: in / 8, PlaneAllowance: in / 16, PlaneLimit: in / 2,
		LeftoverMin: 12 * in, CleanUp: in / 16, PieceMin: 8 * in, Stagger: 4 * in, StepLimit: in / 16,
	}
}
