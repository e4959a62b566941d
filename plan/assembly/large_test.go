package assembly

import (
	"errors"
	"fmt"
	"math/rand/v2"
	"slices"
	"testing"

	"pilewright/plan/measure"
	"pilewright/plan/solid"
)

// bricks is a block of n x n x n bricks, every two that touch glued face to face.
func bricks(n int) ([]solid.Body, []Joint) {
	var bodies []solid.Body
	var joints []Joint
	id := func(x, y, z int) string { return fmt.Sprint(x, ",", y, ",", z) }
	for x := range n {
		for y := range n {
			for z := range n {
				bodies = append(bodies, solid.Body{ID: id(x, y, z), Solid: solid.New(box(20*x, 10*y, 5*z, 20*x+20, 10*y+10, 5*z+5))})
				for k, b := range []string{id(x-1, y, z), id(x, y-1, z), id(x, y, z-1)} {
					if [3]int{x, y, z}[k] > 0 {
						joints = append(joints, Joint{ID: id(x, y, z) + " on " + b, A: b, B: id(x, y, z), Minutes: 1})
					}
				}
			}
		}
	}
	return bodies, joints
}

func TestABlockOfBricksIsGluedRowByRowThenWallByWall(t *testing.T) {
	bodies, joints := bricks(4)
	s := plan(t, bodies, joints, Limits{})
	// Sixteen rows, four walls of four rows, and the block.
	if s.GlueUps() != 21 {
		t.Errorf("got %d glue-ups, want 21", s.GlueUps())
	}
	levels := map[int]int{}
	for _, st := range s.Stages {
		levels[st.Level]++
	}
	if levels[1] != 16 || levels[2] != 4 || levels[3] != 1 {
		t.Errorf("stages by level: got %v, want 16, 4, 1", levels)
	}
	checkExploded(t, bodies, joints, s, 63)
}

// splits is a block sawn at random into n blocks, some of those that touch joined
// face to face, half of them dry.
func splits(n int) ([]solid.Body, []Joint) {
	r := rand.New(rand.NewPCG(1, 2))
	list := []solid.Box{box(0, 0, 0, 2000, 1000, 1500)}
	for len(list) < n {
		i, k := r.IntN(len(list)), r.IntN(3)
		b := list[i]
		if b.Size()[k] < 20*mm {
			continue
		}
		at := b.Min[k] + measure.Length(1+r.Int64N(int64(b.Size()[k]/mm)-1))*mm
		c := b
		b.Max[k], c.Min[k] = at, at
		list[i] = b
		list = append(list, c)
	}
	var bodies []solid.Body
	for i, b := range list {
		bodies = append(bodies, solid.Body{ID: fmt.Sprint(i), Solid: solid.New(b)})
	}
	var joints []Joint
	for _, q := range solid.Pairs(list) {
		a, b := bodies[q[0]], bodies[q[1]]
		if !solid.ContactArea(a.Solid, b.Solid).IsZero() && r.IntN(4) == 0 {
			joints = append(joints, Joint{ID: fmt.Sprint(len(joints)), A: a.ID, B: b.ID, Dry: r.IntN(2) == 0, Minutes: 1})
		}
	}
	return bodies, joints
}

func TestManyBlocksSplitAtRandomAreAssembledAgain(t *testing.T) {
	bodies, joints := splits(120)
	for _, limits := range []Limits{{}, {OpenMinutes: 12}} {
		checkExploded(t, bodies, joints, plan(t, bodies, joints, limits), 30)
	}
}

// hooked is a long bench with one slat that cannot come in: its front tenon is a
// dovetail along the rail, its back tenon a plain one.
func hooked(n int) ([]solid.Body, []Joint) {
	bodies, joints := slattedBench(n)
	front := len(bodies) - 2
	tail := box(40*(n/2)+25, 5, 20, 40*(n/2)+55, 15, 60)
	bodies[n/2].Solid = bodies[n/2].Solid.Add(tail)
	bodies[front].Solid = bodies[front].Solid.Cut(tail)
	return bodies, joints
}

func TestOneBadSlatAmongManyIsNamed(t *testing.T) {
	bodies, joints := hooked(30)
	_, err := Plan(bodies, joints, Limits{})
	var b *Blocked
	if !errors.As(err, &b) || !slices.Equal(b.Bodies, []string{"slat 15", "front"}) || !slices.Equal(b.Joints, []string{"slat 15 front"}) {
		t.Fatalf("got %v, want slat 15 in the front rail", err)
	}
}

func BenchmarkPlanLarge(b *testing.B) {
	b.Run("block of 1000 bricks", func(b *testing.B) {
		bodies, joints := bricks(10)
		for b.Loop() {
			if _, err := Plan(bodies, joints, Limits{}); err != nil {
				b.Fatal(err)
			}
		}
	})
	b.Run("block of 1000 bricks within limits", func(b *testing.B) {
		bodies, joints := bricks(10)
		for b.Loop() {
			if _, err := Plan(bodies, joints, Limits{OpenMinutes: 100}); err != nil {
				b.Fatal(err)
			}
		}
	})
	b.Run("300 blocks split at random within limits", func(b *testing.B) {
		bodies, joints := splits(300)
		for b.Loop() {
			if _, err := Plan(bodies, joints, Limits{OpenMinutes: 40}); err != nil {
				b.Fatal(err)
			}
		}
	})
	b.Run("bench of 1000 copies with one bad slat", func(b *testing.B) {
		bodies, joints := hooked(998)
		for b.Loop() {
			if _, err := Plan(bodies, joints, Limits{}); err == nil {
				b.Fatal("an order was found")
			}
		}
	})
}

func FuzzPlan(f *testing.F) {
	f.Add([]byte{0, 0, 0, 1, 1, 1, 2, 0, 0, 3, 1, 1}, []byte{0, 1, 1, 0}, uint8(0))
	f.Add([]byte{0, 0, 0, 3, 0, 0, 0, 1, 0, 3, 1, 0, 1, 2, 0, 2, 2, 2}, []byte{0, 1, 3, 1, 1, 2, 0, 2}, uint8(3))
	f.Fuzz(func(t *testing.T, blocks, pairs []byte, open uint8) {
		var bodies []solid.Body
		var taken solid.Solid
		for len(blocks) >= 6 && len(bodies) < 9 {
			var b solid.Box
			for k := range 3 {
				p, q := measure.Length(blocks[k]%6), measure.Length(blocks[k+3]%6)
				b.Min[k], b.Max[k] = min(p, q)*1000, (max(p, q)+1)*1000
			}
			blocks = blocks[6:]
			s := solid.New(b).Minus(taken)
			if s.Empty() {
				continue
			}
			taken = taken.Union(s)
			bodies = append(bodies, solid.Body{ID: fmt.Sprint(len(bodies)), Solid: s})
		}
		var joints []Joint
		for len(pairs) >= 4 && len(joints) < 12 && len(bodies) > 0 {
			joints = append(joints, Joint{
				ID: fmt.Sprint("j", len(joints)), A: fmt.Sprint(int(pairs[0]) % len(bodies)), B: fmt.Sprint(int(pairs[1]) % len(bodies)),
				Dir: solid.Direction(pairs[2] % 7), Dry: pairs[3]&1 == 1, Minutes: int(pairs[3]>>1) % 4,
			})
			pairs = pairs[4:]
		}
		limits := Limits{OpenMinutes: int(open % 9)}
		s, err := Plan(bodies, joints, limits)
		if err != nil {
			var b *Blocked
			if !errors.As(err, &b) || b.Error() == "" || b.Reason == "" {
				t.Fatalf("got %v (%+v)", err, b)
			}
			if b.Reason == Interlocked && len(b.Joints)+len(b.Pairs) == 0 {
				t.Fatalf("nothing is blamed: %+v", b)
			}
			return
		}
		if err := Check(bodies, joints, limits, s); err != nil {
			t.Fatalf("%v\n%s%v %v", err, told(s), bodies, joints)
		}
		checkExploded(t, bodies, joints, s, 13)
	})
}

// BenchmarkWholePiece measures all that an edit asks of both packages: bodies
// cut, fit proved, outlines drawn, an order found and checked, marks given.
func BenchmarkWholePiece(b *testing.B) {
	for _, c := range []struct {
		name string
		make func() ([]solid.Body, []Joint)
	}{
		{"table of 60 copies", slattedTable},
		{"bench of 1000 copies", func() ([]solid.Body, []Joint) { return slattedBench(998) }},
	} {
		b.Run(c.name, func(b *testing.B) {
			edges := 0
			for b.Loop() {
				bodies, joints := c.make()
				if r := solid.Fit(bodies, nil); len(r.Overlaps) > 0 {
					b.Fatal(r.Overlaps)
				}
				copies := make([]Copy, len(bodies))
				edges = 0
				for i, body := range bodies {
					edges += len(body.Solid.Edges()) + len(body.Solid.Faces())
					copies[i] = Copy{ID: body.ID, Local: body.Solid, Turn: solid.Identity}
				}
				s, err := Plan(bodies, joints, Limits{})
				if err == nil {
					err = Check(bodies, joints, Limits{}, s)
				}
				if err != nil {
					b.Fatal(err)
				}
				Mark(copies)
				MarkJoints(copies, placed(copies), joints)
			}
			b.ReportMetric(float64(edges), "edges+faces")
		})
	}
	b.Run("exchange of two slats among 1000 copies", func(b *testing.B) {
		bodies, joints := slattedBench(998)
		var copies []Copy
		for _, body := range bodies {
			copies = append(copies, Copy{ID: body.ID, Local: body.Solid, Turn: solid.Identity})
		}
		var mates []solid.Mate
		for i, j := range joints {
			tenon := solid.Rounded{Box: box(40*(i/2)+30, 10, 20, 40*(i/2)+50, 30, 60), Axis: 1}
			if i%2 == 1 {
				tenon.Box = box(40*(i/2)+30, 430, 20, 40*(i/2)+50, 450, 60)
			}
			mates = append(mates, solid.Mate{ID: j.ID, A: j.A, B: j.B, Dir: j.Dir, Mortise: tenon, Tenon: tenon})
		}
		for b.Loop() {
			if s := SwapEffect(copies, mates, 3, 700); !s.Harmless() {
				b.Fatal(s)
			}
		}
	})
}
