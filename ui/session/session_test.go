package session_test

import (
	"context"
	"errors"
	"fmt"
	"math/rand/v2"
	"path/filepath"
	"runtime"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"pilewright/plan"
	"pilewright/plan/measure"
	"pilewright/storage"
	"pilewright/ui/session"
)

// queue is the session's goroutine's list of things to do.
type queue struct {
	mu   sync.Mutex
	todo []func()
	more chan struct{}
}

func newQueue() *queue { return &queue{more: make(chan struct{}, 1)} }

func (q *queue) post(f func()) {
	q.mu.Lock()
	q.todo = append(q.todo, f)
	q.mu.Unlock()
	select {
	case q.more <- struct{}{}:
	default:
	}
}

// run does what was posted, until done holds.
func (q *queue) run(t *testing.T, done func() bool) {
	t.Helper()
	late := time.After(20 * time.Second)
	for {
		q.mu.Lock()
		todo := q.todo
		q.todo = nil
		q.mu.Unlock()
		for _, f := range todo {
			f()
		}
		if done() {
			return
		}
		select {
		case <-q.more:
		case <-late:
			t.Fatal("it never came to an end")
		}
	}
}

// planner is a solver that can be held up.
type planner struct {
	mu    sync.Mutex
	hold  chan struct{} // of the full search; nil = go on at once
	slow  time.Duration // how long it does not listen
	calls int
	ended int
	most  int // solvers at once
	fault string
}

func (p *planner) cut(ctx context.Context, job plan.CutJob, better func(plan.Cuts)) (plan.Cuts, error) {
	p.mu.Lock()
	p.calls++
	p.most = max(p.most, p.calls-p.ended)
	hold, slow := p.hold, p.slow
	p.mu.Unlock()
	time.Sleep(slow)
	var out plan.Cuts
	for _, b := range job.Blanks {
		out.Short = append(out.Short, plan.Short{Blank: b.Key, Count: b.Count})
	}
	if better != nil {
		better(out)
	}
	if hold != nil && better != nil {
		select {
		case <-hold:
		case <-ctx.Done():
		}
	}
	p.mu.Lock()
	p.ended++
	p.mu.Unlock()
	out.Final = ctx.Err() == nil
	return out, nil
}

func (p *planner) check(plan.CutJob, plan.Cuts) []string {
	if p.fault != "" {
		return []string{p.fault}
	}
	return nil
}

func (p *planner) tools() plan.Tools {
	return plan.Tools{Cut: p.cut, Check: p.check, Compose: func(_ context.Context, job plan.PanelJob) (plan.Panel, error) {
		return plan.Panel{Length: job.Length}, nil
	}}
}

func (p *planner) count() (calls, ended int) {
	p.mu.Lock()
	defer p.mu.Unlock()
	return p.calls, p.ended
}

var noon = time.Date(2026, 3, 2, 12, 0, 0, 0, time.UTC)

func clock() time.Time { return noon }

// bench is a session on a new shop file, and what is under it.
type bench struct {
	*session.Session
	t       *testing.T
	file    *storage.File
	queue   *queue
	planner *planner
}

func newBench(t *testing.T) *bench {
	t.Helper()
	file, err := storage.Create(filepath.Join(t.TempDir(), "shop.pile"), storage.Options{Now: clock})
	if err != nil {
		t.Fatal(err)
	}
	p := (&plan.Project{Shop: plan.DefaultShop(), NextID: 1}).NewPiece(rack, "Rack").With(func(q *plan.Project) {
		for i := range 3 {
			q.Boards = append(q.Boards, plan.Board{ID: q.Take(), Mark: fmt.Sprint("P", i+1), Length: 40 * measure.Inch, Width: 4 * measure.Inch, Thickness: measure.Inch, Order: i})
		}
	})
	changes, err := plan.Diff(nil, p)
	if err != nil {
		t.Fatal(err)
	}
	if err := file.Commit(storage.Edit{Changes: changes}); err != nil {
		t.Fatal(err)
	}
	b := &bench{t: t, file: file, queue: newQueue(), planner: &planner{}}
	b.open(0)
	t.Cleanup(func() { b.Close(); b.file.Close() })
	return b
}

var rack = plan.Start{ID: "rack", Name: "Rack",
	Measures: []plan.Measure{{Name: "height", Text: "30 in"}},
	Parts:    []plan.Part{{Name: "Leg", Length: "height", Width: "2 in", Thickness: "3/4 in", Grade: plan.Show, Copies: []plan.Copy{{X: "0", Y: "0", Z: "0", Along: plan.Z, Thick: plan.X}}}},
}

func (b *bench) open(piece plan.ID) {
	b.t.Helper()
	var err error
	if b.Session, err = session.New(b.file, piece, b.planner.tools(), b.queue.post, clock); err != nil {
		b.t.Fatal(err)
	}
}

// restart closes the program and opens the shop file again.
func (b *bench) restart() {
	b.t.Helper()
	piece := b.Project().Piece.ID
	b.Close()
	if err := b.file.Close(); err != nil {
		b.t.Fatal(err)
	}
	var err error
	if b.file, err = storage.Open(b.file.Path(), storage.Options{Now: clock}); err != nil {
		b.t.Fatal(err)
	}
	b.open(piece)
}

func (b *bench) settle() {
	b.t.Helper()
	b.queue.run(b.t, func() bool { busy, _ := b.Busy(); return !busy })
}

func (b *bench) name(name string) {
	b.t.Helper()
	if err := b.Edit("name", "", func(p *plan.Project) (*plan.Project, error) {
		return p.With(func(q *plan.Project) { q.Shop.Name = name }), nil
	}); err != nil {
		b.t.Fatal(err)
	}
}

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
	fmt.Fprintf(&b, "open %d %q %q", p.Piece.ID, p.Piece.Name, p.Piece.Note)
	for _, o := range p.Boards {
		fmt.Fprintf(&b, " board %d", o.ID)
	}
	for _, o := range p.Parts {
		fmt.Fprintf(&b, " part %d", o.ID)
	}
	for _, o := range p.Pieces {
		fmt.Fprintf(&b, " piece %d %q", o.ID, o.Note)
	}
	return b.String()
}

// agrees fails unless the file holds what the session shows.
func (b *bench) agrees(what string) {
	b.t.Helper()
	stored, err := b.file.Load(b.Project().Piece.ID)
	if err != nil {
		b.t.Fatalf("%s: %v", what, err)
	}
	if diff := cmp.Diff(dump(b.t, stored), dump(b.t, b.Project())); diff != "" {
		b.t.Fatalf("%s: the session does not hold what the file holds (-file +session)\n%s", what, diff)
	}
	undo, redo, err := b.file.History(b.Project().Piece.ID)
	if err != nil || undo != b.UndoLabel() || redo != b.RedoLabel() {
		b.t.Fatalf("%s: labels %q, %q, want %q, %q, %v", what, b.UndoLabel(), b.RedoLabel(), undo, redo, err)
	}
}

func TestAnEditIsStoredPlannedAndUndoneAfterARestart(t *testing.T) {
	b := newBench(t)
	b.settle()
	if b.Stale() || b.Plan() == nil || b.Failure() != "" {
		t.Fatalf("stale %v, plan %v, failure %q", b.Stale(), b.Plan(), b.Failure())
	}
	first := b.Plan()
	before := dump(t, b.Project())
	if err := b.Edit("lengthen", "", func(p *plan.Project) (*plan.Project, error) {
		return p.With(func(q *plan.Project) {
			m := q.Measures[0]
			m.Text = "31 in"
			q.Measures = []plan.Measure{m}
		}), nil
	}); err != nil {
		t.Fatal(err)
	}
	if busy, _ := b.Busy(); !busy || !b.Stale() || b.Plan() != first {
		t.Error("until it is planned again the old plan is shown, as stale")
	}
	b.settle()
	height, err := b.Plan().Values["height"].Length()
	if b.Stale() || b.Plan() == first || err != nil || height != 31*measure.Inch {
		t.Errorf("the plan shown is not of the edit: %v", b.Plan().Values)
	}
	b.agrees("after the edit")
	b.restart()
	if b.UndoLabel() != "lengthen" {
		t.Errorf("after the restart undo would take back %q", b.UndoLabel())
	}
	if label, err := b.Undo(); label != "lengthen" || err != nil {
		t.Errorf("undo: %q, %v", label, err)
	}
	if diff := cmp.Diff(before, dump(t, b.Project())); diff != "" {
		t.Errorf("(-want +got)\n%s", diff)
	}
	b.restart()
	if label, err := b.Redo(); label != "lengthen" || err != nil || b.Project().Measures[0].Text != "31 in" {
		t.Errorf("redo: %q, %v, %q", label, err, b.Project().Measures[0].Text)
	}
	b.agrees("after redo")
}

func TestAFailedEditLeavesEverythingAsItWas(t *testing.T) {
	b := newBench(t)
	before, told := b.Project(), 0
	b.Watch(func(session.Change) { told++ })
	refusal := errors.New("a board can't be shorter than its trims")
	for name, c := range map[string]struct {
		edit func(*plan.Project) (*plan.Project, error)
		want error
	}{
		"refused":            {func(*plan.Project) (*plan.Project, error) { return nil, refusal }, refusal},
		"nothing changed":    {func(*plan.Project) (*plan.Project, error) { return nil, session.ErrUnchanged }, nil},
		"no project":         {func(*plan.Project) (*plan.Project, error) { return nil, nil }, nil},
		"the same project":   {func(p *plan.Project) (*plan.Project, error) { return p, nil }, nil},
		"an equal project":   {func(p *plan.Project) (*plan.Project, error) { return p.With(func(*plan.Project) {}), nil }, nil},
		"what JSON can hold": {func(p *plan.Project) (*plan.Project, error) { return withNaN(p), nil }, errAny},
	} {
		err := b.Edit(name, "", c.edit)
		if c.want == errAny && err == nil || c.want != errAny && !errors.Is(err, c.want) {
			t.Errorf("%s: got %v, want %v", name, err, c.want)
		}
		if b.Project() != before || told != 0 || b.UndoLabel() != "" {
			t.Errorf("%s: something changed", name)
		}
	}
	if err := b.Edit("", "", func(p *plan.Project) (*plan.Project, error) { return p, nil }); err == nil {
		t.Error("an edit without a name was taken")
	}
	if _, err := b.Undo(); !errors.Is(err, storage.ErrNothing) {
		t.Errorf("undo with nothing done: %v", err)
	}
}

var errAny = errors.New("any")

func withNaN(p *plan.Project) *plan.Project {
	return p.With(func(q *plan.Project) {
		var zero float64
		q.Piece.LoadKG = zero / zero
	})
}

func TestPlansOfAnOlderStateAreDropped(t *testing.T) {
	b := newBench(t)
	b.settle()
	b.planner.hold = make(chan struct{})
	for i := range 20 {
		b.name(fmt.Sprint("edit ", i))
	}
	b.planner.mu.Lock()
	b.planner.hold = nil
	b.planner.mu.Unlock()
	b.name("last")
	seen := 0
	b.Watch(func(c session.Change) {
		if c.Plan && !b.Stale() {
			seen++
			if got := b.Plan().Project.Shop.Name; got != "last" {
				t.Errorf("the plan of %q was shown as the newest", got)
			}
		}
	})
	b.settle()
	if seen == 0 || b.Plan().Project != b.Project() {
		t.Errorf("%d plans were shown; the newest is of %q", seen, b.Plan().Project.Shop.Name)
	}
	calls, ended := 0, 1
	b.Close()
	if calls, ended = b.planner.count(); calls != ended {
		t.Errorf("%d solvers began and %d ended", calls, ended)
	}
}

// Edits that come faster than solvers end neither pile up planners nor keep the
// last state from being planned.
func TestFastEditsHoldNoMoreThanTwoPlanners(t *testing.T) {
	b := newBench(t)
	b.settle()
	b.planner.mu.Lock()
	b.planner.slow = 20 * time.Millisecond
	b.planner.mu.Unlock()
	for i := range 40 {
		b.name(fmt.Sprint("edit ", i))
		time.Sleep(time.Millisecond)
	}
	b.settle()
	if got := b.Plan().Project.Shop.Name; got != "edit 39" {
		t.Errorf("the plan shown is of %q", got)
	}
	b.planner.mu.Lock()
	defer b.planner.mu.Unlock()
	if b.planner.most > 2 {
		t.Errorf("%d planners ran at once", b.planner.most)
	}
}

func TestATickOfTheTimerDoesNotDisturbPlanning(t *testing.T) {
	b := newBench(t)
	b.planner.mu.Lock()
	b.planner.hold = make(chan struct{})
	b.planner.mu.Unlock()
	b.name("a")
	b.queue.run(t, func() bool { return b.Plan() != nil && !b.Stale() })
	if err := b.Record(false, func(p *plan.Project) (*plan.Project, error) {
		return p.With(func(q *plan.Project) { q.Timer = plan.Timer{Piece: q.Piece.ID, Running: true, Since: noon} }), nil
	}); err != nil {
		t.Fatal(err)
	}
	close(b.planner.hold)
	b.settle() // it would wait for ever if the tick had orphaned the run
	if b.Stale() {
		t.Error("the plan became stale by a tick of the timer")
	}
	if b.UndoLabel() != "name" {
		t.Errorf("undo would take back %q, not the name", b.UndoLabel())
	}
	if _, err := b.Undo(); err != nil {
		t.Fatal(err)
	}
	if !b.Project().Timer.Running {
		t.Error("undo stopped the timer")
	}
	b.agrees("after undo")
	b.restart()
	if timer := b.Project().Timer; !timer.Running || !timer.Since.Equal(noon) {
		t.Errorf("after a restart the timer is %+v", timer)
	}
}

func TestStopKeepsTheBestPlanAndReplanGoesOn(t *testing.T) {
	b := newBench(t)
	b.settle()
	b.planner.mu.Lock()
	b.planner.hold = make(chan struct{})
	b.planner.mu.Unlock()
	b.name("held")
	b.queue.run(t, func() bool { return !b.Stale() })
	b.Stop()
	b.settle()
	if b.Stale() || b.Plan().Project != b.Project() {
		t.Error("stopping threw the plan away")
	}
	// Stopped and planned again at once: the end of the first is not the end of the second.
	b.Replan()
	b.Stop()
	b.Replan()
	for range 50 {
		time.Sleep(time.Millisecond)
		b.queue.run(t, func() bool { return true })
	}
	if busy, _ := b.Busy(); !busy {
		t.Error("the end of a stopped run was taken for that of the one that goes on")
	}
	close(b.planner.hold)
	b.settle()
}

func TestClosingWaitsForThePlanner(t *testing.T) {
	before := runtime.NumGoroutine()
	b := newBench(t)
	b.settle()
	b.planner.mu.Lock()
	b.planner.hold = make(chan struct{}) // never closed: only the end of ctx frees it
	b.planner.mu.Unlock()
	for i := range 5 {
		b.name(fmt.Sprint(i))
	}
	b.Close()
	if calls, ended := b.planner.count(); calls != ended {
		t.Errorf("closed with %d of %d solvers at work", calls-ended, calls)
	}
	told := 0
	b.Watch(func(session.Change) { told++ })
	b.queue.run(t, func() bool { return true })
	if told != 0 {
		t.Error("what came after closing was shown")
	}
	for range 100 {
		if runtime.NumGoroutine() <= before+2 { // the file's own connection
			return
		}
		time.Sleep(10 * time.Millisecond)
	}
	t.Errorf("%d goroutines before, %d after", before, runtime.NumGoroutine())
}

func TestAPlanThatFailsItsCheckIsToldAndNotShown(t *testing.T) {
	b := newBench(t)
	b.settle()
	b.planner.fault = "piece A1 lies off its board"
	b.name("x")
	b.settle()
	if !strings.Contains(b.Failure(), "lies off its board") {
		t.Errorf("failure %q", b.Failure())
	}
	if b.Plan().Project == b.Project() && len(b.Plan().Cuts.Short) > 0 {
		t.Error("the refused cuts are shown")
	}
}

func TestWatchersCanStopAndAreToldWhatToRead(t *testing.T) {
	b := newBench(t)
	b.settle()
	var first, second []session.Change
	var stop func()
	stop = b.Watch(func(c session.Change) {
		first = append(first, c)
		stop() // within its own call
	})
	b.Watch(func(c session.Change) { second = append(second, c) })
	b.Select(session.Selection{Board: 2})
	b.Select(session.Selection{Board: 2}) // nothing new
	if len(first) != 1 || len(second) != 1 || !second[0].Selection || second[0].Project {
		t.Errorf("told %v and %v", first, second)
	}
	second = nil
	b.name("x")
	stored := false
	for _, c := range second {
		stored = stored || c.Project
	}
	if !stored || len(first) != 1 {
		t.Errorf("after an edit told %v; the one that stopped %v", second, first)
	}
}

func TestPiecesAreMadeOpenedTakenBackAndDropped(t *testing.T) {
	b := newBench(t)
	rackID := b.Project().Piece.ID
	if err := b.Edit("new piece", "", func(p *plan.Project) (*plan.Project, error) { return p.NewPiece(rack, "Stool"), nil }); err != nil {
		t.Fatal(err)
	}
	stoolID := b.Project().Piece.ID
	b.agrees("made")
	b.Select(session.Selection{Part: 1})
	if err := b.OpenPiece(rackID); err != nil || b.Project().Piece.Name != "Rack" || len(b.Project().Parts) != 1 || b.Selection() != (session.Selection{}) {
		t.Fatalf("opened: %v, %q", err, b.Project().Piece.Name)
	}
	b.agrees("opened the first")
	if err := b.OpenPiece(9999); err == nil || b.Project().Piece.ID != rackID {
		t.Errorf("a piece that is not there was opened: %v", err)
	}
	if err := b.OpenPiece(stoolID); err != nil {
		t.Fatal(err)
	}
	if label, err := b.Undo(); label != "new piece" || err != nil {
		t.Fatalf("undo: %q, %v", label, err)
	}
	b.agrees("its making undone")
	if len(b.Project().Pieces) != 1 || len(b.Project().Parts) != 0 {
		t.Errorf("%d pieces, %d parts", len(b.Project().Pieces), len(b.Project().Parts))
	}
	if err := b.Edit("part", "", func(p *plan.Project) (*plan.Project, error) {
		return p.With(func(q *plan.Project) {
			q.Parts = append(q.Parts, plan.Part{ID: q.Take(), Piece: q.Piece.ID, Name: "Ghost"})
		}), nil
	}); !errors.Is(err, session.ErrNoPiece) {
		t.Errorf("a part of a piece that is not there: %v", err)
	}
	if label, err := b.Redo(); label != "new piece" || err != nil || b.Project().Piece.Name != "Stool" || len(b.Project().Parts) != 1 {
		t.Fatalf("redo: %q, %v, %q", label, err, b.Project().Piece.Name)
	}
	b.agrees("made again")
	if err := b.Edit("drop piece", "", func(p *plan.Project) (*plan.Project, error) { return p.DropPiece(), nil }); err != nil {
		t.Fatal(err)
	}
	b.agrees("dropped")
	if faults, err := b.file.Check(); err != nil || len(faults) > 0 {
		t.Errorf("check after the drop: %v, %v", faults, err)
	}
	if label, err := b.Undo(); label != "drop piece" || err != nil {
		t.Errorf("undo of the drop: %q, %v", label, err)
	}
	if err := b.OpenPiece(stoolID); err != nil || len(b.Project().Parts) != 1 {
		t.Errorf("the dropped piece did not come back: %v", err)
	}
	b.agrees("back")
}

func TestTheNextStartOpensAPieceThatIsThere(t *testing.T) {
	b := newBench(t)
	b.Close()
	b.open(4711)
	if b.Project().Piece.Name != "Rack" {
		t.Errorf("open: %q", b.Project().Piece.Name)
	}
}

func TestAShopFileThatMayNotBeWrittenTakesNoEdits(t *testing.T) {
	b := newBench(t)
	second, err := storage.Open(b.file.Path(), storage.Options{Now: clock})
	if err != nil {
		t.Fatal(err)
	}
	defer second.Close()
	q := newQueue()
	s, err := session.New(second, 0, (&planner{}).tools(), q.post, clock)
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	err = s.Edit("name", "", func(p *plan.Project) (*plan.Project, error) {
		return p.With(func(q *plan.Project) { q.Shop.Name = "x" }), nil
	})
	if !errors.Is(err, storage.ErrReadOnly) || s.Project().Shop.Name == "x" {
		t.Errorf("got %v, name %q", err, s.Project().Shop.Name)
	}
}

// Random runs of edits, undos, redos, records, other pieces and restarts keep the
// file and the session the same.
func TestRandomRunsKeepFileAndSessionEqual(t *testing.T) {
	for seed := range uint64(6) {
		r := rand.New(rand.NewPCG(seed, 9))
		b := newBench(t)
		for step := range 60 {
			var err error
			what := ""
			switch r.IntN(12) {
			case 0, 1, 2, 3, 4:
				what = "edit"
				err = b.Edit("edit", []string{"", "", "a", "b"}[r.IntN(4)], func(p *plan.Project) (*plan.Project, error) { return randomEdit(r, p), nil })
				if errors.Is(err, session.ErrNoPiece) && !b.Project().PieceIsThere() {
					err = nil
				}
			case 5, 6:
				what = "undo"
				_, err = b.Undo()
			case 7:
				what = "redo"
				_, err = b.Redo()
			case 8:
				what = "timer"
				err = b.Record(r.IntN(2) == 0, func(p *plan.Project) (*plan.Project, error) {
					return p.With(func(q *plan.Project) { q.Timer.Seconds++ }), nil
				})
			case 9:
				what = "restart"
				b.restart()
			case 10:
				what = "new piece"
				err = b.Edit("new", "", func(p *plan.Project) (*plan.Project, error) { return p.NewPiece(rack, "Rack"), nil })
			case 11:
				what = "open"
				if n := len(b.Project().Pieces); n > 0 {
					err = b.OpenPiece(b.Project().Pieces[r.IntN(n)].ID)
				}
			}
			// Nothing to undo, or changed from another piece since: both are answers.
			if err != nil && !errors.Is(err, storage.ErrNothing) && !errors.Is(err, plan.ErrConflict) {
				t.Fatalf("seed %d, step %d, %s: %v", seed, step, what, err)
			}
			b.agrees(fmt.Sprintf("seed %d, step %d, %s", seed, step, what))
			b.queue.run(t, func() bool { return true })
		}
		faults, err := b.file.Check()
		if err != nil || len(faults) > 0 {
			t.Fatalf("seed %d: %v, %v", seed, faults, err)
		}
	}
}

func randomEdit(r *rand.Rand, p *plan.Project) *plan.Project {
	return p.With(func(q *plan.Project) {
		switch r.IntN(6) {
		case 0:
			q.Shop.Name = fmt.Sprint("shop ", r.IntN(1000))
		case 1:
			q.Piece.Note = fmt.Sprint("note ", r.IntN(1000)) // the list of pieces is left to the session
		case 2:
			q.Boards = append([]plan.Board{{ID: q.Take(), Mark: fmt.Sprint("N", q.NextID), Length: measure.Foot, Width: measure.Inch, Thickness: measure.Inch, Order: r.IntN(9)}}, q.Boards...)
		case 3:
			if len(q.Boards) > 0 {
				q.Boards = q.Boards[1:]
			}
		case 4:
			q.Parts = append([]plan.Part{{ID: q.Take(), Piece: q.Piece.ID, Name: fmt.Sprint("part ", q.NextID), Length: "5 in", Width: "2 in", Thickness: "1 in", Order: r.IntN(9)}}, q.Parts...)
		case 5:
			q.Log = append(append([]plan.Entry(nil), q.Log...), plan.Entry{ID: q.Take(), Piece: q.Piece.ID, Phase: plan.PhaseMill, Start: noon, Seconds: r.Int64N(1000)})
		}
	})
}
