package rows

import (
	"context"
	"errors"
	"fmt"
	"math/rand/v2"
	"os"
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

// Of panels of few rows of stepped thickness, every order of the rows and of the
// pieces in them is tried by the checker's rules: none has better rows outside than
// the one given, and where that is claimed to be proved it is so.
func TestOuterRowsAgainstEveryOrder(t *testing.T) {
	r := rand.New(rand.NewPCG(6, 1))
	made, claimed, moved := 0, 0, 0
	count := 60
	if os.Getenv("PILEWRIGHT_FULL") != "" {
		count = 600
	}
	for k := range count {
		j := Job{Length: 1000 * mm, Rows: 3 + min(r.IntN(2)+k%12/11, 2), EndCut: 3 * mm, MinPiece: 150 * mm, Stagger: 80 * mm, Step: mm, CleanUp: mm, OnEdge: r.IntN(2) == 0}
		for i := range j.Rows * 2 {
			s := Strip{ID: fmt.Sprint("s", i), Length: mm * measure.Length(500+10*r.IntN(60)), Width: 70 * mm, Thickness: 18*mm + mm/2*measure.Length(r.IntN(6)), Grade: r.IntN(4)}
			if j.OnEdge {
				s.Width, s.Thickness = s.Thickness, 20*mm
			}
			j.Strips = append(j.Strips, s)
		}
		p, err := Compose(context.Background(), j, Options{Work: 4000})
		if err != nil {
			continue
		}
		made++
		best, most := plainnesses(j, p.Arrangement())
		if p.OuterBest {
			claimed++
			if got := outerPlain(j, p.Arrangement()); got != best {
				t.Fatalf("the outer rows are %d plain and said to be best, %d is possible: %+v", got, best, j)
			}
		}
		if best < most {
			moved++
		}
	}
	t.Logf("%d panels, %d proved, order matters in %d", made, claimed, moved)
	if made < 20 || claimed < made || moved == 0 {
		t.Errorf("%d panels, %d proved, order matters in %d", made, claimed, moved)
	}
}

func outerPlain(j Job, a [][]Placed) int64 {
	grade, top := map[string]int{}, j.Strips[0].Grade
	for _, s := range j.Strips {
		grade[s.ID], top = s.Grade, max(top, s.Grade)
	}
	return plainness(a[0], grade, top) + plainness(a[len(a)-1], grade, top)
}

// everyOrder calls use with each order of the rows and of their pieces that keeps
// the rules.
func everyOrder(j Job, a [][]Placed, use func([][]Placed)) {
	arrange(a, func(rows [][]Placed) {
		out := make([][]Placed, len(rows))
		var next func(int)
		next = func(k int) {
			if k == len(rows) {
				if _, broken := Evaluate(j, out); len(broken) == 0 {
					use(out)
				}
				return
			}
			arrange(rows[k], func(row []Placed) {
				out[k] = append([]Placed(nil), row...)
				next(k + 1)
			})
		}
		next(0)
	})
}

// plainnesses are the least and the most that the outer rows can be.
func plainnesses(j Job, a [][]Placed) (least, most int64) {
	least = never
	everyOrder(j, a, func(b [][]Placed) {
		v := outerPlain(j, b)
		least, most = min(least, v), max(most, v)
	})
	return least, most
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
