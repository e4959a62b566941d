package ui

import (
	"errors"
	"strconv"
	"strings"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/dialog"
	"fyne.io/fyne/v2/driver/desktop"
	"fyne.io/fyne/v2/lang"
	"fyne.io/fyne/v2/widget"

	"pilewright/plan"
	"pilewright/storage"
	"pilewright/ui/control"
	"pilewright/ui/desk"
	"pilewright/ui/locale"
	"pilewright/ui/theme"
)

func ctrl(key fyne.KeyName) fyne.Shortcut {
	return &desktop.CustomShortcut{KeyName: key, Modifier: fyne.KeyModifierControl}
}

// commands are what the window itself can do.
func (w *window) commands() []desk.Command {
	list := []desk.Command{
		{Name: w.undoName(), Shortcut: &fyne.ShortcutUndo{}, Run: w.undo},
		{Name: w.redoName(), Shortcut: &fyne.ShortcutRedo{}, Run: w.redo},
		{Name: lang.L("New piece…"), Shortcut: ctrl(fyne.KeyN), Run: w.newPiece},
		{Name: lang.L("Copy this piece as a variant"), Run: w.variant},
		{Name: lang.L("Save this piece as a starting point…"), Run: w.saveStart},
		{Name: lang.L("Build sheet…"), Shortcut: ctrl(fyne.KeyP), Run: w.buildSheet},
		{Name: lang.L("Open the build sheet to print"), Tip: lang.L("paper pdf viewer"), Run: w.openSheet},
		{Name: lang.L("This piece…"), Tip: lang.L("name target hours load glue finish coats stagger"), Run: w.showPiece},
		{Name: lang.L("The shop…"), Tip: lang.L("machines blades bits clamps allowances glue finish prices"), Run: w.showShop},
		{Name: lang.L("How large can it be from this pile?"), Run: w.largest},
		{Name: lang.L("Check the proof of the cuts"), Tip: lang.L("bound verify certain best"), Run: w.checkProof},
		{Name: lang.L("What if two copies were swapped?"), Tip: lang.L("marks look-alikes handed"), Run: w.swap},
		{Name: lang.L("How much more to collect?"), Tip: lang.L("pallets crates breakage"), Run: w.collect},
		{Name: lang.L("Plan again"), Shortcut: ctrl(fyne.KeyR), Run: w.session.Replan},
		{Name: lang.L("Stop planning"), Run: w.session.Stop},
		{Name: lang.L("Show inches"), Run: func() { w.setUnit(true) }},
		{Name: lang.L("Show millimetres"), Run: func() { w.setUnit(false) }},
		{Name: lang.L("Copy the shop file…"), Run: w.copyShop},
		{Name: lang.L("Shortcuts"), Shortcut: &desktop.CustomShortcut{KeyName: fyne.KeyF1}, Run: w.showShortcuts},
		{Name: lang.L("Guided start"), Tip: lang.L("tour help first steps rooms"), Run: w.tour.begin},
		{Name: lang.L("About Pilewright"), Tip: lang.L("version licence sources"), Run: w.about},
		{Name: lang.L("Quit"), Tip: lang.L("close the window leave"), Shortcut: ctrl(fyne.KeyQ), Run: w.close},
	}
	for _, look := range theme.Looks() {
		list = append(list, desk.Command{Name: lang.L("Look: {{.look}}", locale.With{"look": strings.ToLower(look.Title())}), Group: "look", Run: func() { w.setLook(look, w.textScale()) }})
	}
	for _, l := range append([]string{locale.System}, locale.Languages()...) {
		list = append(list, desk.Command{Name: lang.L("Language: {{.language}}", locale.With{"language": locale.Title(l)}), Tip: "language idioma", Group: "language", Run: func() { w.setLanguage(l) }})
	}
	for _, scale := range theme.Scales {
		list = append(list, desk.Command{Name: lang.L("Text size {{.percent}} %", locale.With{"percent": locale.Float(float64(100*scale), 0)}), Group: "text", Run: func() { w.setLook(w.look(), scale) }})
	}
	for i, r := range w.rooms {
		list = append(list, desk.Command{Name: lang.L("Go to {{.room}}", locale.With{"room": r.Title()}), Group: "room", Shortcut: ctrl(fyne.KeyName(strconv.Itoa(i + 1))), Run: func() { w.enter(w.roomIndex(r.ID())) }})
	}
	return list
}

func (w *window) undoName() string {
	if l := w.session.UndoLabel(); l != "" {
		return lang.L("Undo {{.edit}}", locale.With{"edit": l})
	}
	return lang.L("Undo")
}

func (w *window) redoName() string {
	if l := w.session.RedoLabel(); l != "" {
		return lang.L("Redo {{.edit}}", locale.With{"edit": l})
	}
	return lang.L("Redo")
}

func (w *window) undo() {
	w.travel(w.session.Undo, func(edit string) string { return lang.L("Taken back: {{.edit}}.", locale.With{"edit": edit}) })
}

func (w *window) redo() {
	w.travel(w.session.Redo, func(edit string) string { return lang.L("Made again: {{.edit}}.", locale.With{"edit": edit}) })
}

func (w *window) travel(step func() (string, error), said func(edit string) string) {
	label, err := step()
	switch {
	case errors.Is(err, storage.ErrNothing):
		w.Say(lang.L("There is nothing more to undo or redo in this piece."))
	case err != nil:
		w.Fail(err)
	default:
		w.Fail(nil)
		w.Say(said(label))
	}
}

// menu builds the main menu; refreshMenu keeps the names of undo and redo true.
func (w *window) menu() *fyne.MainMenu {
	item := func(c desk.Command) *fyne.MenuItem {
		m := fyne.NewMenuItem(c.Name, w.unlessCovered(c))
		m.Shortcut = c.Shortcut
		return m
	}
	byName := map[string]*fyne.MenuItem{}
	groups := map[string][]*fyne.MenuItem{}
	for _, c := range w.commands() {
		m := item(c)
		byName[c.Name] = m
		groups[c.Group] = append(groups[c.Group], m)
	}
	pick := func(names ...string) []*fyne.MenuItem {
		var out []*fyne.MenuItem
		for _, n := range names {
			if n == "" {
				out = append(out, fyne.NewMenuItemSeparator())
			} else if m, ok := byName[n]; ok {
				out = append(out, m)
			}
		}
		return out
	}
	group := func(title, of string) *fyne.MenuItem {
		m := fyne.NewMenuItem(title, nil)
		m.ChildMenu = fyne.NewMenu("", groups[of]...)
		return m
	}
	quit := byName[lang.L("Quit")]
	quit.IsQuit, quit.Action = true, w.close // a dialog keeps nobody in
	list := item(desk.Command{Name: lang.L("Commands…"), Shortcut: ctrl(fyne.KeyK), Run: w.showCommands})
	return fyne.NewMainMenu(
		fyne.NewMenu(lang.L("Piece"), append(pick(lang.L("New piece…"), lang.L("Copy this piece as a variant"), lang.L("Save this piece as a starting point…"), "", lang.L("Build sheet…"), "", lang.L("How large can it be from this pile?"), lang.L("How much more to collect?"), lang.L("What if two copies were swapped?"), lang.L("Check the proof of the cuts"), "", lang.L("This piece…"), lang.L("The shop…"), lang.L("Copy the shop file…"), ""), quit)...),
		fyne.NewMenu(lang.L("Edit"), append(pick(w.undoName(), w.redoName(), "", lang.L("Plan again"), lang.L("Stop planning"), ""), list)...),
		fyne.NewMenu(lang.L("Show"), append(append(groups["room"], fyne.NewMenuItemSeparator()), append(pick(lang.L("Show inches"), lang.L("Show millimetres")), group(lang.L("Look"), "look"), group(lang.L("Text size"), "text"), group(lang.L("Language"), "language"))...)...),
		fyne.NewMenu(lang.L("Help"), pick(lang.L("Guided start"), lang.L("Shortcuts"), lang.L("About Pilewright"))...),
	)
}

func (w *window) refreshMenu() {
	names := w.undoName() + "\n" + w.redoName()
	if len(w.titles) == 1 && w.titles[0] == names {
		return
	}
	w.titles = []string{names}
	w.win.SetMainMenu(w.menu())
}

// showCommands opens the searchable list of everything that can be done: in the
// room shown, in the window, then in the other rooms, which are entered first.
func (w *window) showCommands() {
	var list []control.Command
	add := func(c desk.Command, note string, do func()) {
		if c.Enabled == nil || c.Enabled() {
			list = append(list, control.Command{Title: c.Name, Note: note, Words: c.Tip, Do: do})
		}
	}
	for _, c := range append(w.rooms[w.shown].Commands(), w.commands()...) {
		add(c, keys(c.Shortcut), c.Run)
	}
	for _, d := range desk.Deeds(w.rooms[w.shown]) {
		add(desk.Command{Name: d.Name, Tip: lang.L("zoom fit measure picture"), Run: d.Do}, d.Key, d.Do)
	}
	for i, r := range w.rooms {
		if i == w.shown {
			continue
		}
		for _, c := range r.Commands() {
			add(c, lang.L("in {{.room}}", locale.With{"room": r.Title()}), func() {
				w.enter(i)
				c.Run()
			})
		}
	}
	control.ShowCommands(w.win.Canvas(), list)
}

// keys writes a shortcut for reading.
func keys(s fyne.Shortcut) string {
	switch s := s.(type) {
	case nil:
		return ""
	case *fyne.ShortcutUndo:
		return "Ctrl+Z"
	case *fyne.ShortcutRedo:
		return "Ctrl+Y"
	case *desktop.CustomShortcut:
		text := ""
		if s.Modifier&fyne.KeyModifierControl != 0 {
			text += "Ctrl+"
		}
		if s.Modifier&fyne.KeyModifierShift != 0 {
			text += lang.L("Shift+")
		}
		if s.Modifier&fyne.KeyModifierAlt != 0 {
			text += "Alt+"
		}
		return text + string(s.KeyName)
	}
	return s.ShortcutName()
}

func (w *window) showShortcuts() {
	grid := container.New(twoColumns{})
	row := func(name, key string) {
		grid.Add(widget.NewLabelWithStyle(key, fyne.TextAlignLeading, fyne.TextStyle{Bold: true}))
		grid.Add(widget.NewLabel(name))
	}
	row(lang.L("Commands…"), "Ctrl+K")
	for _, c := range append(w.commands(), w.rooms[w.shown].Commands()...) {
		if k := keys(c.Shortcut); k != "" {
			row(c.Name, k)
		}
	}
	for _, r := range [][2]string{
		{lang.L("Next cell, next row"), lang.L("Tab, Enter")}, {lang.L("Edit the cell, give up"), lang.L("F2, Esc")}, {lang.L("Delete rows"), lang.L("Delete")},
		{lang.L("Drawing: move it"), lang.L("Arrows")},
	} {
		row(r[0], r[1])
	}
	for _, d := range desk.Deeds(w.rooms[w.shown]) {
		if d.Key != "" {
			row(d.Name, d.Key)
		}
	}
	d := dialog.NewCustom(lang.L("Shortcuts"), lang.L("Close"), container.NewVScroll(grid), w.win)
	d.Resize(fyne.NewSize(520, min(760, w.win.Canvas().Size().Height-60)))
	d.Show()
}

// twoColumns sets pairs of objects in rows, the first column as wide as it needs.
type twoColumns struct{}

func (twoColumns) widths(objects []fyne.CanvasObject) (left, right float32) {
	for i, o := range objects {
		if i%2 == 0 {
			left = max(left, o.MinSize().Width)
		} else {
			right = max(right, o.MinSize().Width)
		}
	}
	return left + 12, right
}

func (t twoColumns) MinSize(objects []fyne.CanvasObject) fyne.Size {
	left, right := t.widths(objects)
	var y float32
	for i := 0; i < len(objects); i += 2 {
		y += objects[i].MinSize().Height
	}
	return fyne.NewSize(left+right, y)
}

func (t twoColumns) Layout(objects []fyne.CanvasObject, size fyne.Size) {
	left, _ := t.widths(objects)
	var y float32
	for i := 0; i+1 < len(objects); i += 2 {
		h := objects[i].MinSize().Height
		objects[i].Move(fyne.NewPos(0, y))
		objects[i].Resize(fyne.NewSize(left, h))
		objects[i+1].Move(fyne.NewPos(left, y))
		objects[i+1].Resize(fyne.NewSize(size.Width-left, h))
		y += h
	}
}

func (w *window) look() theme.Look { return theme.Look(w.Recall("look")) }

func (w *window) textScale() float32 { return float32(number(w.Recall("text"), 1)) }

func (w *window) setLook(look theme.Look, scale float32) {
	w.Remember("look", string(look))
	w.Remember("text", strconv.FormatFloat(float64(scale), 'f', 2, 32))
	// The toolkit repaints what is in the window; the rooms not shown would keep their colours.
	shown := w.body.Objects
	w.body.Objects = nil
	for _, r := range w.rooms {
		w.body.Objects = append(w.body.Objects, r.Content())
	}
	w.app.Settings().SetTheme(theme.New(look, scale))
	w.body.Objects = shown
	w.body.Refresh()
	w.rooms[w.shown].Changed(everything)
	w.side.refresh()
}

// setLanguage keeps the language for the next start: what is on the screen was
// made in the present one.
func (w *window) setLanguage(language string) {
	w.Remember("language", language)
	w.Say(lang.L("The window speaks {{.language}} from the next start.", locale.With{"language": locale.Title(language)}))
}

func (w *window) setUnit(inches bool) {
	name := lang.L("show millimetres")
	if inches {
		name = lang.L("show inches")
	}
	w.Fail(w.session.Edit(name, "", func(p *plan.Project) (*plan.Project, error) {
		return p.With(func(q *plan.Project) { q.Shop.Inches = inches }), nil
	}))
}

func (w *window) variant() {
	w.Fail(w.session.Edit(lang.L("copy as variant"), "", func(p *plan.Project) (*plan.Project, error) {
		if p.Piece.ID == 0 {
			return nil, locale.Error("there is no piece to copy yet")
		}
		return p.Variant(lang.L("{{.name}} variant", locale.With{"name": p.Piece.Name}))
	}))
}

func (w *window) copyShop() {
	desk.AskWhere(w, lang.L("shop copy.pile"), "", func(path string) {
		if err := w.session.File().CopyTo(path); err != nil {
			w.Fail(err)
			return
		}
		w.Say(lang.L("The shop file was copied to {{.path}}.", locale.With{"path": path}))
	})
}
