// Package pile is the room of boards and lots: an entry line and a table above,
// the chosen board with its defects below.
package pile

import (
	"slices"
	"strconv"
	"strings"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/lang"
	"fyne.io/fyne/v2/widget"

	"pilewright/layout/figure"
	"pilewright/plan"
	"pilewright/plan/measure"
	"pilewright/ui/control"
	"pilewright/ui/desk"
	"pilewright/ui/locale"
	"pilewright/ui/paint"
	"pilewright/ui/session"
)

// Room is the Pile room.
type Room struct {
	desk    desk.Desk
	entry   *control.Field
	boards  *control.Grid
	lots    *control.Grid
	view    *paint.View
	kind    *widget.Select
	told    *widget.Label // what the board drawn is
	tabs    *container.AppTabs
	content fyne.CanvasObject
	shown   []plan.Board
	sort    sorting
}

// New makes the room.
func New(d desk.Desk) *Room {
	r := &Room{desk: d, view: paint.NewView()}
	r.entry = control.NewField(r.add)
	r.entry.OnMessage = d.Say
	r.entry.SetPlaceHolder(lang.L("Add boards:  6 @ 38 1/2 x 3 1/2 x 5/8 pine  – how many @ length x width x thickness, species; then Enter"))
	r.boards = control.NewGrid(boardColumns(d), func() int { return len(r.shown) }, r.cell)
	r.boards.RowID = func(row int) string { return strconv.FormatInt(int64(r.shown[row].ID), 10) }
	r.boards.Commit, r.boards.Batch = r.commit, r.batch
	r.boards.CanAdd = true
	r.boards.AddHint = lang.L("type here for one more board")
	r.boards.OnWidths = func() { d.Remember("widths.boards", desk.Widths(r.boards)) }
	desk.SetWidths(r.boards, d.Recall("widths.boards"))
	r.boards.Delete = r.remove
	r.boards.OnMessage = d.Say
	r.boards.OnSelect = func(rows []int) {
		if len(rows) > 0 && rows[0] < len(r.shown) {
			sel := d.Session().Selection()
			sel.Board = r.shown[rows[0]].ID
			d.Session().Select(sel)
		}
	}
	r.boards.Menu = r.menu
	r.boards.OnSort = func(col int, down bool) {
		r.sort = sorting{col, down, true}
		r.boards.SetSort(col, down)
		r.read()
	}
	r.lots = r.lotGrid()
	r.view.OnStatus = d.Say
	r.view.OnFrame = r.drawDefect
	r.view.OnPick = r.pick
	r.view.Menu = r.defectMenu
	r.view.Distance = func(a, b paint.Place) string { return desk.Length(d.Session().Project(), distance(a, b)) }
	var kinds []string
	for _, k := range plan.DefectKinds {
		kinds = append(kinds, kindName(k))
	}
	r.kind = widget.NewSelect(kinds, func(k string) {
		if k != "" {
			r.view.SetTool(paint.Frame)
			d.Say(lang.L("Drag on the board from corner to corner of it: {{.kind}}. Esc gives up.", locale.With{"kind": k}))
		}
	})
	r.kind.PlaceHolder = lang.L("Draw a defect…")
	tools := paint.NewTools(r.view, paint.Measure)
	r.view.OnTool = func(paint.Tool) {
		r.kind.ClearSelected()
		tools.Refresh()
	}
	r.told = widget.NewLabel("")
	r.told.Truncation = fyne.TextTruncateEllipsis
	bar := container.NewBorder(nil, nil, r.kind, widget.NewButton(lang.L("Import CSV…"), r.importBoards), r.told)
	r.tabs = container.NewAppTabs(container.NewTabItem(lang.L("Boards"), container.NewBorder(r.entry, nil, nil, nil, r.boards)), container.NewTabItem(lang.L("Lots"), r.lots))
	split := control.NewSplit(false, r.tabs, container.NewBorder(bar, nil, nil, tools, desk.Sized(r.view, r.draw)), desk.Share(d.Recall("split.pile"), 0.6))
	split.OnMoved = func(s float64) { d.Remember("split.pile", strconv.FormatFloat(s, 'f', 3, 64)) }
	r.content = split
	return r
}

// distance is the real distance of two places on one board.
func distance(a, b paint.Place) measure.Length {
	return millimetres(hypot(b.RealX-a.RealX, b.RealY-a.RealY))
}

// ID implements desk.Room.
func (r *Room) ID() string { return desk.Pile }

// Title implements desk.Room.
func (r *Room) Title() string { return lang.L("Pile") }

// Content implements desk.Room.
func (r *Room) Content() fyne.CanvasObject { return r.content }

// Drawing implements desk.Drawer.
func (r *Room) Drawing() (*paint.View, []paint.Tool) { return r.view, []paint.Tool{paint.Measure} }

// Commands implements desk.Room.
func (r *Room) Commands() []desk.Command {
	return []desk.Command{
		{Name: lang.L("Add boards"), Tip: lang.L("quick entry line"), Run: func() { r.desk.Window().Canvas().Focus(r.entry) }},
		{Name: lang.L("Show the boards of the pile"), Tip: lang.L("table"), Run: func() { desk.ShowTab(r.desk, r.tabs, 0, r.boards) }},
		{Name: lang.L("Show the lots"), Tip: lang.L("table pallets crates waiting hours money"), Run: func() { desk.ShowTab(r.desk, r.tabs, 1, r.lots) }},
		{Name: lang.L("Draw a defect on the board"), Tip: lang.L("split crack knot nail wane stain"), Run: func() { r.kind.SetSelected(kindName(plan.Split)) }},
		{Name: lang.L("Import boards from CSV…"), Run: r.importBoards},
		{Name: lang.L("Keep the board whole"), Tip: lang.L("kept"), Run: func() { r.setState(plan.Kept) }},
		{Name: lang.L("Put the board back into the pile"), Run: func() { r.setState(plan.InPile) }},
	}
}

// Changed implements desk.Room.
func (r *Room) Changed(c session.Change) {
	if c.Project || c.Piece {
		r.read()
	}
	if c.Selection || c.Project || c.Plan {
		r.draw()
	}
	if c.Selection {
		if id := r.desk.Session().Selection().Board; id != 0 {
			r.boards.SelectRow(strconv.FormatInt(int64(id), 10))
		}
	}
}

// read takes the boards in the order shown.
func (r *Room) read() {
	r.shown = slices.Clone(r.desk.Session().Project().Boards)
	r.sort.apply(r.shown)
	r.boards.Refresh()
	r.lots.Refresh()
}

// draw shows the chosen board as it lies in the pile.
func (r *Room) draw() {
	s := r.desk.Session()
	id := r.drawn()
	width, height := desk.Paper(r.view.Size())
	b, ok := s.Project().Board(id)
	if !ok {
		r.told.SetText(lang.L("No boards yet. Type the first ones into the line above: how many, how long, how wide, how thick."))
	} else {
		r.told.SetText(r.describe(b))
		if room := height - 34; b.Width > 0 && float64(b.Length)/float64(b.Width)*room < width-24 {
			width = max(90, float64(b.Length)/float64(b.Width)*room+24) // a short, wide board: height decides
		}
	}
	r.view.SetPicture(figure.OneBoard(s.Project(), &plan.Plan{Words: locale.Plan()}, id, width))
}

// describe says of a board what its drawing does not.
func (r *Room) describe(b plan.Board) string {
	p := r.desk.Session().Project()
	text := lang.L("Board {{.mark}}", locale.With{"mark": b.Mark})
	if l, ok := p.Lot(b.Lot); ok {
		text += lang.L(", of {{.name}}", locale.With{"name": l.Name})
	}
	if b.Place != "" {
		text += lang.L(", lies at: {{.place}}", locale.With{"place": b.Place})
	}
	switch b.State {
	case plan.Kept:
		text += lang.L("; kept whole, never cut")
	case plan.Cut:
		text += lang.L("; cut up")
	case plan.Gone:
		text += lang.L("; gone")
	}
	if told := facesTold(b); told != "" {
		text += "; " + told
	}
	return text
}

// drawn is the board below the table.
func (r *Room) drawn() plan.ID {
	id := r.desk.Session().Selection().Board
	if id == 0 && len(r.shown) > 0 {
		id = r.shown[0].ID
	}
	return id
}

// pick says what was tapped on the board.
func (r *Room) pick(ref string, _ fyne.KeyModifier) {
	r.view.Select(ref)
	if i, ok := defectOf(ref); ok {
		if b, found := r.desk.Session().Project().Board(r.drawn()); found && i < len(b.Defects) {
			r.desk.Say(lang.L("{{.defect}}. Its menu (right button) takes it away.", locale.With{"defect": defectWords(r.desk.Session().Project(), b.Defects[i])}))
		}
	}
}

// defectOf is the place of a drawn defect in its board's list.
func defectOf(ref string) (int, bool) {
	if !strings.HasPrefix(ref, "defect:") {
		return 0, false
	}
	i, err := strconv.Atoi(ref[strings.LastIndexByte(ref, ':')+1:])
	return i, err == nil
}

// defectMenu changes or removes a defect where it is drawn.
func (r *Room) defectMenu(ref string, _ paint.Place) *fyne.Menu {
	i, ok := defectOf(ref)
	if !ok {
		return nil
	}
	board := r.drawn()
	edit := func(name string, change func(list []plan.Defect) []plan.Defect) {
		r.desk.Fail(r.desk.Session().Edit(name, "", func(p *plan.Project) (*plan.Project, error) {
			return p.EditBoards([]plan.ID{board}, func(b *plan.Board) error {
				if i < len(b.Defects) {
					b.Defects = change(slices.Clone(b.Defects))
				}
				return nil
			})
		}))
	}
	items := []*fyne.MenuItem{fyne.NewMenuItem(lang.L("Take this defect away"), func() {
		edit(lang.L("take a defect away"), func(list []plan.Defect) []plan.Defect { return slices.Delete(list, i, i+1) })
	}), fyne.NewMenuItemSeparator()}
	for _, k := range plan.DefectKinds {
		items = append(items, fyne.NewMenuItem(lang.L("It is {{.kind}}", locale.With{"kind": kindName(k)}), func() {
			edit(lang.L("change a defect"), func(list []plan.Defect) []plan.Defect {
				list[i].Kind = k
				return list
			})
		}))
	}
	items = append(items, fyne.NewMenuItemSeparator())
	for _, s := range []struct {
		name string
		side plan.Face
	}{{lang.L("It shows on face A only, the one with the mark"), plan.FaceA}, {lang.L("It shows on face B only"), plan.FaceB}, {lang.L("It goes through"), plan.NoFace}} {
		items = append(items, fyne.NewMenuItem(s.name, func() {
			edit(lang.L("change a defect"), func(list []plan.Defect) []plan.Defect {
				list[i].Side = s.side
				return list
			})
		}))
	}
	return fyne.NewMenu("", items...)
}

// add takes the quick entry line.
func (r *Room) add(line string) error {
	if line == "" {
		return nil
	}
	s := r.desk.Session()
	plain, err := locale.Plain(line)
	if err != nil {
		return err
	}
	n, b, err := plan.QuickEntry(plain, s.Project().Shop.Unit())
	if err != nil {
		return err
	}
	name := lang.L("add {{.n}} boards", locale.With{"n": n})
	if n == 1 {
		name = lang.L("add a board")
	}
	err = s.Edit(name, "", func(p *plan.Project) (*plan.Project, error) { return p.AddBoards(b, n) })
	if err == nil {
		r.entry.SetValue("")
		r.desk.Say(added(n, s.Project()))
	}
	return err
}

// chosen is the boards of the selected rows.
func (r *Room) chosen() []plan.ID {
	var out []plan.ID
	for _, row := range r.boards.SelectedRows() {
		if row < len(r.shown) {
			out = append(out, r.shown[row].ID)
		}
	}
	return out
}

func (r *Room) setState(state plan.BoardState) {
	ids := r.chosen()
	if len(ids) == 0 {
		r.desk.Fail(locale.Error("choose a board in the table first"))
		return
	}
	name := lang.L("keep boards whole")
	if state == plan.InPile {
		name = lang.L("put boards back")
	}
	r.desk.Fail(r.desk.Session().Edit(name, "", func(p *plan.Project) (*plan.Project, error) {
		return p.EditBoards(ids, func(b *plan.Board) error { b.State = state; return nil })
	}))
}

func (r *Room) menu(rows []int) *fyne.Menu {
	faces := fyne.NewMenuItem(lang.L("Faces"), nil)
	faces.ChildMenu = r.facesMenu()
	return fyne.NewMenu("",
		fyne.NewMenuItem(lang.L("Keep whole"), func() { r.setState(plan.Kept) }),
		fyne.NewMenuItem(lang.L("Back into the pile"), func() { r.setState(plan.InPile) }),
		faces,
		fyne.NewMenuItem(lang.L("Delete"), func() { r.remove(rows) }))
}

func (r *Room) remove(rows []int) {
	var ids []plan.ID
	for _, row := range rows {
		if row < len(r.shown) {
			ids = append(ids, r.shown[row].ID)
		}
	}
	if len(ids) == 0 {
		return
	}
	r.desk.Fail(r.desk.Session().Edit(lang.L("delete {{.ids}} boards", locale.With{"ids": len(ids)}), "", func(p *plan.Project) (*plan.Project, error) {
		return p.With(func(q *plan.Project) {
			q.Boards = slices.DeleteFunc(slices.Clone(p.Boards), func(b plan.Board) bool { return slices.Contains(ids, b.ID) })
			q.Choices = slices.DeleteFunc(slices.Clone(p.Choices), func(c plan.Choice) bool { return slices.Contains(ids, c.Board) })
		}), nil
	}))
}

// drawDefect adds the defect framed on the drawing.
func (r *Room) drawDefect(from, to paint.Place) {
	kind := kindNamed(r.kind.Selected)
	r.view.SetTool(paint.Hand)
	id := r.drawn()
	if kind == "" || from.Ref != figure.BoardRef(id) {
		r.desk.Fail(locale.Error("choose the kind of defect first, then draw it on the board"))
		return
	}
	step := pointerStep(r.desk.Session().Project())
	d := plan.Defect{Kind: kind, From: below(min(from.RealX, to.RealX), step), To: above(max(from.RealX, to.RealX), step),
		AcrossFrom: below(min(from.RealY, to.RealY), step), AcrossTo: above(max(from.RealY, to.RealY), step)}
	r.desk.Fail(r.desk.Session().Edit(lang.L("draw {{.defect}}", locale.With{"defect": kindName(kind)}), "", func(p *plan.Project) (*plan.Project, error) {
		return p.EditBoards([]plan.ID{id}, func(b *plan.Board) error {
			d.From, d.To = max(d.From, 0), min(d.To, b.Length)
			d.AcrossFrom, d.AcrossTo = max(d.AcrossFrom, 0), min(d.AcrossTo, b.Width)
			b.Defects = append(slices.Clone(b.Defects), d)
			return nil
		})
	}))
	r.kind.ClearSelected()
}
