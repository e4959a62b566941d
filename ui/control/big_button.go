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

// Deed is what a BigButton does, which gives its colour and sign.
type Deed int

const (
	Start Deed = iota
	Pause
	Done
)

// BigButton is a button to be read and hit at arm's length, with dusty hands.
type BigButton struct {
	widget.DisableableWidget
	// OnTap reports a tap, Enter or Space.
	OnTap func()

	title, note string
	deed        Deed
	hovered     bool
	focused     bool
	back        *canvas.Rectangle
	ring        *canvas.Rectangle
	icon        *canvas.Image
	text, small *canvas.Text
}

// NewBigButton returns a button with a large title.
func NewBigButton(deed Deed, title string, tap func()) *BigButton {
	b := &BigButton{OnTap: tap, title: title, deed: deed}
	b.back, b.ring = canvas.NewRectangle(color.Transparent), canvas.NewRectangle(color.Transparent)
	b.icon = canvas.NewImageFromResource(nil)
	b.icon.FillMode = canvas.ImageFillContain
	b.text, b.small = canvas.NewText("", color.Black), canvas.NewText("", color.Black)
	b.ExtendBaseWidget(b)
	return b
}

// Set changes deed, title and the lesser line under it.
func (b *BigButton) Set(deed Deed, title, note string) {
	b.deed, b.title, b.note = deed, title, note
	b.Refresh()
}

// Title is the large text.
func (b *BigButton) Title() string { return b.title }

// CreateRenderer implements fyne.Widget.
func (b *BigButton) CreateRenderer() fyne.WidgetRenderer {
	r := &bigRenderer{b}
	r.Refresh()
	return r
}

type bigRenderer struct{ b *BigButton }

func (r *bigRenderer) textSize() float32 { return 2 * r.b.Theme().Size(fynetheme.SizeNameText) }

func (r *bigRenderer) MinSize() fyne.Size {
	b := r.b
	t := fyne.MeasureText(b.title, r.textSize(), fyne.TextStyle{Bold: true})
	n := fyne.MeasureText(b.note, b.Theme().Size(fynetheme.SizeNameSubHeadingText), fyne.TextStyle{})
	w := max(t.Width, n.Width) + t.Height + 48
	h := t.Height + 28
	if b.note != "" {
		h += n.Height
	}
	return fyne.NewSize(max(w, 180), max(h, 72))
}

func (r *bigRenderer) Layout(z fyne.Size) {
	b := r.b
	place(b.back, 0, 0, z.Width, z.Height)
	place(b.ring, 3, 3, z.Width-6, z.Height-6)
	t := fyne.MeasureText(b.title, r.textSize(), fyne.TextStyle{Bold: true})
	n := fyne.Size{}
	if b.note != "" {
		n = fyne.MeasureText(b.note, b.Theme().Size(fynetheme.SizeNameSubHeadingText), fyne.TextStyle{})
	}
	icon := t.Height
	x := max(12, (z.Width-icon-12-max(t.Width, n.Width))/2)
	y := (z.Height - t.Height - n.Height) / 2
	place(b.icon, x, (z.Height-icon)/2, icon, icon)
	place(b.text, x+icon+12, y, z.Width-x-icon-12, t.Height)
	place(b.small, x+icon+12, y+t.Height, z.Width-x-icon-12, n.Height)
}

func (r *bigRenderer) Refresh() {
	b := r.b
	th, v := b.Theme(), fyne.CurrentApp().Settings().ThemeVariant()
	ground, ink := fyne.ThemeColorName(fynetheme.ColorNamePrimary), fyne.ThemeColorName(fynetheme.ColorNameForegroundOnPrimary)
	icon := "start"
	switch b.deed {
	case Pause:
		ground, ink, icon = fynetheme.ColorNameWarning, fynetheme.ColorNameForegroundOnWarning, "pause"
	case Done:
		ground, ink, icon = fynetheme.ColorNameSuccess, fynetheme.ColorNameForegroundOnSuccess, "done"
	}
	if b.Disabled() {
		ground, ink = fynetheme.ColorNameDisabledButton, fynetheme.ColorNamePlaceHolder
	}
	fill := th.Color(ground, v)
	if b.hovered && !b.Disabled() {
		fill = theme.Mix(fill, th.Color(ink, v), theme.HoverStrength)
	}
	b.back.FillColor, b.back.CornerRadius = fill, 8
	b.ring.CornerRadius, b.ring.StrokeWidth = 6, 2
	b.ring.StrokeColor = color.Transparent
	if b.focused {
		b.ring.StrokeColor = th.Color(ink, v)
	}
	b.text.Text, b.text.Color, b.text.TextSize = b.title, th.Color(ink, v), r.textSize()
	b.text.TextStyle.Bold = true
	b.small.Text, b.small.Color, b.small.TextSize = b.note, th.Color(ink, v), th.Size(fynetheme.SizeNameSubHeadingText)
	if res := IconOf(icon, ink); b.icon.Resource == nil || b.icon.Resource.Name() != res.Name() {
		b.icon.Resource = res
		b.icon.Refresh()
	}
	r.Layout(b.Size())
	canvas.Refresh(b)
}

func (r *bigRenderer) Objects() []fyne.CanvasObject {
	r.b.small.Hidden = r.b.note == ""
	return []fyne.CanvasObject{r.b.back, r.b.ring, r.b.icon, r.b.text, r.b.small}
}

func (r *bigRenderer) Destroy() {}

func (b *BigButton) tap() {
	if !b.Disabled() && b.OnTap != nil {
		b.OnTap()
	}
}

// Tapped implements fyne.Tappable.
func (b *BigButton) Tapped(*fyne.PointEvent) { b.tap() }

// MouseIn implements desktop.Hoverable.
func (b *BigButton) MouseIn(*desktop.MouseEvent) {
	b.hovered = true
	b.Refresh()
}

// MouseMoved implements desktop.Hoverable.
func (b *BigButton) MouseMoved(*desktop.MouseEvent) {}

// MouseOut implements desktop.Hoverable.
func (b *BigButton) MouseOut() {
	b.hovered = false
	b.Refresh()
}

// FocusGained implements fyne.Focusable.
func (b *BigButton) FocusGained() {
	b.focused = true
	b.Refresh()
}

// FocusLost implements fyne.Focusable.
func (b *BigButton) FocusLost() {
	b.focused = false
	b.Refresh()
}

// TypedRune implements fyne.Focusable.
func (b *BigButton) TypedRune(r rune) {
	if r == ' ' {
		b.tap()
	}
}

// TypedKey implements fyne.Focusable.
func (b *BigButton) TypedKey(k *fyne.KeyEvent) {
	if k.Name == fyne.KeyReturn || k.Name == fyne.KeyEnter {
		b.tap()
	}
}
