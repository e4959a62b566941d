package trade

import (
	"slices"

	"pilewright/plan/measure"
)

// UsualSize is the usual height of a kind of furniture.
type UsualSize struct {
	Kind      string
	Name      string
	Low, High measure.Length
	Note      string
	Source    string
}

// UsualSizes lists heights from trade pages; no standard's text was read.
var UsualSizes = []UsualSize{
	{"dining-table", "dining or writing table", 28 * inch, 30 * inch, "the seat is 11 to 13 in lower; 24 in of width for each person", "trade pages"},
	{"coffee-table", "coffee table", 15 * inch, 20 * inch, "one page 15 to 18 in, another 18 to 20; half to two thirds of the sofa's length", "trade pages"},
	{"side-table", "end or side table", 18 * inch, 30 * inch, "about as high as the arm beside it", "trade pages"},
	{"console", "console table", 28 * inch, 36 * inch, "12 to 18 in deep; in a hall 34 to 36 in high", "trade pages"},
	{"counter", "counter", 34 * inch, 39 * inch, "", "trade pages"},
	{"bar", "bar", 40 * inch, 43 * inch, "", "trade pages"},
	{"chair", "chair seat", 17 * inch, 19 * inch, "", "trade pages"},
	{"bench", "bench seat", 17 * inch, 18 * inch, "", common},
}

// Room for someone sitting at a table, trade pages.
const (
	KneeHeight = 24 * measure.Inch // from the floor to the lowest rail
	KneeDepth  = 12 * measure.Inch
	SeatWidth  = 24 * measure.Inch // for each person along the edge
)

// UsualSizeOf gives the usual size of a kind.
func UsualSizeOf(kind string) (UsualSize, bool) {
	i := slices.IndexFunc(UsualSizes, func(u UsualSize) bool { return u.Kind == kind })
	if i < 0 {
		return UsualSize{}, false
	}
	return UsualSizes[i], true
}

// UsualLoad is a load to reckon sag with where the maker names none.
type UsualLoad struct {
	Role         string  // top, shelf, slat, rail: the words of the part's own role
	KG           float64 // on one part
	KGPerSquareM float64 // or spread over its area
	Point        bool
	Note         string
	Source       string
}

// UsualLoads lists them. A seat's slat carries a person sitting on two slats at once.
var UsualLoads = []UsualLoad{
	{Role: "shelf", KGPerSquareM: 73.2, Note: "15 lb/ft²", Source: "KCMA shelf test load, read in a secondary copy"},
	{Role: "top", KG: 50, Point: true, Note: "someone leaning on it", Source: common},
	{Role: "slat", KG: 50, Point: true, Note: "half of someone sitting down", Source: common},
	{Role: "rail", KG: 50, Note: "half of someone sitting down", Source: common},
}

// UsualLoadOf gives the load for a role.
func UsualLoadOf(role string) (UsualLoad, bool) {
	i := slices.IndexFunc(UsualLoads, func(u UsualLoad) bool { return u.Role == role })
	if i < 0 {
		return UsualLoad{}, false
	}
	return UsualLoads[i], true
}
