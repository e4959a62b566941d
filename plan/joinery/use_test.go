package joinery

import (
	"math"
	"testing"

	"pilewright/plan/measure"
	"pilewright/plan/solid"
	"pilewright/plan/trade"
)

func closeTo(t *testing.T, name string, got, want, tolerance float64) {
	t.Helper()
	if math.IsNaN(got) || math.Abs(got-want) > tolerance {
		t.Errorf("%s: got %.6g, want %.6g ± %.2g", name, got, want, tolerance)
	}
}

// The Handbook's Eq 9-2 with its elasticities: a 36 in shelf of 11 × 3/4 in under
// 60 lb sags 0.0760 in of eastern white pine and 0.0518 in of red oak; the limit of
// 0.02 in per foot is 0.06 in (woodworking magazine).
func TestShelfSag(t *testing.T) {
	b := Bending{Species: "eastern white pine", Span: 36 * in, Width: 11 * in, Depth: frac(0, 3, 4), LoadKG: 60 * 0.45359237}
	pine := Bend(b)
	closeTo(t, "pine", float64(pine.First)/float64(in), 0.076012, 0.001) // metric and US elasticities differ by 0.6 %
	if len(pine.Findings) != 1 || pine.Findings[0].Code != SagOver || pine.Limit != hundredths(0.06*25.4) {
		t.Errorf("pine: %+v", pine)
	}
	if d := pine.Later - 2*pine.First; d > 0 || d < -measure.Millimetre/50 {
		t.Errorf("later %v is not twice %v", pine.Later, pine.First)
	}
	b.Species = "red oak"
	oak := Bend(b)
	closeTo(t, "oak", float64(oak.First)/float64(in), 0.051788, 0.001)
	if len(oak.Findings) != 0 || oak.Assumption == "" {
		t.Errorf("oak: %+v", oak)
	}
	// bm05 and bm06: centre load of 200 lb on a 48 in rail of 3/4 × 3-1/2 in on edge,
	// loblolly: 0.0961 in and 1567 psi against 12,800.
	rail := Bend(Bending{Species: "pine_loblolly", Span: 48 * in, Width: frac(0, 3, 4), Depth: frac(3, 1, 2), LoadKG: 200 * 0.45359237, Point: true})
	closeTo(t, "rail", float64(rail.First)/float64(in), 0.096067, 0.001)
	closeTo(t, "stress share", rail.StressShare, 1567.35/12800, 0.002)
	if s := Bend(Bending{Species: "spf", Span: 80 * in, Width: 2 * in, Depth: in / 2, LoadKG: 100}); len(s.Findings) != 2 || s.Findings[1].Severity != Stop {
		t.Errorf("a slat that breaks: %+v", s)
	}
	held := b
	held.Held = true
	closeTo(t, "held ends", float64(Bend(held).First)/float64(oak.First), 0.2, 0.01)
	// A seat's slat: 1/120 of the span while someone sits on it, nothing left after.
	slat := Bending{Species: "spf", Span: 1200 * mm, Width: 70 * mm, Depth: 19 * mm, LoadKG: 10, Point: true}
	lasting, brief := Bend(slat), slat
	brief.Brief = true
	if got := Bend(brief); got.Limit != 10*mm || got.Later != got.First || len(got.Findings) != 0 || len(lasting.Findings) != 1 {
		t.Errorf("brief %+v, lasting %+v", got, lasting)
	}
	if s := Bend(Bending{}); s.First != 0 || len(s.Findings) != 0 {
		t.Errorf("nothing sags: %+v", s)
	}
}

func TestPanelsMove(t *testing.T) {
	// 36 in of red maple from 7 to 11 %: 0.416 in (Table 13-5 in Eq 13-2).
	moves, fs := Panel("maple_red", 36*in, true, Tools{})
	closeTo(t, "36 in top", float64(moves)/float64(in), 0.41616, 0.0005)
	if len(fs) != 1 || fs[0].Code != PanelHeld {
		t.Errorf("%v", fs)
	}
	_, fs = Panel("maple_red", 36*in, false, Tools{})
	if len(fs) != 1 || fs[0].Code != PanelMoves || 2*fs[0].Lengths["each"] < moves {
		t.Errorf("%v", fs)
	}
	if _, fs = Panel("maple_red", 4*in, true, Tools{}); len(fs) != 0 {
		t.Errorf("a narrow rail: %v", fs)
	}
	wet, _ := Panel("maple_red", 36*in, false, Tools{DryPct: 7, DampPct: 15})
	if wet < 3*moves/2 {
		t.Errorf("twice the swing moves %v after %v", wet, moves)
	}
}

// A uniform block tips when the push times its height beats the weight times half
// its base: textbook statics.
func TestABlockTips(t *testing.T) {
	m := measure.Metre
	s := Stand([]Weighted{{box(0, 0, 0, m*4/10, m, m), 50}})
	closeTo(t, "push", s.PushKG, 50*0.2/1, 1e-9)
	closeTo(t, "slope", s.SlopeDegrees, math.Atan(0.2/0.5)*180/math.Pi, 1e-9)
	closeTo(t, "weight", s.WeightKG, 50, 0)
	if s.EdgeKG != 0 || !s.Stands || len(s.Findings) != 0 {
		t.Errorf("%+v", s)
	}
}

func TestATableTips(t *testing.T) {
	top := Weighted{box(0, 0, 700*mm, 1200*mm, 600*mm, 30*mm), 10}
	legs := []Weighted{}
	for _, x := range []measure.Length{200, 950} {
		for _, y := range []measure.Length{100, 450} {
			legs = append(legs, Weighted{box(x*mm, y*mm, 0, 50*mm, 50*mm, 700*mm), 1})
		}
	}
	s := Stand(append(legs, top))
	// Over the short sides: arm 400 mm to the feet's outer edge, overhang 200 mm; over the
	// long sides: arm 200 mm, overhang 100 mm. The load is 14 kg × arm / overhang = 28 kg.
	closeTo(t, "edge", s.EdgeKG, 28, 1e-9)
	closeTo(t, "push", s.PushKG, 14*200.0/730, 1e-9)
	if len(s.Findings) != 1 || s.Findings[0].Code != TipsByPush {
		t.Errorf("%v", codesOf(s.Findings))
	}
	if low := Stand([]Weighted{{box(0, 0, 0, 300*mm, 300*mm, 450*mm), 3}}); len(low.Findings) != 0 || low.PushKG > 2 {
		t.Errorf("a light stool: %+v", low)
	}
	three := Stand(append(legs[:3:3], top))
	if three.EdgeKG >= s.EdgeKG || three.PushKG >= s.PushKG {
		t.Errorf("a table without one leg stands as firmly: %+v", three)
	}
	if got := Stand(append(legs[:1:1], top)); got.Stands || got.Findings[0].Severity != Stop {
		t.Errorf("a table on one leg stands: %+v", got)
	}
	if got := Stand(nil); got.Stands {
		t.Error("nothing stands")
	}
	flat := Stand([]Weighted{{solid.Box{Min: solid.Point{0, 0, 0}, Max: solid.Point{m1, 0, m1}}, 1}})
	if flat.Stands || flat.Findings[0].Code != NoFooting {
		t.Errorf("a sheet of no thickness: %+v", flat)
	}
}

const (
	mm = measure.Millimetre
	m1 = measure.Metre
)

func TestHeightsAndWeight(t *testing.T) {
	if fs := Heights("dining-table", 29*in, 25*in); len(fs) != 0 {
		t.Errorf("a usual table: %v", codesOf(fs))
	}
	if fs := Heights("dining-table", 32*in, 22*in); len(fs) != 2 || fs[0].Code != HeightUnusual || fs[1].Code != KneeRoomSmall {
		t.Errorf("a high table with a low rail: %v", codesOf(fs))
	}
	if fs := Heights("throne", 32*in, 0); len(fs) != 0 {
		t.Errorf("an unknown kind: %v", codesOf(fs))
	}
	// Oak top 900 × 450 × 20 mm at 12 %: 6.169 kg by Eq 4-12.
	v := box(0, 0, 0, 900*mm, 450*mm, 20*mm).Volume()
	closeTo(t, "oak top", WeightKG(v, "oak_white", 12), 6.16896, 1e-9)
	if _, ok := Assumed("oak_white"); ok {
		t.Error("a species given is called assumed")
	}
	if f, ok := Assumed("oak"); !ok || f.Words["assumption"] == "" {
		t.Error("an assumed species is not told")
	}
}

func TestEveryCautionOfAMethodExists(t *testing.T) {
	side, shelf := sideAndShelf()
	leg, rail := legAndRail()
	for _, r := range []Result{Make(side, shelf, Spec{Kind: Housing}, shop()), Make(leg, rail, Spec{Kind: StoppedTenon}, shop())} {
		for _, m := range r.Methods {
			for _, c := range m.Cautions {
				if _, ok := trade.CautionByCode(c); !ok {
					t.Errorf("%s: no caution %q", m.Tool, c)
				}
			}
		}
	}
}
