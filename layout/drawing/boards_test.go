package drawing_test

import (
	"fmt"
	"image"
	"io"
	"math"
	"math/rand"
	"testing"

	"pilewright/layout/drawing"
	"pilewright/layout/drawing/raster"
	"pilewright/layout/drawing/svg"
	"pilewright/plan/measure"
)

const mm = measure.Millimetre

func area(x, y, l, w measure.Length) drawing.Area {
	return drawing.Area{X: x * mm, Y: y * mm, L: l * mm, W: w * mm}
}

// palletBoard is a deck board of a broken-down pallet with a bit of everything.
func palletBoard() drawing.BoardView {
	return drawing.BoardView{
		Ref: "b1", Title: "P3-07", Size: "1200 × 95 × 17 mm", Hover: "P3-07, pine",
		Length: 1200 * mm, Width: 95 * mm, TrimLeft: 22 * mm, TrimRight: 18 * mm,
		Flaws: []drawing.Flaw{
			{Area: area(540, 0, 40, 95), Ref: "f1", Kind: "nail hole"},
			{Area: area(1010, 30, 90, 18), Ref: "f2", Kind: "split", Hover: "split"},
			{Area: area(700, 60, 30, 30), Ref: "f3", Kind: "stain", Allowed: true},
		},
		Pieces: []drawing.Spot{
			{Area: area(25, 0, 400, 45), Ref: "A1", Mark: "A1", Label: "400 × 45", Hover: "front rail A1"},
			{Area: area(25, 48, 400, 45), Ref: "A2", Mark: "A2", Label: "400 × 45", Alt: true},
			{Area: area(428, 0, 100, 95), Ref: "B1", Mark: "B1", Label: "100 × 95"},
			{Area: area(583, 0, 20, 95), Ref: "C1", Mark: "C11", Label: "20 × 95"},
			{Area: area(606, 0, 8, 95), Ref: "C2", Mark: "C12", Label: "8 × 95"},
			{Area: area(617, 0, 8, 95), Ref: "C3", Mark: "C13", Label: "8 × 95"},
			{Area: area(628, 0, 370, 62), Ref: "D1", Mark: "D1", Label: "370 × 62"},
		},
		Leftovers: []drawing.Spot{{Area: area(628, 65, 370, 30), Ref: "L1", Label: "370 × 30"}},
		Kerfs:     []drawing.Area{area(22, 0, 3, 95), area(25, 45, 400, 3), area(425, 0, 3, 95), area(603, 0, 3, 95), area(614, 0, 3, 95), area(625, 0, 3, 95), area(628, 62, 370, 3), area(998, 0, 3, 95)},
		Tape: []drawing.TapeMark{{X: 22 * mm, Text: "22"}, {X: 425 * mm, Text: "425"}, {X: 528 * mm, Text: "528"}, {X: 580 * mm, Text: "580"},
			{X: 603 * mm, Text: "603"}, {X: 614 * mm, Text: "614"}, {X: 625 * mm, Text: "625"}, {X: 998 * mm, Text: "998"}},
	}
}

// pile gives n boards with m parts in all, as a maker's pile looks: many short
// boards of one width, a few long ones.
func pile(n, m int) []drawing.BoardView {
	rng := rand.New(rand.NewSource(7))
	var out []drawing.BoardView
	for i := range n {
		b := drawing.BoardView{Ref: fmt.Sprintf("b%d", i), Title: fmt.Sprintf("P%d", i+1), Width: measure.Length(70+rng.Intn(60)) * mm,
			Length: measure.Length(900+100*rng.Intn(4)) * mm, TrimLeft: 20 * mm, TrimRight: 15 * mm}
		if i%9 == 0 {
			b.Length = 2300 * mm
		}
		b.Size = fmt.Sprintf("%d × %d mm", b.Length/mm, b.Width/mm)
		x := 20 * mm
		count := m / n
		if i < m%n {
			count++
		}
		each := (b.Length - 35*mm) / measure.Length(count)
		for k := range count {
			mark := fmt.Sprintf("%c%d", 'A'+i%26, k+1)
			b.Pieces = append(b.Pieces, drawing.Spot{Area: drawing.Area{X: x, L: each - 3*mm, W: b.Width - 8*mm}, Ref: fmt.Sprint(b.Ref, mark), Mark: mark,
				Label: fmt.Sprintf("%d × %d", each/mm, (b.Width-8*mm)/mm), Alt: k%2 == 1})
			b.Kerfs = append(b.Kerfs, drawing.Area{X: x + each - 3*mm, L: 3 * mm, W: b.Width})
			x += each
			b.Tape = append(b.Tape, drawing.TapeMark{X: x, Text: fmt.Sprint(x / mm)})
		}
		b.Flaws = append(b.Flaws, drawing.Flaw{Area: drawing.Area{X: b.Length / 3, L: 30 * mm, W: b.Width}, Kind: []string{"knot", "crack", "nail hole", "wane"}[i%4]})
		out = append(out, b)
	}
	return out
}

func TestBoards(t *testing.T) {
	long := drawing.BoardView{Ref: "b2", Title: "F1-02", Size: "2400 × 140 × 38 mm", Length: 2400 * mm, Width: 140 * mm,
		Pieces:    []drawing.Spot{{Area: area(0, 0, 1500, 140), Ref: "E1", Mark: "E1", Label: "1500 × 140 mm"}},
		Flaws:     []drawing.Flaw{{Area: area(1520, 20, 90, 70), Kind: "knot"}, {Area: area(1700, 100, 500, 40), Kind: "wane"}, {Area: area(2250, 20, 150, 12), Kind: "crack"}},
		Leftovers: []drawing.Spot{{Area: area(1503, 0, 897, 140), Ref: "L2", Label: "897 × 140"}},
		Tape:      []drawing.TapeMark{{X: 1500 * mm, Text: "1500"}}}
	short := drawing.BoardView{Ref: "b3", Title: "P3-09", Size: "600 × 95 × 17 mm", Length: 600 * mm, Width: 95 * mm}
	golden(t, "boards", drawing.Boards([]drawing.BoardView{palletBoard(), short, long}, drawing.BoardsOptions{Legend: true}))
}

func TestOneBoard(t *testing.T) {
	golden(t, "board_large", drawing.Board(palletBoard(), drawing.BoardsOptions{Legend: true}))
}

func TestPileOfTwelveBoards(t *testing.T) {
	golden(t, "boards_pile", drawing.Boards(pile(12, 70), drawing.BoardsOptions{Width: 260, Legend: true}))
}

func TestBoardPagesHoldEveryBoardOnce(t *testing.T) {
	boards := pile(60, 400)
	pages := drawing.BoardPages(boards, drawing.BoardsOptions{Legend: true}, 230)
	seen := map[string]int{}
	for i, p := range pages {
		if h := p.Bounds().H(); h > 231 {
			t.Errorf("page %d is %.1f mm high", i+1, h)
		}
		for _, f := range p.Frames {
			seen[f.Ref]++
		}
	}
	for _, b := range boards {
		if seen[b.Ref] != 1 {
			t.Errorf("board %s is drawn %d times", b.Ref, seen[b.Ref])
		}
	}
	if len(pages) < 3 {
		t.Errorf("%d pages", len(pages))
	}
}

func TestNoBoardsGiveAnEmptyPicture(t *testing.T) {
	if p := drawing.Boards([]drawing.BoardView{{}}, drawing.BoardsOptions{}); len(p.Marks) != 0 {
		t.Errorf("%d marks", len(p.Marks))
	}
	if p := drawing.Board(drawing.BoardView{}, drawing.BoardsOptions{}); len(p.Marks) != 0 {
		t.Errorf("%d marks", len(p.Marks))
	}
}

// A place on a drawn board, taken back through the frame, is the real place.
func TestFrameTiesPictureToBoard(t *testing.T) {
	p := drawing.Boards([]drawing.BoardView{palletBoard()}, drawing.BoardsOptions{})
	f, ok := p.Frame("b1")
	if !ok {
		t.Fatal("no frame")
	}
	box, _ := p.Extent("B1")
	x, y := (box.X0-f.X)/f.Scale, (box.Y1-f.Y)/f.Across
	if math.Abs(x-428) > 1e-6 || math.Abs(y-95) > 1e-6 {
		t.Errorf("B1's corner is at %.3f, %.3f on the board, want 428, 95", x, y)
	}
	if got := p.Hit(f.X+500*f.Scale, f.Y+50*f.Across, 0); got != "B1" {
		t.Errorf("Hit on B1 gives %q", got)
	}
	if got := p.HoverAt(f.X+100*f.Scale, f.Y+20*f.Across, 0); got != "front rail A1" {
		t.Errorf("HoverAt on A1 gives %q", got)
	}
}

// No two texts of a tape line may touch, nor may a tick run through a figure.
func TestTapeFiguresNeverTouch(t *testing.T) {
	rng := rand.New(rand.NewSource(3))
	for range 200 {
		b := drawing.BoardView{Ref: "b", Length: 1200 * mm, Width: 90 * mm}
		for range 1 + rng.Intn(12) {
			x := measure.Length(rng.Intn(1200)) * mm
			b.Tape = append(b.Tape, drawing.TapeMark{X: x, Text: fmt.Sprint(x/mm, " ½")})
		}
		p := drawing.Boards([]drawing.BoardView{b}, drawing.BoardsOptions{})
		var texts []drawing.Rect
		var ticks []drawing.Mark
		for _, m := range p.Marks {
			switch {
			case m.Kind == drawing.Letters:
				one := drawing.Picture{Marks: []drawing.Mark{m}}
				box := one.Bounds()
				box.Y0 += 0.2 * m.Size // the figures have no accents
				box.Y1 -= 0.25 * m.Size
				texts = append(texts, box)
			case m.Role == drawing.RoleTape && len(m.Pts) == 2:
				ticks = append(ticks, m)
			}
		}
		for i, a := range texts {
			for _, c := range texts[:i] {
				if a.Meets(c) && b.Tape != nil && a != c {
					t.Fatalf("figures touch for tape %v", b.Tape)
				}
			}
			for _, k := range ticks {
				if a.Meets(drawing.Rect{X0: k.Pts[0].X, Y0: k.Pts[0].Y, X1: k.Pts[1].X, Y1: k.Pts[1].Y}) {
					t.Fatalf("a tick crosses a figure for tape %v", b.Tape)
				}
			}
		}
	}
}

func BenchmarkBoards60With400Parts(b *testing.B) {
	boards := pile(60, 400)
	for range b.N {
		drawing.Boards(boards, drawing.BoardsOptions{Width: 260})
	}
}

func BenchmarkRaster60BoardsWith400Parts(b *testing.B) {
	p := drawing.Boards(pile(60, 400), drawing.BoardsOptions{Width: 620, Scale: 0.085})
	img := image.NewRGBA(image.Rect(0, 0, 1300, 800))
	pal := raster.Print()
	for _, zoom := range []float64{1, 2, 6} {
		b.Run(fmt.Sprintf("pan at zoom %v", zoom), func(b *testing.B) {
			var d raster.Painter
			t := raster.Fit(p.Bounds(), 1300, 800)
			t.Scale *= zoom
			for i := range b.N {
				t.DX = -float64(i%400) * 1.3
				d.Draw(img, p, t, pal)
			}
			b.ReportMetric(t.Scale, "px/mm")
		})
	}
	b.Run("zooming, every size anew", func(b *testing.B) {
		t := raster.Fit(p.Bounds(), 1300, 800)
		for i := range b.N {
			var d raster.Painter
			u := t
			u.Scale *= 1 + float64(i%30)/10
			d.Draw(img, p, u, pal)
		}
	})
}

func BenchmarkSVG60BoardsWith400Parts(b *testing.B) {
	p := drawing.Boards(pile(60, 400), drawing.BoardsOptions{Width: 260})
	for range b.N {
		if err := svg.Write(io.Discard, p); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkHit400Parts(b *testing.B) {
	p := drawing.Boards(pile(60, 400), drawing.BoardsOptions{Width: 260})
	for i := range b.N {
		p.Hit(float64(i%260), float64(i%300), 0.3)
	}
}
