package measure

import (
	"fmt"
	"strings"
)

// ValidName reports why name cannot name a measure, nil where it can: a letter
// first, then letters, digits and underscores, and no unit or function.
// Upper and lower case are the same name.
func ValidName(name string) error {
	s := &scanner{text: name}
	if len(name) > maxText {
		return fmt.Errorf("%w: it is too long", ErrName)
	}
	if w := s.word(); w == "" || w != name {
		return fmt.Errorf("%w: %q must start with a letter and hold only letters, digits and _", ErrName, name)
	}
	if reserved(strings.ToLower(name)) {
		return fmt.Errorf("%w: %q is a unit or a function", ErrName, name)
	}
	return nil
}

func reserved(lower string) bool {
	_, unit := unitWords[lower]
	_, function := functions[lower]
	return unit || function
}

// eachName calls found with the place of every measure's name in a text,
// which need not be correct otherwise.
func eachName(text string, found func(start, end int)) {
	s := &scanner{text: text}
	for !s.done() {
		start := s.pos
		if w := s.word(); w != "" {
			if !reserved(strings.ToLower(w)) {
				found(start, s.pos)
			}
			continue
		}
		if !isDigit(s.peek()) {
			s.next()
			continue
		}
		// Letters that touch a number are its unit, never a name.
		s.digits()
		s.word()
	}
}

// Names gives the measures a text uses, lower-cased, each once, in the order
// written. It also reads texts that Eval refuses.
func Names(text string) []string {
	var names []string
	seen := map[string]bool{}
	eachName(text, func(start, end int) {
		n := strings.ToLower(text[start:end])
		if !seen[n] {
			seen[n] = true
			names = append(names, n)
		}
	})
	return names
}

// Rename gives text with the measure from, in any case, written as to.
func Rename(text, from, to string) string {
	var b strings.Builder
	from = strings.ToLower(from)
	last := 0
	eachName(text, func(start, end int) {
		if strings.ToLower(text[start:end]) == from {
			b.WriteString(text[last:start])
			b.WriteString(to)
			last = end
		}
	})
	b.WriteString(text[last:])
	return b.String()
}
