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

// reserved reports words that cannot name a measure. Foot and feet can: they
// are parts of furniture too, and only behind a number are they the unit.
func reserved(lower string) bool {
	_, unit := unitWords[lower]
	_, function := functions[lower]
	return unit && lower != "foot" && lower != "feet" || function
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
		r := s.next()
		if _, single := vulgar[r]; !single && !isDigit(r) {
			continue
		}
		// What follows a number is its unit; letters that touch it are never
		// a name.
		s.digits()
		if _, err := s.unit(); err != nil {
			s.word()
		}
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
