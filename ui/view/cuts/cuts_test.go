package cuts

import (
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/shopspring/decimal"

	"pilewright/layout/figure"
	"pilewright/plan"
	"pilewright/plan/measure"
	"pilewright/ui/desk"
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

// onBoard is a place on a board of the drawing.
func onBoard(id plan.ID) paint.Place { return paint.Place{Ref: figure.BoardRef(id)} }

func TestABlankDraggedToABoardThatTakesItIsLockedThereAtAPrice(t *testing.T) {
	d, r := shown(t)
	p := d.Session().Plan()
	from := p.Cuts.Boards[0]
	c := from.Pieces[0]
	bl, _ := p.Blank(c.Blank)
	var short, takes plan.ID
	for _, b := range p.Project.Boards {
		switch {
		case b.ID == from.Board || b.State != plan.InPile:
		case b.Length < bl.Length && short == 0:
			short = b.ID
		case takes == 0 && b.Length-b.TrimLeft-b.TrimRight >= bl.Length && b.Width >= bl.Width && b.Thickness >= bl.Thickness &&
			len(b.Defects) == 0 && (bl.Species == "" || bl.Species == b.Species):
			takes = b.ID
		}
	}
	if takes == 0 {
		t.Fatal("no other board of the demonstration takes the first blank")
	}
	ref := figure.PieceRef(c)
	if short != 0 {
		if r.over(ref, onBoard(short)) || !strings.Contains(d.Said, "too short") {
			t.Errorf("over a short board it says %q", d.Said)
		}
	}
	if r.over(ref, paint.Place{}) {
		t.Error("it may be dropped beside the boards")
	}
	if !r.over(ref, onBoard(takes)) || !strings.Contains(d.Said, "let go") {
		t.Fatalf("over a board that takes it it says %q", d.Said)
	}
	r.dropped(ref, onBoard(takes))
	d.Settle()
	if d.Failed != nil {
		t.Fatal(d.Failed)
	}
	choices := d.Session().Project().Choices
	if len(choices) == 0 || choices[len(choices)-1].Board != takes || choices[len(choices)-1].Kind != plan.BlankOnBoard {
		t.Fatalf("choices %+v", choices)
	}
	part, _ := d.Session().Project().Part(bl.Part)
	if part.Way != bl.For {
		t.Errorf("the part is made %q, want %q: the lock means a blank of that way", part.Way, bl.For)
	}
	if !strings.HasPrefix(d.Said, "With "+c.Mark+" from board ") || !strings.Contains(r.proof.Text, d.Said) {
		t.Errorf("it was said %q and the bar reads %q", d.Said, r.proof.Text)
	}
	if text, _ := r.locks.Cell(0, 2); text == "" {
		t.Error("the table of locks does not tell what the lock costs")
	}
	told := d.Said
	if _, err := d.Session().Undo(); err != nil {
		t.Fatal(err)
	}
	d.Settle()
	if strings.Contains(r.proof.Text, told) {
		t.Errorf("with the lock taken back the bar still reads %q", r.proof.Text)
	}
	if _, err := d.Session().Redo(); err != nil {
		t.Fatal(err)
	}
	d.Settle()
	r.unlockAll()
	d.Settle()
	if left := len(d.Session().Project().Choices); left != 0 {
		t.Errorf("%d locks are left", left)
	}
}

func TestABoardNeverCutIsLeftWhole(t *testing.T) {
	d, r := shown(t)
	id := d.Session().Plan().Cuts.Boards[0].Board
	r.boards.SetCurrent(0, 0)
	if d.Session().Selection().Board != id {
		t.Fatal("the row picked does not pick its board")
	}
	r.never(id)
	choices := d.Session().Project().Choices
	if len(choices) != 1 || choices[0].Kind != plan.NeverBoard || choices[0].Board != id {
		t.Fatalf("choices %+v", choices)
	}
	if r.over(figure.PieceRef(d.Session().Plan().Cuts.Boards[1].Pieces[0]), onBoard(id)) {
		t.Error("a blank may be dropped on a board that is never cut")
	}
	r.never(id)
	if n := len(d.Session().Project().Choices); n != 1 {
		t.Errorf("asked twice, there are %d locks", n)
	}
}

func TestABlankPickedInTheDrawingPicksBoardPartAndRow(t *testing.T) {
	d, r := shown(t)
	cb := d.Session().Plan().Cuts.Boards[2]
	c := cb.Pieces[0]
	r.pick(figure.PieceRef(c), 0)
	part, _ := plan.KeyPart(c.Blank)
	if got, want := d.Session().Selection(), (session.Selection{Board: cb.Board, Part: part, Blank: c.Ref()}); got != want {
		t.Errorf("picked %+v, want %+v", got, want)
	}
	if rows := r.boards.SelectedRows(); !slices.Equal(rows, []int{2}) {
		t.Errorf("rows %v are selected", rows)
	}
	if !slices.Contains(r.view.Selected(), figure.PieceRef(c)) {
		t.Error("the blank is not outlined")
	}
	r.modes.Press(oneBoard)
	if _, ok := r.view.Picture().Extent(figure.PieceRef(c)); !ok {
		t.Error("the board picked is not drawn large")
	}
	if _, ok := r.view.Picture().Extent(figure.BoardRef(d.Session().Plan().Cuts.Boards[0].Board)); ok {
		t.Error("other boards are still drawn")
	}
}

func TestABoardTickedOffLeavesItsLeftoversInThePile(t *testing.T) {
	d, r := shown(t)
	cb := d.Session().Plan().Cuts.Boards[0]
	before := len(d.Session().Project().Boards)
	r.tickOff()
	if d.Failed == nil {
		t.Error("ticking off without a board picked is not refused")
	}
	d.Session().Select(session.Selection{Board: cb.Board})
	r.tickOff()
	if d.Failed != nil {
		t.Fatal(d.Failed)
	}
	p := d.Session().Project()
	if b, _ := p.Board(cb.Board); b.State != plan.Cut {
		t.Errorf("the board is %q", b.State)
	}
	if got := len(p.Boards) - before; got != len(cb.Leftovers) || len(p.Ready) != len(cb.Pieces) {
		t.Errorf("%d boards came back and %d blanks are ready, want %d and %d", got, len(p.Ready), len(cb.Leftovers), len(cb.Pieces))
	}
}

func TestSawRowsHoldEveryCutOnceEqualSettingsTogether(t *testing.T) {
	d, r := shown(t)
	want := 0
	for _, cb := range d.Session().Plan().Cuts.Boards {
		want += len(cb.Saws)
	}
	rows := r.sawRows()
	if len(rows) != want {
		t.Errorf("%d cuts are listed, want %d", len(rows), want)
	}
	if !slices.IsSortedFunc(rows, func(a, b sawRow) int { return a.saw.Group - b.saw.Group }) {
		t.Error("settings are mixed")
	}
}

func TestACutAfterPlaningIsSaidToBeOne(t *testing.T) {
	for late, want := range map[bool]string{false: "B1 B2", true: "B1 B2 (after planing)"} {
		if got := frees(plan.Saw{Mark: "B1 B2", Parting: late}); got != want {
			t.Errorf("late %v: %q", late, got)
		}
	}
}

func TestCostTellsMoreAndLess(t *testing.T) {
	made := func(money, feet float64, boards, missing int) *plan.Plan {
		p := &plan.Plan{Project: &plan.Project{Shop: plan.DefaultShop()}}
		p.Cuts.Money, p.Ledger.Feet = decimal.NewFromFloat(money), decimal.NewFromFloat(feet)
		p.Cuts.Boards = make([]plan.CutBoard, boards)
		if missing > 0 {
			p.Cuts.Short = []plan.Short{{Count: missing}}
		}
		return p
	}
	for _, c := range []struct {
		name          string
		before, after *plan.Plan
		want          string
	}{
		{"nothing changes", made(3, 10, 4, 0), made(3, 10, 4, 0), "it costs nothing"},
		{"dearer, more wood, one board", made(3, 10, 4, 0), made(3.7, 11.25, 5, 0), "$0.70 more, 1.3 board feet more, 1 board more"},
		{"cheaper", made(3, 10, 4, 0), made(2.5, 10, 4, 0), "$0.50 less"},
		{"something is missing then", made(3, 10, 4, 0), made(3, 10, 4, 2), "2 blanks missing more"},
	} {
		t.Run(c.name, func(t *testing.T) {
			if got := Cost(c.before, c.after); got != c.want {
				t.Errorf("got %q, want %q", got, c.want)
			}
		})
	}
}

func TestClearRunIsTheLongestStretchBetweenFullDefects(t *testing.T) {
	in := func(n int64) measure.Length { return measure.Length(n) * measure.Inch }
	b := plan.Board{Length: in(40), Width: in(5), TrimLeft: in(1), TrimRight: in(2), Defects: []plan.Defect{
		{Kind: plan.Split, From: in(30), To: in(33)},
		{Kind: plan.Knot, From: in(10), To: in(12), AcrossFrom: in(1), AcrossTo: in(2)}, // leaves wood beside it
		{Kind: plan.Crack, From: in(6), To: in(7), AcrossTo: in(5)},
	}}
	if got := clearRun(b); got != in(23) { // 7 to 30
		t.Errorf("got %s, want %s", strconv.FormatInt(int64(got/measure.Inch), 10), "23 in")
	}
}

func TestAMeasureOnABoardIsInItsOwnSizes(t *testing.T) {
	d, r := shown(t)
	ref := figure.BoardRef(d.Session().Project().Boards[0].ID)
	if got := r.view.Distance(paint.Place{Ref: ref, RealX: 100}, paint.Place{Ref: ref, RealX: 354}); got != desk.Length(d.Session().Project(), 10*measure.Inch) {
		t.Errorf("254 mm read %q", got)
	}
	if got := r.view.Distance(paint.Place{Ref: ref}, paint.Place{}); got != "begin and end on one board" {
		t.Errorf("from a board to beside it reads %q", got)
	}
}
