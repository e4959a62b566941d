package joinery

import (
	"math/rand/v2"
	"os"
	"slices"
	"strings"
	"testing"

	"pilewright/plan/measure"
	"pilewright/plan/solid"
)

func rounds() int {
	if os.Getenv("PILEWRIGHT_FULL") == "1" {
		return 400_000
	}
	return 8_000
}

// randomPair gives two members that meet as the kind needs, mostly, with sizes from
// an eighth of an inch up, some on odd nanometres.
func randomPair(r *rand.Rand, kind Kind) (a, b Member) {
	size := func(lo, hi int64) measure.Length {
		l := measure.Length(lo+r.Int64N(hi-lo)) * in / 8
		if r.IntN(4) == 0 {
			l += measure.Length(r.Int64N(999))
		}
		return l
	}
	species := []string{"", "oak", "spf", "maple_sugar", "nonsense"}
	member := func() Member {
		m := Member{Name: "m", Along: r.IntN(3), Species: species[r.IntN(len(species))]}
		m.Thick = (m.Along + 1 + r.IntN(2)) % 3
		m.Box.Max[m.Along] = size(40, 400)
		m.Box.Max[m.Thick] = size(3, 20)
		m.Box.Max[m.Wide()] = size(6, 100)
		return m
	}
	a, b = member(), member()
	var d solid.Point
	k := b.Along
	if r.IntN(4) == 0 {
		k = r.IntN(3)
	}
	for i := range 3 { // somewhere over A, sometimes level with an edge of it
		room := a.extent(i) - b.extent(i)
		switch {
		case r.IntN(3) == 0:
			d[i] = 0
		case r.IntN(3) == 0:
			d[i] = room
		case room > 0:
			d[i] = measure.Length(r.Int64N(int64(room) + 1))
		default:
			d[i] = room / 2
		}
	}
	switch kind {
	case HalfLap, Bridle:
		if a.Along == b.Along {
			break
		}
		k = 3 - a.Along - b.Along
		d[k] = 0
		if r.IntN(2) == 0 {
			b.Box.Max[k] = a.Box.Max[k]
		}
	case Housing, Rebate:
		d[k] = a.extent(k)
		if r.IntN(2) == 0 {
			d[k] -= a.extent(k) / 4
		}
	default:
		d[k] = a.extent(k)
		if r.IntN(2) == 0 {
			d[k] = -b.extent(k)
		}
	}
	b.Box = b.Box.Translate(d)
	return a, b
}

func randomSpec(r *rand.Rand, kind Kind) Spec {
	s := Spec{Kind: kind}
	maybe := func(l *measure.Length, most int64) {
		if r.IntN(4) == 0 {
			*l = measure.Length(r.Int64N(most * int64(in/16)))
		}
	}
	maybe(&s.Thickness, 20)
	maybe(&s.Width, 40)
	maybe(&s.Depth, 20)
	maybe(&s.Clearance, 1)
	maybe(&s.EndGap, 2)
	maybe(&s.Offset, 3)
	maybe(&s.OffsetWide, 6)
	maybe(&s.Proud, 4)
	s.Haunch, s.Round, s.RoundTenon, s.Dry = r.IntN(4) == 0, r.IntN(3) == 0, r.IntN(3) == 0, r.IntN(5) == 0
	s.Tenons, s.Count = r.IntN(12)/4, r.IntN(16)/4
	return s
}

// Whatever is asked: a joint that is made leaves two bodies that share no wood, each
// cut lies in its member, and every added piece lies in the hole made for it. plan/solid
// is the judge.
func TestEveryMadeJointFits(t *testing.T) {
	r := rand.New(rand.NewPCG(7, 11))
	made := map[Kind]int{}
	for range rounds() {
		kind := Kinds[r.IntN(len(Kinds))]
		a, b := randomPair(r, kind)
		s := randomSpec(r, kind)
		j := Make(a, b, s, shop())
		if again := Make(a, b, s, shop()); !slices.Equal(again.CutA, j.CutA) || len(again.Findings) != len(j.Findings) {
			t.Fatalf("two answers for one joint: %+v %+v", a, b)
		}
		stop := slices.ContainsFunc(j.Findings, func(f Finding) bool { return f.Severity == Stop })
		if j.Made == stop {
			t.Fatalf("%s: made %v with %v\n%+v\n%+v\n%+v", kind, j.Made, codesOf(j.Findings), a, b, s)
		}
		if !j.Made {
			continue
		}
		made[kind]++
		bodyA, bodyB := j.BodyA(a), j.BodyB(b)
		if bodyA.Overlaps(bodyB) {
			t.Fatalf("%s: the bodies share wood\n%+v\n%+v\n%+v\n%+v", kind, a, b, s, j)
		}
		rep := solid.Fit([]solid.Body{{ID: "a", Solid: bodyA}, {ID: "b", Solid: bodyB}}, j.Mates("m", "a", "b"))
		if !rep.OK() {
			t.Fatalf("%s: %+v\n%+v\n%+v\n%+v\n%+v", kind, rep, a, b, s, j)
		}
		for _, c := range j.CutB {
			if !b.Box.Contains(c) && kind != Screws && kind != Dowels {
				t.Fatalf("%s: cut %v outside B %v", kind, c, b.Box)
			}
		}
		blank := b.Box
		blank.Min[j.Added.Axis] -= j.Added.Min
		blank.Max[j.Added.Axis] += j.Added.Max
		for _, c := range j.AddB {
			if !blank.Contains(c) {
				t.Fatalf("%s: %v is not in the blank %v of B", kind, c, blank)
			}
		}
		dry := s.Dry || kind == Buttons // which are never glued
		if (j.LongGrain.IsZero() && j.EndGrain.IsZero()) != dry && kind != Dowels && kind != Bridle && kind != HalfLap {
			if !s.Dry && (kind == ThroughTenon || kind == StoppedTenon) {
				continue // a bare-faced tenon level with A's faces
			}
			t.Fatalf("%s: dry %v, glue %v %v\n%+v\n%+v", kind, s.Dry, j.LongGrain, j.EndGrain, a, b)
		}
	}
	for _, k := range Kinds {
		if made[k] < rounds()/200 {
			t.Errorf("%s was made only %d times", k, made[k])
		}
	}
	t.Logf("made %v", made)
}

// Moving the piece moves the joint and changes nothing else.
func TestAJointMovesWithThePiece(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 5))
	for range rounds() / 4 {
		kind := Kinds[r.IntN(len(Kinds))]
		a, b := randomPair(r, kind)
		s := randomSpec(r, kind)
		d := solid.Point{measure.Length(r.Int64N(1e9)), -measure.Length(r.Int64N(1e9)), measure.Length(r.Int64N(1e9))}
		here := Make(a, b, s, shop())
		a.Box, b.Box = a.Box.Translate(d), b.Box.Translate(d)
		there := Make(a, b, s, shop())
		for i := range here.CutA {
			if here.CutA[i].Translate(d) != there.CutA[i] {
				t.Fatalf("%s: %v moved by %v gives %v", kind, here.CutA[i], d, there.CutA[i])
			}
		}
		if here.Made != there.Made || here.Added != there.Added || here.LongGrain != there.LongGrain ||
			!slices.Equal(here.Marks, there.Marks) || !slices.Equal(codesOf(here.Findings), codesOf(there.Findings)) {
			t.Fatalf("%s: %+v\nmoved: %+v", kind, here, there)
		}
	}
}

// Turning the piece to other axes (without mirroring an axis) turns the joint with it.
func TestAJointTurnsWithThePiece(t *testing.T) {
	r := rand.New(rand.NewPCG(13, 17))
	turn := solid.Turn{From: [3]int{2, 0, 1}}
	to := [3]int{1, 2, 0} // where each axis goes
	for range rounds() / 4 {
		kind := Kinds[r.IntN(len(Kinds))]
		a, b := randomPair(r, kind)
		s := randomSpec(r, kind)
		here := Make(a, b, s, shop())
		a.Box, a.Along, a.Thick = turn.Box(a.Box), to[a.Along], to[a.Thick]
		b.Box, b.Along, b.Thick = turn.Box(b.Box), to[b.Along], to[b.Thick]
		there := Make(a, b, s, shop())
		if here.Made != there.Made || !slices.Equal(codesOf(here.Findings), codesOf(there.Findings)) {
			t.Fatalf("%s: %v, turned %v\n%+v\n%+v", kind, codesOf(here.Findings), codesOf(there.Findings), a, b)
		}
		if !here.Made {
			continue
		}
		body := solid.New(here.CutA...).Turn(turn)
		if !body.Equal(solid.New(there.CutA...)) {
			t.Fatalf("%s: cut %v turned is not %v", kind, here.CutA, there.CutA)
		}
	}
}

// Every finding has a rule with a source, and words without a hole in them.
func TestEveryFindingIsExplained(t *testing.T) {
	r := rand.New(rand.NewPCG(23, 29))
	seen := map[Code]bool{}
	explain := func(f Finding) {
		seen[f.Code] = true
		rule, ok := Codes[f.Code]
		if !ok || rule.Meaning == "" || rule.Rule == "" || rule.Source == "" || f.Source != rule.Source {
			t.Fatalf("%s: rule %+v, source %q", f.Code, rule, f.Source)
		}
		asked := 0
		text := Explain(f, func(l measure.Length) string {
			asked++
			for _, v := range f.Lengths {
				if v == l {
					return "<size>"
				}
			}
			t.Errorf("%s: its words ask for a size it does not carry: %v", f.Code, f.Lengths)
			return "?"
		})
		if len(text.What) < 20 || text.Source == "" || strings.Contains(text.What+text.Do, "  ") || !strings.HasSuffix(text.What, ".") {
			t.Errorf("%s: %+v", f.Code, text)
		}
		if text.What == rule.Meaning {
			t.Errorf("%s has no words of its own", f.Code)
		}
		if f.Severity > Note && text.Do == "" {
			t.Errorf("%s says nothing to do", f.Code)
		}
		if asked == 0 && len(f.Lengths) > 0 {
			t.Errorf("%s shows none of its sizes %v", f.Code, f.Lengths)
		}
	}
	for range rounds() {
		kind := Kinds[r.IntN(len(Kinds))]
		a, b := randomPair(r, kind)
		tools := shop()
		if r.IntN(3) == 0 {
			tools.Bits = tools.Bits[:r.IntN(3)]
			tools.Chisels = nil
		}
		s := randomSpec(r, kind)
		s.Depth -= measure.Length(r.IntN(200)/199) * 4 * in
		j := Make(a, b, s, tools)
		for _, f := range j.Findings {
			explain(f)
		}
		c, _ := randomPair(r, kind)
		c.Box, c.Along, c.Thick = a.Box, a.Along, a.Thick
		_, b2 := randomPair(r, kind)
		k := Make(c, b2, randomSpec(r, kind), tools)
		for _, f := range Clashes(append(j.HollowsA("first"), k.HollowsA("second")...), 0) {
			explain(f)
		}
	}
	for _, f := range []Finding{found(BadMember, Stop, nil), found(UnknownKind, Stop, nil).word("kind", "dovetail"), found(EdgeContact, Stop, nil)} {
		explain(f)
	}
	leg, rail := legAndRail()
	for _, d := range []measure.Length{in, -in} {
		moved := rail
		moved.Box = rail.Box.Translate(solid.Point{d, 0, 0})
		explain(Make(leg, moved, Spec{Kind: Dowels}, shop()).Findings[0])
	}
	explain(Make(leg, rail, Spec{Kind: HalfLap}, shop()).Findings[0])
	for _, f := range Make(leg, rail, Spec{Kind: StoppedTenon, Thickness: frac(0, 3, 4), Width: frac(3, 1, 2), Tenons: 1, Haunch: true}, shop()).Findings {
		explain(f)
	}
	f, _ := Assumed("oak")
	explain(f)
	var use []Finding
	use = append(use, Bend(Bending{Span: 80 * in, Width: 2 * in, Depth: in / 2, LoadKG: 100}).Findings...)
	use = append(use, Heights("dining-table", 40*in, 20*in)...)
	for _, held := range []bool{true, false} {
		_, fs := Panel("oak", 40*in, held, Tools{})
		use = append(use, fs...)
	}
	use = append(use, Stand([]Weighted{{box(0, 0, 0, 2*in, 20*in, 40*in), 3}, {box(0, 0, 40*in, 10*in, 20*in, in), 0.1}}).Findings...)
	use = append(use, Stand([]Weighted{{solid.Box{}, 1}}).Findings...)
	for _, f := range use {
		explain(f)
	}
	for code := range Codes {
		if !seen[code] {
			t.Errorf("no joint gave %s: is it ever found?", code)
		}
	}
}

// Sizes out of all reason (a slip of the pen, a stray unit) must give an answer, not
// a crash, a flood of passes or an overflow.
func FuzzMake(f *testing.F) {
	f.Add(uint8(0), int64(38_100_000), int64(19_050_000), int64(6_350_000), int64(25_400_000), int64(0), int64(6_350_000), int64(0), 0)
	f.Add(uint8(9), int64(1), int64(1), int64(1), int64(1), int64(1), int64(1), int64(1), 1<<40)
	f.Add(uint8(8), int64(1e12), int64(1e12), int64(1e12), int64(1e12), int64(-1e12), int64(2), int64(1e12), -5)
	f.Fuzz(func(t *testing.T, kind uint8, section, thickness, depth, size, offset, bit, step int64, count int) {
		limit := func(v int64) measure.Length { return measure.Length(v % (1e12 + 1)) } // 1 km, what the parser lets through
		s, h := limit(section), limit(thickness)
		a := Member{Box: box(0, 0, 0, s, s, 20*s), Along: 2}
		a.Thick = 0
		b := Member{Box: box(s, 0, s, 30*s, h, s), Along: 0, Thick: 1}
		k := Kinds[int(kind)%len(Kinds)]
		if k == HalfLap || k == Bridle {
			b.Box.Min[0] = -s
		}
		tools := Tools{Bits: []Bit{{limit(bit), limit(depth)}}, Drills: []measure.Length{limit(bit)}, MitreKerf: limit(bit), DadoMax: limit(bit), Step: limit(step)}
		spec := Spec{Kind: k, Depth: limit(depth), Width: limit(size), Thickness: limit(size) / 2, Offset: limit(offset), Clearance: limit(bit) / 64, Count: count, Tenons: count, Haunch: count%2 == 0}
		j := Make(a, b, spec, tools)
		if !j.Made {
			if len(j.Findings) == 0 {
				t.Fatal("not made, and no word why")
			}
			return
		}
		if j.BodyA(a).Overlaps(j.BodyB(b)) {
			t.Fatalf("the bodies share wood: %+v %+v %+v", a, b, spec)
		}
		for _, m := range j.Methods {
			if len(m.Starts) > 2*mostPasses+2 || len(m.Depths) > mostPasses+1 {
				t.Fatalf("%d passes, %d rounds", len(m.Starts), len(m.Depths))
			}
		}
	})
}
