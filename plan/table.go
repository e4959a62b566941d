package plan

import (
	"bytes"
	"cmp"
	"encoding/json"
	"fmt"
	"reflect"
	"slices"
)

// table is how one kind of noun sits in a Project.
type table interface {
	kind() Kind
	// pieceOnly reports whether the project holds only the open piece's nouns.
	pieceOnly() bool
	// diff lists what differs; a nil project holds nothing.
	diff(before, after *Project) ([]Change, error)
	// apply makes the changes in p, whose list is replaced and not written to.
	// With check a noun that is not as its change found it gives ErrConflict.
	apply(p *Project, changes []Change, check bool) error
	// settle puts the nouns in the maker's order.
	settle(p *Project)
	// body gives a stored body as this program would write it; nil for nothing.
	body(stored []byte) ([]byte, error)
}

var tables = []table{
	one[Shop]{KindShop, func(p *Project) *Shop { return &p.Shop }},
	one[Timer]{KindTimer, func(p *Project) *Timer { return &p.Timer }},
	list[Lot]{KindLot, false, func(p *Project) *[]Lot { return &p.Lots }, func(v *Lot) key { return key{v.ID, 0, v.Order} }, nil},
	list[Board]{KindBoard, false, func(p *Project) *[]Board { return &p.Boards }, func(v *Board) key { return key{v.ID, 0, v.Order} }, nil},
	list[Piece]{KindPiece, false, func(p *Project) *[]Piece { return &p.Pieces }, func(v *Piece) key { return key{v.ID, 0, v.Order} }, nil},
	list[Measure]{KindMeasure, true, func(p *Project) *[]Measure { return &p.Measures }, func(v *Measure) key { return key{v.ID, v.Piece, v.Order} }, nil},
	list[Part]{KindPart, true, func(p *Project) *[]Part { return &p.Parts }, func(v *Part) key { return key{v.ID, v.Piece, v.Order} }, axesOf},
	list[Joint]{KindJoint, true, func(p *Project) *[]Joint { return &p.Joints }, func(v *Joint) key { return key{v.ID, v.Piece, v.Order} }, nil},
	list[Choice]{KindChoice, true, func(p *Project) *[]Choice { return &p.Choices }, func(v *Choice) key { return key{v.ID, v.Piece, v.Order} }, nil},
	list[StepEdit]{KindStep, true, func(p *Project) *[]StepEdit { return &p.Steps }, func(v *StepEdit) key { return key{v.ID, v.Piece, v.Order} }, nil},
	list[ReadyBlank]{KindReady, true, func(p *Project) *[]ReadyBlank { return &p.Ready }, func(v *ReadyBlank) key { return key{v.ID, v.Piece, 0} }, nil},
	list[Start]{KindStart, false, func(p *Project) *[]Start { return &p.Starts }, func(v *Start) key { return key{v.Number, 0, 0} }, nil},
	list[Entry]{KindEntry, false, func(p *Project) *[]Entry { return &p.Log }, func(v *Entry) key { return key{v.ID, 0, 0} }, nil},
	list[Expense]{KindExpense, false, func(p *Project) *[]Expense { return &p.Expenses }, func(v *Expense) key { return key{v.ID, 0, v.Order} }, nil},
}

func tableOf(k Kind) (table, error) {
	for _, t := range tables {
		if t.kind() == k {
			return t, nil
		}
	}
	return nil, fmt.Errorf("a record of the unknown kind %q", k)
}

// axesOf refuses a part whose copies run along no axis of the piece.
func axesOf(p *Part) error {
	for _, c := range p.Copies {
		if c.Along < X || c.Along > Z || c.Thick < X || c.Thick > Z {
			return fmt.Errorf("a copy runs along an axis that there is not")
		}
	}
	return nil
}

// one is a single noun: the shop, the timer. Its record has the ID 1.
type one[T any] struct {
	name Kind
	of   func(*Project) *T
}

func (t one[T]) kind() Kind      { return t.name }
func (t one[T]) pieceOnly() bool { return false }
func (t one[T]) settle(*Project) {}

func (t one[T]) diff(before, after *Project) ([]Change, error) {
	c := Change{Kind: t.name, ID: 1}
	var err error
	if before != nil {
		if c.Before, err = write(t.name, 1, t.of(before)); err != nil {
			return nil, err
		}
	}
	if after != nil {
		if c.After, err = write(t.name, 1, t.of(after)); err != nil {
			return nil, err
		}
	}
	if bytes.Equal(c.Before, c.After) {
		return nil, nil
	}
	return []Change{c}, nil
}

func (t one[T]) apply(p *Project, changes []Change, check bool) error {
	for _, c := range changes {
		if check {
			now, err := write(t.name, 1, t.of(p))
			if err != nil {
				return err
			}
			if same, err := sameBody(t, now, c.Before); err != nil {
				return err
			} else if !same {
				return fmt.Errorf("the %s: %w", t.name, ErrConflict)
			}
		}
		var fresh T
		if c.After != nil {
			if err := read(t.name, c.ID, c.After, &fresh); err != nil {
				return err
			}
		}
		*t.of(p) = fresh
	}
	return nil
}

// body of a single noun that is not stored is that of its zero value.
func (t one[T]) body(stored []byte) ([]byte, error) {
	var v T
	if stored != nil {
		if err := read(t.name, 1, stored, &v); err != nil {
			return nil, err
		}
	}
	return write(t.name, 1, &v)
}

// key is a noun's number, the piece it is loaded with (0 = any) and its place in
// the list.
type key struct {
	id, piece ID
	order     int
}

// list is nouns in a slice.
type list[T any] struct {
	name  Kind
	open  bool
	of    func(*Project) *[]T
	key   func(*T) key
	sound func(*T) error // refuses what would break the program; may be nil
}

func (t list[T]) kind() Kind      { return t.name }
func (t list[T]) pieceOnly() bool { return t.open }

func (t list[T]) diff(before, after *Project) ([]Change, error) {
	var b, a []T
	if before != nil {
		b = *t.of(before)
	}
	if after != nil {
		a = *t.of(after)
	}
	if len(a) == len(b) && (len(a) == 0 || &a[0] == &b[0]) {
		return nil, nil
	}
	// A list is most often the old one with a noun changed or added: what it
	// begins with is compared without looking anything up.
	for len(a) > 0 && len(b) > 0 && reflect.DeepEqual(&a[0], &b[0]) {
		a, b = a[1:], b[1:]
	}
	old := make(map[ID]*T, len(b))
	for i := range b {
		old[t.key(&b[i]).id] = &b[i]
	}
	var out []Change
	for i := range a {
		k := t.key(&a[i])
		was := old[k.id]
		delete(old, k.id)
		if was != nil && reflect.DeepEqual(was, &a[i]) {
			continue
		}
		c := Change{Kind: t.name, ID: k.id, Piece: k.piece}
		var err error
		if c.After, err = write(t.name, k.id, &a[i]); err != nil {
			return nil, err
		}
		if was != nil {
			if c.Before, err = write(t.name, k.id, was); err != nil {
				return nil, err
			}
		}
		if !bytes.Equal(c.Before, c.After) {
			out = append(out, c)
		}
	}
	for id, was := range old {
		body, err := write(t.name, id, was)
		if err != nil {
			return nil, err
		}
		out = append(out, Change{Kind: t.name, ID: id, Piece: t.key(was).piece, Before: body})
	}
	slices.SortFunc(out, func(x, y Change) int { return cmp.Compare(x.ID, y.ID) })
	return out, nil
}

func (t list[T]) apply(p *Project, changes []Change, check bool) error {
	was := *t.of(p)
	out := make([]T, len(was), len(was)+len(changes))
	copy(out, was)
	at := make(map[ID]int, len(out))
	for i := range out {
		at[t.key(&out[i]).id] = i
	}
	gone := map[ID]bool{}
	for _, c := range changes {
		i, there := at[c.ID]
		if check {
			var now []byte
			if there {
				var err error
				if now, err = write(t.name, c.ID, &out[i]); err != nil {
					return err
				}
			}
			if same, err := sameBody(t, now, c.Before); err != nil {
				return err
			} else if !same {
				return fmt.Errorf("the %s with number %d: %w", t.name, c.ID, ErrConflict)
			}
		}
		if c.After == nil {
			gone[c.ID] = true
			continue
		}
		v, err := t.read(c)
		if err != nil {
			return err
		}
		delete(gone, c.ID)
		if there {
			out[i] = v
			continue
		}
		at[c.ID] = len(out)
		out = append(out, v)
	}
	if len(gone) > 0 {
		out = slices.DeleteFunc(out, func(v T) bool { return gone[t.key(&v).id] })
	}
	t.sort(out)
	*t.of(p) = out
	return nil
}

// read gives the noun of a stored body, which must be the one its record says.
func (t list[T]) read(c Change) (T, error) {
	var v, none T
	if err := read(t.name, c.ID, c.After, &v); err != nil {
		return none, err
	}
	if k := t.key(&v); k.id != c.ID || t.open && k.piece != c.Piece {
		return none, fmt.Errorf("read %s %d: its contents are those of number %d of piece %d", t.name, c.ID, k.id, k.piece)
	}
	if t.sound != nil {
		if err := t.sound(&v); err != nil {
			return none, fmt.Errorf("read %s %d: %w", t.name, c.ID, err)
		}
	}
	return v, nil
}

func (t list[T]) body(stored []byte) ([]byte, error) {
	if stored == nil {
		return nil, nil
	}
	var v T
	if err := read(t.name, 0, stored, &v); err != nil {
		return nil, err
	}
	return write(t.name, 0, &v)
}

func (t list[T]) settle(p *Project) {
	if l := *t.of(p); !slices.IsSortedFunc(l, t.compare) {
		l = slices.Clone(l)
		t.sort(l)
		*t.of(p) = l
	}
}

// sort orders by the maker's order, then by ID.
func (t list[T]) sort(l []T) {
	if !slices.IsSortedFunc(l, t.compare) {
		slices.SortStableFunc(l, t.compare)
	}
}

func (t list[T]) compare(a, b T) int {
	x, y := t.key(&a), t.key(&b)
	return cmp.Or(cmp.Compare(x.order, y.order), cmp.Compare(x.id, y.id))
}

// sameBody compares two bodies as this program reads them: one that an earlier
// version wrote may lack a field or order them otherwise.
func sameBody(t table, a, b []byte) (bool, error) {
	if bytes.Equal(a, b) && (a == nil) == (b == nil) {
		return true, nil
	}
	x, err := t.body(a)
	if err != nil {
		return false, err
	}
	y, err := t.body(b)
	if err != nil {
		return false, err
	}
	return (x == nil) == (y == nil) && bytes.Equal(x, y), nil
}

func write(k Kind, id ID, v any) ([]byte, error) {
	body, err := json.Marshal(v)
	if err != nil {
		return nil, fmt.Errorf("write %s %d: %w", k, id, err)
	}
	if len(body) > MaxBody {
		return nil, fmt.Errorf("write %s %d: it takes more than %d MB; make its texts or lists shorter", k, id, MaxBody>>20)
	}
	return body, nil
}

func read(k Kind, id ID, body []byte, into any) error {
	if len(body) > MaxBody {
		return fmt.Errorf("read %s %d: it is larger than %d MB", k, id, MaxBody>>20)
	}
	if err := json.Unmarshal(body, into); err != nil {
		return fmt.Errorf("read %s %d: %w", k, id, err)
	}
	return nil
}
