package paint

import (
	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/widget"

	"pilewright/ui/control"
)

// Tools is a column of buttons for a view: zoom, fit and the tools it is given.
// It takes over the view's OnTool.
type Tools struct {
	widget.BaseWidget
	v    *View
	pick []*widget.Button
	of   []Tool
	box  *fyne.Container
}

var toolIcons = map[Tool]string{Hand: "hand", Frame: "frame", Measure: "measure"}

// NewTools returns buttons for the view. With tools, one is down at a time; the
// first press of another tool takes it up, a second goes back to the hand.
func NewTools(v *View, tools ...Tool) *Tools {
	t := &Tools{v: v, box: container.NewVBox()}
	plain := func(icon string, do func()) {
		b := widget.NewButtonWithIcon("", control.Icon(icon), do)
		b.Importance = widget.LowImportance
		t.box.Add(b)
	}
	plain("more", func() { v.ZoomBy(keyZoom) })
	plain("less", func() { v.ZoomBy(1 / keyZoom) })
	plain("fit", v.Fit)
	if len(tools) > 0 {
		t.box.Add(widget.NewSeparator())
	}
	for _, tool := range tools {
		b := widget.NewButtonWithIcon("", nil, func() {
			if v.tool == tool {
				v.SetTool(Hand)
			} else {
				v.SetTool(tool)
			}
			t.update()
		})
		t.pick, t.of = append(t.pick, b), append(t.of, tool)
		t.box.Add(b)
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
