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

// Room is one entry of a Rail. Icon is a name as Icon takes it.
type Room struct{ ID, Title, Icon string }

// Rail is the column at the window's left from which rooms are entered.
type Rail struct {
	widget.BaseWidget
	// OnEnter reports the room chosen.
	OnEnter func(id string)

	rooms   []Room
	tabs    []*railTab
	at      int
	over    int
	focused bool
	edge    *canvas.Rectangle
	objects []fyne.CanvasObject
}

type railTab struct {
	back, bar *canvas.Rectangle
	icon      *canvas.Image
	title     *canvas.Text
	badgeBack *canvas.Rectangle
	badge     *canvas.Text
	badgeMark Mark
}

// NewRail returns a rail of rooms with the first one entered.
func NewRail(rooms []Room, enter func(id string)) *Rail {
	r := &Rail{rooms: rooms, OnEnter: enter, over: -1, edge: canvas.NewRectangle(color.Transparent)}
	r.objects = append(r.objects, r.edge)
	for _, room := range rooms {
		t := &railTab{
			back: canvas.NewRectangle(color.Transparent), bar: canvas.NewRectangle(color.Transparent),
			icon: canvas.NewImageFromResource(nil), title: canvas.NewText(room.Title, color.Black),
			badgeBack: canvas.NewRectangle(color.Transparent), badge: canvas.NewText("", color.Black),
		}
		t.icon.FillMode = canvas.ImageFillContain
		t.title.Alignment, t.badge.Alignment = fyne.TextAlignCenter, fyne.TextAlignCenter
		r.tabs = append(r.tabs, t)
		r.objects = append(r.objects, t.back, t.bar, t.icon, t.title, t.badgeBack, t.badge)
	}
	r.ExtendBaseWidget(r)
	return r
}

// Enter shows a room as entered, without reporting it.
func (r *Rail) Enter(id string) {
	for i := range r.rooms {
		if r.rooms[i].ID == id {
			r.at = i
		}
	}
	r.update()
}

// Entered is the ID of the room entered.
func (r *Rail) Entered() string { return r.rooms[r.at].ID }

// SetBadge puts a short text (a count) at a room's icon; "" takes it away.
func (r *Rail) SetBadge(id, text string, m Mark) {
	for i := range r.rooms {
		if r.rooms[i].ID == id {
			r.tabs[i].badge.Text, r.tabs[i].badgeMark = text, m
		}
	}
	r.update()
}

func (r *Rail) tabSize() fyne.Size {
	size := r.Theme().Size(fynetheme.SizeNameCaptionText)
	w := float32(0)
	for _, room := range r.rooms {
		w = max(w, fyne.MeasureText(room.Title, size, fyne.TextStyle{Bold: true}).Width)
	}
	text := fyne.MeasureText("Åg", size, fyne.TextStyle{}).Height
	return fyne.NewSize(max(64, w+18), r.iconSize()+text+20)
}

func (r *Rail) iconSize() float32 { return 1.5 * r.Theme().Size(fynetheme.SizeNameInlineIcon) }

func (r *Rail) update() {
	th, v := r.Theme(), fyne.CurrentApp().Settings().ThemeVariant()
	get := func(n fyne.ThemeColorName) color.Color { return th.Color(n, v) }
	ink, ground, primary := get(fynetheme.ColorNameForeground), get(fynetheme.ColorNameHeaderBackground), get(fynetheme.ColorNamePrimary)
	r.edge.FillColor = ground
	r.edge.Resize(r.Size())
	tab, icon := r.tabSize(), r.iconSize()
	size := th.Size(fynetheme.SizeNameCaptionText)
	for i, t := range r.tabs {
		y := float32(i)*tab.Height + 4
		name := fyne.ThemeColorName(fynetheme.ColorNameForeground)
		t.back.FillColor = color.Transparent
		t.back.StrokeColor, t.back.StrokeWidth = color.Transparent, 0
		switch {
		case i == r.at:
			t.back.FillColor = theme.Mix(ground, primary, theme.ChosenStrength)
			name = fynetheme.ColorNamePrimary
		case i == r.over:
			t.back.FillColor = theme.Mix(ground, ink, theme.HoverStrength)
		}
		if r.focused && i == r.at {
			t.back.StrokeColor, t.back.StrokeWidth = primary, 2
		}
		t.back.CornerRadius = 4
		place(t.back, 4, y, tab.Width-8, tab.Height-4)
		t.bar.FillColor = primary
		t.bar.Hidden = i != r.at
		t.bar.CornerRadius = 1.5
		place(t.bar, 0, y+8, 3, tab.Height-20)
		if res := IconOf(r.rooms[i].Icon, name); t.icon.Resource == nil || t.icon.Resource.Name() != res.Name() {
			t.icon.Resource = res
			t.icon.Refresh()
		}
		place(t.icon, (tab.Width-icon)/2, y+6, icon, icon)
		t.title.TextSize, t.title.Color = size, ink
		t.title.TextStyle.Bold = i == r.at
		place(t.title, 0, y+8+icon, tab.Width, tab.Height-icon-16)
		r.updateBadge(t, tab, y, get)
	}
	canvas.Refresh(r)
}

func (r *Rail) updateBadge(t *railTab, tab fyne.Size, y float32, get func(fyne.ThemeColorName) color.Color) {
	t.badge.Hidden, t.badgeBack.Hidden = t.badge.Text == "", t.badge.Text == ""
	if t.badge.Text == "" {
		return
	}
	fill, ink := get(fynetheme.ColorNameForeground), get(fynetheme.ColorNameBackground)
	switch t.badgeMark {
	case Bad:
		fill, ink = get(fynetheme.ColorNameError), get(fynetheme.ColorNameForegroundOnError)
	case Doubt:
		fill, ink = get(fynetheme.ColorNameWarning), get(fynetheme.ColorNameForegroundOnWarning)
	case Good:
		fill, ink = get(fynetheme.ColorNameSuccess), get(fynetheme.ColorNameForegroundOnSuccess)
	}
	t.badge.TextSize = 0.85 * r.Theme().Size(fynetheme.SizeNameCaptionText)
	t.badge.TextStyle.Bold = true
	t.badge.Color, t.badgeBack.FillColor = ink, fill
	s := t.badge.MinSize()
	w := max(s.Width+8, s.Height)
	x := min(tab.Width/2+8, tab.Width-w-4)
	t.badgeBack.CornerRadius = s.Height / 2
	place(t.badgeBack, x, y+3, w, s.Height)
	place(t.badge, x, y+3, w, s.Height)
}

// CreateRenderer implements fyne.Widget.
func (r *Rail) CreateRenderer() fyne.WidgetRenderer { return &railRenderer{r} }

type railRenderer struct{ r *Rail }

func (x *railRenderer) Layout(fyne.Size) { x.r.update() }
func (x *railRenderer) MinSize() fyne.Size {
	t := x.r.tabSize()
	return fyne.NewSize(t.Width, t.Height*float32(len(x.r.rooms))+8)
}
func (x *railRenderer) Refresh()                     { x.r.update() }
func (x *railRenderer) Objects() []fyne.CanvasObject { return x.r.objects }
func (x *railRenderer) Destroy()                     {}

func (r *Rail) tabAt(p fyne.Position) int {
	i := int((p.Y - 4) / r.tabSize().Height)
	if p.Y < 4 || i >= len(r.rooms) {
		return -1
	}
	return i
}

func (r *Rail) enter(i int) {
	if i < 0 || i >= len(r.rooms) || i == r.at {
		return
	}
	r.at = i
	r.update()
	if r.OnEnter != nil {
		r.OnEnter(r.rooms[i].ID)
	}
}

// Tapped implements fyne.Tappable.
func (r *Rail) Tapped(e *fyne.PointEvent) { r.enter(r.tabAt(e.Position)) }

// MouseIn implements desktop.Hoverable.
func (r *Rail) MouseIn(e *desktop.MouseEvent) { r.MouseMoved(e) }

// MouseMoved implements desktop.Hoverable.
func (r *Rail) MouseMoved(e *desktop.MouseEvent) {
	if i := r.tabAt(e.Position); i != r.over {
		r.over = i
		r.update()
	}
}

// MouseOut implements desktop.Hoverable.
func (r *Rail) MouseOut() {
	r.over = -1
	r.update()
}

// Cursor implements desktop.Cursorable.
func (r *Rail) Cursor() desktop.Cursor { return desktop.PointerCursor }

// FocusGained implements fyne.Focusable.
func (r *Rail) FocusGained() {
	r.focused = true
	r.update()
}

// FocusLost implements fyne.Focusable.
func (r *Rail) FocusLost() {
	r.focused = false
	r.update()
}

// TypedRune implements fyne.Focusable.
func (r *Rail) TypedRune(rune) {}

// TypedKey implements fyne.Focusable: Up and Down go from room to room.
func (r *Rail) TypedKey(k *fyne.KeyEvent) {
	switch k.Name {
	case fyne.KeyUp:
		r.enter(r.at - 1)
	case fyne.KeyDown:
		r.enter(r.at + 1)
	case fyne.KeyHome:
		r.enter(0)
	case fyne.KeyEnd:
		r.enter(len(r.rooms) - 1)
	default:
		PassKey(r, k)
	}
}
