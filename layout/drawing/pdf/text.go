package pdf

import (
	"codeberg.org/go-pdf/fpdf"

	"pilewright/layout/drawing"
	"pilewright/layout/drawing/font"
)

func sizeOf(p *page) fpdf.SizeType { return fpdf.SizeType{Wd: p.w, Ht: p.h} }

// Heading writes a heading of level 1, 2 or 3 and puts it into the outline. It
// never stands last on a page.
func (d *Document) Heading(level int, text string) {
	level = max(1, min(level, len(headingSizes)))
	size := headingSizes[level-1]
	lines := font.Wrap(text, size, d.Width(), true)
	d.Space(size * 0.9)
	d.Need(float64(len(lines))*size*pitch + 16)
	depth := min(level-1, d.level+1)
	if len(d.pages) == 1 && len(d.page().bookmarks) == 0 && d.Fresh() {
		depth = 0
	}
	d.level = depth
	d.page().bookmarks = append(d.page().bookmarks, bookmark{font.Clean(text), depth, d.y})
	for _, l := range lines {
		d.y += size * pitch
		d.body().BoldText(drawing.RoleLabel, "", d.left(), d.y-size*0.36, size, drawing.Left, l)
	}
	d.y += size * 0.25
}

// Text writes a paragraph.
func (d *Document) Text(text string) { d.paragraph(text, drawing.RoleLabel, bodySize, 0) }

// Note writes a lesser paragraph in small type.
func (d *Document) Note(text string) { d.paragraph(text, drawing.RoleNote, smallSize, 0) }

// Item writes a paragraph hung on a dash.
func (d *Document) Item(text string) {
	d.Need(bodySize * pitch)
	d.body().Text(drawing.RoleLabel, "", d.left()+1, d.y+bodySize*pitch-bodySize*0.36, bodySize, drawing.Left, "–")
	d.paragraph(text, drawing.RoleLabel, bodySize, 4.5)
}

// Warning writes a paragraph in bold with a bar at its side; it is kept together.
func (d *Document) Warning(text string) {
	const indent = 4.0
	lines := font.Wrap(text, bodySize, d.Width()-indent, true)
	height := float64(len(lines)) * bodySize * pitch
	d.Need(height)
	y := d.y
	d.lines(lines, drawing.RoleWarning, bodySize, indent)
	if d.y > y {
		d.body().Line(drawing.RoleWarning, "", d.left()+1.2, y+0.8, d.left()+1.2, d.y-0.2)
	}
	d.y += 1.2
}

// Check writes a line with a box to tick; a note may follow in small type.
func (d *Document) Check(text, note string) {
	const indent = 6.0
	lines := font.Wrap(text, bodySize, d.Width()-indent, false)
	d.Need(float64(min(len(lines), 4)) * bodySize * pitch)
	tick(d.body(), d.left()+1, d.y+1, 3.2)
	d.lines(lines, drawing.RoleLabel, bodySize, indent)
	if note != "" {
		d.lines(font.Wrap(note, smallSize, d.Width()-indent, false), drawing.RoleNote, smallSize, indent)
	}
	d.y += 0.8
}

// Blank writes a label and a line to fill in by hand.
func (d *Document) Blank(label string, width float64) {
	d.Need(7)
	w := font.Width(label, bodySize, false)
	d.y += 7
	d.body().Text(drawing.RoleLabel, "", d.left(), d.y-1.4, bodySize, drawing.Left, label)
	d.body().Line(drawing.RoleThin, "", d.left()+w+2, d.y-1, min(d.left()+w+2+width, d.left()+d.Width()), d.y-1)
}

func tick(p *drawing.Picture, x, y, size float64) {
	p.Rect(drawing.RoleThin, "", drawing.Rect{X0: x, Y0: y, X1: x + size, Y1: y + size})
}

func (d *Document) paragraph(text string, role drawing.Role, size, indent float64) {
	d.lines(font.Wrap(text, size, d.Width()-indent, false), role, size, indent)
	d.y += size * 0.35
}

// lines writes lines one below the other, onto new pages where they run out.
func (d *Document) lines(lines []string, role drawing.Role, size, indent float64) {
	for _, l := range lines {
		d.Need(size * pitch)
		d.y += size * pitch
		d.body().Text(role, "", d.left()+indent, d.y-size*0.36, size, drawing.Left, l)
	}
}

// Picture places a drawing at the left margin with a caption below, on one page.
// It is made smaller where it is wider than the page or taller than maxHeight
// (0 means a page), never larger.
func (d *Document) Picture(p *drawing.Picture, maxHeight float64, caption string) {
	box := p.Bounds()
	if box.Empty() {
		return
	}
	foot := 0.0
	if caption != "" {
		foot = smallSize*pitch*float64(len(font.Wrap(caption, smallSize, d.Width(), false))) + 1
	}
	room := d.Height() - foot
	if maxHeight > 0 {
		room = min(room, maxHeight)
	}
	scale := min(1, d.Width()/box.W(), room/box.H())
	d.Need(box.H()*scale + foot)
	d.body().Add(p, d.left()-box.X0*scale, d.y-box.Y0*scale, scale)
	d.y += box.H() * scale
	if caption != "" {
		d.y += 1
		d.paragraph(caption, drawing.RoleNote, smallSize, 0)
	}
	d.y += 2
}
