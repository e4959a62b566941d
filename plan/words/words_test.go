package words_test

import (
	"encoding/json"
	"strings"
	"testing"
	"time"

	"golang.org/x/text/language"
	"golang.org/x/text/message"
	"golang.org/x/text/number"

	"pilewright/plan/words"
)

// small is a catalogue of this test's own.
func small(t *testing.T, tag string) *words.Language {
	t.Helper()
	data, err := json.Marshal(words.Catalogue{
		Sentences: map[string]string{
			"The %s is %s wide.":         "{1}: {2} de ancho.",
			"The %s is %s.":              "{1} es {2}.",
			"%s and %s meet.":            "Se tocan {1} y {2}.",
			"%s to the left onto %s.":    "{2} recibe {1} por la izquierda.",
			"Cut %s of the %s from %s.":  "De {3}, cortar {1} de {2}.",
			"At %s the price is too low": "A {1} el precio es bajo",
			"Ready.":                     "Listo.",
			"Wide enough":                "Bastante ancho",
			"top":                        "tablero",
			"oak":                        "roble",
			"a board of %s":              "una tabla de {1}",
			"March":                      "marzo",
			"Monday":                     "lunes",
		},
		Phrases: map[string]string{"and": "y", "%s of the month of %s": "{1} de {2}", "%s of the year %s": "{1} de {2}", "page %s of %s": "página {1} de {2}", `no "%s"`: "sin «{1}»", "%s holes, %s": "{1} agujeros, {2}"},
	})
	if err != nil {
		t.Fatal(err)
	}
	l, err := words.Read(data, tag)
	if err != nil {
		t.Fatal(err)
	}
	return l
}

func TestASentenceIsFoundByWhatStandsBetweenItsHoles(t *testing.T) {
	l := small(t, "es").Keeping("rail of the king", "top")
	for _, c := range []struct{ name, in, want string }{
		{"without holes", "Ready.", "Listo."},
		{"the longest fixed text wins", "The leg is 3 wide.", "leg: 3 de ancho."},
		{"a word in a hole is said too", "The leg is oak.", "leg es roble."},
		{"a sentence in a hole too", "The leg is a board of oak.", "leg es una tabla de roble."},
		{"a name that is kept is not", "The top is oak.", "top es roble."},
		{"nor one that holds fixed text", "Cut 2 of the rail of the king from A1.", "De A1, cortar 2 de rail of the king."},
		{"a list is said one by one", "The leg is oak, red oak and oak.", "leg es roble, red oak y roble."},
		{"holes change places", "B2, B4 to the left onto C1.", "C1 recibe B2, B4 por la izquierda."},
		{"several sentences one by one", "Ready. The leg is oak. Ready.", "Listo. leg es roble. Listo."},
		{"begun small within another", "The leg is wide enough.", "leg es bastante ancho."},
		{"begun with a capital", "A board of oak", "Una tabla de roble"},
		{"decimal signs", "The leg is 2.5 mm wide.", "leg: 2,5 mm de ancho."},
		{"money", "At $12.50 the price is too low", "A 12,50\u00a0$ el precio es bajo"},
		{"a day", "The leg is 7 March.", "leg es 7 de marzo."},
		{"a day with everything", "The leg is Monday 7 March 2026 18:30.", "leg es lunes 7 de marzo de 2026, 18:30."},
		{"without an entry", "Nobody said this of 2.5.", "Nobody said this of 2,5."},
		{"nothing", "", ""},
	} {
		t.Run(c.name, func(t *testing.T) {
			if got := l.Say(c.in); got != c.want {
				t.Errorf("Say(%q) = %q, want %q", c.in, got, c.want)
			}
			if got := l.Say(c.in); got != c.want { // remembered
				t.Errorf("a second time: %q", got)
			}
		})
	}
}

func TestWhatIsNotKnownIsTold(t *testing.T) {
	l := small(t, "es").Keeping("leg")
	for text, want := range map[string]bool{"The leg is oak.": true, "The leg is elm.": false, "The king is oak.": false, "Nothing known.": false, "Ready. The leg is 3 1/2\" wide.": true, "Ready. Nothing known.": false, "": true} {
		if got := l.Knows(text); got != want {
			t.Errorf("Knows(%q) = %v", text, got)
		}
	}
}

func TestAPhraseIsFoundByItsKeyOnly(t *testing.T) {
	l := small(t, "es-MX")
	for _, c := range []struct{ name, got, want string }{
		{"with figures", l.Format("page %d of %d", 3, 40), "página 3 de 40"},
		{"a quoted verb", l.Format("no %q", "leg"), "sin «leg»"},
		{"what stands in holes is left alone", l.Format("%d holes, %s", 2, "oak"), "2 agujeros, oak"},
		{"without an entry", l.Format("%.1f of it", 2.5), "2.5 of it"},
		{"a phrase is no sentence", l.Say("page 3 of 40"), "page 3 of 40"},
		{"a word", l.Word("oak"), "roble"},
		{"money where the sign stands in front", l.Say("At $12.50 the price is too low"), "A $12.50 el precio es bajo"},
		{"a date", l.Date(time.Date(2026, 3, 2, 0, 0, 0, 0, time.UTC), "Monday 2 January"), "lunes 2 de marzo"},
	} {
		t.Run(c.name, func(t *testing.T) {
			if c.got != c.want {
				t.Errorf("%q, want %q", c.got, c.want)
			}
		})
	}
}

func TestEnglishIsNoLanguage(t *testing.T) {
	var l *words.Language
	if l.Say("a 2.5") != "a 2.5" || l.Word("a") != "a" || l.Format("%d of %s", 2, "a") != "2 of a" || l.Number("2.5") != "2.5" || l.Tag() != "" || l.Keeping("a") != nil || !l.Knows("a") || len(l.All([]string{"a"})) != 1 {
		t.Error("nil is not plain English")
	}
	if got := l.Date(time.Date(2026, 3, 2, 0, 0, 0, 0, time.UTC), "Monday 2 January"); got != "Monday 2 March" {
		t.Errorf("%q", got)
	}
}

func TestACatalogueWhoseHolesDoNotAgreeIsRefused(t *testing.T) {
	for name, entry := range map[string]string{"one is missing": `{"Sentences":{"a %s b %s":"{1}"}}`, "one too many": `{"Sentences":{"a %s":"{1} {2}"}}`, "none": `{"Phrases":{"a":"{1}"}}`, "no JSON": `{`} {
		t.Run(name, func(t *testing.T) {
			if _, err := words.Read([]byte(entry), "es"); err == nil {
				t.Error("no error")
			}
		})
	}
}

// Where a region writes a comma and where it sets the currency, by the data of
// the Unicode locale project as golang.org/x/text holds them.
func TestHabitsOfRegionsAgreeWithCLDR(t *testing.T) {
	for _, tag := range strings.Fields("es es-ES es-MX es-US es-AR es-CL es-CO es-PE es-CR es-419 es-GT es-DO es-UY es-VE es-EC es-PR es-HN es-NI es-SV es-PA es-BO es-PY es-CU es-GQ") {
		p := message.NewPrinter(language.MustParse(tag))
		want := p.Sprint(number.Decimal(2.5))
		if got := small(t, strings.ReplaceAll(tag, "-", "_")+".UTF-8").Number("2.5"); got != want {
			t.Errorf("%s: %q, want %q", tag, got, want)
		}
	}
}

func FuzzSay(f *testing.F) {
	f.Add("The leg is 3 wide. Ready.")
	f.Add("%s and %s meet.; \n. ")
	f.Fuzz(func(t *testing.T, text string) {
		var n testing.T
		l := small(&n, "es")
		if l.Say(text) != l.Say(text) {
			t.Error("two answers")
		}
	})
}
