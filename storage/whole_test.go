package storage_test

import (
	"errors"
	"io"
	"os"
	"path/filepath"
	"syscall"
	"testing"
	"time"

	"pilewright/storage"
)

func TestAFileIsWrittenWholeOrNotAtAll(t *testing.T) {
	t.Parallel()
	dir := filepath.Join(t.TempDir(), "a [1]*? folder")
	if err := os.Mkdir(dir, 0o700); err != nil {
		t.Fatal(err)
	}
	path := filepath.Join(dir, "log.csv")
	write := func(text string, fault error) error {
		return storage.WriteWhole(path, 0o640, func(w io.Writer) error {
			_, err := io.WriteString(w, text)
			return errors.Join(err, fault)
		})
	}
	if err := write("first", nil); err != nil {
		t.Fatal(err)
	}
	broken := errors.New("the pen is broken")
	if err := write("second, and half of", broken); !errors.Is(err, broken) {
		t.Errorf("error %v", err)
	}
	if err := write("second, and half of", &os.PathError{Op: "write", Path: "x", Err: syscall.ENOSPC}); !errors.Is(err, storage.ErrFull) {
		t.Errorf("a full disk: %v", err)
	}
	if got := string(readFile(t, path)); got != "first" {
		t.Errorf("the file holds %q", got)
	}
	if info, err := os.Stat(path); err != nil || info.Mode().Perm() != 0o640 {
		t.Errorf("mode %v, %v", info.Mode(), err)
	}
	if got := files(t, dir); got != "log.csv" {
		t.Errorf("left are %q", got)
	}
	if err := storage.WriteWhole(filepath.Join(dir, "none", "x"), 0o600, func(io.Writer) error { return nil }); err == nil {
		t.Error("a folder that is not there takes a file")
	}
	// What a power cut left is swept up a day later; what is being written, and
	// what others wrote, stays.
	for name, age := range map[string]time.Duration{".pilewright-1": 25 * time.Hour, ".pilewright-1-journal": 25 * time.Hour, ".pilewright-2": time.Hour, ".part-3": 99 * time.Hour} {
		if err := os.WriteFile(filepath.Join(dir, name), nil, 0o600); err != nil {
			t.Fatal(err)
		}
		if err := os.Chtimes(filepath.Join(dir, name), time.Now().Add(-age), time.Now().Add(-age)); err != nil {
			t.Fatal(err)
		}
	}
	if err := os.Mkdir(filepath.Join(dir, ".pilewright-folder"), 0o700); err != nil {
		t.Fatal(err)
	}
	if err := write("third", nil); err != nil {
		t.Fatal(err)
	}
	if got, want := files(t, dir), ".part-3 .pilewright-2 .pilewright-folder log.csv"; got != want {
		t.Errorf("left are %q, want %q", got, want)
	}
	f, err := storage.Create(filepath.Join(dir, "shop.pile"), at(noon))
	if err != nil {
		t.Fatal(err)
	}
	f.Close()
	shop := readFile(t, f.Path())
	if err := storage.WriteWhole(f.Path(), 0o600, func(io.Writer) error { return nil }); !errors.Is(err, storage.ErrIsShop) || string(readFile(t, f.Path())) != string(shop) {
		t.Errorf("over a shop file: %v", err)
	}
	if got, want := files(t, dir), ".part-3 .pilewright-2 .pilewright-folder log.csv shop.pile"; got != want {
		t.Errorf("after a shop file was made there are %q, want %q", got, want)
	}
}
