// Package trade holds the trade's own figures as plain tables: glues, finishes,
// abrasives, lumber and pallet sizes, furniture heights, cautions, and a starting
// guess of a home shop. It decides nothing; each row names its source.
//
// Where Source says "from memory" the figure was not read in a document; where it
// says "common practice, no source" it is a rule of thumb. A product's own label
// comes first in every case.
package trade

// The marks used in Source.
const (
	memory = "from memory"
	common = "common practice, no source"
)
