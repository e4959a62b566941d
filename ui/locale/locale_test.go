package locale

import (
	"testing"

	"fyne.io/fyne/v2/lang"
)

func TestTheLanguageFollowsTheSystemUntilOneIsChosen(t *testing.T) {
	t.Cleanup(func() { choose(t, "en") })
	for _, c := range []struct{ name, system, choice, want, close, comma string }{
		{"plain C", "C", System, "en", "Close", "1.5"},
		{"C with an encoding", "C", System, "en", "Close", "1.5"},
		{"Spain", "es_ES.UTF-8", System, "es", "Cerrar", "1,5"},
		{"Mexico", "es_MX.UTF-8", System, "es", "Cerrar", "1.5"},
		{"a language without a translation", "pl_PL.UTF-8", System, "en", "Close", "1.5"},
		{"Spanish chosen on an English system", "en_US.UTF-8", "es", "es", "Cerrar", "1.5"},
		{"Spanish chosen on a Polish system", "pl_PL.UTF-8", "es", "es", "Cerrar", "1,5"},
		{"English chosen on a Spanish system", "es_ES.UTF-8", "en", "en", "Close", "1.5"},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Setenv("LC_ALL", c.system)
			choose(t, c.choice)
			if Language() != c.want || lang.L("Close") != c.close || Float(1.5, 1) != c.comma {
				t.Errorf("it speaks %s, says %q and writes %s; want %s, %q, %s", Language(), lang.L("Close"), Float(1.5, 1), c.want, c.close, c.comma)
			}
			for n, want := range map[int]string{1: map[string]string{"en": "1 board", "es": "1 tabla"}[c.want], 3: map[string]string{"en": "3 boards", "es": "3 tablas"}[c.want]} {
				if got := lang.N("{{.n}} boards", n, With{"n": n}); got != want {
					t.Errorf("%d: got %q, want %q", n, got, want)
				}
			}
			if want := map[string]string{"en": "Cancel", "es": "Cancelar"}[c.want]; lang.L("Cancel") != want {
				t.Errorf("the toolkit's own dialogs say %q, want %q", lang.L("Cancel"), want)
			}
		})
	}
}

func TestWordsComeBackAsTheyWere(t *testing.T) {
	t.Cleanup(func() { choose(t, "en") })
	for _, language := range Languages() {
		choose(t, language)
		for _, list := range [][]string{identities[:6], identities[6:9], identities[9:12], identities[12:18], identities[18:26], identities[26:31], identities[31:33], identities[33:37], identities[37:44], identities[44:53], identities[53:72]} {
			for _, id := range list {
				if got := ID(Word(id), list...); got != id {
					t.Errorf("%s: %q is written %q and read as %q", language, id, Word(id), got)
				}
			}
		}
	}
}
