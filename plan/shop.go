package plan

import (
	"github.com/shopspring/decimal"

	"pilewright/plan/measure"
)

// Shop is the maker's shop: machines and their limits, tools, hours, air, and
// the rates, prices and allowances that hold for every piece.
type Shop struct {
	Name        string `json:"name"`
	Currency    string `json:"currency"` // ISO 4217 code
	Inches      bool   `json:"inches"`   // show inches; else millimetres
	Denominator int    `json:"denominator"`
	Paper       string `json:"paper"`     // letter or a4
	TimeZone    string `json:"time_zone"` // IANA name; empty = the system's

	Machines []Machine `json:"machines"`
	Blades   []Blade   `json:"blades"`
	Bits     []Bit     `json:"bits"`
	Clamps   []Clamp   `json:"clamps"`

	Hours   [7][]Window `json:"hours"` // by time.Weekday, Sunday first
	DaysOff []string    `json:"days_off,omitempty"`

	TempC        float64 `json:"temp_c"`        // air in the shop
	Humidity     float64 `json:"humidity"`      // relative, 0 to 100
	WoodMoisture float64 `json:"wood_moisture"` // percent of the dry weight
	HomeMoisture float64 `json:"home_moisture"` // what the piece settles to in use
	SeasonSwing  float64 `json:"season_swing"`  // moisture points between dry and damp season

	Glue       string          `json:"glue"`
	Finish     string          `json:"finish"`
	GluePrice  decimal.Decimal `json:"glue_price"`   // a litre
	FinishCost decimal.Decimal `json:"finish_price"` // a litre
	SandCost   decimal.Decimal `json:"sand_cost"`    // sandpaper for a square metre and grit
	PowerCost  decimal.Decimal `json:"power_cost"`   // a machine hour; zero = not counted
	WearCost   decimal.Decimal `json:"wear_cost"`    // a machine hour; zero = not counted

	WishHourly  decimal.Decimal `json:"wish_hourly"`
	FeeRate     decimal.Decimal `json:"fee_rate"`     // share of the price, 0.1 = 10 %
	FeeFixed    decimal.Decimal `json:"fee_fixed"`    // a sale
	Delivery    decimal.Decimal `json:"delivery"`     // the maker's own cost
	TaxRate     decimal.Decimal `json:"tax_rate"`     // sales tax, kept apart
	TaxIncluded bool            `json:"tax_included"` // the price holds the tax

	LengthAllowance measure.Length `json:"length_allowance"` // added to a blank, cut off at the end
	WidthAllowance  measure.Length `json:"width_allowance"`  // for jointing the edges
	PlaneAllowance  measure.Length `json:"plane_allowance"`  // for planing both faces
	PlaneLimit      measure.Length `json:"plane_limit"`      // most planed off a thicker board; zero = no limit
	LeftoverMin     measure.Length `json:"leftover_min"`     // shorter is waste
	CleanUp         measure.Length `json:"clean_up"`         // planed off a glued panel, both faces together
	PieceMin        measure.Length `json:"piece_min"`        // shortest piece in a row
	Stagger         measure.Length `json:"stagger"`
	StepLimit       measure.Length `json:"step_limit"`
	RingHabit       RingHabit      `json:"ring_habit,omitempty"` // of the rows of a flat panel
}

// Machine is one of the shop's machines with its limits. Zero = no limit.
type Machine struct {
	ID           string         `json:"id"`
	Kind         string         `json:"kind"` // table-saw, mitre-saw, planer, jointer, router, drill, sander, bench
	Name         string         `json:"name"`
	MaxWidth     measure.Length `json:"max_width,omitempty"`  // planer bed, rip capacity, crosscut reach
	MaxHeight    measure.Length `json:"max_height,omitempty"` // depth of cut, planer opening
	MinLength    measure.Length `json:"min_length,omitempty"`
	MinThickness measure.Length `json:"min_thickness,omitempty"`
	ChangeTool   float64        `json:"change_tool"`  // minutes to change blade, stack or bit
	ChangeFence  float64        `json:"change_fence"` // minutes to set fence or stop
}

// Blade is a saw blade or a dado stack.
type Blade struct {
	ID      string         `json:"id"`
	Name    string         `json:"name"`
	Machine string         `json:"machine"` // machine kind
	Kerf    measure.Length `json:"kerf"`
	Widest  measure.Length `json:"widest,omitempty"` // of a dado stack
	Use     string         `json:"use"`              // crosscut, rip, both or dado
}

// Bit is a router bit, a drill or a chisel.
type Bit struct {
	Name     string         `json:"name"`
	Use      string         `json:"use"` // router, drill or chisel
	Diameter measure.Length `json:"diameter"`
	Cut      measure.Length `json:"cut"` // cutting length
}

// Clamp is a set of equal clamps.
type Clamp struct {
	Kind     string         `json:"kind"` // bar, pipe, F, spring
	Opening  measure.Length `json:"opening"`
	Count    int            `json:"count"`
	ForceLbf float64        `json:"force_lbf,omitempty"` // a firm hand gives
}

// Window is shop time of a day in minutes after midnight.
type Window struct {
	From int `json:"from"`
	To   int `json:"to"`
}

// Machine gives the first machine of a kind; ok is false where the shop has none.
func (s *Shop) Machine(kind string) (Machine, bool) {
	for _, m := range s.Machines {
		if m.Kind == kind {
			m.Name = clip(m.Name)
			return m, true
		}
	}
	return Machine{}, false
}

// Kerf gives the width of cut of the first blade for a use (crosscut or rip),
// else of the first for both; zero where the shop has none.
func (s *Shop) Kerf(use string) measure.Length {
	for _, serves := range []string{use, "both"} {
		for _, b := range s.Blades {
			if b.Use == serves {
				return b.Kerf
			}
		}
	}
	return 0
}
