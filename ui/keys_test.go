package ui

import (
	"testing"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/dialog"
	"fyne.io/fyne/v2/driver/desktop"
	"fyne.io/fyne/v2/test"
	"fyne.io/fyne/v2/widget"

	"pilewright/plan"
	"pilewright/ui/control"
	"pilewright/ui/desk"
	"pilewright/ui/paint"
)

// dialogs are those the window opens, and one of each make of the toolkit's.
func dialogs(w *window) map[string]func() {
	return map[string]func(){
		"the shop": w.showShop, "this piece": w.showPiece, "shortcuts": w.showShortcuts, "about": w.about, "new piece": w.newPiece,
		"build sheet": w.buildSheet, "a copy of the shop file": w.copyShop, "starting point": w.saveStart,
		"a question with words of its own": func() {
			dialog.ShowCustomConfirm("Split the step", "Split", "Leave it whole", widget.NewEntry(), nil, w.win)
		},
		"yes or no": func() { dialog.ShowConfirm("Sure?", "", func(bool) {}, w.win) },
		"a file to open": func() {
			dialog.ShowFileOpen(func(fyne.URIReadCloser, error) {}, w.win)
		},
	}
}

func TestEscapeClosesEveryDialog(t *testing.T) {
	w, _ := windowOn(t, shopFile(t, oneBoard()))
	overlays := w.win.Canvas().Overlays()
	for name, open := range dialogs(w) {
		open()
		if overlays.Top() == nil {
			t.Errorf("%s: nothing opens", name)
			continue
		}
		if !w.escape() || overlays.Top() != nil {
			t.Errorf("%s: Escape leaves it open", name)
			for overlays.Top() != nil {
				overlays.Remove(overlays.Top())
			}
		}
	}
	if w.escape() {
		t.Error("Escape closes something where no dialog is open")
	}
}

func TestEscapeDeclinesADialogWithAQuestion(t *testing.T) {
	w, _ := windowOn(t, shopFile(t, oneBoard()))
	answers := 0
	dialog.ShowCustomConfirm("Split the step", "Split", "Leave it whole", widget.NewEntry(), func(ok bool) {
		answers++
		if ok {
			t.Error("Escape agrees")
		}
	}, w.win)
	w.escape()
	if answers != 1 {
		t.Errorf("answered %d times", answers)
	}
}

func TestEscapeGivesUpWhatIsTypedInADialogBeforeTheDialog(t *testing.T) {
	w, _ := windowOn(t, shopFile(t, oneBoard()))
	f := control.NewField(func(string) error { return nil })
	dialog.ShowCustom("Prices", "Close", f, w.win)
	w.win.Canvas().Focus(f)
	test.Type(f, "12")
	if w.escape() {
		t.Fatal("a field with a text not taken loses its dialog")
	}
	f.TypedKey(&fyne.KeyEvent{Name: fyne.KeyEscape})
	if f.Text != "" || !w.escape() {
		t.Errorf("the field holds %q after Escape, and a second one does not close the dialog", f.Text)
	}
}

// byMenu does what a shortcut of the menu does.
func byMenu(w *window, s fyne.Shortcut) {
	for _, m := range w.win.MainMenu().Items {
		for _, i := range m.Items {
			if i.Shortcut != nil && i.Shortcut.ShortcutName() == s.ShortcutName() {
				i.Action()
				return
			}
		}
	}
}

func TestKeysDoNothingBehindADialog(t *testing.T) {
	w, settle := windowOn(t, shopFile(t, oneBoard()))
	w.enter(w.roomIndex(desk.Pile))
	shortcut := func(s fyne.Shortcut) { byMenu(w, s) }
	entry := widget.NewEntry()
	dialog.ShowCustom("Name", "Close", entry, w.win)
	w.win.Canvas().Focus(entry)
	top := w.win.Canvas().Overlays().Top()
	shortcut(ctrl(fyne.Key3))
	w.win.Canvas().(fyne.Shortcutable).TypedShortcut(ctrl(fyne.Key3))
	shortcut(ctrl(fyne.KeyN))
	shortcut(ctrl(fyne.KeyK))
	if got := w.rooms[w.shown].ID(); got != desk.Pile || w.win.Canvas().Overlays().Top() != top {
		t.Errorf("the room behind is %s, another dialog lies over it: %v", got, w.win.Canvas().Overlays().Top() != top)
	}
	test.Type(entry, "a")
	shortcut(&fyne.ShortcutUndo{})
	settle()
	if entry.Text != "" {
		t.Errorf("undo leaves %q in the entry of the dialog", entry.Text)
	}
	w.escape()
	shortcut(ctrl(fyne.Key3))
	if got := w.rooms[w.shown].ID(); got != desk.Cuts {
		t.Errorf("with the dialog closed the room is %s, want the third", got)
	}
}

func TestTheDrawingsButtonsAreInTheCommandListInTheSameWords(t *testing.T) {
	w, settle := windowOn(t, shopFile(t, oneBoard()))
	w.win.Resize(fyne.NewSize(1280, 800))
	for _, r := range w.rooms {
		w.enter(w.roomIndex(r.ID()))
		settle()
		if len(desk.Deeds(r)) < 3 {
			t.Errorf("%s offers %d deeds for its drawing", r.ID(), len(desk.Deeds(r)))
		}
	}
	w.enter(w.roomIndex(desk.Pile))
	v, _ := w.rooms[w.shown].(desk.Drawer).Drawing()
	choose := func(words string) {
		w.showCommands()
		w.win.Canvas().Focused().(interface{ SetText(string) }).SetText(words)
		w.win.Canvas().Focused().TypedKey(&fyne.KeyEvent{Name: fyne.KeyReturn})
	}
	before := v.Zoom()
	choose("Drawing: zoom in")
	if v.Zoom() <= before {
		t.Errorf("the zoom is %v, it was %v", v.Zoom(), before)
	}
	choose("Drawing: measure a distance")
	if v.CurrentTool() != paint.Measure {
		t.Errorf("the tool is %v", v.CurrentTool())
	}
	said := map[string]bool{}
	for _, o := range test.LaidOutObjects(w.rooms[w.shown].Content()) {
		if b, ok := o.(*control.IconButton); ok {
			b.MouseIn(&desktop.MouseEvent{})
			said[w.status.Message()] = true
		}
	}
	for _, want := range []string{"Drawing: zoom in (key +)", "Drawing: zoom out (key -)", "Drawing: show all of it (key 0)", "Drawing: measure a distance"} {
		if !said[want] {
			t.Errorf("no button says %q; they say %v", want, said)
		}
	}
}

func TestUndoReachesTheTablesOfADialog(t *testing.T) {
	w, settle := windowOn(t, shopFile(t, oneBoard()))
	rename := func(name string) {
		t.Helper()
		if err := w.session.Edit("rename", "", func(p *plan.Project) (*plan.Project, error) {
			return p.With(func(q *plan.Project) { q.Piece.Name = name }), nil
		}); err != nil {
			t.Fatal(err)
		}
		settle()
	}
	before := w.session.Project().Piece.Name
	cell := func(int, int) (string, control.CellState) { return "", control.CellState{} }
	for _, c := range []struct {
		name   string
		commit func(int, int, string) error
		want   string
	}{
		{"a table that is edited", func(int, int, string) error { return nil }, before},
		{"a table to look at", nil, "Other"},
	} {
		rename("Other")
		g := control.NewGrid([]control.Column{{Title: "A", Editable: c.commit != nil}}, func() int { return 1 }, cell)
		g.Commit = c.commit
		dialog.ShowCustom("A table", "Close", g, w.win)
		w.win.Canvas().Focus(g)
		byMenu(w, &fyne.ShortcutUndo{})
		settle()
		if got := w.session.Project().Piece.Name; got != c.want {
			t.Errorf("undo in %s leaves the name %q, want %q", c.name, got, c.want)
		}
		w.escape()
	}
}
