package rows

import (
	"context"
	"errors"
	"fmt"
	"testing"
	"time"

	"pilewright/plan/measure"
)

// Good strips lie in the two outer rows, worse ones inside, whatever their order
// and however many there are; a strip that is locked stays where it is.
func TestGoodStripsLieOutside(t *testing.T) {
	const in = measure.Inch
	for mask := range 1 << 6 {
		for _, onEdge := range []bool{false, true} {
			j := Job{OnEdge: onEdge, Length: 30 * in, Rows: 6, MinPiece: 8 * in, Step: in / 32, CleanUp: in / 32}
			good := 0
			for i := range 6 {
				g := mask >> i & 1
				good += g
				j.Strips = append(j.Strips, Strip{ID: fmt.Sprint("s", i), Length: 31 * in, Width: 3 * in, Thickness: in, Grade: g, GoodFace: g == 1})
			}
			p, err := Compose(context.Background(), j, Options{})
			if err != nil {
				t.Fatal(err)
			}
			if got, want := outerGrades(j, p), min(good, 2); got != want {
				t.Errorf("%06b, on edge %v: %d of %d good strips lie outside, want %d", mask, onEdge, got, good, want)
			}
		}
	}
	j := Job{Length: 30 * in, Rows: 3, Step: in / 32, Locks: []Lock{{Strip: "bad", Row: 1}}}
	for _, id := range []string{"bad", "good", "fair"} {
		j.Strips = append(j.Strips, Strip{ID: id, Length: 31 * in, Width: 3 * in, Thickness: in, Grade: map[string]int{"bad": 0, "fair": 1, "good": 2}[id]})
	}
	p, err := Compose(context.Background(), j, Options{})
	if err != nil {
		t.Fatal(err)
	}
	if got := []string{p.Rows[0].Pieces[0].Strip, p.Rows[2].Pieces[0].Strip}; got[0] != "bad" || got[1] != "good" {
		t.Errorf("outside lie %v, want the locked one and the good one", got)
	}
}

// outerGrades sums the grades of the two outer rows' first pieces.
func outerGrades(j Job, p Panel) int {
	grade := map[string]int{}
	for _, s := range j.Strips {
		grade[s.ID] = s.Grade
	}
	return grade[p.Rows[0].Pieces[0].Strip] + grade[p.Rows[len(p.Rows)-1].Pieces[0].Strip]
}

// Where no order keeps the step rule and pieces may be of any length, what would
// help is found and the search ends.
func TestAJobWithoutALeastPieceEnds(t *testing.T) {
	const in = measure.Inch
	j := Job{Length: 30 * in, Rows: 5, Step: in / 32, CleanUp: in / 32}
	for i, steps := range []measure.Length{0, 0, 8, 8, 0} {
		j.Strips = append(j.Strips, Strip{ID: fmt.Sprint("s", i), Length: 31 * in, Width: 3 * in, Thickness: in + steps*in/32})
	}
	ended := make(chan error, 1)
	go func() {
		_, err := Compose(context.Background(), j, Options{})
		ended <- err
	}()
	select {
	case err := <-ended:
		var short *ShortError
		if !errors.As(err, &short) {
			t.Fatalf("five strips of which two are a quarter inch thicker: %v", err)
		}
		if len(short.Reliefs) == 0 {
			t.Error("nothing is told that would help")
		}
	case <-time.After(30 * time.Second):
		t.Fatal("it does not end")
	}
}
