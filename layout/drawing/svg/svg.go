// Package svg writes a drawing.Picture as an SVG 1.1 document: black and white,
// the view box in millimetres, the same bytes for the same picture. What a role
// looks like is decided by drawing.Role.Style.
package svg

import (
	"bufio"
	"encoding/xml"
	"io"
	"math"
	"strconv"
	"strings"

	"pilewright/layout/drawing"
	"pilewright/layout/drawing/font"
)

// Write writes the picture to w. Its size on paper is the picture's bounds and a
// margin of 2 mm. Numbers are rounded to 0.01 mm. Characters XML cannot hold are
// left out. The error is the writer's.
func Write(w io.Writer, p *drawing.Picture) error {
	box := p.Bounds().Grow(2)
	c := &canvas{}
	p.Render(c, drawing.Detail{})
	c.flush()
	out := bufio.NewWriter(w)
	size := number(box.W()) + `mm" height="` + number(box.H()) + `mm" viewBox="` +
		number(box.X0) + " " + number(box.Y0) + " " + number(box.W()) + " " + number(box.H())
	out.WriteString(`<svg xmlns="http://www.w3.org/2000/svg" width="` + size + "\">\n")
	if p.Title != "" {
		out.WriteString("<title>" + escape(p.Title) + "</title>\n")
	}
	out.WriteString("<style>text{font-family:'" + font.Family + "',sans-serif;font-kerning:none;white-space:pre}.b{font-weight:bold}")
	for r := drawing.Role(0); r < drawing.Roles; r++ {
		c.rules(out, r)
	}
	out.WriteString("</style>\n")
	out.WriteString(c.body.String())
	out.WriteString("</svg>\n")
	return out.Flush()
}

// use notes what a role was used for, so only needed rules are written.
type use struct{ stroke, fill, both, text bool }

type canvas struct {
	body  strings.Builder
	used  [drawing.Roles]use
	open  bool // a path of strokes is being gathered
	lines strings.Builder
	role  drawing.Role
}

// Class names: the role's name for what it does by default, with a suffix for
// paths that are stroked (-s) or filled (-f) only, and -t for text.
func (c *canvas) rules(out *bufio.Writer, r drawing.Role) {
	u, st := c.used[r], r.Style()
	stroke := "stroke:" + gray(st.Pen.Gray) + ";stroke-width:" + number(st.Pen.Width)
	if len(st.Pen.Dash) > 0 {
		parts := make([]string, len(st.Pen.Dash))
		for i, d := range st.Pen.Dash {
			parts[i] = number(d)
		}
		stroke += ";stroke-dasharray:" + strings.Join(parts, ",")
	}
	stroke += ";stroke-linejoin:round"
	if u.stroke {
		out.WriteString("." + r.String() + "-s{fill:none;" + stroke + "}")
	}
	if u.fill {
		tone := st.Pen.Gray
		if st.Fill {
			tone = st.Tone
		}
		out.WriteString("." + r.String() + "-f{fill:" + gray(tone) + "}")
	}
	if u.both {
		out.WriteString("." + r.String() + "{fill:" + gray(st.Tone) + ";" + stroke + "}")
	}
	if u.text {
		out.WriteString("." + r.String() + "-t{fill:" + gray(st.Ink) + "}")
	}
}

func gray(v uint8) string {
	const hex = "0123456789abcdef"
	if v>>4 == v&15 {
		h := string(hex[v>>4])
		return "#" + h + h + h
	}
	h := string(hex[v>>4]) + string(hex[v&15])
	return "#" + h + h + h
}

// Path gathers strokes of one role that follow each other into one element.
func (c *canvas) Path(pts []drawing.Point, closed bool, paint drawing.Paint, role drawing.Role) {
	if paint == 0 || len(pts) < 2 {
		return
	}
	if paint == drawing.Stroke {
		if c.open && c.role != role {
			c.flush()
		}
		c.open, c.role = true, role
		c.used[role].stroke = true
		trace(&c.lines, pts, closed)
		return
	}
	c.flush()
	class := role.String()
	if paint == drawing.Fill {
		class += "-f"
		c.used[role].fill = true
	} else {
		c.used[role].both = true
	}
	c.body.WriteString(`<path class="` + class + `" d="`)
	trace(&c.body, pts, true)
	c.body.WriteString("\"/>\n")
}

func (c *canvas) flush() {
	if !c.open {
		return
	}
	c.body.WriteString(`<path class="` + c.role.String() + `-s" d="` + c.lines.String() + "\"/>\n")
	c.lines.Reset()
	c.open = false
}

// trace writes path data, horizontal and vertical moves in their short form.
func trace(b *strings.Builder, pts []drawing.Point, closed bool) {
	var px, py string
	for i, p := range pts {
		x, y := number(p.X), number(p.Y)
		switch {
		case i == 0:
			b.WriteString("M" + x + " " + y)
		case y == py:
			b.WriteString("H" + x)
		case x == px:
			b.WriteString("V" + y)
		default:
			b.WriteString("L" + x + " " + y)
		}
		px, py = x, y
	}
	if closed {
		b.WriteByte('Z')
	}
}

// Write sets one line of text.
func (c *canvas) Write(t drawing.TextLine) {
	c.flush()
	c.used[t.Role].text = true
	class := t.Role.String() + "-t"
	if t.Bold {
		class += " b"
	}
	x, y := number(t.X), number(t.Y)
	c.body.WriteString(`<text class="` + class + `" font-size="` + number(t.Size) + `" x="` + x + `" y="` + y + `"`)
	if t.Up {
		c.body.WriteString(` transform="rotate(-90 ` + x + " " + y + `)"`)
	}
	c.body.WriteString(">" + escape(t.Text) + "</text>\n")
}

// number rounds to 0.01 mm and drops what is not needed to read it back.
func number(v float64) string {
	v = math.Round(v*100) / 100
	if v == 0 || math.IsNaN(v) || math.IsInf(v, 0) {
		return "0" // also minus zero; nothing infinite can be drawn
	}
	return strconv.FormatFloat(v, 'f', -1, 64)
}

// escape makes text safe inside an element and drops what XML 1.0 §2.2 forbids.
func escape(s string) string {
	s = strings.Map(func(r rune) rune {
		if r == 0x9 || r == 0xA || r == 0xD || r >= 0x20 && r <= 0xD7FF || r >= 0xE000 && r <= 0xFFFD || r >= 0x10000 && r <= 0x10FFFF {
			return r
		}
		return -1
	}, s)
	var b strings.Builder
	xml.EscapeText(&b, []byte(s)) // a strings.Builder never fails
	return b.String()
}
