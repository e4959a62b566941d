package glue

import (
	"encoding/csv"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
	"time"

	"pilewright/plan/measure"
	"pilewright/plan/trade"
)

// checked reads the expected value and tolerance of a check from the shared
// table of worked examples, whose sources stand in the table itself.
func checked(t *testing.T, id string) (want, tolerance float64) {
	t.Helper()
	dir, _ := os.Getwd()
	for {
		if _, err := os.Stat(filepath.Join(dir, "go.mod")); err == nil {
			break
		}
		if filepath.Dir(dir) == dir {
			t.Fatal("no go.mod above the test")
		}
		dir = filepath.Dir(dir)
	}
	f, err := os.Open(filepath.Join(dir, "../shared/checks.csv"))
	if err != nil {
		t.Skip("the table of worked examples is not here:", err)
	}
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	for _, r := range rows {
		if r[0] == id {
			want, _ = strconv.ParseFloat(strings.Fields(r[3])[0], 64)
			tolerance, _ = strconv.ParseFloat(r[4], 64)
			return want, tolerance
		}
	}
	t.Fatalf("no check %s", id)
	return 0, 0
}

func TestWorkedExamples(t *testing.T) {
	in := measure.Inch
	yellow, _ := trade.GlueByID("pva-yellow")
	for _, c := range []struct {
		id, name string
		got      float64
	}{
		{"gl01", "force on a softwood edge joint", TotalForce(36*in, 3*in/4, 150)},
		{"gl02", "force on an oak edge joint", TotalForce(36*in, 3*in/4, 250)},
		{"gl03", "spacing over a 3 in row without caul", inches(Spacing(3*in, 0))},
		{"gl04", "square feet a gallon spreads", 3785.411784 / trade.GlueMillilitres(0.09290304)},
		{"gl05", "minutes in the clamps at 40 °F", Make(Panel{Length: 36 * in, Rows: []measure.Length{3 * in, 3 * in}, Height: in}, Conditions{Glue: yellow, TempC: (40.0 - 32) / 1.8}, nil).InClamps.Minutes()},
	} {
		t.Run(c.id+" "+c.name, func(t *testing.T) {
			want, tolerance := checked(t, c.id)
			if math.Abs(c.got-want) > tolerance+1e-9 {
				t.Errorf("got %v, want %v within %v", c.got, want, tolerance)
			}
		})
	}
}

func rows(n int, w measure.Length) (out []measure.Length) {
	for range n {
		out = append(out, w)
	}
	return out
}

// Worked by hand: a joint of 36 in by 3/4 in has a face of 27 in².
func TestFirmHandPressesWithItsForceOverTheJoint(t *testing.T) {
	const in = measure.Inch
	for _, c := range []struct {
		name      string
		shop      []Clamp
		firm, all float64
	}{
		{"four are wanted, six are there", []Clamp{{"bar", 48 * in, 6, 540}}, 80, 120},
		{"the shorter are taken first", []Clamp{{"pipe", 60 * in, 2, 1080}, {"bar", 48 * in, 4, 270}}, 40, 120},
		{"one force is not known", []Clamp{{"bar", 48 * in, 3, 540}, {"pipe", 60 * in, 9, 0}}, 0, 0},
		{"a spring clamp presses nothing", []Clamp{{"spring", 48 * in, 9, 540}}, 0, 0},
	} {
		t.Run(c.name, func(t *testing.T) {
			got := Make(Panel{Length: 36 * in, Rows: rows(4, 6*in), Height: 3 * in / 4}, Conditions{}, c.shop)
			if got.Needed != 4 || math.Abs(got.FirmPsi-c.firm) > 1e-9 || math.Abs(got.AllPsi-c.all) > 1e-9 {
				t.Errorf("%d clamps, %v and %v psi; want 4, %v and %v", got.Needed, got.FirmPsi, got.AllPsi, c.firm, c.all)
			}
		})
	}
}

func TestClampsStandWithinTheirSpacing(t *testing.T) {
	shop := []Clamp{{"bar", 900 * measure.Millimetre, 4, 0}, {"pipe", 1200 * measure.Millimetre, 6, 0}, {"F", 300 * measure.Millimetre, 20, 0}, {"spring", 2 * measure.Metre, 50, 0}}
	yellow, _ := trade.GlueByID("pva-yellow")
	p := Panel{Length: 1200 * measure.Millimetre, Rows: rows(8, 70*measure.Millimetre), Height: 18 * measure.Millimetre, Caul: 40 * measure.Millimetre}
	got := Make(p, Conditions{Glue: yellow, TempC: 21}, shop)
	if len(got.Clamps) != got.Needed || got.Needed != 7 {
		t.Fatalf("%d clamps of %d needed", len(got.Clamps), got.Needed)
	}
	for i, c := range got.Clamps {
		if c.Kind == "F" || c.Kind == "spring" || c.Over != (i%2 == 1) {
			t.Errorf("clamp %d is %+v", i, c)
		}
		if i > 0 && c.At-got.Clamps[i-1].At > got.Spacing {
			t.Errorf("clamps %d and %d stand %d apart, spacing %d", i-1, i, c.At-got.Clamps[i-1].At, got.Spacing)
		}
	}
	if got.Clamps[0].At != FromEnd || got.Clamps[6].At != p.Length-FromEnd {
		t.Errorf("the outer clamps stand at %d and %d", got.Clamps[0].At, got.Clamps[6].At)
	}
	if got.Clamps[0].Kind != "bar" || got.Clamps[6].Kind != "pipe" {
		t.Errorf("the shorter clamps are not used first: %+v", got.Clamps)
	}
}

func TestTooFewClampsAskForWiderCauls(t *testing.T) {
	yellow, _ := trade.GlueByID("pva-yellow")
	p := Panel{Length: 1000 * measure.Millimetre, Rows: rows(4, 50*measure.Millimetre), Height: 18 * measure.Millimetre}
	shop := []Clamp{{"bar", 900 * measure.Millimetre, 5, 0}}
	got := Make(p, Conditions{Glue: yellow, TempC: 21}, shop)
	if len(got.Short) == 0 || got.Short[0] != TooFew || got.CaulWidth <= 0 {
		t.Fatalf("got %+v", got)
	}
	p.Caul = got.CaulWidth + measure.Millimetre
	if again := Make(p, Conditions{Glue: yellow, TempC: 21}, shop); len(again.Short) != 0 {
		t.Errorf("with cauls of %d: %+v", p.Caul, again)
	}
	if none := Make(p, Conditions{Glue: yellow, TempC: 2}, nil); len(none.Short) != 2 || none.Short[0] != NoneWide || none.Short[1] != TooCold {
		t.Errorf("without clamps in the cold: %+v", none.Short)
	}
}

func TestSplitKeepsWithinTheOpenTime(t *testing.T) {
	for n := 1; n <= 40; n++ {
		for _, open := range []time.Duration{4 * time.Minute, 8 * time.Minute, 15 * time.Minute, time.Hour} {
			p := Panel{Length: 1200 * measure.Millimetre, Rows: rows(n, 50*measure.Millimetre)}
			groups, ok := Split(p, 6, open)
			joined := map[int]bool{} // glue line after row i
			for _, g := range groups {
				if ok && g.LayUp > open {
					t.Errorf("%d rows, %v: group %+v is too long", n, open, g)
				}
				lines := 0
				for i := g.From; i < g.To; i++ {
					if !joined[i] {
						joined[i] = true
						lines++
					}
				}
				if want := LayUp(p.Length, lines, 6); g.LayUp != want {
					t.Errorf("%d rows, %v: group %+v closes %d lines, which takes %v", n, open, g, lines, want)
				}
			}
			if len(joined) != n-1 {
				t.Errorf("%d rows, %v: %d lines glued", n, open, len(joined))
			}
		}
	}
}

func TestRounds(t *testing.T) {
	for _, c := range []struct {
		name                       string
		panels, needed, have, want int
	}{
		{"two panels at once", 4, 5, 10, 2},
		{"one after the other", 3, 7, 10, 3},
		{"too few for one still takes turns", 2, 8, 5, 2},
		{"nothing to glue", 0, 8, 5, 0},
	} {
		t.Run(c.name, func(t *testing.T) {
			if got := Rounds(c.panels, c.needed, c.have); got != c.want {
				t.Errorf("got %d, want %d", got, c.want)
			}
		})
	}
}

// Worked by hand: eight rows of 40 mm with 50 mm cauls want a clamp every 180 mm
// (45° rule), eight on 1200 mm; across they are 420 mm with the cauls, which only
// the five bars open to. A half is 260 mm and takes the short clamps; the halves
// joined, 160 mm each, want one every 12 in, five.
func TestTooFewLongClampsGlueInStages(t *testing.T) {
	yellow, _ := trade.GlueByID("pva-yellow")
	p := Panel{Length: 1200 * measure.Millimetre, Rows: rows(8, 40*measure.Millimetre), Height: 18 * measure.Millimetre, Caul: 50 * measure.Millimetre}
	shop := []Clamp{{"bar", 900 * measure.Millimetre, 5, 0}, {"F", 300 * measure.Millimetre, 8, 0}}
	got := Make(p, Conditions{Glue: yellow, TempC: 21}, shop)
	if len(got.Short) != 0 || !got.Staged || len(got.Groups) != 3 || got.Groups[0].Needed != 8 || got.Groups[2].Needed != 5 || got.Needed != 5 || len(got.Clamps) != 5 {
		t.Errorf("got %+v", got)
	}
	shop[1].Count = 2 // too few for a half as well
	if got = Make(p, Conditions{Glue: yellow, TempC: 21}, shop); len(got.Short) == 0 || got.Short[0] != TooFew || got.Staged {
		t.Errorf("with two short clamps: %+v", got)
	}
}

// Rows of each part that passes the planer are glued before the parts are joined.
func TestBedsAreGluedBeforeTheyAreJoined(t *testing.T) {
	yellow, _ := trade.GlueByID("pva-yellow")
	p := Panel{Length: 900 * measure.Millimetre, Rows: rows(7, 60*measure.Millimetre), Height: 18 * measure.Millimetre, Caul: 50 * measure.Millimetre, Beds: [][2]int{{1, 3}, {4, 6}, {7, 7}}}
	got := Make(p, Conditions{Glue: yellow, TempC: 21}, []Clamp{{"bar", 900 * measure.Millimetre, 12, 0}})
	var at [][2]int
	for _, g := range got.Groups {
		at = append(at, [2]int{g.From, g.To})
	}
	if want := [][2]int{{1, 3}, {4, 6}, {1, 7}}; fmt.Sprint(at) != fmt.Sprint(want) {
		t.Errorf("glued %v, want %v", at, want)
	}
}
