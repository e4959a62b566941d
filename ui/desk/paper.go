package desk

import (
	"math"
	"strconv"
	"strings"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/lang"
	fynetheme "fyne.io/fyne/v2/theme"

	"github.com/shopspring/decimal"

	"pilewright/plan"
	"pilewright/plan/measure"
	"pilewright/plan/money"
	"pilewright/ui/locale"
)

// Money writes an amount in the shop's currency, rounded once.
func Money(p *plan.Project, d decimal.Decimal) string {
	return locale.Money(money.Of(p.Shop.Currency), d)
}

// Size writes length, width and thickness the shop's way, a metric unit once.
func Size(p *plan.Project, sizes ...measure.Length) string {
	var out []string
	for i, l := range sizes {
		if i < len(sizes)-1 {
			out = append(out, Bare(p, l))
		} else {
			out = append(out, Length(p, l))
		}
	}
	return strings.Join(out, " x ")
}

// Bare writes a length for a narrow place: inches have their sign, millimetres are
// named elsewhere.
func Bare(p *plan.Project, l measure.Length) string {
	return strings.TrimSuffix(Length(p, l), " mm")
}

// litresABoardFoot is exact: 144 cubic inches of 25.4 mm.
var litresABoardFoot = decimal.RequireFromString("2.359737216")

// Wood writes an amount of wood in board feet, or in litres where the shop works
// in millimetres.
func Wood(p *plan.Project, boardFeet decimal.Decimal) string {
	if p.Shop.Inches {
		return lang.L("{{.boardFeet}} board feet", locale.With{"boardFeet": locale.Decimal(boardFeet, 1)})
	}
	return lang.L("{{.litres}} litres of wood", locale.With{"litres": locale.Decimal(boardFeet.Mul(litresABoardFoot), 0)})
}

// ShortWood is Wood in as few letters as a narrow place needs.
func ShortWood(p *plan.Project, boardFeet decimal.Decimal) string {
	if p.Shop.Inches {
		return lang.L("{{.boardFeet}} bd ft", locale.With{"boardFeet": locale.Decimal(boardFeet, 1)})
	}
	return lang.L("{{.litres}} litres", locale.With{"litres": locale.Decimal(boardFeet.Mul(litresABoardFoot), 0)})
}

// Share reads a remembered place of a split, 0 to 1.
func Share(text string, otherwise float64) float64 {
	v, err := strconv.ParseFloat(text, 64)
	if err != nil || !(v > 0 && v < 1) { // written so that it refuses NaN
		return otherwise
	}
	return v
}

// unitsPerMM is how many Fyne units show a millimetre of paper so that the
// figures of a drawing, about 2.4 mm high, read like the window's small text.
const unitsPerMM = 4.3

// paperMargin is left about a fitted drawing, in Fyne units.
const paperMargin = 28

// Paper gives the millimetres of paper on which a drawing fills a view of this
// size with figures that can be read. A view without a size has a usual page.
func Paper(size fyne.Size) (width, height float64) {
	if size.Width <= paperMargin || size.Height <= paperMargin {
		return 190, 110
	}
	k := unitsPerMM * float64(fyne.CurrentApp().Settings().Theme().Size(fynetheme.SizeNameText)) / 14
	return max(70, float64(size.Width-paperMargin)/k), max(45, float64(size.Height-paperMargin)/k)
}

// Sized holds one object and calls resized when its size has changed by more
// than a tenth, so that a drawing can be laid out anew.
func Sized(o fyne.CanvasObject, resized func()) fyne.CanvasObject {
	return container.New(&sized{resized: resized}, o)
}

type sized struct {
	last    fyne.Size
	resized func()
}

func (s *sized) Layout(objects []fyne.CanvasObject, size fyne.Size) {
	objects[0].Move(fyne.NewPos(0, 0))
	objects[0].Resize(size)
	far := func(a, b float32) bool { return math.Abs(float64(a-b)) > 0.1*float64(max(a, b)) }
	if far(size.Width, s.last.Width) || far(size.Height, s.last.Height) {
		s.last = size
		s.resized()
	}
}

func (s *sized) MinSize(objects []fyne.CanvasObject) fyne.Size { return objects[0].MinSize() }

// widthGrid is a table whose columns can be dragged to another width.
type widthGrid interface {
	Widths() []float32
	SetWidths([]float32)
}

// Widths writes the widths of a table's columns for Remember.
func Widths(g widthGrid) string {
	var out []string
	for _, w := range g.Widths() {
		out = append(out, strconv.Itoa(int(w)))
	}
	return strings.Join(out, " ")
}

// SetWidths takes them back; a text of another table is ignored.
func SetWidths(g widthGrid, text string) {
	var out []float32
	for _, f := range strings.Fields(text) {
		w, err := strconv.Atoi(f)
		if err != nil || w <= 0 || w > 4000 {
			return
		}
		out = append(out, float32(w))
	}
	g.SetWidths(out)
}
