package trade

import (
	"math"
	"strings"
	"testing"
	"time"

	"pilewright/plan/measure"
)

func near(t *testing.T, name string, got, want, tolerance float64) {
	t.Helper()
	if math.IsNaN(got) || math.Abs(got-want) > tolerance {
		t.Errorf("%s: got %.6g, want %.6g ± %.2g", name, got, want, tolerance)
	}
}

func TestGlueFigures(t *testing.T) {
	g, ok := GlueByID("pva-yellow")
	if !ok {
		t.Fatal("no yellow glue")
	}
	// Woodworking magazine: double for each 15 °F under 70 °F; 60 min at 70 °F is 240 at 40 °F.
	cold := (40.0 - 32) / 1.8
	near(t, "factor at 40 °F", g.ColdFactor(cold), 4, 1e-9)
	if got := g.At(cold).Clamp; got != 240*time.Minute {
		t.Errorf("clamp at 40 °F: %v, want 4 h", got)
	}
	if got := g.At(21.2).Clamp; got != time.Hour {
		t.Errorf("clamp in a warm room: %v", got)
	}
	if g.At(30).Open != g.Open || !g.TooCold(4) || g.TooCold(10) {
		t.Error("open time or lowest temperature wrong")
	}
	// Pressure × area: 36 × 3/4 in at 150 psi and at 250 psi; psi ranges from a glue maker's guide.
	near(t, "softwood edge", ClampForceLbf(36, 0.75, 150), 4050, 0)
	near(t, "oak edge", ClampForceLbf(36, 0.75, 250), 6750, 0)
	if p := PressureFor(5700); p.LowPsi > 250 || p.HighPsi < 250 {
		t.Errorf("red oak: %+v", p)
	}
	if p := PressureFor(1700); p != (Pressure{100, 150}) {
		t.Errorf("white pine: %+v", p)
	}
	near(t, "spacing under 45°, 3 in board", SpacingIn(3, 0), 6, 0) // common practice, no source
	near(t, "spacing of a wide board", SpacingIn(11, 2), 12, 0)     // trade page: 8 to 12 in
	// 231 in³ over 0.006 in is 267.36 ft²; that is the spread rate reckoned with.
	near(t, "spread, ft²/gal", 1/(GlueMillilitres(0.3048*0.3048)/3785.411784), 267.36, 0.05)
}

func TestFinishFigures(t *testing.T) {
	near(t, "mils at 401 ft²/gal", WetMils(401), 4, 0.01) // a data sheet's line: 401 ft²/gal at 4 mil
	near(t, "m²/L", SquareMetresPerLitre(1), 0.02454, 5e-6)
	f, _ := FinishByID("poly-oil")
	near(t, "litres", f.Litres(2, 3), 6/(400*0.024542), 0.01)
	for _, c := range []struct {
		id          string
		coats, want int
	}{{"oil", 3, 2}, {"poly-water", 4, 1}, {"poly-water", 1, 0}, {"poly-oil", 0, 0}, {"shellac", 3, 0}} {
		f, _ := FinishByID(c.id)
		if got := f.Days(c.coats); got != c.want {
			t.Errorf("%s, %d coats: %d days, want %d", c.id, c.coats, got, c.want)
		}
	}
}

// PS 20 sizes as tabulated in an engineering reference page.
func TestDressedSizes(t *testing.T) {
	in := func(n, d measure.Length) measure.Length { return n * measure.Inch / d }
	for _, c := range []struct {
		nominal string
		t, w    measure.Length
	}{
		{"1x2", in(3, 4), in(3, 2)}, {"1x4", in(3, 4), in(7, 2)}, {"1x6", in(3, 4), in(11, 2)}, {"1x8", in(3, 4), in(29, 4)},
		{"1x12", in(3, 4), in(45, 4)}, {"5/4x6", in(1, 1), in(11, 2)}, {"2x4", in(3, 2), in(7, 2)}, {"2x6", in(3, 2), in(11, 2)},
		{"2x8", in(3, 2), in(29, 4)}, {"4x4", in(7, 2), in(7, 2)}, {" 2 × 4 ", in(3, 2), in(7, 2)}, {"2X10", in(3, 2), in(37, 4)},
	} {
		d, err := DressedSize(c.nominal)
		if err != nil || d.Thickness != c.t || d.Width != c.w {
			t.Errorf("%s: %v × %v, %v; want %v × %v", c.nominal, d.Thickness, d.Width, err, c.t, c.w)
		}
	}
	for _, d := range DressedSizes() {
		if d.GreenThick <= d.Thickness || d.GreenWidth <= d.Width {
			t.Errorf("%s is no larger green", d.Nominal)
		}
	}
	d, _ := DressedSize("2x4")
	if d.GreenThick != in(25, 16) || d.GreenWidth != in(57, 16) {
		t.Errorf("green 2x4: %v × %v", d.GreenThick, d.GreenWidth)
	}
	if _, err := DressedSize("3x3"); err == nil || !strings.Contains(err.Error(), "2x4") {
		t.Errorf("an unknown size gives %v", err)
	}
}

func FuzzDressedSize(f *testing.F) {
	for _, s := range []string{"2x4", "", "5/4 x 6", "××", "1 by 6 in", "\xff"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, text string) {
		d, err := DressedSize(text)
		if (err == nil) != (d.Thickness > 0 && d.Width > 0) {
			t.Errorf("%q: %+v, %v", text, d, err)
		}
	})
}

func TestBoardFeet(t *testing.T) {
	near(t, "1×6×96", BoardFeet(1, 6, 96, false), 4, 0)
	near(t, "2×4×8 ft", BoardFeet(2, 4, 96, false), 5.333333, 1e-6)
	near(t, "pallet board", BoardFeet(0.625, 3.5, 40, false), 0.607639, 1e-6)
	near(t, "one board foot in m³", CubicMetres(1), 0.002359737, 1e-9) // 2.54³ × 144 cm³
	near(t, "pallet board as tallied", BoardFeet(0.625, 3.5, 40, true), 0.972, 0.001)
}

func TestMarks(t *testing.T) {
	// ISPM 15 as read on several pages: 56 °C for 30 min, DH 60 °C for 1 min; MB is refused.
	for code, take := range map[string]bool{"ht": true, "DH": true, "MB": false, " kd ": true} {
		m, ok := ReadMark(code)
		if !ok || m.Take != take {
			t.Errorf("%q: %+v, %v", code, m, ok)
		}
	}
	if m, _ := ReadMark("HT"); !strings.Contains(m.Means, "56 °C") || !strings.Contains(m.Means, "30 min") {
		t.Errorf("HT: %s", m.Means)
	}
	if _, ok := ReadMark("XX"); ok {
		t.Error("an unknown mark is read")
	}
}

func TestCautionsHoldTheNumbersThatWereRead(t *testing.T) {
	for code, words := range map[string][]string{
		"push-stick": {"450 mm", "300 mm"},               // HSE circular saw page
		"kickback":   {"riving knife"},                   // HSE: within 8 mm of the blade
		"dust":       {"5 mg/m³", "1 mg/m³", "redcedar"}, // OSHA and NIOSH pages
		"tip-over":   {"27 in", "30 lb", "3.2 ft³"},      // 16 CFR 1261
	} {
		c, ok := CautionByCode(code)
		if !ok {
			t.Errorf("no caution %q", code)
		}
		for _, w := range words {
			if !strings.Contains(c.Text, w) {
				t.Errorf("%s does not say %q: %s", code, w, c.Text)
			}
		}
	}
	if c, _ := CautionByCode("kickback"); !strings.Contains(c.Source, "8 mm") {
		t.Errorf("riving knife: %s", c.Source)
	}
}

// Every row must name its source, every id must be one of a kind, and every figure
// must be usable.
func TestTablesAreWhole(t *testing.T) {
	seen := map[string]bool{}
	once := func(id, source string) {
		t.Helper()
		if seen[id] || strings.HasSuffix(id, ":") {
			t.Errorf("%q stands twice or is empty", id)
		}
		seen[id] = true
		if source == "" {
			t.Errorf("%q has no source", id)
		}
	}
	for _, g := range Glues {
		once("glue:"+g.ID, g.Source)
		if g.Open <= 0 || g.Closed <= 0 || g.Clamp < g.Open || g.Stressed < g.Clamp || g.Cure < g.Clamp {
			t.Errorf("%s: times out of order", g.ID)
		}
	}
	for _, f := range Finishes {
		once("finish:"+f.ID, f.Source)
		if f.Coats < 1 || f.CoatsPerDay < 1 || f.CoverageSqFt < 100 || f.Recoat <= 0 {
			t.Errorf("%s: %+v", f.ID, f)
		}
		oily := strings.Contains(f.ID, "oil") || f.ID == "poly-wipe" || f.ID == "wax"
		if f.Combustible != oily {
			t.Errorf("%s: rags marked combustible %v", f.ID, f.Combustible)
		}
	}
	for _, c := range Cautions {
		once("caution:"+c.Code, c.Source)
		if c.When == "" || c.Text == "" {
			t.Errorf("%s is empty", c.Code)
		}
	}
	for _, u := range UsualSizes {
		once("size:"+u.Kind, u.Source)
		if u.Low >= u.High {
			t.Errorf("%s: %v to %v", u.Kind, u.Low, u.High)
		}
	}
	for _, m := range Machines {
		once("machine:"+m.Kind, m.Source)
		for _, c := range m.Cautions {
			if _, ok := CautionByCode(c); !ok {
				t.Errorf("%s: no caution %q", m.Kind, c)
			}
		}
	}
	for i, g := range Grits {
		once("grit:"+g.Use, g.Source)
		if i > 0 && g.Number <= Grits[i-1].Number {
			t.Error("grits are not from coarse to fine")
		}
	}
	for _, m := range Marks {
		once("mark:"+m.Code, m.Source)
	}
	for _, p := range Pallets {
		once("pallet:"+p.Name, p.Source)
	}
	for _, u := range UsualLoads {
		once("load:"+u.Role, u.Source)
		if got, ok := UsualLoadOf(u.Role); !ok || got != u || (u.KG > 0) == (u.KGPerSquareM > 0) {
			t.Errorf("load of a %s: %+v", u.Role, u)
		}
	}
	// 15 lb/ft² by the exact pound and foot.
	u, _ := UsualLoadOf("shelf")
	near(t, "shelf load", u.KGPerSquareM, 15*0.45359237/(0.3048*0.3048), 0.05)
	if _, ok := UsualLoadOf("drawer"); ok {
		t.Error("an unknown role has a load")
	}
	boards := 0
	for _, b := range PalletBoards {
		boards += b.Count
	}
	if boards != 7+5+3 {
		t.Errorf("a 48 × 40 in pallet holds %d boards", boards)
	}
	for _, id := range []string{"glue", "finish"} {
		if _, ok := GlueByID(id); ok {
			t.Error("an unknown glue is found")
		}
		if _, ok := FinishByID(id); ok {
			t.Error("an unknown finish is found")
		}
	}
	if _, ok := CautionByCode(""); ok {
		t.Error("an unknown caution is found")
	}
	if u, ok := UsualSizeOf("dining-table"); !ok || u.Low != 28*measure.Inch || u.High != 30*measure.Inch {
		t.Errorf("dining table: %+v", u)
	}
	if _, ok := UsualSizeOf("throne"); ok {
		t.Error("an unknown kind has a size")
	}
}
