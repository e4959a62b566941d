// Package desktest is a desk for the tests of rooms: a window of the toolkit's test
// driver on a shop file of its own, planned by a plain cutter. No program uses it.
package desktest

import (
	"path/filepath"
	"sync"
	"testing"
	"time"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/test"
	"github.com/shopspring/decimal"

	"pilewright/assets"
	"pilewright/layout"
	"pilewright/plan"
	"pilewright/plan/demo"
	"pilewright/plan/plantest"
	"pilewright/storage"
	"pilewright/ui/desk"
	"pilewright/ui/session"
)

// Noon is when a desk begins: a Monday.
var Noon = time.Date(2026, 3, 2, 12, 0, 0, 0, time.UTC)

// Desk is a desk.Desk that keeps what it was told.
type Desk struct {
	t        testing.TB
	s        *session.Session
	win      fyne.Window
	file     *storage.File
	Time     time.Time // what the session's clock shows
	Said     string
	Failed   error
	settings map[string]string
	mu       sync.Mutex
	todo     []func()
}

var _ desk.Desk = (*Desk)(nil)

// New opens the demonstration's shop with a new bench open, and plans it: the
// bench is planned more quickly than the table.
func New(t testing.TB) *Desk {
	t.Helper()
	test.NewTempApp(t)
	d := &Desk{t: t, Time: Noon, settings: map[string]string{}, win: test.NewTempWindow(t, nil)}
	d.win.Resize(fyne.NewSize(1280, 800))
	file, err := storage.Create(filepath.Join(t.TempDir(), "shop.pile"), storage.Options{Now: d.now})
	if err != nil {
		t.Fatal(err)
	}
	d.file = file
	states, err := demo.Projects(start, Noon)
	if err != nil {
		t.Fatal(err)
	}
	seat, err := start("bench")
	if err != nil {
		t.Fatal(err)
	}
	q := states[0].NewPiece(seat, "Garden bench")
	q.Piece.Coats, q.Piece.Price, q.Piece.WishHourly = 1, decimal.NewFromInt(240), decimal.NewFromInt(22)
	var before *plan.Project
	for _, p := range []*plan.Project{states[0], q} {
		changes, err := plan.Diff(before, p)
		if err != nil {
			t.Fatal(err)
		}
		if err := file.Commit(storage.Edit{Piece: p.Piece.ID, Label: "begin", Changes: changes}); err != nil {
			t.Fatal(err)
		}
		before = p
	}
	d.Open(before.Piece.ID)
	t.Cleanup(func() {
		d.s.Close()
		if err := file.Close(); err != nil {
			t.Error(err)
		}
	})
	return d
}

// Open opens a session on a piece, as at the program's start, and plans it.
func (d *Desk) Open(piece plan.ID) {
	d.t.Helper()
	if d.s != nil {
		d.s.Close()
	}
	d.todo = nil
	tools := plan.Tools{Cut: plantest.Cut, Check: plantest.Check, Compose: layout.Compose, Today: Noon}
	s, err := session.New(d.file, piece, tools, d.post, d.now)
	if err != nil {
		d.t.Fatal(err)
	}
	d.s = s
	d.Settle()
}

func start(id string) (plan.Start, error) {
	return plan.OpenStart(assets.Starts, id)
}

func (d *Desk) now() time.Time { return d.Time }

func (d *Desk) post(f func()) {
	d.mu.Lock()
	defer d.mu.Unlock()
	d.todo = append(d.todo, f)
}

// Settle does what was posted until the planning has ended.
func (d *Desk) Settle() {
	d.t.Helper()
	d.Until(func() bool { busy, _ := d.s.Busy(); return !busy })
}

// Until does what is posted until done.
func (d *Desk) Until(done func() bool) {
	d.t.Helper()
	late := time.Now().Add(60 * time.Second)
	for {
		d.mu.Lock()
		todo := d.todo
		d.todo = nil
		d.mu.Unlock()
		for _, f := range todo {
			f()
		}
		if done() {
			return
		}
		if time.Now().After(late) {
			d.t.Fatal("the planning never came to an end")
		}
		time.Sleep(time.Millisecond)
	}
}

// Show puts a room into the window and keeps it up to date.
func (d *Desk) Show(r desk.Room) {
	d.win.SetContent(r.Content())
	d.win.Resize(fyne.NewSize(1280, 800))
	d.t.Cleanup(d.s.Watch(r.Changed))
	r.Changed(session.Change{Project: true, Plan: true, Selection: true, Busy: true, Piece: true})
}

// Session implements desk.Desk.
func (d *Desk) Session() *session.Session { return d.s }

// Window implements desk.Desk.
func (d *Desk) Window() fyne.Window { return d.win }

// Say implements desk.Desk.
func (d *Desk) Say(text string) { d.Said = text }

// Fail implements desk.Desk.
func (d *Desk) Fail(err error) { d.Failed = err }

// Go implements desk.Desk.
func (d *Desk) Go(_ string, sel session.Selection) { d.s.Select(sel) }

// Remember implements desk.Desk.
func (d *Desk) Remember(name, value string) { d.settings[name] = value }

// Recall implements desk.Desk.
func (d *Desk) Recall(name string) string { return d.settings[name] }
