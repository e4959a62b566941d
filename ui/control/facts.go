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
	tops    []float32 // top of each line, and the end of the last
	over    int       // under the pointer, -1 none
	at      int       // current for the keyboard
	focused bool
	widths  textWidths
}

type factRow struct {
	back, bar          *canvas.Rectangle
	label, value, note *canvas.Text
}

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
		r := &factRow{
			canvas.NewRectangle(color.Transparent), canvas.NewRectangle(color.Transparent),
			canvas.NewText("", color.Black), canvas.NewText("", color.Black), canvas.NewText("", color.Black),
		}
		f.rows = append(f.rows, r)
		f.objects = append(f.objects, r.back, r.bar, r.label, r.value, r.note)
	}
	f.update()
	if grew {
		f.BaseWidget.Refresh()
	}
}

func (f *Facts) textSize() float32 { return f.Theme().Size(fynetheme.SizeNameText) }

// measure works out the tops of the lines.
func (f *Facts) measure() {
	line := fyne.MeasureText("Åg", f.textSize(), fyne.TextStyle{}).Height
	small := fyne.MeasureText("Åg", f.Theme().Size(fynetheme.SizeNameCaptionText), fyne.TextStyle{}).Height
	f.tops = f.tops[:0]
	y := float32(0)
	for i := range f.facts {
		if f.facts[i].Head && i > 0 {
			y += 8
		}
		f.tops = append(f.tops, y)
		y += line + 7
		if f.facts[i].Note != "" {
			y += small
		}
	}
	f.tops = append(f.tops, y)
}

func (f *Facts) update() {
	f.measure()
	th, v := f.Theme(), fyne.CurrentApp().Settings().ThemeVariant()
	get := func(n fyne.ThemeColorName) color.Color { return th.Color(n, v) }
	ink, dim, primary := get(fynetheme.ColorNameForeground), get(fynetheme.ColorNamePlaceHolder), get(fynetheme.ColorNamePrimary)
	ground := get(fynetheme.ColorNameBackground)
	marks := map[Mark]color.Color{Good: get(fynetheme.ColorNameSuccess), Doubt: get(fynetheme.ColorNameWarning), Bad: get(fynetheme.ColorNameError)}
	size, small := f.textSize(), th.Size(fynetheme.SizeNameCaptionText)
	if f.widths.size != size {
		f.widths.size = size
		f.widths.reset()
	}
	w := f.Size().Width
	line := fyne.MeasureText("Åg", size, fyne.TextStyle{}).Height + 7
	for i, r := range f.rows {
		if i >= len(f.facts) {
			hide(r.back, r.bar, r.label, r.value, r.note)
			continue
		}
		fact := &f.facts[i]
		y, h := f.tops[i], f.tops[i+1]-f.tops[i]
		if i+1 < len(f.facts) && f.facts[i+1].Head {
			h -= 8
		}
		r.back.FillColor, r.back.StrokeColor, r.back.StrokeWidth = color.Transparent, color.Transparent, 0
		r.back.CornerRadius = 3
		if i == f.over && !fact.Head {
			r.back.FillColor = theme.Mix(ground, ink, 0.08)
		}
		if f.focused && i == f.at {
			r.back.StrokeColor, r.back.StrokeWidth = primary, 2
		}
		place(r.back, 0, y, w, h)
		bold := fact.Bold || fact.Head
		r.label.TextStyle.Bold, r.value.TextStyle.Bold = bold, bold
		r.label.TextSize, r.value.TextSize, r.note.TextSize = size, size, small
		r.label.Color, r.value.Color, r.note.Color = ink, ink, dim
		if fact.Head {
			r.label.Color = primary
		}
		r.value.Alignment = fyne.TextAlignTrailing
		valueWidth := f.widths.width(fact.Value, bold)
		r.value.Text = f.widths.fit(fact.Value, bold, max(0, w-2*cellPad-6))
		r.label.Text = f.widths.fit(fact.Label, bold, max(0, w-valueWidth-3*cellPad-6))
		r.note.Text = fact.Note
		place(r.label, cellPad+4, y, max(0, w-2*cellPad-4), line)
		place(r.value, cellPad+4, y, max(0, w-2*cellPad-4), line)
		place(r.note, cellPad+4, y+line-4, max(0, w-2*cellPad-4), h-line)
		show(r.back, r.label, r.value)
		r.note.Hidden = fact.Note == ""
		mark, marked := marks[fact.Mark]
		r.bar.Hidden = !marked
		if marked {
			r.bar.FillColor = mark
			r.value.Color = mark
			place(r.bar, 2, y+3, barWidth, h-6)
		}
	}
	canvas.Refresh(f)
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
