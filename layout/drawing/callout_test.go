package drawing

import (
	"fmt"
	"math/rand"
	"testing"

	"pilewright/plan/measure"
	"pilewright/plan/solid"
)

// linesOver lists the lines to marks that run through what is written, by points
// along them, and counts the lines.
func linesOver(p *Picture) (over []string, lines int) {
	boxes, texts := textBoxes(p)
	for _, m := range p.Marks {
		if m.Kind != Polyline || m.Role != RoleDimension {
			continue
		}
		lines++
		for k, r := range boxes {
			for i := 1; i < len(m.Pts); i++ {
				a, b, hit := m.Pts[i-1], m.Pts[i], false
				for s := 0.02; s < 0.98; s += 0.01 {
					hit = hit || r.Holds(a.X+(b.X-a.X)*s, a.Y+(b.Y-a.Y)*s)
				}
				if hit {
					over = append(over, fmt.Sprintf("the line to %s runs through %q", m.Ref, texts[k]))
				}
			}
		}
	}
	return over, lines
}

// Boards of many short pieces on little paper: marks stand above them, clear of
// each other and of the figures beside.
func TestMarksAboveSmallBoardsStandClear(t *testing.T) {
	rng := rand.New(rand.NewSource(8))
	lines := 0
	for range rounds(300, 3000) {
		length := func(lo, hi int) measure.Length { return measure.Length(lo+rng.Intn(hi-lo+1)) * mmT }
		v := BoardView{Ref: "b", Title: "1", Size: "x", Length: length(300, 2400), Width: length(30, 200)}
		for x, i := measure.Length(0), 10; x < v.Length-80*mmT; i++ {
			l := min(length(15, 300), v.Length-x)
			v.Pieces = append(v.Pieces, Spot{Area: Area{X: x, L: l, W: v.Width}, Ref: fmt.Sprint("piece ", i), Mark: fmt.Sprint("AB", i), Label: `38 1/2" x 3 1/2"`})
			x += l + 3*mmT
		}
		p := Board(v, BoardsOptions{Width: []float64{60, 100, 180}[rng.Intn(3)], Format: inches})
		over, n := linesOver(p)
		lines += n
		if c := collisions(p); len(over)+len(c) > 0 {
			t.Fatalf("%v %v: board %+v", over, c, v)
		}
	}
	if lines < 200 {
		t.Fatalf("only %d marks stood above their pieces", lines)
	}
}

// Lines to the marks of small bodies go round what is written on others wherever
// some part of the body that is seen lets them.
func TestLinesToMarksOfBodiesGoRoundWhatIsWritten(t *testing.T) {
	rng := rand.New(rand.NewSource(8))
	over, lines := 0, 0
	for range rounds(300, 3000) {
		var solids []Solid3
		for i := range 3 + rng.Intn(14) {
			var b solid.Box
			for k := range 3 {
				b.Min[k] = measure.Length(rng.Intn(900)) * mmT
				b.Max[k] = b.Min[k] + measure.Length(10+rng.Intn(300))*mmT
			}
			solids = append(solids, Solid3{Ref: fmt.Sprint(i), Mark: fmt.Sprint("A", i), Boxes: []solid.Box{b}})
		}
		o, n := linesOver(Isometric(solids, IsometricOptions{Width: 80, Height: 60, Marks: true}))
		over, lines = over+len(o), lines+n
	}
	t.Logf("%d of %d lines run through a mark", over, lines)
	if lines < 400 || over*50 > lines {
		t.Errorf("%d of %d lines run through a mark; at most one in fifty has no way round", over, lines)
	}
}
