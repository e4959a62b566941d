package assembly

import (
	"slices"
	"strconv"

	"pilewright/plan/measure"
	"pilewright/plan/solid"
)

// Copy is one finished copy of a part.
type Copy struct {
	ID string
	// Kind holds what must agree besides the shape for copies to be exchanged: the
	// species, the grade. It is compared only.
	Kind string
	// Local is the wood in the part's own frame: X along the grain, Y across the
	// width, Z through the thickness.
	Local solid.Solid
	// Turn and At place it in the piece: turned about the origin first, then moved.
	Turn solid.Turn
	At   solid.Point
	// AnyGrain is set for stock without grain. Otherwise a copy may be turned end
	// for end, and about its length, but never so that its grain runs another way.
	AnyGrain bool
}

// Body is the copy at its place in the piece.
func (c Copy) Body() solid.Body {
	return solid.Body{ID: c.ID, Solid: c.Local.Turn(c.Turn).Translate(c.At)}
}

// turns lists the ways to hold a part: four of them bring a plain block back to
// its own outline, eight one of square section, and all 24 a cube without grain.
func turns(anyGrain, mirrored bool) []solid.Turn {
	all := solid.Turns(mirrored)
	if anyGrain {
		return all
	}
	return slices.DeleteFunc(all, func(t solid.Turn) bool { return t.From[0] != 0 })
}

// held gives the wood turned, with the least corner of its bounds at the origin.
func held(s solid.Solid, t solid.Turn) solid.Solid {
	s = s.Turn(t)
	return s.Translate(solid.Point{}.Sub(s.Bounds().Min))
}

// Likeness says why copies that are not interchangeable may be mistaken.
type Likeness string

// The ways to be mistaken.
const (
	Handed      Likeness = "handed"       // mirror images: left and right
	SameOutline Likeness = "same-outline" // of one size, but cut differently
	SameShape   Likeness = "same-shape"   // of one shape, but of another kind
)

// Group is copies any of which may take the place of any other.
type Group struct {
	Letter string
	Copies []string
}

// LookAlike is a pair of groups that may be mistaken for each other.
type LookAlike struct {
	A, B string // letters
	Like Likeness
	a, b Copy // the first of either group
}

// Marking is what is written on the copies.
type Marking struct {
	Groups     []Group
	Marks      map[string]string // a copy's mark, such as A1, by its ID
	LookAlikes []LookAlike
}

// Mark finds which copies are interchangeable and gives every copy its mark: a
// letter for each group in the order of its first copy, and a number within it in
// the order given. Copies are interchangeable when they are of one kind and the
// same wood under some way of holding them. Deterministic.
func Mark(copies []Copy) Marking {
	out := Marking{Marks: make(map[string]string, len(copies))}
	type form struct {
		shape, mirror, outline string
		first                  Copy
	}
	type kind struct{ shape, name string }
	seen := map[string]string{} // the shape by the wood as given: most copies are given alike
	at := map[kind]int{}
	var forms []form
	var raw []byte
	for _, c := range copies {
		raw = append(c.Local.Shape(raw[:0]), grain(c)...)
		shape, ok := seen[string(raw)]
		if !ok {
			shape = least(c, false)
			seen[string(raw)] = shape
		}
		key := kind{shape, c.Kind}
		g, ok := at[key]
		if !ok {
			g = len(forms)
			at[key] = g
			forms = append(forms, form{shape, least(c, true), outline(c), c})
			out.Groups = append(out.Groups, Group{Letter: Letters(g + 1)})
		}
		group := &out.Groups[g]
		group.Copies = append(group.Copies, c.ID)
		out.Marks[c.ID] = group.Letter + strconv.Itoa(len(group.Copies))
	}
	byOutline := map[string][]int{}
	for h, f := range forms {
		for _, g := range byOutline[f.outline] {
			l := LookAlike{A: out.Groups[g].Letter, B: out.Groups[h].Letter, a: forms[g].first, b: f.first}
			switch {
			case forms[g].shape == f.shape:
				l.Like = SameShape
			case forms[g].mirror == f.shape:
				l.Like = Handed
			default:
				l.Like = SameOutline
			}
			out.LookAlikes = append(out.LookAlikes, l)
		}
		byOutline[f.outline] = append(byOutline[f.outline], h)
	}
	slices.SortStableFunc(out.LookAlikes, func(a, b LookAlike) int {
		return order(out.Groups, a.A) - order(out.Groups, b.A)
	})
	return out
}

func order(groups []Group, letter string) int {
	return slices.IndexFunc(groups, func(g Group) bool { return g.Letter == letter })
}

// Letters numbers groups 1, 2, ... as A to Z, AA to AZ, BA and so on.
func Letters(n int) string {
	var b []byte
	for ; n > 0; n = (n - 1) / 26 {
		b = append(b, 'A'+byte((n-1)%26))
	}
	slices.Reverse(b)
	return string(b)
}

// least is the key of the wood held in the way that sorts first: the same for
// every copy that can be held alike.
func least(c Copy, mirrored bool) string {
	var best solid.Solid
	for i, t := range turns(c.AnyGrain, mirrored) {
		if s := held(c.Local, t); i == 0 || s.Compare(best) < 0 {
			best = s
		}
	}
	return string(append(best.Shape(nil), grain(c)...))
}

func grain(c Copy) string {
	if c.AnyGrain {
		return "any"
	}
	return "x"
}

// outline is the key of the size, whichever way the copy is held.
func outline(c Copy) string {
	size := c.Local.Bounds().Size()
	if c.AnyGrain {
		slices.Sort(size[:])
	} else {
		slices.Sort(size[1:])
	}
	return string(append(solid.New(solid.Box{Max: size}).Shape(nil), grain(c)...))
}

// Differ is where the wood of one is and that of the other is not, in the frame
// of A's first copy with its least corner at the origin, with B's held so that
// they differ least. Empty for SameShape.
func (l LookAlike) Differ() []solid.Box {
	x := held(l.a.Local, solid.Identity)
	var best solid.Solid
	for i, t := range turns(l.b.AnyGrain, false) {
		y := held(l.b.Local, t)
		if d := x.Minus(y).Union(y.Minus(x)); i == 0 || d.Volume().Cmp(best.Volume()) < 0 {
			best = d
		}
	}
	return best.Boxes()
}

// End is a place along the length of a part.
type End string

// The places, by the part's own X.
const (
	Start  End = "start"  // the third next to X = 0
	Middle End = "middle" // the third between
	Far    End = "far"    // the third at the other end
)

// Spot is where a joint's number is written on a copy.
type Spot struct {
	Copy string
	Face solid.Direction // in the part's own frame
	End  End
}

// JointMark is the number written on both sides of a joint.
type JointMark struct {
	Joint  string
	Number int
	A, B   Spot
}

// MarkJoints numbers the joints 1, 2, 3 ... in the order given and says where the
// number goes on either copy: on the face that will be covered, or, where that is
// the end of the part, on the face beside it that looks into the piece. Joints
// that name an unknown copy are left out. bodies are those of the copies, at their
// places.
func MarkJoints(copies []Copy, bodies []solid.Solid, joints []Joint) []JointMark {
	index := make(map[string]int, len(copies))
	var piece solid.Box
	for i, c := range copies {
		index[c.ID] = i
		if i == 0 {
			piece = bodies[i].Bounds()
		}
		piece = piece.Hull(bodies[i].Bounds())
	}
	out := make([]JointMark, 0, len(joints))
	for n, j := range joints {
		a, okA := index[j.A]
		b, okB := index[j.B]
		if !okA || !okB {
			continue
		}
		where, normal := seat(bodies[a], bodies[b])
		dir := j.Dir
		if dir == solid.None {
			dir = normal.Opposite() // B comes against the way A looks
		}
		out = append(out, JointMark{
			Joint: j.ID, Number: n + 1,
			A: copies[a].spot(where, dir.Opposite(), piece),
			B: copies[b].spot(where, dir, piece),
		})
	}
	return out
}

// seat is the box around the faces where B meets A, and the way A looks on the
// largest of them.
func seat(a, b solid.Solid) (where solid.Box, normal solid.Direction) {
	faces := solid.Contact(a, b)
	if len(faces) == 0 {
		// A panel with air all round it: where its bounds enter the other's.
		return a.Bounds().Intersect(b.Bounds()), solid.None
	}
	var most solid.Area
	for i, f := range faces {
		box := solid.Box{Min: f.Min, Max: f.Max}
		if i == 0 {
			where = box
		}
		where = where.Hull(box)
		if f.Area().Cmp(most) > 0 {
			most, normal = f.Area(), f.Normal
		}
	}
	return where, normal
}

// spot finds where on the copy the joint at where is marked; covered is the way
// the face looks that the joint will cover.
func (c Copy) spot(where solid.Box, covered solid.Direction, piece solid.Box) Spot {
	back := c.Turn.Inverse()
	here := back.Box(where.Translate(solid.Point{}.Sub(c.At)))
	bounds := c.Local.Bounds()
	length := bounds.Max[0] - bounds.Min[0]
	middle2 := here.Min[0] + here.Max[0] - 2*bounds.Min[0] // twice its distance from the start
	end := Middle
	switch {
	case 3*middle2 < 2*length:
		end = Start
	case 3*middle2 > 4*length:
		end = Far
	}
	face := back.Direction(covered)
	if face == solid.None || face.Axis() == 0 {
		face = c.inner(piece)
	}
	return Spot{Copy: c.ID, Face: face, End: end}
}

// inner is the broad face that looks towards the middle of the piece.
func (c Copy) inner(piece solid.Box) solid.Direction {
	own := c.Turn.Box(c.Local.Bounds()).Translate(c.At)
	up := c.Turn.Direction(solid.PlusZ)
	k := up.Axis()
	var off measure.Length // of the piece's middle, twice, seen from the copy
	off = piece.Min[k] + piece.Max[k] - own.Min[k] - own.Max[k]
	if off == 0 || (off > 0) == up.Positive() {
		return solid.PlusZ
	}
	return solid.MinusZ
}
