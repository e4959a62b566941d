package ui

import (
	"errors"
	"io"
	"os"
	"path/filepath"
	"runtime"
	"slices"
	"strings"
	"testing"
)

func TestFileNamesAreFitForEverySystem(t *testing.T) {
	for _, c := range []struct{ name, piece, want string }{
		{"a plain name stays", "Potting table", "Potting table sheet.pdf"},
		{"signs of paths become hyphens", `a/b\c:d`, "a-b-c-d sheet.pdf"},
		{"no way up the folders", "../../etc", "etc sheet.pdf"},
		{"a name of nothing gets a word", " .. ", "piece sheet.pdf"},
		{"line ends go", "a\nb", "a-b sheet.pdf"},
		{"long names are cut between letters", strings.Repeat("ä", 200), strings.Repeat("ä", 80) + " sheet.pdf"},
	} {
		t.Run(c.name, func(t *testing.T) {
			if got := fileName(c.piece, "sheet.pdf"); got != c.want {
				t.Errorf("fileName(%q) = %q, want %q", c.piece, got, c.want)
			}
		})
	}
}

func TestASavedFileIsWholeOrNotThere(t *testing.T) {
	dir := t.TempDir()
	path := filepath.Join(dir, "a.txt")
	write := func(text string, fault error) error {
		return saveFile(path, func(w io.Writer) error {
			if _, err := io.WriteString(w, text); err != nil {
				return err
			}
			return fault
		})
	}
	if err := write("first", nil); err != nil {
		t.Fatal(err)
	}
	fault := errors.New("full")
	if err := write("half of the sec", fault); !errors.Is(err, fault) {
		t.Errorf("a failed writing gives %v", err)
	}
	got, err := os.ReadFile(path)
	if err != nil || string(got) != "first" {
		t.Errorf("after a failed writing the file holds %q, %v", got, err)
	}
	left, err := os.ReadDir(dir)
	if err != nil || len(left) != 1 {
		t.Errorf("files left behind: %v, %v", left, err)
	}
	if err := saveFile(filepath.Join(dir, "none", "a"), func(io.Writer) error { return nil }); err == nil {
		t.Error("a folder that is not there gives no error")
	}
}

func TestEverySystemOpensAFileItsOwnWay(t *testing.T) {
	for _, c := range []struct {
		system, program string
		args            []string
	}{
		{"linux", "xdg-open", []string{"a b.pdf"}},
		{"freebsd", "xdg-open", []string{"a b.pdf"}},
		{"darwin", "open", []string{"a b.pdf"}},
		{"windows", "rundll32", []string{"url.dll,FileProtocolHandler", "a b.pdf"}},
	} {
		t.Run(c.system, func(t *testing.T) {
			program, args := viewer(c.system, "a b.pdf")
			if program != c.program || !slices.Equal(args, c.args) {
				t.Errorf("%s %v", program, args)
			}
		})
	}
}

// programs puts a program of that name and script alone on the path.
func programs(t *testing.T, name, script string) {
	t.Helper()
	if runtime.GOOS == "windows" || runtime.GOOS == "darwin" {
		t.Skip("the programs stood in here are those of a Linux desktop")
	}
	dir := t.TempDir()
	if name != "" {
		if err := os.WriteFile(filepath.Join(dir, name), []byte("#!/bin/sh\n"+script+"\n"), 0o700); err != nil {
			t.Fatal(err)
		}
	}
	t.Setenv("PATH", dir)
}

func TestOpeningTellsWhereThereIsNoViewer(t *testing.T) {
	t.Run("no program at all", func(t *testing.T) {
		programs(t, "", "")
		if err := openFile("a.pdf"); !errors.Is(err, errNoViewer) {
			t.Errorf("got %v", err)
		}
	})
	t.Run("one that gives up at once, as xdg-open without a desktop (exit 3)", func(t *testing.T) {
		programs(t, "xdg-open", "exit 3")
		if err := openFile("a.pdf"); !errors.Is(err, errNoViewer) {
			t.Errorf("got %v", err)
		}
	})
	t.Run("one that opens it", func(t *testing.T) {
		programs(t, "xdg-open", `[ "$1" = "a b.pdf" ]`)
		if err := openFile("a b.pdf"); err != nil {
			t.Errorf("got %v", err)
		}
	})
	t.Run("one that stays open", func(t *testing.T) {
		programs(t, "xdg-open", "exec /bin/sleep 3")
		if err := openFile("a.pdf"); err != nil {
			t.Errorf("got %v", err)
		}
	})
}

func TestPrintingPassesOnWhatThePrinterSays(t *testing.T) {
	programs(t, "lp", `[ "$2" = "-x.pdf" ] && exit 0; echo "lp: no default destination" >&2; exit 1`)
	if printer() == "" {
		t.Fatal("lp is not found")
	}
	if err := printFile("-x.pdf"); err != nil {
		t.Errorf("a file that begins with a hyphen: %v", err)
	}
	if err := printFile("b.pdf"); err == nil || !strings.Contains(err.Error(), "no default destination") {
		t.Errorf("got %v", err)
	}
	programs(t, "", "")
	if printer() != "" {
		t.Error("a printer is found where there is none")
	}
	if err := printFile("a.pdf"); err == nil {
		t.Error("printing without a program gives no error")
	}
}
