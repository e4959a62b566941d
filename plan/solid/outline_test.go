package solid

import (
	"math/rand/v2"
	"testing"

	"pilewright/plan/measure"
)

// checkFaces compares the faces with the sides of cubes that look into air.
func checkFaces(t *testing.T, s Solid, g grid) {
	t.Helper()
	type tile struct {
		d       Direction
		x, y, z int
	}
	got := map[tile]int{}
	for _, f := range s.Faces() {
		k := f.Normal.Axis()
		if f.Min[k] != f.Max[k] {
			t.Fatalf("face %v is not flat", f)
		}
		lo, hi := f.Min, f.Max
		hi[k]++
		for x := lo[0]; x < hi[0]; x++ {
			for y := lo[1]; y < hi[1]; y++ {
				for z := lo[2]; z < hi[2]; z++ {
					got[tile{f.Normal, int(x), int(y), int(z)}]++
				}
			}
		}
	}
	want := 0
	for x := range cells {
		for y := range cells {
			for z := range cells {
				if !g[x][y][z] {
					continue
				}
				for d := PlusX; d <= MinusZ; d++ {
					step := d.Times(1)
					if g.at(x+int(step[0]), y+int(step[1]), z+int(step[2])) {
						continue
					}
					at := tile{d, x, y, z}
					if d.Positive() {
						at.x, at.y, at.z = x+int(step[0]), y+int(step[1]), z+int(step[2])
					}
					want++
					if got[at] != 1 {
						t.Fatalf("body %v: surface %v at %d,%d,%d is covered %d times", s.Boxes(), d, at.x, at.y, at.z, got[at])
					}
				}
			}
		}
	}
	if len(got) != want {
		t.Fatalf("body %v: %d squares of face, want %d", s.Boxes(), len(got), want)
	}
	if a := s.Surface(); a != (Area{0, uint64(want)}) {
		t.Fatalf("body %v: a surface of %v, want %d", s.Boxes(), a, want)
	}
}

// checkEdges compares the edges with every unit line about which the four cubes
// make the surface turn.
func checkEdges(t *testing.T, s Solid, g grid) {
	t.Helper()
	type unit struct{ axis, x, y, z int }
	got := map[unit]int{}
	segments := s.Edges()
	for _, e := range segments {
		axis, n := -1, 0
		for k := range 3 {
			if e.A[k] != e.B[k] {
				axis = k
				n++
			}
		}
		if n != 1 || e.A[axis] > e.B[axis] {
			t.Fatalf("edge %v does not run along one axis", e)
		}
		for at := e.A[axis]; at < e.B[axis]; at++ {
			p := e.A
			p[axis] = at
			got[unit{axis, int(p[0]), int(p[1]), int(p[2])}]++
		}
		for _, f := range segments {
			if f != e && e.B == f.A && f.B[axis] != f.A[axis] {
				t.Fatalf("edges %v and %v are one", e, f)
			}
		}
	}
	want := 0
	for axis := range 3 {
		u, v := (axis+1)%3, (axis+2)%3
		for x := range cells + 1 {
			for y := range cells + 1 {
				for z := range cells + 1 {
					var q [2][2]bool
					n := 0
					for i := range 2 {
						for j := range 2 {
							p := [3]int{x, y, z}
							p[u] -= i
							p[v] -= j
							if q[i][j] = g.at(p[0], p[1], p[2]); q[i][j] {
								n++
							}
						}
					}
					if n == 1 || n == 3 || n == 2 && q[0][0] == q[1][1] {
						want++
						if got[unit{axis, x, y, z}] != 1 {
							t.Fatalf("body %v: edge along %d at %d,%d,%d is drawn %d times", s.Boxes(), axis, x, y, z, got[unit{axis, x, y, z}])
						}
					}
				}
			}
		}
	}
	if len(got) != want {
		t.Fatalf("body %v: %d units of edge, want %d", s.Boxes(), len(got), want)
	}
}

func TestOutlinesEqualThoseOfTheVoxels(t *testing.T) {
	r := rand.New(rand.NewPCG(4, 1))
	for range 250 {
		s, g := randomSolid(r)
		checkFaces(t, s, g)
		checkEdges(t, s, g)
	}
}

func TestABlockHasTwelveEdgesAndSixFaces(t *testing.T) {
	whole := box(0, 0, 0, 30, 20, 10)
	for name, s := range map[string]Solid{
		"one block":                    New(whole),
		"two blocks glued together":    New(box(0, 0, 0, 13, 20, 10), box(13, 0, 0, 30, 20, 10)),
		"a mortise filled in again":    New(whole).Cut(box(5, 5, 0, 10, 10, 10)).Add(box(5, 5, 0, 10, 10, 10)),
		"blocks that overlap each way": New(box(0, 0, 0, 20, 20, 10), box(10, 0, 0, 30, 20, 10), box(0, 0, 5, 30, 20, 10)),
	} {
		t.Run(name, func(t *testing.T) {
			if e, f := s.Edges(), s.Faces(); len(e) != 12 || len(f) != 6 {
				t.Errorf("got %d edges and %d faces, want 12 and 6", len(e), len(f))
			}
		})
	}
	if e := New(whole).Cut(box(5, 5, 0, 10, 10, 10)).Edges(); len(e) != 24 {
		t.Errorf("a through mortise: got %d edges, want 24", len(e))
	}
}

func TestContactEqualsThatOfTheVoxels(t *testing.T) {
	r := rand.New(rand.NewPCG(5, 1))
	touching := 0
	for range 400 {
		a, ga := randomSolid(r)
		b, _ := randomSolid(r)
		b = b.Minus(a)
		gb := pictureOf(b)
		want := map[Direction]uint64{}
		var total uint64
		for x := range cells {
			for y := range cells {
				for z := range cells {
					for d := PlusX; d <= MinusZ; d++ {
						step := d.Times(1)
						if ga[x][y][z] && gb.at(x+int(step[0]), y+int(step[1]), z+int(step[2])) {
							want[d]++
							total++
						}
					}
				}
			}
		}
		got := map[Direction]Area{}
		patches := Contact(a, b)
		for i, f := range patches {
			got[f.Normal] = got[f.Normal].Add(f.Area())
			for _, h := range patches[i+1:] {
				if f.Normal == h.Normal && f.Min[f.Normal.Axis()] == h.Min[f.Normal.Axis()] {
					k := f.Normal.Axis()
					f, h := f, h
					f.Max[k]++
					h.Max[k]++
					if (Box{f.Min, f.Max}).Overlaps(Box{h.Min, h.Max}) {
						t.Fatalf("patches %v and %v overlap", f, h)
					}
				}
			}
		}
		for d := PlusX; d <= MinusZ; d++ {
			if got[d].Big().Uint64() != want[d] {
				t.Fatalf("contact of %v and %v towards %v: got %v, want %d", a.Boxes(), b.Boxes(), d, got[d].Big(), want[d])
			}
		}
		if ContactArea(a, b).Big().Uint64() != total {
			t.Fatalf("contact area of %v and %v: got %v, want %d", a.Boxes(), b.Boxes(), ContactArea(a, b).Big(), total)
		}
		if total > 0 {
			touching++
		}
	}
	if touching < 100 {
		t.Fatalf("only %d scenes touched", touching)
	}
}

func TestPairsEqualsEveryPairThatMeets(t *testing.T) {
	r := rand.New(rand.NewPCG(6, 1))
	for range 200 {
		boxes := make([]Box, r.IntN(30))
		for i := range boxes {
			p := Point{measure.Length(r.IntN(20)), measure.Length(r.IntN(5)), measure.Length(r.IntN(10))}
			boxes[i] = Box{p, p.Add(Point{1 + measure.Length(r.IntN(4)), 1, 1 + measure.Length(r.IntN(9))})}
		}
		var want [][2]int
		for i := range boxes {
			for j := i + 1; j < len(boxes); j++ {
				if boxes[i].Meets(boxes[j]) {
					want = append(want, [2]int{i, j})
				}
			}
		}
		got := Pairs(boxes)
		if len(got) != len(want) {
			t.Fatalf("%v: got %v, want %v", boxes, got, want)
		}
		for i := range got {
			if got[i] != want[i] {
				t.Fatalf("%v: got %v, want %v", boxes, got, want)
			}
		}
	}
}
