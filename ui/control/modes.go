package control

import (
	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/widget"
)

// Modes is a row of buttons of which one is down.
type Modes struct {
	widget.BaseWidget
	// OnChange reports the entry pressed, by number.
	OnChange func(at int)

	buttons []*widget.Button
	at      int
	box     *fyne.Container
}

// NewModes returns the row with its first entry down.
func NewModes(titles []string, change func(at int)) *Modes {
	m := &Modes{OnChange: change, box: container.NewHBox()}
	for i, title := range titles {
		b := widget.NewButton(title, func() {
			m.Set(i)
			if m.OnChange != nil {
				m.OnChange(i)
			}
		})
		m.buttons = append(m.buttons, b)
		m.box.Add(b)
	}
	m.ExtendBaseWidget(m)
	m.Set(0)
	return m
}

// At is the entry that is down.
func (m *Modes) At() int { return m.at }

// Set puts another entry down, without reporting it.
func (m *Modes) Set(at int) {
	m.at = at
	for i, b := range m.buttons {
		b.Importance = widget.LowImportance
		if i == at {
			b.Importance = widget.HighImportance
		}
		b.Refresh()
	}
}

// Press does what a press of that entry does.
func (m *Modes) Press(at int) { m.buttons[at].OnTapped() }

// CreateRenderer implements fyne.Widget.
func (m *Modes) CreateRenderer() fyne.WidgetRenderer { return widget.NewSimpleRenderer(m.box) }
