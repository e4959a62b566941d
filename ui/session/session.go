// Package session holds the open piece of a shop file: its project, its plan,
// the selection and the background planning. It decides when an edit is stored
// and when a plan is shown; it draws nothing and imports no toolkit. Start at
// New, Session.Edit and Session.Watch.
//
// A Session belongs to one goroutine, the screen's. The planner runs on its own
// and comes back through the post function given to New.
package session

import (
	"context"
	"errors"
	"fmt"
	"sync"
	"sync/atomic"
	"time"

	"pilewright/plan"
	"pilewright/plan/words"
	"pilewright/storage"
)

// Change says what to read again. Watchers pull; a Change carries no data.
type Change struct {
	Project   bool // nouns, undo or the open piece
	Plan      bool
	Selection bool
	Busy      bool // planning started, went on or ended
	Piece     bool // another piece was opened
}

// Selection is what is picked, in every room at once.
type Selection struct {
	Board ID
	Part  ID
	Index int // of the part's copy; 0 = the part as a whole
	Joint ID
	Blank string // plan.Blank key
	Step  string // plan.Step key
}

// ID is a noun's number.
type ID = plan.ID

// Session is an open shop file with one piece open in it.
type Session struct {
	file    *storage.File
	tools   plan.Tools
	post    func(func())
	now     func() time.Time
	project *plan.Project
	run     int // of the planner; what an earlier one still sends is dropped

	shown      *plan.Plan // the newest that could be drawn
	shownRun   int
	busy       bool
	phase      string
	failure    string
	findings   []plan.Finding
	cancel     context.CancelCauseFunc
	planners   chan struct{} // a place for each planner that may run at once
	others     func()        // stops the planning of pieces that are not open
	whatIf     func()        // stops the planning of a state that is not stored
	further    int           // how often the maker let the search go on after its end
	keep       *plan.Plan    // shown until a better one is found; nil = none
	stopped    bool          // by the maker
	workers    sync.WaitGroup
	sel        Selection
	watchers   map[int]func(Change)
	nextWatch  int
	undo, redo string
	words      atomic.Pointer[words.Language] // what plans are said in; nil = English
}

// New opens a session on the file with the given piece open (0 = the last one
// made). post runs a function on the session's goroutine, later.
func New(file *storage.File, piece ID, tools plan.Tools, post func(func()), now func() time.Time) (*Session, error) {
	s := &Session{file: file, tools: tools, post: post, now: now, watchers: map[int]func(Change){}, planners: make(chan struct{}, mostPlanners)}
	p, err := file.Load(piece)
	if err != nil {
		return nil, err
	}
	if !p.PieceIsThere() && len(p.Pieces) > 0 {
		if p, err = file.Load(p.Pieces[len(p.Pieces)-1].ID); err != nil {
			return nil, err
		}
	}
	s.project = p
	if err := s.readHistory(); err != nil {
		return nil, err
	}
	s.replan()
	return s, nil
}

// Speak has plans say what they say in another language; nil is English. It is
// called before the first plan is shown.
func (s *Session) Speak(l *words.Language) { s.words.Store(l) }

// said gives a plan in the language spoken.
func (s *Session) said(p *plan.Plan) *plan.Plan {
	if l := s.words.Load(); l != nil && p != nil && p.Words == nil {
		return p.In(l)
	}
	return p
}

// Close stops the planning and waits for it; what it still sends is dropped. The
// file stays open; its owner closes it.
func (s *Session) Close() {
	s.Stop()
	if s.others != nil {
		s.others()
	}
	if s.whatIf != nil {
		s.whatIf()
	}
	s.workers.Wait()
	s.run++
	s.busy, s.phase = false, ""
}

// Project is the state as last stored. It must not be changed in place.
func (s *Session) Project() *plan.Project { return s.project }

// Plan is the newest plan that could be drawn; nil before the first. Its Project
// may be older than Project while planning runs or an entry can't be planned.
func (s *Session) Plan() *plan.Plan { return s.shown }

// Stale reports whether the plan shown is of an older state than Project. A state
// that was recorded without planning it makes no plan stale.
func (s *Session) Stale() bool { return s.shown == nil || s.shownRun != s.run }

// Busy reports whether planning runs, and at what.
func (s *Session) Busy() (bool, string) { return s.busy, s.phase }

// Failure is what kept the newest state from being planned; empty when it was.
func (s *Session) Failure() string { return s.failure }

// Findings are those of the newest state, even where it could not be drawn.
func (s *Session) Findings() []plan.Finding { return s.findings }

// File is the shop file underneath.
func (s *Session) File() *storage.File { return s.file }

// Now is the session's clock.
func (s *Session) Now() time.Time { return s.now() }

// UndoLabel and RedoLabel say what undo and redo would do; empty = nothing.
func (s *Session) UndoLabel() string { return s.undo }

// RedoLabel is what redo would make again; empty = nothing.
func (s *Session) RedoLabel() string { return s.redo }

// Watch calls f after every change until stop is called.
func (s *Session) Watch(f func(Change)) (stop func()) {
	id := s.nextWatch
	s.nextWatch++
	s.watchers[id] = f
	return func() { delete(s.watchers, id) }
}

func (s *Session) notify(c Change) {
	for id := range s.nextWatch {
		if f, ok := s.watchers[id]; ok {
			f(c)
		}
	}
}

// Planning is the phase before the planner names one.
const Planning = "planning"

// ErrUnchanged may be returned by an edit that turns out to change nothing.
var ErrUnchanged = errors.New("nothing was changed")

// Edit stores a new state of the project and plans it. label is what undo will
// say; edits with the same mergeKey, one after the other, are undone together.
// On any error the project stays as it was.
func (s *Session) Edit(label, mergeKey string, edit func(*plan.Project) (*plan.Project, error)) error {
	if label == "" {
		return errors.New("an edit needs a name")
	}
	return s.store(label, mergeKey, edit, true)
}

// Record stores what is not undone step by step: the timer, the log's running
// entry. It plans again only where replan is true.
func (s *Session) Record(replan bool, edit func(*plan.Project) (*plan.Project, error)) error {
	return s.store("", "", edit, replan)
}

// ErrNoPiece says that an edit needs an open piece.
var ErrNoPiece = errors.New("no piece is open; make one or open one first")

func (s *Session) store(label, mergeKey string, edit func(*plan.Project) (*plan.Project, error), replan bool) error {
	next, err := edit(s.project)
	if errors.Is(err, ErrUnchanged) || err == nil && (next == nil || next == s.project) {
		return nil
	}
	if err != nil {
		return err
	}
	next = next.Settled()
	changes, err := plan.Diff(s.project, next)
	if err != nil {
		return err
	}
	if len(changes) == 0 {
		return nil
	}
	for _, c := range changes {
		if c.Kind.PieceOnly() && c.After != nil && !next.PieceIsThere() {
			return ErrNoPiece
		}
	}
	if err := s.file.Commit(storage.Edit{Piece: next.Piece.ID, Label: label, MergeKey: mergeKey, Changes: changes}); err != nil {
		return err
	}
	opened := next.Piece.ID != s.project.Piece.ID
	s.project = next
	return s.changed(opened, replan)
}

// changed tells everybody and plans the new state.
func (s *Session) changed(opened, replan bool) error {
	if opened {
		s.shown, s.sel = nil, Selection{}
	}
	err := s.readHistory()
	if replan || opened {
		s.further, s.keep = 0, nil
		s.replan()
	}
	s.notify(Change{Project: true, Piece: opened, Selection: opened})
	return err
}

func (s *Session) readHistory() (err error) {
	s.undo, s.redo, err = s.file.History(s.project.Piece.ID)
	return err
}

// Undo takes back the last edit of the open piece and says which it was.
func (s *Session) Undo() (string, error) { return s.travel(s.file.Undo) }

// Redo makes the last undone edit again and says which it was.
func (s *Session) Redo() (string, error) { return s.travel(s.file.Redo) }

func (s *Session) travel(step func(plan.ID) (string, []plan.Change, error)) (string, error) {
	label, changes, err := step(s.project.Piece.ID)
	if err != nil {
		return "", err
	}
	next, err := s.project.Apply(changes)
	if err != nil {
		// The file has taken the step; it says what holds now.
		if next, err = s.file.Load(s.project.Piece.ID); err != nil {
			return "", err
		}
	}
	s.project = next
	return label, s.changed(false, true)
}

// OpenPiece opens another piece of the same file.
func (s *Session) OpenPiece(id ID) error {
	p, err := s.file.Load(id)
	if err != nil {
		return err
	}
	if !p.PieceIsThere() {
		return fmt.Errorf("the piece with number %d is not in this shop file", id)
	}
	s.project = p
	return s.changed(true, true)
}

// Selection is what is picked now.
func (s *Session) Selection() Selection { return s.sel }

// Select picks something in every room.
func (s *Session) Select(sel Selection) {
	if sel == s.sel {
		return
	}
	s.sel = sel
	s.notify(Change{Selection: true})
}

// Stop ends the planning with the best plan found so far.
func (s *Session) Stop() {
	if s.cancel != nil {
		s.stopped = s.busy
		s.cancel(nil)
	}
}

// mostPlanners may run at once: the one that plans the present state, and one that
// was told to end and has not yet. However fast edits come, what they hold in
// memory is bounded.
const mostPlanners = 2

var errSuperseded = errors.New("a newer state is planned")

// replan starts planning the present state; a plan of an older state is dropped.
func (s *Session) replan() {
	if s.cancel != nil {
		s.cancel(errSuperseded)
	}
	ctx, cancel := context.WithCancelCause(context.Background())
	s.cancel = cancel
	s.run++
	s.stopped = false
	run, project, tools, path, now := s.run, s.project, s.goingOn(), s.file.Path(), s.now()
	if s.shown != nil && s.shown.Project.Piece.ID == project.Piece.ID {
		tools.Before = s.shown
	}
	s.busy, s.phase = true, Planning
	s.workers.Add(1)
	go func() {
		defer s.workers.Done()
		defer cancel(nil)
		s.planners <- struct{}{}
		defer func() { <-s.planners }()
		if context.Cause(ctx) == errSuperseded {
			return
		}
		p, err := plan.Make(ctx, project, tools, func(better *plan.Plan) {
			better = s.said(better)
			s.post(func() { s.arrived(run, better, nil, nil, false) })
		})
		findings := Reported(path, now, project, p, err)
		p = s.said(p)
		s.post(func() { s.arrived(run, p, findings, err, true) })
	}()
	s.notify(Change{Busy: true})
}

// arrived takes a plan from the planner. findings stand in for the plan's own
// where they are not nil.
func (s *Session) arrived(run int, p *plan.Plan, findings []plan.Finding, err error, last bool) {
	if run != s.run {
		return
	}
	p = s.said(p) // one that was made before Speak
	c := Change{Busy: true}
	if s.keeps(p, last) {
		s.shownRun = run
		if p = nil; last {
			s.busy, s.phase = false, ""
		}
		s.notify(c)
		return
	}
	if p != nil && p.Drawable() {
		s.shown, s.shownRun, c.Plan = p, run, true
	}
	if p != nil {
		s.phase = p.Phase
		s.failure = p.Failure()
		s.findings = p.Findings
		c.Plan = true
	}
	if err != nil {
		s.failure = err.Error()
	}
	if findings != nil {
		s.findings, c.Plan = findings, true
	}
	if last {
		s.busy, s.phase = false, ""
	}
	s.notify(c)
}
