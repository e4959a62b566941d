package sheet

import (
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
	b.Turn(b.lying())
	b.Heading(1, "Cuts")
	shop := &p.Project.Shop
	b.Text(b.f("Hook the tape over the left end; figures below a board are running places from there. Lines along it are measured from its upper edge as drawn. Kerf: across %s, along %s, drawn black. Chalk each blank's mark on it before the next cut. "+
		"The cuts of a board are in order, down the left column and then the right; where a setting of stop or fence is given, cut all boards of that setting in one go, as the steps have them.", b.length(shop.Kerf("crosscut")), b.length(shop.Kerf("rip"))))
	for i, cb := range p.Cuts.Boards {
		view, ok := figure.Cut(p, cb)
		if !ok {
			continue
		}
		board, _ := p.Project.Board(cb.Board)
		view.Title, view.Size = "", ""
		picture := drawing.Board(view, drawing.BoardsOptions{Width: b.Width(), Legend: i == 0, Format: b.number, Words: b.p.Words})
		b.Keep(func(d *book) {
			d.Heading(2, b.f("Board %s", board.Mark)+"  ·  "+b.size(board.Length, board.Width, board.Thickness)+at(board.Place))
			d.Picture(picture, d.Height()*0.6, "")
			d.Table(b.cutOrder(cb))
			for _, v := range cb.Divide {
				d.Text(b.f("The stretch of %s from %s stays whole through the planer and is parted afterwards, by the late cuts, into %s.", b.length(v.Length), b.length(v.X), strings.Join(v.Marks, ", ")))
			}
		})
	}
}

// A board wants the paper lying where its drawing would be cramped upright.
const (
	longBoard = 2500 * measure.Millimetre
	manyMarks = 12 // places along the tape
)

// lying reports whether any board that is cut wants the paper lying.
func (b *book) lying() bool {
	for _, cb := range b.p.Cuts.Boards {
		board, _ := b.p.Project.Board(cb.Board)
		if v, ok := figure.Cut(b.p, cb); ok && (board.Length > longBoard || len(v.Tape) > manyMarks) {
			return true
		}
	}
	return false
}

// at says where a board lies.
func at(place string) string {
	if place == "" {
		return ""
	}
	return "  ·  " + place
}

// shortOrder is how many cuts still stand in one column.
const shortOrder = 3

// cutOrder is the cuts of a board as they are made, in two columns where there
// are many.
func (b *book) cutOrder(cb plan.CutBoard) pdf.Table {
	var t pdf.Table
	var cuts [][]string
	for i, s := range cb.Saws {
		line, blade := b.sawLine(cb, s)
		cut, setting := b.f("%d across", i+1), "–"
		if s.Rip {
			cut = b.f("%d along", i+1)
		}
		if s.Parting {
			cut = b.f("%d late", i+1)
		}
		if s.Stop > 0 {
			setting = b.setting(s.Stop)
		}
		gives := s.Mark
		if gives == "" {
			gives = b.t("waste")
		}
		cuts = append(cuts, []string{"", cut, b.number(line), b.t(blade), setting, gives})
	}
	wide, half := 1, len(cuts)
	if len(cuts) > shortOrder {
		wide, half = 2, (len(cuts)+1)/2
	}
	for k := range wide {
		if k > 0 {
			t.Columns = append(t.Columns, pdf.Column{Width: 4})
		}
		t.Columns = append(t.Columns, pdf.Column{Check: true, Width: 6}, pdf.Column{Title: "Cut", Bold: true, Width: 18}, pdf.Column{Title: "Line at", Width: 19}, pdf.Column{Title: "Blade", Width: 14}, pdf.Column{Title: "Setting", Width: 19}, pdf.Column{Title: "Gives", Bold: true, Width: 17})
	}
	for i := range half {
		row := cuts[i]
		if half+i < len(cuts) && wide > 1 {
			row = append(append(row, "\u00a0"), cuts[half+i]...)
		} else if wide > 1 {
			row = append(row, "\u00a0", "\u00a0")
		}
		t.Rows = append(t.Rows, pdf.Row{Cells: row})
	}
	return t
}

// sawLine gives the line of a cut as it is marked, and on which side of it the
// blade runs, as drawn: the line is where wood that is kept begins or ends.
func (b *book) sawLine(cb plan.CutBoard, s plan.Saw) (measure.Length, string) {
	use, after, before := "crosscut", "right", "left"
	if s.Rip {
		use, after, before = "rip", "below", "above"
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
