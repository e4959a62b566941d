// Package pdf prints drawing.Pictures: Draw puts one on a page of an fpdf
// document, and Document lays out headed pages of text, tables and pictures.
// Everything is black and white, fonts are embedded as subsets, and the same
// input gives the same bytes.
package pdf

import (
	"bytes"
	"io"
	"strings"
	"time"

	"codeberg.org/go-pdf/fpdf"

	"pilewright/layout/drawing"
	"pilewright/layout/drawing/font"
)

// The names the faces are known by inside the PDF file: six capitals and a plus
// sign, as a font of which only a part is embedded wants it, then the PostScript
// name (ISO 32000-1, 9.6.4).
var faceNames = [font.Faces]string{"PILEWA+NotoSans-Regular", "PILEWB+NotoSans-Bold", "PILEWC+GoRegular", "PILEWD+Go-Bold"}

// family gives what fpdf is told instead of a face's name: it writes "utf8" and
// the family in small letters, and output puts the name of the same length there.
func family(f font.Face) string { return strings.ToLower(faceNames[f][len("utf8"):]) }

// output writes the document with the faces' true names.
func output(doc *fpdf.Fpdf, w io.Writer) error {
	var b bytes.Buffer
	if err := doc.Output(&b); err != nil {
		return err
	}
	body := b.Bytes()
	for f, name := range faceNames {
		for _, key := range []string{"/BaseFont /", "/FontName /"} {
			body = bytes.ReplaceAll(body, []byte(key+"utf8"+family(font.Face(f))), []byte(key+name))
		}
	}
	_, err := w.Write(body)
	return err
}

// New gives an fpdf document in millimetres, ready for Draw, that writes the same
// bytes for the same content: created is stamped into
// it instead of the time of writing.
func New(width, height float64, created time.Time) *fpdf.Fpdf {
	doc := fpdf.NewCustom(&fpdf.InitType{UnitStr: "mm", Size: fpdf.SizeType{Wd: width, Ht: height}})
	doc.SetCatalogSort(true)
	doc.SetCreationDate(created.UTC())
	doc.SetModificationDate(created.UTC())
	doc.SetProducer("Pilewright", true)
	doc.SetMargins(0, 0, 0)
	doc.SetAutoPageBreak(false, 0)
	return doc
}

// setFace makes a face current, embedding it at its first use: reading a typeface
// is most of the work of a short document.
func setFace(doc *fpdf.Fpdf, f font.Face) {
	doc.AddUTF8FontFromBytes(family(f), "", f.TTF()) // does nothing the second time
	doc.SetFont(family(f), "", 10)
}

// Draw draws the picture on the current page so that its point (0, 0) comes to
// (x, y), scaled; pens keep their width on paper. A fault is kept in doc, see
// fpdf.Fpdf.Error.
func Draw(doc *fpdf.Fpdf, p *drawing.Picture, x, y, scale float64) {
	c := &canvas{doc: doc, x: x, y: y, k: scale}
	doc.SetLineJoinStyle("round")
	p.Render(c, drawing.Detail{})
	if c.dashed {
		doc.SetDashPattern(nil, 0)
	}
}

// canvas puts paths and text on the page and sets a pen only where it changes.
type canvas struct {
	doc     *fpdf.Fpdf
	x, y, k float64
	begun   bool
	pen     drawing.Role // of the last stroke
	dashed  bool
	faceSet bool
	face    font.Face
	size    float64
}

func (c *canvas) at(p drawing.Point) (x, y float64) { return c.x + p.X*c.k, c.y + p.Y*c.k }

// Path is part of drawing.Canvas.
func (c *canvas) Path(pts []drawing.Point, closed bool, paint drawing.Paint, role drawing.Role) {
	if paint == 0 || len(pts) < 2 {
		return
	}
	style := role.Style()
	if paint&drawing.Stroke != 0 && (!c.begun || c.pen != role) {
		c.begun, c.pen = true, role
		c.doc.SetDrawColor(int(style.Pen.Gray), int(style.Pen.Gray), int(style.Pen.Gray))
		c.doc.SetLineWidth(style.Pen.Width)
		if dashed := len(style.Pen.Dash) > 0; dashed || c.dashed {
			c.doc.SetDashPattern(style.Pen.Dash, 0)
			c.dashed = dashed
		}
	}
	op := "D"
	if paint&drawing.Fill != 0 {
		tone := int(style.Tone)
		if !style.Fill {
			tone = int(style.Pen.Gray) // an arrow head
		}
		c.doc.SetFillColor(tone, tone, tone)
		op = "F"
		if paint&drawing.Stroke != 0 {
			op = "DF"
		}
		closed = true
	}
	for i, p := range pts {
		x, y := c.at(p)
		if i == 0 {
			c.doc.MoveTo(x, y)
		} else {
			c.doc.LineTo(x, y)
		}
	}
	if closed {
		c.doc.ClosePath()
	}
	c.doc.DrawPath(op)
}

// Write is part of drawing.Canvas.
func (c *canvas) Write(t drawing.TextLine) {
	ink := int(t.Role.Style().Ink)
	c.doc.SetTextColor(ink, ink, ink)
	x, y := c.at(drawing.Point{X: t.X, Y: t.Y})
	size := t.Size * c.k
	if t.Up {
		c.doc.TransformBegin()
		c.doc.TransformRotate(90, x, y)
		c.faceSet = false // the face set inside ends with the transformation
	}
	font.Runs(plane0(t.Text), t.Bold, func(run string, f font.Face) {
		if !c.faceSet || c.face != f || c.size != size {
			setFace(c.doc, f)
			c.doc.SetFontUnitSize(size)
			c.faceSet, c.face, c.size = true, f, size
		}
		c.doc.Text(x, y, run)
		x += font.Width(run, size, t.Bold)
	})
	if t.Up {
		c.doc.TransformEnd()
		c.faceSet = false
	}
}

// plane0 replaces what lies beyond the basic plane, which fpdf cannot embed.
func plane0(s string) string {
	if strings.IndexFunc(s, beyond) < 0 {
		return s
	}
	return strings.Map(func(r rune) rune {
		if beyond(r) {
			return '?'
		}
		return r
	}, s)
}

func beyond(r rune) bool { return r > 0xFFFF }
