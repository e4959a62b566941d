package plan

import (
	"cmp"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"pilewright/plan/measure"
)

// WayOption is one way a part could be made from this pile by these machines.
type WayOption struct {
	Way    Way
	Rows   int            // rows or layers of one copy; of mixed panels the most
	Each   measure.Length // width a row gives, or thickness a layer or strip gives
	Pieces int            // pieces end to end in one row
	Mixed  bool           // rows of different widths, as the pile gives them
	Gang   int            // copies glued as one length and parted when it is planed; one or none = each alone
	Blanks []Blank
	Fits   bool   // every blank has a board that is large enough
	Why    string // why it does not fit
	Trial  *Trial // what it comes to; nil where it was not tried
}

// PartWays are the ways of one part; Chosen indexes Options.
type PartWays struct {
	Part    ID
	Options []WayOption
	Chosen  int
	Locked  bool
}

// pileShape is what the pile offers to the ways: its free boards.
type pileShape struct {
	boards []Board
	metric bool // the piece is laid out in millimetres
}

func shapeOf(p *Project) pileShape {
	never := map[ID]bool{}
	for _, c := range p.Choices {
		if c.Kind == NeverBoard {
			never[c.Board] = true
		}
	}
	var s pileShape
	for _, b := range p.Boards {
		if b.State == InPile && !never[b.ID] && boardOut(b) == "" {
			s.boards = append(s.boards, b)
		}
	}
	return s
}

// fits reports whether some board is large enough for the blank, defects apart.
// Rows and layers are not cut from sheets; on a sheet without grain a blank may lie turned.
func (s pileShape) fits(b Blank) (bool, string) {
	longest, widest, thickest := measure.Length(0), measure.Length(0), measure.Length(0)
	kind := 0
	for _, o := range s.boards {
		if b.Species != "" && !strings.EqualFold(b.Species, o.Species) || o.Sheet != b.Sheet || o.Sheet && o.Thickness > b.Thickness+sheetSlack {
			continue
		}
		kind++
		clear := o.Length - o.TrimLeft - o.TrimRight
		turned := o.Sheet && o.NoGrain && clear >= b.Width && o.Width >= b.Length
		if (clear >= b.Length && o.Width >= b.Width || turned) && o.Thickness >= b.Thickness {
			return true, ""
		}
		thickest = max(thickest, o.Thickness)
		if o.Thickness >= b.Thickness {
			longest, widest = max(longest, clear), max(widest, o.Width)
		}
	}
	switch {
	case kind == 0:
		return false, "there is no " + cmp.Or(b.Species, "free board") + " in the pile"
	case thickest < b.Thickness:
		return false, "no board is that thick"
	case longest < b.Length:
		return false, "no board that thick is that long"
	case widest < b.Width:
		return false, "no board that thick is that wide"
	}
	return false, "no one board is thick, long and wide enough"
}

// unsawn says why the saws can't be asked for a blank; empty where they can.
func (b Blank) unsawn(shop *Shop) string {
	switch {
	case b.Sheet || b.Strips != nil:
	case b.Width < shop.Kerf("rip"):
		return "its width is less than the rip kerf of the saw"
	case b.Length < shop.Kerf("crosscut"):
		return "its length is less than the crosscut kerf of the saw"
	}
	return ""
}

// clearLength is the longest clear length among boards at least that thick and wide.
func (s pileShape) clearLength(thick, wide measure.Length, species string) measure.Length {
	var best measure.Length
	for _, b := range s.boards {
		if !b.Sheet && b.Thickness >= thick && b.Width >= wide && (species == "" || strings.EqualFold(species, b.Species)) {
			best = max(best, b.Length-b.TrimLeft-b.TrimRight)
		}
	}
	return best
}

// distinct gives the different values of a size among boards at least that thick, ascending.
func (s pileShape) distinct(thick measure.Length, species string, of func(Board) measure.Length) []measure.Length {
	var out []measure.Length
	for _, b := range s.boards {
		if !b.Sheet && b.Thickness >= thick && (species == "" || strings.EqualFold(species, b.Species)) {
			out = append(out, of(b))
		}
	}
	slices.Sort(out)
	return slices.Compact(out)
}

// Bounds of the search for ways: more rows or layers than these are not tried.
const (
	mostLayers      = 6
	mostRowWidths   = 5
	mostStripThicks = 4
	mostRowPieces   = 3
)

// ways lists how a part can be made. long is the finished length with every
// tenon; the first option that fits is the plainest.
func (s pileShape) ways(shop *Shop, piece *Piece, sp SizedPart, long measure.Length) PartWays {
	pw, lock := PartWays{Part: sp.ID, Locked: sp.Way != AnyWay}, sp.Way
	if lock == MixedPanel { // made up from cuts later, in place of equal rows
		lock = FlatPanel
	}
	add := func(o WayOption) {
		if len(o.Blanks) == 0 || pw.Locked && o.Way != lock {
			return
		}
		o.Fits = true
		for i := range o.Blanks {
			o.Blanks[i].toRuler(s.metric)
			ok, why := s.fits(o.Blanks[i])
			if fault := o.Blanks[i].unsawn(shop); fault != "" {
				ok, why = false, fault
			}
			if !ok {
				o.Fits, o.Why = false, why
			}
		}
		pw.Options = append(pw.Options, o)
	}
	add(s.solid(shop, sp, long))
	for _, o := range s.laminated(shop, sp, long) {
		add(o)
	}
	if sp.N > 0 && sp.W > sp.T { // a square or standing section is not a panel
		for _, o := range s.flat(shop, piece, sp, long) {
			add(o)
		}
		for _, o := range s.onEdge(shop, piece, sp, long) {
			add(o)
		}
	}
	for i, o := range pw.Options {
		if o.Fits {
			pw.Chosen = i
			break
		}
	}
	return pw
}

// blank fills in what every blank of the part shares.
func (sp SizedPart) blank(use string, way Way, perCopy int) Blank {
	name := sp.Name
	if way != Solid {
		name += " " + use
	}
	return Blank{Key: blankKey(sp.ID, use), Part: sp.ID, Name: name, Mark: sp.Letter, For: way, Species: sp.Species, Grade: sp.Grade, PerCopy: perCopy, Count: perCopy * sp.N}
}

func blankKey(part ID, use string) string { return fmt.Sprintf("%d/%s", part, use) }

// KeyPart gives the part a blank key belongs to.
func KeyPart(key string) (ID, bool) {
	head, _, ok := strings.Cut(key, "/")
	n, err := strconv.ParseInt(head, 10, 64)
	return ID(n), ok && err == nil
}

// renumberKey moves a blank key to a copied piece's parts.
func renumberKey(key string, to map[ID]ID) string {
	id, ok := KeyPart(key)
	if !ok {
		return key
	}
	_, use, _ := strings.Cut(key, "/")
	return blankKey(to[id], use)
}

// sheetSlack is how much thicker than asked a sheet may be, since it is never
// planed: a nominal thickness is often a little off.
const sheetSlack = measure.Millimetre

// onlySheets reports whether the pile has a species as sheet goods and in no other
// form; a part of it is then cut from a sheet.
func (s pileShape) onlySheets(species string) bool {
	sheets := false
	for _, o := range s.boards {
		if species != "" && strings.EqualFold(o.Species, species) {
			if !o.Sheet {
				return false
			}
			sheets = true
		}
	}
	return sheets
}

func (s pileShape) solid(shop *Shop, sp SizedPart, long measure.Length) WayOption {
	b := sp.blank("solid", Solid, 1)
	b.Length, b.Width, b.Thickness = long+shop.LengthAllowance, sp.W+shop.WidthAllowance, planable(shop, sp.T)+shop.PlaneAllowance
	if s.onlySheets(sp.Species) {
		b.Sheet, b.Thickness = true, sp.T
	}
	return WayOption{Way: Solid, Rows: 1, Pieces: 1, Each: sp.T, Blanks: []Blank{b}}
}

// laminated offers the fewest layers the pile's thicknesses allow, and one more.
func (s pileShape) laminated(shop *Shop, sp SizedPart, long measure.Length) []WayOption {
	var out []WayOption
	for n := 2; n <= mostLayers && len(out) < 2; n++ {
		b := sp.blank("layer", Laminated, n)
		layer := ceilDiv(sp.T, n)
		if planable(shop, layer) > layer {
			break // too thin for the planer
		}
		copies, full := gang(shop, sp.N, long)
		b.Count = n * ganged(sp.N, copies)
		b.Length, b.Width, b.Thickness = full, sp.W+2*shop.WidthAllowance, layer+shop.PlaneAllowance
		if ok, _ := s.fits(b); ok {
			out = append(out, WayOption{Way: Laminated, Rows: n, Pieces: 1, Gang: copies, Each: layer, Blanks: []Blank{b}})
		}
	}
	return out
}

// flat offers edge-glued rows, as wide as the pile's boards and their halves give.
func (s pileShape) flat(shop *Shop, piece *Piece, sp SizedPart, long measure.Length) []WayOption {
	thick := planable(shop, sp.T) + shop.PlaneAllowance
	widths := s.distinct(thick, sp.Species, func(b Board) measure.Length { return b.Width })
	kerf := shop.Kerf("rip")
	var counts []int
	for i := len(widths) - 1; i >= 0; i-- {
		for _, w := range []measure.Length{widths[i], (widths[i] - kerf) / 2} {
			gives := w - shop.WidthAllowance
			if gives < sp.T || gives <= 0 {
				continue
			}
			n := int(ceilLen(sp.W, gives))
			if n >= 2 && n <= 60 {
				counts = append(counts, n)
			}
		}
	}
	slices.Sort(counts)
	counts = slices.Compact(counts)
	var out []WayOption
	for _, n := range counts[:min(len(counts), mostRowWidths)] {
		row := ceilDiv(sp.W, n)
		if o, ok := s.rows(shop, piece, sp, FlatPanel, n, row, row+shop.WidthAllowance, thick, long); ok {
			out = append(out, o)
		}
	}
	return out
}

// onEdge offers strips stood on edge: each row is as wide as a board is thick.
func (s pileShape) onEdge(shop *Shop, piece *Piece, sp SizedPart, long measure.Length) []WayOption {
	high := planable(shop, sp.T) + shop.PlaneAllowance
	thicks := s.distinct(0, sp.Species, func(b Board) measure.Length { return b.Thickness })
	var out []WayOption
	for i := len(thicks) - 1; i >= 0 && len(out) < mostStripThicks; i-- {
		gives := thicks[i] - shop.PlaneAllowance
		if gives <= 0 || planable(shop, gives) > gives {
			continue
		}
		n := int(ceilLen(sp.W, gives))
		if n < 2 || n > 120 {
			continue
		}
		if o, ok := s.rows(shop, piece, sp, OnEdge, n, gives, high, thicks[i], long); ok {
			out = append(out, o)
		}
	}
	return out
}

// rows makes the blanks of a panel's rows: one piece long where a board is long
// enough, else two or three pieces whose joints are staggered from row to row.
func (s pileShape) rows(shop *Shop, piece *Piece, sp SizedPart, way Way, n int, each, wide, thick, long measure.Length) (WayOption, bool) {
	copies, full := gang(shop, sp.N, long)
	o := WayOption{Way: way, Rows: n, Each: each, Gang: copies}
	most := s.clearLength(thick, wide, sp.Species)
	stagger := cmp.Or(piece.Stagger, shop.Stagger)
	trim := shop.LengthAllowance // each end joint is squared once more
	for k := 1; k <= mostRowPieces; k++ {
		lens := rowPieces(full, k, stagger, trim)
		if lens == nil || slices.Max(lens) > most || slices.Min(lens) < shop.PieceMin && k > 1 {
			continue
		}
		o.Pieces = k
		for i, l := range lens {
			use := "row"
			if k > 1 {
				use = fmt.Sprintf("row%d", i+1)
			}
			b := sp.blank(use, way, n)
			b.Count = n * ganged(sp.N, copies)
			if k > 1 { // pieces of different lengths are told apart: Aa1, Ab1
				b.Mark += string(rune('a' + i))
			}
			b.Length, b.Width, b.Thickness = l, wide, thick
			o.Blanks = append(o.Blanks, b)
		}
		return o, true
	}
	return o, false
}

// rowPieces splits a row into k pieces so that rows turned end for end have
// their joints at least stagger apart; nil where that can't be.
func rowPieces(full measure.Length, k int, stagger, trim measure.Length) []measure.Length {
	switch k {
	case 1:
		return []measure.Length{full}
	case 2: // joints at a and full-a
		a := (full - stagger) / 2
		if a <= 0 {
			return nil
		}
		return []measure.Length{a + trim, full - a + trim}
	default: // joints at a, 2a+d and, turned, at full-2a-d, full-a
		a := (full - 2*stagger) / 3
		if a <= 0 {
			return nil
		}
		first, second := a, 2*a+stagger/2
		if absLen(2*second-full) < stagger || absLen(first+second-full) < stagger {
			return nil
		}
		return []measure.Length{a + trim, a + stagger/2 + trim, full - second + trim}
	}
}

func absLen(l measure.Length) measure.Length { return max(l, -l) }

// ceilDiv is l divided by n, rounded up to the nanometre.
func ceilDiv(l measure.Length, n int) measure.Length {
	return (l + measure.Length(n) - 1) / measure.Length(n)
}

// ceilLen is how many times part goes into whole, rounded up.
func ceilLen(whole, part measure.Length) measure.Length { return (whole + part - 1) / part }
