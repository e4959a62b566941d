package sheet

import (
	"fmt"
	"strings"

	"pilewright/layout/drawing"
	"pilewright/layout/drawing/font"
	"pilewright/plan"
)

// A label's size and how many stand side by side, in millimetres of paper.
const (
	labelWidth  = 63.0
	labelHeight = 29.0
	labelsWide  = 3
)

// labels draws a label for every copy, to be cut out along the dashed lines.
func (b *book) labels() {
	b.Heading(1, "Labels")
	copies := b.p.Copies
	if len(copies) == 0 {
		b.Text("The piece has no parts yet.")
		return
	}
	b.Text("Cut along the dashed lines. Stick each on its part's reference face, the arrow to the reference end, the thick bar along the reference edge.")
	pairs := b.pairsOf()
	for len(copies) > 0 {
		rows := int(b.Room() / labelHeight)
		if rows < 1 {
			b.Break()
			continue
		}
		n := min(len(copies), rows*labelsWide)
		sheet := &drawing.Picture{Title: b.t("Labels")}
		for i, c := range copies[:n] {
			b.label(sheet, c, pairs[c.Mark], float64(i%labelsWide)*labelWidth, float64(i/labelsWide)*labelHeight)
		}
		high := (n + labelsWide - 1) / labelsWide
		for k := range high + 1 {
			y := float64(k) * labelHeight
			sheet.Line(drawing.RoleHidden, "", 0, y, labelsWide*labelWidth, y)
		}
		for k := range labelsWide + 1 {
			x := float64(k) * labelWidth
			sheet.Line(drawing.RoleHidden, "", x, 0, x, float64(high)*labelHeight)
		}
		b.Picture(sheet, 0, "")
		copies = copies[n:]
	}
}

// pairsOf gives the pair numbers of every copy's joints.
func (b *book) pairsOf() map[string][]string {
	out := map[string][]string{}
	for _, j := range b.p.Frame.Joints {
		for _, i := range []int{j.A, j.B} {
			mark := b.p.Copies[i].Mark
			out[mark] = append(out[mark], fmt.Sprint(j.Pair))
		}
	}
	return out
}

func (b *book) label(s *drawing.Picture, c plan.PlacedCopy, pairs []string, x, y float64) {
	part, _ := b.p.Part(c.Part)
	const in = 3.0
	room := labelWidth - 2*in
	s.BoldText(drawing.RoleLabel, "", x+in, y+9.5, 8, drawing.Left, c.Mark)
	used := font.Width(c.Mark, 8, true) + 3
	s.BoldText(drawing.RoleLabel, "", x+in+used, y+6.4, 3.6, drawing.Left, font.Fit(part.Name, 3.6, room-used, true))
	s.Text(drawing.RoleNote, "", x+in+used, y+10, 2.4, drawing.Left, font.Fit(name(b.p), 2.4, room-used, false))
	s.Text(drawing.RoleLabel, "", x+in, y+14.8, 3.1, drawing.Left, font.Fit(b.size(part.L, part.W, part.T), 3.1, room, false))
	if len(pairs) > 0 {
		text := "pairs %s"
		if len(pairs) == 1 {
			text = "pair %s"
		}
		s.Text(drawing.RoleLabel, "", x+in, y+19, 2.8, drawing.Left, font.Fit(b.f(text, strings.Join(pairs, ", ")), 2.8, room, false))
	}
	// The arrow to the reference end, and the bar of the reference edge.
	at := y + 23
	s.Line(drawing.RoleOutline, "", x+in, at, x+in+14, at)
	s.Polygon(drawing.RoleKerf, "", drawing.Point{X: x + in, Y: at}, drawing.Point{X: x + in + 3, Y: at - 1.2}, drawing.Point{X: x + in + 3, Y: at + 1.2})
	s.Text(drawing.RoleNote, "", x+in+15.5, at+0.9, 2.4, drawing.Left, b.t("end   ·   face up   ·   edge below"))
	s.Rect(drawing.RoleKerf, "", drawing.Rect{X0: x + in, Y0: y + labelHeight - 2.6, X1: x + labelWidth - in, Y1: y + labelHeight - 1.6})
}
