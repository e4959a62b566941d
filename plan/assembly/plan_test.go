package assembly

import (
	"errors"
	"fmt"
	"math/bits"
	"math/rand/v2"
	"os"
	"slices"
	"strings"
	"testing"

	"pilewright/plan/solid"
)

// full is the factor of long runs, asked for by PILEWRIGHT_FULL=1.
func full() int {
	if os.Getenv("PILEWRIGHT_FULL") == "1" {
		return 20
	}
	return 1
}

// plan plans, replays and reports.
func plan(t *testing.T, bodies []solid.Body, joints []Joint, limits Limits) Sequence {
	t.Helper()
	s, err := Plan(bodies, joints, limits)
	if err != nil {
		t.Fatalf("no order: %v", err)
	}
	if err := Check(bodies, joints, limits, s); err != nil {
		t.Fatalf("the order cannot be done: %v", err)
	}
	return s
}

// told writes the stages in short lines.
func told(s Sequence) string {
	var b strings.Builder
	for n, st := range s.Stages {
		glue := "glue"
		if st.Dry {
			glue = "dry"
		}
		fmt.Fprintf(&b, "%d %s after %v, %d min:", n, glue, st.After, st.Minutes)
		for _, m := range st.Moves {
			fmt.Fprintf(&b, " [%s] %v [%s];", strings.Join(m.Moving, ", "), m.Dir, strings.Join(m.Into, ", "))
		}
		b.WriteString("\n")
	}
	return b.String()
}

func TestATableIsTwoEndFramesThenItsLongRailsThenItsTop(t *testing.T) {
	bodies, joints := table()
	if r := solid.Fit(bodies, nil); !r.OK() {
		t.Fatalf("the table does not fit: %+v", r)
	}
	s := plan(t, bodies, joints, Limits{OpenMinutes: 10})
	want := `0 glue after [], 4 min: [rail l] -y [leg fl]; [leg bl] -y [leg fl, rail l];
1 glue after [], 4 min: [rail r] -y [leg fr]; [leg br] -y [leg fr, rail r];
2 glue after [0 1], 8 min: [rail f] -x [leg fl, leg bl, rail l]; [rail b] -x [leg fl, leg bl, rail l, rail f]; [leg fr, leg br, rail r] -x [leg fl, leg bl, rail l, rail f, rail b];
3 dry after [2], 4 min: [top] -z [leg fl, leg bl, leg fr, leg br, rail l, rail r, rail f, rail b];
`
	if got := told(s); got != want {
		t.Errorf("got\n%swant\n%s", got, want)
	}
	if s.GlueUps() != 3 || len(s.DryFit) != 8 || s.Stages[2].Level != 2 {
		t.Errorf("got %d glue-ups, %d moves of dry fit, level %d of the third stage; want 3, 8, 2", s.GlueUps(), len(s.DryFit), s.Stages[2].Level)
	}
}

func TestDryPartsWaitUntilTheGlueHasSet(t *testing.T) {
	// A rail is glued between two sides; a slat slides in through a window of the
	// right side, along the same axis. It could come before, but need not.
	slat, rail := box(10, 40, 40, 320, 60, 50), box(20, 10, 10, 300, 30, 30)
	bodies := []solid.Body{
		{ID: "slat", Solid: solid.New(slat)},
		{ID: "left", Solid: solid.New(box(0, 0, 0, 20, 100, 100)).Cut(box(10, 40, 40, 20, 60, 50))},
		{ID: "rail", Solid: solid.New(rail)},
		{ID: "right", Solid: solid.New(box(300, 0, 0, 320, 100, 100)).Cut(box(300, 40, 40, 320, 60, 50))},
	}
	joints := []Joint{
		{ID: "slat left", A: "left", B: "slat", Dir: solid.MinusX, Dry: true, Minutes: 3},
		{ID: "rail left", A: "left", B: "rail", Dir: solid.MinusX, Minutes: 2},
		{ID: "rail right", A: "right", B: "rail", Dir: solid.PlusX, Minutes: 2},
	}
	for first := range bodies {
		for second := range bodies {
			order := slices.Clone(bodies) // in whatever order the bodies are given
			order[0], order[first] = order[first], order[0]
			order[1], order[second] = order[second], order[1]
			for _, limits := range []Limits{{}, {OpenMinutes: 4}} {
				s := plan(t, order, joints, limits)
				if len(s.Stages) != 2 || s.Stages[0].Dry || s.Stages[0].Minutes != 4 || !s.Stages[1].Dry || !slices.Equal(s.Stages[1].Moves[0].Moving, []string{"slat"}) {
					t.Errorf("within %d min: got\n%swant the slat last, by itself", limits.OpenMinutes, told(s))
				}
			}
		}
	}
}

func TestALooseRingComesFromTheNearerEnd(t *testing.T) {
	post := solid.Body{ID: "post", Solid: solid.New(box(0, 0, 0, 10, 10, 100))}
	for z, want := range map[int]solid.Direction{20: solid.PlusZ, 70: solid.MinusZ} {
		ring := solid.Body{ID: "ring", Solid: solid.New(box(-5, -5, z, 15, 15, z+4)).Cut(box(0, 0, z, 10, 10, z+4))}
		s := plan(t, []solid.Body{post, ring}, nil, Limits{})
		if m := s.Stages[0].Moves[0]; m.Moving[0] != "ring" || m.Dir != want {
			t.Errorf("ring at %d: got %v moving %v, want the ring %v", z, m.Moving, m.Dir, want)
		}
	}
}

func TestScrewedBoardsAreOfferedUpFaceToFace(t *testing.T) {
	// A tray: nothing but faces, screwed.
	bodies := []solid.Body{
		{ID: "bottom", Solid: solid.New(box(0, 0, 0, 300, 200, 10))},
		{ID: "front", Solid: solid.New(box(0, 0, 10, 300, 10, 60))},
		{ID: "back", Solid: solid.New(box(0, 190, 10, 300, 200, 60))},
		{ID: "left", Solid: solid.New(box(0, 10, 10, 10, 190, 60))},
		{ID: "right", Solid: solid.New(box(290, 10, 10, 300, 190, 60))},
	}
	var joints []Joint
	for _, q := range [][2]string{{"bottom", "front"}, {"bottom", "back"}, {"bottom", "left"}, {"bottom", "right"}, {"front", "left"}, {"front", "right"}, {"back", "left"}, {"back", "right"}} {
		joints = append(joints, Joint{ID: q[0] + " " + q[1], A: q[0], B: q[1], Dry: true})
	}
	s := plan(t, bodies, joints, Limits{})
	at := map[string]solid.Solid{}
	for _, b := range bodies {
		at[b.ID] = b.Solid
	}
	for _, m := range s.DryFit {
		for _, id := range m.Joints {
			a, b, _ := strings.Cut(id, " ")
			if !pressed(at[a], at[b], m.Dir.Axis()) {
				t.Errorf("%s slides along its faces:\n%s", id, told(s))
			}
		}
	}
}

func TestLimitsSplitOrRefuseStages(t *testing.T) {
	bodies, joints := slattedBench(6)
	twoAJoint := func(joints int) int { return 2 * joints }
	for _, c := range []struct {
		name   string
		limits Limits
		stages int
		reason Reason
		need   int
	}{
		{"without limits it is one glue-up", Limits{}, 1, "", 0},
		{"twelve minutes do for all joints", Limits{OpenMinutes: 12}, 1, "", 0},
		{"eleven minutes need two glue-ups", Limits{OpenMinutes: 11}, 2, "", 0},
		{"six minutes do for the far rail alone", Limits{OpenMinutes: 6}, 2, "", 0},
		{"the far rail cannot close six joints in five minutes", Limits{OpenMinutes: 5}, 0, OverTime, 6},
		{"clamps for half of it need two glue-ups", Limits{Clamps: 12, ClampsFor: twoAJoint}, 2, "", 0},
		{"too few clamps for the far rail", Limits{Clamps: 11, ClampsFor: twoAJoint}, 0, TooFewClamps, 12},
	} {
		t.Run(c.name, func(t *testing.T) {
			if c.reason == "" {
				if s := plan(t, bodies, joints, c.limits); len(s.Stages) != c.stages {
					t.Errorf("got %d stages, want %d:\n%s", len(s.Stages), c.stages, told(s))
				}
				return
			}
			_, err := Plan(bodies, joints, c.limits)
			var b *Blocked
			if !errors.As(err, &b) || b.Reason != c.reason || b.Need != c.need || len(b.Joints) != 6 {
				t.Errorf("got %v (%+v), want %s for %d", err, b, c.reason, c.need)
			}
		})
	}
}

func TestBlockedPiecesNameWhatBlocks(t *testing.T) {
	post := solid.Body{ID: "post", Solid: solid.New(box(0, 0, 0, 10, 10, 100))}
	ring := solid.Body{ID: "ring", Solid: solid.New(box(-10, -10, 40, 20, 20, 60)).Cut(box(0, 0, 40, 10, 10, 60))}
	knob := post
	knob.Solid = post.Solid.Add(box(-5, -5, 0, 15, 15, 20), box(-5, -5, 80, 15, 15, 100))
	for _, c := range []struct {
		name   string
		bodies []solid.Body
		joints []Joint
		want   Blocked
	}{
		{"a ring on a post with a knob at each end", []solid.Body{knob, ring}, []Joint{{ID: "j", A: "post", B: "ring", Dir: solid.PlusZ}},
			Blocked{Reason: Interlocked, Bodies: []string{"post", "ring"}, Joints: []string{"j"}}},
		{"the same without a joint names the pair", []solid.Body{knob, ring}, nil,
			Blocked{Reason: Interlocked, Bodies: []string{"post", "ring"}, Pairs: [][2]string{{"post", "ring"}}}},
		{"a ring that is to come on sideways", []solid.Body{post, ring}, []Joint{{ID: "j", A: "post", B: "ring", Dir: solid.PlusX}},
			Blocked{Reason: Interlocked, Bodies: []string{"post", "ring"}, Joints: []string{"j"}}},
		{"a bystander is not blamed", []solid.Body{{ID: "far", Solid: solid.New(box(100, 0, 0, 110, 10, 10))}, knob, ring}, nil,
			Blocked{Reason: Interlocked, Bodies: []string{"post", "ring"}, Pairs: [][2]string{{"post", "ring"}}}},
		{"an unknown body", []solid.Body{post}, []Joint{{ID: "j", A: "post", B: "rail"}}, Blocked{Reason: Unknown, Joints: []string{"j"}}},
		{"a name used twice", []solid.Body{post, post}, nil, Blocked{Reason: Repeated, Bodies: []string{"post"}}},
		{"glued faces that do not touch", []solid.Body{post, {ID: "far", Solid: solid.New(box(100, 0, 0, 110, 10, 10))}}, []Joint{{ID: "j", A: "post", B: "far"}},
			Blocked{Reason: Apart, Bodies: []string{"post", "far"}, Joints: []string{"j"}}},
	} {
		t.Run(c.name, func(t *testing.T) {
			_, err := Plan(c.bodies, c.joints, Limits{})
			var got *Blocked
			if !errors.As(err, &got) || fmt.Sprintf("%+v", *got) != fmt.Sprintf("%+v", c.want) {
				t.Errorf("got %v (%+v), want %+v", err, got, c.want)
			}
		})
	}
}

func TestTheErrorIsASentence(t *testing.T) {
	many := []string{"1", "2", "3", "4", "5", "6", "7", "8"}
	for _, c := range []struct {
		b    Blocked
		want string
	}{
		{Blocked{Reason: OverTime, Joints: many, Need: 16, Have: 8}, "joints 1, 2, 3, 4, 5, 6 and 2 more close at once and take 16 min, the glue stays open 8 min"},
		{Blocked{Reason: OverTime, Joints: many[:1], Need: 16, Have: 8, Unsure: true}, "joints 1 close at once in every order tried and take 16 min, the glue stays open 8 min"},
		{Blocked{Reason: TooFewClamps, Joints: many[:1], Need: 4, Have: 3, Unsure: true}, "joints 1 close at once in every order tried and need 4 clamps, there are 3"},
		{Blocked{Reason: TooFewClamps, Joints: many[:2], Need: 4, Have: 3}, "joints 1, 2 close at once and need 4 clamps, there are 3"},
		{Blocked{Reason: Interlocked, Bodies: []string{"A1", "B1"}, Joints: []string{"j"}}, "no way to bring together A1, B1; held by j"},
		{Blocked{Reason: Interlocked, Bodies: []string{"A1", "B1"}, Pairs: [][2]string{{"A1", "B1"}}}, "no way to bring together A1, B1; A1 is in the way of B1"},
		{Blocked{Reason: Apart, Joints: []string{"j"}}, "joint j is glued but its faces do not touch"},
		{Blocked{Reason: Unknown, Joints: []string{"j"}}, "joint j needs two bodies of the piece"},
		{Blocked{Reason: Repeated, Bodies: []string{"A1"}}, "name used twice: A1"},
	} {
		if got := c.b.Error(); got != c.want {
			t.Errorf("got %q, want %q", got, c.want)
		}
	}
}

func TestThreeJointsAlongThreeAxesBlockEachOther(t *testing.T) {
	// Each of the three blocks is jointed to both others, each joint along an axis
	// of its own: whichever joint is left open last, the other two forbid its way.
	// Freeing any one of them is enough.
	bodies := []solid.Body{
		{ID: "a", Solid: solid.New(box(0, 0, 0, 10, 10, 10))},
		{ID: "b", Solid: solid.New(box(10, 0, 0, 20, 10, 10), box(10, 10, 0, 20, 20, 20))},
		{ID: "c", Solid: solid.New(box(0, 0, 10, 20, 10, 20))},
	}
	joints := []Joint{
		{ID: "ab", A: "a", B: "b", Dir: solid.MinusX},
		{ID: "bc", A: "b", B: "c", Dir: solid.PlusY},
		{ID: "ac", A: "a", B: "c", Dir: solid.MinusZ},
	}
	_, err := Plan(bodies, joints, Limits{})
	var b *Blocked
	if !errors.As(err, &b) || b.Reason != Interlocked || len(b.Bodies) != 3 || !slices.Equal(b.Joints, []string{"ab"}) || len(b.Pairs) != 0 {
		t.Fatalf("got %v (%+v), want three blocks held by one joint", err, b)
	}
	for i := range joints {
		plan(t, bodies, slices.Delete(slices.Clone(joints), i, i+1), Limits{})
	}
}

func TestPlanEqualsExhaustiveSearch(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 7))
	var done, stuck, limited, refused int
	for round := range 1200 * full() {
		bodies, joints := randomPiece(r, 6)
		b := newBrute(bodies, joints)
		all := uint(1)<<len(bodies) - 1
		s, err := Plan(bodies, joints, Limits{})
		if got, want := err == nil, b.possible(all); got != want {
			t.Fatalf("round %d: plan says %v, search finds %v: %v %v", round, err, want, bodies, joints)
		}
		if err != nil {
			stuck++
			checkBlocked(t, err, bodies, joints)
			continue
		}
		done++
		compare := func(limits Limits) (planned bool) {
			b.least = map[uint]int{}
			want := b.glueUps(all, limits)
			s, err = Plan(bodies, joints, limits)
			if err != nil {
				if want >= 0 {
					t.Fatalf("round %d: refused (%v), search finds %d glue-ups within %+v\n%v %v", round, err, want, limits, bodies, joints)
				}
				checkRefused(t, b, err, limits)
				return false
			}
			if err := Check(bodies, joints, limits, s); err != nil {
				t.Fatalf("round %d: %v\n%s%v %v", round, err, told(s), bodies, joints)
			}
			if got := things(b, s); got != want || !s.Fewest {
				t.Fatalf("round %d: %d glue-ups, proved the fewest: %v; search finds %d within %+v\n%s%v %v", round, got, s.Fewest, want, limits, told(s), bodies, joints)
			}
			for _, m := range s.DryFit {
				if len(m.Moving) > len(m.Into) {
					t.Fatalf("round %d: the larger side moves\n%s", round, told(s))
				}
			}
			return true
		}
		compare(Limits{})
		clamps := Limits{Clamps: 1 + r.IntN(4), ClampsFor: func(joints int) int { return joints }}
		both := clamps
		both.OpenMinutes = 2 + r.IntN(6)
		for _, limits := range []Limits{{OpenMinutes: 2 + r.IntN(5)}, clamps, both} {
			if compare(limits) {
				limited++
			} else {
				refused++
			}
		}
	}
	t.Logf("%d pieces assembled, %d blocked; under limits %d planned and %d refused", done, stuck, limited, refused)
	if done < 500 || stuck < 300 || limited < 900 || refused < 300 {
		t.Fatal("too few cases")
	}
}

// checkRefused verifies what a piece that the limits forbid blames: the bodies
// named can only be parted over the limits, and by no less than is said.
func checkRefused(t *testing.T, b *brute, err error, limits Limits) {
	t.Helper()
	var got *Blocked
	if !errors.As(err, &got) || got.Unsure {
		t.Fatalf("got %v (%+v), want a sure refusal", err, got)
	}
	all := uint(0)
	for i, body := range b.bodies {
		if slices.Contains(got.Bodies, body.ID) {
			all |= 1 << i
		}
	}
	minutes, joints, within := b.easiest(all, limits)
	if within {
		t.Fatalf("%v can be parted within the limits, got %v", got.Bodies, err)
	}
	sum := 0
	for _, j := range b.joints {
		if slices.Contains(got.Joints, j.ID) {
			sum += j.Minutes
		}
	}
	switch got.Reason {
	case TooFewClamps:
		if got.Need != limits.ClampsFor(joints) || len(got.Joints) != joints || got.Have != limits.Clamps || got.Need <= got.Have {
			t.Fatalf("got %+v, the easiest parting closes %d joints at once", got, joints)
		}
	case OverTime:
		least := got.Need == minutes
		if limits.ClampsFor != nil { // the easiest parting may need too many clamps
			least = got.Need >= minutes && limits.ClampsFor(len(got.Joints)) <= limits.Clamps
		}
		if !least || sum != got.Need || got.Have != limits.OpenMinutes || got.Need <= got.Have {
			t.Fatalf("got %+v, the easiest parting takes %d min", got, minutes)
		}
	default:
		t.Fatalf("got %v, want a refusal by the limits", err)
	}
}

func TestStagesAreFilledAsWellAsCanBe(t *testing.T) {
	// Blocks glued on a base, by minutes: what goes together decides how often glue
	// is opened.
	on := func(minutes ...int) ([]solid.Body, []Joint) {
		bodies := []solid.Body{{ID: "base", Solid: solid.New(box(0, 0, 0, 20*len(minutes), 20, 10))}}
		var joints []Joint
		for i, m := range minutes {
			id := fmt.Sprint("block ", i)
			bodies = append(bodies, solid.Body{ID: id, Solid: solid.New(box(20*i, 0, 10, 20*i+10, 20, 20))})
			joints = append(joints, Joint{ID: id, A: "base", B: id, Minutes: m})
		}
		return bodies, joints
	}
	r := rand.New(rand.NewPCG(3, 1))
	for range 60 * full() {
		minutes := make([]int, 2+r.IntN(9))
		for i := range minutes {
			minutes[i] = 1 + r.IntN(6)
		}
		open := 6 + r.IntN(4)
		bodies, joints := on(minutes...)
		s := plan(t, bodies, joints, Limits{OpenMinutes: open})
		if want := leastBins(minutes, open); s.GlueUps() != want || !s.Fewest {
			t.Errorf("%v in %d min: got %d glue-ups, proved the fewest: %v; want %d\n%s", minutes, open, s.GlueUps(), s.Fewest, want, told(s))
		}
	}
}

// leastBins is the least number of bins of a size that hold the items, by trying
// every set of items as the last bin.
func leastBins(items []int, size int) int {
	least := make([]int, 1<<len(items))
	for all := 1; all < len(least); all++ {
		least[all] = len(items)
		for bin := all; bin > 0; bin = (bin - 1) & all {
			sum := 0
			for i, n := range items {
				sum += n * (bin >> i & 1)
			}
			if sum <= size {
				least[all] = min(least[all], 1+least[all&^bin])
			}
		}
	}
	return least[len(least)-1]
}

// An order too large to search through is still one, and does not claim more.
func TestALargePieceUnderLimitsClaimsNothingUnproved(t *testing.T) {
	bodies, joints := splits(120)
	s := plan(t, bodies, joints, Limits{OpenMinutes: 12})
	if s.Fewest {
		t.Errorf("%d glue-ups of 120 blocks sawn at random are said to be proved the fewest", s.GlueUps())
	}
	bodies, joints = bricks(5)
	if s = plan(t, bodies, joints, Limits{}); !s.Fewest || s.GlueUps() != 31 {
		t.Errorf("got %d glue-ups, proved the fewest: %v; want 25 rows, 5 walls and the block", s.GlueUps(), s.Fewest)
	}
}

func TestOrdinaryPiecesUnderLimitsAreDecided(t *testing.T) {
	for _, c := range []struct {
		name string
		make func() ([]solid.Body, []Joint)
	}{
		{"table", table}, {"table with slats", slattedTable},
		{"bench of 8", func() ([]solid.Body, []Joint) { return slattedBench(6) }},
		{"bench of 32", func() ([]solid.Body, []Joint) { return slattedBench(30) }},
		{"bricks of 8", func() ([]solid.Body, []Joint) { return bricks(2) }},
		{"bricks of 27", func() ([]solid.Body, []Joint) { return bricks(3) }},
	} {
		bodies, joints := c.make()
		for open := 1; open <= 40; open = open*4/3 + 1 {
			s, err := Plan(bodies, joints, Limits{OpenMinutes: open})
			var b *Blocked
			if err == nil && !s.Fewest || errors.As(err, &b) && b.Unsure {
				t.Errorf("%s in %d min: %d glue-ups, %v: not decided", c.name, open, s.GlueUps(), err)
			}
		}
	}
}

// checkBlocked verifies what a blocked piece blames: the bodies named are stuck
// by themselves and least, and freeing the pairs named is enough for them.
func checkBlocked(t *testing.T, err error, bodies []solid.Body, joints []Joint) {
	t.Helper()
	var b *Blocked
	if !errors.As(err, &b) || b.Reason != Interlocked {
		t.Fatalf("got %v, want an interlocked piece", err)
	}
	only := func(leave string) ([]solid.Body, []Joint) {
		var some []solid.Body
		for _, body := range bodies {
			if slices.Contains(b.Bodies, body.ID) && body.ID != leave {
				some = append(some, body)
			}
		}
		has := func(id string) bool { return slices.ContainsFunc(some, func(b solid.Body) bool { return b.ID == id }) }
		var held []Joint
		for _, j := range joints {
			if has(j.A) && has(j.B) {
				held = append(held, j)
			}
		}
		return some, held
	}
	some, held := only("")
	whole := newBrute(some, held)
	if whole.possible(1<<len(some) - 1) {
		t.Fatalf("%v are not stuck: %v %v", b.Bodies, some, held)
	}
	for _, id := range b.Bodies {
		rest, heldRest := only(id)
		if !newBrute(rest, heldRest).possible(1<<len(rest) - 1) {
			t.Fatalf("%v are stuck without %s as well", b.Bodies, id)
		}
	}
	free := func(pairs [][2]string) *brute {
		named := func(x, y string) bool {
			return slices.Contains(pairs, [2]string{x, y}) || slices.Contains(pairs, [2]string{y, x})
		}
		var kept []Joint
		for _, j := range held {
			if !named(j.A, j.B) {
				kept = append(kept, j)
			}
		}
		c := newBrute(some, kept)
		for i := range some {
			for j := range some {
				if named(some[i].ID, some[j].ID) {
					c.hits[i][j] = [solid.MinusZ + 1]bool{}
				}
			}
		}
		return c
	}
	pairs := slices.Clone(b.Pairs)
	for _, j := range held {
		if slices.Contains(b.Joints, j.ID) && !slices.Contains(pairs, [2]string{j.A, j.B}) && !slices.Contains(pairs, [2]string{j.B, j.A}) {
			pairs = append(pairs, [2]string{j.A, j.B})
		}
	}
	if !free(pairs).possible(1<<len(some) - 1) {
		t.Fatalf("freeing %v does not help %v", pairs, b.Bodies)
	}
	// No smaller set would do.
	var every [][2]string
	for i := range some {
		for j := i + 1; j < len(some); j++ {
			every = append(every, [2]string{some[i].ID, some[j].ID})
		}
	}
	for sub := uint(0); sub < 1<<len(every); sub++ {
		if bits.OnesCount(sub) >= len(pairs) {
			continue
		}
		var fewer [][2]string
		for i := range every {
			if sub>>i&1 == 1 {
				fewer = append(fewer, every[i])
			}
		}
		if free(fewer).possible(1<<len(some) - 1) {
			t.Fatalf("freeing %v is enough for %v, %v was named", fewer, b.Bodies, pairs)
		}
	}
}
