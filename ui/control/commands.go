package control

import (
	"slices"
	"strings"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/lang"
	"fyne.io/fyne/v2/widget"
)

// Command is one thing the program can do, as offered by ShowCommands. Note is
// set at the right, such as the keys that do the same.
type Command struct {
	Title, Note string
	// Words are more words to find it by.
	Words string
	Do    func()
}

// FindCommands lists the commands that hold every word of the query, those whose
// title begins with it first, else in their order.
func FindCommands(all []Command, query string) []Command {
	query = strings.ToLower(strings.TrimSpace(query))
	words := strings.Fields(query)
	var found []Command
	for _, c := range all {
		text := strings.ToLower(c.Title + " " + c.Words)
		if !slices.ContainsFunc(words, func(w string) bool { return !strings.Contains(text, w) }) {
			found = append(found, c)
		}
	}
	rank := func(c Command) int {
		title := strings.ToLower(c.Title)
		switch {
		case strings.HasPrefix(title, query):
			return 0
		case slices.ContainsFunc(strings.Fields(title), func(w string) bool { return len(words) > 0 && strings.HasPrefix(w, words[0]) }):
			return 1
		}
		return 2
	}
	slices.SortStableFunc(found, func(a, b Command) int { return rank(a) - rank(b) })
	return found
}

// ShowCommands opens a list of commands in the middle of a window, narrowed by
// typing. Enter or a tap does the marked one; Escape or a tap elsewhere shuts it.
func ShowCommands(c fyne.Canvas, commands []Command) {
	p := &commandList{all: commands}
	p.entry = &commandEntry{list: p}
	p.entry.ExtendBaseWidget(p.entry)
	p.entry.SetPlaceHolder(lang.L("What do you want to do?"))
	p.entry.OnChanged = func(string) { p.narrow() }
	p.options = newOptionList(nil, 0, p.do)
	p.options.empty = lang.L("Nothing is called that. Fewer letters find more.")
	p.narrow()
	p.popup = widget.NewPopUp(container.NewBorder(p.entry, nil, nil, nil, p.options), c)
	w := max(min(560, c.Size().Width-32), p.popup.MinSize().Width)
	p.popup.Resize(fyne.NewSize(w, p.popup.MinSize().Height))
	p.popup.ShowAtPosition(fyne.NewPos(max(0, (c.Size().Width-w)/2), c.Size().Height/8))
	c.Focus(p.entry)
}

type commandList struct {
	all, found []Command
	entry      *commandEntry
	options    *optionList
	popup      *widget.PopUp
}

func (p *commandList) narrow() {
	p.found = FindCommands(p.all, p.entry.Text)
	options := make([]option, len(p.found))
	for i, c := range p.found {
		options[i] = option{c.Title, c.Note}
	}
	p.options.set(options, 0)
}

func (p *commandList) do(i int) {
	if i < 0 || i >= len(p.found) {
		return
	}
	p.shut()
	if do := p.found[i].Do; do != nil {
		do()
	}
}

// shut puts the list away. The popup would not tell its entry that it lost the
// focus, and the cursor would blink on, unseen, and keep the machine busy.
func (p *commandList) shut() {
	p.popup.Canvas.Unfocus()
	p.popup.Hide()
}

// commandEntry hands the keys that move to the list below it.
type commandEntry struct {
	widget.Entry
	list *commandList
}

// AcceptsTab implements fyne.Tabbable.
func (e *commandEntry) AcceptsTab() bool { return true }

// TypedKey implements fyne.Focusable.
func (e *commandEntry) TypedKey(k *fyne.KeyEvent) {
	switch k.Name {
	case fyne.KeyUp, fyne.KeyDown, fyne.KeyPageUp, fyne.KeyPageDown:
		e.list.options.move(k.Name)
	case fyne.KeyReturn, fyne.KeyEnter:
		e.list.do(e.list.options.at)
	case fyne.KeyEscape:
		e.list.shut()
	case fyne.KeyTab:
	default:
		e.Entry.TypedKey(k)
	}
}
