package plan

import (
	"cmp"
	"fmt"
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
	Refused  *CheckError // the answer that failed its check; nil for all other findings
}

// mostAlike is how many findings of one code are listed.
const mostAlike = 40

// fewOfEach keeps the first findings of each code and counts the rest.
func fewOfEach(list []Finding) []Finding {
	count := map[string]int{}
	var out []Finding
	for _, f := range list {
		if count[f.Code]++; count[f.Code] <= mostAlike {
			out = append(out, f)
		}
	}
	for i := range out {
		f := out[i]
		if n := count[f.Code] - mostAlike; n > 0 {
			count[f.Code] = 0
			f.Severity, f.Text, f.Do = Note, fmt.Sprintf("%d more findings of this kind are not listed: %s", n, f.Text), "Put the first ones right."
			out = append(out, f)
		}
	}
	return out
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
