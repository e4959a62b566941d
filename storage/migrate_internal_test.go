package storage

import (
	"bytes"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"pilewright/plan"
)

var migrationDay = Options{Now: func() time.Time { return time.Date(2026, 3, 2, 12, 0, 0, 0, time.UTC) }}

// withNext gives the program migrations to come until the test ends. Such a test
// must not run beside others.
func withNext(t *testing.T, next ...string) {
	t.Helper()
	was := scripts
	scripts = append(append([]string(nil), was...), next...)
	t.Cleanup(func() { scripts = was })
}

// released gives a copy of the shop file that was written with version 1.
func released(t *testing.T) (path string, body []byte) {
	t.Helper()
	body, err := os.ReadFile(filepath.Join("..", "testdata", "shop", "version1.pile"))
	if err != nil {
		t.Fatal(err)
	}
	path = filepath.Join(t.TempDir(), "shop.pile")
	if err := os.WriteFile(path, body, 0o600); err != nil {
		t.Fatal(err)
	}
	return path, body
}

// contents is everything in an open file, as text.
func contents(t *testing.T, f *File) string {
	t.Helper()
	all, err := f.Load(0)
	if err != nil {
		t.Fatal(err)
	}
	var out strings.Builder
	for _, piece := range append([]plan.Piece{{}}, all.Pieces...) {
		p, err := f.Load(piece.ID)
		if err != nil {
			t.Fatal(err)
		}
		changes, err := plan.Diff(nil, p)
		if err != nil {
			t.Fatal(err)
		}
		for _, c := range changes {
			fmt.Fprintf(&out, "%s %d %d %s\n", c.Kind, c.ID, c.Piece, c.After)
		}
		undo, redo, err := f.History(piece.ID)
		fmt.Fprintf(&out, "undo %q redo %q %v\n", undo, redo, err)
	}
	return out.String()
}

func read(t *testing.T, path string) []byte {
	t.Helper()
	body, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	return body
}

func names(t *testing.T, dir string) []string {
	t.Helper()
	entries, err := os.ReadDir(dir)
	if err != nil && !errors.Is(err, os.ErrNotExist) {
		t.Fatal(err)
	}
	var out []string
	for _, e := range entries {
		out = append(out, e.Name())
	}
	return out
}

const (
	nextTable  = "CREATE TABLE photo (id INTEGER PRIMARY KEY, body BLOB); ALTER TABLE edit ADD COLUMN who TEXT NOT NULL DEFAULT ''"
	afterNext  = "CREATE INDEX photo_body ON photo (body)"
	brokenNext = "CREATE TABLE half (x); INSERT INTO none VALUES (1)"
)

func TestAnOlderFileIsBackedUpAndBroughtToTheNewestVersion(t *testing.T) {
	path, body := released(t)
	f, err := Open(path, migrationDay)
	if err != nil {
		t.Fatal(err)
	}
	want := contents(t, f)
	if err := f.Close(); err != nil {
		t.Fatal(err)
	}
	if !bytes.Equal(read(t, path), body) {
		t.Fatal("opening and closing alone changes the file")
	}
	t.Run("the newer program", func(t *testing.T) {
		was := len(scripts)
		withNext(t, nextTable, afterNext)
		f, err := Open(path, migrationDay)
		if err != nil {
			t.Fatal(err)
		}
		defer f.Close()
		if got := contents(t, f); got != want {
			t.Errorf("the newer file holds\n%s\nwant\n%s", got, want)
		}
		if faults, err := f.Check(); err != nil || len(faults) > 0 {
			t.Errorf("check: %q, %v", faults, err)
		}
		if version, err := sniff(path); err != nil || version != was+2 {
			t.Errorf("version %d, %v", version, err)
		}
		if _, err := f.db.Exec("INSERT INTO photo (body) VALUES (x'00')"); err != nil {
			t.Error(err)
		}
	})
	// The older program again: it refuses the file and can use the backup.
	newer := read(t, path)
	if _, err := Open(path, migrationDay); !errors.Is(err, ErrNewerFile) {
		t.Errorf("the older program: %v, want ErrNewerFile", err)
	}
	if !bytes.Equal(read(t, path), newer) {
		t.Error("refusing it changed the file")
	}
	list, err := Backups(path)
	if err != nil || len(list) != 1 || filepath.Base(list[0]) != fmt.Sprintf("2026-03-02-before-v%d.shop", len(scripts)+2) {
		t.Fatalf("backups %q, %v", list, err)
	}
	if info, err := os.Stat(list[0]); err != nil || info.Mode().Perm() != 0o600 {
		t.Errorf("the backup: %v, %v", info.Mode(), err)
	}
	if _, err := Restore(path, list[0], migrationDay.Now()); err != nil {
		t.Fatal(err)
	}
	if f, err = Open(path, migrationDay); err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	if got := contents(t, f); got != want {
		t.Errorf("the backup holds\n%s\nwant\n%s", got, want)
	}
}

func TestAMigrationThatFailsLeavesTheFileAsItWas(t *testing.T) {
	for name, c := range map[string]struct {
		next    []string
		spoil   func(t *testing.T, path string)
		opt     Options
		want    error
		backups int
	}{
		"a script fails":               {next: []string{brokenNext}, backups: 1},
		"the second of two fails":      {next: []string{nextTable, brokenNext}, backups: 1},
		"it was opened for reading":    {next: []string{nextTable}, opt: Options{ReadOnly: true}, want: ErrReadOnly},
		"the backup can't be made":     {next: []string{nextTable}, spoil: inTheWay},
		"another window has the right": {next: []string{nextTable}, spoil: held, want: ErrReadOnly},
	} {
		t.Run(name, func(t *testing.T) {
			withNext(t, c.next...)
			path, body := released(t)
			if c.spoil != nil {
				c.spoil(t, path)
			}
			if c.opt.Now == nil {
				c.opt.Now = migrationDay.Now
			}
			for range 2 { // a second start makes nothing worse
				f, err := Open(path, c.opt)
				if err == nil {
					f.Close()
					t.Fatal("it opened")
				}
				if c.want != nil && !errors.Is(err, c.want) {
					t.Errorf("got %v, want %v", err, c.want)
				}
				if !bytes.Equal(read(t, path), body) {
					t.Errorf("%v, and the file was changed", err)
				}
			}
			list, err := Backups(path)
			if c.spoil == nil && (err != nil || len(list) != c.backups) {
				t.Errorf("backups %q, %v, want %d", list, err, c.backups)
			}
			for _, b := range list {
				if _, err := inspect(b); err != nil {
					t.Errorf("the backup: %v", err)
				}
			}
			for _, left := range names(t, filepath.Dir(path)) {
				if strings.Contains(left, "journal") || strings.Contains(left, "part") || strings.Contains(left, aside) {
					t.Errorf("left behind: %s", left)
				}
			}
		})
	}
}

func inTheWay(t *testing.T, path string) {
	if err := os.WriteFile(BackupDir(path), []byte("in the way"), 0o600); err != nil {
		t.Fatal(err)
	}
}

func held(t *testing.T, path string) {
	l, err := takeLock(path + ".lock")
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(l.release)
}

// Backups are bounded in their bytes as well as in their number. The files are
// sparse: they are large without taking room.
func TestBackupsAreBoundedInSize(t *testing.T) {
	for _, c := range []struct {
		name string
		mega []int64 // sizes in MB, oldest first; the last is the one just made
		stay int     // of them, counted from the newest
	}{
		{"all small", []int64{1, 1, 1}, 3},
		{"the oldest go beyond 512 MB", []int64{100, 100, 100, 200, 200, 100}, 3},
		{"one that is larger alone stays", []int64{10, 10, 900}, 1},
		{"just at the bound", []int64{1, 256, 256}, 2},
	} {
		t.Run(c.name, func(t *testing.T) {
			path := filepath.Join(t.TempDir(), "shop.pile")
			if err := os.Mkdir(BackupDir(path), 0o700); err != nil {
				t.Fatal(err)
			}
			var fresh string
			for i, size := range c.mega {
				fresh = filepath.Join(BackupDir(path), fmt.Sprintf("2026-03-%02d.shop", i+1))
				if err := os.WriteFile(fresh, nil, 0o600); err != nil {
					t.Fatal(err)
				}
				if err := os.Truncate(fresh, size<<20); err != nil {
					t.Fatal(err)
				}
			}
			if err := prune(path, fresh); err != nil {
				t.Fatal(err)
			}
			list, err := Backups(path)
			if err != nil || len(list) != c.stay || list[0] != fresh {
				t.Errorf("%q stay, %v, want the newest %d", list, err, c.stay)
			}
		})
	}
}

// A copy that is not what was written never counts as a backup.
func TestABackupIsReadAgainBeforeItCounts(t *testing.T) {
	path, body := released(t)
	f, err := Open(path, migrationDay)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	// A figure of a board changes on the disk; SQLite itself can't notice.
	at := bytes.Index(body, []byte("bent"))
	if at < 0 {
		t.Fatal("the file holds no note to change")
	}
	h, err := os.OpenFile(path, os.O_WRONLY, 0)
	if err != nil {
		t.Fatal(err)
	}
	if _, err := h.WriteAt([]byte("BENT"), int64(at)); err != nil {
		t.Fatal(err)
	}
	if err := h.Close(); err != nil {
		t.Fatal(err)
	}
	if made, err := f.BackUpDaily(); made || !errors.Is(err, ErrCorrupt) {
		t.Errorf("made %v, %v, want ErrCorrupt", made, err)
	}
	if left := names(t, BackupDir(path)); len(left) > 0 {
		t.Errorf("left behind: %q", left)
	}
}
