package plan

import (
	"cmp"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"pilewright/plan/measure"
)

// mixedUse begins the use of a blank that is a strip of a mixed panel; its width in
// nanometres follows and, beyond the first glue-up of the part, a dot and its number.
const mixedUse = "strip"

// Bounds of mixed panels: from how many widths the strips of one may be chosen, of
// how many glue-ups together, and how many glue-ups of a part are made so.
const (
	mostWidths  = 10
	mostChoices = 40
	mostMixed   = 12
	mixedWork   = 50_000_000 // in the solver's units, where a quick plan lacks little
	nearlyAll   = 4          // a quick plan lacks little where it is no more than one such part
)

// mixedRow is the rows of one width in one glue-up of a mixed panel.
type mixedRow struct {
	up    int // number of the glue-up, from 1
	width measure.Length
	rows  int
	done  []int // numbers of the strips that are cut
	mark  string
}

func (r mixedRow) key(part ID) string {
	use := mixedUse + strconv.FormatInt(int64(r.width), 10)
	if r.up > 1 {
		use += "." + strconv.Itoa(r.up)
	}
	return blankKey(part, use)
}

// readMixed reads what key writes.
func readMixed(key string, part ID) (r mixedRow, ok bool) {
	use, ok := strings.CutPrefix(key, blankKey(part, mixedUse))
	if !ok {
		return r, false
	}
	width, up, more := strings.Cut(use, ".")
	r.up = 1
	if more {
		r.up, _ = strconv.Atoi(up)
	}
	w, err := strconv.ParseInt(width, 10, 64)
	r.width = measure.Length(w)
	return r, err == nil && w > 0 && r.up > 0
}

// mixed is one more way to make a part: flat panels of strips of different widths,
// as the solver picks them from the pile. It asks for strips that cover each panel
// together, and makes a blank of every width that comes back; the widest of a panel is
// made narrower by what is too much. Strips that are cut already, or that the maker
// holds on a board or in a row, are part of their panel. ok is false where there is no
// such way, or it would be one of equal rows.
func (m *making) mixed(at int) (o WayOption, ok bool) {
	pw := m.plan.Ways[at]
	shop := &m.plan.Project.Shop
	sp, _ := m.plan.Part(pw.Part)
	copies, full := gang(shop, sp.N, m.plan.Frame.LongestOf(sp))
	ups := ganged(sp.N, copies)
	if ups < 1 || full <= 0 || ups > mostMixed || sp.W <= sp.T || pw.Locked && sp.Way != FlatPanel && sp.Way != MixedPanel {
		return o, false
	}
	want := sp.blank("row", FlatPanel, 1)
	want.Length, want.Width, want.Thickness = full, sp.W, planable(shop, sp.T)+shop.PlaneAllowance
	want.toRuler(metric(m.plan.Parts))
	now, _ := pw.Choice()
	panels := ups == 1 || now.Way == FlatPanel || sp.Way == MixedPanel || slices.ContainsFunc(m.plan.Cuts.Short, shortOf(sp.ID))
	for _, held := range []bool{true, false} {
		kept := m.keptStrips(sp.ID, want, ups, held)
		if !panels && len(kept) == 0 {
			break // nobody rips rails into strips to glue rails of them
		}
		if rows, ok := m.mixedRows(at, want, ups, kept); ok {
			return m.mixedOption(sp, want, ups, copies, rows)
		}
		if !held || !slices.ContainsFunc(kept, func(r mixedRow) bool { return r.rows > len(r.done) }) {
			break
		}
	}
	return o, false
}

// keptStrips gives the strips of mixed panels that are cut and still serve and, with
// held, those that the maker holds in place.
func (m *making) keptStrips(part ID, want Blank, ups int, held bool) []mixedRow {
	var out []mixedRow
	at := func(key string) *mixedRow {
		r, ok := readMixed(key, part)
		if !ok || r.up > ups {
			return nil
		}
		i := slices.IndexFunc(out, func(o mixedRow) bool { return o.up == r.up && o.width == r.width })
		if i < 0 {
			i, out = len(out), append(out, r)
		}
		return &out[i]
	}
	for _, r := range m.plan.Project.Ready {
		b, ok := m.plan.Project.Board(r.Board)
		if !ok || r.Cut.N < 1 || r.Cut.Length < want.Length || b.Thickness < want.Thickness {
			continue
		}
		if k := at(r.Cut.Blank); k != nil && r.Cut.Width >= k.width && !slices.Contains(k.done, r.Cut.N) {
			k.done = append(k.done, r.Cut.N)
			k.rows = max(k.rows, len(k.done))
			k.mark = strings.TrimRight(r.Cut.Mark, "0123456789")
		}
	}
	for _, c := range m.plan.Project.Choices {
		key, n := c.Blank, c.Row
		switch c.Kind {
		case BlankOnBoard:
			if b, ok := m.plan.Project.Board(c.Board); !ok || b.State != InPile {
				continue
			}
		case RowPlace:
			head, number, _ := strings.Cut(c.Blank, "#")
			key = head
			n, _ = strconv.Atoi(number)
		default:
			continue
		}
		if r, ok := readMixed(key, part); !held || n < 1 || !ok || measure.Length(n)*r.width > 2*want.Width {
			continue
		}
		if k := at(key); k != nil {
			k.rows = max(k.rows, n)
		}
	}
	return out
}

// mixedRows asks the solver for the strips that are wanted beside those kept; a
// tight pile is worth a longer look, with more widths to choose from.
func (m *making) mixedRows(at int, want Blank, ups int, kept []mixedRow) ([]mixedRow, bool) {
	shop := &m.plan.Project.Shop
	lacks := slices.Repeat([]measure.Length{want.Width}, ups)
	var blanks []Blank
	for _, r := range kept {
		lacks[r.up-1] -= measure.Length(r.rows) * (r.width - shop.WidthAllowance)
		if n := r.rows - len(r.done); n > 0 {
			b := want
			b.Key, b.Width, b.Count, b.PerCopy, b.Done = r.key(want.Part), r.width, n, r.rows, r.done
			blanks = append(blanks, b)
		}
	}
	if slices.Max(lacks) <= 0 && len(blanks) == 0 {
		return slices.Clone(kept), true
	}
	wanted, there := measure.Length(0), measure.Length(0)
	for _, l := range lacks {
		wanted += max(l, 0)
	}
	pile := shapeOf(m.plan.Project)
	for _, b := range pile.boards {
		if clear := b.Length - b.TrimLeft - b.TrimRight; b.serves(want) {
			there += clear / want.Length * (b.Width - shop.WidthAllowance)
		}
	}
	if there < wanted {
		return nil, false
	}
	strips, lack, ok := m.coverPanels(at, want, lacks, blanks, min(mostWidths, max(mostChoices/ups, 3)), 0)
	if !ok && lack <= wanted/nearlyAll {
		strips, _, ok = m.coverPanels(at, want, lacks, blanks, 2*mostWidths, mixedWork)
	}
	if !ok {
		return nil, false
	}
	return m.withStrips(want, kept, lacks, strips), true
}

// serves reports whether strips of a blank's length and thickness come from a board.
func (b Board) serves(want Blank) bool {
	return !b.Sheet && b.Thickness >= want.Thickness && (want.Species == "" || strings.EqualFold(b.Species, want.Species)) && b.Length-b.TrimLeft-b.TrimRight >= want.Length
}

// coverPanels finds the widths of strips that cover what each panel lacks, in what
// the solver gives of the boards beside the blanks of the part and of the others; lack
// is the width that is not covered.
func (m *making) coverPanels(at int, want Blank, lacks []measure.Length, blanks []Blank, widths, effort int) (strips [][]measure.Length, lack measure.Length, ok bool) {
	shop := &m.plan.Project.Shop
	pile := shapeOf(m.plan.Project)
	pile.metric = metric(m.plan.Parts)
	sp, _ := m.plan.Part(want.Part)
	choice := pile.stripWidths(shop, sp, want, widths)
	blanks = slices.Clone(blanks)
	panel := map[string]int{}
	for up, total := range lacks {
		if total <= 0 {
			continue
		}
		if lack += total; len(choice) == 0 {
			return nil, lack, false
		}
		b := want
		b.Key, b.Width, b.Count = blankKey(want.Part, fmt.Sprintf("strips.%d", up+1)), 0, 0
		b.Strips = &Strips{Total: total, Joint: shop.WidthAllowance, Widths: choice}
		blanks, panel[b.Key] = append(blanks, b), up
	}
	pw := &m.plan.Ways[at]
	was := *pw
	pw.Options, pw.Chosen = []WayOption{{Way: FlatPanel, Blanks: blanks}}, 0
	job := m.job(true)
	*pw = was
	job.Effort = max(job.Effort, effort)
	c, err := m.tools.Cut(m.ctx, job, nil)
	if err != nil {
		return nil, lack, false
	}
	strips, left := make([][]measure.Length, len(lacks)), slices.Clone(lacks)
	for _, b := range c.Boards {
		for _, q := range b.Pieces {
			if up, ok := panel[q.Blank]; ok {
				strips[up] = append(strips[up], q.Width)
				left[up] -= q.Width - shop.WidthAllowance
			}
		}
	}
	lack = 0
	for _, l := range left {
		lack += max(l, 0)
	}
	return strips, lack, lack == 0 && !slices.ContainsFunc(c.Short, shortOf(want.Part))
}

// shortOf tells what lacks of a part.
func shortOf(part ID) func(Short) bool {
	return func(s Short) bool {
		id, _ := KeyPart(s.Blank)
		return id == part
	}
}

// withStrips adds strips to the rows kept; the widest of a panel is made narrower by
// what is more than the panel lacks.
func (m *making) withStrips(want Blank, kept []mixedRow, lacks []measure.Length, strips [][]measure.Length) []mixedRow {
	shop := &m.plan.Project.Shop
	sp, _ := m.plan.Part(want.Part)
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
		if narrow := widths[0] - more; narrow-shop.WidthAllowance >= sp.T && narrow >= shop.Kerf("rip") {
			widths[0] = narrow
		}
		for _, w := range widths {
			i := slices.IndexFunc(rows, func(r mixedRow) bool { return r.up == up+1 && r.width == w })
			if i < 0 {
				i, rows = len(rows), append(rows, mixedRow{up: up + 1, width: w})
			}
			rows[i].rows++
		}
	}
	return rows
}

// mixedOption makes the blanks of the rows.
func (m *making) mixedOption(sp SizedPart, want Blank, ups, copies int, rows []mixedRow) (o WayOption, ok bool) {
	shop := &m.plan.Project.Shop
	slices.SortStableFunc(rows, func(a, b mixedRow) int { return cmp.Or(cmp.Compare(a.up, b.up), cmp.Compare(b.width, a.width)) })
	o = WayOption{Way: FlatPanel, Mixed: true, Pieces: 1, Gang: copies, Fits: true}
	used := map[string]bool{}
	for _, r := range rows {
		used[r.mark] = true
	}
	letters := 0
	for _, r := range rows {
		b := want
		b.Key, b.Width, b.PerCopy, b.Count, b.Done, b.Up = r.key(sp.ID), r.width, r.rows, r.rows-len(r.done), r.done, r.up
		if b.Mark = r.mark; b.Mark == "" { // what is chalked on strips that are cut stays theirs
			for b.Mark = sp.Letter + letter(letters); used[b.Mark]; b.Mark = sp.Letter + letter(letters) {
				letters++
			}
			used[b.Mark] = true
		}
		o.Blanks = append(o.Blanks, b)
		if gives := b.Width - shop.WidthAllowance; o.Each == 0 || gives < o.Each {
			o.Each = gives
		}
	}
	equal := !slices.ContainsFunc(rows, func(r mixedRow) bool { return r.width != rows[0].width || r.rows != rows[0].rows || len(r.done) > 0 })
	if o.copies() < ups {
		return o, false
	}
	least, most := o.RowRange()
	o.Rows = most
	return o, least > 1 && !equal
}

// letter is the n-th of a, b, ... z, aa, ab, ...
func letter(n int) string {
	if n < 26 {
		return string(rune('a' + n))
	}
	return letter(n/26-1) + letter(n%26)
}

// rowsOf is how many rows or layers glue-up n has, counted from 0.
func (o WayOption) rowsOf(n int) int {
	if !o.Mixed {
		return o.Rows
	}
	rows := 0
	for _, b := range o.Blanks {
		if b.Up == n+1 {
			rows += b.PerCopy
		}
	}
	return rows
}

// RowRange is how many rows or layers a glue-up of the option has, at least and at
// most: those of mixed panels differ.
func (o WayOption) RowRange() (least, most int) {
	least, most = o.rowsOf(0), o.rowsOf(0)
	for up := range o.copies() {
		least, most = min(least, o.rowsOf(up)), max(most, o.rowsOf(up))
	}
	return least, most
}

// lines is how many glue lines the glue-ups of the option have together.
func (o WayOption) lines() int {
	n := 0
	for up := range max(o.copies(), 1) {
		n += max(o.rowsOf(up)-1, 0)
	}
	return n
}

// goOnMixed leaves a part of which strips of a mixed panel are cut no other way.
func (m *making) goOnMixed() {
	for i := range m.plan.Ways {
		pw := &m.plan.Ways[i]
		if !slices.ContainsFunc(m.plan.Project.Ready, func(r ReadyBlank) bool { _, ok := readMixed(r.Cut.Blank, pw.Part); return ok }) {
			continue
		}
		if o, ok := m.mixed(i); ok {
			pw.Options, pw.Chosen = []WayOption{o}, 0
		}
	}
}

// stripWidths are the widths that boards long and thick enough give strips of:
// whole, or ripped into two or three, no narrower than the panel is thick and no wider
// than the planer takes. Where there are more than so many, parts of boards go first, and of two that are nearly alike
// the wider, which fewer boards give.
func (s pileShape) stripWidths(shop *Shop, sp SizedPart, want Blank, most int) []measure.Length {
	step, kerf := finestInch, shop.Kerf("rip")
	if s.metric {
		step = finestMetric
	}
	widest := sp.W - 1
	if planer, ok := shop.Machine("planer"); ok && planer.MaxWidth > 0 {
		widest = min(widest, planer.MaxWidth)
	}
	whole := map[measure.Length]bool{}
	var out []measure.Length
	for _, b := range s.boards {
		if !b.serves(want) {
			continue
		}
		for n := measure.Length(1); n <= 3; n++ {
			w := (b.Width - (n-1)*kerf) / n / step * step
			if gives := w - shop.WidthAllowance; gives >= sp.T && gives > 0 && gives <= widest && w >= kerf {
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
