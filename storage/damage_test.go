package storage_test

import (
	"bytes"
	"encoding/binary"
	"errors"
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"pilewright/plan"
	"pilewright/plan/measure"
	"pilewright/storage"
)

// busyShop is a shop file of some size and history: its bytes, what each piece
// reads as, and every line any state of it ever had.
func busyShop(t testing.TB) (body []byte, now map[plan.ID]string, ever map[string]bool) {
	t.Helper()
	f, p := newShop(t, 150)
	ever = map[string]bool{}
	keep := func(p *plan.Project) *plan.Project {
		for _, line := range strings.Split(dump(t, p), "\n") {
			ever[line] = true
		}
		return p
	}
	keep(p)
	for i := range 12 {
		p = keep(commit(t, f, "edit", "", p, p.With(func(q *plan.Project) {
			q.Boards = append([]plan.Board(nil), q.Boards[i%3:]...) // some go
			for range 10 {
				id := q.Take()
				q.Boards = append(q.Boards, plan.Board{ID: id, Mark: fmt.Sprint("N", id), Length: 40*measure.Inch + measure.Length(id), Width: measure.Inch, Thickness: measure.Inch, Note: strings.Repeat("grey ", i), Order: int(id)})
			}
			q.Log = append([]plan.Entry(nil), q.Log...)
			for range 8 {
				q.Log = append(q.Log, plan.Entry{ID: q.Take(), Phase: plan.PhaseSand, Start: noon, Seconds: int64(i) * 61})
			}
		}).Settled()))
	}
	for i := range 3 {
		start := plan.Start{ID: "shelf", Name: "Shelf", Note: strings.Repeat("long note ", 600)}
		for k := range 20 {
			start.Parts = append(start.Parts, plan.Part{Name: fmt.Sprint("part ", k), Length: "12 in", Width: "2 in", Thickness: "1 in"})
		}
		p = keep(commit(t, f, "new piece", "", p, p.NewPiece(start, fmt.Sprint("Shelf ", i)).With(func(q *plan.Project) {
			start.Number = q.Take()
			q.Starts = append(append([]plan.Start(nil), q.Starts...), start) // larger than a page
		}).Settled()))
	}
	p = keep(commit(t, f, "name", "", p, named(p, "the last edit")))
	// Boards that were added and taken away again leave pages the file lists as free.
	crowd := p.With(func(q *plan.Project) {
		q.Boards = append([]plan.Board(nil), q.Boards...)
		for range 200 {
			id := q.Take()
			q.Boards = append(q.Boards, plan.Board{ID: id, Mark: fmt.Sprint("G", id), Length: measure.Foot, Width: measure.Inch, Thickness: measure.Inch, Order: int(id)})
		}
	})
	commit(t, f, "", "", p, keep(crowd))
	commit(t, f, "", "", crowd, p)
	sound(t, f)
	now = map[plan.ID]string{}
	for _, piece := range p.Pieces {
		now[piece.ID] = dump(t, load(t, f, piece.ID))
	}
	if err := f.Close(); err != nil {
		t.Fatal(err)
	}
	return readFile(t, f.Path()), now, ever
}

// harm spoils a copy of a file in one of the ways disks, cables and programs do;
// now and then it gives a file that never was a shop file.
func harm(r *rand.Rand, sound []byte) (body []byte, how string) {
	b := bytes.Clone(sound)
	const page = 4096
	n := len(b) / page
	spot := func() []byte { k := r.IntN(n); return b[k*page : (k+1)*page] }
	switch r.IntN(11) {
	case 0:
		k := r.IntN(len(b))
		b[k] ^= 1 << r.IntN(8)
		return b, fmt.Sprintf("a bit flipped at %d", k)
	case 1:
		for range 1 + r.IntN(40) {
			b[r.IntN(len(b))] ^= 1 << r.IntN(8)
		}
		return b, "many bits flipped"
	case 2:
		k := r.IntN(100)
		b[k] ^= byte(1 + r.IntN(255))
		return b, fmt.Sprintf("byte %d of the head changed", k)
	case 3:
		k := r.IntN(len(b))
		return b[:k], fmt.Sprintf("cut off at %d", k)
	case 4:
		clear(spot())
		return b, "a page zeroed"
	case 5:
		for s, i := spot(), 0; i < page; i++ {
			s[i] = byte(r.Uint32())
		}
		return b, "a page of noise"
	case 6:
		copy(spot(), spot())
		return b, "a page written to another's place"
	case 7:
		s := spot()
		copy(s[r.IntN(page/512)*512:], make([]byte, 512))
		return b, "a sector zeroed"
	case 8:
		version := r.Uint32() >> r.IntN(32)
		binary.BigEndian.PutUint32(b[60:], version)
		return b, fmt.Sprintf("called version %d", int32(version))
	case 9:
		if r.IntN(4) == 0 {
			return nil, foreign
		}
		other := make([]byte, 1+r.IntN(3*page))
		for i := range other {
			other[i] = byte(r.Uint32())
		}
		if r.IntN(2) == 0 { // it begins as any SQLite file does
			copy(other, b[:16])
		}
		return other, foreign
	default:
		s := spot() // the numbers at a page's head lead everywhere else
		binary.BigEndian.PutUint16(s[1+r.IntN(7):], uint16(r.Uint32()))
		return b, "a page's head changed"
	}
}

// foreign is how a file came about that is empty or noise.
const foreign = "a foreign or empty file"

func TestDamageIsNoticedAndNeverHarms(t *testing.T) {
	t.Parallel()
	runs := times(150, 10_000)
	whole, now, ever := busyShop(t)
	dir := t.TempDir()
	r := rand.New(rand.NewPCG(7, 7))
	refused, harmless, rescued, strange, share, longest := 0, 0, 0, 0, 0.0, time.Duration(0)
	records := map[string]bool{}
	for _, text := range now {
		for _, line := range strings.Split(strings.TrimSpace(text), "\n") {
			records[line] = true
		}
	}
	for run := range runs {
		if end, ok := t.Deadline(); ok && time.Until(end) < 20*time.Second {
			t.Logf("the time given ends after %d of %d files; the whole takes -timeout 60m", run, runs)
			if os.Getenv("PILEWRIGHT_FULL") != "" {
				t.Fail()
			}
			runs = run
			break
		}
		body, how := harm(r, whole)
		if how == foreign {
			strange++
		}
		path := filepath.Join(dir, fmt.Sprintf("%d.pile", run))
		if err := os.WriteFile(path, body, 0o600); err != nil {
			t.Fatal(err)
		}
		began := time.Now()
		err := readAll(path, now)
		longest = max(longest, time.Since(began))
		switch {
		case err == nil:
			harmless++
		case errors.Is(err, storage.ErrCorrupt), errors.Is(err, storage.ErrForeign), errors.Is(err, storage.ErrNewerFile):
			refused++
		default:
			t.Errorf("run %d, %s: %v", run, how, err)
		}
		if err != nil && !bytes.Equal(readFile(t, path), body) {
			t.Errorf("run %d, %s: the damaged file was changed by opening it", run, how)
		}
		if how == foreign && err == nil {
			t.Errorf("run %d: a file that never was a shop file opens", run)
		}
		into := filepath.Join(dir, fmt.Sprintf("%d.salvaged", run))
		report, err := storage.Salvage(path, into)
		if err == nil {
			rescued++
			got := salvaged(t, into, run, how, report, ever)
			kept := 0
			for line := range records {
				if got[line] {
					kept++
				}
			}
			share += float64(kept) / float64(len(records))
		} else if _, there := os.Stat(into); there == nil {
			t.Errorf("run %d, %s: a salvage that failed left a file (%v)", run, how, err)
		}
		if !bytes.Equal(readFile(t, path), body) {
			t.Errorf("run %d, %s: the damaged file was changed by salvaging it", run, how)
		}
		os.Remove(path)
		os.Remove(into)
	}
	if got := files(t, dir); got != "" {
		t.Errorf("left behind: %.200s", got)
	}
	t.Logf("%d files, %d of them foreign or empty: %d refused, %d read as before; %d salvaged with %.1f %% of the nouns as they were; longest reading %v",
		runs, strange, refused, harmless, rescued, 100*share/float64(max(rescued, 1)), longest.Round(time.Millisecond))
	if longest > 20*time.Second {
		t.Errorf("one file took %v", longest)
	}
	if rescued < (runs-strange)*9/10 || share/float64(rescued) < 0.85 {
		t.Errorf("only %d of %d files were salvaged, with %.2f of their nouns on average", rescued, runs, share/float64(max(rescued, 1)))
	}
}

// SQLite keeps no sums: a digit that changed within a body is as sound to it as
// before.
func TestAChangedDigitIsNoticedAtOpening(t *testing.T) {
	t.Parallel()
	f, p := newShop(t, 2)
	if err := f.Close(); err != nil {
		t.Fatal(err)
	}
	rewrite(t, f.Path(), "UPDATE record SET body = replace(body, '101600000', '101600001') WHERE kind = 'board' AND id = ?", p.Boards[1].ID)
	if _, err := storage.Open(f.Path(), at(noon)); !errors.Is(err, storage.ErrCorrupt) || !strings.Contains(err.Error(), fmt.Sprintf("the board with number %d is not as it was written", p.Boards[1].ID)) {
		t.Errorf("got %v, want the board named", err)
	}
}

// A flipped bit of a row's head makes a text of a number, which SQLite takes as it is.
func TestAValueOfAnotherKindIsDamage(t *testing.T) {
	t.Parallel()
	for name, c := range map[string]struct{ query, say string }{
		"a noun's piece":           {"UPDATE record SET piece = 'x'", "damaged"},
		"a noun's number":          {"UPDATE record SET id = 4611686018427387904 WHERE kind = 'piece'", "not as it was written"},
		"a noun's sum":             {"UPDATE record SET sum = ''", "damaged"},
		"the last number":          {"UPDATE setting SET value = '12z' WHERE name = 'last id'", "damaged"},
		"the last number, below 0": {"UPDATE setting SET value = '-12' WHERE name = 'last id'", "no shop has used -12 numbers"},
		"the last number, too far": {"UPDATE setting SET value = '9223372036854775807' WHERE name = 'last id'", "no shop has used 9223372036854775807 numbers"},
	} {
		f, _ := newShop(t, 2)
		if err := f.Close(); err != nil {
			t.Fatal(err)
		}
		rewrite(t, f.Path(), c.query)
		if _, err := storage.Open(f.Path(), at(noon)); !errors.Is(err, storage.ErrCorrupt) || !strings.Contains(err.Error(), c.say) {
			t.Errorf("%s: got %v, want it named as damage with %q", name, err, c.say)
		}
	}
	for name, query := range map[string]string{
		"a remembered noun's piece":  "UPDATE edit_change SET piece = ''",
		"a remembered noun's number": "UPDATE edit_change SET id = 'x'",
		"a remembered noun's sum":    "UPDATE edit_change SET sum = 'x'",
	} {
		f, p := newShop(t, 2)
		commit(t, f, "name", "", p, named(p, "Barn"))
		if err := f.Close(); err != nil {
			t.Fatal(err)
		}
		rewrite(t, f.Path(), query)
		f = reopen(t, f)
		if faults, err := f.Check(); err != nil || len(faults) != 1 || !strings.Contains(faults[0], "A remembered edit can't be read") {
			t.Errorf("%s: check says %q, %v", name, faults, err)
		}
		if _, _, err := f.Undo(p.Piece.ID); !errors.Is(err, storage.ErrCorrupt) {
			t.Errorf("%s: undo says %v, want ErrCorrupt", name, err)
		}
		if got := load(t, f, p.Piece.ID).Shop.Name; got != "Barn" {
			t.Errorf("%s: the shop is called %q", name, got)
		}
	}
}

// What would be refused at the next opening is not stored.
func TestANumberThatNoShopComesToIsNotStored(t *testing.T) {
	t.Parallel()
	f, p := newShop(t, 1)
	changes, err := plan.Diff(p, p.With(func(q *plan.Project) {
		q.Boards = append([]plan.Board{{ID: plan.MaxID, Mark: "far", Length: 1, Width: 1, Thickness: 1}}, q.Boards...)
	}))
	if err != nil {
		t.Fatal(err)
	}
	if err := f.Commit(storage.Edit{Piece: p.Piece.ID, Label: "far", Changes: changes}); !errors.Is(err, storage.ErrCorrupt) {
		t.Errorf("got %v", err)
	}
	f = reopen(t, f)
	sound(t, f)
}

// Rows that no shop writes, with sums as they should be, keep nothing else from
// being salvaged.
func TestHostileRowsAreLeftOutOfTheCopy(t *testing.T) {
	t.Parallel()
	f, p := newShop(t, 5)
	commit(t, f, "name", "", p, named(p, "Barn"))
	if err := f.Close(); err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		kind      plan.Kind
		id, piece plan.ID
	}{{"board", plan.MaxID, 0}, {"board", 1<<63 - 1, 0}, {"part", 900, plan.MaxID}, {"part", 901, -4}, {"part", 902, 0}, {"spell", 903, 0}} {
		body := fmt.Sprintf(`{"id":%d,"piece":%d}`, c.id, c.piece)
		rewrite(t, f.Path(), "INSERT INTO record (kind, id, piece, body, sum) VALUES (?, ?, ?, ?, ?)", c.kind, c.id, c.piece, body, storage.Sum(c.kind, c.id, c.piece, []byte(body)))
	}
	rewrite(t, f.Path(), "UPDATE edit_change SET id = ?", plan.MaxID)
	if _, err := storage.Open(f.Path(), at(noon)); !errors.Is(err, storage.ErrCorrupt) {
		t.Fatalf("it opens: %v", err)
	}
	into := f.Path() + ".salvaged"
	report, err := storage.Salvage(f.Path(), into)
	if err != nil || len(report.Lost) < 6 || report.History {
		t.Fatalf("%+v, %v", report, err)
	}
	g, err := storage.Open(into, at(noon))
	if err != nil {
		t.Fatal(err)
	}
	defer g.Close()
	sound(t, g)
	if got := load(t, g, p.Piece.ID); len(got.Boards) != 5 || got.Shop.Name != "Barn" {
		t.Errorf("%d boards, %q", len(got.Boards), got.Shop.Name)
	}
	got := load(t, g, p.Piece.ID)
	commit(t, g, "name", "", got, named(got, "it can be worked in"))
}

// readAll reads every piece of a file and fails unless all reads as it should.
func readAll(path string, want map[plan.ID]string) error {
	f, err := storage.Open(path, at(noon))
	if err != nil {
		return err
	}
	defer f.Close()
	for id, text := range want {
		p, err := f.Load(id)
		if err != nil {
			return err
		}
		if got, err := plan.Diff(nil, p); err != nil {
			return err
		} else if d := cmp.Diff(text, lines(got)); d != "" {
			return fmt.Errorf("loss without a word: %s", d)
		}
	}
	faults, err := f.Check()
	if err != nil {
		return err
	}
	if len(faults) > 0 { // of the history, which opening does not read
		return fmt.Errorf("%w: %s", storage.ErrCorrupt, faults[0])
	}
	return nil
}

func lines(all []plan.Change) string {
	var b strings.Builder
	for _, c := range all {
		fmt.Fprintf(&b, "%s %d %d %s\n", c.Kind, c.ID, c.Piece, c.After)
	}
	return b.String()
}

// salvaged checks a salvaged copy and gives its lines.
func salvaged(t *testing.T, path string, run int, how string, report storage.Salvaged, ever map[string]bool) map[string]bool {
	t.Helper()
	f, err := storage.Open(path, at(noon))
	if err != nil {
		t.Fatalf("run %d, %s: the salvaged copy does not open: %v", run, how, err)
	}
	defer f.Close()
	got := map[string]bool{}
	all := load(t, f, 0)
	for _, piece := range append([]plan.Piece{{}}, all.Pieces...) {
		p := load(t, f, piece.ID)
		for _, line := range strings.Split(strings.TrimSpace(dump(t, p)), "\n") {
			got[line] = true
			stored := !strings.HasPrefix(line, "shop ") && !strings.HasPrefix(line, "timer ") && !strings.Contains(line, "Salvaged piece")
			if stored && !ever[line] {
				t.Errorf("run %d, %s: the copy holds what was never entered: %s", run, how, line)
			}
		}
	}
	faults, err := f.Check()
	if err != nil {
		t.Errorf("run %d, %s: %v", run, how, err)
	}
	for _, fault := range faults {
		// A board that is lost leaves choices and joints that name it.
		if !strings.Contains(fault, "not there") && !strings.Contains(fault, "Two boards") {
			t.Errorf("run %d, %s: the copy is not sound: %s", run, how, fault)
		}
	}
	return got
}

func TestSalvageOfASoundFileLosesNothing(t *testing.T) {
	t.Parallel()
	whole, now, _ := busyShop(t)
	dir := t.TempDir()
	path, into := filepath.Join(dir, "a.pile"), filepath.Join(dir, "b.pile")
	if err := os.WriteFile(path, whole, 0o600); err != nil {
		t.Fatal(err)
	}
	report, err := storage.Salvage(path, into)
	if err != nil || len(report.Lost) > 0 || report.Loose > 0 || !report.History || report.Records < 250 {
		t.Fatalf("%+v, %v", report, err)
	}
	if err := readAll(into, now); err != nil {
		t.Error(err)
	}
	f, err := storage.Open(into, at(noon))
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	all := load(t, f, 0)
	undone := 0
	for i := len(all.Pieces) - 1; i >= 0; i-- {
		for {
			if _, _, err := f.Undo(all.Pieces[i].ID); errors.Is(err, storage.ErrNothing) {
				break
			} else if err != nil {
				t.Fatal(err)
			}
			undone++
		}
	}
	if undone != 16 {
		t.Errorf("%d edits could be undone in the copy, want all 16", undone)
	}
	if _, err := storage.Salvage(path, into); !errors.Is(err, storage.ErrExists) {
		t.Errorf("onto a file that exists: %v", err)
	}
	if _, err := storage.Salvage(filepath.Join(dir, "none"), into+"2"); !errors.Is(err, storage.ErrMissing) {
		t.Errorf("of a file that is not there: %v", err)
	}
}

func TestSalvageWithTheTablesOfContentsGone(t *testing.T) {
	t.Parallel()
	whole, now, ever := busyShop(t)
	clear(whole[:4096]) // the head and the schema
	dir := t.TempDir()
	path, into := filepath.Join(dir, "a.pile"), filepath.Join(dir, "b.pile")
	if err := os.WriteFile(path, whole, 0o600); err != nil {
		t.Fatal(err)
	}
	report, err := storage.Salvage(path, into)
	if err != nil {
		t.Fatal(err)
	}
	got := salvaged(t, into, 0, "first page zeroed", report, ever)
	for _, text := range now {
		for _, line := range strings.Split(strings.TrimSpace(text), "\n") {
			if !got[line] {
				t.Errorf("lost: %.100s", line)
			}
		}
	}
}

func TestAWayOutOfADamagedFile(t *testing.T) {
	t.Parallel()
	f, p := newShop(t, 30)
	path := f.Path()
	if _, err := f.BackUpDaily(); err != nil {
		t.Fatal(err)
	}
	commit(t, f, "name", "", p, named(p, "after the backup"))
	if err := f.Close(); err != nil {
		t.Fatal(err)
	}
	bad := filepath.Join(storage.BackupDir(path), "2026-03-01.shop")
	if err := os.WriteFile(bad, []byte("not a backup"), 0o600); err != nil {
		t.Fatal(err)
	}
	whole := readFile(t, path)
	damaged := append(bytes.Clone(whole[:4096]), make([]byte, 4096)...)
	damaged = append(damaged, whole[8192:]...)
	if err := os.WriteFile(path, damaged, 0o600); err != nil {
		t.Fatal(err)
	}
	if _, err := storage.Open(path, at(noon)); !errors.Is(err, storage.ErrCorrupt) {
		t.Fatalf("got %v", err)
	}
	way, err := storage.Rescue(path)
	if err != nil || len(way.Backups) != 1 || way.Records < 20 {
		t.Fatalf("%+v, %v: want the one sound backup and most nouns", way, err)
	}
	kept, err := storage.Restore(path, way.Backups[0], noon)
	if err != nil || kept != path+".damaged-2026-03-02" {
		t.Fatalf("kept %q, %v", kept, err)
	}
	if !bytes.Equal(readFile(t, kept), damaged) {
		t.Error("the damaged file was not kept as it was")
	}
	g, err := storage.Open(path, at(noon))
	if err != nil {
		t.Fatal(err)
	}
	defer g.Close()
	if got := load(t, g, p.Piece.ID); len(got.Boards) != 30 || got.Shop.Name != p.Shop.Name {
		t.Errorf("restored: %d boards, %q", len(got.Boards), got.Shop.Name)
	}
	if _, err := storage.Restore(path, way.Backups[0], noon); !errors.Is(err, storage.ErrBusy) {
		t.Errorf("restored beneath an open window: %v", err)
	}
}
