package wood

import (
	"math"
	"strings"
	"testing"
)

func species(t *testing.T, id string) Species {
	t.Helper()
	s, ok := ByID(id)
	if !ok {
		t.Fatalf("no species %q", id)
	}
	return s
}

func near(t *testing.T, got, want, tolerance float64) {
	t.Helper()
	if math.IsNaN(got) || math.Abs(got-want) > tolerance {
		t.Errorf("got %.6g, want %.6g ± %.2g", got, want, tolerance)
	}
}

const inch = 25.4

// Values of the Wood Handbook's worked examples and tables, and of trade pages
// that print an example; the row names what was read.
func TestMovementAgreesWithPublishedExamples(t *testing.T) {
	fir := species(t, "fir_white")
	oak, maple := species(t, "oak_northern_red"), species(t, "maple_red")
	loblolly, douglas := species(t, "pine_loblolly"), species(t, "douglas_fir_coast")
	custom := func(coef float64) Species { return Species{TangentialCoef: coef, FibreSaturationPct: 30} }
	for _, c := range []struct {
		name            string
		s               Species
		size, from, to  float64
		want, tolerance float64
		equation        string
	}{
		// FPL-GTR-190 ch. 13 p. 13-16: 232 + 1.7 = 233.7 mm; 9.15 + 0.067 = 9.217 in. Species read off as white fir, from memory.
		{"Handbook example in mm", fir, 232, 8, 11, 1.7, 0.05, "13-2"},
		{"Handbook example in inches", fir, 9.15, 8, 11, 0.067, 0.0006, "13-2"},
		{"trade magazine chart, red alder rounded, 8 in over 6 points", custom(0.0026), 8, 7, 13, 0.1248, 5e-5, "13-2"},
		{"flooring trade list, 5 in, 6 to 9 %", custom(0.00129), 5, 6, 9, 0.019, 5e-4, "13-2"},
		{"Table 13-5 red oak in Eq 13-2", oak, 12, 6, 12, 0.26568, 1e-5, "13-2"},
		{"Table 13-5 red maple in Eq 13-2, 36 in top", maple, 36, 7, 11, 0.41616, 1e-5, "13-2"},
		{"loblolly top drying, coefficient from memory", loblolly, 900, 12, 7, -11.655, 0.001, "13-2"},
		{"Eq 13-3, Douglas-fir framing drying from 19 %", douglas, 6, 19, 8, -0.171993, 5e-4, "13-3"},
		{"Eq 13-3, loblolly from 20 %, shrinkage from memory", loblolly, 12, 20, 7, -0.394532, 5e-4, "13-3"},
	} {
		t.Run(c.name, func(t *testing.T) {
			m := c.s.Move(c.size, c.from, c.to, FlatSawn)
			near(t, m.ChangeMM, c.want, c.tolerance)
			if m.Equation != c.equation {
				t.Errorf("equation %s, want %s", m.Equation, c.equation)
			}
		})
	}
}

func TestBothMovementEquationsAgreeNearTenPercent(t *testing.T) {
	for _, s := range All() {
		short := s.Move(100, 9, 11, FlatSawn).ChangeMM
		wide := moveWide(100, 9, 11, s.ShrinkTangentialPct, s.FibreSaturationPct)
		if s.ID == "oak_northern_red" || s.ID == "oak_white" {
			continue // the coefficient is the commercial group's, the shrinkage one species'
		}
		if math.Abs(short-wide) > 0.01*math.Abs(short) {
			t.Errorf("%s: %.4f by Eq 13-2, %.4f by Eq 13-3", s.ID, short, wide)
		}
	}
}

func TestMovementBehaves(t *testing.T) {
	for _, s := range All() {
		if s.TangentialCoef <= s.RadialCoef {
			t.Errorf("%s moves less tangentially than radially", s.ID)
		}
		if m := s.Move(100, 9, 9, FlatSawn).ChangeMM; m != 0 {
			t.Errorf("%s moves %g mm at steady moisture", s.ID, m)
		}
		if a, b := s.Move(100, 35, 12, FlatSawn), s.Move(100, s.FibreSaturationPct, 12, FlatSawn); a != b {
			t.Errorf("%s shrinks above fibre saturation: %v, %v", s.ID, a, b)
		}
		if a, b := s.Move(100, 7, 12, UnknownGrain), s.Move(100, 7, 12, FlatSawn); a != b {
			t.Errorf("%s: unknown grain is not reckoned as flat-sawn", s.ID)
		}
		// Eq 13-3 is exactly reversible: there and back is the first size.
		out := 100 + s.Move(100, 18, 5, FlatSawn).ChangeMM
		back := out + s.Move(out, 5, 18, FlatSawn).ChangeMM
		near(t, back, 100, 1e-9)
	}
}

// Table 4-3 and Table 13-5 of FPL-GTR-190, both read for these rows.
func TestCoefficientDerivesFromShrinkage(t *testing.T) {
	for _, c := range []struct {
		name              string
		shrink, fsp, want float64
	}{
		{"beech, tangential", 11.9, 30, 0.00431},
		{"yellow birch, radial", 7.3, 30, 0.00256},
		{"western redcedar, tangential, coefficient from memory", 5.0, 22, 0.00234},
	} {
		t.Run(c.name, func(t *testing.T) {
			near(t, CoefFromShrinkage(c.shrink, c.fsp), c.want, 5e-6)
			near(t, ShrinkageFromCoef(CoefFromShrinkage(c.shrink, c.fsp), c.fsp), c.shrink, 1e-9)
		})
	}
	for _, s := range All() {
		if strings.HasPrefix(s.ID, "oak_") {
			continue
		}
		near(t, CoefFromShrinkage(s.ShrinkTangentialPct, s.FibreSaturationPct), s.TangentialCoef, 7e-6)
		near(t, CoefFromShrinkage(s.ShrinkRadialPct, s.FibreSaturationPct), s.RadialCoef, 7e-6)
	}
	if s := species(t, "fir_grand"); !s.CoefDerived || s.TangentialCoef == 0 {
		t.Error("grand fir, without a printed coefficient, has none derived")
	}
}

// FPL-RP-489 equations; PS 20-70's factors 2.80 and 2.35 % are its printed targets.
// A university page prints 13.02 in for the first row; its own expression gives 12.99.
func TestFramingShrinkage(t *testing.T) {
	near(t, FramingWidthMM(13.25*inch, 19, 10)/inch, 12.9885, 0.0005)
	width, thickness := FramingShrinkPct(15)
	near(t, width, 2.80, 0.007)
	near(t, thickness, 2.35, 0.004)
	near(t, 13.25*(1-0.002*9), 13.01, 0.005) // the same page's rule of 0.2 % a point, printed 13.01
}

// FPL Table 4-2, read in a third-party copy; its 110 °F, 20 % cell is misprinted
// as 3.0 and is 4.0 by the equation and its neighbours. The 140 °F row is an
// encyclopedia page's.
func TestEquilibriumMoistureReproducesTable42(t *testing.T) {
	for _, c := range []struct{ tempF, humidity, want, tolerance float64 }{
		{70, 30, 6.2, 0.1}, {70, 40, 7.7, 0.1}, {70, 50, 9.2, 0.1}, {70, 60, 11.0, 0.1}, {70, 65, 12.0, 0.1},
		{70, 70, 13.1, 0.1}, {70, 80, 16.0, 0.1}, {30, 50, 9.5, 0.1}, {50, 40, 7.9, 0.1}, {90, 60, 10.5, 0.1},
		{110, 70, 12.0, 0.1}, {70, 5, 1.3, 0.1}, {130, 85, 15.8, 0.1}, {70, 20, 4.5, 0.1}, {80, 45, 8.3, 0.1},
		{140, 55, 8.4, 0.05}, {110, 20, 4.0, 0.1},
	} {
		near(t, EquilibriumPctF(c.tempF, c.humidity), c.want, c.tolerance)
		near(t, EquilibriumPct((c.tempF-32)/1.8, c.humidity), c.want, c.tolerance)
	}
	near(t, EquilibriumPct(20, 50), 9.27, 0.01)
	near(t, EquilibriumPct(20, 0), 0, 1e-9)
}

func TestEquilibriumMoistureRisesWithHumidity(t *testing.T) {
	for temp := -1.0; temp <= 54; temp += 5 {
		last := -1.0
		for h := 0.0; h <= 110; h++ {
			m := EquilibriumPct(temp, h)
			if m < last || m > 32 || math.IsNaN(m) {
				t.Fatalf("%g °C, %g %%: %g after %g", temp, h, m, last)
			}
			last = m
		}
	}
}

func TestDensityAndWeight(t *testing.T) {
	near(t, Density(0.605, 12), 678, 0.6)                                     // FPL-GTR-190 p. 4-10, white ash
	near(t, GravityAt(0.55, 12, 30), 0.6027, 1e-4)                            // Eq 4-11; Table 5-3b prints 0.60, the example 0.605
	near(t, PoundsPerCubicFoot(0.51, 12), 35.64, 0.02)                        // loblolly
	near(t, PoundsPerCubicFoot(0.42, 12)*1.5*3.5*96/1728, 8.56128, 0.01)      // 2×4 of 96 in
	near(t, species(t, "oak_white").WeightKG(900*450*20, 12), 6.16896, 0.001) // oak top, kg
	near(t, species(t, "pine_loblolly").DensityKgM3(12)/16.01846, 35.64, 0.04)
	for _, s := range All() {
		near(t, s.DensityKgM3(12), 1120*s.Gravity12, 1e-9)
		for m := 0.0; m < 60; m++ {
			if s.DensityKgM3(m+1) <= s.DensityKgM3(m) {
				t.Errorf("%s grows no heavier from %g %%", s.ID, m)
			}
		}
		// The table's green gravity must come out near the one turned round from 12 %.
		if g := s.DensityKgM3(s.FibreSaturationPct) / (10 * (100 + s.FibreSaturationPct)); math.Abs(g-s.GravityGreen) > 0.04 {
			t.Errorf("%s: basic gravity %.3f, table %.3f", s.ID, g, s.GravityGreen)
		}
	}
}

// Tables 5-3b (US units) and 5-3a (metric) of the Handbook against one another.
// Known disagreements of the Handbook with itself are listed, not hidden.
func TestStrengthTablesAgree(t *testing.T) {
	near(t, 1.79e6*0.00689476, 12300, 60)                                      // loblolly elasticity
	near(t, 12800*0.00689476, 88, 0.6)                                         // loblolly rupture
	near(t, species(t, "oak_northern_red").HardnessLbf*NewtonPerLbf, 5700, 60) // red oak hardness
	const rounding = 0.03                                                      // hardness is printed to 100 N
	disagree := map[string]bool{"pine_western_white": true, "spruce_red": true, "spruce_white": true, "ash_white": true}
	for _, s := range All() {
		if disagree[s.ID] {
			continue
		}
		for _, v := range [][2]float64{{s.ElasticityMpsi * 6894.76, s.ElasticityMPa}, {s.RupturePsi * 0.00689476, s.RuptureMPa}, {s.HardnessLbf * NewtonPerLbf, s.HardnessN}} {
			if v[1] != 0 && math.Abs(v[0]-v[1]) > rounding*v[1] {
				t.Errorf("%s: %.4g against %.4g", s.ID, v[0], v[1])
			}
		}
	}
}

func TestTableIsWhole(t *testing.T) {
	if len(All()) != 51 {
		t.Errorf("%d species, want 51", len(All()))
	}
	for _, s := range All() {
		if s.Source == "" || s.ElasticityMPa == 0 || s.RuptureMPa == 0 || s.TangentialCoef == 0 || s.ShrinkTangentialPct == 0 {
			t.Errorf("%s lacks a value: %+v", s.ID, s)
		}
		if !s.CoefFromMemory && !strings.Contains(s.Source, "coefficients: FPL-GTR-190") {
			t.Errorf("%s: coefficients said to be read, source %q", s.ID, s.Source)
		}
	}
	if s := species(t, "pine_slash"); s.HardnessN != 0 {
		t.Error("slash pine has a hardness; the Handbook prints a dash")
	}
}
