package plan

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"pilewright/plan/measure"
)

// Bounds of the search for the strips of mixed panels: from how many widths those of
// one may be chosen, and those of all together.
const (
	mostWidths  = 10
	mostChoices = 40
	mixedWork   = 50_000_000 // in the solver's units, where a quick plan lacks little
	nearlyAll   = 4          // a quick plan lacks little where it is no more than one such part
)

// rows asks the solver for the strips that are wanted beside those kept; a tight pile
// is worth a longer look, with more widths to choose from, unless it is only a question.
func (x *mixing) rows(kept []mixedRow) ([]mixedRow, bool) {
	shop := &x.m.plan.Project.Shop
	lacks, blanks := x.lacking(kept)
	if slices.Max(lacks) <= 0 && len(blanks) == 0 {
		return slices.Clone(kept), true
	}
	wanted, there := measure.Length(0), measure.Length(0) // of all pieces
	for _, l := range lacks {
		wanted += max(l, 0) * measure.Length(len(x.row))
	}
	shortest := slices.MinFunc(x.row, func(a, b Blank) int { return cmp.Compare(a.Length, b.Length) })
	for _, b := range shapeOf(x.m.plan.Project).boards {
		if b.serves(shortest) {
			there += (b.Length - b.TrimLeft - b.TrimRight) / shortest.Length * (b.Width - shop.WidthAllowance)
		}
	}
	if there < wanted {
		return nil, false
	}
	rows, lack := x.cover(kept, min(mostWidths, max(mostChoices/x.ups/len(x.row), 3)), 0, 2, nil)
	if rows == nil && lack <= wanted/nearlyAll && !x.m.enough {
		rows, _ = x.cover(kept, 2*mostWidths, mixedWork, 1, nil)
	}
	return rows, rows != nil
}

// lacking gives what each panel lacks beside rows, and the blanks of those rows that
// are still to be cut.
func (x *mixing) lacking(rows []mixedRow) (lacks []measure.Length, blanks []Blank) {
	lacks = slices.Repeat([]measure.Length{x.row[0].Width}, x.ups)
	for _, r := range rows {
		lacks[r.up-1] -= measure.Length(r.rows) * (r.width - x.m.plan.Project.Shop.WidthAllowance)
		for i, b := range x.row {
			if n := r.rows - len(r.done[i]); n > 0 {
				b.Key, b.Width, b.Count, b.PerCopy, b.Done = r.key(x.sp.ID, i), r.width, n, r.rows, r.done[i]
				blanks = append(blanks, b)
			}
		}
	}
	return lacks, blanks
}

// serves reports whether strips of a blank's length and thickness come from a board.
func (b Board) serves(want Blank) bool {
	return !b.Sheet && b.Thickness >= want.Thickness && (want.Species == "" || strings.EqualFold(b.Species, want.Species)) && b.Length-b.TrimLeft-b.TrimRight >= want.Length
}

// cut solves the cuts of the plan with the part made of these blanks.
func (x *mixing) cut(blanks []Blank, effort int) (Cuts, bool) {
	pw := &x.m.plan.Ways[x.at]
	was := *pw
	pw.Options, pw.Chosen = []WayOption{{Way: FlatPanel, Blanks: blanks}}, 0
	job := x.m.job(true)
	*pw = was
	job.Effort = max(job.Effort, effort)
	c, err := x.m.tools.Cut(x.m.ctx, job, nil)
	return c, err == nil
}

// cover finds the rows that cover what each panel lacks, in what the solver gives of
// the boards beside the blanks of the part and of the others; nil where there are
// none, with the width that is then lacking, of all pieces. Of rows of several pieces
// each piece is asked for by itself, and the widths that come back of one are tried
// for the others; those of which the others lack are given up, so many times, for
// widths that were not given up before.
func (x *mixing) cover(kept []mixedRow, widths, effort, times int, never []measure.Length) (rows []mixedRow, lack measure.Length) {
	shop := &x.m.plan.Project.Shop
	lacks, blanks := x.lacking(kept)
	choice := slices.DeleteFunc(x.stripWidths(widths), func(w measure.Length) bool { return slices.Contains(never, w) })
	type place struct{ up, piece int }
	asked := map[string]place{}
	left := map[place]measure.Length{}
	for up, total := range lacks {
		if total <= 0 {
			continue
		}
		for i, b := range x.row {
			if lack += total; len(choice) == 0 {
				return nil, lack
			}
			b.Key, b.Width, b.Count = blankKey(x.sp.ID, fmt.Sprintf("strips.%d.%d", up+1, i+1)), 0, 0
			b.Strips = &Strips{Total: total, Joint: shop.WidthAllowance, Widths: choice}
			blanks, asked[b.Key], left[place{up, i}] = append(blanks, b), place{up, i}, total
		}
	}
	c, ok := x.cut(blanks, effort)
	if !ok {
		return nil, lack
	}
	strips := make([][][]measure.Length, len(x.row)) // by piece and glue-up
	for i := range strips {
		strips[i] = make([][]measure.Length, x.ups)
	}
	for _, b := range c.Boards {
		for _, q := range b.Pieces {
			if p, ok := asked[q.Blank]; ok {
				strips[p.piece][p.up] = append(strips[p.piece][p.up], q.Width)
				left[p] -= q.Width - shop.WidthAllowance
			}
		}
	}
	lack = 0
	for _, l := range left {
		lack += max(l, 0)
	}
	if lack > 0 || slices.ContainsFunc(c.Short, shortOf(x.sp.ID)) {
		return nil, lack
	}
	for _, found := range strips {
		rows := x.with(kept, lacks, found)
		if len(x.row) == 1 {
			return rows, 0
		}
		o, ok := x.blanks(rows)
		if !ok {
			continue
		}
		c, ok := x.cut(o.Blanks, effort)
		if ok && !slices.ContainsFunc(c.Short, shortOf(x.sp.ID)) {
			return rows, 0
		}
		if ok && times > 0 {
			fewer, given := x.without(rows, c.Short)
			if rows, _ := x.cover(fewer, widths, effort, times-1, slices.Concat(never, given)); rows != nil {
				return rows, 0
			}
		}
	}
	return nil, lack
}

// without gives rows less those of which a piece is short, and the widths of these.
func (x *mixing) without(rows []mixedRow, short []Short) (fewer []mixedRow, widths []measure.Length) {
	for _, r := range rows {
		lack, done := 0, 0
		for i := range x.row {
			done = max(done, len(r.done[i]))
			for _, s := range short {
				if s.Blank == r.key(x.sp.ID, i) {
					lack = max(lack, s.Count)
				}
			}
		}
		if lack > 0 {
			widths = append(widths, r.width)
		}
		if r.rows = max(r.rows-lack, done); r.rows > 0 {
			fewer = append(fewer, r)
		}
	}
	return fewer, widths
}

// shortOf tells what lacks of a part.
func shortOf(part ID) func(Short) bool {
	return func(s Short) bool {
		id, _ := KeyPart(s.Blank)
		return id == part
	}
}

// with adds rows of these widths, by glue-up, to those kept; the widest of a panel is
// made narrower by what is more than the panel lacks.
func (x *mixing) with(kept []mixedRow, lacks []measure.Length, strips [][]measure.Length) []mixedRow {
	shop := &x.m.plan.Project.Shop
	rows := slices.Clone(kept)
	for up, widths := range strips {
		if len(widths) == 0 {
			continue
		}
		slices.SortFunc(widths, func(a, b measure.Length) int { return cmp.Compare(b, a) })
		more := -lacks[up]
		for _, w := range widths {
			more += w - shop.WidthAllowance
		}
		if narrow := widths[0] - more; narrow-shop.WidthAllowance >= x.sp.T && narrow >= shop.Kerf("rip") {
			widths[0] = narrow
		}
		for _, w := range widths {
			i := slices.IndexFunc(rows, func(r mixedRow) bool { return r.up == up+1 && r.width == w })
			if i < 0 {
				i, rows = len(rows), append(rows, mixedRow{up: up + 1, width: w, done: make([][]int, len(x.row)), marks: make([]string, len(x.row))})
			}
			rows[i].rows++
		}
	}
	return rows
}

// stripWidths are the widths that boards long and thick enough give strips of:
// whole, or ripped into two or three, no narrower than the panel is thick and no wider
// than the planer takes. Where there are more than so many, parts of boards go first,
// and of two that are nearly alike the wider, which fewer boards give.
func (x *mixing) stripWidths(most int) []measure.Length {
	shop := &x.m.plan.Project.Shop
	step, kerf := finestInch, shop.Kerf("rip")
	if metric(x.m.plan.Parts) {
		step = finestMetric
	}
	longest := slices.MaxFunc(x.row, func(a, b Blank) int { return cmp.Compare(a.Length, b.Length) })
	widest := x.sp.W - 1
	if planer, ok := shop.Machine("planer"); ok && planer.MaxWidth > 0 {
		widest = min(widest, planer.MaxWidth)
	}
	whole := map[measure.Length]bool{}
	var out []measure.Length
	for _, b := range shapeOf(x.m.plan.Project).boards {
		if !b.serves(longest) {
			continue
		}
		for n := measure.Length(1); n <= 3; n++ {
			w := (b.Width - (n-1)*kerf) / n / step * step
			if gives := w - shop.WidthAllowance; gives >= x.sp.T && gives > 0 && gives <= widest && w >= kerf {
				out = append(out, w)
				whole[w] = whole[w] || n == 1
			}
		}
	}
	slices.Sort(out)
	out = slices.Compact(out)
	for len(out) > most {
		parts := slices.ContainsFunc(out, func(w measure.Length) bool { return !whole[w] })
		drop, least := -1, measure.Length(0)
		for i, w := range out {
			if i == 0 || parts && whole[w] && whole[out[i-1]] {
				continue
			}
			if near := w - out[i-1]; drop < 0 || near < least {
				if drop, least = i, near; parts && whole[w] {
					drop = i - 1
				}
			}
		}
		if drop < 0 { // the one part is the narrowest of all
			drop = 0
		}
		out = slices.Delete(out, drop, drop+1)
	}
	return out
}
