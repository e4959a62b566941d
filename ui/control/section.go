package control

import (
	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/widget"
)

// Section is a titled part of a panel that can be shut.
type Section struct {
	widget.BaseWidget
	// OnToggle reports that it was opened or shut by hand, for the owner to remember.
	OnToggle func(open bool)

	head    *widget.Button
	content fyne.CanvasObject
	box     *fyne.Container
	open    bool
}

// NewSection returns a section of the given title and content.
func NewSection(title string, content fyne.CanvasObject, open bool) *Section {
	s := &Section{content: content}
	s.head = widget.NewButton(title, func() {
		s.SetOpen(!s.open)
		if s.OnToggle != nil {
			s.OnToggle(s.open)
		}
	})
	s.head.Alignment = widget.ButtonAlignLeading
	s.head.Importance = widget.LowImportance
	s.box = container.NewBorder(s.head, nil, nil, nil, content)
	s.ExtendBaseWidget(s)
	s.SetOpen(open)
	return s
}

// Open says whether the content is on show.
func (s *Section) Open() bool { return s.open }

// SetOpen opens or shuts the section. It does not report OnToggle.
func (s *Section) SetOpen(open bool) {
	s.open = open
	if open {
		s.head.SetIcon(Icon("open"))
		s.content.Show()
	} else {
		s.head.SetIcon(Icon("shut"))
		s.content.Hide()
	}
	s.box.Refresh()
	s.Refresh()
}

// SetTitle changes the title.
func (s *Section) SetTitle(title string) { s.head.SetText(title) }

// CreateRenderer implements fyne.Widget.
func (s *Section) CreateRenderer() fyne.WidgetRenderer { return widget.NewSimpleRenderer(s.box) }
