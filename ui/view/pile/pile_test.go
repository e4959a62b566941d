package pile

import (
	"slices"
	"strings"
	"testing"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/test"

	"pilewright/layout/drawing"
	"pilewright/layout/figure"
	"pilewright/plan"
	"pilewright/plan/measure"
	"pilewright/ui/desk/desktest"
	"pilewright/ui/paint"
	"pilewright/ui/session"
)

func shown(t *testing.T) (*desktest.Desk, *Room) {
	t.Helper()
	d := desktest.New(t)
	r := New(d)
	d.Show(r)
	return d, r
}

func TestTheQuickLineAddsBoards(t *testing.T) {
	d, r := shown(t)
	before := len(d.Session().Project().Boards)
	d.Window().Canvas().Focus(r.entry)
	test.Type(r.entry, "3 @ 38 1/2 x 3 1/2 x 5/8 pine")
	r.entry.Finish()
	d.Settle()
	boards := d.Session().Project().Boards
	if len(boards) != before+3 {
		t.Fatalf("the pile holds %d boards, want %d", len(boards), before+3)
	}
	if b := boards[len(boards)-1]; b.Length != 77*measure.Inch/2 || b.Width != 7*measure.Inch/2 || b.Thickness != 5*measure.Inch/8 {
		t.Errorf("the last board is %v x %v x %v", b.Length, b.Width, b.Thickness)
	}
	if r.entry.Text != "" || !strings.Contains(d.Said, "3 boards added") {
		t.Errorf("the line still holds %q; it was said %q", r.entry.Text, d.Said)
	}
}

func TestABadQuickLineKeepsItsTextAndAddsNothing(t *testing.T) {
	d, r := shown(t)
	before := d.Session().Project()
	d.Window().Canvas().Focus(r.entry)
	test.Type(r.entry, "3 @ 38 1/2 by lots")
	r.entry.Finish()
	if d.Session().Project() != before {
		t.Error("the pile was changed")
	}
	if r.entry.Text != "3 @ 38 1/2 by lots" || r.entry.Refused() == nil || d.Said == "" {
		t.Errorf("the line holds %q, refused %v, said %q", r.entry.Text, r.entry.Refused(), d.Said)
	}
}

func TestARowPickedShowsItsBoardAndABoardPickedElsewhereItsRow(t *testing.T) {
	d, r := shown(t)
	r.boards.SetCurrent(4, colLength)
	want := r.shown[4].ID
	if got := d.Session().Selection().Board; got != want {
		t.Fatalf("picked is board %d, want %d", got, want)
	}
	if _, ok := r.view.Picture().Extent(figure.BoardRef(want)); !ok {
		t.Error("the board picked is not the one drawn")
	}
	d.Session().Select(session.Selection{Board: r.shown[7].ID})
	if rows := r.boards.SelectedRows(); !slices.Equal(rows, []int{7}) {
		t.Errorf("rows %v are selected, want row 7", rows)
	}
}

func TestADefectDrawnIsStoredWhereItWasDrawn(t *testing.T) {
	d, r := shown(t)
	i := slices.IndexFunc(r.shown, func(b plan.Board) bool { return len(b.Defects) == 0 })
	b := r.shown[i]
	d.Session().Select(session.Selection{Board: b.ID})
	r.kind.SetSelected(kindName(plan.Knot))
	if r.view.CurrentTool() != paint.Frame {
		t.Fatal("the kind chosen does not take up the frame tool")
	}
	ref := figure.BoardRef(b.ID)
	r.drawDefect(paint.Place{Ref: ref, RealX: 317, RealY: 38}, paint.Place{Ref: ref, RealX: 254.9, RealY: 13})
	got, _ := d.Session().Project().Board(b.ID)
	// Outwards to the next sixteenth: 254.9 mm lies beyond 10 in, 317 mm short of 12 1/2 in.
	want := plan.Defect{Kind: plan.Knot, From: 10 * measure.Inch, To: 25 * measure.Inch / 2, AcrossFrom: measure.Inch / 2, AcrossTo: 3 * measure.Inch / 2}
	if len(got.Defects) != 1 || got.Defects[0] != want {
		t.Fatalf("defects %+v, want %+v", got.Defects, want)
	}
	if r.view.CurrentTool() != paint.Hand || r.kind.Selected != "" {
		t.Error("the tool is not put away after drawing")
	}
	m := r.defectMenu(figure.DefectRef(b.ID, 0), paint.Place{})
	m.Items[0].Action()
	if got, _ = d.Session().Project().Board(b.ID); len(got.Defects) != 0 {
		t.Errorf("after taking it away the board has %+v", got.Defects)
	}
}

func TestADefectDrawnBesideTheBoardIsRefused(t *testing.T) {
	d, r := shown(t)
	r.kind.SetSelected(kindName(plan.Split))
	before := d.Session().Project()
	r.drawDefect(paint.Place{}, paint.Place{RealX: 5, RealY: 5})
	if d.Failed == nil || d.Session().Project() != before {
		t.Errorf("failed %v; the project changed: %v", d.Failed, d.Session().Project() != before)
	}
}

func TestDefectsReadBackAsTheyAreShown(t *testing.T) {
	list := []plan.Defect{
		{Kind: plan.Knot, From: 13 * measure.Inch, To: 29 * measure.Inch / 2, AcrossFrom: 2 * measure.Inch, AcrossTo: 3 * measure.Inch},
		{Kind: plan.Split, From: 1092200 * measure.Millimetre / 1000, To: 1168400 * measure.Millimetre / 1000},
		{Kind: plan.Stain, From: 2 * measure.Inch, To: 5 * measure.Inch, Side: plan.FaceB},
		{Kind: plan.NailHole, From: 2 * measure.Inch, To: 5 * measure.Inch, AcrossFrom: measure.Inch, AcrossTo: 2 * measure.Inch, Side: plan.FaceA},
	}
	for _, inches := range []bool{true, false} {
		p := &plan.Project{Shop: plan.DefaultShop()}
		p.Shop.Inches = inches
		text := defectsText(p, list)
		got, err := readDefects(text, p.Shop.Unit())
		if err != nil || !slices.Equal(got, list) {
			t.Errorf("inches %v: %q reads as %+v, %v; want %+v", inches, text, got, err, list)
		}
	}
}

func TestABoardKeptWholeIsNotCutAndUndoBringsItBack(t *testing.T) {
	d, r := shown(t)
	cut := d.Session().Plan().Cuts.Boards[0].Board
	i := slices.IndexFunc(r.shown, func(b plan.Board) bool { return b.ID == cut })
	r.boards.SetCurrent(i, colMark)
	r.setState(plan.Kept)
	d.Settle()
	for _, cb := range d.Session().Plan().Cuts.Boards {
		if cb.Board == cut {
			t.Fatal("a board kept whole is cut")
		}
	}
	if label, err := d.Session().Undo(); err != nil || label != "keep boards whole" {
		t.Fatalf("undo said %q, %v", label, err)
	}
	d.Settle()
	if b, _ := d.Session().Project().Board(cut); b.State != plan.InPile {
		t.Errorf("after undo the board is %q", b.State)
	}
}

func TestALotTypedIntoTheEmptyRowIsAdded(t *testing.T) {
	d, r := shown(t)
	n := len(d.Session().Project().Lots)
	if err := r.lots.Commit(n, 3, "1h20"); err != nil {
		t.Fatal(err)
	}
	lots := d.Session().Project().Lots
	if len(lots) != n+1 || lots[n].Minutes != 80 {
		t.Fatalf("lots %+v", lots[n:])
	}
	if err := r.lots.Commit(n, 2, "2026-02-30"); err == nil {
		t.Error("the thirtieth of February is taken for a day")
	}
}

func TestRowsAreSortedByWhatTheColumnMeans(t *testing.T) {
	_, r := shown(t)
	r.boards.OnSort(colLength, true)
	if !slices.IsSortedFunc(r.shown, func(a, b plan.Board) int { return int(max(-1, min(1, b.Length-a.Length))) }) {
		t.Error("boards are not sorted by length, the longest first")
	}
}

func TestABoardIsMadeASheetAndBackInItsRow(t *testing.T) {
	d, r := shown(t)
	id := r.shown[0].ID
	for _, tt := range []struct {
		text           string
		sheet, noGrain bool
	}{{sortSheet, true, false}, {sortNoGrain, true, true}, {sortBoard, false, false}} {
		row := slices.IndexFunc(r.shown, func(b plan.Board) bool { return b.ID == id })
		if err := r.commit(row, colSort, tt.text); err != nil {
			t.Fatal(err)
		}
		d.Settle()
		b, _ := d.Session().Project().Board(id)
		if b.Sheet != tt.sheet || b.NoGrain != tt.noGrain {
			t.Errorf("%q: sheet %v, no grain %v", tt.text, b.Sheet, b.NoGrain)
		}
		if got, _ := r.cell(slices.IndexFunc(r.shown, func(b plan.Board) bool { return b.ID == id }), colSort); got != tt.text {
			t.Errorf("shown as %q, want %q", got, tt.text)
		}
	}
	if err := r.commit(0, colSort, "veneer"); err == nil {
		t.Error("an unknown sort is taken")
	}
}

func TestFacesAndRingsOfABoardAreTypedAndShown(t *testing.T) {
	d, r := shown(t)
	id := r.shown[0].ID
	for _, tt := range []struct {
		text  string
		good  plan.GoodFaces
		rings plan.Rings
		want  string
	}{
		{"a", plan.GoodA, plan.NotMarked, "A"},
		{"B, bark up", plan.GoodB, plan.BarkUp, "B, bark up"},
		{"Bark Down", plan.FacesUnknown, plan.BarkDown, "bark down"},
		{"both upright", plan.GoodBoth, plan.Upright, "both good, upright"},
		{"neither good", plan.GoodNone, plan.NotMarked, "neither good"},
		{"", plan.FacesUnknown, plan.NotMarked, ""},
	} {
		row := slices.IndexFunc(r.shown, func(b plan.Board) bool { return b.ID == id })
		if err := r.commit(row, colFaces, tt.text); err != nil {
			t.Fatal(err)
		}
		d.Settle()
		b, _ := d.Session().Project().Board(id)
		if got, state := r.cell(row, colFaces); b.Faces != tt.good || b.Rings != tt.rings || got != tt.want || (state.Message == "") != (got == "") {
			t.Errorf("%q: faces %q, rings %q, shown as %q (%s)", tt.text, b.Faces, b.Rings, got, state.Message)
		}
	}
	for _, text := range []string{"C", "A, B", "bark up, upright", "A,"} {
		if err := r.commit(0, colFaces, text); (err == nil) != (text == "A,") {
			t.Errorf("%q: %v", text, err)
		}
	}
}

func TestTheMenuSetsTheFacesOfEveryBoardChosen(t *testing.T) {
	d, r := shown(t)
	ids := []plan.ID{r.shown[0].ID, r.shown[2].ID}
	r.boards.SelectRows([]string{r.boards.RowID(0), r.boards.RowID(2)})
	menu := r.menu([]int{0, 2})
	k := slices.IndexFunc(menu.Items, func(m *fyne.MenuItem) bool { return m.ChildMenu != nil })
	for _, label := range []string{"B is the good face", "with A up: bark down"} {
		items := menu.Items[k].ChildMenu.Items
		items[slices.IndexFunc(items, func(m *fyne.MenuItem) bool { return m.Label == label })].Action()
		d.Settle()
	}
	for _, b := range d.Session().Project().Boards {
		if chosen := slices.Contains(ids, b.ID); chosen != (b.Faces == plan.GoodB && b.Rings == plan.BarkDown) {
			t.Errorf("board %s, chosen %v: faces %q, rings %q", b.Mark, chosen, b.Faces, b.Rings)
		}
	}
}

func TestTheMenuOfADefectSaysWhichFaceItShowsOn(t *testing.T) {
	d, r := shown(t)
	i := slices.IndexFunc(r.shown, func(b plan.Board) bool { return len(b.Defects) > 0 })
	d.Session().Select(session.Selection{Board: r.shown[i].ID})
	id := r.shown[i].ID
	for _, tt := range []struct {
		item string
		want plan.Face
	}{{"It shows on face B only", plan.FaceB}, {"It shows on face A only, the one with the mark", plan.FaceA}, {"It goes through", plan.NoFace}} {
		menu := r.defectMenu(figure.DefectRef(id, 0), paint.Place{})
		k := slices.IndexFunc(menu.Items, func(m *fyne.MenuItem) bool { return m.Label == tt.item })
		menu.Items[k].Action()
		d.Settle()
		if b, _ := d.Session().Project().Board(id); b.Defects[0].Side != tt.want {
			t.Errorf("%s: it is on face %q", tt.item, b.Defects[0].Side)
		}
	}
}

func TestTheBoardsOfAWaitingLotAreTypedAsTheyAreShown(t *testing.T) {
	d, _ := shown(t)
	p := d.Session().Project()
	var l plan.Lot
	if err := setLot(p, &l, 9, "1016 mm x 3 1/2 x 5/8"); err != nil {
		t.Fatal(err)
	}
	if l.UnitBoard != 1016*measure.Millimetre || l.UnitWidth != 7*measure.Inch/2 || l.UnitThick != 5*measure.Inch/8 {
		t.Errorf("the lot's boards are %v x %v x %v", l.UnitBoard, l.UnitWidth, l.UnitThick)
	}
	again := plan.Lot{}
	if err := setLot(p, &again, 9, lotCell(p, l, 9)); err != nil || again.UnitWidth != l.UnitWidth {
		t.Errorf("%q reads as %+v, %v", lotCell(p, l, 9), again, err)
	}
	for _, bad := range []string{"40 x 3", "2 @ 40 x 3 x 1", "40 x 3 x 1 oak", "0 x 3 x 1"} {
		if err := setLot(p, &again, 9, bad); err == nil || again.UnitWidth != l.UnitWidth {
			t.Errorf("%q: error %v, width %v", bad, err, again.UnitWidth)
		}
	}
	if err := setLot(p, &l, 9, ""); err != nil || l.UnitBoard != 0 {
		t.Errorf("cleared: %v, %v", l.UnitBoard, err)
	}
}

// On the real drawing of a real board, however narrow the room: the corners read
// as the board's own sizes.
func TestTheDrawingOfABoardReadsInItsOwnSizes(t *testing.T) {
	d, r := shown(t)
	b := r.shown[0]
	for _, width := range []float64{90, 150, 300} {
		pic := figure.OneBoard(d.Session().Project(), nil, b.ID, width)
		v := paint.NewView()
		v.SetPicture(pic)
		ref := figure.BoardRef(b.ID)
		f, ok := pic.Frame(ref)
		if !ok {
			t.Fatal("the board has no frame")
		}
		box := drawing.Rect{}
		for _, m := range pic.Marks {
			if m.Ref == ref && m.Role == drawing.RoleBoard {
				box = drawing.Rect{X0: m.Pts[0].X, Y0: m.Pts[0].Y, X1: m.Pts[0].X, Y1: m.Pts[0].Y}
				for _, p := range m.Pts {
					box = drawing.Rect{X0: min(box.X0, p.X), Y0: min(box.Y0, p.Y), X1: max(box.X1, p.X), Y1: max(box.Y1, p.Y)}
				}
			}
		}
		at, _ := v.On(ref, paint.Place{X: box.X1, Y: box.Y1})
		if got := millimetres(at.RealX); max(got-b.Length, b.Length-got) > measure.Millimetre {
			t.Errorf("at %g mm its far end reads %v, it is %v (frame %+v)", width, got, b.Length, f)
		}
		if got := millimetres(at.RealY); max(got-b.Width, b.Width-got) > measure.Millimetre {
			t.Errorf("at %g mm its far edge reads %v, it is %v (frame %+v)", width, got, b.Width, f)
		}
	}
}
