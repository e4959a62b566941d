package storage

import (
	"os"
	"path/filepath"
	"slices"
	"testing"
	"time"
)

// What a power cut leaves of a backup goes with the next one, in a folder of any
// name.
func TestHalvesOfBackupsAreSweptUp(t *testing.T) {
	path := filepath.Join(t.TempDir(), "a [1]*? shop.pile")
	f, err := Create(path, migrationDay)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	dir := BackupDir(path)
	if err := os.Mkdir(dir, 0o700); err != nil {
		t.Fatal(err)
	}
	for _, name := range []string{"2026-03-01.shop.part", "2026-03-01.shop.part-journal", "letter.part", "2026-02-28.shop"} {
		if err := os.WriteFile(filepath.Join(dir, name), nil, 0o600); err != nil {
			t.Fatal(err)
		}
	}
	if made, err := f.BackUpDaily(); !made || err != nil {
		t.Fatal(made, err)
	}
	if got, want := names(t, dir), []string{"2026-02-28.shop", "2026-03-02.shop", "letter.part"}; !slices.Equal(got, want) {
		t.Errorf("the folder holds %q, want %q", got, want)
	}
}

func TestCopiesOfWrecksThatWereLeftAreSweptUp(t *testing.T) {
	t.Setenv("TMPDIR", t.TempDir())
	now := time.Now()
	for name, age := range map[string]time.Duration{wreckFolder + "old": 25 * time.Hour, wreckFolder + "new": time.Hour, "pilewright-demo-old": 99 * time.Hour} {
		dir := filepath.Join(os.TempDir(), name)
		if err := os.Mkdir(dir, 0o700); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(filepath.Join(dir, "wreck"), nil, 0o600); err != nil {
			t.Fatal(err)
		}
		if err := os.Chtimes(dir, now.Add(-age), now.Add(-age)); err != nil {
			t.Fatal(err)
		}
	}
	path, _ := released(t)
	if _, err := Salvage(path, path+".read"); err != nil {
		t.Fatal(err)
	}
	if got, want := names(t, os.TempDir()), []string{"pilewright-demo-old", wreckFolder + "new"}; !slices.Equal(got, want) {
		t.Errorf("left are %q, want %q", got, want)
	}
	// Where files are kept readable by their owner only, a copy is no exception.
	if info, err := os.Stat(path + ".read"); err != nil || info.Mode().Perm() != 0o600 {
		t.Errorf("the copy: %v, %v", info.Mode(), err)
	}
}
