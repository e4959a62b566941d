// Package measure holds the exact values of the shop: lengths, areas, volumes
// and stretches of work. It reads them from what a maker types, does shop
// arithmetic on them, and writes them back in inches or millimetres.
//
// Lengths are whole nanometres, so 1/64 in (396 875 nm) and every metric size
// are exact. Start reading at Parse and Eval; Resolve evaluates the named
// measures of a piece. The package imports nothing else of the program.
package measure

// Length is a distance in whole nanometres. Every 1/64 inch and every metric
// size a shop uses is exact; == compares sizes. Range: about ±9.2e9 m, but the
// parsers refuse anything beyond Limit.
type Length int64

// The units a length is written in, in nanometres.
const (
	Nanometre   Length = 1
	Micrometre  Length = 1_000
	Millimetre  Length = 1_000_000
	Centimetre  Length = 10_000_000
	Metre       Length = 1_000_000_000
	Inch        Length = 25_400_000
	Foot        Length = 12 * Inch
	SixtyFourth Length = Inch / 64
)

// Limit is the longest length the parsers accept, either side of zero: one
// kilometre. The product of three such lengths still fits a Volume.
const Limit = 1000 * Metre

// Unit is how a number without a unit is read, and how a length is shown.
type Unit uint8

// The two systems a shop works in.
const (
	Inches Unit = iota
	Millimetres
)

// Length gives the unit's size: one inch or one millimetre.
func (u Unit) Length() Length {
	if u == Millimetres {
		return Millimetre
	}
	return Inch
}

// String gives the unit's short name, in or mm.
func (u Unit) String() string {
	if u == Millimetres {
		return "mm"
	}
	return "in"
}
