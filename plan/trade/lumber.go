package trade

import (
	"fmt"
	"strings"

	"pilewright/plan/measure"
)

// Dressed is the size of softwood lumber sold under a nominal size, PS 20 as tabulated
// in an engineering reference (read second-hand). Older stock was larger: 1× was
// 25/32 in before 1963, 13/16 before 1929. Salvage is measured, never assumed.
type Dressed struct {
	Nominal                string
	Thickness, Width       measure.Length // dry
	GreenThick, GreenWidth measure.Length
}

const (
	inch = measure.Inch
	q    = inch / 4
	g    = inch / 32
)

type faceSize struct {
	nominal    string
	dry, green measure.Length
}

var (
	dressedThick = []faceSize{{"1", 3 * q, 25 * g}, {"5/4", inch, 33 * g}, {"2", 6 * q, 50 * g}, {"4", 14 * q, 114 * g}}
	dressedWide  = []faceSize{{"2", 6 * q, 50 * g}, {"3", 10 * q, 82 * g}, {"4", 14 * q, 114 * g}, {"5", 18 * q, 148 * g}, {"6", 22 * q, 180 * g},
		{"7", 26 * q, 212 * g}, {"8", 29 * q, 240 * g}, {"10", 37 * q, 304 * g}, {"12", 45 * q, 368 * g}}
)

// DressedSizes lists the usual sizes from 1x2 to 4x12.
func DressedSizes() []Dressed {
	var out []Dressed
	for _, t := range dressedThick {
		for _, w := range dressedWide {
			if t.nominal == "4" && (w.nominal == "2" || w.nominal == "3") {
				continue
			}
			out = append(out, Dressed{t.nominal + "x" + w.nominal, t.dry, w.dry, t.green, w.green})
		}
	}
	return out
}

// DressedSize gives the dressed size of a nominal one written like 2x4, 2 × 4 or
// 5/4x6. The error names what was expected.
func DressedSize(nominal string) (Dressed, error) {
	plain := strings.ToLower(strings.Join(strings.Fields(nominal), ""))
	plain = strings.NewReplacer("×", "x", "by", "x", "\"", "", "in", "").Replace(plain)
	for _, d := range DressedSizes() {
		if d.Nominal == plain {
			return d, nil
		}
	}
	return Dressed{}, fmt.Errorf("%q is no nominal lumber size; write one like 2x4, 1x6 or 5/4x6", nominal)
}

// Plan is the length and width of a pallet.
type Plan struct {
	Name          string
	Length, Width measure.Length
	Source        string
}

const mm = measure.Millimetre

// Pallets lists plan sizes of flat pallets: the six of ISO 6780 (2003), as read on
// trade pages. Some print 1165 × 1165 (Australian) in place of 1140 × 1140. The
// first number is the stringers' length, the second the deck boards'.
var Pallets = []Plan{
	{"48 x 40 in", 48 * inch, 40 * inch, "dealer pages; ISO 6780 gives it as 1219 × 1016 mm"},
	{"1200 x 800 mm", 1200 * mm, 800 * mm, "ISO 6780"},
	{"1200 x 1000 mm", 1200 * mm, 1000 * mm, "ISO 6780"},
	{"1140 x 1140 mm", 1140 * mm, 1140 * mm, "ISO 6780"},
	{"1100 x 1100 mm", 1100 * mm, 1100 * mm, "ISO 6780"},
	{"1067 x 1067 mm", 1067 * mm, 1067 * mm, "ISO 6780"},
}

// PalletBoards is what a 48 × 40 in pallet holds when nothing breaks, dealer pages:
// seven top and five bottom boards, two of each 5-1/2 in wide, about 5/8 in thick,
// and three stringers of the 2×4 class, notched when forks come from four sides.
var PalletBoards = []struct {
	Name                     string
	Count                    int
	Length, Width, Thickness measure.Length
}{
	{"lead boards", 4, 40 * inch, 22 * q, 20 * g},
	{"deck boards", 8, 40 * inch, 14 * q, 20 * g},
	{"stringers", 3, 48 * inch, 14 * q, 6 * q},
}

// MarkReading says whether wood with a pallet mark should be taken.
type MarkReading struct {
	Code   string
	Means  string
	Take   bool
	Source string
}

// Marks explains the treatment codes of the ISPM 15 mark and the moisture stamps of
// lumber. A mark says nothing of what was spilt on the wood later.
var Marks = []MarkReading{
	{"HT", "heat treated: 56 °C in the core for 30 minutes; not a sign of dryness", true, "ISPM 15, read on several pages"},
	{"DH", "heated by radio waves: 60 °C for 1 minute", true, "ISPM 15, read on several pages"},
	{"MB", "fumigated with methyl bromide: do not use it", false, "ISPM 15, read on several pages"},
	{"SF", "fumigated with sulphuryl fluoride: do not use it for furniture", false, "ISPM 15 since 2018, " + memory},
	{"DB", "debarked", true, "ISPM 15, " + memory},
	{"KD", "kiln dried to 19 % moisture or less", true, "grading marks, trade page"},
	{"S-DRY", "surfaced at 19 % moisture or less", true, "grading marks, trade page"},
	{"S-GRN", "surfaced green, over 19 % moisture: let it dry", true, "grading marks, trade page"},
	{"MC15", "15 % moisture or less", true, "grading marks, trade page"},
}

// ReadMark finds the reading of a treatment code; ok is false for one not known,
// which is treated like no mark: leave the wood.
func ReadMark(code string) (MarkReading, bool) {
	plain := strings.ToUpper(strings.TrimSpace(code))
	for _, m := range Marks {
		if m.Code == plain {
			return m, true
		}
	}
	return MarkReading{}, false
}

// BoardFeet gives the board feet of a size in inches: 144 in³ each. tally counts
// stock under 1 in as 1 in, as the trade does (from memory).
func BoardFeet(thicknessIn, widthIn, lengthIn float64, tally bool) float64 {
	if tally {
		thicknessIn = max(thicknessIn, 1)
	}
	return thicknessIn * widthIn * lengthIn / 144
}

// CubicMetres turns board feet into m³: 144 in³ of 0.0254 m each way, exact.
func CubicMetres(boardFeet float64) float64 { return boardFeet * 144 * 0.0254 * 0.0254 * 0.0254 }
