package rows

import (
	"context"
	"errors"
	"fmt"
	"math/rand/v2"
	"testing"

	"github.com/shopspring/decimal"
)

func twoRows() Job {
	return Job{
		Strips: []Strip{
			{ID: "a", Length: 1000 * mm, Width: 80 * mm, Thickness: 20 * mm},
			{ID: "b", Length: 700 * mm, Width: 80 * mm, Thickness: 21 * mm},
			{ID: "c", Length: 403 * mm, Width: 80 * mm, Thickness: 22 * mm},
		},
		Length: 1000 * mm, Rows: 2, EndCut: 3 * mm, MinPiece: 200 * mm, Stagger: 150 * mm, Step: mm, CleanUp: mm,
	}
}

func TestEvaluateCountsByHand(t *testing.T) {
	p, v := Evaluate(twoRows(), [][]Placed{{{"a", 1000 * mm, false}}, {{"b", 700 * mm, false}, {"c", 300 * mm, false}}})
	// Planed to 20 - 2 = 18 mm: 2, 3 and 4 mm off 1000, 700 and 300 mm of 80 mm:
	// 160000 + 168000 + 96000 mm³. c lies beside a, 2 mm higher than the 1 mm allowed.
	if want := decimal.NewFromInt(424_000); !p.Planed.Equal(want) {
		t.Errorf("planed %s, want %s", p.Planed, want)
	}
	if p.Thickness != 18*mm || p.Width != 160*mm || p.EndJoints != 1 {
		t.Errorf("got %d thick, %d wide, %d joints", p.Thickness, p.Width, p.EndJoints)
	}
	if len(v) != 1 || v[0].Rule != StepHigh || v[0].Value != 2*mm {
		t.Errorf("got %+v, want one step of 2 mm", v)
	}
	if len(p.Steps) != 3 || p.Steps[0] != (Step{"1a", "2b", 2 * mm}) {
		t.Errorf("got steps %+v", p.Steps)
	}
	// c leaves 100 mm after the cut: less than a piece, so all of c is taken.
	if want := decimal.NewFromInt(80 * (1000*20 + 700*21 + 403*22)); !p.Used.Equal(want) {
		t.Errorf("used %s, want %s", p.Used, want)
	}
}

func TestCheckFindsEachBrokenRule(t *testing.T) {
	good := [][]Placed{{{"a", 1000 * mm, false}}, {{"b", 700 * mm, false}, {"c", 300 * mm, false}}}
	for _, c := range []struct {
		name   string
		rule   Rule
		change func(*Job, [][]Placed) [][]Placed
	}{
		{"a row too long", RowLength, func(_ *Job, a [][]Placed) [][]Placed { a[1][1].Length += mm; return a }},
		{"a piece below the shortest", PieceShort, func(j *Job, a [][]Placed) [][]Placed { j.MinPiece = 301 * mm; return a }},
		{"more cut from a strip than it has", StripOverused, func(_ *Job, a [][]Placed) [][]Placed { a[0][0].Length += 1; return a }},
		{"a strip that is not there", UnknownStrip, func(_ *Job, a [][]Placed) [][]Placed { a[0][0].Strip = "x"; return a }},
		{"a row too few", RowCount, func(_ *Job, a [][]Placed) [][]Placed { return a[:1] }},
		{"a panel too narrow", PanelNarrow, func(j *Job, a [][]Placed) [][]Placed { j.Rows, j.Width = 0, 161*mm; return a }},
		{"a panel too thin", PanelThin, func(j *Job, a [][]Placed) [][]Placed { j.LeastThickness = 19 * mm; return a }},
		{"end joints in line", JointsClose, func(_ *Job, a [][]Placed) [][]Placed {
			return [][]Placed{{{"b", 600 * mm, false}, {"c", 400 * mm, false}}, {{"a", 650 * mm, false}, {"a", 350 * mm, false}}}
		}},
		{"a lock not kept", LockBroken, func(j *Job, a [][]Placed) [][]Placed {
			j.Locks = []Lock{{Strip: "a", Row: 2}}
			return a
		}},
		{"a lock kept the wrong way up", LockBroken, func(j *Job, a [][]Placed) [][]Placed {
			j.Locks = []Lock{{Strip: "a", Row: 1, Place: 1, Flip: true}}
			return a
		}},
	} {
		t.Run(c.name, func(t *testing.T) {
			job := twoRows()
			job.Step = 2 * mm
			a := [][]Placed{append([]Placed(nil), good[0]...), append([]Placed(nil), good[1]...)}
			if _, v := Evaluate(job, a); len(v) != 0 {
				t.Fatalf("the good panel has %+v", v)
			}
			a = c.change(&job, a)
			_, v := Evaluate(job, a)
			for _, x := range v {
				if x.Rule == c.rule {
					return
				}
			}
			t.Errorf("got %+v, want %s", v, c.rule)
		})
	}
	t.Run("a stated volume that is not so", func(t *testing.T) {
		job := twoRows()
		p, _ := Evaluate(job, good)
		p.Planed = p.Planed.Add(decimal.NewFromInt(1))
		if v := Check(job, p); len(v) < 2 || v[len(v)-1].Rule != Misstated {
			t.Errorf("got %+v", v)
		}
	})
	t.Run("two pieces from the same wood", func(t *testing.T) {
		job := twoRows()
		p, _ := Evaluate(job, [][]Placed{{{"a", 500 * mm, false}, {"a", 497 * mm, false}}})
		p.Rows[0].Pieces[1].From -= 1
		v := Check(job, p)
		for _, x := range v {
			if x.Rule == PieceOverlaps {
				return
			}
		}
		t.Errorf("got %+v", v)
	})
}

func TestComposeKeepsLocks(t *testing.T) {
	job := panelJob(salvaged(3, 45, false), 10, false)
	free, err := Compose(context.Background(), job, Options{Work: 60_000})
	if err != nil {
		t.Fatal(err)
	}
	r := rand.New(rand.NewPCG(4, 4))
	for k := range 8 {
		// Lock a few pieces of the free panel into other rows, as dragging does.
		locked := job
		locked.Step = 7 * mm
		for n := range 3 {
			q := free.Rows[r.IntN(10)].Pieces[0]
			locked.Locks = append(locked.Locks, Lock{Strip: q.Strip, Row: 1 + (3*n+k)%10, Place: n % 2, Flip: n == 1})
		}
		p, err := Compose(context.Background(), locked, Options{Work: 60_000})
		if err != nil {
			t.Errorf("locks %+v: %v", locked.Locks, err)
			continue
		}
		if v := Check(locked, p); len(v) > 0 {
			t.Errorf("locks %+v: %+v", locked.Locks, v)
		}
	}
}

func TestComposeSaysWhatIsShort(t *testing.T) {
	t.Run("too little strip of the thickness", func(t *testing.T) {
		job := twoRows()
		job.LeastThickness = 20 * mm
		_, err := Compose(context.Background(), job, Options{})
		var short *ShortError
		if !errors.As(err, &short) {
			t.Fatalf("got %v", err)
		}
		// Only c is 22 mm thick: 403 mm of the 2000 mm that two rows take.
		if !short.Proven || short.Thickness != 22*mm || short.Have != 403*mm || short.Missing != 1597*mm {
			t.Errorf("got %+v", short)
		}
	})
	t.Run("a smaller stagger would do", func(t *testing.T) {
		job := Job{Length: 1000 * mm, Rows: 2, MinPiece: 400 * mm, Stagger: 250 * mm, Step: mm}
		for i := range 4 {
			job.Strips = append(job.Strips, Strip{ID: fmt.Sprint(i), Length: 600 * mm, Width: 80 * mm, Thickness: 20 * mm})
		}
		_, err := Compose(context.Background(), job, Options{})
		var short *ShortError
		if !errors.As(err, &short) {
			t.Fatalf("got %v", err)
		}
		// Joints lie between 400 and 600 mm, so 200 mm is the most there can be.
		for _, r := range short.Reliefs {
			if r.Kind == SmallerStagger && r.Value == 200*mm {
				return
			}
		}
		t.Errorf("got %+v", short)
	})
	t.Run("fewer rows would do", func(t *testing.T) {
		job := twoRows()
		job.Rows, job.Step = 3, 2*mm
		_, err := Compose(context.Background(), job, Options{})
		var short *ShortError
		if !errors.As(err, &short) || !short.Proven {
			t.Fatalf("got %v", err)
		}
		for _, r := range short.Reliefs {
			if r.Kind == FewerRows && r.Rows == 2 {
				return
			}
		}
		t.Errorf("got %+v", short)
	})
}

func TestComposeToAWidth(t *testing.T) {
	job := panelJob(salvaged(5, 60, true), 0, true)
	job.Width = 250 * mm
	p, err := Compose(context.Background(), job, Options{Work: 100_000})
	if err != nil {
		t.Fatal(err)
	}
	if v := Check(job, p); len(v) > 0 || p.Bound.GreaterThan(p.Planed) {
		t.Errorf("violations %+v, planed %s, bound %s", v, p.Planed, p.Bound)
	}
	t.Logf("%d rows, gap %.4f", len(p.Rows), p.Gap())
}

func TestComposeStopsWhenCancelled(t *testing.T) {
	ctx, cancel := context.WithCancel(context.Background())
	job := panelJob(salvaged(1, 45, false), 12, false)
	p, err := Compose(ctx, job, Options{Progress: func(Progress) { cancel() }})
	if err != nil || p.Status != Stopped && p.Status != Optimal || len(Check(job, p)) > 0 {
		t.Errorf("got %v %v", p.Status, err)
	}
}
