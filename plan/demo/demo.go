// Package demo makes the shop that the program shows when it is asked for a
// demonstration. All of it is invented; no figure here is a fact of the trade.
package demo

import (
	"strconv"
	"time"

	"github.com/shopspring/decimal"

	"pilewright/plan"
	"pilewright/plan/measure"
)

const in = measure.Inch

// Projects gives the demo shop as states to be stored one after the other: with
// an earlier piece open, then with the potting table open. starts reads a
// starting point by its id; now sets the dates.
func Projects(starts func(id string) (plan.Start, error), now time.Time) ([]*plan.Project, error) {
	p := &plan.Project{Shop: plan.DefaultShop(), NextID: 1}
	p.Shop.Name = "The lean-to"
	pile(p, now)
	shelf, err := starts("shelf")
	if err != nil {
		return nil, err
	}
	p = p.NewPiece(shelf, "Herb shelf")
	p.Piece.Done, p.Piece.Sold = true, money("140")
	p.Piece.Price, p.Piece.WishHourly = money("140"), money("20")
	p.Piece.Lessons = "Scan for nails twice. The back rails took longer than the shelves."
	p.Pieces = []plan.Piece{p.Piece}
	diary(p, now)
	table, err := starts("table")
	if err != nil {
		return nil, err
	}
	q := p.NewPiece(table, "Potting table")
	set := map[string]string{
		"height": "34 in", "length": "42 in", "depth": "20 in", "top_thick": "3/4 in", "overhang": "1 1/4 in",
		"leg": "2 1/4 in", "apron": "3 1/4 in", "rail_thick": "3/4 in", "slat_thick": "1/2 in", "slat": "2 3/4 in", "shelf_height": "8 in",
	}
	for i, m := range q.Measures {
		if text, ok := set[m.Name]; ok {
			q.Measures[i].Text = text
		}
	}
	q.Piece.Price, q.Piece.WishHourly, q.Piece.TargetHours = money("320"), money("22"), money("16")
	q.Piece.Start = now.AddDate(0, 0, 1).Format(time.DateOnly)
	q.Piece.LoadKG = 30
	q.Piece.Hardware = []plan.Hardware{{Name: "top buttons", Count: 8, Each: money("0.35")}}
	q.Expenses = append(q.Expenses, plan.Expense{ID: q.Take(), Piece: q.Piece.ID, Date: now.AddDate(0, 0, -3).Format(time.DateOnly), Kind: "sandpaper", What: "mixed pack", Amount: money("9.50"), Share: money("0.5")})
	return []*plan.Project{p, q}, nil
}

func money(s string) decimal.Decimal { return decimal.RequireFromString(s) }

// pile fills the lots and the boards.
func pile(p *plan.Project, now time.Time) {
	day := func(back int) string { return now.AddDate(0, 0, -back).Format(time.DateOnly) }
	crates := plan.Lot{ID: p.Take(), Name: "Orchard bins", Source: "crate", Date: day(12), Minutes: 95, Spent: money("10"), Held: 16, Broken: 2, Order: 0}
	pallets := plan.Lot{ID: p.Take(), Name: "Tile-yard pallets", Source: "pallet", Date: day(9), Minutes: 120, Spent: money("0"), Held: 27, Broken: 4, Order: 1}
	shed := plan.Lot{ID: p.Take(), Name: "Shed frame", Source: "framing", Date: day(5), Minutes: 60, Spent: money("25"), Held: 8, Broken: 0, Order: 2}
	more := plan.Lot{ID: p.Take(), Name: "Pallets by the gate", Source: "pallet", Date: day(1), Waiting: 3, PerUnit: 11, UnitBoard: 40 * in, UnitWidth: 3*in + in/2, UnitThick: 5 * in / 8, Order: 3}
	p.Lots = []plan.Lot{crates, pallets, shed, more}

	add := func(lot plan.Lot, n int, length, width, thick measure.Length, species, place string, price decimal.Decimal, each func(i int, b *plan.Board)) {
		for i := range n {
			b := plan.Board{ID: p.Take(), Lot: lot.ID, Length: length, Width: width, Thickness: thick, Species: species, Place: place, Price: price, Order: len(p.Boards)}
			each(i, &b)
			b.Mark = strconv.Itoa(len(p.Boards) + 1)
			p.Boards = append(p.Boards, b)
		}
	}
	add(crates, 14, 46*in, 5*in+in/2, 7*in/8, "pine", "rack, left", money("0"), func(i int, b *plan.Board) {
		b.Length += measure.Length(i%4) * in / 2
		b.TrimLeft, b.TrimRight = in/2, in/2+measure.Length(i%3)*in/4
		if i%3 == 1 {
			b.Defects = []plan.Defect{{Kind: plan.Knot, From: measure.Length(12+i) * in, To: measure.Length(13+i)*in + in/2, AcrossFrom: 2 * in, AcrossTo: 3*in + in/4}}
		}
		if i%5 == 2 {
			b.Defects = append(b.Defects, plan.Defect{Kind: plan.Split, From: b.Length - 4*in, To: b.Length - b.TrimRight})
		}
	})
	add(pallets, 18, 39*in+in/2, 3*in+in/2, 5*in/8, "pallet hardwood", "behind the door", money("0"), func(i int, b *plan.Board) {
		b.TrimLeft, b.TrimRight = in, in
		mid := b.Length / 2
		b.Defects = []plan.Defect{{Kind: plan.NailHole, From: mid - in/2, To: mid + in/2, AcrossFrom: in, AcrossTo: 2*in + in/2}}
		if i%6 == 5 {
			b.Width = 5*in + in/2
		}
		if i%7 == 3 {
			b.Defects = append(b.Defects, plan.Defect{Kind: plan.Crack, From: in, To: 7 * in, AcrossFrom: 0, AcrossTo: in})
		}
	})
	add(pallets, 5, 47*in+in/2, 3*in+in/2, in+in/2, "pallet hardwood", "behind the door", money("0"), func(i int, b *plan.Board) {
		b.TrimLeft, b.TrimRight = in, in
		b.Defects = []plan.Defect{
			{Kind: plan.Wane, From: 6 * in, To: 15 * in, AcrossFrom: 0, AcrossTo: in + in/2},
			{Kind: plan.Wane, From: 32 * in, To: 41 * in, AcrossFrom: 0, AcrossTo: in + in/2},
		}
	})
	add(shed, 8, 71*in, 3*in+in/2, in+in/2, "spruce", "ceiling rack", money("0"), func(i int, b *plan.Board) {
		b.Length += measure.Length((i*5)%9) * in
		b.TrimLeft, b.TrimRight = in, in+measure.Length(i%2)*in/2
		if i%2 == 0 {
			b.Defects = []plan.Defect{{Kind: plan.NailHole, From: 16 * in, To: 17*in + in/2}}
		}
		if i == 3 {
			b.Defects = append(b.Defects, plan.Defect{Kind: plan.Split, From: 60 * in, To: 68 * in, AcrossFrom: in, AcrossTo: 2 * in})
		}
	})
}

// diary is the time kept on the earlier piece.
func diary(p *plan.Project, now time.Time) {
	base := time.Date(now.Year(), now.Month(), now.Day(), 18, 0, 0, 0, now.Location()).AddDate(0, 0, -40)
	for i, e := range []struct {
		phase    plan.Phase
		rate     string
		quantity float64
		minutes  int64
		target   float64
	}{
		{plan.PhaseCollect, "take-apart", 18, 95, 72}, {plan.PhasePrepare, "pull-nails", 18, 52, 54},
		{plan.PhasePrepare, "trim-end", 24, 30, 24}, {plan.PhaseMill, "crosscut", 14, 19, 14},
		{plan.PhaseMill, "rip", 11, 24, 17}, {plan.PhaseMill, "plane", 26, 41, 26},
		{plan.PhaseJoinery, "housing", 8, 66, 64}, {plan.PhaseJoinery, "dowel", 8, 48, 40},
		{plan.PhaseGlueUp, "glue-up", 6, 38, 30}, {plan.PhaseAssemble, "assemble", 12, 61, 48},
		{plan.PhaseSand, "sand", 4.2, 74, 63}, {plan.PhaseFinish, "coat", 4.2, 58, 50},
	} {
		p.Log = append(p.Log, plan.Entry{ID: p.Take(), Piece: p.Piece.ID, Phase: e.phase, Start: base.AddDate(0, 0, i*2), Seconds: e.minutes * 60, Rate: e.rate, Quantity: e.quantity, Target: e.target})
	}
}
