package storage

import (
	"bytes"
	"encoding/binary"
	"os"
	"path/filepath"
	"testing"
	"time"
)

func FuzzCarveNeverPanics(f *testing.F) {
	shop, err := os.ReadFile(filepath.Join("..", "testdata", "shop", "version1.pile"))
	if err != nil {
		f.Fatal(err)
	}
	found, broken := carve(shop, 0)
	if len(found) < 15 || broken > 0 {
		f.Fatalf("%d records in the shop of version 1, %d broken", len(found), broken)
	}
	f.Add(shop, 2)
	f.Add(shop[:5000], 1<<40)
	f.Add([]byte{}, 0)
	// Small pages, so that a fuzzer's changes meet their heads.
	small := bytes.Repeat([]byte{leafPage, 0, 0, 0, 3, 0, 0, 0, 0, 40, 0, 60, 1, 255}, 200)
	binary.BigEndian.PutUint16(small[16:], 512)
	binary.BigEndian.PutUint32(small[32:], 2)
	f.Add(small, 3)
	interior := bytes.Clone(small)
	for i := 512; i < len(interior); i += 512 {
		interior[i] = interiorPage
	}
	f.Add(interior, 2)
	f.Fuzz(func(t *testing.T, file []byte, root int) {
		found, _ := carve(file, root)
		for _, r := range found {
			if len(r.Body) > len(file) && len(r.Body) > 1<<24 {
				t.Fatalf("a body of %d bytes in a file of %d", len(r.Body), len(file))
			}
		}
	})
}

// A file whose every row claims to go on over the whole file, in a circle.
func TestRowsThatGoOnForEverAreGivenUp(t *testing.T) {
	const size = 4096
	file := make([]byte, 200*size)
	binary.BigEndian.PutUint16(file[16:], size)
	for n := 1; n < 200; n++ {
		page := file[n*size : (n+1)*size]
		page[0] = leafPage
		binary.BigEndian.PutUint16(page[3:], 1500)
		for i := range 1500 {
			binary.BigEndian.PutUint16(page[8+2*i:], uint16(3100+i%50*3))
		}
		for i := 3100; i < size; i += 3 {
			copy(page[i:], []byte{0xaf, 0xff, 0x7f}) // some 800 kB long
		}
	}
	began := time.Now()
	if found, _ := carve(file, 2); len(found) > 0 {
		t.Errorf("%d records were found", len(found))
	}
	if took := time.Since(began); took > 20*time.Second {
		t.Errorf("it took %v", took)
	}
}

// The examples are those of sqlite.org/fileformat2.html, section 1.6 (a varint is
// big-endian, seven bits a byte, the ninth byte whole).
func TestVarint(t *testing.T) {
	for _, c := range []struct {
		in   []byte
		want uint64
		n    int
	}{
		{[]byte{0}, 0, 1}, {[]byte{0x7f}, 127, 1}, {[]byte{0x81, 0x00}, 128, 2}, {[]byte{0x81, 0x80, 0x00}, 1 << 14, 3},
		{bytes.Repeat([]byte{0xff}, 9), 1<<64 - 1, 9}, {[]byte{0x80}, 0, 0}, {nil, 0, 0},
	} {
		if got, n := varint(c.in); got != c.want || n != c.n {
			t.Errorf("%x: got %d in %d bytes, want %d in %d", c.in, got, n, c.want, c.n)
		}
	}
}
