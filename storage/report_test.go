package storage_test

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"pilewright/storage"
)

func TestReportsLieBesideTheShopForTheirOwnerOnlyAndAreBounded(t *testing.T) {
	t.Parallel()
	dir := t.TempDir()
	shop := filepath.Join(dir, "shop.pile")
	var last string
	for i := range 30 {
		// A clock that is set back now and then.
		at, err := storage.KeepReport(shop, "", []byte(fmt.Sprintf(`{"run":%d}`, i)), noon.Add(time.Duration(i%7)*time.Hour))
		if err != nil {
			t.Fatal(err)
		}
		info, err := os.Stat(at)
		if err != nil || info.Mode().Perm() != 0o600 || filepath.Dir(at) != shop+".reports" {
			t.Fatalf("%s: %v, %v", at, info, err)
		}
		last = at
		time.Sleep(2 * time.Millisecond) // the age of a file is told by its time
	}
	list := strings.Fields(files(t, storage.ReportDir(shop)))
	if len(list) != 10 {
		t.Errorf("%d reports, want 10: %q", len(list), list)
	}
	var all string
	for _, name := range list {
		all += string(readFile(t, filepath.Join(storage.ReportDir(shop), name)))
	}
	for i := range 30 {
		if strings.Contains(all, fmt.Sprintf(`{"run":%d}`, i)) != (i >= 20) {
			t.Errorf("report %d is kept or gone: %s", i, all)
		}
	}
	again, err := storage.KeepReport(shop, "", []byte(`{"run":29}`), noon.AddDate(0, 0, 1))
	if err != nil || again != last || len(strings.Fields(files(t, storage.ReportDir(shop)))) != 10 {
		t.Errorf("the same report once more: %s, want %s, %v", again, last, err)
	}
	if info, err := os.Stat(storage.ReportDir(shop)); err != nil || info.Mode().Perm() != 0o700 {
		t.Errorf("the folder: %v, %v", info.Mode(), err)
	}
}

func TestAReportThatCanNotLieBesideTheShopLiesElsewhere(t *testing.T) {
	t.Parallel()
	dir := t.TempDir()
	shop, spare := filepath.Join(dir, "shop.pile"), filepath.Join(dir, "cache", "reports")
	if err := os.WriteFile(storage.ReportDir(shop), nil, 0o600); err != nil { // in the folder's way
		t.Fatal(err)
	}
	at, err := storage.KeepReport(shop, spare, []byte("{}"), noon)
	if err != nil || filepath.Dir(at) != spare {
		t.Errorf("%s, %v", at, err)
	}
	if at, err := storage.KeepReport(shop, "", []byte("{}"), noon); err == nil {
		t.Errorf("with nowhere to lie it was written at %s", at)
	}
	if at, err := storage.KeepReport(shop, spare, make([]byte, 33<<20), noon); err == nil {
		t.Errorf("33 MB were written at %s", at)
	}
	if _, err := os.Stat(storage.ReportDir(shop)); errors.Is(err, os.ErrNotExist) {
		t.Error("what lay in the way is gone")
	}
}
