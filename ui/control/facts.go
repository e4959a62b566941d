package control

import (
	"image/color"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"
	"fyne.io/fyne/v2/driver/desktop"
	fynetheme "fyne.io/fyne/v2/theme"
	"fyne.io/fyne/v2/widget"

	"pilewright/ui/theme"
)

// Mark is how a fact stands out.
type Mark int

const (
	Plain Mark = iota
	Good
	Doubt
	Bad
)

// Fact is one line of a side panel: what it is, and how much.
type Fact struct {
	ID, Label, Value string
	// Head makes the line a heading over the next ones.
	Head bool
	Bold bool
	Mark Mark
	// Note is a lesser second line under the label.
	Note string
}

// Facts is a side panel of facts. A tap, or Enter, on one shows where it comes
// from.
type Facts struct {
	widget.BaseWidget
	// Why gives the explanation of a fact, "" for none.
	Why func(id string) string
	// OnTap reports a tapped fact; may be nil.
	OnTap func(id string)

	facts   []Fact
	rows    []*factRow
	objects []fyne.CanvasObject
	tops    []float32 // top of each fact, and the end of the last
	over    int       // under the pointer, -1 none
	at      int       // current for the keyboard
	focused bool
	widths  textWidths
	smalls  textWidths
	line    float32 // height of a line of text, and of a note
	small   float32
}

// factRow is the set of objects of one fact.
type factRow struct {
	back, bar *canvas.Rectangle
	value     *canvas.Text
	label     []*canvas.Text // one a line
	note      []*canvas.Text
}

// mostLines is how many lines a label or a note may take; the rest is told by Why.
const mostLines = 4

// NewFacts returns an empty panel.
func NewFacts(why func(id string) string) *Facts {
	f := &Facts{Why: why, over: -1}
	f.ExtendBaseWidget(f)
	return f
}

// Set shows other facts. The current line stays with its ID.
func (f *Facts) Set(facts []Fact) {
	id := ""
	if f.at < len(f.facts) {
		id = f.facts[f.at].ID
	}
	grew := len(facts) != len(f.facts)
	f.facts = facts
	f.at = 0
	for i := range facts {
		if facts[i].ID == id {
			f.at = i
		}
	}
	for len(f.rows) < len(facts) {
		f.rows = append(f.rows, &factRow{
			back: canvas.NewRectangle(color.Transparent), bar: canvas.NewRectangle(color.Transparent), value: canvas.NewText("", color.Black),
		})
		f.objects = nil
	}
	f.update()
	if grew {
		f.BaseWidget.Refresh()
	}
}

// IDs are those of the facts shown, in their order.
func (f *Facts) IDs() []string {
	var out []string
	for _, fact := range f.facts {
		out = append(out, fact.ID)
	}
	return out
}

func (f *Facts) textSize() float32 { return f.Theme().Size(fynetheme.SizeNameText) }

// labelLines breaks a label into lines, which have the room left of the value.
func (f *Facts) labelLines(fact *Fact) []string {
	bold := fact.Bold || fact.Head
	room := f.Size().Width - factIndent - cellPad
	if fact.Value != "" {
		room -= f.widths.width(fact.Value, bold) + cellPad
	}
	if f.Size().Width == 0 {
		return []string{fact.Label}
	}
	return f.widths.wrap(fact.Label, bold, max(room, 40), mostLines)
}

func (f *Facts) noteLines(fact *Fact) []string {
	if fact.Note == "" {
		return nil
	}
	if f.Size().Width == 0 {
		return []string{fact.Note}
	}
	return f.smalls.wrap(fact.Note, false, f.Size().Width-factIndent-cellPad, mostLines)
}

const (
	factIndent float32 = cellPad + 4
	headRoom   float32 = 8 // above a heading
	factRoom   float32 = 7 // above and below the text of a fact, together
)

// measure works out the tops of the facts.
func (f *Facts) measure() {
	size, small := f.textSize(), f.Theme().Size(fynetheme.SizeNameCaptionText)
	if f.widths.size != size {
		f.widths.size, f.smalls.size = size, small
		f.widths.reset()
		f.smalls.reset()
	}
	f.line = fyne.MeasureText("Åg", size, fyne.TextStyle{}).Height
	f.small = fyne.MeasureText("Åg", small, fyne.TextStyle{}).Height
	f.tops = f.tops[:0]
	y := float32(0)
	for i := range f.facts {
		if f.facts[i].Head && i > 0 {
			y += headRoom
		}
		f.tops = append(f.tops, y)
		y += f.line*float32(len(f.labelLines(&f.facts[i]))) + f.small*float32(len(f.noteLines(&f.facts[i]))) + factRoom
	}
	f.tops = append(f.tops, y)
}

// factPaint is the set of colours of one theme, looked up once per update.
type factPaint struct {
	ink, dim, primary, ground color.Color
	marks                     map[Mark]color.Color
	size, small               float32
}

func (f *Facts) update() {
	f.measure()
	th, v := f.Theme(), fyne.CurrentApp().Settings().ThemeVariant()
	get := func(n fyne.ThemeColorName) color.Color { return th.Color(n, v) }
	p := factPaint{
		ink: get(fynetheme.ColorNameForeground), dim: get(fynetheme.ColorNamePlaceHolder), primary: get(fynetheme.ColorNamePrimary),
		ground: get(fynetheme.ColorNameBackground),
		marks:  map[Mark]color.Color{Good: get(fynetheme.ColorNameSuccess), Doubt: get(fynetheme.ColorNameWarning), Bad: get(fynetheme.ColorNameError)},
		size:   f.textSize(), small: th.Size(fynetheme.SizeNameCaptionText),
	}
	for i, r := range f.rows {
		if i < len(f.facts) {
			f.updateRow(i, r, &p)
			continue
		}
		hide(r.back, r.bar, r.value)
		hideTexts(r.label)
		hideTexts(r.note)
	}
	if f.objects == nil {
		for _, r := range f.rows {
			f.objects = append(f.objects, r.back, r.bar, r.value)
			for _, t := range r.label {
				f.objects = append(f.objects, t)
			}
			for _, t := range r.note {
				f.objects = append(f.objects, t)
			}
		}
	}
	canvas.Refresh(f)
}

func (f *Facts) updateRow(i int, r *factRow, p *factPaint) {
	fact := &f.facts[i]
	w := f.Size().Width
	y, h := f.tops[i], f.tops[i+1]-f.tops[i]
	if i+1 < len(f.facts) && f.facts[i+1].Head {
		h -= headRoom
	}
	r.back.FillColor, r.back.StrokeColor, r.back.StrokeWidth, r.back.CornerRadius = color.Transparent, color.Transparent, 0, 3
	if i == f.over && !fact.Head {
		r.back.FillColor = theme.Mix(p.ground, p.ink, theme.HoverStrength)
	}
	if f.focused && i == f.at {
		r.back.StrokeColor, r.back.StrokeWidth = p.primary, 2
	}
	place(r.back, 0, y, w, h)
	show(r.back)

	bold := fact.Bold || fact.Head
	ink := p.ink
	if fact.Head {
		ink = p.primary
	}
	y += factRoom / 2
	r.label = f.texts(r.label, f.labelLines(fact), y, f.line, p.size, ink, bold)
	r.note = f.texts(r.note, f.noteLines(fact), y+f.line*float32(len(f.labelLines(fact))), f.small, p.small, p.dim, false)

	r.value.Text, r.value.TextSize, r.value.TextStyle.Bold = level(f.widths.fit(fact.Value, bold, max(0, w-2*factIndent))), p.size, bold
	r.value.Color, r.value.Alignment = ink, fyne.TextAlignTrailing
	r.value.Hidden = fact.Value == ""
	place(r.value, factIndent, y, max(0, w-factIndent-cellPad), f.line)
	mark, marked := p.marks[fact.Mark]
	r.bar.Hidden = !marked
	if marked {
		r.bar.FillColor, r.value.Color = mark, mark
		place(r.bar, 2, f.tops[i]+3, barWidth, h-6)
	}
}

// texts sets one text object for each line, making more where there are too few.
func (f *Facts) texts(have []*canvas.Text, lines []string, y, height, size float32, c color.Color, bold bool) []*canvas.Text {
	for len(have) < len(lines) {
		have = append(have, canvas.NewText("", c))
		f.objects = nil
	}
	for i, t := range have {
		t.Hidden = i >= len(lines)
		if t.Hidden {
			continue
		}
		t.Text, t.TextSize, t.Color, t.TextStyle.Bold = level(lines[i]), size, c, bold
		place(t, factIndent, y+float32(i)*height, max(0, f.Size().Width-factIndent-cellPad), height)
	}
	return have
}

func hideTexts(texts []*canvas.Text) {
	for _, t := range texts {
		t.Hidden = true
	}
}

// CreateRenderer implements fyne.Widget.
func (f *Facts) CreateRenderer() fyne.WidgetRenderer { return &factsRenderer{f} }

type factsRenderer struct{ f *Facts }

func (r *factsRenderer) Layout(fyne.Size) { r.f.update() }
func (r *factsRenderer) MinSize() fyne.Size {
	r.f.measure()
	return fyne.NewSize(120, r.f.tops[len(r.f.tops)-1])
}
func (r *factsRenderer) Refresh()                     { r.f.update() }
func (r *factsRenderer) Objects() []fyne.CanvasObject { return r.f.objects }
func (r *factsRenderer) Destroy()                     {}

func (f *Facts) lineAt(p fyne.Position) int {
	for i := range f.facts {
		if p.Y >= f.tops[i] && p.Y < f.tops[i+1] {
			return i
		}
	}
	return -1
}

func (f *Facts) tap(i int) {
	if i < 0 || i >= len(f.facts) || f.facts[i].Head {
		return
	}
	f.at = i
	f.update()
	fact := f.facts[i]
	if f.OnTap != nil {
		f.OnTap(fact.ID)
	}
	if f.Why == nil {
		return
	}
	if text := f.Why(fact.ID); text != "" {
		Explain(f, fyne.NewPos(12, f.tops[i+1]), fact.Label+"  "+fact.Value, text, nil)
	}
}

// Tapped implements fyne.Tappable.
func (f *Facts) Tapped(e *fyne.PointEvent) {
	if c := fyne.CurrentApp().Driver().CanvasForObject(f); c != nil {
		c.Focus(f)
	}
	f.tap(f.lineAt(e.Position))
}

// MouseIn implements desktop.Hoverable.
func (f *Facts) MouseIn(e *desktop.MouseEvent) { f.MouseMoved(e) }

// MouseMoved implements desktop.Hoverable.
func (f *Facts) MouseMoved(e *desktop.MouseEvent) {
	if i := f.lineAt(e.Position); i != f.over {
		f.over = i
		f.update()
	}
}

// MouseOut implements desktop.Hoverable.
func (f *Facts) MouseOut() {
	f.over = -1
	f.update()
}

// FocusGained implements fyne.Focusable.
func (f *Facts) FocusGained() {
	f.focused = true
	f.update()
}

// FocusLost implements fyne.Focusable.
func (f *Facts) FocusLost() {
	f.focused = false
	f.update()
}

// TypedRune implements fyne.Focusable.
func (f *Facts) TypedRune(r rune) {
	if r == ' ' {
		f.tap(f.at)
	}
}

// TypedKey implements fyne.Focusable.
func (f *Facts) TypedKey(k *fyne.KeyEvent) {
	switch k.Name {
	case fyne.KeyUp:
		f.step(-1)
	case fyne.KeyDown:
		f.step(1)
	case fyne.KeyReturn, fyne.KeyEnter:
		f.tap(f.at)
	default:
		PassKey(f, k)
	}
}

// step makes the next line that is no heading current.
func (f *Facts) step(d int) {
	for i := f.at + d; i >= 0 && i < len(f.facts); i += d {
		if !f.facts[i].Head {
			f.at = i
			f.update()
			return
		}
	}
}
