package ui

import (
	"slices"
	"strings"
	"testing"

	"pilewright/ui/desk"
	"pilewright/ui/locale"
)

func TestTheGuidedStartLeadsThroughEveryRoomAndCanBeLeft(t *testing.T) {
	path := shopFile(t, oneBoard())
	w, settle := windowOn(t, path)
	if w.tour.content.Visible() {
		t.Fatal("a shop that never asked for it is led about")
	}
	i := slices.IndexFunc(w.commands(), func(c desk.Command) bool { return c.Name == "Guided start" })
	if i < 0 {
		t.Fatal("no command begins the guided start")
	}
	before := w.session.UndoLabel()
	w.commands()[i].Run()
	var rooms []string
	for n := 0; w.tour.content.Visible(); n++ {
		if n > 20 {
			t.Fatal("the guided start has no end")
		}
		if room := w.rooms[w.shown].ID(); !slices.Contains(rooms, room) {
			rooms = append(rooms, room)
		}
		if w.tour.said.Text == "" || w.tour.back.Disabled() != (n == 0) {
			t.Errorf("stop %d says %q; back is off: %v", n+1, w.tour.said.Text, w.tour.back.Disabled())
		}
		w.tour.next.OnTapped()
	}
	settle()
	if want := []string{desk.Pile, desk.Piece, desk.Cuts, desk.GlueUps, desk.Bench, desk.Ledger}; !slices.Equal(rooms, want) {
		t.Errorf("it went through %v, not %v", rooms, want)
	}
	if w.session.UndoLabel() != before {
		t.Errorf("the guided start changed the shop: %s", w.session.UndoLabel())
	}
	w.tour.begin()
	w.tour.next.OnTapped()
	w.tour.leave()
	if w.tour.content.Visible() || w.Recall("tour") != "left" {
		t.Error("it can't be left half-way")
	}
	w.tour.show(2)
	again := newTour(w)
	again.resume()
	if again.at != 2 {
		t.Errorf("a window opened anew goes on at %d, not 2", again.at)
	}
}

func TestAboutTellsVersionLicenceAndSources(t *testing.T) {
	w, _ := windowOn(t, shopFile(t, oneBoard()))
	w.about()
	s := &seen{texts: map[string]string{}}
	s.walk(w.win.Canvas().Overlays().Top())
	var all []string
	for text := range s.texts {
		all = append(all, text)
	}
	said := strings.Join(all, " ")
	for _, want := range []string{"Version", "Licence", "Wood Handbook", "go1.", "cautions"} {
		if !strings.Contains(said, want) {
			t.Errorf("About does not say %q: %s", want, said)
		}
	}
}

func TestTheLanguageChosenIsSpokenFromTheNextStart(t *testing.T) {
	path := shopFile(t, oneBoard())
	w, _ := windowOn(t, path)
	w.setLanguage("es")
	if !strings.Contains(w.status.Message(), "Español") || !strings.Contains(w.status.Message(), "next start") {
		t.Errorf("having chosen, one is told %q", w.status.Message())
	}
	w.session.Close()
	if err := w.session.File().Close(); err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		if err := locale.Use("en"); err != nil {
			t.Error(err)
		}
	})
	again, _ := windowOn(t, path)
	if got := again.rooms[0].Title(); got != "Pila" {
		t.Errorf("the first room is called %q", got)
	}
	if got := again.win.MainMenu().Items[0].Label; got != "Mueble" {
		t.Errorf("the first menu is called %q", got)
	}
}

// A window can't be made smaller than its content asks for: at 1024 x 700 all of
// it must be there, in every language, with the strips that come and go.
func TestEveryRoomFitsASmallScreenInEveryLanguage(t *testing.T) {
	t.Cleanup(func() {
		if err := locale.Use("en"); err != nil {
			t.Error(err)
		}
	})
	for _, language := range locale.Languages() {
		t.Setenv("LC_ALL", language)
		w, _ := windowOn(t, shopFile(t, oneBoard()))
		w.tour.begin()
		for _, empty := range []bool{false, true} {
			if empty {
				w.Remember("first", "")
				w.first.refresh()
			}
			for _, r := range w.rooms {
				w.enter(w.roomIndex(r.ID()))
				if min := w.win.Content().MinSize(); min.Width > 1024 || min.Height > 640 { // the rest is for menu and title
					t.Errorf("%s, %s: asks for %.0f x %.0f", language, r.ID(), min.Width, min.Height)
				}
			}
		}
	}
}
