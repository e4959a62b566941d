package sheet

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"pilewright/layout/drawing/pdf"
	"pilewright/plan"
)

// pile lists the boards to fetch, place by place.
func (b *book) pile() {
	p := b.p
	b.Heading(1, "Boards to pull")
	if len(p.Cuts.Boards) == 0 {
		b.Text("No board of the pile is cut for this piece.")
		b.readyBlanks()
		b.missing()
		return
	}
	type pull struct {
		board plan.Board
		cut   plan.CutBoard
	}
	var list []pull
	for _, cb := range p.Cuts.Boards {
		if board, ok := p.Project.Board(cb.Board); ok {
			list = append(list, pull{board, cb})
		}
	}
	slices.SortStableFunc(list, func(x, y pull) int {
		return cmp.Or(cmp.Compare(x.board.Place, y.board.Place), b.compareMarks(x.board.Mark, y.board.Mark))
	})
	b.Text(b.f("%s. Tick each as it comes off the pile; what each gives stands at the right.", upper(b.several(len(list), "board", "boards"))))
	t := pdf.Table{Columns: []pdf.Column{{Check: true, Width: 8}, {Title: "Board", Bold: true}, {Title: "Length x width x thickness"}, {Title: "Wood"}, {Title: "From"}, {Title: "Look out for", Width: 58}, {Title: "Gives"}}}
	place := "\x00"
	for _, x := range list {
		if x.board.Place != place {
			place = x.board.Place
			where := place
			if where == "" {
				where = b.t("place not noted")
			}
			t.Rows = append(t.Rows, pdf.Row{Group: true, Cells: []string{upper(where)}})
		}
		lot, _ := p.Project.Lot(x.board.Lot)
		var gives []string
		for _, c := range x.cut.Pieces {
			gives = append(gives, c.Mark)
		}
		slices.SortStableFunc(gives, b.compareMarks)
		t.Rows = append(t.Rows, pdf.Row{Cells: []string{"", x.board.Mark, b.size(x.board.Length, x.board.Width, x.board.Thickness), b.t(x.board.Species), lot.Name, b.flaws(x.board), b.marks(gives)}})
	}
	b.Table(t)
	b.readyBlanks()
	b.missing()
}

// compareMarks sorts A2 before A10.
func (b *book) compareMarks(x, y string) int {
	lx, nx, _ := number(x)
	ly, ny, _ := number(y)
	return cmp.Or(cmp.Compare(lx, ly), cmp.Compare(nx, ny), cmp.Compare(x, y))
}

// flaws says what to know of a board by sight: its defects, by kind.
func (b *book) flaws(board plan.Board) string {
	var kinds []plan.DefectKind
	count := map[plan.DefectKind]int{}
	for _, d := range board.Defects {
		if count[d.Kind] == 0 {
			kinds = append(kinds, d.Kind)
		}
		count[d.Kind]++
	}
	var out []string
	for _, k := range kinds {
		word := string(k)
		if k == plan.NailHole {
			word = "nail hole"
		}
		out = append(out, b.several(count[k], word, word+"s"))
	}
	var ends []string
	if board.TrimLeft > 0 {
		ends = append(ends, b.f("%s left", b.number(board.TrimLeft)))
	}
	if board.TrimRight > 0 {
		ends = append(ends, b.f("%s right", b.number(board.TrimRight)))
	}
	switch board.Faces {
	case plan.GoodA:
		out = append(out, b.t("good face A"))
	case plan.GoodB:
		out = append(out, b.t("good face B"))
	case plan.GoodNone:
		out = append(out, b.t("poor face"))
	}
	if len(ends) > 0 {
		out = append(out, b.f("bad ends: %s", strings.Join(ends, ", ")))
	}
	return upper(strings.Join(out, "; "))
}

// readyBlanks lists the blanks that are cut already.
func (b *book) readyBlanks() {
	var list []string
	for _, r := range b.p.Project.Ready {
		list = append(list, r.Cut.Mark)
	}
	if len(list) > 0 {
		slices.SortStableFunc(list, b.compareMarks)
		b.Text(b.f("Cut already, to be kept at hand: %s.", b.marks(list)))
	}
}

// missing lists the blanks the pile can't give.
func (b *book) missing() {
	if len(b.p.Cuts.Short) == 0 {
		return
	}
	b.Heading(2, "Missing wood")
	t := pdf.Table{Columns: []pdf.Column{{Check: true, Width: 8}, {Title: "How many", Right: true}, {Title: "For", Bold: true}, {Title: "At least: length x width x thickness"}, {Title: "Wood"}, {Title: "What is so"}}}
	for _, s := range b.p.Cuts.Short {
		blank, ok := b.p.Blank(s.Blank)
		if !ok {
			continue
		}
		text := s.Say
		if text == "" && s.Proof {
			text = b.t("Proved: this pile can't give it.")
		}
		t.Rows = append(t.Rows, pdf.Row{Cells: []string{"", fmt.Sprint(s.Count), blank.Name, b.size(blank.Length, blank.Width, blank.Thickness), b.species(blank.Species), text}})
	}
	b.Table(t)
}
