package sheet

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"pilewright/layout/drawing"
	"pilewright/layout/drawing/pdf"
	"pilewright/layout/figure"
	"pilewright/plan"
)

// glueUps gives every panel its rows, clamps and times; laminations of one part
// share a drawing.
func (b *book) glueUps() {
	p := b.p
	b.Heading(1, "Glue-ups")
	if len(p.GlueUps) == 0 {
		b.Text("Nothing is glued up before assembly.")
		return
	}
	habit := "Turn the end grain of neighbouring rows against each other where there is a choice."
	if p.Project.Shop.RingHabit == plan.OneWay {
		habit = "Lay the end grain of all rows of a panel the same way where there is a choice."
	}
	b.Document.Text(b.t("Lay each one up dry first, marks in reading order. Rows count from the near edge; pieces of a row from the left.") + " " + b.t(habit))
	for i := 0; i < len(p.GlueUps); {
		k := i + 1
		for k < len(p.GlueUps) && p.GlueUps[i].Way == plan.Laminated && p.GlueUps[k].Way == plan.Laminated && p.GlueUps[k].Part == p.GlueUps[i].Part {
			k++
		}
		if p.GlueUps[i].Way == plan.Laminated {
			b.laminations(p.GlueUps[i:k])
		} else {
			b.panel(p.GlueUps[i])
		}
		i = k
	}
}

func (b *book) panel(g plan.GlueUp) {
	v := figure.PanelView(b.p, g)
	v.Title = ""
	picture := drawing.PanelRows(v, drawing.JointOptions{Width: b.Width(), Format: b.number, Words: b.p.Words})
	b.Keep(func(d *book) {
		d.Heading(2, upper(g.Name+" "+g.Copy+"  ·  "+b.several(len(g.Panel.Rows), "row", "rows")))
		d.Picture(picture, d.Height()*0.62, "")
		d.Text(b.f("Rough %s; planed to %s.", b.size(g.Length, g.Width, g.Thickness), b.length(g.Target)))
		if len(g.Beds) > 1 {
			var beds []string
			for _, bed := range g.Beds {
				beds = append(beds, b.f("rows %d to %d", bed[0], bed[1]))
			}
			d.Text(b.f("Wider than the planer: glue %s; plane each, then join them.", strings.Join(beds, b.t(", then "))))
		}
	})
	t := pdf.Table{Columns: []pdf.Column{{Check: true, Width: 8}, {Title: "Row", Right: true}, {Title: "Pieces from the left", Bold: true}, {Title: "Their lengths"}, {Title: "Row width"}, {Title: "Thickness"}}}
	lies := b.lies(g)
	if lies != nil {
		t.Columns = append(t.Columns, pdf.Column{Title: "They lie"})
	}
	for i, r := range g.Panel.Rows {
		var names, lengths, thick []string
		for _, q := range r.Pieces {
			names, lengths, thick = append(names, cmp.Or(q.Chalk, q.Mark)), append(lengths, b.number(q.Length)), append(thick, b.number(q.Thickness))
		}
		if len(slices.Compact(slices.Clone(thick))) == 1 {
			thick = thick[:1]
		}
		cells := []string{"", fmt.Sprint(i + 1), strings.Join(names, ", "), strings.Join(lengths, ", "), b.number(r.Width), strings.Join(thick, ", ")}
		if lies != nil {
			cells = append(cells, lies[i])
		}
		t.Rows = append(t.Rows, pdf.Row{Cells: cells})
	}
	b.Table(t)
	b.turned(g)
	if len(g.Panel.Steps) > 0 {
		var steps []string
		for i, s := range g.Panel.Steps {
			if i == 6 {
				steps = append(steps, b.f("%d more", len(g.Panel.Steps)-i))
				break
			}
			steps = append(steps, b.f("%s to %s: %s", s.Mark, s.Other, b.length(s.Height)))
		}
		b.Text(b.f("Steps to keep at the lower face and plane away above: %s.", strings.Join(steps, "; ")))
	}
	for _, f := range g.Panel.Faults {
		b.Document.Warning(f)
	}
	b.clamping(g, 1)
}

// lies says of each row how its pieces lie; nil where no piece of the panel has a
// face or growth rings to look to.
func (b *book) lies(g plan.GlueUp) []string {
	out, any := make([]string, len(g.Panel.Rows)), false
	for i, r := range g.Panel.Rows {
		var pieces []string
		for _, q := range r.Pieces {
			pieces = append(pieces, cmp.Or(strings.Join(b.each(q.Lies(g.Way)), ", "), "–"))
			any = any || pieces[len(pieces)-1] != "–"
		}
		out[i] = strings.Join(pieces, "; ")
	}
	if !any {
		return nil
	}
	return out
}

// each translates phrases one by one.
func (b *book) each(list []string) []string {
	out := make([]string, len(list))
	for i, text := range list {
		out[i] = b.t(text)
	}
	return out
}

// turned says which pieces were turned over, and how the rows of a panel with
// marked growth rings are to lie.
func (b *book) turned(g plan.GlueUp) {
	if list := g.Panel.Turned(); len(list) > 0 {
		b.Text(b.f("Turned over, face B where A was: %s. Face A is the one with the mark.", strings.Join(list, ", ")))
	}
	var up, down []string
	for i, r := range g.Panel.Rows {
		switch r.Rings {
		case plan.BarkUp:
			up = append(up, fmt.Sprint(i+1))
		case plan.BarkDown:
			down = append(down, fmt.Sprint(i+1))
		}
	}
	switch {
	case len(up) > 0 && len(down) > 0:
		b.Text(b.f("Growth rings: bark side up in the rows %s, down in the rows %s; look at the ends that are not marked and lay them so too.", strings.Join(up, ", "), strings.Join(down, ", ")))
	case len(up) > 0:
		b.Text("Growth rings: bark side up in every row; look at the ends that are not marked and lay them so too.")
	case len(down) > 0:
		b.Text("Growth rings: bark side down in every row; look at the ends that are not marked and lay them so too.")
	}
}

// laminations is one drawing and a table for blocks that are glued alike.
func (b *book) laminations(list []plan.GlueUp) {
	g := list[0]
	var copies []string
	for _, x := range list {
		copies = append(copies, x.Copy)
	}
	b.Keep(func(d *book) {
		d.Heading(2, upper(g.Name+" "+b.marks(copies)+"  ·  "+b.several(len(g.Panel.Rows), "layer", "layers")))
		d.Text(b.f("Rough %s each; planed to %s. Layers lie face to face in this order, the cleanest outside; keep one edge flush.", b.size(g.Length, g.Width, g.Thickness), b.length(g.Target)))
		t := pdf.Table{Columns: []pdf.Column{{Check: true, Width: 8}, {Title: "Makes", Bold: true}}}
		for i := range g.Panel.Rows {
			t.Columns = append(t.Columns, pdf.Column{Title: b.f("Layer %d", i+1)})
		}
		t.Columns = append(t.Columns, pdf.Column{Title: "Length x width of a layer"}, pdf.Column{Title: "Glued at", Width: 26}, pdf.Column{Title: "Clamps off after", Width: 30})
		for _, x := range list {
			row := pdf.Row{Cells: []string{"", x.Copy}}
			for _, r := range x.Panel.Rows {
				text := "–"
				if len(r.Pieces) > 0 {
					q := r.Pieces[0]
					text = strings.Join(append([]string{cmp.Or(q.Chalk, q.Mark), b.number(r.Thickness)}, b.each(q.Lies(x.Way))...), ", ")
				}
				row.Cells = append(row.Cells, text)
			}
			row.Cells = append(row.Cells, b.number(x.Length)+" x "+b.number(x.Width))
			t.Rows = append(t.Rows, row)
		}
		d.Table(t)
	})
	b.clamping(g, len(list))
}

// clamping says how a glue-up is pressed and how long it stands.
func (b *book) clamping(g plan.GlueUp, n int) {
	c := g.Clamping
	kinds := map[string]int{}
	var order []string
	for _, s := range c.Clamps {
		if kinds[s.Kind] == 0 {
			order = append(order, s.Kind)
		}
		kinds[s.Kind]++
	}
	slices.Sort(order)
	var have []string
	for _, k := range order {
		have = append(have, fmt.Sprintf("%d %s", kinds[k], b.t(k)))
	}
	with := ""
	if len(have) > 0 {
		with = " (" + strings.Join(have, ", ") + ")"
	}
	text := "Clamps: %d%s, at most %s apart, over and under in turn. Pressed within %d min of the first glue; %s in the clamps, %s before planing or load."
	if n > 1 {
		text = "Clamps: %d each%s, at most %s apart, over and under in turn. Pressed within %d min of the first glue; %s in the clamps, %s before planing or load."
	}
	b.Keep(func(d *book) {
		d.Text(b.f(text, c.Needed, with, b.length(c.Spacing), int(c.Open.Minutes()), b.hours(c.InClamps), b.hours(c.Cure)))
		if len(c.Clamps) > 0 && len(c.Clamps) <= 12 {
			var at []string
			for _, s := range c.Clamps {
				side := "%s under"
				if s.Over {
					side = "%s over"
				}
				at = append(at, b.f(side, b.number(s.At)))
			}
			d.Text(b.f("They stand from the left end at: %s.", strings.Join(at, ", ")))
		}
		for _, text := range c.Say {
			d.Text(text)
		}
		if n == 1 {
			d.Blank("Glued on, at", 60)
			d.Blank("Clamps off after", 60)
		}
	})
}
