package sheet

import (
	"cmp"
	"fmt"
	"strings"

	"pilewright/layout/drawing"
	"pilewright/layout/drawing/pdf"
	"pilewright/layout/figure"
	"pilewright/plan"
)

// mostFeatures bounds the table of joints by copy: wider ones would not be read.
const mostFeatures = 12

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
	b.Heading(2, "Joint details")
	for _, g := range groups {
		b.jointGroup(g)
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
			whole = b.length(long)
		}
		made := "no way from this pile"
		if o, ok := b.way(sp.ID); ok {
			made = wayName(o)
		}
		wood := cmp.Or(sp.Species, "any")
		if sp.Grade == plan.Hidden {
			wood += ", hidden"
		}
		t.Rows = append(t.Rows, pdf.Row{Cells: []string{marks(list), sp.Name, fmt.Sprint(sp.N), b.size(sp.L, sp.W, sp.T), whole, wood, made}})
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
	b.Keep(func(d *pdf.Document) {
		title := fmt.Sprintf("%s  ·  %s", marks(list), part.Name)
		if g.MirrorOf != "" {
			title += "  ·  mirror image of " + g.MirrorOf
		}
		d.Heading(2, title)
		v := g.View
		v.Mark, v.Title = "", fmt.Sprintf("%s, %s", several(len(g.Copies), "piece", "pieces"), b.size(part.L, part.W, part.T))
		d.Picture(drawing.Part(v, drawing.JointOptions{Width: d.Width(), Format: b.length}), d.Height()*0.7, "")
		if n := len(v.Features); n > 0 && n <= mostFeatures {
			d.Table(b.jointsOf(g))
		}
	})
}

// jointsOf says which joint each copy has at each number of the drawing.
func (b *book) jointsOf(g figure.PartGroup) pdf.Table {
	t := pdf.Table{Small: true, Columns: []pdf.Column{{Title: "Joint at number", Bold: true}}}
	for i := range g.View.Features {
		t.Columns = append(t.Columns, pdf.Column{Title: fmt.Sprint(i + 1), Right: true})
	}
	for k, i := range g.Copies {
		row := pdf.Row{Cells: []string{b.p.Copies[i].Mark}}
		for _, pair := range g.Pairs[k] {
			row.Cells = append(row.Cells, fmt.Sprint(pair))
		}
		t.Rows = append(t.Rows, row)
	}
	return t
}

// jointGroup draws one joint for all that are made like it.
func (b *book) jointGroup(g figure.JointGroup) {
	p := b.p
	first := g.Joints[0]
	var where []string
	for _, j := range g.Joints {
		where = append(where, fmt.Sprintf("%d: %s into %s", j.Pair, p.Copies[j.B].Mark, p.Copies[j.A].Mark))
	}
	b.Keep(func(d *pdf.Document) {
		pa, _ := p.Part(p.Copies[first.A].Part)
		pb, _ := p.Part(p.Copies[first.B].Part)
		d.Heading(3, upper(fmt.Sprintf("%s, %s to %s  ·  %s", plan.KindName(first.Rule.Kind), pb.Name, pa.Name, several(len(g.Joints), "joint", "joints"))))
		d.Note("Pair number, entering part, receiving part: " + strings.Join(where, ";  ") + ".")
		v := g.View
		v.Title = ""
		d.Picture(drawing.Joint(v, drawing.JointOptions{Width: d.Width(), Format: b.length}), d.Height()*0.45, "")
		if n := first.Rule.Note; n != "" {
			d.Note(n)
		}
	})
}
