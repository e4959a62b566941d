package ui

import (
	"bytes"
	"errors"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/test"
	"fyne.io/fyne/v2/widget"

	"pilewright/plan"
	"pilewright/storage"
)

// offers reads the window that says why a shop file does not open: its text, and
// its buttons in their order.
func offers(t *testing.T, o fyne.CanvasObject) (text string, buttons []*widget.Button) {
	t.Helper()
	switch o := o.(type) {
	case *widget.Label:
		return o.Text + "\n", nil
	case *widget.Button:
		return "", []*widget.Button{o}
	case *fyne.Container:
		for _, c := range o.Objects {
			more, b := offers(t, c)
			text, buttons = text+more, append(buttons, b...)
		}
	case *container.Scroll:
		return offers(t, o.Content)
	}
	return text, buttons
}

func TestAFileThatDoesNotOpenIsToldWithTheWaysOut(t *testing.T) {
	for _, c := range []struct {
		name   string
		spoil  func(body []byte) []byte
		say    string
		backup bool // is offered
		copied bool // a copy of what can be read is offered
	}{
		{"a byte of a board changed", func(b []byte) []byte { b[bytes.Index(b, []byte("\"thickness"))+2] = 0x27; return b }, "damaged", true, true},
		{"the first page zeroed", func(b []byte) []byte { clear(b[:4096]); return b }, "not a Pilewright shop file", true, true},
		{"an empty file", func([]byte) []byte { return nil }, "not a Pilewright shop file", true, false},
		{"a file of a newer program", func(b []byte) []byte { b[63] = 99; return b }, "newer Pilewright", false, false},
	} {
		t.Run(c.name, func(t *testing.T) {
			path := shopFile(t, oneBoard())
			f, err := storage.Open(path, storage.Options{Now: day})
			if err != nil {
				t.Fatal(err)
			}
			if _, err := f.BackUpDaily(); err != nil {
				t.Fatal(err)
			}
			if err := f.Close(); err != nil {
				t.Fatal(err)
			}
			body, err := os.ReadFile(path)
			if err != nil {
				t.Fatal(err)
			}
			body = c.spoil(body)
			if err := os.WriteFile(path, body, 0o600); err != nil {
				t.Fatal(err)
			}
			_, fault := storage.Open(path, storage.Options{Now: day})
			if fault == nil {
				t.Fatal("it opens")
			}
			a := test.NewTempApp(t)
			opened, told := "", ""
			open := func(f *storage.File, say string) error {
				opened, told = f.Path(), say
				return f.Close()
			}
			show := func() []*widget.Button {
				showRescue(a, path, fault, Deps{Now: day}, open)
				windows := a.Driver().AllWindows()
				text, buttons := offers(t, windows[len(windows)-1].Content())
				if !strings.Contains(text, c.say) || !strings.Contains(text, path) {
					t.Errorf("it says %q, want the file and %q", text, c.say)
				}
				return buttons
			}
			find := func(start string) *widget.Button {
				for _, b := range show() {
					if strings.HasPrefix(b.Text, start) {
						return b
					}
				}
				return nil
			}
			copied, backup := find("Open a copy"), find("Put the backup of 2026-03-")
			if (backup != nil) != c.backup || (copied != nil) != c.copied {
				t.Fatalf("a backup is offered: %v, a copy: %v", backup != nil, copied != nil)
			}
			if now, err := os.ReadFile(path); err != nil || !bytes.Equal(now, body) {
				t.Errorf("showing the ways out changed the file, %v", err)
			}
			if copied != nil {
				copied.OnTapped()
				if opened == "" || opened == path || !strings.Contains(told, "left as it was") {
					t.Errorf("the copy: opened %q, told %q", opened, told)
				}
				if now, err := os.ReadFile(path); err != nil || !bytes.Equal(now, body) {
					t.Errorf("reading a copy changed the file, %v", err)
				}
			}
			if backup != nil {
				backup.OnTapped()
				if opened != path {
					t.Errorf("the backup: opened %q", opened)
				}
				kept, err := filepath.Glob(path + ".damaged-*")
				if err != nil || len(kept) != 1 {
					t.Fatalf("kept: %q, %v", kept, err)
				}
				if now, err := os.ReadFile(kept[0]); err != nil || !bytes.Equal(now, body) {
					t.Errorf("the damaged file was not kept as it was, %v", err)
				}
			}
		})
	}
}

func TestLossesOfACopyAreToldAndCounted(t *testing.T) {
	test.NewTempApp(t)
	text := lossOf(storage.Salvaged{Records: 7, Lost: []string{"One.", "Two.", "Three.", "Four.", "Five."}})
	for _, want := range []string{"7 things", "One. Two. Three.", "2 more are lost."} {
		if !strings.Contains(text, want) {
			t.Errorf("%q, want %q in it", text, want)
		}
	}
	if !damaged(storage.ErrCorrupt) || damaged(errors.New("any other")) {
		t.Error("what is damage is not told from what is not")
	}
}

// action is the button of the strip that tells of failures; nil where it has none.
func action(t *testing.T, w *window) *widget.Button {
	t.Helper()
	for _, o := range test.WidgetRenderer(w.fault).Objects() {
		_, buttons := offers(t, o)
		for _, b := range buttons {
			if b.Text != "" && b.Visible() {
				return b
			}
		}
	}
	return nil
}

func rename(w *window, name string) error {
	return w.session.Edit("name", "", func(p *plan.Project) (*plan.Project, error) {
		return p.With(func(q *plan.Project) { q.Shop.Name = name }), nil
	})
}

func TestAFileTakenAwayWhileOpenIsToldAndCanBeCopied(t *testing.T) {
	path := shopFile(t, oneBoard())
	w, _ := windowOn(t, path)
	if err := rename(w, "Barn"); err != nil {
		t.Fatal(err)
	}
	if err := os.Remove(path); err != nil {
		t.Fatal(err)
	}
	w.Fail(rename(w, "Shed"))
	if !strings.Contains(w.fault.Text(), "removed or replaced") || w.session.Project().Shop.Name != "Barn" {
		t.Errorf("told %q, the shop is called %q", w.fault.Text(), w.session.Project().Shop.Name)
	}
	if b := action(t, w); b == nil || b.Text != "Copy the shop file…" {
		t.Errorf("offered is %+v", b)
	}
	w.Fail(errors.New("anything else"))
	if b := action(t, w); b != nil {
		t.Errorf("for another failure %q is offered", b.Text)
	}
}

func TestASecondWindowSaysThatItOnlyReads(t *testing.T) {
	path := shopFile(t, oneBoard())
	first, err := storage.Open(path, storage.Options{Now: day})
	if err != nil {
		t.Fatal(err)
	}
	defer first.Close()
	w, _ := windowOn(t, path)
	if !strings.Contains(w.fault.Text(), "reading only") || !strings.Contains(w.fault.Text(), "another Pilewright window") {
		t.Errorf("it says %q", w.fault.Text())
	}
	was := w.session.Project().Shop.Name
	w.Fail(rename(w, "Barn"))
	if !strings.Contains(w.fault.Text(), "may not be written") || w.session.Project().Shop.Name != was {
		t.Errorf("told %q, the shop is called %q", w.fault.Text(), w.session.Project().Shop.Name)
	}
}
