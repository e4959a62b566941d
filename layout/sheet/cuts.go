package sheet

import (
	"fmt"
	"strings"

	"pilewright/layout/drawing"
	"pilewright/layout/drawing/pdf"
	"pilewright/layout/figure"
	"pilewright/plan"
	"pilewright/plan/measure"
)

// cuts gives every board its drawing and, below it, its cuts in order.
func (b *book) cuts() {
	p := b.p
	if len(p.Cuts.Boards) == 0 {
		b.Heading(1, "Cuts")
		b.Text("Nothing is cut: the pile gives no blank of this piece.")
		b.missing()
		return
	}
	b.Turn(true)
	b.Heading(1, "Cuts")
	shop := &p.Project.Shop
	b.Text(fmt.Sprintf("Hook the tape over the left end; figures below a board are running places from there. Kerf: crosscut %s, rip %s, drawn black. Chalk each blank's mark on it before the next cut. "+
		"Where the table gives a stop or fence, cut all boards of one setting in one go: the steps say which.", b.length(shop.Kerf("crosscut")), b.length(shop.Kerf("rip"))))
	for i, cb := range p.Cuts.Boards {
		view, ok := figure.Cut(p, cb)
		if !ok {
			continue
		}
		board, _ := p.Project.Board(cb.Board)
		b.Keep(func(d *pdf.Document) {
			d.Heading(2, fmt.Sprintf("Board %s  ·  %s%s", board.Mark, b.size(board.Length, board.Width, board.Thickness), at(board.Place)))
			view.Title, view.Size = "", ""
			d.Picture(drawing.Board(view, drawing.BoardsOptions{Width: d.Width(), Legend: i == 0, Format: b.length}), d.Height()*0.6, "")
			d.Table(b.cutOrder(cb))
			for _, v := range cb.Divide {
				d.Text(fmt.Sprintf("The stretch of %s from %s stays whole through the planer and is parted afterwards into %s.", b.length(v.Length), b.length(v.X), strings.Join(v.Marks, ", ")))
			}
		})
	}
	b.Turn(false)
}

// at says where a board lies.
func at(place string) string {
	if place == "" {
		return ""
	}
	return "  ·  " + place
}

// cutOrder is the cuts of a board as they are made.
func (b *book) cutOrder(cb plan.CutBoard) pdf.Table {
	t := pdf.Table{Columns: []pdf.Column{{Check: true, Width: 8}, {Title: "No.", Right: true}, {Title: "Cut", Bold: true}, {Title: "Line at"}, {Title: "Blade"}, {Title: "Stop or fence"}, {Title: "Gives", Bold: true}}}
	for i, s := range cb.Saws {
		line, blade := b.sawLine(cb, s)
		cut, setting := "across", "to the line"
		if s.Rip {
			cut = "along"
		}
		if s.Stop > 0 {
			setting = b.length(s.Stop)
		}
		gives := s.Mark
		if gives == "" {
			gives = "–"
		}
		t.Rows = append(t.Rows, pdf.Row{Cells: []string{"", fmt.Sprint(i + 1), cut, b.length(line), blade, setting, gives}})
	}
	return t
}

// sawLine gives the line of a cut as it is marked, and on which side of it the
// blade runs: the line is where wood that is kept begins or ends.
func (b *book) sawLine(cb plan.CutBoard, s plan.Saw) (measure.Length, string) {
	use, after, before := "crosscut", "right of the line", "left of the line"
	if s.Rip {
		use, after, before = "rip", "above the line", "below the line"
	}
	far := s.At + b.p.Project.Shop.Kerf(use)
	ends := func(x, y, l, w measure.Length) (near, off bool) {
		if s.Rip {
			if x >= s.To || x+l <= s.From {
				return false, false
			}
			return y+w == s.At, y == far
		}
		if y >= s.To || y+w <= s.From {
			return false, false
		}
		return x+l == s.At, x == far
	}
	begins := false
	for _, c := range cb.Pieces {
		near, off := ends(c.X, c.Y, c.Length, c.Width)
		if near {
			return s.At, after
		}
		begins = begins || off
	}
	for _, l := range cb.Leftovers {
		near, off := ends(l.X, l.Y, l.Length, l.Width)
		if near {
			return s.At, after
		}
		begins = begins || off
	}
	if begins {
		return far, before
	}
	return s.At, after
}
