package desk

import (
	"math"
	"slices"
	"testing"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"
	"fyne.io/fyne/v2/test"
	"github.com/shopspring/decimal"

	"pilewright/plan"
	"pilewright/plan/measure"
	"pilewright/ui/theme"
)

func TestAMetricSizeNamesItsUnitOnce(t *testing.T) {
	p := &plan.Project{Shop: plan.DefaultShop()}
	p.Shop.Inches = false
	if got := Size(p, 597*measure.Millimetre, 64*measure.Millimetre, 22*measure.Millimetre); got != "597 x 64 x 22 mm" {
		t.Errorf("got %q", got)
	}
	p.Shop.Inches = true
	if got := Size(p, 24*measure.Inch, 7*measure.Inch/2); got != `24" x 3 1/2"` {
		t.Errorf("got %q", got)
	}
}

func TestWoodIsBoardFeetOrLitres(t *testing.T) {
	p := &plan.Project{Shop: plan.DefaultShop()}
	p.Shop.Inches = true
	if got := Wood(p, decimal.NewFromFloat(12.25)); got != "12.3 board feet" {
		t.Errorf("got %q", got)
	}
	p.Shop.Inches = false
	// NIST SP 811, appendix B.8: a board foot is 2.359737 E-03 m³.
	if got := Wood(p, decimal.NewFromInt(100)); got != "236 litres of wood" {
		t.Errorf("got %q", got)
	}
}

func TestPaperFillsTheViewWithFiguresOfTheTextsSize(t *testing.T) {
	a := test.NewTempApp(t)
	for _, scale := range []float32{1, 1.35} {
		a.Settings().SetTheme(theme.New(theme.Light, scale))
		w, h := Paper(fyne.NewSize(888, 458))
		if k := unitsPerMM * float64(scale); math.Abs(w-860/k) > 0.01 || math.Abs(h-430/k) > 0.01 {
			t.Errorf("text %v: paper of %.1f x %.1f mm", scale, w, h)
		}
	}
	if w, h := Paper(fyne.Size{}); w < 70 || h < 45 {
		t.Errorf("a view without a size has %v x %v mm", w, h)
	}
}

func TestSizedCallsWhenTheSizeHasReallyChanged(t *testing.T) {
	test.NewTempApp(t)
	calls := 0
	o := Sized(canvas.NewRectangle(nil), func() { calls++ })
	for _, s := range []fyne.Size{{Width: 400, Height: 300}, {Width: 410, Height: 305}, {Width: 600, Height: 305}, {Width: 600, Height: 100}} {
		o.Resize(s)
	}
	if calls != 3 {
		t.Errorf("called %d times, want at the first size, the wider and the lower one", calls)
	}
}

// columns stands for a table.
type columns []float32

func (c columns) Widths() []float32      { return c }
func (c *columns) SetWidths(w []float32) { *c = w }

func TestWidthsAreKeptAsText(t *testing.T) {
	c := &columns{}
	SetWidths(c, Widths(&columns{40, 112.6}))
	if !slices.Equal(*c, columns{40, 112}) {
		t.Errorf("got %v", *c)
	}
	for _, bad := range []string{"40 x", "0", "-3 5", "99999"} {
		if SetWidths(c, bad); !slices.Equal(*c, columns{40, 112}) {
			t.Errorf("%q was taken: %v", bad, *c)
		}
	}
}

func TestShareIsBetweenNothingAndAll(t *testing.T) {
	for text, want := range map[string]float64{"0.25": 0.25, "": 0.5, "1": 0.5, "0": 0.5, "NaN": 0.5, "x": 0.5, "-1": 0.5} {
		if got := Share(text, 0.5); got != want {
			t.Errorf("Share(%q) = %v, want %v", text, got, want)
		}
	}
}
