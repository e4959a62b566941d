package paint

import (
	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/lang"
	"fyne.io/fyne/v2/widget"

	"pilewright/ui/control"
)

// Tools is a column of buttons for a view: zoom, fit and the tools it is given.
// It takes over the view's OnTool.
type Tools struct {
	widget.BaseWidget
	v    *View
	pick []*control.IconButton
	of   []Tool
	box  *fyne.Container
}

var toolIcons = map[Tool]string{Hand: "hand", Frame: "frame", Measure: "measure"}

// Deed is something that can be done with a view, by a button, a key or a command.
type Deed struct {
	Name string // "Zoom in"
	Key  string // while the view has the keyboard; empty = none
	Do   func()
	icon string
}

// Deeds are what can be done with any view.
func Deeds(v *View) []Deed {
	return []Deed{
		{Name: lang.L("Drawing: zoom in"), Key: "+", icon: "more", Do: func() { v.ZoomBy(keyZoom) }},
		{Name: lang.L("Drawing: zoom out"), Key: "-", icon: "less", Do: func() { v.ZoomBy(1 / keyZoom) }},
		{Name: lang.L("Drawing: show all of it"), Key: "0", icon: "fit", Do: v.Fit},
	}
}

// toolName says what a tool is for.
func toolName(t Tool) string {
	switch t {
	case Frame:
		return lang.L("Drawing: frame a part of it")
	case Measure:
		return lang.L("Drawing: measure a distance")
	}
	return lang.L("Drawing: move it")
}

// Take gives the deed of taking up a tool.
func Take(v *View, t Tool) Deed {
	return Deed{Name: toolName(t), icon: toolIcons[t], Do: func() {
		v.SetTool(t)
		if v.OnTool != nil {
			v.OnTool(t)
		}
	}}
}

// NewTools returns buttons for the view. With tools, one is down at a time; the
// first press of another tool takes it up, a second goes back to the hand. A
// button says what it does by the view's OnStatus.
func NewTools(v *View, tools ...Tool) *Tools {
	t := &Tools{v: v, box: container.NewVBox()}
	button := func(d Deed, do func()) *control.IconButton {
		tip := d.Name
		if d.Key != "" {
			tip = lang.L("{{.deed}} (key {{.key}})", map[string]any{"deed": d.Name, "key": d.Key})
		}
		b := control.NewIconButton(control.Icon(d.icon), tip, do)
		b.OnMessage = func(text string) {
			if v.OnStatus != nil {
				v.OnStatus(text)
			}
		}
		t.box.Add(b)
		return b
	}
	for _, d := range Deeds(v) {
		button(d, d.Do)
	}
	if len(tools) > 0 {
		t.box.Add(widget.NewSeparator())
	}
	for _, tool := range tools {
		b := button(Take(v, tool), func() {
			if v.tool == tool {
				v.SetTool(Hand)
			} else {
				v.SetTool(tool)
			}
			t.update()
		})
		t.pick, t.of = append(t.pick, b), append(t.of, tool)
	}
	v.OnTool = func(Tool) { t.update() }
	t.ExtendBaseWidget(t)
	t.update()
	return t
}

// update shows which tool is down.
func (t *Tools) update() {
	for i, b := range t.pick {
		b.Importance = widget.LowImportance
		b.Icon = control.Icon(toolIcons[t.of[i]])
		if t.of[i] == t.v.tool {
			b.Importance = widget.HighImportance
			b.Icon = control.IconOf(toolIcons[t.of[i]], "foregroundOnPrimary")
		}
		b.Refresh()
	}
}

// Refresh implements fyne.CanvasObject.
func (t *Tools) Refresh() {
	t.update()
	t.BaseWidget.Refresh()
}

// CreateRenderer implements fyne.Widget.
func (t *Tools) CreateRenderer() fyne.WidgetRenderer { return widget.NewSimpleRenderer(t.box) }
