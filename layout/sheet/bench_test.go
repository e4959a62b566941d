package sheet

import (
	"context"
	"fmt"
	"io"
	"strings"
	"testing"

	"pilewright/plan"
	"pilewright/plan/measure"
)

func BenchmarkTheDemosSheet(b *testing.B) {
	p := theDemo(b)
	for b.Loop() {
		if err := Write(io.Discard, p, Options{Paper: "letter", Now: printed}); err != nil {
			b.Fatal(err)
		}
	}
}

// manyCopies is a rack of a thousand copies, half of them joined, cut by a toy
// from boards that hold one each; solving it is not what is measured.
func manyCopies(t testing.TB) *plan.Plan {
	t.Helper()
	const n = 500
	shop := plan.DefaultShop()
	p := &plan.Project{Shop: shop, NextID: 10_000, Piece: plan.Piece{ID: 1, Name: "Long rack"}}
	p.Parts = []plan.Part{
		{ID: 1, Piece: 1, Name: "post", Length: "20 in", Width: "3 in", Thickness: "2 in", Way: plan.Solid,
			Copies: []plan.Copy{{X: "0", Y: "0", Z: "0", Along: plan.Z, Thick: plan.Y, Repeat: fmt.Sprint(n), StepX: "7 in"}}},
		{ID: 2, Piece: 1, Name: "rail", Length: "4 in", Width: "3 in", Thickness: "1 in", Way: plan.Solid,
			Copies: []plan.Copy{{X: "3 in", Y: "1/2 in", Z: "10 in", Along: plan.X, Thick: plan.Y, Repeat: fmt.Sprint(n), StepX: "7 in"}}},
	}
	p.Joints = []plan.Joint{{ID: 1, Piece: 1, A: plan.CopyRef{Part: 1}, B: plan.CopyRef{Part: 2}, Kind: "stopped-tenon"}}
	const in = measure.Inch
	for i := range 2 * n {
		p.Boards = append(p.Boards, plan.Board{ID: plan.ID(100 + i), Mark: fmt.Sprintf("B%d", i+1), Length: 24 * in, Width: 4 * in, Thickness: 3 * in, Species: "pine", Place: "yard"})
	}
	tools := quickTools()
	tools.Cut, tools.Check = oneEach, func(plan.CutJob, plan.Cuts) []string { return nil }
	ctx, cancel := context.WithCancel(context.Background())
	defer cancel()
	out, err := plan.Make(ctx, p, tools, func(*plan.Plan) { cancel() })
	if err != nil {
		t.Fatal(err)
	}
	return out
}

// oneEach cuts one blank from the left end of every board.
func oneEach(_ context.Context, job plan.CutJob, _ func(plan.Cuts)) (plan.Cuts, error) {
	var out plan.Cuts
	next := 0
	for _, bl := range job.Blanks {
		for n := range bl.Count {
			if next == len(job.Boards) {
				return out, nil
			}
			b := job.Boards[next]
			next++
			mark := fmt.Sprintf("%s%d", bl.Mark, n+1)
			out.Boards = append(out.Boards, plan.CutBoard{Board: b.ID,
				Pieces: []plan.CutPiece{{Blank: bl.Key, N: n + 1, Mark: mark, Length: bl.Length, Width: bl.Width}},
				Saws:   []plan.Saw{{At: bl.Length, To: b.Width, Stop: bl.Length, Mark: mark}, {Rip: true, At: bl.Width, To: bl.Length, Stop: bl.Width, Mark: mark}}})
		}
	}
	return out, nil
}

func BenchmarkAThousandCopies(b *testing.B) {
	p := manyCopies(b)
	if len(p.Copies) < 1000 || len(p.Cuts.Boards) < 1000 {
		var said []string
		for _, f := range p.Findings {
			said = append(said, f.Text)
		}
		b.Fatalf("%d copies, %d boards: %s", len(p.Copies), len(p.Cuts.Boards), strings.Join(said, "\n"))
	}
	for b.Loop() {
		d, err := lay(p, Options{Paper: "letter", Now: printed})
		if err != nil {
			b.Fatal(err)
		}
		if err := d.Write(io.Discard); err != nil {
			b.Fatal(err)
		}
		b.ReportMetric(float64(len(d.Pages())), "pages")
	}
}
