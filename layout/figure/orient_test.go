package figure

import (
	"context"
	"slices"
	"strings"
	"testing"
	"time"

	"pilewright/plan"
	"pilewright/plan/assembly"
	"pilewright/plan/measure"
)

const inch = measure.Inch

// frame is four legs with two long and two short rails of different height
// between them, as under any table; at moves the whole of it.
func frame(t testing.TB, at string) *plan.Plan {
	t.Helper()
	p := &plan.Project{Shop: plan.DefaultShop(), NextID: 100, Piece: plan.Piece{ID: 1, Name: "Frame"}}
	place := func(x, y, z string, along, thick plan.Axis) plan.Copy {
		return plan.Copy{X: at + "+" + x, Y: y, Z: z, Along: along, Thick: thick}
	}
	p.Parts = []plan.Part{
		{ID: 1, Piece: 1, Name: "leg", Length: "30 in", Width: "2 in", Thickness: "2 in", Copies: []plan.Copy{
			place("0 in", "0", "0", plan.Z, plan.Y), place("32 in", "0", "0", plan.Z, plan.Y), place("0 in", "18 in", "0", plan.Z, plan.Y), place("32 in", "18 in", "0", plan.Z, plan.Y)}},
		{ID: 2, Piece: 1, Name: "long rail", Length: "30 in", Width: "4 in", Thickness: "1 in", Copies: []plan.Copy{
			place("2 in", "1/4 in", "25 in", plan.X, plan.Y), place("2 in", "18 3/4 in", "25 in", plan.X, plan.Y)}},
		{ID: 3, Piece: 1, Name: "short rail", Length: "16 in", Width: "3 in", Thickness: "1 in", Copies: []plan.Copy{
			place("1/4 in", "2 in", "26 in", plan.Y, plan.X), place("32 3/4 in", "2 in", "26 in", plan.Y, plan.X)}},
	}
	for i, part := range []plan.ID{2, 3} {
		p.Joints = append(p.Joints, plan.Joint{ID: plan.ID(20 + i), Piece: 1, A: plan.CopyRef{Part: 1}, B: plan.CopyRef{Part: part}, Kind: "stopped-tenon", Depth: "3/4 in"})
	}
	none := plan.Tools{Today: time.Date(2026, 3, 2, 12, 0, 0, 0, time.UTC), Check: func(plan.CutJob, plan.Cuts) []string { return nil },
		Cut:     func(context.Context, plan.CutJob, func(plan.Cuts)) (plan.Cuts, error) { return plan.Cuts{}, nil },
		Compose: func(context.Context, plan.PanelJob) (plan.Panel, error) { return plan.Panel{}, nil }}
	out, err := plan.Make(context.Background(), p, none, nil)
	if err != nil || !out.Drawable() || len(out.Frame.Joints) != 8 {
		t.Fatalf("the frame is not planned: %v, %d joints, %s", err, len(out.Frame.Joints), out.Failure())
	}
	return out
}

// marksOf gives the marks of a group's copies.
func marksOf(p *plan.Plan, g PartGroup) []string {
	var out []string
	for _, i := range g.Copies {
		out = append(out, p.Copies[i].Mark)
	}
	return out
}

func TestFourWaysToHoldAPartAreNoMirror(t *testing.T) {
	p := frame(t, "0 in")
	for i, c := range p.Copies {
		straight, mirrored := holds(c, false), holds(c, true)
		if len(straight) != 4 || len(mirrored) != 4 {
			t.Errorf("%s: %d ways to hold it and %d mirrored, want 4 and 4: a block has four turns that keep its length, width and thickness", c.Mark, len(straight), len(mirrored))
		}
		for _, h := range straight {
			if slices.Contains(mirrored, h) {
				t.Errorf("copy %d: %v is held and mirrored", i, h)
			}
		}
	}
}

// The plan finds which copies are interchangeable by comparing bodies under every
// turn; the drawings are grouped by what is measured in them. Both must agree.
func TestCopiesThatAreMarkedOutAlikeAreThoseThatAreInterchangeable(t *testing.T) {
	p := frame(t, "0 in")
	var drawn, bodies []string
	for _, g := range PartGroups(p) {
		drawn = append(drawn, strings.Join(marksOf(p, g), " "))
	}
	for _, g := range p.Frame.Marking.Groups {
		bodies = append(bodies, strings.Join(g, " "))
	}
	slices.Sort(drawn)
	slices.Sort(bodies)
	if !slices.Equal(drawn, bodies) {
		t.Errorf("drawn alike: %q; the same bodies: %q", drawn, bodies)
	}
}

func TestLegsOfDiagonalCornersAreAlikeAndNeighboursAreMirrorImages(t *testing.T) {
	p := frame(t, "0 in")
	legs := PartGroups(p)[:2]
	if got := marksOf(p, legs[0]); !slices.Equal(got, []string{"A1", "A4"}) {
		t.Errorf("the first leg is like %v, want A1 and A4", got)
	}
	if got := marksOf(p, legs[1]); !slices.Equal(got, []string{"A2", "A3"}) || legs[1].MirrorOf != "A1" {
		t.Errorf("the second sort of leg is %v, mirror of %q; want A2 and A3, of A1", got, legs[1].MirrorOf)
	}
}

// A leg's mortises, by hand: the long rail's tenon goes into one face, the short
// rail's into the edge beside it. Rails lie 1/4 in behind the outer faces and are
// 1 in thick, so the middle of a mortise is 3/4 in from an outer face; the outer
// faces are the reference ones.
func TestALegIsMeasuredFromItsOuterFaces(t *testing.T) {
	p := frame(t, "0 in")
	for i := range 4 {
		v := Part(p, i)
		if len(v.Features) != 2 {
			t.Fatalf("%s has %d mortises, want 2", v.Mark, len(v.Features))
		}
		for _, f := range v.Features {
			middle := f.Y + f.W/2
			inner, outer := 2*inch-3*inch/4, 3*inch/4
			if middle != inner && middle != outer {
				t.Errorf("%s: the middle of a mortise is %v from the reference, want %v or %v", v.Mark, middle, outer, inner)
			}
			if strings.Contains(f.Note, "back") || strings.Contains(f.Note, "near") {
				t.Errorf("%s: held so that a mortise is out of sight: %s", v.Mark, f.Note)
			}
		}
	}
}

// Worked by hand. A1 stands front left; its short rail's mortise is in the back, so
// the back is looked at, and its long rail's in the right side, so the left side
// lies nearest. Whoever looks at the back with the left side below has the foot at
// the left: the mortises, near the top, are far to the right. A2, front right, has
// its right side nearest and its foot at the right.
func TestALegIsSeenAsItIsAndNotInAMirror(t *testing.T) {
	p := frame(t, "0 in")
	for _, f := range Part(p, 0).Features {
		if f.X < 25*inch {
			t.Errorf("A1: a mortise is drawn %v from the left end, want 25 in or more", f.X)
		}
	}
	for _, f := range Part(p, 1).Features {
		if f.X > 5*inch {
			t.Errorf("A2: a mortise is drawn %v from the left end, want 5 in or less", f.X)
		}
	}
}

func TestMovingThePieceChangesNoDrawing(t *testing.T) {
	here, there := PartGroups(frame(t, "0 in")), PartGroups(frame(t, "7 in"))
	if len(here) != len(there) {
		t.Fatalf("%d groups here, %d there", len(here), len(there))
	}
	for i := range here {
		if !alike(here[i].View, there[i].View) {
			t.Errorf("%s is drawn otherwise when the piece is moved", here[i].View.Mark)
		}
	}
}

func TestJointsOfOneKindAndSizeShareADrawing(t *testing.T) {
	p := frame(t, "0 in")
	n := 0
	for _, g := range JointGroups(p) {
		n += len(g.Joints)
		for _, j := range g.Joints {
			if j.Result.Spec != g.Joints[0].Result.Spec {
				t.Errorf("joint %d has other sizes than joint %d beside it", j.Pair, g.Joints[0].Pair)
			}
		}
	}
	if n != len(p.Frame.Joints) {
		t.Errorf("%d of %d joints are drawn", n, len(p.Frame.Joints))
	}
}

func TestAStageShowsItsBodiesDrawnBackTheWayTheyCame(t *testing.T) {
	p := frame(t, "0 in")
	for i, st := range p.Frame.Build.Sequence.Stages {
		bodies, whole := Stage(p, i)
		if !whole || len(bodies) != len(st.Parts) {
			t.Errorf("stage %d shows %d of %d bodies", i+1, len(bodies), len(st.Parts))
		}
		for _, s := range bodies {
			moved := s.Offset != [3]measure.Length{}
			moves := slices.ContainsFunc(st.Moves, func(m assembly.Move) bool { return slices.Contains(m.Moving, s.Mark) })
			if moved != moves {
				t.Errorf("stage %d: %s is moved %v, want %v", i+1, s.Mark, moved, moves)
			}
		}
	}
}
