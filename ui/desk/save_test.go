package desk

import (
	"errors"
	"io"
	"os"
	"path/filepath"
	"testing"
)

func TestAFileIsWrittenWholeOrNotAtAll(t *testing.T) {
	dir := t.TempDir()
	path := filepath.Join(dir, "log.csv")
	write := func(text string, fault error) error {
		return WriteFile(path, func(w io.Writer) error {
			_, err := io.WriteString(w, text)
			return errors.Join(err, fault)
		})
	}
	if err := write("first", nil); err != nil {
		t.Fatal(err)
	}
	broken := errors.New("the disk is full")
	if err := write("second, and half of", broken); !errors.Is(err, broken) {
		t.Errorf("error %v", err)
	}
	body, err := os.ReadFile(path)
	if err != nil || string(body) != "first" {
		t.Errorf("the file holds %q, %v", body, err)
	}
	left, err := os.ReadDir(dir)
	if err != nil || len(left) != 1 {
		t.Errorf("%d files are left, %v", len(left), err)
	}
	if err := WriteFile(filepath.Join(dir, "none", "x"), func(io.Writer) error { return nil }); err == nil {
		t.Error("a folder that is not there takes a file")
	}
}
