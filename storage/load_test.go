package storage_test

import (
	"fmt"
	"path/filepath"
	"slices"
	"sync"
	"testing"
	"time"

	"pilewright/plan"
	"pilewright/plan/measure"
	"pilewright/storage"
)

// bigShop is far more than a home shop comes to: 5,000 boards, 200 pieces of 50
// nouns each, one of them with 1,000 copies, and 50,000 log entries, 1,000 edits
// to undo.
var bigShop = sync.OnceValues(func() ([]*plan.Project, error) {
	p := &plan.Project{Shop: plan.DefaultShop(), NextID: 1}
	for i := range 5_000 {
		p.Boards = append(p.Boards, plan.Board{ID: p.Take(), Mark: fmt.Sprint("P", i), Length: 40 * measure.Inch, Width: 4 * measure.Inch, Thickness: measure.Inch, Species: "pine", Order: i,
			Defects: []plan.Defect{{Kind: plan.NailHole, From: measure.Inch, To: 2 * measure.Inch}}})
	}
	for i := range 50_000 {
		p.Log = append(p.Log, plan.Entry{ID: p.Take(), Phase: plan.PhaseSand, Start: noon.Add(time.Duration(i) * time.Hour), Seconds: 900, Rate: "sand", Quantity: 2.5, Note: "both sides"})
	}
	start := plan.Start{ID: "screen", Name: "Screen"}
	for i := range 20 {
		start.Measures = append(start.Measures, plan.Measure{Name: fmt.Sprint("m", i), Text: "10 in"})
		start.Parts = append(start.Parts, plan.Part{Name: fmt.Sprint("slat ", i), Length: "20 in", Width: "2 in", Thickness: "1/2 in", Copies: make([]plan.Copy, 3)})
	}
	states := []*plan.Project{p}
	for i := range 200 {
		if i == 199 {
			start.Parts = slices.Clone(start.Parts)
			start.Parts[0].Copies = make([]plan.Copy, 1000)
		}
		p = p.NewPiece(start, fmt.Sprint("Screen ", i)).Settled()
		states = append(states, p)
	}
	return states, nil
})

func bigFile(b *testing.B) (path string, last *plan.Project) {
	b.Helper()
	states, _ := bigShop()
	path = filepath.Join(b.TempDir(), "shop.pile")
	f, err := storage.Create(path, at(noon))
	if err != nil {
		b.Fatal(err)
	}
	last = &plan.Project{}
	for _, p := range states {
		last = commit(b, f, "new piece", "", last, p)
	}
	for i := range 300 {
		last = commit(b, f, "name", "", last, named(last, fmt.Sprint("shop ", i)))
	}
	if err := f.Close(); err != nil {
		b.Fatal(err)
	}
	b.Logf("%.1f MB", float64(len(readFile(b, path)))/1e6)
	return path, last
}

func BenchmarkOpenAndLoadABigShop(b *testing.B) {
	path, last := bigFile(b)
	for b.Loop() {
		f, err := storage.Open(path, at(noon))
		if err != nil {
			b.Fatal(err)
		}
		if p := load(b, f, last.Piece.ID); len(p.Log) != 50_000 || len(p.Boards) != 5_000 || len(p.Pieces) != 200 {
			b.Fatal("not all of it")
		}
		f.Close()
	}
}

func BenchmarkLogAnEntryInABigShop(b *testing.B) {
	path, p := bigFile(b)
	f, err := storage.Open(path, at(noon))
	if err != nil {
		b.Fatal(err)
	}
	defer f.Close()
	p = load(b, f, p.Piece.ID)
	for b.Loop() {
		next := p.With(func(q *plan.Project) {
			q.Log = append(slices.Clone(q.Log), plan.Entry{ID: q.Take(), Phase: plan.PhaseSand, Start: noon, Seconds: 60})
		}).Settled()
		p = commit(b, f, "log", "", p, next)
	}
}

func BenchmarkCheckABigShop(b *testing.B) {
	path, _ := bigFile(b)
	f, err := storage.Open(path, at(noon))
	if err != nil {
		b.Fatal(err)
	}
	defer f.Close()
	for b.Loop() {
		sound(b, f)
	}
}

func BenchmarkImport5000Boards(b *testing.B) {
	states, _ := bigShop()
	for b.Loop() {
		f, err := storage.Create(filepath.Join(b.TempDir(), "shop.pile"), at(noon))
		if err != nil {
			b.Fatal(err)
		}
		commit(b, f, "import", "", &plan.Project{}, &plan.Project{Boards: states[0].Boards})
		f.Close()
	}
}

// What is read to open a piece does not grow with the pieces beside it.
func TestOpeningAPieceReadsNoOther(t *testing.T) {
	t.Parallel()
	f, p := newShop(t, 2)
	first := p.Piece.ID
	for i := range 3 {
		p = commit(t, f, "new piece", "", p, p.NewPiece(plan.Start{Parts: []plan.Part{{Name: "Leg"}}}, fmt.Sprint("Stool ", i)).Settled())
	}
	if err := f.Close(); err != nil {
		t.Fatal(err)
	}
	// Another piece's part spoiled behind the file's back is not met.
	spoiled := []byte(`{"id":"no number"}`)
	part := p.Parts[0].ID
	rewrite(t, f.Path(), "UPDATE record SET body = ?, sum = ? WHERE kind = 'part' AND id = ?", string(spoiled), storage.Sum("part", part, p.Piece.ID, spoiled), part)
	g, err := storage.Open(f.Path(), at(noon))
	if err != nil {
		t.Fatal(err)
	}
	defer g.Close()
	if got := load(t, g, first); len(got.Parts) != 1 || len(got.Pieces) != 4 {
		t.Errorf("%d parts, %d pieces", len(got.Parts), len(got.Pieces))
	}
	if _, err := g.Load(p.Piece.ID); err == nil {
		t.Error("the spoiled part was read")
	}
	if faults, err := g.Check(); err != nil || len(faults) != 1 {
		t.Errorf("check: %q, %v, want the one spoiled piece named", faults, err)
	}
}
