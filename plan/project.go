package plan

import "slices"

// Project is one piece with the pile, the shop and the log it is planned from.
// A Project is never changed in place: an edit builds a new one that shares what
// did not change (see With).
type Project struct {
	Shop     Shop
	Lots     []Lot
	Boards   []Board
	Piece    Piece // the open piece
	Measures []Measure
	Parts    []Part
	Joints   []Joint
	Choices  []Choice
	Steps    []StepEdit
	Ready    []ReadyBlank // blanks cut already
	Log      []Entry      // of the whole shop, every piece
	Expenses []Expense    // of the whole shop
	Timer    Timer
	Starts   []Start // the maker's own starting points
	Pieces   []Piece // every piece of the shop file, the open one included
	NextID   ID      // the first ID never used in the shop file
}

// With gives a copy of the project changed by edit. edit may replace fields of
// the copy and must not write through its slices (clone them first).
func (p *Project) With(edit func(*Project)) *Project {
	q := *p
	edit(&q)
	return &q
}

// Take gives an ID that was never used in the shop file.
func (p *Project) Take() ID {
	id := max(p.NextID, 1)
	p.NextID = id + 1
	return id
}

// Board gives the board with that ID.
func (p *Project) Board(id ID) (Board, bool) {
	return find(p.Boards, id, func(b Board) ID { return b.ID })
}

// Part gives the part with that ID.
func (p *Project) Part(id ID) (Part, bool) { return find(p.Parts, id, func(b Part) ID { return b.ID }) }

// Lot gives the lot with that ID.
func (p *Project) Lot(id ID) (Lot, bool) { return find(p.Lots, id, func(b Lot) ID { return b.ID }) }

func find[T any](list []T, id ID, of func(T) ID) (T, bool) {
	i := slices.IndexFunc(list, func(t T) bool { return of(t) == id })
	if i < 0 {
		var none T
		return none, false
	}
	return list[i], true
}
