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
		b.Warning(fmt.Sprintf(text, marks(b.sorted(a.A)), marks(b.sorted(a.B))))
	}
}

// pairs lists the joints by number.
func (b *book) pairs() {
	if len(b.p.Frame.Joints) == 0 {
		return
	}
	t := pdf.Table{Small: true, Columns: []pdf.Column{{Title: "Pair", Right: true, Bold: true}, {Title: "Enters"}, {Title: "Receives"}, {Title: "Joint"}, {Title: ""},
		{Title: "Pair", Right: true, Bold: true}, {Title: "Enters"}, {Title: "Receives"}, {Title: "Joint"}}}
	cells := func(j plan.MadeJoint) []string {
		kind := plan.KindName(j.Rule.Kind)
		if j.Rule.Dry {
			kind += ", not glued"
		}
		return []string{fmt.Sprint(j.Pair), b.p.Copies[j.B].Mark, b.p.Copies[j.A].Mark, kind}
	}
	joints := b.p.Frame.Joints
	half := (len(joints) + 1) / 2
	for i := range half {
		row := append(cells(joints[i]), "    ")
		if half+i < len(joints) {
			row = append(row, cells(joints[half+i])...)
		}
		t.Rows = append(t.Rows, pdf.Row{Cells: row})
	}
	b.Keep(func(d *pdf.Document) {
		d.Heading(2, "Pair numbers")
		d.Table(t)
	})
}

func (b *book) stages() {
	build := b.p.Frame.Build
	b.Heading(2, "Assembly")
	if build.Blocked != "" {
		b.Warning(build.Blocked)
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
	b.Keep(func(d *pdf.Document) {
		title := fmt.Sprintf("Stage %d makes %s", i+1, marks(b.sorted(st.Parts)))
		if st.Dry {
			title += ", without glue"
		}
		d.Heading(3, title)
		if len(st.After) > 0 {
			var after []string
			for _, a := range st.After {
				after = append(after, fmt.Sprint(a+1))
			}
			d.Note("Uses what stage " + strings.Join(after, " and ") + " made.")
		}
		caption := ""
		if !whole {
			caption = "Only the parts whose joints close in this stage are drawn."
		}
		d.Picture(picture, 0, caption)
		for _, m := range st.Moves {
			together := "goes"
			if len(m.Moving) > 1 {
				together = "together go"
			}
			text := fmt.Sprintf("%s %s %s onto %s", marks(b.sorted(m.Moving)), together, toward(m.Dir), marks(b.sorted(m.Into)))
			if m.Held {
				text += "; hold it there until the next part catches it"
			}
			if len(m.Joints) > 0 {
				var pairs []string
				for _, id := range m.Joints {
					pairs = append(pairs, fmt.Sprint(pair[id]))
				}
				text += ": pair " + strings.Join(pairs, ", ")
			}
			d.Check(text, "")
		}
		if st.Dry {
			return
		}
		step, _ := b.p.Work.Step(fmt.Sprintf("stage/%d", i+1))
		text := fmt.Sprintf("All of it within %s of the first glue; at least %s. Measure both diagonals, look along the parts for twist.", minutes(float64(st.Minutes)), several(st.Clamps, "clamp", "clamps"))
		if step.Wait > 0 {
			text += fmt.Sprintf(" Leave it %s in the clamps.", plan.HoursText(step.Wait))
		}
		d.Text(text)
	})
}

// toward says a way as the maker faces the front of the piece.
func toward(d solid.Direction) string {
	return map[solid.Direction]string{solid.PlusX: "to the right", solid.MinusX: "to the left", solid.PlusY: "backwards", solid.MinusY: "forwards", solid.PlusZ: "upwards", solid.MinusZ: "down"}[d]
}
