//go:build unix

package storage_test

import (
	"bufio"
	"errors"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"syscall"
	"testing"
	"time"

	"pilewright/plan"
	"pilewright/storage"
)

// On some network shares nothing can be locked; what stands in the lock's place
// here fails the same way.
func TestWhereNothingCanBeLockedTheFileOpensForReading(t *testing.T) {
	t.Parallel()
	for name, put := range map[string]func(lock, elsewhere string) error{
		"a folder in the lock's place": func(lock, _ string) error { return os.Mkdir(lock, 0o700) },
		"a link to another file":       func(lock, elsewhere string) error { return os.Symlink(elsewhere, lock) },
	} {
		t.Run(name, func(t *testing.T) {
			f, p := newShop(t, 1)
			path := f.Path()
			if err := f.Close(); err != nil {
				t.Fatal(err)
			}
			elsewhere := filepath.Join(t.TempDir(), "letter")
			if err := os.WriteFile(elsewhere, []byte("dear aunt"), 0o600); err != nil {
				t.Fatal(err)
			}
			if err := put(path+".lock", elsewhere); err != nil {
				t.Fatal(err)
			}
			body := readFile(t, path)
			g, err := storage.Open(path, at(noon))
			if err != nil {
				t.Fatal(err)
			}
			if ro, why := g.ReadOnly(); !ro || why != "it can't be locked against other windows here" {
				t.Errorf("read-only %v: %q", ro, why)
			}
			if got := load(t, g, p.Piece.ID); len(got.Boards) != 1 {
				t.Errorf("%d boards", len(got.Boards))
			}
			if err := g.Close(); err != nil {
				t.Fatal(err)
			}
			if string(readFile(t, path)) != string(body) || string(readFile(t, elsewhere)) != "dear aunt" {
				t.Error("a file was changed")
			}
		})
	}
}

// On other shares a lock that was taken does not hold: two windows may write. No
// edit goes over another's, each is stored whole or refused, and the file stays
// sound.
func TestWhereLocksDoNotHoldNoEditGoesOverAnother(t *testing.T) {
	t.Parallel()
	f, p := newShop(t, 3)
	path := f.Path()
	if err := os.Remove(path + ".lock"); err != nil { // the lock is lost under its holder
		t.Fatal(err)
	}
	g, err := storage.Open(path, at(noon))
	if err != nil {
		t.Fatal(err)
	}
	defer g.Close()
	if ro, why := g.ReadOnly(); ro {
		t.Fatalf("the second window can't write: %s", why)
	}
	edit := func(f *storage.File, p *plan.Project, change func(*plan.Project)) error {
		changes, err := plan.Diff(p, p.With(change))
		if err != nil {
			t.Fatal(err)
		}
		return f.Commit(storage.Edit{Piece: p.Piece.ID, Label: "edit", Changes: changes})
	}
	note := func(i int, text string) func(*plan.Project) {
		return func(q *plan.Project) {
			q.Boards = append([]plan.Board(nil), q.Boards...)
			q.Boards[i].Note = text
		}
	}
	if err := edit(f, p, note(0, "of the first")); err != nil {
		t.Fatal(err)
	}
	// The second still shows the state before that edit.
	if err := edit(g, p, note(0, "of the second")); !errors.Is(err, plan.ErrConflict) {
		t.Errorf("over the first's edit: %v, want ErrConflict", err)
	}
	if err := edit(g, p, note(1, "of the second")); err != nil {
		t.Errorf("beside the first's edit: %v", err)
	}
	got := load(t, f, p.Piece.ID)
	if got.Boards[0].Note != "of the first" || got.Boards[1].Note != "of the second" {
		t.Errorf("the notes are %q and %q", got.Boards[0].Note, got.Boards[1].Note)
	}
	sound(t, f)
	sound(t, g)
}

// A machine that goes to sleep stops a program anywhere and lets it go on later,
// when the clock has jumped.
func TestSleepStopsNothing(t *testing.T) {
	t.Parallel()
	f, p := newShop(t, 0)
	path := f.Path()
	if err := f.Close(); err != nil {
		t.Fatal(err)
	}
	cmd := role("writer", path)
	out, err := cmd.StdoutPipe()
	if err != nil {
		t.Fatal(err)
	}
	if err := cmd.Start(); err != nil {
		t.Fatal(err)
	}
	lines := bufio.NewScanner(out)
	stored := map[string]int{}
	for range 5 {
		for range 9 {
			if !lines.Scan() {
				t.Fatal("the writer ended by itself")
			}
			note(stored, lines.Text())
		}
		if err := cmd.Process.Signal(syscall.SIGSTOP); err != nil {
			t.Fatal(err)
		}
		time.Sleep(30 * time.Millisecond)
		if g, err := storage.Open(path, storage.Options{}); err == nil {
			if ro, _ := g.ReadOnly(); !ro {
				t.Error("beside a window that sleeps another can write")
			}
			g.Close()
		} else if !errors.Is(err, storage.ErrCutShort) && !errors.Is(err, storage.ErrBusy) { // it sleeps amid an edit
			t.Error(err)
		}
		if err := cmd.Process.Signal(syscall.SIGCONT); err != nil {
			t.Fatal(err)
		}
	}
	for range 3 {
		if !lines.Scan() {
			t.Fatal("after the sleep the writer ended by itself")
		}
		note(stored, lines.Text())
	}
	if err := cmd.Process.Kill(); err != nil {
		t.Fatal(err)
	}
	for lines.Scan() {
		note(stored, lines.Text())
	}
	cmd.Wait()
	g, err := storage.Open(path, storage.Options{})
	if err != nil {
		t.Fatal(err)
	}
	defer g.Close()
	sound(t, g)
	got := load(t, g, p.Piece.ID)
	if n, _ := strconv.Atoi(got.Shop.Name); n < stored["edit"] || int(got.Timer.Seconds) < stored["tick"] {
		t.Errorf("stored %v, the file holds edit %s and tick %d", stored, got.Shop.Name, got.Timer.Seconds)
	}
	if left := files(t, filepath.Dir(path)); strings.Contains(left, ".pilewright-") {
		t.Errorf("left behind: %q", left)
	}
}
