// Package glueups is the room of panels and laminations: what is glued of which
// strips, and every way a part could be made, above; the rows drawn below, where
// a strip can be dragged to another row or turned over.
package glueups

import (
	"slices"
	"strconv"
	"strings"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/lang"
	"fyne.io/fyne/v2/widget"

	"pilewright/layout/drawing"
	"pilewright/layout/figure"
	"pilewright/plan"
	"pilewright/ui/control"
	"pilewright/ui/desk"
	"pilewright/ui/locale"
	"pilewright/ui/paint"
	"pilewright/ui/session"
)

// Room is the Glue-ups room.
type Room struct {
	desk    desk.Desk
	list    *control.Grid
	rows    *control.Grid
	ways    *control.Grid
	locks   *control.Grid
	tabs    *container.AppTabs
	view    *paint.View
	rings   *control.TipSelect // how those of the strip picked lie
	words   *widget.Label
	clamps  *widget.Label
	content fyne.CanvasObject
	chosen  string // GlueUp.Key
	option  int    // row picked in the table of ways
	strip   string // picked on the drawing
	before  *state // of the glue-up when its rows were last changed by hand
	rowsOf  []rowLine
	waysOf  []wayLine
	locksOf []plan.Choice
}

// New makes the room.
func New(d desk.Desk) *Room {
	r := &Room{desk: d, view: paint.NewView(), words: widget.NewLabel(""), clamps: widget.NewLabel(""), option: -1}
	r.words.Wrapping, r.clamps.Wrapping = fyne.TextWrapWord, fyne.TextWrapWord
	r.list, r.rows, r.ways, r.locks = r.listGrid(), r.rowGrid(), r.wayGrid(), r.lockGrid()
	r.view.OnStatus = d.Say
	r.view.OnPick = func(ref string, _ fyne.KeyModifier) { r.pick(ref) }
	r.view.Menu = func(ref string, _ paint.Place) *fyne.Menu { return r.menu(ref) }
	r.view.OnDragStart = func(ref string, _ paint.Place) bool { return r.mayDrag(ref) }
	r.view.OnDragTo = func(ref string, at paint.Place) bool { return r.over(ref, at) }
	r.view.OnDrop = func(ref string, at paint.Place) { r.dropped(ref, at) }
	r.view.OnDragCancel = func(string) { d.Say("") }
	r.rings = r.ringSelect()
	bar := container.NewHBox(
		widget.NewButton(lang.L("Turn the strip over"), r.flipPicked),
		r.rings,
		widget.NewButton(lang.L("Lock the strip where it is"), r.lockPicked),
		widget.NewButton(lang.L("Unlock all"), r.unlockAll),
		widget.NewButton(lang.L("Fit"), r.view.Fit))
	wayBar := container.NewHBox(
		widget.NewButton(lang.L("Make the part this way"), r.lockWay),
		widget.NewButton(lang.L("Let the plan choose"), r.freeWay))
	r.tabs = container.NewAppTabs(
		container.NewTabItem(lang.L("Glue-ups"), r.list), container.NewTabItem(lang.L("Rows"), r.rows),
		container.NewTabItem(lang.L("Ways to make each part"), container.NewBorder(nil, wayBar, nil, nil, r.ways)), container.NewTabItem(lang.L("Locks"), r.locks),
		container.NewTabItem(lang.L("Clamps"), container.NewVScroll(r.clamps)))
	below := container.NewBorder(container.NewVBox(r.words, container.NewHScroll(bar)), nil, nil, nil, r.view)
	split := control.NewSplit(false, r.tabs, below, share(d.Recall("split.glueups"), 0.4))
	split.OnMoved = func(s float64) { d.Remember("split.glueups", strconv.FormatFloat(s, 'f', 3, 64)) }
	r.content = split
	return r
}

func share(text string, otherwise float64) float64 {
	v, err := strconv.ParseFloat(text, 64)
	if err != nil || v <= 0 || v >= 1 {
		return otherwise
	}
	return v
}

// ID implements desk.Room.
func (r *Room) ID() string { return desk.GlueUps }

// Title implements desk.Room.
func (r *Room) Title() string { return lang.L("Glue-ups") }

// Content implements desk.Room.
func (r *Room) Content() fyne.CanvasObject { return r.content }

// Drawing implements desk.Drawer.
func (r *Room) Drawing() (*paint.View, []paint.Tool) { return r.view, nil }

// Commands implements desk.Room.
func (r *Room) Commands() []desk.Command {
	show := func(i int) func() {
		return func() { desk.ShowTab(r.desk, r.tabs, i, []*control.Grid{r.list, r.rows, r.ways, r.locks}[i]) }
	}
	return []desk.Command{
		{Name: lang.L("Show the glue-ups"), Run: show(0)},
		{Name: lang.L("Show the rows of the glue-up"), Run: show(1)},
		{Name: lang.L("Show the ways to make each part"), Run: show(2)},
		{Name: lang.L("Show locked strips"), Run: show(3)},
		{Name: lang.L("Turn the strip picked over"), Tip: lang.L("flip face"), Run: r.flipPicked},
		{Name: lang.L("Rings of the strip picked: bark side up"), Tip: lang.L("growth rings end grain mark"), Run: func() { r.markRings(plan.BarkUp) }},
		{Name: lang.L("Rings of the strip picked: bark side down"), Tip: lang.L("growth rings end grain mark"), Run: func() { r.markRings(plan.BarkDown) }},
		{Name: lang.L("Rings of the strip picked: upright"), Tip: lang.L("growth rings end grain mark quartersawn"), Run: func() { r.markRings(plan.Upright) }},
		{Name: lang.L("Rings of the strip picked: not marked"), Tip: lang.L("growth rings end grain mark"), Run: func() { r.markRings(plan.NotMarked) }},
		{Name: lang.L("Lock the strip picked in its row"), Run: r.lockPicked},
		{Name: lang.L("Unlock every strip"), Run: r.unlockAll},
		{Name: lang.L("Make the part the way picked"), Tip: lang.L("lock way laminated flat on-edge solid"), Run: r.lockWay},
		{Name: lang.L("Let the plan choose the way"), Tip: lang.L("unlock way"), Run: r.freeWay},
	}
}

// Changed implements desk.Room.
func (r *Room) Changed(c session.Change) {
	if c.Piece {
		r.chosen, r.strip, r.before, r.option = "", "", nil, -1
	}
	if c.Plan || c.Project || c.Piece {
		r.read()
	}
	if c.Selection {
		r.follow()
	}
	if c.Plan || c.Project || c.Piece {
		for _, g := range []*control.Grid{r.list, r.rows, r.ways, r.locks} {
			g.Refresh()
		}
		r.draw()
	}
	if c.Piece {
		r.view.Fit()
	}
	if c.Plan || c.Project || c.Busy || c.Piece {
		r.tell()
	}
}

// read takes what the tables show, once for all their cells.
func (r *Room) read() {
	g, _ := r.shown()
	r.rowsOf, r.waysOf = rowLines(r.plan(), g), wayLines(r.plan())
	r.locksOf = slices.DeleteFunc(slices.Clone(r.desk.Session().Project().Choices), func(c plan.Choice) bool { return c.Kind != plan.RowPlace })
}

// tell says how the glue-up shown stands and how it is clamped.
func (r *Room) tell() {
	r.words.SetText(r.sentence())
	g, _ := r.shown()
	var lines []string
	for _, text := range append(slices.Clip(g.Clamping.How), g.Clamping.Say...) {
		lines = append(lines, locale.Say(text))
	}
	r.clamps.SetText(strings.Join(lines, "\n"))
}

// plan is the newest plan, an empty one before the first.
func (r *Room) plan() *plan.Plan {
	if p := r.desk.Session().Plan(); p != nil {
		return p
	}
	return &plan.Plan{Project: r.desk.Session().Project()}
}

// shown is the chosen glue-up, the first where none is.
func (r *Room) shown() (plan.GlueUp, bool) {
	list := r.plan().GlueUps
	for _, g := range list {
		if g.Key == r.chosen {
			return g, true
		}
	}
	if len(list) > 0 {
		return list[0], true
	}
	return plan.GlueUp{}, false
}

// choose shows another glue-up.
func (r *Room) choose(key string) {
	if key == r.chosen {
		return
	}
	r.chosen, r.strip, r.before = key, "", nil
	r.read()
	r.rows.Refresh()
	r.draw()
	r.view.Fit()
	r.tell()
}

// follow takes up what was picked in another room.
func (r *Room) follow() {
	sel := r.desk.Session().Selection()
	key := keyFor(r.plan(), r.chosen, sel.Part, sel.Index)
	if key == "" {
		return
	}
	r.choose(key)
	r.list.SelectRow(key)
}

// keyFor gives the glue-up of the picked copy, or of any copy of the picked
// part; the one shown stays where it is of that part.
func keyFor(p *plan.Plan, now string, part plan.ID, index int) string {
	first := ""
	for _, g := range p.GlueUps {
		if g.Part != part {
			continue
		}
		c, ok := p.Copy(g.Copy)
		if index != 0 && ok && c.Index == index || index == 0 && g.Key == now {
			return g.Key
		}
		if first == "" {
			first = g.Key
		}
	}
	return first
}

// panelWidth is the width of the drawing on paper, in millimetres.
const panelWidth = 210

func (r *Room) draw() {
	g, ok := r.shown()
	if !ok {
		r.view.SetPicture(&drawing.Picture{})
		r.showRings()
		return
	}
	r.view.SetPicture(figure.Panel(r.plan(), g, panelWidth))
	r.mark()
}

func (r *Room) mark() {
	if r.strip != "" {
		r.view.Select(stripRef(r.strip))
	} else {
		r.view.Select()
	}
	r.showRings()
}

func stripRef(strip string) string { return "strip:" + strip }

// pick takes a tap on the drawing.
func (r *Room) pick(ref string) {
	strip, ok := strings.CutPrefix(ref, "strip:")
	if !ok {
		strip = ""
	}
	r.strip = strip
	r.mark()
	if g, ok := r.shown(); ok && strip != "" {
		if row, _, found := at(g, strip); found {
			r.rows.SelectRow(strconv.Itoa(row))
		}
		r.desk.Say(stripSay(r.plan(), g, strip))
	}
}

// sentence tells how the glue-up shown stands, and what the last change by hand did.
func (r *Room) sentence() string {
	p := r.plan()
	g, ok := r.shown()
	if !ok {
		return lang.L("Nothing has to be glued up: every part comes from one board, or the pile can't make the parts yet.")
	}
	text := standing(p, g)
	if r.before != nil && r.before.key == g.Key && !r.desk.Session().Stale() {
		text += " " + r.before.against(p.Project, g)
	}
	return text
}
