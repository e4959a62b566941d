package storage_test

import (
	"errors"
	"fmt"
	"math/rand/v2"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"pilewright/plan"
	"pilewright/plan/measure"
	"pilewright/storage"
)

func TestUndoIsUnlimitedAndSurvivesReopening(t *testing.T) {
	t.Parallel()
	f, p := newShop(t, 3)
	piece := p.Piece.ID
	states := []string{dump(t, p)}
	edits := times(200, 5000)
	for i := range edits {
		p = commit(t, f, fmt.Sprintf("edit %d", i), "", p, named(p, fmt.Sprintf("name %d", i)))
		states = append(states, dump(t, p))
	}
	f = reopen(t, f)
	for i := edits; i > 0; i-- {
		if i%50 == 0 {
			f = reopen(t, f)
		}
		label, _, err := f.Undo(piece)
		if err != nil || label != fmt.Sprintf("edit %d", i-1) {
			t.Fatalf("undo %d: %q, %v", i, label, err)
		}
	}
	if diff := cmp.Diff(states[0], dump(t, load(t, f, piece))); diff != "" {
		t.Errorf("all undone (-want +got)\n%s", diff)
	}
	if _, _, err := f.Undo(piece); !errors.Is(err, storage.ErrNothing) {
		t.Errorf("one undo more: %v, want ErrNothing", err)
	}
	f = reopen(t, f)
	for i := range edits {
		label, _, err := f.Redo(piece)
		if err != nil || label != fmt.Sprintf("edit %d", i) {
			t.Fatalf("redo %d: %q, %v", i, label, err)
		}
	}
	if diff := cmp.Diff(states[edits], dump(t, load(t, f, piece))); diff != "" {
		t.Errorf("all made again (-want +got)\n%s", diff)
	}
	if _, _, err := f.Redo(piece); !errors.Is(err, storage.ErrNothing) {
		t.Errorf("one redo more: %v, want ErrNothing", err)
	}
	sound(t, f)
}

func TestANewEditEndsTheRedo(t *testing.T) {
	t.Parallel()
	f, p := newShop(t, 1)
	piece := p.Piece.ID
	one := commit(t, f, "one", "", p, named(p, "one"))
	commit(t, f, "two", "", one, named(one, "two"))
	if _, _, err := f.Undo(piece); err != nil {
		t.Fatal(err)
	}
	if u, r, err := f.History(piece); u != "one" || r != "two" || err != nil {
		t.Errorf("history %q, %q, %v", u, r, err)
	}
	commit(t, f, "three", "", one, named(one, "three"))
	if u, r, err := f.History(piece); u != "three" || r != "" || err != nil {
		t.Errorf("history %q, %q, %v", u, r, err)
	}
	if _, _, err := f.Redo(piece); !errors.Is(err, storage.ErrNothing) {
		t.Errorf("redo: %v", err)
	}
}

func TestEditsWithTheSameKeyAreUndoneTogether(t *testing.T) {
	t.Parallel()
	f, p := newShop(t, 2)
	piece := p.Piece.ID
	length := func(p *plan.Project, i int, l measure.Length) *plan.Project {
		q, err := p.EditBoards([]plan.ID{p.Boards[i].ID}, func(b *plan.Board) error { b.Length = l; return nil })
		if err != nil {
			t.Fatal(err)
		}
		return q
	}
	q := commit(t, f, "length", "len", p, length(p, 0, 50*measure.Inch))
	q = commit(t, f, "length", "len", q, length(q, 0, 51*measure.Inch))
	q = commit(t, f, "length", "len", q, length(q, 1, 52*measure.Inch)) // another noun joins
	q = commit(t, f, "length", "len2", q, length(q, 0, 53*measure.Inch))
	q = commit(t, f, "plain", "", q, named(q, "a"))
	q = commit(t, f, "plain", "", q, named(q, "b"))
	var labels []string
	for {
		label, _, err := f.Undo(piece)
		if errors.Is(err, storage.ErrNothing) {
			break
		}
		if err != nil {
			t.Fatal(err)
		}
		labels = append(labels, label)
	}
	if got, want := strings.Join(labels, " "), "plain plain length length"; got != want {
		t.Errorf("undone %q, want %q: the first three are one", got, want)
	}
	if diff := cmp.Diff(dump(t, p), dump(t, load(t, f, piece))); diff != "" {
		t.Errorf("(-want +got)\n%s", diff)
	}
	for range labels {
		if _, _, err := f.Redo(piece); err != nil {
			t.Fatal(err)
		}
	}
	if diff := cmp.Diff(dump(t, q), dump(t, load(t, f, piece))); diff != "" {
		t.Errorf("(-want +got)\n%s", diff)
	}
	// An edit that was undone or made again takes nothing more in.
	commit(t, f, "after", "len", q, length(q, 0, 60*measure.Inch))
	if u, _, _ := f.History(piece); u != "after" {
		t.Errorf("undo would take back %q", u)
	}
}

func TestAnEditAddedAndTakenAwayInOneStep(t *testing.T) {
	t.Parallel()
	f, p := newShop(t, 1)
	with := p.With(func(q *plan.Project) {
		id := q.Take()
		q.Boards = append(q.Boards[:1:1], plan.Board{ID: id, Mark: "P2", Length: 1, Width: 1, Thickness: 1, Order: 9})
	})
	commit(t, f, "row", "row", p, with)
	commit(t, f, "row", "row", with, p)
	if _, _, err := f.Undo(p.Piece.ID); err != nil {
		t.Errorf("undo: %v", err)
	}
	if _, _, err := f.Redo(p.Piece.ID); err != nil {
		t.Errorf("redo: %v", err)
	}
	if diff := cmp.Diff(dump(t, p), dump(t, load(t, f, p.Piece.ID))); diff != "" {
		t.Errorf("(-want +got)\n%s", diff)
	}
}

func TestAConflictChangesNothing(t *testing.T) {
	t.Parallel()
	f, p := newShop(t, 2)
	commit(t, f, "name", "", p, named(p, "stored"))
	before := dump(t, load(t, f, p.Piece.ID))
	stale := named(p, "stale").With(func(q *plan.Project) { q.Boards = q.Boards[:1] })
	changes, err := plan.Diff(p, stale)
	if err != nil {
		t.Fatal(err)
	}
	err = f.Commit(storage.Edit{Piece: p.Piece.ID, Label: "stale", Changes: changes})
	if !errors.Is(err, plan.ErrConflict) || !strings.Contains(err.Error(), "shop") {
		t.Errorf("got %v, want a conflict that names the shop", err)
	}
	if diff := cmp.Diff(before, dump(t, load(t, f, p.Piece.ID))); diff != "" {
		t.Errorf("(-want +got)\n%s", diff)
	}
	if u, _, _ := f.History(p.Piece.ID); u != "name" {
		t.Errorf("undo would take back %q", u)
	}
}

func TestHistoriesOfTwoPieces(t *testing.T) {
	t.Parallel()
	f, first := newShop(t, 2)
	second := commit(t, f, "new piece", "", first, first.NewPiece(plan.Start{}, "Stool").Settled())
	if got := load(t, f, first.Piece.ID); len(got.Parts) != 1 || len(got.Pieces) != 2 {
		t.Fatalf("the first piece has %d parts, the file %d pieces", len(got.Parts), len(got.Pieces))
	}
	mark := func(p *plan.Project, mark string) *plan.Project {
		q, err := p.EditBoards([]plan.ID{p.Boards[0].ID}, func(b *plan.Board) error { b.Mark = mark; return nil })
		if err != nil {
			t.Fatal(err)
		}
		return q
	}
	first = load(t, f, first.Piece.ID)
	commit(t, f, "mark in first", "", first, mark(first, "F1"))
	second = load(t, f, second.Piece.ID)
	commit(t, f, "mark in second", "", second, mark(second, "S1"))
	if _, _, err := f.Undo(first.Piece.ID); !errors.Is(err, plan.ErrConflict) {
		t.Errorf("undo beneath the other piece's edit: %v, want a conflict", err)
	}
	if got := load(t, f, 0).Boards[0].Mark; got != "S1" {
		t.Errorf("the refused undo left mark %q", got)
	}
	for _, piece := range []plan.ID{second.Piece.ID, first.Piece.ID} {
		if _, _, err := f.Undo(piece); err != nil {
			t.Errorf("in order: %v", err)
		}
	}
	if got := load(t, f, 0).Boards[0].Mark; got != "P1" {
		t.Errorf("mark %q", got)
	}
	sound(t, f)
}

func TestTheTimerIsNotInTheHistory(t *testing.T) {
	t.Parallel()
	f, p := newShop(t, 1)
	q := commit(t, f, "name", "", p, named(p, "a"))
	timed := commit(t, f, "", "", q, q.With(func(q *plan.Project) { q.Timer = plan.Timer{Piece: q.Piece.ID, Running: true, Since: noon} }))
	if u, _, _ := f.History(p.Piece.ID); u != "name" {
		t.Errorf("undo would take back %q", u)
	}
	if _, _, err := f.Undo(p.Piece.ID); err != nil {
		t.Fatal(err)
	}
	got := load(t, f, p.Piece.ID)
	if !got.Timer.Running || !got.Timer.Since.Equal(noon) || got.Shop.Name != p.Shop.Name {
		t.Errorf("after undo: timer %+v, name %q", got.Timer, got.Shop.Name)
	}
	// A timer tick does not end the redo.
	commit(t, f, "", "", got, got.With(func(q *plan.Project) { q.Timer.Seconds = 60 }))
	if _, r, _ := f.History(timed.Piece.ID); r != "name" {
		t.Errorf("redo would make %q again", r)
	}
}

func TestNumbersAreNeverUsedTwice(t *testing.T) {
	t.Parallel()
	f, p := newShop(t, 1)
	piece := p.Piece.ID
	var id plan.ID
	grown := p.With(func(q *plan.Project) {
		id = q.Take()
		q.Parts = append(q.Parts[:1:1], plan.Part{ID: id, Piece: piece, Name: "Rail"})
	})
	commit(t, f, "part", "", p, grown)
	if _, _, err := f.Undo(piece); err != nil {
		t.Fatal(err)
	}
	commit(t, f, "name", "", p, named(p, "redo is gone"))
	f = reopen(t, f)
	for _, open := range []plan.ID{0, piece} {
		if got := load(t, f, open).NextID; got != id+1 {
			t.Errorf("piece %d open: the next number is %d, want %d", open, got, id+1)
		}
	}
}

func TestClockJumpsDoNotDisturbTheOrderOfEdits(t *testing.T) {
	t.Parallel()
	f, p := newShop(t, 1)
	path, piece := f.Path(), p.Piece.ID
	for i, now := range []time.Time{noon, noon.AddDate(40, 0, 0), time.Unix(0, 0), noon.Add(-time.Hour)} {
		if err := f.Close(); err != nil {
			t.Fatal(err)
		}
		var err error
		if f, err = storage.Open(path, at(now)); err != nil {
			t.Fatal(err)
		}
		p = commit(t, f, fmt.Sprintf("edit %d", i), "", p, named(p, fmt.Sprintf("%d", i)))
	}
	defer f.Close()
	for i := 3; i >= 0; i-- {
		if label, _, err := f.Undo(piece); err != nil || label != fmt.Sprintf("edit %d", i) {
			t.Errorf("undo: %q, %v, want edit %d", label, err, i)
		}
	}
}

func TestABodyOfAnEarlierVersionCanBeEdited(t *testing.T) {
	t.Parallel()
	f, p := newShop(t, 1)
	board := p.Boards[0]
	// As a version without prices and places would have stored it.
	old := fmt.Sprintf(`{"width":%d,"id":%d,"mark":"P1","length":%d,"thickness":%d,"species":"pine"}`, board.Width, board.ID, board.Length, board.Thickness)
	rewrite(t, f.Path(), "UPDATE record SET body = ?, sum = ? WHERE kind = 'board'", old, storage.Sum("board", board.ID, 0, []byte(old)))
	q := load(t, f, p.Piece.ID)
	q = commit(t, f, "mark", "", q, q.With(func(q *plan.Project) {
		b := q.Boards[0]
		b.Mark = "P9"
		q.Boards = []plan.Board{b}
	}))
	if _, _, err := f.Undo(q.Piece.ID); err != nil {
		t.Errorf("undo: %v", err)
	}
	if got := load(t, f, q.Piece.ID).Boards[0]; got.Mark != "P1" || got.Length != board.Length {
		t.Errorf("board %+v", got)
	}
}

// Random runs of edits, undos, redos and reopenings against a plain list of states.
func TestRandomRunsAgreeWithAPlainListOfStates(t *testing.T) {
	t.Parallel()
	for seed := range uint64(times(4, 40)) {
		r := rand.New(rand.NewPCG(seed, 3))
		f, p := newShop(t, 3)
		states, now := []*plan.Project{p}, 0
		for range 100 {
			switch r.IntN(6) {
			case 0, 1, 2:
				next := states[now].With(func(q *plan.Project) {
					switch id := q.Take(); r.IntN(3) {
					case 0:
						q.Boards = append(append([]plan.Board(nil), q.Boards...), plan.Board{ID: id, Mark: fmt.Sprint(id), Length: 1, Width: 1, Thickness: 1, Order: int(id)})
					case 1:
						if len(q.Boards) > 0 {
							q.Boards = q.Boards[1:]
						}
						q.Shop.Name = fmt.Sprint(id)
					case 2:
						q.Piece.Note = fmt.Sprint(id)
					}
				}).Settled()
				commit(t, f, "edit", "", states[now], next)
				states = append(states[:now+1], next)
				now++
			case 3:
				_, changes, err := f.Undo(p.Piece.ID)
				if now == 0 {
					if !errors.Is(err, storage.ErrNothing) {
						t.Fatalf("seed %d: undo at the first state: %v", seed, err)
					}
					continue
				}
				got, err2 := states[now].Apply(changes)
				if err := errors.Join(err, err2); err != nil {
					t.Fatalf("seed %d: %v", seed, err)
				}
				now--
				if diff := cmp.Diff(dump(t, states[now]), dump(t, got)); diff != "" {
					t.Fatalf("seed %d: the changes of undo (-want +got)\n%s", seed, diff)
				}
			case 4:
				_, _, err := f.Redo(p.Piece.ID)
				if now == len(states)-1 {
					if !errors.Is(err, storage.ErrNothing) {
						t.Fatalf("seed %d: redo at the last state: %v", seed, err)
					}
					continue
				}
				if err != nil {
					t.Fatal(err)
				}
				now++
			case 5:
				f = reopen(t, f)
			}
			if diff := cmp.Diff(dump(t, states[now]), dump(t, load(t, f, p.Piece.ID))); diff != "" {
				t.Fatalf("seed %d: (-want +got)\n%s", seed, diff)
			}
		}
		sound(t, f)
		f.Close()
	}
}
