package ui

import (
	"pilewright/ui/desk"
	"pilewright/ui/view/bench"
	"pilewright/ui/view/cuts"
	"pilewright/ui/view/glueups"
	"pilewright/ui/view/ledger"
	"pilewright/ui/view/piece"
	"pilewright/ui/view/pile"
)

// rooms are the rooms of the window in the order of the job. A room stands here
// once it has something true to show.
func rooms(d desk.Desk) []desk.Room {
	return []desk.Room{pile.New(d), piece.New(d), cuts.New(d), glueups.New(d), bench.New(d), ledger.New(d)}
}
