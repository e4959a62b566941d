package plan

import (
	"errors"
	"fmt"
	"reflect"
	"slices"
)

// Kind names the sort of noun a record holds.
type Kind string

// The kinds of record in a shop file.
const (
	KindShop    Kind = "shop"
	KindLot     Kind = "lot"
	KindBoard   Kind = "board"
	KindPiece   Kind = "piece"
	KindMeasure Kind = "measure"
	KindPart    Kind = "part"
	KindJoint   Kind = "joint"
	KindChoice  Kind = "choice"
	KindStep    Kind = "step"
	KindEntry   Kind = "entry"
	KindExpense Kind = "expense"
	KindTimer   Kind = "timer"
	KindStart   Kind = "start"
	KindReady   Kind = "ready"
)

// Record is one noun as it is stored: its body is JSON with lengths as whole
// nanometres, money as decimal text and times in RFC 3339.
type Record struct {
	Kind  Kind
	ID    ID // 1 for the shop and the timer
	Piece ID // the piece it is loaded with; 0 = any
	Body  []byte
}

// Change is one record before and after an edit; a nil body means that it did
// not or does not exist.
type Change struct {
	Kind   Kind
	ID     ID
	Piece  ID
	Before []byte
	After  []byte
}

// ErrConflict says that a change no longer fits what is there.
var ErrConflict = errors.New("it was changed elsewhere since")

// Limits on what a shop file may hold, far above what a shop comes to.
const (
	MaxBody    = 4 << 20     // bytes of one record
	MaxRecords = 2_000_000   // records read at once
	MaxID      = ID(1) << 53 // no noun has this number or a greater one
)

// PieceOnly reports whether records of the kind belong to one piece and are
// loaded only with it.
func (k Kind) PieceOnly() bool {
	t, err := tableOf(k)
	return err == nil && t.pieceOnly()
}

// Known reports whether the kind is one this program stores.
func (k Kind) Known() bool {
	_, err := tableOf(k)
	return err == nil
}

// Kinds lists every kind in the order changes are made.
func Kinds() []Kind {
	out := make([]Kind, len(tables))
	for i, t := range tables {
		out[i] = t.kind()
	}
	return out
}

// Same reports whether two bodies of records hold the same noun, though an
// earlier version may have written one of them. A nil body is no noun; a shop or
// timer that is not stored is an empty one. The error is for an unreadable body.
func Same(k Kind, a, b []byte) (bool, error) {
	t, err := tableOf(k)
	if err != nil {
		return false, err
	}
	return sameBody(t, a, b)
}

// Settled gives the project as it will be read back: the open piece's header is
// in the list of all pieces and every list is in the maker's order.
func (p *Project) Settled() *Project {
	return p.With(func(q *Project) {
		q.syncPieces()
		for _, t := range tables {
			t.settle(q)
		}
	})
}

// PieceIsThere reports whether the open piece is stored; it is not when no piece
// is open or its making was undone.
func (p *Project) PieceIsThere() bool {
	return slices.ContainsFunc(p.Pieces, func(q Piece) bool { return q.ID == p.Piece.ID })
}

// syncPieces writes the open piece's header back into the list of all pieces,
// so that both always agree.
func (p *Project) syncPieces() {
	if reflect.DeepEqual(p.Piece, Piece{ID: p.Piece.ID}) {
		return
	}
	i := slices.IndexFunc(p.Pieces, func(q Piece) bool { return q.ID == p.Piece.ID })
	switch {
	case i < 0:
		p.Pieces = append(slices.Clone(p.Pieces), p.Piece)
	case !reflect.DeepEqual(p.Pieces[i], p.Piece):
		p.Pieces = slices.Clone(p.Pieces)
		p.Pieces[i] = p.Piece
	}
}

// Diff lists the records that differ between two states of a project, in a
// fixed order. Either may be nil: everything is then new or gone. Where another
// piece is open after than before, it must be a new one; the nouns of the one
// left behind are not touched, unless it is no longer among the pieces.
func Diff(before, after *Project) ([]Change, error) {
	settle := func(p *Project) *Project {
		if p == nil {
			return nil
		}
		return p.With((*Project).syncPieces)
	}
	b, a := settle(before), settle(after)
	left := b != nil && a != nil && b.Piece.ID != a.Piece.ID &&
		slices.ContainsFunc(a.Pieces, func(q Piece) bool { return q.ID == b.Piece.ID })
	var out []Change
	for _, t := range tables {
		from := b
		if t.pieceOnly() && left {
			from = nil
		}
		cs, err := t.diff(from, a)
		if err != nil {
			return nil, err
		}
		out = append(out, cs...)
	}
	return out, nil
}

// Invert gives the changes that undo these.
func Invert(changes []Change) []Change {
	out := make([]Change, 0, len(changes))
	for i := len(changes) - 1; i >= 0; i-- {
		c := changes[i]
		c.Before, c.After = c.After, c.Before
		out = append(out, c)
	}
	return out
}

// FromRecords makes a project of stored records with open as the open piece. Records
// of other pieces' measures, parts, joints, choices and steps are passed over.
// A record that can't be read is named in the error.
func FromRecords(records []Record, open ID) (*Project, error) {
	if len(records) > MaxRecords {
		return nil, fmt.Errorf("there are more than %d records", MaxRecords)
	}
	changes := make([]Change, len(records))
	for i, r := range records {
		if r.Body == nil {
			return nil, fmt.Errorf("read %s %d: it is empty", r.Kind, r.ID)
		}
		changes[i] = Change{Kind: r.Kind, ID: r.ID, Piece: r.Piece, After: r.Body}
	}
	return (&Project{Piece: Piece{ID: open}}).apply(changes, false)
}

// Apply gives the project with the changes made. It fails with ErrConflict where
// a record is no longer as the change found it.
func (p *Project) Apply(changes []Change) (*Project, error) { return p.apply(changes, true) }

func (p *Project) apply(changes []Change, check bool) (*Project, error) {
	q := p.With((*Project).syncPieces)
	byKind := map[Kind][]Change{}
	for _, c := range changes {
		t, err := tableOf(c.Kind)
		if err != nil {
			return nil, err
		}
		if c.ID <= 0 || c.ID >= MaxID {
			return nil, fmt.Errorf("a %s with the number %d, which no noun can have", c.Kind, c.ID)
		}
		q.NextID = max(q.NextID, c.ID+1)
		if t.pieceOnly() && c.Piece != q.Piece.ID {
			continue
		}
		byKind[c.Kind] = append(byKind[c.Kind], c)
	}
	for _, t := range tables {
		if cs := byKind[t.kind()]; len(cs) > 0 {
			if err := t.apply(q, cs, check); err != nil {
				return nil, err
			}
		}
	}
	i := slices.IndexFunc(q.Pieces, func(o Piece) bool { return o.ID == q.Piece.ID })
	if i < 0 {
		q.Piece = Piece{ID: q.Piece.ID}
	} else {
		q.Piece = q.Pieces[i]
	}
	return q, nil
}
