package locale

import (
	"strings"

	"fyne.io/fyne/v2/lang"
)

// Say gives a sentence of the plan in the language in use.
func Say(text string) string { return text }

// Word gives a word the plan keeps as an identity, such as the kind of a defect
// or of a machine, for reading. ID takes it back.
func Word(id string) string {
	if id == "" {
		return ""
	}
	return lang.X("word."+id, Say(id))
}

// WordsOf is Word of each.
func WordsOf[T ~string](ids ...T) []string {
	out := make([]string, len(ids))
	for i, id := range ids {
		out[i] = Word(string(id))
	}
	return out
}

// ID is the identity among ids that Word writes as text; where there is none, it
// is the text itself.
func ID[T ~string](text string, ids ...T) T {
	for _, id := range ids {
		if strings.EqualFold(Word(string(id)), text) {
			return id
		}
	}
	return T(text)
}
