package plan_test

import (
	"context"
	"slices"
	"strings"
	"testing"

	"pilewright/plan"
	"pilewright/plan/joinery"
)

// What is wrong with a piece is said: what it is, where, and what to do.
func TestBadInputToAPieceIsNamed(t *testing.T) {
	part := func(name string, change func(*plan.Part)) func(*plan.Project) {
		return func(p *plan.Project) {
			p.Parts = slices.Clone(p.Parts)
			i := slices.IndexFunc(p.Parts, func(x plan.Part) bool { return x.Name == name })
			p.Parts[i].Copies = slices.Clone(p.Parts[i].Copies)
			change(&p.Parts[i])
		}
	}
	for _, c := range []struct {
		name  string
		spoil func(*plan.Project)
		code  string // of the finding
		says  string // in its text or in what to do
		drawn bool   // the piece can still be drawn
	}{
		{"a part of no length", part("slat", func(s *plan.Part) { s.Length = "0" }), "size.least", "slat", false},
		{"a part of a length below zero", part("slat", func(s *plan.Part) { s.Length = "-3 in" }), "size.least", "slat", false},
		{"a part a nanometre thick", part("slat", func(s *plan.Part) { s.Thickness = "0.000001 mm" }), "size.least", "slat", false},
		{"a part of more than 100 m", part("slat", func(s *plan.Part) { s.Length = "101 m" }), "size.range", "100 m", false},
		{"a part of 100 m", part("slat", func(s *plan.Part) { s.Length = "100 m" }), "", "", true},
		{"a size that is no size", part("slat", func(s *plan.Part) { s.Width = "wide" }), "size.text", "wide", false},
		{"measures that need each other", func(p *plan.Project) {
			p.Measures = append(slices.Clone(p.Measures), plan.Measure{ID: p.Take(), Piece: p.Piece.ID, Name: "left_gap", Text: "right_gap + 1 in"}, plan.Measure{ID: p.Take(), Piece: p.Piece.ID, Name: "right_gap", Text: "left_gap"})
		}, "measure.text", "_gap", false},
		{"a joint between copies that do not meet", func(p *plan.Project) {
			id := func(name string) plan.ID {
				return p.Parts[slices.IndexFunc(p.Parts, func(x plan.Part) bool { return x.Name == name })].ID
			}
			p.Joints = append(slices.Clone(p.Joints), plan.Joint{ID: p.Take(), Piece: p.Piece.ID, Kind: joinery.StoppedTenon, A: plan.CopyRef{Part: id("leg"), Index: 1}, B: plan.CopyRef{Part: id("leg"), Index: 2}})
		}, "joint.apart", "apart", true},
		{"more than 2,000 copies", part("slat", func(s *plan.Part) { s.Copies[0].Repeat = "2001 pcs" }), "count.range", "2001", false},
	} {
		t.Run(c.name, func(t *testing.T) {
			p := demoProject(t).With(c.spoil)
			made, err := plan.Make(context.Background(), p, toyTools, nil)
			if err != nil {
				t.Fatal(err)
			}
			if made.Drawable() != c.drawn {
				t.Errorf("it can be drawn: %v, want %v; %s", made.Drawable(), c.drawn, made.Failure())
			}
			if c.code == "" {
				return
			}
			i := slices.IndexFunc(made.Findings, func(f plan.Finding) bool { return f.Code == c.code })
			if i < 0 {
				t.Fatalf("no finding %s among %+v", c.code, made.Findings)
			}
			f := made.Findings[i]
			if f.Severity != plan.Stop || f.Do == "" || !strings.Contains(f.Text+f.Do, c.says) {
				t.Errorf("%+v", f)
			}
		})
	}
}
