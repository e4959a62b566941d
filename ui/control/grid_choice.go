package control

import (
	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/lang"
	"fyne.io/fyne/v2/widget"

	"pilewright/ui/locale"
)

// openChoices shows the list of the current Choice cell below it; typed, if not
// empty, goes to the first choice that begins so.
func (g *Grid) openChoices(typed string) {
	c := fyne.CurrentApp().Driver().CanvasForObject(g)
	if c == nil || g.Columns[g.col].Choices == nil {
		return
	}
	g.reveal()
	row, col := g.row, g.col
	id := g.id(row)
	texts := g.Columns[col].Choices(row)
	if len(texts) == 0 {
		g.say(lang.L("There is nothing to choose from for “{{.title}}” yet.", locale.With{"title": g.Columns[col].Title}))
		return
	}
	now, _ := g.cell(row, col)
	options, at := make([]option, len(texts)), 0
	for i, t := range texts {
		options[i].text = t
		if t == now {
			at = i
		}
	}
	var popup *widget.PopUp
	list := newOptionList(options, at, nil)
	list.onPick = func(i int) {
		popup.Hide()
		g.takeFocus()
		if r := g.find(id, row); r >= 0 && texts[i] != now {
			g.commit(r, col, texts[i])
		}
	}
	list.onLeave = func(k fyne.KeyName) {
		popup.Hide()
		g.takeFocus()
		if k == fyne.KeyTab {
			list.onPick(list.at)
			g.tab(!g.shifted())
		}
	}
	for _, r := range typed {
		list.TypedRune(r)
	}
	popup = widget.NewPopUp(list, c)
	h := g.rowHeight()
	p := fyne.CurrentApp().Driver().AbsolutePositionForObject(g.body).AddXY(g.lefts[col]-cellPad, float32(row+1)*h)
	size := popup.MinSize()
	if p.Y+size.Height > c.Size().Height {
		p.Y = max(0, p.Y-h-size.Height)
	}
	p.X = max(0, min(p.X, c.Size().Width-size.Width))
	popup.Resize(fyne.NewSize(max(size.Width, g.lefts[col+1]-g.lefts[col]), size.Height))
	popup.ShowAtPosition(p)
	c.Focus(list)
}
