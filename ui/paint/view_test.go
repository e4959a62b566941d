package paint

import (
	"fmt"
	"image"
	"math"
	"testing"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/driver/desktop"
	"fyne.io/fyne/v2/test"
	"fyne.io/fyne/v2/widget"

	"pilewright/layout/drawing"
	"pilewright/ui/theme"
)

// sample has a board drawn to a tenth with a part on it, and a note beside.
func sample() *drawing.Picture {
	p := &drawing.Picture{}
	p.Rect(drawing.RoleBoard, "board", drawing.Rect{X0: 10, Y0: 10, X1: 110, Y1: 30})
	p.Rect(drawing.RolePart, "part", drawing.Rect{X0: 20, Y0: 12, X1: 60, Y1: 28})
	p.Text(drawing.RoleLabel, "", 10, 40, 4, drawing.Left, "a note")
	p.Frames = append(p.Frames, drawing.Frame{Ref: "board", X: 10, Y: 10, Scale: 0.1})
	p.Say("part", "A1 of the first board")
	return p
}

func shown(t testing.TB, p *drawing.Picture, w, h float32) (*View, fyne.Window) {
	app := test.NewTempApp(t)
	app.Settings().SetTheme(theme.New(theme.Light, 1))
	v := NewView()
	win := test.NewTempWindow(t, v)
	win.SetPadded(false)
	win.Resize(fyne.NewSize(w, h))
	v.SetPicture(p)
	return v, win
}

func near(a, b, tol float64) bool { return math.Abs(a-b) <= tol }

func mouse(v *View, x, y float64, b desktop.MouseButton) *desktop.MouseEvent {
	e := &desktop.MouseEvent{Button: b}
	e.Position = v.Spot(x, y)
	return e
}

func tap(v *View, x, y float64) {
	e := mouse(v, x, y, desktop.MouseButtonPrimary)
	v.MouseDown(e)
	v.MouseUp(e)
	v.Tapped(&e.PointEvent)
}

// drag presses at one point of the picture, goes to another and lets go.
func drag(v *View, x0, y0, x1, y1 float64, b desktop.MouseButton) {
	v.MouseDown(mouse(v, x0, y0, b))
	p, q := v.Spot(x0, y0), v.Spot(x1, y1)
	const steps = 4
	for i := 1; i <= steps; i++ {
		e := &fyne.DragEvent{}
		f := float32(i) / steps
		e.Position = fyne.NewPos(p.X+(q.X-p.X)*f, p.Y+(q.Y-p.Y)*f)
		e.Dragged = fyne.NewDelta((q.X-p.X)/steps, (q.Y-p.Y)/steps)
		v.Dragged(e)
	}
	v.DragEnd()
}

func TestFitShowsAllCentred(t *testing.T) {
	v, _ := shown(t, sample(), 600, 400)
	box := v.Picture().Bounds()
	p, q := v.Spot(box.X0, box.Y0), v.Spot(box.X1, box.Y1)
	if p.X < 0 || p.Y < 0 || q.X > 600 || q.Y > 400 {
		t.Errorf("fitted picture lies from %v to %v, outside 600 by 400", p, q)
	}
	if !near(float64(p.X), float64(600-q.X), 0.5) || !near(float64(p.Y), float64(400-q.Y), 0.5) {
		t.Errorf("fitted picture is not centred: %v to %v", p, q)
	}
}

func TestZoomKeepsThePointUnderThePointer(t *testing.T) {
	v, _ := shown(t, sample(), 600, 400)
	for _, p := range []fyne.Position{{X: 0, Y: 0}, {X: 123, Y: 321}, {X: 599, Y: 12}} {
		for _, notch := range []float32{10, 10, -10, 30, -10, -10} {
			before := v.At(p)
			e := &fyne.ScrollEvent{Scrolled: fyne.NewDelta(0, notch)}
			e.Position = p
			v.Scrolled(e)
			after := v.At(p)
			if !near(before.X, after.X, 1e-6) || !near(before.Y, after.Y, 1e-6) {
				t.Fatalf("under %v lay %.4f, %.4f and after zooming %.4f, %.4f", p, before.X, before.Y, after.X, after.Y)
			}
		}
	}
}

func TestZoomStaysWithinItsBounds(t *testing.T) {
	v, _ := shown(t, sample(), 600, 400)
	for range 200 {
		v.ZoomBy(2)
	}
	if v.Zoom() != maxZoom {
		t.Errorf("zoomed in to %v, want the bound %v", v.Zoom(), maxZoom)
	}
	for range 200 {
		v.ZoomBy(0.5)
	}
	if v.Zoom() <= 0 || v.Zoom() > 1 {
		t.Errorf("zoomed out to %v", v.Zoom())
	}
	v.Fit()
	for range 100 {
		v.Pan(-500, 900)
	}
	if !v.bounds.Meets(v.visible()) {
		t.Error("panning lost the picture out of view")
	}
}

func TestReplacingThePictureKeepsTheZoom(t *testing.T) {
	v, _ := shown(t, sample(), 600, 400)
	v.ZoomBy(3)
	v.Pan(17, -9)
	zoom, at := v.Zoom(), v.At(fyne.NewPos(100, 100))
	v.SetPicture(sample())
	if v.Zoom() != zoom || v.At(fyne.NewPos(100, 100)) != at {
		t.Errorf("zoom %v place %v became %v and %v", zoom, at, v.Zoom(), v.At(fyne.NewPos(100, 100)))
	}
	far := &drawing.Picture{}
	far.Rect(drawing.RoleBoard, "", drawing.Rect{X0: 9000, Y0: 9000, X1: 9100, Y1: 9100})
	v.SetPicture(far)
	if !v.bounds.Meets(v.visible()) {
		t.Error("a picture elsewhere is out of view; want it fitted")
	}
}

func TestPicking(t *testing.T) {
	v, w := shown(t, sample(), 600, 400)
	var picked, opened []string
	v.OnPick = func(ref string, _ fyne.KeyModifier) { picked = append(picked, ref); v.Select(ref) }
	v.OnOpen = func(ref string) { opened = append(opened, ref) }
	tap(v, 40, 20)  // the part on the board
	tap(v, 100, 20) // the board beside it
	tap(v, 200, 200)
	if got := fmt.Sprint(picked); got != "[part board ]" {
		t.Errorf("picked %s, want part, board and bare paper", got)
	}
	tap(v, 40, 20)
	tap(v, 40, 20)
	if got := fmt.Sprint(opened); got != "[part]" {
		t.Errorf("a double tap opened %s, want the part", got)
	}
	picked = nil
	if w.Canvas().Focused() != fyne.Focusable(v) {
		t.Fatal("a tap does not focus the view")
	}
	v.Select()
	for range 3 {
		v.TypedKey(&fyne.KeyEvent{Name: fyne.KeyPageDown})
	}
	if got := fmt.Sprint(picked); got != "[board part board]" {
		t.Errorf("Page Down picked %s, want board, part, board", got)
	}
}

func TestHoverTellsWhatLiesThere(t *testing.T) {
	v, _ := shown(t, sample(), 600, 400)
	var said, refs []string
	v.OnStatus = func(s string) { said = append(said, s) }
	v.OnHover = func(r string) { refs = append(refs, r) }
	v.MouseIn(mouse(v, 40, 20, 0))
	v.MouseMoved(mouse(v, 41, 20, 0))
	v.MouseMoved(mouse(v, 100, 20, 0))
	v.MouseOut()
	if got := fmt.Sprintf("%q %q", refs, said); got != `["part" "board" ""] ["A1 of the first board" "" ""]` {
		t.Errorf("hover reported %s", got)
	}
}

func TestDraggingAThing(t *testing.T) {
	v, _ := shown(t, sample(), 600, 400)
	var log []string
	v.OnDragStart = func(ref string, at Place) bool { log = append(log, "start "+ref); return ref == "part" }
	v.OnDragTo = func(ref string, at Place) bool { return at.X < 100 }
	v.OnDrop = func(ref string, at Place) { log = append(log, fmt.Sprintf("drop %s %.0f %.0f", ref, at.X, at.Y)) }
	v.OnDragCancel = func(ref string) { log = append(log, "cancel "+ref) }
	before := v.At(fyne.NewPos(0, 0))
	drag(v, 40, 20, 80, 22, desktop.MouseButtonPrimary)
	if got := fmt.Sprint(log); got != "[start part drop part 80 22]" {
		t.Errorf("dragging reported %s", got)
	}
	if v.At(fyne.NewPos(0, 0)) != before {
		t.Error("dragging a thing moved the drawing")
	}

	log = nil
	drag(v, 100, 20, 90, 20, desktop.MouseButtonPrimary) // the board may not be dragged
	if got := fmt.Sprint(log); got != "[start board]" {
		t.Errorf("dragging the board reported %s", got)
	}
	if after := v.At(fyne.NewPos(0, 0)); !near(after.X, before.X+10, 0.01) {
		t.Errorf("dragging what may not be dragged moved the drawing from %v to %v; want 10 mm", before.X, after.X)
	}

	log = nil
	v.MouseDown(mouse(v, 40, 20, desktop.MouseButtonPrimary))
	e := &fyne.DragEvent{}
	e.Position = v.Spot(50, 20)
	v.Dragged(e)
	if v.layer.ghost.Hidden {
		t.Error("no ghost while dragging")
	}
	v.SetPicture(sample()) // a new plan may come at any moment
	if v.gesture.kind != dragging {
		t.Error("a new picture with the same part ended the drag")
	}
	v.TypedKey(&fyne.KeyEvent{Name: fyne.KeyEscape})
	v.Dragged(e)
	v.DragEnd()
	if got := fmt.Sprint(log); got != "[start part cancel part]" {
		t.Errorf("Escape while dragging reported %s", got)
	}
}

func TestFrameToolGivesRealCoordinates(t *testing.T) {
	v, _ := shown(t, sample(), 600, 400)
	var from, to Place
	v.OnFrame = func(a, b Place) { from, to = a, b }
	v.SetTool(Frame)
	drag(v, 90, 25, 70, 15, desktop.MouseButtonPrimary)
	// The board is drawn to a tenth from (10, 10): 70 mm on paper is 600 mm on it.
	if from.Ref != "board" || !near(from.RealX, 600, 0.01) || !near(from.RealY, 50, 0.01) ||
		!near(to.RealX, 800, 0.01) || !near(to.RealY, 150, 0.01) {
		t.Errorf("rectangle from %+v to %+v, want 600, 50 to 800, 150 on the board", from, to)
	}
}

func TestMeasuring(t *testing.T) {
	v, _ := shown(t, sample(), 600, 400)
	var lengths []float64
	v.OnMeasure = func(a, b Place) { lengths = append(lengths, v.Length(a, b)) }
	v.SetTool(Measure)
	drag(v, 20.3, 12.2, 59.8, 12.1, desktop.MouseButtonPrimary) // snaps to the part's corners
	tap(v, 10, 10)
	v.MouseMoved(mouse(v, 50, 20, 0))
	tap(v, 110, 10)
	if len(lengths) != 2 || !near(lengths[0], 400, 1e-6) || !near(lengths[1], 1000, 1e-6) {
		t.Errorf("measured %v, want 400 mm along the part and 1000 mm along the board", lengths)
	}
	if got := v.layer.label.Text; got != "1000.0 mm" {
		t.Errorf("the drawing says %q, want 1000.0 mm", got)
	}
	v.TypedKey(&fyne.KeyEvent{Name: fyne.KeyEscape})
	tools := 0
	v.OnTool = func(Tool) { tools++ }
	v.TypedKey(&fyne.KeyEvent{Name: fyne.KeyEscape})
	if v.CurrentTool() != Hand || tools != 1 {
		t.Errorf("after two Escapes the tool is %v, reported %d times; want the hand, once", v.CurrentTool(), tools)
	}
}

func TestSelectingPaintsNothingAnew(t *testing.T) {
	v, w := shown(t, sample(), 600, 400)
	w.Canvas().Capture()
	before := v.screen.shown
	v.Select("part")
	v.MouseMoved(mouse(v, 100, 20, 0))
	w.Canvas().Capture()
	if v.screen.shown != before || v.screen.cost == 0 {
		t.Error("selecting painted the picture anew")
	}
	if o := v.layer.outlines[0]; o.Hidden {
		t.Error("no outline about what is selected")
	}
}

func TestPaintsItsPaperInEveryLook(t *testing.T) {
	for _, look := range []theme.Look{theme.Light, theme.Dark, theme.HighContrast} {
		v, w := shown(t, sample(), 600, 400)
		fyne.CurrentApp().Settings().SetTheme(theme.New(look, 1))
		img := w.Canvas().Capture()
		p := v.Spot(60, 60)
		r, g, b, _ := img.At(int(p.X), int(p.Y)).RGBA()
		want := theme.DrawingOf(look).Paper
		if uint8(r>>8) != want.R || uint8(g>>8) != want.G || uint8(b>>8) != want.B {
			t.Errorf("%s: paper is %02x%02x%02x, want %v", look, r>>8, g>>8, b>>8, want)
		}
	}
}

func TestPaintsInPixelsOnDenseScreens(t *testing.T) {
	v, _ := shown(t, sample(), 600, 400)
	img := v.generate(1200, 800).(*image.RGBA)
	if img.Rect.Dx() != 1200 || img.Rect.Dy() != 800 {
		t.Fatalf("painted %v, want 1200 by 800", img.Rect)
	}
	part := theme.DrawingOf(theme.Light).Fill[drawing.RolePart]
	p := v.Spot(40, 26)
	if got := img.RGBAAt(int(p.X*2), int(p.Y*2)); got.R != part.R || got.G != part.G || got.B != part.B {
		t.Errorf("at twice the place of the part is %v, want its colour %v", got, part)
	}
}

func TestSlowPicturesArePaintedBehind(t *testing.T) {
	v, _ := shown(t, sample(), 600, 400)
	var waiting []func()
	v.Background = func(work func()) { waiting = append(waiting, work) }
	first := v.generate(600, 400).(*image.RGBA)
	paper := first.RGBAAt(1, 1)
	v.screen.cost = 10 * patience // as if the picture were a huge one
	v.Pan(25, 0)
	moved := v.generate(600, 400).(*image.RGBA)
	p := v.Spot(40, 26)
	part := theme.DrawingOf(theme.Light).Fill[drawing.RolePart]
	if got := moved.RGBAAt(int(p.X), int(p.Y)); got.R != part.R {
		t.Errorf("the moved copy shows %v where the part now is, want %v", got, part)
	}
	if moved.RGBAAt(1, 1) != paper {
		t.Error("the moved copy has no paper at its edge")
	}
	v.Pan(25, 0)
	v.generate(600, 400)
	if len(waiting) != 1 {
		t.Fatalf("%d paintings wait, want 1 at a time", len(waiting))
	}
	waiting[0]()
	v.screen.cost = 10 * patience
	v.generate(600, 400)
	if len(waiting) != 2 {
		t.Fatalf("%d paintings ran, want another for the last place", len(waiting))
	}
	waiting[1]()
	want := v.look(600, 400)
	v.screen.cost = 10 * patience
	if v.generate(600, 400); v.screen.shown != want || len(waiting) != 2 {
		t.Errorf("the finished painting is not the one shown, %d ran", len(waiting))
	}
}

func BenchmarkPaint(b *testing.B) {
	for _, parts := range []int{400, 5000} {
		v, _ := shown(b, manyParts(parts), 1300, 800)
		v.FitWidth = true // so that labels are large enough to be painted
		v.Fit()
		b.Run(fmt.Sprintf("pan/%d parts", parts), func(b *testing.B) {
			v.screen.cost = 0
			for i := range b.N {
				v.ox += float64(i%3) - 1 + 0.5
				v.screen.cost = 0
				v.generate(1300, 800)
			}
		})
		b.Run(fmt.Sprintf("zoom/%d parts", parts), func(b *testing.B) {
			for i := range b.N {
				v.zoom *= 1 + 0.01*(float64(i%2)-0.5)
				v.screen.cost = 0
				v.generate(1300, 800)
			}
		})
		b.Run(fmt.Sprintf("stretched pan/%d parts", parts), func(b *testing.B) {
			v.Background = func(func()) {}
			v.screen.cost = 0
			v.generate(1300, 800)
			for range b.N {
				v.ox += 1.5
				v.screen.cost = 10 * patience
				v.generate(1300, 800)
			}
			v.screen.busy = false
		})
		b.Run(fmt.Sprintf("hover/%d parts", parts), func(b *testing.B) {
			for i := range b.N {
				v.RefAt(fyne.NewPos(float32(i%1300), float32(i%800)))
			}
		})
	}
}

// manyParts is a pile of boards, each with eight labelled parts.
func manyParts(n int) *drawing.Picture {
	p := &drawing.Picture{}
	for i := range n {
		x, y := 10+float64(i%8)*34, 10+float64(i/8)*16
		if i%8 == 0 {
			p.Rect(drawing.RoleBoard, fmt.Sprint("b", i), drawing.Rect{X0: 8, Y0: y - 1, X1: 290, Y1: y + 11})
		}
		ref := fmt.Sprint("p", i)
		p.Rect(drawing.RolePart, ref, drawing.Rect{X0: x, Y0: y, X1: x + 30, Y1: y + 10})
		p.Text(drawing.RoleLabel, ref, x+15, y+5, 3.2, drawing.Middle+drawing.Centre, fmt.Sprintf("A%d 597 × 64", i))
		p.Line(drawing.RoleCut, "", x+31, y-2, x+31, y+12)
	}
	return p
}

func TestToolButtonsFollowTheView(t *testing.T) {
	v, _ := shown(t, sample(), 600, 400)
	tools := NewTools(v, Frame, Measure)
	test.Tap(tools.pick[1])
	if v.CurrentTool() != Measure || tools.pick[1].Importance != widget.HighImportance {
		t.Errorf("after a tap the tool is %v", v.CurrentTool())
	}
	v.TypedKey(&fyne.KeyEvent{Name: fyne.KeyEscape})
	if v.CurrentTool() != Hand || tools.pick[1].Importance == widget.HighImportance {
		t.Errorf("after Escape the tool is %v, its button still down: %v", v.CurrentTool(), tools.pick[1].Importance)
	}
	test.Tap(tools.pick[0])
	test.Tap(tools.pick[0])
	if v.CurrentTool() != Hand {
		t.Errorf("a second tap leaves the tool at %v, want the hand", v.CurrentTool())
	}
}

func TestMenus(t *testing.T) {
	v, w := shown(t, sample(), 600, 400)
	var asked []string
	v.Menu = func(ref string, at Place) *fyne.Menu {
		asked = append(asked, fmt.Sprintf("%s on %s", ref, at.Ref))
		if ref == "" {
			return nil
		}
		return fyne.NewMenu("", fyne.NewMenuItem("Turn over", nil))
	}
	e := mouse(v, 40, 20, desktop.MouseButtonSecondary).PointEvent
	v.TappedSecondary(&e)
	if w.Canvas().Overlays().Top() == nil {
		t.Error("no menu after a right click on a part")
	}
	w.Canvas().Overlays().Remove(w.Canvas().Overlays().Top())
	e = mouse(v, 150, 60, desktop.MouseButtonSecondary).PointEvent
	v.TappedSecondary(&e)
	if w.Canvas().Overlays().Top() != nil {
		t.Error("an absent menu is on show")
	}
	v.Select("board")
	v.TypedKey(&fyne.KeyEvent{Name: desktop.KeyMenu})
	if got, want := fmt.Sprint(asked), "[part on board  on  board on board]"; got != want {
		t.Errorf("asked for %s, want %s", got, want)
	}
}

func TestAPlaceIsSeenFromTheSmallestThingThere(t *testing.T) {
	for _, order := range [][]string{{"board", "part"}, {"part", "board"}} {
		p := sample()
		frames := map[string]drawing.Frame{
			"board": {Ref: "board", X: 10, Y: 10, Scale: 0.1}, "part": {Ref: "part", X: 20, Y: 12, Scale: 0.1},
		}
		p.Frames = []drawing.Frame{frames[order[0]], frames[order[1]]}
		v, _ := shown(t, p, 600, 400)
		at := v.At(v.Spot(30, 20))
		if at.Ref != "part" || !near(at.RealX, 100, 0.01) || !near(at.RealY, 80, 0.01) {
			t.Errorf("frames %v: place %+v, want 100, 80 on the part", order, at)
		}
		if on, ok := v.On("board", at); !ok || !near(on.RealX, 200, 0.01) {
			t.Errorf("seen from the board it is %+v, want 200 along", on)
		}
		if at := v.At(v.Spot(90, 20)); at.Ref != "board" {
			t.Errorf("beside the part the place is on %q, want the board", at.Ref)
		}
	}
}

// A narrow board is drawn wider than it is; what is drawn or measured on it is in
// its own sizes all the same.
func TestPlacesOnABoardDrawnWiderThanItIs(t *testing.T) {
	p := sample()
	p.Frames = []drawing.Frame{{Ref: "board", X: 10, Y: 10, Scale: 0.1, Across: 0.2}}
	v, _ := shown(t, p, 400, 300)
	var from, to Place
	v.OnFrame = func(a, b Place) { from, to = a, b }
	v.SetTool(Frame)
	drag(v, 70, 12, 90, 26, desktop.MouseButtonPrimary)
	if !near(from.RealX, 600, 0.1) || !near(from.RealY, 10, 0.1) || !near(to.RealX, 800, 0.1) || !near(to.RealY, 80, 0.1) {
		t.Errorf("drawn from %v to %v", from, to)
	}
	if on, ok := v.On("board", Place{X: 110, Y: 30}); !ok || !near(on.RealX, 1000, 0.1) || !near(on.RealY, 100, 0.1) {
		t.Errorf("its far corner is at %v", on)
	}
}
