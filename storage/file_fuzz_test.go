package storage_test

import (
	"bytes"
	"os"
	"path/filepath"
	"testing"

	"pilewright/storage"
)

// Whatever bytes a file has, opening it, reading it and salvaging it come to an
// end without a panic, what opens can be read and checked, what is refused is left
// as it was, and what is salvaged opens and is sound in itself.
func FuzzAnyBytesForAShopFile(f *testing.F) {
	g, _ := newShop(f, 3)
	if err := g.Close(); err != nil {
		f.Fatal(err)
	}
	whole := readFile(f, g.Path())
	f.Add(whole)
	f.Add(whole[:4096])
	f.Add(whole[:len(whole)-1])
	f.Add(bytes.Replace(whole, []byte(`"length":`), []byte(`"lengtj":`), 1))
	f.Add([]byte("SQLite format 3\x00"))
	f.Add([]byte{})
	f.Fuzz(func(t *testing.T, body []byte) {
		dir := t.TempDir()
		path := filepath.Join(dir, "a.pile")
		if err := os.WriteFile(path, body, 0o600); err != nil {
			t.Fatal(err)
		}
		if s, err := storage.Open(path, storage.Options{ReadOnly: true}); err == nil {
			if p, err := s.Load(0); err == nil {
				for _, piece := range p.Pieces {
					s.Load(piece.ID)
				}
			}
			if _, err := s.Check(); err != nil {
				t.Logf("check: %v", err)
			}
			s.Close()
		}
		if !bytes.Equal(readFile(t, path), body) {
			t.Fatal("reading changed the file")
		}
		into := filepath.Join(dir, "b.pile")
		if _, err := storage.Salvage(path, into); err == nil {
			s, err := storage.Open(into, storage.Options{ReadOnly: true})
			if err != nil {
				t.Fatalf("what was salvaged does not open: %v", err)
			}
			if _, err := s.Load(0); err != nil {
				t.Errorf("what was salvaged can't be read: %v", err)
			}
			s.Close()
		} else if _, there := os.Stat(into); there == nil {
			t.Errorf("a salvage that failed (%v) left a file", err)
		}
	})
}
