package desk_test

import (
	"errors"
	"io"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"fyne.io/fyne/v2/test"
	"fyne.io/fyne/v2/widget"

	"pilewright/storage"
	"pilewright/ui/desk"
	"pilewright/ui/desk/desktest"
)

// choose types a name into the dialog for files, saves, and says yes to writing
// over what is there.
func choose(t *testing.T, d *desktest.Desk, name string) {
	t.Helper()
	for _, o := range test.LaidOutObjects(d.Window().Canvas().Overlays().Top()) {
		if e, ok := o.(*widget.Entry); ok {
			e.SetText(name)
			e.OnSubmitted(name)
			break
		}
	}
	press(d, "Yes")
}

func press(d *desktest.Desk, name string) {
	top := d.Window().Canvas().Overlays().Top()
	if top == nil {
		return
	}
	for _, o := range test.LaidOutObjects(top) {
		if b, ok := o.(*widget.Button); ok && b.Text == name {
			test.Tap(b)
			return
		}
	}
}

func TestChoosingAPlaceLeavesWhatLiesThere(t *testing.T) {
	home := t.TempDir()
	t.Setenv("HOME", home)
	d := desktest.New(t)
	shop := d.Session().File().Path()
	if err := os.Symlink(shop, filepath.Join(home, "shop.pile")); err != nil {
		t.Skip(err)
	}
	if err := os.WriteFile(filepath.Join(home, "log.csv"), []byte("the old log"), 0o600); err != nil {
		t.Fatal(err)
	}
	was, err := os.ReadFile(shop)
	if err != nil {
		t.Fatal(err)
	}
	var chosen string
	desk.AskWhere(d, "x", "", func(path string) { chosen = path })
	choose(t, d, "shop.pile")
	if filepath.Base(chosen) != "shop.pile" {
		t.Fatalf("chosen is %q, failed %v", chosen, d.Failed)
	}
	now, err := os.ReadFile(shop)
	if err != nil || string(now) != string(was) {
		t.Fatalf("the shop file had %d bytes and has %d, %v", len(was), len(now), err)
	}
	if err := d.Session().File().CopyTo(chosen); err == nil {
		t.Error("the shop file was copied onto itself")
	}
	full := errors.New("the disk is full")
	desk.SaveAs(d, "x", func(w io.Writer) error {
		_, err := io.WriteString(w, "half of the n")
		return errors.Join(err, full)
	})
	choose(t, d, "log.csv")
	if body, err := os.ReadFile(filepath.Join(home, "log.csv")); err != nil || string(body) != "the old log" || !errors.Is(d.Failed, full) {
		t.Errorf("after a failed writing the file holds %q, %v; it says %v", body, err, d.Failed)
	}
	desk.SaveAs(d, "x", func(w io.Writer) error { _, err := io.WriteString(w, "a,b\r\n"); return err })
	choose(t, d, "new.csv")
	if body, err := os.ReadFile(filepath.Join(home, "new.csv")); err != nil || string(body) != "a,b\r\n" || d.Failed != nil {
		t.Errorf("written is %q, %v; it says %v", body, err, d.Failed)
	}
	desk.SaveAs(d, "x", func(w io.Writer) error { _, err := io.WriteString(w, "a,b\r\n"); return err })
	choose(t, d, "shop.pile")
	if now, err := os.ReadFile(shop); err != nil || string(now) != string(was) || !errors.Is(d.Failed, storage.ErrIsShop) || !strings.Contains(d.Failed.Error(), "another name") {
		t.Errorf("a table over the shop file: %d bytes, %v; it says %v", len(now), err, d.Failed)
	}
	if d.Window().Canvas().Overlays().Top() != nil {
		t.Error("a dialog is left open")
	}
}
