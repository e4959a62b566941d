package sheet

import (
	"fmt"
	"strings"

	"pilewright/layout/drawing"
	"pilewright/layout/figure"
	"pilewright/plan"
	"pilewright/plan/words"
)

// Figure is one drawing of a plan. Name is fit for a file of any system: small
// letters, digits and hyphens.
type Figure struct {
	Name    string
	Title   string
	Picture *drawing.Picture
}

// Sizes of the figures in millimetres.
const (
	figureWidth  = 190.0
	figureHeight = 140.0
)

// Figures draws everything the sheet shows as pictures of their own, in its order.
// Names are all different and the same in every language. A piece that can't be sized has none but its boards.
func Figures(p *plan.Plan) []Figure {
	if p == nil || p.Project == nil {
		return nil
	}
	c := &collection{taken: map[string]bool{}, unit: unit(p), words: p.Words}
	f, w := figure.PlanNumbers(p), p.Words
	if p.Drawable() && len(p.Copies) > 0 && len(p.Copies) <= mostMarked {
		c.ask("piece", w.Word("The piece"), func() *drawing.Picture { return figure.Isometric(p, figureWidth, figureHeight, drawing.FrontRight) })
		c.ask("views", w.Word("Views"), func() *drawing.Picture { return figure.Views(p, figureWidth, 200, false) })
		if len(p.Frame.Build.Sequence.Stages) > 0 {
			c.ask("exploded", w.Word("Drawn apart"), func() *drawing.Picture {
				return figure.ExplodedView(p, 1, figureWidth, 200, drawing.FrontRight)
			})
		}
	}
	for _, cb := range p.Cuts.Boards {
		if v, ok := figure.Cut(p, cb); ok {
			board, _ := p.Project.Board(cb.Board)
			c.ask("cut-"+board.Mark, w.Format("Cuts of board %s", board.Mark), func() *drawing.Picture {
				return drawing.Board(v, drawing.BoardsOptions{Width: figureWidth, Legend: true, Format: f, Words: w})
			})
		}
	}
	if !p.Drawable() {
		return c.draw()
	}
	options := drawing.JointOptions{Width: figureWidth, Format: f, Words: w}
	for _, g := range figure.PartGroups(p) {
		mark := p.Copies[g.Copies[0]].Mark
		c.ask("part-"+mark, w.Format("Part %s", mark), func() *drawing.Picture { return drawing.Part(g.View, options) })
	}
	for _, g := range figure.JointGroups(p) {
		if len(g.View.Tongues) > 0 {
			pair := g.Joints[0].Pair
			c.ask(fmt.Sprintf("joint-%d", pair), w.Format("Joint %d", pair), func() *drawing.Picture { return drawing.Joint(g.View, options) })
		}
	}
	for _, g := range p.GlueUps {
		c.ask("glue-up-"+g.Copy, w.Format("Glue-up %s", g.Copy), func() *drawing.Picture { return figure.Panel(p, g, figureWidth) })
	}
	for i := range p.Frame.Build.Sequence.Stages {
		c.ask(fmt.Sprintf("stage-%d", i+1), w.Format("Assembly stage %d", i+1), func() *drawing.Picture {
			picture, _ := figure.StagePicture(p, i, figureWidth, figureHeight)
			return picture
		})
	}
	return c.draw()
}

// collection gathers figures under names that are all different.
type collection struct {
	asked   []Figure // without their pictures
	drawers []func() *drawing.Picture
	list    []Figure
	taken   map[string]bool
	unit    string
	words   *words.Language
}

// ask puts a figure on the list of those to be drawn.
func (c *collection) ask(name, title string, draw func() *drawing.Picture) {
	c.asked, c.drawers = append(c.asked, Figure{Name: name, Title: title}), append(c.drawers, draw)
}

// draw draws what was asked for.
func (c *collection) draw() []Figure {
	for i, p := range figure.Abreast(c.drawers...) {
		c.add(c.asked[i].Name, c.asked[i].Title, p)
	}
	return c.list
}

func (c *collection) add(name, title string, p *drawing.Picture) {
	if len(p.Marks) == 0 {
		return
	}
	base := plainName(name)
	name = base
	for n := 2; c.taken[name]; n++ {
		name = fmt.Sprintf("%s-%d", base, n)
	}
	c.taken[name] = true
	p.Title = title
	box := p.Bounds()
	p.Text(drawing.RoleNote, "", box.X0, box.Y1+5, 2.5, drawing.Left, title+", "+c.words.Word(c.unit))
	c.list = append(c.list, Figure{Name: name, Title: title, Picture: p})
}

// plainName keeps small letters and digits; what lies between becomes one hyphen.
func plainName(s string) string {
	var b strings.Builder
	gap := false
	for _, r := range strings.ToLower(s) {
		if r >= 'a' && r <= 'z' || r >= '0' && r <= '9' {
			if gap && b.Len() > 0 {
				b.WriteByte('-')
			}
			gap = false
			b.WriteRune(r)
			continue
		}
		gap = true
	}
	if b.Len() == 0 {
		return "figure"
	}
	return b.String()
}
