package ui

import (
	"context"
	"errors"
	"image/png"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/test"

	"pilewright/layout/sheet"
	"pilewright/plan"
	"pilewright/plan/measure"
	"pilewright/storage"
)

var monday = time.Date(2026, 3, 2, 12, 0, 0, 0, time.UTC)

// oneBoard is a piece of one part from one board.
func oneBoard() *plan.Project {
	const in = measure.Inch
	return &plan.Project{Shop: plan.DefaultShop(), NextID: 100, Piece: plan.Piece{ID: 1, Name: "Bread / board"},
		Boards: []plan.Board{{ID: 10, Mark: "P1", Length: 30 * in, Width: 10 * in, Thickness: in, Species: "maple", Place: "rack"}},
		Parts: []plan.Part{{ID: 2, Piece: 1, Name: "board", Length: "16 in", Width: "8 in", Thickness: "3/4 in", Way: plan.Solid,
			Copies: []plan.Copy{{X: "0", Y: "0", Z: "0", Along: plan.X, Thick: plan.Z}}}}}
}

// leftEnd cuts the only blank from the left end of the only board.
func leftEnd(_ context.Context, job plan.CutJob, _ func(plan.Cuts)) (plan.Cuts, error) {
	if len(job.Blanks) == 0 || len(job.Boards) == 0 {
		return plan.Cuts{}, nil
	}
	b := job.Blanks[0]
	return plan.Cuts{Boards: []plan.CutBoard{{Board: job.Boards[0].ID, Pieces: []plan.CutPiece{{Blank: b.Key, N: 1, Mark: "A1", Length: b.Length, Width: b.Width}}}}}, nil
}

func plainTools() plan.Tools {
	return plan.Tools{Today: monday, Cut: leftEnd, Check: func(plan.CutJob, plan.Cuts) []string { return nil },
		Compose: func(context.Context, plan.PanelJob) (plan.Panel, error) { return plan.Panel{}, nil }}
}

func breadBoard(t *testing.T) *plan.Plan {
	t.Helper()
	p, err := plan.Make(context.Background(), oneBoard(), plainTools(), nil)
	if err != nil {
		t.Fatal(err)
	}
	return p
}

func quiet(string, int, int) error { return nil }

func TestSheetFiguresAndTablesAreSavedUnderThePiecesName(t *testing.T) {
	p, dir := breadBoard(t), t.TempDir()
	if err := writeSheet(filepath.Join(dir, "s.pdf"), p, sheet.Options{}); err != nil {
		t.Fatal(err)
	}
	if head, err := os.ReadFile(filepath.Join(dir, "s.pdf")); err != nil || !strings.HasPrefix(string(head), "%PDF-") {
		t.Errorf("the sheet is no PDF: %v", err)
	}
	for _, kind := range []string{"svg", "png"} {
		n, err := writeFigures(dir, kind, p, quiet)
		if err != nil || n == 0 {
			t.Fatalf("%s: %d, %v", kind, n, err)
		}
		if _, err := os.Stat(filepath.Join(dir, "Bread - board piece."+kind)); err != nil {
			t.Error(err)
		}
	}
	n, err := writeTables(dir, p, quiet)
	if err != nil || n != len(sheet.Tables()) {
		t.Fatalf("%d tables, %v", n, err)
	}
	if _, err := os.Stat(filepath.Join(dir, "Bread - board parts.csv")); err != nil {
		t.Error(err)
	}
}

func TestWritingEndsWhereTheMakerStopsIt(t *testing.T) {
	p, dir := breadBoard(t), t.TempDir()
	stop := func(string, int, int) error { return errGivenUp }
	if err := writeSheet(filepath.Join(dir, "s.pdf"), p, sheet.Options{Progress: stop}); !errors.Is(err, errGivenUp) {
		t.Errorf("the sheet: %v", err)
	}
	if _, err := writeFigures(dir, "svg", p, stop); !errors.Is(err, errGivenUp) {
		t.Errorf("the drawings: %v", err)
	}
	if left, err := os.ReadDir(dir); err != nil || len(left) > 0 {
		t.Errorf("files left behind: %v, %v", left, err)
	}
}

func TestTheDialogSaysHowFinalThePlanIs(t *testing.T) {
	for _, c := range []struct {
		name        string
		stale, busy bool
		want        string
	}{
		{"a final plan needs no word", false, false, ""},
		{"better cuts may come", false, true, "Better cuts"},
		{"the last edit is being planned", true, true, "not ready yet"},
		{"the last edit can't be planned", true, false, "can't be planned"},
	} {
		t.Run(c.name, func(t *testing.T) {
			got := sheetState(c.stale, c.busy)
			if c.want == "" && got != "" || !strings.Contains(got, c.want) {
				t.Errorf("got %q, want %q in it", got, c.want)
			}
		})
	}
}

// openWindow opens the window on a shop with the bread board; settle runs what
// the planner posts until a plan is shown.
func openWindow(t *testing.T) (w *window, settle func()) {
	t.Helper()
	path := filepath.Join(t.TempDir(), "shop.pile")
	now := func() time.Time { return monday }
	file, err := storage.Create(path, storage.Options{Now: now})
	if err != nil {
		t.Fatal(err)
	}
	p := oneBoard()
	p.Pieces = []plan.Piece{p.Piece}
	changes, err := plan.Diff(nil, p)
	if err != nil {
		t.Fatal(err)
	}
	if err := file.Commit(storage.Edit{Piece: 1, Changes: changes}); err != nil {
		t.Fatal(err)
	}
	posted := make(chan func(), 100)
	w, err = newWindow(test.NewTempApp(t), file, Deps{Tools: plainTools, Now: now}, func(f func()) { posted <- f })
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		w.session.Close()
		if err := file.Close(); err != nil {
			t.Error(err)
		}
	})
	return w, func() {
		for end := time.After(10 * time.Second); ; {
			if busy, _ := w.session.Busy(); !busy && w.session.Plan() != nil {
				return
			}
			select {
			case f := <-posted:
				f()
			case <-end:
				t.Fatal("no plan came")
			}
		}
	}
}

func TestTheSheetDialogOffersPagesPaperAndWaysOut(t *testing.T) {
	w, settle := openWindow(t)
	settle()
	w.win.Resize(fyne.NewSize(1000, 700))
	d := newSheetDialog(w)
	d.show()
	if got := len(d.pages.Selected); got != len(sheet.Pages()) {
		t.Errorf("%d pages are ticked at first, want all %d", got, len(sheet.Pages()))
	}
	d.pages.SetSelected(nil)
	if !d.actions[0].Disabled() {
		t.Error("a sheet of no pages can be saved")
	}
	if last := d.actions[len(d.actions)-1]; last.Disabled() {
		t.Error("tables can't be saved without a page")
	}
	d.pages.SetSelected([]string{"Cuts"})
	d.paper.SetSelected(letterPaper())
	if got := d.options(nil); got.Paper != "letter" || !got.Pages["cuts"] || got.Pages["cover"] || got.Now != "2026-03-02" {
		t.Errorf("the options are %+v", got)
	}
	if shot := os.Getenv("PILEWRIGHT_SHOT"); shot != "" {
		save(t, w.win.Canvas(), shot)
	}
	d.dialog.Hide()
	again := newSheetDialog(w)
	if got := again.options(nil); got.Paper != "letter" || len(got.Pages) != 1 {
		t.Errorf("the next dialog forgot what was chosen: %+v", got)
	}
}

func TestWhatIsWrittenBehindComesBackToTheDialog(t *testing.T) {
	w, settle := openWindow(t)
	settle()
	d := newSheetDialog(w)
	d.show()
	home := t.TempDir()
	t.Setenv("HOME", home)
	t.Setenv("USERPROFILE", home)
	folder, err := printFolder()
	if err != nil || folder != home {
		t.Fatalf("the sheet goes to %s, %v; want the home folder where there are no documents", folder, err)
	}
	done := make(chan struct{})
	path := filepath.Join(folder, "s.pdf")
	p, opt := w.session.Plan(), d.options(nil)
	d.work("Writing", func(tell func(string, int, int) error) error {
		opt.Progress = tell
		return writeSheet(path, p, opt)
	}, func() { close(done) })
	<-done
	if _, err := os.Stat(path); err != nil {
		t.Error(err)
	}
	if d.cancel != nil || d.progress.Visible() || d.actions[0].Disabled() {
		t.Error("the dialog still waits after the sheet was written")
	}
}

// save keeps a picture of the window for a person to look at.
func save(t *testing.T, c fyne.Canvas, path string) {
	t.Helper()
	f, err := os.Create(path)
	if err != nil {
		t.Fatal(err)
	}
	if err := errors.Join(png.Encode(f, c.Capture()), f.Close()); err != nil {
		t.Fatal(err)
	}
}
