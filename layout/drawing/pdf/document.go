package pdf

import (
	"cmp"
	"fmt"
	"io"
	"time"

	"pilewright/layout/drawing"
	"pilewright/layout/drawing/font"
)

// Paper is a size of paper.
type Paper uint8

// The papers: ISO 216 A4 (210 by 297 mm) and Letter (8.5 by 11 in).
const (
	A4 Paper = iota
	Letter
)

func (p Paper) size() (w, h float64) {
	if p == Letter {
		return 215.9, 279.4
	}
	return 210, 297
}

// The box that text and pictures stay in, the same on both papers, so a sheet
// breaks alike on either and leaves at least 10 mm for the printer.
const (
	boxWidth   = 190.0
	boxHeight  = 259.0
	headHeight = 9.0
	footHeight = 7.0
)

// Text sizes (em) in millimetres and the line pitch as a part of them.
const (
	bodySize  = 3.4
	smallSize = 2.8
	pitch     = 1.38
)

var headingSizes = [...]float64{0: 6, 1: 4.6, 2: 3.8}

// Options says what is true of a whole document.
type Options struct {
	Paper     Paper
	Landscape bool
	Title     string                 // piece name: document title and head of every page
	Revision  string                 // plan revision: head of every page, at the right
	Note      string                 // foot of every page, at the left
	Created   time.Time              // stamped into the file
	Language  string                 // of the text, as in es-MX; empty = en
	Number    func(n, of int) string // foot of every page, at the right; nil = page n of m
}

// Document lays out pages from top to bottom. Each page is a drawing.Picture, so
// it can be shown on screen as it will be printed. Not for two goroutines.
type Document struct {
	o         Options
	landscape bool
	pages     []*page
	y         float64 // next free height on the page
	measuring bool    // one endless page, to find a height
	level     int     // of the last bookmark
}

type page struct {
	body      *drawing.Picture
	landscape bool
	w, h      float64
	bookmarks []bookmark
}

type bookmark struct {
	text  string
	level int
	y     float64
}

// NewDocument gives a document with one empty page.
func NewDocument(o Options) *Document {
	d := &Document{o: o, landscape: o.Landscape}
	d.addPage()
	return d
}

func (d *Document) addPage() {
	w, h := d.o.Paper.size()
	if d.landscape {
		w, h = h, w
	}
	d.pages = append(d.pages, &page{body: &drawing.Picture{}, landscape: d.landscape, w: w, h: h})
	d.y = d.top()
}

func (d *Document) page() *page            { return d.pages[len(d.pages)-1] }
func (d *Document) body() *drawing.Picture { return d.page().body }

// box is the content box of a page.
func (p *page) box() drawing.Rect {
	w, h := boxWidth, boxHeight
	if p.landscape {
		w, h = h, w
	}
	x, y := (p.w-w)/2, (p.h-h)/2
	return drawing.Rect{X0: x, Y0: y, X1: x + w, Y1: y + h}
}

func (d *Document) left() float64   { return d.page().box().X0 }
func (d *Document) top() float64    { return d.page().box().Y0 + headHeight }
func (d *Document) bottom() float64 { return d.page().box().Y1 - footHeight }

// Width is the width that content may take, in millimetres.
func (d *Document) Width() float64 { return d.page().box().W() }

// Height is the height content may take on a fresh page.
func (d *Document) Height() float64 { return d.bottom() - d.top() }

// Room is the height left on the page.
func (d *Document) Room() float64 {
	if d.measuring {
		return d.Height()
	}
	return d.bottom() - d.y
}

// Fresh holds while the page has no content yet.
func (d *Document) Fresh() bool { return d.y <= d.top() }

// Break starts a new page, unless the page is still fresh.
func (d *Document) Break() {
	if !d.Fresh() && !d.measuring {
		d.addPage()
	}
}

// Turn starts a new page upright or lying; so are those that follow.
func (d *Document) Turn(landscape bool) {
	if d.measuring || d.landscape == landscape {
		return
	}
	d.landscape = landscape
	if d.Fresh() {
		d.pages = d.pages[:len(d.pages)-1]
	}
	d.addPage()
}

// Need breaks the page if less than the given height is left, or as much as a
// fresh page has.
func (d *Document) Need(height float64) {
	if height > d.Room() {
		d.Break()
	}
}

// Space leaves a gap, except at the top of a page.
func (d *Document) Space(height float64) {
	if !d.Fresh() {
		d.y += height
	}
}

// Keep puts what block writes on one page where that is possible: it is written
// once to find its height and once for good, so block must write the same each
// time. A block taller than a page starts on a fresh one and runs on.
func (d *Document) Keep(block func(*Document)) {
	if !d.measuring {
		d.Need(d.Measure(block))
	}
	block(d)
}

// Measure gives the height that block would take on one page without an end.
func (d *Document) Measure(block func(*Document)) float64 {
	probe := &Document{o: d.o, landscape: d.landscape, measuring: true}
	probe.addPage()
	probe.y += 1e-3 // not fresh, so that gaps count
	start := probe.y
	block(probe)
	return probe.y - start
}

// finished gives the pages with their heads and feet.
func (d *Document) finished() []*drawing.Picture {
	out := make([]*drawing.Picture, len(d.pages))
	for i, pg := range d.pages {
		p := &drawing.Picture{}
		b := pg.box()
		number := d.number(i+1, len(d.pages))
		right := font.Fit(d.o.Revision, smallSize, b.W()/2, false)
		title := font.Fit(d.o.Title, bodySize, b.W()-font.Width(right, smallSize, false)-6, true)
		p.BoldText(drawing.RoleLabel, "", b.X0, b.Y0+4, bodySize, drawing.Left, title)
		p.Text(drawing.RoleNote, "", b.X1, b.Y0+4, smallSize, drawing.Right, right)
		p.Line(drawing.RoleThin, "", b.X0, b.Y0+5.6, b.X1, b.Y0+5.6)
		p.Line(drawing.RoleThin, "", b.X0, b.Y1-4.6, b.X1, b.Y1-4.6)
		p.Text(drawing.RoleNote, "", b.X0, b.Y1-1, smallSize, drawing.Left, font.Fit(d.o.Note, smallSize, b.W()-font.Width(number, smallSize, false)-6, false))
		p.Text(drawing.RoleNote, "", b.X1, b.Y1-1, smallSize, drawing.Right, number)
		p.Add(pg.body, 0, 0, 1)
		out[i] = p
	}
	return out
}

func (d *Document) number(n, of int) string {
	if d.o.Number != nil {
		return d.o.Number(n, of)
	}
	return fmt.Sprintf("page %d of %d", n, of)
}

// Pages gives the finished pages as pictures in millimetres of paper.
func (d *Document) Pages() []*drawing.Picture { return d.finished() }

// PageSize gives a page's width and height in millimetres; pages count from 0.
func (d *Document) PageSize(n int) (w, h float64) { return d.pages[n].w, d.pages[n].h }

// Write writes the document as PDF. The error says on what it failed.
func (d *Document) Write(w io.Writer) error {
	first := d.pages[0]
	doc := New(first.w, first.h, d.o.Created)
	doc.SetTitle(font.Clean(d.o.Title), true)
	doc.SetSubject(font.Clean(d.o.Revision), true)
	doc.SetLang(cmp.Or(d.o.Language, "en"))
	for i, p := range d.finished() {
		pg := d.pages[i]
		doc.AddPageFormat("P", sizeOf(pg))
		setFace(doc, font.Regular) // bookmarks follow the font's encoding
		for _, b := range pg.bookmarks {
			doc.Bookmark(plane0(b.text), b.level, b.y)
		}
		Draw(doc, p, 0, 0, 1)
	}
	if err := output(doc, w); err != nil {
		return fmt.Errorf("write pdf: %w", err)
	}
	return nil
}

// Dump writes what stands where as text, a line a mark, for tests: the page, the
// place of its upper left corner in millimetres and its string.
func (d *Document) Dump(w io.Writer) error {
	for i, p := range d.finished() {
		pg := d.pages[i]
		if _, err := fmt.Fprintf(w, "page %d  %.0f x %.0f mm\n", i+1, pg.w, pg.h); err != nil {
			return err
		}
		for _, b := range pg.bookmarks {
			if _, err := fmt.Fprintf(w, "bookmark %d %q\n", b.level, b.text); err != nil {
				return err
			}
		}
		for _, m := range p.Marks {
			if m.Kind != drawing.Letters && m.Kind != drawing.Dimension {
				continue
			}
			one := drawing.Picture{Marks: []drawing.Mark{m}}
			b := one.Bounds()
			if _, err := fmt.Fprintf(w, "%6.1f %6.1f  %s\n", b.X0, b.Y0, m.Text); err != nil {
				return err
			}
		}
	}
	return nil
}
