package ui

import (
	"encoding/json"
	"fmt"
	"regexp"
	"slices"
	"strings"
	"testing"
	"time"
	"unicode"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/test"
	"fyne.io/fyne/v2/widget"

	"pilewright/assets"
	"pilewright/layout"
	"pilewright/plan"
	"pilewright/plan/demo"
	"pilewright/plan/words"
	"pilewright/storage"
	"pilewright/ui/control"
	"pilewright/ui/locale"
)

// foreign writes every letter of a text, but for its holes, as one of another
// alphabet: what still has Latin letters on the screen was never translated.
func foreign(text string, holes *regexp.Regexp) string {
	var out strings.Builder
	last := 0
	letters := func(s string) {
		for _, r := range s {
			switch {
			case r >= 'a' && r <= 'z':
				r = 'а' + r - 'a'
			case r >= 'A' && r <= 'Z':
				r = 'А' + r - 'A'
			}
			out.WriteRune(r)
		}
	}
	for _, m := range holes.FindAllStringIndex(text, -1) {
		letters(text[last:m[0]])
		out.WriteString(text[m[0]:m[1]])
		last = m[1]
	}
	letters(text[last:])
	return out.String()
}

// speakForeign makes the window speak that alphabet until the test ends.
func speakForeign(t *testing.T) {
	t.Helper()
	data, err := assets.Translations.ReadFile("translations/en.json")
	if err != nil {
		t.Fatal(err)
	}
	var window map[string]any
	if err := json.Unmarshal(data, &window); err != nil {
		t.Fatal(err)
	}
	hole := regexp.MustCompile(`\{\{\.\w+\}\}`)
	for key, v := range window {
		switch v := v.(type) {
		case string:
			if !strings.HasPrefix(key, "date.") && !strings.Contains(v, "2 Jan") && !strings.Contains(v, "15:04") { // layouts of dates
				window[key] = foreign(v, hole)
			}
		case map[string]any:
			for form, text := range v {
				v[form] = foreign(text.(string), hole)
			}
		}
	}
	if data, err = json.Marshal(window); err != nil {
		t.Fatal(err)
	}
	var said words.Catalogue
	plans, err := assets.Words.ReadFile("words/es.json")
	if err != nil {
		t.Fatal(err)
	}
	if err := json.Unmarshal(plans, &said); err != nil {
		t.Fatal(err)
	}
	none := regexp.MustCompile(`\{\d\}`)
	for _, list := range []map[string]string{said.Sentences, said.Phrases} {
		for key := range list {
			text, n := key, 0
			for strings.Contains(text, "%s") {
				n++
				text = strings.Replace(text, "%s", fmt.Sprintf("{%d}", n), 1)
			}
			list[key] = foreign(text, none)
		}
	}
	if plans, err = json.Marshal(said); err != nil {
		t.Fatal(err)
	}
	l, err := words.Read(plans, "en")
	if err != nil {
		t.Fatal(err)
	}
	if err := locale.Try(data, l); err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		if err := locale.Use("en"); err != nil {
			t.Error(err)
		}
	})
}

// demoWindow opens a window on the demo.
func demoWindow(t *testing.T, speak func(string) error) *window {
	t.Helper()
	open := func(id string) (plan.Start, error) { return plan.OpenStart(assets.Starts, id) }
	states, err := demo.Projects(open, monday)
	if err != nil {
		t.Fatal(err)
	}
	path := shopFile(t, states[0])
	file, err := storage.Open(path, storage.Options{Now: day})
	if err != nil {
		t.Fatal(err)
	}
	for i, p := range states[1:] {
		changes, err := plan.Diff(states[i], p)
		if err != nil {
			t.Fatal(err)
		}
		if err := file.Commit(storage.Edit{Piece: p.Piece.ID, Changes: changes}); err != nil {
			t.Fatal(err)
		}
	}
	starts := []plan.Start{}
	for _, id := range []string{"table", "bench"} {
		s, err := open(id)
		if err != nil {
			t.Fatal(err)
		}
		starts = append(starts, s)
	}
	posted := make(chan func(), 1000)
	app := test.NewTempApp(t)
	w, err := newWindow(app, file, Deps{Speak: speak, Demo: func() error { return nil }, Tools: func() plan.Tools { return layout.Tools(monday) }, Now: day, Starts: starts}, func(f func()) { posted <- f })
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		w.session.Close()
		if err := file.Close(); err != nil {
			t.Error(err)
		}
	})
	for end := time.After(60 * time.Second); ; {
		if w.session.Plan() != nil {
			w.session.Stop()
		}
		if busy, _ := w.session.Busy(); !busy && w.session.Plan() != nil {
			return w
		}
		select {
		case f := <-posted:
			f()
		case <-end:
			t.Fatal("the demo was never planned")
		}
	}
}

// seen gathers every text that can be met below an object: painted, told under
// the pointer, and in the cells of tables.
type seen struct {
	texts map[string]string // text to where
	where string
	grid  func(*control.Grid) // told of every table met; may be nil
}

func (s *seen) add(texts ...string) {
	for _, t := range texts {
		if t != "" {
			s.texts[t] = s.where
		}
	}
}

func (s *seen) walk(o fyne.CanvasObject) {
	switch o := o.(type) {
	case nil:
	case *canvas.Text:
		s.add(o.Text)
	case *control.Grid:
		if s.grid != nil {
			s.grid(o)
		}
		s.add(o.Empty, o.AddHint)
		for i, c := range o.Columns {
			s.add(c.Title, c.Tip)
			for row := range min(o.Len(), 40) {
				text, state := o.Cell(row, i)
				if c.Kind != control.Bool {
					s.add(text)
				}
				s.add(state.Message)
				if c.Choices != nil && row == 0 {
					s.add(c.Choices(row)...)
				}
			}
		}
	case *control.Facts:
		for _, id := range o.IDs() {
			s.add(o.Why(id))
		}
		s.objects(test.WidgetRenderer(o).Objects())
	case *widget.Select:
		s.add(o.PlaceHolder)
		s.add(o.Options...)
	case *widget.Entry:
		s.add(o.PlaceHolder)
	case *control.Field:
		s.add(o.PlaceHolder)
	case *container.AppTabs:
		for _, item := range o.Items {
			s.add(item.Text)
			s.walk(item.Content)
		}
	case *container.Scroll:
		s.walk(o.Content)
	case *fyne.Container:
		s.objects(o.Objects)
	case fyne.Widget:
		s.objects(test.WidgetRenderer(o).Objects())
	}
}

func (s *seen) objects(list []fyne.CanvasObject) {
	for _, o := range list {
		s.walk(o)
	}
}

func (s *seen) menu(m *fyne.Menu) {
	if m == nil {
		return
	}
	s.add(m.Label)
	for _, item := range m.Items {
		s.add(item.Label)
		s.menu(item.ChildMenu)
	}
}

// own are the words of the demo's maker, of units, names and keys: nobody
// translates them.
func own(t *testing.T, w *window) map[string]bool {
	t.Helper()
	out := map[string]bool{}
	data, err := json.Marshal([]any{w.session.Project(), w.deps.Starts})
	if err != nil {
		t.Fatal(err)
	}
	var all any
	if err := json.Unmarshal(data, &all); err != nil {
		t.Fatal(err)
	}
	var gather func(v any)
	gather = func(v any) {
		switch v := v.(type) {
		case string:
			for _, word := range latin.FindAllString(v, -1) {
				out[word] = true
			}
		case []any:
			for _, x := range v {
				gather(x)
			}
		case map[string]any: // the names of fields are nobody's words
			for _, x := range v {
				gather(x)
			}
		}
	}
	gather(all)
	for _, word := range strings.Fields("go mm in cm ft min ml h m kg lbf lb psi kN MPa bd Pilewright PDF SVG PNG CSV Ctrl Alt Esc Tab Enter Delete Return Space F1 F2 K Z Y USD EUR MXN ISO IANA pcs x y z s pile English Espa ol shop letter a4 idioma language " +
		"Select one " + // of a list with nothing chosen: the toolkit's own
		"Monday Tuesday Wednesday Thursday Friday Saturday Sunday Mon Tue Wed Thu Fri Sat Sun Jan Feb Mar Apr May Jun Jul Aug Sep Oct Nov Dec January February March April June July August September October November December") {
		out[word] = true
	}
	return out
}

var latin = regexp.MustCompile(`[A-Za-z]+`)

func TestEveryTextOfTheWindowIsTranslated(t *testing.T) {
	w := demoWindow(t, func(string) error { speakForeign(t); return nil })
	s := &seen{texts: map[string]string{}}
	s.where = "menu"
	for _, m := range w.win.MainMenu().Items {
		s.menu(m)
	}
	for _, r := range w.rooms {
		s.where = "room " + r.ID()
		w.enter(w.roomIndex(r.ID()))
		s.walk(w.win.Content())
		s.where = "commands of " + r.ID()
		for _, c := range r.Commands() {
			s.add(c.Name, c.Tip)
		}
	}
	s.where = "commands of the window"
	for _, c := range w.commands() {
		s.add(c.Name, c.Tip)
	}
	for _, open := range []struct {
		name string
		do   func()
	}{
		{"shop", w.showShop}, {"piece", w.showPiece}, {"shortcuts", w.showShortcuts}, {"about", w.about}, {"new piece", w.newPiece}, {"build sheet", w.buildSheet}, {"commands", w.showCommands},
		{"largest", w.largest}, {"swap", w.swap},
	} {
		s.where = open.name
		open.do()
		if top := w.win.Canvas().Overlays().Top(); top == nil {
			t.Errorf("%s opens nothing", open.name)
		} else {
			s.walk(top)
			w.win.Canvas().Overlays().Remove(top)
		}
	}
	if len(s.texts) < 700 {
		t.Fatalf("only %d texts were met; the walk is broken", len(s.texts))
	}
	known, path := own(t, w), w.session.File().Path()
	var bad []string
	for text, where := range s.texts {
		for _, word := range latin.FindAllString(text, -1) {
			if !known[word] && !strings.Contains(path, word) && len(word) > 1 && !strings.ContainsFunc(word, unicode.IsDigit) {
				bad = append(bad, fmt.Sprintf("%s: %q in %q", where, word, text))
				break
			}
		}
	}
	slices.Sort(bad)
	for _, line := range bad {
		t.Error(line)
	}
}
