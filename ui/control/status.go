package control

import (
	"strings"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/lang"
	"fyne.io/fyne/v2/layout"
	fynetheme "fyne.io/fyne/v2/theme"
	"fyne.io/fyne/v2/widget"
)

// Status is the line at the foot of the window: a message at the left, standing
// notes at the right.
type Status struct {
	widget.BaseWidget
	message, notes string
	fault          bool
	left, right    *canvas.Text
	mark, line     *canvas.Rectangle
	widths         textWidths
}

// NewStatus returns an empty status line.
func NewStatus() *Status {
	s := &Status{left: canvas.NewText("", nil), right: canvas.NewText("", nil), mark: canvas.NewRectangle(nil), line: canvas.NewRectangle(nil)}
	s.ExtendBaseWidget(s)
	return s
}

// Say shows a message; "" clears it.
func (s *Status) Say(text string) { s.set(text, false) }

// Fault shows what is wrong, marked as a fault; "" clears it.
func (s *Status) Fault(text string) { s.set(text, text != "") }

func (s *Status) set(text string, fault bool) {
	text = strings.ReplaceAll(text, "\n", " ")
	if s.message == text && s.fault == fault {
		return
	}
	s.message, s.fault = text, fault
	s.update()
}

// Message is what stands at the left.
func (s *Status) Message() string { return s.message }

// SetNotes shows standing notes at the right, such as the file and the units.
func (s *Status) SetNotes(notes ...string) {
	s.notes = strings.Join(notes, "   ·   ")
	s.update()
}

func (s *Status) update() {
	th, v := s.Theme(), fyne.CurrentApp().Settings().ThemeVariant()
	size := th.Size(fynetheme.SizeNameText)
	if s.widths.size != size {
		s.widths.size = size
		s.widths.reset()
	}
	z := s.Size()
	s.line.FillColor = th.Color(fynetheme.ColorNameSeparator, v)
	s.mark.FillColor = th.Color(fynetheme.ColorNameError, v)
	s.mark.Hidden = !s.fault
	s.left.Color, s.right.Color = th.Color(fynetheme.ColorNameForeground, v), th.Color(fynetheme.ColorNamePlaceHolder, v)
	if s.fault {
		s.left.Color = th.Color(fynetheme.ColorNameError, v)
	}
	s.left.TextSize, s.right.TextSize = size, size
	s.right.Alignment = fyne.TextAlignTrailing
	// The message matters more: the notes get what it leaves, but a third at least.
	want, has := s.widths.width(s.notes, false), s.widths.width(s.message, false)
	room := min(want, max(z.Width/3, z.Width-has-4*statusPad))
	s.right.Text = level(s.widths.fit(s.notes, false, max(0, room)))
	s.left.Text = level(s.widths.fit(s.message, false, max(0, z.Width-room-3*statusPad)))
	place(s.line, 0, 0, z.Width, 1)
	place(s.mark, 2, 5, barWidth, z.Height-9)
	place(s.left, statusPad, 1, max(0, z.Width-room-3*statusPad), z.Height-1)
	place(s.right, z.Width-room-statusPad, 1, room, z.Height-1)
	canvas.Refresh(s)
}

const statusPad float32 = 10

// CreateRenderer implements fyne.Widget.
func (s *Status) CreateRenderer() fyne.WidgetRenderer { return &statusRenderer{s} }

type statusRenderer struct{ s *Status }

func (r *statusRenderer) Layout(fyne.Size) { r.s.update() }

func (r *statusRenderer) MinSize() fyne.Size {
	h := fyne.MeasureText("Åg", r.s.Theme().Size(fynetheme.SizeNameText), fyne.TextStyle{}).Height
	return fyne.NewSize(160, h+9)
}

func (r *statusRenderer) Refresh() { r.s.update() }

func (r *statusRenderer) Objects() []fyne.CanvasObject {
	return []fyne.CanvasObject{r.s.line, r.s.mark, r.s.left, r.s.right}
}

func (r *statusRenderer) Destroy() {}

// ErrorLine is a strip that tells of a failure and what can be done, and stays
// until it is put away: nothing that matters passes by unread.
type ErrorLine struct {
	widget.BaseWidget
	// OnMessage reports the text for the status line, "" when there is none.
	OnMessage func(text string)

	text   *widget.Label
	act    *widget.Button
	back   *canvas.Rectangle
	box    *fyne.Container
	action func()
}

// NewErrorLine returns a hidden strip.
func NewErrorLine() *ErrorLine {
	e := &ErrorLine{text: widget.NewLabel(""), back: canvas.NewRectangle(nil)}
	e.text.Wrapping = fyne.TextWrapWord
	e.act = widget.NewButton("", func() {
		if e.action != nil {
			e.action()
		}
	})
	shut := NewIconButton(Icon("close"), lang.L("Put this message away"), e.Clear)
	shut.OnMessage = func(text string) {
		if e.OnMessage != nil {
			e.OnMessage(text)
		}
	}
	icon := container.NewCenter(container.NewGridWrap(fyne.NewSquareSize(22), canvas.NewImageFromResource(IconOf("fault", fynetheme.ColorNameError))))
	e.box = container.NewStack(e.back, container.NewBorder(nil, nil, icon, container.NewHBox(e.act, shut), e.text))
	e.ExtendBaseWidget(e)
	e.Hide()
	return e
}

// Tell shows a failure. With an action its button is shown too; the strip stays
// until Clear.
func (e *ErrorLine) Tell(text, action string, do func()) {
	e.text.SetText(text)
	e.action = do
	e.act.SetText(action)
	if do == nil || action == "" {
		e.act.Hide()
	} else {
		e.act.Show()
	}
	e.Show()
	e.Refresh()
}

// Clear puts the strip away.
func (e *ErrorLine) Clear() { e.Hide() }

// Text is what the strip tells.
func (e *ErrorLine) Text() string {
	if !e.Visible() {
		return ""
	}
	return e.text.Text
}

// Refresh implements fyne.CanvasObject.
func (e *ErrorLine) Refresh() {
	e.back.FillColor = tint(e.Theme(), fynetheme.ColorNameError)
	e.BaseWidget.Refresh()
}

// CreateRenderer implements fyne.Widget.
func (e *ErrorLine) CreateRenderer() fyne.WidgetRenderer {
	e.back.FillColor = tint(e.Theme(), fynetheme.ColorNameError)
	return widget.NewSimpleRenderer(e.box)
}

// Progress is a strip that shows how far work in the background is, with a
// button to stop it. It is hidden while nothing runs.
type Progress struct {
	widget.BaseWidget
	text   *widget.Label
	bar    *progressBar
	stop   *widget.Button
	cancel func()
	box    *fyne.Container
}

// NewProgress returns a hidden strip.
func NewProgress() *Progress {
	p := &Progress{text: widget.NewLabel(""), bar: newProgressBar()}
	p.text.Truncation = fyne.TextTruncateEllipsis
	p.stop = widget.NewButton(lang.L("Stop"), func() {
		if p.cancel != nil {
			p.stop.Disable()
			p.cancel()
		}
	})
	bar := container.New(layout.NewCustomPaddedLayout(0, 0, 4, 4), container.NewVBox(layout.NewSpacer(), p.bar, layout.NewSpacer()))
	p.box = container.NewBorder(nil, nil, nil, p.stop, container.NewGridWithColumns(2, p.text, bar))
	p.ExtendBaseWidget(p)
	p.Hide()
	return p
}

// Start shows the strip. Without cancel there is no button.
func (p *Progress) Start(text string, cancel func()) {
	p.cancel = cancel
	p.stop.Enable()
	if cancel == nil {
		p.stop.Hide()
	} else {
		p.stop.Show()
	}
	p.Update(-1, text)
	p.Show()
}

// Update shows how much is done, 0 to 1, or less than 0 where that is unknown.
func (p *Progress) Update(done float64, text string) {
	p.bar.set(done)
	p.text.SetText(text)
}

// Finish hides the strip.
func (p *Progress) Finish() {
	p.cancel = nil
	p.Hide()
}

// MinSize implements fyne.CanvasObject: room for a short sentence, the bar and
// the button.
func (p *Progress) MinSize() fyne.Size {
	s := p.BaseWidget.MinSize()
	s.Width = max(s.Width, 30*p.Theme().Size(fynetheme.SizeNameText))
	return s
}

// CreateRenderer implements fyne.Widget.
func (p *Progress) CreateRenderer() fyne.WidgetRenderer { return widget.NewSimpleRenderer(p.box) }

// progressBar is a thin bar; with an unknown amount it is tinted all over, and
// does not move: a moving one would keep the machine busy all the time.
type progressBar struct {
	widget.BaseWidget
	done         float64
	ground, part *canvas.Rectangle
}

func newProgressBar() *progressBar {
	b := &progressBar{ground: canvas.NewRectangle(nil), part: canvas.NewRectangle(nil)}
	b.ground.CornerRadius, b.part.CornerRadius = 3, 3
	b.ExtendBaseWidget(b)
	return b
}

func (b *progressBar) set(done float64) {
	b.done = min(done, 1)
	b.Refresh()
}

func (b *progressBar) CreateRenderer() fyne.WidgetRenderer { return &progressRenderer{b} }

type progressRenderer struct{ b *progressBar }

func (r *progressRenderer) Layout(z fyne.Size) {
	r.b.ground.Resize(z)
	r.Refresh()
}

func (r *progressRenderer) MinSize() fyne.Size { return fyne.NewSize(120, 7) }

func (r *progressRenderer) Refresh() {
	b := r.b
	th, v := b.Theme(), fyne.CurrentApp().Settings().ThemeVariant()
	b.ground.FillColor = tint(th, fynetheme.ColorNamePrimary)
	b.part.FillColor = th.Color(fynetheme.ColorNamePrimary, v)
	b.part.Resize(fyne.NewSize(b.Size().Width*float32(max(0, b.done)), b.Size().Height))
	canvas.Refresh(b.ground)
	canvas.Refresh(b.part)
}

func (r *progressRenderer) Objects() []fyne.CanvasObject {
	return []fyne.CanvasObject{r.b.ground, r.b.part}
}
func (r *progressRenderer) Destroy() {}
