package sheet

import (
	"bytes"
	"fmt"
	"image"
	"image/color"
	"image/png"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"pilewright/layout/drawing/pdf"
	"pilewright/layout/drawing/raster"
)

// The pages of the demo are kept as one small picture, side by side.
const (
	pagesWide = 7
	pixels    = 1.5 // of a page, for each millimetre
	finer     = 3   // times as fine it is painted, then averaged
	grays     = 8
)

// portraits paints every page of a document small, in a few grays; pages that
// lie are set into a field of the same size as those that stand.
func portraits(d *pdf.Document) []*image.Gray {
	var out []*image.Gray
	var painter raster.Painter
	for i, page := range d.Pages() {
		w, h := d.PageSize(i)
		img := image.NewRGBA(image.Rect(0, 0, int(w*pixels)*finer, int(h*pixels)*finer))
		painter.Draw(img, page, raster.Transform{Scale: pixels * finer}, raster.Print())
		small := image.NewGray(image.Rect(0, 0, img.Rect.Dx()/finer, img.Rect.Dy()/finer))
		for y := range small.Rect.Dy() {
			for x := range small.Rect.Dx() {
				sum := 0
				for k := range finer {
					row := img.Pix[(y*finer+k)*img.Stride+x*finer*4:]
					for n := range finer {
						sum += int(row[4*n+1])
					}
				}
				small.Pix[y*small.Stride+x] = level(float64(sum) / (finer * finer))
			}
		}
		out = append(out, small)
	}
	return out
}

// level is the nearest of the grays kept.
func level(v float64) uint8 {
	return uint8(math.Round(v/255*(grays-1)) * 255 / (grays - 1))
}

// contact sets pages side by side.
func contact(pages []*image.Gray) *image.Paletted {
	w, h := 0, 0
	for _, p := range pages {
		w, h = max(w, p.Rect.Dx()), max(h, p.Rect.Dy())
	}
	var palette color.Palette
	for i := range grays {
		palette = append(palette, color.Gray{Y: level(float64(i) * 255 / (grays - 1))})
	}
	out := image.NewPaletted(image.Rect(0, 0, (w+2)*pagesWide, (h+2)*((len(pages)+pagesWide-1)/pagesWide)), palette)
	for i, p := range pages {
		for y := range p.Rect.Dy() {
			row := out.Pix[out.PixOffset(i%pagesWide*(w+2), i/pagesWide*(h+2)+y):]
			for x, v := range p.Pix[y*p.Stride : y*p.Stride+p.Rect.Dx()] {
				row[x] = uint8((int(v)*(grays-1) + 127) / 255)
			}
		}
	}
	return out
}

// A page may differ from its picture by rounding only: in hardly any pixel by
// more than one gray.
const mostOff = 0.002

func TestEveryPageOfTheDemoLooksAsBefore(t *testing.T) {
	d, err := lay(theDemo(t), Options{Paper: "letter", Now: printed, Revision: "plan 1"})
	if err != nil {
		t.Fatal(err)
	}
	pages := portraits(d)
	got := contact(pages)
	path := filepath.Join("testdata", "demo_letter.png")
	if *update {
		var out bytes.Buffer
		if err := (&png.Encoder{CompressionLevel: png.BestCompression}).Encode(&out, got); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(path, out.Bytes(), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	data, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	read, err := png.Decode(bytes.NewReader(data))
	if err != nil {
		t.Fatal(err)
	}
	want, ok := read.(*image.Paletted)
	if !ok {
		t.Fatalf("the picture holds %T", read)
	}
	if want.Bounds() != got.Bounds() {
		t.Fatalf("the picture of all pages is %v, was %v; look at it and run with -update if it is meant", got.Bounds(), want.Bounds())
	}
	w, h := got.Rect.Dx()/pagesWide, got.Rect.Dy()/((len(pages)+pagesWide-1)/pagesWide)
	for i := range pages {
		off, ink := 0, 0
		for y := range h {
			for x := range w {
				at := got.PixOffset(i%pagesWide*w+x, i/pagesWide*h+y)
				a, b := int(want.Pix[at]), int(got.Pix[at])
				if a-b > 1 || b-a > 1 {
					off++
				}
				if b < grays-1 {
					ink++
				}
			}
		}
		if share := float64(off) / float64(w*h); share > mostOff {
			t.Errorf("page %d looks different: %.2f %% of it; look at it and run with -update if it is meant", i+1, 100*share)
		}
		if ink < w*h/200 {
			t.Errorf("page %d is as good as white", i+1)
		}
	}
}

// The PDF shows what the pictures show: poppler's rendering of every page is as
// dark as ours in every field of 8 mm.
func TestPopplerShowsThePagesAsTheyArePainted(t *testing.T) {
	if _, err := exec.LookPath("pdftoppm"); err != nil {
		t.Skip("pdftoppm of poppler-utils is not installed: the PDF is not painted by a second program")
	}
	d, err := lay(theDemo(t), Options{Paper: "a4", Now: printed, Language: spanish(t, "es")})
	if err != nil {
		t.Fatal(err)
	}
	dir := t.TempDir()
	var out bytes.Buffer
	if err := d.Write(&out); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(filepath.Join(dir, "sheet.pdf"), out.Bytes(), 0o600); err != nil {
		t.Fatal(err)
	}
	poppler(t, "pdftoppm", "-r", fmt.Sprint(pixels*finer*25.4), "-gray", filepath.Join(dir, "sheet.pdf"), filepath.Join(dir, "p"))
	names, _ := filepath.Glob(filepath.Join(dir, "p-*.pgm"))
	pages := portraits(d)
	if len(names) != len(pages) {
		t.Fatalf("poppler paints %d pages of %d", len(names), len(pages))
	}
	const field = 12 // pixels
	for i, name := range names {
		if i%5 != 0 && os.Getenv("PILEWRIGHT_FULL") == "" {
			continue // all of them with PILEWRIGHT_FULL=1
		}
		data, err := os.ReadFile(name)
		if err != nil {
			t.Fatal(err)
		}
		var w, h, most int
		if _, err := fmt.Fscanf(strings.NewReader(string(data[:min(len(data), 40)])), "P5\n%d %d\n%d\n", &w, &h, &most); err != nil {
			t.Fatalf("%s: %v", name, err)
		}
		body := data[len(data)-w*h:]
		ours := pages[i]
		for y := 0; y+field <= min(h/finer, ours.Rect.Dy()); y += field {
			for x := 0; x+field <= min(w/finer, ours.Rect.Dx()); x += field {
				a, b := 0.0, 0.0
				for k := range field * field {
					px, py := x+k%field, y+k/field
					b += float64(ours.Pix[py*ours.Stride+px])
					for n := range finer * finer {
						a += float64(body[(py*finer+n/finer)*w+px*finer+n%finer]) / (finer * finer)
					}
				}
				if diff := (a - b) / (field * field) / 255; math.Abs(diff) > 0.12 {
					t.Errorf("page %d at %.0f, %.0f mm: poppler paints it %.2f, we %.2f of white", i+1, float64(x)/pixels, float64(y)/pixels, a/(field*field)/255, b/(field*field)/255)
				}
			}
		}
	}
}
