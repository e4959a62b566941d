package assembly

import (
	"fmt"
	"math/rand/v2"
	"slices"
	"testing"

	"pilewright/plan/measure"
	"pilewright/plan/solid"
)

// tableCopies gives the table's bodies as copies with frames of their own: legs
// stand, rails and top lie with their grain along the longest side.
func tableCopies() ([]Copy, []solid.Mate, []Joint) {
	bodies, joints := table()
	var copies []Copy
	for _, b := range bodies {
		size := b.Solid.Bounds().Size()
		turn := solid.Identity // from the local frame to the piece
		switch {
		case size[2] > size[0] && size[2] > size[1]: // a leg: the grain goes up
			turn = solid.Turn{From: [3]int{1, 2, 0}}
		case size[1] > size[0]: // a short rail on edge: the grain goes back
			turn = solid.Turn{From: [3]int{2, 0, 1}}
		case size[2] > size[1]: // a long rail on edge
			turn = solid.Turn{From: [3]int{0, 2, 1}, Flip: [3]bool{false, true, false}}
		}
		local := b.Solid.Turn(turn.Inverse())
		least := local.Bounds().Min
		copies = append(copies, Copy{ID: b.ID, Local: local.Translate(solid.Point{}.Sub(least)), Turn: turn, At: turn.Point(least)})
	}
	var mates []solid.Mate
	for _, j := range joints {
		if j.Dry {
			continue
		}
		var a, b solid.Solid
		for _, body := range bodies {
			if body.ID == j.A {
				a = body.Solid
			}
			if body.ID == j.B {
				b = body.Solid
			}
		}
		// The tenon is the wood of the rail within the leg's bounds.
		tenon := solid.New(a.Bounds()).Intersect(b).Bounds()
		r := solid.Rounded{Box: tenon, Axis: j.Dir.Axis()}
		mates = append(mates, solid.Mate{ID: j.ID, A: j.A, B: j.B, Dir: j.Dir, Mortise: r, Tenon: r})
	}
	return copies, mates, joints
}

func TestTheLegsOfATableAreHanded(t *testing.T) {
	copies, mates, _ := tableCopies()
	var bodies []solid.Body
	for _, c := range copies {
		bodies = append(bodies, c.Body())
	}
	if r := solid.Fit(bodies, mates); !r.OK() {
		t.Fatalf("the copies do not fit at their places: %+v", r)
	}
	m := Mark(copies)
	// Opposite corners of the table take the same leg, turned half round; its
	// neighbours are its mirror images, because the two mortises sit at different
	// heights.
	want := []Group{{"A", []string{"leg fl", "leg br"}}, {"B", []string{"leg bl", "leg fr"}}, {"C", []string{"rail l", "rail r"}}, {"D", []string{"rail f", "rail b"}}, {"E", []string{"top"}}}
	if fmt.Sprint(m.Groups) != fmt.Sprint(want) {
		t.Errorf("groups: got %v, want %v", m.Groups, want)
	}
	if len(m.LookAlikes) != 1 || m.LookAlikes[0].A != "A" || m.LookAlikes[0].B != "B" || m.LookAlikes[0].Like != Handed || len(m.LookAlikes[0].Differ()) == 0 {
		t.Errorf("look-alikes: got %+v, want A and B handed", m.LookAlikes)
	}
	if m.Marks["leg fl"] != "A1" || m.Marks["leg br"] != "A2" || m.Marks["top"] != "E1" {
		t.Errorf("marks: got %v", m.Marks)
	}
}

func TestSwappingCopiesOfATable(t *testing.T) {
	copies, mates, _ := tableCopies()
	index := func(id string) int { return slices.IndexFunc(copies, func(c Copy) bool { return c.ID == id }) }
	for _, c := range []struct {
		name, a, b string
		misfits    []string
		harmless   bool
	}{
		{"legs of opposite corners", "leg fl", "leg br", nil, true},
		{"the two short rails", "rail l", "rail r", nil, true},
		{"a left leg for a right one", "leg fl", "leg fr", []string{"rail l/leg fl", "rail f/leg fl", "rail r/leg fr", "rail f/leg fr"}, false},
	} {
		t.Run(c.name, func(t *testing.T) {
			s := SwapEffect(copies, mates, index(c.a), index(c.b))
			var got []string
			for _, m := range s.Misfits {
				got = append(got, m.Mate)
				if m.Overlap.IsZero() && len(m.Faults) == 0 {
					t.Errorf("%+v says nothing is wrong", m)
				}
			}
			if s.Harmless() != c.harmless {
				t.Errorf("harmless: got %v, want %v: %+v", s.Harmless(), c.harmless, s)
			}
			if c.harmless {
				return
			}
			// Held either way, a wrong leg can keep one of its two joints at most.
			for _, id := range got {
				if !slices.Contains(c.misfits, id) {
					t.Errorf("misfit at %s, which is none of %v", id, c.misfits)
				}
			}
			if len(got) < 2 {
				t.Errorf("misfits %v, want at least one at either leg", got)
			}
		})
	}
}

func TestJointNumbersAndWhereTheyAreWritten(t *testing.T) {
	copies, _, joints := tableCopies()
	marks := MarkJoints(copies, placed(copies), joints)
	if len(marks) != len(joints) {
		t.Fatalf("got %d marks for %d joints", len(marks), len(joints))
	}
	turnOf := map[string]solid.Turn{}
	for _, c := range copies {
		turnOf[c.ID] = c.Turn
	}
	for _, c := range []struct {
		joint      string
		a, b       solid.Direction // in the piece's space
		aEnd, bEnd End
	}{
		// The mortise's face looks along the rail; the rail's mark is on its broad
		// face that looks into the table.
		{"rail l/leg fl", solid.PlusY, solid.PlusX, Far, Start},
		{"rail f/leg fr", solid.MinusX, solid.PlusY, Far, Far},
		{"rail b/leg bl", solid.PlusX, solid.MinusY, Far, Start},
		// The top's mark is under it.
		{"top/rail l", solid.PlusZ, solid.MinusZ, Middle, Start},
		{"top/rail f", solid.PlusZ, solid.MinusZ, Middle, Middle},
	} {
		n := slices.IndexFunc(marks, func(m JointMark) bool { return m.Joint == c.joint })
		m := marks[n]
		if m.Number != n+1 {
			t.Errorf("%s: number %d, want %d", c.joint, m.Number, n+1)
		}
		if got := turnOf[m.A.Copy].Direction(m.A.Face); got != c.a || m.A.End != c.aEnd {
			t.Errorf("%s on %s: got %v %v, want %v %v", c.joint, m.A.Copy, got, m.A.End, c.a, c.aEnd)
		}
		if got := turnOf[m.B.Copy].Direction(m.B.Face); got != c.b || m.B.End != c.bEnd {
			t.Errorf("%s on %s: got %v %v, want %v %v", c.joint, m.B.Copy, got, m.B.End, c.b, c.bEnd)
		}
	}
}

// placed gives the bodies of copies at their places.
func placed(copies []Copy) []solid.Solid {
	out := make([]solid.Solid, len(copies))
	for i, c := range copies {
		out[i] = c.Body().Solid
	}
	return out
}

func TestTheEndOfAPartIsItsThird(t *testing.T) {
	long := Copy{ID: "long", Local: solid.New(box(0, 0, 0, 900, 50, 20)), Turn: solid.Identity, At: solid.Point{7 * mm, 0, 0}}
	for x, want := range map[int]End{100: Start, 299: Start, 301: Middle, 599: Middle, 601: Far, 800: Far} {
		peg := Copy{ID: "peg", Local: solid.New(box(x+7-10, 0, 20, x+7+10, 50, 30)), Turn: solid.Identity}
		both := []Copy{long, peg}
		m := MarkJoints(both, placed(both), []Joint{{ID: "j", A: "long", B: "peg"}})
		if got := m[0].A; got.End != want || got.Face != solid.PlusZ || m[0].B.Face != solid.MinusZ {
			t.Errorf("a joint %d mm from the start: got %+v and %+v, want %s, +z and -z", x, got, m[0].B, want)
		}
	}
}

func TestLookAlikesTellTheLeastDifference(t *testing.T) {
	a := solid.New(box(0, 0, 0, 300, 50, 20)).Cut(box(20, 10, 0, 40, 20, 20))
	small := box(100, 0, 0, 101, 1, 1)
	b := a.Cut(small).Turn(solid.Turn{From: [3]int{0, 1, 2}, Flip: [3]bool{true, true, false}})
	m := Mark([]Copy{{ID: "a", Local: a}, {ID: "b", Local: b}})
	if len(m.LookAlikes) != 1 || m.LookAlikes[0].Like != SameOutline || !slices.Equal(m.LookAlikes[0].Differ(), []solid.Box{small}) {
		t.Errorf("got %+v, want the small cut only", m.LookAlikes)
	}
}

func TestARailWithTheThinnerTenonIsMissed(t *testing.T) {
	post := solid.New(box(0, 0, 0, 60, 60, 700))
	tenon := map[string]solid.Box{"thick": box(30, 20, 610, 60, 40, 640), "thin": box(30, 20, 110, 60, 30, 140)}
	copies := []Copy{{ID: "post", Local: post.Cut(tenon["thick"], tenon["thin"]), Turn: solid.Identity}}
	var mates []solid.Mate
	for _, id := range []string{"thick", "thin"} {
		z := int(tenon[id].Min[2] / mm)
		copies = append(copies, Copy{ID: id, Local: solid.New(box(60, 10, z-10, 500, 50, z+40), tenon[id]), Turn: solid.Identity})
		r := solid.Rounded{Box: tenon[id]}
		mates = append(mates, solid.Mate{ID: id + " joint", A: "post", B: id, Dir: solid.MinusX, Mortise: r, Tenon: r})
	}
	s := SwapEffect(copies, mates, 1, 2)
	if len(s.Misfits) != 2 || s.Misfits[0].Mate != "thick joint" || !slices.Equal(s.Misfits[0].Faults, []solid.FaultKind{solid.TenonMissing}) || s.Misfits[0].Overlap != (solid.Volume{}) {
		t.Fatalf("got %+v, want the thick joint's tenon missing", s.Misfits)
	}
	if want := solid.New(box(0, 0, 0, 30, 10, 30)).Volume(); s.Misfits[1].Mate != "thin joint" || s.Misfits[1].Overlap != want {
		t.Errorf("got %+v, want the thin joint overlapping by %v", s.Misfits[1], want)
	}
}

func TestAJointBetweenTheExchangedCopiesIsToldOnce(t *testing.T) {
	// A halved crossing, not at half the thickness.
	lap := box(40, 0, 4, 60, 20, 10)
	copies := []Copy{
		{ID: "under", Local: solid.New(box(0, 0, 0, 100, 20, 10)).Cut(lap), Turn: solid.Identity},
		{ID: "over", Local: solid.New(box(0, 0, 0, 100, 20, 10)).Cut(box(40, 0, 0, 60, 20, 4)),
			Turn: solid.Turn{From: [3]int{1, 0, 2}, Flip: [3]bool{true, false, false}}, At: solid.Point{60 * mm, -40 * mm, 0}},
	}
	r := solid.Rounded{Box: lap}
	mates := []solid.Mate{{ID: "lap", A: "under", B: "over", Dir: solid.MinusZ, Mortise: r, Tenon: r}}
	if fit := solid.Fit([]solid.Body{copies[0].Body(), copies[1].Body()}, mates); !fit.OK() {
		t.Fatalf("the crossing does not fit: %+v", fit)
	}
	if s := SwapEffect(copies, mates, 0, 1); len(s.Misfits) != 1 || s.Misfits[0].Mate != "lap" {
		t.Errorf("got %+v, want the lap once", s.Misfits)
	}
}

func TestWaysToHoldABlock(t *testing.T) {
	for _, c := range []struct {
		name     string
		size     solid.Point
		anyGrain bool
		want     int
	}{
		{"a plain block", solid.Point{3, 2, 1}, false, 4},
		{"a plain block without grain", solid.Point{3, 2, 1}, true, 4},
		{"a square section", solid.Point{3, 2, 2}, false, 8},
		{"a square panel must keep its grain", solid.Point{3, 3, 1}, false, 4},
		{"a square panel without grain", solid.Point{3, 3, 1}, true, 8},
		{"a cube must keep its grain", solid.Point{2, 2, 2}, false, 8},
		{"a cube without grain", solid.Point{2, 2, 2}, true, 24},
	} {
		t.Run(c.name, func(t *testing.T) {
			block := solid.New(solid.Box{Max: c.size})
			got := 0
			for _, turn := range turns(c.anyGrain, false) {
				if held(block, turn).Equal(block) {
					got++
				}
			}
			if got != c.want {
				t.Errorf("got %d ways, want %d", got, c.want)
			}
		})
	}
}

func TestLettersGoOnBeyondZ(t *testing.T) {
	for n, want := range map[int]string{1: "A", 26: "Z", 27: "AA", 52: "AZ", 53: "BA", 702: "ZZ", 703: "AAA"} {
		if got := Letters(n); got != want {
			t.Errorf("%d: got %s, want %s", n, got, want)
		}
	}
	seen := map[string]bool{}
	for n := 1; n <= 20000; n++ {
		if seen[Letters(n)] {
			t.Fatalf("%s is given twice", Letters(n))
		}
		seen[Letters(n)] = true
	}
}

// cubesOf is a small body as a set of cubes, least corner at the origin.
func cubesOf(s solid.Solid) map[[3]int]bool {
	out := map[[3]int]bool{}
	least := s.Bounds().Min
	size := s.Bounds().Size()
	for x := range int(size[0]) {
		for y := range int(size[1]) {
			for z := range int(size[2]) {
				if s.Has(least.Add(solid.Point{measure.Length(x), measure.Length(y), measure.Length(z)})) {
					out[[3]int{x, y, z}] = true
				}
			}
		}
	}
	return out
}

// alike reports whether one set of cubes becomes the other under some matrix of
// ones that keeps (or swaps) the hand, tried over all 3^9 candidate matrices.
func alike(a, b map[[3]int]bool, hand int, keepGrain bool) bool {
	if len(a) != len(b) {
		return false
	}
	for _, m := range matrices {
		det := m[0]*(m[4]*m[8]-m[5]*m[7]) - m[1]*(m[3]*m[8]-m[5]*m[6]) + m[2]*(m[3]*m[7]-m[4]*m[6])
		if det != hand || keepGrain && m[0] == 0 {
			continue
		}
		moved := make([][3]int, 0, len(a))
		least := [3]int{1 << 30, 1 << 30, 1 << 30}
		for c := range a {
			var d [3]int
			for r := range 3 {
				d[r] = m[3*r]*c[0] + m[3*r+1]*c[1] + m[3*r+2]*c[2]
				least[r] = min(least[r], d[r])
			}
			moved = append(moved, d)
		}
		same := true
		for _, d := range moved {
			if !b[[3]int{d[0] - least[0], d[1] - least[1], d[2] - least[2]}] {
				same = false
				break
			}
		}
		if same {
			return true
		}
	}
	return false
}

// matrices are the signed permutation matrices, found by their definition.
var matrices = func() [][9]int {
	var out [][9]int
	for code := range 19683 {
		var m [9]int
		for i, n := 0, code; i < 9; i, n = i+1, n/3 {
			m[i] = n%3 - 1
		}
		ok := true
		for r := range 3 {
			row, column := 0, 0
			for c := range 3 {
				row += m[3*r+c] * m[3*r+c]
				column += m[3*c+r] * m[3*c+r]
			}
			ok = ok && row == 1 && column == 1
		}
		if ok {
			out = append(out, m)
		}
	}
	return out
}()

func TestMarksEqualTryingEveryWayToHoldACopy(t *testing.T) {
	if len(matrices) != 48 {
		t.Fatalf("%d matrices", len(matrices))
	}
	r := rand.New(rand.NewPCG(5, 5))
	likes := map[Likeness]int{}
	same := 0
	for range 120 * full() {
		anyGrain := r.IntN(2) == 0
		size := [3]int{2 + r.IntN(2), 2 + r.IntN(2), 2 + r.IntN(2)}
		var copies []Copy
		for n := range 8 {
			s := solid.New(solid.Box{Max: solid.Point{measure.Length(size[0]), measure.Length(size[1]), measure.Length(size[2])}})
			for range 1 + r.IntN(3) {
				p := solid.Point{measure.Length(r.IntN(size[0])), measure.Length(r.IntN(size[1])), measure.Length(r.IntN(size[2]))}
				s = s.Cut(solid.Box{Min: p, Max: p.Add(solid.Point{1, 1, 1})})
			}
			if s.Empty() {
				continue
			}
			copies = append(copies, Copy{ID: fmt.Sprint(n), Kind: []string{"oak", "pine"}[r.IntN(4)/3], Local: s.Translate(solid.Point{5, -3, 7}), AnyGrain: anyGrain})
		}
		m := Mark(copies)
		letter := func(id string) string {
			g := slices.IndexFunc(m.Groups, func(g Group) bool { return slices.Contains(g.Copies, id) })
			return m.Groups[g].Letter
		}
		for i, a := range copies {
			for _, b := range copies[:i] {
				x, y := cubesOf(a.Local), cubesOf(b.Local)
				equal := alike(x, y, 1, !anyGrain)
				if got, want := letter(a.ID) == letter(b.ID), equal && a.Kind == b.Kind; got != want {
					t.Fatalf("%v and %v interchangeable: got %v, want %v", a, b, got, want)
				}
				if letter(a.ID) == letter(b.ID) {
					same++
					continue
				}
				var like Likeness
				p, q := a.Local.Bounds().Size(), b.Local.Bounds().Size()
				keep := 1
				if anyGrain {
					keep = 0
				}
				slices.Sort(p[keep:])
				slices.Sort(q[keep:])
				switch {
				case equal:
					like = SameShape
				case alike(x, y, -1, !anyGrain):
					like = Handed
				case p == q:
					like = SameOutline
				}
				n := slices.IndexFunc(m.LookAlikes, func(l LookAlike) bool {
					return l.A == letter(a.ID) && l.B == letter(b.ID) || l.B == letter(a.ID) && l.A == letter(b.ID)
				})
				var got Likeness
				if n >= 0 {
					got = m.LookAlikes[n].Like
				}
				if got != like {
					t.Fatalf("%v and %v are alike: got %q, want %q", a, b, got, like)
				}
				likes[like]++
			}
		}
	}
	if same < 100 || likes[Handed] < 20 || likes[SameOutline] < 100 || likes[SameShape] < 50 {
		t.Fatalf("too few cases: %d interchangeable, %v", same, likes)
	}
}

func TestInterchangeableCopiesSwapWithoutHarm(t *testing.T) {
	r := rand.New(rand.NewPCG(6, 6))
	swaps, spoilt := 0, 0
	for range 80 {
		bodies, _ := randomPiece(r, 6)
		var copies []Copy
		for _, b := range bodies {
			turn := solid.Turns(false)[r.IntN(24)]
			local := b.Solid.Turn(turn.Inverse())
			copies = append(copies, Copy{ID: b.ID, Local: local, Turn: turn})
			if got := copies[len(copies)-1].Body().Solid; !got.Equal(b.Solid) {
				t.Fatalf("%v placed again: %v", b, got)
			}
		}
		m := Mark(copies)
		for i := range copies {
			for j := range i {
				s := SwapEffect(copies, nil, i, j)
				same := slices.ContainsFunc(m.Groups, func(g Group) bool {
					return slices.Contains(g.Copies, copies[i].ID) && slices.Contains(g.Copies, copies[j].ID)
				})
				if s.Harmless() != same {
					t.Fatalf("%v for %v: harmless %v, interchangeable %v: %+v", copies[i], copies[j], s.Harmless(), same, s)
				}
				if same {
					swaps++
				} else {
					spoilt++
				}
			}
		}
	}
	if swaps < 20 || spoilt < 100 {
		t.Fatalf("only %d harmless and %d harmful swaps were met", swaps, spoilt)
	}
}

func BenchmarkMark(b *testing.B) {
	for _, n := range []int{58, 998} {
		bodies, joints := slattedBench(n)
		var copies []Copy
		for _, body := range bodies {
			copies = append(copies, Copy{ID: body.ID, Local: body.Solid, Turn: solid.Identity})
		}
		b.Run(fmt.Sprint(n+2, " copies"), func(b *testing.B) {
			for b.Loop() {
				Mark(copies)
				MarkJoints(copies, placed(copies), joints)
			}
		})
	}
}
