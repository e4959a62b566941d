package figure

import (
	"cmp"
	"slices"

	"pilewright/layout/drawing"
	"pilewright/plan"
	"pilewright/plan/measure"
	"pilewright/plan/solid"
)

// hold is a way to hold a part for marking out: which face looks up, which edge
// lies nearest and which end is at the left. Set fields mean the high side of the
// piece's space. Only two of the three are free, else the drawing would be the
// part seen in a mirror.
type hold struct{ end, edge, face bool }

// holds lists the ways to hold a copy, from the one that reads the piece's own
// coordinates on. handed tells whether length, width and thickness run as the
// axes of a right-handed space do.
func holds(c plan.PlacedCopy, mirrored bool) []hold {
	handed := (int(c.Across())-int(c.Along)+3)%3 == 1 // length x width = thickness
	var out []hold
	for _, h := range []hold{{false, false, true}, {false, false, false}, {false, true, true}, {false, true, false}, {true, false, true}, {true, false, false}, {true, true, true}, {true, true, false}} {
		// To the right runs from the end, up from the edge, and the face looks at the
		// maker: these three make a right-handed space in a true view.
		right := h.end == h.edge == h.face
		if right == handed != mirrored {
			out = append(out, h)
		}
	}
	return out
}

// standing scores how well a part lies for marking out: what is cut into faces
// should be on the face seen, what is cut into edges on the far edge, so that the
// reference face and edge stay whole. Places settle what is equal.
func standing(a, b drawing.PartView) int {
	score := func(v drawing.PartView) int {
		n := 0
		for _, f := range v.Features {
			if f.Note == "" {
				n++
			}
		}
		return n
	}
	return cmp.Or(cmp.Compare(score(b), score(a)), slices.CompareFunc(a.Features, b.Features, compareFeatures),
		cmp.Compare(a.LeftTenon, b.LeftTenon), cmp.Compare(a.TenonEdge, b.TenonEdge), cmp.Compare(a.TenonFace, b.TenonFace))
}

func compareFeatures(a, b drawing.Feature) int {
	if a.Edge != b.Edge {
		if b.Edge {
			return -1
		}
		return 1
	}
	return cmp.Or(cmp.Compare(a.X, b.X), cmp.Compare(a.Y, b.Y), cmp.Compare(a.L, b.L), cmp.Compare(a.W, b.W),
		cmp.Compare(a.Depth, b.Depth), cmp.Compare(a.Kind, b.Kind), cmp.Compare(a.Note, b.Note))
}

// PartGroup is copies that are marked out alike.
type PartGroup struct {
	Copies   []int   // of Plan.Copies
	Pairs    [][]int // of every copy: the pair number of each of View's features
	View     drawing.PartView
	MirrorOf string // mark of a copy whose mirror image these are; else empty
}

// PartGroups gathers the copies of every part that are cut alike, so that one
// drawing serves them all. Mirror images stand apart: a leg of the left side is
// none of the right.
func PartGroups(p *plan.Plan) []PartGroup {
	var out []PartGroup
	cuts := cutsOf(p)
	for _, sp := range p.Parts {
		first := len(out)
		for i := sp.First; i < sp.First+sp.N; i++ {
			v, pairs := held(p, i, cuts[i], false)
			at := slices.IndexFunc(out[first:], func(g PartGroup) bool { return alike(g.View, v) })
			if at >= 0 {
				g := &out[first+at]
				g.Copies, g.Pairs = append(g.Copies, i), append(g.Pairs, pairs)
				continue
			}
			g := PartGroup{Copies: []int{i}, Pairs: [][]int{pairs}, View: v}
			for _, o := range out[first:] {
				if mirrors(p, i, cuts[i], o.View) {
					g.MirrorOf = p.Copies[o.Copies[0]].Mark
					break
				}
			}
			out = append(out, g)
		}
	}
	return out
}

// alike reports whether two parts are marked out in the same way.
func alike(a, b drawing.PartView) bool {
	features := slices.Equal(a.Features, b.Features)
	a.Ref, a.Mark, a.Title, a.Features = b.Ref, b.Mark, b.Title, nil
	b.Features = nil
	return features && a.Length == b.Length && a.Width == b.Width && a.Thickness == b.Thickness && a.LeftTenon == b.LeftTenon && a.RightTenon == b.RightTenon &&
		a.TenonWidth == b.TenonWidth && a.TenonThick == b.TenonThick && a.TenonEdge == b.TenonEdge && a.TenonFace == b.TenonFace
}

// mirrors reports whether the copy is the mirror image of the view.
func mirrors(p *plan.Plan, index int, joints []int, of drawing.PartView) bool {
	v, _ := held(p, index, joints, true)
	return alike(of, v)
}

// cutsOf gives the joints of every copy, as places in Plan.Frame.Joints.
func cutsOf(p *plan.Plan) [][]int {
	out := make([][]int, len(p.Copies))
	for n, j := range p.Frame.Joints {
		out[j.A] = append(out[j.A], n)
		if j.B != j.A {
			out[j.B] = append(out[j.B], n)
		}
	}
	return out
}

// held gives a copy with its joints as it is best held for marking out, and for
// every feature the pair number of its joint.
func held(p *plan.Plan, index int, joints []int, mirrored bool) (best drawing.PartView, pairs []int) {
	for i, h := range holds(p.Copies[index], mirrored) {
		if v, of := h.view(p, index, joints); i == 0 || standing(v, best) < 0 {
			best, pairs = v, of
		}
	}
	return best, pairs
}

// view draws the copy with its joints up in that hold.
func (h hold) view(p *plan.Plan, index int, joints []int) (drawing.PartView, []int) {
	c := p.Copies[index]
	part, _ := p.Part(c.Part)
	added := p.Frame.Added[index]
	along, across, thick := int(c.Along), int(c.Across()), int(c.Thick)
	left, right := added[0], added[1]
	if h.end {
		left, right = right, left
	}
	// from gives where [lo, hi] of an axis begins, counted from the side held low.
	from := func(box solid.Box, axis int, high bool) measure.Length {
		if high {
			return c.Box.Max[axis] - box.Max[axis]
		}
		return box.Min[axis] - c.Box.Min[axis]
	}
	extent := func(box solid.Box, axis int) measure.Length { return box.Max[axis] - box.Min[axis] }
	touches := func(box solid.Box, axis int, high bool) bool {
		if high {
			return box.Max[axis] == c.Box.Max[axis]
		}
		return box.Min[axis] == c.Box.Min[axis]
	}
	v := drawing.PartView{Ref: CopyRef(c.Mark), Mark: c.Mark, Title: part.Name, Length: part.L + left + right, Width: part.W, Thickness: part.T, LeftTenon: left, RightTenon: right}
	type numbered struct {
		drawing.Feature
		pair int
	}
	most := 0
	for _, n := range joints {
		r := &p.Frame.Joints[n].Result
		most += max(len(r.CutA), len(r.CutB))
	}
	found := make([]numbered, 0, most)
	for _, n := range joints {
		j := &p.Frame.Joints[n]
		if j.B == index && left+right > 0 && len(j.Result.Tenons) > 0 && v.TenonWidth == 0 {
			t := j.Result.Tenons[0].Box
			v.TenonWidth, v.TenonThick = extent(t, across), extent(t, thick)
			v.TenonEdge, v.TenonFace = from(t, across, h.edge), from(t, thick, h.face)
		}
		var cuts []solid.Box
		switch {
		case j.A == index:
			cuts = j.Result.CutA
		case j.B == index && len(j.Result.Tenons) == 0:
			cuts = j.Result.CutB
		}
		for _, cut := range cuts {
			cut = cut.Intersect(c.Box)
			if !cut.Valid() {
				continue
			}
			onEdge := touches(cut, across, true) || touches(cut, across, false)
			onFace := touches(cut, thick, true) || touches(cut, thick, false)
			f := drawing.Feature{Kind: cutKind(j.Rule.Kind), X: from(cut, along, h.end) + left, L: extent(cut, along), Edge: onEdge && !onFace}
			look, low, into := across, h.edge, thick
			switch {
			case f.Edge:
				look, low, into = thick, h.face, across
				if !touches(cut, across, !h.edge) {
					f.Note = p.Words.Word("from the near edge")
				}
			case !onFace:
				into = along
				f.Note = p.Words.Word("into the end")
			case !touches(cut, thick, h.face):
				f.Note = p.Words.Word("from the back")
			}
			f.Y, f.W = from(cut, look, low), extent(cut, look)
			if d := extent(cut, into); d < extent(c.Box, into) {
				f.Depth = d
			}
			found = append(found, numbered{f, j.Pair})
		}
	}
	slices.SortStableFunc(found, func(a, b numbered) int {
		return cmp.Or(compareFeatures(a.Feature, b.Feature), cmp.Compare(a.pair, b.pair))
	})
	if len(found) == 0 {
		return v, nil
	}
	v.Features = make([]drawing.Feature, len(found))
	pairs := make([]int, len(found))
	for i, f := range found {
		v.Features[i], pairs[i] = f.Feature, f.pair
	}
	return v, pairs
}
