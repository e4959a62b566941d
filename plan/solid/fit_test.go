package solid

import (
	"fmt"
	"math/rand/v2"
	"slices"
	"testing"

	"pilewright/plan/measure"
)

// railInLeg is a rail with a tenon in a leg's mortise 0.2 mm wider and 2 mm
// deeper than the tenon.
func railInLeg() ([]Body, Mate) {
	mortise := box(20, 20, 600, 60, 40, 680)
	mortise.Min[1] -= mm / 10
	mortise.Max[1] += mm / 10
	mortise.Min[0] -= 2 * mm
	leg := New(box(0, 0, 0, 60, 60, 700)).Cut(mortise)
	tenon := box(20, 20, 600, 60, 40, 680)
	rail := New(box(60, 15, 590, 500, 45, 690)).Add(tenon)
	m := Mate{
		ID: "j1", A: "leg", B: "rail", Dir: MinusX,
		Mortise: Rounded{Box: mortise, Axis: 0}, Tenon: Rounded{Box: tenon, Axis: 0},
		Side: mm / 10, End: 2 * mm,
	}
	return []Body{{"leg", leg}, {"rail", rail}}, m
}

func TestFitOfOneMortiseAndTenon(t *testing.T) {
	for _, c := range []struct {
		name              string
		edit              func(bodies []Body, m *Mate)
		want              []FaultKind
		overlaps, islands int
	}{
		{"a tenon as stated goes together", func([]Body, *Mate) {}, nil, 0, 0},
		{"too much air at the sides is loose on both", func(_ []Body, m *Mate) { m.Side-- }, []FaultKind{TenonLoose, TenonLoose}, 0, 0},
		{"too much air at the tip is loose once", func(_ []Body, m *Mate) { m.End-- }, []FaultKind{TenonLoose}, 0, 0},
		{"a mortise not cut is filled and overlaps", func(b []Body, m *Mate) { b[0].Solid = b[0].Solid.Add(m.Mortise.Box) }, []FaultKind{MortiseFilled}, 1, 0},
		{"a tenon not cut is missing", func(b []Body, m *Mate) { b[1].Solid = b[1].Solid.Cut(m.Tenon.Box) }, []FaultKind{TenonMissing}, 0, 0},
		{"a rail drawn back opens its shoulder and leaves air at the tip", func(b []Body, m *Mate) {
			b[1].Solid = b[1].Solid.Translate(PlusX.Times(mm))
			m.Tenon.Box = m.Tenon.Translate(PlusX.Times(mm))
		}, []FaultKind{TenonLoose, ShoulderOpen}, 0, 0},
		{"a rail pushed too far overlaps the leg", func(b []Body, m *Mate) {
			b[1].Solid = b[1].Solid.Translate(MinusX.Times(mm))
			m.Tenon.Box = m.Tenon.Translate(MinusX.Times(mm))
		}, []FaultKind{ShoulderOpen}, 1, 0},
		{"a mortise from the router needs a rounded tenon", func(_ []Body, m *Mate) { m.Mortise.Bit = 20 * mm }, []FaultKind{RoundCorner}, 0, 0},
		{"a tenon rounded to a smaller cutter fills it", func(_ []Body, m *Mate) { m.Mortise.Bit, m.Tenon.Bit = 20*mm, 20*mm }, nil, 0, 0},
		{"an unknown body is named", func(_ []Body, m *Mate) { m.B = "rial" }, []FaultKind{UnknownBody}, 0, 0},
		{"a joint without direction is told", func(_ []Body, m *Mate) { m.Dir = None }, []FaultKind{NoDirection}, 0, 0},
		{"two bodies of one name are told", func(b []Body, m *Mate) { b[1].ID = "leg" }, []FaultKind{RepeatedBody, UnknownBody}, 0, 0},
	} {
		t.Run(c.name, func(t *testing.T) {
			bodies, m := railInLeg()
			c.edit(bodies, &m)
			r := Fit(bodies, []Mate{m})
			var got []FaultKind
			for _, f := range r.Faults {
				got = append(got, f.Kind)
			}
			if !slices.Equal(got, c.want) || len(r.Overlaps) != c.overlaps || len(r.Islands) != c.islands {
				t.Errorf("got faults %v, %d overlaps, %d islands; want %v, %d, %d", r.Faults, len(r.Overlaps), len(r.Islands), c.want, c.overlaps, c.islands)
			}
			if wantOK := len(c.want)+c.overlaps+c.islands == 0; r.OK() != wantOK {
				t.Errorf("OK: got %v, want %v", r.OK(), wantOK)
			}
		})
	}
}

func TestAThroughTenonMayStandProud(t *testing.T) {
	leg := New(box(0, 0, 0, 60, 60, 700)).Cut(box(0, 20, 600, 60, 40, 680))
	rail := New(box(60, 15, 590, 500, 45, 690)).Add(box(-3, 20, 600, 60, 40, 680))
	m := Mate{ID: "j1", A: "leg", B: "rail", Dir: MinusX,
		Mortise: Rounded{Box: box(0, 20, 600, 60, 40, 680)}, Tenon: Rounded{Box: box(-3, 20, 600, 60, 40, 680)}}
	if r := Fit([]Body{{"leg", leg}, {"rail", rail}}, []Mate{m}); !r.OK() {
		t.Errorf("got %+v, want no fault", r)
	}
}

func TestAPanelWithAirRoundItHangsInItsGroove(t *testing.T) {
	groove := box(0, 0, 10, 100, 10, 20)
	rail := New(box(0, -5, 0, 100, 15, 20)).Cut(groove)
	panel := New(box(0, 1, 13, 100, 9, 300))
	m := Mate{ID: "g", A: "rail", B: "panel", Dir: MinusZ,
		Mortise: Rounded{Box: groove}, Tenon: Rounded{Box: box(0, 1, 13, 100, 9, 20)}, Side: mm, End: 3 * mm}
	bodies := []Body{{"rail", rail}, {"panel", panel}}
	if r := Fit(bodies, []Mate{m}); !r.OK() {
		t.Errorf("got %+v, want no fault", r)
	}
	m.Side = mm - 1
	if r := Fit(bodies, []Mate{m}); len(r.Islands) != 2 || len(r.Faults) == 0 {
		t.Errorf("with more air than meant: got %+v, want faults and two islands", r)
	}
	if r := Fit(bodies, nil); len(r.Islands) != 2 {
		t.Errorf("without the joint: got islands %v, want two", r.Islands)
	}
}

func TestFitAgreesWithVoxels(t *testing.T) {
	r := rand.New(rand.NewPCG(8, 1))
	for range 150 {
		n := 2 + r.IntN(4)
		bodies := make([]Body, n)
		pictures := make([]grid, n)
		for i := range bodies {
			bodies[i].ID = fmt.Sprint(i)
			b := randomBox(r)
			bodies[i].Solid = New(b).Cut(randomBox(r))
			pictures[i] = pictureOf(bodies[i].Solid)
		}
		report := Fit(bodies, nil)
		overlaps := map[string]uint64{}
		for _, o := range report.Overlaps {
			overlaps[o.A+o.B] = o.Volume.Big().Uint64()
			if got := bodies[o.A[0]-'0'].Solid.Intersect(bodies[o.B[0]-'0'].Solid).Bounds(); got != o.Box {
				t.Fatalf("box of overlap %v: want %v", o, got)
			}
		}
		// Flood over cubes: two bodies hang together by a shared cube or a
		// shared side of cubes.
		var links [][2]int
		for i := range n {
			for j := i + 1; j < n; j++ {
				shared, linked := uint64(0), false
				for x := range cells {
					for y := range cells {
						for z := range cells {
							if !pictures[i][x][y][z] {
								continue
							}
							if pictures[j][x][y][z] {
								shared++
							}
							for d := None; d <= MinusZ; d++ {
								s := d.Times(1)
								linked = linked || pictures[j].at(x+int(s[0]), y+int(s[1]), z+int(s[2]))
							}
						}
					}
				}
				if got := overlaps[fmt.Sprint(i)+fmt.Sprint(j)]; got != shared {
					t.Fatalf("bodies %d and %d of %v share %d cubes, reported %d", i, j, bodies, shared, got)
				}
				if linked {
					links = append(links, [2]int{i, j})
				}
			}
		}
		reached := map[int]bool{0: true}
		for range n {
			for _, l := range links {
				if reached[l[0]] || reached[l[1]] {
					reached[l[0]], reached[l[1]] = true, true
				}
			}
		}
		if (len(reached) == n) != (report.Islands == nil) {
			t.Fatalf("bodies %v: reached %v, islands %v", bodies, reached, report.Islands)
		}
	}
}

// slattedBench has n slats with tenons in two rails.
func slattedBench(n int) ([]Body, []Mate) {
	length := 40*n + 60
	front, back := New(box(0, 0, 0, length, 30, 80)), New(box(0, 430, 0, length, 460, 80))
	var bodies []Body
	var mates []Mate
	for i := range n {
		x := 40*i + 30
		a, b := box(x, 10, 20, x+20, 30, 60), box(x, 430, 20, x+20, 450, 60)
		front, back = front.Cut(a), back.Cut(b)
		id := fmt.Sprint("slat ", i)
		bodies = append(bodies, Body{id, New(box(x-5, 30, 10, x+25, 430, 70)).Add(a, b)})
		mates = append(mates,
			Mate{ID: id + " front", A: "front", B: id, Dir: MinusY, Mortise: Rounded{Box: a}, Tenon: Rounded{Box: a}},
			Mate{ID: id + " back", A: "back", B: id, Dir: PlusY, Mortise: Rounded{Box: b}, Tenon: Rounded{Box: b}})
	}
	return append(bodies, Body{"front", front}, Body{"back", back}), mates
}

func TestALongBenchFits(t *testing.T) {
	bodies, mates := slattedBench(40)
	if r := Fit(bodies, mates); !r.OK() || len(r.Contacts) != 80 {
		t.Errorf("got %d overlaps, faults %v, %d islands, %d contacts; want 80 contacts only", len(r.Overlaps), r.Faults, len(r.Islands), len(r.Contacts))
	}
	bodies[7].Solid = bodies[7].Solid.Translate(Point{measure.Nanometre, 0, 0})
	r := Fit(bodies, mates)
	if len(r.Overlaps) != 2 {
		t.Fatalf("a slat a nanometre aside: got overlaps %v, want two", r.Overlaps)
	}
	// 40 mm x 20 mm of tenon cheek, one nanometre thick.
	if got, want := r.Overlaps[0].Volume, product(40*mm, 20*mm, 1); got != want {
		t.Errorf("overlap: got %v, want %v", got, want)
	}
}

func BenchmarkFit(b *testing.B) {
	for _, n := range []int{58, 998} {
		bodies, mates := slattedBench(n)
		b.Run(fmt.Sprint(n+2, " copies"), func(b *testing.B) {
			for b.Loop() {
				if r := Fit(bodies, mates); !r.OK() {
					b.Fatal(r.Faults)
				}
			}
		})
	}
}
