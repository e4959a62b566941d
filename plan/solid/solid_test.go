package solid

import (
	"math/big"
	"math/rand/v2"
	"testing"

	"pilewright/plan/measure"
)

func pictureOf(s Solid) grid {
	var g grid
	for x := range cells {
		for y := range cells {
			for z := range cells {
				g[x][y][z] = s.Has(Point{measure.Length(x), measure.Length(y), measure.Length(z)})
			}
		}
	}
	return g
}

func TestBodiesEqualTheirVoxels(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 1))
	for range 600 {
		a, ga := randomSolid(r)
		b, gb := randomSolid(r)
		if got := pictureOf(a); got != ga {
			t.Fatalf("body %v fills other cubes than were set", a.Boxes())
		}
		if got, want := a.Volume().Big().Uint64(), ga.count(); got != want {
			t.Fatalf("volume of %v: got %d, want %d", a.Boxes(), got, want)
		}
		var both, either, only grid
		for x := range cells {
			for y := range cells {
				for z := range cells {
					p, q := ga[x][y][z], gb[x][y][z]
					both[x][y][z], either[x][y][z], only[x][y][z] = p && q, p || q, p && !q
				}
			}
		}
		for _, c := range []struct {
			name string
			got  Solid
			want grid
		}{{"union", a.Union(b), either}, {"difference", a.Minus(b), only}, {"common part", a.Intersect(b), both}} {
			if pictureOf(c.got) != c.want || c.got.Volume().Big().Uint64() != c.want.count() {
				t.Fatalf("%s of %v and %v is wrong: %v", c.name, a.Boxes(), b.Boxes(), c.got.Boxes())
			}
		}
		if got, want := OverlapVolume(a, b).Big().Uint64(), both.count(); got != want || a.Overlaps(b) != (want > 0) {
			t.Fatalf("overlap of %v and %v: got %d, want %d", a.Boxes(), b.Boxes(), got, want)
		}
		if got, want := a.Contains(b), gb == both; got != want {
			t.Fatalf("%v contains %v: got %v, want %v", a.Boxes(), b.Boxes(), got, want)
		}
		if got, want := a.Equal(b), ga == gb; got != want || (a.Compare(b) == 0) != want {
			t.Fatalf("%v equal to %v: got %v, want %v", a.Boxes(), b.Boxes(), got, want)
		}
	}
}

func TestTheListOfBoxesDependsOnThePointsOnly(t *testing.T) {
	r := rand.New(rand.NewPCG(2, 1))
	for range 300 {
		s, g := randomSolid(r)
		var cubes []Box
		for x := range cells {
			for y := range cells {
				for z := range cells {
					if g[x][y][z] {
						p := Point{measure.Length(x), measure.Length(y), measure.Length(z)}
						cubes = append(cubes, Box{p, p.Add(Point{1, 1, 1})})
					}
				}
			}
		}
		r.Shuffle(len(cubes), func(i, j int) { cubes[i], cubes[j] = cubes[j], cubes[i] })
		if again := New(cubes...); !again.Equal(s) {
			t.Fatalf("built from cubes: %v\nbuilt from cuts: %v", again.Boxes(), s.Boxes())
		}
		for i, b := range s.Boxes() {
			if !b.Valid() {
				t.Fatalf("box %d of %v has no volume", i, s.Boxes())
			}
			for _, c := range s.Boxes()[i+1:] {
				if b.Overlaps(c) {
					t.Fatalf("boxes %v and %v overlap", b, c)
				}
			}
		}
	}
}

func TestALegWithTwoMortisesIsAHandfulOfBoxes(t *testing.T) {
	leg := New(box(0, 0, 0, 60, 60, 700)).
		Cut(box(20, 0, 600, 40, 40, 680)).
		Cut(box(0, 20, 600, 40, 40, 680))
	want := uint64(60*60*700 - 20*40*80 - 40*20*80 + 20*20*80)
	if got := new(big.Int).Div(leg.Volume().Big(), big.NewInt(1e18)); got.Uint64() != want {
		t.Errorf("volume: got %v mm³, want %d", got, want)
	}
	if n := len(leg.Boxes()); n > 8 {
		t.Errorf("got %d boxes, want at most 8: %v", n, leg.Boxes())
	}
}

func TestVolumesLargerThan64BitsAreExact(t *testing.T) {
	for _, c := range [][3]int64{{3_000_000_001, 2_000_000_003, 1_000_000_007}, {4e12, 4e12, 4e12}, {1, 1, 1}} {
		b := Box{Max: Point{measure.Length(c[0]), measure.Length(c[1]), measure.Length(c[2])}}
		want := new(big.Int).Mul(big.NewInt(c[0]), big.NewInt(c[1]))
		want.Mul(want, big.NewInt(c[2]))
		if got := b.Volume().Big(); got.Cmp(want) != 0 {
			t.Errorf("%v: got %v, want %v", c, got, want)
		}
		if got, want := b.Volume().Measure(), measure.VolumeOf(measure.Length(c[0]), measure.Length(c[1]), measure.Length(c[2])); got != want {
			t.Errorf("%v as a measure: got %v, want %v", c, got, want)
		}
		if got, want := rectangle(measure.Length(c[0]), measure.Length(c[1])).Measure(), measure.AreaOf(measure.Length(c[0]), measure.Length(c[1])); got != want {
			t.Errorf("%v as an area: got %v, want %v", c, got, want)
		}
		twice := want.Add(want, want)
		if got := b.Volume().Add(b.Volume()).Big(); got.Cmp(twice) != 0 {
			t.Errorf("twice %v: got %v, want %v", c, got, twice)
		}
	}
}

func TestTurnsFormAGroupOfFortyEight(t *testing.T) {
	all := append(Turns(false), Turns(true)...)
	if len(all) != 48 || all[0] != Identity {
		t.Fatalf("got %d turns, first %v", len(all), all[0])
	}
	seen := map[Turn]bool{}
	p := Point{1, 2, 4}
	for _, a := range all {
		seen[a] = true
		if a.Then(a.Inverse()) != Identity {
			t.Errorf("%v: its inverse does not undo it", a)
		}
		for _, b := range all {
			if got, want := a.Then(b).Point(p), b.Point(a.Point(p)); got != want {
				t.Fatalf("%v then %v: got %v, want %v", a, b, got, want)
			}
			if a.Then(b).Mirrors() != (a.Mirrors() != b.Mirrors()) {
				t.Fatalf("%v then %v mirrors wrongly", a, b)
			}
		}
		for d := PlusX; d <= MinusZ; d++ {
			if got, want := a.Direction(d).Times(3), a.Point(d.Times(3)); got != want {
				t.Errorf("%v of %v: got %v, want %v", a, d, got, want)
			}
		}
	}
	if len(seen) != 48 {
		t.Errorf("only %d of the turns differ", len(seen))
	}
}

func TestTurningABodyTurnsItsVoxels(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 1))
	for range 60 {
		s, g := randomSolid(r)
		for _, turn := range append(Turns(false), Turns(true)...) {
			// Turn about the middle of the grid so that the picture stays in it.
			var shift Point
			for k := range 3 {
				if turn.Flip[k] {
					shift[k] = cells
				}
			}
			turned := s.Turn(turn)
			if !turned.Equal(New(turned.Boxes()...)) {
				t.Fatalf("turn %v of %v is not in slabs: %v", turn, s.Boxes(), turned.Boxes())
			}
			got := pictureOf(turned.Translate(shift))
			for x := range cells {
				for y := range cells {
					for z := range cells {
						from := [3]int{x, y, z}
						var to [3]int
						for k := range 3 {
							to[k] = from[turn.From[k]]
							if turn.Flip[k] {
								to[k] = cells - 1 - to[k]
							}
						}
						if got[to[0]][to[1]][to[2]] != g[x][y][z] {
							t.Fatalf("turn %v of %v: cube %v is wrong", turn, s.Boxes(), from)
						}
					}
				}
			}
		}
	}
}

func FuzzSolid(f *testing.F) {
	f.Add([]byte{0, 0, 0, 6, 6, 6, 0, 2, 2, 2, 4, 4, 4, 1})
	f.Add([]byte{0, 0, 0, 1, 1, 1, 0, 1, 1, 1, 2, 2, 2, 0})
	f.Fuzz(func(t *testing.T, data []byte) {
		var s Solid
		var g grid
		for len(data) >= 7 && len(data) <= 7*40 {
			var b Box
			for k := range 3 {
				p, q := measure.Length(data[k]%cells), measure.Length(data[k+3]%cells)
				b.Min[k], b.Max[k] = min(p, q), max(p, q)+1
			}
			cut := data[6]&1 == 1
			if cut {
				s = s.Cut(b)
			} else {
				s = s.Add(b)
			}
			g.set(b, !cut)
			data = data[7:]
		}
		if pictureOf(s) != g {
			t.Fatalf("%v fills other cubes than were set", s.Boxes())
		}
		if got := New(s.Boxes()...); !got.Equal(s) {
			t.Fatalf("joined again: %v, was %v", got.Boxes(), s.Boxes())
		}
		checkFaces(t, s, g)
		checkEdges(t, s, g)
	})
}
