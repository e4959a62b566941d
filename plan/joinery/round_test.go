package joinery

import (
	"math"
	"math/rand/v2"
	"testing"

	"pilewright/plan/measure"
	"pilewright/plan/solid"
)

// routed tells whether a point is in a slot that a bit of the given diameter has
// routed: nearer than its radius to a place its middle can reach. In floats, with
// nothing of package solid but the box.
func routed(slot solid.Box, axis int, bit measure.Length, p [3]float64) bool {
	away := 0.0
	for k := range 3 {
		lo, hi := float64(slot.Min[k]), float64(slot.Max[k])
		if k == axis {
			if p[k] <= lo || p[k] >= hi {
				return false
			}
			continue
		}
		if r := float64(bit) / 2; 2*r <= hi-lo+1 {
			lo, hi = lo+r, hi-r
		} else {
			lo, hi = (lo+hi)/2, (lo+hi)/2
		}
		d := max(0, lo-p[k], p[k]-hi)
		away += d * d
	}
	return math.Sqrt(away) < float64(bit)/2
}

// sampled tells whether random points of a box are found in both of two sets.
func sampled(r *rand.Rand, in solid.Box, a, b func(p [3]float64) bool) bool {
	for range 6000 {
		var p [3]float64
		for k := range 3 {
			p[k] = float64(in.Min[k]) + r.Float64()*float64(in.Max[k]-in.Min[k])
		}
		if a(p) && b(p) {
			return true
		}
	}
	return false
}

// Two round-ended mortises in one leg, from the same face, from neighbouring and
// from opposite ones: said to meet exactly where sampling finds wood both take away.
func TestRoundEndedMortisesNearEachOtherAgreeWithSampling(t *testing.T) {
	r := rand.New(rand.NewPCG(8, 2))
	ways := map[string]int{}
	meets, passes, unsure := 0, 0, 0
	for range 3000 {
		leg, rail := legAndRail()
		leg.Box.Max = solid.Point{3 * in, 3 * in, 17 * in}
		rail.Box = box(3*in, frac(1, 1, 8), frac(6, 0, 1), 30*in, frac(0, 3, 4), frac(3, 1, 2))
		other := rail
		way := [3]string{"same", "corner", "opposite"}[r.IntN(3)]
		step := measure.Length(r.IntN(40)-20) * in / 16
		up := -frac(3, 1, 2) + measure.Length(r.IntN(3))*in*5/16 // end to end, or nearly
		switch way {
		case "same":
			other.Box = rail.Box.Translate(solid.Point{0, step / 4, up})
		case "corner":
			other = Member{Name: "side", Box: box(frac(1, 1, 8)+step, 3*in, 6*in+up, frac(0, 3, 4), 30*in, frac(3, 1, 2)), Along: 1, Thick: 0}
		case "opposite":
			other.Box = rail.Box.Translate(solid.Point{-33 * in, step / 4, up})
		}
		spec := func() Spec {
			return Spec{Kind: StoppedTenon, Round: true, RoundTenon: r.IntN(2) == 0, Tenons: 1, Thickness: in / 4 * measure.Length(1+r.IntN(2)), Width: frac(2, 1, 2) + measure.Length(r.IntN(16))*in/16, Depth: measure.Length(8+r.IntN(34)) * in / 16}
		}
		a, b := Make(leg, rail, spec(), shop()), Make(leg, other, spec(), shop())
		if !a.Made || !b.Made {
			continue
		}
		p, q := a.Mortises[0], b.Mortises[0]
		boxes := p.Box.Intersect(q.Box)
		if !boxes.Valid() {
			continue
		}
		found := sampled(r, boxes,
			func(at [3]float64) bool { return routed(p.Box, a.Into.Axis(), p.Bit, at) },
			func(at [3]float64) bool { return routed(q.Box, b.Into.Axis(), q.Bit, at) })
		said := false
		for _, f := range Clashes(append(a.HollowsA("first"), b.HollowsA("second")...), 0) {
			said = said || f.Code == TenonsMeet || f.Code == MortisesMeet
		}
		switch {
		case found && !said:
			t.Fatalf("%s: %v of a bit %v and %v of a bit %v share wood, nothing is said", way, p.Box, p.Bit, q.Box, q.Bit)
		case said && !found:
			// So little that sampling misses it: then a hair less of each must be clear.
			less := func(s solid.Rounded) solid.Rounded {
				for k := range 3 {
					s.Min[k], s.Max[k] = s.Min[k]+in/64, s.Max[k]-in/64
				}
				s.Bit = max(0, s.Bit-in/32)
				return s
			}
			if less(p).Overlaps(less(q)) {
				t.Fatalf("%s: %v of a bit %v and %v of a bit %v are said to meet, sampling finds nothing", way, p.Box, p.Bit, q.Box, q.Bit)
			}
			unsure++
		case found:
			meets++
		default:
			passes++
		}
		ways[way]++
	}
	t.Logf("%v: %d meet, %d pass each other by their round ends, %d within a hair", ways, meets, passes, unsure)
	if meets < 200 || passes < 30 || ways["same"] < 50 || ways["corner"] < 50 || ways["opposite"] < 50 {
		t.Fatal("too few cases")
	}
}

// A square tenon in a mortise whose ends are left round: it fits exactly where
// sampling finds no wood of the tenon outside the slot.
func TestSquareTenonsInRoundEndedMortisesAgreeWithSampling(t *testing.T) {
	r := rand.New(rand.NewPCG(5, 3))
	fits, bites := 0, 0
	for range 600 {
		leg, rail := legAndRail()
		j := Make(leg, rail, Spec{Kind: StoppedTenon, Round: true, Thickness: in / 4, Width: 2*in + measure.Length(r.IntN(16))*in/16, Tenons: 1}, shop())
		if !j.Made {
			t.Fatal(codesOf(j.Findings))
		}
		mustFit(t, leg, rail, j) // as it is made it fits
		// The maker's own slot: as long as is routed, by a bit no thicker than the slot.
		m := j.Mates("m", "leg", "rail")[0]
		end := measure.Length(r.IntN(20)-4) * in / 64
		m.Mortise.Min[2], m.Mortise.Max[2] = m.Tenon.Min[2]-end, m.Tenon.Max[2]+end
		m.Mortise.Bit = in / 4 * measure.Length(1+r.IntN(2)) / 2
		m.Side = in
		body := solid.New(leg.Box).Cut(m.Mortise.Box)
		rep := solid.Fit([]solid.Body{{ID: "leg", Solid: body}, {ID: "rail", Solid: j.BodyB(rail)}}, []solid.Mate{m})
		wood := m.Tenon.Box
		stands := sampled(r, wood, func([3]float64) bool { return true }, func(p [3]float64) bool {
			return !routed(m.Mortise.Box, m.Mortise.Axis, m.Mortise.Bit, p)
		})
		for corner := range 4 { // where so little may stand out that sampling misses it
			p := [3]float64{float64(wood.Min[0]+wood.Max[0]) / 2}
			for k := 1; k < 3; k++ {
				p[k] = float64(wood.Min[k]) + 20
				if corner>>(k-1)&1 == 1 {
					p[k] = float64(wood.Max[k]) - 20
				}
			}
			stands = stands || !routed(m.Mortise.Box, m.Mortise.Axis, m.Mortise.Bit, p)
		}
		if stands != !rep.OK() {
			t.Fatalf("slot %v of a bit %v, tenon %v: fit proof %+v, wood outside the slot: %v", m.Mortise.Box, m.Mortise.Bit, wood, rep, stands)
		}
		if stands {
			bites++
		} else {
			fits++
		}
	}
	t.Logf("%d fit, %d do not", fits, bites)
	if fits < 50 || bites < 50 {
		t.Fatal("too few cases")
	}
}

// Where a joint says what it cuts, it says so in one order.
func TestCutsAreNamedAsTheirMortises(t *testing.T) {
	r := rand.New(rand.NewPCG(2, 2))
	for range rounds() {
		kind := Kinds[r.IntN(len(Kinds))]
		a, b := randomPair(r, kind)
		j := Make(a, b, randomSpec(r, kind), shop())
		for i, m := range j.Mortises {
			if j.Made && (i >= len(j.CutA) || j.CutA[i] != m.Box) {
				t.Fatalf("%s: mortise %d is %v, the cuts are %v", kind, i, m.Box, j.CutA)
			}
		}
	}
}
