package drawing_test

import (
	"bytes"
	"flag"
	"os"
	"path/filepath"
	"testing"

	"pilewright/layout/drawing"
	"pilewright/layout/drawing/raster"
	"pilewright/layout/drawing/svg"
)

var update = flag.Bool("update", false, "write the golden files anew")

// golden compares a picture's SVG text with testdata/name.svg. With PICTURES set
// to a folder it also writes the picture there as PNG, to be looked at.
func golden(t *testing.T, name string, p *drawing.Picture) {
	t.Helper()
	var got bytes.Buffer
	if err := svg.Write(&got, p); err != nil {
		t.Fatal(err)
	}
	path := filepath.Join("testdata", name+".svg")
	if *update {
		if err := os.WriteFile(path, got.Bytes(), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	if dir := os.Getenv("PICTURES"); dir != "" {
		var b bytes.Buffer
		if err := raster.PNG(&b, p, 130, raster.Print()); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(filepath.Join(dir, name+".png"), b.Bytes(), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	if !bytes.Equal(got.Bytes(), want) {
		i := 0
		for i < got.Len() && i < len(want) && got.Bytes()[i] == want[i] {
			i++
		}
		cut := func(b []byte) []byte { return b[max(0, min(i-60, len(b))):min(len(b), i+120)] }
		t.Errorf("%s differs at byte %d:\n got …%s…\nwant …%s…", path, i, cut(got.Bytes()), cut(want))
	}
}
