// Package pile is the room of boards and lots: an entry line and a table above,
// the chosen board with its defects below.
package pile

import (
	"errors"
	"fmt"
	"slices"
	"strconv"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/widget"

	"pilewright/layout/figure"
	"pilewright/plan"
	"pilewright/plan/measure"
	"pilewright/ui/control"
	"pilewright/ui/desk"
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
	content fyne.CanvasObject
	shown   []plan.Board
	sort    sorting
}

// New makes the room.
func New(d desk.Desk) *Room {
	r := &Room{desk: d, view: paint.NewView()}
	r.entry = control.NewField(r.add)
	r.entry.OnMessage = d.Say
	r.entry.SetPlaceHolder("Add boards:  6 @ 38 1/2 x 3 1/2 x 5/8 pine   (count @ length x width x thickness species), then Enter")
	r.boards = control.NewGrid(boardColumns(d), func() int { return len(r.shown) }, r.cell)
	r.boards.RowID = func(row int) string { return strconv.FormatInt(int64(r.shown[row].ID), 10) }
	r.boards.Commit, r.boards.Batch = r.commit, r.batch
	r.boards.CanAdd = true
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
	r.view.OnTool = func(paint.Tool) { r.kind.ClearSelected() }
	r.view.Distance = func(a, b paint.Place) string { return desk.Length(d.Session().Project(), distance(a, b)) }
	var kinds []string
	for _, k := range plan.DefectKinds {
		kinds = append(kinds, string(k))
	}
	r.kind = widget.NewSelect(kinds, func(k string) {
		if k != "" {
			r.view.SetTool(paint.Frame)
		}
	})
	r.kind.PlaceHolder = "Draw a defect…"
	bar := container.NewHBox(r.kind,
		widget.NewButton("Measure", func() { r.view.SetTool(paint.Measure) }),
		widget.NewButton("Fit", r.view.Fit),
		widget.NewButton("Import CSV…", r.importBoards))
	tabs := container.NewAppTabs(container.NewTabItem("Boards", container.NewBorder(r.entry, nil, nil, nil, r.boards)), container.NewTabItem("Lots", r.lots))
	split := control.NewSplit(false, tabs, container.NewBorder(bar, nil, nil, nil, r.view), share(d.Recall("split.pile"), 0.55))
	split.OnMoved = func(s float64) { d.Remember("split.pile", strconv.FormatFloat(s, 'f', 3, 64)) }
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

// distance is the real distance of two places on one board.
func distance(a, b paint.Place) measure.Length {
	return millimetres(hypot(b.RealX-a.RealX, b.RealY-a.RealY))
}

// ID implements desk.Room.
func (r *Room) ID() string { return desk.Pile }

// Title implements desk.Room.
func (r *Room) Title() string { return "Pile" }

// Content implements desk.Room.
func (r *Room) Content() fyne.CanvasObject { return r.content }

// Commands implements desk.Room.
func (r *Room) Commands() []desk.Command {
	return []desk.Command{
		{Name: "Add boards", Tip: "quick entry line", Run: func() { r.desk.Window().Canvas().Focus(r.entry) }},
		{Name: "Draw a defect on the board", Tip: "split crack knot nail wane stain", Run: func() { r.kind.SetSelected(string(plan.Split)) }},
		{Name: "Measure on the board", Run: func() { r.view.SetTool(paint.Measure) }},
		{Name: "Import boards from CSV…", Run: r.importBoards},
		{Name: "Keep the board whole", Tip: "kept", Run: func() { r.setState(plan.Kept) }},
		{Name: "Put the board back into the pile", Run: func() { r.setState(plan.InPile) }},
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
	id := s.Selection().Board
	if id == 0 && len(r.shown) > 0 {
		id = r.shown[0].ID
	}
	r.view.SetPicture(figure.OneBoard(s.Project(), nil, id, 190))
}

// add takes the quick entry line.
func (r *Room) add(line string) error {
	if line == "" {
		return nil
	}
	s := r.desk.Session()
	n, b, err := plan.QuickEntry(line, s.Project().Shop.Unit())
	if err != nil {
		return err
	}
	name := fmt.Sprintf("add %d boards", n)
	if n == 1 {
		name = "add a board"
	}
	err = s.Edit(name, "", func(p *plan.Project) (*plan.Project, error) { return p.AddBoards(b, n) })
	if err == nil {
		r.entry.SetValue("")
		r.desk.Say(fmt.Sprintf("%d boards of %s.", n, line))
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
		r.desk.Fail(errors.New("choose a board in the table first"))
		return
	}
	name := "keep boards whole"
	if state == plan.InPile {
		name = "put boards back"
	}
	r.desk.Fail(r.desk.Session().Edit(name, "", func(p *plan.Project) (*plan.Project, error) {
		return p.EditBoards(ids, func(b *plan.Board) error { b.State = state; return nil })
	}))
}

func (r *Room) menu(rows []int) *fyne.Menu {
	return fyne.NewMenu("",
		fyne.NewMenuItem("Keep whole", func() { r.setState(plan.Kept) }),
		fyne.NewMenuItem("Back into the pile", func() { r.setState(plan.InPile) }),
		fyne.NewMenuItem("Delete", func() { r.remove(rows) }))
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
	r.desk.Fail(r.desk.Session().Edit(fmt.Sprintf("delete %d boards", len(ids)), "", func(p *plan.Project) (*plan.Project, error) {
		return p.With(func(q *plan.Project) {
			q.Boards = slices.DeleteFunc(slices.Clone(p.Boards), func(b plan.Board) bool { return slices.Contains(ids, b.ID) })
			q.Choices = slices.DeleteFunc(slices.Clone(p.Choices), func(c plan.Choice) bool { return slices.Contains(ids, c.Board) })
		}), nil
	}))
}

// drawDefect adds the defect framed on the drawing.
func (r *Room) drawDefect(from, to paint.Place) {
	kind := plan.DefectKind(r.kind.Selected)
	r.view.SetTool(paint.Hand)
	id := r.desk.Session().Selection().Board
	if id == 0 && len(r.shown) > 0 {
		id = r.shown[0].ID
	}
	if kind == "" || from.Ref != figure.BoardRef(id) {
		r.desk.Fail(errors.New("choose the kind of defect first, then draw it on the board"))
		return
	}
	d := plan.Defect{Kind: kind, From: millimetres(min(from.RealX, to.RealX)), To: millimetres(max(from.RealX, to.RealX)),
		AcrossFrom: millimetres(min(from.RealY, to.RealY)), AcrossTo: millimetres(max(from.RealY, to.RealY))}
	r.desk.Fail(r.desk.Session().Edit("draw a "+string(kind), "", func(p *plan.Project) (*plan.Project, error) {
		return p.EditBoards([]plan.ID{id}, func(b *plan.Board) error {
			d.From, d.To = max(d.From, 0), min(d.To, b.Length)
			d.AcrossFrom, d.AcrossTo = max(d.AcrossFrom, 0), min(d.AcrossTo, b.Width)
			b.Defects = append(slices.Clone(b.Defects), d)
			return nil
		})
	}))
	r.kind.ClearSelected()
}
