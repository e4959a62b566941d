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
