package shop

import (
	"math"
	"testing"

	"pilewright/plan"
)

func TestSettingsKeepWhatTheyAreGivenAndRefuseNonsense(t *testing.T) {
	find := func(list []setting, name string) setting {
		t.Helper()
		for _, s := range list {
			if s.name == name {
				return s
			}
		}
		t.Fatalf("there is no setting %q", name)
		return setting{}
	}
	for _, tt := range []struct {
		list       []setting
		name, give string
		want       string // shown afterwards; empty = refused
	}{
		{general(), "Sizes in", "mm", "mm"},
		{general(), "Sizes in", "cubits", ""},
		{general(), "Finest fraction shown", "32", "1/32"},
		{general(), "Finest fraction shown", "1/7", ""},
		{general(), "Currency", "EUR", "EUR"},
		{general(), "Currency", "euro", ""},
		{general(), "Paper", "a4", "a4"},
		{general(), "Paper", "a5", ""},
		{allowances(), "Longer than needed", "3/4", `3/4"`},
		{allowances(), "Longer than needed", "-1", ""},
		{allowances(), "Longer than needed", "long", ""},
		{allowances(), "Most planed off a board", "", `0"`},
		{air(), "Air in the shop, °C", "4.5", "4.5"},
		{air(), "Air in the shop, °C", "NaN", ""},
		{air(), "Air in the shop, °C", "900", ""},
		{air(), "Glue", "epoxy", "epoxy"},
		{air(), "Glue", "chewing gum", ""},
		{prices(), "Selling fee", "6.5", "6.5 %"},
		{prices(), "Selling fee", "600", ""},
		{prices(), "Delivery", "12.50", "12.5"},
		{prices(), "Delivery", "-1", ""},
	} {
		s := plan.DefaultShop()
		line := find(tt.list, tt.name)
		before := line.get(&s)
		err := line.set(&s, tt.give)
		switch {
		case tt.want == "" && err == nil:
			t.Errorf("%s took %q", tt.name, tt.give)
		case tt.want == "" && line.get(&s) != before:
			t.Errorf("%s refused %q and became %q", tt.name, tt.give, line.get(&s))
		case tt.want != "" && (err != nil || line.get(&s) != tt.want):
			t.Errorf("%s given %q shows %q, %v; want %q", tt.name, tt.give, line.get(&s), err, tt.want)
		}
	}
}

func TestPieceSettings(t *testing.T) {
	p := &plan.Project{Shop: plan.DefaultShop(), Piece: plan.Piece{ID: 1, Name: "one"}, Pieces: []plan.Piece{{ID: 1, Name: "one"}, {ID: 2, Name: "two"}}}
	by := map[string]pieceSetting{}
	for _, s := range pieceSettings() {
		by[s.name] = s
	}
	for _, tt := range []struct{ name, give, want string }{
		{"Name", "bench", "bench"}, {"Name", "Two", ""}, {"Name", "", ""},
		{"Target hours", "16", "16"}, {"Target hours", "1h30", "1.5"}, {"Target hours", "-3", ""}, {"Target hours", "soon", ""},
		{"Load, kg", "80", "80"}, {"Load, kg", "99999", ""},
		{"Finish", "oil", "oil"}, {"Finish", "butter", ""},
		{"Coats", "3", "3"}, {"Coats", "0", ""},
		{"Stagger of end joints", "5", `5"`},
	} {
		q := p.Piece
		err := by[tt.name].set(p, &q, tt.give)
		shown := by[tt.name].get(&plan.Project{Shop: p.Shop, Piece: q})
		if (tt.want == "") != (err != nil) || tt.want != "" && shown != tt.want {
			t.Errorf("%s given %q: %q, %v; want %q", tt.name, tt.give, shown, err, tt.want)
		}
	}
}

// 1 lbf is 4.4482216 N by definition; the figures are worked from that by hand.
func TestTheForceOfAClampIsReadInTheUnitsOfTheShop(t *testing.T) {
	f := forceField("Force", "", func(c *plan.Clamp) *float64 { return &c.ForceLbf })
	for _, tt := range []struct {
		inches     bool
		give, want string // shown afterwards; empty = refused
		lbf        float64
	}{
		{true, "600", "600 lbf", 600},
		{true, "600 lbf", "600 lbf", 600},
		{false, "600 lbf", "2.67 kN", 600},
		{false, "4.4482216", "4.45 kN", 1000},
		{false, "4448.2216 N", "4.45 kN", 1000},
		{false, "0.5 kN", "0.50 kN", 112.404},
		{true, "", "", 0},
		{true, "strong", "", -1},
		{true, "-5", "", -1},
		{true, "600 kg", "", -1},
		{false, "45", "", -1}, // kN: beyond any clamp
	} {
		s, c := plan.Shop{Inches: tt.inches}, plan.Clamp{ForceLbf: 7}
		err := f.set(&s, &c, tt.give)
		switch {
		case tt.lbf < 0:
			if err == nil || c.ForceLbf != 7 {
				t.Errorf("%q in inches %v became %v lbf, %v", tt.give, tt.inches, c.ForceLbf, err)
			}
		case err != nil || math.Abs(c.ForceLbf-tt.lbf) > 0.001*max(tt.lbf, 1) || f.get(&s, c) != tt.want:
			t.Errorf("%q in inches %v: %v lbf, %q, %v; want %v, %q", tt.give, tt.inches, c.ForceLbf, f.get(&s, c), err, tt.lbf, tt.want)
		}
	}
}
