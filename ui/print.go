package ui

import (
	"errors"
	"fmt"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"strings"
	"time"

	"fyne.io/fyne/v2/lang"

	"pilewright/storage"
	"pilewright/ui/locale"
)

// saveFile writes a file whole or not at all, to be read by all. What write itself
// says is wrong comes back as it is.
func saveFile(path string, write func(io.Writer) error) error {
	var own error
	err := storage.WriteWhole(path, 0o644, func(w io.Writer) error { own = write(w); return own })
	if err == nil || own != nil {
		return err
	}
	return locale.Wrap(err, lang.L("save {{.path}}: {{.err}}", locale.With{"path": path, "err": err}))
}

// mostName bounds the length of a file's name made from a piece's.
const mostName = 80

// fileName makes a piece's name fit for a file of any system.
func fileName(piece, rest string) string {
	piece = strings.Map(func(r rune) rune {
		if r < ' ' || r == 0x7f || strings.ContainsRune(`/\:*?"<>|`, r) {
			return '-'
		}
		return r
	}, strings.TrimSpace(piece))
	if runes := []rune(piece); len(runes) > mostName {
		piece = string(runes[:mostName])
	}
	piece = strings.Trim(piece, " .-")
	if piece == "" {
		piece = "piece"
	}
	return piece + " " + rest
}

// printFolder is where a sheet to be printed is put so that the maker finds it
// again: the documents, else the home folder.
func printFolder() (string, error) {
	home, err := os.UserHomeDir()
	if err != nil {
		return "", locale.Wrap(err, lang.L("find a folder for the sheet: {{.err}}", locale.With{"err": err}))
	}
	docs := filepath.Join(home, "Documents")
	if info, err := os.Stat(docs); err == nil && info.IsDir() {
		return docs, nil
	}
	return home, nil
}

// errNoViewer says that the system has no program that shows a PDF.
var errNoViewer = errors.New(locale.Mark("this computer has no program to show a PDF"))

// viewer is the system's own way to open a file.
func viewer(system, path string) (program string, args []string) {
	switch system {
	case "windows":
		return "rundll32", []string{"url.dll,FileProtocolHandler", path}
	case "darwin":
		return "open", []string{path}
	}
	return "xdg-open", []string{path}
}

// viewerWait is how long a viewer may take to fail: one that still runs by then
// has opened the file.
const viewerWait = 1500 * time.Millisecond

// openFile shows a file by the system's own program, to be printed from there.
// errNoViewer where there is none or it fails at once.
func openFile(path string) error {
	program, args := viewer(runtime.GOOS, path)
	c := exec.Command(program, args...)
	if err := c.Start(); err != nil {
		return fmt.Errorf("%w: %v", errNoViewer, err)
	}
	done := make(chan error, 1)
	go func() { done <- c.Wait() }()
	select {
	case err := <-done:
		if err != nil {
			return fmt.Errorf("%w: %s: %v", errNoViewer, program, err)
		}
	case <-time.After(viewerWait):
	}
	return nil
}

// printer is the program that prints a file without asking; empty where there is
// none.
func printer() string {
	path, err := exec.LookPath("lp")
	if err != nil {
		return ""
	}
	return path
}

// printFile sends a file to the default printer. The error carries what the
// printing program said.
func printFile(path string) error {
	program := printer()
	if program == "" {
		return locale.Error("this computer has no printing program (lp)")
	}
	out, err := exec.Command(program, "--", path).CombinedOutput()
	if err != nil {
		said := strings.TrimSpace(string(out))
		if said == "" {
			said = err.Error()
		}
		return locale.Error("the sheet was not printed: {{.said}}", locale.With{"said": said})
	}
	return nil
}
