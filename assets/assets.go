// Package assets holds the data that ships inside the program: the starting
// points of pieces, icons and translations.
package assets

import "embed"

// Starts holds one JSON file for each starting point of a piece, see plan.ReadStart.
//
//go:embed starts/*.json
var Starts embed.FS

// Icon is the program's icon, an SVG of our own.
//
//go:embed icon.svg
var Icon []byte
