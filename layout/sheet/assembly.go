package sheet

import (
	"fmt"
	"slices"
	"strings"

	"pilewright/layout/drawing"
	"pilewright/layout/drawing/pdf"
	"pilewright/layout/figure"
	"pilewright/plan"
	"pilewright/plan/assembly"
	"pilewright/plan/solid"
)

// mostMarked is how many copies can still be told apart in one drawing of the
// whole piece.
const mostMarked = 300

// mostAlike bounds the warnings of copies that look alike.
const mostAlike = 8

// assembly shows where every copy goes, then each stage drawn apart.
func (b *book) assembly() {
	p := b.p
	b.Heading(1, "Marks and assembly")
	if len(p.Copies) == 0 {
		b.Text("The piece has no parts yet.")
		return
	}
	b.Text("Write each copy's mark where no finish will hide it and no plane will take it off, and beside every joint its pair number on both members. Each copy has one place.")
	if len(p.Copies) > mostMarked {
		b.Text("There are too many copies to write every mark into one drawing; the stages below show them.")
	} else {
		b.Picture(figure.Isometric(p, b.Width(), 92, drawing.FrontRight), 0, "")
		b.Picture(figure.Views(p, b.Width(), 108, false), 0, "")
	}
	b.lookAlikes()
	b.pairs()
	b.stages()
}

// lookAlikes warns of copies that are easily taken for each other.
func (b *book) lookAlikes() {
	for i, a := range b.p.Frame.Marking.Alike {
		if i == mostAlike {
			b.Note("More that look alike are listed in the program.")
			return
		}
		text := "%s and %s look alike but are cut differently: mark them before the first joint is cut."
		if a.Handed {
			text = "%s and %s are mirror images of each other: mark them before the first joint is cut."
		}
		b.Warning(b.f(text, b.marks(b.sorted(a.A)), b.marks(b.sorted(a.B))))
	}
}

// pairs lists the joints by number, and where the number is written.
func (b *book) pairs() {
	if len(b.p.Frame.Joints) == 0 {
		return
	}
	t := pdf.Table{Columns: []pdf.Column{{Title: "Pair", Right: true, Bold: true}, {Title: "Enters", Bold: true}, {Title: "number on its"}, {Title: "Receives", Bold: true}, {Title: "number on its"}, {Title: "Joint"}}}
	spots := map[string]assembly.JointMark{}
	for _, m := range b.p.Frame.Marking.Joints {
		spots[m.Joint] = m
	}
	for _, j := range b.p.Frame.Joints {
		kind := b.kind(j.Rule.Kind)
		if j.Rule.Dry {
			kind = b.f("%s, not glued", kind)
		}
		m := spots[j.ID]
		a, e := b.p.Copies[j.A], b.p.Copies[j.B]
		t.Rows = append(t.Rows, pdf.Row{Cells: []string{fmt.Sprint(j.Pair), e.Mark, b.spotWords(e, m.B), a.Mark, b.spotWords(a, m.A), kind}})
	}
	b.Space(2)
	b.Heading(2, "Pair numbers")
	b.Note("Sides are those of the finished piece, seen from its front: the left face of a leg is the one that looks to the left of the piece.")
	b.Table(t)
}

// sides are what the low and the high side of a part are called along each axis.
var sides = [3][2]string{{"left", "right"}, {"front", "back"}, {"lower", "upper"}}

// spotWords says where on a copy a number is written, as the copy stands in the
// piece; empty where the plan does not say.
func (b *book) spotWords(c plan.PlacedCopy, s assembly.Spot) string {
	if s.Copy != c.Mark || s.Face == solid.None {
		return ""
	}
	axes := [3]plan.Axis{c.Along, c.Across(), c.Thick}
	axis, high := axes[s.Face.Axis()], s.Face.Positive()
	// The part's own frame is right-handed: where the piece's axes are not in that
	// order, its thickness runs the other way.
	if s.Face.Axis() == 2 && (solid.Turn{From: [3]int{int(axes[0]), int(axes[1]), int(axes[2])}}).Mirrors() {
		high = !high
	}
	side := 0
	if high {
		side = 1
	}
	if s.Face.Axis() == 0 {
		return b.t(sides[axis][side] + " end")
	}
	where := "middle"
	switch s.End {
	case assembly.Start:
		where = sides[c.Along][0] + " end"
	case assembly.Far:
		where = sides[c.Along][1] + " end"
	}
	return b.f(sides[axis][side]+" face, %s", b.t(where))
}

func (b *book) stages() {
	build := b.p.Frame.Build
	b.Heading(2, "Assembly")
	if build.Blocked != "" {
		b.Document.Warning(build.Blocked)
		return
	}
	if len(build.Sequence.Stages) == 0 {
		b.Text("There is nothing to put together.")
		return
	}
	b.Text("Dry fit the whole of it in this order before any glue is opened, then take it apart backwards. In the drawings every part is drawn back along the way it goes in.")
	for i, st := range build.Sequence.Stages {
		b.stage(i, st)
	}
}

// stageHeight leaves room for two stages on a page.
const stageHeight = 74.0

// sorted puts marks in order.
func (b *book) sorted(list []string) []string {
	return slices.SortedStableFunc(slices.Values(list), b.compareMarks)
}

func (b *book) stage(i int, st assembly.Stage) {
	pair := map[string]int{}
	for _, j := range b.p.Frame.Joints {
		pair[j.ID] = j.Pair
	}
	picture, whole := figure.StagePicture(b.p, i, b.Width(), stageHeight)
	b.Keep(func(d *book) {
		title := "Stage %d makes %s"
		if st.Dry {
			title = "Stage %d makes %s, without glue"
		}
		d.Heading(3, b.f(title, i+1, b.marks(b.sorted(st.Parts))))
		if len(st.After) > 0 {
			var after []string
			for _, a := range st.After {
				after = append(after, fmt.Sprint(a+1))
			}
			text := "Uses what stage %s made."
			if len(after) > 1 {
				text = "Uses what stages %s made."
			}
			d.Note(b.f(text, strings.Join(after, " "+b.t("and")+" ")))
		}
		caption := ""
		if !whole {
			caption = "Only the parts whose joints close in this stage are drawn."
		}
		d.Picture(picture, 0, caption)
		for _, m := range st.Moves {
			text := "%s goes %s onto %s"
			if len(m.Moving) > 1 {
				text = "%s together go %s onto %s"
			}
			text = b.f(text, b.marks(b.sorted(m.Moving)), b.toward(m.Dir), b.marks(b.sorted(m.Into)))
			if m.Held {
				text = b.f("%s; hold it there until the next part catches it", text)
			}
			if len(m.Joints) > 0 {
				var pairs []string
				for _, id := range m.Joints {
					pairs = append(pairs, fmt.Sprint(pair[id]))
				}
				line := "%s: pair %s"
				if len(pairs) > 1 {
					line = "%s: pairs %s"
				}
				text = b.f(line, text, strings.Join(pairs, ", "))
			}
			d.Check(text, "")
		}
		if st.Dry {
			return
		}
		step, _ := b.p.Work.Step(b.f("stage/%d", i+1))
		text := b.f("All of it within %s of the first glue; at least %s. Measure both diagonals, look along the parts for twist.", b.minutes(float64(st.Minutes)), b.several(st.Clamps, "clamp", "clamps"))
		if step.Wait > 0 {
			text += " " + b.f("Leave it %s in the clamps.", b.hours(step.Wait))
		}
		d.Text(text)
	})
}

// toward says a way as the maker faces the front of the piece.
func (b *book) toward(d solid.Direction) string {
	return b.t(map[solid.Direction]string{solid.PlusX: "to the right", solid.MinusX: "to the left", solid.PlusY: "backwards", solid.MinusY: "forwards", solid.PlusZ: "upwards", solid.MinusZ: "down"}[d])
}
