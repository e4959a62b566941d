// Package cuts is the room of the cutting plan: what is cut from which board,
// in which order, with what proof, above; the boards drawn to scale below.
package cuts

import (
	"math"
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
	"pilewright/plan/measure"
	"pilewright/ui/control"
	"pilewright/ui/desk"
	"pilewright/ui/locale"
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
	tabs    *container.AppTabs
	proof   *widget.Label
	modes   *control.Modes
	plan    *widget.Button
	content fyne.CanvasObject
	drop    plan.ID // board a dragged blank is over
	choice  choice  // the last lock, to tell what it costs
	whatIf  string  // what a plan without a board would come to, or that it is asked
	asked   func()  // stops the question
	costs   map[string]string
}

// New makes the room.
func New(d desk.Desk) *Room {
	r := &Room{desk: d, view: paint.NewView(), proof: widget.NewLabel(""), costs: map[string]string{}}
	r.proof.Wrapping = fyne.TextWrapWord
	r.boards, r.saws, r.aims, r.locks = r.boardGrid(), r.sawGrid(), r.aimGrid(), r.lockGrid()
	r.view.FitWidth = true
	r.view.OnStatus = d.Say
	r.view.OnPick = r.pick
	r.view.Menu = r.menu
	r.view.Distance = func(a, b paint.Place) string { return distance(d.Session().Project(), a, b) }
	r.view.OnDragStart = func(ref string, _ paint.Place) bool { return strings.HasPrefix(ref, "blank:") }
	r.view.OnDragTo = r.over
	r.view.OnDrop = r.dropped
	r.view.OnDragCancel = func(string) { d.Say("") }
	r.modes = control.NewModes([]string{lang.L("All boards"), lang.L("The board picked")}, func(int) { r.draw(); r.view.Fit() })
	r.plan = widget.NewButton(lang.L("Plan on"), r.stopOrGo)
	bar := container.NewHBox(r.modes, widget.NewSeparator(), widget.NewButton(lang.L("Tick off"), r.tickOff),
		widget.NewButton(lang.L("Never cut"), func() { r.never(d.Session().Selection().Board) }), widget.NewButton(lang.L("Without it?"), r.without), widget.NewButton(lang.L("No locks"), r.unlockAll), r.plan)
	tabs := container.NewAppTabs(container.NewTabItem(lang.L("Boards"), r.boards), container.NewTabItem(lang.L("Order of cuts"), r.saws),
		container.NewTabItem(lang.L("Aims and proof"), r.aims), container.NewTabItem(lang.L("Locks"), r.locks))
	r.tabs = tabs
	below := container.NewBorder(container.NewVBox(container.NewHScroll(bar), r.proof), nil, nil, paint.NewTools(r.view, paint.Measure), desk.Sized(r.view, r.draw))
	split := control.NewSplit(false, tabs, below, desk.Share(d.Recall("split.cuts"), 0.36))
	split.OnMoved = func(s float64) { d.Remember("split.cuts", strconv.FormatFloat(s, 'f', 3, 64)) }
	r.content = split
	return r
}

// distance is the real distance of two places of one board.
func distance(p *plan.Project, a, b paint.Place) string {
	if a.Ref == "" || b.Ref != a.Ref {
		return lang.L("begin and end on one board")
	}
	mm := math.Hypot(b.RealX-a.RealX, b.RealY-a.RealY)
	return desk.Length(p, measure.Length(math.Round(mm*10))*(measure.Millimetre/10))
}

// ID implements desk.Room.
func (r *Room) ID() string { return desk.Cuts }

// Title implements desk.Room.
func (r *Room) Title() string { return lang.L("Cuts") }

// Content implements desk.Room.
func (r *Room) Content() fyne.CanvasObject { return r.content }

// Drawing implements desk.Drawer.
func (r *Room) Drawing() (*paint.View, []paint.Tool) { return r.view, []paint.Tool{paint.Measure} }

// Commands implements desk.Room.
func (r *Room) Commands() []desk.Command {
	d := r.desk.Session()
	return []desk.Command{
		{Name: lang.L("Draw all boards"), Run: func() { r.modes.Press(allBoards) }},
		{Name: lang.L("Draw the board picked, large"), Run: func() { r.modes.Press(oneBoard) }},
		{Name: lang.L("Show the boards that are cut"), Run: func() { desk.ShowTab(r.desk, r.tabs, 0, r.boards) }},
		{Name: lang.L("Show the order of cuts"), Tip: lang.L("set-up stop fence"), Run: func() { desk.ShowTab(r.desk, r.tabs, 1, r.saws) }},
		{Name: lang.L("Show aims and proof"), Run: func() { desk.ShowTab(r.desk, r.tabs, 2, r.aims) }},
		{Name: lang.L("Show locks"), Run: func() { desk.ShowTab(r.desk, r.tabs, 3, r.locks) }},
		{Name: lang.L("Lock the blank picked to its board"), Run: r.lockPicked},
		{Name: lang.L("Never cut the board picked"), Run: func() { r.never(r.desk.Session().Selection().Board) }},
		{Name: lang.L("What would it cost without the board picked?"), Tip: lang.L("what-if never cut"), Run: r.without},
		{Name: lang.L("Stop looking for better cuts"), Run: d.Stop, Enabled: func() bool { busy, _ := d.Busy(); return busy }},
		{Name: lang.L("Go on looking for better cuts"), Run: d.Replan, Enabled: func() bool { busy, _ := d.Busy(); return !busy && !(r.cuts().Proved && r.cuts().Final) }},
		{Name: lang.L("Take all locks off"), Run: r.unlockAll},
		{Name: lang.L("Tick off the cuts of the board picked"), Run: r.tickOff},
	}
}

// What is drawn, as numbered in the bar.
const (
	allBoards = iota
	oneBoard
)

// Changed implements desk.Room.
func (r *Room) Changed(c session.Change) {
	if c.Piece {
		r.choice, r.costs = choice{}, map[string]string{}
	}
	if c.Project || c.Piece {
		r.ask("") // the answer was for another state
		r.forget()
	}
	if c.Plan || c.Busy {
		r.reckon()
	}
	if c.Plan || c.Project || c.Piece || c.Busy {
		for _, g := range []*control.Grid{r.boards, r.saws, r.aims, r.locks} {
			g.Refresh()
		}
		r.proof.SetText(r.sentence())
		r.offer()
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

// sentence tells what is cut and exactly what is proved of it.
func (r *Room) sentence() string {
	c := r.cuts()
	s := r.desk.Session()
	busy, _ := s.Busy()
	if len(c.Boards) == 0 && len(c.Short) == 0 {
		switch {
		case busy:
			return lang.L("Looking for the first cuts…")
		case s.Project().Piece.ID == 0:
			return lang.L("Nothing to cut yet. Begin a piece (Ctrl+N); its blanks are then cut from the boards of the pile.")
		case len(s.Project().Boards) == 0:
			return lang.L("Nothing to cut from. Add boards in the Pile (Ctrl+1).")
		}
		return lang.L("Nothing to cut: the piece has no parts with a place.")
	}
	text := lang.L("{{.boards}}, {{.wood}}.", locale.With{"boards": boards(len(c.Boards)), "wood": desk.Wood(s.Project(), s.Plan().Ledger.Feet)}) + "  "
	switch {
	case r.choice.told != "":
		text += r.choice.told
	case busy && !c.Final:
		text += lang.L("Looking for better and for a proof; what is drawn can be cut as it is.")
		if c.Sentence != "" {
			text += "  " + lang.L("So far: {{.proved}}", locale.With{"proved": locale.Say(c.Sentence)})
		}
	default:
		text += locale.Say(c.Sentence)
	}
	if r.whatIf != "" {
		text += "\n" + r.whatIf
	}
	for _, x := range c.Short {
		if x.Say != "" {
			text += "\n" + locale.Say(x.Say)
		}
	}
	return text
}

func boards(n int) string { return lang.N("{{.n}} boards", n, locale.With{"n": n}) }

// draw shows every board that is cut in columns as wide as can be read, or the
// board picked by itself.
func (r *Room) draw() {
	s := r.desk.Session()
	p := s.Plan()
	if p == nil {
		r.view.SetPicture(&drawing.Picture{})
		return
	}
	width, _ := desk.Paper(r.view.Size())
	if id := s.Selection().Board; r.modes.At() == oneBoard {
		if id == 0 && len(p.Cuts.Boards) > 0 {
			id = p.Cuts.Boards[0].Board
		}
		r.view.SetPicture(figure.OneBoard(p.Project, p, id, width))
	} else {
		r.view.SetPicture(r.overview(p, width))
	}
	r.mark()
}

// overview lays the cut boards out in columns of about columnMM of paper.
func (r *Room) overview(p *plan.Plan, width float64) *drawing.Picture {
	const columnMM, between = 90, 17 // between: the gap and a tape figure beyond a board's end
	columns := max(1, int(width/columnMM))
	var views []drawing.BoardView
	var lengths []measure.Length
	for _, cb := range p.Cuts.Boards {
		if v, ok := figure.Cut(p, cb); ok {
			views = append(views, v)
			lengths = append(lengths, v.Length)
		}
	}
	if len(views) == 0 {
		return &drawing.Picture{}
	}
	slices.Sort(lengths)
	per := func(room float64, l measure.Length) float64 { return room * float64(measure.Millimetre) / float64(l) }
	// Every other board fits its column; no board is longer than the whole width.
	scale := min(per(width/float64(columns)-between, lengths[(len(lengths)-1)/2]), per(width-between, lengths[len(lengths)-1]))
	return drawing.Boards(views, drawing.BoardsOptions{Width: width, Scale: scale, Legend: true, Format: func(l measure.Length) string { return desk.Length(p.Project, l) }})
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
	if r.modes.At() == oneBoard {
		r.draw()
		return
	}
	r.mark()
	if list := r.view.Selected(); len(list) > 0 {
		r.view.Reveal(list[len(list)-1])
	}
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
		return fyne.NewMenu("", fyne.NewMenuItem(lang.L("Lock {{.mark}} to this board", locale.With{"mark": c.Mark}), func() { r.lock(c, board) }),
			fyne.NewMenuItem(lang.L("Never cut this board"), func() { r.never(board) }))
	}
	if id := boardOf(ref); id != 0 {
		return fyne.NewMenu("", fyne.NewMenuItem(lang.L("Never cut this board"), func() { r.never(id) }))
	}
	return nil
}
