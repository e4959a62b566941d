package control

import (
	"errors"
	"image/color"
	"slices"
	"strings"
	"testing"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/driver/desktop"
	"fyne.io/fyne/v2/test"
	"fyne.io/fyne/v2/widget"

	"pilewright/ui/theme"
)

func window(t testing.TB, o fyne.CanvasObject, w, h float32) fyne.Window {
	app := test.NewTempApp(t)
	app.Settings().SetTheme(theme.New(theme.Light, 1))
	win := test.NewTempWindow(t, o)
	win.SetPadded(false)
	win.Resize(fyne.NewSize(w, h))
	return win
}

func TestFieldKeepsWhatWasRefused(t *testing.T) {
	test.NewTempApp(t)
	value, says := "600", []string{}
	bad := errors.New("not a length")
	var f *Field
	f = NewField(func(text string) error {
		if strings.Contains(text, "x") {
			return bad
		}
		value = strings.TrimSpace(text)
		f.SetValue(value)
		return nil
	})
	f.OnMessage = func(m string) { says = append(says, m) }
	f.SetValue(value)
	other := widget.NewEntry()
	w := window(t, container.NewVBox(f, other), 300, 200)
	w.Canvas().Focus(f)
	typeText(w, "x")
	press(w, fyne.KeyReturn)
	if f.Text != "600x" || f.Refused() != bad || value != "600" {
		t.Errorf("field shows %q (refused %v), value %q; want the typed text kept", f.Text, f.Refused(), value)
	}
	if len(says) == 0 || says[len(says)-1] != bad.Error() {
		t.Errorf("said %q, want the fault", says)
	}
	f.SetValue("700") // the value changes elsewhere, as by undo
	if f.Text != "600x" {
		t.Errorf("a new value took the refused text away: %q", f.Text)
	}
	w.Canvas().Focus(other)
	f.SetValue("700")
	if f.Text != "600x" || f.Refused() == nil {
		t.Errorf("a new value took the refused text away after the focus went on: %q", f.Text)
	}
	w.Canvas().Focus(f)
	press(w, fyne.KeyEscape)
	if f.Text != "700" || f.Refused() != nil || says[len(says)-1] != "" {
		t.Errorf("after Escape %q, refused %v, said %q; want the new value and no fault", f.Text, f.Refused(), says)
	}
	typeText(w, "5 ")
	w.Canvas().Focus(other)
	if value != "7005" || f.Text != "7005" {
		t.Errorf("leaving the field committed %q and shows %q, want 7005 in the owner's wording", value, f.Text)
	}
}

func TestFieldCheckSpeaksWhileTyping(t *testing.T) {
	test.NewTempApp(t)
	last := ""
	f := NewField(func(string) error { return nil })
	f.Check = func(text string) error {
		if strings.HasSuffix(text, "/") {
			return errors.New("the fraction has no lower number yet")
		}
		return nil
	}
	f.OnMessage = func(m string) { last = m }
	w := window(t, f, 300, 60)
	w.Canvas().Focus(f)
	typeText(w, "1/")
	if last == "" {
		t.Error("an unfinished fraction is not told of")
	}
	typeText(w, "2")
	if last != "" {
		t.Errorf("a good text still tells %q", last)
	}
}

func TestSplitRemembersItsShareAndKeepsTheLeastRoom(t *testing.T) {
	a, b := widget.NewButton("first thing", nil), widget.NewButton("second thing", nil)
	var s *Split
	test.NewTempApp(t)
	s = NewSplit(false, a, b, 0.25)
	window(t, s, 400, 407)
	if got := a.Size().Height; got != 100 {
		t.Errorf("first thing is %v high, want a quarter of 400", got)
	}
	var told []float64
	s.OnMoved = func(v float64) { told = append(told, v) }
	s.bar.TypedKey(&fyne.KeyEvent{Name: fyne.KeyDown})
	if got := a.Size().Height; got != 124 || len(told) != 1 {
		t.Errorf("an arrow made it %v, told %v; want 124, once", got, told)
	}
	s.bar.MouseDown(&desktop.MouseEvent{PointEvent: fyne.PointEvent{AbsolutePosition: fyne.NewPos(10, 127)}})
	drag := &fyne.DragEvent{}
	drag.AbsolutePosition = fyne.NewPos(10, 227)
	s.bar.Dragged(drag)
	if got := a.Size().Height; got != 224 {
		t.Errorf("a drag by 100 made it %v, want 224", got)
	}
	drag.AbsolutePosition = fyne.NewPos(10, 4000)
	s.bar.Dragged(drag)
	if got, want := b.Size().Height, b.MinSize().Height; got < want {
		t.Errorf("second thing is squeezed to %v, least %v", got, want)
	}
	s.SetShare(told[0])
	b.Hide()
	s.Refresh()
	if a.Size().Height != 407 || s.bar.Visible() {
		t.Errorf("with one thing hidden the other has %v, bar visible %v", a.Size().Height, s.bar.Visible())
	}
}

func TestSectionShutsAndOpens(t *testing.T) {
	test.NewTempApp(t)
	content := widget.NewLabel("inside")
	s := NewSection("Sizes", content, true)
	window(t, s, 200, 200)
	tall := s.MinSize().Height
	told := 0
	s.OnToggle = func(bool) { told++ }
	test.Tap(s.head)
	if content.Visible() || s.Open() || s.MinSize().Height >= tall || told != 1 {
		t.Errorf("shut: content visible %v, height %v of %v, told %d", content.Visible(), s.MinSize().Height, tall, told)
	}
	test.Tap(s.head)
	if !content.Visible() || s.MinSize().Height < tall {
		t.Errorf("opened again: visible %v, height %v, want %v or more", content.Visible(), s.MinSize().Height, tall)
	}
}

func TestFactsExplainThemselves(t *testing.T) {
	test.NewTempApp(t)
	f := NewFacts(func(id string) string {
		if id == "material" {
			return "three lots by volume"
		}
		return ""
	})
	f.Set([]Fact{{Label: "Cost", Head: true}, {ID: "material", Label: "Material", Value: "41.20"}, {ID: "labour", Label: "Labour", Value: "96.00"}})
	w := window(t, f, 260, 300)
	tapped := ""
	f.OnTap = func(id string) { tapped = id }
	test.TapAt(f, fyne.NewPos(30, f.tops[1]+4))
	if tapped != "material" {
		t.Errorf("tapped %q, want material", tapped)
	}
	top := w.Canvas().Overlays().Top()
	if top == nil || !strings.Contains(test.RenderObjectToMarkup(top), "three lots by volume") {
		t.Fatal("no explanation on show")
	}
	press(w, fyne.KeyEscape)
	if w.Canvas().Overlays().Top() != nil {
		t.Error("Escape leaves the explanation there")
	}
	if w.Canvas().Focused() != fyne.Focusable(f) {
		t.Errorf("focus went to %T, want back to the panel", w.Canvas().Focused())
	}
	press(w, fyne.KeyDown, fyne.KeyReturn)
	if tapped != "labour" || w.Canvas().Overlays().Top() != nil {
		t.Errorf("by keyboard: tapped %q, explanation %v; want labour and none", tapped, w.Canvas().Overlays().Top())
	}
	press(w, fyne.KeyUp, fyne.KeyUp)
	if f.facts[f.at].Head {
		t.Error("the keyboard stops at a heading")
	}
}

func TestRail(t *testing.T) {
	test.NewTempApp(t)
	var entered []string
	r := NewRail([]Room{{"pile", "Pile", "pile"}, {"piece", "Piece", "piece"}, {"cuts", "Cuts", "cuts"}}, func(id string) { entered = append(entered, id) })
	w := window(t, r, 100, 400)
	h := r.tabSize().Height
	test.TapAt(r, fyne.NewPos(20, 2.5*h))
	test.TapAt(r, fyne.NewPos(20, 2.5*h)) // already there
	test.TapAt(r, fyne.NewPos(20, 390))   // below the last
	w.Canvas().Focus(r)
	press(w, fyne.KeyUp, fyne.KeyUp, fyne.KeyUp)
	if want := []string{"cuts", "piece", "pile"}; !slices.Equal(entered, want) {
		t.Errorf("entered %v, want %v", entered, want)
	}
	r.SetBadge("cuts", "3", Bad)
	if r.tabs[2].badge.Hidden || r.tabs[1].badge.Visible() {
		t.Error("the badge is not at its room alone")
	}
	r.Enter("piece")
	if r.Entered() != "piece" || len(entered) != 3 {
		t.Errorf("entered %q by the owner, reported %v", r.Entered(), entered)
	}
}

func TestEveryIconIsAPicture(t *testing.T) {
	test.NewTempApp(t)
	for name := range icons {
		r := Icon(name)
		if !strings.Contains(string(r.Content()), "<path") || !strings.HasSuffix(r.Name(), ".svg") {
			t.Errorf("icon %s is %q", name, r.Content())
		}
	}
	fyne.CurrentApp().Settings().SetTheme(theme.New(theme.Light, 1))
	light := Icon("pile").Name()
	fyne.CurrentApp().Settings().SetTheme(theme.New(theme.HighContrast, 1))
	if Icon("pile").Name() == light {
		t.Error("an icon keeps its name when its colour changes, so the old drawing would be shown")
	}
}

func TestFindCommands(t *testing.T) {
	all := []Command{
		{Title: "Go to Cuts"}, {Title: "Cut list on paper", Words: "print"}, {Title: "Undo"}, {Title: "Print the build sheet", Words: "paper pdf"},
	}
	tests := []struct{ name, query, want string }{
		{"an empty query lists all in order", "", "Go to Cuts|Cut list on paper|Undo|Print the build sheet"},
		{"titles that begin so come first, whatever the case", "CUT", "Cut list on paper|Go to Cuts"},
		{"further words count too", "paper", "Cut list on paper|Print the build sheet"},
		{"all words must be there", "print sheet", "Print the build sheet"},
		{"nothing is found", "varnish", ""},
	}
	for _, tc := range tests {
		t.Run(tc.name, func(t *testing.T) {
			var got []string
			for _, c := range FindCommands(all, tc.query) {
				got = append(got, c.Title)
			}
			if s := strings.Join(got, "|"); s != tc.want {
				t.Errorf("%q finds %q, want %q", tc.query, s, tc.want)
			}
		})
	}
}

func TestCommandListByKeyboard(t *testing.T) {
	test.NewTempApp(t)
	w := window(t, widget.NewLabel("window"), 800, 600)
	did := ""
	ShowCommands(w.Canvas(), []Command{
		{Title: "Alpha", Do: func() { did = "alpha" }}, {Title: "Beta one", Do: func() { did = "one" }}, {Title: "Beta two", Do: func() { did = "two" }},
	})
	typeText(w, "beta")
	press(w, fyne.KeyDown, fyne.KeyReturn)
	if did != "two" || w.Canvas().Overlays().Top() != nil {
		t.Errorf("did %q, overlay %v; want two and the list shut", did, w.Canvas().Overlays().Top())
	}
	ShowCommands(w.Canvas(), []Command{{Title: "Alpha"}})
	typeText(w, "omega")
	said := ""
	for _, o := range test.LaidOutObjects(w.Canvas().Overlays().Top()) {
		if text, ok := o.(*canvas.Text); ok && text.Visible() && text.Text != "" {
			said += text.Text
		}
	}
	if !strings.Contains(said, "Nothing is called that") {
		t.Errorf("a list with nothing in it says %q", said)
	}
	press(w, fyne.KeyReturn, fyne.KeyEscape)
	if w.Canvas().Overlays().Top() != nil {
		t.Error("Escape leaves the list there")
	}
}

func TestBigButton(t *testing.T) {
	test.NewTempApp(t)
	taps := 0
	b := NewBigButton(Start, "Start", func() { taps++ })
	w := window(t, b, 300, 100)
	test.Tap(b)
	w.Canvas().Focus(b)
	typeText(w, " ")
	press(w, fyne.KeyReturn)
	if taps != 3 {
		t.Errorf("%d taps, want 3: pointer, Space, Enter", taps)
	}
	b.Disable()
	b.Tapped(nil)
	if taps != 3 {
		t.Error("a disabled button acts")
	}
	if s := b.MinSize(); s.Height < 60 {
		t.Errorf("button is %v high, too small for arm's length", s.Height)
	}
}

func TestProgressStopsOnce(t *testing.T) {
	test.NewTempApp(t)
	p := NewProgress()
	window(t, p, 500, 60)
	stopped := 0
	p.Start("Cutting", func() { stopped++ })
	p.Update(2, "Cutting, nearly done")
	if p.bar.done != 1 || !p.Visible() {
		t.Errorf("bar at %v, visible %v", p.bar.done, p.Visible())
	}
	test.Tap(p.stop)
	test.Tap(p.stop)
	if stopped != 1 {
		t.Errorf("stopped %d times, want once", stopped)
	}
	p.Finish()
	if p.Visible() {
		t.Error("the strip stays after the work")
	}
	p.Start("Again", nil)
	if p.stop.Visible() {
		t.Error("work that cannot be stopped shows a button")
	}
}

func TestErrorLineStaysUntilPutAway(t *testing.T) {
	test.NewTempApp(t)
	e := NewErrorLine()
	window(t, e, 600, 80)
	again := 0
	e.Tell("The disk is full.", "Try again", func() { again++ })
	test.Tap(e.act)
	if again != 1 || e.Text() != "The disk is full." {
		t.Errorf("tried %d times, tells %q", again, e.Text())
	}
	e.Tell("The printer is out.", "", nil)
	if e.act.Visible() {
		t.Error("a button without an action is on show")
	}
	e.Clear()
	if e.Visible() || e.Text() != "" {
		t.Error("the strip was not put away")
	}
}

func TestStatusShortensNotesBeforeTheMessage(t *testing.T) {
	test.NewTempApp(t)
	s := NewStatus()
	window(t, s, 460, 30)
	s.SetNotes("a long name of a shop file.pile", "inches", "proved")
	s.Fault("A leg is longer than any board you have")
	if s.left.Text != "A leg is longer than any board you have" || !strings.HasSuffix(s.right.Text, "…") {
		t.Errorf("shows %q and %q", s.left.Text, s.right.Text)
	}
	if s.mark.Hidden {
		t.Error("a fault is told by colour alone")
	}
}

func TestFactsBreakLongTextsIntoLines(t *testing.T) {
	test.NewTempApp(t)
	long := "The legs A1 and A2 are longer than any board of the pile that is thick enough for them"
	f := NewFacts(nil)
	f.Set([]Fact{{ID: "a", Label: long, Note: "Make them shorter, or laminate them from two boards of 11 mm", Mark: Bad}, {ID: "b", Label: "Total", Value: "137.20"}})
	window(t, f, 220, 400)
	var lines []string
	for _, text := range f.rows[0].label {
		if text.Hidden {
			continue
		}
		if w := fyne.MeasureText(text.Text, text.TextSize, text.TextStyle).Width; w > 220 {
			t.Errorf("line %q is %.0f wide in a panel of 220", text.Text, w)
		}
		lines = append(lines, text.Text)
	}
	if len(lines) < 2 || strings.Join(lines, " ") != long {
		t.Errorf("lines are %q, want all words of the label", lines)
	}
	for _, text := range f.rows[0].note {
		if !text.Hidden && f.rows[1].label[0].Position().Y < text.Position().Y+text.Size().Height {
			t.Errorf("the next fact lies over the note %q", text.Text)
		}
	}
	for _, o := range []int{0, 1} {
		if len(f.rows[o].label) > 0 && !slices.Contains(f.objects, fyne.CanvasObject(f.rows[o].label[0])) {
			t.Errorf("label of fact %d is not among what is painted", o)
		}
	}
}

func TestWrapLosesNoWord(t *testing.T) {
	test.NewTempApp(t)
	m := textWidths{size: 14}
	m.reset()
	text := "Rip six strips of 64 mm from the two pallet boards, then joint one edge of each"
	for _, room := range []float32{60, 90, 140, 300, 1000} {
		lines := m.wrap(text, false, room, 100)
		if got := strings.Join(lines, " "); got != text {
			t.Errorf("in %v: %q, want every word", room, got)
		}
		for _, l := range lines {
			if m.width(l, false) > room {
				t.Errorf("in %v: line %q is %v wide", room, l, m.width(l, false))
			}
		}
	}
	if lines := m.wrap(text, false, 90, 2); len(lines) != 2 || !strings.HasSuffix(lines[1], "…") {
		t.Errorf("in two lines: %q, want the second shortened", lines)
	}
}

// lowestInk gives the lowest row that a text paints in its first columns.
func lowestInk(t *testing.T, text string) int {
	label := canvas.NewText(text, color.Black)
	label.TextSize = 14
	w := test.NewTempWindow(t, label)
	w.SetPadded(false)
	w.Resize(fyne.NewSize(80, 24))
	img := w.Canvas().Capture()
	lowest := 0
	for y := range img.Bounds().Dy() {
		for x := range img.Bounds().Dx() {
			if r, _, _, _ := img.At(x, y).RGBA(); r < 0x4000 {
				lowest = y
			}
		}
	}
	return lowest
}

func TestTextsThatBeginWithASignStandOnTheLine(t *testing.T) {
	app := test.NewTempApp(t)
	app.Settings().SetTheme(theme.New(theme.Light, 1))
	want := lowestInk(t, "HHH")
	for _, sign := range []string{"≈", "−", "≤", "→", "½", "–", "×"} {
		if got := lowestInk(t, level(sign+"HHH")); got != want {
			t.Errorf("%sHHH stands on row %d, HHH on row %d", sign, got, want)
		}
	}
}
