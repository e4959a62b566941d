package storage_test

import (
	"bytes"
	"database/sql"
	"encoding/binary"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	_ "github.com/mattn/go-sqlite3"

	"pilewright/plan"
	"pilewright/storage"
)

func TestANewShopFile(t *testing.T) {
	t.Parallel()
	f, p := newShop(t, 3)
	path := f.Path()
	f = reopen(t, f)
	if diff := cmp.Diff(dump(t, p), dump(t, load(t, f, p.Piece.ID))); diff != "" {
		t.Errorf("read back (-want +got)\n%s", diff)
	}
	sound(t, f)
	if err := f.Close(); err != nil {
		t.Fatal(err)
	}
	info, err := os.Stat(path)
	if err != nil {
		t.Fatal(err)
	}
	if got := info.Mode().Perm(); got != 0o600 {
		t.Errorf("mode %o, want 600: nobody else reads the shop's figures", got)
	}
	// The places of the two numbers are those of sqlite.org/fileformat2.html.
	head := readFile(t, path)[:100]
	if got := binary.BigEndian.Uint32(head[68:]); got != storage.ApplicationID {
		t.Errorf("application id %x", got)
	}
	if got := binary.BigEndian.Uint32(head[60:]); got != 1 {
		t.Errorf("user version %d, want 1", got)
	}
	if got := files(t, filepath.Dir(path)); got != "shop.pile" {
		t.Errorf("after closing the folder holds %q, want the shop file alone", got)
	}
}

func TestFacesAndGrowthRingsAreStoredAndUndone(t *testing.T) {
	t.Parallel()
	f, before := newShop(t, 3)
	p := before.With(func(q *plan.Project) {
		q.Boards = slices.Clone(before.Boards)
		b := &q.Boards[0]
		b.Faces, b.Rings = plan.GoodB, plan.BarkDown
		b.Defects = []plan.Defect{{Kind: plan.Stain, From: 1, To: 9, Side: plan.FaceA}}
		q.Shop.RingHabit = plan.OneWay
		q.Choices = append(slices.Clone(before.Choices),
			plan.Choice{ID: q.Take(), Piece: q.Piece.ID, Kind: plan.RingsMark, Blank: "4/row#1", Board: b.ID, Rings: plan.Upright},
			plan.Choice{ID: q.Take(), Piece: q.Piece.ID, Kind: plan.RowPlace, Blank: "4/row#2", Row: 2, AnyFace: true, Order: 1})
	}).Settled()
	commit(t, f, "mark faces", "", before, p)
	f = reopen(t, f)
	got := load(t, f, p.Piece.ID)
	if diff := cmp.Diff(dump(t, p), dump(t, got)); diff != "" {
		t.Errorf("read back (-want +got)\n%s", diff)
	}
	if b := got.Boards[0]; b.Faces != plan.GoodB || b.Rings != plan.BarkDown || b.Defects[0].Side != plan.FaceA || got.Shop.RingHabit != plan.OneWay || len(got.Choices) < 2 {
		t.Errorf("board %+v, habit %q, choices %+v", b, got.Shop.RingHabit, got.Choices)
	}
	if _, _, err := f.Undo(p.Piece.ID); err != nil {
		t.Fatal(err)
	}
	if diff := cmp.Diff(dump(t, before), dump(t, load(t, f, p.Piece.ID))); diff != "" {
		t.Errorf("undone (-want +got)\n%s", diff)
	}
}

func TestCreateLeavesWhatIsThere(t *testing.T) {
	t.Parallel()
	path := filepath.Join(t.TempDir(), "notes.txt")
	if err := os.WriteFile(path, []byte("remember the hinges"), 0o644); err != nil {
		t.Fatal(err)
	}
	if _, err := storage.Create(path, at(noon)); !errors.Is(err, storage.ErrExists) {
		t.Errorf("got %v, want ErrExists", err)
	}
	if got := string(readFile(t, path)); got != "remember the hinges" {
		t.Errorf("the file became %q", got)
	}
	if got := files(t, filepath.Dir(path)); got != "notes.txt" {
		t.Errorf("the folder holds %q", got)
	}
}

func TestFilesThatAreRefusedStayAsTheyAre(t *testing.T) {
	t.Parallel()
	f, _ := newShop(t, 2)
	if err := f.Close(); err != nil {
		t.Fatal(err)
	}
	shop := readFile(t, f.Path())
	changed := func(at int, with ...byte) []byte {
		b := bytes.Clone(shop)
		copy(b[at:], with)
		return b
	}
	for name, c := range map[string]struct {
		body []byte
		want error
		say  string
	}{
		"an empty file":             {nil, storage.ErrForeign, "not a Pilewright shop file"},
		"a text":                    {[]byte(strings.Repeat("a line of a diary\n", 100)), storage.ErrForeign, "not a Pilewright"},
		"a short text":              {[]byte("x"), storage.ErrForeign, "not a Pilewright"},
		"a database of another":     {foreignDatabase(t), storage.ErrForeign, "not a Pilewright"},
		"a file of a newer version": {changed(60, 0, 0, 0, 2), storage.ErrNewerFile, "newer Pilewright; update the program"},
		"a version far ahead":       {changed(60, 0x7f, 0xff, 0xff, 0xff), storage.ErrNewerFile, "newer"},
		"a version below nothing":   {changed(60, 0xff, 0xff, 0xff, 0xff), storage.ErrForeign, "not a Pilewright"},
		"a form of schema unknown":  {changed(44, 0, 0, 0, 0x77), storage.ErrCorrupt, "damaged"},
		"half a file":               {shop[:len(shop)/2], storage.ErrCorrupt, "damaged"},
		"a file with zeroed pages":  {append(bytes.Clone(shop[:4096]), make([]byte, len(shop)-4096)...), storage.ErrCorrupt, "damaged"},
	} {
		t.Run(name, func(t *testing.T) {
			path := filepath.Join(t.TempDir(), "a.pile")
			if err := os.WriteFile(path, c.body, 0o600); err != nil {
				t.Fatal(err)
			}
			old := time.Date(2020, 1, 1, 0, 0, 0, 0, time.UTC)
			if err := os.Chtimes(path, old, old); err != nil {
				t.Fatal(err)
			}
			for _, opt := range []storage.Options{at(noon), {ReadOnly: true}} {
				got, err := storage.Open(path, opt)
				if !errors.Is(err, c.want) || got != nil {
					t.Fatalf("got %v, %v, want %v", got, err, c.want)
				}
				if !strings.Contains(err.Error(), c.say) || !strings.Contains(err.Error(), path) {
					t.Errorf("the sentence is %q; it must name the file and say %q", err, c.say)
				}
			}
			if !bytes.Equal(readFile(t, path), c.body) {
				t.Error("the file was changed")
			}
			if info, err := os.Stat(path); err != nil || !info.ModTime().Equal(old) {
				t.Errorf("the file was written to at %v", info.ModTime())
			}
			if got := files(t, filepath.Dir(path)); got != "a.pile" {
				t.Errorf("the folder holds %q", got)
			}
		})
	}
	t.Run("a folder", func(t *testing.T) {
		if _, err := storage.Open(t.TempDir(), at(noon)); !errors.Is(err, storage.ErrForeign) {
			t.Errorf("got %v", err)
		}
	})
	t.Run("a name that leads nowhere", func(t *testing.T) {
		if _, err := storage.Open(filepath.Join(t.TempDir(), "none", "a.pile"), at(noon)); !errors.Is(err, storage.ErrMissing) {
			t.Errorf("got %v", err)
		}
	})
}

func foreignDatabase(t *testing.T) []byte {
	path := filepath.Join(t.TempDir(), "other.db")
	db, err := sql.Open("sqlite3", path)
	if err != nil {
		t.Fatal(err)
	}
	if _, err := db.Exec("CREATE TABLE record (kind, id, piece, body); PRAGMA user_version = 1"); err != nil {
		t.Fatal(err)
	}
	if err := db.Close(); err != nil {
		t.Fatal(err)
	}
	return readFile(t, path)
}

func TestNamesWithSignsOfTheirOwn(t *testing.T) {
	t.Parallel()
	for _, name := range []string{"a?mode=memory.pile", "100% oak #2.pile", "né & ‘quoted’ [1]*.pile", "with space.pile"} {
		path := filepath.Join(t.TempDir(), name)
		f, err := storage.Create(path, at(noon))
		if err != nil {
			t.Errorf("%s: %v", name, err)
			continue
		}
		if _, err := f.BackUpDaily(); err != nil {
			t.Errorf("%s: %v", name, err)
		}
		if list, err := storage.Backups(path); err != nil || len(list) != 1 {
			t.Errorf("%s: backups %v, %v", name, list, err)
		}
		f.Close()
		if got, want := files(t, filepath.Dir(path)), name+" "+name+".backups"; got != want {
			t.Errorf("the folder holds %q, want %q", got, want)
		}
	}
}

func TestASecondWindowReadsOnly(t *testing.T) {
	t.Parallel()
	f, p := newShop(t, 2)
	second, err := storage.Open(f.Path(), at(noon))
	if err != nil {
		t.Fatal(err)
	}
	defer second.Close()
	ro, why := second.ReadOnly()
	if !ro || why != "another Pilewright window has it open" {
		t.Errorf("read-only %v: %q", ro, why)
	}
	if diff := cmp.Diff(dump(t, p), dump(t, load(t, second, p.Piece.ID))); diff != "" {
		t.Errorf("it reads (-want +got)\n%s", diff)
	}
	change, err := plan.Diff(p, named(p, "second"))
	if err != nil {
		t.Fatal(err)
	}
	err = second.Commit(storage.Edit{Piece: p.Piece.ID, Label: "name", Changes: change})
	if !errors.Is(err, storage.ErrReadOnly) || !strings.Contains(err.Error(), why) {
		t.Errorf("an edit in it: %v", err)
	}
	if _, _, err := second.Undo(p.Piece.ID); !errors.Is(err, storage.ErrReadOnly) {
		t.Errorf("undo in it: %v", err)
	}
	if err := second.SetSetting("look", "dark"); !errors.Is(err, storage.ErrReadOnly) {
		t.Errorf("a setting in it: %v", err)
	}
	if made, err := second.BackUpDaily(); made || err != nil {
		t.Errorf("a backup in it: %v, %v", made, err)
	}
	commit(t, f, "name", "", p, named(p, "first")) // the first goes on
	if got := load(t, second, p.Piece.ID).Shop.Name; got != "first" {
		t.Errorf("the second window reads %q", got)
	}
	if err := f.Close(); err != nil {
		t.Fatal(err)
	}
	third, err := storage.Open(f.Path(), at(noon))
	if err != nil {
		t.Fatal(err)
	}
	defer third.Close()
	if ro, why := third.ReadOnly(); ro {
		t.Errorf("with the first closed the next window can't write: %s", why)
	}
}

func TestAFileTakenAwayWhileOpen(t *testing.T) {
	t.Parallel()
	for name, harm := range map[string]func(path string) error{
		"removed":              os.Remove,
		"renamed":              func(path string) error { return os.Rename(path, path+".old") },
		"replaced by a backup": func(path string) error { return os.Rename(path+".other", path) },
	} {
		t.Run(name, func(t *testing.T) {
			f, p := newShop(t, 2)
			if err := f.CopyTo(f.Path() + ".other"); err != nil {
				t.Fatal(err)
			}
			p = commit(t, f, "name", "", p, named(p, "Barn"))
			if err := harm(f.Path()); err != nil {
				t.Fatal(err)
			}
			change, err := plan.Diff(p, named(p, "Shed"))
			if err != nil {
				t.Fatal(err)
			}
			if err := f.Commit(storage.Edit{Piece: p.Piece.ID, Label: "name", Changes: change}); !errors.Is(err, storage.ErrReplaced) {
				t.Errorf("an edit: %v, want ErrReplaced", err)
			}
			if _, _, err := f.Undo(p.Piece.ID); !errors.Is(err, storage.ErrReplaced) {
				t.Errorf("undo: %v, want ErrReplaced", err)
			}
			rescued := filepath.Join(t.TempDir(), "rescued.pile")
			if err := f.CopyTo(rescued); err != nil {
				t.Fatalf("what was open can't be saved elsewhere: %v", err)
			}
			g, err := storage.Open(rescued, at(noon))
			if err != nil {
				t.Fatal(err)
			}
			defer g.Close()
			if got := load(t, g, p.Piece.ID).Shop.Name; got != "Barn" {
				t.Errorf("the copy holds %q, want the last edit", got)
			}
		})
	}
}

func TestACopyIsNeverMadeOntoTheShopItself(t *testing.T) {
	t.Parallel()
	f, p := newShop(t, 1)
	if err := f.CopyTo(f.Path()); err == nil {
		t.Error("it was allowed")
	}
	commit(t, f, "name", "", p, named(p, "still here"))
}

func TestBackupsAreDailyVerifiedAndBounded(t *testing.T) {
	t.Parallel()
	f, p := newShop(t, 5)
	path := f.Path()
	day := noon
	open := func() {
		t.Helper()
		if err := f.Close(); err != nil {
			t.Fatal(err)
		}
		var err error
		if f, err = storage.Open(path, at(day)); err != nil {
			t.Fatal(err)
		}
		t.Cleanup(func() { f.Close() })
	}
	for i := range 30 {
		day = noon.AddDate(0, 0, i)
		open()
		p = commit(t, f, "name", "", p, named(p, fmt.Sprintf("day %d", i)))
		if made, err := f.BackUpDaily(); !made || err != nil {
			t.Fatalf("day %d: made %v, %v", i, made, err)
		}
		if made, err := f.BackUpDaily(); made || err != nil {
			t.Fatalf("day %d again: made %v, %v", i, made, err)
		}
	}
	list, err := storage.Backups(path)
	if err != nil || len(list) != 14 {
		t.Fatalf("%d backups, %v, want 14", len(list), err)
	}
	for i, name := range list {
		b, err := storage.Open(name, storage.Options{ReadOnly: true})
		if err != nil {
			t.Fatal(err)
		}
		if got, want := load(t, b, p.Piece.ID).Shop.Name, fmt.Sprintf("day %d", 29-i); got != want {
			t.Errorf("backup %s holds %q, want %q", filepath.Base(name), got, want)
		}
		sound(t, b)
		b.Close()
		if info, err := os.Stat(name); err != nil || info.Mode().Perm() != 0o600 {
			t.Errorf("backup %s: mode %v, %v", name, info.Mode(), err)
		}
	}
	if got := files(t, storage.BackupDir(path)); strings.Contains(got, "part") || strings.Contains(got, "journal") {
		t.Errorf("the backup folder holds %q", got)
	}
	// A clock set back years makes a backup that looks the oldest; it stays.
	day = time.Date(1999, 12, 31, 0, 0, 0, 0, time.UTC)
	open()
	if made, err := f.BackUpDaily(); !made || err != nil {
		t.Fatalf("with the clock set back: made %v, %v", made, err)
	}
	if _, err := os.Stat(filepath.Join(storage.BackupDir(path), "1999-12-31.shop")); err != nil {
		t.Errorf("the backup just made is gone: %v", err)
	}
	if list, err = storage.Backups(path); err != nil || len(list) != 14 {
		t.Errorf("%d backups, %v, want 14", len(list), err)
	}
}

func TestABackupThatCanNotBeMadeIsTold(t *testing.T) {
	t.Parallel()
	f, p := newShop(t, 1)
	if err := os.WriteFile(storage.BackupDir(f.Path()), []byte("in the way"), 0o600); err != nil {
		t.Fatal(err)
	}
	if made, err := f.BackUpDaily(); made || err == nil {
		t.Errorf("made %v, %v", made, err)
	}
	commit(t, f, "name", "", p, named(p, "edits go on"))
}

func TestSettings(t *testing.T) {
	t.Parallel()
	f, _ := newShop(t, 0)
	if v, err := f.Setting("look"); v != "" || err != nil {
		t.Errorf("never stored: %q, %v", v, err)
	}
	for _, v := range []string{"dark", "light", "", "né\x00‘'\"; DROP TABLE record"} {
		if err := f.SetSetting("look", v); err != nil {
			t.Fatal(err)
		}
		f = reopen(t, f)
		if got, err := f.Setting("look"); got != v || err != nil {
			t.Errorf("got %q, %v, want %q", got, err, v)
		}
	}
}
