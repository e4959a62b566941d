package plan

import (
	"bytes"
	"cmp"
	"encoding/json"
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
)

// Record is one noun as it is stored: its body is JSON with lengths as whole
// nanometres, money as decimal text and times in RFC 3339.
type Record struct {
	Kind  Kind
	ID    ID // 1 for the shop and the timer
	Piece ID // the piece it belongs to; 0 = to the whole shop
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

// table is how one kind of noun sits in a Project.
type table struct {
	kind Kind
	list func(*Project) any // pointer to the slice, or to the single value
	id   func(any) (id, piece ID, order int)
	open bool // holds only the open piece's nouns
}

var tables = []table{
	{KindShop, func(p *Project) any { return &p.Shop }, nil, false},
	{KindTimer, func(p *Project) any { return &p.Timer }, nil, false},
	{KindLot, func(p *Project) any { return &p.Lots }, func(v any) (ID, ID, int) { l := v.(Lot); return l.ID, 0, l.Order }, false},
	{KindBoard, func(p *Project) any { return &p.Boards }, func(v any) (ID, ID, int) { b := v.(Board); return b.ID, 0, b.Order }, false},
	{KindPiece, func(p *Project) any { return &p.Pieces }, func(v any) (ID, ID, int) { b := v.(Piece); return b.ID, 0, b.Order }, false},
	{KindMeasure, func(p *Project) any { return &p.Measures }, func(v any) (ID, ID, int) { b := v.(Measure); return b.ID, b.Piece, b.Order }, true},
	{KindPart, func(p *Project) any { return &p.Parts }, func(v any) (ID, ID, int) { b := v.(Part); return b.ID, b.Piece, b.Order }, true},
	{KindJoint, func(p *Project) any { return &p.Joints }, func(v any) (ID, ID, int) { b := v.(Joint); return b.ID, b.Piece, b.Order }, true},
	{KindChoice, func(p *Project) any { return &p.Choices }, func(v any) (ID, ID, int) { b := v.(Choice); return b.ID, b.Piece, b.Order }, true},
	{KindStep, func(p *Project) any { return &p.Steps }, func(v any) (ID, ID, int) { b := v.(StepEdit); return b.ID, b.Piece, b.Order }, true},
	{KindStart, func(p *Project) any { return &p.Starts }, func(v any) (ID, ID, int) { b := v.(Start); return b.Number, 0, 0 }, false},
	{KindEntry, func(p *Project) any { return &p.Log }, func(v any) (ID, ID, int) { b := v.(Entry); return b.ID, b.Piece, 0 }, false},
	{KindExpense, func(p *Project) any { return &p.Expenses }, func(v any) (ID, ID, int) { b := v.(Expense); return b.ID, b.Piece, b.Order }, false},
}

// PieceOnly reports whether records of the kind belong to one piece and are
// loaded only with it.
func (k Kind) PieceOnly() bool {
	for _, t := range tables {
		if t.kind == k {
			return t.open
		}
	}
	return false
}

// Known reports whether the kind is one this program stores.
func (k Kind) Known() bool {
	return slices.ContainsFunc(tables, func(t table) bool { return t.kind == k })
}

// syncPieces writes the open piece's header back into the list of all pieces,
// so that both always agree.
func (p *Project) syncPieces() {
	if p.Piece.ID == 0 {
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
// piece was opened in between, the nouns of the one left behind are not touched.
func Diff(before, after *Project) ([]Change, error) {
	b, a := Project{}, Project{}
	if before != nil {
		b = *before
	}
	if after != nil {
		a = *after
	}
	b.syncPieces()
	a.syncPieces()
	var out []Change
	for _, t := range tables {
		bv, av := reflect.ValueOf(t.list(&b)).Elem(), reflect.ValueOf(t.list(&a)).Elem()
		if t.open && b.Piece.ID != a.Piece.ID {
			bv = reflect.Zero(bv.Type()) // the piece left behind keeps its nouns
		}
		if t.id == nil {
			if c, changed, err := single(t, bv, av, before != nil, after != nil); err != nil {
				return nil, err
			} else if changed {
				out = append(out, c)
			}
			continue
		}
		if bv.Len() == av.Len() && (bv.Len() == 0 || bv.Pointer() == av.Pointer()) {
			continue
		}
		cs, err := diffList(t, bv, av)
		if err != nil {
			return nil, err
		}
		out = append(out, cs...)
	}
	return out, nil
}

func single(t table, bv, av reflect.Value, hadBefore, hasAfter bool) (Change, bool, error) {
	c := Change{Kind: t.kind, ID: 1}
	var err error
	if hadBefore {
		if c.Before, err = json.Marshal(bv.Interface()); err != nil {
			return c, false, fmt.Errorf("write %s: %w", t.kind, err)
		}
	}
	if hasAfter {
		if c.After, err = json.Marshal(av.Interface()); err != nil {
			return c, false, fmt.Errorf("write %s: %w", t.kind, err)
		}
	}
	return c, !bytes.Equal(c.Before, c.After), nil
}

func diffList(t table, bv, av reflect.Value) ([]Change, error) {
	old := make(map[ID]any, bv.Len())
	for i := range bv.Len() {
		v := bv.Index(i).Interface()
		id, _, _ := t.id(v)
		old[id] = v
	}
	var out []Change
	for i := range av.Len() {
		v := av.Index(i).Interface()
		id, piece, _ := t.id(v)
		was, there := old[id]
		delete(old, id)
		if there && reflect.DeepEqual(was, v) {
			continue
		}
		c := Change{Kind: t.kind, ID: id, Piece: piece}
		var err error
		if c.After, err = json.Marshal(v); err != nil {
			return nil, fmt.Errorf("write %s %d: %w", t.kind, id, err)
		}
		if there {
			if c.Before, err = json.Marshal(was); err != nil {
				return nil, fmt.Errorf("write %s %d: %w", t.kind, id, err)
			}
			if bytes.Equal(c.Before, c.After) {
				continue
			}
		}
		out = append(out, c)
	}
	for id, was := range old {
		body, err := json.Marshal(was)
		if err != nil {
			return nil, fmt.Errorf("write %s %d: %w", t.kind, id, err)
		}
		_, piece, _ := t.id(was)
		out = append(out, Change{Kind: t.kind, ID: id, Piece: piece, Before: body})
	}
	slices.SortStableFunc(out, func(x, y Change) int { return cmp.Compare(x.ID, y.ID) })
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
	p := &Project{Piece: Piece{ID: open}}
	return p.set(records)
}

// Apply gives the project with the changes made. It fails with ErrConflict where
// a record is no longer as the change found it.
func (p *Project) Apply(changes []Change) (*Project, error) {
	var records []Record
	var gone []Record
	for _, c := range changes {
		r := Record{Kind: c.Kind, ID: c.ID, Piece: c.Piece, Body: c.After}
		if c.After == nil {
			gone = append(gone, r)
			continue
		}
		records = append(records, r)
	}
	q := *p
	for _, r := range gone {
		t, err := tableOf(r.Kind)
		if err != nil {
			return nil, err
		}
		if t.id == nil {
			continue
		}
		v := reflect.ValueOf(t.list(&q)).Elem()
		kept := reflect.MakeSlice(v.Type(), 0, v.Len())
		for i := range v.Len() {
			if id, _, _ := t.id(v.Index(i).Interface()); id != r.ID {
				kept = reflect.Append(kept, v.Index(i))
			}
		}
		v.Set(kept)
	}
	return q.set(records)
}

func tableOf(k Kind) (table, error) {
	for _, t := range tables {
		if t.kind == k {
			return t, nil
		}
	}
	return table{}, fmt.Errorf("a record of the unknown kind %q", k)
}

// set writes records into a copy of p, replacing those with the same ID.
func (p *Project) set(records []Record) (*Project, error) {
	q := *p
	byKind := map[Kind][]Record{}
	for _, r := range records {
		t, err := tableOf(r.Kind)
		if err != nil {
			return nil, err
		}
		if t.open && r.Piece != q.Piece.ID {
			continue
		}
		q.NextID = max(q.NextID, r.ID+1)
		byKind[r.Kind] = append(byKind[r.Kind], r)
	}
	for _, t := range tables {
		rs := byKind[t.kind]
		if len(rs) == 0 {
			continue
		}
		v := reflect.ValueOf(t.list(&q)).Elem()
		if t.id == nil {
			fresh := reflect.New(v.Type())
			if err := json.Unmarshal(rs[len(rs)-1].Body, fresh.Interface()); err != nil {
				return nil, fmt.Errorf("read %s: %w", t.kind, err)
			}
			v.Set(fresh.Elem())
			continue
		}
		if err := setList(t, v, rs); err != nil {
			return nil, err
		}
	}
	for _, piece := range q.Pieces {
		if piece.ID == q.Piece.ID {
			q.Piece = piece
		}
	}
	return &q, nil
}

func setList(t table, v reflect.Value, rs []Record) error {
	at := make(map[ID]int, v.Len())
	list := reflect.MakeSlice(v.Type(), v.Len(), v.Len()+len(rs))
	reflect.Copy(list, v)
	for i := range list.Len() {
		id, _, _ := t.id(list.Index(i).Interface())
		at[id] = i
	}
	for _, r := range rs {
		fresh := reflect.New(v.Type().Elem())
		if err := json.Unmarshal(r.Body, fresh.Interface()); err != nil {
			return fmt.Errorf("read %s %d: %w", t.kind, r.ID, err)
		}
		if i, ok := at[r.ID]; ok {
			list.Index(i).Set(fresh.Elem())
			continue
		}
		at[r.ID] = list.Len()
		list = reflect.Append(list, fresh.Elem())
	}
	sortList(t, list)
	v.Set(list)
	return nil
}

// sortList orders by the maker's order, then by ID.
func sortList(t table, list reflect.Value) {
	type key struct {
		order int
		id    ID
		v     reflect.Value
	}
	keys := make([]key, list.Len())
	sorted := true
	for i := range keys {
		fresh := reflect.New(list.Type().Elem()).Elem()
		fresh.Set(list.Index(i))
		id, _, order := t.id(fresh.Interface())
		keys[i] = key{order, id, fresh}
		if i > 0 && (keys[i-1].order > order || keys[i-1].order == order && keys[i-1].id > id) {
			sorted = false
		}
	}
	if sorted {
		return
	}
	slices.SortStableFunc(keys, func(a, b key) int {
		return cmp.Or(cmp.Compare(a.order, b.order), cmp.Compare(a.id, b.id))
	})
	for i := range keys {
		list.Index(i).Set(keys[i].v)
	}
}
