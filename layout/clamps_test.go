package layout_test

import (
	"context"
	"fmt"
	"math/rand/v2"
	"os"
	"slices"
	"strings"
	"testing"
	"time"

	"pilewright/assets"
	"pilewright/plan"
	"pilewright/plan/measure"
)

// standing is a glue-up in its clamps.
type standing struct {
	step     string
	count    int
	on, off  time.Time
	reaching measure.Length // the clamps open at least so wide
}

// clampsInUse reads from the calendar which glue-ups stand in clamps, and when: from
// the first minute of the gluing until the minutes the glue asks for are over, or,
// where the clamps are taken off in a step of its own, until that is done. It shares
// nothing with the steps' own count; a gluing says in its first line what it takes.
func clampsInUse(t *testing.T, p *plan.Plan) []standing {
	t.Helper()
	first, last := map[string]time.Time{}, map[string]time.Time{}
	for _, b := range p.Work.Timeline.Bars {
		if _, seen := first[b.Step]; !seen {
			first[b.Step] = b.Start
		}
		last[b.Step] = b.End
	}
	var out []standing
	for _, s := range p.Work.Steps {
		if s.Done || !strings.HasPrefix(s.Key, "glue/") && !strings.HasPrefix(s.Key, "join/") {
			continue
		}
		on, there := first[s.Key]
		if !there {
			continue
		}
		i := slices.IndexFunc(p.GlueUps, func(g plan.GlueUp) bool { return slices.Contains(s.Marks, g.Copy) })
		if i < 0 {
			t.Fatalf("%s glues nothing that is listed", s.Key)
		}
		g := p.GlueUps[i]
		x := standing{step: s.Key, on: on, off: last[s.Key].Add(g.Clamping.InClamps), reaching: across(g)}
		if _, err := fmt.Sscanf(s.Detail[0], "%d clamps", &x.count); err != nil {
			t.Fatalf("%s says first %q", s.Key, s.Detail[0])
		}
		if off, apart := last["off/"+s.Key]; apart {
			x.off = off
		} else if k := slices.IndexFunc(p.Work.Steps, func(o plan.Step) bool { return o.Key == "off/"+s.Key }); k >= 0 {
			continue // taken off already
		}
		out = append(out, x)
	}
	return out
}

// across is what clamps have to open to for a glue-up and a caul of 2 in at each side.
func across(g plan.GlueUp) measure.Length {
	if g.Way == plan.Laminated {
		return g.Thickness + 4*measure.Inch
	}
	return g.Width + 4*measure.Inch
}

// lackingClamps tells of moments when more clamps stand than the shop has that open
// wide enough for the widest of what stands. A glue-up that by itself asks for more
// than there are is warned of in the findings and left out here.
func lackingClamps(shop plan.Shop, list []standing) []string {
	wide := func(reach measure.Length) (n int) {
		for _, c := range shop.Clamps {
			if c.Kind != "spring" && c.Opening >= reach {
				n += c.Count
			}
		}
		return n
	}
	var out []string
	for _, at := range list { // the number in use rises only where a gluing begins
		if at.count > wide(at.reaching) {
			continue
		}
		in, who := 0, []string{}
		for _, o := range list {
			if !o.on.After(at.on) && o.off.After(at.on) && o.reaching >= at.reaching {
				in += o.count
				who = append(who, fmt.Sprintf("%s (%d)", o.step, o.count))
			}
		}
		if in > wide(at.reaching) {
			out = append(out, fmt.Sprintf("%s: %d of %d clamps: %s", at.on.Format("Jan 2 15:04"), in, wide(at.reaching), strings.Join(who, ", ")))
		}
	}
	return out
}

// Glue-ups never stand in the same clamps at once: the demo and its pile cut into
// other pieces, with clamps of many kinds and numbers.
func TestGlueUpsNeverStandInTheSameClamps(t *testing.T) {
	demo := demoProject(t)
	pieces := []*plan.Project{demo}
	for _, id := range []string{"bench", "stool", "shelf"} {
		if s, err := plan.OpenStart(assets.Starts, id); err == nil {
			pieces = append(pieces, demo.NewPiece(s, s.Name))
		}
	}
	if len(pieces) < 2 {
		t.Fatal("no starting point was found")
	}
	cases, together := 6, 0
	if os.Getenv("PILEWRIGHT_FULL") != "" {
		cases = 200
	}
	for n := range cases {
		r := rand.New(rand.NewPCG(5, uint64(n)))
		p := pieces[n%len(pieces)].With(func(q *plan.Project) {
			if n < len(pieces) {
				return // the clamps it ships with
			}
			q.Shop.Clamps = []plan.Clamp{{Kind: "bar", Opening: 60 * measure.Inch, Count: 6 + r.IntN(12)}}
			if r.IntN(3) == 0 {
				q.Shop.Clamps = append(q.Shop.Clamps, plan.Clamp{Kind: "F", Opening: measure.Length(8+r.IntN(20)) * measure.Inch, Count: 2 + r.IntN(8)})
			}
			q.Shop.TempC = float64(14 + r.IntN(12))
		})
		m, err := plan.Make(context.Background(), p, quickTools(), nil)
		if err != nil {
			t.Fatal(err)
		}
		list := clampsInUse(t, m)
		for i, a := range list {
			for _, b := range list[:i] {
				if a.on.Before(b.off) && b.on.Before(a.off) {
					together++
				}
			}
		}
		for _, say := range lackingClamps(p.Shop, list) {
			t.Errorf("case %d, %s, clamps %+v: %s", n, p.Piece.Name, p.Shop.Clamps, say)
		}
	}
	if together == 0 {
		t.Error("no two glue-ups ever stood at once: nothing was tested")
	}
}

// The force of a firm hand is a field of the shop: what it says of a lamination is
// reckoned here anew, all four legs are told of at once, and stronger clamps end it.
func TestClampsTooWeakForTheWoodAreTold(t *testing.T) {
	p := demoProject(t)
	light := func(p *plan.Project) []plan.Finding {
		made, err := plan.Make(context.Background(), p, quickTools(), nil)
		if err != nil {
			t.Fatal(err)
		}
		return slices.DeleteFunc(slices.Clone(made.Findings), func(f plan.Finding) bool {
			if f.Code != "clamp.light" {
				return true
			}
			i := slices.IndexFunc(made.GlueUps, func(g plan.GlueUp) bool { return g.Part == f.Subject.Part })
			g := made.GlueUps[i]
			long, high := g.Length, g.Thickness
			if g.Way == plan.Laminated {
				high = g.Panel.Rows[0].Width
			}
			sum := 0.0
			for _, c := range g.Clamping.Clamps {
				k := slices.IndexFunc(p.Shop.Clamps, func(s plan.Clamp) bool { return s.Kind == c.Kind })
				sum += p.Shop.Clamps[k].ForceLbf
			}
			psi := sum * float64(measure.Inch) / float64(long) * float64(measure.Inch) / float64(high)
			if want := fmt.Sprintf("with %.0f psi;", psi); !strings.Contains(f.Text, want) || psi >= 100 {
				t.Errorf("%q; want %q", f.Text, want)
			}
			return false
		})
	}
	list := light(p)
	if !slices.ContainsFunc(list, func(f plan.Finding) bool { return len(f.Subject.Marks) == 4 }) {
		t.Errorf("no finding tells of the four legs: %+v", list)
	}
	if rest := light(p.With(func(q *plan.Project) {
		q.Shop.Clamps = slices.Clone(q.Shop.Clamps)
		for i := range q.Shop.Clamps {
			q.Shop.Clamps[i].ForceLbf = 10_000
		}
	})); len(rest) > 0 {
		t.Errorf("clamps of 10,000 lbf are too weak: %+v", rest)
	}
}
