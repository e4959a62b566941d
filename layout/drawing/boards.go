package drawing

import (
	"math"
	"sort"
	"strconv"

	"pilewright/layout/drawing/font"
	"pilewright/plan/measure"
	"pilewright/plan/words"
)

// Area is a rectangle on a board: X from its left end, Y from its lower edge as
// drawn at the top, L along the board and W across.
type Area struct{ X, Y, L, W measure.Length }

// Spot is an area that means something.
type Spot struct {
	Area
	Ref   string
	Mark  string // the part's mark, bold
	Label string // its size
	Hover string // what the pointer is told
	Alt   bool   // drawn a tone darker, to tell neighbours apart
}

// Flaw is a defect or, where hidden parts may hold it, a blemish.
type Flaw struct {
	Area
	Ref     string
	Kind    string // split, crack, knot, nail hole, wane, stain; hatched by kind
	Hover   string
	Allowed bool
}

// TapeMark is a place to mark with the tape hooked over the left end.
type TapeMark struct {
	X    measure.Length
	Text string
}

// BoardView is a board with what is cut from it.
type BoardView struct {
	Ref                 string
	Title               string // its mark and name
	Size                string
	Hover               string
	Length, Width       measure.Length
	TrimLeft, TrimRight measure.Length
	Flaws               []Flaw
	Pieces              []Spot
	Leftovers           []Spot
	Kerfs               []Area
	Tape                []TapeMark
}

// BoardsOptions says how boards are laid out. The zero value fits 190 mm of
// paper, the common content width of A4 and Letter.
type BoardsOptions struct {
	Width  float64                     // of the paper in mm; 0 means 190
	Scale  float64                     // drawn mm per real mm; 0 means the longest board fills the width
	Legend bool                        // explain the hatchings used
	Format func(measure.Length) string // figures of the large view; nil means millimetres
	Words  *words.Language             // what is written beside the figures; nil = English
}

const (
	defaultWidth = 190
	boardGapX    = 8
	boardGapY    = 5
	titleSize    = 3
	titleHeight  = 4.4
	tapeSize     = 2.3
	tapeStep     = 2.9
	calloutRow   = 3.4
	tapeOver     = 8 // a figure at a board's right end stands beyond it
)

// millimetres is the real length in mm, for drawing only.
func millimetres(l measure.Length) float64 { return float64(l) / float64(measure.Millimetre) }

// plainMillimetres writes a length in mm with at most one decimal.
func plainMillimetres(l measure.Length) string {
	return strconv.FormatFloat(math.Round(millimetres(l)*10)/10, 'f', -1, 64)
}

func (o BoardsOptions) width() float64 {
	if o.Width > 0 {
		return o.Width
	}
	return defaultWidth
}

// Boards draws boards to one scale, several in a line where they fit, each with
// its parts, trims, flaws, kerfs and leftovers and, under it, the tape line.
// Every board gets a Frame. Boards without length are left out.
func Boards(boards []BoardView, o BoardsOptions) *Picture {
	pages := BoardPages(boards, o, math.Inf(1))
	if len(pages) == 0 {
		return &Picture{Title: "Boards"}
	}
	return pages[0]
}

// BoardPages is Boards for paper: as many pictures as it takes, none higher than
// height unless a single board is. The scale is the same on all; the legend
// stands below the last.
func BoardPages(boards []BoardView, o BoardsOptions, height float64) []*Picture {
	scale := o.Scale
	if scale <= 0 {
		longest := measure.Length(0)
		for _, b := range boards {
			longest = max(longest, b.Length)
		}
		if longest <= 0 {
			return nil
		}
		scale = math.Min((o.width()-tapeOver)/millimetres(longest), 1)
	}
	var pages []*Picture
	var page *Picture
	x, y, row := 0.0, 0.0, 0.0
	for _, line := range boardLines(boards, scale, o) {
		row = 0
		for _, c := range line {
			row = math.Max(row, c.box.H())
		}
		if page == nil || y > 0 && y+row > height {
			page = &Picture{Title: "Boards"}
			pages = append(pages, page)
			y = 0
		}
		x = 0
		for _, c := range line {
			page.Add(c.picture, x, y-c.box.Y0, 1)
			x += c.box.X1 + boardGapX
		}
		y += row + boardGapY
	}
	if o.Legend && page != nil {
		var l Picture
		legend(&l, boards, 0, o.width(), o.Words)
		if box := l.Bounds(); y+box.H() > height {
			pages = append(pages, &l)
		} else {
			page.Add(&l, 0, y, 1)
		}
	}
	return pages
}

// boardCell is a drawn board and the room it takes.
type boardCell struct {
	picture *Picture
	box     Rect
}

// boardLines draws each board and puts as many side by side as fit.
func boardLines(boards []BoardView, scale float64, o BoardsOptions) [][]boardCell {
	var lines [][]boardCell
	x := math.Inf(1)
	for i := range boards {
		if boards[i].Length <= 0 || boards[i].Width <= 0 {
			continue
		}
		cell := boardCell{picture: &Picture{}}
		drawBoard(cell.picture, &boards[i], scale, scale, o)
		cell.box = cell.picture.Bounds()
		if x+millimetres(boards[i].Length)*scale > o.width() {
			lines = append(lines, nil)
			x = 0
		}
		lines[len(lines)-1] = append(lines[len(lines)-1], cell)
		x += cell.box.X1 + boardGapX
	}
	return lines
}

// Board draws one board as large as the paper's width allows, with its size and
// the rips across dimensioned. Where it would be too low to read, its width is
// drawn larger than its length by a whole factor, which is said below.
func Board(b BoardView, o BoardsOptions) *Picture {
	p := &Picture{Title: b.Title}
	if b.Length <= 0 || b.Width <= 0 {
		return p
	}
	format := o.Format
	if format == nil {
		format = plainMillimetres
	}
	const dimensionRoom = 30
	scale := o.Scale
	if scale <= 0 {
		scale = math.Min((o.width()-dimensionRoom)/millimetres(b.Length), 1)
	}
	factor := math.Max(1, math.Min(6, math.Floor(30/(millimetres(b.Width)*scale))))
	across := scale * factor
	right := drawBoard(p, &b, scale, across, o)
	l, w := millimetres(b.Length)*scale, millimetres(b.Width)*across
	chain(p, b.Ref, true, []Point{{0, w}, {0, 0}}, []string{format(b.Width)}, -5.5, 1)
	side := ripped(&b)
	sort.SliceStable(side, func(i, j int) bool { return side[i].Y > side[j].Y }) // from below, as figures are read
	var edges []Point
	var figures []string
	for i, s := range side {
		if i > 0 {
			figures = append(figures, "") // the kerf between
		}
		edges = append(edges, Point{l, millimetres(s.Y+s.W) * across}, Point{l, millimetres(s.Y) * across})
		figures = append(figures, format(s.W))
	}
	chain(p, b.Ref, true, edges, figures, math.Max(l+6, right+3), -1)
	box := p.Bounds()
	p.DimensionH(b.Ref, 0, w, l, w, box.Y1+5.5, 2.5, format(b.Length))
	if factor > 1 {
		p.Text(RoleNote, "", 0, box.Y1+9.5, 2.3, Left+Top, o.Words.Format("width drawn %d times larger than length", int(factor)))
	}
	if o.Legend {
		legend(p, []BoardView{b}, p.Bounds().Y1+3, o.width(), o.Words)
	}
	return p
}

// ripped gives the pieces and leftovers that lie side by side where most do.
func ripped(b *BoardView) []Spot {
	all := append(append([]Spot(nil), b.Pieces...), b.Leftovers...)
	var best []Spot
	for _, at := range all {
		mid := at.X + at.L/2
		var there []Spot
		for _, s := range all {
			if s.X <= mid && mid <= s.X+s.L {
				there = append(there, s)
			}
		}
		if len(there) > len(best) {
			best = there
		}
	}
	return best
}

// drawBoard draws one board with its upper left corner at the origin, its title
// above and its tape line below, and gives how far to the right marks above it
// reach.
func drawBoard(p *Picture, b *BoardView, scale, across float64, o BoardsOptions) (right float64) {
	p.Frames = append(p.Frames, Frame{Ref: b.Ref, Scale: scale, Across: across})
	p.Say(b.Ref, b.Hover)
	l, w := millimetres(b.Length)*scale, millimetres(b.Width)*across
	place := func(a Area) Rect {
		x, y := millimetres(a.X)*scale, millimetres(a.Y)*across
		return Rect{x, y, x + millimetres(a.L)*scale, y + millimetres(a.W)*across}
	}
	p.Rect(RoleBoard, b.Ref, Rect{0, 0, l, w})
	for _, trim := range []Area{{0, 0, b.TrimLeft, b.Width}, {b.Length - b.TrimRight, 0, b.TrimRight, b.Width}} {
		if trim.L > 0 {
			r := place(trim)
			p.Hatch(RoleTrim, "", 135, 1.2, r.corners()...)
			p.Rect(RoleTrim, "", r)
		}
	}
	for _, s := range b.Leftovers {
		r := place(s.Area)
		p.Rect(RoleLeftover, s.Ref, r)
		p.Say(s.Ref, s.Hover)
	}
	for _, s := range b.Pieces {
		role := RolePart
		if s.Alt {
			role = RolePartAlt
		}
		p.Rect(role, s.Ref, place(s.Area))
		p.Say(s.Ref, s.Hover)
	}
	for _, k := range b.Kerfs {
		p.Rect(RoleKerf, "", place(k))
	}
	for _, f := range b.Flaws {
		flaw(p, f, place(f.Area))
	}
	p.Rect(RoleOutline, "", Rect{0, 0, l, w})
	var outside []callout
	for _, s := range b.Leftovers {
		inscribe(p, s, place(s.Area), o.Words.Word("left over"), b.Flaws, place, nil)
	}
	for _, s := range b.Pieces {
		inscribe(p, s, place(s.Area), "", b.Flaws, place, &outside)
	}
	top := -1.6
	if len(outside) > 0 {
		top, right = callouts(p, outside)
		top--
	}
	p.BoldText(RoleLabel, b.Ref, 0, top, titleSize, Left, b.Title)
	p.Text(RoleNote, b.Ref, font.Width(font.Clean(b.Title), titleSize, true)+2, top, 2.5, Left, b.Size)
	tape(p, b.Tape, scale, l, w)
	return right
}

// spotText writes a mark and, below or beside it, the size where they fit.
// What does not fit at a readable size goes to outside.
func spotText(p *Picture, s Spot, r Rect, word string, outside *[]callout) {
	mark, label := s.Mark, s.Label
	if mark == "" {
		mark = word
	}
	const pad, least = 0.5, 1.7
	w, h := r.W()-2*pad, r.H()-0.5
	cx, cy := (r.X0+r.X1)/2, (r.Y0+r.Y1)/2
	size := math.Min(3, h)
	if mw := font.Width(mark, size, true); mw > w {
		size *= w / mw
	}
	small := math.Min(2.4, size*0.85)
	switch {
	case size < least && h > w && w >= least && font.Width(mark, math.Min(3, w), true) <= h:
		p.letters(RoleLabel, s.Ref, cx, cy, math.Min(3, w), Middle+Centre, mark, true, true)
	case size < least:
		if outside != nil && mark != "" {
			*outside = append(*outside, callout{x: cx, y: r.Y0 + math.Min(1, r.H()/2), text: mark, ref: s.Ref})
		}
	case label != "" && h >= size+small+0.8 && font.Width(label, small, false) <= w:
		p.BoldText(RoleLabel, s.Ref, cx, cy-0.4, size, Middle, mark)
		p.Text(RoleNote, s.Ref, cx, cy+0.6, small, Middle+Top, label)
	case label != "" && font.Width(mark, size, true)+1.2+font.Width(label, small, false) <= w:
		x := cx - (font.Width(mark, size, true)+1.2+font.Width(label, small, false))/2
		p.BoldText(RoleLabel, s.Ref, x, cy, size, Centre, mark)
		p.Text(RoleNote, s.Ref, x+font.Width(mark, size, true)+1.2, cy, small, Centre, label)
	default:
		p.BoldText(RoleLabel, s.Ref, cx, cy, size, Middle+Centre, mark)
	}
}

// inscribe writes into a spot beside its flaws, or, where these leave too little
// room, across them on bare paper.
func inscribe(p *Picture, s Spot, r Rect, word string, flaws []Flaw, place func(Area) Rect, outside *[]callout) {
	mark := s.Mark
	if mark == "" {
		mark = word
	}
	room, clear := free(r, mark, flaws, place)
	if !clear {
		if w := font.Width(mark, 2.4, true); w+0.8 < r.W() && r.H() > 3.2 {
			x, y := (r.X0+r.X1)/2, (r.Y0+r.Y1)/2
			p.Rect(RolePaper, s.Ref, Rect{x - w/2 - 0.4, y - 1.4, x + w/2 + 0.4, y + 1.4})
			p.BoldText(RoleLabel, s.Ref, x, y, 2.4, Middle+Centre, mark)
			return
		}
	}
	spotText(p, s, room, word, outside)
}

// free gives the widest part of a spot where no flaw lies under its words; the
// whole spot, and false, where flaws leave too little for them.
func free(r Rect, mark string, flaws []Flaw, place func(Area) Rect) (Rect, bool) {
	const band = 2.4 // half the height of two lines
	middle := (r.Y0 + r.Y1) / 2
	best, from := Rect{}, r.X0
	take := func(to float64) {
		if to-from > best.W() {
			best = Rect{from, r.Y0, to, r.Y1}
		}
	}
	var over []Rect
	for _, f := range flaws {
		if q := place(f.Area); q.X0 < r.X1 && r.X0 < q.X1 && q.Y0 < middle+band && middle-band < q.Y1 {
			over = append(over, q)
		}
	}
	sort.Slice(over, func(i, j int) bool { return over[i].X0 < over[j].X0 })
	for _, q := range over {
		take(q.X0)
		from = math.Max(from, q.X1)
	}
	take(r.X1)
	if best.W() < font.Width(mark, 2.4, true)+1.5 {
		return r, len(over) == 0
	}
	return best, true
}

// callout is a mark that did not fit into its part.
type callout struct {
	x, y float64
	text string
	ref  string
	also []Point // where else the line may end
}

// callouts writes marks above the board with a thin line to each part, spread
// evenly about their parts where they would touch, and gives how far up and to the
// right they reach.
func callouts(p *Picture, cs []callout) (top, right float64) {
	const size, gap = 2.3, 1.0
	sort.SliceStable(cs, func(i, j int) bool { return cs[i].x < cs[j].x })
	type group struct {
		from, to    int
		left, width float64
	}
	var groups []group
	for i, c := range cs {
		w := font.Width(c.text, size, true)
		g := group{i, i + 1, math.Max(0, c.x-w/2), w}
		for len(groups) > 0 && groups[len(groups)-1].left+groups[len(groups)-1].width+gap > g.left {
			h := groups[len(groups)-1]
			groups = groups[:len(groups)-1]
			n, m := float64(h.to-h.from), float64(g.to-g.from)
			middle := ((h.left+h.width/2)*n + (g.left+g.width/2)*m) / (n + m)
			width := h.width + gap + g.width
			g = group{h.from, g.to, math.Max(0, middle-width/2), width}
		}
		groups = append(groups, g)
	}
	for _, g := range groups {
		x := g.left
		for _, c := range cs[g.from:g.to] {
			w := font.Width(c.text, size, true)
			p.Polyline(RoleDimension, c.ref, Point{c.x, c.y}, Point{c.x, 0}, Point{x + w/2, -1.3})
			p.BoldText(RoleLabel, c.ref, x, -1.6, size, Left, c.text)
			x += w + gap
			right = x
		}
	}
	return -1.6 - calloutRow + 0.6, right
}

// tape draws the tape line under a board: a hook at the left end, a tick at each
// place and its figure to the right of the tick. Where figures would meet, the
// left one hangs lower: lower than the ticks it would otherwise cover, so no
// line ever crosses a figure.
func tape(p *Picture, marks []TapeMark, scale, length, top float64) {
	if len(marks) == 0 {
		return
	}
	marks = append([]TapeMark(nil), marks...)
	sort.SliceStable(marks, func(i, j int) bool { return marks[i].X < marks[j].X })
	y := top + 1.6
	p.Polyline(RoleTape, "", Point{-0.8, top - 0.8}, Point{-0.8, y}, Point{length, y})
	level := make([]int, len(marks))
	for i := len(marks) - 1; i >= 0; i-- {
		x := millimetres(marks[i].X) * scale
		end := x + 0.6 + font.Width(marks[i].Text, tapeSize, false) + 0.5
		for j := i + 1; j < len(marks) && millimetres(marks[j].X)*scale < end; j++ {
			level[i] = max(level[i], level[j]+1)
		}
		depth := y + 0.6 + float64(level[i])*tapeStep
		p.Line(RoleTape, "", x, y-0.7, x, depth+font.CapHeight*tapeSize)
		p.Text(RoleLabel, "", x+0.6, depth, tapeSize, Left+Top, marks[i].Text)
	}
}
