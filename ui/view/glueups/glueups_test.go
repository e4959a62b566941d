package glueups

import (
	"slices"
	"strings"
	"testing"

	"fyne.io/fyne/v2/test"
	"github.com/shopspring/decimal"

	"pilewright/layout/figure"
	"pilewright/plan"
	"pilewright/ui/desk/desktest"
	"pilewright/ui/paint"
	"pilewright/ui/session"
)

// panelOf is a desk with the room shown and a flat panel chosen.
func panelOf(t *testing.T) (*desktest.Desk, *Room, plan.GlueUp) {
	t.Helper()
	d := desktest.New(t)
	r := New(d)
	d.Show(r)
	for _, g := range r.plan().GlueUps {
		if g.Way != plan.Laminated && len(g.Panel.Rows) > 2 {
			r.choose(g.Key)
			return d, r, g
		}
	}
	t.Fatalf("the demonstration has no panel: %d glue-ups", len(r.plan().GlueUps))
	return nil, nil, plan.GlueUp{}
}

// placeOf is the middle of a strip on the drawing.
func placeOf(t *testing.T, r *Room, strip string) paint.Place {
	t.Helper()
	box, ok := r.view.Picture().Extent(stripRef(strip))
	if !ok {
		t.Fatalf("strip %s is not drawn", strip)
	}
	return paint.Place{X: (box.X0 + box.X1) / 2, Y: (box.Y0 + box.Y1) / 2}
}

func TestAStripDraggedToAnotherRowIsLockedThere(t *testing.T) {
	d, r, g := panelOf(t)
	strip, target := g.Panel.Rows[0].Pieces[0].Strip, g.Panel.Rows[2].Pieces[0].Strip
	if !r.mayDrag(stripRef(strip)) {
		t.Fatal("the strip can't be dragged")
	}
	if !r.over(stripRef(strip), placeOf(t, r, target)) || !strings.Contains(d.Said, "row 3") {
		t.Errorf("over row 3 it says %q", d.Said)
	}
	r.dropped(stripRef(strip), placeOf(t, r, target))
	d.Settle()
	if d.Failed != nil {
		t.Fatal(d.Failed)
	}
	now, _ := r.shown()
	if row, _, ok := at(now, strip); !ok || row != 3 {
		t.Errorf("the strip lies in row %d", row)
	}
	if !strings.Contains(r.words.Text, "in row 3") {
		t.Errorf("what the move did is not told: %q", r.words.Text)
	}
	if n := len(r.locksOf); n != 1 {
		t.Errorf("%d locks", n)
	}
	r.unlockAll()
	d.Settle()
	if d.Failed != nil || len(r.locksOf) != 0 {
		t.Errorf("unlocking: %v, %d locks left", d.Failed, len(r.locksOf))
	}
	if _, err := d.Session().Undo(); err != nil {
		t.Fatal(err)
	}
	d.Settle()
	if len(r.locksOf) != 1 {
		t.Error("undo does not bring the lock back")
	}
}

func TestAStripLetGoOffThePanelStays(t *testing.T) {
	d, r, g := panelOf(t)
	r.dropped(stripRef(g.Panel.Rows[0].Pieces[0].Strip), paint.Place{X: -500, Y: -500})
	if d.Failed == nil || len(d.Session().Project().Choices) != 0 {
		t.Errorf("error %v, choices %v", d.Failed, d.Session().Project().Choices)
	}
}

func TestTurningAStripOverTwiceBringsItBack(t *testing.T) {
	d, r, g := panelOf(t)
	strip := g.Panel.Rows[1].Pieces[0].Strip
	before := flipped(g, strip)
	for i := range 2 {
		r.pick(stripRef(strip))
		r.flipPicked()
		d.Settle()
		now, _ := r.shown()
		if got := flipped(now, strip); got != (before == (i%2 == 1)) || d.Failed != nil {
			t.Fatalf("turn %d: turned %v, error %v", i+1, got, d.Failed)
		}
	}
	if n := len(d.Session().Project().Choices); n != 1 {
		t.Errorf("%d locks on one strip", n)
	}
}

// flatPanel is a glue-up whose strips may be turned over, strips in rows of one.
func flatPanel(t *testing.T) (*desktest.Desk, *Room, plan.GlueUp) {
	t.Helper()
	d, r, g := panelOf(t)
	if g.Way != plan.FlatPanel {
		t.Fatalf("the panel shown is %s", g.Way)
	}
	return d, r, g
}

func TestMarkedRingsAreShownAndTurnWithTheStrip(t *testing.T) {
	d, r, g := flatPanel(t)
	strip := g.Panel.Rows[1].Pieces[0].Strip
	lies := func() plan.Rings {
		now, _ := r.shown()
		row, place, ok := at(now, strip)
		if !ok {
			t.Fatal("the strip is gone")
		}
		return now.Panel.Rows[row-1].Pieces[place-1].Rings
	}
	r.pick(stripRef(strip))
	r.rings.SetSelected(ringNames()[1])
	d.Settle()
	if d.Failed != nil || lies() != plan.BarkUp || r.rings.Selected != ringNames()[1] {
		t.Fatalf("marked up: %v, lies %q, shown %q", d.Failed, lies(), r.rings.Selected)
	}
	r.pick(stripRef(strip))
	r.flipPicked()
	d.Settle()
	if lies() != plan.BarkDown || r.rings.Selected != ringNames()[2] {
		t.Errorf("turned over it lies %q, shown as %q", lies(), r.rings.Selected)
	}
	r.markRings(plan.BarkUp) // as it lies now, turned over
	d.Settle()
	if lies() != plan.BarkUp {
		t.Errorf("marked anew it lies %q", lies())
	}
	r.markRings(plan.NotMarked)
	d.Settle()
	marks := func() int {
		n := 0
		for _, c := range d.Session().Project().Choices {
			if c.Kind == plan.RingsMark {
				n++
			}
		}
		return n
	}
	if lies() != plan.NotMarked || marks() != 0 {
		t.Errorf("without a mark it lies %q, %d marks", lies(), marks())
	}
	if _, err := d.Session().Undo(); err != nil {
		t.Fatal(err)
	}
	d.Settle()
	if lies() != plan.BarkUp || marks() != 1 {
		t.Errorf("undone it lies %q, %d marks", lies(), marks())
	}
}

func TestAStripMovedKeepsTheFaceToThePlanUnlessItWasTurnedByHand(t *testing.T) {
	d, r, g := flatPanel(t)
	strip, target := g.Panel.Rows[0].Pieces[0].Strip, g.Panel.Rows[2].Pieces[0].Strip
	lock := func() plan.Choice {
		list := d.Session().Project().Choices
		if len(list) != 1 {
			t.Fatalf("%d choices", len(list))
		}
		return list[0]
	}
	r.dropped(stripRef(strip), placeOf(t, r, target))
	d.Settle()
	if c := lock(); !c.AnyFace || c.Flip || lockCell(r.plan(), c, 4) != "the plan's choice" {
		t.Errorf("moved: %+v", c)
	}
	r.pick(stripRef(strip))
	r.flipPicked()
	d.Settle()
	now, _ := r.shown()
	if c := lock(); c.AnyFace || !c.Flip || !flipped(now, strip) {
		t.Errorf("turned over: %+v", c)
	}
	r.dropped(stripRef(strip), placeOf(t, r, now.Panel.Rows[0].Pieces[0].Strip))
	d.Settle()
	if c := lock(); c.AnyFace || !c.Flip || c.Row != 1 {
		t.Errorf("moved once more: %+v", c)
	}
}

func TestAMarkThatTheBoardBearsIsNotKeptTwice(t *testing.T) {
	base := &plan.Project{NextID: 10, Piece: plan.Piece{ID: 1}, Boards: []plan.Board{{ID: 5, Rings: plan.BarkDown}}}
	for _, tt := range []struct {
		name string
		lie  plan.Rings
		flip bool
		want []plan.Rings
	}{
		{"as the board's own", plan.BarkDown, false, nil},
		{"as the board's own, turned over", plan.BarkUp, true, nil},
		{"against the board's own", plan.BarkUp, false, []plan.Rings{plan.BarkUp}},
		{"taken off a marked board", plan.NotMarked, false, []plan.Rings{plan.NotMarked}},
		{"upright either way", plan.Upright, true, []plan.Rings{plan.Upright}},
	} {
		t.Run(tt.name, func(t *testing.T) {
			q := withRings(withRings(base, "4/row#1", 5, plan.Upright, false), "4/row#1", 5, tt.lie, tt.flip)
			var got []plan.Rings
			for _, c := range q.Choices {
				got = append(got, c.Rings)
				if c.Board != 5 || c.Blank != "4/row#1" || c.Kind != plan.RingsMark || c.Piece != 1 {
					t.Errorf("%+v", c)
				}
			}
			if !slices.Equal(got, tt.want) {
				t.Errorf("marks %q, want %q", got, tt.want)
			}
		})
	}
}

func TestNothingPickedGivesASentence(t *testing.T) {
	d, r, _ := panelOf(t)
	for name, do := range map[string]func(){"turn": r.flipPicked, "lock": r.lockPicked, "way": r.lockWay, "free": r.freeWay, "unlock": r.unlockAll, "rings": func() { r.markRings(plan.BarkUp) }} {
		d.Failed = nil
		do()
		if d.Failed == nil {
			t.Errorf("%s says nothing", name)
		}
	}
}

func TestLockingAWayAndGivingItBack(t *testing.T) {
	d, r, _ := panelOf(t)
	r.option = slices.IndexFunc(r.waysOf, func(l wayLine) bool { return !l.chosen && l.option.Fits && l.way != plan.Solid })
	if r.option < 0 {
		t.Skip("the pile offers one way only")
	}
	l := r.waysOf[r.option]
	r.lockWay()
	d.Settle()
	part, _ := d.Session().Project().Part(l.part)
	if d.Failed != nil || part.Way != l.way {
		t.Fatalf("way %q, error %v", part.Way, d.Failed)
	}
	r.option = slices.IndexFunc(r.waysOf, func(x wayLine) bool { return x.part == l.part && x.chosen })
	if r.option < 0 || choiceWord(r.waysOf[r.option]) != "yours" {
		t.Fatalf("the lock is not shown: %+v", r.waysOf)
	}
	r.freeWay()
	d.Settle()
	if part, _ = d.Session().Project().Part(l.part); part.Way != plan.AnyWay {
		t.Errorf("the way is still %q", part.Way)
	}
}

// What is proved is told to the figure that is shown: a bound that reads as what is
// planed away proves it.
func TestAProofIsToldToTheFigureShown(t *testing.T) {
	_, r, g := panelOf(t)
	p := *r.plan().Project
	g.Panel.Faults, g.Panel.Proved = nil, false
	for _, inches := range []bool{false, true} {
		p.Shop.Inches = inches
		g.Panel.Planed = decimal.NewFromInt(8_737_205)
		g.Panel.Bound = decimal.NewFromInt(8_736_995)
		if got := proof(&p, g); got != "proved least" {
			t.Errorf("inches %v: 210 mm³ apart: %q", inches, got)
		}
		g.Panel.Bound = decimal.NewFromInt(8_730_000)
		if got, want := proof(&p, g), "at least "+wood(&p, g.Panel.Bound); got != want {
			t.Errorf("inches %v: 7 cm³ apart: %q, want %q", inches, got, want)
		}
	}
}

func TestEveryCellCanBeShown(t *testing.T) {
	d, r, _ := panelOf(t)
	for _, g := range r.plan().GlueUps {
		for col := colPart; col <= colGlue; col++ {
			if text, _ := listCell(r.plan().Project, g, col); text == "" {
				t.Errorf("%s: column %d is empty", g.Key, col)
			}
		}
	}
	for _, l := range r.waysOf {
		for col := range wayColumns() {
			if text, _ := wayCell(r.plan().Project, l, col); strings.Contains(text, "NaN") {
				t.Errorf("column %d: %q", col, text)
			}
		}
	}
	for i := range r.tabs.Items {
		r.tabs.SelectIndex(i)
		test.WidgetRenderer(r.tabs)
	}
	if len(d.Window().Canvas().Capture().Bounds().String()) == 0 {
		t.Error("nothing is drawn")
	}
}

func TestSelectionFromOtherRooms(t *testing.T) {
	d, r, g := panelOf(t)
	other := r.plan().GlueUps[slices.IndexFunc(r.plan().GlueUps, func(x plan.GlueUp) bool { return x.Part != g.Part })]
	c, _ := r.plan().Copy(other.Copy)
	d.Session().Select(session.Selection{Part: other.Part, Index: c.Index})
	if now, _ := r.shown(); now.Key != other.Key {
		t.Errorf("%s is shown, want %s", now.Key, other.Key)
	}
	d.Session().Select(session.Selection{Board: 1})
	if now, _ := r.shown(); now.Key != other.Key {
		t.Error("a board picked elsewhere changes the glue-up shown")
	}
}

func TestSpotAtFindsEveryPieceOfThePanel(t *testing.T) {
	_, r, g := panelOf(t)
	pic := figure.Panel(r.plan(), g, 280)
	for i, row := range g.Panel.Rows {
		for k, q := range row.Pieces {
			box, _ := pic.Extent(stripRef(q.Strip))
			where, ok := spotAt(pic, g, box.X0+1, (box.Y0+box.Y1)/2)
			want := spot{i + 1, k + 1}
			if len(row.Pieces) == 1 {
				want.place = 0
			}
			if !ok || where != want {
				t.Errorf("row %d piece %d: found %+v, %v", i+1, k+1, where, ok)
			}
		}
	}
}

func TestWithLock(t *testing.T) {
	base := &plan.Project{NextID: 10, Piece: plan.Piece{ID: 1}, Choices: []plan.Choice{
		{ID: 2, Kind: plan.NeverBoard, Board: 7},
		{ID: 3, Kind: plan.RowPlace, Blank: "4/row#1", Row: 2},
		{ID: 4, Kind: plan.RowPlace, Blank: "4/row#2", Row: 1},
		{ID: 5, Kind: plan.RowPlace, Blank: "9/row#1", Row: 2},
	}}
	mates := []string{"4/row#1", "4/row#2", "4/row#3"}
	for _, tt := range []struct {
		name  string
		strip string
		to    spot
		want  []string
	}{
		{"a strip moves from its own lock", "4/row#1", spot{3, 0}, []string{"4/row#2@1.0", "9/row#1@2.0", "4/row#1@3.0"}},
		{"a whole row taken lets its holder go", "4/row#3", spot{2, 0}, []string{"4/row#2@1.0", "9/row#1@2.0", "4/row#3@2.0"}},
		{"a place in a row held as a whole leaves the holder", "4/row#3", spot{1, 2}, []string{"4/row#1@2.0", "4/row#2@1.0", "9/row#1@2.0", "4/row#3@1.2"}},
	} {
		t.Run(tt.name, func(t *testing.T) {
			q := withLock(base, tt.strip, tt.to, side{}, mates)
			var got []string
			for _, c := range q.Choices {
				if c.Kind == plan.RowPlace {
					got = append(got, c.Blank+"@"+string(rune('0'+c.Row))+"."+string(rune('0'+c.Place)))
				}
			}
			if !slices.Equal(got, tt.want) {
				t.Errorf("locks %v, want %v", got, tt.want)
			}
			if len(base.Choices) != 4 || base.Choices[1].Row != 2 {
				t.Error("the project before was changed")
			}
		})
	}
}

func TestRowOf(t *testing.T) {
	for mark, want := range map[string]int{"3b": 3, "12a": 12, "7": 7, "": 0, "x": 0} {
		if got := rowOf(mark); got != want {
			t.Errorf("rowOf(%q) = %d, want %d", mark, got, want)
		}
	}
}
