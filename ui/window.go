// Package ui is the window of Pilewright: the rail of rooms, the sidebar with
// cost and time, the status line, menus and shortcuts. What a room shows is in
// ui/view, what is open in ui/session. Start at Run.
package ui

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"sync"
	"time"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/app"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/driver/desktop"
	"fyne.io/fyne/v2/lang"
	"fyne.io/fyne/v2/widget"

	"pilewright/plan"
	"pilewright/storage"
	"pilewright/ui/control"
	"pilewright/ui/desk"
	"pilewright/ui/locale"
	"pilewright/ui/session"
	"pilewright/ui/theme"
)

// Deps are what the window is built on.
type Deps struct {
	Tools  func() plan.Tools
	Starts []plan.Start // starting points that ship with the program
	Now    func() time.Time
	// Speak makes the window speak the language chosen in it; nil is locale.Use.
	Speak func(choice string) error
	// Demo opens the demo in a window of its own; nil where there is none.
	Demo func() error
	// Fresh makes the first content of a shop file that does not exist yet.
	Fresh func(f *storage.File) error
}

// ErrNoWindow says that no window could be opened.
var ErrNoWindow = errors.New(locale.Mark("no window could be opened"))

// Run opens the shop file, shows the window and returns when it is closed. A file
// that does not open is told in a window, with the ways out of it where it is
// damaged; what kept it from opening comes back unless one was taken. A display
// that can't be used gives ErrNoWindow.
func Run(path string, deps Deps) (err error) {
	if err := locale.Use(locale.System); err != nil {
		return err
	}
	file, fault := openOrCreate(path, deps)
	var w *window
	defer func() {
		if w != nil {
			w.session.Close()
			file = w.session.File()
		}
		if file != nil {
			err = errors.Join(err, file.Close())
		}
	}()
	defer func() {
		// The toolkit panics where there is no display or no OpenGL.
		if r := recover(); r != nil {
			if err = fmt.Errorf("%w: %v", ErrNoWindow, r); fault != nil {
				err = fault
			}
		}
	}()
	a := app.NewWithID("net.pilewright.desk")
	later := &postponed{}
	a.Lifecycle().SetOnStarted(later.release)
	open := func(f *storage.File, told string) (err error) {
		if w, err = newWindow(a, f, deps, later.post); err != nil {
			return errors.Join(err, f.Close())
		}
		w.win.Show()
		later.post(w.watchKeys)
		if told != "" {
			w.fault.Tell(told, "", nil)
		}
		return nil
	}
	if fault != nil {
		showRescue(a, path, fault, deps, open)
	} else if err := open(file, ""); err != nil {
		file = nil
		return err
	}
	a.Run()
	later.end()
	if w == nil {
		return fault
	}
	return nil
}

// postponed brings what is posted to the screen's goroutine: held back until that
// runs, and dropped when it has ended, since the toolkit would then call it on the
// poster's own.
type postponed struct {
	mu             sync.Mutex
	running, ended bool
	held           []func()
}

func (p *postponed) post(f func()) {
	p.mu.Lock()
	defer p.mu.Unlock()
	switch {
	case p.ended:
	case p.running:
		fyne.Do(f)
	default:
		p.held = append(p.held, f)
	}
}

func (p *postponed) end() {
	p.mu.Lock()
	defer p.mu.Unlock()
	p.ended = true
}

func (p *postponed) release() {
	p.mu.Lock()
	defer p.mu.Unlock()
	p.running = true
	for _, f := range p.held {
		fyne.Do(f)
	}
	p.held = nil
}

func openOrCreate(path string, deps Deps) (*storage.File, error) {
	file, err := storage.Open(path, storage.Options{Now: deps.Now})
	if err == nil || !errors.Is(err, storage.ErrMissing) {
		return file, err
	}
	if file, err = storage.Create(path, storage.Options{Now: deps.Now}); err != nil {
		return nil, err
	}
	if err := deps.Fresh(file); err != nil {
		return nil, errors.Join(err, file.Close())
	}
	return file, nil
}

// window is the one window; it is the desk of the rooms.
type window struct {
	app     fyne.App
	win     fyne.Window
	deps    Deps
	session *session.Session
	rooms   []desk.Room
	shown   int
	body    *fyne.Container
	rail    *control.Rail
	side    *sidebar
	first   *first
	tour    *tour
	status  *control.Status
	busy    *control.Progress
	fault   *control.ErrorLine
	foot    *fyne.Container
	pieces  *widget.Select
	stop    func()
	idle    idle
	titles  []string
}

var _ desk.Desk = (*window)(nil)

// newWindow builds the window on an open file; post runs a function on the
// screen's goroutine.
func newWindow(a fyne.App, file *storage.File, deps Deps, post func(func())) (*window, error) {
	speak := locale.Use
	if deps.Speak != nil {
		speak = deps.Speak
	}
	err := speak(recall(file, "language"))
	if err != nil {
		return nil, err
	}
	w := &window{app: a, deps: deps, status: control.NewStatus(), busy: control.NewProgress(), fault: control.NewErrorLine()}
	piece, _ := strconv.ParseInt(recall(file, "piece"), 10, 64)
	if w.session, err = session.New(file, plan.ID(piece), deps.Tools(), post, deps.Now); err != nil {
		return nil, err
	}
	w.session.Speak(locale.Plan())
	a.Settings().SetTheme(theme.New(theme.Look(recall(file, "look")), float32(number(recall(file, "text"), 1))))
	w.win = a.NewWindow("Pilewright")
	w.win.SetIcon(windowIcon)
	w.build()
	w.stop = w.session.Watch(w.changed)
	w.win.Resize(fyne.NewSize(float32(number(recall(file, "width"), 1280)), float32(number(recall(file, "height"), 800))))
	w.win.SetCloseIntercept(w.close)
	w.enter(w.roomIndex(recall(file, "room")))
	w.changed(everything)
	w.tour.resume()
	if made, err := file.BackUpDaily(); err != nil {
		w.Fail(locale.Wrap(err, lang.L("today's backup was not made: {{.err}}", locale.With{"err": err})))
	} else if made {
		w.Say(lang.L("Today's backup was made."))
	}
	if t := w.session.Project().Timer; t.Running && deps.Now().Sub(t.Since) > forgotten {
		w.fault.Tell(lang.L("The clock has run since {{.time}}. Was it forgotten?", locale.With{"time": locale.Day(t.Since.In(time.Local), "Monday 2 January, 15:04")}), lang.L("Correct it at the Bench"), func() { w.enter(w.roomIndex(desk.Bench)) })
	}
	if ro, why := file.ReadOnly(); ro {
		w.fault.Tell(lang.L("The shop file is open for reading only: {{.why}}.", locale.With{"why": why}), "", nil)
	}
	return w, nil
}

// forgotten is how long a clock may run before the maker is asked at the start.
const forgotten = 4 * time.Hour

func recall(file *storage.File, name string) string {
	v, err := file.Setting(name)
	if err != nil {
		return "" // how the window was left is no reason not to open it
	}
	return v
}

func number(text string, otherwise float64) float64 {
	v, err := strconv.ParseFloat(text, 64)
	if err != nil || !(v > 0 && v <= 20_000) { // written so that it refuses NaN
		return otherwise
	}
	return v
}

func (w *window) build() {
	w.rooms = rooms(w)
	var tabs []control.Room
	for _, r := range w.rooms {
		tabs = append(tabs, control.Room{ID: r.ID(), Title: r.Title(), Icon: strings.ReplaceAll(r.ID(), "-", "")})
	}
	w.rail = control.NewRail(tabs, func(id string) { w.enter(w.roomIndex(id)) })
	w.side = newSidebar(w)
	w.body = container.NewStack()
	w.pieces = widget.NewSelect(nil, func(string) { w.pickPiece() })
	w.fault.OnMessage = w.Say
	w.first, w.tour = newFirst(w), newTour(w)
	top := container.NewBorder(nil, nil,
		container.NewHBox(widget.NewLabelWithStyle(lang.L("Piece"), fyne.TextAlignLeading, fyne.TextStyle{Bold: true}), container.New(wide(300), w.pieces), widget.NewButton(lang.L("New piece…"), w.newPiece)),
		container.NewHBox(widget.NewButton(lang.L("Build sheet…"), w.buildSheet), widget.NewButton(lang.L("All commands  Ctrl+K"), w.showCommands)))
	w.foot = container.NewBorder(nil, nil, nil, w.busy, w.status)
	bottom := container.NewVBox(w.fault, container.New(tall(w.busy.MinSize().Height), w.foot))
	split := control.NewSplit(true, container.NewBorder(container.NewVBox(w.tour.content, w.first.content), nil, nil, nil, w.body), w.side.content, number(w.Recall("split.side"), 0.78))
	split.OnMoved = func(share float64) { w.Remember("split.side", strconv.FormatFloat(share, 'f', 3, 64)) }
	w.win.SetContent(container.NewBorder(top, bottom, w.rail, nil, split))
	w.win.SetMainMenu(w.menu())
	w.win.Canvas().SetOnTypedKey(func(e *fyne.KeyEvent) {
		switch e.Name { // a key without Ctrl or Alt is no shortcut to the toolkit
		case fyne.KeyF1:
			if !desk.Covered(w) {
				w.showShortcuts()
			}
		case fyne.KeyEscape:
			w.escape()
		}
	})
	// The menu has these too; here they come from the tables of a dialog, which edit the shop as a room does.
	w.win.Canvas().AddShortcut(&fyne.ShortcutUndo{}, func(fyne.Shortcut) { w.undo() })
	w.win.Canvas().AddShortcut(&fyne.ShortcutRedo{}, func(fyne.Shortcut) { w.redo() })
	for i, r := range w.rooms {
		key := fyne.KeyName(strconv.Itoa(i + 1))
		enter := w.unlessCovered(desk.Command{Run: func() { w.enter(w.roomIndex(r.ID())) }})
		w.win.Canvas().AddShortcut(&desktop.CustomShortcut{KeyName: key, Modifier: fyne.KeyModifierControl}, func(fyne.Shortcut) { enter() })
	}
}

func (w *window) roomIndex(id string) int {
	for i, r := range w.rooms {
		if r.ID() == id {
			return i
		}
	}
	return 0
}

// everything tells a room to read all anew.
var everything = session.Change{Project: true, Plan: true, Selection: true, Busy: true, Piece: true}

func (w *window) enter(i int) {
	w.shown = i
	r := w.rooms[i]
	w.body.Objects = []fyne.CanvasObject{r.Content()}
	w.body.Refresh()
	if w.rail.Entered() != r.ID() {
		w.rail.Enter(r.ID())
	}
	r.Changed(everything)
	w.Say("")
}

// changed brings the frame, the sidebar and the room shown up to date.
func (w *window) changed(c session.Change) {
	if c.Project || c.Piece {
		w.showTitle()
		w.refreshMenu()
	}
	if c.Busy {
		w.showBusy()
		busy, _ := w.session.Busy()
		w.idle.planning(busy)
	}
	if c.Plan || c.Project || c.Busy {
		w.side.refresh()
		w.showNotes()
		w.first.refresh()
	}
	if c.Piece && w.session.Project().Piece.ID != 0 {
		w.Remember("piece", strconv.FormatInt(int64(w.session.Project().Piece.ID), 10))
	}
	w.rooms[w.shown].Changed(c)
}

// wide is a layout of one object that is as wide as this, or as it needs.
type wide float32

func (l wide) MinSize(objects []fyne.CanvasObject) fyne.Size {
	s := objects[0].MinSize()
	return fyne.NewSize(max(s.Width, float32(l)), s.Height)
}

func (l wide) Layout(objects []fyne.CanvasObject, size fyne.Size) {
	objects[0].Move(fyne.NewPos(0, 0))
	objects[0].Resize(size)
}

// tall is a layout of one object that is at least this high, so that nothing
// above it moves when the progress strip comes and goes.
type tall float32

func (l tall) MinSize(objects []fyne.CanvasObject) fyne.Size {
	s := objects[0].MinSize()
	return fyne.NewSize(s.Width, max(s.Height, float32(l)))
}

func (l tall) Layout(objects []fyne.CanvasObject, size fyne.Size) { wide(0).Layout(objects, size) }

// showNotes says at the foot of the window what stands all the time: the file,
// the unit, and how good the plan shown is.
func (w *window) showNotes() {
	p := w.session.Project()
	notes := []string{filepath.Base(w.session.File().Path())}
	if p.Shop.Inches {
		notes = append(notes, lang.L("inches to 1/{{.finest}}", locale.With{"finest": max(p.Shop.Denominator, 2)}))
	} else {
		notes = append(notes, lang.L("millimetres"))
	}
	busy, _ := w.session.Busy()
	made := w.session.Plan()
	switch {
	case w.session.Failure() != "":
		notes = append(notes, lang.L("can't be planned yet"))
	case busy || made == nil:
	case len(made.Cuts.Boards) == 0:
	case made.Cuts.Proved:
		notes = append(notes, lang.L("cuts proved best"))
	default:
		notes = append(notes, lang.L("cuts not proved best"))
	}
	w.status.SetNotes(notes...)
}

func (w *window) showTitle() {
	p := w.session.Project()
	title := p.Piece.Name
	if title == "" {
		title = lang.L("no piece yet")
	}
	w.win.SetTitle(lang.L("{{.title}} – Pilewright", locale.With{"title": title}))
	var names []string
	for _, piece := range p.Pieces {
		names = append(names, piece.Name)
	}
	w.pieces.Options = names
	w.pieces.PlaceHolder = lang.L("Choose New piece… to begin")
	if p.Piece.Name != "" && w.pieces.Selected != p.Piece.Name {
		w.pieces.Selected = p.Piece.Name
	}
	w.pieces.Refresh()
}

func (w *window) pickPiece() {
	p := w.session.Project()
	for _, piece := range p.Pieces {
		if piece.Name == w.pieces.Selected && piece.ID != p.Piece.ID {
			w.Fail(w.session.OpenPiece(piece.ID))
			return
		}
	}
}

func (w *window) showBusy() {
	busy, phase := w.session.Busy()
	if phase = locale.Say(phase); phase == session.Planning {
		phase = lang.L("planning")
	}
	if !busy {
		w.busy.Finish()
		w.foot.Refresh()
		return
	}
	if !w.busy.Visible() {
		w.busy.Start(phase, w.session.Stop)
		w.foot.Refresh()
	}
	w.busy.Update(-1, phase)
}

// Session implements desk.Desk.
func (w *window) Session() *session.Session { return w.session }

// Window implements desk.Desk.
func (w *window) Window() fyne.Window { return w.win }

// Say implements desk.Desk.
func (w *window) Say(text string) { w.status.Say(text) }

// Fail implements desk.Desk.
func (w *window) Fail(err error) {
	if err == nil {
		w.fault.Clear()
		return
	}
	if errors.Is(err, storage.ErrReplaced) || errors.Is(err, storage.ErrFull) { // what is open can still be kept elsewhere
		w.fault.Tell(sentence(err), lang.L("Copy the shop file…"), w.copyShop)
		return
	}
	w.fault.Tell(sentence(err), "", nil)
}

// Go implements desk.Desk.
func (w *window) Go(room string, sel session.Selection) {
	w.enter(w.roomIndex(room))
	w.session.Select(sel)
}

// Remember implements desk.Desk.
func (w *window) Remember(name, value string) {
	if ro, _ := w.session.File().ReadOnly(); ro || w.Recall(name) == value {
		return
	}
	if err := w.session.File().SetSetting(name, value); err != nil {
		w.Fail(locale.Wrap(err, lang.L("how the window was left is not kept: {{.err}}", locale.With{"err": err})))
	}
}

// Recall implements desk.Desk.
func (w *window) Recall(name string) string { return recall(w.session.File(), name) }

func (w *window) close() {
	w.win.Canvas().Unfocus() // what is being typed is kept
	size := w.win.Canvas().Size()
	w.Remember("width", strconv.Itoa(int(size.Width)))
	w.Remember("height", strconv.Itoa(int(size.Height)))
	w.Remember("room", w.rooms[w.shown].ID())
	w.stop()
	w.session.Close()
	w.win.SetCloseIntercept(nil)
	w.win.Close()
}

// sentence makes an error read as one.
func sentence(err error) string {
	var path *os.PathError
	text := err.Error()
	if errors.As(err, &path) && text == path.Error() {
		text = lang.L("{{.path}} can't be used: {{.err}}", locale.With{"path": path.Path, "err": path.Err})
	}
	text = locale.Say(text)
	if text == "" {
		return lang.L("Something went wrong.")
	}
	text = strings.ToUpper(text[:1]) + text[1:]
	if !strings.HasSuffix(text, ".") {
		text += "."
	}
	return text
}
