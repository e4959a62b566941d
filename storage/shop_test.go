package storage_test

import (
	"database/sql"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"pilewright/plan"
	"pilewright/plan/measure"
	"pilewright/storage"
)

var noon = time.Date(2026, 3, 2, 12, 0, 0, 0, time.UTC)

func at(t time.Time) storage.Options {
	return storage.Options{Now: func() time.Time { return t }}
}

// newShop makes a shop file with a pile of n boards and one piece, open.
func newShop(t testing.TB, n int) (*storage.File, *plan.Project) {
	t.Helper()
	f, err := storage.Create(filepath.Join(t.TempDir(), "shop.pile"), at(noon))
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { f.Close() })
	p := smallShop(n)
	commit(t, f, "", "", &plan.Project{}, p)
	return f, load(t, f, p.Piece.ID)
}

func smallShop(n int) *plan.Project {
	p := (&plan.Project{Shop: plan.DefaultShop(), NextID: 1}).NewPiece(plan.Start{
		ID: "rack", Name: "Rack", Measures: []plan.Measure{{Name: "height", Text: "30 in"}}, Parts: []plan.Part{{Name: "Leg", Length: "height", Width: "2 in", Thickness: "2 in"}},
	}, "Boot rack")
	for i := range n {
		id := p.Take()
		p.Boards = append(p.Boards, plan.Board{ID: id, Mark: fmt.Sprintf("P%d", i+1), Length: 40 * measure.Inch, Width: 4 * measure.Inch, Thickness: measure.Inch, Species: "pine", Order: i})
	}
	return p.Settled()
}

func load(t testing.TB, f *storage.File, piece plan.ID) *plan.Project {
	t.Helper()
	p, err := f.Load(piece)
	if err != nil {
		t.Fatal(err)
	}
	return p
}

// commit stores the difference of two states and gives the newer.
func commit(t testing.TB, f *storage.File, label, mergeKey string, before, after *plan.Project) *plan.Project {
	t.Helper()
	changes, err := plan.Diff(before, after)
	if err != nil {
		t.Fatal(err)
	}
	if err := f.Commit(storage.Edit{Piece: after.Piece.ID, Label: label, MergeKey: mergeKey, Changes: changes}); err != nil {
		t.Fatal(err)
	}
	return after
}

func named(p *plan.Project, name string) *plan.Project {
	return p.With(func(q *plan.Project) { q.Shop.Name = name })
}

// dump is everything of a project as text that can be compared.
func dump(t testing.TB, p *plan.Project) string {
	t.Helper()
	all, err := plan.Diff(nil, p)
	if err != nil {
		t.Fatal(err)
	}
	var b strings.Builder
	for _, c := range all {
		fmt.Fprintf(&b, "%s %d %d %s\n", c.Kind, c.ID, c.Piece, c.After)
	}
	return b.String()
}

func reopen(t testing.TB, f *storage.File) *storage.File {
	t.Helper()
	if err := f.Close(); err != nil {
		t.Fatal(err)
	}
	g, err := storage.Open(f.Path(), at(noon))
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { g.Close() })
	return g
}

func sound(t testing.TB, f *storage.File) {
	t.Helper()
	faults, err := f.Check()
	if err != nil || len(faults) > 0 {
		t.Errorf("check: %q, %v", faults, err)
	}
}

func readFile(t testing.TB, path string) []byte {
	t.Helper()
	b, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	return b
}

// files lists a folder's names.
func files(t testing.TB, dir string) string {
	t.Helper()
	entries, err := os.ReadDir(dir)
	if err != nil && !errors.Is(err, os.ErrNotExist) {
		t.Fatal(err)
	}
	var names []string
	for _, e := range entries {
		names = append(names, e.Name())
	}
	return strings.Join(names, " ")
}

// times is how often a long test runs its round: all when PILEWRIGHT_FULL is
// set, a part of the usual under the race detector, which is slow.
func times(usual, all int) int {
	switch {
	case os.Getenv("PILEWRIGHT_FULL") != "":
		return all
	case racing:
		return max(usual/8, 2)
	}
	return usual
}

// rewrite changes a shop file behind the program's back.
func rewrite(t testing.TB, path, query string, args ...any) {
	t.Helper()
	db, err := sql.Open("sqlite3", "file:"+path+"?_foreign_keys=0&_ignore_check_constraints=1")
	if err != nil {
		t.Fatal(err)
	}
	defer db.Close()
	if _, err := db.Exec(query, args...); err != nil {
		t.Fatal(err)
	}
}
