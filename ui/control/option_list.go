package control

import (
	"image/color"
	"strings"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"
	"fyne.io/fyne/v2/driver/desktop"
	fynetheme "fyne.io/fyne/v2/theme"
	"fyne.io/fyne/v2/widget"

	"pilewright/ui/theme"
)

// option is one line of an optionList: a text and a lesser one at the right.
type option struct{ text, note string }

// optionList is a short list worked with the keyboard or the pointer, used in
// popups. It shows at most maxOptions lines and scrolls by lines.
type optionList struct {
	widget.BaseWidget
	options []option
	empty   string // shown where there are no options
	at      int    // marked line
	top     int    // first shown
	onPick  func(int)
	onLeave func(fyne.KeyName) // Escape or Tab
	typed   string             // what was typed to jump
	rows    []*optionRow
	objects []fyne.CanvasObject
	min     fyne.Size
}

type optionRow struct {
	back       *canvas.Rectangle
	text, note *canvas.Text
}

const maxOptions = 12

func newOptionList(options []option, at int, pick func(int)) *optionList {
	l := &optionList{onPick: pick}
	l.ExtendBaseWidget(l)
	l.set(options, at)
	return l
}

// set shows other options.
func (l *optionList) set(options []option, at int) {
	l.options = options
	l.at = max(0, min(at, len(options)-1))
	l.top = 0
	for len(l.rows) < min(maxOptions, max(1, len(options))) {
		r := &optionRow{canvas.NewRectangle(color.Transparent), canvas.NewText("", color.Black), canvas.NewText("", color.Black)}
		l.rows = append(l.rows, r)
		l.objects = append(l.objects, r.back, r.text, r.note)
	}
	l.measure()
	l.update()
}

func (l *optionList) size() float32 { return l.Theme().Size(fynetheme.SizeNameText) }

func (l *optionList) rowHeight() float32 {
	return fyne.MeasureText("Åg", l.size(), fyne.TextStyle{}).Height + 8
}

func (l *optionList) measure() {
	w := fyne.MeasureText(l.empty, l.size(), fyne.TextStyle{}).Width
	for _, o := range l.options {
		t := fyne.MeasureText(o.text, l.size(), fyne.TextStyle{}).Width
		if o.note != "" {
			t += 24 + fyne.MeasureText(o.note, l.size(), fyne.TextStyle{}).Width
		}
		w = max(w, t)
	}
	l.min = fyne.NewSize(max(w+2*cellPad+4, l.min.Width), float32(min(maxOptions, max(1, len(l.options))))*l.rowHeight())
}

func (l *optionList) update() {
	th, v := l.Theme(), fyne.CurrentApp().Settings().ThemeVariant()
	ink, dim := th.Color(fynetheme.ColorNameForeground, v), th.Color(fynetheme.ColorNamePlaceHolder, v)
	chosen := theme.Mix(th.Color(fynetheme.ColorNameOverlayBackground, v), th.Color(fynetheme.ColorNamePrimary, v), theme.ChosenStrength)
	h, width := l.rowHeight(), max(l.Size().Width, l.min.Width)
	if l.at < l.top {
		l.top = l.at
	}
	if l.at >= l.top+maxOptions {
		l.top = l.at - maxOptions + 1
	}
	for i, r := range l.rows {
		n := l.top + i
		if n == 0 && len(l.options) == 0 && l.empty != "" {
			hide(r.back)
			show(r.text, r.note)
			r.text.Text, r.text.Color, r.text.TextSize, r.note.Text = l.empty, dim, l.size(), ""
			place(r.text, cellPad, 0, width-2*cellPad, h)
			continue
		}
		if n >= len(l.options) {
			hide(r.back, r.text, r.note)
			continue
		}
		show(r.back, r.text, r.note)
		r.back.FillColor = color.Transparent
		if n == l.at {
			r.back.FillColor = chosen
		}
		r.back.CornerRadius = 3
		r.text.Text, r.text.Color, r.text.TextSize = l.options[n].text, ink, l.size()
		r.note.Text, r.note.Color, r.note.TextSize = l.options[n].note, dim, l.size()
		r.note.Alignment = fyne.TextAlignTrailing
		place(r.back, 0, float32(i)*h, width, h)
		place(r.text, cellPad, float32(i)*h, width-2*cellPad, h)
		place(r.note, cellPad, float32(i)*h, width-2*cellPad, h)
	}
	canvas.Refresh(l)
}

func (l *optionList) CreateRenderer() fyne.WidgetRenderer { return &optionRenderer{l} }

type optionRenderer struct{ l *optionList }

func (r *optionRenderer) Layout(fyne.Size)             { r.l.update() }
func (r *optionRenderer) MinSize() fyne.Size           { return r.l.min }
func (r *optionRenderer) Refresh()                     { r.l.update() }
func (r *optionRenderer) Objects() []fyne.CanvasObject { return r.l.objects }
func (r *optionRenderer) Destroy()                     {}

func (l *optionList) FocusGained() {}
func (l *optionList) FocusLost()   {}

// AcceptsTab implements fyne.Tabbable.
func (l *optionList) AcceptsTab() bool { return true }

// TypedRune implements fyne.Focusable: it goes to the next option that begins
// with what was typed.
func (l *optionList) TypedRune(r rune) {
	if l.jump(l.typed + string(r)) {
		l.typed += string(r)
		return
	}
	l.typed = ""
	if l.jump(string(r)) {
		l.typed = string(r)
	}
}

func (l *optionList) jump(prefix string) bool {
	for i, o := range l.options {
		if len(o.text) >= len(prefix) && strings.EqualFold(o.text[:len(prefix)], prefix) {
			l.at = i
			l.update()
			return true
		}
	}
	return false
}

// TypedKey implements fyne.Focusable.
func (l *optionList) TypedKey(e *fyne.KeyEvent) {
	if l.move(e.Name) {
		return
	}
	switch e.Name {
	case fyne.KeyReturn, fyne.KeyEnter, fyne.KeySpace:
		l.pick(l.at)
	case fyne.KeyEscape, fyne.KeyTab:
		if l.onLeave != nil {
			l.onLeave(e.Name)
		}
	}
}

// move marks another line for a key that moves, and says whether it was one.
func (l *optionList) move(k fyne.KeyName) bool {
	at := l.at
	switch k {
	case fyne.KeyUp:
		at--
	case fyne.KeyDown:
		at++
	case fyne.KeyHome:
		at = 0
	case fyne.KeyEnd:
		at = len(l.options) - 1
	case fyne.KeyPageUp:
		at -= maxOptions
	case fyne.KeyPageDown:
		at += maxOptions
	default:
		return false
	}
	l.typed = ""
	l.at = max(0, min(at, len(l.options)-1))
	l.update()
	return true
}

func (l *optionList) pick(i int) {
	if i >= 0 && i < len(l.options) && l.onPick != nil {
		l.onPick(i)
	}
}

func (l *optionList) lineAt(p fyne.Position) int {
	i := l.top + int(p.Y/l.rowHeight())
	if p.Y < 0 || i >= len(l.options) {
		return -1
	}
	return i
}

// Tapped implements fyne.Tappable.
func (l *optionList) Tapped(e *fyne.PointEvent) { l.pick(l.lineAt(e.Position)) }

// MouseIn implements desktop.Hoverable.
func (l *optionList) MouseIn(e *desktop.MouseEvent) { l.MouseMoved(e) }

// MouseMoved implements desktop.Hoverable.
func (l *optionList) MouseMoved(e *desktop.MouseEvent) {
	if i := l.lineAt(e.Position); i >= 0 && i != l.at {
		l.at = i
		l.update()
	}
}

// MouseOut implements desktop.Hoverable.
func (l *optionList) MouseOut() {}

// Scrolled implements fyne.Scrollable.
func (l *optionList) Scrolled(e *fyne.ScrollEvent) {
	step := 1
	if e.Scrolled.DY > 0 {
		step = -1
	}
	l.top = max(0, min(l.top+step, len(l.options)-maxOptions))
	l.at = max(l.top, min(l.at, l.top+maxOptions-1, len(l.options)-1))
	l.update()
}
