// Package cuts is the room of the cutting plan: what is cut from which board,
// in which order, with what proof, above; the boards drawn to scale below.
package cuts

import (
	"errors"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/widget"

	"pilewright/layout/drawing"
	"pilewright/layout/figure"
	"pilewright/plan"
	"pilewright/ui/control"
	"pilewright/ui/desk"
	"pilewright/ui/paint"
	"pilewright/ui/session"
)

// Room is the Cuts room.
type Room struct {
	desk    desk.Desk
	boards  *control.Grid
	saws    *control.Grid
	aims    *control.Grid
	locks   *control.Grid
	view    *paint.View
	proof   *widget.Label
	one     *widget.Check
	content fyne.CanvasObject
	drop    plan.ID // board a dragged blank is over
}

// New makes the room.
func New(d desk.Desk) *Room {
	r := &Room{desk: d, view: paint.NewView(), proof: widget.NewLabel("")}
	r.proof.Wrapping = fyne.TextWrapWord
	r.boards, r.saws, r.aims, r.locks = r.boardGrid(), r.sawGrid(), r.aimGrid(), r.lockGrid()
	r.view.FitWidth = true
	r.view.OnStatus = d.Say
	r.view.OnPick = r.pick
	r.view.Menu = r.menu
	r.view.OnDragStart = func(ref string, _ paint.Place) bool { return strings.HasPrefix(ref, "blank:") }
	r.view.OnDragTo = r.over
	r.view.OnDrop = r.dropped
	r.view.OnDragCancel = func(string) { d.Say("") }
	r.one = widget.NewCheck("only the board picked, large", func(bool) { r.draw(); r.view.Fit() })
	bar := container.NewBorder(nil, nil, nil, container.NewHBox(
		widget.NewButton("Plan on", d.Session().Replan), widget.NewButton("Stop", d.Session().Stop),
		widget.NewButton("Tick off…", r.tickOff), widget.NewButton("Fit", r.view.Fit), r.one), r.proof)
	tabs := container.NewAppTabs(container.NewTabItem("Boards", r.boards), container.NewTabItem("Order of cuts", r.saws),
		container.NewTabItem("Aims and proof", r.aims), container.NewTabItem("Locks", r.locks))
	split := control.NewSplit(false, tabs, container.NewBorder(bar, nil, nil, nil, r.view), share(d.Recall("split.cuts"), 0.36))
	split.OnMoved = func(s float64) { d.Remember("split.cuts", strconv.FormatFloat(s, 'f', 3, 64)) }
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
func (r *Room) ID() string { return desk.Cuts }

// Title implements desk.Room.
func (r *Room) Title() string { return "Cuts" }

// Content implements desk.Room.
func (r *Room) Content() fyne.CanvasObject { return r.content }

// Commands implements desk.Room.
func (r *Room) Commands() []desk.Command {
	return []desk.Command{
		{Name: "Lock the blank picked to its board", Run: r.lockPicked},
		{Name: "Never cut the board picked", Run: func() { r.never(r.desk.Session().Selection().Board) }},
		{Name: "Take all locks off", Run: r.unlockAll},
		{Name: "Tick off the cuts of the board picked", Run: r.tickOff},
	}
}

// Changed implements desk.Room.
func (r *Room) Changed(c session.Change) {
	if c.Plan || c.Project || c.Piece || c.Busy {
		for _, g := range []*control.Grid{r.boards, r.saws, r.aims, r.locks} {
			g.Refresh()
		}
		r.proof.SetText(r.sentence())
	}
	if c.Plan || c.Project || c.Piece {
		r.draw()
	}
	if c.Piece {
		r.view.Fit()
	}
	if c.Selection {
		r.follow()
	}
}

// cuts is the newest cutting plan.
func (r *Room) cuts() plan.Cuts {
	if p := r.desk.Session().Plan(); p != nil {
		return p.Cuts
	}
	return plan.Cuts{}
}

func (r *Room) sentence() string {
	c := r.cuts()
	text := c.Sentence
	for _, s := range c.Short {
		text += "\n" + s.Say
	}
	if len(c.Boards) == 0 && text == "" {
		return "Nothing to cut yet: the piece needs parts, and the pile boards that can make them."
	}
	return strings.TrimSpace(text)
}

func (r *Room) draw() {
	s := r.desk.Session()
	p := s.Plan()
	if p == nil {
		r.view.SetPicture(&drawing.Picture{})
		return
	}
	if id := s.Selection().Board; r.one.Checked && id != 0 {
		r.view.SetPicture(figure.OneBoard(p.Project, p, id, 250))
	} else {
		r.view.SetPicture(figure.CutBoards(p, 330))
	}
	r.mark()
}

func (r *Room) mark() {
	sel := r.desk.Session().Selection()
	var refs []string
	if sel.Board != 0 {
		refs = append(refs, figure.BoardRef(sel.Board))
	}
	for _, cb := range r.cuts().Boards {
		for _, c := range cb.Pieces {
			if part, _ := plan.KeyPart(c.Blank); c.Ref() == sel.Blank || sel.Blank == "" && part == sel.Part && sel.Part != 0 {
				refs = append(refs, figure.PieceRef(c))
			}
		}
	}
	r.view.Select(refs...)
}

func (r *Room) follow() {
	if id := r.desk.Session().Selection().Board; id != 0 {
		r.boards.SelectRow(strconv.FormatInt(int64(id), 10))
	}
	if r.one.Checked {
		r.draw()
		return
	}
	r.mark()
}

// cutOf finds the cut piece a ref names, and its board.
func (r *Room) cutOf(ref string) (plan.CutPiece, plan.ID, bool) {
	for _, cb := range r.cuts().Boards {
		for _, c := range cb.Pieces {
			if figure.PieceRef(c) == ref {
				return c, cb.Board, true
			}
		}
	}
	return plan.CutPiece{}, 0, false
}

func boardOf(ref string) plan.ID {
	for _, prefix := range []string{"board:", "leftover:", "defect:"} {
		if text, ok := strings.CutPrefix(ref, prefix); ok {
			text, _, _ = strings.Cut(text, ":")
			n, err := strconv.ParseInt(text, 10, 64)
			if err == nil {
				return plan.ID(n)
			}
		}
	}
	return 0
}

func (r *Room) pick(ref string, _ fyne.KeyModifier) {
	if c, board, ok := r.cutOf(ref); ok {
		part, _ := plan.KeyPart(c.Blank)
		r.desk.Session().Select(session.Selection{Board: board, Part: part, Blank: c.Ref()})
		return
	}
	r.desk.Session().Select(session.Selection{Board: boardOf(ref)})
}

func (r *Room) menu(ref string, _ paint.Place) *fyne.Menu {
	if c, board, ok := r.cutOf(ref); ok {
		return fyne.NewMenu("", fyne.NewMenuItem("Lock "+c.Mark+" to this board", func() { r.lock(c, board) }),
			fyne.NewMenuItem("Never cut this board", func() { r.never(board) }))
	}
	if id := boardOf(ref); id != 0 {
		return fyne.NewMenu("", fyne.NewMenuItem("Never cut this board", func() { r.never(id) }))
	}
	return nil
}

// over tells, while a blank is dragged, whether the board under it could take it.
func (r *Room) over(ref string, at paint.Place) bool {
	c, from, ok := r.cutOf(ref)
	r.drop = boardOf(at.Ref)
	if !ok || r.drop == 0 {
		r.desk.Say("Drop it on a board.")
		return false
	}
	p := r.desk.Session().Plan()
	b, _ := p.Project.Board(r.drop)
	bl, _ := p.Blank(c.Blank)
	switch {
	case r.drop == from:
		r.desk.Say(c.Mark + " stays on " + b.Mark + ".")
	case b.Length-b.TrimLeft-b.TrimRight < bl.Length:
		r.desk.Say(fmt.Sprintf("%s is too short for %s: %s is needed.", b.Mark, c.Mark, desk.Length(p.Project, bl.Length)))
		return false
	case b.Width < bl.Width:
		r.desk.Say(fmt.Sprintf("%s is too narrow for %s: %s is needed.", b.Mark, c.Mark, desk.Length(p.Project, bl.Width)))
		return false
	case b.Thickness < bl.Thickness:
		r.desk.Say(fmt.Sprintf("%s is too thin for %s: %s is needed.", b.Mark, c.Mark, desk.Length(p.Project, bl.Thickness)))
		return false
	case bl.Species != "" && !strings.EqualFold(bl.Species, b.Species):
		r.desk.Say(fmt.Sprintf("%s is %s; %s must be %s.", b.Mark, b.Species, c.Mark, bl.Species))
		return false
	default:
		r.desk.Say(fmt.Sprintf("%s can come from %s: let go to lock it there. The rest is planned anew.", c.Mark, b.Mark))
	}
	return true
}

func (r *Room) dropped(ref string, at paint.Place) {
	c, _, ok := r.cutOf(ref)
	if !ok || !r.over(ref, at) {
		r.desk.Fail(errors.New("the blank was left where it was"))
		return
	}
	r.lock(c, boardOf(at.Ref))
}

// lock keeps one blank on a board; the sidebar then shows what the choice costs.
func (r *Room) lock(c plan.CutPiece, board plan.ID) {
	b, _ := r.desk.Session().Project().Board(board)
	r.desk.Fail(r.desk.Session().Edit("lock "+c.Mark+" to "+b.Mark, "", func(p *plan.Project) (*plan.Project, error) {
		return p.With(func(q *plan.Project) {
			q.Choices = append(slices.DeleteFunc(slices.Clone(p.Choices), func(o plan.Choice) bool { return o.Kind == plan.BlankOnBoard && o.Row == c.N && o.Blank == c.Blank }),
				plan.Choice{ID: q.Take(), Piece: p.Piece.ID, Kind: plan.BlankOnBoard, Blank: c.Blank, Row: c.N, Board: board, Order: len(p.Choices)})
		}), nil
	}))
}

func (r *Room) lockPicked() {
	sel := r.desk.Session().Selection()
	for _, cb := range r.cuts().Boards {
		for _, c := range cb.Pieces {
			if c.Ref() == sel.Blank {
				r.lock(c, cb.Board)
				return
			}
		}
	}
	r.desk.Fail(errors.New("pick a blank on the drawing first"))
}

func (r *Room) never(board plan.ID) {
	b, ok := r.desk.Session().Project().Board(board)
	if !ok {
		r.desk.Fail(errors.New("pick a board first"))
		return
	}
	r.desk.Fail(r.desk.Session().Edit("never cut "+b.Mark, "", func(p *plan.Project) (*plan.Project, error) {
		return p.With(func(q *plan.Project) {
			q.Choices = append(slices.Clone(p.Choices), plan.Choice{ID: q.Take(), Piece: p.Piece.ID, Kind: plan.NeverBoard, Board: board, Order: len(p.Choices)})
		}), nil
	}))
}

func (r *Room) unlockAll() {
	r.desk.Fail(r.desk.Session().Edit("take locks off", "", func(p *plan.Project) (*plan.Project, error) {
		return p.With(func(q *plan.Project) {
			q.Choices = slices.DeleteFunc(slices.Clone(p.Choices), func(c plan.Choice) bool { return c.Kind != plan.RowPlace })
		}), nil
	}))
}

// tickOff marks the picked board as cut and puts its leftovers into the pile.
func (r *Room) tickOff() {
	p := r.desk.Session().Plan()
	id := r.desk.Session().Selection().Board
	if p == nil || id == 0 {
		r.desk.Fail(errors.New("pick a board on the drawing first"))
		return
	}
	b, _ := p.Project.Board(id)
	r.desk.Fail(r.desk.Session().Edit("cut up "+b.Mark, "", func(q *plan.Project) (*plan.Project, error) { return q.TickOff(p, id) }))
}
