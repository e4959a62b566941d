// Package locale decides in which language the window speaks and how it writes
// and reads numbers, money and dates. The sentences are in assets/translations
// and are looked up by the toolkit's lang package, keyed by their English; here
// is what that package leaves open. Start at Use.
//
// It belongs to the screen's goroutine, and to tests.
package locale

import (
	_ "assets.pilewright/locale" // before the toolkit
	"encoding/json"
	"errors"
	"fmt"
	"slices"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/lang"
	"golang.org/x/text/language"

	"pilewright/assets"
	"pilewright/plan/words"
)

// With holds what is put into the holes of a sentence, by the hole's name.
type With = map[string]any

// System is the choice that follows the system.
const System = ""

// Languages are the languages there is a translation for, English first.
func Languages() []string { return []string{"en", "es"} }

// Title is a language's own name, the same in every language.
func Title(language string) string {
	switch language {
	case "en":
		return "English"
	case "es":
		return "Español"
	}
	return lang.L("As the system")
}

var (
	spoken = "en"
	region string // of the system, such as ES or US; empty = unknown
)

// English is there from the start, for what is made before the window.
func init() {
	if err := Use("en"); err != nil {
		fyne.LogError("The translations can't be read", err)
	}
}

// Language is the language in use.
func Language() string { return spoken }

// folder of the translations in assets.
const folder = "translations"

// Use makes the window speak a language of Languages, or with System the
// system's where there is a translation, else English. Texts already on the
// screen stay as they are.
func Use(choice string) error {
	system, err := language.Parse(string(lang.SystemLocale()))
	if err != nil {
		system = language.English
	}
	base, _ := system.Base()
	region = ""
	if r, sure := system.Region(); sure == language.Exact {
		region = r.String()
	}
	use := choice
	if !slices.Contains(Languages(), use) {
		if use = base.String(); !slices.Contains(Languages(), use) {
			use = "en"
		}
	}
	spoken = use
	setNumbers(use, region)
	if err := setSaid(use, region); err != nil {
		return fmt.Errorf("read what plans say: %w", err)
	}
	if err := lang.AddTranslationsFS(assets.Translations, folder); err != nil {
		return fmt.Errorf("read the translations: %w", err)
	}
	// The toolkit speaks the system's language and can't be told another one, so
	// the language chosen is given to it under the system's name.
	data, err := assets.Translations.ReadFile(folder + "/" + use + ".json")
	if err != nil {
		return fmt.Errorf("read the translation: %w", err)
	}
	if err := Try(data, said); err != nil {
		return fmt.Errorf("read the translation %s: %w", use, err)
	}
	return nil
}

// Try makes the window speak a translation that does not ship, with the plan's
// sentences beside it; nil leaves those in English.
func Try(translation []byte, plans *words.Language) error {
	data, err := everyForm(translation)
	if err != nil {
		return err
	}
	said = plans
	system, err := language.Parse(string(lang.SystemLocale()))
	if err != nil {
		system = language.English
	}
	return lang.AddTranslationsForLocale(data, fyne.Locale(system.String()))
}

// everyForm gives a translation every plural form that some language may ask
// for: the system's rules choose among them, whatever language is spoken.
func everyForm(data []byte) ([]byte, error) {
	var all map[string]any
	if err := json.Unmarshal(data, &all); err != nil {
		return nil, err
	}
	for _, v := range all {
		forms, ok := v.(map[string]any)
		if !ok {
			continue
		}
		for _, form := range []string{"zero", "one", "two", "few", "many"} {
			if _, there := forms[form]; !there {
				forms[form] = forms["other"]
			}
		}
	}
	return json.Marshal(all)
}

// Wrap gives an error that reads as text and still is err to errors.Is and As.
func Wrap(err error, text string) error { return worded{err, text} }

type worded struct {
	err  error
	text string
}

func (w worded) Error() string { return w.text }
func (w worded) Unwrap() error { return w.err }

// Error is an error with its text in the language in use.
func Error(text string, holes ...any) error { return errors.New(lang.L(text, holes...)) }

// Mark marks the text of a variable that is made before the language is known
// as one to translate, where it is shown, by lang.L. It gives the text itself.
func Mark(text string) string { return text }
