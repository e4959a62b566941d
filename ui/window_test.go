package ui

import (
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/test"
	"fyne.io/fyne/v2/widget"

	"pilewright/plan"
	"pilewright/storage"
	"pilewright/ui/control"
	"pilewright/ui/desk"
)

func day() time.Time { return monday }

// shopFile makes a shop file of a project.
func shopFile(t *testing.T, p *plan.Project) string {
	t.Helper()
	path := filepath.Join(t.TempDir(), "shop.pile")
	f, err := storage.Create(path, storage.Options{Now: day})
	if err != nil {
		t.Fatal(err)
	}
	changes, err := plan.Diff(nil, p)
	if err != nil {
		t.Fatal(err)
	}
	if err := f.Commit(storage.Edit{Piece: p.Piece.ID, Label: "begin", Changes: changes}); err != nil {
		t.Fatal(err)
	}
	if err := f.Close(); err != nil {
		t.Fatal(err)
	}
	return path
}

// windowOn opens a window on a shop file; settle waits for the planning.
func windowOn(t *testing.T, path string) (w *window, settle func()) {
	t.Helper()
	file, err := storage.Open(path, storage.Options{Now: day})
	if err != nil {
		t.Fatal(err)
	}
	posted := make(chan func(), 1000)
	w, err = newWindow(test.NewTempApp(t), file, Deps{Demo: func() error { return nil }, Tools: plainTools, Now: day, Starts: []plan.Start{{ID: "slab", Name: "Slab", Parts: oneBoard().Parts}}}, func(f func()) { posted <- f })
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		w.session.Close()
		if err := file.Close(); err != nil {
			t.Error(err)
		}
	})
	settle = func() {
		t.Helper()
		for {
			if busy, _ := w.session.Busy(); !busy {
				return
			}
			select {
			case f := <-posted:
				f()
			case <-time.After(30 * time.Second):
				t.Fatal("the planning never came to an end")
			}
		}
	}
	settle()
	return w, settle
}

func TestANewShopIsToldWhatToDoFirst(t *testing.T) {
	w, settle := windowOn(t, shopFile(t, &plan.Project{Shop: plan.DefaultShop()}))
	if !w.first.content.Visible() {
		t.Fatal("an empty shop is not told what to do first")
	}
	next := func() int {
		return slices.IndexFunc(w.first.steps[:], func(b *widget.Button) bool { return b.Importance == widget.HighImportance })
	}
	if next() != 0 {
		t.Errorf("step %d stands out first", next()+1)
	}
	if err := w.session.Edit("add a board", "", func(p *plan.Project) (*plan.Project, error) { return p.AddBoards(oneBoard().Boards[0], 1) }); err != nil {
		t.Fatal(err)
	}
	settle()
	if next() != 1 || w.first.steps[0].Icon == nil {
		t.Errorf("with boards in the pile step %d stands out and step 1 is ticked: %v", next()+1, w.first.steps[0].Icon != nil)
	}
	if err := w.session.Edit("new piece", "", func(p *plan.Project) (*plan.Project, error) { return p.NewPiece(w.starts()[0], "Slab"), nil }); err != nil {
		t.Fatal(err)
	}
	settle()
	w.first.steps[2].OnTapped()
	if w.rooms[w.shown].ID() != desk.Cuts || w.first.content.Visible() || w.Recall("first") != "done" {
		t.Errorf("after the third step the room is %s and the strip is shown: %v", w.rooms[w.shown].ID(), w.first.content.Visible())
	}
}

func TestAShopUnderWayIsNotToldWhatToDoFirst(t *testing.T) {
	p := oneBoard()
	p.Pieces = []plan.Piece{p.Piece}
	w, _ := windowOn(t, shopFile(t, p))
	if w.first.content.Visible() {
		t.Error("a shop with boards and a piece is told how to begin")
	}
}

func TestASecondWindowOnAFileReadsOnlyAndSaysWhy(t *testing.T) {
	path := shopFile(t, oneBoard())
	one, _ := windowOn(t, path)
	two, _ := windowOn(t, path)
	if text := two.fault.Text(); !strings.Contains(text, "another Pilewright window has it open") {
		t.Errorf("the second window says %q", text)
	}
	err := two.session.Edit("rename", "", func(p *plan.Project) (*plan.Project, error) {
		return p.With(func(q *plan.Project) { q.Piece.Name = "Other" }), nil
	})
	if err == nil {
		t.Error("the second window may write")
	}
	if text := one.fault.Text(); text != "" {
		t.Errorf("the first window says %q", text)
	}
}

func TestTheMenuNamesWhatUndoTakesBack(t *testing.T) {
	w, settle := windowOn(t, shopFile(t, oneBoard()))
	undo := func() *fyne.MenuItem { return w.win.MainMenu().Items[1].Items[0] }
	if err := w.session.Edit("widen the board", "", func(p *plan.Project) (*plan.Project, error) {
		return p.With(func(q *plan.Project) {
			q.Parts = slices.Clone(p.Parts)
			q.Parts[0].Width = "9 in"
		}), nil
	}); err != nil {
		t.Fatal(err)
	}
	settle()
	if got := undo().Label; got != "Undo widen the board" {
		t.Fatalf("the menu says %q", got)
	}
	undo().Action()
	settle()
	if got := w.session.Project().Parts[0].Width; got != "8 in" {
		t.Errorf("after undo the width is %q", got)
	}
	if got := w.status.Message(); got != "Taken back: widen the board." {
		t.Errorf("the status line says %q", got)
	}
	if got := w.win.MainMenu().Items[1].Items[1].Label; got != "Redo widen the board" {
		t.Errorf("the menu says %q", got)
	}
}

func TestTheCommandListHoldsEveryRoomsCommands(t *testing.T) {
	w, _ := windowOn(t, shopFile(t, oneBoard()))
	w.enter(w.roomIndex(desk.Pile))
	w.showCommands()
	entry, ok := w.win.Canvas().Focused().(interface{ SetText(string) })
	if !ok {
		t.Fatalf("the list does not take the keyboard: %T", w.win.Canvas().Focused())
	}
	entry.SetText("table: measures")
	w.win.Canvas().Focused().TypedKey(&fyne.KeyEvent{Name: fyne.KeyReturn})
	if w.rooms[w.shown].ID() != desk.Piece {
		t.Errorf("the room is %s", w.rooms[w.shown].ID())
	}
	if g, ok := w.win.Canvas().Focused().(*control.Grid); !ok || g.Columns[0].Title != "Measure" {
		t.Errorf("the keyboard is in %T, not in the table of measures", w.win.Canvas().Focused())
	}
}

func TestHowTheWindowWasLeftIsRemembered(t *testing.T) {
	path := shopFile(t, oneBoard())
	file, err := storage.Open(path, storage.Options{Now: day})
	if err != nil {
		t.Fatal(err)
	}
	w, err := newWindow(test.NewTempApp(t), file, Deps{Tools: plainTools, Now: day}, func(func()) {})
	if err != nil {
		t.Fatal(err)
	}
	w.enter(w.roomIndex(desk.Cuts))
	w.win.Resize(fyne.NewSize(1111, 777))
	w.close()
	if err := file.Close(); err != nil {
		t.Fatal(err)
	}
	again, _ := windowOn(t, path)
	if got := again.rooms[again.shown].ID(); got != desk.Cuts {
		t.Errorf("the window opens in %s", got)
	}
	if got := again.Recall("width") + "x" + again.Recall("height"); got != "1111x777" {
		t.Errorf("its size is kept as %s", got)
	}
}

func TestEveryFigureOfTheSidebarExplainsItself(t *testing.T) {
	w, _ := windowOn(t, shopFile(t, oneBoard()))
	for _, f := range w.side.lines(w.session.Plan()) {
		if !f.Head && w.side.whys[f.ID] == "" {
			t.Errorf("%s (%s) does not say where it comes from", f.Label, f.Value)
		}
	}
	for i, f := range w.side.listed {
		if !strings.Contains(w.side.whys[findingID(i)], f.Text) {
			t.Errorf("finding %q does not explain itself", f.Text)
		}
	}
}

func TestEveryTableIsReachedByACommand(t *testing.T) {
	w, settle := windowOn(t, shopFile(t, oneBoard()))
	settle()
	for room, names := range map[string][]string{
		desk.Pile: {"Show the boards of the pile", "Show the lots"}, desk.Piece: {"Table: parts", "Table: joints", "Table: measures", "Table: places"},
		desk.Cuts: {"Show the boards that are cut", "Show the order of cuts", "Show aims and proof", "Show locks"}, desk.GlueUps: {"Show the glue-ups", "Show the rows of the glue-up", "Show the ways to make each part", "Show locked strips"},
		desk.Bench: {"Show the steps", "Show the calendar", "Show the shop's hours"}, desk.Ledger: {"Ledger: Time", "Ledger: Phases", "Ledger: Costs", "Ledger: Expenses", "Ledger: Price", "Ledger: Compare"},
	} {
		w.enter(w.roomIndex(room))
		seen := map[fyne.Focusable]bool{}
		for _, name := range names {
			i := slices.IndexFunc(w.rooms[w.shown].Commands(), func(c desk.Command) bool { return c.Name == name })
			if i < 0 {
				t.Errorf("%s has no command %q", room, name)
				continue
			}
			w.win.Canvas().Unfocus()
			w.rooms[w.shown].Commands()[i].Run()
			grid, ok := w.win.Canvas().Focused().(*control.Grid)
			if !ok || seen[grid] {
				t.Errorf("%q puts the keyboard into %T", name, w.win.Canvas().Focused())
				continue
			}
			seen[grid] = true
		}
	}
}
