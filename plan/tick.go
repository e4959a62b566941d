package plan

import (
	"fmt"
	"slices"

	"pilewright/plan/cost"
	"pilewright/plan/measure"
)

// TickOff gives the project with a board cut up as planned: the board leaves the
// pile and its leftovers join it, with the defects that lie in them. The blanks
// cut from it stay locked to it, so that they are not planned again.
func (p *Project) TickOff(made *Plan, board ID) (*Project, error) {
	i := slices.IndexFunc(made.Cuts.Boards, func(c CutBoard) bool { return c.Board == board })
	b, ok := p.Board(board)
	if i < 0 || !ok {
		return nil, fmt.Errorf("nothing is cut from this board in the plan")
	}
	if b.State == Cut {
		return nil, fmt.Errorf("board %s is cut up already", b.Mark)
	}
	cb := made.Cuts.Boards[i]
	q := p.With(func(q *Project) {
		q.Boards = slices.Clone(p.Boards)
		k := slices.IndexFunc(q.Boards, func(o Board) bool { return o.ID == board })
		q.Boards[k].State = Cut
		q.Ready = slices.Clone(p.Ready)
		for _, c := range cb.Pieces {
			q.Ready = append(q.Ready, ReadyBlank{ID: q.Take(), Piece: p.Piece.ID, Board: board, Cut: c})
		}
	})
	for n, l := range cb.Leftovers {
		next, err := q.AddBoards(leftover(b, l, n), 1)
		if err != nil {
			return nil, err
		}
		q = next
	}
	return q, nil
}

// pricePlaces is how many decimals of a leftover's share of the price are kept.
const pricePlaces = 4

// leftover is what remains of a board as a board of its own, with its share of the
// price.
func leftover(b Board, l Rect, n int) Board {
	out := Board{Lot: b.Lot, Mark: b.Mark, Length: l.Length, Width: l.Width, Thickness: b.Thickness, Species: b.Species, Sheet: b.Sheet, NoGrain: b.NoGrain, Faces: b.Faces, Rings: b.Rings, Place: b.Place, Parent: b.ID,
		Price: cost.Portion(b.Price, measure.VolumeOf(l.Length, l.Width, b.Thickness), measure.VolumeOf(b.Length, b.Width, b.Thickness)).Round(pricePlaces), Note: fmt.Sprintf("left of %s", b.Mark)}
	for _, d := range b.Defects {
		top := d.AcrossTo
		if top == 0 {
			top = b.Width
		}
		e := Defect{Kind: d.Kind, Side: d.Side, From: max(d.From, l.X) - l.X, To: min(d.To, l.X+l.Length) - l.X, AcrossFrom: max(d.AcrossFrom, l.Y) - l.Y, AcrossTo: min(top, l.Y+l.Width) - l.Y}
		if e.From < e.To && e.AcrossFrom < e.AcrossTo {
			out.Defects = append(out.Defects, e)
		}
	}
	return out
}
