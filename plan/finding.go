package plan

import (
	"cmp"
	"slices"
)

// Severity ranks findings.
type Severity int

// Note informs, Warn asks for a look, Stop says the piece can't be made so.
const (
	Note Severity = iota
	Warn
	Stop
)

// String gives the word shown.
func (s Severity) String() string { return [...]string{"note", "look", "stop"}[s] }

// Subject is what a finding speaks of; zero fields do not apply.
type Subject struct {
	Room    string // pile, piece, cuts, glue-ups, bench or ledger
	Measure string
	Part    ID
	Joint   ID
	Board   ID
	Marks   []string // copies concerned
	Field   string
}

// Finding is one checked statement about the plan: what is so, what to do, and
// by which rule.
type Finding struct {
	Code     string
	Severity Severity
	Subject  Subject
	Text     string
	Do       string
	Source   string
}

// sortFindings puts the gravest first, then by room, code and text.
func sortFindings(list []Finding) {
	rooms := []string{"pile", "piece", "cuts", "glue-ups", "bench", "ledger"}
	slices.SortStableFunc(list, func(a, b Finding) int {
		return cmp.Or(cmp.Compare(b.Severity, a.Severity),
			cmp.Compare(slices.Index(rooms, a.Subject.Room), slices.Index(rooms, b.Subject.Room)),
			cmp.Compare(a.Code, b.Code), cmp.Compare(a.Text, b.Text))
	})
}
