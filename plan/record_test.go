package plan_test

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"math/rand/v2"
	"reflect"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"github.com/shopspring/decimal"

	"pilewright/plan"
	"pilewright/plan/measure"
)

// emptyShop is a project as it is read from a new shop file.
func emptyShop() *plan.Project { return &plan.Project{NextID: 1} }

// randomEdit changes something anywhere in a project, as any room might.
func randomEdit(r *rand.Rand, p *plan.Project) *plan.Project {
	return p.With(func(q *plan.Project) {
		text := func() string { return fmt.Sprintf("né ‘%d’\n<&>", r.IntN(1000)) }
		switch r.IntN(9) {
		case 0:
			q.Shop.Name, q.Shop.GluePrice = text(), decimal.New(r.Int64N(100000), -int32(r.IntN(5)))
		case 1:
			q.Timer = plan.Timer{Piece: q.Piece.ID, Running: r.IntN(2) == 0, Seconds: r.Int64N(1e6), Since: time.Unix(r.Int64N(2e9), r.Int64N(1e9)).UTC()}
		case 2:
			q.Boards = shuffled(r, q.Boards, func(id plan.ID) plan.Board {
				return plan.Board{ID: id, Mark: text(), Length: measure.Length(r.Int64N(1e12)), Price: decimal.New(r.Int64N(1e6), -2), Order: r.IntN(5),
					Defects: []plan.Defect{{Kind: plan.Knot, From: 1, To: measure.Length(r.Int64N(1e9))}}}
			}, func(b plan.Board) plan.ID { return b.ID }, q)
		case 3:
			q.Lots = shuffled(r, q.Lots, func(id plan.ID) plan.Lot { return plan.Lot{ID: id, Name: text(), Minutes: r.IntN(600)} },
				func(l plan.Lot) plan.ID { return l.ID }, q)
		case 4:
			q.Log = shuffled(r, q.Log, func(id plan.ID) plan.Entry {
				return plan.Entry{ID: id, Piece: plan.ID(r.IntN(4)), Phase: plan.PhaseMill, Start: time.Unix(r.Int64N(2e9), 0).UTC(), Seconds: r.Int64N(1e5), Quantity: r.Float64()}
			}, func(e plan.Entry) plan.ID { return e.ID }, q)
		case 5:
			q.Expenses = shuffled(r, q.Expenses, func(id plan.ID) plan.Expense {
				return plan.Expense{ID: id, Piece: plan.ID(r.IntN(4)), What: text(), Amount: decimal.New(r.Int64N(1e6), -2), Order: r.IntN(3)}
			}, func(e plan.Expense) plan.ID { return e.ID }, q)
		default:
			switch piece := q.Piece.ID; r.IntN(4) {
			case 0:
				q.Piece.Note, q.Piece.Sold = text(), decimal.New(r.Int64N(1e6), -2)
			case 1:
				q.Measures = shuffled(r, q.Measures, func(id plan.ID) plan.Measure {
					return plan.Measure{ID: id, Piece: piece, Name: text(), Text: "2*x", Order: r.IntN(5)}
				}, func(m plan.Measure) plan.ID { return m.ID }, q)
			case 2:
				q.Parts = shuffled(r, q.Parts, func(id plan.ID) plan.Part {
					return plan.Part{ID: id, Piece: piece, Name: text(), Copies: []plan.Copy{{X: text(), Along: plan.Z}}}
				}, func(b plan.Part) plan.ID { return b.ID }, q)
			case 3:
				q.Joints = shuffled(r, q.Joints, func(id plan.ID) plan.Joint { return plan.Joint{ID: id, Piece: piece, Note: text()} },
					func(j plan.Joint) plan.ID { return j.ID }, q)
			}
		}
	})
}

// shuffled is list with nouns added, changed and taken away.
func shuffled[T any](r *rand.Rand, list []T, make func(plan.ID) T, id func(T) plan.ID, q *plan.Project) []T {
	var out []T
	for _, v := range list {
		switch r.IntN(4) {
		case 0: // gone
		case 1:
			out = append(out, make(id(v)))
		default:
			out = append(out, v)
		}
	}
	for range r.IntN(4) {
		out = append(out, make(q.Take()))
	}
	return out
}

// dump is everything of a project as records, in one text that can be compared.
func dump(t testing.TB, p *plan.Project) string {
	t.Helper()
	all, err := plan.Diff(nil, p)
	if err != nil {
		t.Fatal(err)
	}
	var b strings.Builder
	for _, c := range all {
		fmt.Fprintf(&b, "%s %d %d %s\n", c.Kind, c.ID, c.Piece, c.After)
	}
	return b.String()
}

func TestEditsRunBothWays(t *testing.T) {
	for seed := range uint64(60) {
		r := rand.New(rand.NewPCG(seed, 1))
		p := emptyShop().NewPiece(plan.Start{}, "Bench")
		states := []string{dump(t, p)}
		var edits [][]plan.Change
		for range 25 {
			next := randomEdit(r, p)
			changes, err := plan.Diff(p, next)
			if err != nil {
				t.Fatal(err)
			}
			if p, err = p.Apply(changes); err != nil {
				t.Fatalf("seed %d: %v", seed, err)
			}
			if diff := cmp.Diff(dump(t, next.Settled()), dump(t, p)); diff != "" {
				t.Fatalf("seed %d: applying the difference does not give the edited project (-want +got):\n%s", seed, diff)
			}
			edits, states = append(edits, changes), append(states, dump(t, p))
		}
		for i := len(edits) - 1; i >= 0; i-- {
			var err error
			if p, err = p.Apply(plan.Invert(edits[i])); err != nil {
				t.Fatalf("seed %d, undo %d: %v", seed, i, err)
			}
			if diff := cmp.Diff(states[i], dump(t, p)); diff != "" {
				t.Fatalf("seed %d: undo %d gives (-want +got):\n%s", seed, i, diff)
			}
		}
		for i, changes := range edits {
			var err error
			if p, err = p.Apply(changes); err != nil {
				t.Fatalf("seed %d, redo %d: %v", seed, i, err)
			}
			if diff := cmp.Diff(states[i+1], dump(t, p)); diff != "" {
				t.Fatalf("seed %d: redo %d gives (-want +got):\n%s", seed, i, diff)
			}
		}
	}
}

func TestRecordsReadBackAsTheyWereWritten(t *testing.T) {
	for seed := range uint64(40) {
		r := rand.New(rand.NewPCG(seed, 2))
		p := emptyShop().NewPiece(plan.Start{}, "Bench")
		for range 30 {
			p = randomEdit(r, p)
		}
		p = p.Settled()
		all, err := plan.Diff(nil, p)
		if err != nil {
			t.Fatal(err)
		}
		var records []plan.Record
		for _, i := range r.Perm(len(all)) { // in any order
			records = append(records, plan.Record{Kind: all[i].Kind, ID: all[i].ID, Piece: all[i].Piece, Body: all[i].After})
		}
		back, err := plan.FromRecords(records, p.Piece.ID)
		if err != nil {
			t.Fatal(err)
		}
		if diff := cmp.Diff(dump(t, p), dump(t, back)); diff != "" {
			t.Fatalf("seed %d: (-want +got)\n%s", seed, diff)
		}
		if again, err := plan.Diff(p, back); err != nil || len(again) > 0 {
			t.Fatalf("seed %d: the project read back differs by %d changes, %v", seed, len(again), err)
		}
		if diff := cmp.Diff(p.Piece, back.Piece); diff != "" {
			t.Errorf("seed %d: open piece (-want +got)\n%s", seed, diff)
		}
	}
}

func TestDemoIsStoredWhole(t *testing.T) {
	p := demoProject(t)
	back, err := emptyShop().With(func(q *plan.Project) { q.Piece.ID = p.Piece.ID }).Apply(must(plan.Diff(emptyShop(), p)))
	if err != nil {
		t.Fatal(err)
	}
	if diff := cmp.Diff(dump(t, p.Settled()), dump(t, back)); diff != "" {
		t.Errorf("(-want +got)\n%s", diff)
	}
}

func must[T any](v T, err error) T {
	if err != nil {
		panic(err)
	}
	return v
}

func TestAnotherPieceOpenLeavesTheFirstAlone(t *testing.T) {
	first := emptyShop().NewPiece(readStart(t, "bench"), "Bench").Settled()
	second := first.NewPiece(readStart(t, "table"), "Table").Settled()
	changes := must(plan.Diff(first, second))
	for _, c := range changes {
		if c.Piece == first.Piece.ID || c.After == nil {
			t.Errorf("opening a second piece touches %s %d of the first", c.Kind, c.ID)
		}
	}
	if len(changes) < 10 {
		t.Errorf("got %d changes, want the nouns of a whole table", len(changes))
	}
}

func TestAPieceIsDroppedWithItsNounsAndComesBack(t *testing.T) {
	before := emptyShop().NewPiece(readStart(t, "bench"), "Bench").Settled()
	after := before.DropPiece().Settled()
	if len(after.Pieces) != 0 || after.Piece.ID != 0 {
		t.Fatalf("the piece is still there: %v", after.Pieces)
	}
	changes := must(plan.Diff(before, after))
	want := 1 + len(before.Measures) + len(before.Parts) + len(before.Joints)
	if len(changes) != want {
		t.Errorf("got %d changes, want %d: the header and every noun", len(changes), want)
	}
	gone, err := before.Apply(changes)
	if err != nil {
		t.Fatal(err)
	}
	if gone.PieceIsThere() || len(gone.Parts) > 0 {
		t.Errorf("after the drop: %d parts, piece there %v", len(gone.Parts), gone.PieceIsThere())
	}
	back, err := gone.Apply(plan.Invert(changes))
	if err != nil {
		t.Fatal(err)
	}
	if diff := cmp.Diff(dump(t, before), dump(t, back)); diff != "" {
		t.Errorf("(-want +got)\n%s", diff)
	}
}

func TestAnEarlierHeaderDoesNotComeBackWithAnotherUndo(t *testing.T) {
	p := emptyShop().NewPiece(readStart(t, "bench"), "Bench")
	named := p.With(func(q *plan.Project) { q.Piece.Note = "for the porch" }) // the list of pieces is not touched
	noted := named.With(func(q *plan.Project) { q.Shop.Name = "Barn" })
	back, err := noted.Apply(plan.Invert(must(plan.Diff(named, noted))))
	if err != nil {
		t.Fatal(err)
	}
	if back.Piece.Note != "for the porch" {
		t.Errorf("the note became %q", back.Piece.Note)
	}
}

func TestChangesThatNoLongerFitAreRefused(t *testing.T) {
	one := emptyShop().With(func(q *plan.Project) { q.Boards = []plan.Board{{ID: q.Take(), Mark: "P1"}} })
	two := one.With(func(q *plan.Project) { q.Boards = []plan.Board{{ID: 1, Mark: "P2"}} })
	three := one.With(func(q *plan.Project) { q.Boards = []plan.Board{{ID: 1, Mark: "P3"}} })
	none := one.With(func(q *plan.Project) { q.Boards = nil })
	change := must(plan.Diff(one, two))
	for name, p := range map[string]*plan.Project{"changed since": three, "gone since": none} {
		if _, err := p.Apply(change); !errors.Is(err, plan.ErrConflict) {
			t.Errorf("%s: got %v, want a conflict", name, err)
		}
	}
	if _, err := two.Apply(must(plan.Diff(none, one))); !errors.Is(err, plan.ErrConflict) {
		t.Errorf("added twice: got %v, want a conflict", err)
	}
}

func TestBodiesOfAnEarlierVersionAreTheSameNoun(t *testing.T) {
	now := must(json.Marshal(plan.Board{ID: 7, Mark: "P7", Length: 5}))
	for name, c := range map[string]struct {
		kind plan.Kind
		a, b []byte
		want bool
	}{
		"fields in another order":            {plan.KindBoard, []byte(`{"mark":"P7","length":5,"id":7}`), now, true},
		"a field the earlier one lacked":     {plan.KindBoard, []byte(`{"id":7,"mark":"P7","length":5,"price":"0"}`), now, true},
		"another mark":                       {plan.KindBoard, []byte(`{"id":7,"mark":"P8","length":5}`), now, false},
		"nothing and a board":                {plan.KindBoard, nil, now, false},
		"a timer never stored, and a zero":   {plan.KindTimer, nil, must(json.Marshal(plan.Timer{})), true},
		"a timer never stored, and one runs": {plan.KindTimer, nil, must(json.Marshal(plan.Timer{Running: true})), false},
	} {
		if got, err := plan.Same(c.kind, c.a, c.b); err != nil || got != c.want {
			t.Errorf("%s: got %v, %v, want %v", name, got, err, c.want)
		}
	}
}

func TestHostileRecordsAreRefusedInWords(t *testing.T) {
	for name, c := range map[string]struct {
		record plan.Record
		want   string
	}{
		"not JSON":             {plan.Record{Kind: "board", ID: 1, Body: []byte(`{"id":`)}, "read board 1"},
		"nothing":              {plan.Record{Kind: "board", ID: 1}, "board 1: it is empty"},
		"null":                 {plan.Record{Kind: "board", ID: 1, Body: []byte(`null`)}, "number 0"},
		"another's contents":   {plan.Record{Kind: "lot", ID: 3, Body: []byte(`{"id":4}`)}, "number 4"},
		"another piece's part": {plan.Record{Kind: "part", ID: 3, Piece: 9, Body: []byte(`{"id":3,"piece":8}`)}, "piece 8"},
		"an unknown kind":      {plan.Record{Kind: "spell", ID: 1, Body: []byte(`{}`)}, `unknown kind "spell"`},
		"a fourth axis":        {plan.Record{Kind: "part", ID: 3, Piece: 9, Body: []byte(`{"id":3,"piece":9,"copies":[{"along":-7}]}`)}, "axis"},
		"no number":            {plan.Record{Kind: "board", ID: 0, Body: []byte(`{}`)}, "number 0"},
		"the greatest number":  {plan.Record{Kind: "board", ID: 1<<63 - 1, Body: []byte(`{"id":9223372036854775807}`)}, "no noun can have"},
		"a huge length":        {plan.Record{Kind: "board", ID: 1, Body: []byte(`{"id":1,"length":1e99}`)}, "read board 1"},
		"more than its share":  {plan.Record{Kind: "board", ID: 1, Body: bytes.Repeat([]byte(" "), plan.MaxBody+1)}, "larger than 4 MB"},
		"deeply nested":        {plan.Record{Kind: "board", ID: 1, Body: []byte(strings.Repeat("[", 1<<20))}, "read board 1"},
	} {
		_, err := plan.FromRecords([]plan.Record{c.record}, 9)
		if err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s: got %v, want an error with %q", name, err, c.want)
		}
	}
}

func TestATextBeyondTheLimitIsNotStored(t *testing.T) {
	p := emptyShop()
	q := p.With(func(q *plan.Project) { q.Shop.Name = strings.Repeat("x", plan.MaxBody) })
	if _, err := plan.Diff(p, q); err == nil || !strings.Contains(err.Error(), "4 MB") {
		t.Errorf("got %v, want the limit named", err)
	}
}

// Every list of a Project is stored: a field added without a table would be lost
// at the next start.
func TestEveryNounOfAProjectHasATable(t *testing.T) {
	derived := map[string]bool{"Piece": true, "NextID": true}
	fields := 0
	for i := range reflect.TypeFor[plan.Project]().NumField() {
		if !derived[reflect.TypeFor[plan.Project]().Field(i).Name] {
			fields++
		}
	}
	if got := len(plan.Kinds()); got != fields {
		t.Errorf("%d kinds are stored, a project has %d nouns and lists", got, fields)
	}
}

func FuzzRecordsNeverPanic(f *testing.F) {
	for _, k := range plan.Kinds() {
		f.Add(string(k), int64(1), int64(0), []byte(`{"id":1,"piece":2,"number":1}`))
	}
	for _, c := range must(plan.Diff(nil, demoProject(f))) {
		f.Add(string(c.Kind), int64(c.ID), int64(c.Piece), c.After)
	}
	f.Fuzz(func(t *testing.T, kind string, id, piece int64, body []byte) {
		r := plan.Record{Kind: plan.Kind(kind), ID: plan.ID(id), Piece: plan.ID(piece), Body: body}
		p, err := plan.FromRecords([]plan.Record{r}, r.Piece)
		if err != nil {
			return
		}
		p.Faults()
		all, err := plan.Diff(nil, p)
		if err != nil {
			t.Fatalf("a project that was read can't be written: %v", err)
		}
		back, err := p.Apply(plan.Invert(all))
		if err != nil {
			t.Fatalf("what was read can't be taken away: %v", err)
		}
		if back, err = back.Apply(all); err != nil || dump(t, back) != dump(t, p) {
			t.Fatalf("what was taken away does not come back: %v", err)
		}
	})
}

func BenchmarkDiffOfALogWithOneEntryMore(b *testing.B) {
	p := emptyShop()
	for i := range 50_000 {
		p.Log = append(p.Log, plan.Entry{ID: p.Take(), Phase: plan.PhaseSand, Start: time.Unix(int64(i)*600, 0).UTC(), Seconds: 300, Rate: "sand", Quantity: 2.5, Note: "side"})
	}
	q := p.With(func(q *plan.Project) {
		q.Log = append(append([]plan.Entry(nil), q.Log...), plan.Entry{ID: q.Take()})
	})
	for b.Loop() {
		if c, err := plan.Diff(p, q); err != nil || len(c) != 1 {
			b.Fatal(len(c), err)
		}
	}
}
