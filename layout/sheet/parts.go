package sheet

import (
	"fmt"
	"strings"

	"pilewright/layout/drawing"
	"pilewright/layout/drawing/pdf"
	"pilewright/layout/figure"
	"pilewright/plan"
	"pilewright/plan/joinery"
	"pilewright/plan/measure"
)

// mostFeatures bounds the list of joints by copy: longer ones would not be read.
const mostFeatures = 12

// Two parts or two joints should stand on a page.
const (
	partWidth  = 165.0
	jointShare = 0.4 // of the page's height
)

// parts lists the parts, then draws each shape to be marked out and each joint.
func (b *book) parts() {
	p := b.p
	b.Heading(1, "Parts and joints")
	if len(p.Copies) == 0 {
		b.Text("The piece has no parts yet.")
		return
	}
	b.partList()
	b.Text("A filled corner in a drawing is the reference end and edge: gauge and measure from there, never from the other side. Dimensions are finished sizes.")
	for _, g := range figure.PartGroups(p) {
		b.partGroup(g)
	}
	groups := figure.JointGroups(p)
	if len(groups) == 0 {
		return
	}
	plain := pdf.Table{Columns: []pdf.Column{{Title: "Joint", Bold: true, Width: 60}, {Title: "Sizes", Width: 60}, {Title: "Pairs", Width: 69}}}
	var drawn []figure.JointGroup
	for _, g := range groups {
		if len(g.View.Tongues) > 0 {
			drawn = append(drawn, g)
			continue
		}
		var lines []string
		for _, l := range append([]string{strings.Join(g.View.Notes, "; "), g.Joints[0].Rule.Note}, b.jointSays(g)...) {
			if l != "" {
				lines = append(lines, upper(l))
			}
		}
		row := pdf.Row{Cells: []string{b.jointName(g), strings.Join(lines, "\n"), b.pairList(g)}}
		last := len(plain.Rows) - 1
		if last >= 0 && plain.Rows[last].Cells[0] == row.Cells[0] && plain.Rows[last].Cells[1] == row.Cells[1] {
			plain.Rows[last].Cells[2] += ";  " + row.Cells[2]
			continue
		}
		plain.Rows = append(plain.Rows, row)
	}
	if len(plain.Rows) > 0 {
		b.Need(50)
		b.Heading(2, "Joints made by the drawings above")
		b.Note("Pair number, entering part, receiving part.")
		b.Table(plain)
	}
	for i, g := range drawn {
		b.jointGroup(g, i == 0)
	}
}

// partList is the cutting list of finished sizes.
func (b *book) partList() {
	t := pdf.Table{Columns: []pdf.Column{{Title: "Marks", Bold: true, Width: 26}, {Title: "Part"}, {Title: "Pieces", Right: true}, {Title: "Between shoulders: length x width x thickness"}, {Title: "With tenons"}, {Title: "Wood"}, {Title: "Made"}}}
	for _, sp := range b.p.Parts {
		if sp.N == 0 {
			continue
		}
		var list []string
		for _, c := range b.p.Copies[sp.First : sp.First+sp.N] {
			list = append(list, c.Mark)
		}
		whole := ""
		if long := b.p.Frame.LongestOf(sp); long > sp.L {
			whole = b.number(long)
		}
		made := b.t("no way from this pile")
		if o, ok := b.way(sp.ID); ok {
			made = wayName(b.p.Words, o)
		}
		wood := b.species(sp.Species)
		if sp.Grade == plan.Hidden {
			wood = b.f("%s, hidden", wood)
		}
		t.Rows = append(t.Rows, pdf.Row{Cells: []string{b.marks(list), sp.Name, fmt.Sprint(sp.N), b.size(sp.L, sp.W, sp.T), whole, wood, made}})
	}
	b.Table(t)
}

// partGroup draws copies that are marked out alike, with the joint that each of
// them has at each number.
func (b *book) partGroup(g figure.PartGroup) {
	p := b.p
	var list []string
	for _, i := range g.Copies {
		list = append(list, p.Copies[i].Mark)
	}
	part, _ := p.Part(p.Copies[g.Copies[0]].Part)
	v := g.View
	v.Mark, v.Title = b.several(len(g.Copies), "piece", "pieces"), b.size(part.L, part.W, part.T)
	picture := drawing.Part(v, drawing.JointOptions{Width: partWidth, Format: b.number, Words: b.p.Words})
	b.Keep(func(d *book) {
		title := b.marks(list) + "  ·  " + part.Name
		if g.MirrorOf != "" {
			title += "  ·  " + b.f("mirror image of %s", g.MirrorOf)
		}
		d.Heading(2, title)
		d.Picture(picture, d.Height()*0.7, "")
		if n := len(v.Features); n > 0 && n <= mostFeatures {
			d.Text(b.jointsOf(g))
		}
	})
}

// jointsOf says which joint each copy has at each number of the drawing.
func (b *book) jointsOf(g figure.PartGroup) string {
	var numbers, copies []string
	for i := range g.View.Features {
		numbers = append(numbers, fmt.Sprint(i+1))
	}
	for k, i := range g.Copies {
		var pairs []string
		for _, pair := range g.Pairs[k] {
			pairs = append(pairs, fmt.Sprint(pair))
		}
		copies = append(copies, b.p.Copies[i].Mark+": "+strings.Join(pairs, ", "))
	}
	return b.f("Pair numbers at %s.  %s.", strings.Join(numbers, ", "), strings.Join(copies, ";  "))
}

// jointName says what is joined how.
func (b *book) jointName(g figure.JointGroup) string {
	first := g.Joints[0]
	pa, _ := b.p.Part(b.p.Copies[first.A].Part)
	pb, _ := b.p.Part(b.p.Copies[first.B].Part)
	return upper(b.f("%s, %s to %s", b.kind(first.Rule.Kind), pb.Name, pa.Name))
}

// pairList lists a group's joints by pair number and marks.
func (b *book) pairList(g figure.JointGroup) string {
	var out []string
	for _, j := range g.Joints {
		out = append(out, b.f("%d: %s into %s", j.Pair, b.p.Copies[j.B].Mark, b.p.Copies[j.A].Mark))
	}
	return strings.Join(out, ";  ")
}

// jointGroup draws one joint for all that are made like it,
// below the heading of them all where it is the first.
func (b *book) jointGroup(g figure.JointGroup, first bool) {
	v := g.View
	v.Title = ""
	picture := drawing.Joint(v, drawing.JointOptions{Width: b.Width(), Format: b.number, Words: b.p.Words})
	b.Keep(func(d *book) {
		if first {
			d.Heading(2, "Joint details")
		}
		d.Heading(3, b.jointName(g)+"  ·  "+b.several(len(g.Joints), "joint", "joints"))
		d.Note(b.f("Pair number, entering part, receiving part: %s.", b.pairList(g)))
		d.Picture(picture, d.Height()*jointShare, "")
		if n := g.Joints[0].Rule.Note; n != "" {
			d.Document.Note(n)
		}
		for _, text := range d.jointSays(g) {
			d.Document.Note(text)
		}
	})
}

// jointSays gives what was found of the first joint of a group, the others being
// made like it: the screw to take, what is thin, what moves. It is wanted where the
// joint is cut.
func (b *book) jointSays(g figure.JointGroup) []string {
	var out []string
	for _, f := range g.Joints[0].Result.Findings {
		t := joinery.Explain(f, func(l measure.Length) string { return length(b.p.Project, l) })
		text := b.p.Words.Say(t.What)
		if t.Do != "" {
			text += " " + b.p.Words.Say(t.Do)
		}
		out = append(out, text)
	}
	return out
}
