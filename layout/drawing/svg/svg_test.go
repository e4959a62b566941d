package svg

import (
	"bytes"
	"encoding/xml"
	"errors"
	"io"
	"strings"
	"testing"

	"pilewright/layout/drawing"
)

// texts reads an SVG with encoding/xml and gives the character data of its text
// and title elements.
func texts(t *testing.T, doc []byte) []string {
	t.Helper()
	d := xml.NewDecoder(bytes.NewReader(doc))
	var out []string
	in := false
	for {
		tok, err := d.Token()
		if errors.Is(err, io.EOF) {
			return out
		}
		if err != nil {
			t.Fatalf("not well-formed XML: %v\n%s", err, doc)
		}
		switch e := tok.(type) {
		case xml.StartElement:
			in = e.Name.Local == "text" || e.Name.Local == "title"
			if in {
				out = append(out, "")
			}
		case xml.EndElement:
			in = false
		case xml.CharData:
			if in {
				out[len(out)-1] += string(e)
			}
		}
	}
}

func TestTextIsEscaped(t *testing.T) {
	p := &drawing.Picture{Title: `<script>"&'`}
	p.Text(drawing.RoleLabel, "", 0, 0, 3, drawing.Left, `a<b & "c" ½`)
	var b bytes.Buffer
	if err := Write(&b, p); err != nil {
		t.Fatal(err)
	}
	got := texts(t, b.Bytes())
	if len(got) != 2 || got[0] != p.Title || got[1] != `a<b & "c" ½` {
		t.Errorf("read back %q", got)
	}
}

func TestStrokesOfOneRoleShareAnElement(t *testing.T) {
	var p drawing.Picture
	for i := range 50 {
		p.Line(drawing.RoleThin, "", 0, float64(i), 10, float64(i))
	}
	var b bytes.Buffer
	if err := Write(&b, &p); err != nil {
		t.Fatal(err)
	}
	if n := strings.Count(b.String(), "<path"); n != 1 {
		t.Errorf("%d path elements", n)
	}
}

func TestNumbers(t *testing.T) {
	for v, want := range map[float64]string{0: "0", -0.001: "0", 1.5: "1.5", 2: "2", 1.0 / 3: "0.33", -7.126: "-7.13"} {
		if got := number(v); got != want {
			t.Errorf("number(%v) = %s, want %s", v, got, want)
		}
	}
}

type failing struct{ left int }

func (f *failing) Write(b []byte) (int, error) {
	if f.left -= len(b); f.left < 0 {
		return 0, errors.New("full")
	}
	return len(b), nil
}

func TestAFailingWriterIsReported(t *testing.T) {
	var p drawing.Picture
	for i := range 2000 {
		p.Text(drawing.RoleLabel, "", float64(i), 0, 3, drawing.Left, "x")
	}
	if err := Write(&failing{left: 100}, &p); err == nil {
		t.Error("no error")
	}
}

func FuzzEscapingGivesWellFormedXML(f *testing.F) {
	f.Add(`</text><script>alert("x")</script>`, "]]>&#0;")
	f.Add("\x00\x1b\xff\ufffe\U0001F600", "½ ″ é")
	f.Fuzz(func(t *testing.T, title, text string) {
		p := &drawing.Picture{Title: title}
		// marks may also be built without Picture.Text, which cleans
		p.Marks = append(p.Marks, drawing.Mark{Kind: drawing.Letters, Role: drawing.RoleLabel, Pts: []drawing.Point{{}}, Text: text, Size: 3})
		var b bytes.Buffer
		if err := Write(&b, p); err != nil {
			t.Fatal(err)
		}
		got := texts(t, b.Bytes())
		if title == "" {
			got = append([]string{""}, got...)
		}
		if len(got) != 2 {
			t.Fatalf("%d texts for %q and %q: %q", len(got), title, text, got)
		}
		lines := func(s string) string { return strings.ReplaceAll(s, "\r\n", "\n") }
		if want := lines(escapable(text)); lines(got[1]) != want {
			t.Errorf("text %q came back as %q, want %q", text, got[1], want)
		}
	})
}

// escapable is what of a text XML can hold.
func escapable(s string) string {
	return strings.Map(func(r rune) rune {
		switch {
		case r == '\t' || r == '\n' || r == '\r', r >= 0x20 && r <= 0xD7FF, r >= 0xE000 && r <= 0xFFFD, r >= 0x10000:
			return r
		}
		return -1
	}, s)
}
