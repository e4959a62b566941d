package plan

import (
	"fmt"
	"math/rand/v2"
	"strings"
	"testing"

	"pilewright/plan/measure"
)

// faced is a panel of rows with so many pieces each, every strip as strip makes it.
func faced(rows []int, strip func(id string) Strip) (Panel, []Strip) {
	var p Panel
	var strips []Strip
	for i, n := range rows {
		var row PanelRow
		for k := range n {
			s := strip(fmt.Sprintf("%d%c", i+1, 'a'+k))
			strips = append(strips, s)
			row.Pieces = append(row.Pieces, PanelPiece{Mark: s.ID, Strip: s.ID})
		}
		p.Rows = append(p.Rows, row)
	}
	return p, strips
}

func TestRowsLieAfterTheHabit(t *testing.T) {
	const up, down, quarter, none = BarkUp, BarkDown, Upright, NotMarked
	for _, c := range []struct {
		name  string
		habit RingHabit
		rings []Rings
		locks []RowLock
		want  string // of each row: T turned over, - not; ! against the habit
	}{
		{"nothing is marked and nothing is turned", Alternate, []Rings{none, none, none}, nil, "---"},
		{"four alike alternate with two turned", Alternate, []Rings{up, up, up, up}, nil, "-T-T"},
		{"an empty habit alternates", "", []Rings{up, up, up, up}, nil, "-T-T"},
		{"the end with fewer to turn begins", Alternate, []Rings{down, up, down, up}, nil, "----"},
		{"one way turns the fewer", OneWay, []Rings{down, up, down, down}, nil, "-T--"},
		{"a row not marked still counts in the turn", Alternate, []Rings{up, none, down}, nil, "--T"},
		{"an upright row is passed over", Alternate, []Rings{up, quarter, down}, nil, "---"},
		{"a lock is kept and the rest follows it", Alternate, []Rings{up, up, up}, []RowLock{{Strip: "1a", Row: 1, Flip: true}}, "T-T"},
		{"two locks against each other are told", Alternate, []Rings{up, up, up, up, up}, []RowLock{{Strip: "1a", Row: 1}, {Strip: "2a", Row: 2}}, "--!-T-"},
		{"a lock of the row alone leaves the face free", Alternate, []Rings{up, up, up}, []RowLock{{Strip: "2a", Row: 2, AnyFace: true}}, "-T-"},
	} {
		t.Run(c.name, func(t *testing.T) {
			i := 0
			p, strips := faced([]int{1, 1, 1, 1, 1}[:len(c.rings)], func(id string) Strip { i++; return Strip{ID: id, Rings: c.rings[i-1]} })
			layFaces(&p, FlatPanel, strips, c.locks, c.habit)
			got := ""
			for _, r := range p.Rows {
				got += map[bool]string{true: "T", false: "-"}[r.Pieces[0].Flip]
				if r.Pieces[0].Against {
					got += "!"
				}
			}
			if got != c.want {
				t.Errorf("got %s, want %s", got, c.want)
			}
		})
	}
}

func TestGoodFacesAreSeen(t *testing.T) {
	stain := func(side Face) []Defect { return []Defect{{Kind: Stain, From: 0, To: 1, Side: side}} }
	strips := map[string]Strip{
		"plain": {}, "a": {Faces: GoodA}, "b": {Faces: GoodB}, "none": {Faces: GoodNone},
		"stain a": {Defects: stain(FaceA)}, "stain b": {Defects: stain(FaceB)}, "stain through": {Defects: stain(NoFace)}, "b, stain b": {Faces: GoodB, Defects: stain(FaceB)},
	}
	for _, c := range []struct {
		name string
		way  Way
		rows []string
		want string // of each row the face seen, . for either or none; ! a poor one
	}{
		{"a flat panel has them on top", FlatPanel, []string{"plain", "a", "b", "stain a", "stain b"}, ".abba"},
		{"a face that is good for the maker and stained is poor", FlatPanel, []string{"none", "stain through", "b, stain b"}, ".!.!.!"},
		{"a lamination has them outside", Laminated, []string{"b", "b", "a"}, "b.a"},
		{"both outsides of two layers", Laminated, []string{"a", "b"}, "ab"},
		{"strips on edge look outwards", OnEdge, []string{"stain a", "stain a", "none", "stain a"}, "b..b"},
	} {
		t.Run(c.name, func(t *testing.T) {
			i := 0
			p, list := faced([]int{1, 1, 1, 1, 1}[:len(c.rows)], func(id string) Strip {
				s := strips[c.rows[i]]
				s.ID = id
				i++
				return s
			})
			layFaces(&p, c.way, list, nil, "")
			got := ""
			for i, r := range p.Rows {
				q := r.Pieces[0]
				if q.Face == NoFace {
					got += "."
				}
				got += string(q.Face)
				if q.Poor {
					got += "!"
				}
				if q.Face != NoFace && q.Face != c.way.face(i, len(p.Rows), q.Flip) {
					t.Errorf("row %d: face %q is told, %q lies so", i+1, q.Face, c.way.face(i, len(p.Rows), q.Flip))
				}
			}
			if got != c.want {
				t.Errorf("got %s, want %s", got, c.want)
			}
		})
	}
}

// Every way to lay the pieces of small panels is tried: none shows more good faces
// under the locks, none with as many has fewer pieces against the habit, and none
// of these turns fewer over.
func TestFacesAreLaidAsWellAsAnyLayIs(t *testing.T) {
	type score struct{ good, against, turned int }
	better := func(x, y score) bool {
		if x.good != y.good {
			return x.good > y.good
		}
		if x.against != y.against {
			return x.against < y.against
		}
		return x.turned < y.turned
	}
	r := rand.New(rand.NewPCG(5, 2))
	locked, marked, poor := 0, 0, 0
	for n := range 1500 {
		way, habit := []Way{FlatPanel, FlatPanel, FlatPanel, OnEdge, Laminated}[r.IntN(5)], []RingHabit{Alternate, OneWay}[r.IntN(2)]
		rows := make([]int, 2+r.IntN(4))
		for i := range rows {
			rows[i] = 1 + r.IntN(2)
			if way == Laminated {
				rows[i] = 1
			}
		}
		good := map[string][2]bool{} // faces A and B, kept apart from how the strip says it
		p, strips := faced(rows, func(id string) Strip {
			s := Strip{ID: id, Rings: []Rings{NotMarked, BarkUp, BarkDown, Upright, BarkUp}[r.IntN(5)]}
			a, b := r.IntN(3) > 0, r.IntN(3) > 0
			good[id] = [2]bool{a, b}
			switch {
			case a && b:
				s.Faces = []GoodFaces{FacesUnknown, GoodBoth}[r.IntN(2)]
			case !a && !b:
				s.Faces = GoodNone
			case r.IntN(2) == 0:
				s.Faces = map[bool]GoodFaces{true: GoodA, false: GoodB}[a]
			default:
				s.Defects = []Defect{{Kind: NailHole, To: 1, Side: map[bool]Face{true: FaceB, false: FaceA}[a]}}
			}
			return s
		})
		var locks []RowLock
		at := map[string]int{}
		for i, row := range p.Rows {
			for _, q := range row.Pieces {
				at[q.Strip] = i
				if way != Laminated && r.IntN(5) == 0 {
					locks = append(locks, RowLock{Strip: q.Strip, Row: i + 1, Flip: r.IntN(2) == 0, AnyFace: r.IntN(3) == 0})
				}
			}
		}
		rate := func(flip map[string]bool) score {
			var out score
			for _, s := range strips {
				i, g := at[s.ID], good[s.ID]
				if flip[s.ID] {
					out.turned++
				}
				up, down := g[0], g[1]
				if flip[s.ID] {
					up, down = down, up
				}
				if (way == FlatPanel || i == 0) && up || way != FlatPanel && i > 0 && i == len(rows)-1 && down {
					out.good++
				}
			}
			if way != FlatPanel {
				return out
			}
			least := -1
			for _, first := range []bool{true, false} {
				against, bark := 0, first
				for i := range p.Rows {
					every := true
					for _, s := range strips {
						if at[s.ID] != i {
							continue
						}
						every = every && s.Rings == Upright
						if s.Rings == BarkUp || s.Rings == BarkDown {
							if up := (s.Rings == BarkUp) != flip[s.ID]; up != bark {
								against++
							}
						}
					}
					if habit == Alternate && !every {
						bark = !bark
					}
				}
				if least < 0 || against < least {
					least = against
				}
			}
			out.against = least
			return out
		}
		best, tried := score{good: -1}, 0
		for bits := range 1 << len(strips) {
			flip := map[string]bool{}
			for i, s := range strips {
				flip[s.ID] = bits>>i&1 == 1
			}
			kept := true
			for _, l := range locks {
				kept = kept && (l.AnyFace || flip[l.Strip] == l.Flip)
			}
			if !kept {
				continue
			}
			tried++
			if v := rate(flip); better(v, best) {
				best = v
			}
		}
		layFaces(&p, way, strips, locks, habit)
		flip, told := map[string]bool{}, 0
		for _, row := range p.Rows {
			for _, q := range row.Pieces {
				flip[q.Strip] = q.Flip
				if q.Against {
					told++
				}
				if q.Poor {
					poor++
				}
			}
		}
		for _, l := range locks {
			if !l.AnyFace && flip[l.Strip] != l.Flip {
				t.Fatalf("panel %d: the lock of %s is not kept", n, l.Strip)
			}
		}
		got := rate(flip)
		if got != best || told != got.against {
			t.Fatalf("panel %d, %s, %s, rows %v: laid %+v with %d told, the best of %d lays is %+v\nstrips %+v\nlocks %+v", n, way, habit, rows, got, told, tried, best, strips, locks)
		}
		locked, marked = locked+len(locks), marked+got.against
	}
	if locked == 0 || marked == 0 || poor == 0 {
		t.Errorf("%d locks, %d against, %d poor: the cases say nothing", locked, marked, poor)
	}
}

func TestAPieceSaysHowItLies(t *testing.T) {
	for _, c := range []struct {
		name  string
		piece PanelPiece
		way   Way
		want  string
	}{
		{"nothing known", PanelPiece{}, FlatPanel, ""},
		{"flat", PanelPiece{Face: FaceB, Rings: BarkDown}, FlatPanel, "face B up, bark down"},
		{"flat and quartersawn, a poor face up", PanelPiece{Poor: true, Rings: Upright}, FlatPanel, "poor face, rings upright"},
		{"on edge its upper face looks to the near edge", PanelPiece{Face: FaceA, Rings: BarkUp}, OnEdge, "face A out, bark near"},
		{"on edge, turned", PanelPiece{Rings: BarkDown}, OnEdge, "bark far"},
		{"quartersawn on edge", PanelPiece{Rings: Upright}, OnEdge, "rings level"},
		{"a layer", PanelPiece{Face: FaceB, Rings: BarkUp}, Laminated, "face B out"},
	} {
		if got := strings.Join(c.piece.Lies(c.way), ", "); got != c.want {
			t.Errorf("%s: %q, want %q", c.name, got, c.want)
		}
	}
	p, strips := faced([]int{1}, func(id string) Strip { return Strip{ID: id, Width: 3, Thickness: 2, Mark: "A7"} })
	for way, want := range map[Way]measure.Length{FlatPanel: 2, Laminated: 2, OnEdge: 3} {
		layFaces(&p, way, strips, nil, "")
		if q := p.Rows[0].Pieces[0]; q.Thickness != want || q.Chalk != "A7" {
			t.Errorf("%s: %v through the panel, chalked %q", way, q.Thickness, q.Chalk)
		}
	}
}

func TestALeftoverKeepsItsFaces(t *testing.T) {
	b := Board{ID: 3, Mark: "1", Length: 60, Width: 4, Thickness: 1, Faces: GoodB, Rings: BarkDown, Defects: []Defect{{Kind: Stain, From: 50, To: 55, Side: FaceA}}}
	got := leftover(b, Rect{X: 30, Length: 30, Width: 4}, 0)
	want := Defect{Kind: Stain, From: 20, To: 25, AcrossTo: 4, Side: FaceA}
	if got.Faces != GoodB || got.Rings != BarkDown || len(got.Defects) != 1 || got.Defects[0] != want {
		t.Errorf("the leftover is %+v", got)
	}
}

func TestFacesAreReadAsTheyAreWritten(t *testing.T) {
	for _, good := range []GoodFaces{FacesUnknown, GoodA, GoodB, GoodBoth, GoodNone} {
		for _, rings := range []Rings{NotMarked, BarkUp, BarkDown, Upright} {
			g, r, err := ParseFaces(FormatFaces(good, rings))
			if err != nil || g != good || r != rings {
				t.Errorf("%q, %q come back as %q, %q, %v", good, rings, g, r, err)
			}
		}
	}
	for _, text := range []string{"a b", "up down", "c", "a, a", "<"} {
		if g, r, err := ParseFaces(text); err == nil || g != FacesUnknown || r != NotMarked {
			t.Errorf("%q is read as %q, %q", text, g, r)
		}
	}
	if g, r, err := ParseFaces(" B  Bark DOWN"); g != GoodB || r != BarkDown || err != nil {
		t.Errorf("got %q, %q, %v", g, r, err)
	}
}
