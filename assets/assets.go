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

// Translations holds one file for each language of the window, as the toolkit's
// lang package reads them: the English sentence, and what it is in that language.
//
//go:embed translations/*.json
var Translations embed.FS

// Words holds one catalogue for each language besides English, named by its
// code, see plan/words.
//
//go:embed words/*.json
var Words embed.FS
