package sheet

import (
	"pilewright/layout/drawing"
	"pilewright/layout/drawing/pdf"
)

// What is written through the book is said in the language of the sheet where it
// is one of the sheet's own fixed texts; texts with holes come from book.f and
// pass unchanged. What the maker wrote goes to the Document itself.

// Heading sets a heading and a bookmark.
func (b *book) Heading(level int, text string) { b.Document.Heading(level, b.t(text)) }

// Text sets a paragraph.
func (b *book) Text(text string) { b.Document.Text(b.t(text)) }

// Note sets a paragraph in small type.
func (b *book) Note(text string) { b.Document.Note(b.t(text)) }

// Warning sets a paragraph that is not to be overlooked.
func (b *book) Warning(text string) { b.Document.Warning(b.t(text)) }

// Blank sets a line to write on.
func (b *book) Blank(label string, width float64) { b.Document.Blank(b.t(label), width) }

// Picture sets a picture with its caption.
func (b *book) Picture(p *drawing.Picture, maxHeight float64, caption string) {
	b.Document.Picture(p, maxHeight, b.t(caption))
}

// Table sets a table, the titles of its columns in the language.
func (b *book) Table(t pdf.Table) {
	columns := make([]pdf.Column, len(t.Columns))
	for i, c := range t.Columns {
		c.Title = b.t(c.Title)
		columns[i] = c
	}
	t.Columns = columns
	b.Document.Table(t)
}

// Keep keeps what is written on one page, as pdf.Document.Keep does.
func (b *book) Keep(block func(*book)) {
	b.Document.Keep(func(d *pdf.Document) { block(&book{d, b.p}) })
}
