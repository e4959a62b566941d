package storage_test

import (
	"bytes"
	"encoding/binary"
	"errors"
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"github.com/shopspring/decimal"

	"pilewright/plan"
	"pilewright/plan/measure"
	"pilewright/storage"
)

var update = flag.Bool("update", false, "write the golden texts anew; never a shop file of a released version")

// shopData is the folder with a shop file of every released version.
func shopData(t testing.TB) string {
	t.Helper()
	dir, err := os.Getwd()
	if err != nil {
		t.Fatal(err)
	}
	for {
		if _, err := os.Stat(filepath.Join(dir, "go.mod")); err == nil {
			return filepath.Join(dir, "testdata", "shop")
		}
		up := filepath.Dir(dir)
		if up == dir {
			t.Fatal("go.mod is not above the tests")
		}
		dir = up
	}
}

// versionOne is the shop that was written with version 1: two pieces, a pile with
// every field of a board set, a log with a correction, and edits to be undone.
func versionOne() []*plan.Project {
	const in = measure.Inch
	shop := plan.Shop{Name: "Lean-to", Currency: "USD", Inches: true, Denominator: 16, WishHourly: decimal.RequireFromString("22.50"),
		Blades: []plan.Blade{{ID: "rip-1", Name: "24 teeth", Kerf: in / 8, Use: "both"}}, LeftoverMin: 12 * in}
	p := (&plan.Project{Shop: shop, NextID: 1}).With(func(q *plan.Project) {
		q.Lots = []plan.Lot{{ID: q.Take(), Name: "Two pallets", Source: "pallet", Date: "2026-03-01", Minutes: 95, Spent: decimal.RequireFromString("3.50"), Held: 24, Broken: 3}}
		q.Boards = []plan.Board{
			{ID: q.Take(), Lot: 1, Mark: "P1", Length: 38*in + in/2, Width: 3*in + in/2, Thickness: in * 5 / 8, Readings: []measure.Length{in * 5 / 8, in * 21 / 32}, Species: "pine", TrimLeft: in / 2, TrimRight: in / 4,
				Defects: []plan.Defect{{Kind: plan.Split, From: 0, To: 3 * in}, {Kind: plan.NailHole, From: 10 * in, To: 11 * in, AcrossFrom: in, AcrossTo: 2 * in}}, Price: decimal.RequireFromString("0.75"), Place: "rack, left", Note: "a ‘bent’ nail"},
			{ID: q.Take(), Mark: "P2", Length: 1200 * measure.Millimetre, Width: 90 * measure.Millimetre, Thickness: 18 * measure.Millimetre, Species: "spruce", State: plan.Kept, Order: 1},
		}
	}).NewPiece(plan.Start{ID: "stool", Name: "Stool", Measures: []plan.Measure{{Name: "height", Text: "17 1/2 in"}},
		Parts:  []plan.Part{{Name: "Leg", Length: "height - 3/4 in", Width: "1 1/2 in", Thickness: "1 1/2 in", Grade: plan.Show, Role: plan.RoleLeg, Copies: []plan.Copy{{X: "0", Y: "0", Z: "0", Along: plan.Z, Thick: plan.X}}}, {Name: "Seat", Length: "12 in", Width: "12 in", Thickness: "3/4 in", Grade: plan.Show, Role: plan.RoleTop, Way: plan.FlatPanel}},
		Joints: []plan.StartJoint{{A: "Leg", B: "Seat"}}}, "Stool").Settled()
	logged := p.With(func(q *plan.Project) {
		q.Log = []plan.Entry{{ID: q.Take(), Piece: q.Piece.ID, Phase: plan.PhaseMill, Start: noon, Seconds: 1800, Rate: "rip", Quantity: 12.25, ByHand: true,
			Earlier: []plan.EntryEarlier{{Start: noon, Seconds: 2400, At: noon.Add(time.Hour)}}}}
		q.Expenses = []plan.Expense{{ID: q.Take(), Piece: q.Piece.ID, Date: "2026-03-02", Kind: "glue", What: "bottle", Amount: decimal.RequireFromString("7.99"), Share: decimal.RequireFromString("0.3333")}}
		q.Timer = plan.Timer{Piece: q.Piece.ID, Running: true, Since: noon, Seconds: 60}
		q.Piece.Price = decimal.RequireFromString("85.00")
		q.Choices = []plan.Choice{{ID: q.Take(), Piece: q.Piece.ID, Kind: plan.NeverBoard, Board: 3}}
		q.Steps = []plan.StepEdit{{ID: q.Take(), Piece: q.Piece.ID, Key: "own-1", Own: true, Title: "Brand", Minutes: 5}}
		q.Starts = []plan.Start{{Number: q.Take(), ID: "stool", Name: "My stool", Parts: []plan.Part{{Name: "Leg", Length: "1 in", Width: "1 in", Thickness: "1 in"}}}}
	}).Settled()
	second := logged.NewPiece(plan.Start{ID: "shelf", Name: "Shelf", Parts: []plan.Part{{Name: "Side", Length: "20 in", Width: "6 in", Thickness: "3/4 in"}}}, "Shelf").Settled()
	return []*plan.Project{p, logged, second}
}

func TestAShopFileOfVersionOneIsReadWhole(t *testing.T) {
	t.Parallel()
	kept := filepath.Join(shopData(t), "version1.pile")
	if _, err := os.Stat(kept); errors.Is(err, os.ErrNotExist) && *update {
		writeVersionOne(t, kept)
	}
	path := filepath.Join(t.TempDir(), "shop.pile")
	if err := os.WriteFile(path, readFile(t, kept), 0o600); err != nil {
		t.Fatal(err)
	}
	f, err := storage.Open(path, at(noon))
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	sound(t, f)
	var text strings.Builder
	all := load(t, f, 0)
	fmt.Fprintf(&text, "no piece open\n%s", dump(t, all))
	for _, piece := range all.Pieces {
		p := load(t, f, piece.ID)
		fmt.Fprintf(&text, "\n%s open, next number %d\n%s", piece.Name, p.NextID, dump(t, p))
	}
	look, err := f.Setting("look")
	if err != nil {
		t.Fatal(err)
	}
	fmt.Fprintf(&text, "\nlook %q\n", look)
	for _, piece := range all.Pieces {
		for {
			label, _, err := f.Undo(piece.ID)
			if errors.Is(err, storage.ErrNothing) {
				break
			}
			if err != nil {
				t.Fatal(err)
			}
			fmt.Fprintf(&text, "\nundone %q\n%s", label, dump(t, load(t, f, piece.ID)))
		}
	}
	golden := filepath.Join(shopData(t), "version1.txt")
	if *update {
		if err := os.WriteFile(golden, []byte(text.String()), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	if diff := cmp.Diff(string(readFile(t, golden)), text.String()); diff != "" {
		t.Errorf("version 1 reads otherwise than it did (-want +got)\n%s", diff)
	}
}

func writeVersionOne(t *testing.T, path string) {
	f, err := storage.Create(path, at(noon))
	if err != nil {
		t.Fatal(err)
	}
	states := versionOne()
	commit(t, f, "", "", &plan.Project{}, states[0])
	commit(t, f, "note the work", "", states[0], states[1])
	commit(t, f, "new piece", "", states[1], states[2])
	if err := errors.Join(f.SetSetting("look", "dark"), f.Close()); err != nil {
		t.Fatal(err)
	}
}

// A version is released with a shop file of it, kept as it was written.
func TestEveryVersionHasItsShopFile(t *testing.T) {
	t.Parallel()
	for v := 1; v <= storage.Versions(); v++ {
		body, err := os.ReadFile(filepath.Join(shopData(t), fmt.Sprintf("version%d.pile", v)))
		if err != nil {
			t.Errorf("version %d: %v", v, err)
			continue
		}
		if got := binary.BigEndian.Uint32(body[60:]); int(got) != v {
			t.Errorf("version%d.pile is of version %d", v, got)
		}
	}
}

// What version 1 wrote is what the program writes still: the file's states are
// those of versionOne, field for field.
func TestVersionOneHoldsWhatWasEntered(t *testing.T) {
	t.Parallel()
	path := filepath.Join(t.TempDir(), "shop.pile")
	if err := os.WriteFile(path, readFile(t, filepath.Join(shopData(t), "version1.pile")), 0o600); err != nil {
		t.Fatal(err)
	}
	f, err := storage.Open(path, storage.Options{ReadOnly: true})
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	states := versionOne()
	for _, want := range states[1:] {
		got := load(t, f, want.Piece.ID)
		want = want.With(func(q *plan.Project) { q.Pieces, q.Piece = states[2].Pieces, got.Piece })
		changes, err := plan.Diff(want, got)
		if err != nil || len(changes) > 0 {
			t.Errorf("%s differs in %d records, %v: %+v", want.Piece.Name, len(changes), err, changes)
		}
	}
}

func TestAFileOfTheNextVersionIsLeftAlone(t *testing.T) {
	t.Parallel()
	body := readFile(t, filepath.Join(shopData(t), "version1.pile"))
	binary.BigEndian.PutUint32(body[60:], binary.BigEndian.Uint32(body[60:])+1)
	path := filepath.Join(t.TempDir(), "shop.pile")
	if err := os.WriteFile(path, body, 0o600); err != nil {
		t.Fatal(err)
	}
	if _, err := storage.Open(path, at(noon)); !errors.Is(err, storage.ErrNewerFile) {
		t.Errorf("got %v, want ErrNewerFile", err)
	}
	if !bytes.Equal(readFile(t, path), body) || files(t, filepath.Dir(path)) != "shop.pile" {
		t.Error("it was touched")
	}
}
