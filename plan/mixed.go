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
// nanometres follows, then a dot and the number of the glue-up where it is not the
// first, or where its rows are of several pieces, and of those another dot, how many
// they are and which of them it is.
const mixedUse = "strip"

// mostMixed is how many glue-ups of a part are made of mixed strips.
const mostMixed = 12

// mixing is how a part may be made of flat panels of strips of different widths.
type mixing struct {
	m      *making
	at     int // of the part in Plan.Ways
	sp     SizedPart
	ups    int     // glue-ups
	copies int     // of each glue-up
	row    []Blank // the pieces of a row, as wide as the panel
}

// mixedRow is the rows of one width in one glue-up of a mixed panel.
type mixedRow struct {
	up    int // number of the glue-up, from 1
	width measure.Length
	rows  int
	done  [][]int  // numbers of the strips that are cut, by their place in the row
	marks []string // chalked on them, without the number
}

// key names the strips of the rows that come at a place, from 0.
func (r mixedRow) key(part ID, place int) string {
	use := mixedUse + strconv.FormatInt(int64(r.width), 10)
	switch n := len(r.done); {
	case n > 1:
		use += fmt.Sprintf(".%d.%d%d", r.up, n, place+1)
	case r.up > 1:
		use += "." + strconv.Itoa(r.up)
	}
	return blankKey(part, use)
}

// readMixed reads what key writes.
func readMixed(key string, part ID) (r mixedRow, place int, ok bool) {
	use, ok := strings.CutPrefix(key, blankKey(part, mixedUse))
	if !ok {
		return r, 0, false
	}
	var n [3]int64 // width, glue-up, pieces and place
	n[1], n[2] = 1, 11
	for i, field := range strings.SplitN(use, ".", len(n)) {
		v, err := strconv.ParseInt(field, 10, 64)
		if err != nil || v <= 0 {
			return r, 0, false
		}
		n[i] = v
	}
	pieces, place := n[2]/10, int(n[2]%10)-1
	if pieces < 1 || pieces > mostRowPieces || place < 0 || place >= int(pieces) || n[1] > mostMixed {
		return r, 0, false
	}
	return mixedRow{up: int(n[1]), width: measure.Length(n[0]), done: make([][]int, pieces), marks: make([]string, pieces)}, place, true
}

// mixed is one more way to make a part: flat panels of strips of different widths,
// as the solver picks them from the pile, each row of one piece or, where no board is
// long enough, of two or three. It asks for strips that cover each panel together, and
// makes a blank of every width that comes back; the widest of a panel is made narrower
// by what is too much. Strips that are cut already, or that the maker holds on a board
// or in a row, are part of their panel. ok is false where there is no such way, or it
// would be one of equal rows.
func (m *making) mixed(at int) (o WayOption, ok bool) {
	pw := m.plan.Ways[at]
	shop, piece := &m.plan.Project.Shop, &m.plan.Project.Piece
	sp, _ := m.plan.Part(pw.Part)
	copies, full := gang(shop, sp.N, m.plan.Frame.LongestOf(sp))
	x := mixing{m: m, at: at, sp: sp, ups: ganged(sp.N, copies), copies: copies}
	if x.ups < 1 || full <= 0 || x.ups > mostMixed || sp.W <= sp.T || pw.Locked && sp.Way != FlatPanel && sp.Way != MixedPanel {
		return o, false
	}
	now, _ := pw.Choice()
	begun := m.begunMixed(sp.ID)
	if x.ups > 1 && begun == 0 && now.Way != FlatPanel && sp.Way != MixedPanel && !slices.ContainsFunc(m.plan.Cuts.Short, shortOf(sp.ID)) {
		return o, false // nobody rips rails into strips to glue rails of them
	}
	for n := 1; n <= mostRowPieces; n++ {
		lens := rowPieces(full, n, cmp.Or(piece.Stagger, shop.Stagger), shop.LengthAllowance)
		if lens == nil || n > 1 && slices.Min(lens) < shop.PieceMin || begun > 0 && n != begun {
			continue
		}
		x.row = nil
		for _, l := range lens {
			b := sp.blank("row", FlatPanel, 1)
			b.Length, b.Width, b.Thickness = l, sp.W, planable(shop, sp.T)+shop.PlaneAllowance
			b.toRuler(metric(m.plan.Parts))
			x.row = append(x.row, b)
		}
		if o, ok := x.option(); ok {
			return o, true
		}
		if sp.Way != MixedPanel && len(x.stripWidths(1)) > 0 {
			break // as with equal rows, more pieces are for what no board is long enough for
		}
	}
	return o, false
}

// begunMixed is of how many pieces the rows are of which strips are cut; zero where
// none are.
func (m *making) begunMixed(part ID) int {
	for _, r := range m.plan.Project.Ready {
		if k, _, ok := readMixed(r.Cut.Blank, part); ok {
			return len(k.done)
		}
	}
	return 0
}

// option makes the way with rows of so many pieces.
func (x *mixing) option() (o WayOption, ok bool) {
	for _, held := range []bool{true, false} {
		kept := x.kept(held)
		if rows, ok := x.rows(kept); ok {
			return x.blanks(rows)
		}
		if !held || !slices.ContainsFunc(kept, func(r mixedRow) bool { return r.rows > len(r.done[0]) }) {
			break
		}
	}
	return o, false
}

// kept gives the strips of mixed panels that are cut and still serve and, with held,
// those that the maker holds in place.
func (x *mixing) kept(held bool) []mixedRow {
	m, width := x.m, x.row[0].Width
	var out []mixedRow
	at := func(key string) (*mixedRow, int) {
		r, place, ok := readMixed(key, x.sp.ID)
		if !ok || r.up > x.ups || len(r.done) != len(x.row) {
			return nil, 0
		}
		i := slices.IndexFunc(out, func(o mixedRow) bool { return o.up == r.up && o.width == r.width })
		if i < 0 {
			i, out = len(out), append(out, r)
		}
		return &out[i], place
	}
	for _, r := range m.plan.Project.Ready {
		b, ok := m.plan.Project.Board(r.Board)
		k, place := at(r.Cut.Blank)
		if ok && k != nil && r.Cut.N >= 1 && r.Cut.Width >= k.width && r.Cut.Length >= x.row[place].Length && b.Thickness >= x.row[place].Thickness && !slices.Contains(k.done[place], r.Cut.N) {
			k.done[place] = append(k.done[place], r.Cut.N)
			k.rows = max(k.rows, len(k.done[place]))
			k.marks[place] = strings.TrimRight(r.Cut.Mark, "0123456789")
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
		if r, _, ok := readMixed(key, x.sp.ID); !held || n < 1 || n > mostHeld || !ok || measure.Length(n)*r.width > 2*width {
			continue
		}
		if k, _ := at(key); k != nil {
			k.rows = max(k.rows, n)
		}
	}
	return slices.DeleteFunc(out, func(r mixedRow) bool { return r.rows == 0 })
}

// mostHeld is the highest number of a strip that a maker can hold.
const mostHeld = 1000

// blanks makes the blanks of the rows.
func (x *mixing) blanks(rows []mixedRow) (o WayOption, ok bool) {
	shop := &x.m.plan.Project.Shop
	slices.SortStableFunc(rows, func(a, b mixedRow) int { return cmp.Or(cmp.Compare(a.up, b.up), cmp.Compare(b.width, a.width)) })
	o = WayOption{Way: FlatPanel, Mixed: true, Pieces: len(x.row), Gang: x.copies, Fits: true}
	used := map[string]bool{}
	for _, r := range rows {
		for _, mark := range r.marks {
			used[mark] = true
		}
	}
	letters, equal := 0, true
	for _, r := range rows {
		for i, b := range x.row {
			b.Key, b.Width, b.PerCopy, b.Count, b.Done, b.Up = r.key(x.sp.ID, i), r.width, r.rows, max(r.rows-len(r.done[i]), 0), r.done[i], r.up
			if b.Mark = r.marks[i]; b.Mark == "" { // what is chalked on strips that are cut stays theirs
				for b.Mark = x.sp.Letter + letter(letters); used[b.Mark]; b.Mark = x.sp.Letter + letter(letters) {
					letters++
				}
				used[b.Mark] = true
			}
			o.Blanks = append(o.Blanks, b)
			equal = equal && r.width == rows[0].width && r.rows == rows[0].rows && len(r.done[i]) == 0
		}
		if gives := r.width - shop.WidthAllowance; o.Each == 0 || gives < o.Each {
			o.Each = gives
		}
	}
	if o.copies() < x.ups {
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
	return rows / o.Pieces
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
		if m.begunMixed(pw.Part) == 0 {
			continue
		}
		if o, ok := m.mixed(i); ok {
			pw.Options, pw.Chosen = []WayOption{o}, 0
		}
	}
}
